"""Menus of typical weights."""

from __future__ import annotations

from typing import ClassVar

import bpy

from ..identifiers import Ops
from ..properties.typical_weights import TYPICAL_WEIGHTS, label_of
from .layout import Described


class _Menu(Described, bpy.types.Menu):
    """The typical weights, each with its mass."""

    to_active: ClassVar[bool]

    def draw(self, context: bpy.types.Context) -> None:
        group = ""
        for key, typical in TYPICAL_WEIGHTS.items():
            if group and typical.group != group:
                self.layout.separator()
            group = typical.group
            text = label_of(typical, typical.amount)
            button = self.layout.operator(Ops.USE_TYPICAL_WEIGHT, text=text, translate=False)
            button.kind, button.amount, button.to_active = key, typical.amount, self.to_active


class NAVAL_CHECKS_MT_add_typical_weight(_Menu):
    """Add a typical weight at the 3D cursor"""

    bl_label = "Add Typical Weight"
    to_active = False


class NAVAL_CHECKS_MT_set_typical_weight(_Menu):
    """Set name, group and mass of the active weight to those of a typical one"""

    bl_label = "Set to Typical Weight"
    to_active = True


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_MT_add_typical_weight, NAVAL_CHECKS_MT_set_typical_weight)
)
