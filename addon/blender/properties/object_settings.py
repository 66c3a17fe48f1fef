"""Settings of an object: what it is to a ship, and all that a hull or a part keeps."""

from __future__ import annotations

from math import pi
from typing import cast

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ...core.model.axes import AXES
from ...core.model.case import FRESH_WATER, SEA_WATER
from . import compartments, conditions, service
from .callbacks import emitting, figures_changed, parts_changed, shape_changed
from .densities import CONTENT_ITEMS, CONTENTS, OTHER_ITEM, WATER_ITEMS, WATERS, in_step
from .events import Event, emit
from .names import AUTO, PROPERTY, Basis, Loading, Role
from .scene_units import scene_mass_unit, unit_scale
from .suggestions import suggest_groups

IRON = 7870.0
"""Density (kg/m3) of the ball as large as which an empty with a mass is drawn."""

DIRECTIONS = (
    (AUTO, "Guess", "Guess from the shape and from how the object stands in the world"),
    *((axis, axis, f"The object's own {axis} axis") for axis in AXES),
)


def _mass_changed(self: ObjectSettings, context: bpy.types.Context) -> None:
    self.show_mass()
    figures_changed(self, context)


_water_chosen, _water_changed = in_step("water", "water_density", WATERS)
_content_chosen, _content_changed = in_step("content", "content_density", CONTENTS)


def _marks_wanted(self: ObjectSettings, context: bpy.types.Context) -> None:
    if self.use_marks and self.forward_perpendicular == self.aft_perpendicular:
        emit(Event.MARKS_WANTED, self.holder)
    shape_changed(self, context)


def _condition_chosen(self: ObjectSettings, context: bpy.types.Context) -> None:
    self.loading = Loading.CONDITION


_loading_chosen = emitting(Event.LOADING_CHANGED)


def _mass_in_scene(self: ObjectSettings) -> float:
    return self.mass / scene_mass_unit()


def _set_mass_in_scene(self: ObjectSettings, mass: float) -> None:
    self.mass = mass * scene_mass_unit()


def _is_hull(self: ObjectSettings, obj: bpy.types.Object) -> bool:
    return obj.type == "MESH" and getattr(obj, PROPERTY).role == Role.HULL


