"""Ways that water can take: from the sea into a room, and from room to room."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .attitude import Attitude
from .case import Case
from .findings import BadInputError
from .names import check_known
from .openings import Door, Opening
from .room import SEA, Division

Array = NDArray[np.float64]
WayKind = Literal["opening", "door", "gap"]
Beside = Callable[[Division, Array], Sequence[str]]
"""Names of the spaces at a point (3,) of ship axes, `SEA` for the outside."""


@dataclass(frozen=True)
class Way:
    """What water can go through once one of `points` (k, 3) is under, between rooms or the sea."""

    kind: WayKind
    name: str
    points: Array
    rooms: tuple[str, ...]
    tight: bool = False

    @property
    def told(self) -> str:
        """What it is called in words."""
        return told(self.kind, self.name)

    @property
    def inside(self) -> tuple[str, ...]:
        """The rooms without the sea; none where it is not known what the way leads into."""
        return tuple(room for room in self.rooms if room != SEA)

    def height(self, attitude: Attitude) -> float:
        """How far its lowest point stands above water (m)."""
        return float(attitude.heights(self.points).min())


def told(kind: WayKind, name: str) -> str:
    """A way in words: "door 'aft'", "gap in 'deck'"."""
    return name if kind == "gap" else f"{kind} '{name}'"


def leads_on(rooms: Sequence[str], flooded: Sequence[str]) -> bool:
    """Whether water comes to a way between such rooms, and goes on into one of them that is dry or
    that is not known."""
    wet = [room == SEA or room in flooded for room in rooms]
    return any(wet) and (not all(wet) or set(rooms) == {SEA})


def ways_of(case: Case, division: Division, beside: Beside | None = None) -> tuple[Way, ...]:
    """Openings, doors that are not shut, and gaps in walls.

    `beside` finds the rooms of openings and doors that do not name theirs. Raises BadInputError
    for a room that there is not, and for a door that joins nobody knows what.
    """
    openings = [
        Way(
            "opening",
            each.name,
            each.points,
            (SEA, *_rooms_at(each, "opening", division, beside)),
            each.weathertight,
        )
        for each in case.openings
    ]
    doors = []
    for door in case.doors:
        if door.shut:
            continue
        rooms = _rooms_at(door, "door", division, beside)
        if not rooms:
            raise BadInputError(
                f"door '{door.name}': which rooms it joins is not known; name the two"
            )
        outside = () if len(rooms) > 1 else (SEA,)
        doors.append(Way("door", door.name, door.point[None], (*outside, *rooms)))
    gaps = [
        Way(
            "gap",
            f"gap in '{gap.wall}'",
            np.concatenate([gap.lowest[None], gap.edges.reshape(-1, 3)]),
            gap.rooms,
        )
        for gap in division.gaps
    ]
    return (*openings, *doors, *gaps)


def _rooms_at(
    way: Opening | Door, kind: str, division: Division, beside: Beside | None
) -> tuple[str, ...]:
    """The rooms that an opening or a door leads into, named or found."""
    rooms = way.rooms or (tuple(beside(division, way.point)) if beside else ())
    inside = tuple(room for room in rooms if room != SEA)
    for room in inside:
        check_known(f"{kind} '{way.name}'", "room", room, [each.name for each in division.rooms])
    return inside
