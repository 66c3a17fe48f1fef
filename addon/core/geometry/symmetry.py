"""Port and starboard symmetry of a surface."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..arrays import Floats, Ints

SYMMETRY_TOLERANCE_SHARE = 1e-4
"""Share of the greatest extent by which the sides of a symmetric surface may differ."""

Nearest = Callable[[Floats], Floats]
"""Distances of points (n, 3) from a surface (n,)."""


@dataclass(frozen=True)
class Symmetry:
    """Distance of the mirror image of each vertex from the surface, `distances` (n,) in meters.

    `plane` is the y of the mirror plane (m), `tolerance` the distance that counts as symmetric.
    """

    plane: float
    distances: Floats
    tolerance: float

    @property
    def max_distance(self) -> float:
        """The largest distance (m)."""
        return float(self.distances.max())

    @property
    def unlike(self) -> Ints:
        """Vertices whose mirror image is off the surface, the farthest first."""
        worst = np.argsort(-self.distances, kind="stable")
        return worst[self.distances[worst] > self.tolerance]


def symmetry(points: Floats, nearest: Nearest) -> Symmetry:
    """Symmetry of a surface with these vertices (n, 3), about y = 0 or, where more of them agree,
    about the middle of its breadth."""
    extent = np.ptp(points, axis=0)
    tolerance = SYMMETRY_TOLERANCE_SHARE * float(extent.max())
    middle = float(points[:, 1].min() + extent[1] / 2)
    about = [
        Symmetry(plane, nearest(mirror_image(points, plane)), tolerance)
        for plane in ([0.0, middle] if abs(middle) > tolerance / 2 else [0.0])
    ]
    return min(about, key=lambda found: len(found.unlike))


def mirror_image(points: Floats, plane: float = 0.0) -> Floats:
    """Points (n, 3) mirrored about the plane y = `plane`."""
    return points * (1.0, -1.0, 1.0) + (0.0, 2.0 * plane, 0.0)
