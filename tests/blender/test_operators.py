"""What each operator does, and what it says when it cannot."""

from __future__ import annotations

from pathlib import Path

import bmesh
import bpy
import pytest
import scene_ships as ships

from addon.blender.controller import session
from addon.blender.identifiers import Ops
from addon.blender.operators.findings import elements_of, selection_report
from addon.blender.properties.names import Role, WaterDisplay
from addon.blender.properties.settings import scene_settings, settings
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.parts.case_file import read_case
from addon.results.floating import float_result
from tests.language import reads

MIDDLE = (3.0, 1.0, 0.5)
CALL = bpy.ops.naval_checks


def refusal(operator: str, **words: object) -> str:
    with pytest.raises(RuntimeError) as caught:
        getattr(CALL, operator)(**words)
    return str(caught.value)


def loaded_box() -> bpy.types.Object:
    hull = ships.hull()
    ships.weight("all", 3000, MIDDLE)
    ships.activate(hull)
    return hull


class TestMarkHull:
    def test_marks_and_looks_it_over(self) -> None:
        obj = ships.mesh_object("box", ships.BOX, ships.FACES[:1] + ships.FACES[2:])
        ships.activate(obj)
        assert CALL.mark_hull() == {"FINISHED"}
        assert settings(obj).role == Role.HULL
        assert [finding.code for finding in session.entry_for(obj).surface] == ["open-edge"]
        assert "already" in refusal("mark_hull")

    def test_takes_a_mesh_only(self) -> None:
        assert "Select a mesh first" in refusal("mark_hull")
        empty = bpy.data.objects.new("empty", None)
        bpy.context.scene.collection.objects.link(empty)
        ships.activate(empty)
        assert "Select a mesh first" in refusal("mark_hull")

    def test_marks_even_what_cannot_float(self) -> None:
        obj = ships.mesh_object("sheet", ships.BOX[:4], ships.FACES[:1])
        ships.activate(obj)
        assert CALL.mark_hull() == {"FINISHED"}
        assert reads(session.entry_for(obj).message, "flat")

    def test_can_be_undone(self) -> None:
        ships.activate(ships.mesh_object("box", ships.BOX, ships.FACES))
        bpy.ops.ed.undo_push(message="before")
        CALL.mark_hull("EXEC_DEFAULT", True)
        bpy.ops.ed.undo()
        assert settings(bpy.data.objects["box"]).role == Role.NONE


class TestUnmark:
    def test_forgets_role_and_result(self) -> None:
        hull = loaded_box()
        ships.floated(hull)
        CALL.unmark()
        assert settings(hull).role == Role.NONE
        assert session.known() == ()

    def test_wants_something_marked(self) -> None:
        ships.activate(ships.mesh_object("box", ships.BOX, ships.FACES))
        assert "Select a hull or a part first" in refusal("unmark")


class TestAddWeight:
    def test_puts_an_empty_on_board(self) -> None:
        hull = ships.hull()
        hull.location, hull.scale = (10, 0, 0), (2, 1, 1)
        bpy.context.view_layer.update()
        bpy.context.scene.cursor.location = (12, 1, 0.25)
        CALL.add_weight(mass=850, group="machinery", weight_name="engine")
        weight = bpy.data.objects["engine"]
        chosen = settings(weight)
        assert (chosen.role, chosen.weight.mass, chosen.group) == (Role.WEIGHT, 850, "machinery")
        assert chosen.hull == weight.parent == hull
        bpy.context.view_layer.update()
        assert weight.matrix_world.translation[:] == pytest.approx((12, 1, 0.25))
        assert weight.matrix_world.to_scale()[:] == pytest.approx((1, 1, 1))
        assert bpy.context.selected_objects == [weight]
        hull.location.x += 5
        bpy.context.view_layer.update()
        assert weight.matrix_world.translation.x == pytest.approx(17)

    def test_a_mass_in_the_units_of_the_scene(self) -> None:
        """A Blender unit of 2 m makes one of 8 kg."""
        bpy.context.scene.unit_settings.scale_length = 2.0
        shown = bpy.context.window_manager.operator_properties_last("naval_checks.add_weight")
        shown.scene_mass = 5.0
        assert (shown.mass, shown.scene_mass) == pytest.approx((40.0, 5.0))

    def test_in_the_middle_of_the_hull(self) -> None:
        ships.hull().location = (10, 0, 0)
        bpy.context.view_layer.update()
        CALL.add_weight(place="HULL")
        bpy.context.view_layer.update()
        place = bpy.context.object.matrix_world.translation
        assert place[:] == pytest.approx((13, 1, 0.5))

    def test_without_a_hull_it_waits_for_one(self) -> None:
        assert CALL.add_weight() == {"FINISHED"}
        assert settings(bpy.context.object).hull is None

    def test_needs_object_mode(self) -> None:
        loaded_box()
        bpy.ops.object.mode_set(mode="EDIT")
        assert "needs Object Mode" in refusal("add_weight")


