"""The fields of a declaration, one function for each type of value.

Each gives the field of a dataclass that carries its own `Field`.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from .places import Form
from .specification import FIELD, REQUIRED, SAME, Choice, Field, Kind, Part, Source, Unit


def declared(kind: Kind, doc: str, default: Any = REQUIRED, **more: Any) -> Any:
    """A field of a dataclass with its declaration."""
    metadata = {FIELD: Field(kind, doc, default=default, **({"core": SAME} | more))}
    if default is REQUIRED or more.get("source") is Source.NAME and kind == Kind.TEXT:
        return dataclasses.field(metadata=metadata)
    if isinstance(default, dict):
        return dataclasses.field(default_factory=dict, metadata=metadata)
    return dataclasses.field(default=default, metadata=metadata)


def text(doc: str, default: str | None = "", **more: Any) -> Any:
    """A text."""
    return declared(Kind.TEXT, doc, default, **more)


def named(example: str = "", core: str = SAME) -> Any:
    """The name of a part, by its table and number where the file has none."""
    doc = "What it is called"
    more = {"core": core, "example": example or None}
    return declared(Kind.TEXT, doc, "", source=Source.NAME, always=True, **more)


def mirrored() -> Any:
    """Whether a part is on both sides."""
    doc = "There is a mirror image of it on the other side of the centerplane"
    return declared(Kind.FLAG, doc, False, core="")


def number(doc: str, unit: Unit = Unit.NONE, default: Any = REQUIRED, **more: Any) -> Any:
    """A number."""
    return declared(Kind.NUMBER, doc, default, unit=unit, **more)


def count(doc: str, default: Any = REQUIRED, **more: Any) -> Any:
    """A whole number, zero or more."""
    return declared(Kind.COUNT, doc, default, **({"minimum": 0} | more))


def flag(doc: str, default: bool | None = False, **more: Any) -> Any:
    """A switch."""
    return declared(Kind.FLAG, doc, default, **more)


def choice(doc: str, choices: tuple[Choice, ...], default: Any = REQUIRED, **more: Any) -> Any:
    """One word of several."""
    return declared(Kind.CHOICE, doc, default, choices=choices, **more)


def names(doc: str, default: tuple[str, ...] | None = (), **more: Any) -> Any:
    """A list of names, `count` different ones or none where that is given, or of chosen words."""
    return declared(Kind.NAMES, doc, default, **more)


def numbers(doc: str, **more: Any) -> Any:
    """Numbers by name, none unless they are given."""
    return declared(Kind.NUMBERS, doc, {}, **more)


def file(doc: str, **more: Any) -> Any:
    """The name of a mesh file, or the mesh (m) that is to be written there."""
    return declared(Kind.FILE, doc, core="", source=Source.OBJECT, **more)


def placed(*forms: Form, **more: Any) -> Any:
    """Where a part is, in one of several forms."""
    doc = "Where it is"
    return declared(Kind.PLACE, doc, forms=forms, core="", source=Source.OBJECT, **more)


def table(part: Part[Any], default: Any = REQUIRED) -> Any:
    """A table of its own for a part of which there is one."""
    return declared(Kind.TABLE, part.doc, default, part=part, key=part.key, core="")


def tables(part: Part[Any]) -> Any:
    """A list of tables for a part of which there are several."""
    return declared(Kind.TABLES, part.doc, (), part=part, key=part.key, core="")
