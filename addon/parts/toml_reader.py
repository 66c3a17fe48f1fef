"""Tables of a case file become entries, as the parts are declared.

Each value is checked for its type and its range, each table for the keys that are known. What is
wrong raises BadInputError with one line: where, what, and what to give in its place.
"""

from __future__ import annotations

import reprlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import radians
from typing import Any, TypeVar

import numpy as np

from ..core.messages.findings import BadInputError
from ..files.input_errors import check_words, known_words
from .places import BOX, MESH, PLANES, POSITION, Box, Place, Plane, Point
from .specification import Field, Kind, Part, Unit

Entry = TypeVar("Entry")

TYPES = {
    bool: "true or false",
    int: "a number",
    float: "a number",
    str: "text",
    list: "a list",
    dict: "a table",
}
HUGE = 1e100
"""Numbers are smaller than this, so that no sum or product of some of them is infinite."""


@dataclass(frozen=True)
class Spot:
    """The place of a table in the file: the name of its part, and the prefix of its keys."""

    name: str = ""
    before: str = ""
    table: str = ""


def read_entry(part: Part[Entry], keys: Mapping[str, Any]) -> Entry:
    """The entry of a single table. Raises BadInputError."""
    return _entry(part, keys, Spot())


def read_value(part: Part[Any], name: str, keys: Mapping[str, Any]) -> Any:
    """The value of one field, whatever else is in the table. Raises BadInputError."""
    return _value(part, part.field(name), keys, Spot(), {})


def _entry(part: Part[Entry], keys: Mapping[str, Any], spot: Spot) -> Entry:
    check_words(f"key{spot.table}", keys, part.keys)
    _check_alternatives(part, keys, spot)
    values: dict[str, Any] = {}
    for field in part.fields:
        values[field.name] = _value(part, field, keys, spot, values)
    return part.entry(**values)


def _value(
    part: Part[Any],
    field: Field,
    keys: Mapping[str, Any],
    spot: Spot,
    others: Mapping[str, Any],
) -> Any:
    """The value of a field, in SI units; `others` are those before it."""
    key = next((key for key in field.keys if key in keys), None)
    if key is None:
        if field.kind == Kind.TABLE:
            return READERS[Kind.TABLE](field, {}, field.key, spot)
        if field.required:
            raise BadInputError(f"{spot.name} has no {field.key}; {_remedy(field)}")
        return field.default
    value = READERS[field.kind](field, keys[key], key, spot)
    if field.goes_with:
        word = others[field.goes_with[0]]
        if word not in field.goes_with[1]:
            raise BadInputError(f"{spot.before}{key} does not go with {word}; leave it out")
    return radians(value) if part.unit(field, others) == Unit.ANGLE else value


def _remedy(field: Field) -> str:
    if field.choices:
        return f"known are {', '.join(field.words)}"
    return f"give it, {field.hint}" if field.hint else "give it"


def _check_alternatives(part: Part[Any], keys: Mapping[str, Any], spot: Spot) -> None:
    """Raises BadInputError unless the keys of just one of the part's alternatives are given."""
    options = part.alternatives
    asked = {key for option in options for key in option}
    given = [key for key in part.keys if key in keys and key in asked]
    if not options or set(given) in map(set, options):
        return
    phrases = {form.key: form.phrase for field in part.fields for form in field.forms}
    least = [one for one in options if not any(set(other) < set(one) for other in options)]
    wanted = [" and ".join(phrases.get(key, key) for key in option) for option in least]
    if len(wanted) > 2 and max(map(len, least)) == 1:
        words = f"one of {', '.join(wanted[:-1])} and {wanted[-1]}"
    else:
        words = ", or ".join(wanted)
    raise BadInputError(f"{spot.name} has {', '.join(given) or 'no place'}; give {words}")


def _text(field: Field, value: Any, key: str, spot: Spot) -> str:
    if not isinstance(value, str):
        raise _wrong(spot, key, value, "text in quotes")
    if not value.strip():
        raise BadInputError(f"{spot.before}{key} is empty; fill it in or leave it out")
    return value


def _flag(field: Field, value: Any, key: str, spot: Spot) -> bool:
    if not isinstance(value, bool):
        raise _wrong(spot, key, value, "true or false")
    return value


def _number(field: Field, value: Any, key: str, spot: Spot) -> float:
    if not _is_number(value):
        raise _wrong(spot, key, value, "a finite number")
    _check_range(field, value, f"{spot.before}{key}")
    return float(value)


def _count(field: Field, value: Any, key: str, spot: Spot) -> int:
    if not (_is_number(value) and value == int(value)):
        raise _wrong(spot, key, value, f"a whole number, {_range(field)}")
    _check_range(field, value, f"{spot.before}{key}")
    return int(value)


def _check_range(field: Field, value: float, what: str) -> None:
    low = field.minimum is not None and value < field.minimum
    if low or (field.above is not None and not value > field.above):
        wrong = True
    else:
        wrong = field.maximum is not None and value > field.maximum
    if wrong:
        remedy = ", ".join(filter(None, [_range(field), field.hint]))
        leave = ", or leave it out" if field.zero_is_unset else ""
        raise BadInputError(f"{what} is {value:g}; give {remedy}{leave}")


