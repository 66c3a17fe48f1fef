"""The panel of openings and windage."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_n as n_

from ..identifiers import Ops
from ..properties.names import Role
from ..readers.members import is_part
from .layout import (
    SidePanel,
    listed_parts,
    passage_lines,
    settings_column,
)
from .part_fields import draw_part

NO_OPENINGS = n_("No openings: place the 3D cursor where water enters and add one")


class NAVAL_CHECKS_PT_openings(SidePanel, bpy.types.Panel):
    """Openings through which water enters, and windage areas"""

    bl_label = "Openings and Windage"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout, roles = self.layout, (Role.OPENING, Role.WINDAGE)
        active = listed_parts(layout, context, "NAVAL_CHECKS_UL_openings", NO_OPENINGS, *roles)
        row = layout.row(align=True)
        row.operator(Ops.ADD_OPENING, icon="ADD")
        row.operator(Ops.MARK_OPENINGS)
        layout.operator(Ops.MARK_WINDAGE)
        if is_part(active, *roles):
            column = settings_column(layout)
            draw_part(column, active)
            if is_part(active, Role.OPENING) and active.type != "EMPTY":
                passage_lines(column, context, active)
