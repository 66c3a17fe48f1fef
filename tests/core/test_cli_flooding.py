"""The words that flood it: answers, shapes, exit codes, charts and what goes wrong."""

from __future__ import annotations

import json

import numpy as np
import pytest

from addon.charts.chart import Line, Note
from addon.charts.flooding_chart import time_to_flood_chart
from addon.cli import flooding as commands
from addon.core.compartments.find_compartments import find_compartments
from addon.core.criteria.disclaimer import CAUTION, UNCHECKED
from addon.core.damage import bulkhead_suggestion, flooding
from addon.core.damage import floodable_length as floodable
from addon.core.damage.breach import Breach
from addon.core.damage.damaged_case import damaged
from addon.core.damage.flooding_result import worst
from addon.core.flooding_time import time_to_flood
from addon.core.flooding_time.flow_network import Pump
from addon.examples.loader import load_example
from addon.parts.case_file import read_case
from addon.report.flooding import bulkheads_report, floodable_length_report, time_to_flood_report
from addon.results.flooding import floodable_length_rows, main_compartment_rows, time_to_flood_rows
from addon.units.durations import clock, duration
from tests.bodies import box
from tests.core.written_cases import rows_of, words_of, written_case
from tests.once import once

pytestmark = pytest.mark.slow

CASE = """\
title = "Barge"
[hull]
mesh = "hull.obj"
[water]
density_kg_m3 = 1000.0
[[weight]]
name = "steel"
mass_kg = 36000.0
position_m = [6.0, 0.0, 1.0]
[[boundary]]
name = "after bulkhead"
x_m = 3.0
[[boundary]]
name = "fore bulkhead"
x_m = 9.0
[[boundary]]
name = "center boundary"
mesh = "boundary.obj"
[[compartment]]
name = "aft"
position_m = [1.0, 0.0, 1.0]
permeability = 1.0
[[compartment]]
name = "port"
position_m = [6.0, 1.0, 1.0]
permeability = 1.0
[[compartment]]
name = "starboard"
position_m = [6.0, -1.0, 1.0]
permeability = 1.0
[[compartment]]
name = "fore"
position_m = [10.0, 0.0, 1.0]
permeability = 1.0
[[opening]]
name = "vent"
position_m = [1.0, 0.0, 2.0]
compartments = ["aft"]
[[door]]
name = "door"
position_m = [3.0, 0.5, 0.5]
area_m2 = 1.0
compartments = ["aft", "port"]
closed = true
[[condition]]
name = "fore flooded"
flooded = ["fore"]
"""
BOUNDARY = "v 3 0 -1\nv 9 0 -1\nv 9 0 3\nv 3 0 3\nf 1 2 3 4\n"
HOLE = ("--compartment", "fore", "--breach", "12,0,0.2", "--area", "0.02")

flood, flood_each = once(flooding.flood), once(flooding.flood_each)
flood_in_time = once(time_to_flood.simulate_flooding)
floodable_length = once(floodable.floodable_length)
place_bulkheads = once(bulkhead_suggestion.suggest_bulkheads)


@pytest.fixture(autouse=True)
def computed_once(monkeypatch):
    """What the words ask of the core is what the tests ask of it, if it is asked rightly."""
    for asked in (flood, flood_each, flood_in_time, floodable_length, place_bulkheads):
        monkeypatch.setattr(commands, asked.__name__, asked)


@pytest.fixture
def barge(tmp_path):
    """Writes the case of a box 12 x 4 x 2 m in four compartments, changed as given; gives its
    path."""

    def write(old: str = "", new: str = "", more: str = ""):
        (tmp_path / "boundary.obj").write_text(BOUNDARY)
        return written_case(tmp_path, CASE.replace(old, new) + more, box(12, 4, 2))

    return write


@pytest.fixture
def workboat(tmp_path, run_command):
    """Writes an example; gives its path."""

    def write(key="workboat"):
        code, _, err = run_command("new", tmp_path / key, "--example", key)
        assert (code, err) == (0, "")
        return tmp_path / key / "case.toml"

    return write


# Flood -----------------------------------------------------------------------------------------