class TestTagWeights:
    def test_tags_what_is_selected_but_no_hulls(self) -> None:
        hull = ships.hull()
        crate = ships.mesh_object("crate", ships.BOX, ships.FACES)
        old = ships.weight("old", 5, MIDDLE)
        for obj in (hull, crate, old):
            obj.select_set(True)
        CALL.mark_weights(mass=20, group="cargo")
        assert settings(hull).role == Role.HULL
        assert settings(old).weight.mass == 5
        chosen = settings(crate)
        assert (chosen.role, chosen.weight.mass, chosen.hull) == (Role.WEIGHT, 20, hull)

    def test_the_selected_hull_takes_them(self) -> None:
        first, second = ships.hull("first"), ships.hull("second")
        crate = ships.mesh_object("crate", ships.BOX, ships.FACES)
        for obj in (second, crate):
            obj.select_set(True)
        CALL.mark_weights()
        assert settings(crate).hull == second
        assert first.name == "first"

    def test_wants_a_selection(self) -> None:
        assert "Select objects" in refusal("mark_weights")


class TestCompute:
    def test_floats_the_hull_at_hand(self) -> None:
        hull = loaded_box()
        assert CALL.compute() == {"FINISHED"}
        draft = session.entry_for(hull).floating.hydrostatics.draft_mid
        assert draft == pytest.approx(3000 / 1025 / 12)

    def test_floats_every_hull(self) -> None:
        for name in ("first", "second"):
            hull = ships.hull(name)
            settings(ships.weight(f"of {name}", 3000, MIDDLE)).hull = hull
        ships.activate(None)
        assert "several hulls" in refusal("compute")
        CALL.compute(every=True)
        assert {entry.hull_name for entry in session.entries()} == {"first", "second"}

    def test_wants_a_hull(self) -> None:
        assert "Mark a hull first" in refusal("compute")

    def test_says_what_is_wrong(self) -> None:
        hull = loaded_box()
        hull.scale.z = 0
        assert reads(refusal("compute"), "box: the object's scale flattens it")
        assert session.entry_for(hull).message


class TestClear:
    def test_forgets(self) -> None:
        hull = loaded_box()
        ships.floated(hull)
        CALL.clear()
        assert session.entry_for(hull) is None
        assert "no results to clear" in refusal("clear")


class TestSwitchLook:
    def test_goes_there_and_back(self) -> None:
        assert "Find the floating position first" in refusal("switch_water_display")
        ships.floated(loaded_box())
        chosen = scene_settings(bpy.context.scene)
        CALL.switch_water_display()
        assert chosen.water_display == WaterDisplay.WATER_LEVEL
        CALL.switch_water_display()
        assert chosen.water_display == WaterDisplay.SHIP_FIXED


class TestSelectObject:
    def test_selects(self) -> None:
        hull = loaded_box()
        CALL.select_object(object_name="all")
        assert bpy.context.selected_objects == [bpy.data.objects["all"]]
        assert bpy.context.object != hull

    def test_says_what_is_not_there(self) -> None:
        assert "no object 'nobody'" in refusal("select_object", object_name="nobody")
        loaded_box()
        bpy.ops.object.mode_set(mode="EDIT")
        assert "needs Object Mode" in refusal("select_object", object_name="all")

    def test_the_list_of_weights_selects_too(self) -> None:
        loaded_box()
        chosen = scene_settings(bpy.context.scene)
        objects = bpy.context.view_layer.objects
        chosen.active_part = objects.find("all")
        assert bpy.context.object == bpy.data.objects["all"]
        assert chosen.active_part == objects.find("all")


