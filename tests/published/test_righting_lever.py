"""Righting levers GZ and cross curves KN of hulls held at a heel, and areas under them."""

from __future__ import annotations

from dataclasses import replace
from math import asin, atan, atan2, cos, degrees, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from addon.core.criteria.limiting_kg import limiting_KG
from addon.core.hydrostatics.particulars import hydrostatics
from addon.core.model.case import Case
from addon.core.model.load import fixed_gravity
from addon.core.model.user_criteria import CustomCriterion
from addon.core.stability.cross_curves import cross_curves
from addon.core.stability.righting_lever import Heeling
from tests.bodies import (
    box,
    geodesic_sphere,
    horizontal_cylinder,
    scaled,
    vertical_cylinder,
    wedge,
)

from .conftest import Check
from .shapes import stadium
from .ships import area_of, arms_of, at_draft, case_of, held, hull_of, load, wall_sided


def barge(KG: float) -> Case:
    """Box barge of 100 x 20 x 10 m at 5 m draft."""
    return case_of(hull_of(box(100, 20, 10)), load(10250, 50, 0, KG))


def round_ship(KG: float, draft: float = 2.0) -> Case:
    """Horizontal cylinder of 2 m radius, 10 m long, of 1440 sides."""
    hull = hull_of(horizontal_cylinder(2, 10, 1440))
    return case_of(hull, load(at_draft(hull, draft).displacement() / 1000, 5, 0, KG))


@pytest.mark.parametrize(
    "heel, GZ, KN",
    [
        (5, "0.27822", "0.80115"),
        (10, "0.56788", "1.60977"),
        (15, "0.88153", "2.43445"),
        (20, "1.23409", "3.28621"),
        (25, "1.64461", "4.18032"),
        (26.565051177, "1.78885", "4.47214"),
        (30, "2.02591", "5.02591"),
        (35.680, "2.14483", ""),
        (40, "2.09573", "5.95246"),
        (50, "1.72366", "6.31993"),
        (60, "1.14786", "6.34402"),
        (70, "0.46651", "6.10467"),
        (76.428, "0.00000", ""),
        (80, "-0.26352", "5.64532"),
        (90, "-1.00000", "5.00000"),
    ],
)
def test_rectangular_barge(check: Check, heel: float, GZ: str, KN: str) -> None:
    """Box barge of 100 x 20 x 10 m at 5 m draft, KG 6 m; deck edge and bilge meet at 26.565 deg.

    Source: closed form, the wall-sided formula up to that heel and, beyond it, for the barge on
    its side; printed values by clipping the section. GZ = D/2 - KG at 90 degrees.
    """
    exact = wall_sided(19 / 6, 20 / 3, heel)
    if heel > 27:
        exact = -wall_sided(5 + 5 / 6 - 10, 5 / 6, 90 - heel) - cos(radians(90 - heel))
    within = 4e-5 if heel in (35.680, 76.428) else None
    check(f"GZ at {heel:g} deg, m", held(barge(6), heel).arm, GZ, exact, within)
    if KN:
        raised = exact + 6 * sin(radians(heel))
        check(f"KN at {heel:g} deg, m", held(barge(0), heel).arm, KN, raised)


def test_barge_cross_curves(check: Check) -> None:
    """Cross curves of the same barge, at its draft of 5 m and at others.

    Source: closed form by clipping the section. With the barge on its side, B is at half the depth
    at every displacement, and at a draft of half the depth a quarter of the breadth from the side.
    """
    heels = {5: "0.80115", 20: "3.28621", 30: "5.02591", 60: "6.34402", 90: "5.00000"}
    tonnes = (2050, 10250, 16400)
    wanted = np.radians(sorted(heels))
    curves = cross_curves(barge(6), [1000 * each for each in tonnes], wanted)
    for heel, KN in zip(heels.values(), curves[1].KN, strict=True):
        check(f"KN at 10250 t, m (GZ + KG sin(phi) {heel})", float(KN), heel)
    for curve, mass in zip(curves, tonnes, strict=True):
        check(f"draft at {mass} t, m", curve.draft, exact=mass / 2050)
        check(f"KN at {mass} t, 90 deg, m", float(curve.KN[-1]), exact=5)
        draft = mass / 2050
        exact = wall_sided(draft / 2 + 100 / 3 / draft, 100 / 3 / draft, 5)
        check(f"KN at {mass} t, 5 deg, m", float(curve.KN[0]), exact=exact)


