"""The command line inside Blender gives the figures of the scene and of its export."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import bpy
import pytest
import scene_ships as ships

from addon.blender.command_line import answer
from addon.blender.properties.names import Role
from addon.blender.properties.settings import settings
from addon.cli import main
from addon.examples.loader import listing_launch, load_example
from tests.language import reads

APART = ("hull", "iterations", "volume_residual", "lever_residual_m", "stable_positions")
"""The mesh has another name in a file, and the search may take its own way in the last digits."""


def near(value: Any) -> Any:
    """The value with its figures, however deep, to be met nearly."""
    if isinstance(value, dict):
        return {key: near(item) for key, item in value.items()}
    if isinstance(value, list):
        return [near(item) for item in value]
    return pytest.approx(value, rel=1e-6, abs=1e-9) if isinstance(value, float) else value


@pytest.mark.parametrize("ship", (listing_launch(), load_example("half-launch")))
def test_scene_and_export_agree(ship, tmp_path: Path) -> None:
    hull = ships.example(ship, parented=True)
    hull.location, hull.rotation_euler, hull.scale = (5, -3, 2), (0.1, 0.2, 2.5), (1.5, 1.5, 1.5)
    bpy.context.scene.unit_settings.scale_length = 0.9
    assert answer(["float", "--json", "--output", str(tmp_path / "scene.json")]) == 0
    assert answer(["export", str(tmp_path / "case")]) == 0
    case = str(tmp_path / "case" / "case.toml")
    assert main.main(["float", case, "--json", "--output", str(tmp_path / "file.json")]) == 0
    scene, file = (
        json.loads((tmp_path / f"{name}.json").read_text()) for name in ("scene", "file")
    )
    assert scene.keys() == file.keys()
    for key, value in scene.items():
        if key not in APART:
            assert file[key] == near(value), key


def test_names_the_hull_among_several(capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("first", "second"):
        hull = ships.hull(name)
        settings(ships.weight(f"of {name}", 3000, (3, 1, 0.5))).hull = hull
    ships.weight("lost", 5, (0, 0, 0))
    assert answer(["float", "--json"]) == 2
    assert "several hulls (first, second); choose one with --hull" in capsys.readouterr().err
    assert answer(["float", "--json", "--hull", "third"]) == 2
    assert "'third' is not a hull" in capsys.readouterr().err
    assert answer(["float", "--json", "--hull", "second"]) == 0
    result = capsys.readouterr()
    assert json.loads(result.out)["hull"] == "second"
    assert result.err.count("\n") == 1 and "'lost'" in result.err
    assert reads(result.err, "weight 'lost' belongs to no hull and is not counted; choose its hull")


@pytest.mark.parametrize("words", (["float"], ["hydrostatics"], ["export", "nowhere"]))
def test_wants_a_hull(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(words) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_needs_no_weights_for_hydrostatics(capsys: pytest.CaptureFixture[str]) -> None:
    ships.hull()
    assert answer(["hydrostatics", "--drafts", "0.5", "--json"]) == 0
    (row,) = json.loads(capsys.readouterr().out)["rows"]
    assert row["volume_m3"] == pytest.approx(6)


def test_compartments_of_the_scene(capsys: pytest.CaptureFixture[str]) -> None:
    ships.hull()
    boundary = ships.mesh_object(
        "aft", ((2, 0, 0), (2, 2, 0), (2, 2, 1), (2, 0, 1)), ((0, 1, 2, 3),)
    )
    settings(boundary).role = Role.BOUNDARY
    bpy.context.view_layer.update()
    assert answer(["compartments", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert sorted(
        compartment["volume_m3"] for compartment in result["compartments"]
    ) == pytest.approx([4, 8])


@pytest.mark.slow
def test_stability_in_a_condition_of_the_scene(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hull = ships.outfitted()
    bpy.ops.naval_checks.edit_list(which="CONDITIONS", action="ADD")
    settings(hull).condition.name = "arrival"
    bpy.ops.naval_checks.toggle_loaded(object_name="boxes")
    words = ["--condition", "arrival", "--json"]
    code = answer(["stability", *words])
    scene = json.loads(capsys.readouterr().out)
    assert answer(["export", str(tmp_path)]) == 0
    capsys.readouterr()
    assert main.main(["stability", str(tmp_path / "case.toml"), *words]) == code
    file = json.loads(capsys.readouterr().out)
    for key in ("title", "GM_upright_m", "GZ_m", "downflooding_deg", "criteria"):
        assert near(scene[key]) == file[key], key
    assert scene["GM_upright_m"] == pytest.approx(ships.floated(hull).assessment.stability.GM)
    assert answer(["stability", "--condition", "departure"]) == 2
    assert reads(capsys.readouterr().err, "there is no condition 'departure'")
