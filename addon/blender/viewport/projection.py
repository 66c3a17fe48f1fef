"""The shapes of a ship laid out on a plane of pixels: glyphs, draft marks and labels."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from ...core.arrays import Floats
from ...drawing.picture import Label, Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import RGBA, Area, Stroke, faint, grown
from ...units.lengths import TOGETHER, UNBROKEN
from .dimensions import Dimension
from .glyphs import HALO, MITRES, OUTLINES, RADIUS, REACHES, RIM
from .palette import Palette
from .shapes import Caption, DraftScale, Drawing, Mark, MarkKind, Measure, Path, Tag

TEXT = 12.0  # pixels at a scale of 1, as every length below
NUMERAL, HEADING = 10.5, 17.0
CLEAR = 6.0
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
CLOSEST_NUMERALS, CLOSEST_RUNGS = 17.0, 6.0
PITCH = 2.0  # of lines of text, in font sizes
WORDS = 1 / 3  # of the height of a room that lines of text take at most
SHORTEST_DRAFT_SCALE = 20.0
SHORTEST_MEASURE = 14.0
SHORTEST_DIMENSION, SLANT = 10.0, 4.0
SHORTEST_LEG, ARROW = 18.0, 11.0
RISES = (0.0, 1.6, -1.6, 3.2, -3.2, 4.8)  # of a name over its middle, in font sizes
FAR_RISES = (-4.8, 6.4, -6.4, 8.0, -8.0)  # of one that has to be written
SPOTS = (0.5, 0.25, 0.75, 0.1, 0.9)  # along a dimension line, for its words

DOT = " · "

UPWARD = np.array([0.0, 1.0])
SLANTS = np.array([(1, 1), (-1, 1), (1, -1), (-1, -1)], float)
WAYS = np.array([(1, 0), (-1, 0), *SLANTS], float)
RINGS = (2.0, 3.0)  # reaches at which a letter hangs on a leader
CENTERS, WAYS_IN = {"G", "B", "M", "F"}, {"opening", "flooding"}
ASIDE = np.array([(-1, 0), (1, 0), *SLANTS], float)
STEPS_ASIDE = (1.0, 1.5, 2.0)  # of the room that two marks need beside each other


@dataclass(frozen=True)
class View:
    """A camera: `matrix` (4, 4) takes points to clip space; the picture's size is in pixels."""

    matrix: Floats
    width: float
    height: float

    def of(self, pose: Floats) -> View:
        """The same camera for points in axes that `pose` (4, 4) places in the world."""
        return View(self.matrix @ pose, self.width, self.height)

    def pixels(self, points: Floats) -> Floats:
        """Pixels (n, 2) from the lower left of points (n, 3); NaN behind the eye."""
        points = np.atleast_2d(points)
        clip = points @ self.matrix[:, :3].T + self.matrix[:, 3]
        depth = np.where(clip[:, 3] > 1e-9, clip[:, 3], np.nan)
        return (clip[:, :2] / depth[:, None] + 1) / 2 * (self.width, self.height)

    def distances(self, points: Floats) -> Floats:
        """How far off points (n, 3) are: a measure that grows with the distance."""
        row = self.matrix[3] if self.matrix[3, :3].any() else self.matrix[2]
        return points @ row[:3] + row[3]


@dataclass(frozen=True)
class Style:
    """How large and in which colors; draft marks are spaced in decimal parts of `unit` (m) and
    numbered in multiples of `counted` (m)."""

    palette: Palette
    scale: float = 1.0
    mark_scale: float = 1.0
    unit: float = 1.0
    counted: float = 1.0


def picture(
    drawing: Drawing, view: View, style: Style, text_size: TextSize, taken: Sequence[Box] = ()
) -> Picture:
    """Lay out a drawing; `view` takes its axes, `text_size` measures a text at a font size, and
    words keep off the boxes that are `taken`. What lies under those goes without its name."""
    sketch = _Sketch(view, style, text_size, taken)
    for path in drawing.paths:
        sketch.path(path)
    for draft_scale in drawing.draft_scales:
        sketch.draft_scale(draft_scale)
    spans = [sketch.span(measure) for measure in drawing.measures]
    dimensioned = [(each, sketch.dimension(each)) for each in drawing.dimensions]
    seen = sketch.aside(sketch.seen(drawing.marks))
    for kind, group in groupby(seen, lambda mark: mark[0].kind):
        sketch.draw_marks(kind, list(group))
    for words in drawing.words:
        sketch.words(words)
    places = np.array([at for mark, at in seen if mark.letter])
    for mark, at in seen:
        if mark.letter and not sketch.under(at):
            sketch.letter(mark, at, places)
    for measure, span in zip(drawing.measures, spans, strict=True):
        sketch.value(measure, span)
    for dimension, ends in dimensioned:
        sketch.dimension_text(dimension, ends)
    sketch.tags(drawing.tags)
    return sketch.picture()


