"""Property groups of parts: properties from the declaration, values for an entry."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from math import degrees, radians
from typing import Any, ClassVar, TypeVar

import numpy as np

from ...parts.specification import Field, Kind, Part, Unit
from .callbacks import Update
from .part_fields import (
    SHOWN,
    Item,
    chosen_name,
    has_switch,
    is_kept,
    name_in,
    numbered,
    properties,
    switch_of,
)

SHARED = frozenset({"name", "group", "both_sides"})
"""Fields of many kinds of parts, kept on the object whatever its role."""

Group = TypeVar("Group", bound=type)


class PartSettings:
    """Base of property groups made from a part."""

    part: ClassVar[Part[Any]]
    leads: ClassVar[Mapping[str, str]] = {}
    """Choices that exist only in Blender and set fields, by the names of the fields."""
    id_data: Any

    def asks(self, field: Field) -> bool:
        """Whether a switch decides if the field is given."""
        return has_switch(field)

    def gives(self, field: Field) -> bool:
        """Whether the field is given."""
        if field.goes_with:
            choice, words = field.goes_with
            return self.word(self.part.field(choice)) in words
        return not self.asks(field) or bool(getattr(self, switch_of(field.name)))

    def shows(self, field: Field) -> bool:
        """Whether a panel shows the field where it is given."""
        return True

    def word(self, field: Field) -> str | None:
        """The chosen word as in a case file; None without a value."""
        chosen = getattr(self, field.name)
        return next((each.word for each in field.choices if each.identifier == chosen), None)

    def unit(self, field: Field) -> Unit:
        """The unit of a number, by the choice it depends on, if any."""
        return self.part.unit(field, {field.unit_of: self.word(self.part.field(field.unit_of))})

    def values(self, meters: float) -> dict[str, Any]:
        """Given values by the names of the entry's fields, with `meters` in a Blender unit."""
        found = {
            field.name: self._value(field, meters)
            for field in own_fields(self.part)
            if self.gives(field)
        }
        return {name: value for name, value in found.items() if value is not None}

    def _value(self, field: Field, meters: float) -> Any:
        match field.kind:
            case Kind.CHOICE:
                return self.word(field)
            case Kind.NAMES if field.choices:
                names = (each for each in field.choices if getattr(self, chosen_name(field, each)))
                return tuple(each.word for each in names)
            case Kind.NAMES:
                given = tuple(getattr(self, name) for name in numbered(field))
                return given if all(given) else ()
            case Kind.NUMBER:
                unit = self.unit(field) if field.unit_of else field.unit
                value = getattr(self, name_in(field, unit))
                if field.zero_is_unset and not value:
                    return None
                if unit == Unit.ANGLE:
                    return radians(decimal(degrees(value)))
                return per_unit(value, unit) * meters ** SHOWN[unit].power
            case _:
                return getattr(self, field.name)


@cache
def own_fields(part: Part[Any]) -> tuple[Field, ...]:
    """The fields kept in the property group of a part."""
    return tuple(field for field in part.fields if is_kept(field) and field.name not in SHARED)


def made_from(
    part: Part[Any],
    update: Update,
    own: Mapping[str, Mapping[str, Any] | None] | None = None,
    unset: Mapping[str, Item] | None = None,
) -> Callable[[Group], Group]:
    """Add the properties of a part to a property group."""

    def complete(group: Group) -> Group:
        kind: Any = group
        kind.part = part
        return with_annotations(properties(part, own_fields(part), update, own or {}, unset or {}))(
            group
        )

    return complete


def with_annotations(generated: Mapping[str, Any]) -> Callable[[Group], Group]:
    """Add generated properties to a property group."""

    def complete(group: Group) -> Group:
        kind: Any = group
        kind.__annotations__ = {**kind.__dict__.get("__annotations__", {}), **generated}
        return group

    return complete


def per_unit(value: float, unit: Unit) -> float:
    """A property's value in SI units, from the decimal digits with which it was given."""
    return float(f"{decimal(value) / SHOWN[unit].per:.15g}")


def decimal(value: float) -> float:
    """A property's value without single-precision noise: its shortest decimal form."""
    return float(str(np.float32(value)))
