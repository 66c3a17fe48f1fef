"""Corrective actions for a vessel, found outside the drawing of panels, kept for the session."""

from __future__ import annotations

from dataclasses import dataclass

import bpy

from ...core.advice.action import CorrectiveAction
from ...core.advice.actions_for_criteria import actions_for_criteria
from ...core.advice.corrective_actions import find_corrective_actions
from ...core.criteria.assessment import Assessment
from ...core.hydrostatics.floating_position import FloatingPosition
from ..properties.names import Basis, Role
from ..properties.settings import settings
from ..readers.members import is_part, subject_object
from . import session, viewports

PAUSE = 0.3
"""Seconds for which a result must stand before corrective actions are sought."""

Found = tuple[CorrectiveAction, ...]


@dataclass(frozen=True)
class _Known:
    """Remedies, and the result that they belong to."""

    result: FloatingPosition | Assessment
    found: Found


_known: dict[tuple[int, str | None, bool], _Known] = {}
_wanted: set[tuple[int, str | None, bool]] = set()


def corrective_actions_of(entry: session.Entry, of_criteria: bool = False) -> Found:
    """Corrective actions for the floating position, or for the criteria not met.

    Empty until it is found, which happens soon after it was first asked for, and for a result
    that is out of date or still follows.
    """
    result = entry.assessment if of_criteria else entry.floating
    if result is None or entry.stale or entry.behind:
        return ()
    key = (entry.uid, entry.loading, of_criteria)
    known = _known.get(key)
    if known and known.result is result:
        return known.found
    _wanted.add(key)
    if not bpy.app.timers.is_registered(find_wanted):
        bpy.app.timers.register(find_wanted, first_interval=PAUSE)
    return ()


def find(entry: session.Entry, of_criteria: bool = False) -> Found:
    """The same, found now."""
    result = entry.assessment if of_criteria else entry.floating
    if result is None:
        return ()
    key = (entry.uid, entry.loading, of_criteria)
    known = _known.get(key)
    if known is None or known.result is not result:
        known = _known[key] = _Known(result, _search(result))
    return known.found


def find_wanted() -> None:
    """Find what panels asked for, and have them drawn again."""
    entries = {(entry.uid, entry.loading): entry for entry in session.known()}
    for gone in [key for key in _known if key[:2] not in entries]:
        del _known[gone]
    while _wanted:
        uid, loading, of_criteria = _wanted.pop()
        entry = entries.get((uid, loading))
        if entry and not (entry.stale or entry.behind):
            find(entry, of_criteria)
    viewports.redraw()


def _search(result: FloatingPosition | Assessment) -> Found:
    if isinstance(result, Assessment):
        return tuple(actions_for_criteria(result))
    return tuple(find_corrective_actions(result))


def forget() -> None:
    """Drop what was found and look for nothing more."""
    if bpy.app.timers.is_registered(find_wanted):
        bpy.app.timers.unregister(find_wanted)
    _known.clear()
    _wanted.clear()


def movable(
    context: bpy.types.Context, corrective_action: CorrectiveAction
) -> bpy.types.Object | None:
    """The point mass that a remedy moves, if it is one that can be moved here."""
    obj = named(context, corrective_action)
    if obj is None or not (is_part(obj, Role.WEIGHT) and obj.is_editable):
        return None
    return obj if corrective_action.moves and settings(obj).weight.basis == Basis.POINT else None


def named(
    context: bpy.types.Context, corrective_action: CorrectiveAction
) -> bpy.types.Object | None:
    """The object that a remedy speaks of: its weight, or the tank that is pumped out."""
    named_part = next(iter(corrective_action.subjects), None)
    return subject_object(context, named_part) if named_part else None
