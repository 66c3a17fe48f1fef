"""The selected objects, and the active one as the choice in a list of objects."""

from __future__ import annotations

import bpy


def select_only(*chosen: bpy.types.Object) -> None:
    """Select only these objects, the first one active; without any, keep the selection."""
    if not chosen:
        return
    objects = bpy.context.view_layer.objects
    for other in objects.selected[:]:
        other.select_set(False)
    for obj in chosen:
        obj.select_set(True)
    objects.active = chosen[0]


def active_index(self: bpy.types.PropertyGroup) -> int:
    """Index of the active object in the view layer; -1 without one."""
    objects = bpy.context.view_layer.objects
    return objects.find(objects.active.name) if objects.active else -1


def make_active(self: bpy.types.PropertyGroup, index: int) -> None:
    """Select only the object at an index of the view layer."""
    objects = bpy.context.view_layer.objects
    if 0 <= index < len(objects):
        select_only(objects[index])
