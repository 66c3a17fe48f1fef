"""Overlap of closed bodies."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from .arrangement import arrange, closed_part
from .arrangement_cells import bodies_around, find_cells
from .half_edges import find_edges, find_joins
from .triangles import area_vectors, lengths

Array = NDArray[np.float64]


def shared_spaces(bodies: Sequence[Array], touch: float) -> Iterator[tuple[int, int, float, Array]]:
    """For each two closed outward surfaces of triangles (n, 3, 3) that overlap: their numbers, the
    volume (m3) and the center (3,) of the boundary of the overlap.

    Bodies that no more than touch, within `touch` (m), do not overlap. Disjoint bounding boxes, and
    faces of either with all of the other in front, decide most pairs at once; an arrangement
    decides the rest.
    """
    boxes = [(body.min(axis=(0, 1)), body.max(axis=(0, 1))) for body in bodies]
    for one, other in combinations(range(len(bodies)), 2):
        (low, high), (least, most) = boxes[one], boxes[other]
        if (np.minimum(high, most) - np.maximum(low, least)).min() <= touch:
            continue
        first, second = bodies[one], bodies[other]
        if _stands_before(first, second, touch) or _stands_before(second, first, touch):
            continue
        volume, middle = _shared(first, second, touch)
        if volume > 0:
            yield one, other, volume, middle


def _stands_before(body: Array, other: Array, touch: float) -> bool:
    """Whether one body lies wholly in front of the plane of a face of the other."""
    vectors = area_vectors(other.transpose(2, 1, 0))
    size = lengths(vectors)
    normals = vectors[:, size > 0] / size[size > 0]
    levels = np.einsum("am,ma->m", normals, other[size > 0, 0])
    corners = np.unique(body.reshape(-1, 3), axis=0)
    return bool(((corners @ normals).min(axis=0) >= levels - touch).any())


def _shared(one: Array, other: Array, touch: float) -> tuple[float, Array]:
    parts = [
        closed_part("", body.reshape(-1, 3), np.arange(3 * len(body)).reshape(-1, 3))
        for body in (one, other)
    ]
    arrangement = arrange(parts, touch)
    edges = find_edges(arrangement.triangles)
    joins = find_joins(arrangement.vertices, arrangement.triangles, edges, touch)
    cells = find_cells(arrangement, joins, np.zeros(len(joins.half), bool), touch)
    both = (bodies_around(cells, arrangement, len(parts)) > 0).all(axis=1)
    both &= cells.volume > touch * cells.skin
    if not both.any():
        return 0.0, np.zeros(3)
    return float(cells.volume[both].sum()), cells.faces_round(both).mean(axis=(0, 1))
