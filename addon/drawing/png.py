"""Pictures as PNG (ISO/IEC 15948)."""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

from ..core.arrays import Floats32

Bytes = NDArray[np.uint8]

SIGNATURE = b"\x89PNG\r\n\x1a\n"
METER = 1  # the unit of pixel density
EIGHT_BIT_RGB = (8, 2, 0, 0, 0)  # depth, colors, and the only compression, filter, interlace


def png(pixels: Floats32, pixels_per_metre: float | None = None) -> bytes:
    """The file of a picture (height, width, 3), 0 to 1, the lowest row first.

    Photographs are filtered row by row; a drawing, which has a size on paper, is packed best as
    it is.
    """
    rows = np.round(np.clip(pixels[::-1], 0, 1) * 255).astype(np.uint8)
    height, width = rows.shape[:2]
    header = struct.pack(">IIBBBBB", width, height, *EIGHT_BIT_RGB)
    photograph = pixels_per_metre is None
    lines = _filtered(rows) if photograph else np.pad(rows.reshape(height, -1), ((0, 0), (1, 0)))
    data = zlib.compress(lines.tobytes(), 9 if photograph else 6)
    parts = [(b"IHDR", header), (b"IDAT", data), (b"IEND", b"")]
    if pixels_per_metre is not None:
        dense = round(pixels_per_metre)
        parts.insert(1, (b"pHYs", struct.pack(">IIB", dense, dense, METER)))
    return SIGNATURE + b"".join(_chunk(kind, content) for kind, content in parts)


def _chunk(kind: bytes, content: bytes) -> bytes:
    check = struct.pack(">I", zlib.crc32(kind + content))
    return struct.pack(">I", len(content)) + kind + content + check


def _filtered(rows: Bytes) -> Bytes:
    """Rows led by their filter's number, each filtered so that its differences are least."""
    padded = np.pad(rows, ((1, 0), (1, 0), (0, 0))).astype(np.int16)
    here, left, above, corner = (padded[1:, 1:], padded[1:, :-1], padded[:-1, 1:], padded[:-1, :-1])
    guess = left + above - corner
    off = np.abs(np.stack([guess - left, guess - above, guess - corner]))
    nearest = np.choose(off.argmin(axis=0), (left, above, corner))
    guesses = np.stack([0 * here, left, above, (left + above) // 2, nearest])
    differences = (here - guesses).astype(np.uint8)
    cost = np.abs(differences.view(np.int8).astype(np.int32)).sum(axis=(2, 3))
    best = cost.argmin(axis=0)
    chosen = differences[best, np.arange(len(rows))].reshape(len(rows), -1)
    return np.column_stack([best.astype(np.uint8), chosen])
