"""Operators that add decks and bulkheads, suggest bulkheads and find the floodable length."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import EnumProperty, IntProperty
from mathutils import Matrix

from ...core.messages.findings import BadInputError
from ...core.model.hull import Hull
from ...units.quantities import Units
from ..controller import session
from ..controller.analysis import read_known
from ..controller.damage import advise, find_floodable_length, shortest
from ..controller.job import Job, OnProgress
from ..identifiers import Ops
from ..properties.names import Role
from ..properties.scene_settings import BULKHEAD_COUNT
from ..properties.selection import select_only
from ..properties.settings import scene_settings, settings
from ..readers.axes import Frame
from ..readers.members import active_hull
from ..wording import reported
from .background_work import BackgroundOperator
from .compute import OnHull
from .parts import MarkParts, home_of_parts, report_owner
from .polls import allowed

PAST = 0.02
"""How far a new boundary reaches past the hull, in diagonals of the hull."""
ACROSS = ("x", "y", "z")
"""The ship axis normal to each kind of boundary."""
KINDS = ("TRANSVERSE", "LONGITUDINAL", "DECK")


class NAVAL_CHECKS_OT_mark_boundaries(MarkParts):
    """Mark the selected meshes as decks or bulkheads, which divide the hull into compartments"""

    bl_idname = Ops.MARK_BOUNDARIES
    bl_label = "Mark as Deck or Bulkhead"
    bl_options = {"REGISTER", "UNDO"}

    role = Role.BOUNDARY
    wanted = "Select meshes that are neither hulls nor parts yet"


class _AddsToHull(OnHull):
    """An operator that adds parts to the active hull."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls, context.mode == "OBJECT", "Adding a part needs Object Mode"
        )


class NAVAL_CHECKS_OT_add_boundary(_AddsToHull):
    """Add a bulkhead or deck through the 3D cursor, a plane as large as the hull"""

    bl_idname = Ops.ADD_BOUNDARY
    bl_label = "Add Bulkhead or Deck"
    bl_options = {"REGISTER", "UNDO"}

    kind: EnumProperty(
        name="Kind",
        description="Direction in which it divides the hull",
        items=(
            ("TRANSVERSE", "Transverse Bulkhead", "Divide forward from aft"),
            ("LONGITUDINAL", "Longitudinal Bulkhead", "Divide port from starboard"),
            ("DECK", "Deck", "Divide above from below"),
        ),
    )

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        try:
            ship = read_known(context.evaluated_depsgraph_get(), hull)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        axis = KINDS.index(self.kind)
        cursor = np.array(context.scene.cursor.location, dtype=np.float64)
        place = float(ship.frame.ship(cursor)[axis])
        low, high = ship.hull.tree.low[axis], ship.hull.tree.high[axis]
        if not low < place < high:
            length = Units.of(context.scene).length
            text = rpt_(
                "The 3D cursor is at {axis} {place}, outside the hull, which reaches from {low} to "
                "{high}; move it inside"
            )
            message = text.format(
                axis=ACROSS[axis], place=length(place), low=length(low), high=length(high)
            )
            self.report({"ERROR"}, message)
            return {"CANCELLED"}
        name = iface_("Deck") if self.kind == "DECK" else iface_("Bulkhead")
        home = home_of_parts(context, hull)
        boundary = new_boundary(name, hull, ship.hull, ship.frame, axis, place, home)
        select_only(boundary)
        report_owner(self, hull, [boundary])
        return {"FINISHED"}


class NAVAL_CHECKS_OT_suggest_bulkheads(BackgroundOperator, OnHull):
    """Find bulkhead positions that leave most freeboard with any one compartment flooded"""

    bl_idname = Ops.SUGGEST_BULKHEADS
    bl_label = "Suggest Bulkheads"
    bl_options = {"REGISTER"}

    count: IntProperty(**BULKHEAD_COUNT)

    def job(self, context: bpy.types.Context, on_progress: OnProgress) -> Job[Any]:
        depsgraph, hull = context.evaluated_depsgraph_get(), active_hull(context)
        share = scene_settings(context.scene).compartment_permeability
        return advise(depsgraph, hull, self.count, share, on_progress)

    def report_result(self, context: bpy.types.Context) -> None:
        advice = session.entry_for(active_hull(context)).damage.advice
        self.report(
            {"INFO" if advice.survives else "WARNING"}, reported(context, advice.explanation)
        )


