"""Update callbacks of settings: each emits an event."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

import bpy

from .events import Event, emit

Update = Callable[[bpy.types.PropertyGroup, bpy.types.Context], None]


def emitting(*events: Event) -> Update:
    """A callback that emits these events for the object that has the setting."""

    def updated(group: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
        holder = cast(bpy.types.Object, group.id_data)
        for event in events:
            emit(event, holder)

    return updated


figures_changed = emitting(Event.FIGURES_CHANGED)
compartments_changed = emitting(Event.COMPARTMENTS_CHANGED)
shape_changed = emitting(Event.COMPARTMENTS_CHANGED, Event.FIGURES_CHANGED)
parts_changed = emitting(Event.PARTS_CHANGED)
condition_changed = emitting(Event.CONDITION_CHANGED)


def display_changed(group: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """Emit a change of the viewport display."""
    emit(Event.DISPLAY_CHANGED)


def silent(group: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """Do nothing: no kept result depends on the setting."""
