"""Immersion angles: the heel at which the first of given points goes under water.

Between two heels the height of a point is the cubic with its heights and slopes at both. Where one
dips below the water, or so near it that the cubic may be wrong, the vessel is computed at the
lowest heel of it, so that a point that dips and emerges between two heels is not missed.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from ..arrays import Floats
from ..geometry.root_finding import find_root
from .righting_curve import RightingCurve
from .righting_lever import HeeledPosition, Heeling

HEEL_TOLERANCE = 1e-9
"""Heel (rad) to which immersion is found."""
DIP_DOUBT_SHARE = 1.0
"""Share of the depth of a dip within which a cubic near the water is not trusted."""
END_SHARE = 1e-3
"""Share of the step between two heels within which a dip coincides with one of them."""


def first_immersion_heel(curve: RightingCurve, sign: int, start: float, points: Floats) -> float:
    """Heel (rad, to the side of `sign`) from `start` on at which the first of points (k, 3)
    immerses; infinite where none does."""
    beyond = [position for position in curve.positions[::sign] if sign * position.heel > start]
    for here, there in pairwise([curve.at(sign * start), *beyond]):
        heel = immersion_heel(curve.heeling, here, there, points)
        if heel is not None:
            return sign * heel
    return float("inf")


def immersion_heel(
    heeling: Heeling, here: HeeledPosition, there: HeeledPosition, points: Floats
) -> float | None:
    """The first heel (rad), from one to another, with any of points (k, 3) under water; None where
    there is none."""
    if not len(points):
        return None
    if _lowest_height(here, points) <= 0:
        return here.heel
    ahead = [there]
    while ahead:
        there = ahead[-1]
        dip = _dip(here, there, points)
        if dip is not None:
            ahead.append(_between(heeling, here, there, dip))
        elif (depth := _lowest_height(there, points)) <= 0:
            return find_root(
                lambda heel: _lowest_height(_between(heeling, here, there, heel), points),  # noqa: B023
                here.heel,
                there.heel,
                _lowest_height(here, points),
                depth,
                HEEL_TOLERANCE,
            )
        else:
            here = ahead.pop()
    return None


def _lowest_height(position: HeeledPosition, points: Floats) -> float:
    return float(position.attitude.heights(points).min())


def _between(
    heeling: Heeling, here: HeeledPosition, there: HeeledPosition, heel: float
) -> HeeledPosition:
    """The vessel at a heel (rad) between two, sought from the nearer."""
    return heeling.at(heel, min(here, there, key=lambda position: abs(position.heel - heel)))


def _dip(here: HeeledPosition, there: HeeledPosition, points: Floats) -> float | None:
    """The heel (rad) between two at which the cubic of a point is lowest, taking the deepest of all
    that dip below the water or near it."""
    if not (here.converged and there.converged):
        return None
    width = there.heel - here.heel
    start, end = (position.attitude.heights(points) for position in (here, there))
    fall, rise = (width * position.height_slopes(points) for position in (here, there))
    ends = np.minimum(start, end)
    bound = np.minimum(ends, np.minimum(start + fall / 3, end - rise / 3))
    near = bound < DIP_DOUBT_SHARE * (ends - bound)
    if not near.any():
        return None
    start, end, fall, rise, ends = (each[near] for each in (start, end, fall, rise, ends))
    a, b = fall + rise - 2 * (end - start), 3 * (end - start) - 2 * fall - rise
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (np.sqrt(b * b - 3 * a * fall) - b) / (3 * a)
        share = np.where(a == 0, -fall / (2 * b), share)
    low = start + share * (fall + share * (b + share * a))
    dips = (share > END_SHARE) & (share < 1 - END_SHARE) & (low < DIP_DOUBT_SHARE * (ends - low))
    if not dips.any():
        return None
    return float(here.heel + width * share[np.where(dips, low, np.inf).argmin()])
