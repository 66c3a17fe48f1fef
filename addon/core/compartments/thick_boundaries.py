"""Boundaries with thickness, each replaced by one side of it as a sheet."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..geometry.half_edges import connected, find_edges
from ..geometry.surface import ASKEW, first_alike
from ..geometry.triangles import areas, by_axis, unit_normals, volumes

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

PLATE = 0.1
NARROW = 1.5
SHARP = float(np.cos(np.radians(45.0)))
ALIKE = 1e-6


def is_plate(volume: Array | float, area: Array | float) -> NDArray[np.bool_]:
    """Which closed surfaces are thin: 2 V / A no more than `PLATE` of the root of half of A."""
    volume, area = np.asarray(volume), np.asarray(area)
    thin: NDArray[np.bool_] = (volume > 0) & (2 * volume <= PLATE * area * np.sqrt(area / 2))
    return thin


def plate_sides(vertices: Array, triangles: Ints, touch: float) -> Ints:
    """For each triangle (m,) of closed surfaces: 1 on the side of a plate that represents it, -1 on
    its other side and on its edges, and 0 where there is no plate.

    Faces that continue within 45 degrees form one patch. A patch belongs to the edges, as those
    round a hole do, if it is about as wide as the plate is thick: twice its area no more than
    `NARROW` times that thickness along its border. The side with the greater area represents the
    plate.
    """
    corners = first_alike(vertices, touch)[triangles]
    edges = find_edges(corners)
    pairs = edges.order[np.stack([edges.first, edges.first + 1])[:, edges.count == 2]] // 3
    normals = unit_normals(by_axis(vertices, corners))
    smooth = np.einsum("ak,ak->k", *normals[:, pairs].transpose(1, 0, 2)) > SHARP
    count, area = len(corners), areas(vertices, corners)
    piece = connected(count, *pairs)
    patch = connected(count, *pairs[:, smooth])
    whole: Array = np.bincount(piece, area).astype(np.float64)
    volume: Array = np.bincount(piece, volumes(vertices, corners)).astype(np.float64)
    thickness = 2 * volume / whole
    border = np.ones(len(edges.count), bool)
    border[np.flatnonzero(edges.count == 2)[smooth]] = False
    halves = edges.on(border)
    spans = vertices[corners[halves // 3, (halves + 1) % 3]] - vertices[corners.ravel()[halves]]
    girth = np.bincount(patch[halves // 3], np.linalg.norm(spans, axis=1), patch.max() + 1)
    width = np.full(count, np.inf)
    rimmed = girth[patch] > 0
    width[rimmed] = 2 * np.bincount(patch, area)[patch[rimmed]] / girth[patch[rimmed]]
    wide = width > NARROW * thickness[piece]
    side = connected(count, *pairs[:, wide[pairs].all(axis=0)])
    size = np.bincount(side, area * wide)
    far = np.bincount(side, area * (vertices[corners].mean(axis=1) @ ASKEW)) / np.bincount(
        side, area
    )
    most = np.zeros(len(whole))
    np.maximum.at(most, piece, size[side])
    large = size[side] >= (1 - ALIKE) * most[piece]
    least = np.full(len(whole), np.inf)
    np.minimum.at(least, piece[large], far[side[large]])
    near = wide & large & (far[side] == least[piece])
    return np.where(is_plate(volume, whole)[piece], np.where(near, 1, -1), 0)
