"""Survival of a damaged vessel: the s-factor of SOLAS II-1, regulation 7-2.

The text is that in force since 2009, resolution MSC.216(82), its formulas and figures from memory.
Angles are in radians.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import radians, sqrt

from ..model.service import VesselKind
from .residual_gz import ResidualGZ

FINAL_STAGE = 0.12, radians(16.0)
"""Maximum GZ (m) and range (rad) that give s = 1 at the final stage, 7-2.3."""
INTERMEDIATE_STAGE = 0.05, radians(7.0)
"""The same at an intermediate stage, 7-2.2."""
PASSENGER_HEELS = radians(7.0), radians(15.0)
"""Heels (rad) between which K falls from 1 to 0 in a passenger ship."""
CARGO_HEELS = radians(25.0), radians(30.0)
"""Heels (rad) between which K falls from 1 to 0 in a cargo ship."""
GZ_DEDUCTION = 0.04
"""Part of the maximum GZ (m) that does not count against moments, 7-2.4."""
PASSENGER_MASS = 75.0
"""Mass of a passenger (kg), 7-2.4.1."""
PASSENGER_OFFSET_SHARE = 0.45
"""Offset of the passengers over the breadth, 7-2.4.1."""
WIND_PRESSURE = 120.0
"""Wind pressure (N/m2), 7-2.4.1."""
GRAVITY = 9.806
"""Acceleration of gravity (m/s2), as the regulation has it."""


def s_factor(
    residual: ResidualGZ,
    kind: VesselKind,
    mass: float,
    moment: float = 0.0,
    stages: Iterable[ResidualGZ] = (),
) -> float:
    """s of one damage case, from 0 (lost) to 1: 7-2.1, the least of those of the intermediate
    `stages` and of the final one times that of moments.

    `mass` (kg) is the displacement and `moment` (kg m) the greatest heeling moment of 7-2.4, which
    applies to passenger ships only.
    """
    last = s_final(residual.max_gz, residual.range, residual.heel, kind)
    if kind == "passenger":
        last *= s_moment(residual.max_gz, mass, moment)
    return min([last, *(s_intermediate(e.max_gz, e.range, e.heel, kind) for e in stages)])


def s_final(
    arm: float,
    reach: float,
    heel: float,
    kind: VesselKind,
    target: tuple[float, float] = FINAL_STAGE,
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


def s_intermediate(arm: float, reach: float, heel: float, kind: VesselKind) -> float:
    """s of an intermediate stage, 7-2.2: (GZmax / 0.05 m x range / 7 deg)^(1/4).

    It is 0 past a heel of 15 degrees, 30 in a cargo ship. The regulation lets a cargo ship without
    cross-flooding devices have 1; the formula is applied here where stages are given.
    """
    most = CARGO_HEELS[1] if kind == "cargo" else PASSENGER_HEELS[1]
    return 0.0 if abs(heel) > most else _fourth_root(arm, reach, INTERMEDIATE_STAGE)


def s_moment(arm: float, mass: float, moment: float) -> float:
    """s of heeling moments, 7-2.4: (GZmax - 0.04 m) displacement / moment, from 0 to 1."""
    if moment <= 0:
        return 1.0
    return min(1.0, max(0.0, (arm - GZ_DEDUCTION) * mass / moment))


def heeling_moment(passengers: int, breadth: float, area: float, lever: float) -> float:
    """The greater moment (kg m) of passengers and wind, 7-2.4.1.

    75 kg each at 0.45 of the breadth; 120 N/m2 on the lateral area above water (m2), its centroid
    `lever` (m) above half the draft. The third, survival craft swung out, is not included.
    """
    crowd = PASSENGER_MASS * passengers * PASSENGER_OFFSET_SHARE * breadth
    return max(crowd, WIND_PRESSURE * area * lever / GRAVITY)


def sufficient_GZ(mass: float, moment: float) -> float:
    """GZ (m) beyond which neither s of the final stage nor of moments grows."""
    return max(FINAL_STAGE[0], GZ_DEDUCTION + moment / mass)


def _fourth_root(arm: float, reach: float, target: tuple[float, float]) -> float:
    parts = (
        min(1.0, max(0.0, part / full)) for part, full in zip((arm, reach), target, strict=True)
    )
    first, second = parts
    return (first * second) ** 0.25
