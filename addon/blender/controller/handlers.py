"""Watches the scene, and says which results are out of date, or has them follow."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import bpy
from bpy.app.handlers import persistent

from ..properties.names import Role
from ..readers.members import collect_parts, core_names, forget_glances, in_some_scene, is_part
from . import (
    compartments,
    corrective_actions,
    known_compartments,
    known_damage,
    known_objects,
    live,
    session,
)
from .analysis import recheck_all
from .damage import follow_boundaries


@persistent
def follow(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph | None = None) -> None:
    """After changes of objects: compare what changed with what was computed from it.

    An object renamed counts as one gone and one come, since results refer to it by its name. Undo
    lists the collections as changed, so a change undone makes its results good again.
    """
    forget_glances()
    if depsgraph is None or depsgraph.mode == "RENDER" or not session.known():
        return
    _follow_active(depsgraph)
    touched: dict[int, str] = {}
    moved: set[int] = set()
    structure = False
    for update in depsgraph.updates:
        structure |= isinstance(update.id, bpy.types.Collection)
        if isinstance(update.id, bpy.types.Object):
            uid = update.id.original.session_uid
            _follow_name(uid, update.id.name)
            structure |= known_objects.is_renamed(uid, update.id.name)
            if update.is_updated_geometry or update.is_updated_transform:
                touched[uid] = update.id.name
            if update.is_updated_transform:
                moved.add(uid)
    if structure:
        _forget_deleted()
    if live.is_wanted(scene):
        known_compartments.mark_divided_stale(moved)
        if structure and known_compartments.is_divided():
            compartments.recheck(depsgraph)
        else:
            live.follow_compartments(touched)
        _follow_live(depsgraph, touched, structure)
    else:
        _compare(depsgraph, touched, structure)
    if known_damage.is_subdivided() and (structure or touched):
        follow_boundaries(depsgraph, None if structure else touched)


def _compare(depsgraph: bpy.types.Depsgraph, touched: dict[int, str], structure: bool) -> None:
    """Say which results were found from what changed."""
    if known_compartments.is_divided(None if structure else touched):
        compartments.recheck(depsgraph)
    recheck_all(depsgraph, None if structure else touched)


@persistent
def follow_frame(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph | None = None) -> None:
    """After another frame: the same, and nothing is computed before it stands still."""
    if depsgraph is None or not live.is_wanted(scene) or not session.known():
        follow(scene, depsgraph)
    elif depsgraph.mode != "RENDER":
        forget_glances()
        live.follow_compartments()
        live.follow_all(depsgraph, at_once=False)


def _follow_live(depsgraph: bpy.types.Depsgraph, touched: dict[int, str], structure: bool) -> None:
    if live.is_busy():
        live.follow_all(depsgraph, at_once=False)
    elif structure:
        live.follow_all(depsgraph)
    elif touched:
        shown = {(entry.uid, entry.loading) for entry in session.entries()}
        for entry in session.known():
            if (entry.uid, entry.loading) not in shown and not entry.sources.isdisjoint(touched):
                session.set_stale(entry, True)
        live.follow(depsgraph, touched)


@persistent
def forget(*_: object) -> None:
    """After another file was loaded."""
    forget_glances()
    session.clear()
    live.forget()
    corrective_actions.forget()


def _follow_name(uid: int, name: str) -> None:
    for entry in session.known():
        if entry.uid == uid and entry.hull_name != name:
            session.store(replace(entry, hull_name=name))


def _follow_active(depsgraph: bpy.types.Depsgraph) -> None:
    """Choose the compartment whose mark the user has made active; of two that it marks, either will
    do."""
    active = depsgraph.view_layer.objects.active
    if not (known_objects.activate(active) and is_part(active, Role.COMPARTMENT, Role.TANK)):
        return
    entry = session.entry_for(collect_parts(depsgraph.view_layer).owner(active))
    if entry and entry.plan:
        names = [name for name in core_names(active) if entry.plan.compartment(name)]
        if names and not (entry.chosen_compartment and entry.chosen_compartment.name in names):
            known_compartments.choose_compartment(entry.uid, names[0])


def _forget_deleted() -> None:
    objects: Any = bpy.data.objects
    alive = (objects.get(entry.hull_name) for entry in session.known())
    session.keep_only({hull.session_uid for hull in alive if hull and in_some_scene(hull)})


HANDLERS = (
    (bpy.app.handlers.depsgraph_update_post, follow),
    (bpy.app.handlers.frame_change_post, follow_frame),
    (bpy.app.handlers.load_post, forget),
)


def register() -> None:
    live.register()
    for handlers, handler in HANDLERS:
        handlers.append(handler)


def unregister() -> None:
    for handlers, handler in HANDLERS:
        if handler in handlers:
            handlers.remove(handler)
    live.unregister()
    session.clear()
