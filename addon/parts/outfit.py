"""What a case says of a ship beside her hull, her weights and the water.

Tanks, openings, windage, walls, rooms, doors, service, criteria and conditions of loading, read
key by key. Boxes, points and planes are in ship axes; meshes stand where the hull's does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import radians
from typing import Any, cast, get_args, get_type_hints

import numpy as np
from numpy.typing import NDArray

from ..core.criteria.codes import CODES
from ..core.messages.findings import BadInputError
from ..core.model.compartment import PERMEABILITY, Use
from ..core.model.conditions import Condition
from ..core.model.openings import Door, Kind, Opening
from ..core.model.service import Service
from ..core.model.user_criteria import ANGLES, MEASURES, Measure, OwnRule
from ..files.input_errors import check_words
from ..files.obj import PolygonMesh
from .table import Point, Table

Array = NDArray[np.float64]

PROTECTIONS = ("unprotected", "weathertight")
KINDS = get_args(Kind)
PLANES = ("x_m", "y_m", "z_m")

BODY_KEYS = ("mesh", "box_m")
BOTH_SIDES = "both_sides"
KEYS: dict[str, tuple[str, ...]] = {
    "tank": ("name", *BODY_KEYS, "density_kg_m3", "fill", "permeability", "group", BOTH_SIDES),
    "opening": (
        *("name", "position_m", "mesh", "protection"),
        *("kind", "area_m2", "height_m", "rooms", BOTH_SIDES),
    ),
    "windage": ("name", *BODY_KEYS, BOTH_SIDES),
    "wall": ("name", "mesh", *PLANES, BOTH_SIDES),
    "room": ("name", *BODY_KEYS, "at_m", "use", "permeability", BOTH_SIDES),
    "door": (
        *("name", "position_m", "mesh", "area_m2", "height_m"),
        *("rooms", "shut", "discharge", BOTH_SIDES),
    ),
    "criterion": (
        *("name", "measure", "at_least", "at_most"),
        *("from_deg", "to_deg", "at_deg", "moment_kg_m"),
    ),
    "condition": (
        *("name", "fill", "without", "without_groups", "mass_margin", "rise_margin_m"),
        "flooded",
    ),
}
"""Lists of tables, with the keys of each."""

UNITS = {
    "passenger_mass": "_kg",
    "passenger_deck_z": "_m",
    "passenger_deck_breadth": "_m",
    "crowd_offset": "_m",
    "speed": "_m_s",
    "load_line_length": "_m",
    "bilge_keel_area": "_m2",
    "cockpit_length": "_m",
    "boat_mass": "_kg",
    "motor_mass": "_kg",
    "side_load": "_kg",
}
FACTS = get_type_hints(Service)
SERVICE = {f"{fact}{UNITS.get(fact, '')}": fact for fact in FACTS}
"""Keys of [service], and the facts that they tell."""

ASKED = {
    "GZ": ("at_deg",),
    "greatest GZ": ("from_deg",),
    "area": ("from_deg", "to_deg"),
    "heel under moment": ("moment_kg_m",),
}
"""Keys that go with a measure beside its limits."""


@dataclass(frozen=True)
class Box:
    """A box along the ship axes, by two opposite corners (m)."""

    low: Point
    high: Point


Body = str | Box | PolygonMesh
"""A body by the name of its file, as a box, or as a mesh in metres where the hull's stands."""


@dataclass(frozen=True)
class Plane:
    """A whole plane through the ship: 0 for x, 1 for y or 2 for z, and where along it (m)."""

    axis: int
    at: float


@dataclass(frozen=True)
class TankEntry:
    """What a case says of a tank."""

    name: str
    body: Body
    density: float
    fill: float = 0.0
    permeability: float = 1.0
    group: str = ""


@dataclass(frozen=True)
class WindageEntry:
    """What a case says of a shape above deck that catches the wind."""

    name: str
    body: Body


@dataclass(frozen=True)
class WallEntry:
    """What a case says of a wall, a bulkhead or a deck."""

    name: str
    body: str | PolygonMesh | Plane


@dataclass(frozen=True)
class RoomEntry:
    """What a case says of a room: a point within it, or a body that it fills as far as that lies
    in the hull."""

    name: str
    place: Point | Body
    use: Use = "void"
    permeability: float | None = None


@dataclass(frozen=True)
class OpeningEntry:
    """What a case says of an opening that a surface tells: area (m2) and height (m) of its own in
    place of those of the surface."""

    name: str
    body: str | PolygonMesh
    weathertight: bool = False
    kind: Kind = Opening.kind
    area: float | None = None
    height: float | None = None
    rooms: tuple[str, ...] = ()


