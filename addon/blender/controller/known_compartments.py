"""Compartments found in this session, by hull, and what the user chose of them."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass, replace

import bpy

from ...core.model.compartment import Division, Room
from ..properties.events import Event, emit
from ..properties.suggestions import compartment_names
from .viewports import redraw


@dataclass(frozen=True)
class Divided:
    """How a hull object is divided, in ship axes; the same however she is loaded.

    `sources` are the session_uids of all objects that the rooms were found from, and `signature`
    is a digest of them. `stale` means that some of them changed since.
    """

    division: Division
    sources: frozenset[int]
    signature: bytes
    stale: bool = False


_divided: dict[int, Divided] = {}
_holed: dict[int, frozenset[str]] = {}
_chosen_rooms: dict[int, str] = {}


def divide(uid: int, found: Divided) -> None:
    """Keep how a hull is divided; what was chosen of rooms that are no more is dropped."""
    known = {room.name for room in found.division.rooms}
    _divided[uid] = found
    _holed[uid] = _holed.get(uid, frozenset()) & known
    _tell_found()


def division(uid: int) -> Division | None:
    """How the hull of a session_uid is divided, once that was asked for."""
    return _divided[uid].division if uid in _divided else None


def divisions() -> tuple[tuple[int, Division], ...]:
    """All that is known of rooms, by the session_uids of hulls."""
    return tuple((uid, found.division) for uid, found in _divided.items())


def divided(uid: int) -> Divided | None:
    """How the hull of a session_uid is divided, and whether that is out of date."""
    return _divided.get(uid)


def divided_of(hull: bpy.types.Object) -> Divided | None:
    """How a hull is divided, once that was asked for."""
    return divided(hull.session_uid)


def set_divided_stale(uid: int, stale: bool) -> None:
    """Say whether the rooms of a hull are out of date."""
    found = _divided.get(uid)
    if found and found.stale != stale:
        _divided[uid] = replace(found, stale=stale)
        redraw()


def mark_divided_stale(touched: Iterable[int]) -> None:
    """Say that objects of these session_uids changed since rooms were found from them."""
    touched = frozenset(touched)
    for uid, found in _divided.items():
        set_divided_stale(uid, found.stale or not found.sources.isdisjoint(touched))


def is_divided(touched: Iterable[int] | None = None) -> bool:
    """Whether the rooms of any hull are known, and found from objects of these session_uids."""
    touched = None if touched is None else frozenset(touched)
    return any(
        touched is None or not found.sources.isdisjoint(touched) for found in _divided.values()
    )


def holed(uid: int) -> frozenset[str]:
    """Names of the rooms of a hull that are to be flooded together."""
    return _holed.get(uid, frozenset())


def set_holed(uid: int, names: frozenset[str]) -> None:
    """Choose the rooms of a hull that are to be flooded together."""
    _holed[uid] = names
    redraw()


def choose_room(uid: int, name: str) -> None:
    """Choose a room of a hull."""
    _chosen_rooms[uid] = name
    redraw()


def chosen_room(uid: int) -> Room | None:
    """The room of a hull that is chosen, while it is known."""
    found = division(uid)
    return found.room(_chosen_rooms.get(uid, "")) if found else None


def keep_only(uids: Container[int]) -> None:
    """Forget the rooms of all other hulls."""
    for kept in (_divided, _holed, _chosen_rooms):
        for uid in [uid for uid in kept if uid not in uids]:
            del kept[uid]
    _tell_found()


def _tell_found() -> None:
    compartment_names.clear()
    compartment_names.update(
        (uid, tuple(room.name for room in found.rooms)) for uid, found in divisions()
    )
    emit(Event.COMPARTMENTS_FOUND)
    redraw()
