"""Lists from weights off the centerline, trims from weights shifted lengthwise, and both measured.

Several textbook lists take tan(phi) = y / GM with a fixed metacenter. A round hull, a horizontal
cylinder with KM = R at every draft and heel, makes that exact, so it represents vessels which the
source gives by their KM alone.
"""

from __future__ import annotations

from math import atan, degrees, pi, radians, tan

import pytest

from addon.core.buoyancy.attitude import Attitude
from addon.core.hydrostatics.upright import upright_hydrostatics
from addon.core.model.hull import Hull
from addon.core.model.weights import combined
from tests.bodies import box, horizontal_cylinder

from .conftest import Check
from .shapes import stadium
from .ships import (
    FOOT,
    LONG_TON,
    OLD_SEA_WATER,
    arms_vanish_at,
    at_rest,
    heel_deg,
    held,
    hull_of,
    load,
    wall_sided_list_deg,
)


def round_hull(KM: float, volume: float) -> Hull:
    """Cylinder of radius `KM` (m) that floats near its axis with an immersed volume (m3)."""
    return hull_of(horizontal_cylinder(KM, 2 * volume / (pi * KM**2), 1440))


@pytest.mark.parametrize(
    "off_center, listing", [(0.1, "5.6291"), (0.3, "15.1287")], ids=["0.1 m", "0.3 m"]
)
def test_list_of_wall_sided_box(check: Check, off_center: float, listing: str) -> None:
    """A box of 60 x 12 x 7 m at 4 m, GM 1 m, with G off the centerline to starboard.

    Source: closed form for wall-sided hulls, tan(phi) (GM + BM tan^2(phi)/2) = y.
    """
    ship = at_rest(hull_of(box(60, 12, 7)), load(2952, 30, -off_center, 4))
    exact = wall_sided_list_deg(1, 3, off_center)
    check(f"list, G {off_center} m off, deg", heel_deg(ship), listing, exact)
    check("list by the GZ curve, deg", arms_vanish_at(ship), listing, exact, facets=1e-5)
    assert heel_deg(ship) < degrees(atan(off_center)) - 0.05  # the small-angle list


def test_stadium_pontoon(check: Check) -> None:
    """A round-ended pontoon, 12 x 2 m and 28 t, KG 0.4 m; 1.2 t moved 0.5 m sideways.

    Source: closed form, I = l b^3/12 + pi b^4/64 for the straight part and the round ends,
    tan(phi) (GM + BM tan^2(phi)/2) = y.
    """
    ship = at_rest(hull_of(stadium(2)), load(26.8, 6, 0, 0.4), load(1.2, 6, -0.5, 0.4))
    level_keel = upright_hydrostatics(ship.case)
    area, fine = level_keel.immersion.waterplane_area, {"within": 1e-4, "facets": 1e-5}
    check("waterplane, m2", area, "23.14159", 20 + pi, **fine)
    check("draft, m", level_keel.draft_mid, "1.180432", 28 / 1.025 / (20 + pi), **fine)
    check("KB, m", level_keel.KB, "0.590216", 14 / 1.025 / (20 + pi), **fine)
    check("BM, m", level_keel.BM, "0.272799", (80 / 12 + pi / 4) * 1.025 / 28, **fine)
    check("GM, m", level_keel.KM - 0.4, "0.463015", within=1e-5)
    exact = wall_sided_list_deg(0.463015, 0.272799, 0.6 / 28)
    check("list, deg", heel_deg(ship), "2.648", exact, facets=1e-4)
    check("list by the GZ curve, deg", arms_vanish_at(ship), "2.648", exact, facets=1e-4)
    check("list by y/GM, deg", heel_deg(ship), "2.650", within=0.01)


def test_list_from_three_loads(check: Check) -> None:
    """8000 t, KG 7.6 m, KM 8.7 m; 250 t and 300 t loaded and 50 t discharged off the centerline.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    pp. 116-117, by tan(phi) = y/GM.
    """
    hull = round_hull(8.7, 8500 / 1.025)
    x = hull.midship_x
    rest = load(7950, x, -50 * 4.6 / 7950, (8000 * 7.6 - 50 * 1.2) / 7950)
    before = combined((rest, load(50, x, 4.6, 1.2)))
    check("KG before, m", before.center[2], "7.6", 7.6)
    check("G off the centerline before, m", before.center[1], "0", 0)
    ship = at_rest(hull, rest, load(250, x, -7.6, 6.1), load(300, x, 6.1, 0.6))
    check("displacement, t", ship.weight.mass / 1000, "8500", 8500)
    check("KG, m", ship.weight.center[2], "7.35", 62445 / 8500)
    check("G to starboard, m", -ship.weight.center[1], "0.0353", 300 / 8500)
    check("GM, m", 8.7 - ship.weight.center[2], "1.3535")
    exact = degrees(atan(300 / (8500 * 8.7 - 62445)))
    check("list to starboard, deg", heel_deg(ship), "1.494", exact, facets=1e-4)
    check("list by the GZ curve, deg", arms_vanish_at(ship), "1.494", exact, facets=1e-4)


