"""Angles of loll, and the positions in which homogeneous bodies float."""

from __future__ import annotations

from math import atan, cos, degrees, radians, sqrt, tan

import pytest

from addon.core.case import FRESH_WATER, Case
from addon.core.floating import Floating, float_ship, upright
from addon.core.weights import solid_weight
from tests.bodies import Body, box, paraboloid, vertical_cylinder

from .conftest import Check
from .shapes import cone
from .ships import at_rest, heel_deg, hull_of, load, tilt_deg


def homogeneous(body: Body, ratio: float, seek_others: bool = False) -> Floating:
    """The body afloat in fresh water, full of a stuff `ratio` times as dense."""
    hull = hull_of(body)
    stuff = solid_weight("stuff", hull.vertices, hull.triangles, ratio * FRESH_WATER)
    return float_ship(Case("check", hull, (stuff,), FRESH_WATER), seek_others=seek_others)


def test_angle_of_loll(check: Check) -> None:
    """A box 10 m wide and 8 m deep at 4 m, KG 4.3 m: unstable upright, she lolls to either side.

    Source: tan(phi) = sqrt(-2 GM / BM), C. B. Barrass and D. R. Derrett, Ship Stability for
    Masters and Mates, 5th ed., p. 229 (seen at online.flipbuilder.com/ekxp/lzjw, page 241);
    the case by closed form.
    """
    hull = hull_of(box(60, 10, 8))
    case = Case("check", hull, (load(2400 * 1.025, 30, 0, 4.3),))
    ship = float_ship(case)
    BM, GM = 100 / 48, 2 + 100 / 48 - 4.3
    check("BM upright, m", upright(case).BM, "2.083333", BM)
    check("GM upright, m", upright(case).KM - 4.3, "-0.216667", GM)
    loll = atan(sqrt(-2 * GM / BM))
    check("loll from upright, deg", abs(heel_deg(ship)), "24.5163", degrees(loll))
    check("GM at loll, m", ship.GM, "0.476273", -2 * GM / cos(loll))
    assert ship.rest.stable
    heels = [degrees(other.attitude.heel_rad) for other in ship.others]
    other_side = min(heels, key=lambda heel: abs(heel + heel_deg(ship)))
    check("loll to the other side, deg", -other_side, "24.5163", heel_deg(ship))
    assert not any(abs(heel) < 1 for heel in heels)


@pytest.mark.parametrize(
    "lying, height, KG, GM, stable",
    [("flat", 5.5 / 2, "3.1201", "0.1979", True), ("on end", 10.3 / 2, "4.2868", "-0.9688", False)],
    ids=["flat", "on end"],
)
def test_pontoon_with_boiler(
    check: Check, lying: str, height: float, KG: str, GM: str, stable: bool
) -> None:
    """A pontoon of 10.3 x 7.3 x 2.4 m and 74 t carries a boiler of 70 t, flat or on its end.

    Source: question 6 at thefluidmechanic.com/2018/06/11 (data and verdicts seen there): stable
    with the boiler flat, unstable with it on end; specific gravity of the water 1.03.
    """
    hull = hull_of(box(10.3, 7.3, 2.4))
    weights = (load(74, 5.15, 0, 1.2), load(70, 5.15, 0, 2.4 + height))
    ship = at_rest(hull, *weights, density=1030.0)
    level_keel = upright(ship.case)
    draft = 144 / (1.03 * 10.3 * 7.3)
    check(f"draft, {lying}, m", level_keel.draft_mid, "1.8594", draft)
    check(f"BM, {lying}, m", level_keel.BM, "2.3884", 7.3**2 / (12 * draft))
    check(f"KG, {lying}, m", ship.weight.centre[2], KG)
    check(f"GM, {lying}, m", level_keel.KM - ship.weight.centre[2], GM)
    assert (tilt_deg(ship) < 1e-6) == stable


@pytest.mark.parametrize(
    "ratio, printed",
    [
        (0.20, "0"),
        (0.22, "13.6749"),
        (0.23, "19.4856"),
        (0.24, "23.4855"),
        (0.25, "26.5651"),
        (0.26, "29.6305"),
        (0.27, "33.6901"),
        (0.28, "41.1859"),
        (0.30, "45"),
        (0.50, "45"),
        (0.70, "45"),
        (0.74, "29.6305"),
        (0.75, "26.5651"),
        (0.78, "13.6749"),
        (0.79, "0"),
    ],
)
def test_square_log(check: Check, ratio: float, printed: str) -> None:
    """A long log of square section: the angle between its faces and the water by its density.

    Source: leancrew.com/all-this/downloads/symblock.html (the forms seen there, one case
    worked); angles by closed form.
    """
    ship = homogeneous(box(20, 1, 1), ratio)
    heel = abs(heel_deg(ship)) % 90
    angle = min(heel, 90 - heel)
    check(f"angle at a density ratio of {ratio:g}, deg", angle, printed, log_angle(ratio))
    assert ship.rest.stable


