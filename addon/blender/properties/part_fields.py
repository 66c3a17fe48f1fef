"""Blender's properties for the fields of a part, made from its declaration.

Each field becomes one property of its name, with exceptions: an optional value has a switch, `use_`
and its name; a limit whose unit depends on a choice has a property for each unit; a list of names
has one for each name, a list of choices a switch for each choice; a mass has another property in
the units of the scene, `scene_` and its name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from bpy.props import BoolProperty, EnumProperty, FloatProperty, IntProperty, StringProperty

from ...parts.specification import Choice, Field, Kind, Part, Source, Unit
from .callbacks import Update
from .scene_units import scene_mass

Item = tuple[str, str, str]
"""Identifier, label and description of an item of a choice."""

UNKNOWN: Item = ("UNKNOWN", "Unknown", "Not known")
"""The item of a choice without a value."""


@dataclass(frozen=True)
class Shown:
    """How a number is kept: `symbol` in its label where Blender lacks the unit, `options` of its
    property, `power` of the scene's unit of length in it, and `per` of it in one SI unit."""

    symbol: str = ""
    options: Mapping[str, Any] = field(default_factory=dict)
    power: int = 0
    per: int = 1


SHOWN = {
    Unit.NONE: Shown(),
    Unit.PERCENT: Shown(options={"subtype": "PERCENTAGE", "precision": 1}, per=100),
    Unit.LENGTH: Shown(options={"unit": "LENGTH", "precision": 5}, power=1),
    Unit.AREA: Shown(options={"unit": "AREA", "precision": 4}, power=2),
    Unit.VOLUME: Shown(options={"unit": "VOLUME", "precision": 5}, power=3),
    Unit.MASS: Shown("kg"),
    Unit.AREAL_DENSITY: Shown("kg/m²"),
    Unit.DENSITY: Shown("kg/m³"),
    Unit.SPEED: Shown(options={"unit": "VELOCITY"}, power=1),
    Unit.MOMENT: Shown("kg m"),
    Unit.ANGLE: Shown(options={"subtype": "ANGLE"}),
    Unit.LENGTH_RADIANS: Shown("m rad", {"precision": 4, "step": 0.1}),
    Unit.TIME: Shown("s"),
    Unit.FLOW: Shown("m³/h", per=3600),
}


def properties(
    part: Part[Any],
    fields: Iterable[Field],
    update: Update | None,
    own: Mapping[str, Mapping[str, Any] | None],
    unset: Mapping[str, Item],
) -> dict[str, Any]:
    """Annotations of a property group for some fields of a part, by name, all with one callback.

    `own` are options of properties by name that replace declared ones, None for a property to leave
    out; `unset` are the items for optional choices without a value, by name.
    """

    def callback(options: Mapping[str, Any]) -> dict[str, Any]:
        return {"update": update} if update and "get" not in options else {}

    return {
        name: kind(**(options | callback(options) | dict(more)))
        for each in fields
        for name, kind, options in _made(part, each, unset.get(each.name, UNKNOWN))
        for more in [own.get(name, {})]
        if more is not None
    }


def is_kept(field: Field) -> bool:
    """Whether a scene keeps the field in properties: not what an object itself gives, nor a list of
    names that are objects."""
    kept = field.kind in (Kind.TEXT, Kind.NUMBER, Kind.COUNT, Kind.FLAG, Kind.CHOICE)
    named = field.kind == Kind.NAMES and bool(field.count or field.choices)
    return field.source == Source.PROPERTY and (kept or named)


def has_switch(field: Field) -> bool:
    """Whether an optional value has a switch."""
    chosen = field.kind == Kind.NUMBER or bool(field.kind == Kind.NAMES and field.choices)
    return field.optional and chosen and not (field.zero_is_unset or field.goes_with)


def switch_of(name: str) -> str:
    """The name of the switch of a field."""
    return f"use_{name}"


def scene_mass_of(name: str) -> str:
    """The name of a mass in the units of the scene."""
    return f"scene_{name}"


def name_in(field: Field, unit: Unit) -> str:
    """The name of a limit whose unit is that of a choice."""
    return f"{field.name}_{unit.name.lower()}" if field.unit_of else field.name


def units_of(part: Part[Any], field: Field) -> list[Unit]:
    """The units that a number may have, each once."""
    choices = part.field(field.unit_of).choices if field.unit_of else ()
    return list(dict.fromkeys(choice.unit for choice in choices)) or [field.unit]


def numbered(field: Field) -> list[str]:
    """The names of the properties of a list of names."""
    return [f"{field.name}_{number}" for number in range(1, (field.count or 0) + 1)]


def chosen_name(field: Field, choice: Choice) -> str:
    """The name of the switch of a choice."""
    return f"{field.name}_{choice.identifier.lower()}"


def _made(part: Part[Any], field: Field, unset: Item) -> Iterator[tuple[str, Any, dict[str, Any]]]:
    """Name, kind and options of each property of a field."""
    words: dict[str, Any] = {"name": field.label, "description": field.doc}
    if has_switch(field):
        about = {"name": field.label, "description": f"Set this value: {field.doc}"}
        yield switch_of(field.name), BoolProperty, about
    match field.kind:
        case Kind.NUMBER:
            for unit in units_of(part, field):
                yield from _number(field, unit, words)
        case Kind.COUNT:
            limits = _given(min=field.minimum, max=field.maximum, default=field.default)
            yield field.name, IntProperty, words | {key: int(limits[key]) for key in limits}
        case Kind.FLAG:
            yield field.name, BoolProperty, words | {"default": bool(field.default)}
        case Kind.TEXT:
            yield field.name, StringProperty, words | {"default": field.default or ""}
        case Kind.CHOICE:
            items = [(each.identifier, each.label, each.doc) for each in field.choices]
            if field.optional:
                items.insert(0, unset)
            default = next(
                (each.identifier for each in field.choices if each.word == field.default),
                items[0][0],
            )
            yield field.name, EnumProperty, words | {"items": items, "default": default}
        case Kind.NAMES if field.choices:
            for choice in field.choices:
                about = {"name": choice.label, "description": choice.doc}
                yield chosen_name(field, choice), BoolProperty, about
        case Kind.NAMES:
            for name in numbered(field):
                yield name, StringProperty, words


def _number(
    field: Field, unit: Unit, words: Mapping[str, Any]
) -> Iterator[tuple[str, Any, dict[str, Any]]]:
    shown, name = SHOWN[unit], name_in(field, unit)
    label = f"{field.label} ({shown.symbol})" if shown.symbol else field.label
    least = field.minimum if field.minimum is not None else field.above
    default = field.default if isinstance(field.default, (int, float)) else field.example
    limits = {key: value * shown.per for key, value in _given(min=least, max=field.maximum).items()}
    unknown = field.zero_is_unset or default is None or field.unit_of
    start = 0.0 if unknown else default * shown.per
    options = dict(words) | dict(shown.options) | limits
    yield name, FloatProperty, options | {"name": label, "default": start}
    if unit == Unit.MASS:
        yield scene_mass_of(name), FloatProperty, dict(words) | scene_mass(name)


def _given(**values: Any) -> dict[str, float]:
    return {key: value for key, value in values.items() if isinstance(value, (int, float))}
