"""Operators that mark a hull, and unmark objects."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_rpt as rpt_

from ...units.quantities import Units
from ..controller import session
from ..controller.analysis import analyze
from ..identifiers import Ops
from ..preferences import preferences
from ..properties.names import Role
from ..properties.settings import settings
from ..readers.members import is_hull
from ..wording import reported
from .compute import is_editable
from .polls import allowed


class NAVAL_CHECKS_OT_mark_hull(bpy.types.Operator):
    """Mark the active mesh as hull: the watertight outer surface"""

    bl_idname = Ops.MARK_HULL
    bl_label = "Mark as Hull"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        active = context.active_object
        mesh = active is not None and active.type == "MESH"
        return (
            allowed(cls, mesh, "Select a mesh first: a hull is a mesh")
            and allowed(cls, not is_hull(active), "This mesh is a hull already")
            and is_editable(cls, active)
        )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        chosen, defaults = settings(context.active_object), preferences(context)
        if defaults and not chosen.water.is_property_set("density"):
            chosen.water.density = defaults.water_density
        return self.execute(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = context.active_object
        settings(hull).role = Role.HULL
        entry = analyze(context.evaluated_depsgraph_get(), hull)
        if entry.ship is None:
            self.report({"WARNING"}, reported(context, entry.message))
            return {"FINISHED"}
        built, axes, units = entry.ship.hull, entry.ship.axes, Units.of(context.scene)
        size = " × ".join(
            units.length(extent) for extent in (built.length_overall, built.breadth, built.depth)
        )
        text = rpt_("{hull}: {size}, bow at {bow}, deck at {deck}")
        message = text.format(hull=hull.name, size=size, bow=axes.forward, deck=axes.up)
        self.report({"INFO"}, message)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_unmark(bpy.types.Operator):
    """Unmark the selected hulls and parts; their settings are kept"""

    bl_idname = Ops.UNMARK
    bl_label = "Unmark"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, _marked(context), "Select a hull or a part first")

    def execute(self, context: bpy.types.Context) -> set[str]:
        for obj in _marked(context):
            settings(obj).role = Role.NONE
            session.clear(obj)
        return {"FINISHED"}


def _marked(context: bpy.types.Context) -> list[bpy.types.Object]:
    chosen = {*context.selected_objects, context.active_object} - {None}
    return [obj for obj in chosen if settings(obj).role != Role.NONE and obj.is_editable]


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_mark_hull, NAVAL_CHECKS_OT_unmark)
)