@pytest.mark.slow
def test_list_after_weight_moved_down_and_across(check: Check) -> None:
    """6500 t with GM 0.15 m; 50 t moved 1.5 m down and 5 m to starboard.

    Source: closed form, tan(phi) = w d/(W GM) with G lowered by w h/W.
    """
    hull = round_hull(6, 6500 / 1.025)
    x = hull.midship_x
    ship = at_rest(hull, load(6450, x, 0, 5.85), load(50, x, -5, 5.85 - 1.5))
    GM = 0.15 + 75 / 6500
    check("GM, m", 6 - ship.weight.center[2], "0.16154", GM)
    exact = degrees(atan(250 / 6500 / GM))
    check("list, deg", heel_deg(ship), "13.4", exact, facets=5e-4)
    check("list by the GZ curve, deg", arms_vanish_at(ship), "13.4", exact, facets=5e-4)


@pytest.mark.slow
def test_sixty_tons_off_centre(check: Check) -> None:
    """60 tons 20 ft off the centerline of a vessel of 6000 tons with a GM of 2 ft.

    Source: US Coast Guard, merchant marine deck examination, deck safety, question 2762 (public
    domain; answer by its key).
    """
    hull = round_hull(20 * FOOT, 6000 * 35 * FOOT**3)
    x, height = hull.midship_x, 18 * FOOT
    weights = (load(5940 * LONG_TON, x, 0, height), load(60 * LONG_TON, x, 20 * FOOT, height))
    ship = at_rest(hull, *weights, density=OLD_SEA_WATER)
    exact = degrees(atan(0.1))
    close = {"within": 0.02, "facets": 1e-4}
    check("list to port, deg", -heel_deg(ship), "5.72", exact, **close)
    check("list by the GZ curve, deg", -arms_vanish_at(ship), "5.72", exact, **close)


@pytest.mark.slow
def test_thirty_tons_on_a_boom(check: Check) -> None:
    """30 tons swung out 30 ft by a vessel of 8790 tons, KM 21.5 ft, KG 20.5 ft.

    Source: US Coast Guard, merchant marine deck examination, deck safety, question 2754 (public
    domain; answer by its key). The height of the boom head is not given, so the 30 tons act at G.
    """
    hull = round_hull(21.5 * FOOT, 8820 * 35 * FOOT**3)
    x, height = hull.midship_x, 20.5 * FOOT
    weights = (load(8790 * LONG_TON, x, 0, height), load(30 * LONG_TON, x, -30 * FOOT, height))
    ship = at_rest(hull, *weights, density=OLD_SEA_WATER)
    exact = degrees(atan(30 * 30 / 8820))
    check("list, deg", heel_deg(ship), "5.8", exact, facets=1e-4)
    check("list by the GZ curve, deg", arms_vanish_at(ship), "5.8", exact, facets=1e-4)


def test_trim_by_shifting_weight(check: Check) -> None:
    """Box barge of 100 x 20 x 10 m at 5 m, KG 6 m; 200 t moved 60 m forward.

    Source: closed form, tan(t) (GML + BML tan^2(t)/2) = w d / W.
    """
    ship = at_rest(hull_of(box(100, 20, 10)), load(10050, 50, 0, 6), load(200, 110, 0, 6))
    figures = ship.hydrostatics
    slope = tan(radians(wall_sided_list_deg(100**2 / 60 - 3.5, 100**2 / 60, 12000 / 10250)))
    check("trim by the bow, m", -figures.trim, "0.717488", 100 * slope)
    check("draft forward, m", figures.draft_forward, "5.358744", 5 + 50 * slope)
    check("draft aft, m", figures.draft_aft, "4.641256", 5 - 50 * slope)
    check("trim by GML, m", -figures.trim, "0.717507", within=5e-5)
    trimmed = Attitude.from_draft(5, 50, trim_rad=-atan(slope))
    check("draft forward, held at that trim, m", trimmed.draft_at(100), "5.358744", 5 + 50 * slope)
    check("heel, deg", heel_deg(ship), "0", 0)
    upright_held = held(ship.case, 0)
    check("trim angle, held upright", -tan(upright_held.attitude.trim_rad), exact=slope)
    check("GZ held upright, m", upright_held.arm, "0", 0)


