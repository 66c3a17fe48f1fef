"""Results of this session, by hull; nothing of them is kept in the file."""

from __future__ import annotations

from collections.abc import Callable, Container
from dataclasses import dataclass, replace
from typing import Any

import bpy

from ...core.arrays import Floats
from ...core.criteria.assessment import Assessment
from ...core.damage.flooding_result import FloodingResult
from ...core.damage.subdivision import Subdivision
from ...core.flooding_time.flooding_history import FloodingHistory
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.messages.findings import Finding
from ...core.model.case import Case
from ...core.model.compartment import Compartment, CompartmentPlan
from ...core.model.conditions import Condition
from ..properties.events import Event, emit
from ..readers.hulls import ReadHull
from . import held_heel
from . import known_compartments as compartments
from .known_damage import Damage, Key, damage_of, keep_damage, keep_where
from .known_objects import forget_names
from .viewports import redraw


@dataclass(frozen=True)
class Entry:
    """What is known of one hull object.

    `uid` is the session_uid of the hull, `sources` those of all objects that were read,
    `signature` and `shape` digests of all of them and of the hull alone, and `condition` the one
    that it is loaded in, None as modeled. `ship` and `floating` are None where they failed,
    and `message` says why. `assessment` is None without a floating position, and for a vessel
    that sinks. `modeled` is the case as modeled. `on_board` are findings on what is
    loaded. `reshaped` means that vertices have moved since the surface was checked,
    `behind` that the floating position has followed changes that stability has not yet,
    `stale` that something changed since.
    """

    uid: int
    hull_name: str
    sources: frozenset[int]
    signature: bytes
    shape: bytes
    ship: ReadHull | None
    floating: FloatingPosition | None
    assessment: Assessment | None = None
    message: str | None = None
    condition: Condition | None = None
    modeled: Case | None = None
    on_board: tuple[Finding, ...] = ()
    reshaped: bool = False
    behind: bool = False
    stale: bool = False

    @property
    def loading(self) -> str | None:
        """Name of the condition that it is loaded in; None as modeled."""
        return self.condition.name if self.condition else None

    @property
    def key(self) -> Key:
        """What results are kept by."""
        return self.uid, self.loading

    @property
    def divided(self) -> compartments.FoundCompartments | None:
        """The compartments found, and whether that is out of date."""
        return compartments.divided(self.uid)

    @property
    def plan(self) -> CompartmentPlan | None:
        """The compartments in ship axes, once they were asked for; also without a floating
        position."""
        return compartments.plan(self.uid)

    @property
    def damage(self) -> Damage:
        """Damage results in this loading condition."""
        return damage_of(self.key)

    @property
    def floodings(self) -> tuple[FloodingResult, ...]:
        """The floodings last asked for."""
        return self.damage.floodings

    @property
    def shown_flooding(self) -> FloodingResult | None:
        """The flooding that is drawn; None where the intact vessel is drawn."""
        shown = self.damage.shown
        return None if shown is None else self.floodings[shown]

    @property
    def flooding_history(self) -> FloodingHistory | None:
        """The flooding in time last asked for."""
        return self.damage.flooding_history

    @property
    def damage_stale(self) -> bool:
        """Whether anything changed since the floodings were found."""
        divided = self.divided
        changed = divided is None or divided.stale or self.stale or self.behind
        return changed or self.damage.basis != _basis(self)

    @property
    def advice_stale(self) -> bool:
        """Whether anything changed since bulkheads were advised; compartments do not matter
        there."""
        changed = self.stale or self.behind
        return changed or not self.damage.basis.startswith(self.signature)

    @property
    def breached(self) -> frozenset[str]:
        """Names of the compartments that are to be flooded together."""
        return compartments.breached(self.uid)

    @property
    def chosen_compartment(self) -> Compartment | None:
        """The compartment chosen in the list, to be set off from the others."""
        return compartments.chosen_compartment(self.uid)

    @property
    def to_world(self) -> Floats:
        """Matrix (4, 4) from ship axes (m) to the world (Blender units)."""
        assert self.ship
        return self.ship.frame.to_world

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was found, `position_findings` first and `surface` last."""
        return self.floating.findings if self.floating else self.surface

    @property
    def position_findings(self) -> tuple[Finding, ...]:
        """Findings on the floating position; points in ship axes."""
        return self.findings[: len(self.findings) - len(self.surface)]

    @property
    def curve_findings(self) -> tuple[Finding, ...]:
        """Findings on the GZ curve."""
        if self.assessment is None:
            return ()
        ship = self.assessment.stability
        return ship.findings[len(ship.floating.findings) :]

    @property
    def surface(self) -> tuple[Finding, ...]:
        """Findings on the surface; elements and points in the mesh that was read."""
        return self.ship.hull.findings if self.ship else ()

    def places(self, index: int) -> Floats:
        """Where the finding of that index is, points (k, 3) of the world."""
        assert self.ship
        points = self.findings[index].points
        if index >= len(self.position_findings):
            points = points - self.ship.hull.origin
        return points @ self.to_world[:3, :3].T + self.to_world[:3, 3]


_entries: dict[Key, Entry] = {}
"""By hull, and by the name of the condition that it is loaded in."""
_loadings: dict[int, str | None] = {}
"""The condition in which each hull is shown."""


def entry_for(hull: bpy.types.Object | None) -> Entry | None:
    """The entry of a hull object as it is loaded."""
    return _entries.get((hull.session_uid, _loadings.get(hull.session_uid))) if hull else None


def entry_in(hull: bpy.types.Object, loading: str | None) -> Entry | None:
    """What is known of a hull object in the condition of that name, as modeled when None."""
    return _entries.get((hull.session_uid, loading))


def entries() -> tuple[Entry, ...]:
    """Hulls with a floating position as they are loaded, to be drawn."""
    return tuple(
        entry for entry in known() if entry.floating and entry.loading == _loadings.get(entry.uid)
    )


def shown_entries() -> tuple[Entry, ...]:
    """Hulls with a floating position, or with compartments, as they are loaded, to be drawn."""
    return tuple(
        entry
        for entry in known()
        if (entry.floating or (entry.ship and entry.plan))
        and entry.loading == _loadings.get(entry.uid)
    )


def known() -> tuple[Entry, ...]:
    """All that is known."""
    return tuple(_entries.values())


def known_of(hull: bpy.types.Object) -> tuple[Entry, ...]:
    """All that is known of one hull, in every condition."""
    return tuple(entry for entry in known() if entry.uid == hull.session_uid)


def store(entry: Entry) -> None:
    """Keep what was found out about a hull in place of what was known of it."""
    _entries[entry.key] = entry
    redraw()


def hurt(entry: Entry, **changes: Any) -> None:
    """Keep damage results of a hull as it is loaded, fields of `Damage`; of what is known already
    only what was found from the same vessel stays."""
    basis = _basis(entry)
    kept = entry.damage if entry.damage.basis == basis else Damage(basis)
    keep_damage(entry.key, replace(kept, **{"charted": False, **changes}))
    redraw()


def show_flooding(entry: Entry, index: int | None) -> None:
    """Draw a hull after the flooding of that index; intact when None."""
    keep_damage(entry.key, replace(entry.damage, shown=index, charted=False))
    redraw()


def show_floodable_length(entry: Entry, charted: bool) -> None:
    """Draw the chart of floodable length, or that of the vessel as drawn."""
    keep_damage(entry.key, replace(entry.damage, charted=charted))
    redraw()


def subdivide(entry: Entry, found: Subdivision) -> None:
    """Keep how the bulkheads of a hull stand by now to the floodable length that is known."""
    keep_damage(entry.key, replace(entry.damage, subdivision=found))
    redraw()


def _basis(entry: Entry) -> bytes:
    return entry.signature + (entry.divided.signature if entry.divided else b"")


def show(hull: bpy.types.Object, loading: str | None) -> None:
    """Show a hull in the condition of that name from now on, as modeled when None."""
    _loadings[hull.session_uid] = loading
    redraw()


def mark_stale(source: bpy.types.Object | None = None) -> None:
    """Record that an object (None: anything) changed since the results that used it."""
    for entry in known():
        if source is None or source.session_uid in entry.sources:
            set_stale(entry, True)
    emit(Event.SOURCE_CHANGED, source)


def set_stale(entry: Entry, stale: bool) -> None:
    """Set whether a result is out of date."""
    if entry.stale != stale:
        store(replace(entry, stale=stale))


def clear(hull: bpy.types.Object | None = None) -> None:
    """Forget a hull, or all of them."""
    uids = {entry.uid for entry in known()}
    keep_only(() if hull is None else uids - {hull.session_uid})
    redraw()


def keep_only(uids: Container[int]) -> None:
    """Forget hulls that no longer exist."""
    _keep_where(lambda key: key[0] in uids)
    for uid in [uid for uid in _loadings if uid not in uids]:
        del _loadings[uid]
    held_heel.keep_only(uids)
    if not _entries:
        forget_names()
    compartments.keep_only(uids)


def keep_loadings(hull: bpy.types.Object, loadings: Container[str | None]) -> None:
    """Forget a hull in conditions that no longer exist."""
    _keep_where(lambda key: key[0] != hull.session_uid or key[1] in loadings)


def _keep_where(stays: Callable[[Key], bool]) -> None:
    for key in [key for key in _entries if not stays(key)]:
        del _entries[key]
    keep_where(stays)
