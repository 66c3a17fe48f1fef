"""Results of rooms and tanks as plain dictionaries, by the names of the command line's contract."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import radians
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..core.buoyancy.attitude import Attitude
from ..core.compartments.find_compartments import first_water
from ..core.damage.flooding_paths import behind, joined_by
from ..core.hydrostatics.floating_position import Floating
from ..core.hydrostatics.tank_soundings import Soundings, heeling_moments
from ..core.messages.sentence import place
from ..core.model.case import Case
from ..core.model.compartment import Division, Gap, Leak, Room
from ..core.model.openings import Door, Opening
from ..core.model.tanks import UPRIGHT, Tank, free_surface_moment
from .floating import closing, heading, opening_told, plain, said, tank_told

Array = NDArray[np.float64]

THE_SEA, THE_HULL = "the sea", "the hull"
LIQUID_HEELS = (5.0, 10.0, 20.0, 30.0, 45.0)
"""Heels (degrees) at which what a liquid does is held beside its free surface upright."""


def rooms_result(case: Case, division: Division, afloat: Attitude | None) -> dict[str, Any]:
    """Rooms and how water gets into those that leak.

    `at_m` of a leak is where water must rise to before it gets in, and `over_water_m` how far that
    is above it, as she lies afloat; upright and not known where she does not float.
    `wall_volume_m3` is that of wall material, `position_m` of openings and doors their sill.
    """
    hull = case.hull.name
    leaking = [room.name for room in division.rooms if not room.sealed]
    return plain(
        {
            **heading(case),
            "failed": ["leak"] if leaking else [],
            **said((*division.findings, *case.hull.findings)),
            "rooms": [_room(room, division, hull) for room in division.rooms],
            "rooms_volume_m3": sum(room.volume for room in division.rooms),
            "wall_volume_m3": division.solid,
            "neighbours": [list(pair) for pair in division.neighbours],
            "openings": [_opening(each, division) for each in case.openings],
            "doors": [_door(each, division) for each in case.doors],
            "gaps": [_gap(gap, hull) for gap in division.gaps],
            "leaks": [_leak(leak, afloat, hull) for leak in division.leaks],
            **closing(),
        }
    )


def _room(room: Room, division: Division, hull: str) -> dict[str, Any]:
    beside = [pair for pair in division.neighbours if room.name in pair]
    return {
        "name": room.name,
        "volume_m3": room.volume,
        "centroid_m": room.centre,
        "floor_m": room.floor,
        "ceiling_m": room.ceiling,
        "aft_m": room.body.low[0],
        "forward_m": room.body.high[0],
        "sealed": room.sealed,
        "use": room.use,
        "permeability": room.permeability,
        "walls": [_wall(wall, hull) for wall in room.walls],
        "neighbours": [other for pair in beside for other in pair if other != room.name],
    }


def _wall(name: str, hull: str) -> str:
    return THE_HULL if name == hull else name


def _gap(gap: Gap, hull: str) -> dict[str, Any]:
    return {
        "rooms": [room or THE_SEA for room in gap.rooms],
        "wall": _wall(gap.wall, hull),
        "area_m2": gap.area,
        "lowest_m": gap.lowest,
    }


def _opening(opening: Opening, division: Division) -> dict[str, Any]:
    return {
        **opening_told(opening),
        "kind": opening.kind,
        "area_m2": opening.area or None,
        "height_m": opening.height,
        "rooms": behind(opening, division),
    }


def _door(door: Door, division: Division) -> dict[str, Any]:
    return {
        "name": door.name,
        "position_m": door.point,
        "area_m2": door.area,
        "height_m": door.height,
        "rooms": [room or THE_SEA for room in joined_by(door, division)],
        "shut": door.shut,
        "discharge": door.discharge,
    }


def _leak(leak: Leak, afloat: Attitude | None, hull: str) -> dict[str, Any]:
    point, height = first_water(leak, afloat or Attitude(UPRIGHT, 0.0))
    return {
        "room": leak.room,
        "at_m": point,
        "over_water_m": height if afloat else None,
        "why": _why(leak, hull),
        "path": [_gap(gap, hull) for gap in leak.path],
    }


def _why(leak: Leak, hull: str) -> str:
    """'water gets in through a gap of 5.2 m2 in the hull', and so on inward."""
    ways = [
        f"a gap of {gap.area:.3g} m2 in "
        + (THE_HULL if gap.wall == hull else f"'{gap.wall}'")
        + f" {place(gap.lowest)}"
        for gap in leak.path
    ]
    return f"water gets in through {', then through '.join(ways)}"


def room_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Rooms as rows, one each."""
    listed = ("walls", "neighbours")
    return [{**room, **{key: "; ".join(room[key]) for key in listed}} for room in result["rooms"]]


def tanks_result(
    case: Case, tables: Iterable[Soundings], ship: Floating | None, heel: float, trim: float
) -> dict[str, Any]:
    """Tanks with what they hold over the level in them, at a heel (rad) and a trim (m).

    Levels count from the lowest point of each tank, up from the water. What the liquids take off
    GM is told as free surfaces upright have it, and as they do where she floats; None without
    anything on board.
    """
    up = ship.rest.attitude if ship and ship.rest else None
    return plain(
        {
            **heading(case),
            **said(ship.findings if ship else case.findings),
            "heel_deg": np.degrees(heel),
            "trim_m": trim,
            "tanks": [
                {
                    **tank_told(table.tank, up),
                    "permeability": table.tank.permeability,
                    "rows": _soundings(table),
                    "free_surface": _free_surface(table.tank),
                }
                for table in tables
            ],
            "GM_loss_classical_m": ship and case.load.free_surface_correction,
            "GM_loss_m": ship and ship.GM - ship.GM_fluid,
            **closing(),
        }
    )


def _soundings(table: Soundings) -> list[dict[str, Any]]:
    return [
        {
            "level_m": table.levels[i],
            "fill": table.fills[i],
            "volume_m3": table.volumes[i],
            "mass_kg": table.masses[i],
            "centre_m": table.centres[i],
            "free_surface_moment_t_m": table.moments[i] / 1000,
        }
        for i in range(len(table.levels))
    ]


def _free_surface(tank: Tank) -> dict[str, Any]:
    """What the liquid does as she heels, beside what its free surface upright would have it do."""
    classical, exact = heeling_moments(tank, [radians(heel) for heel in LIQUID_HEELS])
    return {
        "moment_upright_t_m": free_surface_moment(tank) / 1000,
        "heel_deg": list(LIQUID_HEELS),
        "classical_t_m": classical / 1000,
        "exact_t_m": exact / 1000,
    }


def sounding_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Soundings of all tanks as rows, one a level."""
    tanks: Sequence[Mapping[str, Any]] = result["tanks"]
    return [{"tank": tank["name"], **row} for tank in tanks for row in tank["rows"]]
