"""Flooding in time in the panel of flooding."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.flooding_time.flooding_history import FloodingHistory
from ...core.messages.sentence import Sentence
from ...core.messages.subjects import Subject
from ...units.durations import clock
from ..controller import session
from ..damage_wording import outcome
from ..identifiers import Ops
from ..properties.names import Role
from ..properties.settings import scene_settings
from ..readers.breach import active_inflow
from ..readers.members import is_part
from ..wording import wrapped
from .layout import (
    Layout,
    listed_parts,
    settings_column,
)
from .named import finding_lines, problem
from .part_fields import draw_part

NO_BREACHES = n_("No breaches: place the 3D cursor on the hull below the waterline and add one")


def flooding_in_time(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    active = listed_parts(layout, context, "NAVAL_CHECKS_UL_breaches", NO_BREACHES, Role.BREACH)
    layout.operator(Ops.ADD_BREACH, icon="ADD")
    if is_part(active, Role.BREACH):
        column = settings_column(layout)
        draw_part(column, active)
    inflow = active_inflow(context)
    if inflow:
        wrapped(layout, context, iface_("Through '{breach}'").format(breach=inflow.name))
    layout.operator(Ops.TIME_TO_FLOOD)
    if entry.flooding_history:
        _run(layout, context, entry.flooding_history, entry.damage.breach)
    else:
        timeline_cleanup(layout, context)


def timeline_cleanup(layout: Layout, context: bpy.types.Context) -> None:
    """A button that removes a flooding whose result is not known, as after loading a file."""
    if scene_settings(context.scene).play_flooding:
        layout.operator(Ops.STOP_FLOODING, icon="X")


def _run(layout: Layout, context: bpy.types.Context, run: FloodingHistory, breach: str) -> None:
    """The course of a flooding in time, and buttons to play and bake it."""
    text, lost = outcome(run)
    icon: Any = "CANCEL" if lost else "INFO"
    problem(layout, context, f"'{breach}': {text}", icon, [Subject("object", breach)])
    finding_lines(layout, context, run.findings)
    for event in run.events:
        text = Sentence("{time}: {event}", time=clock(event.time), event=event.what)
        wrapped(layout, context, text)
    row = layout.row(align=True)
    row.operator(Ops.PLAY_FLOODING, icon="PLAY")
    chosen = scene_settings(context.scene)
    if chosen.play_flooding:
        row.operator(Ops.STOP_FLOODING, text="", icon="X")
        column = settings_column(layout)
        column.prop(chosen, "flooding_start")
        column.prop(chosen, "flooding_speed")
    row = layout.row(align=True)
    row.operator(Ops.BAKE_FLOODING, icon="RENDER_ANIMATION")
    row.operator(Ops.REMOVE_BAKED, text="", icon="TRASH")
