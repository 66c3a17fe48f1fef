"""Loading conditions of a hull object as those of the core."""

from __future__ import annotations

from collections.abc import Iterable

import bpy

from ...core.messages.findings import Finding
from ...core.messages.sentence import Sentence
from ...core.messages.subjects import Subject
from ...core.model.conditions import Condition
from ...core.model.mirrored_parts import with_pair_names
from ...parts.declarations import CONDITION, ConditionEntry
from ...parts.specification import Unit
from ..properties.conditions import ConditionSettings
from ..properties.names import Role
from ..properties.part_settings import per_unit
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from .members import Parts


def condition_entry(chosen: ConditionSettings, parts: Parts, unit: float) -> ConditionEntry:
    """The entry of a loading condition, `unit` meters in a Blender unit.

    Only what is there counts: objects that Blender evaluates, groups in use.
    """
    tanks = parts[Role.TANK]
    item_settings = {entry.item: entry for entry in chosen.condition_items if entry.item}

    def named(objects: Iterable[bpy.types.Object], flag: str) -> tuple[str, ...]:
        return tuple(
            obj.name
            for obj in objects
            if obj in item_settings and getattr(item_settings[obj], flag)
        )

    fills = {
        tank: item_settings[tank]
        for tank in tanks
        if tank in item_settings and item_settings[tank].use_fill
    }
    groups = groups_of(parts)
    return CONDITION.entry(
        name=chosen.name,
        fill={tank.name: per_unit(entry.fill, Unit.PERCENT) for tank, entry in fills.items()},
        without=named((*parts[Role.WEIGHT], *tanks), "not_loaded"),
        without_groups=tuple(each.name for each in chosen.groups_not_loaded if each.name in groups),
        flooded=named(parts[Role.COMPARTMENT], "flooded"),
        **chosen.values(unit),
    )


def condition_of(chosen: ConditionSettings, parts: Parts, unit: float) -> Condition:
    """The same as the core has it, with both names of what is on both sides."""
    condition = Condition(**CONDITION.core_values(condition_entry(chosen, parts, unit)))
    roles = (Role.WEIGHT, Role.TANK, Role.COMPARTMENT)
    return with_pair_names(
        condition,
        *({part.name for part in parts[role] if settings(part).both_sides} for role in roles),
    )


def active_condition(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, parts: Parts
) -> Condition | None:
    """The condition that a hull is loaded in; None as modeled."""
    chosen = settings(hull).condition
    return condition_of(chosen, parts, unit_scale(depsgraph.scene)) if chosen else None


def groups_of(parts: Parts) -> list[str]:
    """Groups of the weights and tanks, each once."""
    on_board = (*parts[Role.WEIGHT], *parts[Role.TANK])
    return sorted({settings(obj).group for obj in on_board} - {""})


def missing_groups(hull: bpy.types.Object, parts: Parts) -> tuple[Finding, ...]:
    """Findings on groups that conditions leave unloaded and that nothing belongs to."""
    known = groups_of(parts)
    return tuple(
        Finding(
            "warning",
            "lost-group",
            Sentence(
                "condition '{condition}' leaves the group '{group}' ashore, and "
                "nothing belongs to it",
                condition=Subject("condition", condition.name),
                group=Subject("group", group.name),
            ),
        )
        for condition in settings(hull).conditions
        for group in condition.groups_not_loaded
        if group.name not in known
    )