def test_both_middle_compartments_by_the_closed_form(barge, run_command):
    """Lost buoyancy amidships, from side to side: 36 m3 on the 24 m2 that are left."""
    path = barge()
    code, out, err = run_command("flood", path, "--compartments", "port, starboard", "--json")
    result = json.loads(out)
    draft = 36 / 24
    assert (code, err) == (0, "")
    assert result["compartments"] == result["compartments_flooded"] == ["port", "starboard"]
    assert result["survives"] is True and result["outcome"] == "afloat" and result["failed"] == []
    assert result["draft_mid_m"] == pytest.approx(draft)
    assert result["trim_m"] == pytest.approx(0, abs=1e-9)
    assert result["flooded_volume_m3"] == pytest.approx(24 * draft)
    assert result["residual_freeboard_m"] == pytest.approx(2 - 0.076 - draft)
    KM = draft / 2 + 6 * 4**3 / 12 / 36
    assert result["GM_solid_m"] == pytest.approx(KM - 1.0)
    assert result["displacement_kg"] == 36000.0
    assert result["freeboards"] == [
        {"opening": "vent", "height_above_water_m": pytest.approx(2 - draft)}
    ]
    assert result["criteria_note"] == UNCHECKED and result["disclaimer"] == CAUTION
    assert 0 < result["s_factor"] <= 1 and result["progressive_flooding"] == []


def test_keys_of_the_contract(barge, run_command):
    """All that `float` gives, and more."""
    path = barge()
    _, out, _ = run_command("float", path, "--json")
    keys = set(json.loads(out))
    _, out, _ = run_command("flood", path, "--compartments", "fore", "--json")
    result = json.loads(out)
    more = {"survives", "reason", "flooded_volume_m3", "residual_GZ_max_m", "residual_range_deg"}
    assert keys | more | {"s_factor"} <= set(result)
    found = flood(read_case(path), find_compartments(read_case(path)), ("fore",))
    assert found.residual is not None and found.stability is not None
    assert result["residual_GZ_max_m"] == found.residual.max_gz
    assert result["residual_range_deg"] == np.degrees(found.residual.range)
    assert result["s_factor"] == found.s_factor and result["reason"] == found.explanation
    side = found.stability.starboard if found.residual.sign > 0 else found.stability.port
    heels = np.radians(result["residual_heel_deg"])
    assert result["residual_GZ_m"] == side.gz_curve.arm(heels).tolist()
    assert result["residual_side"] == side.name


def test_one_flooding_as_a_row(barge, run_command):
    _, out, _ = run_command("flood", barge(), "--compartments", "port,starboard", "--csv")
    (row,) = rows_of(out)
    assert row["compartments"] == "port; starboard" and row["survives"] == "True"
    assert float(row["draft_mid_m"]) == pytest.approx(1.5) and "[" not in "".join(row.values())


def test_one_side_lists_to_it(barge, run_command):
    code, out, _ = run_command("flood", barge(), "--compartments", "starboard", "--json")
    result = json.loads(out)
    assert result["heel_deg"] > 1 and result["residual_side"] == "starboard"
    code, out, _ = run_command("flood", barge(), "--compartments", "port", "--json")
    assert json.loads(out)["heel_deg"] == pytest.approx(-result["heel_deg"], abs=1e-6)


@pytest.mark.wording
def test_water_spreads_through_an_open_door(barge, run_command):
    """Shut, the door holds; open, with its sill under water, the port compartment floods too."""
    closed = barge()
    _, out, _ = run_command("flood", closed, "--compartments", "aft", "--json")
    assert json.loads(out)["compartments_flooded"] == ["aft"]
    code, out, _ = run_command("flood", barge("closed = true\n"), "--compartments", "aft", "--json")
    result = json.loads(out)
    assert result["compartments"] == ["aft"] and set(result["compartments_flooded"]) == {
        "aft",
        "port",
    }
    assert result["progressive_flooding"] == [{"compartment": "port", "through": "door 'door'"}]
    _, out, _ = run_command("flood", barge("closed = true\n"), "--compartments", "aft")
    assert "'port' floods through door 'door'" in out


