"""Results of this session, by hull; nothing of them is kept in the file."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import bpy
import numpy as np
from numpy.typing import NDArray

from ...core.criteria.assessment import Assessment
from ...core.hydrostatics.floating_position import Floating
from ...core.messages.findings import Finding
from ...core.model.case import Case
from ...core.model.compartment import Division, Room
from ...core.model.conditions import Condition
from ...core.stability.righting_lever import Held

if TYPE_CHECKING:
    from ...core.damage.bulkhead_suggestion import Advice
    from ...core.damage.flooding import Flooded
    from ...core.damage.subdivision import Subdivision
    from ...core.flooding_time.time_to_flood import Ingress
    from ..properties.settings import SceneSettings
    from ..readers.hulls import ReadHull


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


@dataclass(frozen=True)
class Damage:
    """What holes do to a hull as she is loaded: the floodings last asked for, which of them is
    drawn (None: she is drawn whole), the flooding in time last asked for with the name of its
    `hole`, the advice on bulkheads, and the floodable length with her compartments. What was asked
    for last is shown: the chart of floodable length if that is `charted`.

    `basis` is a digest of all that they were found from.
    """

    basis: bytes = b""
    floodings: tuple[Flooded, ...] = ()
    shown: int | None = None
    ingress: Ingress | None = None
    hole: str = ""
    advice: Advice | None = None
    subdivision: Subdivision | None = None
    charted: bool = False


@dataclass(frozen=True)
class Entry:
    """What is known of one hull object.

    `uid` is the session_uid of the hull, `sources` those of all objects that were read,
    `signature` and `shape` digests of all of them and of the hull alone, and `condition` the one
    that she is loaded in, None as modelled. `ship` and `floating` are None when they could not be
    had, and `message` says why. `assessment` is None without a floating position, and for a ship
    that sinks. `modelled` is her case as modelled. `aboard` says what is wrong with what she
    carries. `reshaped` means that her vertices have moved since her surface was looked over,
    `behind` that her floating position has followed changes that her stability has not yet,
    `stale` that something changed since.
    """

    uid: int
    hull_name: str
    sources: frozenset[int]
    signature: bytes
    shape: bytes
    ship: ReadHull | None
    floating: Floating | None
    assessment: Assessment | None = None
    message: str | None = None
    condition: Condition | None = None
    modelled: Case | None = None
    aboard: tuple[Finding, ...] = ()
    reshaped: bool = False
    behind: bool = False
    stale: bool = False

    @property
    def loading(self) -> str | None:
        """Name of the condition that she is loaded in; None as modelled."""
        return self.condition.name if self.condition else None

    @property
    def divided(self) -> Divided | None:
        """How she is divided, and whether that is out of date."""
        return _divided.get(self.uid)

    @property
    def division(self) -> Division | None:
        """Her rooms in ship axes, once they were asked for; also without a floating position."""
        return division(self.uid)

    @property
    def damage(self) -> Damage:
        """What holes do to her as she is loaded here."""
        return _damages.get((self.uid, self.loading), UNHURT)

    @property
    def floodings(self) -> tuple[Flooded, ...]:
        """The floodings last asked for."""
        return self.damage.floodings

    @property
    def shown_flooding(self) -> Flooded | None:
        """The flooding that is drawn in place of her whole; None where she is drawn whole."""
        shown = self.damage.shown
        return None if shown is None else self.floodings[shown]

    @property
    def ingress(self) -> Ingress | None:
        """The flooding in time last asked for."""
        return self.damage.ingress

    @property
    def damage_stale(self) -> bool:
        """Whether anything changed since the floodings were found."""
        divided = self.divided
        changed = divided is None or divided.stale or self.stale or self.behind
        return changed or self.damage.basis != _basis(self)

    @property
    def advice_stale(self) -> bool:
        """Whether anything changed since bulkheads were advised; her rooms do not matter there."""
        changed = self.stale or self.behind
        return changed or not self.damage.basis.startswith(self.signature)

    @property
    def holed(self) -> frozenset[str]:
        """Names of the rooms that are to be flooded together."""
        return holed(self.uid)

    @property
    def chosen_room(self) -> Room | None:
        """The room chosen in the list, to be set off from the others."""
        return self.division.room(_chosen_rooms.get(self.uid, "")) if self.division else None

    @property
    def to_world(self) -> NDArray[np.float64]:
        """Matrix (4, 4) from ship axes (m) to the world (Blender units)."""
        assert self.ship
        return self.ship.frame.to_world

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was found, `words` first and `surface` last."""
        return self.floating.findings if self.floating else self.surface

    @property
    def words(self) -> tuple[Finding, ...]:
        """What is wrong with her floating position; points in ship axes."""
        return self.findings[: len(self.findings) - len(self.surface)]

    @property
    def said(self) -> tuple[Finding, ...]:
        """What the user should know of her righting arms."""
        if self.assessment is None:
            return ()
        ship = self.assessment.stability
        return ship.findings[len(ship.floating.findings) :]

    @property
    def surface(self) -> tuple[Finding, ...]:
        """What is wrong with her surface; elements and points in the mesh that was read."""
        return self.ship.hull.findings if self.ship else ()

    def places(self, index: int) -> NDArray[np.float64]:
        """Where the finding of that index is, points (k, 3) of the world."""
        assert self.ship
        points = self.findings[index].points
        if index >= len(self.words):
            points = points - self.ship.hull.origin
        return points @ self.to_world[:3, :3].T + self.to_world[:3, 3]


