"""Panels on what is inside her: rooms and their leaks, and what becomes of her holed."""

from __future__ import annotations

from collections.abc import Iterable
from math import degrees
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.damage.bulkhead_suggestion import Advice
from ...core.damage.flooding import Flooded
from ...core.damage.flooding_paths import told
from ...core.damage.subdivision import Subdivision
from ...core.flooding_time.time_to_flood import Ingress
from ...core.messages.sentence import Sentence
from ...core.messages.subjects import Subject
from ...core.model.compartment import SEA, Gap, Room
from ..controller import session
from ..identifiers import Ops
from ..operators.boundaries import shortest
from ..operators.flooding import hole_at_hand, opened, outcome
from ..operators.leaks import entry_point, way_in
from ..properties.names import PROPERTY, Role
from ..properties.settings import scene_settings, settings
from ..readers.members import is_part
from ..viewport.floodable_length_chart import stretch_name
from ..viewport.flooding_playback import clock
from ..wording import BUTTON, NOTHING, Units, heel, trim, wrapped
from .compartment_list import roll
from .layout import (
    HullPanel,
    Layout,
    cells,
    is_rescaled,
    listed_parts,
    passage_lines,
    settings_column,
    table,
)
from .named import problem, said

NO_ROOMS = n_("Rooms not found yet: add decks and bulkheads, then find the rooms")
NO_WALLS = n_("No decks or bulkheads: select meshes and mark them, or add one at the cursor")
NO_BULKHEADS = n_("No bulkhead stands square across her: the curve says where one could")
NO_HOLES = n_("No holes: put the 3D cursor on the hull under water and add one")
NO_FLOODINGS = n_("Tick rooms in the list of rooms and flood them, or flood each")

SHORT = 24
"""Letters that fit on a button."""


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
            _walls(body, context, hull)
        layout.operator(Ops.FIND_ROOMS)
        if entry and entry.divided:
            _rooms(layout, context, entry)
        else:
            wrapped(layout, context, NO_ROOMS, "INFO")
        header, body = layout.panel(f"{PROPERTY}_adviser", default_closed=True)
        header.label(text="Where to Put Bulkheads")
        if body:
            _adviser(body, context, entry)


class NAVAL_CHECKS_PT_flooding(HullPanel, bpy.types.Panel):
    """What becomes of her with rooms open to the sea, and how long she has"""

    bl_label = "Flooding"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        layout = self.layout
        entry = session.entry_for(hull)
        if entry is None or entry.division is None:
            wrapped(layout, context, n_("Find the rooms first"), "INFO")
            layout.operator(Ops.FIND_ROOMS)
            _left_on_timeline(layout, context)
            return
        layout.operator(Ops.FLOOD, text=_flood_text(entry), translate=False)
        row = layout.row(align=True)
        row.operator(Ops.FLOOD_EACH, text="Each Room").pairs = False
        row.operator(Ops.FLOOD_EACH, text="Each Pair").pairs = True
        if entry.floodings or entry.ingress:
            stale = entry.damage_stale or is_rescaled(context, entry)
            _stale(layout, stale, iface_("Changed since flooded"))
        if entry.floodings:
            _floodings(layout, context, entry)
        else:
            wrapped(layout, context, NO_FLOODINGS, "INFO")
        header, body = layout.panel(f"{PROPERTY}_ingress")
        header.label(text="How Long She Has")
        if body:
            _ingress(body, context, entry)


INTERIOR = (NAVAL_CHECKS_PT_rooms, NAVAL_CHECKS_PT_flooding)


