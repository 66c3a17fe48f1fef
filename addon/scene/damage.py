"""Hulls of the scene holed: what becomes of them in the end and in time, kept for the session."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import bpy

from ..core.case import Case
from ..core.conditions import in_condition
from ..core.findings import BadInputError
from ..core.flooding import flood, flood_each
from ..core.ingress import Hole, flood_in_time
from ..core.room import SEA, Division
from ..core.rooms import rooms_beside
from . import session
from .aboard import place_of
from .names import Role
from .read import read_case
from .rooms import divided
from .settings import settings
from .survey import afloat

Tell = Callable[[float], None]


@dataclass(frozen=True)
class Ship:
    """A hull of the scene as she is loaded, afloat, with her rooms."""

    entry: session.Entry
    case: Case
    division: Division


def ship_of(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, tell: Tell | None = None
) -> Ship:
    """The hull floated, and her rooms found, where that is not known. Raises BadInputError."""
    entry = afloat(depsgraph, hull, tell)
    if entry.floating is None:
        raise BadInputError(entry.message or "")
    division = divided(depsgraph, hull, entry.ship).division
    case = read_case(depsgraph, hull, entry.ship).case
    case = in_condition(case, entry.condition) if entry.condition else case
    return Ship(entry, case, division)


def flood_holed(ship: Ship, tell: Tell | None = None) -> None:
    """Open the rooms that are chosen to the sea. Raises BadInputError."""
    if not ship.entry.holed:
        raise BadInputError("no room is holed; tick the rooms that are open to the sea")
    names = [room.name for room in ship.division.rooms if room.name in ship.entry.holed]
    found = flood(ship.case, ship.division, names, tell, rooms_beside)
    session.hurt(ship.entry, floodings=(found,), shown=0)


def flood_all(ship: Ship, pairs: bool, tell: Tell | None = None) -> None:
    """Open every room, or every two neighbours, to the sea. Raises BadInputError."""
    found = flood_each(ship.case, ship.division, pairs, tell, rooms_beside)
    session.hurt(ship.entry, floodings=found, shown=None)


def flood_through(ship: Ship, hole: Hole, tell: Tell | None = None) -> None:
    """Let the sea in through a hole and see how long she has. Raises BadInputError."""
    beside = rooms_beside(ship.division, hole.point)
    room = next((name for name in beside if name != SEA), SEA)
    session.hurt(ship.entry, ingress=flood_in_time(ship.case, ship.division, room, hole, tell=tell))


def hole_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, entry: session.Entry) -> Hole:
    """An empty as a hole in ship axes; an opening counts as one of its area.

    Raises BadInputError for an opening whose area is not known.
    """
    chosen, frame = settings(obj), entry.ship.frame
    hole = chosen.role == Role.HOLE
    area = (chosen.hole.area if hole else chosen.opening.area) * frame.unit**2
    if not area > 0:
        raise BadInputError(f"opening '{obj.name}': its area is not known; give it first")
    point = place_of(depsgraph, obj, frame)
    return Hole(point, area, chosen.hole.discharge)
