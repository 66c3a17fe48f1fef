"""Operators on rooms: finding, naming and showing them, and the ways between them."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, StringProperty
from numpy.typing import NDArray

from ...core.geometry.interior_point import point_inside
from ...core.messages.findings import BadInputError
from ...core.model.compartment import Room
from ...core.model.mirrored_parts import plain_name
from ...parts.declarations import BREACH, COMPARTMENT, DOOR
from ...units.quantities import Units
from ..controller import known_compartments, known_objects, session
from ..controller.analysis import finding_rooms
from ..controller.compartments import recheck
from ..controller.job import Job, Tell
from ..identifiers import Ops
from ..properties.names import Role
from ..properties.selection import select_only
from ..properties.settings import settings
from ..readers.members import core_names, glance, hull_at_hand
from ..wording import reported
from .background_work import Lengthy
from .compute import OnHull
from .parts import WAYS, AddPart, MarkParts, asking, new_empty, tag_part
from .progress import Progress
from .view import turn_view

Array = NDArray[np.float64]


class OnRooms(bpy.types.Operator):
    """An operator on the rooms of the hull at hand."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(hull_at_hand(context))
        if entry is None or entry.division is None:
            cls.poll_message_set("Find the rooms first")
            return False
        return True


class NAVAL_CHECKS_OT_find_rooms(Lengthy, OnHull):
    """Find the rooms into which decks and bulkheads part the hull, and where they leak"""

    bl_idname = Ops.FIND_ROOMS
    bl_label = "Find Rooms"
    bl_options = {"REGISTER"}

    def job(self, context: bpy.types.Context, tell: Tell) -> Job[known_compartments.Divided]:
        return finding_rooms(context.evaluated_depsgraph_get(), hull_at_hand(context))

    def told(self, context: bpy.types.Context) -> None:
        division = session.entry_for(hull_at_hand(context)).division
        rooms, leaks = len(division.rooms), len(division.leaks)
        if leaks:
            text = rpt_("Rooms found: {rooms}, of which {leaks} let water in")
            self.report({"WARNING"}, text.format(rooms=rooms, leaks=leaks))
        else:
            self.report({"INFO"}, rpt_("Rooms found: {rooms}").format(rooms=rooms))


class OnRoom(OnRooms):
    """An operator on a room that is told by its name."""

    room: StringProperty(name="Room", description="Name of the room")

    def named(
        self, context: bpy.types.Context
    ) -> tuple[bpy.types.Object, session.Entry, Room | None]:
        """The hull at hand, what is known of her, and the room; reports one that is not there."""
        hull = hull_at_hand(context)
        entry = session.entry_for(hull)
        room = entry.division.room(self.room)
        if room is None:
            self.report({"ERROR"}, rpt_(NO_ROOM).format(room=self.room))
        return hull, entry, room


