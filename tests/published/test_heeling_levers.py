"""Heeling levers on the GZ curve: wind, turn, sails, and weights off the centerline."""

from __future__ import annotations

from math import atan, cos, degrees, radians, sin

import numpy as np
import pytest

from addon.core.hydrostatics.lateral_area import lateral_profile
from addon.core.hydrostatics.upright import upright_hydrostatics
from addon.core.model.case import Case
from addon.core.stability.gz_curve import GZCurve
from addon.core.stability.heeling_levers import Lever
from tests.bodies import box, horizontal_cylinder, mesh

from .conftest import Check
from .shapes import block
from .ships import (
    area_of,
    arms_of,
    arms_vanish_at,
    at_draft,
    at_rest,
    case_of,
    heel_deg,
    held,
    hull_of,
    load,
    wall_sided,
    wall_sided_list_deg,
    zeros_of,
)

G = 9.81


def reference_box(port: float = 0.0) -> Case:
    """A box of 60 x 12 x 7 m at 4 m, GM 1 m, with G `port` meters to port."""
    return case_of(hull_of(box(60, 12, 7)), load(2952, 30, port, 4))


def round_ship(arm: float) -> Case:
    """Horizontal cylinder of 2 m radius whose GZ is `arm` (m) times sin(phi), of 1440 sides."""
    hull = hull_of(horizontal_cylinder(2, 10, 1440))
    return case_of(hull, load(at_draft(hull, 2).displacement() / 1000, 5, 0, 2 - arm))


def meets(arms: GZCurve, arm: float) -> float:
    """The first heel (degrees) at which GZ rises above a constant heeling lever (m)."""
    return zeros_of(arms.minus(Lever("wind", arm)))[0][0]


def energies(
    arms: GZCurve, steady: float, gust: float, roll: float, end: float
) -> tuple[float, float]:
    """Areas a and b (m rad) of the weather criterion: a, from the roll to windward of the heel in
    the steady wind to the heel in the gust, and b, from there to the heel `end` (degrees)."""
    left = arms.minus(Lever("gust", gust))
    windward, gusty = meets(arms, steady) - roll, meets(arms, gust)
    return -area_of(left, windward, gusty), area_of(left, gusty, end)


def test_wind_on_the_profile(check: Check) -> None:
    """A box of 60 x 12 x 7 m at 4 m with a house of 20 x 3 m: area, lever and wind heel.

    Source: wind pressure of 504 Pa, 2008 IS Code, part A, 2.3.2, in the text of IMO resolution
    A.749(18), 3.2; the case by closed form.
    """
    case = reference_box()
    hull, house = case.hull, mesh(block((20, 40), (-2, 2), (7, 10)))
    shapes = [hull.vertices[hull.triangles], house.vertices[house.triangles]]
    attitude = upright_hydrostatics(case).immersion.attitude
    profile = lateral_profile(np.concatenate(shapes), attitude)
    check("area above water, m2", profile.area_above, "240", 60 * 3 + 20 * 3)
    check("its centroid above water, m", profile.center_above, "2.25", (180 * 1.5 + 60 * 4.5) / 240)
    check("area below water, m2", profile.area_below, "240", 60 * 4)
    check("lever, m", profile.lever, "4.25", 4.25)
    steady = 504 * profile.area_above * profile.lever / (1000 * G * 2952)
    check("lever of the steady wind, m", steady, "0.0177519", 504 * 240 * 4.25 / (G * 2952e3))
    check("lever of the gust, m", 1.5 * steady, "0.0266279")


@pytest.mark.parametrize("end, b, ratio", [(50, "0.428931", "9.348"), (40, "0.289490", "6.309")])
def test_weather_on_a_box(check: Check, end: float, b: str, ratio: str) -> None:
    """The same box and wind, rolled 16.499 degrees to windward: heels, areas and their ratio.

    Source: 2008 IS Code, part A, 2.3, in the text of IMO resolution A.749(18), 3.2 (the factors of
    the angle of roll from memory); the case by closed form and by clipping the section.
    """
    arms = arms_of(reference_box(), -30, 90)
    steady, gust = 0.0177519, 0.0266279
    leaning = meets(arms, steady)
    check("heel in the steady wind, deg", leaning, "1.01668", within=1e-4)
    check("GZ there, m", wall_sided(1, 3, leaning), "0.0177519", within=2e-6)
    (first,), (second,) = zeros_of(arms.minus(Lever("gust", gust)))
    check("heel in the gust, deg", first, "1.52423", within=2e-4)
    check("second heel at which the gust meets GZ, deg", second, "74.892", within=1e-3)
    a, found = energies(arms, steady, gust, 16.4990, end)
    check("area a, m rad", a, "0.0458862", within=2e-6)
    check(f"area b to {end} deg, m rad", found, b, within=2e-6)
    check(f"b/a to {end} deg", found / a, ratio, within=1e-3)


