"""Menus of typical weights."""

from __future__ import annotations

from typing import ClassVar

import bpy

from ..identifiers import Ops
from ..properties.typical_weights import USUAL, label_of
from .layout import Described


class _Menu(Described, bpy.types.Menu):
    """The usual weights, each with its mass."""

    to_active: ClassVar[bool]

    def draw(self, context: bpy.types.Context) -> None:
        group = ""
        for key, usual in USUAL.items():
            if group and usual.group != group:
                self.layout.separator()
            group = usual.group
            text = label_of(usual, usual.amount)
            button = self.layout.operator(Ops.USE_USUAL, text=text, translate=False)
            button.kind, button.amount, button.to_active = key, usual.amount, self.to_active


class NAVAL_CHECKS_MT_add_usual(_Menu):
    """Put a usual weight on board at the 3D cursor"""

    bl_label = "Usual Weight"
    to_active = False


class NAVAL_CHECKS_MT_set_usual(_Menu):
    """Give the active weight name, group and mass of a usual one"""

    bl_label = "Usual Weights"
    to_active = True


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_MT_add_usual, NAVAL_CHECKS_MT_set_usual)
)
