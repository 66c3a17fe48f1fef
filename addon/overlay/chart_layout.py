"""The chart of righting arms laid out on a panel of pixels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..core.floating import UPRIGHT
from ..core.levers import Lever
from ..core.stability import Side
from .boxes import Box
from .chart import Chart, reach_of, rest_heel, shaded_part
from .ink import Area, Fill, Ink, Stroke, dashes
from .palette import Colour, faint
from .project import CIRCLE, NUMERAL, SLANTS, TEXT, Label, Picture, Style, TextSize
from .shapes import righting

Array = NDArray[np.float64]

USUAL = (400.0, 250.0)  # pixels at a scale of 1, as every length below
LEAST = (190.0, 120.0)
MOST = 0.6  # of the room, across and up
MARGIN = 10.0
ROUND = 4.0
PAD = 8.0
GAP = 4.0
HEADROOM = 0.14  # of the span of arms, over and under it
REACHES = (7.0, 16.0, 28.0, 42.0)  # at which words stand off their point, on a leader from the 2nd
CLOSEST_ARMS = 26.0
NAMED = (0.3, 0.75)  # shares of heeling arms between which their names stand
DASH, DOTS = (6.0, 4.0), (2.0, 3.0)
DEGREE_STEPS = (5, 10, 15, 20, 30, 45, 60, 90)
FLATTEST = 1e-4  # least span of arms, in breadths
TALLEST_GM = 1.5  # greatest arms that GM may be of and still be on the chart
AROUND = np.array([(0, 1), (1, 0), (-1, 0), (0, -1), *SLANTS], float)


@dataclass(frozen=True)
class Axes:
    """Where heels (rad) and arms (m) between two limits lie in a box of pixels."""

    box: Box
    heels: tuple[float, float]
    arms: tuple[float, float]

    def at(self, heels: Array | float, arms: Array | float) -> Array:
        """Pixels (..., 2)."""
        low, high = self.heels
        bottom, top = self.arms
        x = self.box.left + (np.asarray(heels) - low) / (high - low) * self.box.width
        y = self.box.bottom + (np.asarray(arms) - bottom) / (top - bottom) * self.box.height
        return np.stack(np.broadcast_arrays(x, y), axis=-1)

    def heel_at(self, x: float) -> float:
        """The heel (rad) at a pixel, within the limits."""
        low, high = self.heels
        share = (x - self.box.left) / self.box.width
        return low + min(max(share, 0.0), 1.0) * (high - low)


@dataclass(frozen=True)
class Spot:
    """The panel of a chart in the room it may be moved in."""

    room: Box
    panel: Box

    def place(self, right: float, up: float) -> tuple[float, float]:
        """The place of the panel moved by pixels: shares of its free way across and up."""
        across = _share(
            self.panel.left + right - self.room.left, self.room.width - self.panel.width
        )
        return across, _share(
            self.panel.bottom + up - self.room.bottom, self.room.height - self.panel.height
        )


def _share(part: float, whole: float) -> float:
    return min(max(part / whole, 0.0), 1.0) if whole > 1.0 else 0.0


@dataclass(frozen=True)
class ChartDrawing:
    """A chart laid out: its spot, the strip with the title by which it is held, its axes."""

    spot: Spot
    title: Box
    axes: Axes
    picture: Picture


def chart_room(low: Array, high: Array, rows: int, scale: float) -> Box:
    """What the free pixels `low` to `high` (2,) of a region leave the chart over so many rows
    of read-out."""
    foot = TEXT * scale * (1.2 + 2.0 * rows) if rows else 0.0
    room = Box(float(low[0]), float(low[1]) + foot, float(high[0]), float(high[1]))
    return room.grown(-MARGIN * scale)


def chart_spot(room: Box, place: Sequence[float], size: float, scale: float) -> Spot | None:
    """The spot of a chart of so many usual sizes, at a place in its room.

    None where there is too little room.
    """
    width, height = (
        max(least * scale, min(usual * size * scale, MOST * free))
        for least, usual, free in zip(LEAST, USUAL, (room.width, room.height), strict=True)
    )
    if width > room.width or height > room.height:
        return None
    left = round(room.left + place[0] * (room.width - width))
    bottom = round(room.bottom + place[1] * (room.height - height))
    return Spot(room, Box(left, bottom, left + width, bottom + height))


def lay_out(chart: Chart, spot: Spot, style: Style, text_size: TextSize) -> ChartDrawing:
    """Lay out a chart on its panel; `text_size` measures a text at a font size."""
    sketch = _Sketch(chart, spot.panel, style, text_size)
    sketch.ground()
    sketch.scales()
    for side in chart.sides:
        sketch.shade(side)
    sketch.tangent()
    for lever, share in zip(chart.levers, np.linspace(*NAMED, len(chart.levers)), strict=True):
        sketch.lever(lever, float(share))
    sketch.curve()
    if chart.heel is not None:
        sketch.look(chart.heel)
    sketch.rest()
    for side in chart.sides:
        sketch.marks(side)
    sketch.place_notes()
    shown = Picture(tuple(sketch.inks), tuple(sketch.labels))
    return ChartDrawing(spot, sketch.title, sketch.axes, shown)


@dataclass(frozen=True)
class _Note:
    """Words about a pixel `at` (2,); notes of a lower `rank` are placed first."""

    rank: int
    at: Array
    text: str
    colour: Colour


LOOKED, GREATEST, FLOODS, VANISHES, EDGE, RESTS, HEELS, INITIAL = range(8)
OTHER_SIDE = 8
ANY, FEW = 1 << 30, 9  # points of lines, two pixels apart, that words may hide; a dot is FEW


class _Sketch:
    """A chart in the making, with the boxes of its words and marks and the points of its lines."""

    def __init__(self, chart: Chart, panel: Box, style: Style, text_size: TextSize) -> None:
        self.chart, self.panel, self.text_size = chart, panel, text_size
        self.palette, self.scale = style.palette, style.scale
        self.inks: list[Ink] = []
        self.labels: list[Label] = []
        self.notes: list[_Note] = []
        self.words: list[Box] = []
        self.dots: list[Box] = []
        self.lines: list[Array] = []
        self.size = NUMERAL * self.scale
        strip = 1.9 * TEXT * self.scale
        self.title = Box(panel.left, panel.top - strip, panel.right, panel.top)
        self.step, self.axes = self._axes()

    def _axes(self) -> tuple[float, Axes]:
        """The axes, with the spacing of their arms (m): room is left for the numerals."""
        side = self.chart.sides[0]
        ends = [0.0, *(side.sign * lever.upright for lever in self.chart.levers)]
        ends += [float(end) for _, arms in self.chart.pieces for end in (arms.min(), arms.max())]
        tallest = max(*map(abs, ends), FLATTEST * self.chart.stability.case.hull.breadth)
        if abs(self._tangent_end()) <= TALLEST_GM * tallest:
            ends.append(self._tangent_end())
        low, high = min(ends), max(ends)
        pad = HEADROOM * max(high - low, tallest)
        low, high = low - (pad if low < 0 else pad / 2), high + pad
        bottom = self.panel.bottom + 2.1 * self.size
        top = self.title.bottom - 0.4 * self.size
        height = top - bottom
        step = self.chart.lengths.step((high - low) * CLOSEST_ARMS * self.scale / height)
        numeral = self.chart.lengths.numeral
        numerals = [numeral(arm, step) for arm in _multiples(low, high, step)]
        widest = max(self.text_size(text, self.size)[0] for text in [*numerals, "GZ"])
        left = self.panel.left + PAD * self.scale + widest + GAP * self.scale
        right = self.panel.right - (self.text_size("180°", self.size)[0] + GAP * self.scale) / 2
        return step, Axes(Box(left, bottom, right, bottom + height), self.chart.span, (low, high))

    def _tangent_end(self) -> float:
        """The arm (m) that the tangent to the curve upright has at one radian."""
        side = self.chart.sides[0]
        upright = float(self.chart.stability.curve.upright.arm)
        return upright + side.sign * self.chart.stability.GM

    def ground(self) -> None:
        """The panel and the title."""
        inset = ROUND * self.scale
        outline = self.panel.grown(-inset).rounded(inset)
        self.inks.append(Area(outline[None], self.palette.panel))
        border = np.stack([outline, np.roll(outline, -1, axis=0)], axis=1)
        self._stroke(border, 1.0, self.palette.grid)
        size = TEXT * self.scale
        free = self.panel.width - 2 * PAD * self.scale
        text = self._fitted(self.chart.title, size, free)
        bottom = self.title.bottom + (self.title.height - self.text_size(text, size)[1]) / 2
        self._label(text, size, self.panel.left + PAD * self.scale, bottom, self.palette.ink)
        edge = np.array(
            [[self.title.left, self.title.bottom], [self.title.right, self.title.bottom]]
        )
        self._stroke(edge[None], 1.0, self.palette.grid)

    def _fitted(self, parts: Sequence[str], size: float, free: float) -> str:
        """As many parts as there is room for; of the first alone, as much as there is."""
        for count in range(len(parts), 0, -1):
            text = "  ·  ".join(parts[:count])
            if self.text_size(text, size)[0] <= free:
                return text
        name = parts[0]
        while name and self.text_size(name + "…", size)[0] > free:
            name = name[:-1]
        return name + "…"

    def scales(self) -> None:
        """Lines and numerals of heels and arms, and the line of no arm."""
        box, axes = self.axes.box, self.axes
        low, high = np.degrees(axes.heels)
        widest = self.text_size("180°", self.size)[0] + 2 * GAP * self.scale
        pitches = (step for step in DEGREE_STEPS if step / (high - low) * box.width >= widest)
        heels = _multiples(low, high, next(pitches, DEGREE_STEPS[-1]))
        arms = _multiples(*axes.arms, self.step)
        upright = [axes.at(np.radians([heel, heel]), np.array(axes.arms)) for heel in heels]
        level = [axes.at(np.array(axes.heels), arm) for arm in arms]
        self._stroke(np.stack([*upright, *level]), 1.0, self.palette.grid)
        zeros = axes.at(np.array(axes.heels), 0.0), axes.at(0.0, np.array(axes.arms))
        for zero in zeros:
            self._stroke(zero[None], 1.2, self.palette.quiet)
            self._line(zero)
        clear = GAP * self.scale
        for heel in heels:
            at = axes.at(np.radians(heel), axes.arms[0]) - (0.0, clear)
            self._numeral_box(f"{abs(heel):.0f}°", at, np.array([0.0, -1.0]))
        for arm in arms:
            at = axes.at(axes.heels[0], arm) - (clear, 0.0)
            self._numeral_box(self.chart.lengths.numeral(arm, self.step), at, np.array([-1.0, 0.0]))
        self._captions()

    def _numeral_box(self, text: str, at: Array, way: Array) -> None:
        """A numeral, moved as far inside the panel as it takes."""
        inner = self.panel._replace(top=self.title.bottom).grown(-GAP * self.scale / 2)
        box = Box.beside(self.text_size(text, self.size), at, way).moved_into(inner)
        self._label(text, self.size, box.left, box.bottom, self.palette.quiet)

    def _captions(self) -> None:
        """What the numerals are: the arm and its unit, and the ends of the heels."""
        box, clear = self.axes.box, GAP * self.scale
        symbol = self.chart.lengths.symbol
        arms = f"GZ ({symbol})" if symbol else "GZ"
        height = self.text_size(arms, self.size)[1]
        self._caption(arms, box.left + clear, box.top - height - clear / 2)
        if self.axes.heels[0] >= 0:
            return
        bottom = box.bottom + clear
        right = box.right - clear - self.text_size("starboard", self.size)[0]
        self._caption("port", box.left + clear, bottom)
        self._caption("starboard", right, bottom)

    def _caption(self, text: str, left: float, bottom: float) -> None:
        self._label(text, self.size, left, bottom, self.palette.quiet)
        width, height = self.text_size(text, self.size)
        self.words.append(Box(left, bottom, left + width, bottom + height))

    def shade(self, side: Side) -> None:
        """The ground under GZ of which the area counts."""
        low, high = shaded_part(side)
        for heels, arms in self.chart.pieces:
            inside = np.union1d(heels, [low, high])
            inside = inside[(inside >= max(low, heels[0])) & (inside <= min(high, heels[-1]))]
            if len(inside) < 2:
                continue
            edge = self.axes.at(inside, np.interp(inside, heels, arms))
            foot = self.axes.at(inside, 0.0)
            halves = (foot[:-1], foot[1:], edge[1:]), (foot[:-1], edge[1:], edge[:-1])
            corners = np.concatenate([np.stack(half, axis=1) for half in halves])
            self.inks.append(Fill(corners, self.palette.area))

    def tangent(self) -> None:
        """The tangent to the curve upright, which reaches GM at one radian."""
        side = self.chart.sides[0]
        start = float(self.chart.stability.curve.upright.arm)
        rise = self._tangent_end() - start
        limit = self.axes.arms[1] if rise > 0 else self.axes.arms[0]
        reach = min(1.0, reach_of(side), 0.97 * (limit - start) / rise if rise else 1.0)
        ends = self.axes.at(
            np.array([0.0, side.sign * reach]), np.array([start, start + reach * rise])
        )
        dotted = dashes(ends, *(self.scale * part for part in DOTS))
        self._stroke(dotted, 1.4, self.palette.quiet)
        self._line(ends)
        self._note(INITIAL, ends[1], "GM", self.palette.quiet)

    def lever(self, lever: Lever, share: float) -> None:
        """A heeling arm, dashed, with its name at a share of its length."""
        side = self.chart.sides[0]
        end = reach_of(side) if lever.power == 0 else min(reach_of(side), np.pi / 2)
        heels = np.linspace(0.0, end, 91)
        points = self.axes.at(side.sign * heels, side.sign * lever.arm(heels))
        dashed = dashes(points, *(self.scale * part for part in DASH))
        self._stroke(dashed, 1.4, self.palette.heeling)
        self._line(points)
        self._note(HEELS, points[round(90 * share)], lever.name, self.palette.heeling)

    def curve(self) -> None:
        """GZ, with gaps where it jumps."""
        for heels, arms in self.chart.pieces:
            points = self.axes.at(heels, arms)
            self._stroke(np.stack([points[:-1], points[1:]], axis=1), 2.0, self.palette.curve)
            self._line(points)

    def look(self, heel: float) -> None:
        """The heel looked at: an upright line, a dot on the curve, and its figures."""
        arm = float(self.chart.stability.curve.arms.arm(heel))
        upright = self.axes.at(heel, np.array(self.axes.arms))
        self._stroke(upright[None], 1.4, self.palette.present)
        self._line(upright)
        at = self.axes.at(heel, arm)
        self._dot(at, 4.0, self.palette.present)
        arms = self.chart.lengths(righting(heel, arm))
        self._note(LOOKED, at, f"{_angle(abs(heel))}: GZ {arms}", self.palette.present)

    def rest(self) -> None:
        """Where she floats: a triangle on the line of no arm."""
        heel = rest_heel(self.chart.stability)
        low, high = self.axes.heels
        if not low <= heel <= high:
            return
        at = self.axes.at(heel, 0.0)
        reach = 5.0 * self.scale
        outline = at + reach * np.array([[0.0, 0.0], [-0.8, -1.4], [0.8, -1.4]])
        self.inks.append(Area(outline[None], self.palette.ink))
        self.dots.append(Box(*outline.min(axis=0).tolist(), *outline.max(axis=0).tolist()))
        if abs(heel) > UPRIGHT:
            self._note(
                RESTS, outline[1:].mean(axis=0), f"floats at {_angle(abs(heel))}", self.palette.ink
            )

    def marks(self, side: Side) -> None:
        """The deck edge, flooding, vanishing and the greatest arm of a side."""
        later = 0 if side is self.chart.sides[0] else OTHER_SIDE
        ink, warning = self.palette.ink, self.palette.warning
        at = self._on_curve(side, side.deck_edge)
        if at is not None and side.deck_edge > side.rest_heel:
            tick = at + 5.0 * self.scale * np.array([[0.0, -1.0], [0.0, 1.0]])
            self._stroke(tick[None], 1.6, ink)
            self._note(later + EDGE, at, f"deck edge {_whole(side.deck_edge)}", ink)
        at, first = self._on_curve(side, side.flooding), side.first_flooding
        if at is not None and first:
            rise = np.array([self.axes.at(side.sign * side.flooding, 0.0), at])
            self._stroke(rise[None], 1.4, warning)
            self._line(rise)
            self._dot(at, 3.0, warning)
            self._note(later + FLOODS, at, f"{first.opening.name} {_whole(first.heel)}", warning)
        if not side.range > 0:
            return
        at = self._on_curve(side, side.vanishing)
        if at is not None:
            self._dot(at, 3.0, ink)
            self._note(later + VANISHES, at, f"vanishes {_whole(side.vanishing)}", ink)
        at = self._on_curve(side, side.greatest_heel)
        if at is not None:
            self._dot(at, 3.0, self.palette.curve)
            words = f"greatest {self.chart.lengths(side.greatest_arm)} at "
            self._note(later + GREATEST, at, words + _whole(side.greatest_heel), ink)

    def _on_curve(self, side: Side, heel: float) -> Array | None:
        """The pixel of a heel to a side on the curve, if it is shown."""
        there = side.sign * heel
        if not any(heels[0] <= there <= heels[-1] for heels, _ in self.chart.pieces):
            return None
        return self.axes.at(there, side.sign * float(side.arms.arm(heel)))

    def place_notes(self) -> None:
        """Write the words, the most important first, each where it is free and hides least; not
        at all where there is no such place."""
        lines = np.concatenate(self.lines)
        for note in sorted(self.notes, key=lambda note: note.rank):
            hidden = ANY if note.rank < VANISHES else FEW if note.rank < OTHER_SIDE else 1
            chosen = None
            for reach, box in self._free_places(note):
                here = int(box.holds(lines).sum()) + FEW * sum(map(box.meets, self.dots))
                if here < hidden:
                    hidden, chosen = here, (reach, box)
                if not hidden:
                    break
            if chosen:
                self._write(note, *chosen)

    def _free_places(self, note: _Note) -> Iterator[tuple[float, Box]]:
        """How far off its point a note may stand, and its box there, the nearest first."""
        size = self.text_size(note.text, self.size)
        for reach in REACHES:
            for way in AROUND:
                box = Box.beside(size, note.at + reach * self.scale * way, way)
                box = box.grown(GAP / 2 * self.scale).moved_into(self.axes.box)
                if box.within(self.axes.box) and not any(map(box.meets, self.words)):
                    yield reach, box

    def _write(self, note: _Note, reach: float, box: Box) -> None:
        if reach > REACHES[0]:
            low, high = np.array(box[:2]), np.array(box[2:])
            towards = np.clip(note.at, low, high)
            self._stroke(np.array([[note.at, towards]]), 1.0, faint(self.palette.quiet))
        self.words.append(box)
        text = box.grown(-GAP / 2 * self.scale)
        self._label(note.text, self.size, text.left, text.bottom, note.colour)

    def _note(self, rank: int, at: Array, text: str, colour: Colour) -> None:
        self.notes.append(_Note(rank, at, text, colour))

    def _label(self, text: str, size: float, left: float, bottom: float, colour: Colour) -> None:
        self.labels.append(Label(text, np.array([left, bottom]), size, colour))

    def _dot(self, at: Array, radius: float, colour: Colour) -> None:
        for reach, tint in ((radius + 1.2, self.palette.panel), (radius, colour)):
            self.inks.append(Area((at + reach * self.scale * CIRCLE)[None], tint))
        self.dots.append(Box(*at, *at).grown(radius * self.scale))

    def _stroke(self, segments: Array, width: float, colour: Colour) -> None:
        self.inks.append(Stroke(segments, width * self.scale, colour))

    def _line(self, points: Array) -> None:
        """Take note of where a line runs, so that words keep off it."""
        lengths = np.hypot(*np.diff(points, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(lengths)])
        stops = np.arange(0.0, along[-1] + 1.0, 2.0 * self.scale)
        self.lines.append(
            np.stack([np.interp(stops, along, points[:, axis]) for axis in (0, 1)], axis=1)
        )


def _angle(heel: float) -> str:
    return f"{np.degrees(heel):.1f}°"


def _whole(heel: float) -> str:
    return f"{np.degrees(heel):.0f}°"


def _multiples(low: float, high: float, step: float) -> list[float]:
    """The multiples of a step from low to high."""
    return [
        step * count
        for count in range(int(np.ceil(low / step - 1e-6)), int(np.floor(high / step + 1e-6)) + 1)
    ]
