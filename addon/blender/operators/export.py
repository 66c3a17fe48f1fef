"""Operator that writes the scene as a case for the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import bpy
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import StringProperty

from ...core.messages.findings import BadInputError
from ...parts.case_writer import write_case
from ..identifiers import Ops
from ..readers.cases import case_entry
from ..readers.hulls import read_hull
from ..readers.members import active_hull
from ..wording import reported
from .compute import OnHull


def write_scene(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, directory: Path
) -> Sequence[Path]:
    """Write a hull object and all its parts as a case; the paths written. Raises BadInputError.

    Meshes are written as the triangles used in computing, in meters and ship axes.
    """
    return write_case(directory, case_entry(depsgraph, hull, read_hull(depsgraph, hull)))


class NAVAL_CHECKS_OT_export_case(OnHull):
    """Export the hull with its parts, criteria and conditions as a case for the command line"""

    bl_idname = Ops.EXPORT_CASE
    bl_label = "Export Case"
    bl_options = {"REGISTER"}

    directory: StringProperty(
        name="Folder",
        description="Folder for case.toml, weights.csv, hull.obj and the meshes of its parts",
        subtype="DIR_PATH",
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        context.window_manager.fileselect_add(self)
        return {"RUNNING_MODAL"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        folder = Path(bpy.path.abspath(self.directory))
        try:
            paths = write_scene(context.evaluated_depsgraph_get(), active_hull(context), folder)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        names = ", ".join(path.name for path in paths)
        text = rpt_("Wrote {files} in {folder}")
        self.report({"INFO"}, text.format(files=names, folder=folder))
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_export_case,))
