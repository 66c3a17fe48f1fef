"""Flooding paths: from the sea into a compartment, and between compartments."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude
from ..compartments.adjacent_compartments import rooms_beside
from ..compartments.leaks import less_doors
from ..geometry.rays import closest_points
from ..geometry.triangles import areas
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import UNIT_OF_AREA, Sentence, called, coordinates, metres, square_metres
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA, Division, Gap, Room
from ..model.hull import Hull
from ..model.names import check_known
from ..model.openings import DISCHARGE, Door, Opening, check_discharge

Array = NDArray[np.float64]
WayKind = Literal["hole", "opening", "door", "gap"]

REACH = 0.05
ON_SKIN = 1e-5
FAR = 10.0


@dataclass(frozen=True)
class Hole:
    """A breach of the hull surface; `point` (3,) in ship axes is its lowest point.

    With its area (m2), its discharge coefficient, and its vertical extent (m), zero where it lies
    flat or is small compared with its depth.
    """

    point: Array
    area: float
    discharge: float = DISCHARGE
    height: float = 0.0

    def __post_init__(self) -> None:
        if not np.isfinite(self.point).all():
            words = "hole: its position is not a number; give x, y, z in metres"
            raise BadInputError(Sentence(words))
        if not (np.isfinite(self.area) and self.area > 0):
            raise BadInputError(
                Sentence(
                    "hole: the area is {area}; give one above zero, such as 0.05",
                    area=square_metres(self.area, "g"),
                )
            )
        check_discharge("hole", self.discharge)
        if not (np.isfinite(self.height) and self.height >= 0):
            raise BadInputError(
                Sentence(
                    "hole: the height is {height}; give one that is not negative",
                    height=metres(self.height, "g"),
                )
            )


@dataclass(frozen=True)
class Way:
    """A flooding path from one compartment to another, `SEA` for the outside, open to water above
    one of its `points` (k, 3).

    The first of them is the sill, above which it extends by `height` (m); `area` is its discharge
    coefficient times its area (m2), zero where unknown. A weathertight one is `tight`.
    """

    kind: WayKind
    name: str
    rooms: tuple[str, str]
    points: Array
    area: float = 0.0
    height: float = 0.0
    tight: bool = False

    @property
    def told(self) -> str:
        """Its description."""
        return told(self.kind, self.name)

    @property
    def sill(self) -> Array:
        """Position (3,) of the sill."""
        sill: Array = self.points[0]
        return sill

    def clear(self, attitude: Attitude) -> float:
        """Height of its lowest point above water (m)."""
        return float(attitude.heights(self.points).min())

    def where_open(self, flooded: Sequence[str]) -> Way:
        """The path with the flooded compartments made one with the sea."""
        first, second = (SEA if name in flooded else name for name in self.rooms)
        return replace(self, rooms=(first, second))


def told(kind: WayKind, name: str) -> str:
    """Description of a flooding path: "door 'aft'", "gap in 'deck'"."""
    if kind == "opening":
        return called(Subject("opening", name))
    return called(Subject("door", name)) if kind == "door" else name


def leads_on(rooms: Iterable[str], flooded: Sequence[str]) -> bool:
    """Whether a path between these compartments carries water from a flooded one or the sea into a
    dry one."""
    return len({room == SEA or room in flooded for room in rooms}) > 1


def ways_of(case: Case, division: Division) -> tuple[Way, ...]:
    """Openings, doors that are not closed, and gaps in boundaries less the doors that stand in
    them.

    Those that do not name their compartments lead to the nearest ones, by `rooms_beside`. Raises
    BadInputError as `check_ways`, and for a door that joins no two compartments.
    """
    check_ways(case, division)
    open_doors = [door for door in case.doors if not door.shut]
    return (
        *(way for each in case.openings for way in _opening(each, division)),
        *(_door(each, division) for each in open_doors),
        *(_gap(each) for each in less_doors(division.gaps, open_doors)),
    )


def check_ways(case: Case, division: Division) -> None:
    """Raises BadInputError for an opening or a door, closed or not, that names an unknown
    compartment, and for a door that is no duct between two compartments without a boundary or gap
    between them."""
    named = [(told("opening", each.name), each.rooms) for each in case.openings]
    named += [(told("door", each.name), each.rooms) for each in case.doors]
    for whose, rooms in named:
        for name in rooms:
            _check_room(whose, name, division)
    met = {frozenset(pair) for pair in division.neighbours}
    met |= {frozenset(gap.rooms) for gap in division.gaps}
    for door in case.doors:
        joined = frozenset(door.rooms)
        if door.discharge is not None or len(joined) < 2 or joined in met:
            continue
        if joined != {*_beside(door, division)}:
            first, second = door.rooms
            raise BadInputError(
                Sentence(
                    "door '{door}': rooms '{first}' and '{second}' share no wall; name two that "
                    "do, none to have them found from its place, or the discharge of a duct",
                    door=Subject("door", door.name),
                    first=Subject("compartment", first),
                    second=Subject("compartment", second),
                )
            )


def hole_into(
    case: Case, division: Division, rooms: tuple[str, ...], hole: Hole
) -> tuple[Way, ...]:
    """A breach, its area divided equally among the compartments.

    Raises BadInputError for an unknown compartment, for a breach farther than a share `REACH` of
    the depth from their boundaries or from the hull surface, and for one larger than all of those
    boundaries.
    """
    for name in rooms:
        _check_room("hole", name, division)
        room = division.room(name)
        assert room
        _check_place(hole, room, case.hull)
        walls = float(areas(room.vertices, room.triangles).sum())
        if hole.area / len(rooms) > walls:
            raise BadInputError(
                Sentence(
                    "hole: the area is {area}, and all walls of room '{room}' have {walls}; give "
                    "that of the hole, such as 0.05",
                    area=square_metres(hole.area, "g"),
                    room=Subject("compartment", name),
                    walls=square_metres(walls, ".4g"),
                )
            )
    area = hole.discharge * hole.area / len(rooms)
    return tuple(
        Way("hole", "the hole", (SEA, name), hole.point[None], area, hole.height) for name in rooms
    )


def opening_into(division: Division, rooms: tuple[str, ...], opening: Opening) -> tuple[Way, ...]:
    """An opening left open. Raises BadInputError for one without an area, and for compartments that
    it does not lead into."""
    if not opening.area > 0:
        raise BadInputError(
            Sentence(
                "opening '{opening}' has no area, so nothing says how fast water comes in; give "
                "its area in {unit}",
                opening=Subject("opening", opening.name),
                unit=UNIT_OF_AREA,
            )
        )
    ways = tuple(_opening(opening, division))
    found = [way.rooms[1] for way in ways]
    for name in rooms:
        if name not in found:
            raise BadInputError(
                Sentence(
                    "opening '{opening}' leads into room '{behind}', not '{room}'; give that room, "
                    "or say which it leads into",
                    opening=Subject("opening", opening.name),
                    behind=Subject("compartment", found[0]),
                    room=Subject("compartment", name),
                )
            )
    return ways


def with_rooms_named(case: Case, division: Division) -> Case:
    """The case with openings that all name the compartments that they lead into. Raises
    BadInputError as `check_ways`."""
    check_ways(case, division)
    openings = tuple(replace(each, rooms=behind(each, division)) for each in case.openings)
    return replace(case, openings=openings)


def with_doors_told(case: Case, division: Division) -> Division:
    """The compartments with a finding for each door, closed or not, that joins no two of them."""
    astray = []
    for door in case.doors:
        first, second = joined_by(door, division)
        if SEA not in (first, second) and first != second:
            continue
        text = _no_two(door) if first == second else _outer(door, first or second)
        astray.append(Finding("warning", "door-astray", text, points=door.point[None]))
    return replace(division, findings=(*division.findings, *astray))


def of_no_area(case: Case) -> Iterator[Finding]:
    """Openings that pass no water as their area is not given."""
    for opening in case.openings:
        if not (opening.weathertight or opening.area > 0):
            yield Finding(
                "note",
                "no-area",
                Sentence(
                    "Opening '{opening}' has no area, so no water is counted through it; give its "
                    "area in {unit}",
                    opening=Subject("opening", opening.name),
                    unit=UNIT_OF_AREA,
                ),
                points=opening.point[None],
            )


def reachable(ways: Iterable[Way]) -> set[str]:
    """Names of the compartments that water can reach from the sea."""
    ways, found = tuple(ways), {SEA}
    while True:
        more = {name for way in ways if found & set(way.rooms) for name in way.rooms} - found
        if not more:
            return found - {SEA}
        found |= more


def _opening(opening: Opening, division: Division) -> Iterator[Way]:
    """The paths from an opening into each of its compartments."""
    rooms = behind(opening, division)
    area = DISCHARGE * opening.area / max(len(rooms), 1)
    for name in rooms:
        points, shut = opening.points, opening.weathertight
        yield Way("opening", opening.name, (SEA, name), points, area, opening.height, shut)


def behind(opening: Opening, division: Division) -> tuple[str, ...]:
    """The compartments that an opening names, or the nearest one."""
    found = opening.rooms or rooms_beside(division, opening.point)[:1]
    return tuple(name for name in found if name != SEA)


def _door(door: Door, division: Division) -> Way:
    """The path through a door."""
    first, second = joined_by(door, division)
    if first == second:
        raise BadInputError(_no_two(door))
    area = door.area * (DISCHARGE if door.discharge is None else door.discharge)
    return Way("door", door.name, (first, second), door.point[None], area, door.height)


def joined_by(door: Door, division: Division) -> tuple[str, str]:
    """The two compartments that a door names, else those on both sides of the nearest boundary."""
    first, second = door.rooms if len(door.rooms) == 2 else _beside(door, division)
    return first, second


def _no_two(door: Door) -> Sentence:
    return Sentence(
        "door '{door}' at {place} joins no two rooms; put it in a wall between two, or name them",
        door=Subject("door", door.name),
        place=coordinates(door.point),
    )


def _outer(door: Door, room: str) -> Sentence:
    return Sentence(
        "door '{door}' at {place} leads from '{room}' to the sea; put it in a wall between two "
        "rooms, name them, or make it an opening",
        door=Subject("door", door.name),
        place=coordinates(door.point),
        room=Subject("compartment", room),
    )


def _beside(door: Door, division: Division) -> tuple[str, str]:
    """The compartments on both sides of the boundary nearest to a door."""
    return rooms_beside(division, door.middle)


def _gap(gap: Gap) -> Way:
    """The path through a gap, as high as its edges extend."""
    points = np.concatenate([gap.lowest[None], gap.edges.reshape(-1, 3)])
    height = float(np.ptp(points[:, 2]))
    name = Sentence("gap in '{wall}'", wall=Subject("boundary", gap.wall))
    return Way("gap", name, gap.rooms, points, DISCHARGE * gap.area, height)


def _check_place(hole: Hole, room: Room, hull: Hull) -> None:
    """Raises BadInputError for a breach that is not where the boundary of a compartment is the hull
    surface."""
    feet = closest_points(hole.point, room.vertices[room.triangles])
    from_room = np.linalg.norm(feet - hole.point, axis=1)
    away = float(from_room.min())
    wall = Sentence("the walls of room '{room}'", room=Subject("compartment", room.name))
    if away <= REACH * hull.depth:
        away, wall = _off_skin(hole.point, hull), Sentence("the hull's skin")
    if away <= REACH * hull.depth:
        return
    close = ON_SKIN * hull.tree.size
    outer = (foot for foot in feet[from_room.argsort()] if _off_skin(foot, hull) <= close)
    nearest = next(outer, None)
    right = Sentence("put it where room and hull's skin meet")
    if nearest is not None:
        words = "the nearest of its outer skin is {place}"
        right = Sentence(words, place=coordinates(nearest))
    if away > FAR * hull.tree.size:
        right = Sentence("{right}; positions are in metres, ship axes", right=right)
    raise BadInputError(
        Sentence(
            "hole at {place} is {far} from {wall}; {right}",
            place=coordinates(hole.point),
            far=metres(away, ".2f"),
            wall=wall,
            right=right,
        )
    )


def _off_skin(point: Array, hull: Hull) -> float:
    """Distance (m) of a point (3,) from the hull surface."""
    feet = closest_points(point, hull.vertices[hull.triangles])
    return float(np.linalg.norm(feet - point, axis=1).min())


def _check_room(whose: str, name: str, division: Division) -> None:
    check_known(whose, "room", name, [room.name for room in division.rooms])