def _range(field: Field) -> str:
    """The range of a number in words."""
    if field.minimum is not None and field.maximum is not None:
        if field.minimum == field.maximum:
            return f"{field.minimum:g}"
        return f"one from {field.minimum:g} to {field.maximum:g}"
    low = f"one above {field.above:g}" if field.above is not None else f"{field.minimum:g} or more"
    return low if field.maximum is None else f"{low} and up to {field.maximum:g}"


def _choice(field: Field, value: Any, key: str, spot: Spot) -> str:
    word = _text(field, value, key, spot)
    if word not in field.words:
        raise BadInputError(f"{spot.before}{key} is '{word}'; {known_words(word, field.words)}")
    return word


def _names(field: Field, value: Any, key: str, spot: Spot) -> tuple[str, ...]:
    if not (isinstance(value, list) and all(isinstance(item, str) for item in value)):
        raise _wrong(spot, key, value, 'a list of texts ["...", "..."]')
    for word in value:
        if field.choices and word not in field.words:
            raise BadInputError(
                f"{spot.before}{key} has '{word}'; {known_words(word, field.words)}"
            )
    if field.count and not (len(value) == len(set(value)) and len(value) in (0, field.count)):
        wanted = ", ".join('"A" "B" "C"'.split()[: field.count])
        raise BadInputError(
            f"{spot.before}{key} names {len(set(value))}; name {field.count}, "
            f"[{wanted}], or leave it out"
        )
    return tuple(value)


def _numbers(field: Field, value: Any, key: str, spot: Spot) -> dict[str, float]:
    if not (isinstance(value, dict) and all(map(_is_number, value.values()))):
        raise _wrong(spot, key, value, "a table of numbers {name = 0.5}")
    for name, each in value.items():
        _check_range(field, each, f"{spot.before}{key} of '{name}'")
    return {name: float(each) for name, each in value.items()}


def _place(field: Field, value: Any, key: str, spot: Spot) -> Place:
    if key == MESH:
        return _text(field, value, key, spot)
    if key == POSITION:
        if not _is_point(value):
            raise _wrong(spot, key, value, "three numbers [x, y, z]")
        return _point(value)
    if key == BOX:
        return _box(value, spot)
    if not _is_number(value):
        raise _wrong(spot, key, value, "a finite number")
    return Plane(PLANES.index(key), float(value))


def _box(value: Any, spot: Spot) -> Box:
    if not (isinstance(value, list) and len(value) == 2 and all(map(_is_point, value))):
        raise _wrong(spot, BOX, value, "two corners [[x0, y0, z0], [x1, y1, z1]]")
    low, high = np.sort(np.array(value, dtype=float), axis=0).tolist()
    for axis, start, end in zip("xyz", low, high, strict=True):
        if start == end:
            raise BadInputError(
                f"{spot.before}{BOX} has no extent along {axis}, both corners are at {start:g} m; "
                "give two opposite corners"
            )
    return Box(_point(low), _point(high))


def _table(field: Field, value: Any, key: str, spot: Spot) -> Any:
    if not isinstance(value, dict):
        raise _wrong(spot, key, value, f"a table, [{key}]")
    assert field.part
    return _entry(field.part, value, Spot(key, f"{key}.", f" in [{key}]"))


def _tables(field: Field, value: Any, key: str, spot: Spot) -> tuple[Any, ...]:
    if not (isinstance(value, list) and all(isinstance(item, dict) for item in value)):
        raise _wrong(spot, key, value, f"a list of tables, [[{key}]]")
    assert field.part
    entries = []
    for number, item in enumerate(value, 1):
        name = item.get("name", f"{key} {number}")
        what = f"{key} '{name}'"
        table = Spot(what, f"{what}: ", f" in [{key} {number}]")
        entries.append(_entry(field.part, {"name": name} | item, table))
    return tuple(entries)


READERS: dict[Kind, Callable[[Field, Any, str, Spot], Any]] = {
    Kind.TEXT: _text,
    Kind.FILE: _text,
    Kind.NUMBER: _number,
    Kind.COUNT: _count,
    Kind.FLAG: _flag,
    Kind.CHOICE: _choice,
    Kind.NAMES: _names,
    Kind.NUMBERS: _numbers,
    Kind.PLACE: _place,
    Kind.TABLE: _table,
    Kind.TABLES: _tables,
}


def _wrong(spot: Spot, key: str, value: Any, wanted: str) -> BadInputError:
    kind = TYPES.get(type(value), f"a {type(value).__name__}")
    return BadInputError(
        f"{spot.before}{key} is {reprlib.repr(value)}, {kind}; it should be {wanted}"
    )


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < HUGE


def _is_point(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 3 and all(map(_is_number, value))


def _point(value: Any) -> Point:
    x, y, z = map(float, value)
    return x, y, z
