"""The chart of righting arms laid out on a panel of pixels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...core.hydrostatics.floating_position import UPRIGHT
from ...core.stability.both_sides import Side
from ...core.stability.heeling_levers import Lever
from ...drawing.picture import TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import Area, Fill, dashes, faint
from .chart_panel import GAP, MAY, MUST, PAD, Axes, ChartDrawing, PanelSketch, Spot, multiples
from .gz_chart import Chart, reach_of, rest_heel, shaded_part
from .projection import Style
from .shapes import righting

Array = NDArray[np.float64]

HEADROOM = 0.14  # of the span of arms, over and under it
CLOSEST_ARMS = 26.0
NAMED = (0.3, 0.75)  # shares of heeling arms between which their names stand
DASH, DOTS = (6.0, 4.0), (2.0, 3.0)
DEGREE_STEPS = (5, 10, 15, 20, 30, 45, 60, 90)
FLATTEST = 1e-4  # least span of arms, in breadths
TALLEST_GM = 1.5  # greatest arms that GM may be of and still be on the chart


def lay_out(chart: Chart, spot: Spot, style: Style, text_size: TextSize) -> ChartDrawing:
    """Lay out a chart on its panel; `text_size` measures a text at a font size."""
    sketch = _Sketch(chart, spot.panel, style, text_size)
    sketch.ground(chart.title)
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
    return sketch.drawing(spot)


LOOKED, GREATEST, FLOODS = range(MUST)
VANISHES, EDGE, RESTS, HEELS, INITIAL = range(MUST, MAY)
OTHER_SIDE = MAY


class _Sketch(PanelSketch):
    """A chart in the making."""

    def __init__(self, chart: Chart, panel: Box, style: Style, text_size: TextSize) -> None:
        super().__init__(panel, style, text_size)
        self.chart = chart
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
        numerals = [numeral(arm, step) for arm in multiples(low, high, step)]
        widest = max(self.text_size(text, self.size)[0] for text in [*numerals, "GZ"])
        left = self.panel.left + PAD * self.scale + widest + GAP * self.scale
        right = self.panel.right - (self.text_size("180°", self.size)[0] + GAP * self.scale) / 2
        return step, Axes(Box(left, bottom, right, bottom + height), self.chart.span, (low, high))

    def _tangent_end(self) -> float:
        """The arm (m) that the tangent to the curve upright has at one radian."""
        side = self.chart.sides[0]
        upright = float(self.chart.stability.curve.upright.arm)
        return upright + side.sign * self.chart.stability.GM

    def scales(self) -> None:
        """Lines and numerals of heels and arms, and the line of no arm."""
        box, axes = self.axes.box, self.axes
        low, high = np.degrees(axes.across)
        widest = self.text_size("180°", self.size)[0] + 2 * GAP * self.scale
        pitches = (step for step in DEGREE_STEPS if step / (high - low) * box.width >= widest)
        heels = multiples(low, high, next(pitches, DEGREE_STEPS[-1]))
        arms = multiples(*axes.up, self.step)
        upright = [axes.at(np.radians([heel, heel]), np.array(axes.up)) for heel in heels]
        level = [axes.at(np.array(axes.across), arm) for arm in arms]
        self.stroke(np.stack([*upright, *level]), 1.0, self.palette.grid)
        zeros = axes.at(np.array(axes.across), 0.0), axes.at(0.0, np.array(axes.up))
        for zero in zeros:
            self.stroke(zero[None], 1.2, self.palette.quiet)
            self.line(zero)
        clear = GAP * self.scale
        for heel in heels:
            at = axes.at(np.radians(heel), axes.up[0]) - (0.0, clear)
            self.numeral_box(f"{abs(heel):.0f}°", at, np.array([0.0, -1.0]))
        for arm in arms:
            at = axes.at(axes.across[0], arm) - (clear, 0.0)
            self.numeral_box(self.chart.lengths.numeral(arm, self.step), at, np.array([-1.0, 0.0]))
        self._captions()

    def _captions(self) -> None:
        """What the numerals are: the arm and its unit, and the ends of the heels."""
        box, clear = self.axes.box, GAP * self.scale
        symbol = self.chart.lengths.symbol
        arms = f"GZ ({symbol})" if symbol else "GZ"
        height = self.text_size(arms, self.size)[1]
        self.caption(arms, box.left + clear, box.top - height - clear / 2)
        if self.axes.across[0] >= 0:
            return
        bottom = box.bottom + clear
        right = box.right - clear - self.text_size("starboard", self.size)[0]
        self.caption("port", box.left + clear, bottom)
        self.caption("starboard", right, bottom)

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
        limit = self.axes.up[1] if rise > 0 else self.axes.up[0]
        reach = min(1.0, reach_of(side), 0.97 * (limit - start) / rise if rise else 1.0)
        ends = self.axes.at(
            np.array([0.0, side.sign * reach]), np.array([start, start + reach * rise])
        )
        dotted = dashes(ends, *(self.scale * part for part in DOTS))
        self.stroke(dotted, 1.4, self.palette.quiet)
        self.line(ends)
        self.note(INITIAL, ends[1], "GM", self.palette.quiet)

    def lever(self, lever: Lever, share: float) -> None:
        """A heeling arm, dashed, with its name at a share of its length."""
        side = self.chart.sides[0]
        end = reach_of(side) if lever.power == 0 else min(reach_of(side), np.pi / 2)
        heels = np.linspace(0.0, end, 91)
        points = self.axes.at(side.sign * heels, side.sign * lever.arm(heels))
        dashed = dashes(points, *(self.scale * part for part in DASH))
        self.stroke(dashed, 1.4, self.palette.heeling)
        self.line(points)
        self.note(HEELS, points[round(90 * share)], lever.name, self.palette.heeling)

    def curve(self) -> None:
        """GZ, with gaps where it jumps; faint and dashed where water has got in."""
        for heels, arms in self.chart.pieces:
            for low, high, hers in self.chart.reaches:
                inside = heels[(low < heels) & (heels < high)]
                ends = max(low, float(heels[0])), min(high, float(heels[-1]))
                if not ends[0] < ends[1]:
                    continue
                inside = np.union1d(inside, ends)
                points = self.axes.at(inside, np.interp(inside, heels, arms))
                if hers:
                    drawn = np.stack([points[:-1], points[1:]], axis=1)
                    self.stroke(drawn, 2.0, self.palette.curve)
                else:
                    drawn = dashes(points, *(self.scale * part for part in DASH))
                    self.stroke(drawn, 1.6, faint(self.palette.curve))
                self.line(points)

    def look(self, heel: float) -> None:
        """The heel looked at: an upright line, a dot on the curve, and its figures."""
        arm = float(self.chart.stability.curve.arms.arm(heel))
        upright = self.axes.at(heel, np.array(self.axes.up))
        self.stroke(upright[None], 1.4, self.palette.present)
        self.line(upright)
        at = self.axes.at(heel, arm)
        self.dot(at, 4.0, self.palette.present)
        arms = self.chart.lengths(righting(heel, arm))
        self.note(LOOKED, at, f"{_angle(abs(heel))}: GZ {arms}", self.palette.present)

    def rest(self) -> None:
        """Where she floats: a triangle on the line of no arm."""
        heel = rest_heel(self.chart.stability)
        low, high = self.axes.across
        if not low <= heel <= high:
            return
        at = self.axes.at(heel, 0.0)
        reach = 5.0 * self.scale
        outline = at + reach * np.array([[0.0, 0.0], [-0.8, -1.4], [0.8, -1.4]])
        self.inks.append(Area(outline[None], self.palette.ink))
        self.dots.append(Box(*outline.min(axis=0).tolist(), *outline.max(axis=0).tolist()))
        if abs(heel) > UPRIGHT:
            self.note(
                RESTS, outline[1:].mean(axis=0), f"floats at {_angle(abs(heel))}", self.palette.ink
            )

    def marks(self, side: Side) -> None:
        """The deck edge, flooding, vanishing and the greatest arm of a side."""
        later = 0 if side is self.chart.sides[0] else OTHER_SIDE
        ink, warning = self.palette.ink, self.palette.warning
        at = self._on_curve(side, side.deck_edge)
        if at is not None and side.deck_edge > side.rest_heel:
            tick = at + 5.0 * self.scale * np.array([[0.0, -1.0], [0.0, 1.0]])
            self.stroke(tick[None], 1.6, ink)
            self.note(later + EDGE, at, f"deck edge {_whole(side.deck_edge)}", ink)
        at, first = self._on_curve(side, side.flooding), side.first_flooding
        if at is not None and first:
            rise = np.array([self.axes.at(side.sign * side.flooding, 0.0), at])
            self.stroke(rise[None], 1.4, warning)
            self.line(rise)
            self.dot(at, 3.0, warning)
            self.note(later + FLOODS, at, f"{first.opening.name} {_whole(first.heel)}", warning)
        if not side.range > 0:
            return
        at = self._on_curve(side, side.vanishing)
        if at is not None:
            self.dot(at, 3.0, ink)
            self.note(later + VANISHES, at, f"vanishes {_whole(side.vanishing)}", ink)
        at = self._on_curve(side, side.greatest_heel)
        if at is not None:
            self.dot(at, 3.0, self.palette.curve)
            words = f"greatest {self.chart.lengths(side.greatest_arm)} at "
            self.note(later + GREATEST, at, words + _whole(side.greatest_heel), ink)

    def _on_curve(self, side: Side, heel: float) -> Array | None:
        """The pixel of a heel to a side on the curve, if it is shown."""
        there = side.sign * heel
        if not any(heels[0] <= there <= heels[-1] for heels, _ in self.chart.pieces):
            return None
        return self.axes.at(there, side.sign * float(side.arms.arm(heel)))


def _angle(heel: float) -> str:
    return f"{np.degrees(heel):.1f}°"


def _whole(heel: float) -> str:
    return f"{np.degrees(heel):.0f}°"
