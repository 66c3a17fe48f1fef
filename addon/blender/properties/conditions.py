"""Loading conditions as the file keeps them: what differs from the ship as modelled."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    FloatProperty,
    PointerProperty,
    StringProperty,
)

from ...core.model.conditions import Condition
from .groups import free_name

UNNAMED = "Condition"


def _changed(self: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    from ..controller.analysis import recheck  # which itself reads these settings

    recheck(context.evaluated_depsgraph_get(), cast(bpy.types.Object, self.id_data))


class StowageSettings(bpy.types.PropertyGroup):
    """How one weight, tank or room is in a condition; it follows the object's name."""

    item: PointerProperty(
        name="Object", description="The weight, tank or room spoken of", type=bpy.types.Object
    )
    ashore: BoolProperty(name="Ashore", description="Left ashore", update=_changed)
    use_fill: BoolProperty(
        name="Own Fill", description="Fill this tank otherwise than as modelled", update=_changed
    )
    fill: FloatProperty(
        name="Fill",
        description="How full the tank is in this condition, in % of what it holds",
        subtype="PERCENTAGE",
        precision=1,
        min=0.0,
        max=100.0,
        update=_changed,
    )
    flooded: BoolProperty(name="Flooded", description="Open to the sea", update=_changed)


class GroupSettings(bpy.types.PropertyGroup):
    """A group left ashore in a condition."""

    name: StringProperty(name="Group", description="The group left ashore", update=_changed)


def _named(self: ConditionSettings, context: bpy.types.Context) -> None:
    from ..controller.analysis import follow_loading

    siblings: Any = self.id_data.path_resolve(self.path_from_id().rpartition("[")[0])
    taken = {other.name for other in siblings if other != self}
    if self.name in {*taken, ""}:
        self.name = free_name(self.name or UNNAMED, taken)
        return
    follow_loading(context.evaluated_depsgraph_get(), cast(bpy.types.Object, self.id_data))


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
        update=_changed,
    )
    rise_margin: FloatProperty(
        name="Rise Margin",
        description="So much higher all weights may come out; common practice in early design",
        unit="LENGTH",
        soft_min=0.0,
        update=_changed,
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

    def condition(
        self,
        weights: Iterable[bpy.types.Object],
        tanks: Iterable[bpy.types.Object],
        groups: Iterable[str],
        rooms: Iterable[bpy.types.Object],
        unit: float,
    ) -> Condition:
        """The condition of the core, `unit` metres in a Blender unit.

        Only what is there counts: objects that Blender evaluates, groups in use.
        """
        from ..readers.members import core_names  # which itself reads these settings

        tanks = tuple(tanks)
        aboard = (*weights, *tanks)
        entries = {entry.item: entry for entry in self.stowage if entry.item}
        return Condition(
            self.name,
            {
                name: entries[tank].fill / 100
                for tank in tanks
                if tank in entries and entries[tank].use_fill
                for name in core_names(tank)
            },
            tuple(
                name
                for obj in aboard
                if obj in entries and entries[obj].ashore
                for name in core_names(obj)
            ),
            tuple(group.name for group in self.groups_ashore if group.name in {*groups}),
            self.mass_margin / 100,
            self.rise_margin * unit,
            tuple(
                name
                for room in rooms
                if room in entries and entries[room].flooded
                for name in core_names(room)
            ),
        )


CLASSES = (StowageSettings, GroupSettings, ConditionSettings)
