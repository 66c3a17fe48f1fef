"""A hull object looked over, or floated, and what was found kept for the session."""

from __future__ import annotations

from collections.abc import Callable

import bpy

from ..core.assessment import assess
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
    tell: Callable[[float], None] | None = None,
) -> session.Entry:
    """Find the floating position and the stability of a hull; `tell` hears each step and heel."""
    return _kept(depsgraph, hull, floated=True, tell=tell)


def _kept(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    floated: bool,
    tell: Callable[[float], None] | None = None,
) -> session.Entry:
    sources = (hull, *counted_weights(depsgraph, hull))
    ship = floating = assessment = message = None
    digest = b""
    try:
        ship = read_hull(depsgraph, hull)
        digest = signature(depsgraph, hull)
        if floated:
            case = case_of(depsgraph, hull, ship)
            floating = float_ship(case, tell=tell)
            if floating.rest:
                assessment = assess(case, tell=tell)
    except BadInputError as error:
        message = str(error)
    entry = session.Entry(
        hull.session_uid,
        hull.name,
        frozenset(source.session_uid for source in sources),
        digest,
        ship,
        floating,
        assessment,
        message,
    )
    session.store(entry)
    return entry
