"""A message, with a button to what it names: a part, a loading condition, a criterion."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import bpy

from ...core.messages.findings import Finding
from ...core.messages.sentence import subjects_of
from ...core.messages.subjects import Subject
from ..identifiers import Ops
from ..properties.settings import settings
from ..readers.members import scene_parts, subject_object
from ..wording import BUTTON, wrapped
from .layout import ICONS, Layout, select_button

KINDS = {"condition": "CONDITIONS", "criterion": "CRITERIA"}


def problem(
    layout: Layout,
    context: bpy.types.Context,
    text: str,
    icon: Any = "NONE",
    about: Iterable[Subject] | None = None,
) -> None:
    """Draw a text with a button to the condition, criterion or object that it is `about`."""
    row = layout.row()
    subjects = tuple(subjects_of(text) if about is None else about)
    item, obj = subject_item(context, subjects), first_object(context, subjects)
    wrapped(row.column(), context, text, icon, BUTTON if item or obj else 0)
    if item:
        button = row.operator(Ops.CHOOSE_ITEM, text="", icon="RESTRICT_SELECT_OFF")
        button.which, button.item_name = item
    elif obj:
        select_button(row, obj)


def finding_lines(layout: Layout, context: bpy.types.Context, found: Iterable[Finding]) -> None:
    """A line for each finding without a place."""
    for finding in found:
        problem(layout, context, finding.text, ICONS[finding.severity])


def subject_item(context: bpy.types.Context, subjects: Iterable[Subject]) -> tuple[str, str] | None:
    """The list of the active hull and the name of the first item in it among subjects."""
    hull = scene_parts(context.view_layer).active_hull(context.view_layer.objects.active)
    if hull is None:
        return None
    lists = {"condition": settings(hull).conditions, "criterion": settings(hull).custom_criteria}
    for subject in subjects:
        if subject.name in lists.get(subject.kind, ()):
            return KINDS[subject.kind], subject.name
    return None


def first_object(
    context: bpy.types.Context, subjects: Iterable[Subject]
) -> bpy.types.Object | None:
    """The first hull or part among subjects."""
    return next(filter(None, (subject_object(context, each) for each in subjects)), None)
