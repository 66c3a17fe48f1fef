"""The command line: answers, exit codes, files written, and the same words in a scene."""

from __future__ import annotations

import csv
import importlib
import io
import json
import os
import shlex
import signal
import subprocess
import sys
import tomllib
from math import atan, cos, radians, tan
from pathlib import Path

import numpy as np
import pytest

from addon.cli.main import Progress, Source, values
from addon.core.criteria.disclaimer import CAUTION, UNCHECKED
from addon.examples.loader import EXAMPLES
from addon.files.obj import PolygonMesh
from addon.parts.case_file import read_case
from addon.parts.case_writer import write_case
from addon.parts.declarations import CaseEntry, HullEntry, WeightEntry
from tests.bodies import box
from tests.language import NONSENSE, reads

ROOT = Path(__file__).parents[2]
SCRIPT = ROOT / "scripts" / "naval_checks.py"


@pytest.fixture
def pontoon(tmp_path):
    """Writes a case of a box 10 x 4 x 3 m with one weight; gives its path."""

    def write(mass=41_000.0, center=(5.0, 0.0, 1.0), body=None):
        weight = WeightEntry("all", center, mass, group="everything")
        hull = HullEntry(PolygonMesh("hull", *(body or box(10, 4, 3))))
        entry = CaseEntry(hull, title="Pontoon", weights=(weight,))
        return str(write_case(tmp_path / "pontoon", entry)[0])

    return write


def test_float_prints_json_and_nothing_else(pontoon, run_command):
    code, out, err = run_command("float", pontoon(), "--json")
    result = json.loads(out)
    assert (code, err) == (0, "")
    assert result["draft_mid_m"] == pytest.approx(1.0)
    assert result["GM_solid_m"] == pytest.approx(16 / 12 - 0.5)


def test_float_report_says_how_it_floats(pontoon, run_command):
    code, out, err = run_command("float", pontoon(center=(4.8, -0.02, 1.0)))
    assert (code, err) == (0, "")
    lines = {line.strip() for line in out.splitlines()}
    assert out.startswith("Pontoon\n=======\n")
    assert NONSENSE or any("Lists" in line and "starboard" in line for line in lines)
    assert any(line.startswith("List ") and line.endswith("deg to starboard") for line in lines)
    assert any(line.startswith("Trim ") and line.endswith("m by the stern") for line in lines)
    assert any(line.split() == ["all", "41000", "4.800", "-0.020", "1.000"] for line in lines)


@pytest.mark.slow
@pytest.mark.parametrize("key", EXAMPLES)
def test_reports_of_the_examples(tmp_path, run_command, key):
    code, out, err = run_command("new", tmp_path / "ship", "--example", key)
    path = tmp_path / "ship" / "case.toml"
    assert (code, err) == (0, "")
    assert out.splitlines()[-1] == f"next: naval-checks float {path}"
    for words in (("float", path), ("hydrostatics", path)):
        code, out, err = run_command(*words)
        assert (code, err) == (0, "")
        assert max(map(len, out.splitlines())) <= 80
        assert "nan" not in out and "None" not in out
        closing = " ".join(out.split())
        assert closing.endswith(f"{UNCHECKED} {CAUTION}")


@pytest.mark.parametrize(
    "mass,center,fault,words",
    [
        (200_000.0, (5.0, 0.0, 1.0), "sunk", "Sinks"),
        (41_000.0, (5.0, 0.0, 30.0), "capsized", "Capsized"),
    ],
)
def test_a_ship_that_is_lost_ends_with_code_1(pontoon, run_command, mass, center, fault, words):
    path = pontoon(mass, center)
    code, out, err = run_command("float", path, "--json")
    assert (code, err, json.loads(out)["failed"]) == (1, "", [fault])
    code, out, err = run_command("float", path)
    assert (code, err) == (1, "") and reads(out, words)