UNHURT = Damage()


@dataclass(frozen=True)
class Heeled:
    """A ship held at a heel, and what she is then like afloat."""

    held: Held
    floating: Floating


_entries: dict[tuple[int, str | None], Entry] = {}
"""By hull, and by the name of the condition that she is loaded in."""
_loadings: dict[int, str | None] = {}
"""The condition in which each hull is shown."""
_heeled: dict[int, tuple[Assessment, Heeled]] = {}
_divided: dict[int, Divided] = {}
_names: dict[int, str] = {}
_holed: dict[int, frozenset[str]] = {}
_chosen_rooms: dict[int, str] = {}
_active: list[int] = []
_damages: dict[tuple[int, str | None], Damage] = {}

on_change: Callable[[bpy.types.Object | None], None] | None = None
"""Hears of each object whose settings changed (None: any)."""

on_rooms: Callable[[], None] | None = None
"""Hears when rooms were found or forgotten."""

names: dict[tuple[int, str], tuple[tuple[str, ...], ...]] = {}
"""Names of the hulls and of the parts last seen in each view layer; cleared by any change."""


def entry_for(hull: bpy.types.Object | None) -> Entry | None:
    """What is known of a hull object as she is loaded."""
    return _entries.get((hull.session_uid, _loadings.get(hull.session_uid))) if hull else None


def entry_in(hull: bpy.types.Object, loading: str | None) -> Entry | None:
    """What is known of a hull object in the condition of that name, as modelled when None."""
    return _entries.get((hull.session_uid, loading))


def entries() -> tuple[Entry, ...]:
    """Hulls with a floating position as they are loaded, to be drawn."""
    return tuple(
        entry for entry in known() if entry.floating and entry.loading == _loadings.get(entry.uid)
    )


def shown_entries() -> tuple[Entry, ...]:
    """Hulls with a floating position, or with rooms, as they are loaded, to be drawn."""
    return tuple(
        entry
        for entry in known()
        if (entry.floating or (entry.ship and entry.division))
        and entry.loading == _loadings.get(entry.uid)
    )


def shown(entry: Entry, settings: SceneSettings) -> Floating:
    """The ship to draw: at rest, or held at the heel to look at. The entry has a floating one."""
    assert entry.floating
    heeled = at_look_heel(entry, settings)
    return heeled.floating if heeled else entry.floating


def at_look_heel(entry: Entry, settings: SceneSettings) -> Heeled | None:
    """The ship held at the heel to look at; None where she is to be seen at rest."""
    if not (settings.use_look_heel and entry.assessment and entry.floating):
        return None
    heel = float(settings.look_heel)
    assessment, heeled = _heeled.get(entry.uid, (None, None))
    if assessment is not entry.assessment or heeled.held.heel != heel:
        heeled = _held_at(entry.floating, entry.assessment, heel)
        _heeled[entry.uid] = entry.assessment, heeled
    return heeled


def _held_at(floating: Floating, assessment: Assessment, heel: float) -> Heeled:
    held = assessment.stability.curve.at(heel)
    afloat = replace(
        floating,
        weight=replace(floating.weight, centre=held.rest.gravity),
        rest=held.rest,
        said=floating.findings,
    )
    return Heeled(held, afloat)


def known() -> tuple[Entry, ...]:
    """All that is known."""
    return tuple(_entries.values())


def known_of(hull: bpy.types.Object) -> tuple[Entry, ...]:
    """All that is known of one hull, in every condition."""
    return tuple(entry for entry in known() if entry.uid == hull.session_uid)


def store(entry: Entry) -> None:
    """Keep what was found out about a hull in place of what was known of it."""
    _entries[entry.uid, entry.loading] = entry
    redraw()


def divide(uid: int, divided: Divided) -> None:
    """Keep how a hull is divided; what was chosen of rooms that are no more is dropped."""
    known = {room.name for room in divided.division.rooms}
    _divided[uid] = divided
    _holed[uid] = _holed.get(uid, frozenset()) & known
    _tell_rooms()


