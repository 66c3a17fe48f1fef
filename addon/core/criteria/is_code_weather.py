"""2008 IS Code (resolution MSC.267(85)), part A, 2.3: severe wind and rolling.

A steady wind heels the vessel to phi_0; waves roll it phi_1 to windward of that; there a gust sets
in. The heeling energy, area a, may not exceed what the GZ curve absorbs before downflooding, before
its second intercept with the gust or to 50 degrees of heel, area b.

The procedure is that of resolution A.749(18), 3.2, and the formulas for r, C and the period of roll
stand in 46 CFR 28.575 too; the tables X1, X2, k and s, the range in which they hold, and the 2008
text are from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, isnan, nan, radians, sqrt

import numpy as np

from ..messages.sentence import Sentence, joined, meters
from ..stability.heeling_levers import Lever
from .clause import Clause
from .criteria_inputs import CriteriaInputs
from .gz_clauses import heel_at_most
from .measures import (
    NO_WINDAGE,
    heel_under_lever,
    no_equilibrium_text,
    water_entry_text,
    wind_height,
)
from .scope import in_scope, too_short
from .verdict import Verdict

TITLE = "2008 IS Code, part A, 2.3"

STEADY = Clause(
    "is-code-2.3.steady_wind_heel", TITLE, "2.3.1.2", "Heel under a steady wind", "deg", "at most"
)
ENERGY = Clause(
    "is-code-2.3.gust_areas",
    TITLE,
    "2.3.1.4",
    "Area b against area a, in a gust after a roll",
    "m rad",
)

PRESSURE = 504.0
"""Wind pressure (Pa), 2.3.2."""
GRAVITY = 9.81
"""Acceleration of gravity (m/s2), as the code has it."""
GUST_FACTOR = 1.5
"""Lever of the gust over that of the steady wind."""
MAX_HEEL = radians(16.0)
"""Heel (rad) under the steady wind at most."""
DECK_SHARE = 0.8
"""Share of the angle of deck-edge immersion that the steady wind may heel to."""
MAX_GUST_HEEL = radians(50.0)
"""Heel (rad) at which area b ends at the latest."""

Table = tuple[tuple[float, ...], tuple[float, ...]]

# From memory: argument and value; constant beyond both ends.
X1: Table = (
    (2.4, 2.5, 2.6, 2.7, 2.8, 2.9, 3.0, 3.1, 3.2, 3.3, 3.4, 3.5),
    (1.00, 0.98, 0.96, 0.95, 0.93, 0.91, 0.90, 0.88, 0.86, 0.84, 0.82, 0.80),
)  # by B/d
X2: Table = ((0.45, 0.50, 0.55, 0.60, 0.65, 0.70), (0.75, 0.82, 0.89, 0.95, 0.97, 1.00))  # by CB
K: Table = (
    (0.0, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0),
    (1.00, 0.98, 0.95, 0.88, 0.79, 0.74, 0.72, 0.70),
)  # by 100 Ak / (Lwl B)
K_SHARP = 0.7
"""Factor k of a vessel with sharp bilges."""
S: Table = (
    (6.0, 7.0, 8.0, 12.0, 14.0, 16.0, 18.0, 20.0),
    (0.100, 0.098, 0.093, 0.065, 0.053, 0.044, 0.038, 0.035),
)  # by the period of roll, s


def interpolate(table: Table, at: float) -> float:
    """The value of a table, linear between its points and constant beyond its ends."""
    return float(np.interp(at, *table))


@dataclass(frozen=True)
class Rolling:
    """The roll to windward, `angle` (rad), with its factors.

    B is the hull's breadth, d the draft amidships, and CB is taken at the equilibrium waterline.
    `period` is the natural roll period (s), C its coefficient. `outside` states where the vessel is
    outside the range of the tables and formulas.
    """

    X1: float
    X2: float
    k: float
    r: float
    s: float
    C: float
    period: float
    angle: float
    outside: tuple[Sentence, ...]


@dataclass(frozen=True)
class SevereWind:
    """All figures of the criterion: heels in rad, areas in m rad.

    `steady` and `gust` are the heeling levers; `steady_heel` is phi_0. The area a lies between
    `windward`, which is phi_0 - phi_1, and `gust_heel`, the area b from there to `end`, phi_2. What
    does not exist is NaN: where the vessel capsizes, has no roll period, or rolls beyond the curve.
    """

    steady: Lever
    gust: Lever
    steady_heel: float
    rolling: Rolling | None
    windward: float
    gust_heel: float
    end: float
    a: float
    b: float


def check(ship: CriteriaInputs, yardstick: bool) -> tuple[Verdict, ...]:
    """The steady heel, and area b against area a, for ships of 24 m and more."""
    wind = severe_wind(ship)
    if wind is None:
        verdicts = STEADY.not_applicable(NO_WINDAGE), ENERGY.not_applicable(NO_WINDAGE)
    else:
        verdicts = _steady(ship, wind), _energy(ship, wind)
    return in_scope(verdicts, too_short(ship), yardstick)


def levers(ship: CriteriaInputs) -> tuple[Lever, ...]:
    """The heeling levers of the criterion: the steady wind and the gust."""
    wind = severe_wind(ship)
    return (wind.steady, wind.gust) if wind else ()


def severe_wind(ship: CriteriaInputs) -> SevereWind | None:
    """The figures of the criterion; None where nothing stands above the water."""
    if not ship.profile.area_above > 0:
        return None
    arm = PRESSURE * ship.profile.area_above * wind_height(ship) / (GRAVITY * ship.mass)
    steady, gust = Lever("steady wind", arm), Lever("gust", GUST_FACTOR * arm)
    rolling = roll_to_windward(ship)
    steady_heel, gust_heel = heel_under_lever(ship, steady), heel_under_lever(ship, gust)
    windward = steady_heel - rolling.angle if rolling else nan
    left = ship.gz_curve.minus(gust)
    falls = [each.heel for each in left.crossings if not each.rising and each.heel > gust_heel]
    end = min(MAX_GUST_HEEL, ship.downflooding_angle, *falls[:1])
    return SevereWind(
        steady,
        gust,
        steady_heel,
        rolling,
        windward,
        gust_heel,
        end,
        -left.area(windward, gust_heel),
        left.area(gust_heel, max(end, gust_heel)),
    )


def roll_to_windward(ship: CriteriaInputs) -> Rolling | None:
    """phi_1 = 109 k X1 X2 sqrt(r s) degrees; None where GM or the draft is not above zero."""
    if not (ship.GM > 0 and ship.draft > 0):
        return None
    breadth, draft = ship.breadth, ship.draft
    ratio = breadth / draft
    x1, x2 = interpolate(X1, ratio), interpolate(X2, ship.Cb)
    keels = 100 * ship.service.bilge_keel_area / (ship.LWL * breadth)
    k = K_SHARP if ship.service.bilge == "sharp" else interpolate(K, keels)
    r = max(0.73 + 0.6 * (ship.KG - draft) / draft, 0.0)
    C = 0.373 + 0.023 * ratio - 0.043 * ship.LWL / 100
    period = 2 * C * breadth / sqrt(ship.GM)
    s = interpolate(S, period)
    angle = radians(109 * k * x1 * x2 * sqrt(r * s))
    outside = tuple(_outside(ratio, ship.KG / draft - 1, period))
    return Rolling(x1, x2, k, r, s, C, period, angle, outside)


def _outside(ratio: float, height: float, period: float) -> Iterator[Sentence]:
    if not ratio < 3.5:
        yield Sentence("B/d is {ratio}, not below 3.5", ratio=f"{ratio:.3g}")
    if not -0.3 <= height <= 0.5:
        yield Sentence("KG/d - 1 is {ratio}, not between -0.3 and 0.5", ratio=f"{height:.3g}")
    if not period < 20:
        yield Sentence("the roll period is {time} s, not below 20 s", time=f"{period:.3g}")


def steady_limit(ship: CriteriaInputs) -> float:
    """The permissible heel (rad) under a steady wind: 16 degrees, or 80 % of the deck-edge
    immersion angle."""
    return min(MAX_HEEL, DECK_SHARE * max(ship.deck_edge_angle, 0.0))


def _steady(ship: CriteriaInputs, wind: SevereWind) -> Verdict:
    helps = Sentence("take off windage or lower weights")
    limit = steady_limit(ship)
    return heel_at_most(STEADY, ship, wind.steady, limit, helps, needs_deck_edge=True)


def _energy(ship: CriteriaInputs, wind: SevereWind) -> Verdict:
    if not ship.draft > 0:
        return ENERGY.not_known(
            Sentence(
                "the draft amidships is {draft}; put the baseline under the keel",
                draft=meters(ship.draft, ".3g"),
            )
        )
    if wind.rolling is None:
        words = "GM is {GM}, so there is no roll period"
        return ENERGY.fails(Sentence(words, GM=meters(ship.GM, ".3g")))
    if isnan(wind.gust_heel):
        return ENERGY.fails(no_equilibrium_text(ship, wind.gust))
    notes = []
    if wind.end <= wind.gust_heel:
        notes.append(
            Sentence(
                "in the gust the vessel heels to {angle} degrees, beyond area b",
                angle=f"{degrees(wind.gust_heel):.3g}",
            )
        )
    if ship.downflooding_angle < MAX_GUST_HEEL and wind.end == ship.downflooding_angle:
        notes.append(Sentence("{water}, which ends area b", water=water_entry_text(ship)))
    if wind.rolling.outside:
        where = joined("{before}, {after}", wind.rolling.outside)
        notes.append(Sentence("the vessel is outside the tables: {where}", where=where))
    helps = Sentence("take off windage, lower weights, fit bilge keels or raise openings")
    attained = nan if isnan(wind.a) else wind.b
    return ENERGY.judge(wind.a, attained, helps, joined("{before}; {after}", notes))
