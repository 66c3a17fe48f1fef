"""Entries become tables of a case file that reads back the same to the last digit.

What is as it is by default is left out, but for the tables of hull and water, which have all their
keys; tables that a case may have and has not are explained in comments.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from textwrap import wrap
from typing import Any

from ..units.angles import exact_degrees
from .declarations import CASE, HULL, WATER, CaseEntry
from .places import Box, Plane, form_of
from .specification import Field, Kind, Part, Unit

EXPLAINED = (HULL, WATER)
WIDTH = 96


def case_text(entry: CaseEntry) -> str:
    """The file of a case whose meshes are in files beside it."""
    about = "".join(f"# {line}\n" for line in wrap(f"{CASE.doc}.", WIDTH))
    top = "".join(_lines(CASE, entry, [field for field in CASE.fields if not field.part]))
    tables, hints = [], []
    for field in CASE.fields:
        if not field.part:
            continue
        found = getattr(entry, field.name)
        if field.part in EXPLAINED:
            tables.append(_explained(field.part, found))
        elif found == field.default:
            hints.append(hint_text(field.part))
        else:
            tables += [
                table_text(field.part, each)
                for each in (found if field.kind == Kind.TABLES else [found])
            ]
    return "\n".join([about, top, *tables, *hints])


def table_text(part: Part[Any], entry: Any) -> str:
    """One table of a case, nothing in it that is as it is by default."""
    shown = [field for field in part.fields if _is_shown(field, getattr(entry, field.name))]
    return "".join([f"{_head(part)}\n", *_lines(part, entry, shown)])


def hint_text(part: Part[Any]) -> str:
    """A table that a case may have, as a comment."""
    lines = wrap(part.doc, WIDTH) + ["", _head(part)]
    entry = example(part)
    for field in part.fields:
        if field.example is not None:
            key, value = _pair(part, field, entry)
            lines.append(f"{key} = {_value(value)}  # {_meaning(field, key)}")
    return "".join(f"# {line}".rstrip() + "\n" for line in lines)


def example(part: Part[Any]) -> Any:
    """An entry of the examples of its fields."""
    return part.entry(
        **{field.name: field.example for field in part.fields if field.example is not None}
    )


def _is_shown(field: Field, value: Any) -> bool:
    return field.always or value != field.default


def _head(part: Part[Any]) -> str:
    several = any(field.part is part and field.kind == Kind.TABLES for field in CASE.fields)
    return f"[[{part.key}]]" if several else f"[{part.key}]"


def _lines(part: Part[Any], entry: Any, fields: Iterable[Field]) -> Iterator[str]:
    for field in fields:
        if _is_shown(field, getattr(entry, field.name)):
            key, value = _pair(part, field, entry)
            yield f"{key} = {_value(value)}\n"


def _explained(part: Part[Any], entry: Any) -> str:
    """A table with all keys and what they mean, those that are not given as comments."""
    lines = [_head(part)]
    for field in part.fields:
        given = getattr(entry, field.name) is not None
        key, value = _pair(part, field, entry if given else example(part))
        lines.append(f"{'' if given else '# '}{key} = {_value(value)}  # {field.doc}")
    return "\n".join(lines) + "\n"


def _meaning(field: Field, key: str) -> str:
    """What a key means; of a place, which others there are in its place."""
    if not field.forms:
        return field.doc
    doc = next(form.doc for form in field.forms if form.key == key)
    others = [form.key for form in field.forms if form.key != key]
    return f"{doc}; or {', '.join(others)}" if others else doc


def _pair(part: Part[Any], field: Field, entry: Any) -> tuple[str, Any]:
    """A key and its value as the file has them."""
    value = getattr(entry, field.name)
    if field.kind == Kind.PLACE:
        return form_of(value), value
    if value is not None and part.unit(field, vars(entry)) == Unit.ANGLE:
        return field.key, exact_degrees(value)
    return field.key, value


def quoted(text: str) -> str:
    """A TOML string; JSON's escapes are TOML's too, but for the one control it leaves bare."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, Box):
        return _value([value.low, value.high])
    if isinstance(value, Plane):
        return _value(value.at)
    if isinstance(value, Mapping):
        return _joined("{}", (f"{quoted(name)} = {_value(item)}" for name, item in value.items()))
    if isinstance(value, (list, tuple)):
        return _joined("[]", map(_value, value))
    if isinstance(value, bool):
        return str(value).lower()
    return repr(value) if isinstance(value, int) else repr(float(value))


def _joined(brackets: str, items: Iterable[str]) -> str:
    return f"{brackets[0]}{', '.join(items)}{brackets[1]}"
