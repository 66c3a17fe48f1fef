"""Criteria at, just below and just above what they require, on curves computed by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import atan, cos, degrees, inf, nan, pi, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest

from addon.core.criteria import (
    cfr_170_170_weather,
    cfr_170_173_gz_curve,
    cfr_178_330_passengers,
    cfr_183_small_boats,
    is_code_general,
    is_code_passengers,
    is_code_weather,
)
from addon.core.criteria.assessment import assess
from addon.core.criteria.codes import CODES, check_criteria, check_sides, heeling_levers
from addon.core.criteria.criteria_inputs import CriteriaInputs
from addon.core.criteria.maximum_displacement import max_displaced_volume
from addon.core.criteria.measures import heel_under_lever, immersing_heel
from addon.core.criteria.user_criteria import check_custom
from addon.core.criteria.verdict import Verdict
from addon.core.hydrostatics.lateral_area import LateralProfile
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.openings import Opening
from addon.core.model.service import Service
from addon.core.model.user_criteria import CustomCriterion
from addon.core.model.weights import Weight
from addon.core.stability.both_sides import stability_limits
from addon.core.stability.gz_curve import GZCurve
from addon.core.stability.heeling_levers import Lever
from tests import bodies
from tests.language import NONSENSE, names, reads, refused

TINY = 1e-6
AT, BELOW, ABOVE = 1.0, 1 - TINY, 1 + TINY
MASS = 1000e3
PROFILE = LateralProfile(100.0, 3.0, 20.0, 120.0, 2.0, 20.0)


def sine(k: float, *heels: float, first: float = -180.0, last: float = 180.0) -> GZCurve:
    """GZ = k sin(heel), computed at every degree and at other heels (deg)."""
    at = np.radians(np.union1d(np.arange(first, last + 0.5), heels))
    return GZCurve(at, k * np.sin(at), k * np.cos(at), k * (1 - np.cos(at)))


def broken(*points: tuple[float, float]) -> GZCurve:
    """Straight lines through (deg, m) from upright on, and their mirror image; a heel that is
    given twice is a jump."""
    right = [(radians(heel), arm) for heel, arm in points]
    whole = [(-heel, -arm) for heel, arm in reversed(right)] + right
    heels, arms, slopes, areas = [], [], [], []
    area = 0.0
    for (a, low), (b, high) in zip(whole[:-1], whole[1:], strict=True):
        slope = (high - low) / (b - a) if b > a else 0.0
        after = area + (b - a) * (low + high) / 2
        heels += [a, b]
        arms += [low, high]
        slopes += [slope, slope]
        areas += [area, after]
        area = after
    curve = GZCurve(*map(np.array, (heels, arms, slopes, areas)))
    return replace(curve, areas=curve.areas - curve.areas[np.abs(curve.heels).argmin()])


def steps(*runs: tuple[float, float]) -> GZCurve:
    """GZ level at so many meters up to each heel (deg), then zero at 180 degrees."""
    points, start = [], 0.0
    for end, arm in runs:
        points += [(start, arm), (end, arm)]
        start = end
    return broken(*points, (180.0, 0.0))


def ship(arms: GZCurve, rest: float = 0.0, **changes: Any) -> CriteriaInputs:
    """A ship of 1000 t, 40 x 8 x 4 m, that floats at `rest`, with a curve of arms."""
    rest, vanishing_angle = stability_limits(arms, rest)
    whole = CriteriaInputs(
        gz_curve=arms,
        equilibrium_heel=rest,
        vanishing_angle=vanishing_angle,
        downflooding_angle=inf,
        downflooding_opening="",
        deck_edge_angle=radians(45.0),
        GM=1.0,
        KG=2.5,
        mass=MASS,
        draft=2.5,
        length=40.0,
        length_overall=42.0,
        LWL=40.0,
        BWL=8.0,
        breadth=8.0,
        Cb=0.7,
        freeboard=1.5,
        max_displaced_volume=1500.0,
        water_density=1025.0,
        profile=PROFILE,
        service=Service(),
    )
    return replace(whole, **changes)


Check = Callable[[CriteriaInputs, bool], tuple[Verdict, ...]]


def verdict(check: Check, ship: CriteriaInputs, key: str, yardstick: bool = False) -> Verdict:
    """The one verdict whose clause or what is asked has a key in it."""
    found = [v for v in check(ship, yardstick) if key in f"{v.clause} {v.what}"]
    assert len(found) == 1, found
    return found[0]


def outcome(factor: float, more_is_better: bool = True) -> str:
    good = factor >= 1 if more_is_better else factor <= 1
    return "passes" if good else "fails"


around = pytest.mark.parametrize("factor", [BELOW, AT, ABOVE])

TO_30, TO_40, FROM_30 = "GZ to 30 degrees", "GZ to 40 degrees", "GZ from 30"


# 2008 IS Code, A 2.2


@around
@pytest.mark.parametrize(
    ("key", "curve", "required"),
    [
        (TO_30, lambda f: steps((30, f * 0.055 / (pi / 6)), (180, 1)), 0.055),
        (
            TO_40,
            lambda f: steps((30, f * 0.0575 / (pi / 6)), (40, f * 0.0325 / (pi / 18)), (170, 1)),
            0.09,
        ),
        (FROM_30, lambda f: steps((30, 1), (40, f * 0.03 / (pi / 18)), (180, 1)), 0.03),
        ("2.2.2", lambda f: broken((0, 0), (20, 1), (30, f * 0.2), (180, 0)), 0.2),
        ("2.2.3", lambda f: broken((0, 0), (f * 25, 1), (90, 0.5), (180, 0)), 25.0),
    ],
)
def test_general_limits_of_the_curve(
    key: str, curve: Callable[[float], GZCurve], required: float, factor: float
) -> None:
    """Areas 0.055, 0.09 and 0.03 m rad, 0.20 m and 25 degrees, each the only one in doubt."""
    run_command = verdict(is_code_general.check, ship(curve(factor)), key)
    assert run_command.required == pytest.approx(required)
    assert run_command.attained == pytest.approx(required * factor, rel=1e-9)
    assert run_command.outcome == outcome(factor)
    others = is_code_general.check(ship(curve(factor)), False)
    if key in (TO_30, TO_40):
        assert {v.outcome for v in others if v.what != run_command.what} == {"passes"}


@around
def test_general_GM(factor: float) -> None:
    run_command = verdict(is_code_general.check, ship(sine(1.0), GM=factor * 0.15), "2.2.4")
    assert (run_command.required, run_command.outcome, run_command.unit) == (
        0.15,
        outcome(factor),
        "m",
    )


@around
def test_a_sine_curve_governed_by_its_area(factor: float) -> None:
    """GZ = k sin p: k of 0.055 / (1 - cos 30) = 0.410526 m keeps all, and less not the first."""
    k = factor * 0.055 / (1 - cos(radians(30)))
    run_command = is_code_general.check(ship(sine(k), GM=k), False)
    failing = [v.what for v in run_command if v.outcome == "fails"]
    assert failing == ([] if factor >= 1 else ["Area under GZ to 30 degrees"])
    assert run_command[4].attained == pytest.approx(90.0)


def test_a_verdict_says_by_how_much_and_what_helps() -> None:
    short = verdict(is_code_general.check, ship(sine(1.0), GM=0.1), "2.2.4")
    assert short.margin == pytest.approx(-0.05)
    assert reads(short.reason, "0.05 m short; lower weights or widen the waterplane")
    spare = verdict(is_code_general.check, ship(sine(1.0), GM=0.45), "2.2.4")
    assert reads(spare.reason, "0.3 m to spare") and not spare.note
    just = verdict(is_code_general.check, ship(sine(1.0), GM=0.15), "2.2.4")
    assert just.outcome == "passes" and reads(just.reason, "just keeps it")


@pytest.mark.parametrize("flooding", [35.0, 38.5])
def test_general_areas_end_where_water_comes_in(flooding: float) -> None:
    end = radians(flooding)
    wet = ship(sine(1.0), downflooding_angle=end, downflooding_opening="vent")
    area = verdict(is_code_general.check, wet, TO_40)
    assert area.attained == pytest.approx(1 - cos(end), rel=1e-8)
    assert reads(area.reason, f"'vent' at {flooding:g} degrees")
    third = verdict(is_code_general.check, wet, FROM_30)
    assert third.attained == pytest.approx(cos(radians(30)) - cos(end), rel=1e-8)
    arm = verdict(is_code_general.check, wet, "2.2.2")
    assert arm.attained == pytest.approx(sin(end), rel=1e-8)


@pytest.mark.parametrize("flooding", [25.0, 30.0 - TINY])
def test_flooding_before_30_degrees_leaves_no_third_area_and_no_arm(flooding: float) -> None:
    end = radians(flooding)
    wet = ship(sine(2.0), downflooding_angle=end, downflooding_opening="hatch")
    for key in (TO_30, TO_40):
        run_command = verdict(is_code_general.check, wet, key)
        assert run_command.attained == pytest.approx(2 * (1 - cos(end)), rel=1e-7)
    third = verdict(is_code_general.check, wet, FROM_30)
    assert (third.outcome, third.required, third.attained) == ("fails", 0.03, None)
    assert reads(third.reason, f"'hatch' at {flooding:.3g} degrees")
    arm = verdict(is_code_general.check, wet, "2.2.2")
    assert arm.outcome == "fails" and arm.attained is None and "hatch" in names(arm.reason)


@around
def test_the_greatest_arm_is_sought_up_to_flooding(factor: float) -> None:
    """GZ = sin p still rises at 25 degrees: flooded there, its greatest lies there."""
    wet = ship(sine(1.0), downflooding_angle=factor * radians(25), downflooding_opening="hatch")
    run_command = verdict(is_code_general.check, wet, "2.2.3")
    assert run_command.attained == pytest.approx(factor * 25)
    assert run_command.outcome == outcome(factor)
    assert reads(run_command.reason, "'hatch' at 25 degrees, and no GZ counts beyond")
    assert NONSENSE or (KEEP_OUT in run_command.reason) == (factor < 1)
    early = replace(
        ship(broken((0, 0), (20, 1), (90, 0.5), (180, 0))), downflooding_angle=radians(40)
    )
    run_command = verdict(is_code_general.check, early, "2.2.3")
    assert run_command.attained == pytest.approx(20) and (
        NONSENSE or KEEP_OUT not in run_command.reason
    )


KEEP_OUT = "raise that opening, or fit a closing that keeps the sea out"


@pytest.mark.parametrize(
    ("over_edge", "helps"),
    [(False, KEEP_OUT), (True, "raise the edge or deck the hull over")],
)
@pytest.mark.parametrize("flooding", [0.0, 4.0])
def test_what_keeps_the_water_out(over_edge: bool, helps: str, flooding: float) -> None:
    at = radians(flooding)
    wet = ship(
        sine(1.0), downflooding_angle=at, downflooding_opening="vent", floods_over_edge=over_edge
    )
    run_command = is_code_general.check(wet, False)
    assert [v.outcome for v in run_command] == ["fails"] * 5 + ["passes"]
    assert all(reads(v.reason, helps) for v in run_command[:5])


def test_flooding_where_it_floats_fails_all_areas() -> None:
    wet = ship(sine(2.0), downflooding_angle=0.0, downflooding_opening="hatch")
    area = verdict(is_code_general.check, wet, TO_30)
    assert (area.outcome, area.attained) == ("fails", 0.0)
    assert reads(area.reason, "'hatch' in the floating position")


def test_a_list_counts_against_it() -> None:
    """GZ = sin(p) - 0.1 cos(p) lists it atan 0.1 = 5.7 degrees; areas begin upright."""
    arms = sine(1.0).minus(Lever("list", 0.1, 1))
    assert ship(arms).equilibrium_heel == pytest.approx(atan(0.1), abs=1e-6)
    run_command = verdict(is_code_general.check, ship(arms), TO_30)
    assert run_command.attained == pytest.approx(1 - cos(pi / 6) - 0.1 * sin(pi / 6), rel=1e-6)


def test_no_righting_arm_at_all() -> None:
    run_command = is_code_general.check(ship(sine(-1.0), GM=-1.0), False)
    assert [v.outcome for v in run_command] == ["fails"] * 6
    assert reads(run_command[4].reason, "no righting lever") and run_command[4].attained is None


def test_stability_that_vanishes_before_30_degrees() -> None:
    arms = broken((0, 0), (10, 0.3), (20, 0), (30, -0.3), (180, 0))
    run_command = is_code_general.check(ship(arms), False)
    assert run_command[3].outcome == "fails" and run_command[3].attained == pytest.approx(-0.3)
    assert run_command[0].attained == pytest.approx(radians(1.5))


def test_a_curve_that_never_vanishes() -> None:
    arms = sine(1.0, last=150.0)
    assert ship(arms).vanishing_angle == inf
    assert {v.outcome for v in is_code_general.check(ship(arms), False)} == {"passes"}


def test_a_curve_that_ends_too_early_is_not_known() -> None:
    run_command = is_code_general.check(ship(sine(1.0, last=35.0)), False)
    assert [v.outcome for v in run_command] == ["passes", "not known", "not known", *["passes"] * 3]
    assert reads(run_command[1].reason, "give heels")
    run_command = is_code_general.check(ship(sine(1.0, last=25.0)), False)
    assert run_command[3].outcome == "not known"


@pytest.mark.parametrize(("length", "applies"), [(24.0 - TINY, False), (24.0, True)])
@pytest.mark.parametrize("reported", [False, True])
def test_the_is_code_begins_at_24_m(length: float, applies: bool, reported: bool) -> None:
    service = Service(load_line_length=length) if reported else Service()
    short = ship(sine(1.0), length=40.0 - length if reported else length, service=service)
    for check in (is_code_general.check, is_code_weather.check):
        run_command = check(short, False)
        assert all((v.outcome != "not applicable") == applies for v in run_command)
        if not applies:
            which = "load line length" if reported else "length between perpendiculars"
            assert reads(run_command[0].reason, which) and run_command[0].attained is None
        judged = check(short, True)
        assert all(v.outcome in ("passes", "fails") for v in judged)
        assert all(v.yardstick != applies for v in judged)


# Crossings and heel under a heeling arm


def test_a_stretch_without_an_arm_counts_to_neither_side() -> None:
    """GZ is zero from 0 to 5 degrees and from 40 to 50: stable from 5, vanishing at 40."""
    arms = broken((0, 0), (5, 0), (20, 1), (40, 0), (50, 0), (60, -1), (180, 0))
    found = [(round(degrees(each.heel), 6), each.rising) for each in arms.crossings]
    assert found == [(-50.0, False), (5.0, True), (40.0, False)]


def test_equilibrium_is_the_first_beyond_the_heel_at_rest() -> None:
    """sin p = a: asin a rising, not the 180 - asin a that falls."""
    assert heel_under_lever(ship(sine(2.0)), Lever("wind", 1.0)) == pytest.approx(pi / 6, rel=1e-6)
    assert heel_under_lever(ship(sine(2.0)), Lever("crowd", 0.5, 1)) == pytest.approx(
        atan(0.25), rel=1e-6
    )
    assert np.isnan(heel_under_lever(ship(sine(2.0)), Lever("wind", 2.0 + TINY)))


def test_equilibrium_adds_to_a_list() -> None:
    listing = ship(sine(1.0).minus(Lever("list", 0.1, 1)))
    assert heel_under_lever(listing, Lever("crowd", 0.05, 1)) == pytest.approx(atan(0.15), rel=1e-6)
    assert heel_under_lever(listing, Lever("crowd", 0.0, 1)) == listing.equilibrium_heel
    other = ship(sine(1.0).minus(Lever("list", -0.1, 1)))
    assert other.equilibrium_heel < 0
    assert heel_under_lever(other, Lever("crowd", 0.05, 1)) == pytest.approx(atan(-0.05), rel=1e-6)


def test_no_equilibrium_beyond_the_vanishing_angle() -> None:
    """GZ comes back beyond 120 degrees, but it has gone over on the way there."""
    arms = broken((0, 0), (20, 0.2), (40, 0), (80, -0.5), (120, 0), (150, 1), (180, 0))
    assert np.isnan(heel_under_lever(ship(arms), Lever("wind", 0.3)))
    assert np.isnan(heel_under_lever(ship(sine(-1.0)), Lever("turn", 0.0)))


def test_half_the_freeboard_of_a_wall_sided_ship() -> None:
    """Freeboard 1.5 m, half breadth 4 m: the deck goes under at tan p = 1.5 / 4."""
    boundary = ship(sine(1.0), deck_edge_angle=atan(1.5 / 4))
    assert immersing_heel(boundary, 0.5) == pytest.approx(atan(0.75 / 4))
    assert immersing_heel(boundary, 1.0) == pytest.approx(atan(1.5 / 4))
    assert immersing_heel(ship(sine(1.0), deck_edge_angle=inf), 0.5) == inf
    assert np.isnan(immersing_heel(ship(sine(1.0), deck_edge_angle=inf, freeboard=nan), 0.5))


# 2008 IS Code, A 2.3


@pytest.mark.parametrize(
    ("table", "at", "value"),
    [
        ("X1", 1.0, 1.00), ("X1", 2.4, 1.00), ("X1", 2.45, 0.99), ("X1", 3.0, 0.90),
        ("X1", 3.05, 0.89), ("X1", 3.5, 0.80), ("X1", 9.0, 0.80),
        ("X2", 0.2, 0.75), ("X2", 0.45, 0.75), ("X2", 0.525, 0.855), ("X2", 0.6, 0.95),
        ("X2", 0.7, 1.00), ("X2", 1.0, 1.00),
        ("K", 0.0, 1.00), ("K", 0.5, 0.99), ("K", 1.5, 0.95), ("K", 2.25, 0.835),
        ("K", 4.0, 0.70), ("K", 8.0, 0.70),
        ("S", 3.0, 0.100), ("S", 6.0, 0.100), ("S", 6.5, 0.099), ("S", 8.0, 0.093),
        ("S", 10.0, 0.079), ("S", 20.0, 0.035), ("S", 30.0, 0.035),
    ],
)  # fmt: skip
def test_weather_tables(table: str, at: float, value: float) -> None:
    found = is_code_weather.interpolate(getattr(is_code_weather, table), at)
    assert found == pytest.approx(value, abs=1e-12)


def windy(k: float, arm: float, **changes: Any) -> CriteriaInputs:
    """GZ = k sin p in a steady wind of an arm (m), on a ship that rolls 20 degrees to windward.

    B/d 2.4, CB 0.7, no bilge keels and a period below 6 s: X1 = X2 = k = 1, s = 0.1, and
    r = (20 / 109)^2 / 0.1 by the height of G.
    """
    draft = 8.0 / 2.4
    over = ((20 / 109) ** 2 / 0.1 - 0.73) / 0.6 * draft
    area = arm * 9.81 * MASS / (504 * 5.0)
    still = ship(sine(k), draft=draft, KG=draft + over, GM=4.0, Cb=0.7)
    return replace(still, **{"profile": replace(PROFILE, area_above=area), **changes})


def test_roll_to_windward_by_its_factors() -> None:
    """C = 0.373 + 0.023 x 2.4 - 0.043 x 0.4 = 0.411; T = 2 x 0.411 x 8 / 2 = 3.288 s."""
    rolling = is_code_weather.roll_to_windward(windy(0.6, 0.05))
    assert rolling is not None
    assert rolling.C == pytest.approx(0.411) and rolling.period == pytest.approx(3.288)
    assert (rolling.X1, rolling.X2, rolling.k, rolling.s) == (1.0, 1.0, 1.0, 0.1)
    assert degrees(rolling.angle) == pytest.approx(20.0)
    keels = windy(0.6, 0.05, service=Service(bilge_keel_area=0.02 * 40 * 8))
    with_keels = is_code_weather.roll_to_windward(keels)
    assert with_keels is not None and degrees(with_keels.angle) == pytest.approx(0.88 * 20)
    sharp = is_code_weather.roll_to_windward(windy(0.6, 0.05, service=Service(bilge="sharp")))
    assert sharp is not None and degrees(sharp.angle) == pytest.approx(0.7 * 20)


def closed(k: float, arm: float) -> tuple[float, float, Callable[[float], float]]:
    """Gust heel, area a, and area b up to a heel, of GZ = k sin p after a roll of 20 degrees."""
    gust = 1.5 * arm
    start, meets = np.arcsin(arm / k) - radians(20), float(np.arcsin(gust / k))
    a = gust * (meets - start) - k * (cos(start) - cos(meets))
    return meets, float(a), lambda end: k * (cos(meets) - cos(end)) - gust * (end - meets)


def test_weather_areas_of_a_sine_curve() -> None:
    wind = is_code_weather.severe_wind(windy(0.6, 0.05))
    assert wind is not None
    meets, a, b = closed(0.6, 0.05)
    assert wind.steady.upright == pytest.approx(0.05) and wind.gust.upright == pytest.approx(0.075)
    assert wind.steady.power == wind.gust.power == 0
    assert wind.gust_heel == pytest.approx(meets, rel=1e-6)
    assert degrees(wind.end) == pytest.approx(50.0)
    assert (wind.a, wind.b) == pytest.approx((a, b(radians(50))), rel=1e-6)


@around
def test_area_b_against_area_a(factor: float) -> None:
    """Flooding where b has just come to equal a."""
    k, arm = 0.6, 0.05
    meets, a, b = closed(k, arm)
    low, high = meets, radians(50)
    for _ in range(60):
        low, high = ((low + high) / 2, high) if b((low + high) / 2) < a else (low, (low + high) / 2)
    flooding = low + (factor - 1) + 2e-8
    wet = windy(k, arm, downflooding_angle=flooding, downflooding_opening="vent")
    run_command = verdict(is_code_weather.check, wet, "2.3.1.4")
    assert run_command.required == pytest.approx(a, rel=1e-6)
    assert run_command.attained == pytest.approx(a, rel=1e-4)
    assert run_command.outcome == outcome(factor)
    assert "vent" in names(run_command.reason) and reads(run_command.reason, "ends area b")


def test_area_b_ends_at_the_second_intercept() -> None:
    """GZ falls from 0.5 m at 20 degrees to zero at 40: it meets the gust again before 40."""
    arms = broken((0, 0), (20, 0.5), (40, 0.0), (180, -1.0))
    wind = is_code_weather.severe_wind(windy(0.6, 0.1, gz_curve=arms, vanishing_angle=radians(40)))
    assert wind is not None
    assert degrees(wind.gust_heel) == pytest.approx(6.0)
    assert degrees(wind.end) == pytest.approx(34.0)
    assert wind.b == pytest.approx(0.35 * radians(28) / 2, rel=1e-6)


@around
@pytest.mark.parametrize(("deck", "limit"), [(45.0, 16.0), (20.0, 16.0), (10.0, 8.0)])
def test_steady_heel(factor: float, deck: float, limit: float) -> None:
    heel = radians(factor * limit)
    arms = sine(1.0, degrees(heel))
    still = windy(1.0, sin(heel), deck_edge_angle=radians(deck), gz_curve=arms)
    run_command = verdict(is_code_weather.check, still, "2.3.1.2")
    assert run_command.required == pytest.approx(limit)
    assert run_command.attained == pytest.approx(factor * limit, rel=1e-8)
    assert run_command.outcome == outcome(factor, False)


def test_wind_that_puts_it_over() -> None:
    over = is_code_weather.check(windy(0.6, 0.61), False)
    assert [v.outcome for v in over] == ["fails", "fails"]
    assert reads(over[0].reason, "capsizes") and over[0].attained is None
    gusty = is_code_weather.check(windy(0.6, 0.45, deck_edge_angle=1.5), False)
    assert reads(gusty[1].reason, "capsizes")


def test_flooding_before_the_gust_leaves_no_area_b() -> None:
    run_command = is_code_weather.check(
        windy(0.6, 0.05, downflooding_angle=radians(6), downflooding_opening="v"), False
    )
    assert run_command[0].outcome == "passes"
    assert (run_command[1].outcome, run_command[1].attained) == ("fails", 0.0)
    assert reads(run_command[1].reason, "the vessel heels to 7.18 degrees, beyond area b")
    run_command = is_code_weather.check(
        windy(0.6, 0.05, downflooding_angle=0.0, downflooding_opening="v"), False
    )
    assert run_command[0].outcome == "fails" and reads(
        run_command[0].reason, "in the floating position"
    )


def test_weather_without_a_period_of_roll() -> None:
    run_command = verdict(is_code_weather.check, windy(0.6, 0.05, GM=0.0), "2.3.1.4")
    assert run_command.outcome == "fails" and reads(run_command.reason, "no roll period")


def test_weather_without_a_draught_is_not_known() -> None:
    run_command = verdict(is_code_weather.check, windy(0.6, 0.05, draft=0.0), "2.3.1.4")
    assert run_command.outcome == "not known" and reads(run_command.reason, "baseline")


def test_weather_without_windage_has_no_case() -> None:
    calm = LateralProfile(0.0, nan, nan, 120.0, 2.0, 20.0)
    for yardstick in (False, True):
        run_command = is_code_weather.check(ship(sine(1.0), profile=calm), yardstick)
        assert [v.outcome for v in run_command] == ["not applicable"] * 2


def test_weather_without_a_deck_edge() -> None:
    bare = {"deck_edge_angle": inf, "freeboard": nan}
    run_command = verdict(is_code_weather.check, windy(0.6, 0.05, **bare), "2.3.1.2")
    assert run_command.outcome == "not known" and reads(run_command.reason, "deck edge")
    run_command = verdict(is_code_weather.check, windy(0.6, 0.2, **bare), "2.3.1.2")
    assert run_command.outcome == "fails"


def test_weather_on_a_curve_of_one_side_is_not_known() -> None:
    half = windy(0.6, 0.05, gz_curve=sine(0.6, first=0.0))
    assert verdict(is_code_weather.check, half, "2.3.1.4").outcome == "not known"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"breadth": 8.75, "draft": 2.5, "KG": 2.5}, "B/d is 3.5"),
        ({"KG": 1.51 * 8 / 2.4}, "KG/d - 1 is 0.51"),
        ({"KG": 0.69 * 8 / 2.4}, "KG/d - 1 is -0.31"),
        ({"GM": 0.01}, "roll period is 65.8 s"),
    ],
)
def test_beyond_the_range_of_the_tables(changes: dict[str, float], words: str) -> None:
    inside = verdict(is_code_weather.check, windy(0.6, 0.05, KG=8 / 2.4), "2.3.1.4")
    assert "tables" not in inside.reason
    run_command = verdict(is_code_weather.check, windy(0.6, 0.05, **changes), "2.3.1.4")
    assert reads(run_command.reason, words)


# 2008 IS Code, A 3.1


def passenger(**facts: Any) -> Service:
    return Service(kind="passenger", **facts)


@around
@pytest.mark.parametrize(("reported", "mass"), [(None, 75.0), (60.0, 60.0)])
def test_crowding(factor: float, reported: float | None, mass: float) -> None:
    """tan p = n m y / (W k): 10 degrees."""
    heel = radians(factor * 10)
    offset = tan(heel) * 0.5 * MASS / (100 * mass)
    service = passenger(passengers=100, passenger_mass=reported, passenger_offset=offset)
    crowded = ship(sine(0.5, degrees(heel)), service=service)
    run_command = verdict(is_code_passengers.check, crowded, "3.1.1")
    assert run_command.attained == pytest.approx(10 * factor, rel=1e-8)
    assert (run_command.required, run_command.outcome) == (
        pytest.approx(10),
        outcome(factor, False),
    )
    assert reads(run_command.reason, "1 m above the deck")


@around
def test_turning(factor: float) -> None:
    """0.2 v^2 / L (KG - d/2) / g = k tan 10."""
    heel = radians(factor * 10)
    speed = sqrt(0.5 * tan(heel) * 9.81 * 40 / (0.2 * (2.5 - 1.25)))
    turning = ship(sine(0.5, degrees(heel)), service=passenger(speed=speed))
    run_command = verdict(is_code_passengers.check, turning, "3.1.2")
    assert run_command.attained == pytest.approx(10 * factor, rel=1e-8)
    assert run_command.outcome == outcome(factor, False)


def test_passengers_untold() -> None:
    run_command = is_code_passengers.check(ship(sine(0.5), service=passenger()), False)
    assert [v.outcome for v in run_command] == ["not known"] * 2
    assert reads(run_command[0].reason, "give passengers,") and reads(
        run_command[1].reason, "give speed_m_s,"
    )
    run_command = is_code_passengers.check(ship(sine(0.5), service=passenger(passengers=5)), False)
    assert reads(run_command[0].reason, "give passenger_offset_m,")


def test_crowding_is_for_passenger_ships() -> None:
    cargo = ship(sine(0.5), service=Service(kind="cargo", speed=5.0))
    run_command = is_code_passengers.check(cargo, False)
    assert [v.outcome for v in run_command] == ["not applicable"] * 2
    run_command = is_code_passengers.check(cargo, True)
    assert [v.outcome for v in run_command] == ["not applicable", "passes"]
    assert run_command[1].yardstick and reads(run_command[1].reason, "yardstick")


def test_a_crowd_puts_it_over_or_under() -> None:
    service = passenger(passengers=100, passenger_offset=4.0)
    over = verdict(is_code_passengers.check, ship(sine(-0.5), service=service), "3.1.1")
    assert over.outcome == "fails" and reads(over.reason, "capsizes")
    wet = ship(
        sine(0.5), service=service, downflooding_angle=radians(2), downflooding_opening="port light"
    )
    run_command = verdict(is_code_passengers.check, wet, "3.1.1")
    assert run_command.outcome == "fails" and reads(run_command.reason, "'port light' at 2 degrees")


def test_the_deck_of_the_passengers_is_named() -> None:
    service = passenger(passengers=10, passenger_offset=1.0, passenger_deck_z=3.2)
    run_command = verdict(is_code_passengers.check, ship(sine(0.5), service=service), "3.1.1")
    assert reads(run_command.reason, "at z 4.20 m")


# 46 CFR 170.170


@around
@pytest.mark.parametrize(
    ("waters", "pressure"),
    [("exposed", 0.055), ("partially protected", 0.036), ("protected", 0.028)],
)
def test_us_weather(factor: float, waters: Any, pressure: float) -> None:
    """P A H / (W tan 14) in tonnes and meters."""
    least = (pressure + (40 / 1309) ** 2) * 100 * 5 / (1000 * tan(radians(14)))
    windy = ship(sine(1.0), GM=factor * least, service=Service(waters=waters))
    run_command = verdict(cfr_170_170_weather.check, windy, "170.170")
    assert run_command.required == pytest.approx(least) and run_command.outcome == outcome(factor)


@pytest.mark.parametrize(
    ("service", "share"),
    [(Service(), 0.5), (Service(kind="sailing"), 1.0), (Service(propulsion="sail"), 1.0)],
)
def test_us_weather_by_the_freeboard(service: Service, share: float) -> None:
    low = ship(sine(1.0), deck_edge_angle=radians(10), service=service)
    run_command = verdict(cfr_170_170_weather.check, low, "170.170")
    moment = (0.055 + (40 / 1309) ** 2) * 100 * 5 / 1000
    assert run_command.required == pytest.approx(moment / (share * tan(radians(10))))


def test_us_weather_without_a_deck_edge_or_with_it_under_water() -> None:
    bare = {"deck_edge_angle": inf, "freeboard": nan}
    assert verdict(cfr_170_170_weather.check, ship(sine(1), **bare), "170").outcome == "not known"
    assert (
        verdict(cfr_170_170_weather.check, ship(sine(1), GM=0.01, **bare), "170").outcome == "fails"
    )
    run_command = verdict(cfr_170_170_weather.check, ship(sine(1), deck_edge_angle=0.0), "170")
    assert (
        run_command.outcome == "fails"
        and run_command.required is None
        and reads(run_command.reason, "deck edge")
    )
    calm = LateralProfile(0.0, nan, nan, 120.0, 2.0, 20.0)
    run_command = verdict(cfr_170_170_weather.check, ship(sine(1), profile=calm), "170")
    assert run_command.outcome == "not applicable"


def test_half_the_draught_stands_for_a_centre_below() -> None:
    half = ship(sine(1.0), profile=replace(PROFILE, area_below=0.0, center_below=nan))
    whole = ship(sine(1.0), profile=replace(PROFILE, center_below=1.25))
    assert cfr_170_170_weather.check(half, False) == cfr_170_170_weather.check(whole, False)


# 46 CFR 170.173


@around
@pytest.mark.parametrize(
    ("key", "curve", "required"),
    [
        ("(b)(2)", lambda f: broken((0, 0), (28, 1), (30, f * 0.2), (180, 0)), 0.2),
        ("(b)(4)", lambda f: steps((30, f * radians(3.15) / (pi / 6)), (180, 1)), radians(3.15)),
        (
            "(b)(5)",
            lambda f: steps(
                (30, f * radians(3.29) / (pi / 6)), (40, f * radians(1.86) / (pi / 18)), (170, 1)
            ),
            radians(5.15),
        ),
        ("(b)(6)", lambda f: broken(
            (0, 0.2), (30, 0.2), (30, f * radians(1.72) / (pi / 18)),
            (40, f * radians(1.72) / (pi / 18)), (40, 1), (180, 0)), radians(1.72)),
    ],
)  # fmt: skip
def test_us_righting_b(
    key: str, curve: Callable[[float], GZCurve], required: float, factor: float
) -> None:
    verdicts = {v.clause[7:]: v for v in cfr_170_173_gz_curve.common(ship(curve(factor)))}
    run_command = verdicts[key]
    assert run_command.required == pytest.approx(required) and run_command.outcome == outcome(
        factor
    )


@around
@pytest.mark.parametrize(("key", "required"), [("(b)(1)", 0.15), ("(b)(3)", 25.0)])
def test_us_righting_b_GM_and_angle(key: str, required: float, factor: float) -> None:
    peak = factor * required if key == "(b)(3)" else 40.0
    GM = factor * required if key == "(b)(1)" else 1.0
    curve = broken((0, 0), (peak, 1), (90, 0.5), (180, 0))
    verdicts = {v.clause[7:]: v for v in cfr_170_173_gz_curve.common(ship(curve, GM=GM))}
    assert verdicts[key].outcome == outcome(factor)


def early(peak: float, factor: float = 1.0) -> GZCurve:
    """Maximum GZ at a heel (deg), with just so much area under it as (c)(5) asks; too little of
    an arm at 30 degrees for (b)(2)."""
    area = factor * radians(3.15 + 0.057 * (30 - peak))
    top = 2 * area / radians(peak)
    return broken((0, 0), (peak, top), (peak, 0.19), (180, 0.1))


@around
def test_us_righting_c_area_to_the_peak(factor: float) -> None:
    run_command = verdict(cfr_170_173_gz_curve.check, ship(early(20.0, factor)), "(c)(5)")
    assert run_command.required == pytest.approx(radians(3.15 + 0.57))
    assert run_command.attained == pytest.approx(factor * radians(3.72), rel=1e-9)
    assert run_command.outcome == outcome(factor)
    assert reads(run_command.reason, "in place of (b)")


@around
def test_us_righting_c_limits(factor: float) -> None:
    run_command = verdict(cfr_170_173_gz_curve.check, ship(early(factor * 15, 1.1)), "(c)(2)")
    assert run_command.outcome == outcome(factor)
    run_command = verdict(cfr_170_173_gz_curve.check, ship(early(20), GM=factor * 0.15), "(c)(1)")
    assert run_command.outcome == outcome(factor)
    to_40 = broken((0, 0.5), (1, 0.5), (1, (f := factor) * 0.1), (40, f * 0.1), (180, 0))
    area = 0.5 * radians(1) + f * 0.1 * radians(39)
    run_command = verdict(cfr_170_173_gz_curve.check, ship(to_40), "(c)(3)")
    assert run_command.attained == pytest.approx(area) and run_command.outcome == "fails"


@pytest.mark.parametrize(("peak", "paragraph"), [(30.0, "(c)"), (30.0 + TINY, "(b)")])
def test_us_righting_c_stands_for_b_up_to_30_degrees(peak: float, paragraph: str) -> None:
    low = ship(broken((0, 0), (peak, 0.19), (60, 0.18), (180, 0)))
    run_command = cfr_170_173_gz_curve.check(low, False)
    assert all(paragraph in v.clause for v in run_command)
    good = cfr_170_173_gz_curve.check(ship(steps((28, 2), (180, 1))), False)
    assert not any("(c)" in v.clause for v in cfr_170_173_gz_curve.check(ship(sine(1.0)), False))
    assert all("(c)" in v.clause for v in good)


@pytest.mark.parametrize(
    ("changes", "applies"),
    [
        ({"length": 100.0 - TINY}, True),
        ({"length": 100.0}, False),
        ({"service": Service(load_line_length=100.0)}, False),
        ({"service": Service(kind="tug")}, False),
        ({"service": Service(kind="sailing")}, False),
        ({"service": Service(propulsion="manual")}, False),
        ({"service": Service(propulsion="outboard")}, True),
    ],
)
def test_us_righting_scope(changes: dict[str, Any], applies: bool) -> None:
    run_command = cfr_170_173_gz_curve.check(ship(sine(1.0), **changes), False)
    assert {v.outcome for v in run_command} == {"passes" if applies else "not applicable"}
    run_command = cfr_170_173_gz_curve.check(ship(sine(1.0), **changes), True)
    assert {v.outcome for v in run_command} == {"passes"}


def test_us_righting_without_an_arm_stays_with_b() -> None:
    run_command = cfr_170_173_gz_curve.check(ship(sine(-1.0), GM=-1.0), False)
    assert {v.outcome for v in run_command} == {"fails"} and "(b)" in run_command[0].clause


# 46 CFR 178.330


def small(arms: GZCurve, **changes: Any) -> CriteriaInputs:
    """A passenger boat of 10 t, 12 m long."""
    changes = {"service": passenger(passengers=20), **changes}
    return ship(arms, **{"mass": 10e3, "length": 12.0, "length_overall": 12.0, **changes})


@around
@pytest.mark.parametrize(("deck", "limit"), [(45.0, 14.0), (20.0, degrees(atan(tan(pi / 9) / 2)))])
def test_us_crowd(factor: float, deck: float, limit: float) -> None:
    """tan p = n m Bp / 6 / (W k)."""
    heel = radians(factor * limit)
    breadth = tan(heel) * 0.8 * 10e3 * 6 / (20 * 80)
    service = passenger(passengers=20, passenger_mass=80.0, passenger_deck_breadth=breadth)
    boat = small(sine(0.8, degrees(heel)), service=service, deck_edge_angle=radians(deck))
    run_command = verdict(cfr_178_330_passengers.check, boat, "Mp")
    assert run_command.required == pytest.approx(limit)
    assert run_command.attained == pytest.approx(factor * limit, rel=1e-8)
    assert run_command.outcome == outcome(factor, False)


def test_us_crowd_takes_185_lb_and_the_whole_breadth_unless_given() -> None:
    run_command = verdict(cfr_178_330_passengers.check, small(sine(2.0)), "Mp")
    assert run_command.attained == pytest.approx(
        degrees(atan(20 * 83.9 * 8 / 6 / 10e3 / 2)), rel=1e-6
    )
    assert reads(run_command.reason, "passenger_deck_breadth_m")


@around
@pytest.mark.parametrize(
    ("waters", "pressure"), [("exposed", 73.3), ("partially protected", 48.8), ("protected", 36.6)]
)
def test_us_wind(factor: float, waters: Any, pressure: float) -> None:
    """tan 14 = P A H / (W k), H above the waterline."""
    heel = radians(factor * 14)
    area = tan(heel) * 0.8 * 10e3 / (pressure * 3.0)
    boat = small(
        sine(0.8, degrees(heel)),
        profile=replace(PROFILE, area_above=area),
        service=passenger(waters=waters),
    )
    run_command = verdict(cfr_178_330_passengers.check, boat, "Mw")
    assert run_command.attained == pytest.approx(factor * 14, rel=1e-8)
    assert run_command.outcome == outcome(factor, False)


@pytest.mark.parametrize(
    ("cockpit", "waters", "share"),
    [
        (0.0, "exposed", 0.5),
        (6.0, "exposed", (24 - 9) / 48),
        (6.0, "protected", (24 - 6) / 48),
        (6.0, "partially protected", (24 - 6) / 48),
        (12.0, "exposed", 0.25),
        (12.0, "protected", 0.25),
    ],
)
def test_share_of_the_freeboard(cockpit: float, waters: Any, share: float) -> None:
    boat = small(sine(1.0), service=passenger(cockpit_length=cockpit, waters=waters))
    assert cfr_178_330_passengers.immersed_share(boat) == pytest.approx(share)


def test_small_passenger_facts_and_degenerate_cases() -> None:
    check = cfr_178_330_passengers.check
    run_command = verdict(check, small(sine(1.0), service=passenger()), "Mp")
    assert run_command.outcome == "not known" and reads(run_command.reason, "give passengers,")
    calm = LateralProfile(0.0, nan, nan, 120.0, 2.0, 20.0)
    assert verdict(check, small(sine(1.0), profile=calm), "Mw").outcome == "not applicable"
    bare = small(sine(40.0), deck_edge_angle=inf, freeboard=nan)
    assert {v.outcome for v in check(bare, False)} == {"not known"}
    assert {v.outcome for v in check(small(sine(-1.0)), False)} == {"fails"}
    run_command = check(small(sine(40.0), service=Service()), True)
    assert [v.outcome for v in run_command] == ["not applicable", "passes"]


@pytest.mark.parametrize(
    ("changes", "applies"),
    [
        ({"length_overall": 65 * 0.3048}, True),
        ({"length_overall": 65 * 0.3048 + TINY}, False),
        ({"service": passenger(passengers=150)}, True),
        ({"service": passenger(passengers=151)}, False),
        ({"service": Service(kind="cargo", passengers=5)}, False),
        ({"service": passenger(passengers=5, propulsion="sail")}, False),
    ],
)
def test_small_passenger_scope(changes: dict[str, Any], applies: bool) -> None:
    run_command = cfr_178_330_passengers.check(small(sine(1.0), **changes), False)
    assert all((v.outcome != "not applicable") == applies for v in run_command)
    run_command = cfr_178_330_passengers.check(small(sine(1.0), **changes), True)
    assert all(v.outcome in ("passes", "fails") for v in run_command)


def test_codes_for_one_hull_say_so() -> None:
    scopes = {code.key: code.scope for code in CODES}
    assert all("single-hulled" in scopes[key] for key in ("46-cfr-178.330", "33-cfr-183"))
    crowd, wind = cfr_178_330_passengers.check(
        small(sine(40.0), service=passenger(passengers=9)), False
    )
    for run_command in (crowd, wind, verdict(cfr_183_small_boats.check, boat(), "183.35")):
        assert reads(run_command.reason, "multihulls are not meant")


# 33 CFR 183

LB = 0.45359237


def boat(mass: float = 400.0, **facts: Any) -> CriteriaInputs:
    """A boat of 300 kg, 4 m long, that displaces 4 m3 of fresh water at the brim."""
    reported = {"propulsion": "outboard", "boat_mass": 300.0, "motor_mass": 50.0, **facts}
    return ship(
        sine(0.5),
        mass=mass,
        length_overall=4.0,
        max_displaced_volume=4.0,
        service=Service(**reported),
    )


CAPACITY = (4 * 62.4 * LB / 0.3048**3 - 300) / 5


@around
def test_outboard_weight_capacity(factor: float) -> None:
    run_command = verdict(cfr_183_small_boats.check, boat(300 + factor * CAPACITY), "183.35")
    assert run_command.required == pytest.approx(CAPACITY) == pytest.approx(739.64, abs=0.01)
    assert run_command.outcome == outcome(factor, False) and reads(run_command.reason, "memory")


def test_weight_given_counts_where_it_is_not_on_board() -> None:
    light = boat(350.0, passengers=9, passenger_mass=80.0)
    run_command = verdict(cfr_183_small_boats.check, light, "183.35")
    assert run_command.attained == 9 * 80.0 + 50 and run_command.outcome == "fails"


@around
def test_persons_by_weight(factor: float) -> None:
    each = factor * (CAPACITY - 50) / 8
    run_command = verdict(
        cfr_183_small_boats.check, boat(passengers=8, passenger_mass=each), "183.41(a)"
    )
    assert run_command.required == pytest.approx(CAPACITY - 50)
    assert run_command.outcome == outcome(factor, False)


@pytest.mark.parametrize(
    ("persons", "run_command"), [(10, "passes"), (11, "passes"), (12, "fails")]
)
def test_persons_by_number(persons: int, run_command: str) -> None:
    """(689.64 / 0.45359 + 32) / 141 = 11.01."""
    found = verdict(cfr_183_small_boats.check, boat(passengers=persons), "183.41(b)")
    assert (found.required, found.outcome, found.unit) == (11, run_command, "")


@pytest.mark.parametrize(
    ("pounds", "persons"), [(1.5 * 141 - 32, 2), (1.5 * 141 - 32 - 0.01, 1), (0.0, 0)]
)
def test_half_a_person_rounds_up(pounds: float, persons: int) -> None:
    assert cfr_183_small_boats.persons_number(pounds * LB) == persons


@pytest.mark.parametrize(
    ("left", "side", "mass"),
    [
        (550 * LB, None, 550 * LB),
        (549.9 * LB, None, None),
        (549.9 * LB, 300 * LB, 500 * LB),
        (549.9 * LB, 400 * LB, 549.9 * LB),
    ],
)
def test_below_550_lb_the_boat_is_tested(
    left: float, side: float | None, mass: float | None
) -> None:
    found = cfr_183_small_boats.persons_mass(left, 0.0, side)
    assert found == (None if mass is None else pytest.approx(mass))
    assert cfr_183_small_boats.persons_mass(100.0, 110.0, 10.0) == 0.0


@pytest.mark.parametrize(
    ("facts", "key", "gives"),
    [
        ({"propulsion": None}, "183.31(a)", "give propulsion,"),
        ({"boat_mass": None}, "183.35", "give boat_mass_kg,"),
        ({"propulsion": "manual", "boat_mass": None}, "183.37", "give boat_mass_kg,"),
        ({"motor_mass": None}, "183.41(b)", "give motor_mass_kg,"),
        ({"motor_mass": 600.0}, "183.41(a)", "give side_load_kg,"),
        ({"passengers": 0}, "183.41(b)", "give passengers,"),
        ({"passengers": 2}, "183.41(a)", "give passenger_mass_kg,"),
        ({"propulsion": "inboard"}, "183.33", "not included"),
        ({"propulsion": "manual"}, "183.37", "by it the boat may carry 1109 kg"),
        ({"propulsion": "manual"}, "183.43(b)", "by it the boat may carry 16 persons"),
    ],
)
def test_small_boat_facts_that_are_missing(facts: dict[str, Any], key: str, gives: str) -> None:
    run_command = verdict(cfr_183_small_boats.check, boat(**facts), key)
    assert run_command.outcome == "not known" and reads(run_command.reason, gives)


@pytest.mark.parametrize(
    ("changes", "applies"),
    [
        ({"length_overall": 20 * 0.3048 - TINY}, True),
        ({"length_overall": 20 * 0.3048}, False),
        ({"service": Service(kind="tug", propulsion="outboard", boat_mass=1.0)}, False),
        ({"service": Service(kind="sailing", propulsion="outboard", boat_mass=1.0)}, False),
    ],
)
def test_small_boat_scope(changes: dict[str, Any], applies: bool) -> None:
    run_command = cfr_183_small_boats.check(replace(boat(), **changes), False)
    assert all((v.outcome != "not applicable") == applies for v in run_command)
    assert cfr_183_small_boats.check(replace(boat(), **changes), True)[0].outcome in (
        "passes",
        "fails",
    )


def test_no_case_for_sailing_boats() -> None:
    run_command = cfr_183_small_boats.check(boat(propulsion="sail"), True)
    assert {v.outcome for v in run_command} == {"not applicable"}


def test_the_brim_is_the_lowest_way_in() -> None:
    hull = build_hull(bodies.mesh(bodies.box(10, 4, 3)))
    vent = Opening("vent", np.array([5.0, 0.0, 2.0]))
    assert max_displaced_volume(Case("box", hull)) == pytest.approx(120.0)
    assert max_displaced_volume(Case("box", hull, openings=(vent,))) == pytest.approx(80.0)
    tight = replace(vent, weathertight=True)
    assert max_displaced_volume(Case("box", hull, openings=(tight,))) == pytest.approx(120.0)


# The user's own


OWN = ship(sine(1.0), downflooding_angle=radians(50), downflooding_opening="vent")


@pytest.mark.parametrize(
    ("facts", "value", "unit"),
    [
        ({"measure": "GM"}, 1.0, "m"),
        ({"measure": "GZ", "start": pi / 6}, 0.5, "m"),
        ({"measure": "maximum GZ"}, sin(radians(50)), "m"),
        ({"measure": "maximum GZ", "start": pi / 6}, sin(radians(50)), "m"),
        ({"measure": "angle of maximum GZ"}, radians(50), "deg"),
        ({"measure": "area", "start": 0.1, "end": 0.5}, cos(0.1) - cos(0.5), "m rad"),
        ({"measure": "area", "start": 0.0, "end": 1.5}, 1 - cos(radians(50)), "m rad"),
        ({"measure": "range"}, radians(50), "deg"),
        ({"measure": "downflooding angle"}, radians(50), "deg"),
        ({"measure": "deck-edge immersion angle"}, radians(45), "deg"),
        ({"measure": "freeboard"}, 1.5, "m"),
        ({"measure": "heel under moment", "moment": 0.2 * MASS}, atan(0.2), "deg"),
    ],
)
@around
def test_own_rules(facts: dict[str, Any], value: float, unit: str, factor: float) -> None:
    shown = degrees(value) if unit == "deg" else value
    bound = value / factor + (2e-7 if factor < 1 else -2e-7)
    least, most = check_custom(OWN, CustomCriterion("mine", least=bound, most=bound, **facts))
    assert least.attained == most.attained == pytest.approx(shown, abs=1e-5)
    assert least.unit == unit and least.clause == "mine"
    assert {least.outcome, most.outcome} == {"passes", "fails"}
    assert least.outcome == ("fails" if factor < 1 else "passes")


def own(ship: CriteriaInputs, **facts: Any) -> Verdict:
    (run_command,) = check_custom(ship, CustomCriterion("mine", **facts))
    return run_command


def test_own_rules_at_their_limits() -> None:
    assert own(OWN, measure="GM", least=1.0).outcome == "passes"
    assert own(OWN, measure="GM", most=1.0).outcome == "passes"


def test_own_rules_in_degenerate_cases() -> None:
    calm = ship(sine(1.0, last=150.0), deck_edge_angle=inf, freeboard=nan)
    never = own(calm, measure="angle of vanishing stability", least=1.0)
    assert never.outcome == "passes" and never.attained is None and reads(never.reason, "reached")
    assert own(calm, measure="angle of vanishing stability", most=1.0).outcome == "fails"
    assert own(calm, measure="downflooding angle", least=1.0).outcome == "passes"
    assert own(calm, measure="deck-edge immersion angle", least=0.1).outcome == "not known"
    assert own(calm, measure="freeboard", least=0.1).outcome == "not known"
    assert own(calm, measure="GZ", start=3.0, least=0.1).outcome == "not known"
    over = ship(sine(-1.0))
    assert own(over, measure="heel under moment", moment=1.0, most=1.0).outcome == "fails"
    assert own(over, measure="angle of maximum GZ", least=0.1).outcome == "fails"
    assert own(over, measure="range", least=0.1).attained == 0.0
    listing = ship(sine(1.0).minus(Lever("list", 0.1, 1)))
    assert own(listing, measure="range", least=0.1).attained == pytest.approx(
        180 - degrees(atan(0.1)), rel=1e-6
    )
    early = own(OWN, measure="maximum GZ", start=1.0, least=0.1)
    assert early.outcome == "fails" and "vent" in names(early.reason)
    cut = own(OWN, measure="area", start=0.0, end=1.0, least=0.1)
    assert reads(cut.reason, "'vent' at 50 degrees")


def test_own_rules_count_no_arm_beyond_flooding() -> None:
    for limit in ("least", "most"):
        beyond = own(OWN, measure="GZ", start=radians(50.1), **{limit: 0.5})
        assert (beyond.outcome, beyond.attained) == ("fails", None)
        assert reads(beyond.reason, "'vent' at 50 degrees, so no righting lever beyond counts")
    for measure in ("angle of maximum GZ", "range"):
        counted = own(OWN, measure=measure, least=0.1)
        assert reads(counted.note, "'vent' at 50 degrees, and no GZ counts")
    vanishes = own(OWN, measure="angle of vanishing stability", least=0.1)
    assert names(vanishes.note) == ["vent"]
    assert reads(
        vanishes.note, "downflooding comes first: water comes in through 'vent' at 50 degrees"
    )
    dry = ship(sine(1.0))
    for measure in ("angle of maximum GZ", "range", "angle of vanishing stability"):
        assert not own(dry, measure=measure, least=0.1).note
    wet = ship(sine(1.0), downflooding_angle=-0.1, downflooding_opening="vent")
    assert own(wet, measure="range", least=0.1).attained == 0.0
    peak = own(wet, measure="angle of maximum GZ", least=0.1)
    assert peak.outcome == "fails" and reads(peak.reason, "'vent' in the floating position")


# All together


def test_the_registry() -> None:
    assert [code.key for code in CODES] == [
        "is-code-2.2",
        "is-code-2.3",
        "is-code-3.1",
        "46-cfr-170.170",
        "46-cfr-170.173",
        "46-cfr-178.330",
        "33-cfr-183",
    ]
    for code in CODES:
        run_command = code.check(ship(sine(1.0)), False)
        assert run_command and all(v.code == code.title for v in run_command)


def test_all_codes_or_those_named_and_the_users_own() -> None:
    small = ship(sine(1.0), length=12.0)
    rule = CustomCriterion("mine", "GM", least=2.0)
    everything = check_criteria(small, None, (rule,))
    assert [v.code for v in everything if v.code != "custom criteria"] == [
        v.code for code in CODES for v in code.check(small, False)
    ]
    assert (everything[-1].clause, everything[-1].outcome) == ("mine", "fails")
    named = check_criteria(small, ["is-code-2.2"])
    assert len(named) == 6 and all(v.yardstick for v in named)
    assert check_criteria(small, [], (rule,)) == everything[-1:]
    with refused("did you mean '46-cfr-170.170'"):
        check_criteria(small, ["46-cfr-170-170"])


def test_the_other_side_is_named_where_it_does_worse() -> None:
    """Equal arms, but water comes in at 45 degrees to port alone: only what looks beyond 40 heels
    it to port."""
    weaker = windy(0.6, 0.05)
    other = replace(weaker, downflooding_angle=radians(45), downflooding_opening="vent")
    run_command = check_sides(weaker, other, "port", ["is-code-2.2", "is-code-2.3"])
    assert [v.clause for v in run_command if v.side == "port"] == [
        "2.2.2",
        "2.2.3",
        "2.3.1.4",
    ]
    assert run_command[:3] == check_criteria(weaker, ["is-code-2.2"])[:3]
    assert check_sides(weaker, weaker, "port") == check_criteria(weaker)


@pytest.mark.parametrize("k", [1.0, 0.25])
@pytest.mark.parametrize("turned", [False, True])
def test_a_side_that_floods_is_not_hidden(k: float, turned: bool) -> None:
    """Neither by the other side's pass nor by its failure with a figure."""
    dry = ship(sine(k))
    wet = replace(dry, downflooding_angle=radians(9), downflooding_opening="vent")
    run_command = check_sides(*((dry, wet) if turned else (wet, dry)), "port", ["is-code-2.2"])
    found = verdict(lambda *_: run_command, dry, FROM_30)
    assert found.outcome == "fails" and reads(found.reason, "'vent' at 9 degrees")
    assert (found.side == "port") == turned


