"""The chart of floodable length laid out on a panel of pixels, over the place along the ship.

A compartment is a triangle over its length, as high as it is long: it may flood if its point lies
under the curve (common practice).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...core.buoyancy.body import Body
from ...core.buoyancy.sections import cut
from ...core.damage.subdivision import Bulkhead, Stretch, Subdivision
from ...core.model.compartment import Division
from ...drawing.picture import TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import Area, Colour, Fill, dashes
from ...units.lengths import Lengths
from .chart_panel import GAP, MAY, PAD, Axes, ChartDrawing, PanelSketch, Spot, multiples
from .dimensions import Dimension
from .projection import Style

Array = NDArray[np.float64]

HEADROOM = 1.18  # height of the panel in greatest lengths
CLOSEST = 26.0
DASH = (6.0, 4.0)
OVER = 0.15  # of her depth over her deck, at which a length is drawn in the ship
LOOKED, TOO_LONG = range(2)
AHEAD = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True)
class FloodableChart:
    """What is to be shown of a ship: `names` are those of her compartments, `place` (m) is where
    the middle of a compartment looked at is, `chosen` the wall whose leeway is shown."""

    name: str
    subdivision: Subdivision
    names: tuple[str, ...]
    lengths: Lengths
    place: float | None = None
    chosen: str = ""

    @property
    def title(self) -> tuple[str, ...]:
        """Her name and what the chart is of, or first where the bulkhead chosen may stand."""
        if self.bulkhead:
            return f"{self.chosen} {self._leeway(self.bulkhead)}", "floodable length", self.name
        share = f"permeability {self.subdivision.curve.permeability:.2f}"
        return self.name, "floodable length", share

    @property
    def bulkhead(self) -> Bulkhead | None:
        """The bulkhead that is chosen."""
        known = self.subdivision.bulkheads
        return next((each for each in known if self.chosen in each.walls), None)

    def _leeway(self, bulkhead: Bulkhead) -> str:
        if bulkhead.leeway is None:
            return "has no place that will do"
        aft, forward = map(self.lengths, bulkhead.leeway)
        return f"may stand at x {aft} to {forward}"


def stretch_name(stretch: Stretch, division: Division | None) -> str:
    """What a compartment is called: by its largest room, or else by what it lies between."""
    room = stretch.room(division) if division else ""
    if room:
        return room
    aft, forward = (end.walls[0] if end else "" for end in stretch.ends)
    if aft and forward:
        return f"{aft} to {forward}"
    return f"forward of {aft}" if aft else f"aft of {forward}"


def longest_at(subdivision: Subdivision, hull: Body, x: float, lengths: Lengths) -> Dimension:
    """The longest compartment that may flood with its middle at x (m), as a length over her deck
    with the sections of the hull at its ends."""
    length = subdivision.curve.at(x)
    ends = np.array([x - length / 2, x + length / 2])
    height = float(hull.high[2]) + OVER * float(hull.high[2] - hull.low[2])
    line = np.array([[end, 0.0, height] for end in ends])
    sections = np.concatenate([cut(hull, AHEAD, float(end)) for end in ends])
    rises = np.array([[[end, 0.0, float(hull.high[2])], [end, 0.0, height]] for end in ends])
    text = f"floodable {lengths(length)}"
    return Dimension(line[0], line[1], text, np.concatenate([rises, sections]))


def lay_out_floodable(
    chart: FloodableChart, spot: Spot, style: Style, text_size: TextSize
) -> ChartDrawing:
    """Lay out a chart on its panel; `text_size` measures a text at a font size."""
    sketch = _Sketch(chart, spot.panel, style, text_size)
    sketch.ground(chart.title)
    sketch.scales()
    for stretch, name in zip(chart.subdivision.stretches, chart.names, strict=True):
        sketch.stretch(stretch, name)
    sketch.curve()
    if chart.bulkhead:
        sketch.leeway(chart.bulkhead)
    if chart.place is not None:
        sketch.look(chart.place)
    sketch.place_notes()
    return sketch.drawing(spot)


class _Sketch(PanelSketch):
    """A chart in the making."""

    shows = "place"

    def __init__(
        self, chart: FloodableChart, panel: Box, style: Style, text_size: TextSize
    ) -> None:
        super().__init__(panel, style, text_size)
        self.chart, self.found = chart, chart.subdivision.curve
        spans = [each.length for each in chart.subdivision.stretches]
        most = HEADROOM * max(float(self.found.lengths.max()), *spans, 1e-6)
        bottom = panel.bottom + 2.1 * self.size
        top = self.title.bottom - 0.4 * self.size
        self.step = chart.lengths.step(most * CLOSEST * self.scale / (top - bottom))
        numerals = [
            chart.lengths.numeral(each, self.step) for each in multiples(0, most, self.step)
        ]
        widest = max(text_size(text, self.size)[0] for text in numerals)
        left = panel.left + (PAD + GAP) * self.scale + widest
        box = Box(left, bottom, panel.right - 2 * PAD * self.scale, top)
        ends = float(self.found.centres[0]), float(self.found.centres[-1])
        self.axes = Axes(box, ends, (0.0, most))

    def scales(self) -> None:
        """Lines and numerals of places and lengths, and the ends of the ship."""
        axes, clear, lengths = self.axes, GAP * self.scale, self.chart.lengths
        (aft, forward), box = axes.across, axes.box
        pitch = CLOSEST * self.scale / box.width * (forward - aft)
        step = lengths.step(pitch)
        while self._crowded(step):
            step = lengths.step(1.01 * step)
        places, heights = multiples(aft, forward, step), multiples(0.0, axes.up[1], self.step)
        upright = [axes.at(np.array([x, x]), np.array(axes.up)) for x in places]
        level = [axes.at(np.array(axes.across), height) for height in heights]
        self.stroke(np.stack([*upright, *level]), 1.0, self.palette.grid)
        self.stroke(axes.at(np.array(axes.across), 0.0)[None], 1.2, self.palette.quiet)
        for x in places:
            at = axes.at(x, 0.0) - (0.0, clear)
            self.numeral_box(lengths.numeral(x, step), at, np.array([0.0, -1.0]))
        for height in heights:
            at = axes.at(aft, height) - (clear, 0.0)
            self.numeral_box(lengths.numeral(height, self.step), at, np.array([-1.0, 0.0]))
        unit = f" ({lengths.symbol})" if lengths.symbol else ""
        top = box.top - self.text_size("H", self.size)[1] - clear / 2
        self.caption(f"length{unit}", box.left + clear, top)
        right = box.right - clear - self.text_size("forward", self.size)[0]
        if right > self.words[-1].right + 2 * clear:
            self.caption("forward", right, top)

    def _crowded(self, step: float) -> bool:
        """Whether numerals of places so far apart (m) have no room beside one another."""
        aft, forward = self.axes.across
        texts = [self.chart.lengths.numeral(x, step) for x in multiples(aft, forward, step)]
        widest = max((self.text_size(text, self.size)[0] for text in texts), default=0.0)
        return step / (forward - aft) * self.axes.box.width < widest + 2 * GAP * self.scale

    def stretch(self, stretch: Stretch, name: str) -> None:
        """A compartment, in the colour of a warning and with its name where it is too long."""
        colour = self.palette.quiet if stretch.survives else self.palette.warning
        self._triangle(stretch.middle, stretch.length, colour, 1.4)
        at = self.axes.at(stretch.middle, stretch.length)
        if stretch.survives:
            self.note(MAY, at, name, self.palette.quiet)
        else:
            over = self.chart.lengths(stretch.length - stretch.allowed)
            self.note(TOO_LONG, at, f"{name}, {over} too long", colour)

    def _triangle(self, middle: float, length: float, colour: Colour, width: float) -> None:
        ends = middle + length / 2 * np.array([-1.0, 0.0, 1.0])
        points = self.axes.at(ends, np.array([0.0, length, 0.0]))
        ground = (*colour[:3], self.palette.area[3] / 2)
        self.inks.append(Fill(points[None], ground))
        self.stroke(np.stack([points[:-1], points[1:]], axis=1), width, colour)
        self.line(points)

    def curve(self) -> None:
        """Floodable length over the place of its middle."""
        points = self.axes.at(self.found.centres, self.found.lengths)
        self.stroke(np.stack([points[:-1], points[1:]], axis=1), 2.0, self.palette.curve)
        self.line(points)

    def leeway(self, bulkhead: Bulkhead) -> None:
        """Where a bulkhead stands, and a bar on the line of no length along which it may."""
        if bulkhead.leeway:
            bar = self.axes.at(np.array(bulkhead.leeway), 0.0)
            self.stroke(bar[None], 4.0, self.palette.heeling)
        at, reach = self.axes.at(bulkhead.x, 0.0), 5.0 * self.scale
        outline = at + reach * np.array([[0.0, 0.0], [-0.8, 1.4], [0.8, 1.4]])
        self.inks.append(Area(outline[None], self.palette.ink))
        self.dots.append(Box(*outline.min(axis=0).tolist(), *outline.max(axis=0).tolist()))

    def look(self, place: float) -> None:
        """The longest compartment with its middle at the place looked at, and its length."""
        length = self.found.at(place)
        self._triangle(place, length, self.palette.present, 1.4)
        at = self.axes.at(place, length)
        dashed = dashes(
            np.array([self.axes.at(place, 0.0), at]), *(self.scale * part for part in DASH)
        )
        self.stroke(dashed, 1.4, self.palette.present)
        self.dot(at, 4.0, self.palette.present)
        lengths = self.chart.lengths
        words = f"x {lengths(place)}: {lengths(length)}"
        self.note(LOOKED, at, words, self.palette.present)
