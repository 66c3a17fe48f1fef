"""Operators that flood compartments: the final floating position and flooding in time."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, IntProperty

from ...core.damage.flooding_result import FloodingResult, worst
from ..controller import session
from ..controller.damage import flood_all, flood_breached, flood_through
from ..controller.job import Job, OnProgress
from ..damage_wording import breached_names, outcome
from ..identifiers import Ops
from ..readers.breach import active_inflow
from ..readers.members import active_hull
from ..wording import reported
from .background_work import BackgroundOperator
from .compartments import OnCompartments
from .polls import allowed


class NAVAL_CHECKS_OT_flood(BackgroundOperator, OnCompartments):
    """Find the floating position with the checked compartments open to the sea, progressive \
flooding included"""

    bl_idname = Ops.FLOOD
    bl_label = "Flood Compartments"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls,
            session.entry_for(active_hull(context)).breached,
            "Check the compartments that are open to the sea first",
        )

    def job(self, context: bpy.types.Context, on_progress: OnProgress) -> Job[Any]:
        return flood_breached(context.evaluated_depsgraph_get(), active_hull(context), on_progress)

    def report_result(self, context: bpy.types.Context) -> None:
        (found,) = session.entry_for(active_hull(context)).floodings
        self.report({"WARNING" if _is_bad(found) else "INFO"}, reported(context, found.explanation))


def _is_bad(found: FloodingResult) -> bool:
    return found.margin_line_immersed or not found.survives


class NAVAL_CHECKS_OT_flood_each(BackgroundOperator, OnCompartments):
    """Flood every compartment alone, or every two adjacent ones, and show the worst"""

    bl_idname = Ops.FLOOD_EACH
    bl_label = "Flood Each Compartment"
    bl_options = {"REGISTER"}

    pairs: BoolProperty(
        name="Pairs", description="Flood two adjacent compartments at a time instead of one"
    )

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        if properties.pairs:
            return iface_("Flood every two compartments that share a boundary and show the worst")
        return iface_("Flood every compartment alone and show the worst")

    def job(self, context: bpy.types.Context, on_progress: OnProgress) -> Job[Any]:
        hull = active_hull(context)
        return flood_all(context.evaluated_depsgraph_get(), hull, self.pairs, on_progress)

    def report_result(self, context: bpy.types.Context) -> None:
        found = session.entry_for(active_hull(context)).floodings
        survived = sum(each.survives for each in found)
        text = rpt_("The vessel survives {survived} of {count}; the worst is {compartments}: {why}")
        least = worst(found)
        why = reported(context, least.explanation)
        message = text.format(
            survived=survived, count=len(found), compartments=breached_names(least), why=why
        )
        self.report({"WARNING" if _is_bad(least) else "INFO"}, message)


class NAVAL_CHECKS_OT_show_flooding(OnCompartments):
    """Show the floating position with these compartments flooded, or the intact one"""

    bl_idname = Ops.SHOW_FLOODING
    bl_label = "Show Flooding"
    bl_options = {"INTERNAL"}

    index: IntProperty(name="Flooding", description="Index of the flooding in the list", min=0)

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(active_hull(context))
        if not self.index < len(entry.floodings):
            self.report({"ERROR"}, "This flooding is out of date; flood the compartments again")
            return {"CANCELLED"}
        shown = entry.damage.shown == self.index
        session.show_flooding(entry, None if shown else self.index)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_time_to_flood(BackgroundOperator, OnCompartments):
    """Find how long the vessel takes to flood through the breach or opening"""

    bl_idname = Ops.TIME_TO_FLOOD
    bl_label = "Find Time to Flood"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls,
            active_inflow(context) is not None,
            "Add a breach, or select one of several, or an opening",
        )

    def job(self, context: bpy.types.Context, on_progress: OnProgress) -> Job[Any]:
        depsgraph, hull = context.evaluated_depsgraph_get(), active_hull(context)
        return flood_through(depsgraph, hull, active_inflow(context), on_progress)

    def report_result(self, context: bpy.types.Context) -> None:
        text, lost = outcome(session.entry_for(active_hull(context)).flooding_history)
        self.report({"WARNING" if lost else "INFO"}, text)


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_flood,
        NAVAL_CHECKS_OT_flood_each,
        NAVAL_CHECKS_OT_show_flooding,
        NAVAL_CHECKS_OT_time_to_flood,
    )
)
