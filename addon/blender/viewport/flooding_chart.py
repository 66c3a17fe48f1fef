"""The chart of a flooding in time laid out on a panel of pixels: water and heel over the time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...core.flooding_time.time_to_flood import Event, Ingress
from ...drawing.picture import TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import Fill, dashes
from ...units.lengths import Lengths, round_step
from .chart_panel import GAP, MUST, PAD, Axes, ChartDrawing, PanelSketch, Spot, multiples
from .flooding_playback import clock
from .projection import Style

Array = NDArray[np.float64]

HEADROOM = 1.18  # height of the panel in greatest values
LEAST_HEEL = np.radians(5.0)  # the least that the scale of heels reaches
CLOSEST = 26.0
DASH = (6.0, 4.0)
TIME_STEPS = (
    *(1.0, 2.0, 5.0, 10.0, 15.0, 30.0),
    *(60.0 * minutes for minutes in (1, 2, 5, 10, 15, 30)),
    *(3600.0 * hours for hours in (1, 2, 3, 6, 12, 24)),
)
DEGREE_STEPS = (1, 2, 5, 10, 15, 30, 45, 90)
NOW, LOSS = range(2)
GRAVE = {"lost", "opening", "heel-30"}


@dataclass(frozen=True)
class RunChart:
    """What is to be shown of a run: `time` (s) is the moment looked at."""

    name: str
    run: Ingress
    time: float
    lengths: Lengths

    @property
    def title(self) -> tuple[str, ...]:
        """Her name and how it ends."""
        run = self.run
        if run.lost is not None:
            return self.name, f"lost {clock(run.lost)} after the hole"
        if run.settled is not None:
            return self.name, f"settles {clock(run.settled)} after the hole"
        return self.name, f"the first {clock(float(run.times[-1]))} after the hole"

    @property
    def water(self) -> Array:
        """All the water in her (n,) at the times of the run (m3)."""
        return self.run.water.sum(axis=1)

    @property
    def heels(self) -> Array:
        """How far she is over (n,), to either side (rad)."""
        return np.abs(np.arctan2(self.run.ups[:, 1], self.run.ups[:, 2]))


def lay_out_run(chart: RunChart, spot: Spot, style: Style, text_size: TextSize) -> ChartDrawing:
    """Lay out a chart on its panel; `text_size` measures a text at a font size."""
    sketch = _Sketch(chart, spot.panel, style, text_size)
    sketch.ground(chart.title)
    sketch.scales()
    sketch.curves()
    for event in chart.run.events:
        sketch.event(event)
    sketch.now()
    sketch.place_notes()
    return sketch.drawing(spot)


class _Sketch(PanelSketch):
    """A chart in the making; `heels` are the axes of the heel, on the right."""

    shows = "time"

    def __init__(self, chart: RunChart, panel: Box, style: Style, text_size: TextSize) -> None:
        super().__init__(panel, style, text_size)
        self.chart = chart
        most = max(float(chart.water.max()), 1e-6)
        over = max(float(chart.heels.max()), LEAST_HEEL)
        self.unit, self.symbol = chart.lengths.volume_unit(most)
        bottom = panel.bottom + 2.1 * self.size
        top = self.title.bottom - 0.4 * self.size
        shares = CLOSEST * self.scale / (top - bottom) * HEADROOM
        self.step = round_step(most / self.unit * shares)
        self.turn = next(
            (step for step in DEGREE_STEPS if step >= np.degrees(over) * shares), DEGREE_STEPS[-1]
        )
        numerals = [self._figure(value) for value in multiples(0, most / self.unit, self.step)]
        clear = (PAD + GAP) * self.scale
        left, right = (
            max(text_size(text, self.size)[0] for text in texts) + clear
            for texts in (numerals, ("90°",))
        )
        box = Box(panel.left + left, bottom, panel.right - right, top)
        ends = 0.0, max(float(chart.run.times[-1]), 1.0)
        self.axes = Axes(box, ends, (0.0, HEADROOM * most))
        self.heels = Axes(box, ends, (0.0, HEADROOM * over))

    def _figure(self, value: float) -> str:
        return f"{value:.{max(0, -int(np.floor(np.log10(self.step) + 1e-9)))}f}"

    def scales(self) -> None:
        """Lines and numerals of time and water, and numerals of heel on the right."""
        axes, clear = self.axes, GAP * self.scale
        (start, end), box = axes.across, axes.box
        widest = self.text_size(clock(end), self.size)[0] + 3 * clear
        pitches = (step for step in TIME_STEPS if step / (end - start) * box.width >= widest)
        times = multiples(start, end, next(pitches, TIME_STEPS[-1]))
        waters = multiples(0.0, axes.up[1] / self.unit, self.step)
        upright = [axes.at(np.array([time, time]), np.array(axes.up)) for time in times]
        level = [axes.at(np.array(axes.across), self.unit * water) for water in waters]
        self.stroke(np.stack([*upright, *level]), 1.0, self.palette.grid)
        self.stroke(axes.at(np.array(axes.across), 0.0)[None], 1.2, self.palette.quiet)
        for time in times[1:]:
            at = axes.at(time, 0.0) - (0.0, clear)
            self.numeral_box(clock(time), at, np.array([0.0, -1.0]))
        for water in waters:
            at = axes.at(start, self.unit * water) - (clear, 0.0)
            self.numeral_box(self._figure(water), at, np.array([-1.0, 0.0]))
        for heel in multiples(self.turn, float(np.degrees(self.heels.up[1])), self.turn):
            at = self.heels.at(end, np.radians(heel)) + (clear, 0.0)
            self.numeral_box(f"{heel:.0f}°", at, np.array([1.0, 0.0]))
        bottom = box.top - self.text_size("H", self.size)[1] - clear / 2
        self.caption(f"water ({self.symbol})", box.left + clear, bottom, self.palette.curve)
        width = self.text_size("heel", self.size)[0]
        self.caption("heel", box.right - clear - width, bottom, self.palette.heeling)

    def curves(self) -> None:
        """Water as ground under a line, heel dashed."""
        times = self.chart.run.times
        edge, foot = self.axes.at(times, self.chart.water), self.axes.at(times, 0.0)
        halves = (foot[:-1], foot[1:], edge[1:]), (foot[:-1], edge[1:], edge[:-1])
        corners = np.concatenate([np.stack(half, axis=1) for half in halves])
        self.inks.append(Fill(corners, self.palette.area))
        self.stroke(np.stack([edge[:-1], edge[1:]], axis=1), 2.0, self.palette.curve)
        self.line(edge)
        over = self.heels.at(times, self.chart.heels)
        dashed = dashes(over, *(self.scale * part for part in DASH))
        self.stroke(dashed, 1.6, self.palette.heeling)
        self.line(over)

    def event(self, event: Event) -> None:
        """An event on the curve of the water, with its name and time."""
        grave = event.kind in GRAVE
        colour = self.palette.warning if grave else self.palette.ink
        at = self._on_curve(event.time)
        if grave:
            rise = self.axes.at(event.time, np.array([0.0, self.axes.up[1]]))
            self.stroke(rise[None], 1.2, colour)
            self.line(rise)
        self.dot(at, 3.0, colour)
        rank = LOSS if event.kind == "lost" else MUST
        what = self.chart.lengths.said(event.what)
        self.note(rank, at, f"{what} {clock(event.time)}", colour)

    def now(self) -> None:
        """The moment looked at: an upright line, a dot on the curve, and its figures."""
        time = float(np.clip(self.chart.time, *self.axes.across))
        rise = self.axes.at(time, np.array(self.axes.up))
        self.stroke(rise[None], 1.4, self.palette.present)
        self.line(rise)
        at = self._on_curve(time)
        self.dot(at, 4.0, self.palette.present)
        run = self.chart.run
        water = float(np.interp(time, run.times, self.chart.water))
        heel = float(np.degrees(np.interp(time, run.times, self.chart.heels)))
        words = f"{clock(time)}: {self.chart.lengths.volume(water)}, {heel:.1f}°"
        self.note(NOW, at, words, self.palette.present)

    def _on_curve(self, time: float) -> Array:
        water = np.interp(time, self.chart.run.times, self.chart.water)
        return self.axes.at(time, float(water))
