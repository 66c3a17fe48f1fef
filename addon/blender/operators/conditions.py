"""Operators on loading conditions, custom criteria and their lists."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, EnumProperty, StringProperty

from ..controller import session
from ..controller.analysis import float_in_all, recheck
from ..identifiers import Ops
from ..properties.conditions import UNNAMED
from ..properties.groups import copy_values, free_name
from ..properties.names import Loading, Role
from ..properties.settings import settings
from ..readers.members import active_hull
from ..wording import reported
from .compute import ChangesHull
from .parts import NO_OBJECT
from .polls import allowed
from .progress import Progress

NO_CONDITION = n_("Choose a loading condition first")


class _OnCondition(ChangesHull):
    """An operator on the chosen condition."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls, settings(active_hull(context)).condition is not None, NO_CONDITION
        )


LISTS = {
    "CONDITIONS": ("conditions", "active_condition", n_("loading condition"), UNNAMED),
    "CRITERIA": ("custom_criteria", "active_criterion", n_("custom criterion"), "Criterion"),
}
"""Each list with the index of its active item, the kind of its items, and the name of a new one."""

ACTIONS = {
    "ADD": n_("Add a {kind}"),
    "COPY": n_("Copy the chosen {kind}"),
    "REMOVE": n_("Remove the chosen {kind}"),
    "UP": n_("Move the chosen {kind} up"),
    "DOWN": n_("Move the chosen {kind} down"),
}


WHICH = EnumProperty(
    name="List",
    description="List to act on",
    items=[(key, field.capitalize(), kind) for key, (field, _, kind, _) in LISTS.items()],
)


class NAVAL_CHECKS_OT_edit_list(ChangesHull):
    """Add, copy, remove or move an item of a list"""

    bl_idname = Ops.EDIT_LIST
    bl_label = "Edit List"
    bl_options = {"UNDO", "INTERNAL"}

    which: WHICH
    action: EnumProperty(
        name="Action",
        description="Action on the list",
        items=[(key, key.capitalize(), text.format(kind="item")) for key, text in ACTIONS.items()],
    )

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        return iface_(ACTIONS[properties.action]).format(kind=iface_(LISTS[properties.which][2]))

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        chosen = settings(hull)
        field, active, kind, unnamed = LISTS[self.which]
        items, index = getattr(chosen, field), getattr(chosen, active)
        if self.action != "ADD" and not 0 <= index < len(items):
            self.report({"ERROR"}, rpt_("No {kind} is chosen").format(kind=iface_(kind)))
            return {"CANCELLED"}
        if self.action in ("ADD", "COPY"):
            taken = {item.name for item in items}
            new = items.add()
            if self.action == "COPY":
                copy_values(items[index], new)
            new.name = free_name(new.name or unnamed, taken)
            if self.which == "CRITERIA" and self.action == "ADD":
                new.use_at_least = True
            index = len(items) - 1
        elif self.action == "REMOVE":
            items.remove(index)
            index = min(index, len(items) - 1)
        else:
            target = min(max(index + (1 if self.action == "DOWN" else -1), 0), len(items) - 1)
            items.move(index, target)
            index = target
        setattr(chosen, active, max(index, 0))
        if self.which == "CRITERIA":
            session.mark_stale(hull)
        elif not items:
            chosen.loading = Loading.AS_MODELED
        return {"FINISHED"}


class NAVAL_CHECKS_OT_choose_item(ChangesHull):
    """Choose the loading condition or the criterion named in the message"""

    bl_idname = Ops.CHOOSE_ITEM
    bl_label = "Choose Item"
    bl_options = {"UNDO", "INTERNAL"}

    which: WHICH
    item_name: StringProperty(name="Item", description="Name of the item")

    def execute(self, context: bpy.types.Context) -> set[str]:
        chosen = settings(active_hull(context))
        field, active, kind, _ = LISTS[self.which]
        index = getattr(chosen, field).find(self.item_name)
        if index < 0:
            text = rpt_("There is no {kind} '{name}'")
            self.report({"ERROR"}, text.format(kind=iface_(kind), name=self.item_name))
            return {"CANCELLED"}
        setattr(chosen, active, index)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_toggle_loaded(_OnCondition):
    """Toggle whether this weight or tank is loaded, or this compartment flooded, in the chosen \
condition"""

    bl_idname = Ops.TOGGLE_LOADED
    bl_label = "Toggle Loaded"
    bl_options = {"UNDO", "INTERNAL"}

    object_name: StringProperty(
        name="Object", description="Name of the weight, tank or compartment"
    )
    custom_fill: BoolProperty(
        name="Custom Fill",
        description="Toggle between a custom fill of the condition and the fill as modeled",
    )

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        if properties.custom_fill:
            return iface_(
                "Toggle between a custom fill in the chosen condition and the fill as modeled"
            )
        return iface_(cls.__doc__ or "")

    def execute(self, context: bpy.types.Context) -> set[str]:
        objects: Any = context.view_layer.objects
        obj = objects.get(self.object_name)
        if obj is None:
            self.report({"ERROR"}, rpt_(NO_OBJECT).format(name=self.object_name))
            return {"CANCELLED"}
        entry = settings(active_hull(context)).condition.ensure_item(obj)
        if settings(obj).role == Role.COMPARTMENT:
            entry.flooded = not entry.flooded
            return {"FINISHED"}
        if not self.custom_fill:
            entry.not_loaded = not entry.not_loaded
            return {"FINISHED"}
        if not entry.use_fill:
            entry.fill = settings(obj).tank.fill
        entry.use_fill = not entry.use_fill
        return {"FINISHED"}


class NAVAL_CHECKS_OT_toggle_group_loaded(_OnCondition):
    """Toggle whether this group is loaded in the chosen condition"""

    bl_idname = Ops.TOGGLE_GROUP_LOADED
    bl_label = "Toggle Group Loaded"
    bl_options = {"UNDO", "INTERNAL"}

    group: StringProperty(name="Group", description="Name of the group")

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        not_loaded = settings(hull).condition.groups_not_loaded
        index = not_loaded.find(self.group)
        if index >= 0:
            not_loaded.remove(index)
        else:
            not_loaded.add().name = self.group
        recheck(context.evaluated_depsgraph_get(), hull)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_compare(ChangesHull):
    """Find floating position and stability as modeled and in every loading condition"""

    bl_idname = Ops.COMPARE
    bl_label = "Compare Conditions"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls, settings(active_hull(context)).conditions, "Add a loading condition first"
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        with Progress(context) as progress:
            entries = float_in_all(
                context.evaluated_depsgraph_get(), active_hull(context), progress.on_progress
            )
        for entry in entries:
            if entry.message:
                self.report({"WARNING"}, reported(context, entry.message))
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_edit_list,
        NAVAL_CHECKS_OT_choose_item,
        NAVAL_CHECKS_OT_toggle_loaded,
        NAVAL_CHECKS_OT_toggle_group_loaded,
        NAVAL_CHECKS_OT_compare,
    )
)
