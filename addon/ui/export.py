"""Operator that writes the scene as a case for the command line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

import bpy
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import StringProperty

from ..core.envelope import Mesh
from ..core.findings import BadInputError
from ..core.openings import Door, Opening
from ..core.room import RoomMark
from ..files.case_writer import write_case
from ..files.obj import PolygonMesh
from ..files.outfit import (
    DoorEntry,
    OpeningEntry,
    Outfit,
    RoomEntry,
    TankEntry,
    WallEntry,
    WindageEntry,
)
from ..files.table import Point
from ..scene.aboard import body_of, counted, wall_of
from ..scene.members import hull_at_hand
from ..scene.names import Role
from ..scene.read import chosen_marks, read_case, turned_mesh
from ..scene.settings import settings
from .compute import OnHull
from .names import Ops


def write_scene(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, directory: Path
) -> Sequence[Path]:
    """Write a hull object and all her parts as a case; the paths written. Raises BadInputError.

    Meshes go out as the triangles that were computed with, in metres and turned.
    """
    case = read_case(depsgraph, hull).case
    turned = turned_mesh(depsgraph, hull)
    parts, half = counted(depsgraph, hull), settings(hull).mirror

    def body(name: str) -> PolygonMesh:
        obj: Any = depsgraph.view_layer.objects[name]
        return _polygons(body_of(depsgraph, obj, turned.frame))

    def wall(part: bpy.types.Object) -> WallEntry:
        return WallEntry(part.name, _polygons(wall_of(depsgraph, part, turned.frame, half)))

    def room(mark: RoomMark) -> RoomEntry:
        at = None if mark.at is None else cast(Point, tuple(mark.at.tolist()))
        return RoomEntry(mark.name, at or body(mark.name), mark.use, mark.permeability)

    def opening(way: Opening) -> Opening | OpeningEntry:
        obj: Any = depsgraph.view_layer.objects[way.name]
        if obj.type == "EMPTY":
            return way
        own = way.area if settings(obj).opening.has_own_area else None
        return OpeningEntry(way.name, body(way.name), way.weathertight, way.kind, own)

    def door(way: Door) -> Door | DoorEntry:
        obj: Any = depsgraph.view_layer.objects[way.name]
        if obj.type == "EMPTY":
            return way
        own = way.area if settings(obj).door.has_own_area else None
        entry = DoorEntry(way.name, body(way.name), own, rooms=way.rooms)
        return replace(entry, shut=way.shut, discharge=way.discharge)

    outfit = Outfit(
        tuple(
            TankEntry(
                tank.name, body(tank.name), tank.density, tank.fill, tank.permeability, tank.group
            )
            for tank in case.tanks
        ),
        tuple(map(opening, case.openings)),
        tuple(WindageEntry(part.name, body(part.name)) for part in parts[Role.WINDAGE]),
        case.service,
        case.codes,
        case.own_rules,
        case.conditions,
        tuple(map(wall, parts[Role.WALL])),
        tuple(map(room, case.room_marks)),
        tuple(map(door, case.doors)),
    )
    return write_case(
        directory,
        case.title,
        _polygons(turned.mesh),
        case.weights,
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
            self.report({"ERROR"}, str(error))
            return {"CANCELLED"}
        names = ", ".join(path.name for path in paths)
        text = rpt_("Wrote {files} in {folder}")
        self.report({"INFO"}, text.format(files=names, folder=folder))
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_export_case,))