@pytest.mark.wording
def test_a_ship_that_is_lost_fails(barge, run_command):
    code, out, _ = run_command("flood", barge(), "--compartments", "aft,port,starboard", "--json")
    result = json.loads(out)
    assert code == 1 and result["survives"] is False and result["failed"] == ["sunk"]
    assert result["s_factor"] == 0 and result["draft_mid_m"] is None
    assert result["residual_GZ_m"] == [] and result["residual_GZ_max_m"] == 0
    code, out, _ = run_command("flood", barge(), "--compartments", "aft,port,starboard")
    assert code == 1 and "! The vessel is lost. Sinks: " in out
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("option, count", [("--each", 4), ("--pairs", 5)])
def test_every_compartment_and_every_pair(barge, run_command, option, count):
    path = barge()
    code, out, err = run_command("flood", path, option, "--json")
    result = json.loads(out)
    case = read_case(path)
    found = flood_each(case, find_compartments(case), option == "--pairs")
    assert len(result["rows"]) == len(found) == count and err == ""
    assert code == (0 if all(each.survives for each in found) else 1)
    for row, each in zip(result["rows"], found, strict=True):
        assert row["compartments"] == list(each.breached) and row["survives"] == each.survives
        assert row["s_factor"] == each.s_factor and row["reason"] == each.explanation
    assert result["worst"] == list(worst(found).breached)
    assert result["survived"] + result["lost"] == count
    _, out, _ = run_command("flood", path, option, "--csv")
    assert [row["compartments"] for row in rows_of(out)] == [
        "; ".join(each.breached) for each in found
    ]
    _, out, _ = run_command("flood", path, option)
    assert max(map(len, out.splitlines())) <= 80 and "cases survived" in out
    short = [row for row in result["rows"] if not row["residual_curve_complete"]]
    assert out.count("+ ") >= len(short) and ("16.20+" in out) is bool(short)


@pytest.mark.wording
def test_a_ship_awash_stands_between_those_that_survive_and_those_lost(run_command, tmp_path):
    """With its after end open it stays afloat with its stern 5 m under."""
    boundaries = "".join(f"[[boundary]]\nx_m = {x}\n" for x in (5, 10, 15))
    weight = "[[weight]]\nmass_kg = 240000\nposition_m = [10, 0, 1.5]\n"
    compartments = '[[compartment]]\nname = "aft"\nposition_m = [1, 0, 1]\npermeability = 1.0\n'
    path = str(
        written_case(
            tmp_path,
            f'[hull]\nmesh = "hull.obj"\n{weight}{boundaries}{compartments}',
            box(20, 6, 4),
        )
    )
    code, out, _ = run_command("flood", path, "--each")
    assert code == 0 and "4 of 4 cases survived, 2 of them with the margin line immersed." in out
    (row,) = (line for line in out.splitlines() if line.startswith("aft "))
    assert row.endswith("1.000  immersed") and len(row) <= 80
    assert "Worst: aft\n  ! aft: Floats, but the deck edge" in out
    _, out, _ = run_command("flood", path, "--compartments", "aft")
    assert (
        "! The vessel stays afloat, margin line immersed. Floats, but the deck edge is 5.09 m "
        "under water at" in " ".join(out.split())
    )
    _, out, _ = run_command("flood", path, "--each", "--json")
    assert [row["margin_line_immersed"] for row in json.loads(out)["rows"]] == [
        True,
        False,
        False,
        True,
    ]


def test_a_condition_that_floods_floats_damaged(barge, run_command):
    path = barge()
    case = read_case(path)
    _, out, _ = run_command("flood", path, "--compartments", "fore", "--json")
    flooded = json.loads(out)
    for word in ("float", "stability"):
        code, out, _ = run_command(word, path, "--condition", "fore flooded", "--json")
        result = json.loads(out)
        assert result["hull_volume_m3"] == pytest.approx(96 - 24)
    assert result["floating"]["trim_m"] == pytest.approx(flooded["trim_m"], abs=1e-9)
    ship = damaged(case, find_compartments(case), ("fore",))
    assert result["GZ_m"][1] != 0 and ship.hull.volume == pytest.approx(72)
    _, out, _ = run_command(
        "flood", path, "--condition", "fore flooded", "--compartments", "aft", "--json"
    )
    assert set(json.loads(out)["compartments"]) == {"aft", "fore"}


@pytest.mark.wording
def test_criteria_of_a_damaged_ship_are_a_yardstick(barge, run_command):
    """And its vent leads into a compartment that is flooded already, so no water comes in there."""
    path = barge('flooded = ["fore"]', 'flooded = ["aft"]')
    _, out, _ = run_command("stability", path, "--condition", "fore flooded", "--json")
    result = json.loads(out)
    assert any("'aft' open to the sea: the criteria are those" in note for note in result["notes"])
    assert result["downflooding_deg"] is None and result["downflooding_opening"] is None
    _, out, _ = run_command("stability", path, "--json")
    result = json.loads(out)
    assert result["downflooding_opening"] == "vent" and "yardstick" not in " ".join(result["notes"])


# Time to flood ---------------------------------------------------------------------------------


