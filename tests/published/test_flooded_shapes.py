"""Hulls with a compartment open to the sea, by lost buoyancy: the part that stays buoyant.

A compartment of permeability mu loses mu of its waterplane and volume, so a gap mu times as
long gives the same draft.
"""

from __future__ import annotations

from addon.core.model.hull import ReferencePlanes
from tests.bodies import box, moved

from .conftest import Check
from .shapes import from_plan, from_profile, pair_of_ends
from .ships import FOOT, at_rest, heel_deg, hull_of, load


def test_empty_midships_compartment(check: Check) -> None:
    """A box of 150 x 24 x 12 m at 5 m, GM 0.9 m: 20 m amidships are bilged.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    p. 206, example 2; new GM by closed form.
    """
    ship = at_rest(hull_of(pair_of_ends(150, 24, 12, 20)), load(18450, 75, 0, 11.2))
    draft = 5 * 150 / 130
    check("sinkage, m", ship.hydrostatics.draft_mid - 5, "0.77", 5 * 20 / 130)
    check("draft, m", ship.hydrostatics.draft_mid, "5.76923", draft)
    check("GM, m", ship.GM, "0.00462", draft / 2 + 48 / draft - 11.2)
    check("heel, deg", heel_deg(ship), "0", 0)


def test_bilged_small_box(check: Check) -> None:
    """A box of 40 x 6 m at 2 m, GM 0.6 m: 10 m amidships are bilged.

    Source: closed form, lost buoyancy: T = 2 L/(L - l), BM = (L - l) B^3/12V.
    """
    ship = at_rest(hull_of(pair_of_ends(40, 6, 4, 10)), load(492, 20, 0, 1.9))
    check("draft, m", ship.hydrostatics.draft_mid, "2.66667", 8 / 3)
    check("GM, m", ship.GM, "0.558", 4 / 3 + 36 / 32 - 1.9)


def test_compartment_full_of_timber(check: Check) -> None:
    """A box of 150 x 20 m at 5 m: 15 m amidships, full of timber, are bilged; permeability 1/6.

    Source: closed form, T = 5 L/(L - mu l); mu = 1 - 1/(0.8 x 1.5) for timber of relative density
    0.8 stowed at 1.5 m3/t.
    """
    lost = 15 * (1 - (1 / 0.8) / 1.5)
    ship = at_rest(hull_of(pair_of_ends(150, 20, 12, lost)), load(15375, 75, 0, 5))
    check("draft, m", ship.hydrostatics.draft_mid, "5.085", 750 / (150 - lost))


def test_permeable_compartment(check: Check) -> None:
    """A box of 100 x 15 m at 5 m: 10 m amidships, permeability 0.25, are bilged.

    Source: closed form, T = 5 L/(L - mu l). A draft of 5.138 m would lose the waterplane of the
    whole compartment instead of a quarter of it.
    """
    ship = at_rest(hull_of(pair_of_ends(100, 15, 10, 2.5)), load(7687.5, 50, 0, 5))
    check("draft, m", ship.hydrostatics.draft_mid, "5.128205", 500 / 97.5)
    assert abs(ship.hydrostatics.draft_mid - 5.138) > 0.005


def test_tank_of_three_compartments(check: Check) -> None:
    """A tank of 60 x 15 x 10 ft at 5 ft in three equal compartments: the middle one is bilged.

    Source: Nicholls's Seamanship and Nautical Knowledge, p. 538 (public domain; scan at
    archive.org).
    """
    hull = hull_of(pair_of_ends(60 * FOOT, 15 * FOOT, 10 * FOOT, 20 * FOOT))
    tonnes = 60 * 15 * 5 * FOOT**3 * 1.025
    ship = at_rest(hull, load(tonnes, 30 * FOOT, 0, 4 * FOOT))
    check("draft, ft", ship.hydrostatics.draft_mid / FOOT, "7.5", 7.5)


BARGE = load(10250, 50, 0, 6)


