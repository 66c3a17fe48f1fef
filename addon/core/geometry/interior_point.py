"""A point well inside a closed surface, to place a marker."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .triangles import area_vectors, by_axis, volumes
from .winding_number import is_inside

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

CLEAR = 0.01
PROBED = 12


def point_inside(vertices: Array, triangles: Ints) -> Array:
    """A point (3,) inside a closed outward surface.

    Its centroid, where that has a share `CLEAR` of its extent to every side; else the midpoint
    between the middle of one of its largest faces and the next face straight inward, for the
    longest such distance.
    """
    corners, middle = vertices[triangles], vertices.mean(axis=0)
    shares = volumes(vertices, triangles)
    centre: Array = middle + shares @ (corners - middle).sum(axis=1) / (4 * shares.sum())
    reach = CLEAR * float(np.ptp(vertices, axis=0).min())
    around = centre + reach * np.concatenate([np.eye(3), -np.eye(3)])
    if is_inside(around, corners).all():
        return centre
    vectors = area_vectors(by_axis(vertices, triangles)).T
    sizes = np.linalg.norm(vectors, axis=1)
    largest = np.argsort(-sizes)[:PROBED]
    starts, inward = corners[largest].mean(axis=1), -vectors[largest] / sizes[largest, None]
    ways = [_way(corners, *ray) for ray in zip(starts, inward, strict=True)]
    best = int(np.argmax(ways))
    return starts[best] + ways[best] / 2 * inward[best]


def _way(corners: Array, start: Array, along: Array) -> float:
    """Distance along a ray from a point (3,) of the surface in a unit direction (3,) to the next
    face."""
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    normal = np.cross(first, second)
    ahead = np.flatnonzero(normal @ along > 0)
    offset, facing = start - corners[ahead, 0], normal[ahead] @ along
    turned = np.cross(along, offset)
    u = (second[ahead] * turned).sum(axis=1) / facing
    v = -(first[ahead] * turned).sum(axis=1) / facing
    way = -(offset * normal[ahead]).sum(axis=1) / facing
    met = (u >= 0) & (v >= 0) & (u + v <= 1) & (way > 0)
    return float(way[met].min()) if met.any() else 0.0
