"""The panel of compartments."""

from __future__ import annotations

from collections.abc import Iterable

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.messages.subjects import Subject
from ...core.model.compartment import SEA, Compartment, Gap
from ...units.quantities import Units
from ..controller import session
from ..damage_wording import entry_point, leak_text
from ..identifiers import Ops
from ..wording import BUTTON, wrapped
from .boundaries import boundary_lines
from .bulkheads import bulkhead_lines
from .compartment_list import compartment_rows_of_window
from .layout import (
    HullPanel,
    Layout,
    is_rescaled,
    section,
    stale_line,
    table,
)
from .named import finding_lines, problem

NO_COMPARTMENTS = n_(
    "Compartments not found yet: add decks and bulkheads, then find the compartments"
)


class NAVAL_CHECKS_PT_compartments(HullPanel, bpy.types.Panel):
    """Compartments between decks and bulkheads, their leaks, and bulkhead positions"""

    bl_label = "Compartments"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        entry = session.entry_for(hull)
        body = section(layout, "boundaries", n_("Boundaries, Marks, and Doors"))
        if body:
            boundary_lines(body, context, hull)
        layout.operator(Ops.FIND_COMPARTMENTS)
        if entry and entry.divided:
            _compartments(layout, context, entry)
        else:
            wrapped(layout, context, NO_COMPARTMENTS, "INFO")
        body = section(layout, "bulkheads", n_("Bulkhead Positions"), closed=True)
        if body:
            bulkhead_lines(body, context, entry)


def _compartments(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    plan, units = entry.plan, Units.of(context.scene)
    if entry.divided.stale or is_rescaled(context, entry):
        stale_line(layout, context, n_("Changed since the compartments were found"))
    rows = min(max(len(plan.compartments), 2), 8)
    layout.template_list(
        "NAVAL_CHECKS_UL_compartments",
        "",
        compartment_rows_of_window(),
        "compartments",
        compartment_rows_of_window(),
        "active",
        rows=rows,
    )
    figures = [
        (
            n_("All Compartments"),
            units.volume(sum(compartment.volume for compartment in plan.compartments)),
        )
    ]
    if plan.boundary_volume:
        figures.append((n_("Boundary Material"), units.volume(plan.boundary_volume)))
    table(layout, figures)
    finding_lines(layout, context, plan.findings)
    for index, leak in enumerate(plan.leaks):
        row = layout.row()
        text = " ".join(
            filter(None, (leak_text(leak), entry_point(context.scene, entry.floating, leak)))
        )
        wrapped(row.column(), context, text, "ERROR", BUTTON)
        row.operator(Ops.SHOW_LEAK, text="", icon="RESTRICT_SELECT_OFF").index = index
    if entry.chosen_compartment:
        box = layout.box()
        _compartment(box, context, entry.chosen_compartment, units)
        _connections(box, context, entry.chosen_compartment, plan.gaps)


def _compartment(
    layout: Layout, context: bpy.types.Context, compartment: Compartment, units: Units
) -> None:
    """The figures of the active compartment."""
    layout.label(text=compartment.name, translate=False)
    length = units.length
    x, y, z = (length(value) for value in compartment.center)
    table(
        layout,
        [
            (n_("Volume"), units.volume(compartment.volume)),
            (n_("Center X"), x),
            (n_("Center Y"), y),
            (n_("Center Z"), z),
            (n_("Bottom"), length(compartment.floor)),
            (n_("Top"), length(compartment.top)),
            (n_("Use"), iface_(compartment.use.capitalize())),
            (n_("Permeability"), f"{compartment.permeability:.2f}"),
        ],
    )
    text = iface_("Bounded by {boundaries}").format(boundaries=", ".join(compartment.boundaries))
    wrapped(layout, context, text)


def _connections(
    layout: Layout, context: bpy.types.Context, compartment: Compartment, gaps: Iterable[Gap]
) -> None:
    """A line for each gap that connects a compartment to another."""
    text = iface_("A gap in '{boundary}', {area}, connects it to {compartment}")
    for gap in gaps:
        others = {*gap.compartments} - {compartment.name, SEA}
        if compartment.name in gap.compartments and others:
            area = Units.of(context.scene).area(gap.area)
            line = text.format(boundary=gap.boundary, area=area, compartment=others.pop())
            problem(layout, context, line, "ERROR", [Subject("boundary", gap.boundary)])
