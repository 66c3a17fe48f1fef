"""Panels of pixels on which charts are laid out: axes, and labels that avoid lines and one
another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..core.arrays import Floats
from ..drawing.picture import Label, Picture, TextSize
from ..drawing.pixel_boxes import Box
from ..drawing.tessellation import RGBA, Area, Primitive, Stroke, faint
from .chart import LAST, MAY, MUST, Shows
from .colors import ChartColors

TEXT, NUMERAL = 12.0, 10.5  # font sizes in pixels at a scale of 1, as every length below
ROUND = 4.0
PAD = 8.0
GAP = 4.0
REACHES = (7.0, 16.0, 28.0, 42.0, 58.0, 76.0)
"""Distances (pixels) of a label from its place, with a leader from the second on."""
FARTHEST = 0.18  # of the height of a panel, at which they may
TURN = np.linspace(0, 2 * np.pi, 28, endpoint=False)
CIRCLE = np.stack([np.cos(TURN), np.sin(TURN)], axis=1)
AROUND = np.array([(0, 1), (1, 0), (-1, 0), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1)], float)
"""Directions from a place to its label, the best first."""
ALONG = np.linspace(0.0, 1.0, 15)[:, None]
ANY, FEW = 1 << 30, 9  # points of lines, two pixels apart, that a label may cover; a dot is FEW


@dataclass(frozen=True)
class ChartStyle:
    """Colors and sizes of a chart."""

    colors: ChartColors
    scale: float = 1.0


@dataclass(frozen=True)
class Axes:
    """The mapping of two quantities between limits to a box of pixels: one across, one up."""

    box: Box
    across: tuple[float, float]
    up: tuple[float, float]

    def at(self, across: Floats | float, up: Floats | float) -> Floats:
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
    """The panel of a chart within the region it may be moved in."""

    region: Box
    panel: Box

    def place(self, right: float, up: float) -> tuple[float, float]:
        """The place of the panel moved by pixels: shares of its free distance across and up."""
        across = _share(
            self.panel.left + right - self.region.left,
            self.region.width - self.panel.width,
        )
        return across, _share(
            self.panel.bottom + up - self.region.bottom,
            self.region.height - self.panel.height,
        )


def _share(part: float, whole: float) -> float:
    return min(max(part / whole, 0.0), 1.0) if whole > 1.0 else 0.0


@dataclass(frozen=True)
class ChartDrawing:
    """A chart laid out: its spot, the strip with the title by which it is held, its axes.

    `unwritten` are the labels that do not fit.
    """

    spot: Spot
    title: Box
    axes: Axes
    picture: Picture
    shows: Shows = "still"
    unwritten: tuple[str, ...] = ()

    @property
    def below_title(self) -> Box:
        """The panel without its title."""
        return self.spot.panel._replace(top=self.title.bottom)


@dataclass(frozen=True)
class Words:
    """A label at a pixel `at` (2,), a shorter one for little space, and its rank."""

    rank: int
    at: Floats
    text: str
    brief: str
    color: RGBA


class PanelSketch:
    """A panel under construction: the boxes of its labels and marks and the points of its lines.

    `axes` are there before its notes are placed.
    """

    axes: Axes

    def __init__(self, panel: Box, style: ChartStyle, text_size: TextSize) -> None:
        self.panel, self.text_size = panel, text_size
        self.colors, self.scale = style.colors, style.scale
        self.primitives: list[Primitive] = []
        self.labels: list[Label] = []
        self.notes: list[Words] = []
        self.words: list[Box] = []
        self.dots: list[Box] = []
        self.lines: list[Floats] = []
        self.unwritten: list[str] = []
        self.size = NUMERAL * self.scale
        strip = 1.9 * TEXT * self.scale
        self.title = Box(panel.left, panel.top - strip, panel.right, panel.top)

    def ground(self, title: Sequence[Sequence[str]]) -> None:
        """The panel, and the first of some titles that fits, or as much of the last."""
        inset = ROUND * self.scale
        outline = self.panel.grown(-inset).rounded(inset)
        self.primitives.append(Area(outline[None], self.colors.panel))
        border = np.stack([outline, np.roll(outline, -1, axis=0)], axis=1)
        self.stroke(border, 1.0, self.colors.grid)
        size = TEXT * self.scale
        free = self.panel.width - 2 * PAD * self.scale
        texts = ("  ·  ".join(parts) for parts in title)
        text = next((each for each in texts if self.text_size(each, size)[0] <= free), "")
        text = text or self.cut(title[-1][0], size, free)
        bottom = self.title.bottom + (self.title.height - self.text_size(text, size)[1]) / 2
        self.label(text, size, self.panel.left + PAD * self.scale, bottom, self.colors.ink)
        left, low, right, _ = self.title
        self.stroke(np.array([[[left, low], [right, low]]]), 1.0, self.colors.grid)

    def cut(self, text: str, size: float, free: float) -> str:
        """As much of a text as fits."""
        if self.text_size(text, size)[0] <= free:
            return text
        while text and self.text_size(text + "…", size)[0] > free:
            text = text[:-1]
        return text + "…"

    def numeral_box(self, text: str, at: Floats, way: Floats) -> None:
        """A numeral, moved as far inside the panel as it takes."""
        inner = self.panel._replace(top=self.title.bottom).grown(-GAP * self.scale / 2)
        box = Box.beside(self.text_size(text, self.size), at, way).moved_into(inner)
        self.label(text, self.size, box.left, box.bottom, self.colors.quiet)

    def caption(self, text: str, left: float, bottom: float, color: RGBA | None = None) -> None:
        """A text, quiet unless it has a color, that others avoid."""
        self.label(text, self.size, left, bottom, color or self.colors.quiet)
        width, height = self.text_size(text, self.size)
        self.words.append(Box(left, bottom, left + width, bottom + height))

    def place_notes(self) -> None:
        """Place the labels, the most important first, each where it is free and covers least; one
        with no such place is left out."""
        lines = np.concatenate([np.zeros((0, 2)), *self.lines])
        for note in sorted(self.notes, key=lambda note: note.rank):
            hidden = ANY if note.rank < MUST else FEW if note.rank < MAY else 1
            texts = (note.text, note.brief) if note.brief else (note.text,)
            if not any(self._placed(note, text, hidden, lines) for text in texts):
                self.unwritten += [note.text] if note.rank % LAST < MAY else []

    def _placed(self, note: Words, text: str, hidden: int, lines: Floats) -> bool:
        """Whether there is a place for a text, which is then written there."""
        chosen = None
        for box in self._free_places(note.at, text):
            here = int(box.holds(lines).sum()) + FEW * sum(map(box.meets, self.dots))
            if here < hidden:
                hidden, chosen = here, box
            if not hidden:
                break
        if chosen is None:
            return False
        self._write(note, text, chosen)
        return True

    def _free_places(self, at: Floats, text: str) -> Iterator[Box]:
        """Where there is space for a text about a place, the nearest first."""
        size = self.text_size(text, self.size)
        most = max(FARTHEST * self.panel.height / self.scale, REACHES[0])
        for reach in (each for each in REACHES if each <= most):
            for way in AROUND:
                box = Box.beside(size, at + reach * self.scale * way, way)
                box = box.grown(GAP / 2 * self.scale).moved_into(self.axes.box)
                if not box.within(self.axes.box) or any(map(box.meets, self.words)):
                    continue
                leader = at + ALONG * (np.clip(at, box[:2], box[2:]) - at)
                if not any(words.holds(leader).any() for words in self.words):
                    yield box

    def _write(self, note: Words, text: str, box: Box) -> None:
        towards = np.clip(note.at, box[:2], box[2:])
        if np.hypot(*(towards - note.at)) > REACHES[0] * self.scale:
            self.stroke(np.array([[note.at, towards]]), 1.0, faint(self.colors.quiet))
        self.words.append(box)
        corner = box.grown(-GAP / 2 * self.scale)
        self.label(text, self.size, corner.left, corner.bottom, note.color, over=True)

    def label(
        self,
        text: str,
        size: float,
        left: float,
        bottom: float,
        color: RGBA,
        over: bool = False,
    ) -> None:
        """A text, from its lower left corner."""
        self.labels.append(Label(text, np.array([left, bottom]), size, color, over))

    def dot(self, at: Floats, radius: float, color: RGBA) -> None:
        """A dot that labels avoid."""
        for reach, tint in ((radius + 1.2, self.colors.panel), (radius, color)):
            self.primitives.append(Area((at + reach * self.scale * CIRCLE)[None], tint))
        self.dots.append(Box(*at, *at).grown(radius * self.scale))

    def stroke(self, segments: Floats, width: float, color: RGBA) -> None:
        """Segments of a width at a scale of 1."""
        self.primitives.append(Stroke(segments, width * self.scale, color))

    def line(self, points: Floats) -> None:
        """Record the points of a line, so that labels avoid it."""
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
