"""Suggestions while the user types a name: groups of weights, compartments of a hull."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import bpy

from .names import PROPERTY

GROUPS = ("structure", "machinery", "outfit", "cargo", "crew", "consumables")

compartment_names: dict[int, tuple[str, ...]] = {}
"""Names of the compartments last found, by the session_uid of the hull; kept by the controller."""


def suggest_groups(
    self: bpy.types.bpy_struct, context: bpy.types.Context, text: str
) -> Iterator[str]:
    """Groups that contain the text: typical ones, then those in use."""
    used = {getattr(obj, PROPERTY).group for obj in context.view_layer.objects} - {""}
    yield from (group for group in (*GROUPS, *sorted(used - {*GROUPS})) if text.lower() in group)


def suggest_compartments(group: Any, context: bpy.types.Context, text: str) -> list[str]:
    """Compartments of a part's hull whose names contain the text, once found."""
    hull = getattr(group.id_data, PROPERTY).hull
    known = [
        names for uid, names in compartment_names.items() if hull is None or uid == hull.session_uid
    ]
    names = known[0] if len(known) == 1 else ()
    return [name for name in names if text.lower() in name.lower()]
