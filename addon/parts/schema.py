"""The JSON Schema of case files, draft 2020-12, made from the declarations of the parts.

python -m addon.parts.schema  # prints it, as docs/schema/case.schema.json has it
"""

from __future__ import annotations

import json
import sys
from itertools import chain
from typing import Any

from .declarations import CASE, PARTS
from .places import BOX, MESH, POSITION
from .specification import Field, Kind, Part

DIALECT = "https://json-schema.org/draft/2020-12/schema"

POINT = {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3}
CORNERS = {"type": "array", "items": POINT, "minItems": 2, "maxItems": 2}
TEXT = {"type": "string", "pattern": "\\S"}
NAMES = {"type": "array", "items": {"type": "string"}}
TYPES: dict[Kind, dict[str, Any]] = {
    Kind.TEXT: TEXT,
    Kind.FILE: TEXT,
    Kind.NUMBER: {"type": "number"},
    Kind.COUNT: {"type": "integer"},
    Kind.FLAG: {"type": "boolean"},
    Kind.CHOICE: {"type": "string"},
    Kind.NAMES: NAMES,
    Kind.NUMBERS: {"type": "object"},
}
PLACES: dict[str, dict[str, Any]] = {MESH: TEXT, BOX: CORNERS, POSITION: POINT}
"""Types of the keys of a place; a plane is a number."""


def case_schema() -> dict[str, Any]:
    """The schema of a case file."""
    return {
        "$schema": DIALECT,
        **part_schema(CASE),
        "$defs": {part.key: part_schema(part) for part in PARTS},
    }


def part_schema(part: Part[Any]) -> dict[str, Any]:
    """The schema of the table of a part."""
    properties = dict(chain.from_iterable(_properties(field) for field in part.fields))
    required = [field.key for field in part.fields if field.required and not field.forms]
    schema: dict[str, Any] = {
        "title": part.label,
        "description": part.doc,
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }
    if required:
        schema["required"] = required
    if part.alternatives:
        schema["oneOf"] = [_alternative(part, option) for option in part.alternatives]
    conditions = [_goes_with(part, field) for field in part.fields if field.goes_with]
    return schema | ({"allOf": conditions} if conditions else {})


def _properties(field: Field) -> list[tuple[str, dict[str, Any]]]:
    """The keys of a field and their permitted values."""
    if field.forms:
        plane: dict[str, Any] = {"type": "number"}
        return [
            (form.key, {"description": form.doc, **PLACES.get(form.key, plane)})
            for form in field.forms
        ]
    if field.part:
        one = {"$ref": f"#/$defs/{field.part.key}"}
        return [(field.key, {"type": "array", "items": one} if field.kind == Kind.TABLES else one)]
    schema: dict[str, Any] = {"title": field.label, "description": field.doc}
    schema |= TYPES[field.kind]
    if field.kind == Kind.NAMES and field.choices:
        schema["items"] = {"enum": list(field.words)}
    elif field.choices:
        schema["oneOf"] = [
            {"const": choice.word, "title": choice.label, "description": choice.doc}
            for choice in field.choices
        ]
    if field.count:
        lengths = ({"maxItems": 0}, {"minItems": field.count, "maxItems": field.count})
        schema |= {"uniqueItems": True, "anyOf": list(lengths)}
    if field.kind == Kind.NUMBERS:
        schema["additionalProperties"] = {"type": "number", **_range(field)}
    else:
        schema |= _range(field)
    if not field.required and field.default not in (None, "", (), {}):
        schema["default"] = field.default
    return [(field.key, schema)]


def _range(field: Field) -> dict[str, float]:
    """The range of a number."""
    limits = {
        "minimum": field.minimum,
        "exclusiveMinimum": field.above,
        "maximum": field.maximum,
    }
    return {key: limit for key, limit in limits.items() if limit is not None}


def _alternative(part: Part[Any], option: tuple[str, ...]) -> dict[str, Any]:
    """One set of keys that is given, and those of the other sets that are then left out."""
    others = {key for other in part.alternatives for key in other if key not in option}
    return {
        "required": list(option),
        "properties": {key: False for key in part.keys if key in others},
    }


def _goes_with(part: Part[Any], field: Field) -> dict[str, Any]:
    """A key that is given with some words of a choice alone."""
    assert field.goes_with
    name, words = field.goes_with
    wanted = {part.field(name).key: {"enum": list(words)}}
    return {"if": {"required": [field.key]}, "then": {"properties": wanted}}


def schema_text() -> str:
    """The schema as it is published."""
    return json.dumps(case_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(schema_text())
