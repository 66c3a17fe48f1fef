"""The lists of loading conditions and of criteria of a hull."""

from __future__ import annotations

from typing import Any

import bpy

from ..identifiers import Ops
from ..properties.object_settings import ObjectSettings
from .layout import Layout


class NAVAL_CHECKS_UL_conditions(bpy.types.UIList):
    """The loading conditions of a hull."""

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        chosen: ObjectSettings = data
        shown = chosen.condition == item
        layout.prop(
            item, "name", text="", emboss=False, icon="RADIOBUT_ON" if shown else "RADIOBUT_OFF"
        )


class NAVAL_CHECKS_UL_criteria(bpy.types.UIList):
    """The custom criteria of a hull."""

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        layout.prop(item, "name", text="", emboss=False)


def editable_list(layout: Layout, chosen: ObjectSettings, kind: str, which: str) -> None:
    """A list with buttons to add, copy, remove and move."""
    field, active = {
        "CRITERIA": ("custom_criteria", "active_criterion"),
        "CONDITIONS": ("conditions", "active_condition"),
    }[which]
    items = getattr(chosen, field)
    row = layout.row()
    row.template_list(kind, "", chosen, field, chosen, active, rows=3 if items else 2)
    column = row.column(align=True)
    actions: dict[str, Any] = {"ADD": "ADD"}
    if items:
        actions |= {"COPY": "DUPLICATE", "REMOVE": "REMOVE"}
    if len(items) > 1:
        actions |= {"UP": "TRIA_UP", "DOWN": "TRIA_DOWN"}
    for action, icon in actions.items():
        button = column.operator(Ops.EDIT_LIST, text="", icon=icon)
        button.which, button.action = which, action


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_UL_conditions, NAVAL_CHECKS_UL_criteria)
)
