"""Marks laid out on the plane of pixels, and their letters beside them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...core.arrays import Floats
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import Area
from .glyphs import HALO, MITRES, OUTLINES, RADIUS, REACHES, RIM
from .shapes import Mark, MarkKind
from .sketch import Sketch
from .style import TEXT

CLEAR = 6.0  # from a mark to its letter, in pixels at a scale of 1
SLANTS = np.array([(1, 1), (-1, 1), (1, -1), (-1, -1)], float)
DIRECTIONS = np.array([(1, 0), (-1, 0), *SLANTS], float)
RINGS = (2.0, 3.0)  # reaches at which a letter is drawn on a leader
CENTERS, OPENINGS = {"G", "B", "M", "F"}, {"opening", "flooding"}
ASIDE = np.array([(-1, 0), (1, 0), *SLANTS], float)
STEPS_ASIDE = (1.0, 1.5, 2.0)  # of the distance that two marks need beside each other


def marks_seen(sketch: Sketch, marks: Sequence[Mark]) -> list[tuple[Mark, Floats]]:
    """The marks in front of the eye, with their pixels."""
    places = sketch.view.pixels(np.reshape([mark.at for mark in marks], (-1, 3)))
    shown = np.isfinite(places).all(axis=1)
    return [(mark, at) for mark, at, here in zip(marks, places, shown, strict=True) if here]


def marks_aside(sketch: Sketch, seen: Sequence[tuple[Mark, Floats]]) -> list[tuple[Mark, Floats]]:
    """The same, with marks of openings that would cover a center moved aside, on a leader."""
    centers = [_glyph(sketch, mark, at) for mark, at in seen if mark.kind in CENTERS]
    openings = [_glyph(sketch, mark, at) for mark, at in seen if mark.kind in OPENINGS]
    moved = []
    for mark, at in seen:
        own = _glyph(sketch, mark, at)
        over = next((box for box in centers if own.meets(box)), None)
        if over and mark.kind in OPENINGS:
            reach = (over.width + own.width) / 2
            places = (at + step * reach * direction for step in STEPS_ASIDE for direction in ASIDE)
            others = [*centers, *(box for box in openings if box != own)]
            place = next(
                (each for each in places if not any(map(_glyph(sketch, mark, each).meets, others))),
                at,
            )
            openings.append(_glyph(sketch, mark, place))
            sketch.line(np.array([[at, place]]), 1.0, sketch.palette.quiet)
            at = place
        moved.append((mark, at))
    return moved


def _glyph(sketch: Sketch, mark: Mark, at: Floats) -> Box:
    """What a mark takes up."""
    size = mark.size * RADIUS[mark.kind] * sketch.style.mark_scale
    reach = (size * REACHES[mark.kind] + HALO) * sketch.scale
    return Box(*(at - reach).tolist(), *(at + reach).tolist())


def draw_marks(sketch: Sketch, kind: MarkKind, seen: Sequence[tuple[Mark, Floats]]) -> None:
    """The glyphs of marks of one kind: a dark edge, a light rim, the filling."""
    at = np.array([place for _, place in seen])[:, None]
    sizes = np.array([mark.size for mark, _ in seen])[:, None, None]
    sizes = sizes * RADIUS[kind] * sketch.scale * sketch.style.mark_scale
    outlines = at + sizes * OUTLINES[kind]
    edges = outlines + HALO * sketch.scale * MITRES[kind]
    sketch.glyphs.append(Area(edges, sketch.palette.edge))
    if kind != "weight":
        rims = outlines + RIM * sketch.scale * MITRES[kind]
        sketch.glyphs.append(Area(rims, sketch.palette.rim))
    sketch.glyphs.append(Area(outlines, sketch.palette.marks[kind]))
    boxes = np.concatenate([edges.min(axis=1), edges.max(axis=1)], axis=1)
    sketch.taken += [Box(*box) for box in boxes.tolist()]


def draw_letter(sketch: Sketch, mark: Mark, at: Floats, others: Floats) -> None:
    """The mark's letter beside it, or on a leader where `others` (n, 2) crowd or are nearer."""
    size = TEXT * sketch.scale * sketch.style.mark_scale
    radius = RADIUS[mark.kind] * sketch.style.mark_scale
    reach = (radius * REACHES[mark.kind] + CLEAR) * sketch.scale
    places = [(1.0, direction) for direction in DIRECTIONS]
    places += [(ring, direction) for ring in RINGS for direction in SLANTS]
    boxes = (
        sketch.box(mark.letter, size, at + ring * reach * direction, direction)
        for ring, direction in places
    )
    fitting = (
        (ring, direction, box)
        for (ring, direction), box in zip(places, boxes, strict=True)
        if sketch.free(box) and (ring > 1 or box.nearest(at, others))
    )
    beside = (
        1.0,
        DIRECTIONS[0],
        sketch.box(mark.letter, size, at + reach * DIRECTIONS[0], DIRECTIONS[0]),
    )
    ring, direction, box = next(fitting, beside)
    if ring > 1:
        leader = at + np.array([[0.8], [ring - 0.2]]) * reach * direction
        sketch.line(leader[None], 1.0, sketch.palette.quiet)
    sketch.write(mark.letter, size, box, sketch.palette.ink, plate=mark.kind == "flooding")
