"""The operator that applies a corrective action."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, IntProperty
from mathutils import Matrix, Vector

from ...units.quantities import Units
from ..controller import corrective_actions, session
from ..controller.corrective_actions import movable
from ..identifiers import Ops
from ..readers.members import active_hull
from .polls import allowed

CLOSE = 1e-4
"""Share of a shift that may be missing after it was applied."""
SINGLE = 1e-6
"""Relative rounding error of a place in single precision."""


class NAVAL_CHECKS_OT_apply_corrective_action(bpy.types.Operator):
    """Move the weight by the required distance"""

    bl_idname = Ops.APPLY_CORRECTIVE_ACTION
    bl_label = "Move Weight"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    index: IntProperty(
        name="Corrective Action",
        description="Index of the corrective action in the list",
        min=0,
        options={"SKIP_SAVE"},
    )
    of_criteria: BoolProperty(
        name="Of Criteria",
        description="The corrective action is against a failed criterion",
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(active_hull(context))
        known = entry is not None and not entry.stale
        return allowed(
            cls, context.mode == "OBJECT", "Moving a weight needs Object Mode"
        ) and allowed(cls, known, "Find the floating position first")

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(active_hull(context))
        found = corrective_actions.find(entry, self.of_criteria)
        corrective_action = found[self.index] if self.index < len(found) else None
        weight = movable(context, corrective_action) if corrective_action else None
        if corrective_action is None or weight is None:
            self.report(
                {"ERROR"}, "This corrective action is out of date; find the floating position again"
            )
            return {"CANCELLED"}
        frame = entry.ship.frame
        if not move(context, weight, corrective_action.shift @ frame.turn / frame.unit):
            text = rpt_(
                "{weight} is held in place by a lock, a constraint, a driver or an animation"
            )
            self.report({"ERROR"}, text.format(weight=weight.name))
            return {"CANCELLED"}
        length = Units.of(context.scene).length(float(np.linalg.norm(corrective_action.shift)))
        text = rpt_("{weight} moved by {length}")
        self.report({"INFO"}, text.format(weight=weight.name, length=length))
        return {"FINISHED"}


def move(context: bpy.types.Context, obj: bpy.types.Object, by: np.ndarray) -> bool:
    """Move an object by a vector in the world; False, and it stays, where something holds it."""
    before, location = _place(context, obj), obj.location.copy()
    around = Matrix.Identity(4)
    if obj.parent:
        around = obj.matrix_world @ obj.matrix_basis.inverted_safe()
    step = around.to_3x3().inverted_safe() @ Vector(by.tolist())
    locks: Any = obj.lock_location
    locked = np.array(locks[:]) & (np.abs(step[:]) > CLOSE * step.length)
    if not locked.any():
        obj.location = location + step
        context.view_layer.update()
        astray = np.linalg.norm(_place(context, obj) - before - by)
        if astray <= CLOSE * np.linalg.norm(by) + SINGLE * np.abs(before).max():
            return True
    obj.location = location
    context.view_layer.update()
    return False


def _place(context: bpy.types.Context, obj: bpy.types.Object) -> np.ndarray:
    found = obj.evaluated_get(context.evaluated_depsgraph_get())
    return np.array(found.matrix_world, dtype=np.float64)[:3, 3]


register, _unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_apply_corrective_action,)
)


def unregister() -> None:
    corrective_actions.forget()
    _unregister()
