"""A message, and the way to what it names: a part, a loading condition, a criterion."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import bpy

from ...core.messages.findings import Finding
from ..identifiers import Ops
from ..properties.settings import settings
from ..readers.members import core_names, glance
from ..wording import BUTTON, wrapped
from .layout import ICONS, Layout, select_button

KINDS = {"condition": "CONDITIONS", "criterion": "RULES"}


def problem(layout: Layout, context: bpy.types.Context, text: str, icon: Any = "NONE") -> None:
    """The text, with a button to the condition, criterion or object that it names in quotes."""
    row = layout.row()
    item, obj = named_item(context, text), named_object(context, text)
    wrapped(row.column(), context, text, icon, BUTTON if item or obj else 0)
    if item:
        button = row.operator(Ops.CHOOSE_ITEM, text="", icon="RESTRICT_SELECT_OFF")
        button.which, button.item_name = item
    elif obj:
        select_button(row, obj)


def said(layout: Layout, context: bpy.types.Context, found: Iterable[Finding]) -> None:
    """A line for each finding that has no place."""
    for finding in found:
        problem(layout, context, finding.text, ICONS[finding.severity])


def named_item(context: bpy.types.Context, text: str) -> tuple[str, str] | None:
    """The list of the hull at hand and the name of the item in it that a text speaks of."""
    hull = glance(context.view_layer).hull_at_hand(context.view_layer.objects.active)
    if hull is None:
        return None
    lists = {"condition": settings(hull).conditions, "criterion": settings(hull).custom_criteria}
    for kind, items in lists.items():
        for item in items:
            if f"{kind} '{item.name}'" in text:
                return KINDS[kind], item.name
    return None


def named_object(context: bpy.types.Context, text: str) -> bpy.types.Object | None:
    """The hull or the part of a ship that a text speaks of, in quotes or as its first word."""
    here = glance(context.view_layer)
    for obj in (*here.parts, *here.hulls):
        names = {obj.name, *core_names(obj)}
        if any(f"'{name}'" in text for name in names) or text.startswith(f"{obj.name}: "):
            return obj
    return None
