"""Operators that put weights on board, and the list of them."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.props import EnumProperty, FloatProperty, StringProperty
from mathutils import Vector

from ..scene import session
from ..scene.members import glance, hull_at_hand, is_hull
from ..scene.names import Basis, Role
from ..scene.settings import select_only, settings, suggest_groups
from .names import Ops
from .wording import Units

NO_MASS = "as modelled"


class _NewWeight:
    """What is asked of a new weight."""

    mass: FloatProperty(name="Mass (kg)", description="Mass in kg", default=100.0, min=0.0)
    group: StringProperty(
        name="Group",
        description="What the weight belongs to, such as machinery; a word of your own will do",
        search=suggest_groups,
        search_options={"SUGGESTION"},
    )

    def tag(self, obj: bpy.types.Object, hull: bpy.types.Object | None) -> None:
        chosen = settings(obj)
        chosen.role = Role.WEIGHT
        chosen.hull = hull
        chosen.group = self.group
        chosen.mass = self.mass


class NAVAL_CHECKS_OT_add_weight(_NewWeight, bpy.types.Operator):
    """Add a weight: an empty that carries a mass and moves with the hull"""

    bl_idname = Ops.ADD_WEIGHT
    bl_label = "Add Weight"
    bl_options = {"REGISTER", "UNDO"}

    weight_name: StringProperty(
        name="Name", description="What it is, such as engine", default="Weight"
    )
    place: EnumProperty(
        name="Place",
        description="Where the weight is put",
        items=(
            ("CURSOR", "3D Cursor", "At the 3D cursor"),
            ("HULL", "Middle of the Hull", "In the middle of the hull's bounding box"),
        ),
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set("Adding a weight needs Object Mode")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = hull_at_hand(context)
        weight = bpy.data.objects.new(self.weight_name, None)
        weight.empty_display_type = "SPHERE"
        collections = hull.users_collection if hull else ()
        (collections or (context.collection,))[0].objects.link(weight)
        weight.location = context.scene.cursor.location
        if hull:
            if self.place == "HULL":
                corners = [Vector(corner) for corner in hull.bound_box]
                weight.location = hull.matrix_world @ (sum(corners, Vector()) / len(corners))
            weight.parent = hull
            weight.matrix_parent_inverse = hull.matrix_world.inverted_safe()
        self.tag(weight, hull)
        select_only(weight)
        if hull is None:
            self.report({"WARNING"}, f"{weight.name} belongs to no hull yet; choose its hull")
        return {"FINISHED"}


class NAVAL_CHECKS_OT_tag_weights(_NewWeight, bpy.types.Operator):
    """Make the selected objects weights of the selected hull, or of the only one"""

    bl_idname = Ops.TAG_WEIGHTS
    bl_label = "Tag as Weights"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not _untagged(context):
            cls.poll_message_set("Select objects that are neither hulls nor weights yet")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = _hull_at_hand(context)
        chosen = _untagged(context)
        for obj in chosen:
            self.tag(obj, hull)
        if hull is None:
            self.report({"WARNING"}, "The new weights belong to no hull yet; choose their hull")
        else:
            self.report({"INFO"}, f"Weights of {hull.name}: {', '.join(o.name for o in chosen)}")
        return {"FINISHED"}


class NAVAL_CHECKS_OT_select_object(bpy.types.Operator):
    """Select this object"""

    bl_idname = Ops.SELECT_OBJECT
    bl_label = "Select Object"
    bl_options = {"UNDO", "INTERNAL"}

    object_name: StringProperty(name="Object", description="Name of the object to select")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if context.mode != "OBJECT":
            cls.poll_message_set("Selecting an object needs Object Mode")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        objects: Any = context.view_layer.objects
        obj = objects.get(self.object_name)
        if obj is None:
            self.report({"ERROR"}, f"There is no object '{self.object_name}' in this view layer")
            return {"CANCELLED"}
        select_only(obj)
        return {"FINISHED"}


class NAVAL_CHECKS_UL_weights(bpy.types.UIList):
    """The weights of the hull at hand, out of all objects of the view layer."""

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        row = layout.split(factor=0.72)
        row.active = evaluated(context, item)
        row.prop(item, "name", text="", emboss=False, icon=WEIGHT_ICONS[settings(item).basis])
        mass = mass_of(context, item)
        right = row.row()
        right.alignment = "RIGHT"
        right.label(text=NO_MASS if mass is None else Units.of(context.scene).mass(mass))

    def filter_items(self, context, data, property) -> tuple[list[int], list[int]]:
        objects = getattr(data, property)
        helper = bpy.types.UI_UL_list
        flags = (
            helper.filter_items_by_name(self.filter_name, self.bitflag_filter_item, objects)
            if self.filter_name
            else [self.bitflag_filter_item] * len(objects)
        )
        found = glance(context.view_layer)
        hull = found.hull_at_hand(context.view_layer.objects.active)
        own = {weight.name for weight in found.weights_of(hull)} if hull else ()
        for index, obj in enumerate(objects):
            if obj.name not in own:
                flags[index] &= ~self.bitflag_filter_item
        order = helper.sort_items_by_name(objects) if self.use_filter_sort_alpha else []
        return flags, order


WEIGHT_ICONS = {
    Basis.POINT: "MESH_UVSPHERE",
    Basis.SKIN: "MOD_SOLIDIFY",
    Basis.SOLID: "MESH_CUBE",
}


def mass_of(context: bpy.types.Context, weight: bpy.types.Object) -> float | None:
    """Mass (kg) of a weight; None for one that goes by its mesh and was not computed yet."""
    chosen = settings(weight)
    if chosen.basis == Basis.POINT:
        return chosen.mass
    entry = session.entry_for(glance(context.view_layer).owner(weight))
    known = entry.floating.case.weights if entry and entry.floating else ()
    return next((found.mass for found in known if found.name == weight.name), None)


def evaluated(context: bpy.types.Context, weight: bpy.types.Object) -> bool:
    """False for a weight that is disabled and does not count."""
    return weight.evaluated_get(context.evaluated_depsgraph_get()).is_evaluated


def _untagged(context: bpy.types.Context) -> list[bpy.types.Object]:
    return [
        obj
        for obj in context.selected_objects
        if settings(obj).role == Role.NONE and obj.is_editable
    ]


def _hull_at_hand(context: bpy.types.Context) -> bpy.types.Object | None:
    """The selected hull, or the hull at hand."""
    selected = [obj for obj in context.selected_objects if is_hull(obj)]
    return selected[0] if len(selected) == 1 else hull_at_hand(context)


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_add_weight,
        NAVAL_CHECKS_OT_tag_weights,
        NAVAL_CHECKS_OT_select_object,
        NAVAL_CHECKS_UL_weights,
    )
)
