"""The outfit of a ship as TOML that reads back the same to the last digit."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import chain
from typing import Any

from ..core.model.conditions import Condition
from ..core.model.openings import Door, Opening
from ..core.model.service import Service
from ..core.model.user_criteria import ANGLES, OwnRule
from ..files.obj import PolygonMesh
from ..units.angles import exact_degrees
from .outfit import (
    BOTH_SIDES,
    PLANES,
    PROTECTIONS,
    SERVICE,
    Body,
    Box,
    DoorEntry,
    OpeningEntry,
    Outfit,
    Plane,
    RoomEntry,
    TankEntry,
    WallEntry,
    WindageEntry,
)


def outfit_text(outfit: Outfit) -> str:
    """Tables of an outfit whose bodies are boxes or in files; nothing of what is left out."""

    def each(
        key: str, entries: Iterable[Any], told: Callable[[Any], dict[str, Any]]
    ) -> Iterator[str]:
        for place, entry in enumerate(entries):
            both = {BOTH_SIDES: True} if (key, place) in outfit.both_sides else {}
            yield _table(f"[[{key}]]", told(entry) | both)

    tables = chain(
        each("tank", outfit.tanks, _tank),
        each("opening", outfit.openings, _opening),
        each("windage", outfit.windage, _shape),
        each("wall", outfit.walls, _wall),
        each("room", outfit.rooms, _room),
        each("door", outfit.doors, _door),
        _facts(outfit.service),
        [] if outfit.codes is None else [_table("[criteria]", {"codes": list(outfit.codes)})],
        each("criterion", outfit.own_rules, _own_rule),
        each("condition", outfit.conditions, _condition),
    )
    return "\n".join(tables)


def filed(outfit: Outfit) -> tuple[Outfit, dict[str, PolygonMesh]]:
    """The outfit with its drawn bodies by the names of files to be, and those files' meshes."""
    meshes: dict[str, PolygonMesh] = {}

    def file(body: Any, stem: str) -> Any:
        if not isinstance(body, PolygonMesh):
            return body
        name = f"{stem}.obj"
        meshes[name] = body
        return name

    def filed_all(entries: Iterable[Any], stem: str, key: str = "body") -> tuple[Any, ...]:
        return tuple(
            replace(entry, **{key: file(getattr(entry, key), f"{stem}-{i}")})
            if hasattr(entry, key)
            else entry
            for i, entry in enumerate(entries, 1)
        )

    filed_outfit = replace(
        outfit,
        tanks=filed_all(outfit.tanks, "tank"),
        openings=filed_all(outfit.openings, "opening"),
        windage=filed_all(outfit.windage, "windage"),
        walls=filed_all(outfit.walls, "wall"),
        rooms=filed_all(outfit.rooms, "room", "place"),
        doors=filed_all(outfit.doors, "door"),
    )
    return filed_outfit, meshes


def quoted(text: str) -> str:
    """A TOML string; JSON's escapes are TOML's too, but for the one control it leaves bare."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _tank(tank: TankEntry) -> dict[str, Any]:
    return {
        "name": tank.name,
        **_body(tank.body),
        "density_kg_m3": tank.density,
        "fill": tank.fill,
        "permeability": None if tank.permeability == 1 else tank.permeability,
        "group": tank.group or None,
    }


def _shape(shape: WindageEntry) -> dict[str, Any]:
    return {"name": shape.name, **_body(shape.body)}


def _body(body: Body) -> dict[str, Any]:
    assert not isinstance(body, PolygonMesh)
    return {"box_m": [body.low, body.high]} if isinstance(body, Box) else {"mesh": body}


def _opening(opening: Opening | OpeningEntry) -> dict[str, Any]:
    return {
        "name": opening.name,
        **_way(opening),
        "protection": PROTECTIONS[opening.weathertight],
        "kind": None if opening.kind == Opening.kind else opening.kind,
        "rooms": list(opening.rooms) or None,
    }


def _wall(wall: WallEntry) -> dict[str, Any]:
    assert not isinstance(wall.body, PolygonMesh)
    if isinstance(wall.body, Plane):
        return {"name": wall.name, PLANES[wall.body.axis]: wall.body.at}
    return {"name": wall.name, "mesh": wall.body}


def _room(room: RoomEntry) -> dict[str, Any]:
    place = {"at_m": room.place} if isinstance(room.place, tuple) else _body(room.place)
    return {
        "name": room.name,
        **place,
        "use": None if room.use == RoomEntry.use else room.use,
        "permeability": room.permeability,
    }


def _door(door: Door | DoorEntry) -> dict[str, Any]:
    return {
        "name": door.name,
        **_way(door),
        "rooms": list(door.rooms) or None,
        "shut": door.shut or None,
        "discharge": door.discharge,
    }


def _way(way: Opening | OpeningEntry | Door | DoorEntry) -> dict[str, Any]:
    """Where a way lies and how large it is; what is its own where a surface tells the rest."""
    if isinstance(way, (OpeningEntry, DoorEntry)):
        return {**_body(way.body), "area_m2": way.area, "height_m": way.height}
    return {
        "position_m": way.point.tolist(),
        "area_m2": way.area or None,
        "height_m": way.height or None,
    }


def _facts(service: Service) -> Iterator[str]:
    usual = Service()
    told = {key: getattr(service, fact) for key, fact in SERVICE.items()}
    changed = {key: told[key] for key, fact in SERVICE.items() if told[key] != getattr(usual, fact)}
    if changed:
        yield _table("[service]", changed)


def _own_rule(rule: OwnRule) -> dict[str, Any]:
    def limit(value: float | None) -> float | None:
        return _degrees(value) if rule.measure in ANGLES else value

    at = rule.measure == "GZ"
    return {
        "name": rule.name,
        "measure": rule.measure,
        "at_least": limit(rule.least),
        "at_most": limit(rule.most),
        "at_deg" if at else "from_deg": _degrees(rule.start),
        "to_deg": _degrees(rule.end),
        "moment_kg_m": rule.moment,
    }


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else exact_degrees(angle)


def _condition(state: Condition) -> dict[str, Any]:
    return {
        "name": state.name,
        "fill": state.fills or None,
        "without": list(state.without) or None,
        "without_groups": list(state.without_groups) or None,
        "mass_margin": state.mass_margin or None,
        "rise_margin_m": state.rise_margin or None,
        "flooded": list(state.flooded) or None,
    }


def _table(head: str, values: Mapping[str, Any]) -> str:
    lines = [f"{key} = {_value(value)}" for key, value in values.items() if value is not None]
    return "\n".join([head, *lines]) + "\n"


def _value(value: Any) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, Mapping):
        return _joined("{}", (f"{quoted(name)} = {_value(item)}" for name, item in value.items()))
    if isinstance(value, (list, tuple)):
        return _joined("[]", map(_value, value))
    if isinstance(value, bool):
        return str(value).lower()
    return repr(value) if isinstance(value, int) else repr(float(value))


def _joined(brackets: str, items: Iterable[str]) -> str:
    return f"{brackets[0]}{', '.join(items)}{brackets[1]}"
