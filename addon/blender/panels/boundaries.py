"""Decks, bulkheads, compartment marks and doors in the panel of compartments."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_n as n_

from ..identifiers import Ops
from ..properties.names import Role
from ..properties.settings import settings
from ..readers.members import is_part
from .layout import (
    Layout,
    listed_parts,
    passage_lines,
    settings_column,
)
from .part_fields import draw_group, draw_part

NO_BOUNDARIES = n_("No decks or bulkheads: mark selected meshes, or add one at the 3D cursor")


def boundary_lines(layout: Layout, context: bpy.types.Context, hull: bpy.types.Object) -> None:
    roles = (Role.BOUNDARY, Role.COMPARTMENT, Role.DOOR)
    active = listed_parts(layout, context, "NAVAL_CHECKS_UL_boundaries", NO_BOUNDARIES, *roles)
    layout.operator(Ops.MARK_BOUNDARIES)
    layout.operator_menu_enum(Ops.ADD_BOUNDARY, "kind", icon="ADD")
    column = layout.column(align=True)
    column.operator(Ops.ADD_COMPARTMENT_MARK)
    column.operator(Ops.MARK_COMPARTMENTS)
    row = layout.row(align=True)
    row.operator(Ops.ADD_DOOR)
    row.operator(Ops.MARK_DOORS)
    if not is_part(active, *roles):
        return
    chosen, column = settings(active), settings_column(layout)
    half = chosen.role == Role.BOUNDARY and settings(hull).form.mirror
    draw_part(column, active, without=("both_sides",) if half else ())
    if chosen.role == Role.COMPARTMENT:
        draw_group(column, chosen.inflow)
    elif chosen.role == Role.DOOR and active.type != "EMPTY":
        passage_lines(column, context, active)
