"""Loading conditions as the file keeps them: what differs from the ship as modelled."""

from __future__ import annotations

from typing import Any, cast

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    FloatProperty,
    PointerProperty,
    StringProperty,
)

from .callbacks import condition_changed
from .events import Event, emit
from .groups import free_name

UNNAMED = "Condition"


class StowageSettings(bpy.types.PropertyGroup):
    """How one weight, tank or room is in a condition; it follows the object's name."""

    item: PointerProperty(
        name="Object", description="The weight, tank or room spoken of", type=bpy.types.Object
    )
    ashore: BoolProperty(name="Ashore", description="Left ashore", update=condition_changed)
    use_fill: BoolProperty(
        name="Own Fill",
        description="Fill this tank otherwise than as modelled",
        update=condition_changed,
    )
    fill: FloatProperty(
        name="Fill",
        description="How full the tank is in this condition, in % of what it holds",
        subtype="PERCENTAGE",
        precision=1,
        min=0.0,
        max=100.0,
        update=condition_changed,
    )
    flooded: BoolProperty(name="Flooded", description="Open to the sea", update=condition_changed)


class GroupSettings(bpy.types.PropertyGroup):
    """A group left ashore in a condition."""

    name: StringProperty(
        name="Group", description="The group left ashore", update=condition_changed
    )


def _named(self: ConditionSettings, context: bpy.types.Context) -> None:
    siblings: Any = self.id_data.path_resolve(self.path_from_id().rpartition("[")[0])
    taken = {other.name for other in siblings if other != self}
    if self.name in {*taken, ""}:
        self.name = free_name(self.name or UNNAMED, taken)
        return
    emit(Event.LOADING_CHANGED, cast(bpy.types.Object, self.id_data))


class ConditionSettings(bpy.types.PropertyGroup):
    """A way to load the ship."""

    name: StringProperty(name="Name", description="What the condition is called", update=_named)
    stowage: CollectionProperty(
        name="Stowage",
        description="Weights, tanks and rooms that are not as modelled",
        type=StowageSettings,
    )
    groups_ashore: CollectionProperty(
        name="Groups Ashore", description="Groups left ashore", type=GroupSettings
    )
    mass_margin: FloatProperty(
        name="Mass Margin",
        description="So much more of the weights' mass, in %, at their common centre; common "
        "practice in early design",
        subtype="PERCENTAGE",
        precision=1,
        min=-99.0,
        max=100.0,
        soft_min=0.0,
        soft_max=20.0,
        update=condition_changed,
    )
    rise_margin: FloatProperty(
        name="Rise Margin",
        description="So much higher all weights may come out; common practice in early design",
        unit="LENGTH",
        soft_min=0.0,
        update=condition_changed,
    )

    def stowed(self, obj: bpy.types.Object) -> StowageSettings | None:
        """How an object is stowed, if the condition says so."""
        return next((entry for entry in self.stowage if entry.item == obj), None)

    def stow(self, obj: bpy.types.Object) -> StowageSettings:
        """How an object is stowed, to be changed."""
        entry = self.stowed(obj)
        if entry is None:
            entry = self.stowage.add()
            entry.item = obj
        return entry


CLASSES = (StowageSettings, GroupSettings, ConditionSettings)
