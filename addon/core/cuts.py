"""Parts of a closed surface on one side of a plane, themselves closed.

What lies on the side is kept, triangles across the plane are clipped, and the cut is closed by
a fan of signed triangles from one point of the plane over the cut segments. Their sum is exact
for any nesting and concavity: where the fan runs outside the section it runs back too.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .body import LostBuoyancy
from .findings import BadInputError
from .hull import Hull
from .section import across
from .tree import MomentTree

Array = NDArray[np.float64]

AHEAD = np.array([1.0, 0.0, 0.0])


def part_between(hull: Hull, x0: float, x1: float) -> MomentTree:
    """The part of the whole hull between two transverse planes (m), of ship axes.

    The lids in the planes come last of its `faces()` and have no skin. Raises BadInputError
    where there is nothing of the hull between them.
    """
    whole = hull.tree.whole if isinstance(hull.tree, LostBuoyancy) else hull.tree
    assert isinstance(whole, MomentTree)
    aft, forward = float(whole.low[0]), float(whole.high[0])
    if not max(x0, aft) < min(x1, forward):
        raise BadInputError(
            f"{hull.name}: there is nothing of the hull between x = {x0:g} m and x = {x1:g} m; "
            f"it runs from {aft:g} m to {forward:g} m"
        )
    return part_below(part_below(whole, AHEAD, x1), -AHEAD, -x0)


def part_below(tree: MomentTree, normal: Array, level: float) -> MomentTree:
    """The part of a closed surface with x . normal <= level, closed in the plane by lids.

    The leaves of the tree that are wholly there are kept as they are.
    """
    kept, crossed = tree.leaves_below(normal, level)
    if len(kept) == len(tree.order):
        return tree
    corners, is_lid = tree.held(crossed)
    heights = corners @ normal - level
    below = (heights <= 0).sum(axis=1)
    through = (below > 0) & (below < 3)
    segments = across(corners[through], heights[through])
    pieces, owner = _below(corners[through], heights[through], segments)
    whole = below == 3
    faces = np.concatenate([corners[whole], pieces])
    is_lid = np.concatenate([is_lid[whole], is_lid[through][owner]])
    lids = np.concatenate([faces[is_lid], _fan(segments)])
    return tree.regrown(kept, faces[~is_lid], lids)


def _below(corners: Array, heights: Array, segments: Array) -> tuple[Array, NDArray[np.int64]]:
    """The pieces (m, 3, 3) below the plane of triangles (k, 3, 3) that it cuts in segments
    (k, 2, 3), and of which triangle each is (m,)."""
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


def _fan(segments: Array) -> Array:
    """Triangles (k, 3, 3) from the middle of segments (k, 2, 3) over each of them."""
    if not len(segments):
        return np.zeros((0, 3, 3))
    middle = segments.reshape(-1, 3).mean(axis=0)
    return np.insert(segments, 2, middle, axis=1)
