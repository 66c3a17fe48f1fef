"""Operators that hole the ship: what becomes of her in the end and in time."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, IntProperty

from ...core.damage.flooding import Flooded, worst
from ...core.flooding_time.time_to_flood import Ingress
from ...units.durations import clock
from ..controller import session
from ..controller.damage import flood_all, flood_holed, flood_through
from ..controller.job import Job, Tell
from ..identifiers import Ops
from ..properties.names import Role
from ..readers.members import glance, hull_at_hand
from ..wording import reported
from .background_work import Lengthy
from .compartments import OnRooms


class NAVAL_CHECKS_OT_flood(Lengthy, OnRooms):
    """Open the ticked rooms to the sea and see how she floats, until the water goes no further"""

    bl_idname = Ops.FLOOD
    bl_label = "Flood"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not super().poll(context):
            return False
        if not session.entry_for(hull_at_hand(context)).holed:
            cls.poll_message_set("Tick the rooms that are open to the sea first")
            return False
        return True

    def job(self, context: bpy.types.Context, tell: Tell) -> Job[Any]:
        return flood_holed(context.evaluated_depsgraph_get(), hull_at_hand(context), tell)

    def told(self, context: bpy.types.Context) -> None:
        (found,) = session.entry_for(hull_at_hand(context)).floodings
        self.report({"WARNING" if _is_bad(found) else "INFO"}, reported(context, found.why))


def _is_bad(found: Flooded) -> bool:
    return found.awash or not found.survives


class NAVAL_CHECKS_OT_flood_each(Lengthy, OnRooms):
    """Open every room by itself, or every two neighbours, to the sea and show the worst"""

    bl_idname = Ops.FLOOD_EACH
    bl_label = "Flood Each Room"
    bl_options = {"REGISTER"}

    pairs: BoolProperty(
        name="Pairs", description="Two neighbours at a time instead of one room at a time"
    )

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        if properties.pairs:
            return iface_("Open every two rooms that share a wall to the sea and show the worst")
        return iface_("Open every room by itself to the sea and show the worst")

    def job(self, context: bpy.types.Context, tell: Tell) -> Job[Any]:
        hull = hull_at_hand(context)
        return flood_all(context.evaluated_depsgraph_get(), hull, self.pairs, tell)

    def told(self, context: bpy.types.Context) -> None:
        found = session.entry_for(hull_at_hand(context)).floodings
        survived = sum(each.survives for each in found)
        text = rpt_("She survives {survived} of {count}; the worst is {rooms}: {why}")
        least = worst(found)
        why = reported(context, least.why)
        told = text.format(survived=survived, count=len(found), rooms=opened(least), why=why)
        self.report({"WARNING" if _is_bad(least) else "INFO"}, told)


class NAVAL_CHECKS_OT_show_flooding(OnRooms):
    """Draw her as she floats with these rooms flooded, or whole again"""

    bl_idname = Ops.SHOW_FLOODING
    bl_label = "Show Flooding"
    bl_options = {"INTERNAL"}

    index: IntProperty(name="Flooding", description="Place of the flooding in the list", min=0)

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(hull_at_hand(context))
        if not self.index < len(entry.floodings):
            self.report({"ERROR"}, "This flooding is out of date; flood the rooms again")
            return {"CANCELLED"}
        shown = entry.damage.shown == self.index
        session.show_flooding(entry, None if shown else self.index)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_time_to_flood(Lengthy, OnRooms):
    """Let the sea in through the hole and see how long she has, step by step"""

    bl_idname = Ops.TIME_TO_FLOOD
    bl_label = "Time to Flood"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not super().poll(context):
            return False
        if hole_at_hand(context) is None:
            cls.poll_message_set("Add a hole, or select one of several, or an opening")
            return False
        return True

    def job(self, context: bpy.types.Context, tell: Tell) -> Job[Any]:
        depsgraph, hull = context.evaluated_depsgraph_get(), hull_at_hand(context)
        return flood_through(depsgraph, hull, hole_at_hand(context), tell)

    def told(self, context: bpy.types.Context) -> None:
        text, lost = outcome(session.entry_for(hull_at_hand(context)).ingress)
        self.report({"WARNING" if lost else "INFO"}, text)


def hole_at_hand(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active hole or opening of the hull at hand, or her only hole."""
    here, active = glance(context.view_layer), context.view_layer.objects.active
    hull = here.hull_at_hand(active)
    if active in here.parts_of(hull, Role.HOLE, Role.OPENING):
        return active
    holes = here.parts_of(hull, Role.HOLE)
    return holes[0] if len(holes) == 1 else None


def opened(flooded: Flooded) -> str:
    """Names of the rooms holed."""
    return ", ".join(flooded.opened)


def outcome(ingress: Ingress) -> tuple[str, bool]:
    """How a flooding in time ends in a sentence, and whether she is lost."""
    if ingress.lost is not None:
        return iface_("She is lost after {time}").format(time=clock(ingress.lost)), True
    if ingress.settled is not None:
        return iface_("She settles after {time}").format(time=clock(ingress.settled)), False
    text = iface_("She is still flooding after {time}")
    return text.format(time=clock(float(ingress.times[-1]))), False


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_flood,
        NAVAL_CHECKS_OT_flood_each,
        NAVAL_CHECKS_OT_show_flooding,
        NAVAL_CHECKS_OT_time_to_flood,
    )
)
