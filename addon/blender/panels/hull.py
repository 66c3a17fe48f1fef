"""The panel of the hull."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ..controller import session
from ..controller.part_figures import axes_of
from ..identifiers import Ops
from ..properties.names import AUTO
from ..properties.settings import settings
from ..readers.members import active_hull, is_part, scene_parts
from ..wording import LINKED, wrapped
from .layout import (
    Layout,
    SidePanel,
    findings,
    select_button,
    settings_column,
)
from .named import problem
from .part_fields import draw_group
from .symmetry import symmetry_lines


class NAVAL_CHECKS_PT_hull(SidePanel, bpy.types.Panel):
    """Hull object, its axes, and findings on its surface"""

    bl_label = "Hull"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        hull = active_hull(context)
        if hull is None:
            _choose_hull(layout, context)
            return
        active = context.view_layer.objects.active
        row = layout.row()
        row.label(text=hull.name, icon="OUTLINER_OB_MESH", translate=False)
        if active != hull:
            select_button(row, hull)
        if not hull.is_editable:
            wrapped(layout, context, LINKED, "INFO")
        chosen, entry = settings(hull), session.entry_for(hull)
        column = settings_column(layout)
        _axes(column, context, hull)
        draw_group(column, chosen.form, without=("forward", "up"))
        draw_group(column, chosen.water)
        if entry and entry.ship:
            findings(layout, context, entry.surface, len(entry.position_findings))
        elif entry:
            problem(layout, context, entry.message or "", "CANCEL")
        symmetry_lines(layout, context, hull)
        if active not in (None, hull) and active.type == "MESH" and not is_part(active):
            layout.operator(Ops.MARK_HULL)


def _choose_hull(layout: Layout, context: bpy.types.Context) -> None:
    candidates = scene_parts(context.view_layer).hulls
    if candidates:
        layout.label(text="Choose a Hull", icon="INFO")
        for hull in candidates:
            button = layout.operator(Ops.SELECT_OBJECT, text=hull.name, translate=False)
            button.object_name = hull.name
    else:
        wrapped(layout, context, n_("No hull yet: select its mesh, then mark it"), "INFO")
    layout.operator(Ops.MARK_HULL)


def _axes(layout: Layout, context: bpy.types.Context, hull: bpy.types.Object) -> None:
    form = settings(hull).form
    layout.prop(form, "forward")
    layout.prop(form, "up")
    if AUTO not in (form.forward, form.up):
        return
    axes = axes_of(context, hull)
    if axes:
        guesses = {
            iface_("Forward"): axes.forward_guessed and axes.forward,
            iface_("Up"): axes.up_guessed and axes.up,
        }
        shown = ", ".join(f"{name}: {axis}" for name, axis in guesses.items() if axis)
        layout.label(text=iface_("{axes} (guessed)").format(axes=shown))
