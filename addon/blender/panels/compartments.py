"""The panel of compartments."""

from __future__ import annotations

from collections.abc import Iterable

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.messages.subjects import Subject
from ...core.model.compartment import SEA, Gap, Room
from ...units.quantities import Units
from ..controller import session
from ..damage_wording import entry_point, way_in
from ..identifiers import Ops
from ..properties.names import PROPERTY
from ..wording import BUTTON, wrapped
from .boundaries import boundary_lines
from .bulkheads import bulkhead_lines
from .compartment_list import roll
from .layout import (
    HullPanel,
    Layout,
    is_rescaled,
    stale_line,
    table,
)
from .named import problem, said

NO_ROOMS = n_("Rooms not found yet: add decks and bulkheads, then find the rooms")


class NAVAL_CHECKS_PT_rooms(HullPanel, bpy.types.Panel):
    """The spaces into which decks and bulkheads part her, and where they leak"""

    bl_label = "Rooms"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        entry = session.entry_for(hull)
        header, body = layout.panel(f"{PROPERTY}_walls")
        header.label(text="Decks, Bulkheads, Marks and Doors")
        if body:
            boundary_lines(body, context, hull)
        layout.operator(Ops.FIND_ROOMS)
        if entry and entry.divided:
            _rooms(layout, context, entry)
        else:
            wrapped(layout, context, NO_ROOMS, "INFO")
        header, body = layout.panel(f"{PROPERTY}_adviser", default_closed=True)
        header.label(text="Where to Put Bulkheads")
        if body:
            bulkhead_lines(body, context, entry)


def _rooms(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    division, units = entry.division, Units.of(context.scene)
    stale = entry.divided.stale or is_rescaled(context, entry)
    stale_line(layout, stale, iface_("Changed since the rooms were found"))
    rows = min(max(len(division.rooms), 2), 8)
    layout.template_list("NAVAL_CHECKS_UL_rooms", "", roll(), "rooms", roll(), "active", rows=rows)
    figures = [(n_("All Rooms"), units.volume(sum(room.volume for room in division.rooms)))]
    if division.solid:
        figures.append((n_("Wall Material"), units.volume(division.solid)))
    table(layout, figures)
    said(layout, context, division.findings)
    for index, leak in enumerate(division.leaks):
        row = layout.row()
        text = " ".join(
            filter(None, (way_in(leak), entry_point(context.scene, entry.floating, leak)))
        )
        wrapped(row.column(), context, text, "ERROR", BUTTON)
        row.operator(Ops.SHOW_LEAK, text="", icon="RESTRICT_SELECT_OFF").index = index
    if entry.chosen_room:
        box = layout.box()
        _room(box, context, entry.chosen_room, units)
        _joined(box, context, entry.chosen_room, division.gaps)


def _room(layout: Layout, context: bpy.types.Context, room: Room, units: Units) -> None:
    """The figures of the room that is chosen."""
    layout.label(text=room.name, translate=False)
    length = units.length
    x, y, z = (length(value) for value in room.centre)
    table(
        layout,
        [
            (n_("Volume"), units.volume(room.volume)),
            (n_("Centre X"), x),
            (n_("Centre Y"), y),
            (n_("Centre Z"), z),
            (n_("Floor"), length(room.floor)),
            (n_("Ceiling"), length(room.ceiling)),
            (n_("Use"), iface_(room.use.capitalize())),
            (n_("Permeability"), f"{room.permeability:.2f}"),
        ],
    )
    text = iface_("Bounded by {walls}").format(walls=", ".join(room.walls))
    wrapped(layout, context, text)


def _joined(layout: Layout, context: bpy.types.Context, room: Room, gaps: Iterable[Gap]) -> None:
    """A line for each gap through which a room joins another."""
    text = iface_("A gap in '{wall}', {area}, joins it to {room}")
    for gap in gaps:
        others = {*gap.rooms} - {room.name, SEA}
        if room.name in gap.rooms and others:
            area = Units.of(context.scene).area(gap.area)
            told = text.format(wall=gap.wall, area=area, room=others.pop())
            problem(layout, context, told, "ERROR", [Subject("boundary", gap.wall)])