def test_an_open_boat_that_fills_ends_with_code_1(pontoon, run_command):
    vertices, polygons = box(10, 4, 3)
    tub = vertices, tuple(p for p in polygons if vertices[list(p), 2].min() < 3)
    path = pontoon(41_000.0, (5.0, 1.2, 2.5), tub)
    code, out, err = run_command("float", path)
    assert code == 1 and reads(out, "The vessel fills with water.", "Swamped")


@pytest.mark.parametrize("heel,trim", [(0.0, 0.0), (0.0, 0.8), (25.0, -0.6), (-70.0, 1.5)])
def test_hydrostatics_hold_draft_trim_and_heel_exactly(pontoon, run_command, heel, trim):
    code, out, _ = run_command(
        "hydrostatics",
        pontoon(),
        "--drafts=0.5:1.5:0.25",
        f"--trim={trim}",
        f"--heel={heel}",
        "--json",
    )
    rows = json.loads(out)["rows"]
    assert code == 0
    assert [row["draft_mid_m"] for row in rows] == pytest.approx([0.5, 0.75, 1.0, 1.25, 1.5])
    for row in rows:
        assert row["trim_m"] == pytest.approx(trim, abs=1e-12)
        assert row["draft_aft_m"] - row["draft_forward_m"] == pytest.approx(trim, abs=1e-12)
        assert row["heel_deg"] == pytest.approx(heel, abs=1e-12)
        assert row["trim_deg"] == pytest.approx(
            np.degrees(atan(trim * cos(radians(heel)) / 10)), abs=1e-12
        )


def test_hydrostatics_of_a_heeled_box_by_closed_form(pontoon, run_command):
    """A box with both sides wet holds L B T at any heel, T on the centerline."""
    _, out, _ = run_command(
        "hydrostatics", pontoon(), "--drafts", "1.0,1.2", "--heel", "20", "--csv"
    )
    rows = list(csv.DictReader(io.StringIO(out)))
    for row, draft in zip(rows, (1.0, 1.2), strict=True):
        assert float(row["volume_m3"]) == pytest.approx(40 * draft)
        assert float(row["waterplane_area_m2"]) == pytest.approx(40 / cos(radians(20)))
        across = -16 * tan(radians(20)) / (12 * draft)
        assert float(row["B_y_m"]) == pytest.approx(across)


def test_hydrostatics_without_drafts_run_up_to_its_depth(pontoon, run_command):
    _, out, _ = run_command("hydrostatics", pontoon(), "--json")
    drafts = [row["draft_mid_m"] for row in json.loads(out)["rows"]]
    assert drafts == pytest.approx([0.3 * i for i in range(1, 11)])


@pytest.mark.parametrize(
    "text,expected",
    [
        ("0.2:0.5:0.1", (0.2, 0.3, 0.4, 0.5)),
        ("1:2:0.4", (1.0, 1.4, 1.8)),
        ("3", (3.0,)),
        ("1,0.5, -2e-1", (1.0, 0.5, -0.2)),
        ("0:1:5", (0.0,)),
        ("0:180:5", tuple(range(0, 181, 5))),
    ],
)
def test_lists_of_values(text, expected):
    assert values(text) == expected


