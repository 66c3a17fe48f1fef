"""The words that ask for stability: answers, shapes, exit codes, charts and what goes wrong."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import numpy as np
import pytest

from addon.cli import stability
from addon.cli.main import Source
from addon.core.criteria.assessment import assess
from addon.core.criteria.codes import CODES
from addon.core.criteria.disclaimer import CAUTION, UNCHECKED
from addon.core.criteria.limiting_kg import limiting_KG
from addon.core.model.loaded_case import condition_named, in_condition
from addon.core.stability.cross_curves import cross_curves
from addon.examples.loader import load_example
from addon.parts.case_file import read_case
from tests.bodies import box
from tests.core.written_cases import rows_of, written_case
from tests.once import once

pytestmark = pytest.mark.slow

CASE = """\
title = "Barge"
[hull]
mesh = "hull.obj"
[[weight]]
name = "steel"
mass_kg = 38000.0
position_m = [5.0, 0.0, 1.2]
[[weight]]
name = "crane"
mass_kg = 2000.0
position_m = [5.0, 0.0, 4.0]
group = "deck"
[[tank]]
name = "fuel"
box_m = [[4.0, -1.0, 0.2], [6.0, 1.0, 1.2]]
density_kg_m3 = 850.0
fill = 0.5
[[opening]]
name = "vent"
position_m = [5.0, -1.5, 3.4]
[criteria]
codes = []
[[criterion]]
name = "stiff"
measure = "GM"
at_least = 0.3
[[condition]]
name = "dry"
fill = {fuel = 0.0}
[[condition]]
name = "without its crane"
without_groups = ["deck"]
"""
UNKEPT = '[[criterion]]\nname = "very stiff"\nmeasure = "GM"\nat_least = 5.0\n'
BRIEFLY = {
    "stability": ("--heels", "0:60:30"),
    "conditions": ("--heels", "0:60:30"),
    "cross-curves": ("--displacements", "40"),
    "limiting-kg": ("--displacements", "40"),
}
WORDS = tuple(BRIEFLY)
ASSESS, CROSS_CURVES, LIMITING_KG = once(assess), once(cross_curves), once(limiting_KG)


@pytest.fixture(autouse=True)
def computed_once(monkeypatch):
    """The words ask the same of the same barge again and again."""
    monkeypatch.setattr(stability, "assess", ASSESS)
    monkeypatch.setattr(stability, "cross_curves", CROSS_CURVES)
    monkeypatch.setattr(stability, "limiting_KG", LIMITING_KG)


@pytest.fixture
def barge(tmp_path):
    """Writes the case of a box 10 x 4 x 3 m, changed as given; gives its path."""

    def write(old: str = "", new: str = "", more: str = ""):
        return written_case(tmp_path, CASE.replace(old, new) + more, box(10, 4, 3))

    return write


# Stability -------------------------------------------------------------------------------------


def test_stability_in_json_is_what_the_core_computes(barge, run_command):
    path = barge()
    code, out, err = run_command("stability", path, "--heels", "0:60:7.5", "--json")
    result = json.loads(out)
    heels = np.radians(np.arange(0, 61, 7.5))
    ship = assess(read_case(path), heels).stability
    assert (code, err) == (0, "")
    assert result["heel_deg"] == np.arange(0, 61, 7.5).tolist()
    assert result["GZ_m"] == [ship.curve.at(heel).arm for heel in heels]
    assert result["GM_upright_m"] == ship.GM
    assert result["downflooding_opening"] == "vent"


def test_stability_without_heels_goes_all_the_way_over(barge, run_command):
    result = json.loads(run_command("stability", barge(), "--json")[1])
    assert result["heel_deg"] == list(range(0, 181, 10))


def test_heels_to_port_are_below_zero(barge, run_command):
    result = json.loads(run_command("stability", barge(), "--heels=-40:0:20", "--json")[1])
    assert result["heel_deg"] == [-40.0, -20.0, 0.0]
    assert result["side"] == "port" and result["GZ_m"][0] < 0


def test_trim_may_be_fixed(barge, run_command):
    path = barge("position_m = [5.0, 0.0, 1.2]", "position_m = [5.4, 0.0, 1.2]")
    free, fixed = (
        json.loads(run_command("stability", path, "--heels", "0,50", "--json", *more)[1])
        for more in ((), ("--fixed-trim",))
    )
    assert (free["fixed_trim"], fixed["fixed_trim"]) == (False, True)
    assert fixed["trim_deg"][0] == pytest.approx(fixed["trim_deg"][1])
    assert abs(free["trim_deg"][0] - free["trim_deg"][1]) > 0.1


def test_stability_in_csv_has_a_row_a_heel(barge, run_command):
    path = barge()
    code, out, _ = run_command("stability", path, "--heels", "0,10,20", "--csv")
    rows = rows_of(out)
    result = json.loads(run_command("stability", path, "--heels", "0,10,20", "--json")[1])
    assert code == 0
    for key in ("heel_deg", "GZ_m", "area_m_rad", "trim_m", "draft_mid_m"):
        assert [float(row[key]) for row in rows] == result[key]


def test_stability_in_words(barge, run_command):
    code, out, err = run_command("stability", barge(more=UNKEPT))
    lines = out.splitlines()
    assert (code, err) == (1, "")
    fails = next(i for i, line in enumerate(lines) if "Fails custom criteria, very stiff" in line)
    table = next(i for i, line in enumerate(lines) if line.split()[:2] == ["heel", "GZ"])
    assert fails < table
    assert [line.split()[0] for line in lines[table + 2 : table + 4]] == ["0.00", "10.00"]
    verdicts = {
        words[1]: words for line in lines if (words := line.split())[:1] in (["PASS"], ["FAIL"])
    }
    result = json.loads(run_command("stability", barge(more=UNKEPT), "--json")[1])
    stiff = verdicts["stiff"]
    assert stiff[0] == "PASS" and stiff[-4:-1] == [
        f"{result['criteria'][0][key]:.3f}" for key in ("required", "attained", "margin")
    ]
    assert verdicts["very"][0] == "FAIL" and verdicts["very"][-2].startswith("-")
    closing = " ".join(out.split())
    assert closing.endswith(CAUTION)
    assert "Criteria checked: custom criteria. Not asked for:" in closing


@pytest.mark.parametrize("shape", [(), ("--json",), ("--csv",)])
def test_a_criterion_that_fails_ends_with_code_1(barge, run_command, shape):
    assert run_command("stability", barge(), *shape)[0] == 0
    assert run_command("stability", barge(more=UNKEPT), *shape)[0] == 1


@pytest.mark.parametrize("shape", [(), ("--json",), ("--csv",)])
@pytest.mark.parametrize("word", ["stability", "conditions"])
@pytest.mark.wording
def test_a_ship_that_sinks_ends_with_code_1(barge, run_command, word, shape):
    code, out, err = run_command(word, barge("38000.0", "380000.0"), *shape)
    assert (code, err) == (1, "")
    if not shape:
        assert "Sinks" in out and UNCHECKED in out
    elif shape == ("--json",):
        result = json.loads(out)
        assert result["failed"] == ["sunk"]


def test_codes_may_be_chosen_as_a_yardstick(barge, run_command):
    first, second = (code.key for code in CODES[:2])
    result = json.loads(run_command("stability", barge(), "--code", first, second, "--json")[1])
    titles = [code.title for code in CODES[:2]]
    found = dict.fromkeys(row["code"] for row in result["criteria"])
    assert list(found) == [*titles, "custom criteria"]


def test_one_condition(barge, run_command):
    path = barge()
    case = read_case(path)
    result = json.loads(run_command("stability", path, "--condition", "dry", "--json")[1])
    dry = in_condition(case, condition_named(case, "dry"))
    assert result["title"] == "Barge, dry"
    assert result["floating"]["displacement_kg"] == dry.load.mass == 40_000
    assert result["GM_upright_m"] == assess(dry, np.radians(range(0, 181, 10))).stability.GM


def test_all_conditions_one_by_one(barge, run_command):
    path = barge()
    names = ["as modeled", "dry", "without its crane"]
    result = json.loads(run_command("stability", path, "--all", "--heels", "0,30", "--json")[1])
    assert [state["condition"] for state in result["conditions"]] == names
    rows = rows_of(run_command("stability", path, "--all", "--heels", "0,30", "--csv")[1])
    assert [row["condition"] for row in rows] == [name for name in names for _ in range(2)]
    assert [float(row["GZ_m"]) for row in rows] == [
        arm for state in result["conditions"] for arm in state["GZ_m"]
    ]
    out = run_command("stability", path, "--all", "--heels", "0,30")[1]
    assert [line for line in out.splitlines() if line.startswith("Barge")] == [
        "Barge",
        "Barge, dry",
        "Barge, without its crane",
    ]


def test_floating_in_conditions(barge, run_command):
    path = barge()
    dry = json.loads(run_command("float", path, "--condition", "dry", "--json")[1])
    assert dry["displacement_kg"] == 40_000
    result = json.loads(run_command("float", path, "--all", "--json")[1])
    masses = [state["displacement_kg"] for state in result["conditions"]]
    assert masses == [pytest.approx(41_700), 40_000, pytest.approx(39_700)]
    out = run_command("float", path, "--all")[1]
    assert out.count("Floating position") == 3 and "fuel" in out
    assert run_command("float", barge("38000.0", "380000.0"), "--all", "--json")[0] == 1


# Conditions ------------------------------------------------------------------------------------


def test_conditions_are_compared_in_one_table(barge, run_command):
    path = barge(more=UNKEPT)
    code, out, err = run_command("conditions", path)
    assert (code, err) == (1, "")
    lines = [line.split() for line in out.splitlines()]
    (bare,) = [words for words in lines if words[:1] == ["dry"]]
    result = json.loads(run_command("conditions", path, "--json")[1])
    assert bare[1] == "40.000" and bare[-2:] == ["1", "1"]
    rows = rows_of(run_command("conditions", path, "--csv")[1])
    assert [row["condition"] for row in rows] == ["as modeled", "dry", "without its crane"]
    for row, state in zip(rows, result["conditions"], strict=True):
        assert float(row["GM_upright_m"]) == state["GM_upright_m"]
        assert float(row["draft_aft_m"]) == state["floating"]["draft_aft_m"]
        assert (row["criteria_passed"], row["criteria_failed"]) == ("1", "1")
    assert out.index("Fails custom criteria, very stiff") < out.index("Condition ")


def test_one_condition_that_fails_is_enough(barge, run_command):
    path = barge(more='[[condition]]\nname = "sunk"\nmass_margin = 9.0\n')
    assert run_command("conditions", path)[0] == run_command("stability", path, "--all")[0] == 1
    assert run_command("stability", path)[0] == 0


# Cross curves and limits -----------------------------------------------------------------------


def test_cross_curves_are_those_of_the_core(barge, run_command):
    path = barge()
    words = ("cross-curves", path, "--displacements", "20:60:20", "--heels", "15,30", "--KG", "1.2")
    code, out, err = run_command(*words, "--json")
    result = json.loads(out)
    curves = cross_curves(
        read_case(path), [20_000.0, 40_000.0, 60_000.0], np.radians([15, 30]), 1.2
    )
    assert (code, err) == (0, "")
    assert result["heel_deg"] == [15.0, 30.0]
    assert [row["KN_m"] for row in result["rows"]] == [curve.KN.tolist() for curve in curves]
    rows = rows_of(run_command(*words, "--csv")[1])
    assert [float(row["KN_30deg_m"]) for row in rows] == [curve.KN[1] for curve in curves]
    out = run_command(*words)[1]
    assert f"{curves[1].KN[1]:.3f}" in out and "G taken at 1.200 m" in out


def test_many_heels_take_several_tables(barge, run_command):
    out = run_command("cross-curves", barge(), "--displacements", "40", "--heels", "10:80:10")[1]
    assert out.count("displ.") == 2


def test_limits_are_those_of_the_core(barge, run_command):
    path = barge()
    code, out, err = run_command("limiting-kg", path, "--displacements", "30,60", "--json")
    result = json.loads(out)
    limits = limiting_KG(read_case(path), [30_000.0, 60_000.0])
    assert (code, err) == (0, "")
    assert [row["KG_max_m"] for row in result["rows"]] == [limit.KG for limit in limits]
    assert [row["governing"] for row in result["rows"]] == [
        list(limit.governing) for limit in limits
    ]
    assert result["margin_m"] > 0
    rows = rows_of(run_command("limiting-kg", path, "--displacements", "30,60", "--csv")[1])
    assert [float(row["GM_min_m"]) for row in rows] == [limit.GM for limit in limits]
    out = run_command("limiting-kg", path, "--displacements", "30,60")[1]
    assert " 1  custom criteria stiff: GM" in out and "below the limit" in out


def test_G_above_its_limit_ends_with_code_1(barge, run_command):
    code, out, _ = run_command(
        "limiting-kg", barge("at_least = 0.3", "at_least = 1.0"), "--displacements", "40"
    )
    assert code == 1 and "above the limit" in out


def test_displacements_left_out_lie_about_its_own(barge, run_command):
    result = json.loads(run_command("cross-curves", barge(), "--json")[1])
    masses = [row["displacement_kg"] for row in result["rows"]]
    assert len(masses) == 9 and masses[4] == pytest.approx(41_700)
    bare = barge(CASE[CASE.index("[[weight]]") : CASE.index("[[tank]]")], "")
    bare.write_text(bare.read_text().partition("[[tank]]")[0])
    result = json.loads(run_command("cross-curves", bare, "--json")[1])
    assert max(row["displacement_kg"] for row in result["rows"]) < 120 * 1025


# All of them -----------------------------------------------------------------------------------


@pytest.mark.parametrize("word", WORDS)
def test_reports_are_narrow_and_end_with_the_caution(barge, run_command, word):
    code, out, err = run_command(word, barge(), *BRIEFLY[word])
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    assert "nan" not in out and "None" not in out
    assert " ".join(out.split()).endswith(CAUTION)


@pytest.mark.parametrize("word", WORDS)
def test_charts_and_output_go_to_files(barge, run_command, tmp_path, word):
    path = barge()
    chart, text = tmp_path / "chart.svg", tmp_path / "text.txt"
    assert run_command(word, path, *BRIEFLY[word], "--chart", chart, "--output", text) == (
        0,
        "",
        "",
    )
    assert ElementTree.parse(chart).getroot().tag.endswith("svg")
    assert text.read_text().startswith("Barge")


def test_a_chart_is_painted_as_png_too(barge, run_command, tmp_path):
    chart = tmp_path / "chart.PNG"
    code, _, err = run_command("cross-curves", barge(), *BRIEFLY["cross-curves"], "--chart", chart)
    assert (code, err) == (0, "") and chart.read_bytes().startswith(b"\x89PNG")


def test_a_chart_shows_more_heels_than_were_asked_for(barge, run_command, tmp_path):
    """All that the curve was computed at, so that it is drawn smooth."""
    sizes = []
    for heels in ("0,90", "0:90:30"):
        chart = tmp_path / f"{heels[2:4]}.svg"
        run_command("stability", barge(), "--heels", heels, "--chart", chart)
        sizes.append(chart.stat().st_size)
    assert sizes[0] == pytest.approx(sizes[1], rel=0.2)


@pytest.mark.parametrize("word", WORDS)
def test_help_names_every_option(run_command, word):
    code, out, err = run_command(word, "--help")
    assert (code, err) == (0, "")
    for option in ("--fixed-trim", "--chart", "--json", "--csv", "--output"):
        assert option in out
    assert all(line == line.rstrip() and len(line) <= 80 for line in out.splitlines())


def test_help_lists_the_words(run_command):
    out = run_command("--help")[1]
    assert all(word in out for word in WORDS)


@pytest.mark.parametrize("word", WORDS)
def test_a_scene_has_the_same_words(barge, run_command, word):
    case = read_case(barge())
    source = Source(lambda args: case, lambda args: [])
    code, out, err = run_command(word, *BRIEFLY[word], "--json", "--hull", "Barge", source=source)
    assert (code, err, json.loads(out)["title"]) == (0, "", "Barge")


@pytest.mark.parametrize(
    ("words", "result"),
    [
        (("stability", "--heels", "0:200:10"), ("--heels", "200 degrees", "-180 to 180")),
        (("stability", "--heels", "30,10"), ("--heels", "do not rise", "sort them")),
        (("stability", "--heels", "steep"), ("'steep' is not a number",)),
        (("stability", "--condition", "drye"), ("no condition 'drye'", "did you mean 'dry'")),
        (("float", "--condition", "full"), ("no condition 'full'", "'dry'")),
        (("stability", "--condition", "dry", "--all"), ("--all", "not allowed")),
        (("stability", "--code=none"), ("--code", "no code 'none'")),
        (("conditions", "--code=is-code-22"), ("--code", "did you mean 'is-code-2.2'")),
        (("limiting-kg", "--code=none"), ("--code", "no code 'none'")),
        (("stability", "--json", "--csv"), ("--csv", "not allowed")),
        (("stability", "--chart", "none/chart.svg"), ("chart.svg", "cannot be written")),
        (("cross-curves", "--displacements", "0:50:10"), ("--displacements", "0 t", "above zero")),
        (("limiting-kg", "--displacements", "130"), ("--displacements", "130 t", "below 123 t")),
        (("cross-curves", "--heels", "181"), ("--heels", "181 degrees")),
    ],
)
@pytest.mark.wording
def test_wrong_words_get_one_line(barge, run_command, words, result):
    code, out, err = run_command(words[0], barge(), *words[1:])
    assert (code, out) == (2, "")
    assert err.count("\n") == 1 and all(word in err for word in result), err


@pytest.mark.parametrize("word", ["stability", "conditions"])
@pytest.mark.wording
def test_a_case_without_weights_gets_one_line(barge, run_command, word):
    path = barge()
    path.write_text(path.read_text().partition("[[weight]]")[0])
    code, out, err = run_command(word, path)
    assert (code, out) == (2, "")
    assert err.startswith(str(path)) and "no weights" in err


@pytest.mark.parametrize("key", ["open-dinghy", "pontoon", "sectional-pontoon"])
def test_examples_are_judged(tmp_path, run_command, key):
    assert run_command("new", tmp_path / "ship", "--example", key)[0] == 0
    code, out, err = run_command("conditions", tmp_path / "ship" / "case.toml")
    assert err == "" and "as modeled" in out
    assert max(map(len, out.splitlines())) <= 80
    assert code == (1 if "Fails" in out else 0)


def test_the_launch_keeps_what_applies_to_its_lightship(tmp_path, run_command):
    assert run_command("new", tmp_path / "ship")[0] == 0
    path = tmp_path / "ship" / "case.toml"
    result = json.loads(run_command("float", path, "--all", "--json")[1])
    names = [state["condition"] for state in result["conditions"]]
    conditions = load_example("survey-launch").case_entry.conditions
    assert names == ["as modeled", *(state.name for state in conditions)]
    masses = [state["displacement_kg"] for state in result["conditions"]]
    assert masses[1] < masses[3] < masses[2] == masses[0]
    code, out, _ = run_command("stability", path, "--condition", names[1], "--json")
    assert (code, json.loads(out)["failed"]) == (0, [])
    assert sum(row["passes"] is True for row in json.loads(out)["criteria"]) >= 6