class ObjectSettings(bpy.types.PropertyGroup):
    """What an object is to a ship."""

    role: EnumProperty(
        name="Role",
        description="What this object is to a ship",
        items=(
            (Role.NONE, "None", "No part of a ship's figures"),
            (Role.HULL, "Hull", "The surface that keeps the water out"),
            (
                Role.WEIGHT,
                "Weight",
                "A mass on board. It counts when hidden with the eye, "
                "not when disabled in viewports or in an excluded collection",
            ),
            (Role.TANK, "Tank", "A closed mesh that holds a liquid, which runs to the low side"),
            (
                Role.OPENING,
                "Opening",
                "A point, or a surface across the way in, at which water gets in once it is under",
            ),
            (Role.WINDAGE, "Windage", "A mesh above deck that catches the wind beside the hull"),
            (Role.WALL, "Deck or Bulkhead", "A mesh that parts the hull into rooms"),
            (
                Role.ROOM,
                "Room",
                "A point in a room, which it names; or a closed mesh whose inside is a room",
            ),
            (
                Role.DOOR,
                "Door",
                "A way from one room to another: the middle of its sill, or a surface across it",
            ),
            (Role.HOLE, "Hole", "Where the sea gets in, to find how long she stays afloat"),
        ),
        update=parts_changed,
    )

    forward: EnumProperty(
        name="Forward",
        description="The hull object's own axis that points to the bow. "
        "Guess: the longest, towards the narrower end",
        items=DIRECTIONS,
        update=shape_changed,
    )
    up: EnumProperty(
        name="Up",
        description="The hull object's own axis that points from keel to deck. "
        "Guess: the one nearest to the world's Z",
        items=DIRECTIONS,
        update=shape_changed,
    )
    mirror: BoolProperty(
        name="Half Hull",
        description="One side is modelled: mirror it about the centreline, the plane through the "
        "object's origin along forward and up, and with it the walls that lie on that side alone. "
        "Not needed with a Mirror modifier",
        update=shape_changed,
    )
    water: EnumProperty(
        name="Water",
        description="What she floats in; sets the density",
        items=(*WATER_ITEMS, OTHER_ITEM),
        update=_water_chosen,
    )
    water_density: FloatProperty(
        name="Density",
        description="Density of the water in kg/m³; the denser, the higher she floats",
        default=SEA_WATER,
        min=1.0,
        soft_min=950.0,
        soft_max=1100.0,
        update=_water_changed,
    )
    use_marks: BoolProperty(
        name="Own Marks",
        description="Set perpendiculars and baseline instead of taking the ends and the lowest "
        "point of the surface. Drafts are read at these marks",
        update=_marks_wanted,
    )
    aft_perpendicular: FloatProperty(
        name="Aft Perpendicular",
        description="Where the draft aft is read: distance forward of the object's origin",
        unit="LENGTH",
        update=shape_changed,
    )
    forward_perpendicular: FloatProperty(
        name="Forward Perpendicular",
        description="Where the draft forward is read: distance forward of the object's origin",
        unit="LENGTH",
        update=shape_changed,
    )
    baseline: FloatProperty(
        name="Baseline",
        description="Drafts and heights are measured from here: height above the object's origin",
        unit="LENGTH",
        update=shape_changed,
    )

    basis: EnumProperty(
        name="Mass Of",
        description="Where the mass sits",
        items=(
            (Basis.POINT, "Point", "A given mass at the object's origin"),
            (Basis.SKIN, "Skin", "So many kg/m² over the mesh, modifiers included"),
            (Basis.SOLID, "Solid", "So many kg/m³ in the closed mesh, modifiers included"),
        ),
        update=figures_changed,
    )
    mass: FloatProperty(
        name="Mass (kg)",
        description="Mass in kg, whatever the units of the scene",
        default=100.0,
        min=0.0,
        update=_mass_changed,
    )
    scene_mass: FloatProperty(
        name="Mass",
        description="Mass in the units of the scene",
        unit="MASS",
        min=0.0,
        get=_mass_in_scene,
        set=_set_mass_in_scene,
        options={"SKIP_SAVE"},
    )
    skin_density: FloatProperty(
        name="Mass per Area",
        description="Mass of the skin in kg/m²; steel plate of 1 mm has about 7.85",
        default=7.85,
        min=0.0,
        update=figures_changed,
    )
    solid_density: FloatProperty(
        name="Density",
        description="Density of the solid in kg/m³; lead has about 11340, concrete 2400",
        default=2400.0,
        min=0.0,
        update=figures_changed,
    )
    group: StringProperty(
        name="Group",
        description="What it belongs to, such as machinery; a word of your own will do",
        search=suggest_groups,
        search_options={"SUGGESTION"},
        update=figures_changed,
    )
    hull: PointerProperty(
        name="Hull",
        description="The hull that this belongs to; may stay empty in a scene with one hull",
        type=bpy.types.Object,
        poll=_is_hull,
        update=parts_changed,
    )
    both_sides: BoolProperty(
        name="Both Sides",
        description="It is there once more on the other side, mirrored about the centreplane of "
        "the hull, as (port) and (starboard)",
        update=shape_changed,
    )
    size_by_mass: BoolProperty(
        name="Size by Mass",
        description="Draw this empty as large as an iron ball of its mass",
        default=True,
        update=_mass_changed,
    )

    content: EnumProperty(
        name="Content",
        description="What the tank holds; sets the density",
        items=(*CONTENT_ITEMS, OTHER_ITEM),
        default="FRESH",
        update=_content_chosen,
    )
    content_density: FloatProperty(
        name="Density",
        description="Density of the content in kg/m³",
        default=FRESH_WATER,
        min=1.0,
        soft_min=600.0,
        soft_max=2000.0,
        update=_content_changed,
    )
    fill: FloatProperty(
        name="Fill",
        description="How full the tank is, in % of what it holds",
        subtype="PERCENTAGE",
        precision=1,
        default=50.0,
        min=0.0,
        max=100.0,
        update=figures_changed,
    )
    permeability: FloatProperty(
        name="Permeability",
        description="Share of the tank's volume that liquid can take; frames and pipes take the "
        "rest",
        default=1.0,
        min=0.01,
        max=1.0,
        update=figures_changed,
    )
    weathertight: BoolProperty(
        name="Weathertight",
        description="Shut at sea and tight against it: being under does not count as flooding",
        update=figures_changed,
    )

    opening: PointerProperty(
        name="Opening",
        description="What kind of opening this is, and how large",
        type=compartments.OpeningSettings,
    )
    room: PointerProperty(
        name="Room", description="What stands in the room", type=compartments.RoomSettings
    )
    door: PointerProperty(
        name="Door",
        description="The doorway, and whether it is shut",
        type=compartments.DoorSettings,
    )
    inflow: PointerProperty(
        name="Inflow", description="How water runs into the room", type=compartments.InflowSettings
    )
    hole: PointerProperty(
        name="Hole", description="How large the hole is", type=compartments.HoleSettings
    )

    service: PointerProperty(
        name="Service",
        description="What she is for; criteria ask for it",
        type=service.ServiceSettings,
    )
    choose_codes: BoolProperty(
        name="Choose Codes",
        description="Check the codes chosen here, as a yardstick even for ships outside their "
        "scope, instead of all that speak of such a ship",
        update=figures_changed,
    )
    codes: PointerProperty(
        name="Codes", description="The codes that are checked", type=service.CodeSettings
    )
    rules: CollectionProperty(
        name="Own Criteria", description="Criteria of your own", type=service.RuleSettings
    )
    active_rule: IntProperty(
        name="Active Criterion", description="The criterion whose settings are shown", options=set()
    )
    conditions: CollectionProperty(
        name="Loading Conditions",
        description="Ways to load her",
        type=conditions.ConditionSettings,
    )
    active_condition: IntProperty(
        name="Active Condition",
        description="The condition that is chosen; choosing one loads her so",
        options=set(),
        update=_condition_chosen,
    )
    loading: EnumProperty(
        name="Loaded",
        description="How she is loaded for the figures and the drawing",
        items=(
            (Loading.AS_MODELLED, "As Modelled", "All weights on board, tanks as they are set"),
            (Loading.CONDITION, "In Condition", "As the chosen loading condition says"),
        ),
        options=set(),
        update=_loading_chosen,
    )

    @property
    def condition(self) -> conditions.ConditionSettings | None:
        """The condition that she is loaded in; None as modelled."""
        chosen = self.loading == Loading.CONDITION
        if chosen and 0 <= self.active_condition < len(self.conditions):
            return self.conditions[self.active_condition]
        return None

    @property
    def holder(self) -> bpy.types.Object:
        """The object that has these settings."""
        return cast(bpy.types.Object, self.id_data)

    def show_mass(self) -> None:
        """Draw an empty as large as an iron ball of its mass, if that is wanted."""
        obj = self.holder
        if self.size_by_mass and self.role == Role.WEIGHT and obj.type == "EMPTY" and self.mass > 0:
            obj.empty_display_size = ball_radius(self.mass) / unit_scale(bpy.context.scene)


def ball_radius(mass: float) -> float:
    """Radius (m) of an iron ball of a mass (kg)."""
    return float((3 * mass / (4 * pi * IRON)) ** (1 / 3))