def test_cylinder_cross_curves(check: Check) -> None:
    """Cross curves of the horizontal cylinder of 2 m radius, up to 180 degrees.

    Source: closed form, KN = R sin(phi) at every displacement.
    """
    wanted = np.radians([-120, -30, 15, 45, 75, 105, 150, 180])
    for curve in cross_curves(round_ship(1.5), [30e3, 60e3, 100e3], wanted, fixed_trim=True):
        for heel, KN in zip(wanted, curve.KN, strict=True):
            what = f"KN at {curve.displacement / 1000:g} t, {degrees(heel):.0f} deg, m"
            check(what, float(KN), exact=2 * sin(heel), facets=1e-4)


def test_elliptic_cylinder(check: Check) -> None:
    """Cylinder of elliptic section, 6 m wide and 3 m deep, KG 1.8 m, at two displacements.

    Source: closed form. The section is a scaled circle: B moves along a similar ellipse,
    2 sin^3(a)/3(a - sin(a) cos(a)) of its size, and the normal to the water is that of the
    circle at tan(psi) = 2 tan(phi). The mesh is a prism of 1440 sides.
    """
    half_breadth, half_depth, KG = 3.0, 1.5, 1.8
    vertices, faces = horizontal_cylinder(1, 10, 1440)
    hull = hull_of(scaled((vertices, faces), (1, half_breadth, half_depth)))
    for half_angle in (1.2, pi / 2):
        segment = half_angle - sin(half_angle) * cos(half_angle)
        share = 2 * sin(half_angle) ** 3 / (3 * segment)
        tonnes = 1.025 * 10 * half_breadth * half_depth * segment
        ship = case_of(hull, load(tonnes, 5, 0, KG))
        for heel in (8, 35, 70, 90):
            phi = radians(heel)
            psi = atan2(half_breadth * sin(phi), half_depth * cos(phi))
            y, z = half_breadth * share * sin(psi), half_depth * (1 - share * cos(psi))
            exact = y * cos(phi) + (z - KG) * sin(phi)
            arm = held(ship, heel).arm
            check(f"GZ at {tonnes:.0f} t, {heel} deg, m", arm, exact=exact, facets=2e-4)


def test_wall_sided_spar(check: Check) -> None:
    """Spar, a vertical cylinder of 4 m diameter at 6 m draft, KG 2.5 m.

    Source: closed form for wall-sided hulls of any waterplane; the mesh has 720 sides.
    """
    ship = case_of(hull_of(vertical_cylinder(2, 10, 720)), load(24 * pi * 1.025, 2, 0, 2.5))
    for heel in (10, 30, 60):
        exact = wall_sided(3 + 1 / 6 - 2.5, 1 / 6, heel)
        check(f"GZ at {heel} deg, m", held(ship, heel).arm, exact=exact, facets=2e-4)


def test_wall_sided_stadium(check: Check) -> None:
    """The round-ended pontoon of 12 x 2 m and 28 t, 2 m deep, KG 0.4 m, up to its deck edge.

    Source: closed form, the wall-sided formula.
    """
    ship = case_of(hull_of(stadium(2)), load(28, 6, 0, 0.4))
    check("GM, m", held(ship, 0).GM, "0.463015", within=1e-5)
    for heel in (2.648, 20, 39):
        exact = wall_sided(0.4630150, 0.2727989, heel)
        check(f"GZ at {heel} deg, m", held(ship, heel).arm, exact=exact, facets=2e-5)