class NAVAL_CHECKS_OT_show_room(OnRoom):
    """Select what marks and bounds this room, and turn the view to it"""

    bl_idname = Ops.SHOW_ROOM
    bl_label = "Show Room"
    bl_options = {"UNDO", "INTERNAL"}

    turn_view: BoolProperty(
        name="Turn View", description="Turn the view to the room", options={"SKIP_SAVE"}
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.turn_view = True
        return self.execute(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, entry, room = self.named(context)
        if room is None:
            return {"CANCELLED"}
        known_compartments.choose_room(entry.uid, room.name)
        if context.mode == "OBJECT":
            marks = named_in(context, hull, room, Role.COMPARTMENT, Role.TANK)
            walls = [wall for wall in bounding(context, hull, room) if wall not in marks]
            shown = [obj for obj in (*marks, *walls) if obj.visible_get()]
            select_only(*(shown or [hull]))
            known_objects.activate(context.view_layer.objects.active)
        if self.turn_view:
            turn_view(context, places_in(entry, room.vertices))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_name_room(OnRoom):
    """Give this room a name: its mark is renamed, or one is put in it"""

    bl_idname = Ops.NAME_ROOM
    bl_label = "Name Room"
    bl_options = {"UNDO", "INTERNAL"}

    new_name: StringProperty(name="New Name", description="Name that it is to have")

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, entry, room = self.named(context)
        if room is None:
            return {"CANCELLED"}
        recheck(context.evaluated_depsgraph_get())
        if entry.divided.stale:
            self.report({"ERROR"}, "The rooms changed since they were found; find them again")
            return {"CANCELLED"}
        objects: Any = bpy.data.objects
        marks = named_in(context, hull, room, Role.COMPARTMENT, Role.TANK)
        both = bool(marks and settings(marks[0]).both_sides)
        name = plain_name(self.new_name) if both else self.new_name
        if name in objects or entry.division.room(name):
            text = rpt_("There is a '{name}' already; choose another name")
            self.report({"ERROR"}, text.format(name=name))
            return {"CANCELLED"}
        if marks:
            side = core_names(marks[0]).index(room.name)
            marks[0].name = name
            name = core_names(marks[0])[side]
        else:
            inside = point_inside(room.vertices, room.triangles)
            place = places_in(entry, inside[None])[0]
            mark = new_empty(context, name, "CUBE", hull, place.tolist())
            tag_part(mark, hull, Role.COMPARTMENT)
        return _found_again(self, context, hull, name)


@asking(COMPARTMENT, "use")
class NAVAL_CHECKS_OT_mark_room(AddPart):
    """Name the room that the 3D cursor is in: put a mark there"""

    bl_idname = Ops.MARK_ROOM
    bl_label = "Name Room Here"
    bl_options = {"REGISTER", "UNDO"}

    role, display = Role.COMPARTMENT, "CUBE"

    part_name: StringProperty(
        name="Name", description="What the room is called, such as engine room", default="Room"
    )


@asking(COMPARTMENT, "use")
class NAVAL_CHECKS_OT_mark_rooms(MarkParts):
    """Make the selected closed meshes and empties marks of rooms, which have their names"""

    bl_idname = Ops.MARK_ROOMS
    bl_label = "Mark as Room"
    bl_options = {"REGISTER", "UNDO"}

    role, kinds = Role.COMPARTMENT, WAYS
    wanted = "Select closed meshes or empties first, or use Name Room Here"


@asking(DOOR, "closed")
class NAVAL_CHECKS_OT_mark_doors(MarkParts):
    """Make the selected empties and flat meshes doors: ways from one room to another"""

    bl_idname = Ops.MARK_DOORS
    bl_label = "Mark as Door"
    bl_options = {"REGISTER", "UNDO"}

    role, kinds = Role.DOOR, WAYS
    wanted = "Select empties or flat meshes first, or use Add Door"


@asking(DOOR, "area", "height", "closed")
class NAVAL_CHECKS_OT_add_door(AddPart):
    """Add a door at the 3D cursor, which is the middle of its sill: a way between two rooms"""

    bl_idname = Ops.ADD_DOOR
    bl_label = "Add Door"
    bl_options = {"REGISTER", "UNDO"}

    role, display = Role.DOOR, "SINGLE_ARROW"

    part_name: StringProperty(
        name="Name", description="What it is, such as engine room door", default="Door"
    )


@asking(BREACH, "area")
class NAVAL_CHECKS_OT_add_hole(AddPart):
    """Add a hole at the 3D cursor, to find how long she stays afloat with it"""

    bl_idname = Ops.ADD_HOLE
    bl_label = "Hole Here"
    bl_options = {"REGISTER", "UNDO"}

    role, display = Role.BREACH, "CIRCLE"

    part_name: StringProperty(
        name="Name", description="What it is, such as grounding", default="Hole"
    )

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(hull_at_hand(context))
        rest = entry.floating.rest if entry and entry.floating and not entry.stale else None
        done = super().execute(context)
        if rest:
            cursor = np.array(context.scene.cursor.location, dtype=np.float64)
            height = float(rest.attitude.heights(entry.ship.frame.ship(cursor)[None])[0])
            length = Units.of(context.scene).length(abs(height))
            if height < 0:
                text = rpt_("The hole is {length} under the water")
                self.report({"INFO"}, text.format(length=length))
            else:
                text = rpt_("The hole is {length} above the water: nothing comes in; put it lower")
                self.report({"WARNING"}, text.format(length=length))
        return done


NO_ROOM = n_("There is no room '{room}' any more; find the rooms again")


def named_in(
    context: bpy.types.Context, hull: bpy.types.Object, room: Room, *roles: Role
) -> list[bpy.types.Object]:
    """The parts of a hull in these roles that have a room's name."""
    return [
        part
        for part in glance(context.view_layer).parts_of(hull, *roles)
        if room.name in core_names(part)
    ]


def bounding(
    context: bpy.types.Context, hull: bpy.types.Object, room: Room
) -> list[bpy.types.Object]:
    """The decks and bulkheads, and other bodies, that bound a room."""
    parts = glance(context.view_layer).parts_of(hull, Role.BOUNDARY, Role.COMPARTMENT, Role.TANK)
    return [part for part in parts if {*core_names(part)} & {*room.walls}]


def places_in(entry: session.Entry, points: Array) -> Array:
    """Points (n, 3) of ship axes in the world."""
    return points @ entry.to_world[:3, :3].T + entry.to_world[:3, 3]


def _found_again(
    operator: Any, context: bpy.types.Context, hull: bpy.types.Object, name: str
) -> set[str]:
    """Find the rooms once a mark was put or renamed, and choose the one of that name."""
    try:
        with Progress(context) as progress:
            finding_rooms(context.evaluated_depsgraph_get(), hull).run(progress.tell)
    except BadInputError as error:
        operator.report({"WARNING"}, reported(context, error.line))
    known_compartments.choose_room(hull.session_uid, name)
    return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_find_rooms,
        NAVAL_CHECKS_OT_show_room,
        NAVAL_CHECKS_OT_name_room,
        NAVAL_CHECKS_OT_mark_room,
        NAVAL_CHECKS_OT_mark_rooms,
        NAVAL_CHECKS_OT_mark_doors,
        NAVAL_CHECKS_OT_add_door,
        NAVAL_CHECKS_OT_add_hole,
    )
)