def test_a_vent_that_floods_a_box_to_port_fails_it() -> None:
    """A vent in its side, 0.79 m above the water: atan(0.79 / 5) = 9 degrees."""
    hull = build_hull(bodies.mesh(bodies.box(30, 10, 6)))
    vent = Opening("vent", np.array([15.0, 5.0, 3.0 + 5.0 * tan(radians(9))]))
    load = Weight("all", 30 * 10 * 3 * 1025.0, np.array([15.0, 0.0, 3.0]))
    judged = assess(Case("box", hull, (load,), openings=(vent,), codes=("is-code-2.2",)))
    found = verdict(lambda *_: judged.verdicts, judged.inputs, FROM_30)
    assert found.outcome == "fails" and reads(found.reason, "'vent' at 9 degrees")
    assert not found.side


@pytest.mark.parametrize(("flooding", "paragraph"), [(30.0, "(b)"), (30.1, "(c)")])
def test_paragraph_c_needs_it_dry_to_30_degrees(flooding: float, paragraph: str) -> None:
    wet = ship(early(20.0), downflooding_angle=radians(flooding), downflooding_opening="vent")
    assert {v.clause[7:10] for v in cfr_170_173_gz_curve.check(wet, False)} == {paragraph}


def test_paragraphs_of_both_sides_are_reported() -> None:
    weaker, other = ship(early(20.0)), ship(sine(1.0))
    run_command = check_sides(weaker, other, "port", ["46-cfr-170.173"])
    assert [v.clause[7:10] for v in run_command] == ["(c)"] * 5 + ["(b)"] * 6


