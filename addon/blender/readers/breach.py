"""The breach or opening through which the user lets the sea in."""

from __future__ import annotations

import bpy

from ..properties.names import Role
from .members import scene_parts


def active_inflow(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active breach or opening of the active hull, or its only breach."""
    here, active = scene_parts(context.view_layer), context.view_layer.objects.active
    hull = here.active_hull(active)
    if active in here.parts_of(hull, Role.BREACH, Role.OPENING):
        return active
    breaches = here.parts_of(hull, Role.BREACH)
    return breaches[0] if len(breaches) == 1 else None
