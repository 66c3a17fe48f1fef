"""Blocks of triangles with their sums: bounding boxes, surface moments and areas.

Moments are int n_k X_a X_b dA, X = (1, x, y, z), over all triangles of a block.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Bools, Floats, Ints
from ..geometry.morton_order import morton_order
from ..geometry.triangles import area_vectors, corners_by_axis, lengths

LEAF_SIZE = 16
"""Triangles in a leaf."""
BRANCHING_FACTOR = 8
"""Blocks in a block of the next level."""
LEAVES_AT_ONCE = 1 << 9
"""Leaves in a chunk that fits the caches with all intermediate arrays."""
MOMENT_PAIRS = tuple((a, b) for a in range(4) for b in range(a, 4))
"""Index pairs (a, b) of the ten distinct products X_a X_b."""
MIDPOINT_WEIGHTS = np.array([1.0] + 3 * [1 / 6] + 6 * [1 / 12])
"""Factors that turn sums over twice the edge midpoints of a triangle into means over it."""


@dataclass(frozen=True)
class TreeLevel:
    """Blocks of one size: bounding box centers and half sizes (n, 3), moments (n, 3, 10), wettable
    area (n,)."""

    center: Floats
    half: Floats
    moments: Floats
    wettable_area: Floats

    def parents(self, chosen: Ints | None = None) -> TreeLevel:
        """The level above, each of its blocks holding `BRANCHING_FACTOR` of these; or some of its
        blocks."""
        count = len(self.wettable_area)
        parts = self.center - self.half, self.center + self.half, self.moments, self.wettable_area
        if chosen is None:
            first = np.arange(0, count, BRANCHING_FACTOR)
        else:
            ends = np.minimum(np.stack([chosen, chosen + 1], axis=1) * BRANCHING_FACTOR, count)
            inside = np.repeat(ends[:, 0], BRANCHING_FACTOR).reshape(
                -1, BRANCHING_FACTOR
            ) + np.arange(BRANCHING_FACTOR)
            inside = inside[inside < ends[:, 1:]]
            first = np.cumsum(np.diff(ends, axis=1)[:, 0]) - np.diff(ends, axis=1)[:, 0]
            parts = tuple(part[inside] for part in parts)
        low, high = np.minimum.reduceat(parts[0], first), np.maximum.reduceat(parts[1], first)
        moments, wettable_area = (np.add.reduceat(part, first) for part in parts[2:])
        return TreeLevel((low + high) / 2, (high - low) / 2, moments, wettable_area)

    def replaced(self, blocks: Ints, fresh: TreeLevel) -> TreeLevel:
        """The level with some blocks (k,) replaced."""
        changed = TreeLevel(
            self.center.copy(), self.half.copy(), self.moments.copy(), self.wettable_area.copy()
        )
        for there, here in zip(vars(changed).values(), vars(fresh).values(), strict=True):
            there[blocks] = here
        return changed


def build_levels(leaves: TreeLevel) -> tuple[TreeLevel, ...]:
    """All levels from the leaves up."""
    levels = [leaves]
    while len(levels[0].wettable_area) > BRANCHING_FACTOR**2:
        levels.insert(0, levels[0].parents())
    return tuple(levels)


def leaf_order(points: Floats) -> Ints:
    """Numbers (k, LEAF) of triangles by a point of each (m, 3), neighbors in one leaf; -1 for
    none."""
    order: Ints = np.full((-(-len(points) // LEAF_SIZE), LEAF_SIZE), -1)
    order.reshape(-1)[: len(points)] = morton_order(points)
    return order


def leaf_corners(local: Floats, triangles: Ints, order: Ints) -> Floats:
    """Corners (3 axes, 3 corners, k, LEAF) of triangles by number (k, LEAF), those numbered -1
    collapsed to a corner of the first of their leaf."""
    none = order < 0
    taken = triangles.take(np.where(none, order[:, :1], order).ravel(), axis=0)
    corners = corners_by_axis(local, taken).reshape(3, 3, *order.shape)
    corners[:, 1:, none] = corners[:, :1, none]
    return corners


def leaf_level(packed: Floats, wettable: Bools) -> tuple[TreeLevel, Floats]:
    """Blocks of corners (3, 3, k, LEAF), and the area (k, LEAF) of wettable triangles."""
    chunks = range(0, max(packed.shape[2], 1), LEAVES_AT_ONCE)
    parts = zip(
        *(_block_sums(packed[:, :, at : at + LEAVES_AT_ONCE]) for at in chunks), strict=True
    )
    low, high, moments, areas = map(np.concatenate, parts)
    wettable_area = np.where(wettable, areas, 0.0)
    return TreeLevel(
        (low + high) / 2, (high - low) / 2, moments, wettable_area.sum(axis=1)
    ), wettable_area


def is_wettable(order: Ints, faces: int) -> Bools:
    """Which places hold a triangle that is a face, not a cap."""
    return (order >= 0) & (order < faces)


def _block_sums(corners: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Lowest and highest corners (k, 3), moments (k, 3, 10) and areas (k, LEAF) of blocks of
    corners (3, 3, k, LEAF).

    The mean of X_a X_b over a triangle is that over its edge midpoints.
    """
    low = np.minimum(np.minimum(corners[:, 0], corners[:, 1]), corners[:, 2]).min(axis=2)
    high = np.maximum(np.maximum(corners[:, 0], corners[:, 1]), corners[:, 2]).max(axis=2)
    vectors = area_vectors(corners.reshape(3, 3, -1))
    middles = (corners + corners[:, [1, 2, 0]]).reshape(3, 3, -1)
    rows = np.ones((len(MOMENT_PAIRS), vectors.shape[1]))
    middles.sum(axis=1, out=rows[1:4])
    for row, (a, b) in zip(rows[4:], MOMENT_PAIRS[4:], strict=True):
        (middles[a - 1] * middles[b - 1]).sum(axis=0, out=row)
    block = corners.shape[2:]
    flows, means = vectors.reshape(3, *block), rows.reshape(len(MOMENT_PAIRS), *block)
    moments = flows.transpose(1, 0, 2) @ means.transpose(1, 2, 0) * MIDPOINT_WEIGHTS
    return low.T, high.T, moments, lengths(vectors).reshape(block)
