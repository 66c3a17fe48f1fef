"""Loading conditions of a hull object as those of the core."""

from __future__ import annotations

from collections.abc import Iterable

import bpy

from ...core.messages.findings import Finding
from ...core.messages.sentence import Sentence
from ...core.model.conditions import Condition
from ..properties.conditions import ConditionSettings
from ..properties.names import Role
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from .members import Parts, core_names


def condition_of(chosen: ConditionSettings, parts: Parts, unit: float) -> Condition:
    """A loading condition, `unit` metres in a Blender unit.

    Only what is there counts: objects that Blender evaluates, groups in use.
    """
    weights, tanks = parts[Role.WEIGHT], parts[Role.TANK]
    entries = {entry.item: entry for entry in chosen.stowage if entry.item}

    def named(objects: Iterable[bpy.types.Object], flag: str) -> tuple[str, ...]:
        return tuple(
            name
            for obj in objects
            if obj in entries and getattr(entries[obj], flag)
            for name in core_names(obj)
        )

    return Condition(
        chosen.name,
        {
            name: entries[tank].fill / 100
            for tank in tanks
            if tank in entries and entries[tank].use_fill
            for name in core_names(tank)
        },
        named((*weights, *tanks), "ashore"),
        tuple(group.name for group in chosen.groups_ashore if group.name in groups_of(parts)),
        chosen.mass_margin / 100,
        chosen.rise_margin * unit,
        named(parts[Role.ROOM], "flooded"),
    )


def active_condition(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, parts: Parts
) -> Condition | None:
    """The condition that a hull is loaded in; None as modelled."""
    chosen = settings(hull).condition
    return condition_of(chosen, parts, unit_scale(depsgraph.scene)) if chosen else None


def groups_of(parts: Parts) -> list[str]:
    """Groups of the weights and tanks, each once."""
    aboard = (*parts[Role.WEIGHT], *parts[Role.TANK])
    return sorted({settings(obj).group for obj in aboard} - {""})


def lost_groups(hull: bpy.types.Object, parts: Parts) -> tuple[Finding, ...]:
    """What to say of groups that conditions leave ashore and that nothing belongs to."""
    known = groups_of(parts)
    return tuple(
        Finding(
            "warning",
            "lost-group",
            Sentence(
                "condition '{condition}' leaves the group '{group}' ashore, and nothing belongs to "
                "it",
                condition=condition.name,
                group=group.name,
            ),
        )
        for condition in settings(hull).conditions
        for group in condition.groups_ashore
        if group.name not in known
    )
