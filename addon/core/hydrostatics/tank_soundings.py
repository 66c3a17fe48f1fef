"""Tank soundings: content over level, and the heeling moment of the free surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import UPRIGHT_UP, Attitude, up_from_angles
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from ..model.tanks import Tank, free_surface_moment

MAX_STEPS = 10_000
"""Levels that may be asked for."""


@dataclass(frozen=True)
class Soundings:
    """The content of a tank at levels, at one attitude.

    `up` (3,) is the world's up direction in ship axes; `levels` (n,) are heights of the surface
    above the tank's lowest point along it (m). By level: `fills`, shares of the capacity; `volumes`
    (m3) and `masses` (kg) of the content; its `centers` (n, 3) in ship axes, NaN where there is
    none; and `moments` (kg m) of its free surface, density times the second moment about its own
    longitudinal axis.
    """

    tank: Tank
    up: Floats
    levels: Floats
    fills: Floats
    volumes: Floats
    masses: Floats
    centers: Floats
    moments: Floats


def sounding_table(
    tank: Tank, steps: int | Sequence[float] = 10, heel: float = 0.0, trim: float = 0.0
) -> Soundings:
    """Capacity table of a tank, exact at every level, at a heel and a trim (rad).

    `steps` is a number of equal steps from its lowest point to its highest, or the levels (m) above
    the lowest point. Raises BadInputError for levels outside the tank.
    """
    up = up_from_angles(heel, trim)
    low, high = tank.body.span(up)
    levels = _levels(tank, steps, high - low)
    wet = [tank.body.below(Attitude(up, low + level)) for level in levels]
    whole = tank.body.volume
    empty = levels == 0
    fills = np.where(empty, 0.0, np.clip([part.volume / whole for part in wet], 0.0, 1.0))
    return Soundings(
        tank,
        up,
        levels,
        fills,
        fills * tank.capacity,
        fills * tank.density * tank.capacity,
        np.where(empty[:, None], np.nan, [part.buoyancy for part in wet]),
        np.where(empty, 0.0, [tank.density * tank.permeability * p.inertia[1, 1] for p in wet]),
    )


def _levels(tank: Tank, steps: int | Sequence[float], height: float) -> Floats:
    if isinstance(steps, int):
        if not 1 <= steps <= MAX_STEPS:
            raise BadInputError(
                Sentence(
                    "tank '{tank}': {steps} steps; give a number from 1 to {most}",
                    tank=Subject("tank", tank.name),
                    steps=steps,
                    most=MAX_STEPS,
                )
            )
        return np.linspace(0.0, height, steps + 1)
    levels = np.array(steps, dtype=np.float64)
    for level in levels[~((levels >= 0) & (levels <= height))]:
        raise BadInputError(
            Sentence(
                "tank '{tank}': there is no level of {level}; it is {height} from its lowest point "
                "to its highest",
                tank=Subject("tank", tank.name),
                level=meters(level, "g"),
                height=meters(height, ".4g"),
            )
        )
    return levels


def heeling_moments(tank: Tank, heels: Sequence[float]) -> tuple[Floats, Floats]:
    """Heeling moments (n,) of the liquid of a tank at heels (rad), in kg m.

    First by the free surface moment (FSM): the upright moment times the sine of the heel. Then by
    actual liquid transfer: the mass times the horizontal shift of its center to the low side from
    the upright position.
    """
    angles = np.array(heels, dtype=np.float64)
    classical = free_surface_moment(tank) * np.sin(angles)
    if not tank.mass:
        return classical, np.zeros_like(angles)
    still = tank.liquid(UPRIGHT_UP).center
    displacements = [tank.liquid(up_from_angles(heel, 0.0)).center - still for heel in heels]
    shifts = [
        -displacement[1] * np.cos(heel) + displacement[2] * np.sin(heel)
        for displacement, heel in zip(displacements, heels, strict=True)
    ]
    return classical, tank.mass * np.array(shifts)
