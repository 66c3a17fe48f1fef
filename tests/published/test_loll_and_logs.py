"""Angles of loll, and the equilibria of homogeneous floating bodies."""

from __future__ import annotations

from math import atan, cos, degrees, radians, sqrt, tan

import numpy as np
import pytest

from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.hydrostatics.upright import upright_hydrostatics
from addon.core.model.case import FRESH_WATER, Case
from addon.core.model.weights import solid_weight
from addon.core.stability.righting_curve import righting_curve
from addon.core.stability.righting_lever import Heeling
from tests.bodies import Body, box, paraboloid, vertical_cylinder

from .conftest import Check
from .shapes import cone
from .ships import (
    area_of,
    arms_of,
    at_rest,
    case_of,
    heel_deg,
    held,
    hull_of,
    load,
    tilt_deg,
    wall_sided,
    zeros_of,
)


def homogeneous(body: Body, ratio: float, seek_others: bool = False) -> FloatingPosition:
    """The body at equilibrium in fresh water, solid, of `ratio` times the density of the water."""
    return find_floating_position(solid(body, ratio), seek_others=seek_others)


def solid(body: Body, ratio: float) -> Case:
    """The body in fresh water, solid, of `ratio` times the density of the water."""
    hull = hull_of(body)
    stuff = solid_weight("stuff", hull.vertices, hull.triangles, ratio * FRESH_WATER)
    return case_of(hull, stuff, density=FRESH_WATER)


def test_angle_of_loll(check: Check) -> None:
    """A box 10 m wide and 8 m deep at 4 m, KG 4.3 m: unstable upright, it lolls to either side.

    Source: tan(phi) = sqrt(-2 GM / BM), C. B. Barrass and D. R. Derrett, Ship Stability for
    Masters and Mates, 5th ed., p. 229; the case by closed form.
    """
    hull = hull_of(box(60, 10, 8))
    case = Case("check", hull, (load(2400 * 1.025, 30, 0, 4.3),))
    ship = find_floating_position(case)
    BM, GM = 100 / 48, 2 + 100 / 48 - 4.3
    check("BM upright, m", upright_hydrostatics(case).BM, "2.083333", BM)
    check("GM upright, m", upright_hydrostatics(case).KM - 4.3, "-0.216667", GM)
    loll = atan(sqrt(-2 * GM / BM))
    check("loll from upright, deg", abs(heel_deg(ship)), "24.5163", degrees(loll))
    check("GM at loll, m", ship.GM, "0.476273", -2 * GM / cos(loll))
    assert ship.equilibrium.stable
    heels = [degrees(other.attitude.heel_rad) for other in ship.others]
    other_side = min(heels, key=lambda heel: abs(heel + heel_deg(ship)))
    check("loll to the other side, deg", -other_side, "24.5163", heel_deg(ship))
    assert not any(abs(heel) < 1 for heel in heels)


def test_levers_at_the_loll(check: Check) -> None:
    """The same box held over: GZ is negative up to the loll, zero there and increasing.

    Source: tan(phi) = sqrt(-2 GM / BM), C. B. Barrass and D. R. Derrett, Ship Stability for
    Masters and Mates, 5th ed., p. 229; the case by closed form.

    The deck edge is immersed at 38.66 degrees; up to there the wall-sided formula is exact.
    """
    ship = case_of(hull_of(box(60, 10, 8)), load(2460, 30, 0, 4.3))
    BM, GM = 100 / 48, 2 + 100 / 48 - 4.3
    loll = atan(sqrt(-2 * GM / BM))
    arms = arms_of(ship, -35, 35)
    rests, falls = zeros_of(arms)
    check("loll to starboard, deg", rests[1], "24.5163", degrees(loll), within=1e-3, facets=1e-5)
    check("loll to port, deg", rests[0], "-24.5163", -degrees(loll), within=1e-3, facets=1e-5)
    check("unstable upright, deg", falls[0], "0", within=1e-6)
    assert (len(rests), len(falls)) == (2, 1)
    slope = -2 * GM / cos(loll)
    there = held(ship, degrees(loll))
    check("GZ at the loll, m", there.arm, "0.000000", within=1e-9)
    check("GM at the loll, m", there.GM, "0.476273", slope)
    check("slope of GZ at the loll, m/rad", there.slope, "0.476273", slope)
    check("slope of the curve there, m/rad", float(arms.slope(loll)), exact=slope, facets=1e-3)
    for heel in (5, 15, 30, 38):
        check(f"GZ at {heel} deg, m", held(ship, heel).arm, exact=wall_sided(GM, BM, heel))
    low = GM * (1 - cos(loll)) + BM / 2 * (1 / cos(loll) + cos(loll) - 2)
    check("area to the loll, m rad", area_of(arms, 0, degrees(loll)), exact=low, facets=1e-5)


