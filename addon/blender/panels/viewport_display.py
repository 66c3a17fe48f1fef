"""The panel of viewport display."""

from __future__ import annotations

import bpy

from ..properties.names import WaterDisplay
from ..properties.settings import scene_settings
from .layout import (
    SidePanel,
    settings_column,
)


class NAVAL_CHECKS_PT_viewport_display(SidePanel, bpy.types.Panel):
    """What is drawn in the viewport"""

    bl_label = "Viewport Display"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_header(self, context: bpy.types.Context) -> None:
        self.layout.prop(scene_settings(context.scene), "show_overlay", text="")

    def draw(self, context: bpy.types.Context) -> None:
        chosen = scene_settings(context.scene)
        layout = self.layout
        layout.active = chosen.show_overlay
        layout.row().prop(chosen, "water_display", expand=True)
        column = settings_column(layout)
        if chosen.water_display == WaterDisplay.WATER_LEVEL:
            column.prop(chosen, "copy_distance")
        column.prop(chosen, "marker_scale")
        if chosen.show_chart:
            column.prop(chosen, "chart_size")
        grid = layout.column(align=True)
        for name in SHAPES:
            grid.prop(chosen, name)


SHAPES = (
    "show_water",
    "show_waterline",
    "show_center_of_gravity",
    "show_center_of_buoyancy",
    "show_metacenter",
    "show_center_of_flotation",
    "show_draft_marks",
    "show_dimensions",
    "show_openings",
    "show_compartments",
    "show_liquids",
    "show_labels",
    "show_chart",
)
