"""The panel of the floating position."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from math import degrees

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.criteria.disclaimer import CAUTION, UNCHECKED, criteria_note
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ...units.quantities import NOTHING, Units
from ..controller import session
from ..identifiers import Ops
from ..properties.settings import scene_settings
from ..readers.members import scene_parts
from ..wording import headline, heel, trim, wrapped
from .corrective_actions import corrective_action_lines
from .layout import (
    NO_HULL_AT_HAND,
    SidePanel,
    findings,
    is_stale,
    section,
    stale_line,
    table,
)
from .named import finding_lines, problem


class NAVAL_CHECKS_PT_floating(SidePanel, bpy.types.Panel):
    """Floating position: drafts, list, trim and GM"""

    bl_label = "Floating Position"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        here = scene_parts(context.view_layer)
        row = layout.row(align=True)
        row.scale_y = 1.3
        row.operator(Ops.COMPUTE)
        row.prop(scene_settings(context.scene), "live", text="", icon="PLAY")
        row.operator(Ops.CLEAR, text="", icon="X")
        if len(here.hulls) > 1:
            layout.operator(Ops.COMPUTE, text="Find All Floating Positions").every = True
        hull = here.active_hull(context.view_layer.objects.active)
        entry = session.entry_for(hull)
        if entry is not None:
            self._entry(context, entry)
        elif hull is None:
            wrapped(layout, context, NO_HULL_AT_HAND, "INFO")
        elif session.known_of(hull):
            wrapped(layout, context, n_("Not computed yet in this condition"), "INFO")
        box = layout.box()
        wrapped(box, context, CAUTION)
        assessment = entry.assessment if entry else None
        wrapped(box, context, criteria_note(assessment.verdicts) if assessment else UNCHECKED)

    def _entry(self, context: bpy.types.Context, entry: session.Entry) -> None:
        layout = self.layout
        if entry.floating is None:
            if entry.message and entry.ship:
                problem(layout, context, entry.message, "CANCEL")
            return
        if is_stale(context, entry):
            stale_line(layout, context, n_("Changed since computed"))
        elif entry.behind:
            layout.label(text="Stability is that of an earlier shape", icon="SORTTIME")
        words, icon = headline(entry.floating)
        layout.label(text=words, icon=icon)
        if entry.loading:
            layout.label(text=entry.loading, icon="PRESET", translate=False)
        findings(
            layout,
            context,
            entry.position_findings,
            0,
            partial(corrective_action_lines, layout, context, entry),
        )
        finding_lines(layout, context, entry.on_board)
        units = Units.of(context.scene)
        table(layout, figures(entry.floating, units))
        if entry.floating.others:
            body = section(layout, "others", n_("Other Stable Positions"), closed=True)
            if body:
                table(body, others(entry.floating))


def figures(ship: FloatingPosition, units: Units) -> Iterable[tuple[str, str]]:
    """The figures of a floating position, name and value."""
    yield n_("Displacement"), units.mass(ship.weight.mass)
    form = ship.hydrostatics
    if form and ship.equilibrium:
        yield n_("List"), heel(ship.equilibrium.attitude.heel_rad)
        yield n_("Trim"), trim(form.trim, units)
        yield n_("Draft Aft"), units.length(form.draft_aft)
        yield n_("Draft Amidships"), units.length(form.draft_mid)
        yield n_("Draft Forward"), units.length(form.draft_forward)
        yield n_("Minimum Freeboard"), units.length(form.freeboard_min)
        yield n_("GM"), units.length(ship.GM_fluid)
        if ship.GM_fluid < ship.GM:
            yield n_("GM Solid"), units.length(ship.GM)
    share = ship.reserve_volume / ship.case.hull.volume
    yield n_("Reserve Buoyancy"), f"{100 * share:.0f} %" if share > 0 else NOTHING


def others(ship: FloatingPosition) -> Iterable[tuple[str, str]]:
    """Further stable positions, list and trim."""
    for rest in ship.others:
        angle = degrees(rest.attitude.trim_rad)
        text = iface_("{angle}° by the stern") if angle > 0 else iface_("{angle}° by the bow")
        trimmed = text.format(angle=f"{abs(angle):.1f}") if abs(angle) >= 0.05 else ""
        listed = iface_("List {angle}").format(angle=heel(rest.attitude.heel_rad))
        upright = abs(rest.attitude.heel_rad) <= UPRIGHT_TOLERANCE
        yield iface_("Upright") if upright else listed, trimmed
