"""Overlap of closed bodies."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from ..arrays import Floats
from .arrangement import arrange, closed_part
from .arrangement_cells import cell_winding_numbers, find_cells
from .half_edges import find_adjacency, find_edges
from .triangles import area_vectors, lengths


def shared_volumes(
    bodies: Sequence[Floats], tolerance: float
) -> Iterator[tuple[int, int, float, Floats]]:
    """For each two closed outward surfaces of triangles (n, 3, 3) that overlap: their numbers, the
    volume (m3) and the center (3,) of the boundary of the overlap.

    Bodies that no more than touch, within `tolerance` (m), do not overlap. Disjoint bounding boxes,
    and faces of either with all of the other in front, decide most pairs at once; an arrangement
    decides the rest.
    """
    boxes = [(body.min(axis=(0, 1)), body.max(axis=(0, 1))) for body in bodies]
    for one, other in combinations(range(len(bodies)), 2):
        (low, high), (least, most) = boxes[one], boxes[other]
        if (np.minimum(high, most) - np.maximum(low, least)).min() <= tolerance:
            continue
        first, second = bodies[one], bodies[other]
        if _is_in_front(first, second, tolerance) or _is_in_front(second, first, tolerance):
            continue
        volume, middle = _shared_volume(first, second, tolerance)
        if volume > 0:
            yield one, other, volume, middle


def _is_in_front(body: Floats, other: Floats, tolerance: float) -> bool:
    """Whether one body lies wholly in front of the plane of a face of the other."""
    vectors = area_vectors(other.transpose(2, 1, 0))
    size = lengths(vectors)
    normals = vectors[:, size > 0] / size[size > 0]
    levels = np.einsum("am,ma->m", normals, other[size > 0, 0])
    corners = np.unique(body.reshape(-1, 3), axis=0)
    return bool(((corners @ normals).min(axis=0) >= levels - tolerance).any())


def _shared_volume(one: Floats, other: Floats, tolerance: float) -> tuple[float, Floats]:
    parts = [
        closed_part("", body.reshape(-1, 3), np.arange(3 * len(body)).reshape(-1, 3))
        for body in (one, other)
    ]
    arrangement = arrange(parts, tolerance)
    edges = find_edges(arrangement.triangles)
    adjacency = find_adjacency(arrangement.vertices, arrangement.triangles, edges, tolerance)
    cells = find_cells(arrangement, adjacency, np.zeros(len(adjacency.half_edge), bool), tolerance)
    both = (cell_winding_numbers(cells, arrangement, len(parts)) > 0).all(axis=1)
    both &= cells.volume > tolerance * cells.surface_area
    if not both.any():
        return 0.0, np.zeros(3)
    return float(cells.volume[both].sum()), cells.boundary_faces(both).mean(axis=(0, 1))