def test_trim_in_feet_and_tons(check: Check) -> None:
    """A box at 8 ft with 480 foot-tons per inch of trim; 40 tons moved 36 ft aft.

    Source: Nicholls's Seamanship and Nautical Knowledge, p. 538 (public domain; scan at
    archive.org). The box is one of 280 ft with G at B, so that the moment to change trim is that
    of BML.
    """
    length, depth = 280.0, 8.0
    breadth = 480 * 12 * 12 * 35 / length**2
    tons = length * breadth * depth / 35
    hull = hull_of(box(length * FOOT, breadth * FOOT, 2 * depth * FOOT))
    height = depth / 2 * FOOT
    ship = at_rest(
        hull,
        load((tons - 40) * LONG_TON, length / 2 * FOOT, 0, height),
        load(40 * LONG_TON, (length / 2 - 36) * FOOT, 0, height),
        density=OLD_SEA_WATER,
    )
    figures = ship.hydrostatics
    inch = tons * ship.GML / FOOT / length / 12
    check("moment to trim an inch, ft tons", inch, "480", within=0.1)
    check("trim by the stern, in", figures.trim / FOOT * 12, "3", within=0.005)
    check("draft aft, ft (8 ft 1.5 in)", figures.draft_aft / FOOT, "8.125")
    check("draft forward, ft (7 ft 10.5 in)", figures.draft_forward / FOOT, "7.875")


def test_inclining_experiment(check: Check) -> None:
    """Box barge of 100 x 20 x 10 m, KG 6 m: 20 t moved 15 m, and KG recovered from the heel.

    Source: closed form, GM = w d / (W tan phi).
    """
    ship = at_rest(hull_of(box(100, 20, 10)), load(10230, 50, 0, 6), load(20, 50, -15, 6))
    slope = tan(radians(heel_deg(ship)))
    exact = tan(radians(wall_sided_list_deg(19 / 6, 20 / 3, 300 / 10250)))
    check("tangent of the heel", slope, "0.00924179", exact)
    check("heel, deg", heel_deg(ship), "0.52950", degrees(atan(exact)))
    found = arms_vanish_at(ship)
    check("heel by the GZ curve, deg", found, "0.52950", degrees(atan(exact)), facets=1e-5)
    check("pendulum of 4 m, mm", 4000 * slope, "36.967", 4000 * exact)
    GM = 300 / (10250 * slope)
    check("GM found, m", GM, "3.16695", 300 / (10250 * exact))
    check("KG recovered, m", upright_hydrostatics(ship.case).KM - GM, "6.0", within=3e-4)


def test_lift_from_a_quay(check: Check) -> None:
    """A box of 60 x 12 x 7 m, 2952 t, KG 4 m lifts 20 t on a boom head 14 m up and 10 m out.

    Source: closed form for wall-sided hulls; a load on a hook acts at the boom head.
    """
    ship = at_rest(hull_of(box(60, 12, 7)), load(2952, 30, 0, 4), load(20, 30, -10, 14))
    level_keel = upright_hydrostatics(ship.case)
    draft = 2972 / 1.025 / 720
    GM = draft / 2 + 12 / draft - (2952 * 4 + 280) / 2972
    check("displacement, t", ship.weight.mass / 1000, "2972", 2972)
    check("KG, m", ship.weight.center[2], "4.067295", (2952 * 4 + 280) / 2972)
    check("G off the centerline, m", -ship.weight.center[1], "0.067295", 200 / 2972)
    check("draft, m", level_keel.draft_mid, "4.027100", draft)
    check("GM, m", level_keel.KM - ship.weight.center[2], "0.926067", GM)
    exact = wall_sided_list_deg(GM, 12 / draft, 200 / 2972)
    check("list, deg", heel_deg(ship), "4.1219", exact)
    check("list by the GZ curve, deg", arms_vanish_at(ship), "4.1219", exact, facets=1e-5)
