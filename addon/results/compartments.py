"""Results of compartments and tanks as plain dictionaries, keyed as `keys` declares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import radians
from typing import Any

import numpy as np

from ..core.buoyancy.attitude import UPRIGHT_UP, Attitude
from ..core.compartments.find_compartments import downflooding_sill
from ..core.damage.flooding_paths import compartments_behind, compartments_of_door
from ..core.hydrostatics.floating_position import FloatingPosition
from ..core.hydrostatics.tank_soundings import Soundings, heeling_moments
from ..core.messages.sentence import place
from ..core.model.case import Case
from ..core.model.compartment import Compartment, CompartmentPlan, Gap, Leak
from ..core.model.openings import Door, Opening
from ..core.model.tanks import Tank, free_surface_moment
from .floating import closing, finding_texts, heading, opening_fields, plain, tank_fields

THE_SEA, THE_HULL = "the sea", "the hull"
LIQUID_HEELS = (5.0, 10.0, 20.0, 30.0, 45.0)
"""Heels (degrees) at which the actual liquid transfer is compared with the moment upright."""


def compartments_result(
    case: Case, plan: CompartmentPlan, afloat: Attitude | None
) -> dict[str, Any]:
    """Compartments, and the flooding paths into those that are not watertight.

    `position_m` of a leak is the point to which water must rise to get in, `height_above_water_m`
    its height above the water as the vessel floats; upright and None where it does not float.
    `boundary_volume_m3` is the volume of boundary material, `position_m` of openings and doors the
    sill.
    """
    hull = case.hull.name
    leaking = [compartment.name for compartment in plan.compartments if not compartment.watertight]
    return plain(
        {
            **heading(case),
            "failed": ["leak"] if leaking else [],
            **finding_texts((*plan.findings, *case.hull.findings)),
            "compartments": [
                _compartment(compartment, plan, hull) for compartment in plan.compartments
            ],
            "compartments_volume_m3": sum(compartment.volume for compartment in plan.compartments),
            "boundary_volume_m3": plan.boundary_volume,
            "neighbors": [list(pair) for pair in plan.neighbors],
            "openings": [_opening(each, plan) for each in case.openings],
            "doors": [_door(each, plan) for each in case.doors],
            "gaps": [_gap(gap, hull) for gap in plan.gaps],
            "leaks": [_leak(leak, afloat, hull) for leak in plan.leaks],
            **closing(),
        }
    )


def _compartment(compartment: Compartment, plan: CompartmentPlan, hull: str) -> dict[str, Any]:
    beside = [pair for pair in plan.neighbors if compartment.name in pair]
    return {
        "name": compartment.name,
        "volume_m3": compartment.volume,
        "centroid_m": compartment.center,
        "bottom_m": compartment.floor,
        "top_m": compartment.top,
        "aft_m": compartment.body.low[0],
        "forward_m": compartment.body.high[0],
        "watertight": compartment.watertight,
        "use": compartment.use,
        "permeability": compartment.permeability,
        "boundaries": [_boundary(boundary, hull) for boundary in compartment.boundaries],
        "neighbors": [other for pair in beside for other in pair if other != compartment.name],
    }


def _boundary(name: str, hull: str) -> str:
    return THE_HULL if name == hull else name


def _gap(gap: Gap, hull: str) -> dict[str, Any]:
    return {
        "compartments": [compartment or THE_SEA for compartment in gap.compartments],
        "boundary": _boundary(gap.boundary, hull),
        "area_m2": gap.area,
        "lowest_point_m": gap.lowest,
    }


def _opening(opening: Opening, plan: CompartmentPlan) -> dict[str, Any]:
    return {
        **opening_fields(opening),
        "kind": opening.kind,
        "area_m2": opening.area or None,
        "height_m": opening.height,
        "compartments": compartments_behind(opening, plan),
    }


def _door(door: Door, plan: CompartmentPlan) -> dict[str, Any]:
    return {
        "name": door.name,
        "position_m": door.point,
        "area_m2": door.area,
        "height_m": door.height,
        "compartments": [
            compartment or THE_SEA for compartment in compartments_of_door(door, plan)
        ],
        "closed": door.closed,
        "discharge_coefficient": door.discharge_coefficient,
    }


def _leak(leak: Leak, afloat: Attitude | None, hull: str) -> dict[str, Any]:
    point, height = downflooding_sill(leak, afloat or Attitude(UPRIGHT_UP, 0.0))
    return {
        "compartment": leak.compartment,
        "position_m": point,
        "height_above_water_m": height if afloat else None,
        "reason": _why(leak, hull),
        "path": [_gap(gap, hull) for gap in leak.path],
    }


def _why(leak: Leak, hull: str) -> str:
    """'water gets in through a gap of 5.2 m2 in the hull', then the gaps further inward."""
    ways = [
        f"a gap of {gap.area:.3g} m2 in "
        + (THE_HULL if gap.boundary == hull else f"'{gap.boundary}'")
        + f" {place(gap.lowest)}"
        for gap in leak.path
    ]
    return f"water gets in through {', then through '.join(ways)}"


def compartment_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Compartments as rows, one each."""
    listed = ("boundaries", "neighbors")
    return [
        {**compartment, **{key: "; ".join(compartment[key]) for key in listed}}
        for compartment in result["compartments"]
    ]


def tanks_result(
    case: Case, tables: Iterable[Soundings], ship: FloatingPosition | None, heel: float, trim: float
) -> dict[str, Any]:
    """Soundings of tanks at a heel (rad, + to starboard) and a trim (m, + by the stern).

    Levels (m) are above the lowest point of each tank, normal to the water. The loss of GM (m) is
    given by free surface moments upright, and by the actual liquid transfer as the vessel floats;
    None without anything on board.
    """
    up = ship.equilibrium.attitude if ship and ship.equilibrium else None
    return plain(
        {
            **heading(case),
            **finding_texts(ship.findings if ship else case.findings),
            "heel_deg": np.degrees(heel),
            "trim_m": trim,
            "tanks": [
                {
                    **tank_fields(table.tank, up),
                    "permeability": table.tank.permeability,
                    "rows": _soundings(table),
                    "free_surface": _free_surface(table.tank),
                }
                for table in tables
            ],
            "GM_loss_FSM_m": ship and case.load.free_surface_correction,
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
            "center_m": table.centers[i],
            "free_surface_moment_t_m": table.moments[i] / 1000,
        }
        for i in range(len(table.levels))
    ]


def _free_surface(tank: Tank) -> dict[str, Any]:
    """Heeling moments (t.m) of the actual liquid transfer and by the free surface upright."""
    classical, exact = heeling_moments(tank, [radians(heel) for heel in LIQUID_HEELS])
    return {
        "moment_upright_t_m": free_surface_moment(tank) / 1000,
        "heel_deg": list(LIQUID_HEELS),
        "FSM_heeling_moment_t_m": classical / 1000,
        "actual_heeling_moment_t_m": exact / 1000,
    }


def sounding_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Soundings of all tanks as rows, one per level."""
    tanks: Sequence[Mapping[str, Any]] = result["tanks"]
    return [{"tank": tank["name"], **row} for tank in tanks for row in tank["rows"]]
