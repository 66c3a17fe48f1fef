"""Lettering without a font file: letters drawn with strokes, as in technical drawings.

Letters are as wide as those of Arial and Helvetica, so that a text measured here fits where a
document sets it in those. There are Latin letters with their accents, digits and common signs; any
other character is an empty box.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from unicodedata import east_asian_width, normalize

import numpy as np

from ..core.arrays import Floats
from .picture import CAPITAL

UNIT = CAPITAL / 10  # font sizes in a unit of the strokes: a capital is ten units high
WEIGHT, POINT = 1.15, 1.6  # of a stroke, and of one so short that it is a point
SHORT = 0.2
ROUND = 3.0  # the maximum radius of a corner
BEARING, LEAST_BEARING = 1.1, 0.65  # free at each side of a letter
WIDEST = 1.15  # by which a letter may be stretched
ASCENT = (8.4, 11.8)  # heights of an accent over a small letter and over a capital
TURN = np.linspace(0.0, np.pi, 5)  # of the round end of a stroke
BOX = "0,0 6,0 6,10 0,10 0,0"

STROKES = {
    "A": "0,0 3.5,10 7,0;1.2,3.2 5.8,3.2",
    "B": "0,0 0,10;o 0,10 5.5,10 5.5,5.3 0,5.3;o 0,5.3 6,5.3 6,0 0,0",
    "C": "o 6.5,7.5 6.5,10 0,10 0,0 6.5,0 6.5,2.5",
    "D": "0,0 0,10;o 0,10 6.5,10 6.5,0 0,0",
    "E": "6,10 0,10 0,0 6,0;0,5.2 5,5.2",
    "F": "6,10 0,10 0,0;0,5.2 5,5.2",
    "G": "o 6.5,7.7 6.5,10 0,10 0,0 6.5,0 6.5,4.6;6.5,4.6 3.8,4.6",
    "H": "0,0 0,10;6.5,0 6.5,10;0,5.2 6.5,5.2",
    "I": "0,0 0,10",
    "J": "o 5,10 5,0 0,0 0,2.5",
    "K": "0,0 0,10;6,10 0,4;2.1,6.1 6.4,0",
    "L": "0,10 0,0 5.5,0",
    "M": "0,0 0,10 4,2.5 8,10 8,0",
    "N": "0,0 0,10 6.5,0 6.5,10",
    "O": "o 0,0 7,0 7,10 0,10 0,0",
    "P": "0,0 0,10;o 0,10 6,10 6,4.7 0,4.7",
    "Q": "o 0,0 7,0 7,10 0,10 0,0;4.2,2.6 7.2,-0.8",
    "R": "0,0 0,10;o 0,10 6,10 6,4.7 0,4.7;3.2,4.7 6.4,0",
    "S": "o 6,7.7 6,10 0,10 0,5.2 6,5.2 6,0 0,0 0,2.3",
    "T": "0,10 7,10;3.5,10 3.5,0",
    "U": "o 0,10 0,0 6.5,0 6.5,10",
    "V": "0,10 3.4,0 6.8,10",
    "W": "0,10 2.4,0 4.8,9 7.2,0 9.6,10",
    "X": "0,0 6.5,10;0,10 6.5,0",
    "Y": "0,10 3.4,4.6 6.8,10;3.4,4.6 3.4,0",
    "Z": "0,10 6.2,10 0,0 6.4,0",
    "a": "o 0.5,7 5,7 5,0;o 5,4.1 0,4.1 0,0 5,0 5,1",
    "b": "0,0 0,10;o 0,7 5.2,7 5.2,0 0,0",
    "c": "o 5,5.3 5,7 0,7 0,0 5,0 5,1.7",
    "d": "5.2,0 5.2,10;o 5.2,7 0,7 0,0 5.2,0",
    "e": "o 5.2,3.6 5.2,7 0,7 0,0 5,0 5,1.4;0,3.6 5.2,3.6",
    "f": "o 4,10 1.5,10 1.5,0;0,7 3.8,7",
    "g": "o 5.2,7 0,7 0,0 5.2,0;o 5.2,7 5.2,-3 0.4,-3",
    "h": "0,0 0,10;o 0,7 5,7 5,0",
    "i": "0,0 0,7;0,9.7 0,9.8",
    "j": "o 1.5,7 1.5,-3 0,-3;1.5,9.7 1.5,9.8",
    "k": "0,0 0,10;4.8,7 0,2.6;1.9,4.3 5,0",
    "l": "0,0 0,10",
    "m": "0,0 0,7;o 0,7 4,7 4,0;o 4,7 8,7 8,0",
    "n": "0,0 0,7;o 0,7 5,7 5,0",
    "o": "o 0,0 5.4,0 5.4,7 0,7 0,0",
    "p": "0,-3 0,7;o 0,7 5.2,7 5.2,0 0,0",
    "q": "5.2,-3 5.2,7;o 5.2,7 0,7 0,0 5.2,0",
    "r": "0,0 0,7;o 0,4.5 0,7 3.4,7",
    "s": "o 4.6,5.6 4.6,7 0,7 0,3.6 4.8,3.6 4.8,0 0,0 0,1.4",
    "t": "o 1.4,9.5 1.4,0 4,0;0,7 3.8,7",
    "u": "o 0,7 0,0 5,0 5,7;5,0 5,3",
    "v": "0,7 2.7,0 5.4,7",
    "w": "0,7 2,0 4,6.4 6,0 8,7",
    "x": "0,0 5.2,7;0,7 5.2,0",
    "y": "0,7 2.8,0;5.6,7 2,-2.2 1.4,-3 0.2,-3",
    "z": "0,7 5,7 0,0 5.2,0",
    "0": "o 0,0 6,0 6,10 0,10 0,0",
    "1": "0,7.6 2.8,10 2.8,0",
    "2": "o 0,7.5 0,10 5.9,10 5.9,5.6 0,0;0,0 6.1,0",
    "3": "o 0.2,8 0.2,10 5.8,10 5.8,5.4 2.4,5.4;o 2.4,5.4 6,5.4 6,0 0,0 0,2.2",
    "4": "4.6,0 4.6,10 0,2.6 6.4,2.6",
    "5": "5.6,10 0.7,10 0.4,5.2;o 0.4,5.2 0.4,6.2 6,6.2 6,0 0,0 0,2",
    "6": "o 5.7,8.4 5.7,10 0,10 0,3;o 0,0 6,0 6,5.9 0,5.9 0,0",
    "7": "0,10 6,10 2,0",
    "8": "o 0.3,5.3 5.7,5.3 5.7,10 0.3,10 0.3,5.3;o 0,0 6,0 6,5.3 0,5.3 0,0",
    "9": "o 0,4.1 6,4.1 6,10 0,10 0,4.1;o 6,7 6,0 0.3,0 0.3,1.6",
    " ": "",
    ".": "0,0 0,0.1",
    ",": "0.4,0.1 0,-1.6",
    ":": "0,0 0,0.1;0,6 0,6.1",
    ";": "0.4,0.1 0,-1.6;0.4,6 0.4,6.1",
    "!": "0,0 0,0.1;0,3 0,10",
    "?": "o 0,7.8 0,10 5.2,10 5.2,5.4 2.4,5.4 2.4,3;2.4,0 2.4,0.1",
    "-": "0,3.8 2.8,3.8",
    "\N{MINUS SIGN}": "0,4.6 5.6,4.6",
    "\N{EN DASH}": "0,3.8 5.5,3.8",
    "\N{EM DASH}": "0,3.8 11,3.8",
    "+": "0,4.6 5.6,4.6;2.8,1.8 2.8,7.4",
    "=": "0,3.2 5.6,3.2;0,6 5.6,6",
    "<": "5.6,7.6 0,4.6 5.6,1.6",
    ">": "0,7.6 5.6,4.6 0,1.6",
    "\N{LESS-THAN OR EQUAL TO}": "5.6,8.4 0,5.4 5.6,2.4;0,0.4 5.6,0.4",
    "\N{GREATER-THAN OR EQUAL TO}": "0,8.4 5.6,5.4 0,2.4;0,0.4 5.6,0.4",
    "\N{MULTIPLICATION SIGN}": "0,2 5.2,7.2;0,7.2 5.2,2",
    "\N{PLUS-MINUS SIGN}": "0,5.4 5.6,5.4;2.8,2.8 2.8,8;0,0.4 5.6,0.4",
    "(": "1.8,11.2 0.6,8.6 0,4.9 0.6,1.2 1.8,-1.6",
    ")": "0,11.2 1.2,8.6 1.8,4.9 1.2,1.2 0,-1.6",
    "[": "1.8,11 0,11 0,-1.6 1.8,-1.6",
    "]": "0,11 1.8,11 1.8,-1.6 0,-1.6",
    "{": "2.2,11 1.2,10.4 1.2,5.4 0,4.7 1.2,4 1.2,-1 2.2,-1.6",
    "}": "0,11 1,10.4 1,5.4 2.2,4.7 1,4 1,-1 0,-1.6",
    "/": "0,-1 3.4,11",
    "\\": "0,11 3.4,-1",
    "|": "0,-2 0,11",
    "_": "0,-1.6 6.6,-1.6",
    "*": "2.4,10 2.4,5.4;0.4,8.9 4.4,6.5;0.4,6.5 4.4,8.9",
    "%": "1.2,0 8.2,10;o 0,5.6 3,5.6 3,10 0,10 0,5.6;o 6.4,0 9.4,0 9.4,4.4 6.4,4.4 6.4,0",
    "&": "7,0 1,7.4 1,9 2,10 3.6,10 4.6,9 4.6,7.6 0,3.4 0,1.4 1.4,0 4,0 6.6,3.8",
    "#": "1.6,0 3,10;4.6,0 6,10;0.4,6.8 7,6.8;0,3.2 6.6,3.2",
    "@": "o 7.6,3 5,3 5,7.4 3,7.4 3,3 5.2,3;o 7.6,3 10.4,3 10.4,10 0,10 0,-1.6 8,-1.6",
    "$": "o 6,7.7 6,10 0,10 0,5.2 6,5.2 6,0 0,0 0,2.3;3,-1.6 3,11.6",
    "^": "0,6 2.2,10 4.4,6",
    "~": "0,4 1.4,5.4 4.2,3.8 5.6,5.2",
    "'": "0,7.6 0,10.2",
    '"': "0,7.6 0,10.2;1.9,7.6 1.9,10.2",
    "`": "0,10.4 1.6,8.6",
    "\N{DEGREE SIGN}": "o 0,7 2.8,7 2.8,10.2 0,10.2 0,7",
    "\N{MIDDLE DOT}": "0,4.6 0,4.7",
    "\N{HORIZONTAL ELLIPSIS}": "0,0 0,0.1;4,0 4,0.1;8,0 8,0.1",
    "\N{SUPERSCRIPT TWO}": "0,9.4 0.6,10.2 2,10.2 2.8,9.2 0,5.2 3,5.2",
    "\N{SUPERSCRIPT THREE}": "0.1,10.2 2.7,10.2 1.3,8.2 2.6,7.4 2.6,6 1.8,5.2 0.8,5.2 0,5.8",
    "\N{GREEK CAPITAL LETTER DELTA}": "0,0 3.5,10 7,0 0,0",
    "\N{NABLA}": "0,10 3.5,0 7,10 0,10",
    "\N{LATIN SMALL LETTER SHARP S}": "o 0,0 0,10 4.6,10 4.6,5.6 2.2,5.6;"
    "o 2.2,5.6 5.2,5.6 5.2,0 2,0",
    "\N{LATIN SMALL LETTER AE}": "o 0.5,7 4.4,7 4.4,0;o 4.4,4.1 0,4.1 0,0 4.4,0;"
    "o 4.4,3.6 4.4,7 9,7 9,3.6;4.4,3.6 9,3.6;o 4.4,3.6 4.4,0 9,0 9,1.4",
    "\N{LATIN CAPITAL LETTER AE}": "0,0 5,10 10,10;5.4,10 5.4,0 10,0;1.8,3.4 5.4,3.4;"
    "5.4,5.2 9.4,5.2",
    "\N{LATIN SMALL LETTER O WITH STROKE}": "o 0,0 5.4,0 5.4,7 0,7 0,0;-0.2,-0.8 5.6,7.8",
    "\N{LATIN CAPITAL LETTER O WITH STROKE}": "o 0,0 7,0 7,10 0,10 0,0;0,-0.8 7,10.8",
    "\N{LATIN SMALL LIGATURE OE}": "o 0,0 4.4,0 4.4,7 0,7 0,0;o 4.4,3.6 4.4,7 9,7 9,3.6;"
    "4.4,3.6 9,3.6;o 4.4,3.6 4.4,0 9,0 9,1.4",
    "\N{LATIN CAPITAL LIGATURE OE}": "o 6,10 0,10 0,0 6,0;6,10 6,0;6,10 10.6,10;6,0 10.6,0;"
    "6,5.2 10,5.2",
    "\N{LATIN SMALL LETTER L WITH STROKE}": "0.8,0 0.8,10;0,4.2 1.6,6",
    "\N{LATIN CAPITAL LETTER L WITH STROKE}": "1,10 1,0 6,0;0,4 3,6.4",
    "\N{LATIN SMALL LETTER D WITH STROKE}": "5.2,0 5.2,10;o 5.2,7 0,7 0,0 5.2,0;3.4,8.7 6.6,8.7",
    "\N{LATIN CAPITAL LETTER D WITH STROKE}": "1,0 1,10;o 1,10 7,10 7,0 1,0;0,5.2 4,5.2",
    "\N{LATIN SMALL LETTER ETH}": "o 5.2,4 5.2,7 0,7 0,0 5.2,0 5.2,6.4;5.2,6 1.6,10.4;1,8 4,10",
    "\N{LATIN SMALL LETTER THORN}": "0,-3 0,10;o 0,7 5.2,7 5.2,0 0,0",
    "\N{LATIN CAPITAL LETTER THORN}": "0,0 0,10;o 0,8 6,8 6,2.6 0,2.6",
    "\N{LATIN SMALL LETTER DOTLESS I}": "0,0 0,7",
}
"""Strokes of letters, in units from the left end of the base line; corners are round after an o."""

ACCENTS = {
    "\N{COMBINING GRAVE ACCENT}": "-1.2,1.9 0.5,0.2",
    "\N{COMBINING ACUTE ACCENT}": "-0.5,0.2 1.2,1.9",
    "\N{COMBINING CIRCUMFLEX ACCENT}": "-1.6,0.2 0,1.8 1.6,0.2",
    "\N{COMBINING CARON}": "-1.6,1.8 0,0.2 1.6,1.8",
    "\N{COMBINING TILDE}": "-1.8,0.5 -0.7,1.4 0.7,0.7 1.8,1.6",
    "\N{COMBINING DIAERESIS}": "-1.4,1.1 -1.4,1.2;1.4,1.1 1.4,1.2",
    "\N{COMBINING RING ABOVE}": "o -1.2,0 1.2,0 1.2,2.4 -1.2,2.4 -1.2,0",
    "\N{COMBINING MACRON}": "-1.7,1 1.7,1",
    "\N{COMBINING BREVE}": "o -1.6,1.9 -1.6,0.2 1.6,0.2 1.6,1.9",
    "\N{COMBINING DOT ABOVE}": "0,1.2 0,1.3",
    "\N{COMBINING DOUBLE ACUTE ACCENT}": "-1.5,0.2 -0.3,1.9;0.7,0.2 1.9,1.9",
}
BELOW = {
    "\N{COMBINING CEDILLA}": "0,0 -0.4,-1 0.6,-1.4 0.4,-2.6 -1,-2.8",
    "\N{COMBINING COMMA BELOW}": "0.3,-1.4 -0.2,-2.9",
    "\N{COMBINING OGONEK}": "1.2,0 0.4,-1.2 0.6,-2.4 1.8,-2.6",
    "\N{COMBINING DOT BELOW}": "0,-2 0,-1.9",
}
SAME = str.maketrans("\u2018\u2019\u201c\u201d\u2032\u2033\u00a0\u2011\u2010", "''\"\"'\" --")

WIDTHS = {
    191: "'",
    222: "ijl\N{LATIN SMALL LETTER DOTLESS I}\N{LATIN SMALL LETTER L WITH STROKE}",
    260: "|",
    278: " !,./:;I[\\]ft\N{MIDDLE DOT}",
    333: "()-`r\N{SUPERSCRIPT TWO}\N{SUPERSCRIPT THREE}",
    334: "{}",
    355: '"',
    389: "*",
    400: "\N{DEGREE SIGN}",
    469: "^",
    500: "Jcksvxyz",
    556: "#$0123456789?L_abdeghnopqu\N{EN DASH}\N{LATIN CAPITAL LETTER L WITH STROKE}"
    "\N{LATIN SMALL LETTER ETH}\N{LATIN SMALL LETTER THORN}\N{LATIN SMALL LETTER D WITH STROKE}",
    584: "+<=>~\N{MINUS SIGN}\N{MULTIPLICATION SIGN}\N{PLUS-MINUS SIGN}"
    "\N{LESS-THAN OR EQUAL TO}\N{GREATER-THAN OR EQUAL TO}",
    611: "FTZ\N{LATIN SMALL LETTER SHARP S}\N{LATIN SMALL LETTER O WITH STROKE}",
    667: "&ABEKPSVXY\N{LATIN CAPITAL LETTER THORN}\N{GREEK CAPITAL LETTER DELTA}\N{NABLA}",
    722: "CDHNRUw\N{LATIN CAPITAL LETTER D WITH STROKE}",
    778: "GOQ\N{LATIN CAPITAL LETTER O WITH STROKE}",
    833: "Mm",
    889: "%\N{LATIN SMALL LETTER AE}",
    944: "W\N{LATIN SMALL LIGATURE OE}",
    1000: "\N{EM DASH}\N{HORIZONTAL ELLIPSIS}\N{LATIN CAPITAL LETTER AE}"
    "\N{LATIN CAPITAL LIGATURE OE}",
    1015: "@",
}
"""Thousandths of a font size that letters are wide: Arial and Helvetica, from memory."""
ADVANCE = {letter: width / 1000 for width, letters in WIDTHS.items() for letter in letters}
OTHER = 0.6  # width of a letter that is not there; twice that where it is broad


def text_size(text: str, size: float) -> tuple[float, float]:
    """Width of a text and height of its capitals at a font size."""
    return size * sum(map(_advance, _letters(text))), size * CAPITAL


def outline(text: str) -> Floats:
    """Edges (n, 2, 2) round the strokes of a text, in font sizes, from the left end of its base
    line. Strokes overlap; each runs counter-clockwise round what it covers."""
    pieces, along = [np.zeros((0, 2, 2))], 0.0
    for letter in _letters(text):
        pieces.append(_edges(letter) + (along, 0.0))
        along += _advance(letter)
    return np.concatenate(pieces)


def _letters(text: str) -> Iterator[str]:
    """Letters, each with its accents."""
    cluster = ""
    for part in normalize("NFD", text.translate(SAME)):
        if cluster and (part in ACCENTS or part in BELOW):
            cluster += part
            continue
        if cluster:
            yield cluster
        cluster = part
    if cluster:
        yield cluster


def _advance(letter: str) -> float:
    broad = 2 if east_asian_width(letter[0]) in "WF" else 1
    return ADVANCE.get(letter[0], OTHER * broad)


@cache
def _edges(letter: str) -> Floats:
    """Edges (n, 2, 2) of a letter with its accents, in font sizes."""
    base, accents = letter[0], letter[1:]
    above = any(accent in ACCENTS for accent in accents)
    drawn = "\N{LATIN SMALL LETTER DOTLESS I}" if base == "i" and above else base
    strokes = list(_strokes(STROKES.get(drawn, BOX)))
    if not strokes:
        return np.zeros((0, 2, 2))
    ends = np.concatenate(strokes)[:, 0]
    left, width = float(ends.min()), float(np.ptp(ends))
    advance = _advance(letter) / UNIT
    free = advance - 2 * (BEARING if width < WIDEST * (advance - 2 * BEARING) else LEAST_BEARING)
    stretch = min(free / width, WIDEST) if width > 0 else 1.0
    start = (advance - stretch * width) / 2
    placed = [(stroke - (left, 0.0)) * (stretch, 1.0) + (start, 0.0) for stroke in strokes]
    high = ASCENT[base.isupper() or base in "bdfhklt"]
    for accent in accents:
        up = high if accent in ACCENTS else 0.0
        lines = ACCENTS.get(accent) or BELOW[accent]
        placed += [stroke + (advance / 2, up) for stroke in _strokes(lines)]
    return UNIT * np.concatenate([_widened(stroke) for stroke in placed])


def _strokes(lines: str) -> Iterator[Floats]:
    """The strokes (n, 2) of a letter."""
    for line in filter(None, lines.split(";")):
        rounded = line.startswith("o ")
        points = np.array([pair.split(",") for pair in line.removeprefix("o ").split()], float)
        yield _rounded(points) if rounded else points


def _rounded(points: Floats) -> Floats:
    """A line (n, 2) with its corners rounded off: quarters of ellipses."""
    if (points[0] == points[-1]).all():
        points = np.concatenate([(points[:1] + points[1:2]) / 2, points[1:], points[1:2]])
        points[-1] = points[0]
    lengths = np.hypot(*np.diff(points, axis=0).T)
    share = np.full(len(lengths), 0.5)
    share[[0, -1]] = 1.0
    reach = np.minimum(lengths * share, ROUND)
    turn = np.linspace(0.0, np.pi / 2, 7)[:, None]
    pieces = [points[:1]]
    for at in range(1, len(points) - 1):
        back = (points[at - 1] - points[at]) / lengths[at - 1] * reach[at - 1]
        on = (points[at + 1] - points[at]) / lengths[at] * reach[at]
        pieces.append(points[at] + back * (1 - np.sin(turn)) + on * (1 - np.cos(turn)))
    return np.concatenate([*pieces, points[-1:]])


def _widened(line: Floats) -> Floats:
    """Edges (n, 2, 2) round the segments of a line (n, 2), their ends round."""
    edges = []
    for start, end in zip(line[:-1], line[1:], strict=True):
        along = end - start
        if not along.any():
            continue
        angle = np.arctan2(along[1], along[0])
        weight = POINT if np.hypot(*along) < SHORT else WEIGHT
        ends = ((end, angle - np.pi / 2), (start, angle + np.pi / 2))
        corners = np.concatenate(
            [
                at + weight / 2 * np.stack([np.cos(first + TURN), np.sin(first + TURN)], axis=1)
                for at, first in ends
            ]
        )
        edges.append(np.stack([corners, np.roll(corners, -1, axis=0)], axis=1))
    return np.concatenate(edges)