def folded(
    rows: Iterable[tuple[str, RGBA]], width: float, style: Style, text_size: TextSize
) -> Iterator[tuple[str, RGBA]]:
    """Lines of text broken to fit a width in pixels: at dots, and where that does not do, between
    words; figures stay with their units."""
    size = TEXT * style.scale

    def joined(parts: Iterable[str], by: str) -> Iterator[str]:
        line = ""
        for part in parts:
            longer = f"{line}{by}{part}" if line else part
            if line and text_size(longer, size)[0] > width - 2 * size:
                yield line
                longer = part
            line = longer
        yield line

    for text, color in rows:
        for part in joined(text.split(DOT), DOT):
            for line in joined(TOGETHER.sub(UNBROKEN, part).split(" "), " "):
                yield line.replace(UNBROKEN, " "), color


def brief(
    rows: Iterable[tuple[str, RGBA]], bounds: Box, style: Style, text_size: TextSize
) -> list[tuple[str, RGBA]]:
    """Lines of text that leave most of a compartment free: rows, and in a row what stands between
    dots, have the most important first, and the last is left out first."""
    most = max(1, int(WORDS * bounds.height / (PITCH * TEXT * style.scale)))
    kept = list(rows)
    while True:
        found = list(folded(kept, bounds.width, style, text_size))
        if len(found) <= most:
            return found
        text, color = kept.pop()
        if DOT in text:
            kept.append((text.rpartition(DOT)[0], color))
        elif not kept:
            last, _ = found[most - 1]
            return [*found[: most - 1], (f"{last}…", color)]


def lines(
    rows: Sequence[tuple[str, RGBA]], bounds: Box, style: Style, text_size: TextSize
) -> Picture:
    """Lines of text one above the other, in the middle of the bottom of a compartment."""
    size = TEXT * style.scale
    plates, labels = [], []
    for row, (text, color) in enumerate(reversed(rows)):
        width, height = text_size(text, size)
        left = max(bounds.left + size, (bounds.left + bounds.right - width) / 2)
        bottom = bounds.bottom + size * (1.2 + PITCH * row)
        plates.append(Box(left, bottom, left + width, bottom + height).rounded(size / 3))
        labels.append(Label(text, np.array([left, bottom]), size, color))
    return Picture(_areas(plates, style.palette.plate), tuple(labels))


