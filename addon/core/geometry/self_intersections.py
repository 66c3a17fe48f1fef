"""Self-intersections of a surface: pairs of triangles whose interiors cross."""

from __future__ import annotations

import numpy as np

from ..arrays import Floats, Ints
from .bounding_boxes import overlapping_boxes
from .morton_order import morton_order
from .triangles import area_vectors, corners_by_axis, lengths

ROUNDING_SHARE = 16 * float(np.finfo(np.float64).eps)
"""Share of the largest coordinate that is rounding of double precision."""


def crossing_faces(
    vertices: Floats, triangles: Ints, limit: int = 10_000, tolerance: float = 1e-6
) -> Ints:
    """Pairs i < j (k, 2) of triangles (m, 3) that intersect, in order.

    Two triangles cross when no shift shorter than `tolerance` times the diagonal of the model (and
    than the rounding of its coordinates) separates them. So faces that touch, lie in one plane,
    overlapping or not, or share an edge do not cross; two that share one vertex cross only if they
    intersect away from it. A triangle thinner than that shift crosses nothing. The default ignores
    the rounding of single precision, in which Blender and most mesh files keep their vertices. The
    search stops at `limit` pairs; which ones are found is then undefined. Source: the eleven axes
    that can part two triangles, Gottschalk, Lin & Manocha 1996, OBBTree: a hierarchical structure
    for rapid interference detection, SIGGRAPH 96 (from memory).
    """
    found = [np.zeros((0, 2), dtype=np.int64)]
    if len(triangles) == 0:
        return found[0]
    corners = corners_by_axis(vertices, triangles)
    low, high = corners.min(axis=(1, 2)), corners.max(axis=(1, 2))
    reach = float(
        tolerance * np.linalg.norm(high - low) + ROUNDING_SHARE * np.abs([low, high]).max()
    )
    corners -= ((low + high) / 2)[:, None, None]
    longest = np.max([lengths(edge) for edge in _edges(corners)], axis=0)
    thick = np.flatnonzero(2 * lengths(area_vectors(corners)) > reach * longest)
    order = thick[morton_order(corners.mean(axis=1).take(thick, axis=1).T)]
    corners = corners.take(order, axis=2)
    edges, normals = _edges(corners), area_vectors(corners)
    for i, j in overlapping_boxes(corners.min(axis=1), corners.max(axis=1) - reach):
        i, j = unseparated(corners, edges, normals, i, j, reach)
        pairs = np.column_stack([order[i], order[j]])
        first, second = triangles[pairs.T]
        shared = (first[:, :, None] == second[:, None, :]).sum(axis=(1, 2))
        found.append(np.sort(pairs[shared < 2], axis=1))
        if sum(map(len, found)) >= limit:
            break
    pairs = np.concatenate(found)[:limit]
    return pairs[np.lexsort(pairs.T[::-1])]


def _edges(corners: Floats) -> list[Floats]:
    return [corners[:, corner] - corners[:, corner - 1] for corner in range(3)]


def unseparated(
    corners: Floats, edges: list[Floats], normals: Floats, i: Ints, j: Ints, reach: float
) -> tuple[Ints, Ints]:
    """The pairs of triangles (i, j) whose projections overlap by more than `reach` on every axis,
    or, where that is negative, are no further apart.

    An axis of no length, from parallel edges, separates nothing: a face's normal does it then.
    """

    def overlap(axes: Floats) -> tuple[Ints, Ints]:
        ours = np.einsum("ak,ack->ck", axes, corners.take(i, axis=2))
        theirs = np.einsum("ak,ack->ck", axes, corners.take(j, axis=2))
        depth = np.minimum(
            ours.max(axis=0) - theirs.min(axis=0), theirs.max(axis=0) - ours.min(axis=0)
        )
        length = lengths(axes)
        keep = (depth > reach * length) | (length == 0)
        return i[keep], j[keep]

    i, j = overlap(normals.take(i, axis=1))
    i, j = overlap(normals.take(j, axis=1))
    for edge in edges:
        for other in edges:
            i, j = overlap(np.cross(edge.take(i, axis=1), other.take(j, axis=1), axis=0))
    return i, j
