"""Criteria of the codes, on hulls whose GZ curve has a closed form."""

from __future__ import annotations

from math import degrees, inf, radians

import numpy as np
import pytest

from addon.core.criteria import (
    cfr_170_170_weather,
    cfr_183_small_boats,
    is_code_general,
    is_code_passengers,
    is_code_weather,
)
from addon.core.criteria.assessment import Assessment, assess
from addon.core.criteria.criteria_inputs import CriteriaInputs
from addon.core.criteria.limiting_kg import limiting_KG
from addon.core.criteria.verdict import Verdict
from addon.core.hydrostatics.lateral_area import LateralProfile
from addon.core.model.case import Case
from addon.core.model.service import Service
from addon.core.stability.gz_curve import GZCurve
from tests.bodies import box, horizontal_cylinder, mesh, moved

from .conftest import Check
from .ships import hull_of, load

POUND = 0.45359237
RADIUS = 5.0
SIDES = 180
FACETS = 2 * (1 - np.sin(2 * np.pi / SIDES) / (2 * np.pi / SIDES))


def log(arm: float, *codes: str) -> Case:
    """A log, 30 m long, 5 m in radius and half immersed, with G `arm` meters below its axis."""
    hull = hull_of(horizontal_cylinder(RADIUS, 30.0, SIDES))
    tonnes = 1.025 * hull.volume / 2
    return Case("log", hull, (load(tonnes, 15, 0, RADIUS - arm),), codes=codes)


def attained(verdicts: tuple[Verdict, ...], what: str) -> float:
    """The value attained under the clause on a subject."""
    (found,) = (each.attained for each in verdicts if each.what == what)
    assert found is not None
    return found


def sine(k: float) -> GZCurve:
    """GZ = k sin(heel)."""
    heels = np.radians(np.arange(-180.0, 180.5))
    return GZCurve(heels, k * np.sin(heels), k * np.cos(heels), k * (1 - np.cos(heels)))


def ship(
    arms: GZCurve, mass: float, length: float, profile: LateralProfile, **figures: float
) -> CriteriaInputs:
    """A vessel whose deck edge is immersed at 45 degrees of heel, without openings."""
    return CriteriaInputs(
        gz_curve=arms,
        equilibrium_heel=0.0,
        vanishing_angle=float(np.pi),
        downflooding_angle=inf,
        downflooding_opening="",
        deck_edge_angle=radians(45.0),
        mass=mass,
        length=length,
        length_overall=length,
        LWL=length,
        BWL=figures["breadth"],
        freeboard=1.0,
        max_displaced_volume=2 * mass / 1025,
        water_density=1025.0,
        profile=profile,
        service=Service(),
        **figures,
    )


@pytest.mark.parametrize(
    ("what", "required", "k"),
    [
        ("Area under GZ to 30 degrees", "0.055", 0.410526),
        ("Area under GZ to 40 degrees or downflooding", "0.090", 0.384688),
        ("Area under GZ from 30 to 40 degrees or downflooding", "0.030", 0.300057),
        ("GZ at 30 degrees or beyond", "0.200", 0.2),
        ("Initial GM", "0.150", 0.15),
    ],
)
def test_limits_of_the_is_code_on_a_log(check: Check, what: str, required: str, k: float) -> None:
    """A floating log has GZ = k sin(heel), k the depth of G below its axis; at this k it just
    meets the limit.

    Source: limits of the 2008 IS Code, part A, 2.2, resolution MSC.267(85) (from memory; 46 CFR
    28.570 has the same areas and GZ); closed form of the cylinder.
    """
    verdicts = assess(log(k, "is-code-2.2")).verdicts
    found = attained(verdicts, what)
    check(f"{what}, k = {k} m", found, required, within=FACETS * RADIUS * float(required) / k)
    (demand,) = (each.required for each in verdicts if each.what == what)
    check(f"{what}, required", demand or 0.0, required)


