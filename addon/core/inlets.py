"""Ways for water: the hole, openings, doors, and gaps in walls, as one kind of thing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .case import Case
from .findings import BadInputError, Finding
from .names import check_known
from .openings import Opening
from .orifice import DISCHARGE
from .room import SEA, Division, Gap, Room
from .triangles import distance

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Hole:
    """A hole in the skin of a ship; `point` (3,) of ship axes is its lowest point.

    Its area (m2), its coefficient of discharge, and how far it reaches up (m), zero for one that
    lies flat or is small beside its depth.
    """

    point: Array
    area: float
    discharge: float = DISCHARGE
    height: float = 0.0

    def __post_init__(self) -> None:
        if not np.isfinite(self.point).all():
            raise BadInputError("hole: its position is not a number; give x, y, z in metres")
        if not (np.isfinite(self.area) and self.area > 0):
            raise BadInputError(
                f"hole: the area is {self.area:g} m2; give one above zero, such as 0.05"
            )
        if not 0 < self.discharge <= 1:
            raise BadInputError(
                f"hole: the coefficient of discharge is {self.discharge:g}; give one above 0 and "
                f"up to 1, such as {DISCHARGE:g} for a sharp edge"
            )
        if not (np.isfinite(self.height) and self.height >= 0):
            raise BadInputError(
                f"hole: the height is {self.height:g} m; give one that is not negative"
            )


@dataclass(frozen=True)
class Way:
    """A way from one space to another, `SEA` for the outside.

    `point` (3,) is the middle of its sill, `area` its coefficient of discharge times its area
    (m2), and `height` how far it reaches up the ship from there (m).
    """

    name: str
    rooms: tuple[str, str]
    point: Array
    area: float
    height: float = 0.0

    def where_open(self, flooded: tuple[str, ...]) -> Way:
        """The way where rooms that have flooded are one with the sea."""
        first, second = (SEA if name in flooded else name for name in self.rooms)
        return replace(self, rooms=(first, second))


def ways_into(division: Division, rooms: tuple[str, ...], hole: Hole, reach: float) -> list[Way]:
    """The hole, a like share of it in each room. Raises BadInputError for a room that is not
    there, and for a hole farther than `reach` (m) from its walls."""
    for name in rooms:
        check_known("hole", "room", name, [room.name for room in division.rooms])
    for room in _rooms(division, rooms):
        away = _away(room, hole.point)
        if away > reach:
            raise BadInputError(
                f"hole at {_place(hole.point)} is {away:.2f} m from the walls of room "
                f"'{room.name}'; put it where room and hull's skin meet"
            )
    share = hole.discharge * hole.area / len(rooms)
    return [Way("the hole", (SEA, name), hole.point, share, hole.height) for name in rooms]


def ways_in(case: Case, division: Division, left_out: str = "") -> list[Way]:
    """Openings that are not shut and have an area, doors that are open, and gaps."""
    return [
        *_openings(case, division, left_out),
        *(
            Way(
                f"door '{door.name}'",
                _joined("door", door.name, door.point, door.rooms, division, 0),
                door.point,
                DISCHARGE * door.area,
                door.height,
            )
            for door in case.doors
            if not door.shut
        ),
        *(_way_of(gap) for gap in division.gaps if gap.area > 0),
    ]


def of_no_area(case: Case) -> Iterable[Finding]:
    """Openings through which no water is counted, as nobody said how large they are."""
    for opening in case.openings:
        if not (opening.weathertight or opening.area > 0):
            yield Finding(
                "note",
                "no-area",
                f"Opening '{opening.name}' has no area, so no water is counted through it; give "
                "its area in m2",
                points=opening.point[None],
            )


def hole_of(opening: Opening) -> Hole:
    """An opening that lets the sea in. Raises BadInputError where it has no area."""
    if not opening.area > 0:
        raise BadInputError(
            f"opening '{opening.name}' has no area, so nothing says how fast water comes in; give "
            "its area in m2"
        )
    return Hole(opening.point, opening.area, DISCHARGE, opening.height)


def reachable(ways: Iterable[Way]) -> set[str]:
    """Names of the rooms that water can get into from the sea."""
    ways, found = tuple(ways), {SEA}
    while True:
        more = {name for way in ways if found & set(way.rooms) for name in way.rooms} - found
        if not more:
            return found - {SEA}
        found |= more


def _openings(case: Case, division: Division, left_out: str) -> Iterable[Way]:
    for each in case.openings:
        if each.weathertight or not each.area > 0 or each.name == left_out:
            continue
        rooms = _joined("opening", each.name, each.point, each.rooms, division, 1)
        yield Way(f"opening '{each.name}'", rooms, each.point, DISCHARGE * each.area, each.height)


def _way_of(gap: Gap) -> Way:
    """A gap in a wall, as high as its edges reach."""
    height = float(np.ptp(gap.edges[..., 2])) if gap.edges.size else 0.0
    return Way(f"gap in '{gap.wall}'", gap.rooms, gap.lowest, DISCHARGE * gap.area, height)


def _joined(
    kind: str, name: str, point: Array, told: tuple[str, ...], division: Division, outside: int
) -> tuple[str, str]:
    """The two spaces that a way joins, as told or else those nearest to it, `outside` of them the
    sea."""
    names = [room.name for room in division.rooms]
    for room in told:
        check_known(f"{kind} '{name}'", "room", room, names)
    rooms = list(told)
    if len(rooms) < 2 - outside:
        near = sorted(division.rooms, key=lambda room: _away(room, point))
        rooms += [room.name for room in near if room.name not in told]
    if len(rooms) + outside < 2:
        raise BadInputError(f"{kind} '{name}' at {_place(point)} joins no two rooms; there is one")
    return (SEA, rooms[0]) if outside and len(told) < 2 else (rooms[0], rooms[1])


def _rooms(division: Division, names: tuple[str, ...]) -> list[Room]:
    return [room for room in division.rooms if room.name in names]


def _away(room: Room, point: Array) -> float:
    """Distance (m) of a point from a room's walls."""
    return distance(point, room.vertices[room.triangles])


def _place(point: Array) -> str:
    x, y, z = point
    return f"x {x:.2f}, y {y:.2f}, z {z:.2f} m"
