"""A chart for documents: what it shows, and its drawing as SVG of the width of an A5 page.

Only `svg` needs the chart library ziaplot, which the extension carries, and imports it when it
is called. Colours are told apart by the colour-blind, dashes in black and white. The same chart
gives the same text, letter for letter.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import cycle, pairwise
from math import ceil, floor, isfinite, log10
from textwrap import wrap
from typing import Any, TypeGuard
from unicodedata import east_asian_width
from xml.etree import ElementTree as ET

from ..core.criteria.disclaimer import CAUTION
from ..core.messages.findings import BadInputError

Point = tuple[float, float]

WIDTH_MM = 148.0  # of an A5 page
WIDTH, HEIGHT, EDGE = 560.0, 318.0, 8.0  # 96 to the inch; the height is the graph's
RIGHT = 14.0  # for the half of the last number that stands out over the frame
FRAME = (506.0, 293.0)
"""About the size of the ground between the axes; the numbers beside it take the rest."""

FONT = "Arial, Helvetica, Liberation Sans, sans-serif"
TITLE, LABEL, SMALL = 13.0, 10.5, 7.5
ROW, SAMPLE = 13.0, 29.0
INK, QUIET, GRID, FILL = "#1a1a1a", "#555555", "#d4d4d4", "#d3e3ef"
COLOURS = ("#0b4f8a", "#b8480a", "#00735c", "#7d6200", "#2a74a8", "#4d4d4d")
DASHES = ("7 3", "2 2", "9 2 2 2", "14 3", "4 4 1 4", "9 2 2 2 2 2", "5 1.5")

STYLE = f"""
    * {{font: {FONT}; font_size: {LABEL}; color: {INK}}}
    Canvas {{color: none}}
    Text {{font: {FONT}; font_size: {LABEL}}}
    Graph {{color: none; edge_color: {QUIET}; edge_width: 0.8; font_size: {LABEL}}}
    Graph.GridX {{color: {GRID}; stroke: solid; stroke_width: 0.5}}
    Graph.GridY {{color: {GRID}; stroke: solid; stroke_width: 0.5}}
    Graph.TickX {{height: 4; stroke_width: 0.8; margin: 3; pad: 0; font_size: {LABEL}}}
    Graph.TickY {{height: 4; stroke_width: 0.8; margin: 3; pad: 0; font_size: {LABEL}}}
    Graph.YName {{font_size: {LABEL}}}