@dataclass(frozen=True)
class DoorEntry:
    """What a case says of a door that a surface tells, as of such an opening."""

    name: str
    body: str | PolygonMesh
    area: float | None = None
    height: float | None = None
    rooms: tuple[str, ...] = ()
    shut: bool = False
    discharge: float | None = None


@dataclass(frozen=True)
class Outfit:
    """All that a case says beside hull, weights and water, no mesh opened yet.

    `both_sides` tells the tables of parts that stand on both sides, by key and place.
    """

    tanks: tuple[TankEntry, ...] = ()
    openings: tuple[Opening | OpeningEntry, ...] = ()
    windage: tuple[WindageEntry, ...] = ()
    service: Service = Service()
    codes: tuple[str, ...] | None = None
    own_rules: tuple[OwnRule, ...] = ()
    conditions: tuple[Condition, ...] = ()
    walls: tuple[WallEntry, ...] = ()
    rooms: tuple[RoomEntry, ...] = ()
    doors: tuple[Door | DoorEntry, ...] = ()
    both_sides: frozenset[tuple[str, int]] = frozenset()


def parse_outfit(top: Table) -> Outfit:
    """Outfit from the top table of a case."""

    def each(key: str, read: Callable[[Table, str], Any]) -> tuple[Any, ...]:
        tables = enumerate(top.tables(key, KEYS[key]), 1)
        return tuple(read(table, table.text("name") or f"{key} {i}") for i, table in tables)

    codes = top.table("criteria", ("codes",)).texts("codes")
    check_words("code in criteria.codes", codes or (), [code.key for code in CODES])
    return Outfit(
        each("tank", _tank),
        each("opening", _opening),
        each("windage", lambda table, name: WindageEntry(name, _body(table, f"windage '{name}'"))),
        _service(top.table("service", tuple(SERVICE))),
        codes,
        each("criterion", _own_rule),
        each("condition", _condition),
        each("wall", _wall),
        each("room", _room),
        each("door", _door),
        frozenset(
            (key, place)
            for key, known in KEYS.items()
            if BOTH_SIDES in known
            for place, table in enumerate(top.tables(key, known))
            if table.flag(BOTH_SIDES)
        ),
    )


def _tank(table: Table, name: str) -> TankEntry:
    density = table.number("density_kg_m3")
    if density is None:
        raise BadInputError(
            f"tank '{name}' has no density_kg_m3; give that of its content, such as 1000 for "
            "fresh water"
        )
    permeability = table.number("permeability")
    return TankEntry(
        name,
        _body(table, f"tank '{name}'"),
        density,
        table.number("fill") or 0.0,
        1.0 if permeability is None else permeability,
        table.text("group") or "",
    )


def _body(table: Table, where: str) -> Body:
    mesh, corners = table.text("mesh"), table.corners("box_m")
    if mesh is not None and corners is None:
        return mesh
    if corners is None or mesh is not None:
        raise BadInputError(
            f"{where} has {'both a mesh and a box_m' if mesh else 'no body'}; give mesh, or "
            "box_m = [[x0, y0, z0], [x1, y1, z1]] in ship axes"
        )
    low, high = np.sort(corners, axis=0).tolist()
    for axis, start, end in zip("xyz", low, high, strict=True):
        if start == end:
            raise BadInputError(
                f"{where}: box_m has no extent along {axis}, both corners are at {start:g} m; "
                "give two opposite corners"
            )
    return Box(tuple(low), tuple(high))


def _opening(table: Table, name: str) -> Opening | OpeningEntry:
    where = f"opening '{name}'"
    place = _place(table, where, "where water first comes in")
    tight = table.choice("protection", PROTECTIONS) == "weathertight"
    kind = cast(Kind, table.choice("kind", KINDS) or Opening.kind)
    area = table.number("area_m2")
    if area == 0:
        raise BadInputError(
            f"{where}: area_m2 is 0; give what water can pass through, or leave it out if it is "
            "not known"
        )
    height, rooms = table.number("height_m"), _rooms(table, where, 1)
    if isinstance(place, str):
        return OpeningEntry(name, place, tight, kind, area, height, rooms)
    return Opening(name, place, tight, kind, area or 0.0, height or 0.0, rooms)


