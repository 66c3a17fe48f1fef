"""The breach or opening through which the user lets the sea in."""

from __future__ import annotations

import bpy

from ..properties.names import Role
from .members import glance


def hole_at_hand(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active hole or opening of the hull at hand, or her only hole."""
    here, active = glance(context.view_layer), context.view_layer.objects.active
    hull = here.hull_at_hand(active)
    if active in here.parts_of(hull, Role.BREACH, Role.OPENING):
        return active
    holes = here.parts_of(hull, Role.BREACH)
    return holes[0] if len(holes) == 1 else None
