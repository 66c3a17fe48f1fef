"""The panel of export."""

from __future__ import annotations

import bpy

from ..identifiers import Ops
from ..readers.members import active_hull
from ..wording import wrapped
from .layout import (
    NO_HULL_AT_HAND,
    SidePanel,
)


class NAVAL_CHECKS_PT_export(SidePanel, bpy.types.Panel):
    """Export of the case for the command line"""

    bl_label = "Export"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        if active_hull(context) is None:
            wrapped(layout, context, NO_HULL_AT_HAND, "INFO")
        layout.operator(Ops.EXPORT_CASE, icon="EXPORT")
