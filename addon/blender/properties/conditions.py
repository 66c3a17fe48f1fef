"""Loading conditions as the file keeps them: their differences from the vessel as modeled."""

from __future__ import annotations

from typing import Any, cast

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    PointerProperty,
    StringProperty,
)

from ...parts.declarations import CONDITION, TANK
from .callbacks import condition_changed
from .events import Event, emit
from .groups import free_name
from .part_fields import properties
from .part_settings import PartSettings, made_from, with_annotations

UNNAMED = "Condition"


@with_annotations(properties(TANK, [TANK.field("fill")], condition_changed, {}, {}))
class ConditionItemSettings(bpy.types.PropertyGroup):
    """How one weight, tank or compartment is in a condition; it follows the object's name."""

    item: PointerProperty(
        name="Object",
        description="Weight, tank or compartment",
        type=bpy.types.Object,
    )
    not_loaded: BoolProperty(
        name="Not Loaded", description="Leave this out in the condition", update=condition_changed
    )
    use_fill: BoolProperty(
        name="Custom Fill",
        description="Fill this tank differently in the condition",
        update=condition_changed,
    )
    flooded: BoolProperty(name="Flooded", description="Open to the sea", update=condition_changed)


class GroupSettings(bpy.types.PropertyGroup):
    """A group that is not loaded in a condition."""

    name: StringProperty(
        name="Group", description="Group that is not loaded", update=condition_changed
    )


def _named(self: ConditionSettings, context: bpy.types.Context) -> None:
    siblings: Any = self.id_data.path_resolve(self.path_from_id().rpartition("[")[0])
    taken = {other.name for other in siblings if other != self}
    if self.name in {*taken, ""}:
        self.name = free_name(self.name or UNNAMED, taken)
        return
    emit(Event.LOADING_CHANGED, cast(bpy.types.Object, self.id_data))


@made_from(CONDITION, condition_changed)
class ConditionSettings(PartSettings, bpy.types.PropertyGroup):
    """A loading condition."""

    name: StringProperty(name="Name", description="Name of the condition", update=_named)
    condition_items: CollectionProperty(
        name="Items",
        description="Weights, tanks and compartments that differ from the model",
        type=ConditionItemSettings,
    )
    groups_not_loaded: CollectionProperty(
        name="Groups Not Loaded", description="Groups that are not loaded", type=GroupSettings
    )

    def item_settings(self, obj: bpy.types.Object) -> ConditionItemSettings | None:
        """The settings of an object in the condition, if it differs."""
        return next((entry for entry in self.condition_items if entry.item == obj), None)

    def ensure_item(self, obj: bpy.types.Object) -> ConditionItemSettings:
        """The settings of an object in the condition, added if missing."""
        entry = self.item_settings(obj)
        if entry is None:
            entry = self.condition_items.add()
            entry.item = obj
        return entry


CLASSES = (ConditionItemSettings, GroupSettings, ConditionSettings)
