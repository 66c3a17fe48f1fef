"""The objects that are selected, and the active one as the choice in a list of objects."""

from __future__ import annotations

import bpy


def select_only(*chosen: bpy.types.Object) -> None:
    """Select just these objects of the view layer, the first of them active; none, and what is
    selected stays."""
    if not chosen:
        return
    objects = bpy.context.view_layer.objects
    for other in objects.selected[:]:
        other.select_set(False)
    for obj in chosen:
        obj.select_set(True)
    objects.active = chosen[0]


def active_index(self: bpy.types.PropertyGroup) -> int:
    """Where the active object is in the view layer's list; -1 without one."""
    objects = bpy.context.view_layer.objects
    return objects.find(objects.active.name) if objects.active else -1


def make_active(self: bpy.types.PropertyGroup, index: int) -> None:
    """Select just the object at an index of that list."""
    objects = bpy.context.view_layer.objects
    if 0 <= index < len(objects):
        select_only(objects[index])
