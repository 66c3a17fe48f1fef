"""Hydrostatic quantities of a body cut by one plane.

With p ahead, q to port and h the height above the plane, and Q the integral of n_up (1, p, q, h)(1,
p, q, h)^T over the surface below the plane, the divergence theorem gives, because h vanishes on the
plane and no cap is needed:

waterplane area -Q[0,0], its first moments -Q[0,1], -Q[0,2], its second moments -Q[1,1], -Q[1,2],
-Q[2,2], volume Q[0,3], moments of volume Q[1,3], Q[2,3] and Q[3,3]/2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Floats
from .attitude import Attitude, water_frame


@dataclass(frozen=True)
class Immersion:
    """Hydrostatics of the immersed part, in ship axes and SI units.

    `frame` rows are ahead, to port and up. `inertia` (2, 2) holds the second moments of the
    waterplane about its own centroid in m4: [0, 0] of p^2 (trimming), [1, 1] of q^2 (heeling).
    Without a waterplane `flotation` is NaN and `inertia` zero; without volume `buoyancy` is NaN.
    """

    attitude: Attitude
    frame: Floats
    volume: float
    buoyancy: Floats
    waterplane_area: float
    flotation: Floats
    inertia: Floats
    wetted_surface: float

    def metacentric_radii(self) -> tuple[float, float]:
        """BM and BML: second moments about the longitudinal and transverse axes over volume (m)."""
        return self.inertia[1, 1] / self.volume, self.inertia[0, 0] / self.volume


def immersion(
    quadric: Floats, wetted: float, origin: Floats, attitude: Attitude, least_area: float = 0.0
) -> Immersion:
    """Hydrostatics from `quadric` = int n_up X X^T (4, 4), X = (1, x - origin) in ship axes.

    A waterplane of `least_area` or less is rounding and counts as none.
    """
    frame = water_frame(attitude.up)
    depth = attitude.level - float(attitude.up @ origin)
    move = np.zeros((4, 4))
    move[0, 0] = 1.0
    move[1:, 1:] = frame
    move[3, 0] = -depth
    local = move @ quadric @ move.T
    foot = origin + depth * attitude.up

    volume = local[0, 3]
    area = -local[0, 0] if -local[0, 0] > least_area else 0.0
    nowhere = np.full(3, np.nan)
    buoyancy = flotation = nowhere
    inertia = np.zeros((2, 2))
    if volume > 0:
        arms = np.array([local[1, 3], local[2, 3], local[3, 3] / 2]) / volume
        buoyancy = foot + arms @ frame
    if area > 0:
        center = -local[0, 1:3] / area
        flotation = foot + center @ frame[:2]
        inertia = -local[1:3, 1:3] - area * np.outer(center, center)
    return Immersion(
        attitude, frame, float(volume), buoyancy, float(area), flotation, inertia, float(wetted)
    )
