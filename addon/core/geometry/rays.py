"""Rays and closest points on triangles."""

from __future__ import annotations

import numpy as np

from ..arrays import Floats, Ints

EDGE_TOLERANCE = 1e-9
"""Barycentric coordinate by which a ray may miss a triangle and still hit its edge."""


def first_hits(
    points: Floats, directions: Floats, corners: Floats, least: float
) -> tuple[Floats, Ints]:
    """Distance (k,) in m to the first of the triangles (m, 3, 3) that a ray from each point (k, 3)
    along its direction (k, 3, unit) hits beyond `least`, and its index; inf and -1 for none.

    Source: Möller & Trumbore 1997, Fast, minimum storage ray/triangle intersection, J. Graphics
    Tools 2:21.
    """
    distance, which = np.full(len(points), np.inf), np.full(len(points), -1)
    if not len(corners):
        return distance, which
    a = corners[:, 0]
    b, c = corners[:, 1] - a, corners[:, 2] - a
    for number, (point, direction) in enumerate(zip(points, directions, strict=True)):
        side = np.cross(direction, c)
        across = np.einsum("ma,ma->m", b, side)
        level = np.abs(across) > 0
        scale = np.where(level, across, 1.0)
        arm = point - a
        u = np.einsum("ma,ma->m", arm, side) / scale
        turned = np.cross(arm, b)
        v = turned @ direction / scale
        reach = np.einsum("ma,ma->m", c, turned) / scale
        meets = (
            level
            & (u >= -EDGE_TOLERANCE)
            & (v >= -EDGE_TOLERANCE)
            & (u + v <= 1 + EDGE_TOLERANCE)
            & (reach > least)
        )
        if meets.any():
            reach = np.where(meets, reach, np.inf)
            which[number] = reach.argmin()
            distance[number] = reach[which[number]]
    return distance, which


def closest_points(point: Floats, corners: Floats) -> Floats:
    """The point (m, 3) of each triangle (m, 3, 3) that is nearest to a point (3,)."""
    start, along = corners, np.roll(corners, -1, axis=1) - corners
    size = np.maximum(np.einsum("mca,mca->mc", along, along), np.finfo(float).tiny)
    share = np.clip(np.einsum("mca,mca->mc", point - start, along) / size, 0.0, 1.0)
    on_edges = start + share[..., None] * along
    away = np.linalg.norm(on_edges - point, axis=2)
    nearest: Floats = on_edges[np.arange(len(corners)), away.argmin(axis=1)]
    normal = np.cross(along[:, 0], along[:, 1])
    square = np.maximum(np.einsum("ma,ma->m", normal, normal), np.finfo(float).tiny)
    height = np.einsum("ma,ma->m", point - corners[:, 0], normal) / square
    foot = point - height[:, None] * normal
    turns = np.einsum("mca,ma->mc", np.cross(along, foot[:, None] - start), normal)
    over = (turns >= 0).all(axis=1) & (square > np.finfo(float).tiny)
    return np.where(over[:, None], foot, nearest)
