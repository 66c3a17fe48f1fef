"""Every field of every part, walked through the file, the schema, messages and the core."""

from __future__ import annotations

import dataclasses
import json
import re
import tomllib
from collections.abc import Iterator
from itertools import chain
from math import radians
from pathlib import Path
from typing import Any, get_args, get_type_hints

import jsonschema
import numpy as np
import pytest

from addon.core.messages.findings import BadInputError
from addon.examples.loader import EXAMPLES
from addon.parts.case_file import parse_case
from addon.parts.case_writer import write_case
from addon.parts.declarations import (
    CASE,
    CRITERION,
    HULL,
    PARTS,
    SCENE_PARTS,
    WEIGHT,
    CaseEntry,
    CriterionEntry,
    HullEntry,
)
from addon.parts.places import BOX, MESH, PLANES, POSITION, Box, Plane, form_of
from addon.parts.schema import case_schema, schema_text
from addon.parts.specification import Field, Kind, Part, Source, Unit
from addon.parts.toml_reader import read_entry
from addon.parts.toml_writer import case_text, hint_text
from tests.language import refused

ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "docs" / "schema" / "case.schema.json"
VALID = jsonschema.Draft202012Validator(case_schema())

ODD = 0.1 + 0.2
PLACES = {
    MESH: 'an "odd" name.obj',
    BOX: Box((1 / 3, -ODD, 0.1), (2.0, 1 / 7, 1.0)),
    POSITION: (1 / 3, -ODD, 3.2),
    **{key: Plane(axis, 10 / 3) for axis, key in enumerate(PLANES)},
}
WRONG: dict[Kind, tuple[Any, ...]] = {
    Kind.TEXT: (3, [], " "),
    Kind.FILE: (3, False, ""),
    Kind.NUMBER: ("1", True, [1.0]),
    Kind.COUNT: ("1", True, 1.5),
    Kind.FLAG: (1, "true"),
    Kind.CHOICE: (3, "no such word"),
    Kind.NAMES: ("a", [1]),
    Kind.NUMBERS: ([1.0], {"a": "1"}),
    Kind.TABLE: (3, [{}]),
    Kind.TABLES: (3, {"name": "a"}),
}
WRONG_PLACES = {
    MESH: (3, " "),
    BOX: ([[0, 0, 0]], [[0, 0, 0], [1, 1]], 3),
    POSITION: ([1, 2], [1, 2, "3"], 3),
    **{key: ("1", [1]) for key in PLANES},
}


