"""Where a chart lies in a region of the viewport."""

from __future__ import annotations

from collections.abc import Sequence

from ...charts.panel import TEXT, Spot
from ...core.arrays import Floats
from ...drawing.pixel_boxes import Box

USUAL_SIZE = (400.0, 250.0)  # pixels at a scale of 1, as every length below
LEAST = (190.0, 120.0)
SHARE, MOST = (
    0.42,
    0.6,
)  # of the free width and height, across and up: at the usual size, and at any
MARGIN = 10.0


def chart_bounds(low: Floats, high: Floats, rows: int, scale: float) -> Box:
    """The part of the free pixels `low` to `high` (2,) of a region left to the chart above
    `rows` lines of read-out."""
    foot = TEXT * scale * (1.2 + 2.0 * rows) if rows else 0.0
    bounds = Box(float(low[0]), float(low[1]) + foot, float(high[0]), float(high[1]))
    return bounds.grown(-MARGIN * scale)


def text_bounds(low: Floats, high: Floats, redo: Box | None) -> Box:
    """What the panel of the last operation, if there is one, leaves the read-out of the free pixels
    `low` to `high` (2,): what is right of it, or above it where that is less than half."""
    bounds = Box(*low.tolist(), *high.tolist())
    if redo is None or not redo.meets(bounds):
        return bounds
    beside = bounds._replace(left=redo.right)
    return beside if beside.width >= bounds.width / 2 else bounds._replace(bottom=redo.top)


def chart_spot(bounds: Box, place: Sequence[float], size: float, scale: float) -> Spot | None:
    """Where a chart of `size` usual sizes lies, at a `place` (shares 0 to 1) in `bounds`.

    It is smaller where it would hide the vessel. None where `bounds` are too small.
    """
    width, height = (
        max(least * scale, min(size * min(usual * scale, SHARE * free), MOST * free))
        for least, usual, free in zip(LEAST, USUAL_SIZE, (bounds.width, bounds.height), strict=True)
    )
    if width > MOST * bounds.width or height > MOST * bounds.height:
        return None
    left = round(bounds.left + place[0] * (bounds.width - width))
    bottom = round(bounds.bottom + place[1] * (bounds.height - height))
    return Spot(bounds, Box(left, bottom, left + width, bottom + height))