def test_time_to_flood_is_what_the_core_computes(barge, run_command):
    path = barge()
    code, out, err = run_command("time-to-flood", path, *HOLE, "--json")
    result = json.loads(out)
    case = read_case(path)
    hole = Breach(np.array([12.0, 0.0, 0.2]), 0.02)
    run = flood_in_time(case, find_compartments(case), "fore", hole)
    assert (code, err) == (0, "")
    assert result["time_s"] == run.times.tolist() and result["lost_s"] is None
    assert result["settled_s"] == run.settled and run.settled is not None
    assert result["water_m3"] == run.water.sum(axis=1).tolist()
    assert result["events"][-1]["time_s"] == run.settled
    assert set(result["events"][0]) >= {"time_s", "description"}
    for key in ("draft_mid_m", "heel_deg", "trim_m", "water_m3"):
        assert len(result[key]) == len(result["time_s"]), key
    assert result["trim_m"][-1] < -0.1 and result["compartment"] == "fore"
    assert result["breach_area_m2"] == 0.02 and result["discharge_coefficient"] == 0.6
    (fore,) = result["compartments"]
    assert fore["name"] == "fore" and fore["level_above_sea_m"][0] is None
    assert fore["level_above_sea_m"][5] < -0.1
    assert result["water_m3"][-1] == pytest.approx(24.0, rel=1e-6)
    text = time_to_flood_report(result)
    assert max(map(len, text.splitlines())) <= 80 and "equilibrium after" in text
    assert "Breach of 0.02 m2 into 'fore' at x 12.00, y 0.00, z 0.20 m" in text
    rows = time_to_flood_rows(result)
    assert len(rows) == len(run.times) and rows[-1]["fore water_m3"] == rows[-1]["water_m3"]
    parts = time_to_flood_chart(result).parts
    named = [part.name for part in parts if isinstance(part, Line) and part.name]
    assert named == ["fore", "heel"]
    run_command = [part.text for part in parts if isinstance(part, Note)]
    assert run_command == [
        f"{each['description']} {clock(each['time_s'])}" for each in result["events"]
    ]


@pytest.mark.wording
def test_time_to_flood_of_a_ship_already_flooded(barge, run_command):
    """It begins damaged, and ends as with both compartments open to the sea."""
    path = barge()
    flooded = ("--condition", "fore flooded")
    breached = ("--compartment", "aft", "--breach", "2.5,0,0", "--area", "0.02")
    _, out, err = run_command("time-to-flood", path, *flooded, *breached, "--json")
    result = json.loads(out)
    _, out, _ = run_command("float", path, *flooded, "--json")
    before = json.loads(out)
    _, out, _ = run_command("flood", path, "--compartments", "aft,fore", "--json")
    after = json.loads(out)
    assert (
        err == ""
        and result["settled_s"]
        and [compartment["name"] for compartment in result["compartments"]] == ["aft"]
    )
    for key in ("draft_mid_m", "heel_deg", "trim_m"):
        assert result[key][0] == pytest.approx(before[key], abs=1e-6), key
        assert result[key][-1] == pytest.approx(after[key], abs=1e-6), key
    code, out, err = run_command("time-to-flood", path, *flooded, *HOLE)
    assert code == 2 and "compartment 'fore' is flooded already" in err


def test_options_of_time_to_flood(barge, run_command, tmp_path):
    path, chart = barge(), tmp_path / "time.svg"
    more = ("--discharge-coefficient", "0.5", "--trapped", "fore", "--pump", "fore", "36")
    _, out, _ = run_command("time-to-flood", path, *HOLE, *more, "--json", "--chart", chart)
    result = json.loads(out)
    case = read_case(path)
    hole = Breach(np.array([12.0, 0.0, 0.2]), 0.02, 0.5)
    run = flood_in_time(
        case, find_compartments(case), "fore", hole, ("fore",), (Pump("fore", 0.01),)
    )
    assert result["time_s"] == run.times.tolist()
    written = words_of(chart)
    assert "flooding over time" in written and "Time (min:s)" in written
    assert written.count("For early design only") == 1


@pytest.mark.parametrize(
    "seconds, result",
    [(0.0, "0.0 s"), (59.96, "1 min 00 s"), (125.4, "2 min 05 s"), (3600.0, "1 h 00 min"),
     (7379.0, "2 h 03 min")],
)  # fmt: skip
def test_how_times_are_reported(seconds, result):
    assert duration(seconds) == result


