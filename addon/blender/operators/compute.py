"""Operators that find the floating position, clear it, and switch its display."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_n as n_
from bpy.props import BoolProperty

from ...units.quantities import Units
from ..controller import corrective_actions, session
from ..controller.analysis import float_hull
from ..identifiers import Ops
from ..properties.names import WaterDisplay
from ..properties.settings import scene_settings
from ..readers.members import active_hull, collect_parts, scene_parts
from ..readers.stray_parts import stray_findings
from ..viewport.readout import readout
from ..wording import LINKED, reported
from .polls import allowed
from .progress import Progress

NO_HULL = n_("Mark a hull first: select its mesh, then Mark as Hull")
WHICH_HULL = n_("There are several hulls: select one of them")


class OnHull(bpy.types.Operator):
    """An operator on the active hull."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return has_hull(cls, context)


class ChangesHull(OnHull):
    """An operator that changes settings of the active hull."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and is_editable(cls, active_hull(context))


def has_hull(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    """Whether there is an active hull; sets the poll message where there is none."""
    several = scene_parts(context.view_layer).hulls
    return allowed(operator, active_hull(context) is not None, WHICH_HULL if several else NO_HULL)


def is_editable(operator: type[bpy.types.Operator], obj: bpy.types.Object) -> bool:
    """Whether an object may be changed; sets the poll message where it may not."""
    return allowed(operator, obj.is_editable, LINKED)


class NAVAL_CHECKS_OT_compute(bpy.types.Operator):
    """Find the floating position of the hull with its weights: draft, trim, list and stability"""

    bl_idname = Ops.COMPUTE
    bl_label = "Find Floating Position"
    bl_options = {"REGISTER"}

    every: BoolProperty(
        name="All Hulls", description="Find the floating position of every hull in the view layer"
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, scene_parts(context.view_layer).hulls, NO_HULL)

    def execute(self, context: bpy.types.Context) -> set[str]:
        depsgraph = context.evaluated_depsgraph_get()
        hull = active_hull(context)
        if hull is None and not self.every:
            self.report({"ERROR"}, WHICH_HULL)
            return {"CANCELLED"}
        chosen = collect_parts(context.view_layer).hulls if self.every else (hull,)
        failed = [not self._float(context, depsgraph, hull) for hull in chosen]
        for finding in stray_findings(depsgraph):
            self.report({"WARNING"}, reported(context, finding.text))
        return {"CANCELLED"} if all(failed) else {"FINISHED"}

    def _float(
        self,
        context: bpy.types.Context,
        depsgraph: bpy.types.Depsgraph,
        hull: bpy.types.Object,
    ) -> bool:
        with Progress(context) as progress:
            entry = float_hull(depsgraph, hull, progress.on_progress)
            corrective_actions.find(entry)
            corrective_actions.find(entry, of_criteria=True)
        if entry.floating is None:
            self.report({"ERROR"}, reported(context, entry.message))
            return False
        lengths = Units.of(context.scene).lengths
        text, tone = readout(entry.floating, hull.name, False, lengths)
        self.report({"WARNING" if tone == "warning" else "INFO"}, text)
        return True


class NAVAL_CHECKS_OT_clear(bpy.types.Operator):
    """Clear the floating position and the compartments of the hull"""

    bl_idname = Ops.CLEAR
    bl_label = "Clear Results"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(
            cls,
            session.entry_for(active_hull(context)) is not None,
            "There are no results to clear",
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        session.clear(active_hull(context))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_switch_water_display(bpy.types.Operator):
    """Switch between inclined water on the hull and a floated copy in level water"""

    bl_idname = Ops.SWITCH_WATER_DISPLAY
    bl_label = "Switch Water Display"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, session.entries(), "Find the floating position first")

    def execute(self, context: bpy.types.Context) -> set[str]:
        chosen = scene_settings(context.scene)
        level = chosen.water_display == WaterDisplay.WATER_LEVEL
        chosen.water_display = WaterDisplay.SHIP_FIXED if level else WaterDisplay.WATER_LEVEL
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_compute, NAVAL_CHECKS_OT_clear, NAVAL_CHECKS_OT_switch_water_display)
)
