"""Meshes weighed by what they are made of. Masses are density times volume, or times area and
thickness, of boxes."""

from __future__ import annotations

import bpy
import pytest
import scene_ships as ships

from addon.blender.properties.names import Basis, Role
from addon.blender.properties.settings import settings
from addon.core.model.materials import MATERIALS

CALL = bpy.ops.naval_checks


@pytest.fixture
def house() -> bpy.types.Object:
    """A house of 2 × 1 × 1 m on the box: 10 m² of plates."""
    ships.hull()
    obj = ships.block("house", (2, 0.5, 1), (4, 1.5, 2))
    bpy.context.view_layer.update()
    ships.activate(obj)
    return obj


def mass() -> float:
    entry = ships.floated(bpy.data.objects["box"])
    assert entry.floating, entry.message
    return float(entry.floating.weight.mass)


class TestWeigh:
    def test_plates(self, house: bpy.types.Object) -> None:
        assert CALL.weigh(basis="SKIN", material="ALUMINIUM", thickness=4) == {"FINISHED"}
        assert settings(house).role == Role.WEIGHT
        assert settings(house).hull == bpy.data.objects["box"]
        assert mass() == pytest.approx(2700 * 0.004 * 10)

    def test_solid(self, house: bpy.types.Object) -> None:
        CALL.weigh(basis="SOLID", material="CONCRETE", group="ballast")
        assert mass() == pytest.approx(2400 * 2)
        assert settings(house).group == "ballast"

    def test_a_density_of_your_own(self, house: bpy.types.Object) -> None:
        CALL.weigh(basis="SOLID", material="OTHER", density=123)
        assert mass() == pytest.approx(123 * 2)

    def test_thickness_is_in_millimeters_in_any_scene(self, house: bpy.types.Object) -> None:
        bpy.context.scene.unit_settings.scale_length = 2.0
        CALL.weigh(basis="SKIN", material="STEEL", thickness=2)
        assert mass() == pytest.approx(7850 * 0.002 * 40)

    def test_thickness_is_shown_in_the_units_of_the_scene(self, house: bpy.types.Object) -> None:
        bpy.context.scene.unit_settings.scale_length = 2.0
        CALL.weigh(basis="SKIN", material="STEEL", scene_thickness=0.001)
        assert mass() == pytest.approx(7850 * 0.002 * 40)

    def test_weighs_a_weight_anew(self, house: bpy.types.Object) -> None:
        settings(house).role, settings(house).group = Role.WEIGHT, "outfit"
        CALL.weigh(basis="SOLID", material="OAK")
        assert settings(house).weight.basis == Basis.SOLID
        assert settings(house).group == "outfit"

    def test_can_be_undone(self, house: bpy.types.Object) -> None:
        bpy.ops.ed.undo_push(message="before")
        CALL.weigh("EXEC_DEFAULT", True)
        bpy.ops.ed.undo()
        assert settings(bpy.data.objects["house"]).role == Role.NONE

    def test_leaves_what_has_no_extent(
        self, house: bpy.types.Object, capsys: pytest.CaptureFixture[str]
    ) -> None:
        line = ships.mesh_object("line", [(0, 0, 0), (1, 0, 0), (2, 0, 0)], [(0, 1, 2)])
        line.select_set(True)
        CALL.weigh(material="PLYWOOD")
        assert settings(line).role == Role.NONE
        assert settings(house).role == Role.WEIGHT
        assert "line" in capsys.readouterr().out

    def test_wants_meshes_that_are_free(self, house: bpy.types.Object) -> None:
        settings(house).role = Role.TANK
        with pytest.raises(RuntimeError, match="Select meshes that are weights"):
            CALL.weigh()


def test_the_materials_that_everyone_knows() -> None:
    """Steel plate of 1 mm weighs 7.85 kg/m² (a rule of the trade)."""
    assert MATERIALS["STEEL"].density / 1000 == 7.85
    assert MATERIALS["FOAM"].density < 1000 < MATERIALS["GRP"].density
    assert max(MATERIALS.values(), key=lambda material: material.density).name == "Ballast Lead"
