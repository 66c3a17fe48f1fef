"""Operator that writes the scene as a case for the command line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, cast

import bpy
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import StringProperty

from ...core.geometry.mesh import Mesh
from ...core.messages.findings import BadInputError
from ...files.obj import PolygonMesh
from ...parts.case_writer import write_case
from ...parts.declarations import (
    COMPARTMENT,
    CONDITION,
    CRITERION,
    DOOR,
    HULL,
    OPENING,
    SERVICE,
    TANK,
    BoundaryEntry,
    CaseEntry,
    CompartmentEntry,
    CriteriaEntry,
    DoorEntry,
    OpeningEntry,
    TankEntry,
    WaterEntry,
    WindageEntry,
)
from ...parts.places import Place
from ..identifiers import Ops
from ..properties.names import Role
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

    def place(part: bpy.types.Object, point: Any) -> Place:
        return cast(Place, tuple(point.tolist())) if part.type == "EMPTY" else body(part)

    def tank(part: bpy.types.Object) -> TankEntry:
        both = settings(part).both_sides
        return TANK.from_core(
            tank_of(depsgraph, part, ship.frame), place=body(part), both_sides=both
        )

    def compartment(part: bpy.types.Object) -> CompartmentEntry:
        mark = room_mark_of(depsgraph, part, ship.frame)
        both = settings(part).both_sides
        return COMPARTMENT.from_core(mark, place=place(part, mark.at), both_sides=both)

    def own_size(part: bpy.types.Object, own_area: bool) -> dict[str, Any]:
        """What a surface is not to tell of the way through it."""
        if part.type == "EMPTY":
            return {}
        return {"height": None} if own_area else {"area": None, "height": None}

    def opening(part: bpy.types.Object) -> OpeningEntry:
        way, chosen = opening_of(depsgraph, part, ship.frame), settings(part)
        more = own_size(part, chosen.opening.has_own_area) | {"both_sides": chosen.both_sides}
        return OPENING.from_core(way, place=place(part, way.point), **more)

    def door(part: bpy.types.Object) -> DoorEntry:
        way, chosen = door_of(depsgraph, part, ship.frame), settings(part)
        more = own_size(part, chosen.door.has_own_area) | {"both_sides": chosen.both_sides}
        return DOOR.from_core(way, place=place(part, way.point), **more)

    def windage(part: bpy.types.Object) -> WindageEntry:
        return WindageEntry(part.name, body(part), both_sides=settings(part).both_sides)

    def boundary(part: bpy.types.Object) -> BoundaryEntry:
        wall = wall_of(depsgraph, part, ship.frame)
        both = is_on_both_sides(part, wall, ship.hull, half)
        return BoundaryEntry(part.name, body(part), both_sides=both)

    def each(role: Role, entry: Callable[[bpy.types.Object], Any]) -> tuple[Any, ...]:
        return tuple(map(entry, parts[role]))

    marks = chosen_marks(depsgraph, hull)
    mesh = _polygons(turned.mesh)
    entry = CaseEntry(
        HULL.from_core(marks, mesh=mesh, forward="+X", up="+Z", mirror=half),
        title=case.title,
        water=WaterEntry(case.water_density),
        weights=each(Role.WEIGHT, lambda part: listed_weight(depsgraph, part, ship.frame).entry),
        tanks=each(Role.TANK, tank),
        openings=each(Role.OPENING, opening),
        windage=each(Role.WINDAGE, windage),
        boundaries=each(Role.WALL, boundary),
        compartments=each(Role.ROOM, compartment),
        doors=each(Role.DOOR, door),
        service=SERVICE.from_core(case.service),
        criteria=CriteriaEntry(case.codes),
        custom_criteria=tuple(map(CRITERION.from_core, case.own_rules)),
        conditions=tuple(map(CONDITION.from_core, case.conditions)),
    )
    return write_case(directory, entry)


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
