"""Winding number: inside or outside a closed surface, by its solid angle at a point."""

from __future__ import annotations

import numpy as np

from ..arrays import Bools, Floats

INSIDE_THRESHOLD = 0.99
"""Winding number above which a point is inside: 1 less rounding."""
TRIANGLES_AT_ONCE = 8192
"""Triangles taken at a time, to bound memory."""
PAIRS_AT_ONCE = 1 << 15
"""Pairs of a point and a triangle at a time, to stay in the cache."""


def winding_numbers(points: Floats, corners: Floats) -> Floats:
    """Generalized winding number (k,) of triangles (m, 3 corners, 3 axes) about points (k, 3).

    The signed solid angles of the triangles, summed, over 4 pi. For a closed surface with outward
    normals (corners anticlockwise seen from outside) it is 1 inside and 0 outside, whatever way it
    is cut into triangles; where two such bodies overlap it is 2, inside out it is -1. On the
    surface itself it is not defined. Rounding keeps it within about 1e-12. Source: Van Oosterom &
    Strackee 1983, The solid angle of a plane triangle, IEEE Trans. Biomed. Eng. 30:125.
    """
    total = np.zeros(len(points))
    for first in range(0, len(corners), TRIANGLES_AT_ONCE):
        triangles = np.ascontiguousarray(
            corners[first : first + TRIANGLES_AT_ONCE].transpose(1, 2, 0)
        )
        step = PAIRS_AT_ONCE // triangles.shape[2]
        for start in range(0, len(points), step):
            part = slice(start, start + step)
            total[part] += _half_solid_angles(points[part], triangles).sum(axis=1)
    return total / (2 * np.pi)


def is_inside(points: Floats, corners: Floats) -> Bools:
    """Which of points (k, 3) lie inside the closed, outward surface of triangles (m, 3, 3).

    Points on the surface, where the winding number is a fraction, are not inside.
    """
    return winding_numbers(points, corners) > INSIDE_THRESHOLD


def _half_solid_angles(points: Floats, triangles: Floats) -> Floats:
    """Half the solid angle (k, m) of triangles (3 corners, 3 axes, m) seen from points (k, 3)."""
    a, b, c = triangles[:, :, None, :] - points.T[:, :, None]
    la, lb, lc = (np.sqrt(_dot(v, v)) for v in (a, b, c))
    volume = (
        a[0] * (b[1] * c[2] - b[2] * c[1])
        + a[1] * (b[2] * c[0] - b[0] * c[2])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )
    spread = la * lb * lc + _dot(a, b) * lc + _dot(b, c) * la + _dot(c, a) * lb
    angles: Floats = np.arctan2(volume, spread)
    return angles


def _dot(v: Floats, w: Floats) -> Floats:
    product: Floats = v[0] * w[0] + v[1] * w[1] + v[2] * w[2]
    return product