@pytest.mark.parametrize(
    "heel, GZ",
    [
        (5, "0.059622"),
        (10, "0.124593"),
        (degrees(atan(0.25)), "0.18518"),
        (20, "0.25418"),
        (30, "0.22975"),
        (40, "0.13117"),
        (60, "-0.13943"),
    ],
)
def test_vee_prism(check: Check, heel: float, GZ: str) -> None:
    """Triangular prism 32 m long, 8 m wide and 5 m deep, apex down, at 4 m draft, KG 3.7 m.

    Source: closed form, B of the immersed triangle, up to the deck edge at 15.344 deg; by clipping
    the section beyond it.
    """
    ship = case_of(hull_of(wedge(32, 8, 5)), load(419.84, 16, 0, 3.7))
    exact = None
    if heel < 15.344:
        half, slope = atan(4 / 5), tan(radians(heel))
        down, over = cos(half) - slope * sin(half), cos(half) + slope * sin(half)
        reach = sqrt(2 * 12.8 / sin(2 * half) * down * over)
        low, high = reach / down, reach / over
        y, z = (low - high) * sin(half) / 3, (low + high) * cos(half) / 3
        exact = y * cos(radians(heel)) + (z - 3.7) * sin(radians(heel))
    check(f"GZ at {heel:g} deg, m", held(ship, heel).arm, GZ, exact)


@pytest.mark.parametrize("draft", [1, 2, 3])
@pytest.mark.parametrize(
    "heel, GZ",
    [
        (10, "0.086824"),
        (30, "0.250000"),
        (60, "0.433013"),
        (90, "0.500000"),
        (120, "0.433013"),
        (170, "0.086824"),
    ],
)
def test_horizontal_cylinder(check: Check, draft: float, heel: float, GZ: str) -> None:
    """Horizontal cylinder of 2 m radius, KG 1.5 m: GZ = (R - KG) sin(phi) at any draft and heel.

    Source: closed form; the mesh is a prism of 1440 sides.
    """
    arm = held(round_ship(1.5, draft), heel).arm
    exact = 0.5 * sin(radians(heel))
    check(f"GZ at {draft} m, {heel} deg, m", arm, GZ, exact, within=2e-5, facets=1e-4)


def test_sphere(check: Check) -> None:
    """Sphere of 1 m radius at 0.6 m draft, KG 0.8 m, on an even keel: GZ = (R - KG) sin(phi).

    Source: closed form; the mesh is a geodesic sphere of 20 480 triangles.
    """
    hull = hull_of(geodesic_sphere(1, 32))
    tonnes = at_draft(hull, 0.6).displacement() / 1000
    ship = case_of(hull, load(tonnes, at_draft(hull, 0.6).immersion.buoyancy[0], 0, 0.8))
    for heel in (-90, 20, 75, 140, 170):
        arm = held(ship, heel, fixed_trim=True).arm
        check(f"GZ at {heel} deg, m", arm, exact=0.2 * sin(radians(heel)), facets=2e-3)


def test_wall_sided_formula(check: Check) -> None:
    """A wall-sided ship of 6000 t, KB 3 m, KM 6 m and KG 5.5 m at 25 degrees.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    p. 130, example 1; a box of those figures represents the vessel, which is given by them alone.
    """
    breadth, volume = sqrt(12 * 3 * 6), 6000 / 1.025
    hull = hull_of(box(volume / (6 * breadth), breadth, 12))
    figures = at_draft(hull, 6)
    check("KB, m", figures.KB, "3", 3)
    check("KM, m", figures.KM, "6", 6)
    arm = held(case_of(hull, load(6000, hull.midship_x, 0, 5.5)), 25).arm
    check("GZ at 25 deg, m", arm, "0.35", wall_sided(0.5, 3, 25))
    check("moment at 25 deg, t m", 6000 * arm, "2100", 6000 * wall_sided(0.5, 3, 25), within=6)


