"""The vessel as the scene shows it: at rest or held at a heel, and the place inspected."""

from __future__ import annotations

from ...core.hydrostatics.floating_position import FloatingPosition
from ..properties.scene_settings import SceneSettings
from .held_heel import Heeled, held_at
from .session import Entry


def shown(entry: Entry, settings: SceneSettings) -> FloatingPosition:
    """The floating position to draw: at rest, or held at the chosen heel. The entry has one."""
    assert entry.floating
    heeled = at_held_heel(entry, settings)
    return heeled.floating if heeled else entry.floating


def at_held_heel(entry: Entry, settings: SceneSettings) -> Heeled | None:
    """The vessel held at the chosen heel; None where it is shown at rest."""
    if not (settings.use_held_heel and entry.assessment and entry.floating):
        return None
    return held_at(entry.uid, entry.floating, entry.assessment, float(settings.held_heel))


def inspected_place(entry: Entry, settings: SceneSettings) -> float | None:
    """The place along a hull (m) inspected on the chart of floodable length."""
    if not (settings.use_inspected_place and entry.damage.charted and entry.ship):
        return None
    return float(settings.inspected_place) * entry.ship.frame.unit
