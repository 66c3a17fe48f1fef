"""Groups of settings taken as values: compared and copied."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import bpy


def values_of(group: bpy.types.PropertyGroup) -> tuple[object, ...]:
    """All that is set in a group, its groups and lists included; objects by name."""
    return tuple(_value(kind, getattr(group, name)) for name, kind in fields(group))


def copy_values(source: bpy.types.PropertyGroup, target: bpy.types.PropertyGroup) -> None:
    """Set a group as another of its kind is set."""
    for name, kind in fields(source):
        value: Any = getattr(source, name)
        if kind == "COLLECTION":
            items = getattr(target, name)
            items.clear()
            for item in value:
                copy_values(item, items.add())
        elif isinstance(value, bpy.types.PropertyGroup):
            copy_values(value, getattr(target, name))
        else:
            setattr(target, name, value)


def free_name(wanted: str, taken: set[str]) -> str:
    """The name, with a number behind it where it is taken."""
    names = (f"{wanted} {number}" for number in range(2, len(taken) + 3))
    return wanted if wanted not in taken else next(name for name in names if name not in taken)


def fields(group: bpy.types.PropertyGroup) -> Iterator[tuple[str, str]]:
    """Name and type of each setting of a group."""
    for field in group.bl_rna.properties:
        if field.identifier != "rna_type":
            yield field.identifier, field.type


def _value(kind: str, value: Any) -> object:
    if kind == "COLLECTION":
        return tuple(values_of(item) for item in value)
    if isinstance(value, bpy.types.PropertyGroup):
        return values_of(value)
    return value.name if isinstance(value, bpy.types.ID) else value
