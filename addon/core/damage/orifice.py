"""The orifice law: flow rate through a flooding path between two compartments.

Through each height z of a path flows `discharge sqrt(2 g head)` times its breadth there. The head
is the excess of the giving side: its level less z, or less the other level where that is higher,
plus its excess air pressure as a head. Only a wet side gives. A partly submerged path is so a weir
above and an orifice below, both in closed form: 2/3 sqrt(2 g) head^(3/2) and sqrt(2 g head).
Source: Torricelli's law, with a coefficient of discharge of 0.6 for a sharp-edged hole; common
practice.

Within `THIN` of zero head a cubic replaces the square root, so that the flow has a finite slope
there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

GRAVITY = 9.80665
THIN = 1e-7
FLAT = 1e-6


@dataclass(frozen=True)
class Flow:
    """Flows (m,) in m3/s from the first side to the second, and their derivatives (m,) with respect
    to the first level, the second level, and the air pressure head of the first side (m2/s)."""

    rate: Array
    by_first: Array
    by_second: Array
    by_push: Array


def flow(first: Array, second: Array, push: Array, area: Array, height: Array) -> Flow:
    """Flows through paths (m,) from the first side to the second.

    `first` and `second` are the levels on both sides above the sill (m), `push` the air pressure
    head of the first side less that of the second (m), `area` the discharge coefficient times the
    area (m2) and `height` the vertical extent of the path above its sill (m), zero for a horizontal
    one.
    """
    own, air = np.array([first, second]), np.array([push, -push])
    flat = _flat(own, own[::-1], air, area)
    kinds = zip(flat, _tall(own, own[::-1], air, np.maximum(height, FLAT)), strict=True)
    rate, by_own, by_other, by_push = (np.where(height < FLAT, *kind) for kind in kinds)
    full = area * np.sqrt(2 * GRAVITY)
    return Flow(
        full * (rate[0] - rate[1]),
        full * (by_own[0] - by_other[1]),
        full * (by_other[0] - by_own[1]),
        full * (by_push[0] + by_push[1]),
    )


def _flat(own: Array, other: Array, push: Array, area: Array) -> tuple[Array, ...]:
    """Square roots of the head with which one side gives through a horizontal path, and their
    derivatives with respect to its own level, the other level, and the air pressure. The air
    pressure counts in full once the path is its own breadth below the level."""
    breadth = np.sqrt(area)
    awash = (push > 0) & (own < breadth)
    share = np.where(awash, np.maximum(own, 0.0) / breadth, 1.0)
    root, slope = _root(own - np.maximum(other, 0.0) + push * share)
    root, slope = np.where(own > 0, [root, slope], 0.0)
    by_own = slope * np.where(awash, 1 + push / breadth, 1.0)
    return root, by_own, np.where(other > 0, -slope, 0.0), share * slope


def _tall(own: Array, other: Array, push: Array, height: Array) -> tuple[Array, ...]:
    """The same for a vertical path, averaged over its height."""
    top = np.clip(own, 0.0, height)
    both = np.minimum(np.clip(other, 0.0, height), top)
    root, slope = _root(own - other + push)
    low = np.sqrt(np.maximum(own + push - both, 0.0))
    high = np.sqrt(np.maximum(own + push - top, 0.0))
    free = both < top
    rate = both * root + np.where(free, 2 / 3 * (low**3 - high**3), 0.0)
    by_push = both * slope + np.where(free, low - high, 0.0)
    surface = np.where((own > 0) & (own < height), np.where(free, high, root), 0.0)
    return rate / height, (by_push + surface) / height, -both * slope / height, by_push / height


def _root(head: Array) -> tuple[Array, Array]:
    """Square root of positive heads (m), smoothed to a continuous slope."""
    edge = np.sqrt(THIN)
    root = np.sqrt(np.maximum(head, THIN))
    thin = np.clip(head, 0.0, THIN) / THIN
    slope = np.where(head < THIN, (1.5 - thin) / edge, 0.5 / root)
    root = np.where(head < THIN, edge * thin * (1.5 - thin / 2), root)
    return root, np.where(head < 0, 0.0, slope)