def test_box_by_wall_sided_formula(check: Check) -> None:
    """A box of 65 x 12 x 8 m at 4 m, KG 4 m: moments of stability at 5 and 25 degrees.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    p. 130, example 2. At 5 degrees the book takes GM sin(phi), 1.1 % less than the exact value.
    """
    hull = hull_of(box(65, 12, 8))
    figures = at_draft(hull, 4)
    tonnes = figures.displacement() / 1000
    check("displacement, t", tonnes, "3198", 3198)
    check("KB, m", figures.KB, "2", 2)
    check("BM, m", figures.BM, "3", 3)
    arms = [held(case_of(hull, load(3198, 32.5, 0, 4)), heel).arm for heel in (5, 25)]
    check("GZ at 5 deg, m", arms[0], "0.0881564", wall_sided(1, 3, 5))
    check("moment at 5 deg, t m (the book's)", tonnes * arms[0], "278.9", within=3.1)
    check("moment at 5 deg, t m", tonnes * arms[0], "281.92", 3198 * wall_sided(1, 3, 5))
    check("GZ at 25 deg, m", arms[1], "0.5604612", wall_sided(1, 3, 25))
    check("moment at 25 deg, t m", tonnes * arms[1], "1792.36", 3198 * wall_sided(1, 3, 25))
    assert tonnes * arms[0] > 1.01 * 3198 * sin(radians(5))


def test_area_under_wall_sided_levers(check: Check) -> None:
    """Dynamical stability of the box of 65 x 12 x 8 m (GM 1 m, BM 3 m) up to 25 degrees.

    Source: closed form, GM (1 - cos phi) + BM (sec phi + cos phi - 2)/2.
    """
    arms = arms_of(case_of(hull_of(box(65, 12, 8)), load(3198, 32.5, 0, 4)), 0, 25)
    area = area_of(arms, 0, 25)
    c = cos(radians(25))
    check("area to 25 deg, m rad", area, "0.1082208", 1 - c + 1.5 * (1 / c + c - 2))


def test_reference_box(check: Check) -> None:
    """A box of 60 x 12 x 7 m at 4 m, KG 4 m: deck edge, maximum GZ, vanishing stability and areas.

    Source: closed form by clipping the section.
    """
    hull = hull_of(box(60, 12, 7))
    tonnes = at_draft(hull, 4).displacement() / 1000
    check("displacement, t", tonnes, "2952", 2952)
    check("GM, m", at_draft(hull, 4).KM - 4, "1.0", 1)

    ship = case_of(hull, load(2952, 30, 0, 4))
    check("GZ at 30 deg, m", held(ship, 30).arm, "0.722759")
    check("maximum GZ, at 39.585 deg, m", held(ship, 39.585).arm, "0.868562")
    assert held(ship, 39.585).arm > max(held(ship, heel).arm for heel in (39.085, 40.085))
    check("GZ at vanishing stability, 75.664 deg, m", held(ship, 75.664).arm, "0", within=4e-5)
    edge = hydrostatics(hull, held(ship, degrees(atan(3 / 6))).attitude)
    check("deck edge at 26.565 deg, m", edge.freeboard_min, "0", 0)
    arms, raised = arms_of(ship, 0, 40), arms_of(case_of(hull, load(2952, 30, 0, 0)), 0, 40)
    check("area 0-30 deg, m rad", area_of(arms, 0, 30), "0.164515")
    check("area 0-40 deg, m rad", area_of(arms, 0, 40), "0.307725")
    check("area 30-40 deg, m rad", area_of(arms, 30, 40), "0.143210")
    check("area under KN 0-30 deg, m rad", area_of(raised, 0, 30), "0.700413")
    check("area under KN 0-40 deg, m rad", area_of(raised, 0, 40), "1.243547")


