"""How a part is declared: each of its fields once, with key, type, unit, range, default and text.

A declaration is a frozen dataclass whose fields are made by the functions of `declare`, and a
`Part` that names it. The reader and the writer of case files, the JSON Schema, `build_case` and the
property groups in Blender are driven by it.

    @dataclass(frozen=True)
    class TankEntry:
        "A closed body that holds a liquid"

        name: str = named()
        place: Place = placed(by_mesh("a closed mesh"), in_box("two opposite corners"))
        fill: float = number("How full the tank is", Unit.PERCENT, 0.0, minimum=0, maximum=1)

    TANK = Part("tank", "Tank", TankEntry, Tank)
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum, StrEnum
from functools import cached_property
from inspect import getdoc
from typing import Any, Generic, TypeVar

from .places import Form

Entry = TypeVar("Entry")

REQUIRED: Any = object()
"""The default of a field that must be given."""
SAME = "="
"""The core's name of a field that has the same there."""
FIELD = "field"
"""Where the metadata of a dataclass have the declaration of a field."""


class Kind(StrEnum):
    """What type the value of a field has."""

    TEXT = "text"
    FILE = "file"
    NUMBER = "number"
    COUNT = "count"
    FLAG = "flag"
    CHOICE = "choice"
    NAMES = "names"
    NUMBERS = "numbers"
    PLACE = "place"
    TABLE = "table"
    TABLES = "tables"


class Unit(StrEnum):
    """What a number measures; the value is its unit in a key of the file.

    Entries hold SI units: an angle is in degrees in the file and in radians in an entry. `PERCENT`
    is a share of 1 in both, to be shown in percent.
    """

    NONE = ""
    PERCENT = "%"
    LENGTH = "m"
    AREA = "m2"
    VOLUME = "m3"
    MASS = "kg"
    AREAL_DENSITY = "kg_m2"
    DENSITY = "kg_m3"
    SPEED = "m_s"
    MOMENT = "kg_m"
    ANGLE = "deg"
    LENGTH_RADIANS = "m_rad"
    TIME = "s"
    FLOW = "m3_s"

    @property
    def suffix(self) -> str:
        """What the key of a field ends with."""
        return "" if self in (Unit.NONE, Unit.PERCENT) else f"_{self.value}"


class Source(Enum):
    """Where a field comes from in a scene."""

    NAME = "the name of the object"
    OBJECT = "the origin or the mesh of the object"
    PROPERTY = "a property of the object's settings"
    NOWHERE = "known to the file alone"


@dataclass(frozen=True)
class Choice:
    """One word of a choice, as in the file; `core` is what the core has in its place.

    `unit` is that of the numbers that depend on the choice.
    """

    word: str
    label: str
    doc: str
    core: Any = None
    unit: Unit = Unit.NONE

    @property
    def value(self) -> Any:
        """What the core has for the word."""
        return self.word if self.core is None else self.core

    @property
    def identifier(self) -> str:
        """The word as an identifier in capitals, without the sign of a positive axis."""
        spelled = re.sub("^-", "negative ", self.word.removeprefix("+"))
        return re.sub(r"\W", "_", spelled).upper()