# Floodable length and bulkheads ----------------------------------------------------------------


def test_floodable_length(barge, run_command, tmp_path):
    path, chart = barge(), tmp_path / "length.svg"
    code, out, err = run_command(
        "floodable-length", path, "--permeability", "0.9", "--json", "--chart", chart
    )
    result = json.loads(out)
    case = read_case(path)
    curve = floodable_length(case, 0.9)
    assert err == "" and result["permeability"] == 0.9
    assert result["x_m"] == curve.centers.tolist()
    assert result["floodable_length_m"] == curve.lengths.tolist()
    after, fore = result["bulkheads"]
    assert [after["x_m"], fore["x_m"]] == [3.0, 9.0] and after["boundaries"] == ["after bulkhead"]
    assert after["to_m"] == curve.lengths[1] and fore["from_m"] == 12.0 - curve.lengths[-2]
    ends = [(each["aft_m"], each["forward_m"]) for each in result["main_compartments"]]
    assert ends == [(0.0, 3.0), (3.0, 9.0), (9.0, 12.0)]
    aft, middle, forward = result["main_compartments"]
    assert aft["floodable_length_m"] == curve.lengths[1] == pytest.approx(2 * curve.centers[1])
    assert forward["floodable_length_m"] == curve.lengths[-2]
    allowed = 12 * (1 - (36 / 48) / (2 - 0.076)) / 0.9
    assert middle["floodable_length_m"] == pytest.approx(allowed, rel=1e-3)
    assert middle["survives"] is (allowed >= 6)
    assert code == (0 if all(each["survives"] for each in result["main_compartments"]) else 1)
    assert "compartment, as high as it is long" in words_of(chart)
    text = floodable_length_report(result)
    assert max(map(len, text.splitlines())) <= 80 and "76 mm below the deck edge" in text
    assert "Permissible bulkhead range" in text and "after bulkhead" in text
    assert len(floodable_length_rows(result)) == len(result["x_m"])


def test_bulkheads(barge, run_command):
    path = barge()
    code, out, err = run_command("bulkheads", path, "--count", "1", "--clear", "5:7", "--json")
    result = json.loads(out)
    advice = place_bulkheads(read_case(path), 1, keep_clear=((5.0, 7.0),))
    assert err == "" and result["positions_m"] == list(advice.positions)
    assert result["survives"] == advice.survives and code == (0 if advice.survives else 1)
    assert len(result["main_compartments"]) == len(result["positions_m"]) + 1
    text = bulkheads_report(result)
    assert max(map(len, text.splitlines())) <= 80 and "Bulkheads at x = " in text
    assert {"aft_m", "forward_m", "residual_freeboard_m"} <= set(main_compartment_rows(result)[0])


# Charts ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("which", [("--compartments", "fore"), ("--each",)])
def test_chart_of_what_is_left(barge, run_command, tmp_path, which):
    chart = tmp_path / "left.svg"
    run_command("flood", barge(), *which, "--chart", chart)
    result = words_of(chart)
    assert "residual GZ" in result and "list" in result and CAUTION.split(":")[0] in result


# The examples ----------------------------------------------------------------------------------


def test_the_workboat_survives_any_compartment(workboat, run_command):
    path = workboat()
    code, out, _ = run_command("compartments", path, "--json")
    result = json.loads(out)
    marked = [compartment.name for compartment in load_example("workboat").case_entry.compartments]
    assert code == 0 and {compartment["name"] for compartment in result["compartments"]} == {
        *marked,
        "port fuel",
        "starboard fuel",
    }
    code, out, _ = run_command("flood", path, "--each", "--json")
    assert code == 0 and json.loads(out)["lost"] == 0
    code, out, _ = run_command("flood", path, "--pairs", "--json")
    lost = [set(row["compartments"]) for row in json.loads(out)["rows"] if not row["survives"]]
    assert code == 1 and lost == [{"steering gear", "engine room"}, {"hold", "cabin"}]


def test_the_leaky_workboat_is_lost_by_its_holes(workboat, run_command):
    """Water in its engine room gets on through both bulkheads; and three compartments leak."""
    path = workboat("leaky-workboat")
    code, out, _ = run_command("compartments", path, "--json")
    result = json.loads(out)
    leaks = {leak["compartment"]: len(leak["path"]) for leak in result["leaks"]}
    assert code == 1 and leaks == {"hold": 1, "engine room": 2, "steering gear": 3}
    assert [
        gap["area_m2"] for gap in result["gaps"] if gap["boundary"] != "the hull"
    ] == pytest.approx([0.06, 0.06])
    code, out, _ = run_command("flood", path, "--compartments", "engine room", "--json")
    result = json.loads(out)
    assert code == 1 and result["survives"] is False
    assert set(result["compartments_flooded"]) == {"engine room", "steering gear", "hold"}


