"""Measures and dimension lines laid out on the plane of pixels, with their values."""

from __future__ import annotations

import numpy as np

from ...core.arrays import Floats
from .dimensions import Dimension
from .shapes import Measure
from .sketch import Sketch
from .style import TEXT

SHORTEST_MEASURE = 14.0  # pixels at a scale of 1
SHORTEST_DIMENSION, SLANT = 10.0, 4.0  # likewise
SHARES = (0.5, 0.25, 0.75, 0.1, 0.9)  # along a dimension line, for its words


def draw_measure(sketch: Sketch, measure: Measure) -> Floats:
    """The measure's line; returns its ends (2, 2)."""
    ends = sketch.view.pixels(np.stack([measure.start, measure.end]))
    sketch.line(ends[None], 1.4, sketch.palette.ink)
    return ends


def write_measure(sketch: Sketch, measure: Measure, ends: Floats) -> None:
    """The measure's value beside the part of its line in the picture, on the free side."""
    span = ends[1] - ends[0]
    length = float(np.hypot(*span))
    seen = _points_in_picture(sketch, ends)
    if not measure.text or not len(seen) or length < SHORTEST_MEASURE * sketch.scale:
        return
    size = TEXT * sketch.scale
    side = np.array([-span[1], span[0]]) / length
    for direction in (side, -side):
        at = seen.mean(axis=0) + 9.0 * sketch.scale * direction
        box = sketch.box(measure.text, size, at, direction)
        if sketch.free(box):
            sketch.write(measure.text, size, box, sketch.palette.ink, plate=True)
            return


def draw_dimension(sketch: Sketch, dimension: Dimension) -> Floats:
    """The dimension's line, with strokes across its ends, and its leads; returns its ends
    (2, 2), NaN where it is seen end on."""
    points = np.concatenate([[dimension.start, dimension.end], *dimension.leads])
    ends, *leads = sketch.view.pixels(points).reshape(-1, 2, 2)
    span = ends[1] - ends[0]
    length = float(np.hypot(*span))
    if not length >= SHORTEST_DIMENSION * sketch.scale:
        return np.full((2, 2), np.nan)
    along = span / length
    stroke = SLANT * sketch.scale * (along + np.array([-along[1], along[0]]))
    sketch.line(np.stack(leads), 0.8, sketch.palette.quiet)
    strokes = [np.stack([end - stroke, end + stroke]) for end in ends]
    sketch.line(np.stack([ends, *strokes]), 1.2, sketch.palette.ink)
    return ends


def write_dimension(sketch: Sketch, dimension: Dimension, ends: Floats) -> None:
    """The dimension's text on the part of its line in the picture, where it is free."""
    span = ends[1] - ends[0]
    seen = _points_in_picture(sketch, ends)
    if not len(seen):
        return
    size = TEXT * sketch.scale
    side = np.array([-span[1], span[0]]) / float(np.hypot(*span))
    points = [seen[int(share * (len(seen) - 1))] for share in SHARES]
    places = [(at, np.zeros(2)) for at in points]
    places += [
        (at + 6.0 * sketch.scale * direction, direction)
        for at in points
        for direction in (side, -side)
    ]
    boxes = (sketch.box(dimension.text, size, at, direction) for at, direction in places)
    box = next((box for box in boxes if sketch.free(box.grown(size / 4))), None)
    if box:
        sketch.write(dimension.text, size, box, sketch.palette.ink, plate=True)


def _points_in_picture(sketch: Sketch, ends: Floats) -> Floats:
    """Points (n, 2) along a line from end to end that lie in the picture."""
    along = ends[0] + np.linspace(0, 1, 65)[:, None] * (ends[1] - ends[0])
    inside = (along > 0) & (along < (sketch.view.width, sketch.view.height))
    return along[inside.all(axis=1)]