@pytest.mark.parametrize(
    "lying, height, KG, GM, stable",
    [("flat", 5.5 / 2, "3.1201", "0.1979", True), ("on end", 10.3 / 2, "4.2868", "-0.9688", False)],
    ids=["flat", "on end"],
)
def test_pontoon_with_boiler(
    check: Check, lying: str, height: float, KG: str, GM: str, stable: bool
) -> None:
    """A pontoon of 10.3 x 7.3 x 2.4 m and 74 t carries a boiler of 70 t, 5.5 m in diameter and
    10.3 m long, flat or on end, in water of 1.03 t/m3.

    Source: closed form, GM = T/2 + B^2/12T - KG: stable with the boiler flat, unstable on end.
    """
    hull = hull_of(box(10.3, 7.3, 2.4))
    weights = (load(74, 5.15, 0, 1.2), load(70, 5.15, 0, 2.4 + height))
    ship = at_rest(hull, *weights, density=1030.0)
    level_keel = upright_hydrostatics(ship.case)
    draft = 144 / (1.03 * 10.3 * 7.3)
    check(f"draft, {lying}, m", level_keel.draft_mid, "1.8594", draft)
    check(f"BM, {lying}, m", level_keel.BM, "2.3884", 7.3**2 / (12 * draft))
    check(f"KG, {lying}, m", ship.weight.center[2], KG)
    check(f"GM, {lying}, m", level_keel.KM - ship.weight.center[2], GM)
    assert (tilt_deg(ship) < 1e-6) == stable


SQUARE_LOG = [
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
]


@pytest.mark.parametrize("ratio, printed", SQUARE_LOG)
def test_square_log(check: Check, ratio: float, printed: str) -> None:
    """A long log of square section: the angle between its faces and the water by its density.

    Source: closed form. Flat where GM > 0, else tan^2(phi) = 12 s (1 - s) - 2 with two corners
    immersed, tan(phi) = b/a of the immersed triangle with one, a + b = 3/2 and a b = 2 s, and 45
    degrees from s = 9/32; the same for s and 1 - s.
    """
    ship = homogeneous(box(20, 1, 1), ratio)
    heel = abs(heel_deg(ship)) % 90
    angle = min(heel, 90 - heel)
    check(f"angle at a density ratio of {ratio:g}, deg", angle, printed, log_angle(ratio))
    assert ship.equilibrium.stable


@pytest.mark.parametrize("ratio, printed", SQUARE_LOG)
def test_levers_of_square_log(check: Check, ratio: float, printed: str) -> None:
    """The same log heeled from flat to its next side: every heel at which GZ is zero.

    Source: closed form. Flat where GM > 0, else tan^2(phi) = 12 s (1 - s) - 2 with two corners
    immersed, tan(phi) = b/a of the immersed triangle with one, a + b = 3/2 and a b = 2 s, and 45
    degrees from s = 9/32; the same for s and 1 - s.

    Flat and corner down are equilibria at every density, unstable where the log does not rest so.
    """
    angle = log_angle(ratio)
    rests, falls = zeros_of(arms_of(solid(box(20, 1, 1), ratio), -6, 96))
    expected_rests, expected_falls = {0: ([0, 90], [45]), 45: ([45], [0, 90])}.get(
        angle, ([angle, 90 - angle], [0, 45, 90])
    )
    at = f"at a density ratio of {ratio:g}, deg"
    assert len(rests) == len(expected_rests) and len(falls) == len(expected_falls)
    check(f"stable {at}", min(rests), printed, within=0.01)
    for found, exact in zip(rests, expected_rests, strict=True):
        check(f"stable {at}", found, exact=exact, facets=3e-4)
    for found, exact in zip(falls, expected_falls, strict=True):
        check(f"unstable {at}", found, exact=exact, facets=6e-5)


