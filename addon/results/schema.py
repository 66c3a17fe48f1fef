"""The JSON Schema (draft 2020-12) of what `--json` prints, made from the declared keys.

    python -m addon.results.schema FILE

writes it. Each result is a definition named by its command; `oneOf` these fits any output.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from .floating import FORMAT
from .keys.compartments import COMPARTMENTS, TANKS
from .keys.floating import FLOAT, HYDROSTATICS
from .keys.flooding import BULKHEADS, FLOOD, FLOODABLE, FLOODS, TIME_TO_FLOOD
from .keys.key import POINT, Key, Kind, Record
from .keys.shared import in_conditions
from .keys.stability import CROSS_CURVES, LIMITS, STABILITY

DIALECT = "https://json-schema.org/draft/2020-12/schema"
NAME = "results.schema.json"
WIDTH = 160
"""Columns of a line of the schema's text."""

RESULTS: Mapping[str, tuple[Record, ...]] = MappingProxyType(
    {
        "float": (FLOAT, in_conditions(FLOAT)),
        "hydrostatics": (HYDROSTATICS,),
        "stability": (STABILITY, in_conditions(STABILITY)),
        "conditions": (in_conditions(STABILITY),),
        "cross-curves": (CROSS_CURVES,),
        "limiting-kg": (LIMITS,),
        "compartments": (COMPARTMENTS,),
        "tanks": (TANKS,),
        "flood": (FLOOD, FLOODS),
        "time-to-flood": (TIME_TO_FLOOD,),
        "floodable-length": (FLOODABLE,),
        "bulkheads": (BULKHEADS,),
    }
)
"""What each command prints: for one case, and for several."""


def results_schema() -> dict[str, Any]:
    """The schema of all results."""
    tops = {record.name: record for records in RESULTS.values() for record in records}
    inner = {part.name: part for top in tops.values() for part in top.records()}
    return {
        "$schema": DIALECT,
        "$id": NAME,
        "title": "Results of Naval Checks",
        "description": (
            "What every command prints with --json. Ship axes: x forward from the aft "
            "perpendicular, y to port, z up from the baseline. Null where a value has no meaning."
        ),
        "oneOf": [reference(name) for name in sorted(tops)],
        "$defs": {
            "point": {
                "type": "array",
                "items": {"type": "number"},
                "minItems": 3,
                "maxItems": 3,
            },
            **{name: schema_of(inner[name], name in tops) for name in sorted(inner)},
        },
    }


def command_schema(command: str) -> dict[str, Any]:
    """The schema of what one command prints."""
    whole = results_schema()
    return whole | {"oneOf": [reference(record.name) for record in RESULTS[command]]}


def schema_of(record: Record, top: bool = False) -> dict[str, Any]:
    """The schema of an object with the keys of a record; at the `top` with its format."""
    keys = {key.name: value_schema(key) for key in record.keys}
    needed = [key.name for key in record.keys if key.always]
    if top:
        format_key = {"const": FORMAT, "description": "version of this format"}
        keys, needed = {"format": format_key, **keys}, ["format", *needed]
    return {
        "description": record.meaning,
        "type": "object",
        "properties": keys,
        "required": needed,
        "additionalProperties": False,
    }


def value_schema(key: Key) -> dict[str, Any]:
    """The schema of the value of a key, with its meaning and its unit."""
    schema = _kind_schema(key.kind)
    if key.null:
        schema = _or_null(schema)
    for _ in range(key.deep):
        schema = {"type": "array", "items": schema}
    return {"description": key.meaning, **({"unit": key.unit} if key.unit else {}), **schema}


def reference(name: str) -> dict[str, Any]:
    """A reference to a definition."""
    return {"$ref": f"#/$defs/{name}"}


def _kind_schema(kind: Kind | tuple[str, ...] | Record) -> dict[str, Any]:
    if isinstance(kind, Record):
        return reference(kind.name)
    if isinstance(kind, tuple):
        return {"enum": list(kind)}
    return reference("point") if kind is POINT else {"type": kind.value}


def _or_null(schema: dict[str, Any]) -> dict[str, Any]:
    if "type" in schema:
        return {"type": [schema["type"], "null"]}
    if "enum" in schema:
        return {"enum": [*schema["enum"], None]}
    return {"oneOf": [schema, {"type": "null"}]}


def schema_text() -> str:
    """The schema as it is published."""
    return f"{_lines(results_schema())}\n"


def _lines(node: Any, indent: str = "") -> str:
    """JSON of a node, on one line where that is short enough."""
    line = json.dumps(node)
    if not isinstance(node, (dict, list)) or len(line) + len(indent) <= WIDTH:
        return line
    within = indent + "  "
    if isinstance(node, dict):
        items = [f"{json.dumps(key)}: {_lines(item, within)}" for key, item in node.items()]
    else:
        items = [_lines(item, within) for item in node]
    start, end = line[0], line[-1]
    return f"{start}\n{within}" + f",\n{within}".join(items) + f"\n{indent}{end}"


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(schema_text(), encoding="utf-8", newline="\n")
