"""What is left of the righting arms of a ship that has been damaged."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .arms import ArmCurve
from .floating import Floating
from .righting import Heeling, Held, RightingCurve, follow, heeling_of, resolution
from .roots import find_root
from .stability import Side

Array = NDArray[np.float64]

STRIDE = np.radians(8.1)
FARTHEST = np.radians(90.0)
SHARP = 1e-6
FAR = float("inf")
NOWHERE: Array = np.zeros((0, 3))


@dataclass(frozen=True)
class Residual:
    """What is left of the righting arms on the side to which a ship heels.

    `sign` is +1 to starboard and -1 to port; heels count positive to that side. From `heel`,
    where she rests, the arms are positive over `range` (rad), to the lesser of where they vanish
    and where water gets on into rooms that are dry; `greatest_arm` (m) and `area` (m rad) are those
    within it.
    """

    sign: int
    heel: float
    range: float
    greatest_arm: float
    area: float


def residual_of(side: Side) -> Residual:
    """What is left to one side, by her whole curve of arms."""
    end = min(side.vanishing, side.flooding, float(side.arms.heels[-1]))
    return _within(side.sign, side.arms, side.rest_heel, end)


def residual_from(floating: Floating, sign: int, reach: float, arm: float) -> Residual:
    """What is left to the side of `sign`, sought in strides from where she rests.

    It goes no farther than to a range of `reach` (rad) once there has been a righting `arm` (m),
    and 90 degrees at most. Short of these the curve is resolved as that of an intact ship.
    """
    assert floating.rest
    case = floating.case
    heeling = heeling_of(case)
    ways = [each.point[None] for each in case.openings if not each.weathertight]
    points = np.concatenate([NOWHERE, *ways, *(rim.reshape(-1, 3) for rim in case.hull.rims)])

    def above(held: Held) -> float:
        """How far the lowest way in stands above water (m)."""
        return float(held.attitude.heights(points).min(initial=FAR))

    here = heeling.held_by(floating.rest.attitude.heel_rad, floating.rest)
    start, chain, best = sign * here.heel, [here], 0.0
    while (best < arm or sign * here.heel < start + reach) and sign * here.heel < FARTHEST:
        here = heeling.at(here.heel + sign * STRIDE, here)
        if not here.settled:
            break
        chain.append(here)
        best = max(best, sign * here.arm)
        if sign * here.arm <= 0 or above(here) <= 0:
            break
    if len(chain) == 1:
        return Residual(sign, start, 0.0, 0.0, 0.0)
    before, end = (sign * held.heel for held in chain[-2:])
    heights = above(chain[-2]), above(chain[-1])
    ends = sign * here.arm <= 0 or heights[1] <= 0
    curve = _curve(heeling, chain, ends or best < arm or end < start + reach)
    arms = curve.arms if sign > 0 else curve.arms.mirrored()
    if heights[1] <= 0:
        end = find_root(
            lambda heel: above(curve.at(sign * heel)), before, end, *heights, tolerance=SHARP
        )
    falling = [each.heel for each in arms.crossings if not each.rising and each.heel > start]
    return _within(sign, arms, start, min([end, *falling]))


def _curve(heeling: Heeling, chain: list[Held], resolved: bool) -> RightingCurve:
    """Righting arms through a chain of heels, or through as many as the curve needs."""
    jumps: list[float] = []
    if resolved:
        heels = [held.heel for held in chain[1:]]
        chain = chain[:1]
        for heel in heels:
            follow(heeling, chain, heel, resolution(heeling.tree), jumps)
    held = sorted(chain, key=lambda each: each.heel)
    return RightingCurve(heeling, tuple(held), tuple(sorted(jumps)))


def _within(sign: int, arms: ArmCurve, start: float, end: float) -> Residual:
    """What counts of arms from one heel to another (rad)."""
    if not end > start:
        return Residual(sign, start, 0.0, 0.0, 0.0)
    greatest = arms.greatest(start, end)[1]
    return Residual(sign, start, end - start, greatest, arms.area(start, end))