def test_weather_on_a_round_hull(check: Check) -> None:
    """A round hull with GZ = 0.6 sin(phi) under wind levers of 0.05 and 0.075 m, roll 20 degrees.

    Source: closed form of the areas of the 2008 IS Code, part A, 2.3, under a sine.
    """
    k, steady, gust, end = 0.6, 0.05, 0.075, 50.0
    arms = arms_of(round_ship(k), -30, 90)
    phi0, phig = np.arcsin(steady / k), np.arcsin(gust / k)
    low, high = phi0 - radians(20), radians(end)
    check("heel in the steady wind, deg", meets(arms, steady), "4.7802", within=1e-3)
    check("heel in the gust, deg", meets(arms, gust), "7.1808", within=1e-3)
    a, b = energies(arms, steady, gust, 20, end)
    exact = gust * (phig - low) - k * (cos(low) - cos(phig))
    check("area a, m rad", a, "0.0456608", exact, within=2e-6, facets=1e-4)
    exact = k * (cos(phig) - cos(high)) - gust * (high - phig)
    check("area b, m rad", b, "0.1535712", exact, within=2e-6, facets=1e-4)
    check("b/a", b / a, "3.3633", within=2e-4)


def test_sails_on_a_round_hull(check: Check) -> None:
    """Sails whose heeling lever falls with the square of the cosine, on a hull with
    GZ = k sin(phi).

    Source: 46 CFR 171.055 (the square of the cosine from memory): heeling and righting areas equal
    up to 60 degrees, and, with GZ positive beyond 90, up to 120; closed form.
    """
    k = 0.5
    arms = arms_of(round_ship(k), 0, 120)
    unit = Lever("sails", 1.0, power=2)
    for end, printed in ((60, "0.675580"), (120, "1.909859"), (90, "1.273240")):
        heel, sail = radians(end), radians(min(end, 90))
        exact = (1 - cos(heel)) / (sail / 2 + sin(2 * sail) / 4)
        arm = area_of(arms, 0, end) / float(unit.area(heel))
        check(f"HZ/k to {end} deg", arm / k, printed, exact, within=3e-6, facets=1e-5)
        left = area_of(arms.minus(Lever("sails", arm, power=2)), 0, end)
        check(f"area left to {end} deg, m rad", left, "0", within=1e-12)


def test_sails_to_the_deck_edge(check: Check) -> None:
    """The box of 60 x 12 x 7 m under sails that just immerse its deck edge.

    Source: 46 CFR 171.055 (the square of the cosine from memory); closed form, HZ = GZ/cos^2(phi)
    at tan(phi) = 1/2.
    """
    edge = degrees(atan(0.5))
    arm = wall_sided(1, 3, edge) / cos(radians(edge)) ** 2
    rests, _ = zeros_of(arms_of(reference_box(), 0, 60).minus(Lever("sails", arm, power=2)))
    check("heel under sail, deg", rests[0], "26.565", edge, within=1e-3, facets=3e-5)


def test_turn(check: Check) -> None:
    """The box of 60 x 12 x 7 m, 2952 t, turns at 6 m/s.

    Source: heeling moment in a turn, 0.2 v^2/L W (KG - d/2), 2008 IS Code, part A, 3.1.2 (from
    memory); heel by closed form.
    """
    moment = 0.2 * 6**2 / 60 * 2952 * (4 - 4 / 2)
    check("moment, kN m", moment, "708.48", 708.48)
    arm = moment / (G * 2952)
    rests, _ = zeros_of(arms_of(reference_box(), -10, 30).minus(Lever("turn", arm, power=1)))
    exact = wall_sided_list_deg(1, 3, arm)
    check("heel in the turn, deg", rests[0], "1.40", exact, facets=1e-4)
    assert rests[0] < degrees(atan(arm))


@pytest.mark.parametrize("off", [0.1, 0.3, 0.45])
def test_weight_off_centre_is_a_heeling_lever(check: Check, off: float) -> None:
    """The box of 60 x 12 x 7 m: G off the centerline acts as a heeling lever with the cosine.

    Source: closed form, GZ = GZ0 - y cos(phi); tan(phi) (GM + BM tan^2(phi)/2) = y.
    """
    arms = arms_of(reference_box(), -20, 60)
    rests, _ = zeros_of(arms.minus(Lever("crowd", off, power=1)))
    to, exact = f"G {off} m off", wall_sided_list_deg(1, 3, off)
    check(f"heel under the lever, {to}, deg", rests[0], exact=exact, facets=3e-5)
    ship = at_rest(reference_box().hull, load(2952, 30, -off, 4))
    check(f"list, {to}, deg", heel_deg(ship), exact=exact)
    check(f"list by the GZ curve, {to}, deg", arms_vanish_at(ship), exact=exact, facets=3e-5)
    for heel in (-70, 12, 45, 80):
        arm = held(reference_box(), heel).arm - off * cos(radians(heel))
        check(f"GZ at {heel} deg, {to}, m", held(ship.case, heel).arm, exact=arm)


def test_wind_and_list_together(check: Check) -> None:
    """The round hull listing under a weight off its centerline, and a steady wind on either side.

    Source: closed form, k sin(phi) - y cos(phi) = l.
    """
    k, off, wind = 0.6, 0.1, 0.05
    hull = round_ship(k).hull
    tonnes = at_draft(hull, 2).displacement() / 1000
    arms = arms_of(case_of(hull, load(tonnes, 5, -off, 2 - k)), -60, 60)
    lean, reach = atan(off / k), (k**2 + off**2) ** 0.5
    for arm in (-wind, 0.0, wind):
        exact = degrees(lean + np.arcsin(arm / reach))
        check(f"heel under a lever of {arm:g} m, deg", meets(arms, arm), exact=exact, facets=1e-4)
    check("slope of GZ at the list, m/rad", float(arms.slope(lean)), exact=reach, facets=1e-4)
