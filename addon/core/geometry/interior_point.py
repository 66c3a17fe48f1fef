"""A point well inside a closed surface, to place a marker."""

from __future__ import annotations

import numpy as np

from ..arrays import Floats, Ints
from .triangles import area_vectors, corners_by_axis, volumes
from .winding_number import is_inside

MIN_CLEARANCE_SHARE = 0.01
"""Share of the least extent that a centroid must be clear of the surface to be taken."""
PROBED_FACES = 12
"""Largest faces from which a ray is sent inward."""


def interior_point(vertices: Floats, triangles: Ints) -> Floats:
    """A point (3,) inside a closed outward surface.

    Its centroid, where that has a share `MIN_CLEARANCE_SHARE` of its extent to every side; else the
    midpoint between the middle of one of its largest faces and the next face straight inward, for
    the longest such distance.
    """
    corners, middle = vertices[triangles], vertices.mean(axis=0)
    shares = volumes(vertices, triangles)
    center: Floats = middle + shares @ (corners - middle).sum(axis=1) / (4 * shares.sum())
    reach = MIN_CLEARANCE_SHARE * float(np.ptp(vertices, axis=0).min())
    around = center + reach * np.concatenate([np.eye(3), -np.eye(3)])
    if is_inside(around, corners).all():
        return center
    vectors = area_vectors(corners_by_axis(vertices, triangles)).T
    sizes = np.linalg.norm(vectors, axis=1)
    largest = np.argsort(-sizes)[:PROBED_FACES]
    starts, inward = corners[largest].mean(axis=1), -vectors[largest] / sizes[largest, None]
    distances = [_distance_to_next_face(corners, *ray) for ray in zip(starts, inward, strict=True)]
    best = int(np.argmax(distances))
    return starts[best] + distances[best] / 2 * inward[best]


def _distance_to_next_face(corners: Floats, start: Floats, along: Floats) -> float:
    """Distance along a ray from a point (3,) of the surface in a unit direction (3,) to the next
    face."""
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    normal = np.cross(first, second)
    ahead = np.flatnonzero(normal @ along > 0)
    offset, facing = start - corners[ahead, 0], normal[ahead] @ along
    turned = np.cross(along, offset)
    u = (second[ahead] * turned).sum(axis=1) / facing
    v = -(first[ahead] * turned).sum(axis=1) / facing
    distance = -(offset * normal[ahead]).sum(axis=1) / facing
    met = (u >= 0) & (v >= 0) & (u + v <= 1) & (distance > 0)
    return float(distance[met].min()) if met.any() else 0.0
