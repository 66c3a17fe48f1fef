"""Where a chart lies in a region of the viewport."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ...charts.panel import TEXT, Spot
from ...drawing.pixel_boxes import Box

Array = NDArray[np.float64]

USUAL = (400.0, 250.0)  # pixels at a scale of 1, as every length below
LEAST = (190.0, 120.0)
SHARE, MOST = 0.42, 0.6  # of the room, across and up: at the usual size, and at any
MARGIN = 10.0


def chart_room(low: Array, high: Array, rows: int, scale: float) -> Box:
    """What the free pixels `low` to `high` (2,) of a region leave the chart over so many rows
    of read-out."""
    foot = TEXT * scale * (1.2 + 2.0 * rows) if rows else 0.0
    room = Box(float(low[0]), float(low[1]) + foot, float(high[0]), float(high[1]))
    return room.grown(-MARGIN * scale)


def words_room(low: Array, high: Array, redo: Box | None) -> Box:
    """What the panel of the last operation, if there is one, leaves the read-out of the free pixels
    `low` to `high` (2,): what is right of it, or above it where that is less than half."""
    room = Box(*low.tolist(), *high.tolist())
    if redo is None or not redo.meets(room):
        return room
    beside = room._replace(left=redo.right)
    return beside if beside.width >= room.width / 2 else room._replace(bottom=redo.top)


def chart_spot(room: Box, place: Sequence[float], size: float, scale: float) -> Spot | None:
    """The spot of a chart of so many usual sizes, at a place in its room.

    It is smaller where that would hide the ship. None where there is too little room.
    """
    width, height = (
        max(least * scale, min(size * min(usual * scale, SHARE * free), MOST * free))
        for least, usual, free in zip(LEAST, USUAL, (room.width, room.height), strict=True)
    )
    if width > MOST * room.width or height > MOST * room.height:
        return None
    left = round(room.left + place[0] * (room.width - width))
    bottom = round(room.bottom + place[1] * (room.height - height))
    return Spot(room, Box(left, bottom, left + width, bottom + height))
