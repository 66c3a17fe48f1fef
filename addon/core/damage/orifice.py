"""The orifice law: flow rate through a flooding path between two compartments.

Through each height z of a path flows `discharge sqrt(2 g head)` times its breadth there. The head
is the excess of the giving side: its level less z, or less the other level where that is higher,
plus its excess air pressure as a head. Only a wet side gives. A partly submerged path is so a weir
above and an orifice below, both in closed form: 2/3 sqrt(2 g) head^(3/2) and sqrt(2 g head).
Source: Torricelli's law, with a coefficient of discharge of 0.6 for a sharp-edged hole; common
practice.

Within `SMALLEST_HEAD` of zero head a cubic replaces the square root, so that the flow has a finite
slope there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Floats

GRAVITY = 9.80665
"""Standard acceleration of gravity (m/s2)."""
SMALLEST_HEAD = 1e-7
"""Head (m) below which the square root gives way to a cubic with a finite slope."""
SMALLEST_HEIGHT = 1e-6
"""Height (m) below which a path counts as lying flat."""


@dataclass(frozen=True)
class Flow:
    """Flows (m,) in m3/s from the first side to the second, and their derivatives (m,) with respect
    to the first level, the second level, and the air pressure head of the first side (m2/s)."""

    rate: Floats
    by_first: Floats
    by_second: Floats
    by_air_head: Floats


def flow(first: Floats, second: Floats, air_head: Floats, area: Floats, height: Floats) -> Flow:
    """Flows through paths (m,) from the first side to the second.

    `first` and `second` are the levels on both sides above the sill (m), `air_head` the air
    pressure head of the first side less that of the second (m), `area` the discharge coefficient
    times the area (m2) and `height` the vertical extent of the path above its sill (m), zero for a
    horizontal one.
    """
    own, air = np.array([first, second]), np.array([air_head, -air_head])
    flat = _flow_at_one_height(own, own[::-1], air, area)
    kinds = zip(
        flat,
        _flow_over_height(own, own[::-1], air, np.maximum(height, SMALLEST_HEIGHT)),
        strict=True,
    )
    rate, by_own, by_other, by_air_head = (
        np.where(height < SMALLEST_HEIGHT, *kind) for kind in kinds
    )
    full = area * np.sqrt(2 * GRAVITY)
    return Flow(
        full * (rate[0] - rate[1]),
        full * (by_own[0] - by_other[1]),
        full * (by_other[0] - by_own[1]),
        full * (by_air_head[0] + by_air_head[1]),
    )


def _flow_at_one_height(
    own: Floats, other: Floats, air_head: Floats, area: Floats
) -> tuple[Floats, ...]:
    """Square roots of the head with which one side gives through a horizontal path, and their
    derivatives with respect to its own level, the other level, and the air pressure. The air
    pressure counts in full once the path is its own breadth below the level."""
    breadth = np.sqrt(area)
    is_shallow = (air_head > 0) & (own < breadth)
    share = np.where(is_shallow, np.maximum(own, 0.0) / breadth, 1.0)
    root, slope = _smoothed_root(own - np.maximum(other, 0.0) + air_head * share)
    root, slope = np.where(own > 0, [root, slope], 0.0)
    by_own = slope * np.where(is_shallow, 1 + air_head / breadth, 1.0)
    return root, by_own, np.where(other > 0, -slope, 0.0), share * slope


def _flow_over_height(
    own: Floats, other: Floats, air_head: Floats, height: Floats
) -> tuple[Floats, ...]:
    """The same for a vertical path, averaged over its height."""
    top = np.clip(own, 0.0, height)
    both = np.minimum(np.clip(other, 0.0, height), top)
    root, slope = _smoothed_root(own - other + air_head)
    low = np.sqrt(np.maximum(own + air_head - both, 0.0))
    high = np.sqrt(np.maximum(own + air_head - top, 0.0))
    free = both < top
    rate = both * root + np.where(free, 2 / 3 * (low**3 - high**3), 0.0)
    by_air_head = both * slope + np.where(free, low - high, 0.0)
    surface = np.where((own > 0) & (own < height), np.where(free, high, root), 0.0)
    return (
        rate / height,
        (by_air_head + surface) / height,
        -both * slope / height,
        by_air_head / height,
    )


def _smoothed_root(head: Floats) -> tuple[Floats, Floats]:
    """Square root of positive heads (m), smoothed to a continuous slope."""
    edge = np.sqrt(SMALLEST_HEAD)
    root = np.sqrt(np.maximum(head, SMALLEST_HEAD))
    thin = np.clip(head, 0.0, SMALLEST_HEAD) / SMALLEST_HEAD
    slope = np.where(head < SMALLEST_HEAD, (1.5 - thin) / edge, 0.5 / root)
    root = np.where(head < SMALLEST_HEAD, edge * thin * (1.5 - thin / 2), root)
    return root, np.where(head < 0, 0.0, slope)
