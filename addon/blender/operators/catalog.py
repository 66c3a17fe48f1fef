"""Typical weights: added, or given to the active weight."""

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
from .polls import allowed


class NAVAL_CHECKS_OT_use_typical_weight(bpy.types.Operator):
    """Add a typical weight at the 3D cursor; its mass is common practice, until weighed"""

    bl_idname = Ops.USE_TYPICAL_WEIGHT
    bl_label = "Use Typical Weight"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(
        name="Kind",
        description="Typical weight to use",
        items=[
            (key, typical.name, f"{typical.mass:g} kg{typical.per and '/' + typical.per}")
            for key, typical in TYPICAL_WEIGHTS.items()
        ],
    )
    amount: FloatProperty(
        name="Amount",
        description="Number of pieces, liters or meters; the mass in kg is this times that of one",
        default=1.0,
        min=0.01,
    )
    to_active: BoolProperty(
        name="To Active Weight",
        description="Set name, group and mass of the active weight instead of adding one",
    )

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        if properties.to_active:
            return iface_(
                "Set name, group and mass of the active weight; the mass is common practice"
            )
        return iface_(cls.__doc__ or "")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, context.mode == "OBJECT", "Adding a weight needs Object Mode")

    def execute(self, context: bpy.types.Context) -> set[str]:
        typical, hull = TYPICAL_WEIGHTS[self.kind], active_hull(context)
        obj = context.view_layer.objects.active
        if not self.to_active:
            obj = new_empty(context, "", "SPHERE", hull)
            settings(obj).role, settings(obj).hull = Role.WEIGHT, hull
        elif not is_part(obj, Role.WEIGHT) or not obj.is_editable:
            self.report({"ERROR"}, "Select a weight first, or add a typical one")
            return {"CANCELLED"}
        obj.name = label_of(typical, self.amount)
        chosen = settings(obj)
        chosen.weight.basis, chosen.group = Basis.POINT, typical.group
        chosen.weight.mass = self.amount * typical.mass
        if not self.to_active:
            report_owner(self, hull, [obj])
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_use_typical_weight,))
