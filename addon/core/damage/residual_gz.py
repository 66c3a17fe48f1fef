"""Residual GZ of a damaged vessel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import Attitude, up_from_angles
from ..buoyancy.body import Body
from ..hydrostatics.floating_position import FloatingPosition
from ..model.case import Case
from ..stability.both_sides import SideStability
from ..stability.gz_curve import GZCurve
from ..stability.immersion_angles import first_immersion_heel, immersion_heel
from ..stability.righting_curve import RightingCurve, extend_to_heel, resolution
from ..stability.righting_lever import HeeledPosition, Heeling, heeling_of

HEEL_STEP = np.radians(8.1)
"""Heel (rad) between two points of the search."""
MAX_HEEL = np.radians(90.0)
"""Heel (rad) up to which residual GZ is sought."""
NO_POINTS: Floats = np.zeros((0, 3))
"""Points (0, 3)."""
MIRROR_Y = np.array([1.0, -1.0, 1.0])
"""Factors (3,) that mirror a vector about the centerplane."""
PROBE_ANGLES = ((0.13, 0.011), (0.37, -0.017))
"""Heel and trim (rad) that no model has a reason to favor."""
SYMMETRY_TOLERANCE_SHARE = 1e-7
"""Share of volume or extent by which two sides that are alike may differ."""


@dataclass(frozen=True)
class ResidualGZ:
    """Residual GZ on the side of the heel.

    `sign` is +1 to starboard and -1 to port; heels are positive to that side. From the equilibrium
    `heel`, GZ is positive over `range` (rad), up to the lesser of the angle of vanishing stability
    and the heel at which water enters dry compartments; `max_gz` (m) and `area` (m rad) are
    taken within it. Not `complete` where the curve was cut short: all three are then lower bounds.
    """

    sign: int
    heel: float
    range: float
    max_gz: float
    area: float
    complete: bool = True


def residual_gz_of_side(side: SideStability) -> ResidualGZ:
    """Residual GZ to one side, from its full GZ curve."""
    end = min(side.vanishing_angle, side.downflooding_angle, float(side.gz_curve.heels[-1]))
    return _within(side.sign, side.gz_curve, side.equilibrium_heel, end)


def is_body_symmetric(body: Body, attitude: Attitude) -> bool:
    """Whether two sides of a body are alike, by comparing the parts cut off by planes near an
    attitude, heeled to either side."""
    middle = (body.low + body.high) / 2
    for heel, trim in PROBE_ANGLES:
        up = up_from_angles(attitude.heel_rad + heel, attitude.trim_rad + trim)
        level = attitude.level + float((up - attitude.up) @ middle)
        one, other = (body.below(Attitude(each, level)) for each in (up, up * MIRROR_Y))
        off = one.volume * one.buoyancy - other.volume * other.buoyancy * MIRROR_Y
        if abs(one.volume - other.volume) > SYMMETRY_TOLERANCE_SHARE * body.volume:
            return False
        if (
            one.volume > 0
            and not np.abs(off).max() <= SYMMETRY_TOLERANCE_SHARE * body.volume * body.size
        ):
            return False
    return True


def is_load_symmetric(case: Case, attitude: Attitude) -> bool:
    """Whether loads and points of ingress are alike on both sides, as `is_body_symmetric`."""
    points = np.concatenate([NO_POINTS, *_flooding_points(case)])
    apart = np.abs(points[:, None] - points * MIRROR_Y).max(axis=2)
    if len(points) and apart.min(axis=1).max() > SYMMETRY_TOLERANCE_SHARE * case.hull.length_pp:
        return False
    for heel, trim in PROBE_ANGLES:
        up = up_from_angles(attitude.heel_rad + heel, attitude.trim_rad + trim)
        one, other = (case.load.gravity_at(each).center for each in (up, up * MIRROR_Y))
        if not np.abs(one - other * MIRROR_Y).max() <= SYMMETRY_TOLERANCE_SHARE * case.hull.breadth:
            return False
    return True


def _flooding_points(case: Case) -> list[Floats]:
    """Points (k, 3) of all flooding paths, weathertight openings excluded."""
    points = [each.points for each in case.active_openings if not each.weathertight]
    return [*points, *(rim.reshape(-1, 3) for rim in case.hull.rims)]


def residual_gz_from(floating: FloatingPosition, sign: int, reach: float, arm: float) -> ResidualGZ:
    """Residual GZ to the side of `sign`, computed in steps from the equilibrium.

    It ends at a range of `reach` (rad) once GZ has reached `arm` (m), and at 90 degrees at most. Up
    to there the curve is resolved as for an intact vessel.
    """
    assert floating.equilibrium
    case = floating.case
    heeling = heeling_of(case)
    points = np.concatenate([NO_POINTS, *_flooding_points(case)])
    here = heeling.position_from(floating.equilibrium.attitude.heel_rad, floating.equilibrium)
    start, chain, best = sign * here.heel, [here], 0.0
    ends = False
    while (best < arm or sign * here.heel < start + reach) and sign * here.heel < MAX_HEEL:
        before, here = here, heeling.at(here.heel + sign * HEEL_STEP, here)
        if not here.converged:
            break
        chain.append(here)
        best = max(best, sign * here.arm)
        ends = sign * here.arm <= 0 or immersion_heel(heeling, before, here, points) is not None
        if ends:
            break
    if len(chain) == 1:
        return ResidualGZ(sign, start, 0.0, 0.0, 0.0)
    end = sign * chain[-1].heel
    complete = bool(ends or best < arm or end < start + reach)
    curve = _curve(heeling, chain, complete)
    gz_curve = curve.gz_curve if sign > 0 else curve.gz_curve.mirrored()
    wet = first_immersion_heel(curve, sign, start, points)
    falling = [each.heel for each in gz_curve.crossings if not each.rising and each.heel > start]
    return replace(_within(sign, gz_curve, start, min([end, wet, *falling])), complete=complete)


def _curve(heeling: Heeling, chain: list[HeeledPosition], resolved: bool) -> RightingCurve:
    """GZ at a chain of heels, or at as many as the curve needs."""
    jumps: list[float] = []
    if resolved:
        heels = [position.heel for position in chain[1:]]
        chain = chain[:1]
        for heel in heels:
            extend_to_heel(heeling, chain, heel, resolution(heeling.tree), jumps)
    positions = sorted(chain, key=lambda each: each.heel)
    return RightingCurve(heeling, tuple(positions), tuple(sorted(jumps)))


def _within(sign: int, gz_curve: GZCurve, start: float, end: float) -> ResidualGZ:
    """Range, maximum GZ and area between two heels (rad)."""
    if not end > start:
        return ResidualGZ(sign, start, 0.0, 0.0, 0.0)
    greatest = gz_curve.maximum(start, end)[1]
    return ResidualGZ(sign, start, end - start, greatest, gz_curve.area(start, end))