class TestSelectFaults:
    def faulty(self, modifier: bool = False) -> bpy.types.Object:
        """A box without its lid and with one face turned inwards, mirrored to be twice as long."""
        faces = (ships.FACES[0], ships.FACES[2][::-1], *ships.FACES[3:5])
        if not modifier:
            faces = (*faces, ships.FACES[5])
        hull = ships.hull("box", ships.BOX, faces)
        if modifier:
            hull.modifiers.new("Mirror", "MIRROR")
        ships.weight("all", 3000, MIDDLE)
        CALL.compute()
        return hull

    def index(self, hull: bpy.types.Object, code: str) -> int:
        return [finding.code for finding in session.entry_for(hull).findings].index(code)

    def selected(self, hull: bpy.types.Object) -> dict[str, list[list[int]]]:
        assert hull.mode == "EDIT"
        body = bmesh.from_edit_mesh(hull.data)
        return {
            "edges": sorted(sorted(v.index for v in e.verts) for e in body.edges if e.select),
            "faces": sorted(sorted(v.index for v in f.verts) for f in body.faces if f.select),
        }

    def test_selects_faces_in_edit_mode(self) -> None:
        hull = self.faulty()
        CALL.select_finding(index=self.index(hull, "inward-normals"))
        assert self.selected(hull)["faces"] == [sorted(ships.FACES[2])]
        assert bpy.context.tool_settings.mesh_select_mode[:] == (False, False, True)

    def test_selects_the_open_edge_from_another_object(self) -> None:
        hull = self.faulty()
        ships.activate(bpy.data.objects["all"])
        CALL.select_finding(index=self.index(hull, "open-edge"))
        assert self.selected(hull)["edges"] == [[4, 5], [4, 7], [5, 6], [6, 7]]

    def test_finds_the_same_while_editing(self) -> None:
        hull = self.faulty()
        for code, count in (("open-edge", 0), ("inward-normals", 1), ("open-edge", 0)):
            CALL.select_finding(index=self.index(hull, code))
            assert len(self.selected(hull)["faces"]) == count
            assert not session.entry_for(hull).stale

    def test_leaves_out_what_a_modifier_made(self) -> None:
        hull = self.faulty(modifier=True)
        codes = {finding.code for finding in session.entry_for(hull).findings}
        assert {"inward-normals", "open-edge"} <= codes
        CALL.select_finding(index=self.index(hull, "inward-normals"))
        assert self.selected(hull)["faces"] == [sorted(ships.FACES[2])]

    def test_names_the_modifier_that_made_it_all(self) -> None:
        hull = loaded_box()
        plating = hull.modifiers.new("Plating", "SOLIDIFY")
        plating.thickness = 0.05
        CALL.compute()
        index = self.index(hull, "nested-parts")
        finding = session.entry_for(hull).findings[index]
        depsgraph = bpy.context.evaluated_depsgraph_get()
        assert elements_of(depsgraph, hull, finding) == (6, set())
        assert CALL.select_finding(index=index) == {"FINISHED"}
        assert hull.mode == "OBJECT"
        assert selection_report(hull, finding, 6, 0) == (
            "WARNING",
            "6 faces made by modifiers (Plating): nothing to select in the mesh",
        )

    def test_double_vertices_are_all_selected(self) -> None:
        vertices = (*ships.BOX, ships.BOX[0])
        hull = ships.hull("box", vertices, [(8, 3, 2, 1), *ships.FACES[1:]])
        ships.weight("all", 3000, MIDDLE)
        CALL.compute()
        CALL.select_finding(index=self.index(hull, "double-vertices"))
        body = bmesh.from_edit_mesh(hull.data)
        assert {vertex.index for vertex in body.verts if vertex.select} == {0, 8}

    def test_of_a_half_hull(self) -> None:
        faces = (*ships.FACES[:2], ships.FACES[3], ships.FACES[4][::-1], ships.FACES[5])
        hull = ships.hull("box", ships.BOX, faces)
        settings(hull).form.mirror = True
        ships.weight("all", 3000, (3, 0, 0.5))
        CALL.compute()
        CALL.select_finding(index=self.index(hull, "inward-normals"))
        assert self.selected(hull)["faces"] == [sorted(ships.FACES[4])]

    @pytest.mark.slow
    def test_refuses_what_is_out_of_date(self) -> None:
        assert "There are no findings" in refusal("select_finding")
        hull = self.faulty()
        assert "out of date" in refusal("select_finding", index=99)
        hull.location.x += 1
        bpy.context.view_layer.update()
        index = self.index(hull, "open-edge")
        assert "changed since" in refusal("select_finding", index=index)
        CALL.compute()
        hull.hide_set(True)
        index = self.index(hull, "open-edge")
        assert "hidden" in refusal("select_finding", index=index)


class TestExportCase:
    @pytest.mark.parametrize("half", (False, True))
    def test_file_and_scene_agree(self, tmp_path: Path, half: bool) -> None:
        hull = ships.hull()
        hull.rotation_euler = (0.2, 0.3, 0.4)
        chosen = settings(hull)
        chosen.form.mirror, chosen.water.density = half, 1012
        ships.mark(hull, forward_perpendicular_x=5.5, aft_perpendicular_x=0.5, baseline_z=-0.1)
        for name, mass, place in (("hull, own", 1500, (3.1, 0.3, 0.4)), ("crew", 300, MIDDLE)):
            ships.weight(name, mass, place, hull)
        CALL.export_case(directory=str(tmp_path))
        written = {path.name for path in tmp_path.iterdir()}
        assert written == {"case.toml", "hull.obj", "weights.csv"}
        there = float_result(find_floating_position(read_case(tmp_path / "case.toml")))
        here = float_result(ships.floated(hull).floating)
        for key, value in here.items():
            if isinstance(value, float) and "residual" not in key:
                assert there[key] == pytest.approx(value, rel=1e-9, abs=1e-9), key

    def test_does_not_overwrite(self, tmp_path: Path) -> None:
        loaded_box()
        CALL.export_case(directory=str(tmp_path))
        assert "case.toml" in refusal("export_case", directory=str(tmp_path))

    def test_wants_a_hull(self) -> None:
        assert "Mark a hull first" in refusal("export_case")


def test_every_operator_explains_itself() -> None:
    for name in Ops:
        kind = getattr(CALL, name.split(".")[1]).get_rna_type()
        assert kind.description and not kind.description.endswith(".")
        for prop in kind.properties:
            if prop.identifier != "rna_type":
                assert prop.description, (name, prop.identifier)
