"""Operator that writes the scene as a case for the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import bpy
from bpy.props import StringProperty

from ..core.findings import BadInputError
from ..files.case_writer import write_case
from ..files.obj import PolygonMesh
from ..scene.members import hull_at_hand
from ..scene.read import chosen_marks, read_case, turned_mesh
from ..scene.settings import settings
from .compute import NO_HULL
from .names import Ops


def write_scene(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, directory: Path
) -> Sequence[Path]:
    """Write a hull object and her weights as a case; the paths written. Raises BadInputError.

    The mesh goes out as the triangles that were computed with, in metres and turned.
    """
    reading = read_case(depsgraph, hull)
    mesh = turned_mesh(depsgraph, hull).mesh
    return write_case(
        directory,
        reading.case.title,
        PolygonMesh(mesh.name, mesh.vertices, tuple(map(tuple, mesh.triangles.tolist()))),
        reading.case.weights,
        marks=chosen_marks(depsgraph, hull),
        water_density=reading.case.water_density,
        mirror=settings(hull).mirror,
    )


class NAVAL_CHECKS_OT_export_case(bpy.types.Operator):
    """Write the hull, her weights and the water as files for the command line"""

    bl_idname = Ops.EXPORT_CASE
    bl_label = "Export Case"
    bl_options = {"REGISTER"}

    directory: StringProperty(
        name="Folder",
        description="Folder for case.toml, weights.csv and hull.obj",
        subtype="DIR_PATH",
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if hull_at_hand(context) is None:
            cls.poll_message_set(NO_HULL)
            return False
        return True

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
        self.report({"INFO"}, f"Wrote {', '.join(path.name for path in paths)} in {folder}")
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_export_case,))
