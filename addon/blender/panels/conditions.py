"""The panel of loading conditions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.messages.sentence import subjects_of
from ...units.quantities import Units
from ..controller import session
from ..identifiers import Ops
from ..properties.conditions import ConditionSettings
from ..properties.names import Role
from ..properties.object_settings import ObjectSettings
from ..properties.settings import settings
from ..readers.members import scene_parts
from ..wording import headline, wrapped
from .criteria import OUTCOMES, tally, worst
from .hull_lists import editable_list
from .layout import HullPanel, Layout, cells, is_stale, section, settings_column
from .named import problem
from .part_fields import draw_group


class NAVAL_CHECKS_PT_conditions(HullPanel, bpy.types.Panel):
    """Loading conditions, and a comparison of the vessel in each"""

    bl_label = "Loading Conditions"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        chosen = settings(hull)
        if chosen.conditions:
            layout.row().prop(chosen, "loading", expand=True)
        else:
            wrapped(layout, context, n_("None yet: the vessel is loaded as modeled"), "INFO")
        editable_list(layout, chosen, "NAVAL_CHECKS_UL_conditions", "CONDITIONS")
        if chosen.condition:
            _condition(layout, context, hull, chosen.condition)
        layout.operator(Ops.COMPARE)
        _comparison(layout, context, hull, chosen)


def _condition(
    layout: Layout,
    context: bpy.types.Context,
    hull: bpy.types.Object,
    condition: ConditionSettings,
) -> None:
    column = settings_column(layout)
    draw_group(column, condition)
    here = scene_parts(context.view_layer)
    body = section(layout, "loaded", n_("Loaded"))
    if body:
        _loaded(body, here.parts_of(hull, Role.WEIGHT, Role.TANK), condition)
    _flooded(layout, here.parts_of(hull, Role.COMPARTMENT), condition)


def _loaded(
    layout: Layout, on_board: Sequence[bpy.types.Object], condition: ConditionSettings
) -> None:
    """Groups, weights and tanks, checked where they are loaded."""
    column = layout.column(align=True)
    not_loaded = {group.name for group in condition.groups_not_loaded}
    used = {settings(obj).group for obj in on_board} - {""}
    for group in sorted(used | not_loaded):
        icon: Any = "CHECKBOX_DEHLT" if group in not_loaded else "CHECKBOX_HLT"
        text = iface_("Group {group}") if group in used else iface_("Group {group} (unused)")
        text = text.format(group=group)
        row = column.row()
        row.alignment = "LEFT"
        button = row.operator(
            Ops.TOGGLE_GROUP_LOADED, text=text, icon=icon, emboss=False, translate=False
        )
        button.group = group
    for obj in on_board:
        entry = condition.item_settings(obj)
        left_out = bool(entry and entry.not_loaded)
        tank = settings(obj).role == Role.TANK
        row = column.split(factor=0.55) if tank else column.row()
        row.active = settings(obj).group not in not_loaded
        icon = "CHECKBOX_DEHLT" if left_out else "CHECKBOX_HLT"
        left = row.row()
        left.alignment = "LEFT"
        button = left.operator(
            Ops.TOGGLE_LOADED, text=obj.name, icon=icon, emboss=False, translate=False
        )
        button.object_name = obj.name
        if tank and not left_out:
            fill = row.row(align=True)
            own = bool(entry and entry.use_fill)
            if own:
                fill.prop(entry, "fill", text="", slider=True)
            else:
                fill.label(text=f"{settings(obj).tank.fill:.0f} %")
            icon = "UNLOCKED" if own else "LOCKED"
            button = fill.operator(Ops.TOGGLE_LOADED, text="", icon=icon)
            button.object_name, button.custom_fill = obj.name, True


def _flooded(
    layout: Layout, compartments: Iterable[bpy.types.Object], condition: ConditionSettings
) -> None:
    """Marked compartments, checked where they are open to the sea in the condition."""
    body = section(layout, "flooded", n_("Flooded Compartments"), closed=True)
    for compartment in compartments if body else ():
        entry = condition.item_settings(compartment)
        icon: Any = "CHECKBOX_HLT" if entry and entry.flooded else "CHECKBOX_DEHLT"
        row = body.row()
        row.alignment = "LEFT"
        button = row.operator(
            Ops.TOGGLE_LOADED, text=compartment.name, icon=icon, emboss=False, translate=False
        )
        button.object_name = compartment.name


def _comparison(
    layout: Layout, context: bpy.types.Context, hull: bpy.types.Object, chosen: ObjectSettings
) -> None:
    """A table of the computed conditions, two lines each."""
    entries = [
        (name or iface_("As modeled"), session.entry_in(hull, name))
        for name in (None, *(each.name for each in chosen.conditions))
    ]
    if sum(entry is not None for _, entry in entries) < 2:
        return
    units = Units.of(context.scene)
    box = layout.box()
    cells(box, (n_("Draft"), n_("GM"), n_("Max GZ")))
    for name, entry in entries:
        column = box.column(align=True)
        words, icon = _state(context, entry)
        mass = entry and entry.floating and units.mass(entry.floating.weight.mass)
        text = ": ".join(filter(None, (name, mass, words)))
        problem(column, context, text, icon, subjects_of((entry and entry.message) or ""))
        if entry and entry.assessment:
            ship = entry.assessment.stability
            form = ship.floating.hydrostatics
            figures = (form.draft_mid, ship.floating.GM_fluid, ship.weaker.max_gz)
            cells(column, tuple(map(units.length, figures)))


def _state(context: bpy.types.Context, entry: session.Entry | None) -> tuple[str, Any]:
    """The result in a condition in a few words, and an icon for it."""
    if entry is None:
        return iface_("not computed"), "BLANK1"
    if is_stale(context, entry):
        return iface_("changed since computed"), "FILE_REFRESH"
    if entry.floating is None:
        return Units.of(context.scene).text(entry.message or ""), "CANCEL"
    words, icon = headline(entry.floating)
    if entry.assessment is None or not entry.assessment.verdicts:
        return words.lower(), icon
    verdicts = entry.assessment.verdicts
    return f"{words.lower()}, {tally(verdicts).lower()}", OUTCOMES[worst(verdicts)][1]
