"""What is about to be dropped: how it is drawn, and what is said beside the mouse."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...core.hydrostatics.floating_position import Floating
from ...core.model.openings import Opening
from ...drawing.picture import Label, Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import Area, Colour, Ink, Stroke, faint
from ...units.lengths import Lengths
from .glyphs import CIRCLE, HALO, MITRES, OUTLINES, RADIUS, RIM
from .projection import TEXT, Style, View
from .shapes import MarkKind, Tone, readout
from .snapping import PORT, STARBOARD

Array = NDArray[np.float64]

CLOSE = 1.6  # pitch of the lines of words, in font sizes
ASIDE = np.array([22.0, -14.0])  # the words from the point, in pixels at a scale of 1
BALL = [
    np.insert(np.concatenate([CIRCLE, CIRCLE[:1]]), across, 0.0, axis=1) for across in range(3)
]  # three great circles
AXES = [np.outer((-1.0, 1.0), along) for along in np.eye(3)]


def forecast(
    ship: Floating, lengths: Lengths, openings: Iterable[Opening] = ()
) -> tuple[tuple[str, Tone], ...]:
    """List, trim, GM and draft amidships in words, the openings that let water in, and which of
    these are warnings."""
    text, tone = readout(ship, "", False, lengths)
    words = text.removeprefix(": ").split(" · ")
    if ship.hydrostatics and np.isfinite(ship.hydrostatics.draft_mid):
        words.append(f"draft {lengths(ship.hydrostatics.draft_mid)}")
    flooded = [
        f"{opening.name} under water"
        for opening in openings
        if ship.rest
        and not opening.weathertight
        and ship.rest.attitude.heights(opening.points).min() < 0
    ]
    told: list[tuple[str, Tone]] = [(word, tone) for word in words]
    return (*told, *((word, "warning") for word in flooded))


def place_words(point: Array, lengths: Lengths) -> str:
    """'x 3.20 m, 1.10 m to port, z 0.90 m'."""
    x, y, z = point
    aside = f"{lengths(abs(y))} to {PORT if y > 0 else STARBOARD}"
    if lengths(abs(y)) == lengths(0.0):
        aside = "on the centreline"
    return f"x {lengths(x)}, {aside}, z {lengths(z)}"


@dataclass(frozen=True)
class Ghost:
    """What is about to be dropped: `spots` (k, 3) in ship axes, its radius (m), words about it.

    `keel` (2, 3) is the stretch of the centreline to show, None where it does not matter.
    """

    kind: MarkKind
    spots: Array
    radius: float
    rows: tuple[tuple[str, Tone], ...]
    keel: Array | None = None

    def picture(self, view: View, style: Style, room: Box, text_size: TextSize) -> Picture:
        """Laid out on the pixels of a view of ship axes, the words inside the room."""
        inks, at = list(self._inks(view, style)), view.pixels(self.spots[:1])[0]
        if not np.isfinite(at).all():
            return Picture((), ())
        size, scale = TEXT * style.scale, style.scale
        wide = max(text_size(text, size)[0] for text, _ in self.rows)
        high = size * CLOSE * len(self.rows)
        box = Box.beside((wide, high), at + ASIDE * scale, np.array([1.0, -1.0]))
        box = box.moved_into(room.grown(-size))
        inks.append(Area(box.rounded(size / 2)[None], style.palette.chart.panel))
        labels = tuple(
            Label(
                text,
                np.array([box.left, box.top - size * (CLOSE * number + 1.15)]),
                size,
                style.palette.of(tone),
            )
            for number, (text, tone) in enumerate(self.rows)
        )
        return Picture(tuple(inks), labels)

    def _inks(self, view: View, style: Style) -> Iterator[Ink]:
        palette, scale = style.palette, style.scale
        if self.keel is not None:
            yield from _line(view.pixels(self.keel), 1.2 * scale, palette.present, palette.halo)
        lines = AXES if self.kind == "opening" else BALL
        for line in (spot + self.radius * line for spot in self.spots for line in lines):
            yield from _line(view.pixels(line), 1.4 * scale, palette.present, palette.halo)
        for at in view.pixels(self.spots):
            if np.isfinite(at).all():
                outline = at + RADIUS[self.kind] * scale * OUTLINES[self.kind]
                yield Area((outline + HALO * scale * MITRES[self.kind])[None], palette.edge)
                yield Area((outline + RIM * scale * MITRES[self.kind])[None], palette.present)
                yield Area(outline[None], palette.marks[self.kind])


def _line(points: Array, width: float, colour: Colour, halo: Colour) -> Iterator[Stroke]:
    """A line through points (n, 2) over a halo, as far as they are before the eye."""
    segments = np.stack([points[:-1], points[1:]], axis=1)
    shown = segments[np.isfinite(segments).all(axis=(1, 2))]
    yield Stroke(shown, width + 2.0, faint(halo))
    yield Stroke(shown, width, colour)
