"""Panels on how she is judged: stability, criteria, loading conditions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import degrees, isfinite
from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.criteria.disclaimer import UNCHECKED
from ...core.criteria.verdict import Verdict
from ...core.messages.sentence import Sentence, subjects_of
from ...core.model.openings import Opening
from ...core.stability.both_sides import Side, Stability
from ..controller import session
from ..identifiers import Ops
from ..operators.corrective_actions import cure_lines
from ..properties.conditions import ConditionSettings
from ..properties.groups import fields
from ..properties.names import PROPERTY, Role
from ..properties.service import AREA, FIELD_OF, MOMENT, SPANS, RuleSettings, kind_of
from ..properties.settings import ObjectSettings, scene_settings, settings
from ..readers.members import glance
from ..viewport.shapes import righting
from ..wording import BUTTON, NOTHING, Units, headline, trim, wrapped
from .layout import HullPanel, Layout, SidePanel, cells, is_stale, judged, settings_column, table
from .named import problem, said

NO_WAYS_IN = n_("No openings: add those through which water gets in")
NEVER = n_("never")
ALIKE = 1e-3
"""Sides whose figures differ by less, in radians or metres, are shown as one."""

OUTCOMES: dict[str, tuple[str, Any]] = {
    "fails": (n_("Fails"), "CANCEL"),
    "not known": (n_("Not known"), "QUESTION"),
    "passes": (n_("Passes"), "CHECKMARK"),
    "not applicable": (n_("Not applicable"), "REMOVE"),
}


class NAVAL_CHECKS_PT_stability(SidePanel, bpy.types.Panel):
    """How she rights herself, and where water gets in"""

    bl_label = "Stability"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        entry = judged(layout, context)
        if entry is None:
            return
        ship, units = entry.assessment.stability, Units.of(context.scene)
        said(layout, context, entry.said)
        table(layout, [(n_("GM Upright"), units.length(ship.GM))])
        floods = ship.starboard.floods_first or ship.port.floods_first
        if sides_differ(ship):
            table(layout, [("", iface_("Starboard"), iface_("Port"))])
            both = (arms(side, units, floods) for side in (ship.starboard, ship.port))
            pairs = zip(*both, strict=True)
            table(layout, [(name, value, other) for (name, value), (_, other) in pairs])
        else:
            table(layout, arms(ship.starboard, units, floods))
        self._look(context, entry, units)
        ways = list(ways_in(ship))
        if not ways:
            wrapped(layout, context, NO_WAYS_IN, "INFO")
            return
        header, body = layout.panel(f"{PROPERTY}_ways_in")
        header.label(text="Openings Under At")
        for opening, text in ways if body else ():
            row = body.row()
            wrapped(row.column(), context, f"{opening.name}: {text}", "NONE", BUTTON)
            button = row.operator(Ops.SHOW_OPENING, text="", icon="VIEWZOOM")
            button.opening, button.place = opening.name, opening.point.tolist()

    def _look(self, context: bpy.types.Context, entry: session.Entry, units: Units) -> None:
        layout, chosen = self.layout, scene_settings(context.scene)
        column = layout.column(align=True)
        column.prop(chosen, "use_look_heel")
        heeled = session.at_look_heel(entry, chosen)
        if heeled is None:
            return
        column.prop(chosen, "look_heel", slider=True)
        form = heeled.floating.hydrostatics
        rows = [
            (n_("GZ"), units.length(righting(chosen.look_heel, heeled.held.arm))),
            (n_("Draft Amidships"), units.length(form.draft_mid)),
            (n_("Trim"), trim(form.trim, units)),
        ]
        table(column, rows)


class NAVAL_CHECKS_PT_criteria(SidePanel, bpy.types.Panel):
    """Which criteria she passes and which she fails"""

    bl_label = "Criteria"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        entry = judged(layout, context)
        if entry is None:
            return
        verdicts = entry.assessment.verdicts
        if not verdicts:
            wrapped(layout, context, UNCHECKED, "INFO")
            return
        layout.label(text=tally(verdicts), icon=OUTCOMES[worst(verdicts)][1])
        told = list(enumerate(verdicts))
        judged_by = [each for each in told if each[1].outcome != "not applicable"]
        _verdicts(layout, context, entry, judged_by)
        rest = [each for each in told if each[1].outcome == "not applicable"]
        if rest:
            header, body = layout.panel(f"{PROPERTY}_not_applicable", default_closed=True)
            header.label(text=iface_("Not Applicable ({count})").format(count=len(rest)))
            if body:
                _verdicts(body, context, entry, rest)


class NAVAL_CHECKS_PT_service(HullPanel, bpy.types.Panel):
    """What she is for, which criteria ask"""

    bl_label = "Service"
    bl_parent_id = "NAVAL_CHECKS_PT_criteria"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        facts = settings(hull).service
        column = settings_column(self.layout)
        for name, _ in fields(facts):
            if name != "name":
                column.prop(facts, name)


class NAVAL_CHECKS_PT_checked(HullPanel, bpy.types.Panel):
    """Which codes are checked, and criteria of your own"""

    bl_label = "What to Check"
    bl_parent_id = "NAVAL_CHECKS_PT_criteria"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        chosen = settings(hull)
        layout.prop(chosen, "choose_codes")
        if chosen.choose_codes:
            column = layout.column(align=True)
            for field in FIELD_OF.values():
                column.prop(chosen.codes, field)
        layout.label(text="Own Criteria")
        _list(layout, chosen, "NAVAL_CHECKS_UL_rules", "RULES")
        if 0 <= chosen.active_rule < len(chosen.rules):
            _rule(layout, chosen.rules[chosen.active_rule])


class NAVAL_CHECKS_PT_conditions(HullPanel, bpy.types.Panel):
    """Ways to load her, and how she compares in them"""

    bl_label = "Loading Conditions"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        chosen = settings(hull)
        if chosen.conditions:
            layout.row().prop(chosen, "loading", expand=True)
        else:
            wrapped(layout, context, n_("None yet: she is loaded as modelled"), "INFO")
        _list(layout, chosen, "NAVAL_CHECKS_UL_conditions", "CONDITIONS")
        if chosen.condition:
            _condition(layout, context, hull, chosen.condition)
        layout.operator(Ops.COMPARE)
        _comparison(layout, context, hull, chosen)


def sides_differ(ship: Stability) -> bool:
    """Whether she is not the same to starboard and to port."""

    def figures(side: Side) -> list[float]:
        angles = (side.rest_heel, side.vanishing, side.deck_edge, side.flooding)
        return [min(value, 9.0) for value in (*angles, side.greatest_arm, side.greatest_heel)]

    return not np.allclose(figures(ship.starboard), figures(ship.port), rtol=0.0, atol=ALIKE)


def arms(side: Side, units: Units, to_flooding: bool) -> Iterator[tuple[str, str]]:
    """The figures of a side, name and value; some `to_flooding` too, where arms end."""
    yield n_("Greatest GZ"), units.length(side.greatest_arm)
    yield n_("At Heel"), angle(side.greatest_heel)
    if to_flooding:
        yield n_("GZ to Flooding"), units.length(side.greatest_to_flooding[1])
    yield n_("Range"), angle(side.range)
    if to_flooding:
        yield n_("To Flooding"), angle(side.range_to_flooding)
    yield n_("Vanishes At"), angle(side.vanishing)
    yield n_("Deck Edge At"), angle(side.deck_edge)
    yield n_("Floods At"), angle(side.flooding)


def angle(radians: float) -> str:
    """'35.2°', 'never'."""
    return f"{degrees(radians):.1f}°" if isfinite(radians) else iface_(NEVER)


def ways_in(ship: Stability) -> Iterator[tuple[Opening, str]]:
    """Every opening, and in words the heel at which it goes under."""
    under: dict[str, list[tuple[float, Side, Opening]]] = {
        opening.name: [] for opening in ship.case.ways_in
    }
    for side in (ship.starboard, ship.port):
        for each in side.immersed:
            found = under.setdefault(each.opening.name, [])
            found.append((each.heel, side, each.opening))
    named = {opening.name: opening for opening in ship.case.ways_in}
    for name, sides in under.items():
        first = min(sides, key=lambda each: each[0], default=None)
        opening = named.get(name) or first[2]
        under_at = _goes_under(sides, first)
        tight = iface_("{under_at}, weathertight").format(under_at=under_at)
        yield opening, tight if opening.weathertight else under_at


def _goes_under(
    sides: list[tuple[float, Side, Opening]], first: tuple[float, Side, Opening] | None
) -> str:
    if first is None:
        return iface_("stays dry")
    heel, side, _ = first
    if heel <= side.rest_heel:
        return iface_("under at rest")
    heels = [each[0] for each in sides]
    both = len(heels) == 2 and abs(heels[0] - heels[1]) < ALIKE
    if both:
        return iface_("{angle} either way").format(angle=angle(heel))
    text = iface_("{angle} to starboard") if side.name == "starboard" else iface_("{angle} to port")
    return text.format(angle=angle(heel))


def worst(verdicts: Iterable[Verdict]) -> str:
    """The gravest outcome there is."""
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
    return ", ".join(counts) or iface_("None applies")


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
    """A line for each criterion under the name of its code; cures below those that fail, and the
    active one explained."""
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
            cure_lines(layout, context, entry, verdict.key)


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


def _list(layout: Layout, chosen: ObjectSettings, kind: str, which: str) -> None:
    """A list with buttons to add, copy, remove and move."""
    field, active = {
        "RULES": ("rules", "active_rule"),
        "CONDITIONS": ("conditions", "active_condition"),
    }[which]
    items = getattr(chosen, field)
    row = layout.row()
    row.template_list(kind, "", chosen, field, chosen, active, rows=3 if items else 2)
    column = row.column(align=True)
    actions: dict[str, Any] = {"ADD": "ADD"}
    if items:
        actions |= {"COPY": "DUPLICATE", "REMOVE": "REMOVE"}
    if len(items) > 1:
        actions |= {"UP": "TRIA_UP", "DOWN": "TRIA_DOWN"}
    for action, icon in actions.items():
        button = column.operator(Ops.EDIT_LIST, text="", icon=icon)
        button.which, button.action = which, action


def _rule(layout: Layout, rule: RuleSettings) -> None:
    column = settings_column(layout)
    column.prop(rule, "kind")
    for limit, name in ((rule.least, "At Least"), (rule.most, "At Most")):
        column.prop(limit, "used", text=name)
        if limit.used:
            column.prop(limit, kind_of(rule.measure))
    if rule.measure in SPANS:
        column.prop(rule, "start", text="At" if rule.measure == "GZ" else "From")
    if rule.measure == AREA:
        column.prop(rule, "end")
    if rule.measure == MOMENT:
        column.prop(rule, "moment")


def _condition(
    layout: Layout,
    context: bpy.types.Context,
    hull: bpy.types.Object,
    condition: ConditionSettings,
) -> None:
    column = settings_column(layout)
    column.prop(condition, "mass_margin")
    column.prop(condition, "rise_margin")
    here = glance(context.view_layer)
    header, body = layout.panel(f"{PROPERTY}_stowage")
    header.label(text="On Board")
    if body:
        _aboard(body, here.parts_of(hull, Role.WEIGHT, Role.TANK), condition)
    _flooded(layout, here.parts_of(hull, Role.ROOM), condition)


def _aboard(
    layout: Layout, aboard: Sequence[bpy.types.Object], condition: ConditionSettings
) -> None:
    """Groups, weights and tanks, ticked where they are on board."""
    column = layout.column(align=True)
    ashore = {group.name for group in condition.groups_ashore}
    used = {settings(obj).group for obj in aboard} - {""}
    for group in sorted(used | ashore):
        icon: Any = "CHECKBOX_DEHLT" if group in ashore else "CHECKBOX_HLT"
        text = iface_("Group {group}") if group in used else iface_("Group {group} (in no use)")
        text = text.format(group=group)
        row = column.row()
        row.alignment = "LEFT"
        button = row.operator(Ops.STOW_GROUP, text=text, icon=icon, emboss=False, translate=False)
        button.group = group
    for obj in aboard:
        entry = condition.stowed(obj)
        gone = bool(entry and entry.ashore)
        tank = settings(obj).role == Role.TANK
        row = column.split(factor=0.55) if tank else column.row()
        row.active = settings(obj).group not in ashore
        icon = "CHECKBOX_DEHLT" if gone else "CHECKBOX_HLT"
        left = row.row()
        left.alignment = "LEFT"
        button = left.operator(Ops.STOW, text=obj.name, icon=icon, emboss=False, translate=False)
        button.object_name = obj.name
        if tank and not gone:
            fill = row.row(align=True)
            own = bool(entry and entry.use_fill)
            if own:
                fill.prop(entry, "fill", text="", slider=True)
            else:
                fill.label(text=f"{settings(obj).fill:.0f} %")
            icon = "UNLOCKED" if own else "LOCKED"
            button = fill.operator(Ops.STOW, text="", icon=icon)
            button.object_name, button.own_fill = obj.name, True


def _flooded(
    layout: Layout, rooms: Iterable[bpy.types.Object], condition: ConditionSettings
) -> None:
    """Marked rooms, ticked where the condition has them open to the sea."""
    header, body = layout.panel(f"{PROPERTY}_flooded", default_closed=True)
    header.label(text="Flooded Rooms")
    for room in rooms if body else ():
        entry = condition.stowed(room)
        icon: Any = "CHECKBOX_HLT" if entry and entry.flooded else "CHECKBOX_DEHLT"
        row = body.row()
        row.alignment = "LEFT"
        button = row.operator(Ops.STOW, text=room.name, icon=icon, emboss=False, translate=False)
        button.object_name = room.name


def _comparison(
    layout: Layout, context: bpy.types.Context, hull: bpy.types.Object, chosen: ObjectSettings
) -> None:
    """A table of the conditions that are known, two lines each."""
    entries = [
        (name or iface_("As modelled"), session.entry_in(hull, name))
        for name in (None, *(each.name for each in chosen.conditions))
    ]
    if sum(entry is not None for _, entry in entries) < 2:
        return
    units = Units.of(context.scene)
    box = layout.box()
    cells(box, (n_("Draft"), n_("GM"), n_("GZ max")))
    for name, entry in entries:
        column = box.column(align=True)
        words, icon = _state(context, entry)
        mass = entry and entry.floating and units.mass(entry.floating.weight.mass)
        text = ": ".join(filter(None, (name, mass, words)))
        problem(column, context, text, icon, subjects_of((entry and entry.message) or ""))
        if entry and entry.assessment:
            ship = entry.assessment.stability
            form = ship.floating.hydrostatics
            figures = (form.draft_mid, ship.GM, ship.weaker.greatest_arm)
            cells(column, tuple(map(units.length, figures)))


def _state(context: bpy.types.Context, entry: session.Entry | None) -> tuple[str, Any]:
    """How a ship in a condition is judged, in a few words, and an icon for it."""
    if entry is None:
        return iface_("not computed"), "BLANK1"
    if is_stale(context, entry):
        return iface_("changed since computed"), "FILE_REFRESH"
    if entry.floating is None:
        return Units.of(context.scene).said(entry.message or ""), "CANCEL"
    words, icon = headline(entry.floating)
    if entry.assessment is None or not entry.assessment.verdicts:
        return words.lower(), icon
    verdicts = entry.assessment.verdicts
    return f"{words.lower()}, {tally(verdicts).lower()}", OUTCOMES[worst(verdicts)][1]


JUDGEMENT = (
    NAVAL_CHECKS_PT_stability,
    NAVAL_CHECKS_PT_criteria,
    NAVAL_CHECKS_PT_service,
    NAVAL_CHECKS_PT_checked,
    NAVAL_CHECKS_PT_conditions,
)
