"""The panel of weights."""

from __future__ import annotations

from collections.abc import Iterable

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...units.quantities import Units
from ..controller.part_figures import total_mass
from ..identifiers import Ops
from ..properties.names import Role
from ..properties.settings import settings
from ..readers.members import is_part, scene_parts
from ..wording import wrapped
from .layout import (
    NO_HULL_AT_HAND,
    Layout,
    SidePanel,
    part_list,
    settings_column,
    table,
    unassigned_parts,
)
from .part_fields import draw_part
from .typical_weights import NAVAL_CHECKS_MT_add_typical_weight, NAVAL_CHECKS_MT_set_typical_weight

NO_WEIGHTS = n_("No weights yet: add the mass of the vessel itself first, then its load")


class NAVAL_CHECKS_PT_weights(SidePanel, bpy.types.Panel):
    """Weights on board"""

    bl_label = "Weights"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        here = scene_parts(context.view_layer)
        hull = here.active_hull(context.view_layer.objects.active)
        unassigned_parts(layout, context, here.parts_of(None, Role.WEIGHT))
        found = here.parts_of(hull, Role.WEIGHT) if hull else []
        if found:
            part_list(layout, context, "NAVAL_CHECKS_UL_weights", len(found))
            _total(layout, context, found)
        else:
            wrapped(layout, context, NO_WEIGHTS if hull else NO_HULL_AT_HAND, "INFO")
        row = layout.row(align=True)
        row.operator(Ops.ADD_WEIGHT, icon="ADD")
        row.menu(NAVAL_CHECKS_MT_add_typical_weight.__name__, text="", icon="DOWNARROW_HLT")
        row = layout.row(align=True)
        row.operator(Ops.DROP, icon="TRACKER")
        row.operator(Ops.IMPORT_WEIGHTS, text="", icon="IMPORT")
        row.operator(Ops.EXPORT_WEIGHTS, text="", icon="EXPORT")
        row = layout.row(align=True)
        row.operator(Ops.MARK_WEIGHTS)
        row.operator(Ops.WEIGH)
        active = context.view_layer.objects.active
        if is_part(active, Role.WEIGHT):
            _weight(layout, active)


def _weight(layout: Layout, weight: bpy.types.Object) -> None:
    chosen = settings(weight)
    layout.menu(NAVAL_CHECKS_MT_set_typical_weight.__name__)
    column = settings_column(layout)
    if weight.type != "EMPTY":
        column.prop(chosen.weight, "basis")
    draw_part(column, weight)
    if weight.type == "EMPTY":
        column.prop(chosen.weight, "size_by_mass")


def _total(layout: Layout, context: bpy.types.Context, found: Iterable[bpy.types.Object]) -> None:
    known, whole = total_mass(context, found)
    text = Units.of(context.scene).mass(known)
    if not whole:
        text = iface_("{mass} + masses of meshes").format(mass=text)
    table(layout, [(n_("Total"), text)])