def values_of(field: Field) -> Iterator[Any]:
    """Values that are not the default, of many digits, as an entry has them."""
    if field.kind == Kind.PLACE:
        yield from (PLACES[form.key] for form in field.forms)
    elif field.kind in (Kind.NUMBER, Kind.COUNT):
        low = next((each for each in (field.minimum, field.above) if each is not None), -1.0)
        if field.kind == Kind.COUNT:
            yield int(low) + 7
        elif field.unit == Unit.ANGLE:
            yield radians(100 / 3)
        else:
            yield low + ((field.maximum or low + 2.0) - low) / 3
    elif field.kind == Kind.CHOICE:
        words = field.words[len(field.words) // 2 :] + field.words
        yield next(word for word in words if word != field.default)
    elif field.kind == Kind.NAMES:
        yield field.words[:2] or ("a", 'the "other"')[: field.count]
    elif field.kind == Kind.NUMBERS:
        yield {'the "odd" one': 1 / 3, "b": 1.0}
    else:
        yield {Kind.FLAG: True, Kind.TEXT: 'an "ödd\\" text', Kind.FILE: "a b.ply"}[field.kind]


def entry_with(part: Part[Any], field: Field, value: Any) -> Any:
    """An entry with a value of a field, and what must be given with that."""
    values = {each.name: next(values_of(each)) for each in part.fields if each.required}
    values |= {"name": "one"} if "name" in part.keys else {}
    if field.goes_with:
        values[field.goes_with[0]] = field.goes_with[1][0]
    values[field.name] = value
    key = form_of(value) if field.forms else field.key
    option = next((each for each in part.alternatives if key in each), (*part.alternatives, ())[0])
    for each in part.fields:
        if each.forms and option and each.name != field.name:
            values[each.name] = next(PLACES[key] for key in option if key in PLACES)
        elif each.key in option and each.name != field.name:
            values[each.name] = next(values_of(each))
    return part.entry(**values)


def case_with(part: Part[Any], entry: Any) -> CaseEntry:
    """A case with that entry."""
    table = next(field for field in CASE.fields if field.part is part)
    if part is HULL:
        return CaseEntry(entry, title="Case")
    tables = {table.name: (entry,) if table.kind == Kind.TABLES else entry}
    return CaseEntry(HullEntry("hull.obj"), title="Case", **tables)


def written(part: Part[Any], field: Field) -> dict[str, Any]:
    """The keys of a case with a value of that field."""
    entry = entry_with(part, field, next(values_of(field)))
    keys = tomllib.loads(case_text(case_with(part, entry)))
    return keys


def table_of(keys: dict[str, Any], part: Part[Any]) -> dict[str, Any]:
    found = keys[part.key]
    return found[0] if isinstance(found, list) else found


FIELDS = [
    pytest.param(part, field, id=f"{part.key}.{field.name}")
    for part in PARTS
    for field in part.fields
]


def limits(field: Field) -> list[float]:
    """Numbers just out of the range of a field."""
    return [
        *([] if field.minimum is None else [field.minimum - 1e-3]),
        *([] if field.above is None else [field.above]),
        *([] if field.maximum is None else [field.maximum + 1e-3]),
    ]


LIMITED = [
    pytest.param(part, field, limit, id=f"{part.key}.{field.name} at {limit:g}")
    for part in PARTS
    for field in part.fields
    for limit in limits(field)
]


# The file --------------------------------------------------------------------------------------


@pytest.mark.parametrize("part,field", FIELDS)
def test_every_field_comes_back_from_the_file(part: Part[Any], field: Field) -> None:
    for value in values_of(field):
        case = case_with(part, entry_with(part, field, value))
        text = case_text(case)
        assert parse_case(tomllib.loads(text)) == case
        key = form_of(value) if field.forms else field.key
        assert key in table_of(tomllib.loads(text), part)
        assert value != field.default


@pytest.mark.parametrize("part,field", FIELDS)
def test_every_field_is_in_the_schema(part: Part[Any], field: Field) -> None:
    keys = written(part, field)
    assert [error.message for error in VALID.iter_errors(keys)] == []
    assert {*field.keys} <= {*case_schema()["$defs"][part.key]["properties"]}


@pytest.mark.parametrize("part,field", FIELDS)
def test_a_wrong_type_gets_one_line(part: Part[Any], field: Field) -> None:
    """And the schema does not take it."""
    for value in values_of(field):
        keys = tomllib.loads(case_text(case_with(part, entry_with(part, field, value))))
        key = form_of(value) if field.forms else field.key
        for wrong in WRONG_PLACES[key] if field.forms else WRONG[field.kind]:
            table_of(keys, part)[key] = wrong
            with pytest.raises(BadInputError) as error:
                parse_case(keys)
            line = str(error.value)
            assert part.key in line and key in line and "\n" not in line, line
            assert not VALID.is_valid(keys), wrong


@pytest.mark.parametrize("part,field,limit", LIMITED)
def test_a_number_out_of_range_gets_one_line(part: Part[Any], field: Field, limit: float) -> None:
    keys = written(part, field)
    several = field.kind == Kind.NUMBERS
    table_of(keys, part)[field.key] = {"a": limit} if several else limit
    if field.kind != Kind.COUNT:
        with pytest.raises(BadInputError, match=rf"{field.key}.* is .*; give "):
            parse_case(keys)
    assert not VALID.is_valid(keys)


@pytest.mark.parametrize("part,field", FIELDS)
def test_a_required_field_is_asked_for(part: Part[Any], field: Field) -> None:
    keys = written(part, field)
    for key in field.keys:
        table_of(keys, part).pop(key, None)
    if field.required:
        with pytest.raises(BadInputError, match=r"has (no|[\w, ]+; give)"):
            parse_case(keys)
        assert not VALID.is_valid(keys)
    elif not any(field.key in option for option in part.alternatives):
        parse_case(keys)


@pytest.mark.parametrize("part", PARTS, ids=[part.key for part in PARTS])
def test_a_key_that_is_nearly_right_is_named(part: Part[Any]) -> None:
    keys = written(part, part.fields[0])
    key = part.fields[-1].keys[0]
    table_of(keys, part)[f"{key}x"] = 1.0
    with pytest.raises(BadInputError, match=rf"\[{part.key}.*did you mean '{key}'"):
        parse_case(keys)
    assert not VALID.is_valid(keys)


@pytest.mark.parametrize("field", CASE.fields, ids=[field.key for field in CASE.fields])
def test_a_table_of_a_wrong_type_gets_one_line(field: Field) -> None:
    for wrong in WRONG[field.kind]:
        keys = {"hull": {"mesh": "hull.obj"}} | {field.key: wrong}
        with pytest.raises(BadInputError, match=field.key):
            parse_case(keys)
        assert not VALID.is_valid(keys)


@pytest.mark.parametrize("part", PARTS, ids=[part.key for part in PARTS])
def test_hints_are_good_tables(part: Part[Any]) -> None:
    """Uncommented, each reads as what it explains."""
    lines = (line.removeprefix("# ") for line in hint_text(part).splitlines())
    live = "\n".join(line for line in lines if "=" in line or line.startswith("["))
    hull = "" if part is HULL else '[hull]\nmesh = "hull.obj"\n'
    keys = tomllib.loads(hull + live)
    assert VALID.is_valid(keys)
    table = next(field for field in CASE.fields if field.part is part)
    found = getattr(parse_case(keys), table.name)
    if part.key != "water":
        assert found != table.default and (table.kind == Kind.TABLE or len(found) == 1)


def test_a_key_goes_with_its_words_alone() -> None:
    for field in (each for part in PARTS for each in part.fields if each.goes_with):
        keys = {"name": "c", "measure": "freeboard", field.key: 1.0}
        with pytest.raises(BadInputError, match=f"{field.key} does not go with freeboard"):
            parse_case({"hull": {"mesh": "hull.obj"}, "criterion": [keys]})
        assert not VALID.is_valid({"hull": {"mesh": "hull.obj"}, "criterion": [keys]})


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"mass_kg": 1.0},
        {"mass_kg": 1.0, "mesh": "a.obj"},
        {"mesh": "a.obj"},
        {"mesh": "a.obj", "areal_density_kg_m2": 1.0, "solid_density_kg_m3": 1.0},
        {"position_m": [1, 2, 3], "solid_density_kg_m3": 1.0},
    ],
)
def test_a_weight_has_the_keys_of_one_alternative(given: dict[str, Any]) -> None:
    with pytest.raises(BadInputError, match=r"has .*; give mass_kg and position_m = .*, or mesh"):
        read_entry(WEIGHT, given)
    assert not VALID.is_valid({"hull": {"mesh": "hull.obj"}, "weight": [given]})