def test_limiting_KG_of_a_log(check: Check) -> None:
    """The highest G at which a log meets all of A 2.2 lies 0.055 / (1 - cos 30) m below its axis.

    Source: limits of the 2008 IS Code, part A, 2.2, resolution MSC.267(85) (from memory; 46 CFR
    28.570 has the same areas and GZ); closed form of the cylinder.
    """
    case = log(0.5, "is-code-2.2")
    (limit,) = limiting_KG(case, [case.load.mass])
    assert limit.KG is not None
    check("depth of G below the axis, m", RADIUS - limit.KG, "0.410526", within=1e-3)


def box_with_house() -> Assessment:
    """A box of 60 x 12 x 7 m at 4 m draft with KG 4 m, under a house of 20 m x 3 m."""
    house = mesh(moved(box(20, 8, 3), (20, 0, 7)))
    case = Case(
        "box",
        hull_of(box(60, 12, 7)),
        (load(2952, 30, 0, 4),),
        windage=house.vertices[house.triangles],
        service=Service(kind="passenger", bilge="sharp", speed=6.0),
    )
    return assess(case)


def test_severe_wind_and_rolling_of_a_box(check: Check) -> None:
    """Severe wind and rolling of a box of 60 x 12 x 7 m at 4 m draft with KG 4 m and a house,
    wall-sided to the deck edge.

    Source: 2008 IS Code, part A, 2.3, in the text of IMO resolution A.749(18), 3.2 (tables and
    factors of the angle of roll from memory), computed independently of this code on the righting
    levers of the clipped section.
    """
    judged = box_with_house()
    wind = is_code_weather.severe_wind(judged.inputs)
    assert wind is not None and wind.rolling is not None
    rolling, share = wind.rolling, 2e-3
    check("lateral area above the water, m2", judged.inputs.profile.area_above, "240.00")
    check("Z, m", judged.inputs.profile.lever, "4.25")
    check("X1", rolling.X1, "0.90")
    check("X2", rolling.X2, "1.00")
    check("k", rolling.k, "0.70")
    check("r", rolling.r, "0.73")
    check("C", rolling.C, "0.4162")
    check("T, s", rolling.period, "9.9888")
    check("s", rolling.s, "0.0790784")
    check("phi_1, deg", degrees(rolling.angle), "16.4990")
    check("lw1, m", wind.steady.upright, "0.0177519")
    check("lw2, m", wind.gust.upright, "0.0266279")
    check("phi_0, deg", degrees(wind.steady_heel), "1.01668", within=share * 1.01668)
    check("heel in the gust, deg", degrees(wind.gust_heel), "1.52423", within=share * 1.52423)
    check("phi_2, deg", degrees(wind.end), "50.000")
    check("area a, m rad", wind.a, "0.0458862")
    check("area b, m rad", wind.b, "0.428931")
    run_command = is_code_weather.check(judged.inputs, False)
    assert [each.outcome for each in run_command] == ["passes", "passes"]


def test_severe_wind_on_a_sine_curve(check: Check) -> None:
    """Severe wind and rolling on GZ = 0.6 sin(heel) m, lw1 = 0.05 m, after a roll of 20 degrees:
    a = lw2 (phi_g - phi_L) - k (cos phi_L - cos phi_g), b likewise from phi_g to 50 degrees.

    Source: closed form of the areas of the 2008 IS Code, part A, 2.3, in the text of IMO
    resolution A.749(18), 3.2.
    """
    draft, mass = 8 / 2.4, 1e6
    r = (20 / 109) ** 2 / 0.1
    KG = draft * (1 + (r - 0.73) / 0.6)
    profile = LateralProfile(0.05 * 9.81 * mass / (504 * 5), 3.0, 20.0, 100.0, 2.0, 20.0)
    figures = {"GM": 4.0, "KG": KG, "draft": draft, "breadth": 8.0, "Cb": 0.7}
    wind = is_code_weather.severe_wind(ship(sine(0.6), mass, 40.0, profile, **figures))
    assert wind is not None
    check("phi_0, deg", degrees(wind.steady_heel), "4.7802")
    check("heel in the gust, deg", degrees(wind.gust_heel), "7.1808")
    check("area a, m rad", wind.a, "0.0456608")
    check("area b, m rad", wind.b, "0.1535712")


