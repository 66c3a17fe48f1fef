"""Righting arms GZ and cross curves KN of hulls held at a heel, and areas under them."""

from __future__ import annotations

from math import asin, atan, cos, degrees, pi, radians, sin, sqrt, tan

import pytest

from tests.bodies import box, geodesic_sphere, horizontal_cylinder, wedge

from .conftest import Check
from .ships import area_under_arms, at_draft, heeled, hull_of, righting_arm


def wall_sided(GM: float, BM: float, heel: float) -> float:
    """GZ of a wall-sided hull before deck edge or bilge meets the water."""
    return (GM + BM / 2 * tan(radians(heel)) ** 2) * sin(radians(heel))


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

    Source: closed form by clipping the section; GZ = D/2 - KG at 90 degrees.
    """
    hull = hull_of(box(100, 20, 10))
    exact = wall_sided(19 / 6, 20 / 3, heel) if heel < 27 else None
    within = 4e-5 if heel in (35.680, 76.428) else None
    arm = righting_arm(hull, 10000, (50, 0, 6), heel)
    check(f"GZ at {heel:g} deg, m", arm, GZ, exact, within)
    if KN:
        arm = righting_arm(hull, 10000, (50, 0, 0), heel)
        check(f"KN at {heel:g} deg, m", arm, KN, exact and exact + 6 * sin(radians(heel)))


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

    Source: closed form, B of the wet triangle, up to the deck edge at 15.344 deg; by clipping
    the section beyond it.
    """
    hull = hull_of(wedge(32, 8, 5))
    exact = None
    if heel < 15.344:
        half, slope = atan(4 / 5), tan(radians(heel))
        down, over = cos(half) - slope * sin(half), cos(half) + slope * sin(half)
        reach = sqrt(2 * 12.8 / sin(2 * half) * down * over)
        low, high = reach / down, reach / over
        y, z = (low - high) * sin(half) / 3, (low + high) * cos(half) / 3
        exact = y * cos(radians(heel)) + (z - 3.7) * sin(radians(heel))
    arm = righting_arm(hull, 409.6, (16, 0, 3.7), heel)
    check(f"GZ at {heel:g} deg, m", arm, GZ, exact)


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
    hull = hull_of(horizontal_cylinder(2, 10, 1440))
    volume = at_draft(hull, draft).immersion.volume
    arm = righting_arm(hull, volume, (5, 0, 1.5), heel)
    exact = 0.5 * sin(radians(heel))
    check(f"GZ at {draft} m, {heel} deg, m", arm, GZ, exact, within=2e-5, facets=1e-4)


def test_sphere(check: Check) -> None:
    """Sphere of 1 m radius at 0.6 m draft, KG 0.8 m: GZ = (R - KG) sin(phi).

    Source: closed form; the mesh is a geodesic sphere of 20 480 triangles.
    """
    hull = hull_of(geodesic_sphere(1, 32))
    volume = at_draft(hull, 0.6).immersion.volume
    for heel in (20, 75, 140):
        arm = righting_arm(hull, volume, (hull.midship_x, 0, 0.8), heel)
        check(f"GZ at {heel} deg, m", arm, exact=0.2 * sin(radians(heel)), facets=2e-3)


def test_wall_sided_formula(check: Check) -> None:
    """A wall-sided ship of 6000 t, KB 3 m, KM 6 m and KG 5.5 m at 25 degrees.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    p. 130, example 1 (seen at online.flipbuilder.com/ekxp/lzjw, page 142); a box of those
    figures stands for the ship, which is given by them alone.
    """
    breadth, volume = sqrt(12 * 3 * 6), 6000 / 1.025
    hull = hull_of(box(volume / (6 * breadth), breadth, 12))
    figures = at_draft(hull, 6)
    check("KB, m", figures.KB, "3", 3)
    check("KM, m", figures.KM, "6", 6)
    arm = righting_arm(hull, volume, (hull.midship_x, 0, 5.5), 25)
    check("GZ at 25 deg, m", arm, "0.35", wall_sided(0.5, 3, 25))
    check("moment at 25 deg, t m", 6000 * arm, "2100", 6000 * wall_sided(0.5, 3, 25), within=6)


