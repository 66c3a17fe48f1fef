"""The words `compartments` and `tanks`: answers, shapes, exit codes and what goes wrong."""

from __future__ import annotations

import json

import numpy as np
import pytest

from addon.core.criteria.disclaimer import CAUTION, UNCHECKED
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.hydrostatics.tank_soundings import heeling_moments, sounding_table
from addon.parts.case_file import read_case
from addon.results.compartments import LIQUID_HEELS
from tests.bodies import box
from tests.core.written_cases import rows_of, written_case

CASE = """\
title = "Barge"
[hull]
mesh = "hull.obj"
[[weight]]
name = "steel"
mass_kg = 60000.0
position_m = [6.0, 0.0, 1.2]
[[tank]]
name = "fuel"
box_m = [[1.0, -1.5, 0.0], [3.0, 1.5, 1.0]]
density_kg_m3 = 850.0
fill = 0.5
permeability = 0.98
[[tank]]
name = "water"
box_m = [[9.0, -0.5, 0.0], [10.0, 0.5, 1.0]]
density_kg_m3 = 1000.0
[[boundary]]
name = "bulkhead"
x_m = 4.0
[[boundary]]
name = "deck"
z_m = 2.0
[[compartment]]
name = "engine room"
position_m = [3.5, 0.0, 0.5]
use = "machinery"
[[compartment]]
name = "hold"
position_m = [6.0, 0.0, 0.5]
use = "stores"
[[condition]]
name = "fuelled"
fill = {fuel = 1.0}
"""
BARGE = box(12, 4, 3)
OPEN = BARGE[0], (BARGE[1][0], *BARGE[1][2:])  # without its top


@pytest.fixture
def barge(tmp_path):
    """Writes the case of a box 12 x 4 x 3 m, changed as given; gives its path."""

    def write(old: str = "", new: str = "", more: str = "", body=BARGE):
        return written_case(tmp_path, CASE.replace(old, new) + more, body)

    return write


WAYS = """
[[opening]]
name = "vent"
position_m = [2.0, 0.0, 3.0]
area_m2 = 0.02
[[opening]]
name = "hatch"
position_m = [8.0, 0.0, 3.0]
kind = "hatch"
protection = "weathertight"
[[door]]
name = "after door"
position_m = [4.0, 0.5, 0.2]
area_m2 = 1.2
height_m = 1.6
[[door]]
name = "trunk"
position_m = [4.0, 0.0, 2.5]
area_m2 = 0.1
compartments = ["hold", "space 1"]
discharge_coefficient = 0.5
closed = true
[[door]]
name = "side door"
position_m = [6.0, 1.9, 0.5]
area_m2 = 1.0
"""


# Rooms -----------------------------------------------------------------------------------------


def test_compartments_in_json(barge, run_command):
    """By hand: 4 x 4 x 2 m less the fuel tank, 8 x 4 x 2 m less the water tank, and what lies
    over the deck on both sides of the bulkhead."""
    code, out, err = run_command("compartments", barge(), "--json")
    result = json.loads(out)
    assert (code, err) == (0, "")
    volumes = {
        compartment["name"]: compartment["volume_m3"] for compartment in result["compartments"]
    }
    expected = {
        "fuel": 6.0,
        "engine room": 32.0 - 6.0,
        "hold": 64.0 - 1.0,
        "water": 1.0,
        "space 1": 16.0,
        "space 2": 32.0,
    }
    assert volumes == {name: pytest.approx(volume) for name, volume in expected.items()}
    (hold,) = (
        compartment for compartment in result["compartments"] if compartment["name"] == "hold"
    )
    center = (64 * np.array([8.0, 0.0, 1.0]) - np.array([9.5, 0.0, 0.5])) / 63
    assert hold["centroid_m"] == pytest.approx(center)
    assert (hold["bottom_m"], hold["top_m"]) == (0.0, 2.0)
    assert (hold["aft_m"], hold["forward_m"]) == (4.0, 12.0)
    assert hold["watertight"] is True and hold["use"] == "stores" and hold["permeability"] == 0.6
    assert hold["boundaries"] == ["the hull", "bulkhead", "deck", "water"]
    assert sorted(hold["neighbors"]) == ["engine room", "space 2", "water"]
    assert (
        result["compartments_volume_m3"] == pytest.approx(144) and result["boundary_volume_m3"] == 0
    )
    assert ["engine room", "hold"] in [sorted(pair) for pair in result["neighbors"]]
    assert result["failed"] == result["leaks"] == result["gaps"] == []
    assert result["disclaimer"] == CAUTION and result["criteria_note"] == UNCHECKED


