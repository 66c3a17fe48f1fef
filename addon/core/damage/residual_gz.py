"""What is left of the righting arms of a ship that has been damaged."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude, up_from_angles
from ..buoyancy.body import Body
from ..hydrostatics.floating_position import Floating
from ..model.case import Case
from ..stability.both_sides import Side
from ..stability.gz_curve import ArmCurve
from ..stability.immersion_angles import first_under, going_under
from ..stability.righting_lever import Heeling, Held, RightingCurve, follow, heeling_of, resolution

Array = NDArray[np.float64]

STRIDE = np.radians(8.1)
FARTHEST = np.radians(90.0)
NOWHERE: Array = np.zeros((0, 3))
MIRROR = np.array([1.0, -1.0, 1.0])
PROBES = ((0.13, 0.011), (0.37, -0.017))  # heel and trim (rad) that no model has a reason to favour
ALIKE = 1e-7


@dataclass(frozen=True)
class Residual:
    """What is left of the righting arms on the side to which a ship heels.

    `sign` is +1 to starboard and -1 to port; heels count positive to that side. From `heel`,
    where she rests, the arms are positive over `range` (rad), to the lesser of where they vanish
    and where water gets on into rooms that are dry; `greatest_arm` (m) and `area` (m rad) are those
    within it. Not `whole` where they were sought no farther: then all three are at least so great.
    """

    sign: int
    heel: float
    range: float
    greatest_arm: float
    area: float
    whole: bool = True


def residual_of(side: Side) -> Residual:
    """What is left to one side, by her whole curve of arms."""
    end = min(side.vanishing, side.flooding, float(side.arms.heels[-1]))
    return _within(side.sign, side.arms, side.rest_heel, end)


def is_even(body: Body, attitude: Attitude) -> bool:
    """Whether two sides of a body are alike, by what planes near an attitude cut off it, heeled to
    either side."""
    middle = (body.low + body.high) / 2
    for heel, trim in PROBES:
        up = up_from_angles(attitude.heel_rad + heel, attitude.trim_rad + trim)
        level = attitude.level + float((up - attitude.up) @ middle)
        one, other = (body.below(Attitude(each, level)) for each in (up, up * MIRROR))
        off = one.volume * one.buoyancy - other.volume * other.buoyancy * MIRROR
        if abs(one.volume - other.volume) > ALIKE * body.volume:
            return False
        if one.volume > 0 and not np.abs(off).max() <= ALIKE * body.volume * body.size:
            return False
    return True


def hangs_even(case: Case, attitude: Attitude) -> bool:
    """Whether what is on board, and where water gets in, is alike on both sides, as `is_even`."""
    ways = np.concatenate([NOWHERE, *_ways_in(case)])
    apart = np.abs(ways[:, None] - ways * MIRROR).max(axis=2)
    if len(ways) and apart.min(axis=1).max() > ALIKE * case.hull.length_pp:
        return False
    for heel, trim in PROBES:
        up = up_from_angles(attitude.heel_rad + heel, attitude.trim_rad + trim)
        one, other = (case.load.hang(each).centre for each in (up, up * MIRROR))
        if not np.abs(one - other * MIRROR).max() <= ALIKE * case.hull.breadth:
            return False
    return True


def _ways_in(case: Case) -> list[Array]:
    """Points (k, 3) of all ways by which water gets on, weathertight openings apart."""
    ways = [each.points for each in case.ways_in if not each.weathertight]
    return [*ways, *(rim.reshape(-1, 3) for rim in case.hull.rims)]


def residual_from(floating: Floating, sign: int, reach: float, arm: float) -> Residual:
    """What is left to the side of `sign`, sought in strides from where she rests.

    It goes no farther than to a range of `reach` (rad) once there has been a righting `arm` (m),
    and 90 degrees at most. Short of these the curve is resolved as that of an intact ship.
    """
    assert floating.rest
    case = floating.case
    heeling = heeling_of(case)
    points = np.concatenate([NOWHERE, *_ways_in(case)])
    here = heeling.held_by(floating.rest.attitude.heel_rad, floating.rest)
    start, chain, best = sign * here.heel, [here], 0.0
    ends = False
    while (best < arm or sign * here.heel < start + reach) and sign * here.heel < FARTHEST:
        before, here = here, heeling.at(here.heel + sign * STRIDE, here)
        if not here.settled:
            break
        chain.append(here)
        best = max(best, sign * here.arm)
        ends = sign * here.arm <= 0 or going_under(heeling, before, here, points) is not None
        if ends:
            break
    if len(chain) == 1:
        return Residual(sign, start, 0.0, 0.0, 0.0)
    end = sign * chain[-1].heel
    whole = bool(ends or best < arm or end < start + reach)
    curve = _curve(heeling, chain, whole)
    arms = curve.arms if sign > 0 else curve.arms.mirrored()
    wet = first_under(curve, sign, start, points)
    falling = [each.heel for each in arms.crossings if not each.rising and each.heel > start]
    return replace(_within(sign, arms, start, min([end, wet, *falling])), whole=whole)


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