def _rooms(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    division, units = entry.division, Units.of(context.scene)
    stale = entry.divided.stale or is_rescaled(context, entry)
    _stale(layout, stale, iface_("Changed since the rooms were found"))
    rows = min(max(len(division.rooms), 2), 8)
    layout.template_list("NAVAL_CHECKS_UL_rooms", "", roll(), "rooms", roll(), "active", rows=rows)
    figures = [(n_("All Rooms"), units.volume(sum(room.volume for room in division.rooms)))]
    if division.solid:
        figures.append((n_("Wall Material"), units.volume(division.solid)))
    table(layout, figures)
    said(layout, context, division.findings)
    for index, leak in enumerate(division.leaks):
        row = layout.row()
        text = " ".join(filter(None, (way_in(leak), entry_point(context, entry, leak))))
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


def _walls(layout: Layout, context: bpy.types.Context, hull: bpy.types.Object) -> None:
    roles = (Role.WALL, Role.ROOM, Role.DOOR)
    active = listed_parts(layout, context, "NAVAL_CHECKS_UL_walls", NO_WALLS, *roles)
    layout.operator(Ops.MARK_WALLS)
    row = layout.row(align=True)
    row.operator(Ops.ADD_WALL, text="Across", icon="ADD").kind = "TRANSVERSE"
    row.operator(Ops.ADD_WALL, text="Along", icon="ADD").kind = "LONGITUDINAL"
    row.operator(Ops.ADD_WALL, text="Deck", icon="ADD").kind = "DECK"
    row = layout.row(align=True)
    row.operator(Ops.MARK_ROOM)
    row.operator(Ops.MARK_ROOMS)
    row = layout.row(align=True)
    row.operator(Ops.ADD_DOOR)
    row.operator(Ops.MARK_DOORS)
    if not is_part(active, *roles):
        return
    chosen, column = settings(active), settings_column(layout)
    if chosen.role == Role.ROOM:
        room, inflow = chosen.room, chosen.inflow
        column.prop(room, "use")
        column.prop(room, "own_permeability")
        if room.own_permeability:
            column.prop(room, "permeability", slider=True)
        column.prop(inflow, "trapped")
        column.prop(inflow, "pump")
        if inflow.pump > 0:
            column.prop(inflow, "delay")
    elif chosen.role == Role.DOOR:
        door = chosen.door
        column.prop(door, "shut")
        if active.type == "EMPTY":
            column.prop(door, "height")
            column.prop(door, "own_area")
            column.prop(door, "area" if door.own_area else "width")
        else:
            passage_lines(column, context, active, door)
        column.prop(door, "duct")
        if door.duct:
            column.prop(door, "discharge", slider=True)
            column.prop(door, "first")
            column.prop(door, "second")
    if chosen.role != Role.WALL or not settings(hull).mirror:
        column.prop(chosen, "both_sides")
    column.prop(chosen, "hull")


def _adviser(layout: Layout, context: bpy.types.Context, entry: session.Entry | None) -> None:
    chosen, column = scene_settings(context.scene), settings_column(layout)
    column.prop(chosen, "bulkheads")
    column.prop(chosen, "compartment_permeability", slider=True)
    layout.operator(Ops.ADVISE_BULKHEADS).count = chosen.bulkheads
    advice = entry.damage.advice if entry else None
    if advice:
        _stale(layout, entry.advice_stale, iface_("Changed since advised"))
        _advice(layout, context, advice)
    layout.operator(Ops.FIND_FLOODABLE)
    subdivision = entry.damage.subdivision if entry else None
    if subdivision:
        _stale(layout, entry.advice_stale, iface_("Changed since found"))
        _compartments(layout, context, entry, subdivision)
        _floodable(layout, context, entry, subdivision)


def _compartments(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, found: Subdivision
) -> None:
    """Which compartments are too long to flood, and where each bulkhead may stand."""
    units = Units.of(context.scene)
    if not found.stretches:
        wrapped(layout, context, NO_BULKHEADS, "INFO")
        return
    if not found.too_long:
        layout.label(text="Each compartment may flood", icon="CHECKMARK")
    for index, stretch in enumerate(found.stretches):
        if stretch.survives:
            continue
        row, name = layout.row(), stretch_name(stretch, entry.division)
        lengths = map(units.length, (stretch.length, stretch.allowed))
        text = iface_("{compartment} is too long: {length}, may be {allowed}")
        text = text.format(compartment=name, length=next(lengths), allowed=next(lengths))
        wrapped(row.column(), context, text, "ERROR", BUTTON)
        button = row.operator(Ops.SHOW_COMPARTMENT, text="", icon="RESTRICT_SELECT_OFF")
        button.index = index
    layout.label(text="Where Bulkheads May Stand")
    cells(layout, (n_("At x"), n_("From"), n_("To")))
    for bulkhead in found.bulkheads:
        column, leeway = layout.column(align=True), bulkhead.leeway
        fits = leeway and leeway[0] <= bulkhead.x <= leeway[1]
        icon: Any = "CHECKMARK" if fits else "ERROR"
        column.label(text=", ".join(bulkhead.walls), icon=icon, translate=False)
        ends = map(units.length, leeway) if leeway else (NOTHING, NOTHING)
        cells(column, (units.length(bulkhead.x), *ends))


def _floodable(
    layout: Layout, context: bpy.types.Context, entry: session.Entry, found: Subdivision
) -> None:
    """Her floodable length: its chart, at a place looked at, and at the quarters of her length."""
    curve, units, chosen = found.curve, Units.of(context.scene), scene_settings(context.scene)
    charted = entry.damage.charted
    row = layout.row()
    row.label(text="Floodable Length")
    icon: Any = "HIDE_OFF" if charted else "HIDE_ON"
    row.operator(Ops.SHOW_FLOODABLE, text="", icon=icon, emboss=charted)
    if charted:
        column = layout.column(align=True)
        column.prop(chosen, "use_look_place")
        place = session.look_place(entry, chosen)
        if place is not None:
            column.prop(chosen, "look_place")
            table(column, [(n_("Floodable"), units.length(curve.at(place)))])
    cells(layout, (n_("Middle at"), n_("Floodable")))
    aft, forward = curve.centres[0], curve.centres[-1]
    quarters = (aft + share * (forward - aft) for share in (0.25, 0.5, 0.75))
    middles = sorted({*curve.centres[[1, -2]].tolist(), *quarters, shortest(curve)[0]})
    for x in middles:
        cells(layout, (f"x {units.length(x)}", units.length(curve.at(x))))


def _advice(layout: Layout, context: bpy.types.Context, advice: Advice) -> None:
    units = Units.of(context.scene)
    wrapped(layout, context, advice.why, "CHECKMARK" if advice.survives else "ERROR")
    rows = [
        (iface_("Bulkhead {number}").format(number=number), f"x {units.length(place)}")
        for number, place in enumerate(advice.positions, 1)
    ]
    table(layout, [*rows, (n_("Least Margin"), units.length(advice.margin))])
    layout.operator(Ops.PLACE_BULKHEADS, text="Place Them")


def _flood_text(entry: session.Entry) -> str:
    """The button names what it floods where that fits."""
    names = ", ".join(room.name for room in entry.division.rooms if room.name in entry.holed)
    if not 0 < len(names) <= SHORT:
        return iface_("Flood Ticked Rooms")
    return iface_("Flood {rooms}").format(rooms=names)


def _floodings(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    """A line for each flooding, the figures of the one that is drawn under it."""
    found = entry.floodings
    if len(found) > 1:
        text = iface_("Survives {survived} of {count}")
        survived = sum(each.survives for each in found)
        icon: Any = "CHECKMARK" if all(map(_is_well, found)) else "ERROR"
        layout.label(text=text.format(survived=survived, count=len(found)), icon=icon)
    for index, each in enumerate(found):
        row = layout.row()
        icon = "CHECKMARK" if _is_well(each) else "ERROR" if each.survives else "CANCEL"
        word = iface_("survives") if each.survives else iface_("lost")
        if each.awash:
            word = iface_("afloat, awash")
        text = f"{opened(each)}: {word}"
        shown = entry.damage.shown == index
        column = row.column()
        wrapped(column, context, text, icon, BUTTON)
        icon = "HIDE_OFF" if shown else "HIDE_ON"
        row.operator(Ops.SHOW_FLOODING, text="", icon=icon, emboss=shown).index = index
        if shown or not _is_well(each):
            wrapped(layout, context, each.why)
        if shown:
            _flooded(layout.box(), context, each)


def _is_well(flooded: Flooded) -> bool:
    """Whether she survives with her margin line above water."""
    return flooded.survives and not flooded.awash


def _flooded(layout: Layout, context: bpy.types.Context, found: Flooded) -> None:
    """The figures of a flooding."""
    units = Units.of(context.scene)
    for spread in found.spread:
        way = units.said(told(spread.kind, spread.through))
        text = iface_("Water goes on into {room} through {way}")
        wrapped(layout, context, text.format(room=spread.room, way=way))
    rows = [(n_("Water in Rooms"), units.volume(found.water))]
    form, rest = found.floating.hydrostatics, found.floating.rest
    if form and rest:
        rows += [
            (n_("List"), heel(rest.attitude.heel_rad)),
            (n_("Trim"), trim(form.trim, units)),
            (n_("Draft Amidships"), units.length(form.draft_mid)),
            (n_("Margin Line"), units.length(found.margin_line)),
        ]
    if found.residual:
        rows += [
            (n_("Greatest GZ"), units.length(found.residual.greatest_arm)),
            (n_("Range"), f"{degrees(found.residual.range):.1f}°"),
        ]
    rows.append((n_("s-Factor"), f"{found.s_factor:.3f}"))
    table(layout, rows)
    if found.freeboards:
        layout.label(text="Openings above Water")
        table(layout, [(name, units.length(height)) for name, height in found.freeboards])


def _ingress(layout: Layout, context: bpy.types.Context, entry: session.Entry) -> None:
    active = listed_parts(layout, context, "NAVAL_CHECKS_UL_holes", NO_HOLES, Role.HOLE)
    layout.operator(Ops.ADD_HOLE, icon="ADD")
    if is_part(active, Role.HOLE):
        column = settings_column(layout)
        column.prop(settings(active).hole, "area")
        column.prop(settings(active).hole, "discharge", slider=True)
        column.prop(settings(active), "hull")
    way = hole_at_hand(context)
    text = iface_("Time to Flood through {hole}").format(hole=way.name) if way else None
    layout.operator(Ops.TIME_TO_FLOOD, text=text, translate=False)
    if entry.ingress:
        _run(layout, context, entry.ingress, entry.damage.hole)
    else:
        _left_on_timeline(layout, context)


def _left_on_timeline(layout: Layout, context: bpy.types.Context) -> None:
    """The way to be rid of a flooding that is no longer known, as in a file loaded again."""
    if scene_settings(context.scene).play_flooding:
        layout.operator(Ops.STOP_FLOODING, icon="X")


def _run(layout: Layout, context: bpy.types.Context, run: Ingress, hole: str) -> None:
    """How a flooding in time goes, and playing it."""
    text, lost = outcome(run)
    icon: Any = "CANCEL" if lost else "INFO"
    problem(layout, context, f"'{hole}': {text}", icon, [Subject("object", hole)])
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


def _stale(layout: Layout, stale: bool, text: str) -> None:
    if stale:
        row = layout.row()
        row.alert = True
        row.label(text=text, icon="FILE_REFRESH", translate=False)
