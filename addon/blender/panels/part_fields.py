"""Fields of parts as rows of properties, in their declared order."""

from __future__ import annotations

from collections.abc import Container
from typing import cast

import bpy

from ...parts.specification import Field, Kind, Unit
from ..properties.names import Role
from ..properties.part_fields import (
    chosen_name,
    is_kept,
    name_in,
    numbered,
    scene_mass_of,
    switch_of,
)
from ..properties.part_settings import SHARED, PartSettings, own_fields
from ..properties.settings import settings
from ..readers.parts import PART_OF
from .layout import Layout

LONGEST = 15
"""Most letters of a name that fit beside its field; longer ones are written in the field."""


def draw_part(layout: Layout, obj: bpy.types.Object, without: Container[str] = ()) -> None:
    """Rows of a part of a hull, except the fields `without`, and its hull."""
    chosen = settings(obj)
    part = PART_OF[Role(chosen.role)]
    group = getattr(chosen, part.key, None)
    for field in part.fields:
        if is_kept(field) and field.name not in without:
            if field.name in SHARED:
                layout.prop(chosen, field.name)
            elif group:
                draw_field(layout, group, field)
    layout.prop(chosen, "hull")


def draw_group(layout: Layout, group: PartSettings, without: Container[str] = ()) -> None:
    """Rows of a group, except the fields `without`."""
    for field in own_fields(group.part):
        if field.name not in without:
            draw_field(layout, group, field)


def draw_field(layout: Layout, group: PartSettings, field: Field) -> None:
    """Rows of a field: its switch or the choice that sets it, if any, then its value if given."""
    lead, names = group.leads.get(field.name), _names(group, field)
    if lead:
        layout.prop(group, lead)
    title = cast(bpy.types.PropertyGroup, group).bl_rna.properties[names[0]].name
    if field.kind != Kind.CHOICE and len(title) > LONGEST:
        layout = layout.column()
        layout.use_property_split = False
    if group.asks(field):
        layout.prop(group, switch_of(field.name))
    if group.gives(field) and group.shows(field):
        for name in names:
            layout.prop(group, name, slider=field.maximum == 1.0)


def _names(group: PartSettings, field: Field) -> list[str]:
    """The names of the properties that hold a field."""
    if field.kind == Kind.NAMES:
        chosen = [chosen_name(field, choice) for choice in field.choices]
        return chosen or numbered(field)
    if field.kind == Kind.NUMBER and field.unit_of:
        return [name_in(field, group.unit(field))]
    return [scene_mass_of(field.name) if field.unit == Unit.MASS else field.name]
