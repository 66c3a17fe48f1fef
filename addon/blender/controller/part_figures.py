"""Figures of single parts and of what hulls are read with, as panels show them."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress

import bpy

from ...core.hydrostatics.tank_soundings import Soundings, sounding_table
from ...core.messages.findings import BadInputError
from ...core.model.openings import OpeningShape
from ...core.model.tanks import Tank
from ..properties.names import Basis
from ..properties.settings import settings
from ..readers.axes import ObjectAxes
from ..readers.hulls import guessed_axes
from ..readers.members import core_names, is_enabled, scene_parts
from ..readers.parts import passage_of
from . import session


def mass_of(context: bpy.types.Context, weight: bpy.types.Object) -> float | None:
    """Mass (kg) of a weight, both together of one on both sides; None for one that goes by its mesh
    and was not computed yet."""
    chosen, names = settings(weight), core_names(weight)
    if chosen.weight.basis == Basis.POINT:
        return chosen.weight.mass * len(names)
    entry = _owner_entry(context, weight)
    known = entry.floating.case.weights if entry and entry.floating else ()
    return sum(found.mass for found in known if found.name in names) or None


def total_mass(
    context: bpy.types.Context, weights: Iterable[bpy.types.Object]
) -> tuple[float, bool]:
    """Mass (kg) of the weights that count, as far as it is known, and whether that is all of it."""
    masses = [mass_of(context, each) for each in weights if is_enabled(context.view_layer, each)]
    return sum(mass for mass in masses if mass is not None), None not in masses


def tank_afloat(context: bpy.types.Context, tank: bpy.types.Object) -> Tank | None:
    """A tank as its hull was last floated with it, one of two on both sides."""
    entry = _owner_entry(context, tank)
    known = entry.floating.case.tanks if entry and entry.floating else ()
    return next((found for found in known if found.name == core_names(tank)[0]), None)


def soundings(tank: Tank) -> Soundings:
    """The capacity table of a tank upright."""
    return sounding_table(tank)


def passage(context: bpy.types.Context, part: bpy.types.Object) -> OpeningShape | None:
    """The outline cut into a surface by an opening or a door; None before its hull was read.

    Raises BadInputError.
    """
    entry = _owner_entry(context, part)
    if not (entry and entry.ship):
        return None
    return passage_of(context.evaluated_depsgraph_get(), part, entry.ship)


def axes_of(context: bpy.types.Context, hull: bpy.types.Object) -> ObjectAxes | None:
    """The direction of a hull object, as it was read or as it is guessed now."""
    entry = session.entry_for(hull)
    if entry and entry.ship and not entry.stale:
        return entry.ship.axes
    with suppress(BadInputError):
        return guessed_axes(context.evaluated_depsgraph_get(), hull)
    return None


def _owner_entry(context: bpy.types.Context, part: bpy.types.Object) -> session.Entry | None:
    return session.entry_for(scene_parts(context.view_layer).owner(part))
