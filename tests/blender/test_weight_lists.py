"""Weight lists out of the scene and into it again."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
import scene_ships as ships

from addon.blender.operators.weight_lists import weights_on_board
from addon.blender.properties.names import Basis, Role
from addon.blender.properties.settings import settings
from tests.language import reads

CALL = bpy.ops.naval_checks
HEADER = "name,mass_kg,x_m,y_m,z_m,group\n"


@pytest.fixture
def hull() -> bpy.types.Object:
    obj = ships.hull()
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    ships.weight("shell", 2000, (3, 1, 0.4))
    settings(ships.weight("engine", 850.1, (1.5, 1, 0.3))).group = "machinery"
    bpy.context.view_layer.update()
    ships.activate(obj)
    return obj


def saved(path: Path, rows: str) -> str:
    path.write_text(HEADER + rows, encoding="utf-8")
    return str(path)


def places() -> dict[str, tuple[float, ...]]:
    bpy.context.view_layer.update()
    return {
        obj.name: (*obj.matrix_world.translation, settings(obj).weight.mass)
        for obj in bpy.data.objects
        if settings(obj).role == Role.WEIGHT
    }


def refusal(**words: object) -> str:
    with pytest.raises(RuntimeError) as caught:
        CALL.import_weights(**words)
    return str(caught.value)


class TestExport:
    def test_in_ship_axes_and_few_digits(self, hull: bpy.types.Object, tmp_path: Path) -> None:
        hull.location = (100, -30, 5)
        for name in ("shell", "engine"):
            bpy.data.objects[name].location = (
                np.array(bpy.data.objects[name].location) + hull.location
            ).tolist()
        path = tmp_path / "weights.csv"
        assert CALL.export_weights(filepath=str(path)) == {"FINISHED"}
        assert path.read_text(encoding="utf-8") == (
            HEADER + "engine,850.1,1.5,0.0,0.3,machinery\nshell,2000.0,3.0,0.0,0.4,\n"
        )

    def test_wants_a_hull(self, tmp_path: Path) -> None:
        with pytest.raises(RuntimeError, match="Mark a hull first"):
            CALL.export_weights(filepath=str(tmp_path / "weights.csv"))


class TestRoundTrip:
    def test_list_to_scene_to_list(self, hull: bpy.types.Object, tmp_path: Path) -> None:
        """On a hull that is moved, turned and scaled, in units of its own."""
        hull.location, hull.rotation_euler = (12.3, -4.5, 0.7), (0.1, -0.05, 0.8)
        hull.scale = (2, 2, 2)
        bpy.context.scene.unit_settings.scale_length = 0.5
        bpy.context.view_layer.update()
        rows = "".join(
            f"part {i},{10 + 0.37 * i:.2f},{0.123 * i:.3f},{0.5 - 0.031 * i:.3f},{0.2 * i:.1f},g\n"
            for i in range(1, 30)
        )
        path = saved(tmp_path / "in.csv", rows)
        assert CALL.import_weights(filepath=path, mode="REPLACE") == {"FINISHED"}
        out = tmp_path / "out.csv"
        CALL.export_weights(filepath=str(out))

        def figures(text: str) -> list[tuple[object, ...]]:
            cells = (line.split(",") for line in text.splitlines()[1:])
            return sorted((name, *map(float, four), group) for name, *four, group in cells)

        assert figures(out.read_text(encoding="utf-8")) == figures(HEADER + rows)

    @pytest.mark.parametrize("way", ["ADD", "UPDATE", "REPLACE"])
    def test_scene_to_list_to_scene(self, hull: bpy.types.Object, tmp_path: Path, way: str) -> None:
        rng = np.random.default_rng(4)
        hull.location, hull.rotation_euler = (12.3, -4.5, 0.7), (0.1, -0.05, 0.8)
        for number in range(20):
            parent = hull if number % 2 else None
            ships.weight(f"w{number}", float(rng.uniform(1, 1e4)), rng.uniform(-9, 9, 3), parent)
        before = places()
        path = str(tmp_path / "weights.csv")
        CALL.export_weights(filepath=path)
        CALL.import_weights(filepath=path, mode=way)
        assert places() == before


class TestImport:
    ROWS = "engine,900,2,0.5,0.3,\nboat,120,5,-0.5,1.1,outfit\n"

    def test_adds_and_changes(self, hull: bpy.types.Object, tmp_path: Path) -> None:
        engine = bpy.data.objects["engine"]
        engine.parent = hull
        hull.location.x = 4
        CALL.import_weights(filepath=saved(tmp_path / "w.csv", self.ROWS))
        found = places()
        assert found["engine"] == pytest.approx((6, 1.5, 0.3, 900))
        assert found["boat"] == pytest.approx((9, 0.5, 1.1, 120))
        assert found["shell"] == pytest.approx((3, 1, 0.4, 2000))
        boat = bpy.data.objects["boat"]
        assert settings(engine).group == "machinery" and settings(boat).group == "outfit"
        assert settings(boat).hull == boat.parent == hull
        assert bpy.context.selected_objects == [boat]

    def test_adds_only(self, hull: bpy.types.Object, tmp_path: Path) -> None:
        CALL.import_weights(filepath=saved(tmp_path / "w.csv", self.ROWS), mode="ADD")
        assert places()["engine"] == pytest.approx((1.5, 1, 0.3, 850.1))
        assert "boat" in places()

    def test_replaces_but_deletes_no_models(self, hull: bpy.types.Object, tmp_path: Path) -> None:
        house = ships.block("house", (2, 0.4, 1), (4, 1.6, 2), Role.WEIGHT)
        settings(house).weight.basis = Basis.SKIN
        CALL.import_weights(filepath=saved(tmp_path / "w.csv", self.ROWS), mode="REPLACE")
        assert sorted(places()) == ["boat", "engine"]
        assert "shell" not in bpy.data.objects
        assert settings(bpy.data.objects["house"]).role == Role.NONE

    def test_can_be_undone(self, hull: bpy.types.Object, tmp_path: Path) -> None:
        before = places()
        path = saved(tmp_path / "w.csv", self.ROWS)
        bpy.ops.ed.undo_push(message="before")
        CALL.import_weights("EXEC_DEFAULT", True, filepath=path, mode="REPLACE")
        assert places() != before
        bpy.ops.ed.undo()
        assert places() == before

    def test_leaves_what_weighs_by_its_mesh(self, hull: bpy.types.Object, tmp_path: Path) -> None:
        house = ships.block("house", (2, 0.4, 1), (4, 1.6, 2), Role.WEIGHT)
        settings(house).weight.basis = Basis.SKIN
        CALL.import_weights(filepath=saved(tmp_path / "w.csv", "house,5,0,0,0,\n"))
        assert settings(house).weight.mass == 100 and place_of(house) == (0, 0, 0)

    @pytest.mark.parametrize(
        ("rows", "complaint"),
        [
            ("boat,heavy,1,0,0,\n", "row 2: mass_kg is 'heavy'; it should be a number"),
            ("boat,-5,1,0,0,\n", "row 2: weight 'boat': the mass is -5 kg"),
            ("boat,5,1,0,0,\nboat,5,1,0,0,\n", "weight 'boat' is named twice"),
            ("box,5,1,0,0,\n", "'box' is the name of an object that is not a weight of this hull"),
            (f"{'x' * 300},5,1,0,0,\n", "is too long for Blender"),
        ],
    )
    def test_says_what_is_wrong_and_changes_nothing(
        self, hull: bpy.types.Object, tmp_path: Path, rows: str, complaint: str
    ) -> None:
        before = places()
        path = saved(tmp_path / "w.csv", "first,5,1,0,0,\n" + rows)
        reported = refusal(filepath=path)
        assert reads(reported, complaint.replace("row 2", "row 3"))
        assert reported.count(path) == 1
        assert places() == before

    def test_says_what_a_constraint_holds_elsewhere(
        self, hull: bpy.types.Object, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        engine = bpy.data.objects["engine"]
        engine.constraints.new("LIMIT_LOCATION").use_max_x = True
        CALL.import_weights(filepath=saved(tmp_path / "w.csv", self.ROWS))
        assert "engine: held elsewhere" in capsys.readouterr().out


class TestPanel:
    @pytest.mark.parametrize(
        ("way", "reported"),
        [
            ("ADD", "2 weights: 1 new, 1 left as they are"),
            ("UPDATE", "2 weights: 1 new, 1 changed"),
            ("REPLACE", "2 weights: 1 new, 1 changed, 1 removed"),
        ],
    )
    def test_says_before_what_would_change(
        self,
        hull: bpy.types.Object,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        way: str,
        reported: str,
    ) -> None:
        from addon.blender.operators import weight_lists

        run_command: list[tuple[str, str]] = []
        monkeypatch.setattr(
            weight_lists, "wrapped", lambda layout, context, *words: run_command.append(words)
        )
        column = SimpleNamespace(prop=lambda *_, **__: None)
        operator = SimpleNamespace(
            on_board=weights_on_board(bpy.context.evaluated_depsgraph_get(), hull),
            filepath=saved(tmp_path / "w.csv", TestImport.ROWS),
            mode=way,
            layout=SimpleNamespace(column=lambda: column),
        )
        draw = weight_lists.NAVAL_CHECKS_OT_import_weights.draw
        draw(operator, bpy.context)
        operator.filepath = saved(tmp_path / "bad.csv", "boat,heavy,1,0,0,\n")
        draw(operator, bpy.context)
        assert run_command == [
            (reported, "INFO"),
            ("row 2: mass_kg is 'heavy'; it should be a number such as 12.5", "ERROR"),
        ]


def place_of(obj: bpy.types.Object) -> tuple[float, ...]:
    bpy.context.view_layer.update()
    return tuple(obj.matrix_world.translation)


def test_a_list_says_what_is_fixed(hull: bpy.types.Object, tmp_path: Path) -> None:
    path = tmp_path / "w.csv"
    rows = "shell,2000,3,0,0.4,,true\nengine,850.1,1.5,0,0.3,machinery,\nkeel,90,3,0,0,,true\n"
    path.write_text(HEADER.replace("group", "group,fixed") + rows, encoding="utf-8")
    settings(bpy.data.objects["engine"]).weight.fixed = True
    assert CALL.import_weights(filepath=str(path)) == {"FINISHED"}
    bpy.context.view_layer.update()
    on_board = weights_on_board(bpy.context.evaluated_depsgraph_get(), hull)
    assert {weight.name: weight.fixed for weight in on_board.weights} == dict.fromkeys(
        ("shell", "engine", "keel"), True
    )