def log_angle(ratio: float) -> float:
    """Angle of the square log (degrees) for a density ratio; that of its air above one half."""
    ratio = min(ratio, 1 - ratio)
    if ratio <= (1 - 1 / sqrt(3)) / 2:
        return 0.0
    if ratio <= 0.25:
        return degrees(atan(sqrt(12 * ratio * (1 - ratio) - 2)))
    if ratio >= 9 / 32:
        return 45.0
    long = 0.75 + sqrt(0.75**2 - 2 * ratio)
    return degrees(atan((1.5 - long) / long))


@pytest.mark.parametrize(
    "ratio, critical", [(0.5, "1.41421"), (0.8, "1.13137")], ids=["half", "four fifths"]
)
def test_upright_cylinder(check: Check, ratio: float, critical: str) -> None:
    """A solid cylinder floats upright if its diameter exceeds sqrt(8 s (1 - s)) of its height.

    Source: closed form, GM = s H/2 + R^2/(4 s H) - H/2.
    """
    share = float(critical)
    for factor in (0.99, 1.01):
        radius = factor * share / 2
        ship = homogeneous(vertical_cylinder(radius, 1.0, 360), ratio)
        GM = upright(ship.case).KM - ship.weight.centre[2]
        exact = ratio / 2 + radius**2 / (4 * ratio) - 0.5
        check(f"GM at {factor} of the critical diameter, s {ratio}", GM, "", exact, facets=2e-2)
        assert (tilt_deg(ship) < 1e-4) == (factor > 1)
    radius = share / 2
    ship = homogeneous(vertical_cylinder(radius, 1.0, 1440), ratio)
    GM = upright(ship.case).KM - ship.weight.centre[2]
    check(f"GM at D/H = {critical}, s {ratio}", GM, "0", within=1e-5)


@pytest.mark.parametrize("half_angle, stable", [(25, False), (27, False), (27.1, True), (30, True)])
def test_cone_on_its_point(check: Check, half_angle: float, stable: bool) -> None:
    """A solid cone of half the water's density floats on its point if cos^2(a) < s^(1/3).

    Source: closed form; cos^2(a) = 0.79370 at 27.01 deg.
    """
    ship = homogeneous(cone(tan(radians(half_angle)), 1.0), 0.5)
    level_keel = upright(ship.case)
    exact = 0.5 ** (1 / 3)
    check(f"draft, a {half_angle} deg", level_keel.draft_mid, "0.79370", exact)
    GM = level_keel.KM - ship.weight.centre[2]
    exact = 0.75 * exact / cos(radians(half_angle)) ** 2 - 0.75
    check(f"GM, a {half_angle} deg", GM, "", exact, facets=2e-2)
    assert (tilt_deg(ship) < 1e-4) == stable


@pytest.mark.parametrize(
    "ratio, tilt, within",
    [
        (0.05, "27.7761", 0.02),
        (0.08, "17.8467", 0.02),
        (0.10, "4.3296", 0.1),
        (0.12, "0", 1e-4),
        (0.20, "0", 1e-4),
    ],
)
def test_paraboloid_of_archimedes(check: Check, ratio: float, tilt: str, within: float) -> None:
    """A segment of a paraboloid r^2 = 2z, 2.2 high: it stands upright if its density ratio is at
    least ((H - 3p/4)/H)^2 = 0.10124, and leans below that.

    Source: Archimedes, On Floating Bodies II, propositions 8 to 10, in T. L. Heath, A History of
    Greek Mathematics, vol. 2 (seen at goobi.tib.eu/viewer/fulltext/1004724942/113); the angle
    by closed form, tan^2 = 8 (H - T)/3p - 2 with T = H sqrt(s).
    """
    ship = homogeneous(paraboloid(sqrt(4.4), 2.2, 120, 360), ratio)
    draft = 2.2 * sqrt(ratio)
    exact = degrees(atan(sqrt(max(0.0, 4 * (2.2 - draft) / 3 - 2))))
    what = f"tilt at a density ratio of {ratio:g}, deg"
    check(what, tilt_deg(ship), tilt, exact, within=within, facets=1e-2)
    if tilt == "0":
        GM = {0.12: "0.041402", 0.20: "0.189247"}[ratio]
        exact = 2 * draft / 3 + 1 - 4.4 / 3
        check(f"GM upright at {ratio:g}", ship.GM, GM, exact, within=5e-4, facets=1e-2)
    x, y, z = ship.hydrostatics.immersion.flotation
    segment = z - ((x - ship.case.hull.midship_x) ** 2 + y**2) / 2
    check(f"axis of the wet segment at {ratio:g}", segment, exact=draft, facets=1e-3)
