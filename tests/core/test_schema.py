"""What the commands print, held against the published schema of it."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from addon.examples.loader import EXAMPLES, FOLDER, copy_example, load_example
from addon.results.keys.key import UNITS
from addon.results.schema import NAME, RESULTS, command_schema, results_schema, schema_text

PUBLISHED = Path(__file__).parents[2] / "docs" / "schema" / NAME
ROOMY = ("workboat", "leaky-workboat")
WITH_TANKS = ("survey-launch", "half-launch", "sectional-pontoon", *ROOMY)
TWINS = ("half-launch", "leaky-workboat")
"""Examples whose curves are those of another, not asked again for what takes long."""
UNLIKE = tuple(key for key in EXAMPLES if key not in TWINS)
QUICK = ("open-dinghy", "pontoon", "sectional-pontoon", "survey-launch")
"""Those whose limits are found within seconds."""
HEELS = "--heels=-60:60:30"
QUESTIONS = {
    "float": (EXAMPLES, [], ["--all"]),
    "hydrostatics": (EXAMPLES, ["--heel", "12", "--trim", "0.1"]),
    "stability": (EXAMPLES, [HEELS, "--fixed-trim"]),
    "conditions": (UNLIKE, [HEELS]),
    "cross-curves": (EXAMPLES, ["--heels", "30,60"]),
    "limiting-kg": (QUICK, ["--code", "46-cfr-170.170", "--displacements"]),
    "compartments": (EXAMPLES, []),
    "tanks": (WITH_TANKS, ["--steps", "4"]),
    "flood": (ROOMY, ["--compartments", "hold"], ["--each"]),
    "time-to-flood": (ROOMY, ["--compartment", "hold", "--breach", "6,2,0.6", "--area", "0.2"]),
    "floodable-length": (ROOMY, []),
    "bulkheads": (ROOMY, ["--count", "2"]),
}
"""What is asked by each command, of which examples, in one way or several; after
`--displacements` their own."""


VALIDATORS = {
    command: jsonschema.Draft202012Validator(command_schema(command)) for command in RESULTS
}


def answered(run_command, path, command, *words):
    code, out, err = run_command(command, path, "--json", *words)
    assert code in (0, 1) and err == "", err
    return json.loads(out)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("command", "key"), [(command, key) for command, asked in QUESTIONS.items() for key in asked[0]]
)
def test_every_command_prints_what_the_schema_declares(run_command, command, key):
    for words in QUESTIONS[command][1:]:
        if "--displacements" in words:
            words = [*words, str(sum(w.mass for w in load_example(key).weights) / 1000)]
        result = answered(run_command, FOLDER / key / "case.toml", command, *words)
        assert result["format"] == 1
        VALIDATORS[command].validate(result)


def test_every_command_with_results_is_asked():
    assert QUESTIONS.keys() == RESULTS.keys()


def test_the_published_schema_is_that_of_the_declared_keys():
    text = PUBLISHED.read_text(encoding="utf-8")
    assert text == schema_text(), f"python -m addon.results.schema docs/schema/{NAME}"
    schema = json.loads(text)
    assert schema == results_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    for name, record in schema["$defs"].items():
        if name != "point":
            assert record["additionalProperties"] is False, name


def test_keys_with_units_say_them():
    for name, record in results_schema()["$defs"].items():
        for key, schema in record.get("properties", {}).items():
            ends = any(key.endswith(unit) for unit in UNITS)
            assert ("unit" in schema) == ends, f"{name}.{key}"
            assert schema["description"], f"{name}.{key}"


def test_one_definition_a_name():
    """Records of one name are the same, as a definition can only be one of them."""
    found = {}
    for records in RESULTS.values():
        for record in (part for top in records for part in top.records()):
            assert found.setdefault(record.name, record) == record, record.name


@pytest.mark.parametrize(
    "spoil",
    [
        lambda result: result.update(more=1.0),
        lambda result: result.pop("GM_solid_m"),
        lambda result: result.pop("format"),
        lambda result: result.update(format=2),
        lambda result: result.update(KG_m="1.0"),
        lambda result: result.update(state="flying"),
        lambda result: result["G_m"].append(0.0),
        lambda result: result["openings"][0].update(more=1.0),
        lambda result: result.update(title=None),
    ],
)
def test_what_is_not_declared_is_refused(run_command, spoil):
    result = answered(run_command, FOLDER / "survey-launch" / "case.toml", "float")
    whole = jsonschema.Draft202012Validator(results_schema())
    for schema in (VALIDATORS["float"], whole):
        schema.validate(result)
    spoil(result)
    for schema in (VALIDATORS["float"], whole):
        assert not schema.is_valid(result)


@pytest.mark.parametrize("words", [["float"], ["stability", HEELS], ["conditions", HEELS]])
def test_a_sunk_vessel_prints_what_the_schema_declares(tmp_path, run_command, words):
    copy_example("pontoon", tmp_path)
    (tmp_path / "weights.csv").write_text("name,mass_kg,x_m,y_m,z_m\nall,200000,5,0,1\n")
    command, *rest = words
    result = answered(run_command, tmp_path / "case.toml", command, *rest)
    assert result["failed"] == ["sunk"]
    VALIDATORS[command].validate(result)


def test_what_comes_through_an_opening_is_as_the_schema_declares(tmp_path, run_command):
    copy_example("pontoon", tmp_path)
    case = tmp_path / "case.toml"
    scuttle = '[[opening]]\nname = "scuttle"\nposition_m = [5.0, 2.0, 0.1]\narea_m2 = 0.02\n'
    case.write_text(f"{case.read_text()}\n{scuttle}")
    for command, *words in (
        ("time-to-flood", "--compartment", "space 1", "--opening", "scuttle"),
        ("flood", "--compartments", "space 1"),
        ("compartments",),
    ):
        VALIDATORS[command].validate(answered(run_command, case, command, *words))
