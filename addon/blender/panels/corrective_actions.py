"""Corrective actions as lines below a finding or a failed criterion."""

from __future__ import annotations

from collections.abc import Iterable

import bpy

from ...core.advice.action import CorrectiveAction
from ...core.advice.corrective_actions import SUBJECT_BY_FINDING
from ...core.messages.findings import Finding
from ..controller import corrective_actions, session
from ..controller.corrective_actions import movable, named
from ..identifiers import Ops
from ..wording import BUTTON, wrapped
from .layout import Layout


def corrective_action_lines(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, finding: Finding
) -> None:
    """A line for each corrective action against a finding of the floating position."""
    found = corrective_actions.corrective_actions_of(entry)
    target = SUBJECT_BY_FINDING.get(finding.code)
    chosen = [each for each in enumerate(found) if each[1].against == target]
    _lines(layout, context, chosen, of_criteria=False)


def criterion_action_lines(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, criterion: str
) -> None:
    """A line for each corrective action against a failed criterion, by its key."""
    found = corrective_actions.corrective_actions_of(entry, of_criteria=True)
    keys = [each.criterion.key if each.criterion else "" for each in found]
    chosen = [each for each, key in zip(enumerate(found), keys, strict=True) if key == criterion]
    _lines(layout, context, chosen, of_criteria=True)


def _lines(
    layout: Layout,
    context: bpy.types.Context,
    found: Iterable[tuple[int, CorrectiveAction]],
    of_criteria: bool,
) -> None:
    for index, corrective_action in found:
        obj, able = named(context, corrective_action), movable(context, corrective_action)
        row = layout.row()
        taken = BUTTON * ((obj is not None) + (able is not None))
        wrapped(row.column(), context, corrective_action.text, "LIGHT", taken)
        buttons = row.row(align=True)
        if obj:
            select = buttons.operator(Ops.SELECT_OBJECT, text="", icon="RESTRICT_SELECT_OFF")
            select.object_name = obj.name
        if able:
            apply = buttons.operator(Ops.APPLY_CORRECTIVE_ACTION, text="", icon="ARROW_LEFTRIGHT")
            apply.index, apply.of_criteria = index, of_criteria
