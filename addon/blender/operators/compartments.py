"""Operators on compartments: find, name and show them, and add doors and breaches."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, StringProperty

from ...core.arrays import Floats
from ...core.geometry.interior_point import interior_point
from ...core.messages.findings import BadInputError
from ...core.model.compartment import Compartment
from ...core.model.mirrored_parts import base_name
from ...parts.declarations import BREACH, COMPARTMENT, DOOR
from ...units.quantities import Units
from ..controller import known_compartments, known_objects, session
from ..controller.analysis import compartments_job_of_hull
from ..controller.compartments import recheck
from ..controller.job import Job, OnProgress
from ..identifiers import Ops
from ..properties.names import Role
from ..properties.selection import select_only
from ..properties.settings import settings
from ..readers.members import active_hull, core_names, scene_parts
from ..wording import reported
from .background_work import BackgroundOperator
from .compute import OnHull
from .parts import PASSAGE_TYPES, AddPart, MarkParts, asking, new_empty, tag_part
from .polls import allowed
from .progress import Progress
from .view import turn_view


class OnCompartments(bpy.types.Operator):
    """An operator on the compartments of the active hull."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(active_hull(context))
        return allowed(
            cls, entry is not None and entry.plan is not None, "Find the compartments first"
        )


class NAVAL_CHECKS_OT_find_compartments(BackgroundOperator, OnHull):
    """Find the compartments into which decks and bulkheads divide the hull, and their leaks"""

    bl_idname = Ops.FIND_COMPARTMENTS
    bl_label = "Find Compartments"
    bl_options = {"REGISTER"}

    def job(
        self, context: bpy.types.Context, on_progress: OnProgress
    ) -> Job[known_compartments.FoundCompartments]:
        return compartments_job_of_hull(context.evaluated_depsgraph_get(), active_hull(context))

    def report_result(self, context: bpy.types.Context) -> None:
        plan = session.entry_for(active_hull(context)).plan
        compartments, leaks = len(plan.compartments), len(plan.leaks)
        if leaks:
            text = rpt_("Compartments found: {compartments}, of which {leaks} are not watertight")
            self.report({"WARNING"}, text.format(compartments=compartments, leaks=leaks))
        else:
            self.report(
                {"INFO"},
                rpt_("Compartments found: {compartments}").format(compartments=compartments),
            )


class OnCompartment(OnCompartments):
    """An operator on a compartment given by its name."""

    compartment: StringProperty(name="Compartment", description="Name of the compartment")

    def named(
        self, context: bpy.types.Context
    ) -> tuple[bpy.types.Object, session.Entry, Compartment | None]:
        """The active hull, its results, and the compartment; reports one that does not exist."""
        hull = active_hull(context)
        entry = session.entry_for(hull)
        compartment = entry.plan.compartment(self.compartment)
        if compartment is None:
            self.report({"ERROR"}, rpt_(NO_COMPARTMENT).format(compartment=self.compartment))
        return hull, entry, compartment


