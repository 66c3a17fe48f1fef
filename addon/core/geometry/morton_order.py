"""Morton order: neighbors in space become neighbors in memory."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..arrays import Floats

CELLS_PER_AXIS = 1024
"""Cells along the largest extent: 10 bits an axis, 30 in a key."""


def _spread_bits(cells: NDArray[np.uint32]) -> NDArray[np.uint32]:
    """10-bit numbers with two zero bits inserted after each bit."""
    for shift, mask in ((16, 0x030000FF), (8, 0x0300F00F), (4, 0x030C30C3), (2, 0x09249249)):
        cells = (cells | cells << np.uint32(shift)) & np.uint32(mask)
    return cells


SPREAD_BITS = _spread_bits(np.arange(CELLS_PER_AXIS, dtype=np.uint32))
"""The spread bits of every cell number."""


def morton_order(points: Floats) -> NDArray[np.intp]:
    """Indices (n,) that sort points (n, 3) along a Morton curve.

    The cells are cubes, 1024 of them along the largest extent, so the curve suits a long slender
    body as well as a round one; points of one cell keep their given order. The keys are sorted by
    two stable passes over 16-bit numbers, which numpy sorts by radix. Source: Morton 1966, A
    Computer Oriented Geodetic Data Base, IBM (from memory).
    """
    if len(points) == 0:
        return np.zeros(0, dtype=np.intp)
    cell = max(axis.max() - axis.min() for axis in points.T) / CELLS_PER_AXIS or 1.0
    keys = np.zeros(len(points), dtype=np.uint32)
    for bit, axis in enumerate(points.T):
        cells = ((axis - axis.min()) / cell).astype(np.intp)
        keys |= SPREAD_BITS.take(cells, mode="clip") << np.uint32(bit)
    order = np.argsort(keys.astype(np.uint16), kind="stable")
    return order[np.argsort((keys >> 16).astype(np.uint16)[order], kind="stable")]