# The schema ------------------------------------------------------------------------------------


def test_the_published_schema_is_that_of_the_declarations() -> None:
    """Renew it by `python -m addon.parts.schema > docs/schema/case.schema.json`."""
    assert SCHEMA.read_text(encoding="utf-8") == schema_text()


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text()))


@pytest.mark.parametrize("key", EXAMPLES)
def test_every_example_is_valid(tmp_path: Path, run_command: Any, key: str) -> None:
    assert run_command("new", tmp_path / "ship", "--example", key)[0] == 0
    keys = tomllib.loads((tmp_path / "ship" / "case.toml").read_text(encoding="utf-8"))
    assert keys["format"] == 1
    assert [error.message for error in VALID.iter_errors(keys)] == []


def test_the_format_is_written_and_may_be_left_out(tmp_path: Path) -> None:
    entry = CaseEntry(HullEntry("hull.obj"), title="Box")
    text = write_case(tmp_path, entry)[0].read_text(encoding="utf-8")
    keys = tomllib.loads(text)
    assert keys.pop("format") == 1 and parse_case(keys).format == 1
    for other in (0, 2):
        keys["format"] = other
        with pytest.raises(BadInputError, match=f"format is {other}; give 1"):
            parse_case(keys | {"what a later one may have": 1})
        assert not VALID.is_valid(keys)


