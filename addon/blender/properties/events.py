"""Events: what changed in settings and results. Listeners subscribe.

An event calls its listeners at once, in the order in which they subscribed, with the object whose
setting changed, or None where it is not that of a single object.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum, auto

import bpy

Listener = Callable[[bpy.types.Object | None], None]


class Event(Enum):
    """What can change."""

    DISPLAY_CHANGED = auto()
    """How results are drawn in the viewport."""
    FIGURES_CHANGED = auto()
    """A setting of an object that its hull's figures are computed from."""
    COMPARTMENTS_CHANGED = auto()
    """A setting of an object that compartments or the paths between them are found from."""
    PARTS_CHANGED = auto()
    """Which objects are parts, and of which hull."""
    MARKS_WANTED = auto()
    """Perpendiculars and baseline of a hull are asked for and not yet set."""
    CONDITION_CHANGED = auto()
    """A loading condition of a hull."""
    LOADING_CHANGED = auto()
    """The condition in which a hull is loaded."""
    LIVE_SWITCHED = auto()
    """Whether results update while the user models."""
    SOURCE_CHANGED = auto()
    """Results of an object (None: of any) were marked as out of date."""
    COMPARTMENTS_FOUND = auto()
    """Compartments were found or cleared."""


_listeners: dict[Event, list[Listener]] = {}


def subscribe(event: Event, listener: Listener) -> None:
    """Call the listener at each such event."""
    _listeners.setdefault(event, []).append(listener)


def unsubscribe(event: Event, listener: Listener) -> None:
    """Stop calling the listener."""
    if listener in _listeners.get(event, []):
        _listeners[event].remove(listener)


def listeners(event: Event) -> tuple[Listener, ...]:
    """The listeners of an event, in order."""
    return tuple(_listeners.get(event, ()))


def emit(event: Event, source: bpy.types.Object | None = None) -> None:
    """Call the listeners of an event."""
    for listener in listeners(event):
        listener(source)


def clear() -> None:
    """Drop all listeners."""
    _listeners.clear()
