"""Overlapping bounding boxes, found by a tree."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..arrays import Bools, Floats, Ints

BRANCHING_FACTOR = 8
"""Boxes that one box of the next level encloses."""
PAIRS_AT_ONCE = 1 << 12
"""Pairs of blocks opened at a time, each into at most `BRANCHING_FACTOR`**2 pairs, to bound
memory."""


def overlapping_boxes(
    low: Floats, high: Floats, sought: Bools | None = None
) -> Iterator[tuple[Ints, Ints]]:
    """Pairs i < j of boxes (3 axes, n) that overlap, each once, a chunk at a time; with `sought`
    (kinds, n), only pairs in which every kind is present in one box or the other.

    A tree of boxes with `BRANCHING_FACTOR` children each, best in Morton order, is joined with
    itself from the top down, depth first, so that memory stays bounded for any number of pairs.
    """
    some = np.ones((1, low.shape[1]), bool) if sought is None else sought
    levels: list[tuple[Floats, Floats, Bools]] = []
    while not levels or low.shape[1] > 1:
        padding = (0, 0), (0, -low.shape[1] % BRANCHING_FACTOR)
        low = np.pad(low, padding, constant_values=np.inf).reshape(3, -1, BRANCHING_FACTOR)
        high = np.pad(high, padding, constant_values=-np.inf).reshape(3, -1, BRANCHING_FACTOR)
        low, high = (np.ascontiguousarray(side.transpose(0, 2, 1)) for side in (low, high))
        some = np.pad(some, padding).reshape(len(some), -1, BRANCHING_FACTOR).transpose(0, 2, 1)
        levels.append((low, high, some))
        low, high, some = low.min(axis=1), high.max(axis=1), some.any(axis=1)
    top = np.arange(low.shape[1])
    stack = [(len(levels) - 1, top, top)]
    while stack:
        depth, i, j = stack.pop()
        low, high, some = levels[depth]
        ours = low.take(i, axis=2)[:, :, None], high.take(i, axis=2)[:, :, None]
        theirs = low.take(j, axis=2)[:, None], high.take(j, axis=2)[:, None]
        meet = ((ours[0] < theirs[1]) & (theirs[0] < ours[1])).all(axis=0)
        meet &= (some.take(i, axis=2)[:, :, None] | some.take(j, axis=2)[:, None]).all(axis=0)
        child, other, pair = np.nonzero(meet)
        i, j = i[pair] * BRANCHING_FACTOR + child, j[pair] * BRANCHING_FACTOR + other
        once = i <= j if depth else i < j
        i, j = i[once], j[once]
        if depth == 0:
            yield i, j
            continue
        for start in range(0, len(i), PAIRS_AT_ONCE):
            part = slice(start, start + PAIRS_AT_ONCE)
            stack.append((depth - 1, i[part], j[part]))
