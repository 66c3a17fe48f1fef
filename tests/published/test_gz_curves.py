"""Whole GZ curves: maximum GZ, angle of vanishing stability, deck edge, slopes and areas."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import atan, cos, degrees, pi, radians, sin, tan

import numpy as np
import pytest

from addon.core.arrays import Floats
from addon.core.model.case import Case
from addon.core.model.openings import Opening
from addon.core.stability.both_sides import SideStability, Stability, stability
from addon.core.stability.righting_lever import Heeling, heeling_of
from tests.bodies import box, horizontal_cylinder, wedge

from .conftest import Check
from .shapes import double_ended, stadium
from .ships import (
    area_of,
    arms_of,
    at_draft,
    case_of,
    held,
    hull_of,
    load,
    wall_sided,
    wall_sided_list_deg,
)

REFERENCE = [(0, 30, "0.164515"), (0, 40, "0.307725"), (30, 40, "0.143210")]


def reference_box(KG: float = 4.0) -> Case:
    """A box of 60 x 12 x 7 m at 4 m draft."""
    return case_of(hull_of(box(60, 12, 7)), load(2952, 30, 0, KG))


def sides(ship: Stability) -> tuple[SideStability, SideStability]:
    """Starboard and port, equal without a list."""
    return ship.starboard, ship.port


def test_barge_curve(check: Check) -> None:
    """Box barge of 100 x 20 x 10 m at 5 m draft, KG 6 m: particulars of the GZ curve.

    Source: closed form by clipping the section; GM = 19/6 m and the deck edge at tan(phi) = 1/2.
    """
    ship = stability(case_of(hull_of(box(100, 20, 10)), load(10250, 50, 0, 6)))
    check("GM, m", ship.GM, "3.16667", 19 / 6)
    for side in sides(ship):
        to = f"to {side.name}"
        check(f"maximum GZ {to}, m", side.max_gz, "2.14483", within=1e-5)
        check(f"angle of maximum GZ {to}, deg", degrees(side.max_gz_heel), "35.680", within=3e-3)
        check(f"vanishing stability {to}, deg", degrees(side.vanishing_angle), "76.428")
        check(f"range {to}, deg", degrees(side.range), "76.428")
        check(f"deck edge {to}, deg", degrees(side.deck_edge_angle), "26.565", degrees(atan(0.5)))
        check(f"GZ at 90 deg {to}, m", float(side.gz_curve.arm(pi / 2)), "-1.00000", 5 - 6)
        check(f"equilibrium heel {to}, deg", degrees(side.equilibrium_heel), "0", 0)


def barge_arm(heel: float, KG: float, off: float) -> float:
    """GZ (m) of the box barge at 5 m in closed form, with G `off` meters to the low side; beyond
    the deck edge the barge is a wall-sided one lying on its side."""
    if heel < degrees(atan(0.5)):
        righted = wall_sided(55 / 6 - KG, 20 / 3, heel)
    else:
        righted = -wall_sided(5 / 6 - 5, 5 / 6, 90 - heel) - (KG - 5) * sin(radians(heel))
    return righted - off * cos(radians(heel))


def test_barge_with_a_list(check: Check) -> None:
    """The same barge with G 0.5 m to starboard: each side has its own GZ curve and openings.

    Source: closed form, the wall-sided formula up to the deck edge and, beyond it, for the barge
    on its side; an opening is immersed at tan(phi) = its height above the upright waterline over
    its distance from the centerline.
    """
    openings = (
        Opening("starboard vent", np.array([40.0, -10.0, 8.0])),
        Opening("starboard hatch", np.array([60.0, -10.0, 7.0]), weathertight=True),
        Opening("port vent", np.array([40.0, 10.0, 9.0])),
    )
    case = case_of(hull_of(box(100, 20, 10)), load(10250, 50, -0.5, 6))
    ship = stability(replace(case, openings=openings))
    assert ship.weaker is ship.starboard
    fine = np.linspace(1, 89, 88_001)
    for side, off, vent in ((ship.starboard, 0.5, 0.3), (ship.port, -0.5, 0.4)):
        to = f"to {side.name}"
        arms = np.array([barge_arm(heel, 6, off) for heel in fine])
        lists = wall_sided_list_deg(19 / 6, 20 / 3, off)
        check(
            f"equilibrium heel {to}, deg", degrees(side.equilibrium_heel), exact=lists, facets=1e-5
        )
        top = float(fine[arms.argmax()])
        check(f"maximum GZ {to}, m", side.max_gz, exact=arms.max(), facets=1e-5)
        check(f"angle of maximum GZ {to}, deg", degrees(side.max_gz_heel), exact=top, facets=2e-4)
        beyond = fine > top
        zero = float(np.interp(0, -arms[beyond], fine[beyond]))
        check(
            f"vanishing stability {to}, deg", degrees(side.vanishing_angle), exact=zero, facets=1e-5
        )
        check(f"range {to}, deg", degrees(side.range), exact=zero - lists, facets=1e-5)
        check(
            f"downflooding {to}, deg", degrees(side.downflooding_angle), exact=degrees(atan(vent))
        )
        check(f"deck edge {to}, deg", degrees(side.deck_edge_angle), exact=degrees(atan(0.5)))
        for heel in (5, 20, 60):
            arm = float(side.gz_curve.arm(radians(heel)))
            check(f"GZ at {heel} deg {to}, m", arm, exact=barge_arm(heel, 6, off), facets=1e-5)
    hatch = ship.starboard.immersions[0]
    check("hatch under, deg", degrees(hatch.heel), exact=degrees(atan(0.2)))
    assert ship.port.immersions[0].opening.name == "port vent"


def test_reference_box_curve(check: Check) -> None:
    """A box of 60 x 12 x 7 m at 4 m, KG 4 m: particulars of the GZ curve.

    Source: closed form by clipping the section; deck edge at tan(phi) = 1/2.
    """
    ship = stability(reference_box())
    check("GM, m", ship.GM, "1.0", 1)
    for side in sides(ship):
        to = f"to {side.name}"
        check(f"maximum GZ {to}, m", side.max_gz, "0.868562", within=2e-6)
        check(f"angle of maximum GZ {to}, deg", degrees(side.max_gz_heel), "39.585", within=3e-3)
        check(f"vanishing stability {to}, deg", degrees(side.vanishing_angle), "75.664")
        check(f"deck edge {to}, deg", degrees(side.deck_edge_angle), "26.565", degrees(atan(0.5)))
        for low, high, area in REFERENCE:
            check(f"area {low}-{high} deg {to}, m rad", area_of(side.gz_curve, low, high), area)


def test_vee_curve(check: Check) -> None:
    """Triangular prism 32 m long, 8 m wide and 5 m deep, apex down, at 4 m draft, KG 3.7 m.

    Source: closed form; the immersed triangle of 12.8 m2 has one whole side of the section when
    the deck edge is immersed.
    """
    ship = stability(case_of(hull_of(wedge(32, 8, 5)), load(419.84, 16, 0, 3.7)))
    half = atan(4 / 5)
    spread = 2 * 12.8 / sin(2 * half)
    exact = degrees(atan((41 - spread) / (41 + spread) / tan(half)))
    check("GM, m", ship.GM, "0.67333", 8 / 3 + 6.4**2 / 24 - 3.7)
    for side in sides(ship):
        edge = degrees(side.deck_edge_angle)
        check(f"deck edge to {side.name}, deg", edge, "15.344", exact)
        assert 40 < degrees(side.vanishing_angle) < 60


def test_area_under_cross_curve(check: Check) -> None:
    """The box of 60 x 12 x 7 m: the area under KN is that under GZ and KG (1 - cos(phi)).

    Source: closed form by clipping the section.
    """
    arms, raised = arms_of(reference_box(), 0, 60), arms_of(reference_box(0.0), 0, 60)
    for heel, KN in ((30, "0.700413"), (40, "1.243547"), (60, "")):
        area = area_of(raised, 0, heel)
        exact = area_of(arms, 0, heel) + 4 * (1 - cos(radians(heel)))
        check(f"area under KN to {heel} deg, m rad", area, KN, exact)


def test_wall_sided_formula_past_the_deck_edge(check: Check) -> None:
    """The wall-sided formula holds to the deck edge of the box, at 26.565 degrees, and not beyond.

    Source: wall-sided formula, C. B. Barrass and D. R. Derrett, Ship Stability for Masters and
    Mates, 5th ed., p. 130; beyond the deck edge by clipping the section.
    """
    ship = reference_box()
    for heel in (5.0, 15.0, 26.0):
        check(f"GZ at {heel:g} deg, m", held(ship, heel).arm, exact=wall_sided(1, 3, heel))
    for heel, printed in ((30, "0.722759"), (39.585, "0.868562"), (75.664, "0.0000")):
        arm = held(ship, heel).arm
        check(f"GZ at {heel} deg, m", arm, printed)
        assert wall_sided(1, 3, heel) > arm + 0.02
    assert wall_sided(1, 3, 39.585) > 1.4 * held(ship, 39.585).arm


@pytest.mark.parametrize("draft", [0.5, 1, 2, 3, 3.6])
def test_cylinder_at_all_heels(check: Check, draft: float) -> None:
    """Horizontal cylinder of 2 m radius, KG 1.5 m, at all heels: GZ = (R - KG) sin(phi).

    Source: closed form at every draft; area (R - KG)(1 - cos(phi)). The mesh has 1440 sides.
    """
    hull = hull_of(horizontal_cylinder(2, 10, 1440))
    ship = case_of(hull, load(at_draft(hull, draft).displacement() / 1000, 5, 0, 1.5))
    arms = arms_of(ship, -180, 180, fixed_trim=True)
    off = np.abs(arms.gz - 0.5 * np.sin(arms.heels)).max()
    at = f"at {draft:g} m draft"
    check(f"largest error of GZ {at}, m", off, "0", within=2e-6)
    check(f"area to 90 deg {at}, m rad", area_of(arms, 0, 90), exact=0.5, facets=1e-5)
    check(f"area to 180 deg {at}, m rad", area_of(arms, 0, 180), exact=1, facets=1e-5)
    check(f"area to -120 deg {at}, m rad", area_of(arms, 0, -120), exact=0.75, facets=1e-5)
    heel, greatest = arms.maximum(0, pi)
    check(f"maximum GZ {at}, m", greatest, "0.500000", 0.5, within=2e-6, facets=1e-5)
    check(f"angle of maximum GZ {at}, deg", degrees(heel), "90", within=0.1)


def test_turned_right_over(check: Check) -> None:
    """The box of 60 x 12 x 7 m turned keel up: the work done is the weight times the rise of G
    above B.

    Source: H. Moseley, On the dynamical stability and on the oscillations of floating bodies,
    Phil. Trans. R. Soc. 140 (1850) 609 (from memory); closed form, G is 2 m above B upright, and
    1 m above it upside down at 4 m.
    """
    case = reference_box()
    edge, bilge = degrees(atan(3 / 6)), degrees(atan(49 / 72))
    arms = arms_of(case, 0, 180)
    check("area 0-180 deg, m rad", area_of(arms, 0, 180), exact=-1)
    over = [180 - bilge, 180 - edge, 180]
    solved = quadrature(heeling_of(case), 0, edge, bilge, 60, 90, 120, *over)
    check("area 0-180 deg by levers solved singly, m rad", solved, exact=-1)
    check("GM upside down, m", held(case, 180).GM, exact=3 - 1)
    check("GZ upside down, m", held(case, 180).arm, "0", 0)


HULLS = range(6)


def random_hull(seed: int) -> Case:
    """A hull of random lines, symmetric port and starboard, at a random draft, KG and LCG."""
    pick = np.random.default_rng(seed)
    length, breadth, depth = pick.uniform([8, 2, 1.5], [20, 5, 3])
    fore, after, flare = pick.uniform([1.2, 2, 0.3], [3, 6, 0.9])

    def half_breadth(x: Floats, z: Floats) -> Floats:
        share = 2 * x / length - 1
        full = 1 - np.where(share > 0, np.abs(share) ** fore, np.abs(share) ** after)
        return breadth / 2 * full * (z / depth) ** flare

    hull = double_ended(
        half_breadth, np.linspace(0, length, 33), depth * np.linspace(0, 1, 13) ** 1.5
    )
    floats = at_draft(hull, pick.uniform(0.3, 0.6) * depth)
    x = floats.immersion.buoyancy[0] + pick.uniform(-0.02, 0.02) * length
    mass = load(floats.displacement() / 1000, x, 0, pick.uniform(0.5, 0.9) * floats.KM)
    return case_of(hull, mass)


@pytest.mark.parametrize("seed", HULLS)
def test_initial_slope(check: Check, seed: int) -> None:
    """Hulls of random lines: the initial slope of GZ is GM.

    Source: P. Bouguer, Traité du navire (1746), the metacenter (from memory); the slope over heel
    is GM times the cosine of the trim angle.
    """
    heeling = heeling_of(random_hull(seed))
    upright, step = heeling.at(0.0), 1e-3
    GM = upright.GM * cos(upright.attitude.trim_rad)
    rise = (heeling.at(step).arm - heeling.at(-step).arm) / (2 * step)
    check(f"hull {seed}: GZ upright, m", upright.arm, "0", 0)
    check(f"hull {seed}: slope upright, m/rad", upright.slope, exact=GM)
    check(f"hull {seed}: rise of GZ about upright, m/rad", rise, exact=GM, facets=1e-4)
    assert abs(upright.attitude.trim_rad) > 1e-3


@pytest.mark.parametrize("seed", HULLS)
@pytest.mark.parametrize("fixed_trim", [False, True], ids=["free", "fixed"])
def test_slopes_along_the_curve(check: Check, seed: int, fixed_trim: bool) -> None:
    """Hulls of random lines: the slopes of GZ and of the trim at a heel, from the stiffness there.

    Source: closed form, the central difference of levers solved on either side.
    """
    heeling = heeling_of(random_hull(seed), fixed_trim)
    trim, step = "fixed trim" if fixed_trim else "free to trim", 3e-4
    for heel in (-50, 15, 70):
        there = heeling.at(radians(heel))
        before, after = (heeling.at(radians(heel) + each) for each in (-step, step))
        at = f"hull {seed}, {trim}, {heel} deg: slope of"
        exact = (after.arm - before.arm) / (2 * step)
        check(f"{at} GZ, m/rad", there.slope, exact=exact, facets=1e-5)
        exact = (after.attitude.trim_rad - before.attitude.trim_rad) / (2 * step)
        if not fixed_trim:
            check(f"{at} trim", there.trim_slope, exact=exact, facets=1e-4)
            assert abs(there.trim_slope) > 1e-4


@pytest.mark.slow
@pytest.mark.parametrize("seed", HULLS)
@pytest.mark.parametrize("fixed_trim", [False, True], ids=["free", "fixed"])
def test_area_is_that_of_the_arms(check: Check, seed: int, fixed_trim: bool) -> None:
    """Hulls of random lines: the area under the curve is that of levers solved singly.

    Source: closed form, Gauss-Legendre quadrature.
    """
    case = random_hull(seed)
    arms = arms_of(case, -40, 60, fixed_trim)
    solved = heeling_of(case, fixed_trim)
    trim = "fixed trim" if fixed_trim else "free to trim"
    for to in (-40, 30, 60):
        exact = quadrature(solved, *np.linspace(0, to, 5))
        what = f"hull {seed}, {trim}: area to {to} deg, m rad"
        check(what, area_of(arms, 0, to), exact=exact, facets=1e-4)


def test_fixed_and_free_trim(check: Check) -> None:
    """Shapes symmetric fore and aft do not trim as they heel, so fixed and free trim agree.

    Source: closed form, by symmetry.
    """
    ships = {
        "box": reference_box(),
        "vee": case_of(hull_of(wedge(32, 8, 5)), load(419.84, 16, 0, 3.7)),
        "pontoon": case_of(hull_of(stadium(2)), load(28, 6, 0, 0.4)),
    }
    for name, ship in ships.items():
        for heel in (10, 30, 70):
            free, fixed = held(ship, heel), held(ship, heel, fixed_trim=True)
            check(f"GZ of the {name} at {heel} deg, m", free.arm, exact=fixed.arm)
            trim = degrees(free.attitude.trim_rad)
            check(f"trim of the {name} at {heel} deg, deg", trim, "0.0000", within=1e-6)
    skewed = random_hull(0)
    free, fixed = held(skewed, 40), held(skewed, 40, fixed_trim=True)
    assert abs(free.attitude.trim_rad - fixed.attitude.trim_rad) > 1e-3


def quadrature(heeling: Heeling, *corners: float, points: int = 12) -> float:
    """Area under GZ (m rad) by Gauss-Legendre quadrature between successive `corners` (degrees)."""
    places, shares = np.polynomial.legendre.leggauss(points)
    area = 0.0
    for low, high in pairwise(np.radians(corners)):
        heels = (low + high) / 2 + (high - low) / 2 * places
        arms = [heeling.at(float(heel)).arm for heel in heels]
        area += float((high - low) / 2 * shares @ arms)
    return area
