"""Checks a hull's surface or assesses it afloat; the results are kept for the session."""

from __future__ import annotations

from collections.abc import Callable, Container
from typing import Any

import bpy

from ...core.criteria.assessment import assess
from ...core.damage.damaged_case import damaged
from ...core.hydrostatics.floating_position import find_floating_position
from ...core.messages.findings import BadInputError
from ...core.model.conditions import Condition
from ...core.model.loaded_case import in_condition
from ..properties.names import AFLOAT
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from ..readers.cases import read_case
from ..readers.conditions import active_condition, condition_of, missing_groups
from ..readers.hulls import ReadHull, read_hull
from ..readers.members import counted
from ..readers.signatures import compartment_signature, figures_signature, shape_signature
from . import compartments, known_compartments, known_objects, session
from .job import Job, OnProgress

Sign = Callable[[bpy.types.Depsgraph, bpy.types.Object], bytes]


def compartments_job_of_hull(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object
) -> Job[known_compartments.FoundCompartments]:
    """Find the compartments of a hull, where they are not known. Raises BadInputError, as does the
    job."""
    if session.entry_for(hull) is None:
        analyze(depsgraph, hull)
    return compartments.compartments_job(depsgraph, hull, read_known(depsgraph, hull))


def read_known(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> ReadHull:
    """A hull as it is now, read where that was not done already. Raises BadInputError."""
    before = _read_before(hull, _signed(shape_signature, depsgraph, hull))
    return before or read_hull(depsgraph, hull)


def analyze(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> session.Entry:
    """Check the surface of a hull."""
    return _shown(depsgraph, hull, floated=False)


def float_hull(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, on_progress: OnProgress | None = None
) -> session.Entry:
    """Find the floating position and the stability of a hull as it is loaded.

    `on_progress` hears each step and each heel.
    """
    return _shown(depsgraph, hull, floated=True, on_progress=on_progress)


def afloat(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, on_progress: OnProgress | None = None
) -> session.Entry:
    """The same, where that is not known already."""
    entry = _known(
        depsgraph, hull, active_condition(depsgraph, hull, counted(depsgraph, hull)), on_progress
    )
    session.show(hull, entry.loading)
    return entry


def float_in_all(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, on_progress: OnProgress | None = None
) -> tuple[session.Entry, ...]:
    """The same as modeled and in every loading condition, where that is not known already."""
    parts, unit = counted(depsgraph, hull), unit_scale(depsgraph.scene)
    loadings = (None, *(condition_of(each, parts, unit) for each in settings(hull).conditions))
    return tuple(_known(depsgraph, hull, each, on_progress) for each in loadings)


def follow_loading(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> None:
    """Show a hull as it is loaded now, computed if another condition of it was."""
    floated = any(entry.floating for entry in session.known_of(hull))
    recheck(depsgraph, hull)
    if floated:
        condition = active_condition(depsgraph, hull, counted(depsgraph, hull))
        _known(depsgraph, hull, condition)


def recheck(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> None:
    """Compare a hull with its results: mark which of them are out of date, and show it as it is
    loaded now."""
    chosen, unit, parts = settings(hull), unit_scale(depsgraph.scene), counted(depsgraph, hull)
    loadings: dict[str | None, Condition | None] = {
        each.name: condition_of(each, parts, unit) for each in chosen.conditions
    }
    loadings[None] = None
    session.keep_loadings(hull, loadings)
    session.show(hull, chosen.condition.name if chosen.condition else None)
    known = session.known_of(hull)
    wanted = {_is_flooded(entry.condition) for entry in known}
    digests = {flooded: _digest(depsgraph, hull, flooded) for flooded in wanted}
    for entry in known:
        now = digests[_is_flooded(entry.condition)]
        same = entry.signature == now and entry.condition == loadings[entry.loading]
        session.set_stale(entry, not (now and same) or entry.behind)


def recheck_all(depsgraph: bpy.types.Depsgraph, touched: Container[int] | None) -> None:
    """The same for each hull that objects of these session_uids (None: any) were read for."""
    objects: Any = depsgraph.view_layer.objects
    using = {
        entry.uid: entry.hull_name
        for entry in session.known()
        if touched is None or any(source in touched for source in entry.sources)
    }
    for uid, name in using.items():
        hull = objects.get(name)
        if hull is not None and hull.session_uid == uid:
            recheck(depsgraph, hull)


def _shown(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    floated: bool,
    on_progress: OnProgress | None = None,
) -> session.Entry:
    condition = active_condition(depsgraph, hull, counted(depsgraph, hull))
    entry = _found(depsgraph, hull, condition, floated, on_progress)
    session.show(hull, entry.loading)
    compartments.recheck(depsgraph)
    return entry


def _known(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    condition: Condition | None,
    on_progress: OnProgress | None = None,
) -> session.Entry:
    entry = session.entry_in(hull, condition.name if condition else None)
    if entry and entry.floating and not (entry.stale or entry.behind):
        return entry
    return _found(depsgraph, hull, condition, True, on_progress)


def _found(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    condition: Condition | None,
    floated: bool,
    on_progress: OnProgress | None,
) -> session.Entry:
    parts = counted(depsgraph, hull)
    read = (hull, *(part for role in AFLOAT for part in parts[role]))
    sources = {each.session_uid for each in read}
    known_objects.know_names(read)
    ship = modeled = floating = assessment = message = None
    digest = _digest(depsgraph, hull, _is_flooded(condition))
    shape = _signed(shape_signature, depsgraph, hull)
    try:
        ship = _read_before(hull, shape) or read_hull(depsgraph, hull)
        if floated:
            modeled = read_case(depsgraph, hull, ship).case
            case = in_condition(modeled, condition) if condition else modeled
            if case.flooded:
                divided = compartments.compartments_job(depsgraph, hull, ship).run(on_progress)
                sources |= divided.sources
                case = damaged(case, divided.plan, ())
            floating = find_floating_position(case, on_progress=on_progress)
            if floating.equilibrium:
                assessment = assess(case, on_progress=on_progress, floating=floating)
    except BadInputError as error:
        message = error.line
    entry = session.Entry(
        hull.session_uid,
        hull.name,
        frozenset(sources),
        digest,
        shape,
        ship,
        floating,
        assessment,
        message,
        condition,
        modeled,
        missing_groups(hull, parts),
    )
    session.store(entry)
    return entry


def _is_flooded(condition: Condition | None) -> bool:
    return bool(condition and condition.flooded)


def _digest(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, flooded: bool) -> bytes:
    """A digest of all that the figures are computed from, with compartments flooded or not; empty
    where it cannot be had."""
    whole = _signed(figures_signature, depsgraph, hull)
    parted = _signed(compartment_signature, depsgraph, hull) if flooded and whole else b""
    return whole + parted


def _signed(sign: Sign, depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of a hull; empty where one cannot be had."""
    try:
        return sign(depsgraph, hull)
    except BadInputError:
        return b""


def _read_before(hull: bpy.types.Object, shape: bytes) -> ReadHull | None:
    """The hull as it was checked for another result."""
    same = (
        entry.ship
        for entry in session.known_of(hull)
        if entry.shape == shape != b"" and not entry.reshaped
    )
    return next(filter(None, same), None)
