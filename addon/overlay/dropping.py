"""A weight about to be dropped: how heavy it is, where it goes, what she would then be like."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..core.attitude import Attitude
from ..core.case import Case
from ..core.conditions import Condition, in_condition
from ..core.findings import BadInputError
from ..core.floating import Floating, float_ship
from ..core.openings import Opening
from ..core.weights import Weight
from .boxes import Box
from .ink import Area, Ink, Stroke
from .lengths import Lengths
from .palette import Colour, faint
from .project import (
    CIRCLE,
    HALO,
    MITRES,
    OUTLINES,
    RADIUS,
    RIM,
    TEXT,
    Label,
    Picture,
    Style,
    TextSize,
    View,
)
from .shapes import MarkKind, Tone, readout

Array = NDArray[np.float64]

POUND = 0.45359237
METRIC_MASSES = {
    "TONNES": ("t", 1000.0),
    "KILOGRAMS": ("kg", 1.0),
    "GRAMS": ("g", 1e-3),
    "MILLIGRAMS": ("mg", 1e-6),
}
IMPERIAL_MASSES = {
    "TONNES": ("ton", 2000 * POUND),
    "STONES": ("st", 14 * POUND),
    "POUNDS": ("lb", POUND),
    "OUNCES": ("oz", POUND / 16),
}
MOST_DIGITS = 9

CLOSEST_LINES = 14.0  # of the grid, in pixels at a scale of 1
FINER = 10.0  # times slower is the mouse, and closer the grid, for fine work
STEEPEST = 0.2  # sine of the least angle at which a line of sight meets a plane
MIRROR = np.array([1.0, -1.0, 1.0])
STARBOARD, PORT = "starboard", "port"
CLOSE = 1.6  # pitch of the lines of words, in font sizes
ASIDE = np.array([22.0, -14.0])  # the words from the point, in pixels at a scale of 1
BALL = [
    np.insert(np.concatenate([CIRCLE, CIRCLE[:1]]), across, 0.0, axis=1) for across in range(3)
]  # three great circles
AXES = [np.outer((-1.0, 1.0), along) for along in np.eye(3)]


@dataclass(frozen=True)
class MassUnit:
    """A unit of mass and the kilograms in it."""

    symbol: str
    kilograms: float

    @classmethod
    def of(cls, system: str, chosen: str) -> MassUnit:
        """That of a scene; where it adapts to the mass, kilograms or pounds."""
        if system == "IMPERIAL":
            return cls(*IMPERIAL_MASSES.get(chosen, IMPERIAL_MASSES["POUNDS"]))
        return cls(*METRIC_MASSES.get(chosen, METRIC_MASSES["KILOGRAMS"]))


@dataclass(frozen=True)
class MassEntry:
    """A mass as it is typed; `kept` (kg) holds while nothing is typed."""

    unit: MassUnit
    kept: float
    text: str = ""

    @property
    def kilograms(self) -> float:
        """The mass; zero where what is typed is no number yet."""
        if not self.text:
            return self.kept
        return float(self.text) * self.unit.kilograms if self.text != "." else 0.0

    def typed(self, mark: str) -> MassEntry:
        """With a digit or a point more; a second point and too many digits change nothing."""
        if (mark == "." and "." in self.text) or len(self.text) >= MOST_DIGITS:
            return self
        return replace(self, text=self.text + mark)

    def erased(self) -> MassEntry:
        """Without the last mark."""
        return replace(self, text=self.text[:-1])

    def settled(self) -> MassEntry:
        """The same mass, no more being typed."""
        return replace(self, kept=self.kilograms, text="")

    def __str__(self) -> str:
        figure = f"{self.text}_" if self.text else f"{self.kept / self.unit.kilograms:.6g}"
        return f"{figure} {self.unit.symbol}"


@dataclass(frozen=True)
class Aim:
    """A point (3,) on a surface with a unit normal (3,), both in ship axes."""

    point: Array
    normal: Array

    @property
    def facing(self) -> int:
        """The axis that the surface faces most."""
        return int(np.abs(self.normal).argmax())

    def to(self, point: Array) -> Aim:
        """Slid to a point (3,); along the axis that the surface faces, the surface has the say."""
        away = self.facing
        off = point - self.point
        off[away] = 0.0
        slid = point.copy()
        slid[away] = self.point[away] - (self.normal @ off) / self.normal[away]
        return replace(self, point=slid)

    def on_grid(self, step: float) -> Aim:
        """Slid along the surface to the nearest whole steps (m)."""
        return self.to(step * np.round(self.point / step))

    def on_centreline(self) -> Aim:
        """Slid along the surface to the centreplane; off a surface that faces it."""
        point = self.point * (1.0, 0.0, 1.0)
        return replace(self, point=point) if self.facing == 1 else self.to(point)

    def near_centreline(self, view: View, reach: float, most: float) -> bool:
        """Whether the centreplane is within `reach` pixels, and `most` metres, along a surface
        that does not face it."""
        if self.facing == 1 or abs(self.point[1]) > most:
            return False
        here, there = view.pixels(np.stack([self.point, self.on_centreline().point]))
        return float(np.hypot(*(there - here))) <= reach


def met(eye: Array, sight: Array, middle: Array) -> Aim | None:
    """Where a line of sight, from (3,) along a unit (3,), meets a plane through `middle` (3,).

    The level plane is taken, or one seen less edge-on: the centreplane, then the one square to
    it. None where none lies ahead.
    """
    for axis in (2, 1, 0):
        if abs(sight[axis]) >= STEEPEST:
            reach = (middle[axis] - eye[axis]) / sight[axis]
            if reach > 0:
                return Aim(eye + reach * sight, np.eye(3)[axis])
    return None


def fine(anchor: Array, mouse: Array) -> Array:
    """The pixel (2,) that a slow mouse would be at, had it been at `anchor` (2,)."""
    return anchor + (mouse - anchor) / FINER


def grid_step(point: Array, view: View, lengths: Lengths, scale: float, finer: bool) -> float:
    """A round length (m) that the eye can part on the screen at a point (3,)."""
    here, *there = view.pixels(point + np.concatenate([np.zeros((1, 3)), np.eye(3)]))
    metre = max(float(np.hypot(*(end - here))) for end in there)
    least = CLOSEST_LINES * scale / metre if metre > 0 else 1.0
    return lengths.step(least / FINER if finer else least)


def places(point: Array, pair: bool) -> tuple[Array, ...]:
    """The point (3,), and its mirror image if a pair is wanted and it is off the centreline."""
    if not pair or abs(point[1]) < 1e-6:
        return (point,)
    return point, point * MIRROR


def named(name: str, spots: Sequence[Array]) -> tuple[str, ...]:
    """A name for each of the places, told apart by their sides."""
    if len(spots) == 1:
        return (name,)
    return tuple(f"{name} {PORT if spot[1] > 0 else STARBOARD}" for spot in spots)


@dataclass(frozen=True)
class Prospect:
    """A ship to drop weights on: all on board, the condition that she is loaded in (None: as
    modelled), and an attitude near her rest if one is known.

    Openings are left out of the floating position, which they do not change, for the sake of time.
    """

    case: Case
    condition: Condition | None = None
    near: Attitude | None = None

    def laden(self, mass: float, spots: Sequence[Array], group: str = "") -> Prospect:
        """With a mass (kg) more at each of the places (3,) in ship axes."""
        longest = max((weight.name for weight in self.case.weights), key=len, default="")
        more = (
            Weight(f"{longest}+{number}", mass, spot, group) for number, spot in enumerate(spots)
        )
        return replace(self, case=replace(self.case, weights=(*self.case.weights, *more)))

    def afloat(self) -> Floating:
        """How she floats. Raises BadInputError with nothing on board."""
        case = in_condition(self.case, self.condition) if self.condition else self.case
        return float_ship(replace(case, openings=()), self.near, seek_others=False)

    def rested(self) -> Prospect:
        """With the rest found as the one to begin from, as long as something is on board."""
        try:
            rest = self.afloat().rest
        except BadInputError:
            rest = None
        return replace(self, near=rest.attitude if rest else None)


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
        if ship.rest and not opening.weathertight and ship.rest.attitude.heights(opening.point) < 0
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
        inks.append(Area(box.rounded(size / 2)[None], style.palette.panel))
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
