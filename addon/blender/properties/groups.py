"""Copying groups of settings, and free names in a list of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import bpy


def copy_values(source: bpy.types.PropertyGroup, target: bpy.types.PropertyGroup) -> None:
    """Copy all settings of a group to another of its type."""
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
    """The name, with a number appended where it is taken."""
    names = (f"{wanted} {number}" for number in range(2, len(taken) + 3))
    return wanted if wanted not in taken else next(name for name in names if name not in taken)


def fields(group: bpy.types.PropertyGroup) -> Iterator[tuple[str, str]]:
    """Name and type of each setting of a group."""
    for field in group.bl_rna.properties:
        if field.identifier != "rna_type":
            yield field.identifier, field.type
