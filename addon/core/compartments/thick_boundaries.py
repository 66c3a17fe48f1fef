"""Boundaries with thickness, each replaced by one side of it as a sheet."""

from __future__ import annotations

import numpy as np

from ..arrays import Bools, Floats, Ints
from ..geometry.half_edges import connected_components, find_edges
from ..geometry.surface import SKEW_DIRECTION, first_coincident
from ..geometry.triangles import areas, corners_by_axis, unit_normals, volumes

MAX_PLATE_THICKNESS_RATIO = 0.1
"""Thickness over the root of half the area up to which a closed surface is a plate."""
MAX_EDGE_WIDTH_RATIO = 1.5
"""Width over the thickness of a plate up to which a patch is its edge."""
SMOOTH_COSINE = float(np.cos(np.radians(45.0)))
"""Cosine between normals above which faces are one patch: 45 degrees."""
AREA_TOLERANCE_SHARE = 1e-6
"""Share by which areas that are alike may differ."""


def is_plate(volume: Floats | float, area: Floats | float) -> Bools:
    """Which closed surfaces are thin: 2 V / A no more than `MAX_PLATE_THICKNESS_RATIO` of the root
    of half of A."""
    volume, area = np.asarray(volume), np.asarray(area)
    thin: Bools = (volume > 0) & (
        2 * volume <= MAX_PLATE_THICKNESS_RATIO * area * np.sqrt(area / 2)
    )
    return thin


def plate_sides(vertices: Floats, triangles: Ints, tolerance: float) -> Ints:
    """For each triangle (m,) of closed surfaces: 1 on the side of a plate that represents it, -1 on
    its other side and on its edges, and 0 where there is no plate.

    Faces that continue within 45 degrees form one patch. A patch belongs to the edges, as those
    round a hole do, if it is about as wide as the plate is thick: twice its area no more than
    `MAX_EDGE_WIDTH_RATIO` times that thickness along its border. The side with the greater area
    represents the plate.
    """
    corners = first_coincident(vertices, tolerance)[triangles]
    edges = find_edges(corners)
    pairs = edges.order[np.stack([edges.first, edges.first + 1])[:, edges.count == 2]] // 3
    normals = unit_normals(corners_by_axis(vertices, corners))
    smooth = np.einsum("ak,ak->k", *normals[:, pairs].transpose(1, 0, 2)) > SMOOTH_COSINE
    count, area = len(corners), areas(vertices, corners)
    piece = connected_components(count, *pairs)
    patch = connected_components(count, *pairs[:, smooth])
    whole: Floats = np.bincount(piece, area).astype(np.float64)
    volume: Floats = np.bincount(piece, volumes(vertices, corners)).astype(np.float64)
    thickness = 2 * volume / whole
    border = np.ones(len(edges.count), bool)
    border[np.flatnonzero(edges.count == 2)[smooth]] = False
    halves = edges.half_edges_on(border)
    spans = vertices[corners[halves // 3, (halves + 1) % 3]] - vertices[corners.ravel()[halves]]
    girth = np.bincount(patch[halves // 3], np.linalg.norm(spans, axis=1), patch.max() + 1)
    width = np.full(count, np.inf)
    rimmed = girth[patch] > 0
    width[rimmed] = 2 * np.bincount(patch, area)[patch[rimmed]] / girth[patch[rimmed]]
    wide = width > MAX_EDGE_WIDTH_RATIO * thickness[piece]
    side = connected_components(count, *pairs[:, wide[pairs].all(axis=0)])
    size = np.bincount(side, area * wide)
    far = np.bincount(side, area * (vertices[corners].mean(axis=1) @ SKEW_DIRECTION)) / np.bincount(
        side, area
    )
    most = np.zeros(len(whole))
    np.maximum.at(most, piece, size[side])
    large = size[side] >= (1 - AREA_TOLERANCE_SHARE) * most[piece]
    least = np.full(len(whole), np.inf)
    np.minimum.at(least, piece[large], far[side[large]])
    near = wide & large & (far[side] == least[piece])
    return np.where(is_plate(volume, whole)[piece], np.where(near, 1, -1), 0)