@pytest.mark.wording
def test_open_compartments_leak(barge, run_command):
    """Over its deck it is open to the sky: those two compartments leak, over its rim."""
    code, out, _ = run_command("compartments", barge(body=OPEN), "--json")
    result = json.loads(out)
    assert (code, result["failed"]) == (1, ["leak"])
    leaking = {
        compartment["name"]
        for compartment in result["compartments"]
        if not compartment["watertight"]
    }
    assert leaking == {leak["compartment"] for leak in result["leaks"]} == {"space 1", "space 2"}
    rest = find_floating_position(read_case(barge(body=OPEN)), seek_others=False).equilibrium
    assert rest is not None
    for leak in result["leaks"]:
        assert leak["position_m"][2] == pytest.approx(3.0)
        height = float(rest.attitude.heights(np.array(leak["position_m"])))
        assert leak["height_above_water_m"] == pytest.approx(height)
        assert leak["reason"].startswith("water gets in through a gap of ")
        assert "in the hull at x" in leak["reason"]
        assert [gap["boundary"] for gap in leak["path"]] == ["the hull"]
        assert "the sea" in leak["path"][0]["compartments"]
    _, out, _ = run_command("compartments", barge(body=OPEN))
    text = " ".join(out.split())
    assert "! 'space 1' is not watertight: water gets in through" in text
    assert f"; it starts {result['leaks'][0]['height_above_water_m']:.3f} m above the water" in text


def test_compartments_as_text_and_rows(barge, run_command):
    _, out, _ = run_command("compartments", barge())
    assert max(map(len, out.splitlines())) <= 80 and CAUTION.split()[-1] in out
    assert "the hull" in out and "144.00" in out
    _, out, _ = run_command("compartments", barge(), "--csv")
    rows = rows_of(out)
    assert len(rows) == 6 and {"centroid_x_m", "centroid_z_m", "watertight"} <= set(rows[0])
    assert {row["boundaries"] for row in rows if row["name"] == "fuel"} == {"the hull; fuel"}


def test_compartments_without_any_weight(barge, run_command):
    """Nothing is on board, so no water lies anywhere, and none tells how far a leak is from it."""
    path = barge(body=OPEN)
    text = path.read_text().replace("fill = 0.5", "")
    path.write_text(text.replace(text[text.index("[[weight]]") : text.index("[[tank]]")], ""))
    code, out, err = run_command("compartments", path, "--json")
    result = json.loads(out)
    assert (code, err) == (1, "") and len(result["compartments"]) == 6
    assert [leak["height_above_water_m"] for leak in result["leaks"]] == [None, None]
    _, out, _ = run_command("compartments", path)
    assert "not watertight" in out and "it starts" not in out