@pytest.mark.parametrize("heel", [-60, 30, 90, 150])
def test_submerged_box(check: Check, heel: float) -> None:
    """A box of 10 x 4 x 3 m whose weight equals its displacement wholly submerged, KG 1.2 m.

    Source: closed form, GZ = BG sin(phi) and GM = BG cos(phi); B is the metacenter.
    """
    hull = hull_of(box(10, 4, 3))
    ship = Heeling(hull.tree, hull.volume, fixed_gravity(np.array([5.0, 0.0, 1.2])), trim=0.0)
    under = ship.at(radians(heel))
    check(f"GZ at {heel} deg, m", under.arm, "0.15" if heel == 30 else "", 0.3 * sin(radians(heel)))
    if heel != 90:  # when a side lies in the surface
        check(f"GM at {heel} deg, m", under.GM, exact=0.3 * cos(radians(heel)))


def test_cylinder_at_the_code_limit(check: Check) -> None:
    """Horizontal cylinder of 2 m radius whose KG just gives each area of the 2008 IS Code.

    Source: area limits of the 2008 IS Code, part A, 2.2.1, resolution MSC.267(85) (from memory; 46
    CFR 28.570 has the same areas); closed form, R - KG = 0.055/(1 - cos 30) and so on.
    """
    limits = {
        (0, 30): ("0.055", "0.410526"),
        (0, 40): ("0.09", "0.384688"),
        (30, 40): ("0.03", "0.300057"),
    }
    for (low, high), (limit, excess) in limits.items():
        arm = float(limit) / (cos(radians(low)) - cos(radians(high)))
        ship = round_ship(2 - arm)
        arms = arms_of(ship, 0, 40)
        name = f"area {low}-{high} deg, m rad"
        check(name, area_of(arms, low, high), limit, float(limit), facets=1e-4)
        check(f"R - KG for the {name}", held(ship, 90).arm, excess, arm, facets=1e-4)
    arm = 0.055 / (1 - cos(pi / 6))
    ship = round_ship(2 - arm)
    area = area_of(arms_of(ship, 0, 40), 0, 40)
    check("area 0-40 deg, m rad", area, exact=arm * (1 - cos(radians(40))), facets=1e-4)
    gz = held(ship, degrees(asin(0.2 / arm))).arm
    check("GZ of 0.2 m at its own angle", gz, "0.2", 0.2, facets=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize("draft", [1, 2, 3])
def test_limiting_KG_of_a_cylinder(check: Check, draft: float) -> None:
    """Horizontal cylinder of 2 m radius: the limiting KG by each limit of the Code.

    Source: limits of the 2008 IS Code, part A, 2.2, resolution MSC.267(85) (from memory; 46 CFR
    28.570 has the same areas and GZ); closed form, R - KG = 0.055/(1 - cos 30) and so on.
    """
    ship = round_ship(1.5, draft)
    bend = [1 - cos(radians(30)), 1 - cos(radians(40))]
    rules = {
        "0.410526": CustomCriterion("to 30", "area", least=0.055, start=0, end=radians(30)),
        "0.384688": CustomCriterion("to 40", "area", least=0.09, start=0, end=radians(40)),
        "0.300057": CustomCriterion(
            "between", "area", least=0.03, start=radians(30), end=radians(40)
        ),
        "0.2": CustomCriterion("arm", "maximum GZ", least=0.2, start=radians(30)),
        "0.15": CustomCriterion("GM", "GM", least=0.15),
    }
    exact = [0.055 / bend[0], 0.09 / bend[1], 0.03 / (bend[1] - bend[0]), 0.2, 0.15]
    for (printed, rule), arm in zip(rules.items(), exact, strict=True):
        case = replace(ship, codes=(), custom_criteria=(rule,))
        (limit,) = limiting_KG(case, [ship.load.mass])
        what = f"R - KG at {draft} m by the limit '{rule.name}', m"
        check(what, 2 - limit.KG, printed, arm, within=3e-5, facets=1e-4)
    (limit,) = limiting_KG(replace(ship, codes=("is-code-2.2",)), [ship.load.mass])
    check(
        f"limiting KG at {draft} m by the Code, m", limit.KG, "1.589474", 2 - exact[0], 1e-4, 1e-4
    )
