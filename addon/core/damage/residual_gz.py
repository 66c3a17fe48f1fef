"""Residual GZ of a damaged vessel."""

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
PROBES = ((0.13, 0.011), (0.37, -0.017))  # heel and trim (rad) of no special symmetry
ALIKE = 1e-7


@dataclass(frozen=True)
class Residual:
    """Residual GZ on the side of the heel.

    `sign` is +1 to starboard and -1 to port; heels are positive to that side. From the equilibrium
    `heel`, GZ is positive over `range` (rad), up to the lesser of the angle of vanishing stability
    and the heel at which water enters dry compartments; `greatest_arm` (m) and `area` (m rad) are
    taken within it. Not `whole` where the curve was cut short: all three are then lower bounds.
    """

    sign: int
    heel: float
    range: float
    greatest_arm: float
    area: float
    whole: bool = True


def residual_of(side: Side) -> Residual:
    """Residual GZ to one side, from its full GZ curve."""
    end = min(side.vanishing, side.flooding, float(side.arms.heels[-1]))
    return _within(side.sign, side.arms, side.rest_heel, end)


def is_even(body: Body, attitude: Attitude) -> bool:
    """Whether two sides of a body are alike, by comparing the parts cut off by planes near an
    attitude, heeled to either side."""
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
    """Whether loads and points of ingress are alike on both sides, as `is_even`."""
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
    """Points (k, 3) of all flooding paths, weathertight openings excluded."""
    ways = [each.points for each in case.ways_in if not each.weathertight]
    return [*ways, *(rim.reshape(-1, 3) for rim in case.hull.rims)]


def residual_from(floating: Floating, sign: int, reach: float, arm: float) -> Residual:
    """Residual GZ to the side of `sign`, computed in steps from the equilibrium.

    It ends at a range of `reach` (rad) once GZ has reached `arm` (m), and at 90 degrees at most. Up
    to there the curve is resolved as for an intact vessel.
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
    """GZ at a chain of heels, or at as many as the curve needs."""
    jumps: list[float] = []
    if resolved:
        heels = [held.heel for held in chain[1:]]
        chain = chain[:1]
        for heel in heels:
            follow(heeling, chain, heel, resolution(heeling.tree), jumps)
    held = sorted(chain, key=lambda each: each.heel)
    return RightingCurve(heeling, tuple(held), tuple(sorted(jumps)))


def _within(sign: int, arms: ArmCurve, start: float, end: float) -> Residual:
    """Range, maximum GZ and area between two heels (rad)."""
    if not end > start:
        return Residual(sign, start, 0.0, 0.0, 0.0)
    greatest = arms.greatest(start, end)[1]
    return Residual(sign, start, end - start, greatest, arms.area(start, end))
