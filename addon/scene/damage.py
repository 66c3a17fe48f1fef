"""Hulls of the scene holed: what becomes of them in the end and in time, kept for the session."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import bpy

from ..core.bulkheads import place_bulkheads
from ..core.case import Case
from ..core.conditions import in_condition
from ..core.findings import BadInputError
from ..core.flooding import flood, flood_each, worst
from ..core.ingress import flood_in_time
from ..core.room import SEA, Division
from ..core.rooms import rooms_beside
from . import session
from .aboard import counted, place_of
from .names import Role
from .read import read_case
from .rooms import divided
from .settings import settings
from .survey import afloat

Tell = Callable[[float], None]


@dataclass(frozen=True)
class _Ship:
    """A hull of the scene afloat as she is loaded, with her rooms."""

    entry: session.Entry
    case: Case
    division: Division


def flood_holed(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, tell: Tell | None = None
) -> None:
    """Open the rooms that are chosen to the sea. Raises BadInputError."""
    ship = _ship(depsgraph, hull, tell)
    names = [room.name for room in ship.division.rooms if room.name in ship.entry.holed]
    if not names:
        raise BadInputError("no room is holed; tick the rooms that are open to the sea")
    found = flood(ship.case, ship.division, names, tell)
    session.hurt(ship.entry, floodings=(found,), shown=0)


def flood_all(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    pairs: bool,
    tell: Tell | None = None,
) -> None:
    """Open every room, or every two neighbours, to the sea, and draw the worst.

    Raises BadInputError.
    """
    ship = _ship(depsgraph, hull, tell)
    found = flood_each(ship.case, ship.division, pairs, tell)
    least = worst(found)
    shown = next(index for index, each in enumerate(found) if each is least)
    session.hurt(ship.entry, floodings=found, shown=shown)


def flood_through(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    way: bpy.types.Object,
    tell: Tell | None = None,
) -> None:
    """Let the sea in through a hole, or an opening left open, and see how long she has.

    Marked rooms keep their air and are pumped as their marks say. Raises BadInputError.
    """
    ship = _ship(depsgraph, hull, tell)
    frame, chosen = ship.entry.ship.frame, settings(way)
    point = place_of(depsgraph, way, frame)
    inside = [name for name in rooms_beside(ship.division, point) if name != SEA]
    marks = {mark.name: settings(mark).inflow for mark in counted(depsgraph, hull)[Role.ROOM]}
    run = flood_in_time(
        ship.case,
        ship.division,
        tuple(inside[:1]),
        way.name if chosen.role == Role.OPENING else chosen.hole.hole(point, frame.unit),
        tuple(name for name, inflow in marks.items() if inflow.trapped),
        tuple(pump for name, inflow in marks.items() for pump in inflow.pumps(name)),
        tell=tell,
    )
    session.hurt(ship.entry, ingress=run, hole=way.name)


def advise(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, count: int, tell: Tell | None = None
) -> None:
    """Find where so many transverse bulkheads do most for her. Raises BadInputError."""
    entry = _afloat(depsgraph, hull, tell)
    case = _loaded(depsgraph, hull, entry)
    session.hurt(entry, advice=place_bulkheads(case, count, tell=tell))


def _ship(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, tell: Tell | None = None
) -> _Ship:
    """The hull floated, and her rooms found, where that is not known. Raises BadInputError."""
    entry = _afloat(depsgraph, hull, tell)
    division = divided(depsgraph, hull, entry.ship).division
    return _Ship(entry, _loaded(depsgraph, hull, entry), division)


def _afloat(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, tell: Tell | None
) -> session.Entry:
    entry = afloat(depsgraph, hull, tell)
    if entry.floating is None:
        raise BadInputError(entry.message or "")
    return entry


def _loaded(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, entry: session.Entry) -> Case:
    """The hull with all her parts as they are, loaded as an entry says. Raises BadInputError."""
    case = read_case(depsgraph, hull, entry.ship).case
    return in_condition(case, entry.condition) if entry.condition else case
