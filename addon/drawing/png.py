"""Pictures as PNG (ISO/IEC 15948)."""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]

SIGNATURE = b"\x89PNG\r\n\x1a\n"
EIGHT_BIT_RGB = (8, 2, 0, 0, 0)  # depth, colours, and the only compression, filter, interlace


def png(pixels: NDArray[np.float32]) -> bytes:
    """The file of a picture (height, width, 3), 0 to 1, the lowest row first."""
    rows = np.round(np.clip(pixels[::-1], 0, 1) * 255).astype(np.uint8)
    height, width = rows.shape[:2]
    header = struct.pack(">IIBBBBB", width, height, *EIGHT_BIT_RGB)
    data = zlib.compress(_filtered(rows).tobytes(), 9)
    parts = ((b"IHDR", header), (b"IDAT", data), (b"IEND", b""))
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
