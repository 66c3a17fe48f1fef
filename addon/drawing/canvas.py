"""A picture painted in numpy: pixels, areas, strokes and letters."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from ..core.arrays import Bools, Floats, Floats32
from .tessellation import RGBA, Primitive, triangles

FINE = 8  # samples a pixel and axis under a letter


class Canvas:
    """Colors (height, width, 3), 0 to 1 as on the screen, the lowest row first."""

    def __init__(self, pixels: Floats32) -> None:
        self.pixels = pixels

    @classmethod
    def blank(cls, width: int, height: int, color: RGBA) -> Canvas:
        """A canvas all of one color."""
        return cls(np.full((height, width, 3), color[:3], np.float32))

    def paint(self, primitives: Iterable[Primitive]) -> None:
        """Paint inks one over the other; a stroke's segments do not darken where they meet."""
        for primitive in primitives:
            corners, colors = (part.astype(np.float64) for part in triangles([primitive]))
            self._tint(
                corners[:, :2].reshape(-1, 3, 2), colors[:, 3].reshape(-1, 3), primitive.color
            )

    def write(self, outline: Floats, color: RGBA, halo: RGBA, reach: float) -> None:
        """Fill letters of an outline (n, 2, 2) in pixels, over a halo that reaches so far round."""
        if not len(outline):
            return
        margin = int(np.ceil(reach)) + 1
        low = np.floor(outline.min(axis=(0, 1))).astype(int) - margin
        high = np.ceil(outline.max(axis=(0, 1))).astype(int) + margin
        width, height = high - low
        fine = filled((outline - low) * FINE, FINE * width, FINE * height)
        full = fine.reshape(height, FINE, width, FINE).mean(axis=(1, 3), dtype=np.float32)
        self._blend(widened(full, reach) * halo[3], halo, *low)
        self._blend(full * color[3], color, *low)

    def _tint(self, corners: Floats, alphas: Floats, color: RGBA) -> None:
        if not len(corners):
            return
        size = self.pixels.shape[1::-1]
        low = np.clip(np.floor(corners.min(axis=(0, 1))).astype(int), 0, size)
        high = np.clip(np.ceil(corners.max(axis=(0, 1))).astype(int), 0, size)
        self._blend(coverage(corners - low, alphas, *(high - low)), color, *low)

    def _blend(self, alpha: Floats32, color: RGBA, left: int, bottom: int) -> None:
        """Lay a color over the canvas; what reaches beyond the edges is left out."""
        corner, size = np.array([left, bottom]), np.array(self.pixels.shape[1::-1])
        low, high = np.clip([corner, corner + alpha.shape[::-1]], 0, size)
        (x0, y0), (x1, y1) = low - corner, high - corner
        under = self.pixels[low[1] : high[1], low[0] : high[0]]
        under += alpha[y0:y1, x0:x1, None] * (np.array(color[:3], np.float32) - under)


def coverage(corners: Floats, alphas: Floats, width: int, height: int) -> Floats32:
    """Alpha (height, width) of triangles (n, 3, 2) with alphas (n, 3) at their corners.

    Taken at the middles of pixels; where triangles overlap the greater counts.
    """
    mask = np.zeros((height, width), np.float32)
    (ax, ay), (bx, by), (cx, cy) = corners.transpose(1, 2, 0)
    twice = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    low = np.maximum(np.ceil(corners.min(axis=1) - 0.5).astype(int), 0)
    high = np.floor(corners.max(axis=1) - 0.5).astype(int) + 1
    high = np.minimum(high, (width, height))
    for n in np.flatnonzero((twice != 0) & (low < high).all(axis=1)):
        (left, bottom), (right, top) = low[n], high[n]
        x, y = np.arange(left, right) + 0.5, (np.arange(bottom, top) + 0.5)[:, None]
        of_b = ((x - ax[n]) * (cy[n] - ay[n]) - (y - ay[n]) * (cx[n] - ax[n])) / twice[n]
        of_c = ((bx[n] - ax[n]) * (y - ay[n]) - (by[n] - ay[n]) * (x - ax[n])) / twice[n]
        of_a = 1 - of_b - of_c
        inside = (of_a >= -1e-9) & (of_b >= -1e-9) & (of_c >= -1e-9)
        alpha = of_a * alphas[n, 0] + of_b * alphas[n, 1] + of_c * alphas[n, 2]
        part = mask[bottom:top, left:right]
        np.maximum(part, inside * alpha, out=part, casting="same_kind")
    return mask


def filled(outline: Floats, width: int, height: int) -> Bools:
    """Which pixels (height, width) have their middle inside an outline, edges (n, 2, 2).

    Inside is where the edges to the left, counted up or down, do not cancel.
    """
    (x0, y0), (x1, y1) = outline.transpose(1, 2, 0)
    first, last = (np.ceil(end(y0, y1) - 0.5).astype(int) for end in (np.minimum, np.maximum))
    count = last - first
    edge = np.repeat(np.arange(len(outline)), count)
    row = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[edge]
    share = (row + 0.5 - y0[edge]) / (y1 - y0)[edge]
    column = np.ceil(x0[edge] + share * (x1 - x0)[edge] - 0.5).astype(int)
    turns = np.zeros((height, width), np.int32)
    np.add.at(turns, (row, column), np.sign(y1 - y0)[edge].astype(np.int32))
    return turns.cumsum(axis=1) != 0


def widened(mask: Floats32, reach: float) -> Floats32:
    """The mask spread by `reach` pixels all round, fading over the last one."""
    size = int(np.ceil(reach))
    spread = mask.copy()
    for dy in range(-size, size + 1):
        for dx in range(-size, size + 1):
            share = min(1.0, reach + 1 - float(np.hypot(dx, dy)))
            if share <= 0:
                continue
            to, of = _overlap(dy, len(mask)), _overlap(-dy, len(mask))
            to_x, of_x = _overlap(dx, len(mask[0])), _overlap(-dx, len(mask[0]))
            np.maximum(spread[to, to_x], share * mask[of, of_x], out=spread[to, to_x])
    return spread


def _overlap(by: int, size: int) -> slice:
    return slice(max(by, 0), size + min(by, 0))
