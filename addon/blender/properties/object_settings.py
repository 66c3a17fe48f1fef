"""Settings of an object: what it is to a ship, and all that a hull or a part keeps."""

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
"""The parts that objects of a scene stand for."""


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
    (Role.NONE, "None", "No part of a vessel"),
    *((part.key.upper(), part.label, part.doc) for part in OF_OBJECTS),
]


@with_annotations(_SHARED | _GROUPS)
class ObjectSettings(bpy.types.PropertyGroup):
    """What an object is to a ship."""

    role: EnumProperty(
        name="Role",
        description="What this object is to a ship",
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
        description="The hull that this belongs to; may stay empty in a scene with one hull",
        type=bpy.types.Object,
        poll=_is_hull,
        update=parts_changed,
    )
    custom_criteria: CollectionProperty(
        name="Custom Criteria",
        description="Criteria of your own",
        type=part_groups.CriterionSettings,
    )
    active_criterion: IntProperty(
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
            (Loading.AS_MODELED, "As Modeled", "All weights on board, tanks as they are set"),
            (Loading.CONDITION, "In Condition", "As the chosen loading condition says"),
        ),
        options=set(),
        update=_loading_chosen,
    )

    @property
    def condition(self) -> conditions.ConditionSettings | None:
        """The condition that she is loaded in; None as modeled."""
        chosen = self.loading == Loading.CONDITION
        if chosen and 0 <= self.active_condition < len(self.conditions):
            return self.conditions[self.active_condition]
        return None

    @property
    def holder(self) -> bpy.types.Object:
        """The object that has these settings."""
        return cast(bpy.types.Object, self.id_data)
