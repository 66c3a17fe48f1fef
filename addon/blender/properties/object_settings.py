"""Settings of an object: its role, and the settings of a hull or part."""

from __future__ import annotations

from typing import Any, cast

import bpy
from bpy.props import (
    CollectionProperty,
    EnumProperty,
    IntProperty,
    PointerProperty,
)

from ...parts.declarations import (
    BOUNDARY,
    BREACH,
    COMPARTMENT,
    DOOR,
    HULL,
    OPENING,
    TANK,
    WEIGHT,
    WINDAGE,
)
from . import conditions, part_groups
from .callbacks import emitting, figures_changed, parts_changed, shape_changed
from .events import Event
from .names import PROPERTY, Loading, Role
from .part_fields import is_kept, properties
from .part_settings import SHARED, with_annotations
from .suggestions import suggest_groups

OF_OBJECTS = (HULL, WEIGHT, TANK, OPENING, WINDAGE, BOUNDARY, COMPARTMENT, DOOR, BREACH)
"""The parts that are objects in a scene."""


def _condition_chosen(self: ObjectSettings, context: bpy.types.Context) -> None:
    self.loading = Loading.CONDITION


_loading_chosen = emitting(Event.LOADING_CHANGED)


def _is_hull(self: ObjectSettings, obj: bpy.types.Object) -> bool:
    return obj.type == "MESH" and getattr(obj, PROPERTY).role == Role.HULL


_SHARED = properties(
    WEIGHT,
    [field for field in WEIGHT.fields if is_kept(field) and field.name in SHARED],
    figures_changed,
    {
        "group": {"search": suggest_groups, "search_options": {"SUGGESTION"}},
        "both_sides": {"update": shape_changed},
    },
    {},
)
_GROUPS = {
    name: PointerProperty(name=kind.part.label, description=kind.part.doc, type=kind)
    for name, kind in part_groups.GROUPS.items()
}
_ROLES = [
    (Role.NONE, "None", "Not part of a vessel"),
    *((part.key.upper(), part.label, part.doc) for part in OF_OBJECTS),
]


@with_annotations(_SHARED | _GROUPS)
class ObjectSettings(bpy.types.PropertyGroup):
    """The role of an object and its settings."""

    role: EnumProperty(
        name="Role",
        description="Role of this object on a vessel",
        items=_ROLES,
        update=parts_changed,
    )

    group: str
    both_sides: bool
    form: Any
    water: Any
    weight: Any
    tank: Any
    opening: Any
    compartment: Any
    door: Any
    inflow: Any
    breach: Any
    service: Any
    criteria: Any

    hull: PointerProperty(
        name="Hull",
        description="Hull that this belongs to; may be empty in a scene with one hull",
        type=bpy.types.Object,
        poll=_is_hull,
        update=parts_changed,
    )
    custom_criteria: CollectionProperty(
        name="Custom Criteria",
        description="Custom criteria",
        type=part_groups.CriterionSettings,
    )
    active_criterion: IntProperty(
        name="Active Criterion", description="Criterion whose settings are shown", options=set()
    )
    conditions: CollectionProperty(
        name="Loading Conditions",
        description="Loading conditions of the hull",
        type=conditions.ConditionSettings,
    )
    active_condition: IntProperty(
        name="Active Condition",
        description="Active condition; choosing one loads the vessel accordingly",
        options=set(),
        update=_condition_chosen,
    )
    loading: EnumProperty(
        name="Loaded",
        description="Loading used for results and viewport display",
        items=(
            (Loading.AS_MODELED, "As Modeled", "All weights loaded, tanks filled as set"),
            (Loading.CONDITION, "In Condition", "As set in the active loading condition"),
        ),
        options=set(),
        update=_loading_chosen,
    )

    @property
    def condition(self) -> conditions.ConditionSettings | None:
        """The condition in which the vessel is loaded; None as modeled."""
        chosen = self.loading == Loading.CONDITION
        if chosen and 0 <= self.active_condition < len(self.conditions):
            return self.conditions[self.active_condition]
        return None

    @property
    def holder(self) -> bpy.types.Object:
        """The object that has these settings."""
        return cast(bpy.types.Object, self.id_data)
