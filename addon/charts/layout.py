"""A chart laid out on a panel of pixels, in the viewport or on a page."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..core.arrays import Floats
from ..drawing.picture import Picture, TextSize
from ..drawing.pixel_boxes import Box
from ..drawing.tessellation import RGBA, Area, Fill, dashes, faint
from ..units.scales import Scale
from .chart import Axis, Chart, Ground, Line, Mark, Note
from .panel import (
    GAP,
    PAD,
    Axes,
    ChartDrawing,
    ChartStyle,
    PanelSketch,
    Spot,
    Words,
    multiples,
)
from .spread import spread

ROOMY = 180.0  # height of a panel, at a scale of 1, from which titles of axes have their own rows
CLOSEST, CLOSEST_ACROSS = 26.0, 38.0  # between lines of the grid, level and upright
SAMPLE, ROW = 22.0, 1.5  # length of a line in the legend; height of a row, in font sizes
DASHED, DOTTED = (6.0, 4.0), (2.0, 3.0)
OWN = ((), (7, 3), (2, 2), (9, 2, 2, 2), (14, 3), (4, 4, 1, 4), (9, 2, 2, 2, 2, 2), (5, 1.5))
DOTS = {"dot": 3.0, "large dot": 4.0}
POINTER = 5.0 * np.array([[0.0, 0.0], [-0.8, -1.4], [0.8, -1.4]])
TICK = 5.0 * np.array([[0.0, -1.0], [0.0, 1.0]])
MINUS = str.maketrans("-", "\N{MINUS SIGN}")
FAINTEST = 0.12  # alpha of ground that is not an area
NOTHING = "nothing could be computed"


def lay_out(chart: Chart, spot: Spot, style: ChartStyle, text_size: TextSize) -> ChartDrawing:
    """Lay out a chart on its panel; `text_size` measures a text at a font size."""
    sketch = _Sketch(chart, spot.panel, style, text_size)
    sketch.scales()
    for part in chart.parts:
        match part:
            case Ground():
                sketch.shade(part)
            case Line():
                sketch.draw(part)
            case Mark():
                sketch.mark(part)
            case Note():
                sketch.note(part)
    if chart.names == "ends":
        sketch.end_names()
    if chart.empty:
        sketch.nothing()
    sketch.place_notes()
    shown = Picture(tuple(sketch.primitives), tuple(sketch.labels))
    unwritten = tuple(sketch.unwritten)
    return ChartDrawing(spot, sketch.title, sketch.axes, shown, chart.shows, unwritten)


class _Sketch(PanelSketch):
    """A chart in the making; `right` are the axes of what goes by the scale on the right."""

    def __init__(self, chart: Chart, panel: Box, style: ChartStyle, text_size: TextSize) -> None:
        super().__init__(panel, style, text_size)
        self.chart = chart
        self.roomy = panel.height >= ROOMY * self.scale
        self.ground(list(_titles(chart)))
        under_legend = self._legend(self.title.bottom - 0.4 * self.size)
        top = under_legend - (1.8 * self.size if self.roomy else 0.0)
        bottom = panel.bottom + (2.1 + (1.5 if self.roomy else 0.0)) * self.size
        low, high = chart.y.span
        self.step = chart.y.scale.step((high - low) * CLOSEST * self.scale / (top - bottom))
        left = panel.left + PAD * self.scale + self._widest(chart.y) + GAP * self.scale
        right = panel.right - self._right_margin(top - bottom)
        box = Box(left, bottom, right, top)
        self.axes = Axes(box, chart.x.span, chart.y.span)
        self.right = Axes(box, chart.x.span, chart.right.span if chart.right else chart.y.span)

    def _widest(self, axis: Axis) -> float:
        texts = [self._numeral(axis.scale, value, self.step) for value in self._ups(axis)]
        return max((self.text_size(text, self.size)[0] for text in texts), default=0.0)

    def _ups(self, axis: Axis) -> list[float]:
        return multiples(*axis.span, self.step)

    def _right_margin(self, height: float) -> float:
        """What is right of the axes: numerals, names of lines, or half the last numeral."""
        chart, clear = self.chart, (PAD + GAP) * self.scale
        texts: list[str] = []
        if chart.right:
            texts = [text for _, text in self._right_numerals(height)]
        elif chart.names == "ends":
            texts = [self._end_name(line) for line in self._named()]
        if texts:
            return max(self.text_size(text, self.size)[0] for text in texts) + clear
        return max(self.text_size("180°", self.size)[0], 2 * PAD * self.scale) / 2 + clear / 3

    def _right_numerals(self, height: float) -> Iterator[tuple[float, str]]:
        assert self.chart.right
        (low, high), scale = self.chart.right.span, self.chart.right.scale
        step = scale.step((high - low) * CLOSEST * self.scale / height)
        for value in multiples(low, high, step):
            yield value, self._numeral(scale, value, step)

    @staticmethod
    def _numeral(scale: Scale, value: float, step: float) -> str:
        return scale.numeral(value, step).translate(MINUS)

    # Axes ---------------------------------------------------------------------------------------

    def scales(self) -> None:
        """Lines of the grid, their numerals, the lines of zero, and the titles of the axes."""
        chart, axes, clear = self.chart, self.axes, GAP * self.scale
        box = axes.box
        step = self._pitch(chart.x)
        across, ups = multiples(*axes.across, step), self._ups(chart.y)
        upright = [axes.at(np.array([x, x]), np.array(axes.up)) for x in across]
        level = [axes.at(np.array(axes.across), y) for y in ups]
        if upright or level:
            self.stroke(np.stack([*upright, *level]), 1.0, self.colors.grid)
        for zero in self._zeros():
            self.stroke(zero[None], 1.2, self.colors.quiet)
            self.line(zero)
        for x in across:
            at = axes.at(x, axes.up[0]) - (0.0, 1.6 * clear)
            self.numeral_box(self._numeral(chart.x.scale, x, step), at, np.array([0.0, -1.0]))
        for y in ups:
            at = axes.at(axes.across[0], y) - (clear, 0.0)
            text = self._numeral(chart.y.scale, y, self.step)
            self.numeral_box(text, at, np.array([-1.0, 0.0]))
        if chart.right:
            for y, text in self._right_numerals(box.height):
                at = self.right.at(axes.across[1], y) + (clear, 0.0)
                self.numeral_box(text, at, np.array([1.0, 0.0]))
        self._axis_titles()

    def _pitch(self, axis: Axis) -> float:
        """The step of numerals across that leaves space for each."""
        (low, high), width = axis.span, self.axes.box.width
        step = axis.scale.step((high - low) * CLOSEST_ACROSS * self.scale / width)
        while True:
            texts = [self._numeral(axis.scale, x, step) for x in multiples(low, high, step)]
            widest = max((self.text_size(text, self.size)[0] for text in texts), default=0.0)
            if step / (high - low) * width >= widest + 2 * GAP * self.scale:
                return step
            step = axis.scale.step(1.01 * step)

    def _zeros(self) -> Iterator[Floats]:
        """The line of zero, or the lower edge; and upright, the zero or the left edge."""
        axes = self.axes
        zero = min(max(0.0, axes.up[0]), axes.up[1])
        yield axes.at(np.array(axes.across), zero)
        upright = min(max(0.0, axes.across[0]), axes.across[1])
        yield axes.at(upright, np.array(axes.up))

    def _axis_titles(self) -> None:
        """The name of the axis; within the axes where there is little space."""
        chart, box, clear = self.chart, self.axes.box, GAP * self.scale
        height = self.text_size("H", self.size)[1]
        left, top = self.panel.left + PAD * self.scale, box.top + 0.8 * self.size
        foot, right = self.panel.bottom + 0.6 * self.size, box.right
        if not self.roomy:
            left, top = box.left + clear, box.top - height - clear / 2
            foot, right = box.bottom + clear, box.right - clear
        self.caption(chart.y.title, left, top)
        if chart.right:
            tones = [part.tone for part in chart.parts if isinstance(part, Line) and part.right]
            end = self.panel.right - PAD * self.scale if self.roomy else right
            width = self.text_size(chart.right.title, self.size)[0]
            color = self.colors.of(tones[0]) if tones else None
            self.caption(chart.right.title, end - width, top, color)
        before, after = chart.x.ends
        if before:
            self.caption(before, box.left + (0.0 if self.roomy else clear), foot)
        if after:
            self.caption(after, right - self.text_size(after, self.size)[0], foot)
        title = self.text_size(chart.x.title, self.size)[0]
        beside = max(self.text_size(end, self.size)[0] for end in chart.x.ends) + 2 * clear
        if self.roomy and title + 2 * beside < box.width + 4 * clear:
            self.caption(chart.x.title, (box.left + box.right - title) / 2, foot)

    # Lines and ground ---------------------------------------------------------------------------

    def shade(self, ground: Ground) -> None:
        """The ground between a line and zero, or what of it is above the lower edge."""
        if len(ground.points) < 2:
            return
        x, y = ground.points.T
        edge, foot = self.axes.at(x, y), self.axes.at(x, self._base())
        halves = (foot[:-1], foot[1:], edge[1:]), (foot[:-1], edge[1:], edge[:-1])
        corners = np.concatenate([np.stack(half, axis=1) for half in halves])
        color = self.colors.area
        if ground.tone != "area":
            color = (*self.colors.of(ground.tone)[:3], min(color[3] / 2, FAINTEST))
        self.primitives.append(Fill(corners, color))

    def _base(self) -> float:
        return min(max(0.0, self.axes.up[0]), self.axes.up[1])

    def draw(self, line: Line) -> None:
        """A line; a lone point is a dot."""
        if not len(line.points):
            return
        axes = self.right if line.right else self.axes
        points = axes.at(*line.points.T)
        if len(points) == 1:
            self.dot(points[0], DOTS["dot"], self._line_colour(line))
            return
        self._stroke_line(points, line)
        self.line(points)

    def _stroke_line(self, points: Floats, line: Line) -> None:
        pattern = {"dashed": DASHED, "dotted": DOTTED, "solid": ()}.get(line.dash, ())
        if line.dash == "own" and isinstance(line.tone, int):
            pattern = OWN[line.tone % len(OWN)]
        if pattern:
            drawn = dashes(points, *(self.scale * part for part in pattern))
        else:
            drawn = np.stack([points[:-1], points[1:]], axis=1)
        self.stroke(drawn, line.width, self._line_colour(line))

    def _line_colour(self, line: Line) -> RGBA:
        color = self.colors.of(line.tone)
        return faint(color) if line.faint else color

    # Marks and labels ---------------------------------------------------------------------------

    def mark(self, mark: Mark) -> None:
        """A dot, a tick or a pointer."""
        at, color = self.axes.at(mark.x, mark.y), self.colors.of(mark.tone)
        if mark.shape in DOTS:
            self.dot(at, DOTS[mark.shape], color)
        elif mark.shape == "tick":
            self.stroke((at + TICK * self.scale)[None], 1.6, color)
        else:
            outline = POINTER if mark.shape == "pointer up" else -POINTER
            outline = at + outline * self.scale
            self.primitives.append(Area(outline[None], color))
            self.dots.append(Box(*outline.min(axis=0).tolist(), *outline.max(axis=0).tolist()))

    def note(self, note: Note) -> None:
        """Words about a place, to be written where there is space."""
        at, color = self.axes.at(note.x, note.y), self.colors.of(note.tone)
        self.notes.append(Words(note.rank, at, note.text, note.brief, color))

    def nothing(self) -> None:
        """A text in the middle of a chart without lines."""
        middle = self.axes.box.middle
        self.notes.append(Words(0, middle, NOTHING, "", self.colors.quiet))

    def _named(self) -> list[Line]:
        parts = self.chart.parts
        return [part for part in parts if isinstance(part, Line) and part.name]

    def _end_name(self, line: Line) -> str:
        return self.cut(line.name, self.size, self.panel.width / 4)

    def end_names(self) -> None:
        """The names of lines right of their last points, clear of one another."""
        named = [line for line in self._named() if len(line.points)]
        ends = [self.axes.at(*line.points[-1]) for line in named]
        pitch = 1.1 * self.size
        heights = spread([float(end[1]) for end in ends], pitch)
        left, half = self.axes.box.right + GAP * self.scale, 0.35 * self.size
        for line, end, height in zip(named, ends, heights, strict=True):
            color = self._line_colour(line)
            if abs(height - end[1]) > 1.0 or end[0] < self.axes.box.right - 1.0:
                leader = np.array([[end, [left - 1.0, height]]])
                self.stroke(leader, 0.8, faint(color))
            self.label(self._end_name(line), self.size, left, height - half, color)

    def _legend(self, top: float) -> float:
        """Samples and names of lines, from `top` down; returns their lower edge."""
        if self.chart.names == "ends" or not self.roomy:
            return top
        sample, gap = SAMPLE * self.scale, 2 * GAP * self.scale
        start, end = (PAD * self.scale * way for way in (1, -1))
        start, end = self.panel.left + start, self.panel.right + end
        x, row = end, -1
        for line in self._named():
            name = self.cut(line.name, self.size, end - start - sample - gap)
            width = sample + gap / 2 + self.text_size(name, self.size)[0]
            if x + width > end:
                x, row = start, row + 1
            bottom = top - ROW * self.size * (row + 1) + 0.35 * self.size
            middle = bottom + 0.36 * self.size
            self._stroke_line(np.array([[x, middle], [x + sample, middle]]), line)
            self.caption(name, x + sample + gap / 2, bottom, self.colors.ink)
            x += width + 2 * gap
        return top - ROW * self.size * (row + 1)


def _titles(chart: Chart) -> Iterator[tuple[str, ...]]:
    """Titles with less and less in them: all of it, then without what the chart is of, then
    without what matters least."""
    first, *others = chart.title
    yield (first, chart.kind, *others)
    for count in range(len(chart.title), 0, -1):
        yield chart.title[:count]
