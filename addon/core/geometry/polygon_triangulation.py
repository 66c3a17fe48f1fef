"""Triangulation of polygons of any shape."""

from __future__ import annotations

import numpy as np

from ..arrays import Floats, Ints
from .triangles import area_vectors, corners_by_axis

ROUNDING_SHARE = 1e-6
"""Share of the extent, or of the area, of a polygon that is rounding."""


def triangulate_polygons(
    points: Floats, polygons: tuple[tuple[int, ...], ...]
) -> tuple[Ints, Ints]:
    """Triangles (m, 3) of polygons over points (n, 3), k - 2 each, and the polygon of each (m,).

    A fan from the first corner, or ear clipping where that leaves a flat polygon, as it does a
    concave one. Invalid corner indices are left to the caller.
    """
    triangles = np.array(
        [(face[0], face[i], face[i + 1]) for face in polygons for i in range(1, len(face) - 1)],
        dtype=np.int64,
    ).reshape(-1, 3)
    sizes = [max(len(face) - 2, 0) for face in polygons]
    faces = np.repeat(np.arange(len(polygons)), sizes)
    starts = np.cumsum([0, *sizes])
    for face in _folded_faces(points, triangles, faces):
        corners = np.array(polygons[face])
        triangles[starts[face] : starts[face + 1]] = corners[_clip_ears(points[corners])]
    return triangles, faces


def _folded_faces(points: Floats, triangles: Ints, faces: Ints) -> Ints:
    """Faces one of whose triangles is inverted or has next to no area."""
    none = np.zeros(0, np.int64)
    if not triangles.size or triangles.min() < 0 or triangles.max() >= len(points):
        return none
    if not np.isfinite(points).all():
        return none
    vectors = area_vectors(corners_by_axis(points, triangles))
    whole = np.array([np.bincount(faces, axis)[faces] for axis in vectors])
    return np.unique(
        faces[(vectors * whole).sum(axis=0) <= ROUNDING_SHARE * (whole**2).sum(axis=0)]
    )


def _clip_ears(points: Floats) -> Ints:
    """Triangles (k - 2, 3) that fill a flat polygon (k, 3): its ears, the shortest cut first.

    A polygon without an ear, which crosses itself, stays a fan.
    """
    local = points - points.mean(axis=0)
    normal = np.cross(local, np.roll(local, -1, axis=0)).sum(axis=0)
    drop = int(np.abs(normal).argmax())
    flat = np.delete(local, drop, axis=1) * [1.0, 1.0 if (normal[drop] > 0) ^ (drop == 1) else -1.0]
    slack = ROUNDING_SHARE * float(np.linalg.norm(np.ptp(flat, axis=0)))
    ring, ears = np.arange(len(points)), []
    while len(ring) > 3:
        cuts = np.linalg.norm(flat[np.roll(ring, -1)] - flat[np.roll(ring, 1)], axis=1)
        rolled = (np.roll(ring, 1 - corner) for corner in np.argsort(cuts, kind="stable"))
        ahead = next((order for order in rolled if _is_ear(flat[order], slack)), None)
        if ahead is None:
            break
        ears.append(ahead[:3])
        ring = np.delete(ring, np.flatnonzero(ring == ahead[1]))
    fan = [(ring[0], ring[i], ring[i + 1]) for i in range(1, len(ring) - 1)]
    return np.array([*ears, *fan])


def _is_ear(points: Floats, slack: float) -> bool:
    """Whether the first three of the points (k, 2) round a polygon are a triangle within it."""
    corners = points[:3]
    along = np.roll(corners, -1, axis=0) - corners
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), np.finfo(float).tiny)
    away = points[:, None] - corners
    left = along[:, 0] * away[..., 1] - along[:, 1] * away[..., 0]
    heights = left[[2, 0, 1], [0, 1, 2]]
    touched = (left[3:] > -slack).all(axis=1)
    apart = (np.linalg.norm(away[3:], axis=2) > slack).all(axis=1)
    return bool(heights.min() > slack and not (touched & apart).any())
