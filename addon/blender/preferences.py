"""The add-on's preferences: defaults of new hulls and weights, and its keys."""

from __future__ import annotations

from typing import Any

import bpy
import rna_keymap_ui
from bpy.props import FloatProperty, StringProperty

from ..core.model.case import SEA_WATER
from . import keymap
from .properties.suggestions import suggest_groups

PACKAGE = __package__.rpartition(".")[0]
"""The add-on as Blender knows it."""


class NavalChecksPreferences(bpy.types.AddonPreferences):
    """Defaults of new hulls and weights, and the add-on's keys."""

    bl_idname = PACKAGE

    water_density: FloatProperty(
        name="Water Density (kg/m³)",
        description="Water density in kg/m³ given to a newly marked hull",
        default=SEA_WATER,
        min=1.0,
        soft_min=950.0,
        soft_max=1100.0,
    )
    group: StringProperty(
        name="Weight Group",
        description="Group given to a new weight",
        search=suggest_groups,
        search_options={"SUGGESTION"},
    )

    def draw(self, context: bpy.types.Context) -> None:
        column = self.layout.column()
        column.use_property_split = True
        column.prop(self, "water_density")
        column.prop(self, "group")
        column = self.layout.column()
        column.label(text="Keys in the 3D Viewport")
        configuration = context.window_manager.keyconfigs.user
        for placed, item in keymap.found_in(configuration):
            rna_keymap_ui.draw_kmi([], configuration, placed, item, column, 0)


def preferences(context: bpy.types.Context) -> NavalChecksPreferences | None:
    """The preferences; None where the add-on runs without being enabled."""
    addons: Any = context.preferences.addons
    enabled = addons.get(PACKAGE)
    return enabled.preferences if enabled else None


register, unregister = bpy.utils.register_classes_factory((NavalChecksPreferences,))
