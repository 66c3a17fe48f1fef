"""Panels of pixels that charts are laid out on: where they lie, their axes, and words that keep off
lines and off one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ...drawing.picture import Label, Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import Area, Colour, Ink, Stroke, faint
from .glyphs import CIRCLE
from .projection import NUMERAL, SLANTS, TEXT, Style

Array = NDArray[np.float64]
Shows = Literal["heels", "time", "place", "arms left"]

USUAL = (400.0, 250.0)  # pixels at a scale of 1, as every length below
LEAST = (190.0, 120.0)
SHARE, MOST = 0.42, 0.6  # of the room, across and up: at the usual size, and at any
MARGIN = 10.0
ROUND = 4.0
PAD = 8.0
GAP = 4.0
REACHES = (7.0, 16.0, 28.0, 42.0)  # at which words stand off their point, on a leader from the 2nd
AROUND = np.array([(0, 1), (1, 0), (-1, 0), (0, -1), *SLANTS], float)
ANY, FEW = 1 << 30, 9  # points of lines, two pixels apart, that words may hide; a dot is FEW
MUST, MAY = 3, 8


@dataclass(frozen=True)
class Axes:
    """Where two quantities between limits lie in a box of pixels: one across, one up."""

    box: Box
    across: tuple[float, float]
    up: tuple[float, float]

    def at(self, across: Array | float, up: Array | float) -> Array:
        """Pixels (..., 2)."""
        low, high = self.across
        bottom, top = self.up
        x = self.box.left + (np.asarray(across) - low) / (high - low) * self.box.width
        y = self.box.bottom + (np.asarray(up) - bottom) / (top - bottom) * self.box.height
        return np.stack(np.broadcast_arrays(x, y), axis=-1)

    def across_at(self, x: float) -> float:
        """What is across at a pixel, within the limits."""
        low, high = self.across
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
    """A chart laid out: its spot, the strip with the title by which it is held, its axes.

    `shows` says what lies across: heels to hold her at, the time, the place along her, or heels
    of a holed ship.
    """

    spot: Spot
    title: Box
    axes: Axes
    picture: Picture
    shows: Shows = "heels"

    @property
    def below_title(self) -> Box:
        """The panel without its title."""
        return self.spot.panel._replace(top=self.title.bottom)


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


@dataclass(frozen=True)
class Note:
    """Words about a pixel `at` (2,). Notes of a lower `rank` are placed first; from `MUST` on only
    where they hide little, from `MAY` on nothing."""

    rank: int
    at: Array
    text: str
    colour: Colour


class PanelSketch:
    """A panel in the making, with the boxes of its words and marks and the points of its lines.

    `axes` are there before its notes are placed.
    """

    axes: Axes
    shows: Shows = "heels"

    def __init__(self, panel: Box, style: Style, text_size: TextSize) -> None:
        self.panel, self.text_size = panel, text_size
        self.palette, self.scale = style.palette, style.scale
        self.inks: list[Ink] = []
        self.labels: list[Label] = []
        self.notes: list[Note] = []
        self.words: list[Box] = []
        self.dots: list[Box] = []
        self.lines: list[Array] = []
        self.size = NUMERAL * self.scale
        strip = 1.9 * TEXT * self.scale
        self.title = Box(panel.left, panel.top - strip, panel.right, panel.top)

    def drawing(self, spot: Spot) -> ChartDrawing:
        """The panel as laid out."""
        shown = Picture(tuple(self.inks), tuple(self.labels))
        return ChartDrawing(spot, self.title, self.axes, shown, self.shows)

    def ground(self, title: Sequence[str]) -> None:
        """The panel and its title, the most important part first."""
        inset = ROUND * self.scale
        outline = self.panel.grown(-inset).rounded(inset)
        self.inks.append(Area(outline[None], self.palette.panel))
        border = np.stack([outline, np.roll(outline, -1, axis=0)], axis=1)
        self.stroke(border, 1.0, self.palette.grid)
        size = TEXT * self.scale
        free = self.panel.width - 2 * PAD * self.scale
        text = self._fitted(title, size, free)
        bottom = self.title.bottom + (self.title.height - self.text_size(text, size)[1]) / 2
        self.label(text, size, self.panel.left + PAD * self.scale, bottom, self.palette.ink)
        edge = np.array(
            [[self.title.left, self.title.bottom], [self.title.right, self.title.bottom]]
        )
        self.stroke(edge[None], 1.0, self.palette.grid)

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

    def numeral_box(self, text: str, at: Array, way: Array) -> None:
        """A numeral, moved as far inside the panel as it takes."""
        inner = self.panel._replace(top=self.title.bottom).grown(-GAP * self.scale / 2)
        box = Box.beside(self.text_size(text, self.size), at, way).moved_into(inner)
        self.label(text, self.size, box.left, box.bottom, self.palette.quiet)

    def caption(self, text: str, left: float, bottom: float, colour: Colour | None = None) -> None:
        """A text, quiet unless it has a colour, that others keep off."""
        self.label(text, self.size, left, bottom, colour or self.palette.quiet)
        width, height = self.text_size(text, self.size)
        self.words.append(Box(left, bottom, left + width, bottom + height))

    def place_notes(self) -> None:
        """Write the words, the most important first, each where it is free and hides least; not
        at all where there is no such place."""
        lines = np.concatenate(self.lines)
        for note in sorted(self.notes, key=lambda note: note.rank):
            hidden = ANY if note.rank < MUST else FEW if note.rank < MAY else 1
            chosen = None
            for reach, box in self._free_places(note):
                here = int(box.holds(lines).sum()) + FEW * sum(map(box.meets, self.dots))
                if here < hidden:
                    hidden, chosen = here, (reach, box)
                if not hidden:
                    break
            if chosen:
                self._write(note, *chosen)

    def _free_places(self, note: Note) -> Iterator[tuple[float, Box]]:
        """How far off its point a note may stand, and its box there, the nearest first."""
        size = self.text_size(note.text, self.size)
        for reach in REACHES:
            for way in AROUND:
                box = Box.beside(size, note.at + reach * self.scale * way, way)
                box = box.grown(GAP / 2 * self.scale).moved_into(self.axes.box)
                if box.within(self.axes.box) and not any(map(box.meets, self.words)):
                    yield reach, box

    def _write(self, note: Note, reach: float, box: Box) -> None:
        if reach > REACHES[0]:
            low, high = np.array(box[:2]), np.array(box[2:])
            towards = np.clip(note.at, low, high)
            self.stroke(np.array([[note.at, towards]]), 1.0, faint(self.palette.quiet))
        self.words.append(box)
        text = box.grown(-GAP / 2 * self.scale)
        self.label(note.text, self.size, text.left, text.bottom, note.colour)

    def note(self, rank: int, at: Array, text: str, colour: Colour) -> None:
        """Words about a pixel, to be placed."""
        self.notes.append(Note(rank, at, text, colour))

    def label(self, text: str, size: float, left: float, bottom: float, colour: Colour) -> None:
        """A text, from its lower left corner."""
        self.labels.append(Label(text, np.array([left, bottom]), size, colour))

    def dot(self, at: Array, radius: float, colour: Colour) -> None:
        """A dot that words keep off."""
        for reach, tint in ((radius + 1.2, self.palette.panel), (radius, colour)):
            self.inks.append(Area((at + reach * self.scale * CIRCLE)[None], tint))
        self.dots.append(Box(*at, *at).grown(radius * self.scale))

    def stroke(self, segments: Array, width: float, colour: Colour) -> None:
        """Segments of a width at a scale of 1."""
        self.inks.append(Stroke(segments, width * self.scale, colour))

    def line(self, points: Array) -> None:
        """Take note of where a line runs, so that words keep off it."""
        lengths = np.hypot(*np.diff(points, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(lengths)])
        stops = np.arange(0.0, along[-1] + 1.0, 2.0 * self.scale)
        self.lines.append(
            np.stack([np.interp(stops, along, points[:, axis]) for axis in (0, 1)], axis=1)
        )


def multiples(low: float, high: float, step: float) -> list[float]:
    """The multiples of a step from low to high."""
    return [
        step * count
        for count in range(int(np.ceil(low / step - 1e-6)), int(np.floor(high / step + 1e-6)) + 1)
    ]
