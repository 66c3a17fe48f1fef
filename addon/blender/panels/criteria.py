"""The panels of criteria, of service and of the codes checked."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.criteria.disclaimer import UNCHECKED
from ...core.criteria.verdict import Verdict
from ...core.messages.sentence import Sentence
from ...units.quantities import NOTHING, Units
from ..controller import session
from ..identifiers import Ops
from ..properties.settings import scene_settings, settings
from ..wording import BUTTON, wrapped
from .corrective_actions import criterion_action_lines
from .hull_lists import editable_list
from .layout import HullPanel, Layout, SidePanel, assessed, section, settings_column, table
from .named import problem
from .part_fields import draw_group

OUTCOMES: dict[str, tuple[str, Any]] = {
    "fails": (n_("Fails"), "CANCEL"),
    "not known": (n_("Not known"), "QUESTION"),
    "passes": (n_("Passes"), "CHECKMARK"),
    "not applicable": (n_("Not applicable"), "REMOVE"),
}


class NAVAL_CHECKS_PT_criteria(SidePanel, bpy.types.Panel):
    """Criteria that the vessel passes and fails"""

    bl_label = "Criteria"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        entry = assessed(layout, context)
        if entry is None:
            return
        verdicts = entry.assessment.verdicts
        if not verdicts:
            wrapped(layout, context, UNCHECKED, "INFO")
            return
        layout.label(text=tally(verdicts), icon=OUTCOMES[worst(verdicts)][1])
        numbered = list(enumerate(verdicts))
        applicable = [each for each in numbered if each[1].outcome != "not applicable"]
        _verdicts(layout, context, entry, applicable)
        rest = [each for each in numbered if each[1].outcome == "not applicable"]
        if rest:
            title = iface_("Not Applicable ({count})").format(count=len(rest))
            body = section(layout, "not_applicable", title, closed=True)
            if body:
                _verdicts(body, context, entry, rest)


class NAVAL_CHECKS_PT_service(HullPanel, bpy.types.Panel):
    """Service data that criteria depend on"""

    bl_label = "Service"
    bl_parent_id = "NAVAL_CHECKS_PT_criteria"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        draw_group(settings_column(self.layout), settings(hull).service)


class NAVAL_CHECKS_PT_checked(HullPanel, bpy.types.Panel):
    """Codes to check, and custom criteria"""

    bl_label = "Criteria to Check"
    bl_parent_id = "NAVAL_CHECKS_PT_criteria"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        chosen = settings(hull)
        draw_group(layout.column(align=True), chosen.criteria)
        layout.label(text="Custom Criteria")
        editable_list(layout, chosen, "NAVAL_CHECKS_UL_criteria", "CRITERIA")
        if 0 <= chosen.active_criterion < len(chosen.custom_criteria):
            criterion = chosen.custom_criteria[chosen.active_criterion]
            draw_group(settings_column(layout), criterion)


def worst(verdicts: Iterable[Verdict]) -> str:
    """The most serious outcome present."""
    found = {verdict.outcome for verdict in verdicts}
    return next(outcome for outcome in OUTCOMES if outcome in found)


def tally(verdicts: Iterable[Verdict]) -> str:
    """'1 fails, 2 not known, 5 pass'."""
    words = {
        "fails": iface_("{count} fail"),
        "not known": iface_("{count} not known"),
        "passes": iface_("{count} pass"),
    }
    found = [verdict.outcome for verdict in verdicts]
    counts = [
        text.format(count=found.count(outcome))
        for outcome, text in words.items()
        if outcome in found
    ]
    return ", ".join(counts) or iface_("None applicable")


def figure(value: float | None, unit: str, units: Units) -> str:
    """A figure of a criterion with its unit; lengths and masses in those of the scene."""
    if value is None:
        return NOTHING
    if unit == "m":
        return units.length(value)
    if unit == "kg":
        return units.mass(value)
    if unit == "m rad":
        return units.arm_area(value)
    return f"{value:.1f}°" if unit == "deg" else f"{value:.4g} {unit}".rstrip()


def _verdicts(
    layout: Layout,
    context: bpy.types.Context,
    entry: session.Entry,
    verdicts: Iterable[tuple[int, Verdict]],
) -> None:
    """A line for each criterion below the name of its code; corrective actions below those that
    fail, and the active one explained."""
    units, code = Units.of(context.scene), ""
    active = scene_settings(context.scene).active_verdict
    for index, verdict in verdicts:
        if verdict.code != code:
            code = verdict.code
            wrapped(layout, context, f"{code[0].upper()}{code[1:]}")
        word, icon = OUTCOMES[verdict.outcome]
        row = layout.row()
        text = f"{iface_(word)}: {verdict.clause}, {verdict.what}"
        wrapped(row.column(), context, text, icon, BUTTON)
        shown = index == active
        sign: Any = "DISCLOSURE_TRI_DOWN" if shown else "DISCLOSURE_TRI_RIGHT"
        row.operator(Ops.EXPLAIN, text="", icon=sign, emboss=False).index = index
        if shown:
            _reason(layout.box(), context, verdict, units)
        if verdict.outcome == "fails":
            criterion_action_lines(layout, context, entry, verdict.key)


def _reason(layout: Layout, context: bpy.types.Context, verdict: Verdict, units: Units) -> None:
    if verdict.required is not None:
        values = (verdict.required, verdict.attained, verdict.margin)
        required = iface_("Required, {sense}").format(sense=iface_(verdict.sense))
        names = (required, n_("Attained"), n_("Margin"))
        table(
            layout,
            [
                (name, figure(value, verdict.unit, units))
                for name, value in zip(names, values, strict=True)
            ],
        )
    text = Sentence("{clause}: {reason}", clause=verdict.clause, reason=verdict.reason)
    problem(layout, context, text)