@dataclass(frozen=True)
class Field:
    """One field of a part. `name` is that of the entry's attribute.

    A number is `minimum` or more, above `above` and up to `maximum`, where those are given; names
    are `count` different ones or none. A value left out is `default`, None for one that is not
    known; `zero_is_unset` is true if a zero in a form means the same. `core` is the field of the
    core's part that takes the value, empty where `build_case` makes more of it. `unit_of` names
    the choice that sets the unit, `goes_with` a choice and the words of it with which alone the
    field is given. `example` is a value for a commented file, `hint` one for a message.
    """

    kind: Kind
    doc: str
    name: str = ""
    key: str = ""
    label: str = ""
    unit: Unit = Unit.NONE
    default: Any = REQUIRED
    minimum: float | None = None
    above: float | None = None
    maximum: float | None = None
    count: int | None = None
    choices: tuple[Choice, ...] = ()
    forms: tuple[Form, ...] = ()
    part: Part[Any] | None = None
    zero_is_unset: bool = False
    unit_of: str = ""
    goes_with: tuple[str, tuple[str, ...]] | None = None
    core: str = ""
    example: Any = None
    hint: str = ""
    source: Source = Source.PROPERTY
    always: bool = False

    @property
    def required(self) -> bool:
        """Whether it must be given."""
        return self.default is REQUIRED

    @property
    def optional(self) -> bool:
        """Whether it may be unknown."""
        return self.default is None

    @property
    def keys(self) -> tuple[str, ...]:
        """Its keys in the file: several for a place, of which one is given."""
        return tuple(form.key for form in self.forms) or (self.key,)

    @property
    def words(self) -> tuple[str, ...]:
        """The words of its choices."""
        return tuple(choice.word for choice in self.choices)

    def choice(self, word: str) -> Choice:
        """The choice of a word."""
        return next(choice for choice in self.choices if choice.word == word)

    def word_for(self, value: Any) -> str:
        """The word for what the core has."""
        return next(choice.word for choice in self.choices if choice.value == value)


@dataclass(frozen=True)
class Part(Generic[Entry]):
    """A kind of part: `key` names it, and its table where a case file has one; `entry` is the
    declaration.

    `core` is what the core makes of it. `alternatives` are the sets of keys of which just one is
    given; those of the forms of its place where it has none of its own.
    """

    key: str
    label: str
    entry: type[Entry]
    core: type | None = None
    own_alternatives: tuple[tuple[str, ...], ...] = ()

    @property
    def doc(self) -> str:
        """What it is, in one line."""
        return " ".join((getdoc(self.entry) or "").split()).rstrip(".")

    @cached_property
    def fields(self) -> tuple[Field, ...]:
        """Its fields in the order of the file."""
        declaration: Any = self.entry
        return tuple(
            _named_field(each.metadata[FIELD], each.name)
            for each in dataclasses.fields(declaration)
        )

    def field(self, name: str) -> Field:
        """The field of a name."""
        return next(field for field in self.fields if field.name == name)

    @property
    def keys(self) -> tuple[str, ...]:
        """All keys of its table."""
        return tuple(key for field in self.fields for key in field.keys)

    @property
    def alternatives(self) -> tuple[tuple[str, ...], ...]:
        """Sets of keys of which just one is given."""
        forms = (form.key for field in self.fields for form in field.forms)
        return self.own_alternatives or tuple((key,) for key in forms)

    def unit(self, field: Field, values: Mapping[str, Any]) -> Unit:
        """The unit of a field beside the `values` of others."""
        if not field.unit_of:
            return field.unit
        return self.field(field.unit_of).choice(values[field.unit_of]).unit

    def core_values(self, entry: Entry) -> dict[str, Any]:
        """What the core's part is made with, as far as it is given."""
        return {
            field.core: _to_core(field, getattr(entry, field.name))
            for field in self.fields
            if field.core and getattr(entry, field.name) is not None
        }

    def from_core(self, part: Any, **more: Any) -> Entry:
        """The entry of a part of the core; `more` are the fields that the core keeps otherwise.

        What the core has by default is left out.
        """
        usual = {each.name: each.default for each in dataclasses.fields(part)}
        values = dict(more)
        for field in self.fields:
            value = getattr(part, field.core) if field.core else None
            if field.name in values or not field.core or value == usual[field.core]:
                continue
            if field.goes_with is None or values[field.goes_with[0]] in field.goes_with[1]:
                values[field.name] = _from_core(field, value)
        return self.entry(**values)


def _named_field(field: Field, name: str) -> Field:
    return replace(
        field,
        name=name,
        key=field.key or f"{name}{field.unit.suffix}",
        label=field.label or name.replace("_", " ").title(),
        core=name if field.core == SAME else field.core,
    )


def _to_core(field: Field, value: Any) -> Any:
    return field.choice(value).value if field.kind == Kind.CHOICE else value


def _from_core(field: Field, value: Any) -> Any:
    return field.word_for(value) if field.kind == Kind.CHOICE else value
