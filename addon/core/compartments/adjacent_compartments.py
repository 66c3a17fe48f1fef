"""Which compartments a point is in, or lies between."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..geometry.rays import closest_points, first_hits
from ..geometry.winding_number import is_inside
from ..model.compartment import SEA, Division, Room

Array = NDArray[np.float64]

STEP = 1e-6
INWARD = 1e-3


def room_at(rooms: Sequence[Room], point: Array) -> int | None:
    """The index of the compartment that a point (3,) lies in."""
    for number, room in enumerate(rooms):
        around = (room.body.low < point).all() and (point < room.body.high).all()
        if around and is_inside(point[None], room.vertices[room.triangles])[0]:
            return number
    return None


def rooms_beside(division: Division, point: Array) -> tuple[str, str]:
    """Names of the compartments on both sides of the boundary nearest to a point (3,), `SEA` for
    outside.

    The first is a compartment, the second lies beyond its boundary, straight through the material
    of one that has thickness. For a door use a point at mid height: its sill may be as near to a
    deck.
    """
    rooms = division.rooms
    if not rooms:
        return SEA, SEA
    lows, highs = (np.array([getattr(room.body, end) for room in rooms]) for end in ("low", "high"))
    step = STEP * float(np.linalg.norm(highs.max(axis=0) - lows.min(axis=0)))
    away = np.linalg.norm(np.maximum(np.maximum(lows - point, point - highs), 0.0), axis=1)
    best, wall, foot, here = np.inf, np.zeros((3, 3)), point, 0
    for number in np.argsort(away, kind="stable"):
        if away[number] > best:
            break
        corners = rooms[number].vertices[rooms[number].triangles]
        feet = closest_points(point, corners)
        distances = np.linalg.norm(feet - point, axis=1)
        nearest = int(distances.argmin())
        if distances[nearest] < best - step:
            best, wall = float(distances[nearest]), corners[nearest]
            foot, here = feet[nearest], int(number)
    normal = np.cross(wall[1] - wall[0], wall[2] - wall[0])
    normal /= np.linalg.norm(normal)
    beyond = foot + INWARD * (wall.mean(axis=0) - foot) + step * normal
    if is_inside(beyond[None], division.material)[0]:
        distance, _ = first_hits(beyond[None], normal[None], division.material, 0.0)
        beyond = beyond + (distance[0] + step) * normal
    there = room_at(rooms, beyond)
    return rooms[here].name, SEA if there is None else rooms[there].name