def test_righting_levers_of_a_box_under_the_is_code(check: Check) -> None:
    """Areas under GZ and righting levers of a box of 60 x 12 x 7 m at 4 m draft with KG 4 m.

    Source: closed form by clipping the section, integrated independently of this code.
    """
    run_command = is_code_general.check(box_with_house().inputs, False)
    check("area to 30 deg, m rad", run_command[0].attained or 0.0, "0.164515")
    check("area to 40 deg, m rad", run_command[1].attained or 0.0, "0.307725")
    check("area from 30 to 40 deg, m rad", run_command[2].attained or 0.0, "0.143210", within=1e-6)
    check("maximum GZ, m", run_command[3].attained or 0.0, "0.868562", within=1e-6)
    check("angle of maximum GZ, deg", run_command[4].attained or 0.0, "39.585", within=2e-3)
    check("GM, m", run_command[5].attained or 0.0, "1.0000")


def test_a_box_in_a_turn(check: Check) -> None:
    """A box of 60 x 12 x 7 m at 4 m draft with KG 4 m, turning at 6 m/s.

    Source: 2008 IS Code, part A, 3.1.2 (the heeling moment from memory); the heel by GM.
    """
    judged = box_with_house().inputs
    lever = is_code_passengers.turn_lever(judged)
    assert lever is not None
    check("heeling moment, kN m", lever.upright * judged.mass * 9.81 / 1000, "708.48")
    turn = attained(is_code_passengers.check(judged, False), "Heel in a turn")
    check("heel, deg", turn, "1.40")


def test_weather_of_us_vessels_in_both_units(check: Check) -> None:
    """GM required of a vessel of 20 m and 50 t in exposed waters, with 60 m2 of windage whose
    centroid is 2.5 m above that of the underwater lateral area.

    Source: 46 CFR 170.170, computed in its metric form and in feet and long tons, which differ by
    0.6 % as printed.
    """
    profile = LateralProfile(60.0, 1.5, 10.0, 20.0, 1.0, 10.0)
    figures = {"GM": 1.0, "KG": 2.0, "draft": 1.5, "breadth": 5.0, "Cb": 0.5}
    boat = ship(sine(1.0), 50e3, 20.0, profile, **figures)
    (run_command,) = cfr_170_170_weather.check(boat, False)
    check("P, t/m2", cfr_170_170_weather.pressure(boat) / 1000, "0.055233")
    check("GM required, m", run_command.required or 0.0, "0.66459")
    check("in feet and long tons, m", run_command.required or 0.0, "0.66078", within=7e-3)


@pytest.mark.parametrize(
    ("pounds", "side", "weight"), [(550, None, "550"), (547, 545, "547"), (547, 328, "546")]
)
def test_persons_capacity_of_outboard_boats(
    check: Check, pounds: float, side: float | None, weight: str
) -> None:
    """Persons capacity of an outboard boat by the pounds it may carry besides its motor, and by the
    load along one side that brings water to the edge.

    Source: 33 CFR 183.41 and its examples in US Coast Guard, Boatbuilder's Handbook, subpart C,
    Safe Loading, which truncates its figures.
    """
    aside = None if side is None else side * POUND
    mass = cfr_183_small_boats.persons_mass(pounds * POUND, 0.0, aside)
    assert mass is not None
    boat = f"{pounds} lb, along one side {side or 'any'}"
    check(f"{boat}: persons capacity, lb", mass / POUND, weight, within=0.7)
    check(f"{boat}: persons", cfr_183_small_boats.persons_number(mass), "4")
