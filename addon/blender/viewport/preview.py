"""What is about to be dropped: how it is drawn, and the text beside the mouse."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from ...core.arrays import Floats
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.model.openings import Opening
from ...drawing.picture import Label, Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import RGBA, Area, Primitive, Stroke, faint
from ...units.lengths import Lengths
from .glyphs import CIRCLE, HALO, MITRES, OUTLINES, RADIUS, RIM
from .readout import readout
from .shapes import MarkKind, Tone
from .snapping import PORT, STARBOARD
from .style import TEXT, Style
from .view import View

CLOSE = 1.6  # pitch of the lines of words, in font sizes
ASIDE = np.array([22.0, -14.0])  # the words from the point, in pixels at a scale of 1
BALL = [
    np.insert(np.concatenate([CIRCLE, CIRCLE[:1]]), across, 0.0, axis=1) for across in range(3)
]  # three great circles
AXES = [np.outer((-1.0, 1.0), along) for along in np.eye(3)]


def forecast(
    ship: FloatingPosition, lengths: Lengths, openings: Iterable[Opening] = ()
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
        if ship.equilibrium
        and not opening.weathertight
        and ship.equilibrium.attitude.heights(opening.points).min() < 0
    ]
    rows: list[tuple[str, Tone]] = [(word, tone) for word in words]
    return (*rows, *((word, "warning") for word in flooded))


def place_words(point: Floats, lengths: Lengths) -> str:
    """'x 3.20 m, 1.10 m to port, z 0.90 m'."""
    x, y, z = point
    aside = f"{lengths(abs(y))} to {PORT if y > 0 else STARBOARD}"
    if lengths(abs(y)) == lengths(0.0):
        aside = "on the centerline"
    return f"x {lengths(x)}, {aside}, z {lengths(z)}"


@dataclass(frozen=True)
class DropPreview:
    """What is about to be dropped: `places` (k, 3) in ship axes, its radius (m), words about it.

    `keel` (2, 3) is the part of the centerline to show, None where it does not matter.
    """

    kind: MarkKind
    places: Floats
    radius: float
    rows: tuple[tuple[str, Tone], ...]
    keel: Floats | None = None

    def picture(self, view: View, style: Style, bounds: Box, text_size: TextSize) -> Picture:
        """Laid out on the pixels of a view of ship axes, the text inside `bounds`."""
        primitives, at = list(self._primitives(view, style)), view.pixels(self.places[:1])[0]
        if not np.isfinite(at).all():
            return Picture((), ())
        size, scale = TEXT * style.scale, style.scale
        wide = max(text_size(text, size)[0] for text, _ in self.rows)
        high = size * CLOSE * len(self.rows)
        box = Box.beside((wide, high), at + ASIDE * scale, np.array([1.0, -1.0]))
        box = box.moved_into(bounds.grown(-size))
        primitives.append(Area(box.rounded(size / 2)[None], style.palette.chart.panel))
        labels = tuple(
            Label(
                text,
                np.array([box.left, box.top - size * (CLOSE * number + 1.15)]),
                size,
                style.palette.of(tone),
            )
            for number, (text, tone) in enumerate(self.rows)
        )
        return Picture(tuple(primitives), labels)

    def _primitives(self, view: View, style: Style) -> Iterator[Primitive]:
        palette, scale = style.palette, style.scale
        if self.keel is not None:
            yield from _line(view.pixels(self.keel), 1.2 * scale, palette.present, palette.halo)
        lines = AXES if self.kind == "opening" else BALL
        for line in (place + self.radius * line for place in self.places for line in lines):
            yield from _line(view.pixels(line), 1.4 * scale, palette.present, palette.halo)
        for at in view.pixels(self.places):
            if np.isfinite(at).all():
                outline = at + RADIUS[self.kind] * scale * OUTLINES[self.kind]
                yield Area((outline + HALO * scale * MITRES[self.kind])[None], palette.edge)
                yield Area((outline + RIM * scale * MITRES[self.kind])[None], palette.present)
                yield Area(outline[None], palette.marks[self.kind])


def _line(points: Floats, width: float, color: RGBA, halo: RGBA) -> Iterator[Stroke]:
    """A line through points (n, 2) over a halo, as far as they are before the eye."""
    segments = np.stack([points[:-1], points[1:]], axis=1)
    shown = segments[np.isfinite(segments).all(axis=(1, 2))]
    yield Stroke(shown, width + 2.0, faint(halo))
    yield Stroke(shown, width, color)
