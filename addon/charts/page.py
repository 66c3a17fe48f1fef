"""A chart on a page for documents, as wide as one of A5: SVG and PNG."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..drawing.canvas import Canvas
from ..drawing.lettering import outline, text_size
from ..drawing.picture import Label, Picture, together
from ..drawing.pixel_boxes import Box
from ..drawing.png import png
from ..drawing.svg import clean, svg
from .chart import Chart
from .colors import ON_PAPER, ChartColors
from .layout import lay_out
from .panel import PAD, ChartDrawing, ChartStyle, Spot

WIDTH_MM = 148.0  # of an A5 page
WIDTH, HEIGHT = 560.0, 372.0  # of the panel: 96 pixels to the inch
LEAST_PLOT = 220.0  # height that a legend leaves the axes at least
SMALL, LEADING, MOST_LINES = 7.5, 1.35, 9  # of the footnote
FINE = 3  # pixels of a PNG in one of the page
HALO = 1.6


@dataclass(frozen=True)
class Page:
    """A chart with its footnote, `width` by `height` pixels."""

    title: str
    width: float
    height: float
    picture: Picture
    colors: ChartColors


def chart_svg(chart: Chart, colors: ChartColors = ON_PAPER) -> str:
    """The chart as SVG, ending in a newline."""
    page = page_of(chart, colors)
    size = page.width, page.height, WIDTH_MM
    return svg(page.picture, *size, page.title, colors.panel)


def chart_png(chart: Chart, colors: ChartColors = ON_PAPER) -> bytes:
    """The chart as PNG."""
    page = page_of(chart, colors, FINE)
    size = round(page.width), round(page.height)
    canvas = Canvas.blank(*size, colors.panel)
    canvas.paint(page.picture.primitives)
    for label in page.picture.labels:
        halo = (*colors.panel[:3], 1.0 if label.over else 0.0)
        reach = HALO * FINE if label.over else 0.0
        canvas.write(outline(label.text) * label.size + label.at, label.color, halo, reach)
    return png(canvas.pixels, page.width / WIDTH_MM * 1000.0)


def page_of(chart: Chart, colors: ChartColors = ON_PAPER, scale: float = 1.0) -> Page:
    """The chart on a page, `scale` pixels for one of 96 to the inch."""

    def drawn(height: float, foot: float) -> ChartDrawing:
        panel = Box(0.0, foot, WIDTH, foot + height).grown(-1.0)
        panel = Box(*(scale * edge for edge in panel))
        return lay_out(chart, Spot(panel, panel), ChartStyle(colors, scale), text_size)

    first = drawn(HEIGHT, 0.0)
    height = HEIGHT + max(LEAST_PLOT - first.axes.box.height / scale, 0.0)
    trial = drawn(height, 0.0)
    written = {label.text for label in trial.picture.labels}
    left_out = "; ".join(text for text in dict.fromkeys(trial.unwritten) if text not in written)
    texts = (f"Also: {left_out}." if left_out else "", chart.footnote)
    lines = [line for text in texts for line in _wrapped(clean(text))][:MOST_LINES]
    foot = LEADING * SMALL * len(lines) + PAD if lines else 0.0
    heights = [foot - LEADING * SMALL * (row + 1) for row in range(len(lines))]
    labels = [
        Label(line, scale * np.array([PAD, height]), scale * SMALL, colors.quiet)
        for line, height in zip(lines, heights, strict=True)
    ]
    shown = together(drawn(height, foot).picture, Picture((), tuple(labels)))
    title = f"{chart.title[0]}: {chart.kind}"
    return Page(title, round(scale * WIDTH), round(scale * (height + foot)), shown, colors)


def _wrapped(text: str) -> Iterator[str]:
    """A text in lines as wide as the page."""
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and text_size(longer, SMALL)[0] > WIDTH - 2 * PAD:
            yield line
            longer = word
        line = longer
    if line:
        yield line
