"""Compartments opened to the sea by `flood`, inside an intact hull, by lost buoyancy."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest

from addon.core.damage.damaged_case import damaged
from addon.core.damage.flooding import flood
from addon.core.damage.flooding_result import FloodingResult
from addon.core.damage.residual_gz import ResidualGZ
from addon.core.damage.s_factor import heeling_moment, s_factor, s_final, s_intermediate, s_moment
from addon.core.hydrostatics.particulars import hydrostatics
from addon.core.model.case import Case
from addon.core.model.compartment import PERMEABILITY_BY_USE, Compartment, CompartmentPlan
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from tests.bodies import Body, box, mesh, tree

from .conftest import Check
from .shapes import block
from .ships import FOOT, at_rest_in, case_of, hull_of, load


def opened(
    hull: Body, weight: Weight, compartment: Body, permeability: float = 1.0
) -> tuple[FloodingResult, Case]:
    """A hull at equilibrium with a compartment open to the sea, and the intact case."""
    case = case_of(hull_of(hull), weight)
    faces = mesh(compartment)
    compartment = Compartment(
        "hold", tree(compartment), faces.vertices, faces.triangles, permeability=permeability
    )
    return flood(case, CompartmentPlan((compartment,)), ("hold",), whole_curve=False), case


def draft(found: FloodingResult) -> float:
    """Draft amidships (m)."""
    assert found.floating.hydrostatics
    return found.floating.hydrostatics.draft_mid


def heel(found: FloodingResult) -> float:
    """Heel (degrees), starboard positive."""
    assert found.floating.equilibrium
    return float(np.degrees(found.floating.equilibrium.attitude.heel_rad))


def across(breadth: float) -> tuple[float, float]:
    """From side to side."""
    return -breadth / 2, breadth / 2


def test_empty_midships_compartment(check: Check) -> None:
    """A box of 150 x 24 x 12 m at 5 m, GM 0.9 m: an empty compartment of 20 m amidships is bilged.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    p. 206, example 2; new GM by closed form.
    """
    compartment = block((65, 85), across(24), (0, 12))
    found, _ = opened(box(150, 24, 12), load(18450, 75, 0, 11.2), compartment)
    deep = 5 * 150 / 130
    check("sinkage, m", draft(found) - 5, "0.77", 5 * 20 / 130)
    check("draft, m", draft(found), "5.76923", deep)
    check("GM, m", found.floating.GM, "0.00462", deep / 2 + 48 / deep - 11.2)
    check("water in the compartment, m3", found.water, exact=20 * 24 * deep)


def test_small_box(check: Check) -> None:
    """A box of 40 x 6 m at 2 m, GM 0.6 m: an empty compartment of 10 m amidships is bilged.

    Source: closed form, lost buoyancy: T = 2 L/(L - l), BM = (L - l) B^3/12V.
    """
    compartment = block((15, 25), across(6), (0, 4))
    found, _ = opened(box(40, 6, 4), load(492, 20, 0, 1.9), compartment)
    check("draft, m", draft(found), "2.66667", 8 / 3)
    check("GM, m", found.floating.GM, "0.558", 4 / 3 + 36 / 32 - 1.9)


def test_compartment_full_of_timber(check: Check) -> None:
    """A box of 150 x 20 x 12 m at 5 m: a compartment of 15 m amidships with timber of relative
    density 0.8 stowed at 1.5 m3/t is bilged; its permeability is 1/6.

    Source: closed form, T = 5 L/(L - mu l), mu = 1 - 1/(0.8 x 1.5).
    """
    share = 1 - (1 / 0.8) / 1.5
    compartment = block((67.5, 82.5), across(20), (0, 12))
    found, _ = opened(box(150, 20, 12), load(15375, 75, 0, 5), compartment, share)
    check("draft, m", draft(found), "5.085", 750 / (150 - 15 * share))
    check("water in the compartment, m3", found.water, exact=share * 15 * 20 * draft(found))


def test_permeable_compartment(check: Check) -> None:
    """A box of 100 x 15 m at 5 m: a compartment of 10 m amidships, permeability 0.25, is bilged.

    Source: closed form, T = 5 L/(L - mu l). A draft of 5.138 m would lose the waterplane of the
    whole compartment instead of a quarter of it.
    """
    compartment = block((45, 55), across(15), (0, 10))
    found, _ = opened(box(100, 15, 10), load(7687.5, 50, 0, 5), compartment, 0.25)
    check("draft, m", draft(found), "5.1282", 5 + 0.25 * 10 * 5 / 97.5)
    assert abs(draft(found) - 5.138) > 0.005


def test_three_equal_compartments(check: Check) -> None:
    """A tank of 60 x 15 x 10 ft at 5 ft in three equal compartments: the middle one is bilged.

    Source: Nicholls's Seamanship and Nautical Knowledge, p. 538 (public domain; scan at
    archive.org).
    """
    tonnes = 60 * 15 * 5 * FOOT**3 * 1.025
    compartment = block((20 * FOOT, 40 * FOOT), across(15 * FOOT), (0, 10 * FOOT))
    hull = box(60 * FOOT, 15 * FOOT, 10 * FOOT)
    found, _ = opened(hull, load(tonnes, 30 * FOOT, 0, 4 * FOOT), compartment)
    check("draft, ft", draft(found) / FOOT, "7.5", 7.5)


BARGE = box(100, 20, 10)
LADEN = load(10250, 50, 0, 6)


def test_barge_amidships(check: Check) -> None:
    """Box barge of 100 x 20 x 10 m at 5 m, KG 6 m: a compartment of 20 m amidships is flooded.

    Source: closed form, lost buoyancy at constant displacement.
    """
    found, _ = opened(BARGE, LADEN, block((40, 60), across(20), (0, 10)))
    check("draft, m", draft(found), "6.250000", 6.25)
    check("heel, deg", heel(found), "0", 0)
    check("GM, m", found.floating.GM, "2.458333", 6.25 / 2 + 400 / 75 - 6)
    check("water in the compartment, m3", found.water, "2500", 2500)
    check("margin line above water, m", found.residual_freeboard, exact=10 - 6.25 - 0.076)


def test_barge_amidships_as_added_weight(check: Check) -> None:
    """The same barge with that water as an added weight with a free surface: the righting moment
    at a small heel is the same, with more displacement and less GM.

    Source: closed form, added weight and lost buoyancy.
    """
    found, case = opened(BARGE, LADEN, block((40, 60), across(20), (0, 10)))
    assert found.floating.equilibrium
    figures = hydrostatics(case.hull, found.floating.equilibrium.attitude)
    water = found.water
    whole = 10000 + water
    KG = (10000 * 6 + water * draft(found) / 2) / whole
    free = 20 * 20**3 / 12 / whole
    check("displacement, t", 1.025 * figures.immersion.volume, "12812.5", 12812.5)
    check("KG, m", KG, "5.425", 5.425)
    check("loss by the free surface, m", free, "1.066667", 1.0 + 1 / 15)
    check("GM, m", figures.KM - KG - free, "1.966667", 6.25 / 2 + 400 / 75 - 5.425 - 1 - 1 / 15)
    check(
        "righting moment over weight of water, m4",
        (figures.KM - KG - free) * whole,
        exact=found.floating.GM * 10000,
    )


@pytest.mark.parametrize(
    "where, compartment",
    [
        ("amidships", block((40, 60), across(20), (0, 10))),
        ("at the bow", block((90, 100), across(20), (0, 10))),
        ("to starboard", block((40, 60), (-10, 0), (0, 10))),
    ],
)
def test_same_waterline_by_added_weight(check: Check, where: str, compartment: Body) -> None:
    """The same barge with the floodwater as an added weight that runs to the low side: the
    waterline is the same, and the water in the compartment is level with the sea.

    Source: closed form, added weight and lost buoyancy.
    """
    found, case = opened(BARGE, LADEN, compartment)
    held = tree(compartment)
    tank = Tank("water", held, 1025.0, found.water / held.volume)
    added = at_rest_in(replace(case, tanks=(tank,)))
    one, other = found.floating.hydrostatics, added.hydrostatics
    assert one and other and added.equilibrium
    for end in ("aft", "forward"):
        ours, theirs = (getattr(each, f"draft_{end}") for each in (other, one))
        check(f"draft {end}, compartment {where}, m", ours, exact=theirs)
    attitude = added.equilibrium.attitude
    heeled = np.degrees(attitude.heel_rad)
    check(f"heel, compartment {where}, deg", heeled, exact=heel(found))
    inside = tank.liquid(attitude.up).level
    over = inside - attitude.level
    check(f"level in the compartment above the sea, {where}, m", over, "0.000000", 0)


def test_barge_below_a_flat(check: Check) -> None:
    """The same barge: a compartment of 20 m amidships below a flat 3 m up is open to the sea.

    Source: closed form, lost buoyancy at constant displacement.
    """
    found, _ = opened(BARGE, LADEN, block((40, 60), across(20), (0, 3)))
    KB = (2000 * 5.6 * 2.8 - 1200 * 1.5) / 10000
    figures = found.floating.hydrostatics
    assert figures
    check("draft, m", draft(found), "5.600000", 5.6)
    check("KB, m", figures.KB, "2.956000", KB)
    check("BM, m", figures.BM, "6.666667", 20 / 3)
    check("GM, m", found.floating.GM, "3.622667", KB + 20 / 3 - 6)
    check("water in the compartment, m3", found.water, "1200", 1200)


def test_barge_above_a_flat(check: Check) -> None:
    """The same barge: a compartment of 20 m amidships above a flat 3 m up is open to the sea.

    Source: closed form, lost buoyancy at constant displacement.
    """
    found, _ = opened(BARGE, LADEN, block((40, 60), across(20), (3, 10)))
    KB = (2000 * 3 * 1.5 + 1600 * 2.5 * 4.25) / 10000
    check("draft, m", draft(found), "5.500000", 5.5)
    check("KB, m", found.floating.hydrostatics.KB, "2.600000", KB)
    check("GM, m", found.floating.GM, "1.933333", KB + 80 * 20**3 / 12 / 10000 - 6)
    check("water in the compartment, m3", found.water, "1000", 1000)


def test_barge_to_starboard(check: Check) -> None:
    """The same barge: a compartment of 20 m amidships to starboard of the centerline is flooded.

    Source: closed form, lost buoyancy at constant displacement.
    """
    compartment = block((40, 60), (-10, 0), (0, 10))
    found, _ = opened(BARGE, LADEN, compartment)
    attitude = found.floating.equilibrium.attitude
    check("draft amidships, m", draft(found), "5.664376")
    check("list to starboard, deg", heel(found), "11.08256")
    check("trim, m", found.floating.hydrostatics.trim, "0", 0)
    side = draft(found) + 10 * attitude.up[1] / attitude.up[2]
    check("draft at the starboard side, m", side, "7.623137")
    check("water in the compartment, m3", found.water, "1328.751")
    middle = tree(compartment).below(attitude).buoyancy
    check("its centroid to starboard, m", -middle[1], "5.24569")


def test_barge_forward(check: Check) -> None:
    """The same barge: the foremost 10 m are open to the sea.

    Source: closed form, lost buoyancy at constant displacement.
    """
    compartment = block((90, 100), across(20), (0, 10))
    found, _ = opened(BARGE, LADEN, compartment)
    figures = found.floating.hydrostatics
    check("draft amidships, m", figures.draft_mid, "5.766729")
    check("trim by the bow, m", -figures.trim, "4.223467")
    check("draft forward, m", figures.draft_forward, "7.878463")
    check("draft aft, m", figures.draft_aft, "3.654995")
    check("water in the compartment, m3", found.water, "1533.458")
    middle = tree(compartment).below(found.floating.equilibrium.attitude).buoyancy
    check("its centroid forward of midships, m", middle[0] - 50, "45.0459")


def test_barge_forward_by_hand(check: Check) -> None:
    """The same barge, the foremost 10 m flooded: sinkage, and trim by the moment to change trim
    with BML in place of GML, the hand calculation.

    Source: method of C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th
    ed. (common practice), computed here; for small angles, hence to 5 %.
    """
    found, _ = opened(BARGE, LADEN, block((90, 100), across(20), (0, 10)))
    figures = found.floating.hydrostatics
    check("draft forward, m", figures.draft_forward, "7.8189", within=0.05 * 7.8189)
    check("draft aft, m", figures.draft_aft, "3.7037", within=0.05 * 3.7037)


def test_barge_to_starboard_by_hand(check: Check) -> None:
    """The same barge, the compartment of 20 m amidships to starboard flooded: the list by GM and
    the shift of the centroid of the waterplane, the hand calculation.

    Source: method of C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th
    ed. (common practice), computed here; for small angles, hence to 5 %.
    """
    found, _ = opened(BARGE, LADEN, block((40, 60), (-10, 0), (0, 10)))
    check("list to starboard, deg", heel(found), "11.53", within=0.05 * 11.53)


def test_permeability_by_use(check: Check) -> None:
    """Permeability of a compartment by its use, for liquids and dry cargo the highest.

    Source: SOLAS II-1, regulations 7-3.1 and 7-3.2, resolution MSC.216(82) (from memory).
    """
    shares = {"stores": "0.60", "accommodation": "0.95", "machinery": "0.85", "void": "0.95"}
    for use, share in (shares | {"liquids": "0.95", "cargo": "0.95"}).items():
        check(use, PERMEABILITY_BY_USE[use], share)


def test_s_of_the_final_stage(check: Check) -> None:
    """A passenger ship heeled 9 degrees, maximum GZ 0.10 m, range 10 degrees.

    Source: SOLAS II-1, regulation 7-2.3, resolution MSC.216(82) (from memory); closed form.
    """
    K = (6 / 8) ** 0.5
    arms = (0.10 / 0.12 * 10 / 16) ** 0.25
    s = s_final(0.10, radians(10), radians(9), "passenger")
    check("K", s_final(1.0, 1.0, radians(9), "passenger"), "0.866025", K)
    check("factor of GZ and range", s_final(0.10, radians(10), 0.0, "passenger"), "0.849522", arms)
    check("s", s, "0.735708", K * arms)
    left = ResidualGZ(1, radians(9), radians(10), 0.10, 0.01)
    check("s by the residual GZ curve", s_factor(left, "passenger", 5e6), "0.735708", K * arms)


def test_s_of_an_intermediate_stage(check: Check) -> None:
    """Maximum GZ 0.03 m and range 5 degrees in an intermediate stage of flooding.

    Source: SOLAS II-1, regulation 7-2.2, resolution MSC.216(82) (from memory); closed form.
    """
    s = s_intermediate(0.03, radians(5), radians(12), "passenger")
    check("s", s, "0.809107", (0.6 * 5 / 7) ** 0.25)


def test_s_of_moments(check: Check) -> None:
    """A passenger ship of 5000 t, 20 m in breadth, with 400 passengers and maximum GZ 0.10 m;
    1500 m2 of lateral area, 12 m above half the draft.

    Source: SOLAS II-1, regulation 7-2.4, resolution MSC.216(82) (from memory); closed form.
    """
    crowd = heeling_moment(400, 20.0, 0.0, 0.0)
    wind = heeling_moment(0, 20.0, 1500.0, 12.0)
    check("moment of passengers, t m", crowd / 1000, "270.0", 270.0)
    check("moment of wind, t m", wind / 1000, "220.27", 120 * 1500 * 12 / 9806)
    check("the greater, t m", heeling_moment(400, 20.0, 1500.0, 12.0) / 1000, "270.0", 270.0)
    check("s", s_moment(0.10, 5e6, crowd), "1", 1.0)
    check("s at GZ 0.08 m", s_moment(0.08, 5e6, crowd), exact=0.04 * 5000 / 270)


@pytest.mark.parametrize("permeability", [1.0, 0.85, 0.6])
def test_permeability_of_the_barge_amidships(check: Check, permeability: float) -> None:
    """The barge's compartment of 20 m amidships, at several permeabilities.

    Source: closed form, lost buoyancy at constant displacement.
    """
    compartment = block((40, 60), across(20), (0, 10))
    found, case = opened(BARGE, LADEN, compartment, permeability)
    deep = 500 / (100 - 20 * permeability)
    check(f"draft at {permeability:g}, m", draft(found), exact=deep)
    assert damaged(case, CompartmentPlan(()), ()) is case
    second = (100 - 20 * permeability) * 20**3 / 12
    check(f"GM at {permeability:g}, m", found.floating.GM, exact=deep / 2 + second / 1e4 - 6)
