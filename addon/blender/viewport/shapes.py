"""What is drawn of a floating vessel: fills, lines, marks and texts in ship axes.

Nothing here knows Blender, so the same shapes serve the viewport and rendered pictures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from math import sqrt
from typing import Literal

import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import Attitude, water_frame
from ...core.buoyancy.sections import waterline
from ...core.hydrostatics.floating_position import UPRIGHT_TOLERANCE, FloatingPosition
from ...core.model.openings import HULL_OPENING_NAMES
from ...units.angles import angle
from ...units.lengths import Lengths
from .dimensions import Dimension, dimensions
from .water_plane import regions

LengthText = Callable[[float], str]

MarkKind = Literal["G", "B", "M", "F", "weight", "fault", "opening", "flooding"]
Tone = Literal["plain", "warning"]
Levels = tuple[tuple[str, float], ...]
"""Compartments that water has got into, by name, and the level of it in each along up (m)."""
Tint = int | Literal["flood", "content"]

MARGIN = (
    1 / 3
)  # of the waterline's longer side, from the waterline to the border of the water plane
MOST_FINDING_POINTS = 300
UNDER = "under water"


@dataclass(frozen=True)
class Show:
    """Which shapes are wanted."""

    water: bool = True
    waterline: bool = True
    center_of_gravity: bool = True
    center_of_buoyancy: bool = True
    metacenter: bool = True
    center_of_flotation: bool = True
    draft_marks: bool = True
    labels: bool = True
    openings: bool = True
    weights: bool = False
    dimensions: bool = False

    def with_weights(self, weights: bool) -> Show:
        """The same, with or without a mark for every weight."""
        return replace(self, weights=weights)

    def without_centers(self) -> Show:
        """The same without G, B, M and F."""
        return replace(
            self,
            center_of_gravity=False,
            center_of_buoyancy=False,
            metacenter=False,
            center_of_flotation=False,
        )


@dataclass(frozen=True)
class WaterPlane:
    """The water: `triangles` (n, 3, 3) of its surface and `border` (4, 2, 3)."""

    triangles: Floats
    border: Floats


@dataclass(frozen=True)
class Mark:
    """A point `at` (3,) of a kind that has a glyph of its own; `letter` may be empty."""

    kind: MarkKind
    at: Floats
    letter: str = ""
    size: float = 1.0


@dataclass(frozen=True)
class Measure:
    """A length from `start` to `end` (3,), with its value as `text` (may be empty)."""

    start: Floats
    end: Floats
    text: str


@dataclass(frozen=True)
class DraftScale:
    """Draft marks at a perpendicular, on the centerline at `x`, from `low` to `high` in z (m).

    `forward` is true at the bow; `draft` is the present one (m) and `text` its label, empty where
    no figures are wanted.
    """

    x: float
    forward: bool
    low: float
    high: float
    draft: float
    text: str

    def at(self, heights: Floats) -> Floats:
        """Points (n, 3) of the draft scale at heights (n,)."""
        heights = np.atleast_1d(heights)
        return np.stack([np.full_like(heights, self.x), 0 * heights, heights], axis=1)

    def rungs(self, spacing: float) -> Floats:
        """Heights (n,) of the whole multiples of `spacing` (m) on the draft scale."""
        first, last = np.ceil(self.low / spacing - 1e-9), np.floor(self.high / spacing + 1e-9)
        return np.arange(first, last + 1) * spacing


@dataclass(frozen=True)
class Caption:
    """A short text that belongs to the point `at` (3,)."""

    at: Floats
    text: str
    tone: Tone = "plain"


@dataclass(frozen=True)
class Tag:
    """A name at the middle `at` (3,) of what has it, in `texts` from the fullest to the shortest,
    written where there is space, and in any case when `chosen`."""

    at: Floats
    texts: tuple[str, ...]
    tone: Tone = "plain"
    chosen: bool = False


@dataclass(frozen=True)
class Path:
    """A flooding path through `points` (k, 3), the first outside, and the `rims` (m, 2, 3) of the
    gaps on it."""

    points: Floats
    rims: Floats


@dataclass(frozen=True)
class Drawing:
    """All shapes of one vessel, in ship axes; `waterline` is (k, 2, 3)."""

    attitude: Attitude
    water: WaterPlane | None = None
    waterline: Floats = field(default_factory=lambda: np.zeros((0, 2, 3)))
    marks: tuple[Mark, ...] = ()
    measures: tuple[Measure, ...] = ()
    draft_scales: tuple[DraftScale, ...] = ()
    words: tuple[Caption, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    tags: tuple[Tag, ...] = ()
    paths: tuple[Path, ...] = ()

    def with_inner(self, inner: Drawing) -> Drawing:
        """The same with the names, marks and flooding paths of the compartments."""
        return replace(self, marks=(*inner.marks, *self.marks), tags=inner.tags, paths=inner.paths)


def drawing(
    ship: FloatingPosition, show: Show, length_text: LengthText, arm: float | None = None
) -> Drawing:
    """The shapes of a vessel, at rest, or held at a heel where GZ is given by `arm` (m).

    Drafts are read at rest alone. `length_text` writes meters in the user's unit.
    """
    attitude = attitude_of(ship)
    outline = waterline(ship.case.hull.tree, attitude)
    return Drawing(
        attitude,
        water_plane(ship, outline) if show.water else None,
        outline if show.waterline else outline[:0],
        tuple(_marks(ship, show)),
        tuple(_measures(ship, show, length_text, arm)),
        tuple(_draft_scales(ship, show, length_text) if arm is None else ()),
        tuple(_words(ship)),
        tuple(dimensions(ship, attitude, length_text)) if show.dimensions else (),
    )


def attitude_of(ship: FloatingPosition) -> Attitude:
    """The attitude at rest; for a vessel that sinks, upright with the water over its top."""
    if ship.equilibrium:
        return ship.equilibrium.attitude
    hull = ship.case.hull
    return Attitude(np.array([0.0, 0.0, 1.0]), float(hull.tree.high[2]) + 0.1 * hull.depth)


def water_point(ship: FloatingPosition) -> Floats:
    """A point (3,) of the water plane about which the vessel turns: F, or above its middle."""
    figures, tree = ship.hydrostatics, ship.case.hull.tree
    if figures and np.isfinite(figures.immersion.flotation).all():
        return figures.immersion.flotation
    attitude, middle = attitude_of(ship), (tree.low + tree.high) / 2
    return middle - attitude.heights(middle) * attitude.up


def water_plane(ship: FloatingPosition, outline: Floats) -> WaterPlane:
    """The water plane around a waterline `outline` (k, 2, 3); a swamped vessel has no cut-out."""
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
    return WaterPlane(outside @ across + level, border @ across + level)


def finding_marks(ship: FloatingPosition) -> tuple[Mark, ...]:
    """Marks in ship axes where findings warn about the hull or the freeboard."""
    own = ship.case.hull.findings
    places = [
        finding.points - (ship.case.hull.origin if any(finding is of for of in own) else 0.0)
        for finding in ship.findings
        if finding.severity == "warning" and len(finding.points)
    ]
    points = np.concatenate(places) if places else np.zeros((0, 3))
    thinned = points[:: max(1, -(-len(points) // MOST_FINDING_POINTS))]
    return tuple(Mark("fault", point) for point in thinned)


def readout(
    ship: FloatingPosition, name: str, stale: bool, lengths: Lengths, arm: float | None = None
) -> tuple[str, Tone]:
    """One line on the floating position, or at a held heel on GZ from `arm` (m), and whether it is
    a warning."""
    tone: Tone = "warning"
    if arm is not None:
        parts = list(_held_words(ship, arm, lengths))
        tone = "warning" if _flooded_openings(ship) else "plain"
    elif ship.state == "sunk":
        excess = lengths.mass(-ship.reserve_volume * ship.case.water_density)
        parts = [f"sinks, {excess} too heavy"]
    elif ship.state == "swamped":
        where, under = ship.lowest_hull_opening, f"{lengths(-ship.downflooding_height)} {UNDER}"
        over = where in (None, "top")
        parts = [
            f"swamped, open edge {under}"
            if over
            else f"floods, {HULL_OPENING_NAMES[where]} {under}"
        ]
    else:
        parts = [_heel_words(ship), *trim_words(ship, lengths), f"GM {lengths(ship.GM_fluid)}"]
        tone = "warning" if abs(ship.equilibrium.attitude.heel_rad) > np.pi / 2 else "plain"
    return f"{name}: {' · '.join(parts)}{' (changed since computed)' if stale else ''}", tone


def righting(heel: float, arm: float) -> float:
    """GZ (m) at a heel (rad), positive where it rights the vessel."""
    return -arm if heel < 0 else arm


def angle_words(heel: float) -> str:
    """'30.0° to starboard'."""
    side = "starboard" if heel > 0 else "port"
    return angle(heel) if abs(heel) <= UPRIGHT_TOLERANCE else f"{angle(heel)} to {side}"


def _held_words(ship: FloatingPosition, arm: float, length_text: LengthText) -> Iterator[str]:
    heel = ship.equilibrium.attitude.heel_rad
    yield f"heel {angle_words(heel)}, held"
    yield f"GZ {length_text(righting(heel, arm))}"
    draft = ship.hydrostatics.draft_mid
    if 0 <= draft <= ship.case.hull.depth:
        yield f"draft {length_text(draft)}"
        yield from trim_words(ship, length_text)
    flooded = _flooded_openings(ship)
    if flooded:
        yield f"{', '.join(flooded)} {UNDER}"


def _flooded_openings(ship: FloatingPosition) -> list[str]:
    """Names of the openings that let water in."""
    return [each.name for each in ship.immersed_openings if not each.weathertight]


def _heel_words(ship: FloatingPosition) -> str:
    heel = ship.equilibrium.attitude.heel_rad
    if abs(heel) <= UPRIGHT_TOLERANCE:
        return "upright"
    if abs(heel) > np.pi / 2:
        return f"capsized, list {angle_words(heel)}"
    lolls = any(finding.code == "loll" for finding in ship.findings)
    return f"{'angle of loll' if lolls else 'list'} {angle_words(heel)}"


def trim_words(ship: FloatingPosition, length_text: LengthText) -> Iterator[str]:
    """'trim 0.12 m by the stern'; nothing where the trim is unknown."""
    trim = ship.hydrostatics.trim
    if not np.isfinite(trim):
        return
    shown = length_text(abs(trim))
    end = "stern" if trim > 0 else "bow"
    yield "on an even keel" if shown == length_text(0.0) else f"trim {shown} by the {end}"


def _marks(ship: FloatingPosition, show: Show) -> Iterator[Mark]:
    """The marks in drawing order; weights of pairs always, as one of the two has no object
    of its own to be seen."""
    heaviest = max((weight.mass for weight in ship.case.weights), default=0.0)
    for weight in ship.case.weights:
        if show.weights or weight.pair:
            yield Mark("weight", weight.center, size=0.7 + 0.6 * sqrt(weight.mass / heaviest))
    if show.openings:
        yield from _openings(ship, show)
    centers: list[tuple[MarkKind, bool, Floats]] = [
        ("G", show.center_of_gravity, ship.weight.center)
    ]
    if ship.hydrostatics:
        wet = ship.hydrostatics.immersion
        centers = [
            ("F", show.center_of_flotation, wet.flotation),
            ("B", show.center_of_buoyancy, wet.buoyancy),
            ("M", show.metacenter, ship.hydrostatics.metacenter),
            *centers,
        ]
    for kind, wanted, center in centers:
        if wanted and np.isfinite(center).all():
            yield Mark(kind, center, kind if show.labels else "")


def _openings(ship: FloatingPosition, show: Show) -> Iterator[Mark]:
    """Marks of the openings; those that let water in have their names."""
    flooded = [each for each in ship.immersed_openings if not each.weathertight]
    for opening in ship.case.openings:
        if any(opening is each for each in flooded):
            yield Mark("flooding", opening.point, opening.name if show.labels else "")
        else:
            yield Mark("opening", opening.point)


def _measures(
    ship: FloatingPosition, show: Show, length_text: LengthText, arm: float | None
) -> Iterator[Measure]:
    """GM corrected for free surfaces at rest; GZ, to the vertical through B, at a held heel."""
    if arm is not None:
        if show.center_of_gravity and show.center_of_buoyancy:
            gravity, buoyancy = ship.weight.center, ship.hydrostatics.immersion.buoyancy
            meets = gravity - arm * water_frame(ship.equilibrium.attitude.up)[1]
            text = length_text(righting(ship.equilibrium.attitude.heel_rad, arm))
            yield Measure(buoyancy, meets, "")
            yield Measure(gravity, meets, f"GZ {text}" if show.labels else "")
    elif ship.hydrostatics and show.center_of_gravity and show.metacenter:
        gravity = ship.weight.center
        text = f"GM {length_text(ship.GM_fluid)}" if show.labels else ""
        yield Measure(gravity, gravity + ship.GM_fluid * ship.equilibrium.attitude.up, text)


def _draft_scales(
    ship: FloatingPosition, show: Show, length_text: LengthText
) -> Iterator[DraftScale]:
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
            text = f"Draft {word} {length_text(draft)}" if show.labels else ""
            yield DraftScale(x, forward, low, high, draft, text)


def _words(ship: FloatingPosition) -> Iterator[Caption]:
    if ship.state == "sunk":
        yield Caption(water_point(ship), "Sinks", "warning")
    if ship.state == "swamped" and ship.downflooding_point is not None:
        yield Caption(ship.downflooding_point, "floods here", "warning")
