"""What would put her right: a line under what is wrong, and the operator that carries it out."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, IntProperty
from mathutils import Matrix, Vector

from ...core.advice.corrective_actions import ANSWERS, Remedy
from ...core.messages.findings import Finding
from ..controller import corrective_actions, session
from ..identifiers import Ops
from ..panels.layout import Layout
from ..properties.names import Basis, Role
from ..properties.settings import settings
from ..readers.members import hull_at_hand, is_part, subject_object
from ..wording import BUTTON, Units, wrapped

CLOSE = 1e-4
"""Share of a shift that may be lacking after it was carried out."""
SINGLE = 1e-6
"""Share of a place that is lost in single precision."""


class NAVAL_CHECKS_OT_apply_remedy(bpy.types.Operator):
    """Move the weight by as much as it takes"""

    bl_idname = Ops.APPLY_REMEDY
    bl_label = "Move Weight"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    index: IntProperty(
        name="Remedy", description="Place of the remedy in the list", min=0, options={"SKIP_SAVE"}
    )
    of_criteria: BoolProperty(
        name="Of Criteria",
        description="Whether the remedy is one for a criterion that she fails",
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(hull_at_hand(context))
        if context.mode != "OBJECT":
            cls.poll_message_set("Moving a weight needs Object Mode")
        elif entry is None or entry.stale:
            cls.poll_message_set("Find the floating position first")
        else:
            return True
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(hull_at_hand(context))
        found = corrective_actions.find(entry, self.of_criteria)
        remedy = found[self.index] if self.index < len(found) else None
        weight = movable(context, remedy) if remedy else None
        if remedy is None or weight is None:
            self.report({"ERROR"}, "This remedy is out of date; find the floating position again")
            return {"CANCELLED"}
        frame = entry.ship.frame
        if not move(context, weight, remedy.shift @ frame.turn / frame.unit):
            text = rpt_(
                "{weight} is held in place by a lock, a constraint, a driver or an animation"
            )
            self.report({"ERROR"}, text.format(weight=weight.name))
            return {"CANCELLED"}
        length = Units.of(context.scene).length(float(np.linalg.norm(remedy.shift)))
        text = rpt_("{weight} moved by {length}")
        self.report({"INFO"}, text.format(weight=weight.name, length=length))
        return {"FINISHED"}


def movable(context: bpy.types.Context, remedy: Remedy) -> bpy.types.Object | None:
    """The point mass that a remedy moves, if it is one that can be moved here."""
    obj = named(context, remedy)
    if obj is None or not (is_part(obj, Role.WEIGHT) and obj.is_editable):
        return None
    return obj if remedy.moves and settings(obj).basis == Basis.POINT else None


def named(context: bpy.types.Context, remedy: Remedy) -> bpy.types.Object | None:
    """The object that a remedy speaks of: its weight, or the tank that is pumped out."""
    spoken = next(iter(remedy.subjects), None)
    return subject_object(context, spoken) if spoken else None


def move(context: bpy.types.Context, obj: bpy.types.Object, by: np.ndarray) -> bool:
    """Move an object by so much in the world; False, and it stays, where something holds it."""
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


def remedy_lines(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, finding: Finding
) -> None:
    """A line for each remedy of what a finding of her floating position says."""
    found = corrective_actions.remedies_of(entry)
    target = ANSWERS.get(finding.code)
    chosen = [each for each in enumerate(found) if each[1].against == target]
    _lines(layout, context, chosen, of_criteria=False)


def cure_lines(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, criterion: str
) -> None:
    """A line for each cure of a criterion that she fails, by its key."""
    found = corrective_actions.remedies_of(entry, of_criteria=True)
    keys = [each.criterion.key if each.criterion else "" for each in found]
    chosen = [each for each, key in zip(enumerate(found), keys, strict=True) if key == criterion]
    _lines(layout, context, chosen, of_criteria=True)


def _lines(
    layout: Layout,
    context: bpy.types.Context,
    found: Iterable[tuple[int, Remedy]],
    of_criteria: bool,
) -> None:
    for index, remedy in found:
        obj, able = named(context, remedy), movable(context, remedy)
        row = layout.row()
        taken = BUTTON * ((obj is not None) + (able is not None))
        wrapped(row.column(), context, remedy.text, "LIGHT", taken)
        buttons = row.row(align=True)
        if obj:
            select = buttons.operator(Ops.SELECT_OBJECT, text="", icon="RESTRICT_SELECT_OFF")
            select.object_name = obj.name
        if able:
            apply = buttons.operator(Ops.APPLY_REMEDY, text="", icon="ARROW_LEFTRIGHT")
            apply.index, apply.of_criteria = index, of_criteria


def _place(context: bpy.types.Context, obj: bpy.types.Object) -> np.ndarray:
    found = obj.evaluated_get(context.evaluated_depsgraph_get())
    return np.array(found.matrix_world, dtype=np.float64)[:3, 3]


register, _unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_apply_remedy,))


def unregister() -> None:
    corrective_actions.forget()
    _unregister()
