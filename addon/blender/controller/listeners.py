"""What follows from a change of settings: results go out of date, or are checked or recomputed."""

from __future__ import annotations

from contextlib import suppress

import bpy

from ...core.messages.findings import BadInputError
from ..properties.events import Event, Listener, emit, subscribe, unsubscribe
from ..properties.settings import settings
from ..readers.hulls import usual_marks
from ..readers.members import forget_glances
from . import compartments, known_compartments, known_damage, session
from .analysis import follow_loading, recheck, recheck_all
from .damage import follow_boundaries
from .viewports import redraw


def _figures_changed(obj: bpy.types.Object | None) -> None:
    session.mark_stale(obj)
    redraw()


def _compartments_changed(obj: bpy.types.Object | None) -> None:
    if obj is not None:
        known_compartments.mark_divided_stale([obj.session_uid])
    redraw()


def _parts_changed(_: bpy.types.Object | None) -> None:
    forget_glances()
    session.mark_stale()
    if known_compartments.is_divided() or known_damage.is_subdivided():
        depsgraph = bpy.context.evaluated_depsgraph_get()
        compartments.recheck(depsgraph)
        recheck_all(depsgraph, None)
        follow_boundaries(depsgraph, None)
    redraw()


def _marks_wanted(hull: bpy.types.Object | None) -> None:
    if hull is None:
        return
    form = settings(hull).form
    with suppress(BadInputError):
        for name, place in usual_marks(bpy.context.evaluated_depsgraph_get(), hull).items():
            if not form.is_property_set(name):
                setattr(form, name, place)


def _condition_changed(hull: bpy.types.Object | None) -> None:
    if hull is not None:
        recheck(bpy.context.evaluated_depsgraph_get(), hull)


def _loading_changed(hull: bpy.types.Object | None) -> None:
    if hull is not None:
        follow_loading(bpy.context.evaluated_depsgraph_get(), hull)


def _live_switched(_: bpy.types.Object | None) -> None:
    for entry in session.known():
        session.set_stale(entry, entry.stale or entry.behind)
    emit(Event.SOURCE_CHANGED)
    redraw()


def _display_changed(_: bpy.types.Object | None) -> None:
    redraw()


LISTENERS: dict[Event, Listener] = {
    Event.FIGURES_CHANGED: _figures_changed,
    Event.COMPARTMENTS_CHANGED: _compartments_changed,
    Event.PARTS_CHANGED: _parts_changed,
    Event.MARKS_WANTED: _marks_wanted,
    Event.CONDITION_CHANGED: _condition_changed,
    Event.LOADING_CHANGED: _loading_changed,
    Event.LIVE_SWITCHED: _live_switched,
    Event.DISPLAY_CHANGED: _display_changed,
}


def register() -> None:
    for event, listener in LISTENERS.items():
        subscribe(event, listener)


def unregister() -> None:
    for event, listener in LISTENERS.items():
        unsubscribe(event, listener)