def test_box_by_wall_sided_formula(check: Check) -> None:
    """A box of 65 x 12 x 8 m at 4 m, KG 4 m: moments of stability at 5 and 25 degrees.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    p. 130, example 2 (seen at online.flipbuilder.com/ekxp/lzjw, page 142). At 5 degrees the book
    takes GM sin(phi), 1.1 % less than the box has.
    """
    hull = hull_of(box(65, 12, 8))
    figures = at_draft(hull, 4)
    tonnes = figures.displacement() / 1000
    check("displacement, t", tonnes, "3198", 3198)
    check("KB, m", figures.KB, "2", 2)
    check("BM, m", figures.BM, "3", 3)
    arms = [righting_arm(hull, 3120, (32.5, 0, 4), heel) for heel in (5, 25)]
    check("GZ at 5 deg, m", arms[0], "0.0881564", wall_sided(1, 3, 5))
    check("moment at 5 deg, t m (the book's)", tonnes * arms[0], "278.9", within=3.1)
    check("moment at 5 deg, t m", tonnes * arms[0], "281.92", 3198 * wall_sided(1, 3, 5))
    check("GZ at 25 deg, m", arms[1], "0.5604612", wall_sided(1, 3, 25))
    check("moment at 25 deg, t m", tonnes * arms[1], "1792.36", 3198 * wall_sided(1, 3, 25))
    assert tonnes * arms[0] > 1.01 * 3198 * sin(radians(5))


def test_area_under_wall_sided_arms(check: Check) -> None:
    """Dynamical stability of the box of 65 x 12 x 8 m (GM 1 m, BM 3 m) up to 25 degrees.

    Source: closed form, GM (1 - cos phi) + BM (sec phi + cos phi - 2)/2.
    """
    area = area_under_arms(hull_of(box(65, 12, 8)), 3120, (32.5, 0, 4), 0, 25)
    c = cos(radians(25))
    check("area to 25 deg, m rad", area, "0.1082208", 1 - c + 1.5 * (1 / c + c - 2))


def test_reference_box(check: Check) -> None:
    """A box of 60 x 12 x 7 m at 4 m, KG 4 m: deck edge, greatest arm, vanishing angle and areas.

    Source: closed form by clipping the section.
    """
    hull = hull_of(box(60, 12, 7))
    tonnes = at_draft(hull, 4).displacement() / 1000
    check("displacement, t", tonnes, "2952", 2952)
    check("GM, m", at_draft(hull, 4).KM - 4, "1.0", 1)

    def arm(heel: float) -> float:
        return righting_arm(hull, 2880, (30, 0, 4), heel)

    check("GZ at 30 deg, m", arm(30), "0.722759")
    check("GZ at its greatest, 39.585 deg, m", arm(39.585), "0.868562")
    assert arm(39.585) > max(arm(39.085), arm(40.085))
    check("GZ at the vanishing angle, 75.664 deg, m", arm(75.664), "0", within=4e-5)
    edge = degrees(atan(3 / 6))
    check("deck edge at 26.565 deg, m", heeled(hull, 2880, edge).freeboard_min, "0", 0)
    areas = [
        area_under_arms(hull, 2880, (30, 0, height), *heels)
        for height in (4, 0)
        for heels in ((0, edge, 30), (0, edge, 33.690067526, 40), (30, 33.690067526, 40))
    ]
    check("area 0-30 deg, m rad", areas[0], "0.164515")
    check("area 0-40 deg, m rad", areas[1], "0.307725")
    check("area 30-40 deg, m rad", areas[2], "0.143210")
    check("area under KN 0-30 deg, m rad", areas[3], "0.700413")
    check("area under KN 0-40 deg, m rad", areas[4], "1.243547")


@pytest.mark.parametrize("heel", [30, 90, 150])
def test_submerged_box(check: Check, heel: float) -> None:
    """A box of 10 x 4 x 3 m that weighs what it displaces wholly submerged, KG 1.2 m.

    Source: closed form, GZ = BG sin(phi).
    """
    hull = hull_of(box(10, 4, 3))
    arm = righting_arm(hull, 120, (5, 0, 1.2), heel)
    printed = "0.15" if heel == 30 else ""
    check(f"GZ at {heel} deg, m", arm, printed, 0.3 * sin(radians(heel)))


def test_cylinder_at_the_code_limit(check: Check) -> None:
    """Horizontal cylinder of 2 m radius whose KG just gives 0.055 m rad up to 30 degrees.

    Source: area limit of the 2008 IS Code, A 2.2.1 (MSC.267(85); text from memory, the figure
    seen at marinegyaan.com); closed form, R - KG = 0.055/(1 - cos 30).
    """
    arm = 0.055 / (1 - cos(pi / 6))
    hull = hull_of(horizontal_cylinder(2, 10, 1440))
    volume = at_draft(hull, 2).immersion.volume
    centre = (5, 0, 2 - arm)
    area = area_under_arms(hull, volume, centre, 0, 30)
    check("area 0-30 deg, m rad", area, "0.055", 0.055, facets=1e-4)
    area = area_under_arms(hull, volume, centre, 0, 40)
    check("area 0-40 deg, m rad", area, exact=arm * (1 - cos(radians(40))), facets=1e-4)
    gz = righting_arm(hull, volume, centre, degrees(asin(0.2 / arm)))
    check("GZ of 0.2 m at its own angle", gz, "0.2", 0.2, facets=1e-4)
