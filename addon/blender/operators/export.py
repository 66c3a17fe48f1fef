"""Operator that writes the scene as a case for the command line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import cast

import bpy
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import StringProperty

from ...core.geometry.mesh import Mesh
from ...core.messages.findings import BadInputError
from ...core.model.openings import Door, Opening
from ...files.obj import PolygonMesh
from ...parts.case_writer import write_case
from ...parts.outfit import (
    DoorEntry,
    OpeningEntry,
    Outfit,
    RoomEntry,
    TankEntry,
    WallEntry,
    WindageEntry,
)
from ...parts.table import Point
from ..identifiers import Ops
from ..properties.names import AFLOAT, WITHIN, Role
from ..properties.settings import settings
from ..readers.hulls import chosen_marks, read_case
from ..readers.members import counted, hull_at_hand
from ..readers.parts import (
    body_of,
    door_of,
    is_on_both_sides,
    opening_of,
    room_mark_of,
    tank_of,
    wall_of,
)
from ..wording import reported
from .compute import OnHull
from .weight_lists import listed_weight


def write_scene(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, directory: Path
) -> Sequence[Path]:
    """Write a hull object and all her parts as a case; the paths written. Raises BadInputError.

    Meshes go out as the triangles that were computed with, in metres and turned.
    """
    reading = read_case(depsgraph, hull)
    case, ship, turned = reading.case, reading.ship, reading.ship.turned
    parts, half = counted(depsgraph, hull), settings(hull).mirror

    def body(part: bpy.types.Object) -> PolygonMesh:
        return _polygons(body_of(depsgraph, part, turned.frame))

    def tank(part: bpy.types.Object) -> TankEntry:
        one = tank_of(depsgraph, part, ship.frame)
        return TankEntry(one.name, body(part), one.density, one.fill, one.permeability, one.group)

    def room(part: bpy.types.Object) -> RoomEntry:
        mark = room_mark_of(depsgraph, part, ship.frame)
        at = None if mark.at is None else cast(Point, tuple(mark.at.tolist()))
        return RoomEntry(mark.name, at or body(part), mark.use, mark.permeability)

    def opening(part: bpy.types.Object) -> Opening | OpeningEntry:
        way = opening_of(depsgraph, part, ship.frame)
        if part.type == "EMPTY":
            return way
        own = way.area if settings(part).opening.has_own_area else None
        return OpeningEntry(way.name, body(part), way.weathertight, way.kind, own)

    def door(part: bpy.types.Object) -> Door | DoorEntry:
        way = door_of(depsgraph, part, ship.frame)
        if part.type == "EMPTY":
            return way
        own = way.area if settings(part).door.has_own_area else None
        entry = DoorEntry(way.name, body(part), own, rooms=way.rooms)
        return replace(entry, shut=way.shut, discharge=way.discharge)

    def on_both_sides(part: bpy.types.Object) -> bool:
        if settings(part).role != Role.WALL:
            return settings(part).both_sides
        wall = wall_of(depsgraph, part, ship.frame)
        return is_on_both_sides(part, wall, ship.hull, half)

    outfit = Outfit(
        tuple(map(tank, parts[Role.TANK])),
        tuple(map(opening, parts[Role.OPENING])),
        tuple(WindageEntry(part.name, body(part)) for part in parts[Role.WINDAGE]),
        case.service,
        case.codes,
        case.own_rules,
        case.conditions,
        tuple(WallEntry(part.name, body(part)) for part in parts[Role.WALL]),
        tuple(map(room, parts[Role.ROOM])),
        tuple(map(door, parts[Role.DOOR])),
        frozenset(
            (role.lower(), place)
            for role in (*AFLOAT, *WITHIN)
            if role != Role.WEIGHT
            for place, part in enumerate(parts[role])
            if on_both_sides(part)
        ),
    )
    return write_case(
        directory,
        case.title,
        _polygons(turned.mesh),
        tuple(listed_weight(depsgraph, part, ship.frame) for part in parts[Role.WEIGHT]),
        marks=chosen_marks(depsgraph, hull),
        water_density=case.water_density,
        mirror=half,
        outfit=outfit,
    )


def _polygons(mesh: Mesh) -> PolygonMesh:
    return PolygonMesh(mesh.name, mesh.vertices, tuple(map(tuple, mesh.triangles.tolist())))


class NAVAL_CHECKS_OT_export_case(OnHull):
    """Write the hull with all her parts, criteria and conditions as files for the command line"""

    bl_idname = Ops.EXPORT_CASE
    bl_label = "Export Case"
    bl_options = {"REGISTER"}

    directory: StringProperty(
        name="Folder",
        description="Folder for case.toml, weights.csv, hull.obj and the meshes of her parts",
        subtype="DIR_PATH",
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        folder = Path(bpy.path.abspath(self.directory))
        try:
            paths = write_scene(context.evaluated_depsgraph_get(), hull_at_hand(context), folder)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        names = ", ".join(path.name for path in paths)
        text = rpt_("Wrote {files} in {folder}")
        self.report({"INFO"}, text.format(files=names, folder=folder))
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_export_case,))
