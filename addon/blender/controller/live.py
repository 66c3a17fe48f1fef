"""Figures that follow while the user models.

A change of the parts, or of where the vertices of a hull are, floats the vessel again within
the call that reports it, as long as the last such computation kept to `FRAME`. GZ curve,
criteria and the check of the surface, and all that takes longer, wait until nothing has changed
for `QUIET`; meanwhile the figures name the shape they belong to. Computations of more than `LONG`
are left to the user. Nothing is written to the file, and nothing happens while Blender plays,
renders or has no window; what changed meanwhile is taken up afterwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from time import perf_counter
from typing import Any

import bpy
import numpy as np

from ...core.damage.damaged_case import damaged
from ...core.hydrostatics.floating_position import find_floating_position
from ...core.messages.findings import BadInputError
from ...core.model.loaded_case import in_condition
from ..properties.events import Event, subscribe, unsubscribe
from ..properties.settings import scene_settings
from ..readers.cases import follow_case
from ..readers.hulls import follow_hull
from . import compartments, known_compartments, session
from .analysis import float_hull, recheck

FRAME = 0.03
QUIET = 0.25
LONG = 1.5
PATIENCE = 4.0
A_TRIANGLE = 1.2e-5
"""About how long a hull takes for each of its triangles before that is known (s)."""

in_window = not bpy.app.background
"""Whether there is a user to follow; tests set it where there is no window."""


@dataclass
class Pace:
    """How long the last computations of a hull took (s)."""

    quick: float = 0.0
    whole: float = 0.0


@dataclass
class _Pending:
    noted: dict[int, str] = field(default_factory=dict)
    waiting: set[int] = field(default_factory=set)
    compartments: bool = False
    paces: dict[int, Pace] = field(default_factory=dict)
    changed: float = 0.0


_pending = _Pending()


def is_wanted(scene: bpy.types.Scene | None) -> bool:
    """Whether figures are to follow changes of a scene."""
    return in_window and scene is not None and scene_settings(scene).live


def is_busy() -> bool:
    """Whether Blender plays or renders."""
    windows = bpy.context.window_manager.windows
    return bpy.app.is_job_running("RENDER") or any(
        window.screen.is_animation_playing for window in windows
    )


def follow(depsgraph: bpy.types.Depsgraph, touched: Mapping[int, str]) -> None:
    """After objects of these session_uids and names changed: float their hulls again."""
    using = [entry for entry in session.entries() if touched.keys() & entry.sources]
    for entry in using:
        _follow(depsgraph, entry, touched)
    if using:
        _wait()


def follow_all(depsgraph: bpy.types.Depsgraph, at_once: bool = True) -> None:
    """After objects came, went or came back, or all may have moved: bring what is out of date up
    to date, at once or when it is quiet."""
    objects: Any = depsgraph.view_layer.objects
    for entry in session.entries():
        hull = objects.get(entry.hull_name)
        if hull is not None and hull.session_uid == entry.uid:
            recheck(depsgraph, hull)
    stale = [entry for entry in session.entries() if entry.stale]
    for entry in stale:
        if at_once:
            _follow(depsgraph, entry, None)
        _pending.waiting.add(entry.uid)
    if stale:
        _wait()


def follow_compartments(touched: Iterable[int] | None = None) -> None:
    """After objects of these session_uids (None: any) changed: look whether compartments found from
    them are still good, when it is quiet."""
    if known_compartments.is_divided(touched):
        _pending.compartments = True
        _wait()


def note(source: bpy.types.Object | None) -> None:
    """A setting of an object (None: of any) changed, which Blender does not report."""
    if not is_wanted(bpy.context.scene):
        return
    for entry in session.entries():
        if source is None:
            _pending.noted[entry.uid] = entry.hull_name
        elif source.session_uid in entry.sources:
            _pending.noted[source.session_uid] = source.name
        else:
            continue
        _pending.waiting.add(entry.uid)
    if _pending.noted:
        _wait()
    if _pending.noted and not bpy.app.timers.is_registered(_follow_noted):
        bpy.app.timers.register(_follow_noted, first_interval=0.0)


def settle() -> None:
    """Compute all that waits, as far as it does not take too long."""
    context = bpy.context
    if not is_wanted(context.scene):
        _pending.waiting.clear()
    if is_busy() or not (_pending.waiting or _pending.compartments):
        return
    waiting, _pending.waiting = _pending.waiting, set()
    depsgraph = context.evaluated_depsgraph_get()
    if _pending.compartments:
        _pending.compartments = False
        compartments.recheck(depsgraph)
    objects: Any = context.view_layer.objects
    for entry in session.entries():
        hull = objects.get(entry.hull_name)
        if entry.uid not in waiting or hull is None or hull.session_uid != entry.uid:
            continue
        pace, start = _pace(entry), perf_counter()
        if pace.whole <= LONG:
            float_hull(depsgraph, hull)
            pace.whole = perf_counter() - start
        elif entry.stale:
            _float_again(depsgraph, entry, None)


def forget() -> None:
    """Drop all that waits."""
    for kept in (_pending.noted, _pending.waiting, _pending.paces):
        kept.clear()
    _pending.compartments = False
    for timer in (_follow_noted, _settle_when_quiet):
        if bpy.app.timers.is_registered(timer):
            bpy.app.timers.unregister(timer)


def _follow(
    depsgraph: bpy.types.Depsgraph, entry: session.Entry, touched: Mapping[int, str] | None
) -> None:
    pace, start = _pace(entry), perf_counter()
    if pace.quick <= FRAME or start - _pending.changed > PATIENCE:
        if _float_again(depsgraph, entry, touched):
            pace.quick = perf_counter() - start
        else:
            session.set_stale(entry, True)
    else:
        session.set_stale(entry, True)
    _pending.waiting.add(entry.uid)


def _float_again(
    depsgraph: bpy.types.Depsgraph, entry: session.Entry, touched: Mapping[int, str] | None
) -> bool:
    """Float a hull with the parts touched (None: all) as they are now; False where it must be
    read again."""
    objects: Any = depsgraph.view_layer.objects
    hull, ship, modeled = objects.get(entry.hull_name), entry.ship, entry.modeled
    if hull is None or ship is None or modeled is None or entry.floating is None:
        return False
    moved = touched is None or entry.uid in touched
    try:
        if moved:
            ship = follow_hull(depsgraph, hull, ship)
            if ship is None:
                return False
        names = None if touched is None or moved else touched.values()
        modeled = follow_case(depsgraph, hull, ship, modeled, names)
        if modeled is None:
            return False
        case = in_condition(modeled, entry.condition) if entry.condition else modeled
        if case.flooded:
            if entry.divided is None or entry.divided.stale:
                return False
            case = damaged(case, entry.plan, ())
        floating = find_floating_position(case, entry.floating, seek_others=False)
    except (BadInputError, KeyError, np.linalg.LinAlgError):
        return False
    if floating.equilibrium is None:
        return False
    there = replace(entry, ship=ship, modeled=modeled, floating=floating)
    reshaped = entry.reshaped or moved
    session.store(replace(there, reshaped=reshaped, behind=True, stale=False))
    return True


def _pace(entry: session.Entry) -> Pace:
    if entry.uid not in _pending.paces:
        triangles = len(entry.ship.hull.triangles) if entry.ship else 0
        _pending.paces[entry.uid] = Pace(whole=A_TRIANGLE * triangles)
    return _pending.paces[entry.uid]


def _follow_noted() -> None:
    noted, _pending.noted = _pending.noted, {}
    if is_wanted(bpy.context.scene) and not is_busy():
        follow(bpy.context.evaluated_depsgraph_get(), noted)


def _wait() -> None:
    _pending.changed = perf_counter()
    if (_pending.waiting or _pending.compartments) and not bpy.app.timers.is_registered(
        _settle_when_quiet
    ):
        bpy.app.timers.register(_settle_when_quiet, first_interval=QUIET)


def _settle_when_quiet() -> float | None:
    left = _pending.changed + QUIET - perf_counter()
    if left > 0:
        return left
    settle()
    return QUIET if _pending.waiting or _pending.compartments else None


def register() -> None:
    subscribe(Event.SOURCE_CHANGED, note)


def unregister() -> None:
    unsubscribe(Event.SOURCE_CHANGED, note)
    forget()
