"""Decks, bulkheads, marks of compartments and doors in the panel of compartments."""

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

NO_WALLS = n_("No decks or bulkheads: select meshes and mark them, or add one at the cursor")


def boundary_lines(layout: Layout, context: bpy.types.Context, hull: bpy.types.Object) -> None:
    roles = (Role.WALL, Role.ROOM, Role.DOOR)
    active = listed_parts(layout, context, "NAVAL_CHECKS_UL_walls", NO_WALLS, *roles)
    layout.operator(Ops.MARK_WALLS)
    row = layout.row(align=True)
    row.operator(Ops.ADD_WALL, text="Across", icon="ADD").kind = "TRANSVERSE"
    row.operator(Ops.ADD_WALL, text="Along", icon="ADD").kind = "LONGITUDINAL"
    row.operator(Ops.ADD_WALL, text="Deck", icon="ADD").kind = "DECK"
    row = layout.row(align=True)
    row.operator(Ops.MARK_ROOM)
    row.operator(Ops.MARK_ROOMS)
    row = layout.row(align=True)
    row.operator(Ops.ADD_DOOR)
    row.operator(Ops.MARK_DOORS)
    if not is_part(active, *roles):
        return
    chosen, column = settings(active), settings_column(layout)
    if chosen.role == Role.ROOM:
        room, inflow = chosen.room, chosen.inflow
        column.prop(room, "use")
        column.prop(room, "own_permeability")
        if room.own_permeability:
            column.prop(room, "permeability", slider=True)
        column.prop(inflow, "trapped")
        column.prop(inflow, "pump")
        if inflow.pump > 0:
            column.prop(inflow, "delay")
    elif chosen.role == Role.DOOR:
        door = chosen.door
        column.prop(door, "shut")
        if active.type == "EMPTY":
            column.prop(door, "height")
            column.prop(door, "own_area")
            column.prop(door, "area" if door.own_area else "width")
        else:
            passage_lines(column, context, active, door)
        column.prop(door, "duct")
        if door.duct:
            column.prop(door, "discharge", slider=True)
            column.prop(door, "first")
            column.prop(door, "second")
    if chosen.role != Role.WALL or not settings(hull).mirror:
        column.prop(chosen, "both_sides")
    column.prop(chosen, "hull")
