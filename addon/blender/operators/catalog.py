"""Usual weights to choose from: put on board, or given to the active weight."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.props import BoolProperty, EnumProperty, FloatProperty

from ..identifiers import Ops
from ..properties.names import Basis, Role
from ..properties.settings import settings
from ..properties.typical_weights import TYPICAL_WEIGHTS, label_of
from ..readers.members import active_hull, is_part
from .parts import new_empty, report_owner


class NAVAL_CHECKS_OT_use_typical_weight(bpy.types.Operator):
    """Put a usual weight on board at the 3D cursor; masses are common practice, until weighed"""

    bl_idname = Ops.USE_TYPICAL_WEIGHT
    bl_label = "Typical Weight"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(
        name="Kind",
        description="What it is",
        items=[
            (key, usual.name, f"{usual.mass:g} kg{usual.per and '/' + usual.per}")
            for key, usual in TYPICAL_WEIGHTS.items()
        ],
    )
    amount: FloatProperty(
        name="Amount",
        description="How many pieces, litres or meters; its mass in kg is so many times that of "
        "one",
        default=1.0,
        min=0.01,
    )
    to_active: BoolProperty(
        name="To Active Weight",
        description="Give name, group and mass to the active weight instead of adding one",
    )

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        if properties.to_active:
            return iface_(
                "Give the active weight this name, group and mass, which is common practice"
            )
        return iface_(cls.__doc__ or "")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set("Adding a weight needs Object Mode")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        usual, hull = TYPICAL_WEIGHTS[self.kind], active_hull(context)
        obj = context.view_layer.objects.active
        if not self.to_active:
            obj = new_empty(context, "", "SPHERE", hull)
            settings(obj).role, settings(obj).hull = Role.WEIGHT, hull
        elif not is_part(obj, Role.WEIGHT) or not obj.is_editable:
            self.report({"ERROR"}, "Select a weight first, or add a usual one")
            return {"CANCELLED"}
        obj.name = label_of(usual, self.amount)
        chosen = settings(obj)
        chosen.weight.basis, chosen.group = Basis.POINT, usual.group
        chosen.weight.mass = self.amount * usual.mass
        if not self.to_active:
            report_owner(self, hull, [obj])
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_use_typical_weight,))
