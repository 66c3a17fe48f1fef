"""Survival of a damaged vessel: the s-factor of SOLAS II-1, regulation 7-2.

The text is that in force since 2009, resolution MSC.216(82), its formulas and figures from memory.
Angles are in radians.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import radians, sqrt

from ..model.service import Kind
from .residual_gz import Residual

FINAL = 0.12, radians(16.0)
INTERMEDIATE = 0.05, radians(7.0)
PASSENGER_HEELS = radians(7.0), radians(15.0)
CARGO_HEELS = radians(25.0), radians(30.0)
SPARE_ARM = 0.04  # m
PERSON = 75.0  # kg
PERSON_OFFSET = 0.45  # of the breadth
WIND = 120.0  # N/m2
GRAVITY = 9.806  # m/s2, as in the regulation


def s_factor(
    residual: Residual,
    kind: Kind,
    mass: float,
    moment: float = 0.0,
    stages: Iterable[Residual] = (),
) -> float:
    """s of one damage case, from 0 (lost) to 1: 7-2.1, the least of those of the intermediate
    `stages` and of the final one times that of moments.

    `mass` (kg) is the displacement and `moment` (kg m) the greatest heeling moment of 7-2.4, which
    applies to passenger ships only.
    """
    last = s_final(residual.greatest_arm, residual.range, residual.heel, kind)
    if kind == "passenger":
        last *= s_moment(residual.greatest_arm, mass, moment)
    return min([last, *(s_intermediate(e.greatest_arm, e.range, e.heel, kind) for e in stages)])


def s_final(
    arm: float,
    reach: float,
    heel: float,
    kind: Kind,
    target: tuple[float, float] = FINAL,
) -> float:
    """s of the final stage, 7-2.3: K (GZmax / 0.12 m x range / 16 deg)^(1/4).

    K falls from 1 to 0 between heels of 25 and 30 degrees in a cargo ship, 7 and 15 in a passenger
    ship; other vessels are assessed by the latter, the stricter. A `target` of 0.20 m and 20
    degrees is that of ro-ro passenger ships in text since 2020.
    """
    least, most = CARGO_HEELS if kind == "cargo" else PASSENGER_HEELS
    heel = abs(heel)
    share = 1.0 if heel <= least else sqrt(max(0.0, most - heel) / (most - least))
    return share * _fourth_root(arm, reach, target)


def s_intermediate(arm: float, reach: float, heel: float, kind: Kind) -> float:
    """s of an intermediate stage, 7-2.2: (GZmax / 0.05 m x range / 7 deg)^(1/4).

    It is 0 past a heel of 15 degrees, 30 in a cargo ship. The regulation lets a cargo ship without
    cross-flooding devices have 1; the formula is applied here where stages are given.
    """
    most = CARGO_HEELS[1] if kind == "cargo" else PASSENGER_HEELS[1]
    return 0.0 if abs(heel) > most else _fourth_root(arm, reach, INTERMEDIATE)


def s_moment(arm: float, mass: float, moment: float) -> float:
    """s of heeling moments, 7-2.4: (GZmax - 0.04 m) displacement / moment, from 0 to 1."""
    if moment <= 0:
        return 1.0
    return min(1.0, max(0.0, (arm - SPARE_ARM) * mass / moment))


def heeling_moment(passengers: int, breadth: float, area: float, lever: float) -> float:
    """The greater moment (kg m) of passengers and wind, 7-2.4.1.

    75 kg each at 0.45 of the breadth; 120 N/m2 on the lateral area above water (m2), its centroid
    `lever` (m) above half the draft. The third, survival craft swung out, is not included.
    """
    crowd = PERSON * passengers * PERSON_OFFSET * breadth
    return max(crowd, WIND * area * lever / GRAVITY)


def arm_enough(mass: float, moment: float) -> float:
    """GZ (m) beyond which neither s of the final stage nor of moments grows."""
    return max(FINAL[0], SPARE_ARM + moment / mass)


def _fourth_root(arm: float, reach: float, target: tuple[float, float]) -> float:
    parts = (
        min(1.0, max(0.0, part / full)) for part, full in zip((arm, reach), target, strict=True)
    )
    first, second = parts
    return (first * second) ** 0.25
