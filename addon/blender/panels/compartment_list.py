"""The rooms of hulls as a list of Blender's, which shows what the session knows."""

from __future__ import annotations

from typing import Any, cast

import bpy
from bpy.props import BoolProperty, CollectionProperty, IntProperty, PointerProperty, StringProperty

from ...core.model.compartment import Room
from ...units.quantities import Units
from ..controller import known_compartments, session
from ..identifiers import Ops
from ..properties.events import Event, subscribe, unsubscribe
from ..properties.names import PROPERTY
from ..readers.members import hull_at_hand
from .layout import is_wide

operators = cast(Any, bpy.ops).naval_checks
"""Not told of to type checkers."""


def _name(self: RoomRow) -> str:
    room = self.found
    return room.name if room else ""


def _rename(self: RoomRow, name: str) -> None:
    room = self.found
    if room and name.strip() not in ("", room.name):
        operators.name_room("EXEC_DEFAULT", True, room=room.name, new_name=name.strip())


def _is_holed(self: RoomRow) -> bool:
    room = self.found
    return bool(room and room.name in known_compartments.holed(self.uid))


def _set_holed(self: RoomRow, holed: bool) -> None:
    room = self.found
    if room:
        others = known_compartments.holed(self.uid) - {room.name}
        known_compartments.set_holed(self.uid, others | {room.name} if holed else others)


class RoomRow(bpy.types.PropertyGroup):
    """A room in the list."""

    uid: IntProperty(name="Hull", description="The hull that it is in, by number")
    number: IntProperty(name="Number", description="Its place among her rooms")
    name: StringProperty(
        name="Name",
        description="Name of the room; another one puts a mark of that name in it",
        get=_name,
        set=_rename,
    )
    holed: BoolProperty(
        name="Holed",
        description="Open to the sea when rooms are flooded",
        get=_is_holed,
        set=_set_holed,
    )

    @property
    def found(self) -> Room | None:
        """The room, while it is known."""
        division = known_compartments.division(self.uid)
        rooms = division.rooms if division else ()
        return rooms[self.number] if self.number < len(rooms) else None


def _active(self: RoomRoll) -> int:
    hull = hull_at_hand(bpy.context)
    entry = session.entry_for(hull)
    chosen = entry.chosen_room if entry else None
    for index, row in enumerate(self.rooms if chosen else ()):
        if row.uid == entry.uid and row.found is chosen:
            return index
    return -1


def _choose(self: RoomRoll, index: int) -> None:
    if 0 <= index < len(self.rooms):
        row = self.rooms[index]
        known_compartments.choose_room(row.uid, row.name)
        if bpy.context.mode == "OBJECT":
            operators.show_room("EXEC_DEFAULT", True, room=row.name)


class RoomRoll(bpy.types.PropertyGroup):
    """All rooms known in this session; never in the file."""

    rooms: CollectionProperty(
        name="Rooms", description="The rooms found", type=RoomRow, options={"SKIP_SAVE"}
    )
    active: IntProperty(
        name="Active Room",
        description="The room that is chosen; choosing one selects what marks and bounds it",
        get=_active,
        set=_choose,
        options={"SKIP_SAVE"},
    )


class NAVAL_CHECKS_UL_rooms(bpy.types.UIList):
    """The rooms of the hull at hand: whether they are holed, their names and volumes."""

    def filter_items(self, context, data, property) -> tuple[list[int], list[int]]:
        rows = getattr(data, property)
        hull = hull_at_hand(context)
        sought = self.filter_name.lower()
        flags = [
            self.bitflag_filter_item
            if hull and row.uid == hull.session_uid and sought in row.name.lower()
            else 0
            for row in rows
        ]
        return flags, []

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        room = item.found
        if room is None:
            return
        row = layout.row(align=True)
        row.prop(item, "holed", text="", icon="MOD_FLUIDSIM", emboss=item.holed)
        wide = is_wide(context)
        split = row.split(factor=0.65) if wide else row
        split.prop(
            item, "name", text="", emboss=False, icon="CHECKMARK" if room.sealed else "ERROR"
        )
        if wide:
            split.label(text=Units.of(context.scene).volume(room.volume))
        row.operator(Ops.SHOW_ROOM, text="", icon="VIEWZOOM", emboss=False).room = room.name


def roll() -> RoomRoll:
    """The list."""
    return cast(RoomRoll, getattr(bpy.context.window_manager, PROPERTY))


def _write(_: bpy.types.Object | None = None) -> None:
    """Bring the list up to date. Rows stay where they are in memory while as many rooms are known:
    Blender still holds the one whose name the user has just changed."""
    rows = roll().rooms
    wanted = [
        (uid, number)
        for uid, division in known_compartments.divisions()
        for number in range(len(division.rooms))
    ]
    while len(rows) < len(wanted):
        rows.add()
    while len(rows) > len(wanted):
        rows.remove(len(rows) - 1)
    for row, (uid, number) in zip(rows, wanted, strict=True):
        row.uid, row.number = uid, number


_register_classes, _unregister_classes = bpy.utils.register_classes_factory(
    (RoomRow, RoomRoll, NAVAL_CHECKS_UL_rooms)
)


def register() -> None:
    _register_classes()
    setattr(bpy.types.WindowManager, PROPERTY, PointerProperty(type=RoomRoll))
    subscribe(Event.COMPARTMENTS_FOUND, _write)


def unregister() -> None:
    unsubscribe(Event.COMPARTMENTS_FOUND, _write)
    delattr(bpy.types.WindowManager, PROPERTY)
    _unregister_classes()
