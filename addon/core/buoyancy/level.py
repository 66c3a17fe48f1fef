"""The level at which a body has a given volume below it."""

from __future__ import annotations

from ..arrays import Floats
from .attitude import Attitude
from .body import Body
from .immersion import Immersion

MAX_STEPS = 200
"""Newton steps and bisections, to bound time."""


def immersed_to_volume(
    tree: Body,
    up: Floats,
    volume: float,
    tolerance: float = 1e-14,
    near: float | None = None,
) -> Immersion:
    """The part of a body below the level along `up` at which it has the given volume (m3), by
    bracketed Newton.

    `near` is an initial level (m), half way up the body when None.
    """
    low, high = tree.span(up)
    level = low + (high - low) / 2 if near is None or not low < near < high else near
    for _ in range(MAX_STEPS):
        wet = tree.below(Attitude(up, level))
        excess = wet.volume - volume
        if abs(excess) <= tolerance * volume or high - low <= 1e-15 * tree.size:
            return wet
        low, high = (level, high) if excess < 0 else (low, level)
        step = level - excess / wet.waterplane_area if wet.waterplane_area > 0 else low
        level = step if low < step < high else low + (high - low) / 2
    return tree.below(Attitude(up, level))


def level_for_volume(tree: Body, up: Floats, volume: float) -> float:
    """Level along `up` below which the body has the given volume (m3)."""
    return immersed_to_volume(tree, up, volume).attitude.level
