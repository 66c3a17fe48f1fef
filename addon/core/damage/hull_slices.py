"""Parts of a closed surface on one side of a plane, closed by caps.

Triangles on the side are kept, those across the plane are clipped, and the section is closed by a
fan of signed triangles from one point of the plane over the cut segments. Their sum is exact for
any nesting and concavity: where the fan runs outside the section it cancels.
"""

from __future__ import annotations

import numpy as np

from ..arrays import Bools, Floats, Ints
from ..buoyancy.body import LostBuoyancy
from ..buoyancy.moment_tree import MomentTree
from ..buoyancy.sections import section_segments
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from ..model.hull import Hull

FORWARD = np.array([1.0, 0.0, 0.0])
"""The forward direction (3,)."""


def hull_between(hull: Hull, x0: float, x1: float) -> MomentTree:
    """The part of the whole hull between two transverse planes (m), in ship axes.

    The caps in the planes come last in its `faces()` and belong to no hull surface. Raises
    BadInputError where no part of the hull is between them.
    """
    whole = hull.tree.whole if isinstance(hull.tree, LostBuoyancy) else hull.tree
    assert isinstance(whole, MomentTree)
    aft, forward = float(whole.low[0]), float(whole.high[0])
    if not max(x0, aft) < min(x1, forward):
        raise BadInputError(
            Sentence(
                "{hull}: there is nothing of the hull between x = {low} and x = {high}; it runs "
                "from {aft} to {forward}",
                hull=Subject("hull", hull.name),
                low=meters(x0, "g"),
                high=meters(x1, "g"),
                aft=meters(aft, "g"),
                forward=meters(forward, "g"),
            )
        )
    return slab(whole, FORWARD, x0, x1)


def slab(tree: MomentTree, normal: Floats, low: float, high: float) -> MomentTree:
    """The part of a closed surface with low <= x . normal <= high (m), closed by caps in both
    planes; either may be infinite.

    Leaves of the tree wholly inside are kept as they are.
    """
    planes = ((normal, high), (-normal, -low))
    (under, through), (over, across_low) = (tree.leaves_below(*plane) for plane in planes)
    kept = np.intersect1d(under, over, assume_unique=True)
    crossed = np.union1d(
        np.intersect1d(through, np.concatenate([over, across_low]), assume_unique=True),
        np.intersect1d(across_low, under, assume_unique=True),
    )
    faces, is_cap = tree.leaf_triangles(crossed)
    for plane in planes:
        faces, is_cap = _clipped(faces, is_cap, *plane)
    return tree.with_faces(kept, faces[~is_cap], faces[is_cap])


def _clipped(corners: Floats, is_cap: Bools, normal: Floats, level: float) -> tuple[Floats, Bools]:
    """Triangles (k, 3, 3) clipped below a plane, with the closing fan, and which of them are
    caps."""
    heights = corners @ normal - level
    below = (heights <= 0).sum(axis=1)
    whole, through = below == 3, (below > 0) & (below < 3)
    segments = section_segments(corners[through], heights[through])
    pieces, owner = _below(corners[through], heights[through], segments)
    fan = _fan(segments)
    return (
        np.concatenate([corners[whole], pieces, fan]),
        np.concatenate([is_cap[whole], is_cap[through][owner], np.ones(len(fan), bool)]),
    )


def _below(corners: Floats, heights: Floats, segments: Floats) -> tuple[Floats, Ints]:
    """The pieces (m, 3, 3) below the plane of triangles (k, 3, 3) that it cuts in segments (k, 2,
    3), and the triangle of each (m,)."""
    above = heights > 0
    single = above.sum(axis=1) == 1
    lone = np.where(single, above.argmax(axis=1), above.argmin(axis=1))
    turned = corners[np.arange(len(corners))[:, None], (lone[:, None] + np.arange(3)) % 3]
    tip, first, second = turned.transpose(1, 0, 2)
    start, end = segments.transpose(1, 0, 2)
    tips = np.stack([end, start, tip], axis=1)[~single]
    near = np.stack([start, first, second], axis=1)[single]
    far = np.stack([start, second, end], axis=1)[single]
    cut = np.flatnonzero(single)
    return np.concatenate([tips, near, far]), np.concatenate([np.flatnonzero(~single), cut, cut])


def _fan(segments: Floats) -> Floats:
    """Triangles (k, 3, 3) from the mean point of segments (k, 2, 3) over each of them."""
    if not len(segments):
        return np.zeros((0, 3, 3))
    middle = segments.reshape(-1, 3).mean(axis=0)
    return np.insert(segments, 2, middle, axis=1)
