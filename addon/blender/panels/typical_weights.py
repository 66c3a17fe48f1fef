"""Menus of typical weights."""

from __future__ import annotations

from typing import ClassVar

import bpy

from ..identifiers import Ops
from ..properties.typical_weights import TYPICAL_WEIGHTS, label_of
from .layout import Described


class _Menu(Described, bpy.types.Menu):
    """The usual weights, each with its mass."""

    to_active: ClassVar[bool]

    def draw(self, context: bpy.types.Context) -> None:
        group = ""
        for key, usual in TYPICAL_WEIGHTS.items():
            if group and usual.group != group:
                self.layout.separator()
            group = usual.group
            text = label_of(usual, usual.amount)
            button = self.layout.operator(Ops.USE_TYPICAL_WEIGHT, text=text, translate=False)
            button.kind, button.amount, button.to_active = key, usual.amount, self.to_active


class NAVAL_CHECKS_MT_add_typical_weight(_Menu):
    """Put a usual weight on board at the 3D cursor"""

    bl_label = "Typical Weight"
    to_active = False


class NAVAL_CHECKS_MT_set_typical_weight(_Menu):
    """Give the active weight name, group and mass of a usual one"""

    bl_label = "Typical Weights"
    to_active = True


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_MT_add_typical_weight, NAVAL_CHECKS_MT_set_typical_weight)
)
