"""The panel of flooding."""

from __future__ import annotations

from math import degrees
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.damage.flooding_paths import path_label
from ...core.damage.flooding_result import FloodingResult
from ...units.quantities import Units
from ..controller import session
from ..damage_wording import breached_names
from ..identifiers import Ops
from ..wording import BUTTON, heel, trim, wrapped
from .flooding_in_time import flooding_in_time, timeline_cleanup
from .layout import (
    HullPanel,
    Layout,
    is_rescaled,
    section,
    stale_line,
    table,
)

NO_FLOODINGS = n_(
    "Tick the drop beside compartments in their list and flood them, or flood each one"
)


class NAVAL_CHECKS_PT_flooding(HullPanel, bpy.types.Panel):
    """Floating position with flooded compartments, and time to flood"""

    bl_label = "Flooding"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        entry = session.entry_for(hull)
        if entry is None or entry.plan is None:
            wrapped(layout, context, n_("Find the compartments first"), "INFO")
            layout.operator(Ops.FIND_COMPARTMENTS)
            timeline_cleanup(layout, context)
            return
        _chosen(layout, context, entry)
        column = layout.column(align=True)
        column.operator(Ops.FLOOD)
        column.operator(Ops.FLOOD_EACH).pairs = False
        column.operator(Ops.FLOOD_EACH, text="Flood Each Pair").pairs = True
        if entry.floodings or entry.flooding_history:
            if entry.damage_stale or is_rescaled(context, entry):
                stale_line(layout, context, n_("Changed since flooded"))
        if entry.floodings:
            _floodings(layout, context, entry)
        else:
            wrapped(layout, context, NO_FLOODINGS, "INFO")
        body = section(layout, "time_to_flood", n_("Time to Flood"))
        if body:
            flooding_in_time(body, context, entry)


def _chosen(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    """The names of the compartments to flood."""
    names = [each.name for each in entry.plan.compartments if each.name in entry.breached]
    if names:
        text = iface_("Open to sea: {compartments}").format(compartments=", ".join(names))
        wrapped(layout, context, text, "MOD_FLUIDSIM")


def _floodings(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    """A line for each flooding, with figures below the one that is drawn."""
    found = entry.floodings
    if len(found) > 1:
        text = iface_("Survives {survived} of {count}")
        survived = sum(each.survives for each in found)
        icon: Any = "CHECKMARK" if all(map(_is_well, found)) else "ERROR"
        layout.label(text=text.format(survived=survived, count=len(found)), icon=icon)
    for index, each in enumerate(found):
        row = layout.row()
        icon = "CHECKMARK" if _is_well(each) else "ERROR" if each.survives else "CANCEL"
        word = iface_("survives") if each.survives else iface_("lost")
        if each.margin_line_immersed:
            word = iface_("afloat, margin line immersed")
        text = f"{breached_names(each)}: {word}"
        shown = entry.damage.shown == index
        column = row.column()
        wrapped(column, context, text, icon, BUTTON)
        icon = "HIDE_OFF" if shown else "HIDE_ON"
        row.operator(Ops.SHOW_FLOODING, text="", icon=icon, emboss=shown).index = index
        if shown or not _is_well(each):
            wrapped(layout, context, each.explanation)
        if shown:
            _flooded(layout.box(), context, each)


def _is_well(flooded: FloodingResult) -> bool:
    """Whether the vessel survives with the margin line above water."""
    return flooded.survives and not flooded.margin_line_immersed


def _flooded(layout: Layout, context: bpy.types.Context, found: FloodingResult) -> None:
    """The figures of a flooding."""
    units = Units.of(context.scene)
    for spread in found.progression:
        flooding_path = units.text(path_label(spread.kind, spread.through))
        text = iface_("Water spreads into {compartment} through {flooding_path}")
        line = text.format(compartment=spread.compartment, flooding_path=flooding_path)
        wrapped(layout, context, line)
    rows = [(n_("Floodwater"), units.volume(found.water))]
    form, rest = found.floating.hydrostatics, found.floating.equilibrium
    if form and rest:
        rows += [
            (n_("List"), heel(rest.attitude.heel_rad)),
            (n_("Trim"), trim(form.trim, units)),
            (n_("Draft Amidships"), units.length(form.draft_mid)),
            (n_("Residual Freeboard"), units.length(found.residual_freeboard)),
        ]
    if found.residual:
        rows += [
            (n_("Maximum Residual GZ"), units.length(found.residual.max_gz)),
            (n_("Residual Range"), f"{degrees(found.residual.range):.1f}°"),
        ]
    rows.append((n_("s-Factor"), f"{found.s_factor:.3f}"))
    table(layout, rows)
    if found.freeboards:
        layout.label(text="Openings Above Water")
        table(layout, [(name, units.length(height)) for name, height in found.freeboards])
