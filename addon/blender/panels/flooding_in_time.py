"""Flooding in time in the panel of floodings."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.flooding_time.time_to_flood import FloodingHistory
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
from .named import problem, said
from .part_fields import draw_part

NO_BREACHES = n_("No holes: put the 3D cursor on the hull under water and add one")


def flooding_in_time(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    active = listed_parts(layout, context, "NAVAL_CHECKS_UL_breaches", NO_BREACHES, Role.BREACH)
    layout.operator(Ops.ADD_BREACH, icon="ADD")
    if is_part(active, Role.BREACH):
        column = settings_column(layout)
        draw_part(column, active)
    way = active_inflow(context)
    text = iface_("Time to Flood through {breach}").format(breach=way.name) if way else None
    layout.operator(Ops.TIME_TO_FLOOD, text=text, translate=False)
    if entry.flooding_history:
        _run(layout, context, entry.flooding_history, entry.damage.breach)
    else:
        left_on_timeline(layout, context)


def left_on_timeline(layout: Layout, context: bpy.types.Context) -> None:
    """The way to be rid of a flooding that is no longer known, as in a file loaded again."""
    if scene_settings(context.scene).play_flooding:
        layout.operator(Ops.STOP_FLOODING, icon="X")


def _run(layout: Layout, context: bpy.types.Context, run: FloodingHistory, breach: str) -> None:
    """How a flooding in time goes, and playing it."""
    text, lost = outcome(run)
    icon: Any = "CANCEL" if lost else "INFO"
    problem(layout, context, f"'{breach}': {text}", icon, [Subject("object", breach)])
    said(layout, context, run.findings)
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