def _wall(table: Table, name: str) -> WallEntry:
    where = f"wall '{name}'"
    mesh = table.text("mesh")
    planes = [
        Plane(axis, at) for axis, key in enumerate(PLANES) if (at := table.number(key)) is not None
    ]
    if (mesh is not None) + len(planes) != 1:
        given = ", ".join(key for key in ("mesh", *PLANES) if key in table.keys)
        raise BadInputError(
            f"{where} has {given or 'no body'}; give one of mesh, x_m for a bulkhead, y_m for one "
            "along the ship and z_m for a deck"
        )
    return WallEntry(name, mesh or planes[0])


def _room(table: Table, name: str) -> RoomEntry:
    where = f"room '{name}'"
    given = [key for key in (*BODY_KEYS, "at_m") if key in table.keys]
    if len(given) != 1:
        raise BadInputError(
            f"{where} has {', '.join(given) or 'no place'}; give one of at_m = [x, y, z], a point "
            "within it, mesh and box_m"
        )
    at = table.point("at_m")
    return RoomEntry(
        name,
        _body(table, where) if at is None else at,
        cast(Use, table.choice("use", tuple(PERMEABILITY)) or RoomEntry.use),
        table.number("permeability"),
    )


def _door(table: Table, name: str) -> Door | DoorEntry:
    where = f"door '{name}'"
    place = _place(table, where, "the middle of its sill")
    area, height = table.number("area_m2"), table.number("height_m")
    rooms, shut = _rooms(table, where, 2), bool(table.flag("shut"))
    discharge = table.number("discharge")
    if isinstance(place, str):
        return DoorEntry(name, place, area, height, rooms, shut, discharge)
    if area is None:
        raise BadInputError(f"{where} has no area_m2; give that of the doorway, such as 1.5")
    return Door(name, place, area, height or 0.0, rooms, shut, discharge)


def _place(table: Table, where: str, what: str) -> Array | str:
    """The point at which a way lies, or the name of the file of the surface across it."""
    place, mesh = table.point("position_m"), table.text("mesh")
    if place is not None and mesh is None:
        return np.array(place)
    if mesh is None or place is not None:
        raise BadInputError(
            f"{where} has {'both a mesh and a position_m' if mesh else 'no position_m'}; give "
            f"[x, y, z], {what}, or mesh, a flat surface across the way through"
        )
    return mesh


def _rooms(table: Table, where: str, most: int) -> tuple[str, ...]:
    """The rooms that a way leads into, `most` of them or none."""
    rooms = table.texts("rooms") or ()
    if len(rooms) not in (0, most) or len(set(rooms)) < len(rooms):
        wanted = 'the one it leads into, ["A"]' if most == 1 else 'the two it joins, ["A", "B"]'
        raise BadInputError(f"{where}: rooms names {len(set(rooms))}; name {wanted}")
    return rooms


def _service(table: Table) -> Service:
    facts: dict[str, Any] = {}
    for key, fact in SERVICE.items():
        words = _words(FACTS[fact])
        if words:
            facts[fact] = table.choice(key, words)
        else:
            facts[fact] = table.whole(key) if FACTS[fact] is int else table.number(key)
    return Service(**{fact: value for fact, value in facts.items() if value is not None})


def _words(hint: Any) -> tuple[str, ...]:
    """The words among which a fact is one, if it is told in words."""
    return tuple(
        word
        for part in get_args(hint)
        for word in ([part] if isinstance(part, str) else _words(part))
    )


def _own_rule(table: Table, name: str) -> OwnRule:
    where = f"criterion '{name}'"
    measure = table.choice("measure", MEASURES)
    if measure is None:
        raise BadInputError(f"{where} has no measure; known are {', '.join(MEASURES)}")
    asked = ASKED.get(measure, ())
    for key in ("from_deg", "to_deg", "at_deg", "moment_kg_m"):
        if key in table.keys and key not in asked:
            raise BadInputError(f"{where}: {key} does not go with {measure}; leave it out")
    least, most = table.number("at_least"), table.number("at_most")
    if measure in ANGLES:
        least, most = _radians(least), _radians(most)
    start, end, at = (_radians(table.number(key)) for key in ("from_deg", "to_deg", "at_deg"))
    return OwnRule(
        name,
        cast(Measure, measure),
        least,
        most,
        at if measure == "GZ" else start,
        end,
        table.number("moment_kg_m"),
    )


def _radians(degrees: float | None) -> float | None:
    return None if degrees is None else radians(degrees)


def _condition(table: Table, name: str) -> Condition:
    return Condition(
        name,
        table.numbers("fill"),
        table.texts("without") or (),
        table.texts("without_groups") or (),
        table.number("mass_margin") or 0.0,
        table.number("rise_margin_m") or 0.0,
        table.texts("flooded") or (),
    )