@pytest.mark.parametrize(("y", "side"), [(5.9, "port"), (-5.9, "starboard")])
def test_an_opening_off_the_centerline_tells_on_its_side(y: float, side: str) -> None:
    """A box whose arms are the same both ways, with a vent at one side of its house's top."""
    hull = build_hull(bodies.mesh(bodies.box(60, 12, 7)))
    vent = Opening("vent", np.array([30.0, y, 9.5]))
    load = Weight("all", 2952e3, np.array([30.0, 0.0, 4.0]))
    judged = assess(Case("box", hull, (load,), openings=(vent,), codes=("is-code-2.3",)))
    flooding = getattr(judged.stability, side).downflooding_angle
    assert 40 < degrees(flooding) < 50
    assert reads(judged.verdicts[1].reason, f"'vent' at {degrees(flooding):.3g} degrees")


def test_heeling_arms_are_those_it_was_judged_by() -> None:
    service = passenger(passengers=100, passenger_offset=1.0, speed=4.0)
    judged = ship(sine(1.0), service=service)
    rule = CustomCriterion("hook", "heel under moment", most=0.1, moment=5e3)
    run_command = check_criteria(judged, None, (rule,))
    arms = heeling_levers(judged, run_command, (rule, CustomCriterion("stiff", "GM", least=0.3)))
    assert [each.name for each in arms] == ["steady wind", "gust", "crowd", "turn", "hook"]
    assert arms[0].upright == pytest.approx(504 * 100 * 5 / (9.81 * MASS))
    assert arms[2].upright == pytest.approx(7.5e-3) and arms[4].upright == pytest.approx(5e-3)
    small = replace(judged, length=12.0, length_overall=12.0)
    assert [each.name for each in heeling_levers(small, check_criteria(small))] == ["crowd", "wind"]
    calm = replace(judged, profile=LateralProfile(0.0, nan, nan, 120.0, 2.0, 20.0))
    still = replace(calm, service=Service(kind="passenger"))
    assert heeling_levers(still, check_criteria(still, [code.key for code in CODES])) == ()