"""
BASELINES = {"middle": 0.35, "hanging": 0.75}
"""How far the baseline is below the place given for a text, in sizes of its letters."""
ROUNDING = 1e-9
NOT_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def known(value: float | None) -> TypeGuard[float]:
    """Whether a figure is there and finite."""
    return value is not None and isfinite(value)


@dataclass(frozen=True)
class Line:
    """A curve through points; a figure of None breaks it. A thin one only guides the eye, and one
    that goes `on` from the line before has its colour, dashed and thin."""

    name: str
    x: Sequence[float | None]
    y: Sequence[float | None]
    dashed: bool = False
    thin: bool = False
    on: bool = False

    def pieces(self) -> list[list[Point]]:
        """The runs of known points. Raises BadInputError when x and y differ in length."""
        if len(self.x) != len(self.y):
            raise BadInputError(
                f"'{self.name}' has {len(self.y)} figures for {len(self.x)} places; "
                "a curve needs as many of the one as of the other"
            )
        pieces: list[list[Point]] = [[]]
        for x, y in zip(self.x, self.y, strict=True):
            if known(x) and known(y):
                pieces[-1].append((float(x), float(y)))
            else:
                pieces.append([])
        return [piece for piece in pieces if piece]


@dataclass(frozen=True)
class Mark:
    """A point and what it is."""

    x: float
    y: float
    text: str


@dataclass(frozen=True)
class Rule:
    """An upright line over the height of the chart, and what happens there."""

    x: float
    text: str


@dataclass(frozen=True)
class Band:
    """The stretch of x over which the ground between the first line and zero is shaded."""

    low: float
    high: float
    name: str


@dataclass(frozen=True)
class Chart:
    """What a chart shows. Names of lines stand in a legend, or at the ends of the lines."""

    title: str
    x_label: str
    y_label: str
    lines: Sequence[Line]
    marks: Sequence[Mark] = ()
    rules: Sequence[Rule] = ()
    shaded: Band | None = None
    names_at_ends: bool = False
    footnote: str = CAUTION


def svg(*charts: Chart) -> str:
    """The charts as SVG, one under the other with the footnote of the last, ending in a newline.

    Raises BadInputError when ziaplot is not there.
    """
    pages = [_drawn(replace(chart, footnote="")) for chart in charts[:-1]]
    pages.append(_drawn(charts[-1]))
    root = pages[0] if len(pages) == 1 else _stacked(pages)
    return ET.tostring(root, encoding="unicode") + "\n"


def _drawn(chart: Chart) -> ET.Element:
    """One chart on its page."""
    try:
        import ziaplot
    except ImportError:
        raise BadInputError(
            "charts need the Python package ziaplot; install it: python3 -m pip install ziaplot"
        ) from None
    frame = _frame(chart)
    graph = ziaplot.Graph().css(STYLE).size(WIDTH - RIGHT, HEIGHT)
    graph.axesnames(y=chart.y_label)
    graph.xrange(frame.left, frame.right).xticks(*_ticks(frame.left, frame.right, 11))
    graph.yrange(frame.low, frame.high).yticks(*_ticks(frame.low, frame.high, 8))
    for part in _parts(ziaplot, chart, frame):
        graph.add(part)
    before, ziaplot.config.text = ziaplot.config.text, "text"
    try:
        root = graph.svgxml()
    finally:
        ziaplot.config.text = before
    return _page(root, chart)


# What stands where ----------------------------------------------------------------------------


@dataclass(frozen=True)
class _Flag:
    """The words of an upright line beside its upper end, in rows from the top."""

    x: float
    words: str
    leftward: bool
    row: int


@dataclass(frozen=True)
class _Frame:
    """What the axes span."""

    left: float
    right: float
    low: float
    high: float
    flags: Sequence[_Flag]

    @property
    def dx(self) -> float:
        """One unit of the picture along x."""
        return (self.right - self.left) / FRAME[0]

    @property
    def dy(self) -> float:
        """One unit of the picture along y."""
        return (self.high - self.low) / FRAME[1]


def _frame(chart: Chart) -> _Frame:
    """Every point, with room for words over and beside them; from zero where that is near."""
    points = [point for line in chart.lines for piece in line.pieces() for point in piece]
    points += [(mark.x, mark.y) for mark in chart.marks]
    places = [x for line in chart.lines for x in line.x if known(x)]
    left, right = _span([*places, *(x for x, _ in points)])
    low, high = _span([y for _, y in points])
    low = 0.0 if 0.0 <= low < high / 2 else low - 0.05 * (high - low)
    if chart.names_at_ends:
        beside = EDGE + max((_length(line.name) for line in chart.lines), default=0.0)
        right += (right - left) * _share(beside, FRAME[0])
    slack = ROUNDING * (right - left)
    shown = [rule for rule in chart.rules if left - slack <= rule.x <= right + slack]
    flags = _flags(shown, left, right)
    rows = 1 + max((flag.row for flag in flags), default=-1) + bool(chart.marks)
    return _Frame(
        left, right, low, high + (high - low) * _share(EDGE + rows * ROW, FRAME[1]), flags
    )


def _span(values: Sequence[float]) -> tuple[float, float]:
    """The least and the greatest, apart even when all are the same but for rounding."""
    low, high = min(values, default=0.0), max(values, default=1.0)
    size = max(abs(low), abs(high))
    alike = high - low <= 1e-9 * max(size, 1.0)
    pad = (0.05 * round(size, 9) or 0.5) if alike else 0.0
    return low - pad, high + pad


def _share(room: float, whole: float) -> float:
    """By what share of itself a span must grow to leave that room, at most by all of it."""
    return min(room, whole / 2) / (whole - min(room, whole / 2))


def _flags(rules: Sequence[Rule], left: float, right: float) -> list[_Flag]:
    """Each in a row below those that its line would cross."""
    rows: list[list[Point]] = []
    flags = []
    for rule in sorted(rules, key=lambda rule: rule.x):
        at = (rule.x - left) / (right - left) * FRAME[0]
        words = _fitted(rule.text, LABEL, max(at, FRAME[0] - at) - EDGE)
        length = _length(words) + EDGE
        leftward = at + length > FRAME[0]
        start, end = (at - length, at) if leftward else (at, at + length)
        row = len(rows)
        while row and not any(a < end and start < b for a, b in rows[row - 1]):
            row -= 1
        rows += [[]] if row == len(rows) else []
        rows[row].append((start, end))
        flags.append(_Flag(rule.x, words, leftward, row))
    return flags


def _ticks(low: float, high: float, most: int) -> tuple[list[float], list[str]]:
    """Round numbers from low to high, at most so many, and how they are written."""
    least = floor(log10((high - low) / most))
    for power in (least, least + 1):
        for factor in (1, 2, 5):
            step = factor * 10.0**power
            counts = range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)
            if len(counts) <= most:
                ticks = [step * count for count in counts]
                names = [f"{tick:.{max(0, -power)}f}" for tick in ticks]
                return ticks, [name.replace("-", "\N{MINUS SIGN}") for name in names]
    raise AssertionError("a step ten times too long cannot make too many ticks")


def _spread(heights: Sequence[float], gap: float) -> list[float]:
    """The heights, those too near to the one below moved up."""
    spread = list(heights)
    for below, above in pairwise(sorted(range(len(spread)), key=spread.__getitem__)):
        spread[above] = max(spread[above], spread[below] + gap)
    return spread


# The graph, in the library's parts ------------------------------------------------------------


@dataclass(frozen=True)
class _Pen:
    colour: str
    dash: str
    width: float


def _pens(lines: Sequence[Line]) -> Iterator[_Pen]:
    colours, dashes = cycle(COLOURS), cycle(DASHES)
    pen = _Pen(QUIET, "5 3", 0.8)
    for line in lines:
        if line.thin:
            yield _Pen(QUIET, "5 3", 0.8)
        elif line.on:
            yield replace(pen, dash="4 3", width=1.0)
        else:
            pen = _Pen(next(colours), next(dashes) if line.dashed else "", 1.5)
            yield pen


def _parts(zp: Any, chart: Chart, frame: _Frame) -> Iterator[Any]:
    """From the ground up: shade, zero, upright lines, curves, points, words."""
    if chart.shaded:
        for area in _areas(chart.lines[0], chart.shaded):
            yield zp.Polygon(area).color("none").fill(FILL)
    if frame.low < 0.0 < frame.high:
        zero = zp.PolyLine([frame.left, frame.right], [0.0, 0.0])
        yield zero.color(QUIET).strokewidth(0.8)
    for flag in frame.flags:
        foot = frame.high - (flag.row + 1) * ROW * frame.dy
        upright = zp.PolyLine([flag.x, flag.x], [frame.low, foot + 0.8 * ROW * frame.dy])
        yield upright.color(QUIET).strokewidth(0.6)
        x = flag.x + (-4 if flag.leftward else 4) * frame.dx
        side = "right" if flag.leftward else "left"
        yield from _words(zp, (x, foot + 2 * frame.dy), flag.words, side, QUIET)
    for line, pen in zip(chart.lines, _pens(chart.lines), strict=True):
        for piece in line.pieces():
            if len(piece) == 1:
                yield _dot(zp, piece[0], 3.0, pen.colour)
            else:
                curve = zp.PolyLine([x for x, _ in piece], [y for _, y in piece])
                yield curve.color(pen.colour).stroke(pen.dash or "-").strokewidth(pen.width)
    for mark in chart.marks:
        yield _dot(zp, (mark.x, mark.y), 5.5, INK)
        words = _fitted(mark.text, LABEL, FRAME[0] - EDGE)
        half = _length(words) / 2 * frame.dx
        x = min(max(mark.x, frame.left + half), frame.right - half)
        yield from _words(zp, (x, mark.y + 7 * frame.dy), words, "center", INK)
    if chart.names_at_ends:
        yield from _end_names(zp, chart, frame)
    if not any(line.pieces() for line in chart.lines):
        middle = (frame.left + frame.right) / 2, (frame.low + frame.high) / 2
        yield from _words(zp, middle, "nothing could be found", "center", QUIET)


def _end_names(zp: Any, chart: Chart, frame: _Frame) -> Iterator[Any]:
    """The names right of the last points, clear of one another."""
    named = [
        (line.name, pen.colour, line.pieces()[-1][-1])
        for line, pen in zip(chart.lines, _pens(chart.lines), strict=True)
        if line.pieces()
    ]
    heights = _spread([y for *_, (_, y) in named], 1.1 * LABEL * frame.dy)
    for (name, colour, (x, _)), y in zip(named, heights, strict=True):
        place = x + 4 * frame.dx, y - 0.35 * LABEL * frame.dy
        yield from _words(zp, place, _fitted(name, LABEL, FRAME[0] / 2), "left", colour)


def _dot(zp: Any, point: Point, size: float, colour: str) -> Any:
    """A line of no length with round ends, which every reader of SVG draws as a disc."""
    dot = zp.PolyLine([point[0]] * 2, [point[1]] * 2).color(colour).strokewidth(size)
    return dot.attribute("stroke-linecap", "round")


def _words(zp: Any, place: Point, words: str, side: str, colour: str) -> Iterator[Any]:
    """Text on its baseline, over a white rim of itself that keeps lines off."""
    rim = zp.Text(*place, words, side).color("white")
    yield rim.attribute("stroke", "white").attribute("stroke-width", "3")
    yield zp.Text(*place, words, side).color(colour)


def _areas(line: Line, band: Band) -> Iterator[list[Point]]:
    """The ground between zero and the pieces of a line inside a band, as polygons."""
    for piece in line.pieces():
        cut = [
            (x, y0 + (y1 - y0) * (x - x0) / (x1 - x0))
            for (x0, y0), (x1, y1) in pairwise(piece)
            for x in (max(x0, band.low), min(x1, band.high))
            if x0 < x1 and max(x0, band.low) <= min(x1, band.high)
        ]
        if cut:
            yield [(cut[0][0], 0.0), *dict.fromkeys(cut), (cut[-1][0], 0.0)]


# The page around the graph --------------------------------------------------------------------


def _page(root: ET.Element, chart: Chart) -> ET.Element:
    """Title and legend over the graph, the footnote under it, all on white."""
    for text in root.iter("text"):
        below = BASELINES.get(text.attrib.pop("dominant-baseline"), 0.0)
        text.set("y", f"{float(text.attrib['y']) + below * float(text.attrib['font-size']):.2f}")
    head = _wrapped(chart.title, TITLE, 2)
    legend = list(_legend(chart))
    foot = _wrapped(chart.footnote, SMALL, 6)
    rows = 1 + max((row for *_, row in legend), default=-1)
    under_head = EDGE + 1.3 * TITLE * len(head)
    top = under_head + 1.2 * ROW * rows
    under_graph = HEIGHT + ROW
    height = top + under_graph + EDGE + 1.3 * SMALL * len(foot)
    root.set("viewBox", f"0 {-top:.2f} {WIDTH:.0f} {height:.2f}")
    root.set("width", f"{WIDTH_MM:.0f}mm")
    root.set("height", f"{WIDTH_MM * height / WIDTH:.2f}mm")
    paper = {"y": f"{-top:.2f}", "width": f"{WIDTH:.0f}", "height": f"{height:.2f}"}
    root.insert(0, ET.Element("rect", {**paper, "fill": "white"}))
    root.insert(0, ET.Element("title"))
    root[0].text = _clean(chart.title)
    for row, words in enumerate(head):
        y = EDGE - top + (1.3 * row + 0.9) * TITLE
        _text(root, (EDGE, y), words, TITLE, INK).set("font-weight", "bold")
    for pen, words, x, row in legend:
        y = under_head - top + (1.2 * row + 0.8) * ROW
        _sample(root, (x, y - 0.35 * LABEL), pen)
        _text(root, (x + SAMPLE + 5.0, y), words, LABEL, INK)
    axis = _text(root, (WIDTH - RIGHT, HEIGHT + 0.75 * LABEL), chart.x_label, LABEL, INK)
    axis.set("text-anchor", "end")
    for row, words in enumerate(foot):
        _text(root, (EDGE, under_graph + (1.3 * row + 1) * SMALL), words, SMALL, QUIET)
    return root


def _stacked(pages: Sequence[ET.Element]) -> ET.Element:
    """Pages one under the other."""
    heights = [float(page.attrib["viewBox"].split()[3]) for page in pages]
    whole = sum(heights)
    look = {"width": f"{WIDTH_MM:.0f}mm", "height": f"{WIDTH_MM * whole / WIDTH:.2f}mm"}
    root = ET.Element("svg", {**look, "viewBox": f"0 0 {WIDTH:.0f} {whole:.2f}"})
    if "xmlns" in pages[0].attrib:
        root.set("xmlns", pages[0].attrib["xmlns"])
    top = 0.0
    for number, (page, height) in enumerate(zip(pages, heights, strict=True), 1):
        for part in page.iter():
            for key, value in part.attrib.items():
                if key == "id" or value.startswith("url(#"):
                    part.set(key, value.replace("zclip", f"page{number}clip"))
        page.attrib.update(y=f"{top:.2f}", width=f"{WIDTH:.0f}", height=f"{height:.2f}")
        root.append(page)
        top += height
    return root


def _legend(chart: Chart) -> Iterator[tuple[_Pen, str, float, int]]:
    """Pen, words, x and row of each line and of the shade."""
    pens = zip(_pens(chart.lines), chart.lines, strict=True)
    entries = [] if chart.names_at_ends else [(pen, line.name) for pen, line in pens]
    entries += [(_Pen(FILL, "", ROW - 4.0), chart.shaded.name)] if chart.shaded else []
    x, row = EDGE, 0
    for pen, name in entries:
        words = _fitted(name, LABEL, WIDTH - 3 * EDGE - SAMPLE)
        length = SAMPLE + 5.0 + _length(words)
        if x > EDGE and x + length > WIDTH - EDGE:
            x, row = EDGE, row + 1
        yield pen, words, x, row
        x += length + EDGE


def _sample(root: ET.Element, place: Point, pen: _Pen) -> None:
    x, y = place
    line = {"d": f"M {x:.2f},{y:.2f} L {x + SAMPLE:.2f},{y:.2f}", "stroke": pen.colour}
    line["stroke-width"] = f"{pen.width:g}"
    ET.SubElement(root, "path", {**line, "stroke-dasharray": pen.dash} if pen.dash else line)


def _text(root: ET.Element, place: Point, words: str, size: float, colour: str) -> ET.Element:
    x, y = place
    look = {"fill": colour, "font-size": f"{size:g}", "font-family": FONT}
    text = ET.SubElement(root, "text", {"x": f"{x:.2f}", "y": f"{y:.2f}", **look})
    text.text = words
    return text


# Words ----------------------------------------------------------------------------------------


def _clean(text: str) -> str:
    """On one line, without the characters that XML cannot hold."""
    return " ".join(NOT_XML.sub("", text).split())


def _length(text: str, size: float = LABEL) -> float:
    """About the length of a text, on the ample side; ideographs and emoji are broad."""
    return 0.58 * size * sum(2 if east_asian_width(letter) in "WF" else 1 for letter in text)


def _letters(text: str, size: float, breadth: float) -> int:
    """How many letters like those of the text have room in a breadth."""
    return int(breadth * len(text) / _length(text, size)) if text else 1


def _wrapped(text: str, size: float, most: int) -> list[str]:
    """The text in lines across the page, ending in ... when it needs more than so many."""
    text = _clean(text)
    breadth = _letters(text, size, WIDTH - 2 * EDGE)
    return wrap(text, breadth, max_lines=most, placeholder="...") if text else []


def _fitted(text: str, size: float, breadth: float) -> str:
    """The text on one line of that breadth, ending in ... when it is longer."""
    text = _clean(text)
    letters = _letters(text, size, breadth)
    return text if len(text) <= letters else f"{text[: letters - 3]}..."