def test_output_goes_to_a_file(pontoon, run_command, tmp_path):
    path = pontoon()
    _, printed, _ = run_command("float", path)
    target = tmp_path / "report.txt"
    assert run_command("float", path, "--output", target) == (0, "", "")
    assert target.read_text() == printed
    assert run_command("float", path, "--json", "--output", target) == (0, "", "")
    assert json.loads(target.read_text())["floats"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["pontoon", "report.txt"]


@pytest.mark.parametrize(
    "argv,reported",
    [
        ([], "required: COMMAND"),
        (["flot", "case.toml"], "flot"),
        (["float"], "CASE"),
        (["float", "case.toml", "--jsn"], "--jsn"),
        (["new", "ship", "--example", "galleon"], "'survey-launch'"),
        (["hydrostatics", "case.toml", "--drafts", "1:0:0.1"], "FROM:TO:STEP"),
        (["hydrostatics", "case.toml", "--drafts", "0:1:0"], "STEP above zero"),
        (["hydrostatics", "case.toml", "--drafts", "0:1:1e-9"], "widen the step"),
        (["hydrostatics", "case.toml", "--drafts", "deep"], "'deep' is not a number"),
        (["hydrostatics", "case.toml", "--heel", "nan"], "'nan' is not a number"),
        (["hydrostatics", "case.toml", "--heel", "90"], "between -90 and 90"),
        (["hydrostatics", "case.toml", "--json", "--csv"], "--csv"),
    ],
)
def test_wrong_words_get_one_line(run_command, argv, reported):
    code, out, err = run_command(*argv)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1 and err.endswith("\n") and reported in err


def test_help_ends_well(run_command):
    code, out, err = run_command("--help")
    assert (code, err) == (0, "") and "hydrostatics" in out


def test_a_scene_has_the_same_words_without_a_file(pontoon, run_command, tmp_path):
    case = read_case(Path(pontoon()))
    asked = []

    def load(args):
        asked.append(args.hull)
        return case

    source = Source(load, lambda args: [Path(args.directory) / "case.toml"])
    code, out, err = run_command("float", "--json", prog="blender -c naval_checks", source=source)
    assert (code, err, json.loads(out)["title"]) == (0, "", "Pontoon")
    run_command("hydrostatics", "--hull", "Launch", source=source)
    assert asked == [None, "Launch"]
    assert run_command("export", "out", source=source)[:2] == (
        0,
        f"wrote {Path('out/case.toml')}\n",
    )
    assert run_command("new", "out", source=source)[0] == 2
    assert run_command("export", "out")[0] == 2


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_progress_shows_on_a_terminal_alone_and_is_gone_after():
    terminal, pipe = Terminal(), io.StringIO()
    for stream in (terminal, pipe, None):
        with Progress(stream) as on_progress:
            on_progress("floating, step 3")
    assert pipe.getvalue() == ""
    assert "floating, step 3" in terminal.getvalue()
    assert terminal.getvalue().endswith("\r\x1b[K")


@pytest.mark.slow
def test_the_script_writes_an_example_and_the_next_command_runs(tmp_path):
    def run(*argv):
        return subprocess.run(argv, cwd=tmp_path, capture_output=True, text=True)

    written = run(sys.executable, SCRIPT, "new", "my ship", "--example", "pontoon")
    assert (written.returncode, written.stderr) == (0, "")
    python, *words = shlex.split(written.stdout.splitlines()[-1].removeprefix("next: "))
    assert python == "python3"
    report = run(sys.executable, *words)
    assert (report.returncode, report.stderr) == (0, "")
    assert "The vessel floats." in report.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="a signal to one process ends it there")
def test_ending_it_while_it_loads_is_quiet(tmp_path):
    """A numpy that says when it is being loaded, and never is."""
    slow = tmp_path / "numpy"
    slow.mkdir()
    (slow / "__init__.py").write_text("import sys, time\nprint(1, flush=True)\ntime.sleep(600)\n")
    paths = os.pathsep.join([str(tmp_path), *sys.path])
    with subprocess.Popen(
        [sys.executable, SCRIPT, "--help"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": paths},
    ) as run:
        assert run.stdout and run.stdout.readline() == b"1\n"
        run.send_signal(signal.SIGINT)
        assert run.communicate() == (b"", b"")
    assert run.returncode == 130


def test_the_entry_point_is_there() -> None:
    """`naval-checks` of pyproject.toml, whose package is `addon` under another name."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    module, _, function = project["project"]["scripts"]["naval-checks"].partition(":")
    package, _, rest = module.partition(".")
    folder = project["tool"]["hatch"]["build"]["targets"]["wheel"]["sources"]
    assert {package} == set(folder.values())
    assert callable(getattr(importlib.import_module(f"{next(iter(folder))}.{rest}"), function))
