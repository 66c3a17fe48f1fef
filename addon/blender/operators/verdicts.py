"""Operators that show an opening and explain a criterion."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np
from bpy.props import FloatVectorProperty, IntProperty, StringProperty

from ..controller import session
from ..identifiers import Ops
from ..properties.names import Role
from ..properties.selection import select_only
from ..properties.settings import scene_settings
from ..readers.members import active_hull, is_part, part_called
from .polls import allowed
from .view import turn_view


class NAVAL_CHECKS_OT_show_opening(bpy.types.Operator):
    """Select this opening and turn the view to it"""

    bl_idname = Ops.SHOW_OPENING
    bl_label = "Show Opening"
    bl_options = {"UNDO", "INTERNAL"}

    opening: StringProperty(name="Opening", description="Name of the opening")
    place: FloatVectorProperty(
        name="Position", description="Position in ship axes, in meters", size=3
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(active_hull(context))
        return allowed(
            cls, entry is not None and entry.ship is not None, "Find the floating position first"
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(active_hull(context))
        objects: Any = context.view_layer.objects
        obj = part_called(objects, self.opening, active_hull(context), Role.OPENING)
        place = (entry.to_world @ [*self.place, 1.0])[:3]
        if is_part(obj, Role.OPENING):
            if obj.name == self.opening:
                place = np.array(obj.matrix_world.translation, dtype=np.float64)
            if context.mode == "OBJECT":
                select_only(obj)
        turn_view(context, place[None])
        return {"FINISHED"}


class NAVAL_CHECKS_OT_explain(bpy.types.Operator):
    """Show or hide the required and attained values of this criterion and the reason"""

    bl_idname = Ops.EXPLAIN
    bl_label = "Explain Criterion"
    bl_options = {"INTERNAL"}

    index: IntProperty(name="Criterion", description="Index of the criterion in the list", min=0)

    def execute(self, context: bpy.types.Context) -> set[str]:
        chosen = scene_settings(context.scene)
        chosen.active_verdict = -1 if chosen.active_verdict == self.index else self.index
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_show_opening, NAVAL_CHECKS_OT_explain)
)
