"""Lines of text broken to fit a width, shortened to fit a height, and laid out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from ...drawing.picture import Label, Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import RGBA
from ...units.lengths import TOGETHER, UNBROKEN
from .sketch import areas
from .style import TEXT, Style

PITCH = 2.0  # of lines of text, in font sizes
WORDS = 1 / 3  # of the free height that lines of text take at most

DOT = " · "


def folded(
    rows: Iterable[tuple[str, RGBA]], width: float, style: Style, text_size: TextSize
) -> Iterator[tuple[str, RGBA]]:
    """Lines of text broken to fit a width in pixels: at dots, and where that does not do, between
    words; figures stay with their units."""
    size = TEXT * style.scale

    def joined(parts: Iterable[str], by: str) -> Iterator[str]:
        line = ""
        for part in parts:
            longer = f"{line}{by}{part}" if line else part
            if line and text_size(longer, size)[0] > width - 2 * size:
                yield line
                longer = part
            line = longer
        yield line

    for text, color in rows:
        for part in joined(text.split(DOT), DOT):
            for line in joined(TOGETHER.sub(UNBROKEN, part).split(" "), " "):
                yield line.replace(UNBROKEN, " "), color


def brief(
    rows: Iterable[tuple[str, RGBA]], bounds: Box, style: Style, text_size: TextSize
) -> list[tuple[str, RGBA]]:
    """Lines of text that leave most of `bounds` free: rows, and in a row what stands between
    dots, have the most important first, and the last is left out first."""
    most = max(1, int(WORDS * bounds.height / (PITCH * TEXT * style.scale)))
    kept = list(rows)
    while True:
        found = list(folded(kept, bounds.width, style, text_size))
        if len(found) <= most:
            return found
        text, color = kept.pop()
        if DOT in text:
            kept.append((text.rpartition(DOT)[0], color))
        elif not kept:
            last, _ = found[most - 1]
            return [*found[: most - 1], (f"{last}…", color)]


def lines(
    rows: Sequence[tuple[str, RGBA]], bounds: Box, style: Style, text_size: TextSize
) -> Picture:
    """Lines of text one above the other, centered at the bottom of `bounds`."""
    size = TEXT * style.scale
    plates, labels = [], []
    for row, (text, color) in enumerate(reversed(rows)):
        width, height = text_size(text, size)
        left = max(bounds.left + size, (bounds.left + bounds.right - width) / 2)
        bottom = bounds.bottom + size * (1.2 + PITCH * row)
        plates.append(Box(left, bottom, left + width, bottom + height).rounded(size / 3))
        labels.append(Label(text, np.array([left, bottom]), size, color))
    return Picture(areas(plates, style.palette.plate), tuple(labels))