@pytest.mark.wording
def test_compartments_tell_what_leads_into_them(barge, run_command):
    """By hand: which compartments lie on both sides of each; the side door is in no boundary
    between two."""
    code, out, _ = run_command("compartments", barge(more=WAYS), "--json")
    result = json.loads(out)
    vent, hatch = result["openings"]
    assert (vent["kind"], vent["protection"], vent["area_m2"]) == ("vent", "unprotected", 0.02)
    assert (hatch["kind"], hatch["protection"], hatch["area_m2"]) == ("hatch", "weathertight", None)
    above = {
        compartment["name"]: compartment["aft_m"]
        for compartment in result["compartments"]
        if compartment["bottom_m"] == 2.0
    }
    assert [above[way["compartments"][0]] for way in (vent, hatch)] == [0.0, 4.0]
    after, trunk, side = result["doors"]
    assert set(after["compartments"]) == {"engine room", "hold"}
    assert (after["area_m2"], after["height_m"], after["position_m"][2]) == (1.2, 1.6, 0.2)
    assert (trunk["compartments"], trunk["closed"], trunk["discharge_coefficient"]) == (
        ["hold", "space 1"],
        True,
        0.5,
    )
    assert side["compartments"] == ["hold", "the sea"]
    (warning,) = result["warnings"]
    assert warning.startswith("door 'side door' at x 6.00, y 1.90, z 0.50 m leads from 'hold' to")
    _, text, _ = run_command("compartments", barge(more=WAYS))
    assert "weathertight hatch into '" in text
    assert "closed duct between 'hold' and 'space 1'" in text


# Tanks -----------------------------------------------------------------------------------------


def test_tanks_in_json_are_what_the_core_computes(barge, run_command):
    path = barge()
    code, out, err = run_command("tanks", path, "--json", "--steps", "4")
    result = json.loads(out)
    case = read_case(path)
    assert (code, err) == (0, "")
    fuel, water = result["tanks"]
    table = sounding_table(case.tanks[0], 4)
    assert [row["level_m"] for row in fuel["rows"]] == [0.0, 0.25, 0.5, 0.75, 1.0]
    assert [row["mass_kg"] for row in fuel["rows"]] == table.masses.tolist()
    assert fuel["rows"][0]["center_m"] is None
    assert fuel["rows"][2]["center_m"] == table.centers[2].tolist()
    moment = 0.98 * 850 * 2 * 3**3 / 12 / 1000
    assert fuel["rows"][2]["free_surface_moment_t_m"] == pytest.approx(moment)
    assert fuel["capacity_m3"] == pytest.approx(0.98 * 6) and fuel["fill"] == 0.5
    surface = fuel["free_surface"]
    assert surface["moment_upright_t_m"] == pytest.approx(moment)
    classical, exact = heeling_moments(case.tanks[0], np.radians(surface["heel_deg"]).tolist())
    assert surface["FSM_heeling_moment_t_m"] == pytest.approx(classical / 1000)
    assert surface["actual_heeling_moment_t_m"] == pytest.approx(exact / 1000)
    assert water["mass_kg"] == 0 and water["center_m"] is None
    ship = find_floating_position(case, seek_others=False)
    assert result["GM_loss_FSM_m"] == pytest.approx(1000 * moment / case.load.mass)
    assert result["GM_loss_m"] == ship.GM - ship.GM_fluid


def test_tanks_heeled_and_trimmed(barge, run_command):
    path = barge()
    options = ("--tank", "fuel", "--heel", "10", "--trim", "0.3", "--steps", "5", "--json")
    _, out, _ = run_command("tanks", path, *options)
    result = json.loads(out)
    (fuel,) = result["tanks"]
    heel = np.radians(10)
    trim = np.arctan(0.3 * np.cos(heel) / 12)
    table = sounding_table(read_case(path).tanks[0], 5, heel, trim)
    assert [row["volume_m3"] for row in fuel["rows"]] == pytest.approx(table.volumes, rel=1e-12)
    assert result["heel_deg"] == pytest.approx(10) and result["trim_m"] == 0.3