def test_branches_of_square_log(check: Check) -> None:
    """The square log at nearby densities: where one equilibrium gives way to the next.

    Source: closed form, GM = s/2 + 1/12s - 1/2 flat and 4 sqrt(s)/3 - 1/sqrt(2) corner down, up
    to half the density of the water; s GM is the same for s and 1 - s.
    """
    flat = (1 - 1 / sqrt(3)) / 2
    for ratio in (0.05, flat - 1e-3, flat + 1e-3, 1 - flat - 1e-3, 1 - flat + 1e-3, 0.95):
        GM = held(solid(box(20, 1, 1), ratio), 0).GM
        exact = ratio / 2 + 1 / (12 * ratio) - 0.5
        check(f"GM flat at a density ratio of {ratio:.5f}", GM, exact=exact)
        assert (GM > 0) == (min(ratio, 1 - ratio) < flat)
    for ratio in (0.10, 0.27, 9 / 32 - 1e-3, 9 / 32 + 1e-3, 0.40, 0.72, 0.73):
        corner, least = held(solid(box(20, 1, 1), ratio), 45).GM, min(ratio, 1 - ratio)
        exact = (4 / 3 * sqrt(least) - sqrt(0.5)) * least / ratio
        check(f"GM corner down at a density ratio of {ratio:.5f}", corner, exact=exact)
        assert (corner > 0) == (least > 9 / 32)


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
    """A solid cylinder floats upright if its diameter exceeds sqrt(8 s (1 - s)) times its height.

    Source: closed form, GM = s H/2 + R^2/(4 s H) - H/2.
    """
    share = float(critical)
    for factor in (0.99, 1.01):
        radius = factor * share / 2
        ship = homogeneous(vertical_cylinder(radius, 1.0, 360), ratio)
        GM = upright_hydrostatics(ship.case).KM - ship.weight.center[2]
        exact = ratio / 2 + radius**2 / (4 * ratio) - 0.5
        check(f"GM at {factor} of the critical diameter, s {ratio}", GM, "", exact, facets=2e-2)
        assert (tilt_deg(ship) < 1e-4) == (factor > 1)
    radius = share / 2
    ship = homogeneous(vertical_cylinder(radius, 1.0, 1440), ratio)
    GM = upright_hydrostatics(ship.case).KM - ship.weight.center[2]
    check(f"GM at D/H = {critical}, s {ratio}", GM, "0", within=1e-5)


@pytest.mark.parametrize("half_angle, stable", [(25, False), (27, False), (27.1, True), (30, True)])
def test_cone_apex_down(check: Check, half_angle: float, stable: bool) -> None:
    """A solid cone of half the density of water floats apex down if cos^2(a) < s^(1/3).

    Source: closed form; cos^2(a) = 0.79370 at 27.01 deg.
    """
    ship = homogeneous(cone(tan(radians(half_angle)), 1.0), 0.5)
    level_keel = upright_hydrostatics(ship.case)
    exact = 0.5 ** (1 / 3)
    check(f"draft, a {half_angle} deg", level_keel.draft_mid, "0.79370", exact)
    GM = level_keel.KM - ship.weight.center[2]
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
    """A segment of a paraboloid r^2 = 2z, 2.2 high: it floats upright if its density ratio is at
    least ((H - 3p/4)/H)^2 = 0.10124, and inclined below that.

    Source: Archimedes, On Floating Bodies II, propositions 8 to 10, in T. L. Heath, A History of
    Greek Mathematics, vol. 2; the angle by closed form, tan^2 = 8 (H - T)/3p - 2 with
    T = H sqrt(s).
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
    check(f"axis of the immersed segment at {ratio:g}", segment, exact=draft, facets=1e-3)


@pytest.mark.parametrize(
    "ratio, tilt, within",
    [(0.05, "27.7761", 0.02), (0.08, "17.8467", 0.02), (0.10, "4.3296", 0.1), (0.12, "0", 1e-4)],
)
def test_levers_of_archimedes_paraboloid(
    check: Check, ratio: float, tilt: str, within: float
) -> None:
    """The same segment held at a heel: GZ is zero at the angle of equilibrium, and upright.

    Source: Archimedes, On Floating Bodies II, propositions 8 to 10, in T. L. Heath, A History of
    Greek Mathematics, vol. 2; the angle by closed form, tan^2 = 8 (H - T)/3p - 2 with
    T = H sqrt(s).

    It may incline in any direction, so it is held on an even keel.
    """
    ship = solid(paraboloid(sqrt(4.4), 2.2, 120, 360), ratio)
    heeling = Heeling(ship.hull.tree, ship.load.volume, ship.load.gravity_at, trim=0.0)
    rests, falls = zeros_of(righting_curve(heeling, np.radians(range(-35, 36, 5))).gz_curve)
    exact = degrees(atan(sqrt(max(0.0, 4 * (2.2 - 2.2 * sqrt(ratio)) / 3 - 2))))
    at = f"at a density ratio of {ratio:g}, deg"
    fine = {"within": within, "facets": 1e-2}
    check(f"stable to starboard {at}", max(rests), tilt, exact, **fine)
    check(f"stable to port {at}", -min(rests), tilt, exact, **fine)
    if exact:
        check(f"unstable {at}", falls[0], "0", within=1e-4)
    assert (len(rests), len(falls)) == ((2, 1) if exact else (1, 0))