# The core --------------------------------------------------------------------------------------

WITH_CORE = [
    pytest.param(part, field, id=f"{part.key}.{field.name}")
    for part in (*PARTS, *SCENE_PARTS)
    for field in part.fields
    if part.core and field.core
]


def made(part: Part[Any], values: dict[str, Any]) -> Any:
    """An object of a part's type in the core with these values, unchecked."""
    assert part.core
    found = object.__new__(part.core)
    for field in dataclasses.fields(part.core):
        value = values.get(field.name, field.default)
        object.__setattr__(found, field.name, value)
    return found


@pytest.mark.parametrize("part,field", WITH_CORE)
def test_every_field_has_its_place_in_the_core(part: Part[Any], field: Field) -> None:
    """And is the same there by default."""
    (there,) = (each for each in dataclasses.fields(part.core) if each.name == field.core)
    if field.required or field.name == "name":
        return
    usual = part.core_values(part.entry(**{**vars(entry_of(part)), field.name: field.default}))
    if there.default_factory is not dataclasses.MISSING:
        assert usual[field.core] == there.default_factory()
    elif field.default is not None and there.default is not dataclasses.MISSING:
        assert usual[field.core] == there.default
    else:
        assert field.core not in usual or field.default is not None


def entry_of(part: Part[Any]) -> Any:
    return entry_with(part, part.fields[0], next(values_of(part.fields[0])))


@pytest.mark.parametrize("part,field", WITH_CORE)
def test_every_field_comes_back_from_the_core(part: Part[Any], field: Field) -> None:
    kept = [each.name for each in part.fields if not each.core]
    for value in values_of(field):
        entry = entry_with(part, field, value)
        values = part.core_values(entry)
        assert values[field.core] == (
            field.choice(value).value if field.kind == Kind.CHOICE else value
        )
        more = {name: getattr(entry, name) for name in kept}
        assert part.from_core(made(part, values), **more) == entry


LIMITED_IN_CORE = [
    pytest.param(part, field, limit, id=f"{part.key}.{field.name} at {limit:g}")
    for part in (*PARTS, *SCENE_PARTS)
    for field in part.fields
    if part.core and field.core
    for limit in limits(field)
    if limit
    not in {each.default for each in dataclasses.fields(part.core) if each.name == field.core}
]


@pytest.mark.parametrize("part,field,limit", LIMITED_IN_CORE)
def test_the_core_keeps_the_range_of_the_file(part: Part[Any], field: Field, limit: float) -> None:
    """But for zeros that stand there for what is not known."""

    def core_part(entry: Any) -> Any:
        assert part.core
        values = {"least": 1.0} if part is CRITERION else {}
        needed = [
            each.name
            for each in dataclasses.fields(part.core)
            if each.default is each.default_factory is dataclasses.MISSING
        ]
        return part.core(**(dict.fromkeys(needed, np.zeros(3)) | values | part.core_values(entry)))

    entry = entry_with(part, field, next(values_of(field)))
    core_part(entry)
    beyond = {"a": limit} if field.kind == Kind.NUMBERS else limit
    with pytest.raises(BadInputError):
        core_part(dataclasses.replace(entry, **{field.name: beyond}))


