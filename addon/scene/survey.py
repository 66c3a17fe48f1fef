"""A hull object looked over, or floated, and what was found kept for the session."""

from __future__ import annotations

from collections.abc import Callable

import bpy

from ..core.findings import BadInputError
from ..core.floating import float_ship
from . import session
from .read import case_of, counted_weights, read_hull, signature


def survey(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> session.Entry:
    """Look over the surface of a hull."""
    return _kept(depsgraph, hull, floated=False)


def float_hull(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    tell: Callable[[int], None] | None = None,
) -> session.Entry:
    """Find the floating position of a hull; `tell` hears each step of the search."""
    return _kept(depsgraph, hull, floated=True, tell=tell)


def _kept(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    floated: bool,
    tell: Callable[[int], None] | None = None,
) -> session.Entry:
    sources = (hull, *counted_weights(depsgraph, hull))
    ship = floating = message = None
    digest = b""
    try:
        ship = read_hull(depsgraph, hull)
        digest = signature(depsgraph, hull)
        if floated:
            floating = float_ship(case_of(depsgraph, hull, ship), tell=tell)
    except BadInputError as error:
        message = str(error)
    entry = session.Entry(
        hull.session_uid,
        hull.name,
        frozenset(source.session_uid for source in sources),
        digest,
        ship,
        floating,
        message,
    )
    session.store(entry)
    return entry
