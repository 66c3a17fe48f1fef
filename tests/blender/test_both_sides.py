"""Parts on both sides: half a hull with parts on one side is the whole hull with both of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import bmesh
import bpy
import numpy as np
import pytest
import scene_ships as ships
from mathutils import Vector

from addon.blender.controller import live, session
from addon.blender.controller.compartments import recheck
from addon.blender.controller.corrective_actions import movable, named
from addon.blender.properties.names import Basis, Loading, Role
from addon.blender.properties.settings import settings
from addon.blender.readers.cases import read_case
from addon.blender.readers.members import core_names, subject_object
from addon.core.advice.action import CorrectiveAction
from addon.core.compartments.find_compartments import find_compartments
from addon.core.criteria.assessment import assess
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.messages.sentence import Sentence
from addon.core.messages.subjects import Subject, SubjectKind
from addon.core.model.case import Case
from addon.core.model.loaded_case import in_condition
from addon.core.model.weights import combined
from addon.parts.case_file import read_case as read_file
from tests.language import reads, refused

pytestmark = pytest.mark.slow

CALL = bpy.ops.naval_checks
SHEET = ((0, 1, 2, 3),)
LENGTH, HALF, DEPTH = 6.0, 1.0, 1.0
HOUSE = (2.0, 0.2, 1.0), (4.0, 0.7, 1.8)
WING = (1.0, 0.5, 0.1), (2.0, 0.9, 0.5)
DECK = (0.5, 0.0, 0.98), (5.5, 0.9, 1.0)
SIDE = ((-0.1, 0.3, -0.1), (6.1, 0.3, -0.1), (6.1, 0.3, 1.1), (-0.1, 0.3, 1.1))


def parts(side: float, named: Callable[[str], str]) -> list[bpy.types.Object]:
    """Parts of every kind on one side: 1 for port, -1 for starboard."""

    def block(name: str, ends: Sequence[Sequence[float]], role: Role) -> bpy.types.Object:
        low, high = (np.multiply(end, (1, side, 1)) for end in ends)
        return ships.block(named(name), np.minimum(low, high), np.maximum(low, high), role)

    def point(name: str, place: Sequence[float], role: Role) -> bpy.types.Object:
        return ships.empty(named(name), np.multiply(place, (1, side, 1)).tolist(), role)

    crew, deck = point("crew", (4, 0.6, 0.8), Role.WEIGHT), block("deck", DECK, Role.WEIGHT)
    settings(crew).weight.mass, settings(crew).group = 150.0, "crew"
    settings(deck).weight.basis, settings(deck).weight.solid_density = Basis.SOLID, 700.0
    tank = block("fuel", WING, Role.TANK)
    settings(tank).tank.content, settings(tank).tank.fill = "DIESEL", 60.0
    boundary = ships.mesh_object(named("side"), np.multiply(SIDE, (1, side, 1)), SHEET)
    settings(boundary).role = Role.BOUNDARY
    slot = np.multiply(((3, 1, 0.8), (3.2, 1, 0.8), (3.2, 1, 0.9), (3, 1, 0.9)), (1, side, 1))
    scupper = ships.mesh_object(named("scupper"), slot, SHEET)
    settings(scupper).role = Role.OPENING
    settings(scupper).opening.compartments_1 = named("wing")
    return [
        *(crew, deck, tank, boundary, scupper),
        point("vent", (3, 0.8, 1.2), Role.OPENING),
        block("house", HOUSE, Role.WINDAGE),
        point("wing", (4, 0.6, 0.4), Role.COMPARTMENT),
        point("door", (3, 0.3, 0.2), Role.DOOR),
    ]


def belonging(hull: bpy.types.Object, found: list[bpy.types.Object]) -> None:
    for obj in found:
        settings(obj).hull = hull
    chosen = settings(hull)
    chosen.form.forward, chosen.form.up = "X", "Z"
    steel = ships.weight(f"steel of {hull.name}", 2500, (3, 0.02, 0.4))
    settings(steel).hull = hull
    bpy.context.view_layer.update()
    ships.activate(hull)


def half_hull(port: bool = True) -> bpy.types.Object:
    """The port half of a box of 6 × 2 × 1 m, all its parts on one side and on both."""
    obj = ships.block("half", (0, 0, 0), (LENGTH, HALF, DEPTH), Role.HULL)
    settings(obj).form.mirror = True
    found = parts(1 if port else -1, str)
    for part in found:
        settings(part).both_sides = settings(part).role != Role.BOUNDARY
    belonging(obj, found)
    return obj


def whole_hull() -> bpy.types.Object:
    """The whole of it, both of each part one by one."""
    obj = ships.block("whole", (0, -HALF, 0), (LENGTH, HALF, DEPTH), Role.HULL)
    found = [
        part
        for side, word in ((1, "port"), (-1, "starboard"))
        for part in parts(side, f"{{}} ({word})".format)
    ]
    belonging(obj, found)
    return obj


def case_of(hull: bpy.types.Object) -> Case:
    return read_case(bpy.context.evaluated_depsgraph_get(), hull).case


def names(case: Case) -> list[list[str]]:
    kinds = (case.weights, case.tanks, case.openings, case.compartment_marks, case.doors)
    return [sorted(thing.name for thing in things if "steel" not in thing.name) for things in kinds]


def figures(case: Case) -> np.ndarray:
    """Of all that is on board, of how it rights itself to both sides, and of its compartments."""
    ship = assess(case, np.radians(np.arange(0.0, 61.0, 15.0))).stability
    rest = ship.floating.equilibrium
    assert rest
    compartments = {
        compartment.name: compartment.volume for compartment in find_compartments(case).compartments
    }
    return np.concatenate(
        [
            [ship.floating.weight.mass, *ship.floating.weight.center, ship.floating.GM_fluid],
            combined(case.weights).inertia.ravel() / 1e3,
            [rest.attitude.heel_rad, rest.attitude.trim_rad],
            *(side.gz_curve.gz for side in (ship.port, ship.starboard)),
            [min(side.downflooding_angle, 9.0) for side in (ship.port, ship.starboard)],
            [compartments[name] for name in sorted(compartments)],
            np.sort(case.windage[:, :, 1].sum(axis=1)),
            np.sort([door.point[1] for door in case.doors]),
        ]
    )


@pytest.mark.parametrize("port", (True, False))
def test_half_a_hull_with_one_of_each_is_the_whole_with_both(port: bool) -> None:
    half, whole = case_of(half_hull(port)), case_of(whole_hull())
    assert names(half) == names(whole)
    assert figures(half) == pytest.approx(figures(whole), rel=1e-9, abs=1e-9)


def whole_hull_with_pairs() -> bpy.types.Object:
    obj = ships.block("box", (0, -HALF, 0), (LENGTH, HALF, DEPTH), Role.HULL)
    found = parts(1, str)
    for part in found:
        settings(part).both_sides = True
    belonging(obj, found)
    return obj


def test_a_whole_hull_may_have_parts_on_both_sides() -> None:
    both, apart = case_of(whole_hull_with_pairs()), case_of(whole_hull())
    assert figures(both) == pytest.approx(figures(apart), rel=1e-9, abs=1e-9)


def test_what_is_on_the_centerline_is_refused_in_one_line() -> None:
    hull = half_hull()
    bpy.data.objects["vent"].location.y = 0.0
    bpy.context.view_layer.update()
    with refused("opening 'vent' is to be on both sides: it lies on"):
        case_of(hull)
    settings(bpy.data.objects["vent"]).both_sides = False
    assert "vent" in names(case_of(hull))[2]
    bpy.data.objects["deck"].location.y = -0.1
    bpy.context.view_layer.update()
    with refused("weight 'deck' is to be on both sides: it reaches"):
        case_of(hull)


def test_an_exported_case_reads_back_the_same(tmp_path: Path) -> None:
    hull = half_hull()
    hull.rotation_euler = (0.0, 0.0, 0.3)
    for obj in bpy.context.scene.objects:
        if obj != hull:
            obj.parent = hull
    bpy.context.view_layer.update()
    chosen = settings(hull)
    chosen.conditions.add().name = "not_loaded"
    for name, field in (("crew", "not_loaded"), ("wing", "flooded")):
        setattr(chosen.conditions[0].ensure_item(bpy.data.objects[name]), field, True)
    filled = chosen.conditions[0].ensure_item(bpy.data.objects["fuel"])
    filled.use_fill, filled.fill = True, 20.0
    CALL.export_case(directory=str(tmp_path))
    text = (tmp_path / "case.toml").read_text()
    assert text.count("both_sides = true\n") == 8
    here, there = case_of(hull), read_file(tmp_path / "case.toml")
    assert names(there) == names(here)
    both = (figures(case) for case in (there, here))
    assert next(both) == pytest.approx(next(both), rel=1e-6, abs=1e-6)
    loaded = [in_condition(case, case.conditions[0]) for case in (there, here)]
    assert loaded[0].flooded == loaded[1].flooded == ("wing (port)", "wing (starboard)")
    for case in loaded:
        assert [weight.name for weight in case.weights if "crew" in weight.name] == []
        assert [tank.fill for tank in case.tanks] == pytest.approx([0.2, 0.2])


def test_undo_takes_the_switch_back() -> None:
    hull = half_hull()
    bpy.ops.ed.undo_push(message="before")
    before = ships.floated(hull).floating.weight.mass
    settings(bpy.data.objects["crew"]).both_sides = False
    bpy.ops.ed.undo_push(message="single")
    hull = bpy.data.objects["half"]
    assert session.entry_for(hull).stale
    assert ships.floated(hull).floating.weight.mass == pytest.approx(before - 150)
    bpy.ops.ed.undo()
    hull = bpy.data.objects["half"]
    assert settings(bpy.data.objects["crew"]).both_sides
    assert session.entry_for(hull).stale
    assert ships.floated(hull).floating.weight.mass == pytest.approx(before)


@pytest.mark.parametrize("name", ("fuel", "wing", "door", "side"))
def test_compartments_are_stale_once_the_switch_is_turned(name: str) -> None:
    hull = whole_hull_with_pairs()
    CALL.find_compartments()
    assert not session.entry_for(hull).divided.stale
    settings(bpy.data.objects[name]).both_sides ^= True
    assert session.entry_for(hull).divided.stale
    recheck(bpy.context.evaluated_depsgraph_get())
    assert session.entry_for(hull).divided.stale
    settings(bpy.data.objects[name]).both_sides ^= True
    recheck(bpy.context.evaluated_depsgraph_get())
    assert not session.entry_for(hull).divided.stale


class TestLive:
    @pytest.fixture(autouse=True)
    def window(self, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
        monkeypatch.setattr(live, "in_window", True)
        monkeypatch.setattr(live, "FRAME", float("inf"))
        yield
        live.forget()

    @staticmethod
    def assert_up_to_date(hull: bpy.types.Object) -> None:
        entry, truth = (
            session.entry_for(hull),
            find_floating_position(case_of(hull), seek_others=False),
        )
        now = entry.floating
        assert not entry.stale
        assert now.weight.mass == pytest.approx(truth.weight.mass, rel=1e-12)
        assert now.weight.center == pytest.approx(truth.weight.center, abs=1e-12)
        assert now.GM_fluid == pytest.approx(truth.GM_fluid, abs=1e-6)
        for ours, theirs in zip(now.case.openings, truth.case.openings, strict=True):
            assert ours.name == theirs.name and ours.point == pytest.approx(theirs.point)
            assert ours.compartments == theirs.compartments

    @pytest.mark.parametrize("name", ("crew", "deck", "fuel", "vent", "scupper", "half"))
    def test_a_drag_is_followed(self, name: str) -> None:
        hull = half_hull()
        whole_hull()
        ships.activate(hull)
        ships.floated(hull)
        before = session.entry_for(hull)
        bpy.data.objects[name].location += Vector((0.3, 0.0, 0.05))
        bpy.context.view_layer.update()
        assert session.entry_for(hull) is not before and session.entry_for(hull).behind
        self.assert_up_to_date(hull)

    def test_across_the_centerline_and_with_the_switch(self) -> None:
        hull = half_hull()
        ships.floated(hull)
        bpy.data.objects["crew"].location.y = -0.5
        bpy.context.view_layer.update()
        self.assert_up_to_date(hull)
        for both in (False, True):
            settings(bpy.data.objects["crew"]).both_sides = both
            live._follow_noted()
            assert session.entry_for(hull).behind
            self.assert_up_to_date(hull)

    def test_on_the_centerline_it_says_so_when_it_is_quiet(self) -> None:
        hull = half_hull()
        ships.floated(hull)
        bpy.data.objects["crew"].location.y = 0.0
        bpy.context.view_layer.update()
        assert session.entry_for(hull).stale
        live.settle()
        message = session.entry_for(hull).message
        assert message.subjects == (Subject("weight", "crew"),) and reads(
            message, "weight 'crew' is to be on both sides"
        )


# What the core names, and the object ---------------------------------------------------------


def test_a_line_about_either_leads_to_the_object() -> None:
    half_hull()
    kinds: dict[str, SubjectKind] = {
        "fuel (port)": "tank",
        "vent (starboard)": "opening",
        "crew": "weight",
    }
    for name, kind in kinds.items():
        found = subject_object(bpy.context, Subject(kind, name))
        assert found and found.name == name.split(" (")[0]
        assert subject_object(bpy.context, Subject("door", name)) is None


def test_a_pair_is_moved_by_its_object() -> None:
    hull = half_hull()
    ships.floated(hull)
    crew = next(w for w in case_of(hull).weights if w.name == "crew (starboard)")
    corrective_action = CorrectiveAction(
        "move_weight", "trim", Sentence(""), crew, np.array([1.0, 0.0, 0.0])
    )
    obj = bpy.data.objects["crew"]
    assert named(bpy.context, corrective_action) == movable(bpy.context, corrective_action) == obj


def test_the_lens_turns_to_the_object_or_its_mirror_image() -> None:
    hull = half_hull()
    ships.floated(hull)
    CALL.show_opening(opening="vent (starboard)", place=(3, -0.8, 1.2))
    assert bpy.context.view_layer.objects.active == bpy.data.objects["vent"]


def test_conditions_load_both() -> None:
    hull = half_hull()
    chosen = settings(hull)
    chosen.conditions.add().name = "not_loaded"
    chosen.active_condition, chosen.loading = 0, Loading.CONDITION
    CALL.toggle_loaded(object_name="crew")
    mass = case_of(hull).load.mass
    assert ships.floated(hull).floating.weight.mass == pytest.approx(mass - 2 * 150)


def test_a_compartment_on_both_sides_is_renamed_with_its_mark() -> None:
    hull = half_hull()
    CALL.find_compartments()
    CALL.rename_compartment(compartment="wing (starboard)", new_name="locker (starboard)")
    assert "locker" in bpy.data.objects and "wing" not in bpy.data.objects
    entry = session.entry_for(hull)
    assert entry.chosen_compartment.name == "locker (starboard)"
    CALL.show_compartment(compartment="locker (port)")
    chosen = {obj.name for obj in bpy.context.selected_objects}
    assert chosen == {"locker", "side", "fuel"}


@pytest.mark.parametrize("port", (True, False))
def test_the_sea_comes_in_through_the_one_that_is_modelled(port: bool) -> None:
    hull = half_hull(port)
    inflow = settings(bpy.data.objects["wing"]).inflow
    inflow.air_trapped, inflow.pump = True, 5.0
    CALL.find_compartments()
    scupper = bpy.data.objects["scupper"]
    scupper.location.z = -0.75
    bpy.context.view_layer.update()
    ships.activate(scupper)
    CALL.time_to_flood()
    damage = session.entry_for(hull).damage
    assert damage.breach == ("scupper (port)" if port else "scupper (starboard)")
    assert damage.flooding_history.lost is None and damage.flooding_history.events


def test_the_edges_of_a_leak_are_those_of_the_wall_there_is() -> None:
    """Its top is off, and water gets into either wing through a hole in one boundary that is
    both."""
    hull = whole_hull_with_pairs()
    body = bmesh.new()
    body.from_mesh(hull.data)
    body.faces.ensure_lookup_table()
    bmesh.ops.delete(body, geom=[body.faces[1]], context="FACES_ONLY")
    body.to_mesh(hull.data)
    body.free()
    boundary = bpy.data.objects["side"]
    breach = [(x, 0.3, z) for x, z in ((3, 0.5), (4, 0.5), (4, 0.7), (3, 0.7))]
    boundary.data.clear_geometry()
    faces = [(i, (i + 1) % 4, 4 + (i + 1) % 4, 4 + i) for i in range(4)]
    boundary.data.from_pydata([*SIDE, *breach], [], faces)
    corners = [(x, y, 0.95) for x, y in ((-0.1, 0.3), (6.1, 0.3), (6.1, 1.1), (-0.1, 1.1))]
    shelf = ships.mesh_object("shelf", corners, SHEET)
    settings(shelf).role, settings(shelf).both_sides = Role.BOUNDARY, True
    bpy.context.view_layer.update()
    CALL.find_compartments()
    leaks = session.entry_for(hull).plan.leaks
    rim = {edge.index for edge in boundary.data.edges if all(v >= 4 for v in edge.vertices)}
    for index, leak in enumerate(leaks):
        if leak.compartment.startswith("wing"):
            assert [gap.boundary for gap in leak.path] == ["box", "side"]
            CALL.show_leak(index=index)
            bpy.ops.object.mode_set(mode="OBJECT")
            assert {edge.index for edge in boundary.data.edges if edge.select} == rim
    assert {"wing (port)", "wing (starboard)"} <= {leak.compartment for leak in leaks}


def test_a_weight_list_has_one_row_for_both(tmp_path: Path) -> None:
    hull = half_hull()
    path = tmp_path / "weights.csv"
    CALL.export_weights(filepath=str(path))
    rows = path.read_text().splitlines()
    assert rows[0].endswith(",both_sides") and "crew,150.0,4.0,0.6,0.8,crew,true" in rows
    before = case_of(hull).load.mass
    path.write_text(path.read_text().replace("crew,150.0", "crew,200.0"))
    CALL.import_weights(filepath=str(path), mode="REPLACE")
    assert case_of(hull).load.mass == pytest.approx(before + 100)
    single = "name,mass_kg,x_m,y_m,z_m,both_sides\ncrew,200,4,0.6,0.8,false\nmate,80,4,0.5,1,true\n"
    path.write_text(single)
    CALL.import_weights(filepath=str(path), mode="UPDATE")
    assert not settings(bpy.data.objects["crew"]).both_sides
    assert case_of(hull).load.mass == pytest.approx(before + 100 - 200 + 2 * 80)


# Marking --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "mirror", "both"),
    [((4, 0.5, 1), True, True), ((4, 0, 1), True, False), ((4, 0.5, 1), False, False)],
)
def test_what_is_marked_aside_of_half_a_hull_is_on_both(
    place: tuple[float, float, float], mirror: bool, both: bool
) -> None:
    hull = half_hull()
    settings(hull).form.mirror = mirror
    bpy.context.scene.cursor.location = place
    CALL.add_opening(part_name="new")
    assert settings(bpy.data.objects["new"]).both_sides == both
    ships.activate(hull)
    CALL.add_weight(weight_name="anchor")
    assert not settings(bpy.data.objects["anchor"]).both_sides


@pytest.mark.parametrize("low", (0.0, -0.1))
def test_a_mesh_is_on_both_if_it_lies_on_one(low: float) -> None:
    hull = half_hull()
    for name, mark in (("new tank", CALL.mark_tanks), ("plates", CALL.weigh)):
        obj = ships.block(name, (1, low, 0.6), (2, 0.4, 0.8))
        bpy.context.view_layer.update()
        ships.activate(obj)
        hull.select_set(True)
        mark()
        assert settings(obj).both_sides == (low == 0.0)
        assert len(core_names(obj)) == 1 + (low == 0.0)
