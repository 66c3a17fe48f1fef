"""The shapes of a vessel laid out on a plane of pixels: marks, draft scales and labels."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import numpy as np

from ...core.arrays import Floats
from ...drawing.picture import Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import RGBA, Area, grown
from .draft_scale_layout import draw_draft_scale
from .glyphs import RIM
from .length_layout import draw_dimension, draw_measure, write_dimension, write_measure
from .mark_layout import draw_letter, draw_marks, marks_aside, marks_seen
from .shapes import Caption, Drawing, Path, Tag
from .sketch import Sketch
from .style import TEXT, Style
from .view import View

HEADING = 17.0  # font size in pixels at a scale of 1
SHORTEST_LEG, ARROW = 18.0, 11.0  # likewise
RISES = (0.0, 1.6, -1.6, 3.2, -3.2, 4.8)  # of a name over its middle, in font sizes
FAR_RISES = (-4.8, 6.4, -6.4, 8.0, -8.0)  # of one that has to be written

UPWARD = np.array([0.0, 1.0])


def picture(
    drawing: Drawing, view: View, style: Style, text_size: TextSize, taken: Sequence[Box] = ()
) -> Picture:
    """Lay out a drawing; `view` takes its axes, `text_size` measures a text at a font size, and
    words keep off the boxes that are `taken`. What lies under those goes without its name."""
    sketch = Sketch(view, style, text_size, taken)
    for path in drawing.paths:
        _draw_path(sketch, path)
    for draft_scale in drawing.draft_scales:
        draw_draft_scale(sketch, draft_scale)
    spans = [draw_measure(sketch, measure) for measure in drawing.measures]
    dimensioned = [(each, draw_dimension(sketch, each)) for each in drawing.dimensions]
    seen = marks_aside(sketch, marks_seen(sketch, drawing.marks))
    for kind, group in groupby(seen, lambda mark: mark[0].kind):
        draw_marks(sketch, kind, list(group))
    for words in drawing.words:
        _write_caption(sketch, words)
    places = np.array([at for mark, at in seen if mark.letter])
    for mark, at in seen:
        if mark.letter and not sketch.under(at):
            draw_letter(sketch, mark, at, places)
    for measure, span in zip(drawing.measures, spans, strict=True):
        write_measure(sketch, measure, span)
    for dimension, ends in dimensioned:
        write_dimension(sketch, dimension, ends)
    _write_tags(sketch, drawing.tags)
    return sketch.picture()


def _draw_path(sketch: Sketch, path: Path) -> None:
    """A flooding path as a line with arrowheads, and the rims that it leads through."""
    color = sketch.palette.present
    rims = sketch.view.pixels(path.rims.reshape(-1, 3)).reshape(-1, 2, 2)
    sketch.line(rims, 3.0, sketch.palette.warning)
    points = sketch.view.pixels(path.points)
    points = points[np.isfinite(points).all(axis=1)]
    legs = np.stack([points[:-1], points[1:]], axis=1)
    sketch.line(legs, 2.4, color)
    for start, end in legs:
        length = float(np.hypot(*(end - start)))
        if length > SHORTEST_LEG * sketch.scale:
            _draw_arrow(sketch, (start + 2 * end) / 3, (end - start) / length, color)


def _draw_arrow(sketch: Sketch, tip: Floats, along: Floats, color: RGBA) -> None:
    foot, side = tip - ARROW * sketch.scale * along, np.array([-along[1], along[0]])
    across = 0.45 * ARROW * sketch.scale * side
    outline = np.stack([tip, foot + across, foot - across])[None]
    sketch.taken.append(Box(*outline[0].min(axis=0).tolist(), *outline[0].max(axis=0).tolist()))
    sketch.glyphs.append(Area(grown(outline, RIM * sketch.scale), sketch.palette.halo))
    sketch.glyphs.append(Area(outline, color))


def _write_tags(sketch: Sketch, tags: Sequence[Tag]) -> None:
    """Names over the middles of what they name, each as full as there is space: the
    chosen and then the nearest first."""
    size = TEXT * sketch.scale
    middles = np.reshape([tag.at for tag in tags], (-1, 3))
    places, off = sketch.view.pixels(middles), sketch.view.distances(middles)
    ranked = sorted(range(len(tags)), key=lambda n: (not tags[n].chosen, off[n]))
    for tag, at in ((tags[n], places[n]) for n in ranked):
        if not np.isfinite(at).all() or sketch.under(at):
            continue
        boxes = [
            (text, sketch.box(text, size, at + (0.0, rise * size), np.zeros(2)))
            for text in tag.texts
            for rise in (RISES + FAR_RISES if tag.chosen else RISES)
        ]
        free = (each for each in boxes if sketch.free(each[1].grown(size / 3)))
        text, box = next(free, boxes[0] if tag.chosen else ("", None))
        if box:
            sketch.write(text, size, box, sketch.palette.of(tag.tone), plate=True)


def _write_caption(sketch: Sketch, words: Caption) -> None:
    """A short text above its point."""
    at = sketch.view.pixels(words.at)[0]
    if np.isfinite(at).all():
        size = HEADING * sketch.scale
        box = sketch.box(words.text, size, at + (0.0, 8.0 * sketch.scale), UPWARD)
        sketch.write(words.text, size, box, sketch.palette.of(words.tone), plate=True)
