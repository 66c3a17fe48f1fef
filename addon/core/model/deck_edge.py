"""The deck edge of a hull: where a deck, or the side of an open boat, ends."""

from __future__ import annotations

import numpy as np

from ..arrays import Ints
from ..buoyancy.moment_tree import MomentTree
from ..geometry.envelope import Envelope
from ..geometry.half_edges import connected_components, find_edges
from ..geometry.triangles import area_vectors, corners_by_axis, lengths

DECK_SLOPE_COSINE = float(np.cos(np.radians(45.01)))
"""Upward component of a unit normal above which a face is a deck: 45 degrees and room for
rounding."""
MAX_LEDGE_SHARE = 0.02
"""Area over that of the main deck up to which an upward face below it is a ledge."""
EDGE_SAMPLES = np.array([[0.95, 0.05], [0.5, 0.5], [0.05, 0.95]])
"""Weights (k, 2) of the ends of an edge at which it is looked at for a cover above."""
COVER_CLEARANCE_SHARE = 1e-3
"""Share of the depth by which a cover must lie above an edge."""


def deck_edge_ends(envelope: Envelope, tree: MomentTree) -> Ints:
    """Edges (k, 2) where a deck, a face that looks up, meets a lower, steeper one, under open sky.
    A ledge below a deck many times as large, as on a bulb or a skeg, is no deck."""
    vertices = envelope.vertices
    triangles = envelope.triangles[: len(envelope.triangles) - envelope.caps]
    corners = vertices[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    slope = normals[:, 2] / np.maximum(np.linalg.norm(normals, axis=1), np.finfo(float).tiny)
    is_deck = slope > DECK_SLOPE_COSINE
    edges = find_edges(triangles)
    paired = edges.count == 2
    first = edges.order[edges.first[paired]] // 3
    second = edges.order[edges.first[paired] + 1] // 3
    pairs = edges.ends[paired]
    ends = vertices[pairs]
    inside = is_deck[first] & is_deck[second]
    deck_of = connected_components(len(triangles), first[inside], second[inside])
    deck, side = np.where(is_deck[first], [first, second], [second, first])
    lower = corners[side, :, 2].mean(axis=1) < ends[:, :, 2].mean(axis=1)
    border = (is_deck[first] != is_deck[second]) & lower
    clearance = COVER_CLEARANCE_SHARE * float(tree.high[2] - tree.low[2])
    along = np.einsum("sc,kca->ska", EDGE_SAMPLES, ends[border])
    covered = tree.covered(along.reshape(-1, 3), clearance).reshape(len(EDGE_SAMPLES), -1)
    border[border] = ~covered.all(axis=0)
    pairs, found, owner = pairs[border], ends[border], deck_of[deck[border]]
    if not len(found):
        return pairs
    extent = np.bincount(deck_of, np.where(is_deck, normals[:, 2] / 2, 0.0))
    main = owner[extent[owner].argmax()]
    level = found[owner == main, :, 2].min()
    top = np.full(len(extent), -np.inf)
    np.maximum.at(top, owner, found[:, :, 2].max(axis=1))
    is_ledge = (extent < MAX_LEDGE_SHARE * extent[main]) & (top < level)
    return pairs[~is_ledge[owner]]


def gunwale_ends(envelope: Envelope) -> Ints:
    """Edges (k, 2) where the side of an open boat ends: those of openings that look up, less those
    in decks. A port in the side or a hole in the bottom has none."""
    triangles, caps = envelope.triangles, envelope.caps
    if not caps:
        return np.zeros((0, 2), np.int64)
    looks = area_vectors(corners_by_axis(envelope.vertices, triangles))
    closed = triangles[len(triangles) - caps :]
    opening = connected_components(
        len(envelope.vertices), *np.concatenate([closed[:, :2], closed[:, 1:]]).T
    )
    for axis in looks:
        seen = np.bincount(opening[closed[:, 0]], axis[len(axis) - caps :], len(opening))
        axis[len(axis) - caps :] = seen[opening[closed[:, 0]]]
    is_deck = looks[2] > DECK_SLOPE_COSINE * lengths(looks)
    edges = find_edges(triangles)
    paired = edges.count == 2
    faces = np.stack([edges.order[edges.first[paired] + i] // 3 for i in (0, 1)])
    cap = faces >= len(triangles) - caps
    gunwale = (cap & is_deck[faces]).any(axis=0) & (~cap & ~is_deck[faces]).any(axis=0)
    ends: Ints = edges.ends[paired][gunwale]
    return ends
