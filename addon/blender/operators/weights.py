"""Operators that add and mark weights."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, StringProperty
from mathutils import Vector

from ..identifiers import Ops
from ..preferences import preferences
from ..properties.names import Role
from ..properties.scene_units import scene_mass
from ..properties.settings import settings
from ..properties.suggestions import suggest_groups
from ..readers.members import active_hull, scene_parts
from .parts import mirror_off_center, new_empty, report_owner, selected_hull, unmarked
from .polls import allowed


class _NewWeight(bpy.types.Operator):
    """An operator with the settings of a new weight."""

    mass: FloatProperty(
        name="Mass (kg)", description="Mass in kg", default=100.0, min=0.0, options={"HIDDEN"}
    )
    scene_mass: FloatProperty(name="Mass", description="Mass of the weight", **scene_mass("mass"))
    group: StringProperty(
        name="Group",
        description="Group of the weight, such as machinery, or a custom one",
        search=suggest_groups,
        search_options={"SUGGESTION"},
    )

    fixed: BoolProperty(
        name="Fixed",
        description="The weight cannot be moved, as the mass of the hull itself; no corrective "
        "action moves it",
        options={"SKIP_SAVE"},
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> Any:
        defaults = preferences(context)
        if defaults and not self.properties.is_property_set("group"):
            self.group = defaults.group
        return self.execute(context)

    def tag(self, obj: bpy.types.Object, hull: bpy.types.Object | None) -> None:
        tag_weight(obj, hull, self.mass, self.group)
        settings(obj).weight.fixed = self.fixed


class NAVAL_CHECKS_OT_add_weight(_NewWeight):
    """Add a weight: an empty with a mass that moves with the hull"""

    bl_idname = Ops.ADD_WEIGHT
    bl_label = "Add Weight"
    bl_options = {"REGISTER", "UNDO"}

    weight_name: StringProperty(
        name="Name", description="Name of the weight, such as engine", default="Weight"
    )
    place: EnumProperty(
        name="Position",
        description="Position of the weight",
        items=(
            ("CURSOR", "3D Cursor", "At the 3D cursor"),
            ("HULL", "Center of Hull", "At the center of the hull's bounding box"),
        ),
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, context.mode == "OBJECT", "Adding a weight needs Object Mode")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> Any:
        if not self.properties.is_property_set("fixed"):
            self.fixed = is_first(context, active_hull(context))
        return _NewWeight.invoke(self, context, event)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        weight = new_empty(context, self.weight_name, "SPHERE", hull)
        if hull and self.place == "HULL":
            corners = [Vector(corner) for corner in hull.bound_box]
            weight.location = hull.matrix_world @ (sum(corners, Vector()) / len(corners))
        self.tag(weight, hull)
        report_owner(self, hull, [weight])
        return {"FINISHED"}


class NAVAL_CHECKS_OT_mark_weights(_NewWeight):
    """Mark the selected objects as weights of the selected hull, or of the only one"""

    bl_idname = Ops.MARK_WEIGHTS
    bl_label = "Mark as Weight"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(
            cls, unmarked(context), "Select objects that are neither hulls nor parts yet"
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, chosen = selected_hull(context), unmarked(context)
        for obj in chosen:
            self.tag(obj, hull)
        mirror_off_center(context, hull, (obj for obj in chosen if obj.type == "MESH"))
        report_owner(self, hull, chosen)
        return {"FINISHED"}


def tag_weight(
    obj: bpy.types.Object, hull: bpy.types.Object | None, mass: float, group: str
) -> None:
    """Make an object a weight of a hull with a mass (kg)."""
    chosen = settings(obj)
    chosen.role = Role.WEIGHT
    chosen.hull = hull
    chosen.group = group
    chosen.weight.mass = mass


def is_first(context: bpy.types.Context, hull: bpy.types.Object | None) -> bool:
    """Whether a hull has no weight yet, so that the next is taken as its own mass."""
    return hull is not None and not scene_parts(context.view_layer).parts_of(hull, Role.WEIGHT)


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_add_weight,
        NAVAL_CHECKS_OT_mark_weights,
    )
)