def know_names(objects: Iterable[bpy.types.Object]) -> None:
    """Keep what objects are called that results are found from."""
    _names.update((obj.session_uid, obj.name) for obj in objects)


def is_renamed(uid: int, name: str) -> bool:
    """Whether results were found from an object of another name, which is then kept."""
    if _names.get(uid, name) == name:
        return False
    _names[uid] = name
    return True


def division(uid: int) -> Division | None:
    """How the hull of a session_uid is divided, once that was asked for."""
    return _divided[uid].division if uid in _divided else None


def divisions() -> tuple[tuple[int, Division], ...]:
    """All that is known of rooms, by the session_uids of hulls."""
    return tuple((uid, found.division) for uid, found in _divided.items())


def divided_of(hull: bpy.types.Object) -> Divided | None:
    """How a hull is divided, once that was asked for."""
    return _divided.get(hull.session_uid)


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


def activate(obj: bpy.types.Object | None) -> bool:
    """Keep which object is the active one; whether it was another before."""
    now = [obj.session_uid] if obj else []
    if now == _active:
        return False
    _active[:] = now
    return True


def hurt(entry: Entry, **changes: Any) -> None:
    """Keep what holes do to a hull as she is loaded, fields of `Damage`; of what is known already
    only what was found from the same ship stays."""
    basis = _basis(entry)
    kept = entry.damage if entry.damage.basis == basis else Damage(basis)
    _damages[entry.uid, entry.loading] = replace(kept, **{"charted": False, **changes})
    redraw()


def show_flooding(entry: Entry, index: int | None) -> None:
    """Draw a hull as she is after the flooding of that index; whole when None."""
    _damages[entry.uid, entry.loading] = replace(entry.damage, shown=index, charted=False)
    redraw()


def show_floodable(entry: Entry, charted: bool) -> None:
    """Draw the chart of floodable length, or that of the ship as she is drawn."""
    _damages[entry.uid, entry.loading] = replace(entry.damage, charted=charted)
    redraw()


def is_subdivided() -> bool:
    """Whether the floodable length of any hull is known."""
    return any(damage.subdivision for damage in _damages.values())


def subdivide(entry: Entry, found: Subdivision) -> None:
    """Keep how the bulkheads of a hull stand by now to the floodable length that is known."""
    _damages[entry.uid, entry.loading] = replace(entry.damage, subdivision=found)
    redraw()


def look_place(entry: Entry, settings: SceneSettings) -> float | None:
    """The place along a hull (m) that is looked at on the chart of floodable length."""
    if not (settings.use_look_place and entry.damage.charted and entry.ship):
        return None
    return float(settings.look_place) * entry.ship.frame.unit


def _basis(entry: Entry) -> bytes:
    return entry.signature + (entry.divided.signature if entry.divided else b"")


def _tell_rooms() -> None:
    if on_rooms:
        on_rooms()
    redraw()


def show(hull: bpy.types.Object, loading: str | None) -> None:
    """Show a hull in the condition of that name from now on, as modelled when None."""
    _loadings[hull.session_uid] = loading
    redraw()


def mark_stale(source: bpy.types.Object | None = None) -> None:
    """Say that an object (None: anything) changed since the results that used it."""
    for entry in known():
        if source is None or source.session_uid in entry.sources:
            set_stale(entry, True)
    mark_changed(source)


def mark_changed(source: bpy.types.Object | None) -> None:
    """Tell whoever follows that settings of an object (None: of any) changed."""
    if on_change:
        on_change(source)


def set_stale(entry: Entry, stale: bool) -> None:
    """Say whether a result is out of date."""
    if entry.stale != stale:
        store(replace(entry, stale=stale))


def clear(hull: bpy.types.Object | None = None) -> None:
    """Forget a hull, or all of them."""
    uids = {entry.uid for entry in known()}
    keep_only(() if hull is None else uids - {hull.session_uid})
    redraw()


def keep_only(uids: Container[int]) -> None:
    """Forget the hulls that are no more."""
    for key in [key for key in _entries if key[0] not in uids]:
        del _entries[key]
    for key in [key for key in _damages if key[0] not in uids]:
        del _damages[key]
    for kept in (_loadings, _heeled, _divided, _holed, _chosen_rooms):
        for uid in [uid for uid in kept if uid not in uids]:
            del kept[uid]
    if not _entries:
        _names.clear()
    _tell_rooms()


def keep_loadings(hull: bpy.types.Object, loadings: Container[str | None]) -> None:
    """Forget a hull in conditions that are no more."""
    for kept in (_entries, _damages):
        for key in [key for key in kept if key[0] == hull.session_uid]:
            if key[1] not in loadings:
                del kept[key]


def redraw() -> None:
    """Have every 3D viewport drawn again."""
    for window in bpy.context.window_manager.windows if bpy.context.window_manager else ():
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()
