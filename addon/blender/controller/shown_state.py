"""The ship as the scene has her drawn: at rest or held at a heel, and the place looked at."""

from __future__ import annotations

from ...core.hydrostatics.floating_position import FloatingPosition
from ..properties.scene_settings import SceneSettings
from .held_heel import Heeled, held_at
from .session import Entry


def shown(entry: Entry, settings: SceneSettings) -> FloatingPosition:
    """The ship to draw: at rest, or held at the heel to look at. The entry has a floating one."""
    assert entry.floating
    heeled = at_held_heel(entry, settings)
    return heeled.floating if heeled else entry.floating


def at_held_heel(entry: Entry, settings: SceneSettings) -> Heeled | None:
    """The ship held at the heel to look at; None where she is to be seen at rest."""
    if not (settings.use_held_heel and entry.assessment and entry.floating):
        return None
    return held_at(entry.uid, entry.floating, entry.assessment, float(settings.held_heel))


def inspected_place(entry: Entry, settings: SceneSettings) -> float | None:
    """The place along a hull (m) that is looked at on the chart of floodable length."""
    if not (settings.use_inspected_place and entry.damage.charted and entry.ship):
        return None
    return float(settings.inspected_place) * entry.ship.frame.unit