@pytest.mark.parametrize("arms", [sine(1.0), sine(-1.0), sine(0.05)])
@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"GM": -1.0},
        {"downflooding_angle": 0.0},
        {"downflooding_angle": radians(20)},
        {"deck_edge_angle": inf, "freeboard": nan},
        {"profile": LateralProfile(0.0, nan, nan, 0.0, nan, nan)},
        {"deck_edge_angle": 0.0},
    ],
)
def test_figures_are_finite_and_reasons_one_line(arms: GZCurve, changes: dict[str, Any]) -> None:
    service = passenger(passengers=9, passenger_offset=2.0, speed=5.0, passenger_mass=80.0)
    for run_command in check_criteria(
        ship(arms, service=service, **changes), [c.key for c in CODES]
    ):
        for figure in (run_command.required, run_command.attained):
            assert figure is None or np.isfinite(figure)
        assert (
            run_command.reason
            and "\n" not in run_command.reason
            and "nan" not in run_command.reason
        )


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"kind": "passneger"}, "did you mean 'passenger'"),
        ({"waters": "sheltered"}, "no kind of waters 'sheltered'"),
        ({"bilge": "hard"}, "no kind of bilge 'hard'"),
        ({"propulsion": "steam"}, "no propulsion 'steam'"),
        ({"passengers": -1}, "number of passengers is -1"),
        ({"passenger_mass": 0.0}, "mass of a passenger is 0 kg"),
        ({"passenger_deck_z": nan}, "height of the passengers' deck"),
        ({"passenger_deck_breadth": -2.0}, "breadth of the passengers' deck is -2 m"),
        ({"passenger_offset": nan}, "offset of a crowd is nan m"),
        ({"speed": -1.0}, "speed is -1 m/s"),
        ({"load_line_length": 0.0}, "load line length is 0 m"),
        ({"bilge_keel_area": inf}, "area of the bilge keels is inf m2"),
        ({"cockpit_length": -1.0}, "length of the cockpit is -1 m"),
        ({"boat_mass": -1.0}, "mass of the bare boat is -1 kg"),
        ({"motor_mass": -1.0}, "mass of the motor is -1 kg"),
        ({"side_load": -1.0}, "load along one side is -1 kg"),
    ],
)
def test_facts_that_cannot_be(facts: dict[str, Any], words: str) -> None:
    with refused(words):
        Service(**facts)