# Bad input -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "argv, words",
    [
        (["flood", "--compartments", "aftt"], ("no compartment 'aftt'", "did you mean 'aft'")),
        (["flood", "--compartments", " , "], ("a name missing",)),
        (["flood", "--compartments", "aft,,fore"], ("'aft,,fore' has a name missing",)),
        (["flood", "--compartments", ""], ("a name missing",)),
        (["flood"], ("--compartments --each --pairs",)),
        (
            ["flood", "--each", "--chart", "a.gif"],
            ("--chart", "'a.gif' should end in .svg or .png"),
        ),
        (["flood", "--each", "--pairs"], ("not allowed with",)),
        (["time-to-flood", "--compartment", "for", *HOLE[2:]], ("no compartment 'for'", "'fore'")),
        (
            ["time-to-flood", *HOLE[:2], "--breach", "12,0,1.5", "--area", "0.02"],
            ("above the initial waterline",),
        ),
        (["time-to-flood", *HOLE[:4], "--area", "0"], ("area is 0 m2",)),
        (["time-to-flood", *HOLE[:4]], ("--breach has no area", "--area 0.02")),
        (["time-to-flood", *HOLE[:2], "--breach", "12,0", "--area", "1"], ("X,Y,Z",)),
        (["time-to-flood", *HOLE, "--pump", "fore", "fast"], ("--pump: 'fast' is not a number",)),
        (
            ["time-to-flood", *HOLE, "--pump", "fore", "-5"],
            ("--pump: -5 m3 per hour", "above zero"),
        ),
        (["time-to-flood", *HOLE[:2], "--opening", "vant"], ("'vant'", "'vent'")),
        (
            ["time-to-flood", *HOLE[:2], "--opening", "vent", "--area", "1"],
            ("--area is for a breach", "--breach X,Y,Z"),
        ),
        (
            ["time-to-flood", *HOLE[:2], "--opening", "vent", "--discharge-coefficient", "0.5"],
            ("--discharge-coefficient is for a breach",),
        ),
        (["floodable-length", "--permeability", "0"], ("permeability is 0", "above 0")),
        (["bulkheads", "--count", "0"], ("0 bulkheads",)),
        (["bulkheads", "--count", "2", "--clear", "7:5"], ("7 m to 5 m", "aft end first")),
        (["bulkheads", "--count", "2", "--clear", "7"], ("FROM:TO",)),
    ],
)
@pytest.mark.wording
def test_bad_words_get_one_line(barge, run_command, argv, words):
    word, *options = argv
    code, out, err = run_command(word, barge(), *options)
    assert (code, out) == (2, "") and err.count("\n") == 1
    assert all(each in err for each in words), err


@pytest.mark.parametrize(
    "word, result", [("time-to-flood", "--breach=-1"), ("bulkheads", "--clear=-1")]
)
def test_help_says_how_a_value_below_zero_is_given(run_command, word, result):
    code, out, _ = run_command(word, "--help")
    assert code == 0 and result in " ".join(out.split())


@pytest.mark.parametrize("words", [("floodable-length",), ("bulkheads", "--count", "2")])
@pytest.mark.wording
def test_no_advice_for_a_condition_that_floods(barge, run_command, words):
    word, *options = words
    code, out, err = run_command(word, barge(), "--condition", "fore flooded", *options)
    assert (code, out) == (2, "") and err.count("\n") == 1
    assert "flooded already" in err


@pytest.mark.wording
def test_a_condition_that_floods_an_unknown_compartment(barge, run_command):
    path = barge('flooded = ["fore"]', 'flooded = ["for"]')
    code, out, err = run_command("float", path, "--condition", "fore flooded")
    assert (code, out) == (2, "") and err.count("\n") == 1
    assert "no compartment 'for'" in err and "'fore'" in err


@pytest.mark.wording
def test_compartments_flooded_twice_in_a_condition(barge, run_command):
    path = barge('flooded = ["fore"]', 'flooded = ["fore", "fore"]')
    code, _, err = run_command("float", path)
    assert code == 2 and "'fore' is flooded twice" in err
