"""The scene read: hull objects with all their parts as entries, and the cases these make."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

import bpy

from ...core.messages.findings import Finding
from ...core.model.case import Case
from ...parts.build_case import build_case
from ...parts.declarations import CRITERIA, SERVICE, WATER, CaseEntry
from ..properties.names import Role
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from .conditions import condition_entry, missing_groups
from .hulls import ReadHull, hull_entry, read_hull
from .members import counted, part_called
from .parts import core_part, entry_of
from .stray_parts import stray_findings


@dataclass(frozen=True)
class Reading:
    """A vessel of the scene as modeled, and further findings on it."""

    ship: ReadHull
    case: Case
    findings: tuple[Finding, ...]


def read_case(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull | None = None
) -> Reading:
    """The case of a hull object, which may have been read before, and of all its parts.

    Raises BadInputError.
    """
    ship, parts = ship or read_hull(depsgraph, hull), counted(depsgraph, hull)
    case = build_case(case_entry(depsgraph, hull, ship), replace(ship.hull, name=hull.name))
    return Reading(ship, case, (*missing_groups(hull, parts), *stray_findings(depsgraph)))


def case_entry(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull) -> CaseEntry:
    """The entry of a hull that was read and of all its parts. Raises BadInputError."""
    unit, chosen, parts = unit_scale(depsgraph.scene), settings(hull), counted(depsgraph, hull)

    def read(role: Role) -> tuple[Any, ...]:
        return tuple(entry_of(depsgraph, obj, ship) for obj in parts[role])

    return CaseEntry(
        hull_entry(depsgraph, hull, ship.turned.mesh),
        title=hull.name,
        water=WATER.entry(**chosen.water.values(unit)),
        weights=read(Role.WEIGHT),
        tanks=read(Role.TANK),
        openings=read(Role.OPENING),
        windage=read(Role.WINDAGE),
        boundaries=read(Role.BOUNDARY),
        compartments=read(Role.COMPARTMENT),
        doors=read(Role.DOOR),
        service=SERVICE.entry(**chosen.service.values(unit)),
        criteria=CRITERIA.entry(**chosen.criteria.values(unit)),
        custom_criteria=tuple(each.entry(unit) for each in chosen.custom_criteria),
        conditions=tuple(condition_entry(each, parts, unit) for each in chosen.conditions),
    )


def follow_case(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    ship: ReadHull,
    case: Case,
    touched: Container[str] | None,
) -> Case | None:
    """A case read before with the parts of these names (None: all) as they are now.

    None when other parts count now. Raises BadInputError, and KeyError for a part that is no
    more.
    """
    objects: Any = depsgraph.view_layer.objects
    parts = counted(depsgraph, hull) if touched is None else None
    now: dict[Role, tuple[Any, ...]] = {}
    for role, things in (
        (Role.WEIGHT, case.weights),
        (Role.TANK, case.tanks),
        (Role.OPENING, case.openings),
    ):
        known = _by_part(objects, hull, role, things)
        if parts is not None and [part.name for part in parts[role]] != [name for name, _ in known]:
            return None
        now[role] = tuple(
            thing
            for name, own in known
            for thing in (
                core_part(depsgraph, objects[name], ship)
                if touched is None or name in touched
                else own
            )
        )
    return replace(
        case,
        hull=replace(ship.hull, name=case.hull.name),
        weights=now[Role.WEIGHT],
        tanks=now[Role.TANK],
        openings=now[Role.OPENING],
        water_density=settings(hull).water.values(unit_scale(depsgraph.scene))["density"],
    )


def _by_part(
    objects: Any, hull: bpy.types.Object, role: Role, things: tuple[Any, ...]
) -> list[tuple[str, list[Any]]]:
    """What the core knows by name, with the names of the objects that it was read from."""

    def source(thing: Any) -> str:
        part = part_called(objects, thing.name, hull, role)
        return part.name if part else str(thing.name)

    return [(name, [*own]) for name, own in groupby(things, source)]
