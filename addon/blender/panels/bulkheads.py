"""Suggested bulkheads and floodable length in the panel of compartments."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.damage.bulkhead_suggestion import BulkheadSuggestion
from ...core.damage.subdivision import Subdivision
from ...units.quantities import NOTHING, Units
from ..controller import session, shown_state
from ..controller.damage import reported_places
from ..identifiers import Ops
from ..properties.settings import scene_settings
from ..viewport.floodable_span import main_compartment_name
from ..wording import BUTTON, wrapped
from .layout import (
    Layout,
    cells,
    settings_column,
    stale_line,
    table,
)

NO_BULKHEADS = n_(
    "No transverse bulkhead reaches across the hull: the curve shows where one may be"
)


def bulkhead_lines(layout: Layout, context: bpy.types.Context, entry: session.Entry | None) -> None:
    chosen, column = scene_settings(context.scene), settings_column(layout)
    column.prop(chosen, "bulkheads")
    column.prop(chosen, "compartment_permeability", slider=True)
    layout.operator(Ops.SUGGEST_BULKHEADS).count = chosen.bulkheads
    advice = entry.damage.advice if entry else None
    if advice:
        if entry.advice_stale:
            stale_line(layout, context, n_("Changed since suggested"))
        _advice(layout, context, advice)
    layout.operator(Ops.FIND_FLOODABLE_LENGTH)
    subdivision = entry.damage.subdivision if entry else None
    if subdivision:
        if entry.advice_stale:
            stale_line(layout, context, n_("Changed since found"))
        _compartments(layout, context, entry, subdivision)
        _floodable(layout, context, entry, subdivision)


def _compartments(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, found: Subdivision
) -> None:
    """Compartments that are too long, and the permissible range of each bulkhead."""
    units = Units.of(context.scene)
    if not found.main_compartments:
        wrapped(layout, context, NO_BULKHEADS, "INFO")
        return
    if not found.too_long:
        layout.label(text="Each compartment survives flooding", icon="CHECKMARK")
    for index, compartment in enumerate(found.main_compartments):
        if compartment.survives:
            continue
        row, name = layout.row(), main_compartment_name(compartment, entry.plan)
        lengths = map(units.length, (compartment.length, compartment.allowed))
        text = iface_("{compartment} is too long: {length}, permissible {allowed}")
        text = text.format(compartment=name, length=next(lengths), allowed=next(lengths))
        wrapped(row.column(), context, text, "ERROR", BUTTON)
        button = row.operator(Ops.SHOW_MAIN_COMPARTMENT, text="", icon="RESTRICT_SELECT_OFF")
        button.index = index
    layout.label(text="Permissible Bulkhead Ranges")
    cells(layout, (n_("Position x"), n_("From"), n_("To")))
    for bulkhead in found.bulkheads:
        column, permissible_range = layout.column(align=True), bulkhead.permissible_range
        fits = permissible_range and permissible_range[0] <= bulkhead.x <= permissible_range[1]
        icon: Any = "CHECKMARK" if fits else "ERROR"
        column.label(text=", ".join(bulkhead.boundaries), icon=icon, translate=False)
        ends = map(units.length, permissible_range) if permissible_range else (NOTHING, NOTHING)
        cells(column, (units.length(bulkhead.x), *ends))


def _floodable(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, found: Subdivision
) -> None:
    """Floodable length: its chart, at the inspected position, and at the quarters of the length."""
    curve, units, chosen = found.curve, Units.of(context.scene), scene_settings(context.scene)
    charted = entry.damage.charted
    row = layout.row()
    row.label(text="Floodable Length")
    icon: Any = "HIDE_OFF" if charted else "HIDE_ON"
    row.operator(Ops.SHOW_FLOODABLE_LENGTH, text="", icon=icon, emboss=charted)
    if charted:
        column = layout.column(align=True)
        column.prop(chosen, "use_inspected_place")
        place = shown_state.inspected_place(entry, chosen)
        if place is not None:
            column.prop(chosen, "inspected_place")
            table(column, [(n_("Floodable Length"), units.length(curve.at(place)))])
    cells(layout, (n_("Center"), n_("Floodable Length")))
    for x in reported_places(curve):
        cells(layout, (f"x {units.length(x)}", units.length(curve.at(x))))


def _advice(layout: Layout, context: bpy.types.Context, advice: BulkheadSuggestion) -> None:
    units = Units.of(context.scene)
    wrapped(layout, context, advice.explanation, "CHECKMARK" if advice.survives else "ERROR")
    rows = [
        (iface_("Bulkhead {number}").format(number=number), f"x {units.length(place)}")
        for number, place in enumerate(advice.positions, 1)
    ]
    table(layout, [*rows, (n_("Minimum Residual Freeboard"), units.length(advice.margin))])
    layout.operator(Ops.ADD_SUGGESTED_BULKHEADS)
