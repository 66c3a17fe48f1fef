"""What is drawn of a floating ship: fills, lines, marks and words in ship axes.

Nothing here knows Blender, so the same shapes serve the viewport and rendered pictures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ...core.buoyancy.attitude import Attitude, water_frame
from ...core.buoyancy.sections import waterline
from ...core.hydrostatics.floating_position import UPRIGHT, Floating
from ...core.model.openings import OPEN_PLACES
from ...units.angles import angle
from ...units.lengths import Lengths
from .dimensions import Dimension, dimensions
from .water_plane import regions

Array = NDArray[np.float64]
LengthText = Callable[[float], str]

MarkKind = Literal["G", "B", "M", "F", "weight", "fault", "opening", "flooding"]
Tone = Literal["plain", "warning"]
Levels = tuple[tuple[str, float], ...]
"""Rooms that water has got into, by name, and the level of it in each along up (m)."""
Tint = int | Literal["flood", "content"]

MARGIN = 1 / 3  # of the waterline's longer side, from her waterline to the sheet's border
MOST_FAULTS = 300
UNDER = "under water"


@dataclass(frozen=True)
class Show:
    """Which shapes are wanted."""

    water: bool = True
    waterline: bool = True
    centre_of_gravity: bool = True
    centre_of_buoyancy: bool = True
    metacentre: bool = True
    centre_of_flotation: bool = True
    draft_marks: bool = True
    names: bool = True
    openings: bool = True
    weights: bool = False
    dimensions: bool = False

    def with_weights(self, weights: bool) -> Show:
        """The same, with or without a mark for every weight."""
        return replace(self, weights=weights)

    def without_centres(self) -> Show:
        """The same without G, B, M and F."""
        return replace(
            self,
            centre_of_gravity=False,
            centre_of_buoyancy=False,
            metacentre=False,
            centre_of_flotation=False,
        )


@dataclass(frozen=True)
class Sheet:
    """The water: `triangles` (n, 3, 3) of its surface and `border` (4, 2, 3)."""

    triangles: Array
    border: Array


@dataclass(frozen=True)
class Mark:
    """A point `at` (3,) of a kind that has a glyph of its own; `letter` may be empty."""

    kind: MarkKind
    at: Array
    letter: str = ""
    size: float = 1.0


@dataclass(frozen=True)
class Measure:
    """A length from `start` to `end` (3,), with its value in words (may be empty)."""

    start: Array
    end: Array
    text: str


@dataclass(frozen=True)
class Ladder:
    """Draft marks at a perpendicular, on the centreline at `x`, from `low` to `high` in z (m).

    `forward` tells the bow's from the stern's; `draft` is the present one and `text` says so,
    empty where no figures are wanted.
    """

    x: float
    forward: bool
    low: float
    high: float
    draft: float
    text: str

    def at(self, heights: Array) -> Array:
        """Points (n, 3) of the ladder at heights (n,)."""
        heights = np.atleast_1d(heights)
        return np.stack([np.full_like(heights, self.x), 0 * heights, heights], axis=1)

    def rungs(self, spacing: float) -> Array:
        """Heights (n,) of the whole multiples of `spacing` (m) on the ladder."""
        first, last = np.ceil(self.low / spacing - 1e-9), np.floor(self.high / spacing + 1e-9)
        return np.arange(first, last + 1) * spacing


@dataclass(frozen=True)
class Words:
    """A short text that belongs to the point `at` (3,)."""

    at: Array
    text: str
    tone: Tone = "plain"


@dataclass(frozen=True)
class Tag:
    """A name at the middle `at` (3,) of what has it, in `texts` from the fullest to the shortest,
    written where there is room, and in any case when `chosen`."""

    at: Array
    texts: tuple[str, ...]
    tone: Tone = "plain"
    chosen: bool = False


@dataclass(frozen=True)
class Path:
    """A way through `points` (k, 3) from the first to the last, and the rims (m, 2, 3) of what it
    leads through."""

    points: Array
    rims: Array


@dataclass(frozen=True)
class Drawing:
    """All shapes of one ship, in ship axes; `waterline` is (k, 2, 3)."""

    attitude: Attitude
    sheet: Sheet | None = None
    waterline: Array = field(default_factory=lambda: np.zeros((0, 2, 3)))
    marks: tuple[Mark, ...] = ()
    measures: tuple[Measure, ...] = ()
    ladders: tuple[Ladder, ...] = ()
    words: tuple[Words, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    tags: tuple[Tag, ...] = ()
    paths: tuple[Path, ...] = ()

    def with_inner(self, inner: Drawing) -> Drawing:
        """The same with the names, marks and ways of what is within her."""
        return replace(self, marks=(*inner.marks, *self.marks), tags=inner.tags, paths=inner.paths)


def drawing(
    ship: Floating, show: Show, length_text: LengthText, arm: float | None = None
) -> Drawing:
    """The shapes of a ship, at rest or held at a heel where her arm is `arm` (m).

    Drafts are read at rest alone. `length_text` writes metres in the user's unit.
    """
    attitude = attitude_of(ship)
    outline = waterline(ship.case.hull.tree, attitude)
    return Drawing(
        attitude,
        water_sheet(ship, outline) if show.water else None,
        outline if show.waterline else outline[:0],
        tuple(_marks(ship, show)),
        tuple(_measures(ship, show, length_text, arm)),
        tuple(_ladders(ship, show, length_text) if arm is None else ()),
        tuple(_words(ship)),
        tuple(dimensions(ship, attitude, length_text)) if show.dimensions else (),
    )


def attitude_of(ship: Floating) -> Attitude:
    """Her attitude at rest; for a ship that sinks, upright with the water over her top."""
    if ship.rest:
        return ship.rest.attitude
    hull = ship.case.hull
    return Attitude(np.array([0.0, 0.0, 1.0]), float(hull.tree.high[2]) + 0.1 * hull.depth)


def water_point(ship: Floating) -> Array:
    """A point (3,) of the water plane about which she turns: F, or above her middle."""
    figures, tree = ship.hydrostatics, ship.case.hull.tree
    if figures and np.isfinite(figures.immersion.flotation).all():
        return figures.immersion.flotation
    attitude, middle = attitude_of(ship), (tree.low + tree.high) / 2
    return middle - attitude.heights(middle) * attitude.up


def water_sheet(ship: Floating, outline: Array) -> Sheet:
    """The water round her waterline `outline` (k, 2, 3); a swamped ship keeps none of it out."""
    attitude, hull = attitude_of(ship), ship.case.hull
    ahead, port, up = water_frame(attitude.up)
    across = np.stack([ahead, port])
    about = (outline if len(outline) else hull.vertices).reshape(-1, 3) @ across.T
    low, high = about.min(axis=0), about.max(axis=0)
    margin = MARGIN * (high - low).max()
    low, high = low - margin, high + margin
    dry = outline if ship.state == "afloat" else outline[:0]
    outside, _ = regions(dry @ across.T, low, high)
    corners = np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])
    border = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    level = attitude.level * up
    return Sheet(outside @ across + level, border @ across + level)


def fault_marks(ship: Floating) -> tuple[Mark, ...]:
    """Places in ship axes at which something is wrong with her hull or her freeboard."""
    own = ship.case.hull.findings
    places = [
        finding.points - (ship.case.hull.origin if any(finding is of for of in own) else 0.0)
        for finding in ship.findings
        if finding.severity == "warning" and len(finding.points)
    ]
    points = np.concatenate(places) if places else np.zeros((0, 3))
    thinned = points[:: max(1, -(-len(points) // MOST_FAULTS))]
    return tuple(Mark("fault", point) for point in thinned)


def readout(
    ship: Floating, name: str, stale: bool, lengths: Lengths, arm: float | None = None
) -> tuple[str, Tone]:
    """One line that says how she floats, or is held where her arm is `arm` (m), and whether it
    is a warning."""
    tone: Tone = "warning"
    if arm is not None:
        parts = list(_held_words(ship, arm, lengths))
        tone = "warning" if _flooded_openings(ship) else "plain"
    elif ship.state == "sunk":
        excess = lengths.mass(-ship.reserve_volume * ship.case.water_density)
        parts = [f"sinks, {excess} too heavy"]
    elif ship.state == "swamped":
        where, under = ship.fills_through, f"{lengths(-ship.fills_height)} {UNDER}"
        over = where in (None, "top")
        parts = [f"swamped, open edge {under}" if over else f"fills, {OPEN_PLACES[where]} {under}"]
    else:
        parts = [_heel_words(ship), *trim_words(ship, lengths), f"GM {lengths(ship.GM_fluid)}"]
        tone = "warning" if abs(ship.rest.attitude.heel_rad) > np.pi / 2 else "plain"
    return f"{name}: {' · '.join(parts)}{' (changed since computed)' if stale else ''}", tone


def righting(heel: float, arm: float) -> float:
    """GZ (m) at a heel (rad), positive where it brings her back."""
    return -arm if heel < 0 else arm


def angle_words(heel: float) -> str:
    """'30.0° to starboard'."""
    side = "starboard" if heel > 0 else "port"
    return angle(heel) if abs(heel) <= UPRIGHT else f"{angle(heel)} to {side}"


def _held_words(ship: Floating, arm: float, length_text: LengthText) -> Iterator[str]:
    heel = ship.rest.attitude.heel_rad
    yield f"held at {angle_words(heel)}"
    yield f"GZ {length_text(righting(heel, arm))}"
    draft = ship.hydrostatics.draft_mid
    if 0 <= draft <= ship.case.hull.depth:
        yield f"draft {length_text(draft)}"
        yield from trim_words(ship, length_text)
    flooded = _flooded_openings(ship)
    if flooded:
        yield f"{', '.join(flooded)} {UNDER}"


def _flooded_openings(ship: Floating) -> list[str]:
    """Names of the openings that let water in."""
    return [each.name for each in ship.openings_under if not each.weathertight]


def _heel_words(ship: Floating) -> str:
    heel = np.degrees(ship.rest.attitude.heel_rad)
    side = "starboard" if heel > 0 else "port"
    if abs(ship.rest.attitude.heel_rad) <= UPRIGHT:
        return "upright"
    if abs(heel) > 90:
        return f"capsized, {abs(heel):.0f}° over to {side}"
    lolls = any(finding.code == "loll" for finding in ship.findings)
    return f"{'lolls' if lolls else 'lists'} {abs(heel):.1f}° to {side}"


def trim_words(ship: Floating, length_text: LengthText) -> Iterator[str]:
    """'trim 0.12 m by the stern'; nothing where there is no trim to speak of."""
    trim = ship.hydrostatics.trim
    if not np.isfinite(trim):
        return
    shown = length_text(abs(trim))
    end = "stern" if trim > 0 else "bow"
    yield "on an even keel" if shown == length_text(0.0) else f"trim {shown} by the {end}"


def _marks(ship: Floating, show: Show) -> Iterator[Mark]:
    """Her marks in the order of painting; weights of pairs always, as one of the two has no object
    of its own to be seen."""
    heaviest = max((weight.mass for weight in ship.case.weights), default=0.0)
    for weight in ship.case.weights:
        if show.weights or weight.twin:
            yield Mark("weight", weight.centre, size=0.7 + 0.6 * sqrt(weight.mass / heaviest))
    if show.openings:
        yield from _openings(ship, show)
    centres: list[tuple[MarkKind, bool, Array]] = [
        ("G", show.centre_of_gravity, ship.weight.centre)
    ]
    if ship.hydrostatics:
        wet = ship.hydrostatics.immersion
        centres = [
            ("F", show.centre_of_flotation, wet.flotation),
            ("B", show.centre_of_buoyancy, wet.buoyancy),
            ("M", show.metacentre, ship.hydrostatics.metacentre),
            *centres,
        ]
    for kind, wanted, centre in centres:
        if wanted and np.isfinite(centre).all():
            yield Mark(kind, centre, kind if show.names else "")


def _openings(ship: Floating, show: Show) -> Iterator[Mark]:
    """Her openings, those with their names that let water in."""
    flooded = [each for each in ship.openings_under if not each.weathertight]
    for opening in ship.case.openings:
        if any(opening is each for each in flooded):
            yield Mark("flooding", opening.point, opening.name if show.names else "")
        else:
            yield Mark("opening", opening.point)


def _measures(
    ship: Floating, show: Show, length_text: LengthText, arm: float | None
) -> Iterator[Measure]:
    """GM corrected for free surfaces, at rest; held, the lever from G to the vertical through B."""
    if arm is not None:
        if show.centre_of_gravity and show.centre_of_buoyancy:
            gravity, buoyancy = ship.weight.centre, ship.hydrostatics.immersion.buoyancy
            meets = gravity - arm * water_frame(ship.rest.attitude.up)[1]
            text = length_text(righting(ship.rest.attitude.heel_rad, arm))
            yield Measure(buoyancy, meets, "")
            yield Measure(gravity, meets, f"GZ {text}" if show.names else "")
    elif ship.hydrostatics and show.centre_of_gravity and show.metacentre:
        gravity = ship.weight.centre
        text = f"GM {length_text(ship.GM_fluid)}" if show.names else ""
        yield Measure(gravity, gravity + ship.GM_fluid * ship.rest.attitude.up, text)


def _ladders(ship: Floating, show: Show, length_text: LengthText) -> Iterator[Ladder]:
    figures, hull = ship.hydrostatics, ship.case.hull
    if figures is None or not show.draft_marks:
        return
    ends = (
        (0.0, False, figures.draft_aft, "aft"),
        (hull.length_pp, True, figures.draft_forward, "forward"),
    )
    for x, forward, draft, word in ends:
        if np.isfinite(draft) and abs(draft) < 2 * hull.depth:
            reach = 0.15 * hull.depth
            high = max(draft, figures.draft_mid) + reach
            low = min(0.0, draft - reach)
            text = f"Draft {word} {length_text(draft)}" if show.names else ""
            yield Ladder(x, forward, low, high, draft, text)


def _words(ship: Floating) -> Iterator[Words]:
    if ship.state == "sunk":
        yield Words(water_point(ship), "Sinks", "warning")
    if ship.state == "swamped" and ship.fills_at is not None:
        yield Words(ship.fills_at, "fills here", "warning")