def test_tanks_in_a_condition_as_text_and_rows(barge, run_command):
    _, out, _ = run_command("tanks", barge(), "--heel", "30", "--trim", "1")
    assert max(map(len, out.splitlines())) <= 80
    code, out, _ = run_command("tanks", barge(), "--condition", "fuelled")
    assert code == 0 and max(map(len, out.splitlines())) <= 80
    assert "holds 5.8800 m3, is 100.00 % full with 4998.0 kg of 850 kg/m3" in out
    _, out, _ = run_command("tanks", barge(), "--csv", "--steps", "2")
    rows = rows_of(out)
    assert [row["tank"] for row in rows] == ["fuel"] * 3 + ["water"] * 3
    assert rows[0]["center_x_m"] == "" and float(rows[1]["center_z_m"]) == pytest.approx(0.25)


def test_moments_of_small_tanks_stand_apart(run_command, tmp_path):
    run_command("new", tmp_path, "--example", "survey-launch")
    _, out, _ = run_command("tanks", tmp_path / "case.toml")
    for start in ("  by FSM upright, t.m", "  actual transfer, t.m"):
        result = [line.removeprefix(start) for line in out.splitlines() if line.startswith(start)]
        assert [len(line.split()) for line in result] == [len(LIQUID_HEELS)] * 2


# Bad input -------------------------------------------------------------------------------------

FLAT = "v 0 0 0\nv 9 0 0\nv 9 3 0\nv 0 3 0\nf 1 2 3 4\n"


@pytest.mark.parametrize(
    "word, change, words",
    [
        ("compartments", ("x_m = 4.0", "x_m = 40.0"), ("boundary 'bulkhead'", "outside the hull")),
        (
            "compartments",
            ("[[9.0, -0.5, 0.0], [10.0", "[[2.0, -0.5, 0.0], [10.0"),
            ("tanks 'fuel' and 'water' share 1 m3",),
        ),
        ("compartments", ('"hold"', '"engine room"'), ("compartment 'engine room'", "twice")),
        ("compartments", ('"hold"', '"fuel"'), ("compartment 'fuel'", "twice")),
        (
            "compartments",
            ("[6.0, 0.0, 0.5]", "[3.6, 0.0, 0.5]"),
            ("compartment 'hold'", "'engine room'"),
        ),
        (
            "compartments",
            ("[6.0, 0.0, 0.5]", "[60.0, 0.0, 0.5]"),
            ("compartment 'hold'", "outside the hull"),
        ),
        (
            "compartments",
            (
                "[[condition]]",
                '[[door]]\nname = "d"\nposition_m = [4.0, 0.0, 0.5]\narea_m2 = 1.0\n'
                'compartments = ["hold", "engin room"]\nclosed = true\n[[condition]]',
            ),
            ("door 'd': there is no compartment 'engin room'", "did you mean 'engine room'"),
        ),
        ("tanks --tank feul", ("", ""), ("no tank 'feul'", "did you mean 'fuel'")),
        ("tanks --steps 0", ("", ""), ("tank 'fuel': 0 steps", "from 1 to")),
        ("tanks --heel 90", ("", ""), ("--heel is 90", "between -90 and 90")),
        (
            "compartments --condition fuel",
            ("", ""),
            ("no condition 'fuel'", "did you mean 'fuelled'"),
        ),
    ],
)
@pytest.mark.wording
def test_bad_input_gets_one_line(barge, run_command, word, change, words):
    name, *options = word.split()
    code, out, err = run_command(name, barge(*change), *options)
    assert (code, out) == (2, "") and err.count("\n") == 1
    assert all(each in err for each in words), err


@pytest.mark.wording
def test_a_hull_that_encloses_nothing_has_no_compartments(barge, run_command, tmp_path):
    path = barge()
    (tmp_path / "hull.obj").write_text(FLAT)
    code, out, err = run_command("compartments", path)
    assert (code, out) == (2, "") and err.count("\n") == 1 and "flat" in err


def test_no_tanks_to_sound(barge, run_command):
    path = barge()
    text = path.read_text()
    path.write_text(text[: text.index("[[tank]]")])
    code, out, err = run_command("tanks", path)
    assert (code, out) == (2, "") and "the case has no tank to sound" in err
