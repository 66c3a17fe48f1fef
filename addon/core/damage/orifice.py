"""The orifice law: how fast water passes a way between two spaces.

Through each height z of a way flows `discharge sqrt(2 g head)` times its breadth there, the head
being what the side that gives has more than the other: its level less z, or less the other's level
where that lies higher, and what its air presses more. Only a wet side gives. A way part under
water is so a weir above and an orifice below, both in closed form: 2/3 sqrt(2 g) head^(3/2) and
sqrt(2 g head). Source: Torricelli's law, with a coefficient of discharge of 0.6 for a sharp-edged
hole; common practice.

Within `THIN` of no head the square root gives way to a cubic, so that the flow has a slope there.
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
    """Flows (m,) in m3/s from the first side to the second, and their slopes (m,) over the first
    level, the second level, and the push of the air on the first side (m2/s)."""

    rate: Array
    by_first: Array
    by_second: Array
    by_push: Array


def flow(first: Array, second: Array, push: Array, area: Array, height: Array) -> Flow:
    """Flows through ways (m,) from the first side to the second.

    `first` and `second` are the levels on both sides over the sill (m), `push` the head by which
    the first side's air presses more than the second's (m), `area` the discharge coefficient
    times the area (m2) and `height` how far the way reaches up from its sill (m), zero for one
    that lies flat.
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
    """Square roots of the head with which one side gives to the other, and their slopes over its
    own level, the other's, and the push, through a way at one height. Air presses all of that once
    it lies its own breadth deep."""
    breadth = np.sqrt(area)
    awash = (push > 0) & (own < breadth)
    share = np.where(awash, np.maximum(own, 0.0) / breadth, 1.0)
    root, slope = _root(own - np.maximum(other, 0.0) + push * share)
    root, slope = np.where(own > 0, [root, slope], 0.0)
    by_own = slope * np.where(awash, 1 + push / breadth, 1.0)
    return root, by_own, np.where(other > 0, -slope, 0.0), share * slope


def _tall(own: Array, other: Array, push: Array, height: Array) -> tuple[Array, ...]:
    """The same of an upright way, meant over its height."""
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
    """Square root of heads (m) that are positive, no less smooth than its slope."""
    edge = np.sqrt(THIN)
    root = np.sqrt(np.maximum(head, THIN))
    thin = np.clip(head, 0.0, THIN) / THIN
    slope = np.where(head < THIN, (1.5 - thin) / edge, 0.5 / root)
    root = np.where(head < THIN, edge * thin * (1.5 - thin / 2), root)
    return root, np.where(head < 0, 0.0, slope)