class _Sketch:
    """A picture in the making. It knows which boxes of the plane are taken."""

    def __init__(
        self, view: View, style: Style, text_size: TextSize, covers: Sequence[Box]
    ) -> None:
        self.view, self.style, self.text_size = view, style, text_size
        self.palette, self.scale = style.palette, style.scale
        self.lines: list[Stroke] = []
        self.plates: list[Floats] = []
        self.glyphs: list[Area] = []
        self.labels: list[Label] = []
        self.covers, self.taken = covers, [*covers]

    def picture(self) -> Picture:
        plates = _areas(self.plates, self.palette.plate)
        return Picture((*self.lines, *plates, *self.glyphs), tuple(self.labels))

    def under(self, at: Floats) -> bool:
        """Whether a pixel lies under what covers the picture."""
        return any(box.holds(at) for box in self.covers)

    def seen(self, marks: Sequence[Mark]) -> list[tuple[Mark, Floats]]:
        """The marks in front of the eye, with their pixels."""
        places = self.view.pixels(np.reshape([mark.at for mark in marks], (-1, 3)))
        shown = np.isfinite(places).all(axis=1)
        return [(mark, at) for mark, at, here in zip(marks, places, shown, strict=True) if here]

    def aside(self, seen: Sequence[tuple[Mark, Floats]]) -> list[tuple[Mark, Floats]]:
        """The same with ways in that would lie on a center moved beside it, on a leader."""
        centers = [self._glyph(mark, at) for mark, at in seen if mark.kind in CENTERS]
        ways = [self._glyph(mark, at) for mark, at in seen if mark.kind in WAYS_IN]
        moved = []
        for mark, at in seen:
            own = self._glyph(mark, at)
            over = next((box for box in centers if own.meets(box)), None)
            if over and mark.kind in WAYS_IN:
                reach = (over.width + own.width) / 2
                spots = (at + step * reach * way for step in STEPS_ASIDE for way in ASIDE)
                others = [*centers, *(box for box in ways if box != own)]
                spot = next(
                    (each for each in spots if not any(map(self._glyph(mark, each).meets, others))),
                    at,
                )
                ways.append(self._glyph(mark, spot))
                self._line(np.array([[at, spot]]), 1.0, self.palette.quiet)
                at = spot
            moved.append((mark, at))
        return moved

    def _glyph(self, mark: Mark, at: Floats) -> Box:
        """What a mark takes up."""
        size = mark.size * RADIUS[mark.kind] * self.style.mark_scale
        reach = (size * REACHES[mark.kind] + HALO) * self.scale
        return Box(*(at - reach).tolist(), *(at + reach).tolist())

    def draw_marks(self, kind: MarkKind, seen: Sequence[tuple[Mark, Floats]]) -> None:
        """The glyphs of marks of one kind: a dark edge, a light rim, the filling."""
        at = np.array([place for _, place in seen])[:, None]
        sizes = np.array([mark.size for mark, _ in seen])[:, None, None]
        sizes = sizes * RADIUS[kind] * self.scale * self.style.mark_scale
        outlines = at + sizes * OUTLINES[kind]
        edges = outlines + HALO * self.scale * MITRES[kind]
        self.glyphs.append(Area(edges, self.palette.edge))
        if kind != "weight":
            rims = outlines + RIM * self.scale * MITRES[kind]
            self.glyphs.append(Area(rims, self.palette.rim))
        self.glyphs.append(Area(outlines, self.palette.marks[kind]))
        boxes = np.concatenate([edges.min(axis=1), edges.max(axis=1)], axis=1)
        self.taken += [Box(*box) for box in boxes.tolist()]

    def letter(self, mark: Mark, at: Floats, others: Floats) -> None:
        """The mark's letter beside it, or on a leader where `others` (n, 2) crowd or are nearer."""
        size = TEXT * self.scale * self.style.mark_scale
        radius = RADIUS[mark.kind] * self.style.mark_scale
        reach = (radius * REACHES[mark.kind] + CLEAR) * self.scale
        places = [(1.0, way) for way in WAYS]
        places += [(ring, way) for ring in RINGS for way in SLANTS]
        boxes = (self._box(mark.letter, size, at + ring * reach * way, way) for ring, way in places)
        fitting = (
            (ring, way, box)
            for (ring, way), box in zip(places, boxes, strict=True)
            if self._free(box) and (ring > 1 or box.nearest(at, others))
        )
        beside = (1.0, WAYS[0], self._box(mark.letter, size, at + reach * WAYS[0], WAYS[0]))
        ring, way, box = next(fitting, beside)
        if ring > 1:
            leader = at + np.array([[0.8], [ring - 0.2]]) * reach * way
            self._line(leader[None], 1.0, self.palette.quiet)
        self._write(mark.letter, size, box, self.palette.ink, plate=mark.kind == "flooding")

    def span(self, measure: Measure) -> Floats:
        """The measure's line; returns its ends (2, 2)."""
        ends = self.view.pixels(np.stack([measure.start, measure.end]))
        self._line(ends[None], 1.4, self.palette.ink)
        return ends

    def value(self, measure: Measure, ends: Floats) -> None:
        """The measure's value beside the part of its line in the picture, on the free side."""
        span = ends[1] - ends[0]
        length = float(np.hypot(*span))
        along = ends[0] + np.linspace(0, 1, 65)[:, None] * span
        seen = along[((along > 0) & (along < (self.view.width, self.view.height))).all(axis=1)]
        if not measure.text or not len(seen) or length < SHORTEST_MEASURE * self.scale:
            return
        size = TEXT * self.scale
        side = np.array([-span[1], span[0]]) / length
        for way in (side, -side):
            at = seen.mean(axis=0) + 9.0 * self.scale * way
            box = self._box(measure.text, size, at, way)
            if self._free(box):
                self._write(measure.text, size, box, self.palette.ink, plate=True)
                return

    def dimension(self, dimension: Dimension) -> Floats:
        """The dimension's line, with strokes across its ends, and its leads; returns its ends
        (2, 2), NaN where it is seen end on."""
        points = np.concatenate([[dimension.start, dimension.end], *dimension.leads])
        ends, *leads = self.view.pixels(points).reshape(-1, 2, 2)
        span = ends[1] - ends[0]
        length = float(np.hypot(*span))
        if not length >= SHORTEST_DIMENSION * self.scale:
            return np.full((2, 2), np.nan)
        along = span / length
        stroke = SLANT * self.scale * (along + np.array([-along[1], along[0]]))
        self._line(np.stack(leads), 0.8, self.palette.quiet)
        strokes = [np.stack([end - stroke, end + stroke]) for end in ends]
        self._line(np.stack([ends, *strokes]), 1.2, self.palette.ink)
        return ends

    def dimension_text(self, dimension: Dimension, ends: Floats) -> None:
        """The dimension's words on the part of its line in the picture, where there is
        compartment."""
        span = ends[1] - ends[0]
        along = ends[0] + np.linspace(0, 1, 65)[:, None] * span
        seen = along[((along > 0) & (along < (self.view.width, self.view.height))).all(axis=1)]
        if not len(seen):
            return
        size = TEXT * self.scale
        side = np.array([-span[1], span[0]]) / float(np.hypot(*span))
        spots = [seen[int(share * (len(seen) - 1))] for share in SPOTS]
        places = [(at, np.zeros(2)) for at in spots]
        places += [(at + 6.0 * self.scale * way, way) for at in spots for way in (side, -side)]
        boxes = (self._box(dimension.text, size, at, way) for at, way in places)
        box = next((box for box in boxes if self._free(box.grown(size / 4))), None)
        if box:
            self._write(dimension.text, size, box, self.palette.ink, plate=True)

    def path(self, path: Path) -> None:
        """The way of the water as a line with arrowheads, and the rims that it leads through."""
        color = self.palette.present
        rims = self.view.pixels(path.rims.reshape(-1, 3)).reshape(-1, 2, 2)
        self._line(rims, 3.0, self.palette.warning)
        points = self.view.pixels(path.points)
        points = points[np.isfinite(points).all(axis=1)]
        legs = np.stack([points[:-1], points[1:]], axis=1)
        self._line(legs, 2.4, color)
        for start, end in legs:
            length = float(np.hypot(*(end - start)))
            if length > SHORTEST_LEG * self.scale:
                self._arrow((start + 2 * end) / 3, (end - start) / length, color)

    def _arrow(self, tip: Floats, along: Floats, color: RGBA) -> None:
        foot, side = tip - ARROW * self.scale * along, np.array([-along[1], along[0]])
        across = 0.45 * ARROW * self.scale * side
        outline = np.stack([tip, foot + across, foot - across])[None]
        self.taken.append(Box(*outline[0].min(axis=0).tolist(), *outline[0].max(axis=0).tolist()))
        self.glyphs.append(Area(grown(outline, RIM * self.scale), self.palette.halo))
        self.glyphs.append(Area(outline, color))

    def tags(self, tags: Sequence[Tag]) -> None:
        """Names over the middles of what they name, each as full as there is space: the
        chosen and then the nearest first."""
        size = TEXT * self.scale
        middles = np.reshape([tag.at for tag in tags], (-1, 3))
        places, off = self.view.pixels(middles), self.view.distances(middles)
        ranked = sorted(range(len(tags)), key=lambda n: (not tags[n].chosen, off[n]))
        for tag, at in ((tags[n], places[n]) for n in ranked):
            if not np.isfinite(at).all() or self.under(at):
                continue
            boxes = [
                (text, self._box(text, size, at + (0.0, rise * size), np.zeros(2)))
                for text in tag.texts
                for rise in (RISES + FAR_RISES if tag.chosen else RISES)
            ]
            free = (each for each in boxes if self._free(each[1].grown(size / 3)))
            text, box = next(free, boxes[0] if tag.chosen else ("", None))
            if box:
                self._write(text, size, box, self.palette.of(tag.tone), plate=True)

    def words(self, words: Caption) -> None:
        """A short text above its point."""
        at = self.view.pixels(words.at)[0]
        if np.isfinite(at).all():
            size = HEADING * self.scale
            box = self._box(words.text, size, at + (0.0, 8.0 * self.scale), UPWARD)
            self._write(words.text, size, box, self.palette.of(words.tone), plate=True)

    def draft_scale(self, draft_scale: DraftScale) -> None:
        """Draft marks: a line, rungs outward from the ship with numerals, the present draft.

        Seen from above or from far off only the present draft remains.
        """
        ends = self.view.pixels(draft_scale.at(np.array([draft_scale.low, draft_scale.high])))
        present = self.view.pixels(draft_scale.at(np.array([draft_scale.draft])))[0]
        length = float(np.linalg.norm(ends[1] - ends[0]))
        if not np.isfinite([length, *present]).all():
            return
        out = self._outward(draft_scale, ends)
        clear = 0.0
        if length > SHORTEST_DRAFT_SCALE * self.scale:
            clear = self._rungs(draft_scale, ends, present, out)
        if draft_scale.text:
            self._draft(draft_scale.text, present, out, clear + 10.0 * self.scale)

    def _rungs(self, draft_scale: DraftScale, ends: Floats, present: Floats, out: Floats) -> float:
        """The line, its rungs and, for a ladder with a text, numerals; returns their reach."""
        unit, scale = self.style.unit, self.scale
        length = float(np.linalg.norm(ends[1] - ends[0]))
        along = (ends[1] - ends[0]) / length
        step, fine = rung_steps(unit * length / (draft_scale.high - draft_scale.low) / scale)
        feet = self.view.pixels(draft_scale.at(draft_scale.rungs(fine * unit)))
        heights = draft_scale.rungs(step * unit)
        numbered = self.view.pixels(draft_scale.at(heights))
        spikes = (_spikes(feet, 4.0 * scale * out), _spikes(numbered, 8.0 * scale * out))
        self._line(np.concatenate([ends[None], *spikes]), 1.2, self.palette.quiet)
        reach = 12.0 * scale
        if not draft_scale.text:
            return reach
        widest = 0.0
        size = NUMERAL * scale
        places = 0 if step * unit > 0.99 * self.style.counted else 1
        for height, foot in zip(heights, numbered, strict=True):
            numeral = f"{height / self.style.counted + 0.0:.{places}f}"
            box = self._box(numeral, size, foot + reach * out, out)
            widest = max(widest, box.right - box.left)
            if abs(along @ (foot - present)) > size:
                self._write(numeral, size, box, self.palette.quiet)
        return reach + widest

    def _draft(self, text: str, present: Floats, out: Floats, clear: float) -> None:
        """The present draft on a level line that leads outward, clear of the numerals."""
        aside = np.array([1.0 if out[0] >= 0 else -1.0, 0.0])
        size = TEXT * self.scale
        start = present + clear * aside
        box = self._box(text, size, start + (0.0, 4.0 * self.scale), aside + (0.0, 1.0))
        end = start + (box.right - box.left) * aside
        self._line(np.array([[present, end]]), 1.6, self.palette.present)
        self._write(text, size, box, self.palette.present, plate=True)

    def _outward(self, draft_scale: DraftScale, ends: Floats) -> Floats:
        """Unit direction on the plane, square to the ladder and away from the ship."""
        farther = draft_scale.at(np.array([draft_scale.low])) + (
            1e-3 if draft_scale.forward else -1e-3,
            0.0,
            0.0,
        )
        away = self.view.pixels(farther)[0] - ends[0]
        span = ends[1] - ends[0]
        if np.linalg.norm(span) < SHORTEST_DRAFT_SCALE * self.scale:
            return away
        square = np.array([span[1], -span[0]]) / np.linalg.norm(span)
        ahead = float(away @ square)
        return square if ahead > 0 or (ahead == 0 and draft_scale.forward) else -square

    def _box(self, text: str, size: float, at: Floats, way: Floats) -> Box:
        """The box of a text that lies from `at` in the direction `way`."""
        return Box.beside(self.text_size(text, size), at, way)

    def _free(self, box: Box) -> bool:
        return not any(box.meets(taken) for taken in self.taken)

    def _write(self, text: str, size: float, box: Box, color: RGBA, plate: bool = False) -> None:
        if plate:
            self.plates.append(box.rounded(size / 4))
        self.labels.append(Label(text, np.array([box.left, box.bottom]), size, color))
        self.taken.append(box)

    def _line(self, segments: Floats, width: float, color: RGBA) -> None:
        """Segments over a halo."""
        shown = segments[np.isfinite(segments).all(axis=(1, 2))]
        width *= self.scale
        self.lines.append(Stroke(shown, width + 2.2 * self.scale, faint(self.palette.halo)))
        self.lines.append(Stroke(shown, width, color))


def rung_steps(pixels_a_unit: float) -> tuple[float, float]:
    """Spacing of numbered draft marks and of those between, in units of length.

    The closest that the eye can part, the finer dividing the coarser.
    """
    step = next((s for s in STEPS if s * pixels_a_unit >= CLOSEST_NUMERALS), STEPS[-1])
    parts = (fine for fine in STEPS if fine * pixels_a_unit >= CLOSEST_RUNGS)
    return step, next((f for f in parts if abs(step / f - round(step / f)) < 1e-9), step)


def _spikes(feet: Floats, reach: Floats) -> Floats:
    return np.stack([feet, feet + reach], axis=1)


def _areas(outlines: Sequence[Floats], color: RGBA) -> tuple[Area, ...]:
    return (Area(np.stack(outlines), color),) if outlines else ()
