"""Area vectors, areas and volumes of triangles, vectorized."""

from __future__ import annotations

import numpy as np

from ..arrays import Floats, Ints


def corners_by_axis(vertices: Floats, triangles: Ints) -> Floats:
    """Corners of triangles, shape (3 axes, 3 corners, m)."""
    numbers = np.ascontiguousarray(triangles.T)
    corners = np.zeros((3, *numbers.shape), dtype=vertices.dtype)
    for axis, places in zip(np.ascontiguousarray(vertices.T), corners, strict=True):
        axis.take(numbers, out=places, mode="clip")  # other modes make an extra copy
    return corners


def area_vectors(corners: Floats) -> Floats:
    """Area times outward normal, shape (3, m), of triangles (3 axes, 3 corners, m)."""
    (ax, ay, az), (bx, by, bz) = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx]) / 2


def lengths(vectors: Floats) -> Floats:
    """Lengths (m,) of vectors (3, m)."""
    return np.sqrt(np.einsum("am,am->m", vectors, vectors))


def unit_normals(corners: Floats) -> Floats:
    """Outward unit normals (3, m) of triangles (3 axes, 3 corners, m); of one without area, some
    direction perpendicular to its longest edge."""
    normals = area_vectors(corners)
    size = lengths(normals)
    flat = np.flatnonzero(size == 0)
    if flat.size:
        sides = (np.roll(corners, -1, axis=1) - corners)[:, :, flat]
        longest = np.einsum("ack,ack->ck", sides, sides).argmax(axis=0)
        side = np.take_along_axis(sides, longest[None, None], axis=1)[:, 0]
        normals[:, flat] = np.cross(side, np.eye(3)[np.abs(side).argmin(axis=0)].T, axis=0)
        size[flat] = lengths(normals[:, flat])
    unit: Floats = normals / np.where(size > 0, size, 1.0)
    return unit


def component_along(direction: Floats, vectors: Floats) -> Floats:
    """Components (m, ...) of vectors (3, m, ...) along a direction (3,). Small sums, for which the
    threads of a matrix product would only wait."""
    x, y, z = vectors
    component: Floats = direction[0] * x + direction[1] * y + direction[2] * z
    return component


def areas(vertices: Floats, triangles: Ints) -> Floats:
    """Area of each triangle (m2), shape (m,)."""
    return lengths(area_vectors(corners_by_axis(vertices, triangles)))


def volumes(vertices: Floats, triangles: Ints) -> Floats:
    """Volume of the tetrahedron from the middle of the vertices to each triangle (m3), (m,).

    Positive where the normal points away from the middle; over a closed outward surface they
    add up to its volume.
    """
    corners = corners_by_axis(vertices - vertices.mean(axis=0), triangles)
    return np.einsum("am,am->m", area_vectors(corners), corners[:, 0]) / 3