@pytest.mark.parametrize(
    "part,field", [each for each in WITH_CORE if each.values[1].kind == Kind.CHOICE]
)
def test_choices_are_those_of_the_core(part: Part[Any], field: Field) -> None:
    hint = get_type_hints(part.core)[field.core]
    options = [each for each in get_args(hint) if each is not type(None)]
    if hint is not bool and not isinstance(options[0], str):
        options = list(get_args(options[0]))
    wanted = {False, True} if hint is bool else set(options)
    assert {choice.value for choice in field.choices} == wanted
    assert len(field.choices) == len(wanted)


def test_a_limit_is_in_the_unit_of_its_measure() -> None:
    keys = {"at_least": 20.0, "at_most": 40.0}
    measure = next(field for part in PARTS for field in part.fields if field.name == "measure")
    for choice in measure.choices:
        case = {"hull": {"mesh": "hull.obj"}, "criterion": [{"measure": choice.word, **keys}]}
        (found,) = parse_case(case).custom_criteria
        assert isinstance(found, CriterionEntry)
        unit = radians(1) if "angle" in choice.word or "hee" in choice.word else 1.0
        unit = radians(1) if choice.word == "range" else unit
        assert (found.at_least, found.at_most) == pytest.approx((20 * unit, 40 * unit))


@pytest.mark.parametrize("part", SCENE_PARTS, ids=lambda part: part.key)
def test_a_case_file_has_no_inputs_of_flooding_in_time(part: Part[Any]) -> None:
    with refused(f"unknown key '{part.key}'; known are hull"):
        parse_case({"hull": {"mesh": "hull.obj"}, part.key: [{}]})
    assert part.key not in case_schema()["properties"]


# What people read ------------------------------------------------------------------------------


@pytest.mark.parametrize("part", (*PARTS, *SCENE_PARTS), ids=lambda part: part.key)
def test_labels_and_tooltips_are_in_the_form_of_blender(part: Part[Any]) -> None:
    words = [(part.label, part.doc)]
    words += [(field.label, field.doc) for field in part.fields]
    words += [(each.label, each.doc) for field in part.fields for each in field.choices]
    for label, doc in words:
        assert doc and doc[0].isupper() and not doc.endswith("."), doc
        assert label and (label[0].isupper() or not label[0].isalpha()), label
    for form in (form for field in part.fields for form in field.forms):
        assert form.doc[0].isupper() and not form.doc.endswith("."), form.doc


def test_identifiers_of_choices_are_those_of_enums() -> None:
    found = [
        [choice.identifier for choice in field.choices]
        for part in (*PARTS, *SCENE_PARTS)
        for field in part.fields
        if field.kind == Kind.CHOICE
    ]
    assert "DECK_EDGE_IMMERSION_ANGLE" in chain(*found)
    assert ["X", "NEGATIVE_X"] == next(each for each in found if "X" in each)[:2]
    for identifiers in found:
        assert len({*identifiers}) == len(identifiers)
        for identifier in identifiers:
            assert re.fullmatch("[A-Z][A-Z0-9_]*", identifier), identifier


def test_keys_are_distinct() -> None:
    for part in (CASE, *PARTS, *SCENE_PARTS):
        assert len(set(part.keys)) == len(part.keys)


def test_what_comes_from_properties_can_be_one() -> None:
    """An unknown number is given as a zero, or else by a switch beside it: never both."""
    for part in (*PARTS, *SCENE_PARTS):
        for field in part.fields:
            assert field.optional or not field.zero_is_unset
            if field.kind in (Kind.PLACE, Kind.FILE):
                assert field.source is Source.OBJECT