class NAVAL_CHECKS_OT_find_floodable_length(BackgroundOperator, OnHull):
    """Find the length that may flood before the margin line, 76 mm below the deck edge, is \
immersed, along the hull"""

    bl_idname = Ops.FIND_FLOODABLE_LENGTH
    bl_label = "Find Floodable Length"
    bl_options = {"REGISTER"}

    def job(self, context: bpy.types.Context, on_progress: OnProgress) -> Job[Any]:
        depsgraph, hull = context.evaluated_depsgraph_get(), active_hull(context)
        share = scene_settings(context.scene).compartment_permeability
        return find_floodable_length(depsgraph, hull, share, on_progress)

    def report_result(self, context: bpy.types.Context) -> None:
        found = session.entry_for(active_hull(context)).damage.subdivision.curve
        length = Units.of(context.scene).length
        middle, least = shortest(found)
        text = rpt_("Minimum floodable length {length}, with its center at x {x}")
        self.report({"INFO"}, text.format(length=length(least), x=length(middle)))


class _OnCurve(OnHull):
    """An operator on the floodable length of the active hull."""

    bl_options = {"INTERNAL"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(active_hull(context))
        return allowed(
            cls,
            entry is not None and entry.damage.subdivision is not None,
            "Find the floodable length first",
        )


class NAVAL_CHECKS_OT_show_floodable_length(_OnCurve):
    """Show the floodable length in the chart instead of the GZ curve or flooding"""

    bl_idname = Ops.SHOW_FLOODABLE_LENGTH
    bl_label = "Show Floodable Length"

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(active_hull(context))
        session.show_floodable_length(entry, not entry.damage.charted)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_show_main_compartment(_OnCurve):
    """Select the bulkheads at the ends of this compartment and show its permissible length"""

    bl_idname = Ops.SHOW_MAIN_COMPARTMENT
    bl_label = "Show Main Compartment"
    bl_options = {"INTERNAL", "UNDO"}

    index: IntProperty(name="Compartment", description="Index of the compartment from aft", min=0)

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry, chosen = session.entry_for(active_hull(context)), scene_settings(context.scene)
        main_compartments = entry.damage.subdivision.main_compartments
        if not self.index < len(main_compartments):
            self.report(
                {"ERROR"}, "This compartment is out of date; find the floodable length again"
            )
            return {"CANCELLED"}
        compartment = main_compartments[self.index]
        objects = context.view_layer.objects
        select_only(*(objects[name] for name in compartment.boundaries if name in objects))
        chosen.inspected_place = compartment.middle / entry.ship.frame.unit
        chosen.use_inspected_place = True
        session.show_floodable_length(entry, True)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_add_suggested_bulkheads(_AddsToHull):
    """Add the suggested bulkheads to the hull"""

    bl_idname = Ops.ADD_SUGGESTED_BULKHEADS
    bl_label = "Add Suggested Bulkheads"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(active_hull(context))
        return super().poll(context) and allowed(
            cls,
            entry is not None and entry.damage.advice is not None,
            "Find suggested bulkheads first",
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        positions = session.entry_for(hull).damage.advice.positions
        try:
            ship = read_known(context.evaluated_depsgraph_get(), hull)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        boundaries = [
            new_boundary(
                iface_("Bulkhead {number}").format(number=number),
                hull,
                ship.hull,
                ship.frame,
                0,
                place,
                home_of_parts(context, hull),
            )
            for number, place in enumerate(positions, 1)
        ]
        select_only(*boundaries)
        report_owner(self, hull, boundaries)
        return {"FINISHED"}


def new_boundary(
    name: str,
    obj: bpy.types.Object,
    hull: Hull,
    frame: Frame,
    axis: int,
    place: float,
    home: bpy.types.Collection,
) -> bpy.types.Object:
    """A plane normal to a ship axis at a place along it (m), past the hull on all sides.

    It is linked to a collection and parented to the hull object.
    """
    past = PAST * hull.tree.size
    middle = (hull.tree.low + hull.tree.high) / 2
    middle[axis] = place
    half = (hull.tree.high - hull.tree.low) / 2 + past
    across, up = (other for other in range(3) if other != axis)
    corners = np.zeros((4, 3))
    corners[:, across] = half[across] * np.array([-1, 1, 1, -1])
    corners[:, up] = half[up] * np.array([-1, -1, 1, 1])
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata((corners / frame.unit).tolist(), [], [(0, 1, 2, 3)])
    boundary = bpy.data.objects.new(name, mesh)
    home.objects.link(boundary)
    boundary.parent = obj
    boundary.matrix_parent_inverse = obj.matrix_world.inverted_safe()
    pose = np.eye(4)
    pose[:3, :3], pose[:3, 3] = frame.turn.T, frame.world(middle)
    boundary.matrix_basis = Matrix(pose.tolist())
    settings(boundary).role, settings(boundary).hull = Role.BOUNDARY, obj
    return boundary


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_mark_boundaries,
        NAVAL_CHECKS_OT_add_boundary,
        NAVAL_CHECKS_OT_suggest_bulkheads,
        NAVAL_CHECKS_OT_find_floodable_length,
        NAVAL_CHECKS_OT_show_floodable_length,
        NAVAL_CHECKS_OT_show_main_compartment,
        NAVAL_CHECKS_OT_add_suggested_bulkheads,
    )
)