def test_barge_open_amidships(check: Check) -> None:
    """Box barge of 100 x 20 x 10 m at 5 m, KG 6 m: 20 m amidships are open to the sea.

    Source: closed form, lost buoyancy at constant displacement.
    """
    ship = at_rest(hull_of(pair_of_ends(100, 20, 10, 20)), BARGE)
    draft = ship.hydrostatics.draft_mid
    check("draft, m", draft, "6.250000", 6.25)
    check("GM, m", ship.GM, "2.458333", 6.25 / 2 + 400 / 75 - 6)
    check("water in the compartment, m3", 20 * 20 * draft, "2500", 2500)


def test_barge_open_below(check: Check) -> None:
    """The same barge: 20 m amidships open to the sea below a flat 3 m up.

    Source: closed form, lost buoyancy at constant displacement.
    """
    profile = [
        (0, 0), (40, 0), (40, 3), (60, 3), (60, 0), (100, 0), (100, 10), (0, 10),
    ]  # fmt: skip
    ship = at_rest(hull_of(from_profile(profile, 20)), BARGE)
    KB = (2000 * 5.6 * 2.8 - 1200 * 1.5) / 10000
    check("draft, m", ship.hydrostatics.draft_mid, "5.600000", 5.6)
    check("KB, m", ship.hydrostatics.KB, "2.956000", KB)
    check("BM, m", ship.hydrostatics.BM, "6.666667", 20 / 3)
    check("GM, m", ship.GM, "3.622667", KB + 20 / 3 - 6)


def test_barge_open_above(check: Check) -> None:
    """The same barge: 20 m amidships open to the sea above a flat 3 m up.

    Source: closed form, lost buoyancy at constant displacement.
    """
    profile = [
        (0, 0), (100, 0), (100, 10), (60, 10), (60, 3), (40, 3), (40, 10), (0, 10),
    ]  # fmt: skip
    ship = at_rest(hull_of(from_profile(profile, 20)), BARGE)
    KB = (2000 * 3 * 1.5 + 1600 * 2.5 * 4.25) / 10000
    check("draft, m", ship.hydrostatics.draft_mid, "5.500000", 5.5)
    check("KB, m", ship.hydrostatics.KB, "2.600000", KB)
    check("GM, m", ship.GM, "1.933333", KB + 80 * 20**3 / 12 / 10000 - 6)


def test_barge_open_to_starboard(check: Check) -> None:
    """The same barge: 20 m amidships open to the sea on the starboard side, up to the centerline.

    Source: closed form, lost buoyancy at constant displacement.
    """
    plan = [
        (0, -10), (40, -10), (40, 0), (60, 0), (60, -10), (100, -10), (100, 10), (0, 10),
    ]  # fmt: skip
    ship = at_rest(hull_of(from_plan(plan, 10)), BARGE)
    attitude, draft = ship.equilibrium.attitude, ship.hydrostatics.draft_mid
    check("draft amidships, m", draft, "5.664376")
    check("list to starboard, deg", heel_deg(ship), "11.08256")
    check("trim, m", ship.hydrostatics.trim, "0", 0)
    side = draft + 10 * attitude.up[1] / attitude.up[2]
    check("draft at the starboard side, m", side, "7.623137")
    compartment = hull_of(moved(box(20, 10, 10), (40, -5, 0)), ReferencePlanes(0, 100, 0, 0))
    water = compartment.tree.below(attitude)
    check("water in the compartment, m3", water.volume, "1328.751")
    check("its centroid to starboard, m", -water.buoyancy[1], "5.24569")


def test_barge_open_forward(check: Check) -> None:
    """The same barge: the foremost 10 m are open to the sea.

    Source: closed form, lost buoyancy at constant displacement.
    """
    hull = hull_of(box(90, 20, 10), ReferencePlanes(forward_perpendicular_x=100))
    ship = at_rest(hull, BARGE)
    figures = ship.hydrostatics
    check("draft amidships, m", figures.draft_mid, "5.766729")
    check("trim by the bow, m", -figures.trim, "4.223467")
    check("draft forward, m", figures.draft_forward, "7.878463")
    check("draft aft, m", figures.draft_aft, "3.654995")
    compartment = hull_of(moved(box(10, 20, 10), (90, 0, 0)), ReferencePlanes(0, 100, 0, 0))
    water = compartment.tree.below(ship.equilibrium.attitude)
    check("water in the compartment, m3", water.volume, "1533.458")
    check("its centroid forward of midships, m", water.buoyancy[0] - 50, "45.0459")
