"""Compartments found in this session, by hull, and what the user chose of them."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass, replace

import bpy

from ...core.model.compartment import Compartment, CompartmentPlan
from ..properties.events import Event, emit
from ..properties.suggestions import compartment_names
from .viewports import redraw


@dataclass(frozen=True)
class FoundCompartments:
    """The compartments of a hull object in ship axes; the same in every loading condition.

    `sources` are the session_uids of all objects that the compartments were found from, and
    `signature` is a digest of them. `stale` means that some of them changed since.
    """

    plan: CompartmentPlan
    sources: frozenset[int]
    signature: bytes
    stale: bool = False


_divided: dict[int, FoundCompartments] = {}
_breached: dict[int, frozenset[str]] = {}
_chosen_compartments: dict[int, str] = {}


def divide(uid: int, found: FoundCompartments) -> None:
    """Keep the compartments of a hull; choices of compartments that no longer exist are dropped."""
    known = {compartment.name for compartment in found.plan.compartments}
    _divided[uid] = found
    _breached[uid] = _breached.get(uid, frozenset()) & known
    _report_found()


def plan(uid: int) -> CompartmentPlan | None:
    """How the hull of a session_uid is divided, once that was asked for."""
    return _divided[uid].plan if uid in _divided else None


def divisions() -> tuple[tuple[int, CompartmentPlan], ...]:
    """All that is known of compartments, by the session_uids of hulls."""
    return tuple((uid, found.plan) for uid, found in _divided.items())


def divided(uid: int) -> FoundCompartments | None:
    """How the hull of a session_uid is divided, and whether that is out of date."""
    return _divided.get(uid)


def divided_of(hull: bpy.types.Object) -> FoundCompartments | None:
    """How a hull is divided, once that was asked for."""
    return divided(hull.session_uid)


def set_divided_stale(uid: int, stale: bool) -> None:
    """Say whether the compartments of a hull are out of date."""
    found = _divided.get(uid)
    if found and found.stale != stale:
        _divided[uid] = replace(found, stale=stale)
        redraw()


def mark_divided_stale(touched: Iterable[int]) -> None:
    """Say that objects of these session_uids changed since compartments were found from them."""
    touched = frozenset(touched)
    for uid, found in _divided.items():
        set_divided_stale(uid, found.stale or not found.sources.isdisjoint(touched))


def is_divided(touched: Iterable[int] | None = None) -> bool:
    """Whether the compartments of any hull are known, and found from objects of these
    session_uids."""
    touched = None if touched is None else frozenset(touched)
    return any(
        touched is None or not found.sources.isdisjoint(touched) for found in _divided.values()
    )


def breached(uid: int) -> frozenset[str]:
    """Names of the compartments of a hull that are to be flooded together."""
    return _breached.get(uid, frozenset())


def set_breached(uid: int, names: frozenset[str]) -> None:
    """Choose the compartments of a hull that are to be flooded together."""
    _breached[uid] = names
    redraw()


def choose_compartment(uid: int, name: str) -> None:
    """Choose a compartment of a hull."""
    _chosen_compartments[uid] = name
    redraw()


def chosen_compartment(uid: int) -> Compartment | None:
    """The compartment of a hull that is chosen, while it is known."""
    found = plan(uid)
    return found.compartment(_chosen_compartments.get(uid, "")) if found else None


def keep_only(uids: Container[int]) -> None:
    """Forget the compartments of all other hulls."""
    for kept in (_divided, _breached, _chosen_compartments):
        for uid in [uid for uid in kept if uid not in uids]:
            del kept[uid]
    _report_found()


def _report_found() -> None:
    compartment_names.clear()
    compartment_names.update(
        (uid, tuple(compartment.name for compartment in found.compartments))
        for uid, found in divisions()
    )
    emit(Event.COMPARTMENTS_FOUND)
    redraw()