class NAVAL_CHECKS_OT_show_compartment(OnCompartment):
    """Select the marks and boundaries of this compartment, and turn the view to it"""

    bl_idname = Ops.SHOW_COMPARTMENT
    bl_label = "Show Compartment"
    bl_options = {"UNDO", "INTERNAL"}

    turn_view: BoolProperty(
        name="Turn View", description="Turn the view to the compartment", options={"SKIP_SAVE"}
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.turn_view = True
        return self.execute(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, entry, compartment = self.named(context)
        if compartment is None:
            return {"CANCELLED"}
        known_compartments.choose_compartment(entry.uid, compartment.name)
        if context.mode == "OBJECT":
            marks = named_in(context, hull, compartment, Role.COMPARTMENT, Role.TANK)
            boundaries = [
                boundary
                for boundary in bounding(context, hull, compartment)
                if boundary not in marks
            ]
            shown = [obj for obj in (*marks, *boundaries) if obj.visible_get()]
            select_only(*(shown or [hull]))
            known_objects.activate(context.view_layer.objects.active)
        if self.turn_view:
            turn_view(context, places_in(entry, compartment.vertices))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_rename_compartment(OnCompartment):
    """Rename this compartment: rename its mark, or add one"""

    bl_idname = Ops.RENAME_COMPARTMENT
    bl_label = "Rename Compartment"
    bl_options = {"UNDO", "INTERNAL"}

    new_name: StringProperty(name="New Name", description="New name of the compartment")

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, entry, compartment = self.named(context)
        if compartment is None:
            return {"CANCELLED"}
        recheck(context.evaluated_depsgraph_get())
        if entry.divided.stale:
            self.report(
                {"ERROR"}, "The compartments changed since they were found; find them again"
            )
            return {"CANCELLED"}
        objects: Any = bpy.data.objects
        marks = named_in(context, hull, compartment, Role.COMPARTMENT, Role.TANK)
        both = bool(marks and settings(marks[0]).both_sides)
        name = base_name(self.new_name) if both else self.new_name
        if name in objects or entry.plan.compartment(name):
            text = rpt_("There is a '{name}' already; choose another name")
            self.report({"ERROR"}, text.format(name=name))
            return {"CANCELLED"}
        if marks:
            side = core_names(marks[0]).index(compartment.name)
            marks[0].name = name
            name = core_names(marks[0])[side]
        else:
            inside = interior_point(compartment.vertices, compartment.triangles)
            place = places_in(entry, inside[None])[0]
            mark = new_empty(context, name, "CUBE", hull, place.tolist())
            tag_part(mark, hull, Role.COMPARTMENT)
        return _found_again(self, context, hull, name)


@asking(COMPARTMENT, "use")
class NAVAL_CHECKS_OT_add_compartment_mark(AddPart):
    """Add a mark at the 3D cursor that names the compartment around it"""

    bl_idname = Ops.ADD_COMPARTMENT_MARK
    bl_label = "Add Compartment Mark"
    bl_options = {"REGISTER", "UNDO"}

    role, display = Role.COMPARTMENT, "CUBE"

    part_name: StringProperty(
        name="Name",
        description="Name of the compartment, such as engine room",
        default="Compartment",
    )


@asking(COMPARTMENT, "use")
class NAVAL_CHECKS_OT_mark_compartments(MarkParts):
    """Mark the selected closed meshes and empties as compartments, which take their names"""

    bl_idname = Ops.MARK_COMPARTMENTS
    bl_label = "Mark as Compartment"
    bl_options = {"REGISTER", "UNDO"}

    role, kinds = Role.COMPARTMENT, PASSAGE_TYPES
    wanted = "Select closed meshes or empties first, or use Add Compartment Mark"


@asking(DOOR, "closed")
class NAVAL_CHECKS_OT_mark_doors(MarkParts):
    """Mark the selected empties and flat meshes as doors between two compartments"""

    bl_idname = Ops.MARK_DOORS
    bl_label = "Mark as Door"
    bl_options = {"REGISTER", "UNDO"}

    role, kinds = Role.DOOR, PASSAGE_TYPES
    wanted = "Select empties or flat meshes first, or use Add Door"


@asking(DOOR, "area", "height", "closed")
class NAVAL_CHECKS_OT_add_door(AddPart):
    """Add a door between two compartments, with the middle of its sill at the 3D cursor"""

    bl_idname = Ops.ADD_DOOR
    bl_label = "Add Door"
    bl_options = {"REGISTER", "UNDO"}

    role, display = Role.DOOR, "SINGLE_ARROW"

    part_name: StringProperty(
        name="Name", description="Name of the door, such as engine room door", default="Door"
    )


@asking(BREACH, "area")
class NAVAL_CHECKS_OT_add_breach(AddPart):
    """Add a breach at the 3D cursor, through which the time to flood is found"""

    bl_idname = Ops.ADD_BREACH
    bl_label = "Add Breach"
    bl_options = {"REGISTER", "UNDO"}

    role, display = Role.BREACH, "CIRCLE"

    part_name: StringProperty(
        name="Name", description="Name of the breach, such as grounding", default="Breach"
    )

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(active_hull(context))
        rest = entry.floating.equilibrium if entry and entry.floating and not entry.stale else None
        done = super().execute(context)
        if rest:
            cursor = np.array(context.scene.cursor.location, dtype=np.float64)
            height = float(rest.attitude.heights(entry.ship.frame.ship(cursor)[None])[0])
            length = Units.of(context.scene).length(abs(height))
            if height < 0:
                text = rpt_("The breach is {length} below the waterline")
                self.report({"INFO"}, text.format(length=length))
            else:
                text = rpt_(
                    "The breach is {length} above the waterline: no water enters; move it lower"
                )
                self.report({"WARNING"}, text.format(length=length))
        return done


NO_COMPARTMENT = n_("There is no compartment '{compartment}'; find the compartments again")


def named_in(
    context: bpy.types.Context, hull: bpy.types.Object, compartment: Compartment, *roles: Role
) -> list[bpy.types.Object]:
    """The parts of a hull in these roles that name a compartment."""
    return [
        part
        for part in scene_parts(context.view_layer).parts_of(hull, *roles)
        if compartment.name in core_names(part)
    ]


def bounding(
    context: bpy.types.Context, hull: bpy.types.Object, compartment: Compartment
) -> list[bpy.types.Object]:
    """The decks and bulkheads, and other bodies, that bound a compartment."""
    parts = scene_parts(context.view_layer).parts_of(
        hull, Role.BOUNDARY, Role.COMPARTMENT, Role.TANK
    )
    return [part for part in parts if {*core_names(part)} & {*compartment.boundaries}]


def places_in(entry: session.Entry, points: Floats) -> Floats:
    """Points (n, 3) of ship axes in the world."""
    return points @ entry.to_world[:3, :3].T + entry.to_world[:3, 3]


def _found_again(
    operator: Any, context: bpy.types.Context, hull: bpy.types.Object, name: str
) -> set[str]:
    """Find the compartments after a mark was added or renamed, and choose the one of that name."""
    try:
        with Progress(context) as progress:
            compartments_job_of_hull(context.evaluated_depsgraph_get(), hull).run(
                progress.on_progress
            )
    except BadInputError as error:
        operator.report({"WARNING"}, reported(context, error.line))
    known_compartments.choose_compartment(hull.session_uid, name)
    return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_find_compartments,
        NAVAL_CHECKS_OT_show_compartment,
        NAVAL_CHECKS_OT_rename_compartment,
        NAVAL_CHECKS_OT_add_compartment_mark,
        NAVAL_CHECKS_OT_mark_compartments,
        NAVAL_CHECKS_OT_mark_doors,
        NAVAL_CHECKS_OT_add_door,
        NAVAL_CHECKS_OT_add_breach,
    )
)
