"""Decks, bulkheads, compartments, doors and holes of the scene, and what is found of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bpy
import numpy as np
import pytest
import scene_ships as ships
from scene_ships import SHEET, across, empty

from addon.blender.controller import known_compartments, live, session
from addon.blender.controller.analysis import compartments_job_of_hull
from addon.blender.controller.damage import flood_breached
from addon.blender.operators.background_work import StoppedError, Worker
from addon.blender.operators.leaks import free_edges
from addon.blender.panels.compartment_list import compartment_rows_of_window
from addon.blender.properties.names import Role
from addon.blender.properties.settings import settings
from addon.blender.readers.cases import read_case
from addon.cli import main
from addon.core.compartments.find_compartments import find_compartments
from addon.core.model.compartment import SEA
from addon.parts.case_file import read_case as read_file
from tests.language import reads, refused

pytestmark = pytest.mark.slow

CALL = bpy.ops.naval_checks
AFT, FORWARD = 2.0, 4.0


@pytest.fixture
def hull() -> bpy.types.Object:
    """The box with a weight, two bulkheads, and the compartment amidships named."""
    obj = ships.hull()
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    ships.weight("ship", 3000, (3, 1, 0.3))
    across("aft", AFT)
    across("forward", FORWARD)
    settings(empty("hold", (3, 1, 0.5), Role.COMPARTMENT)).compartment.use = "STORES"
    bpy.context.view_layer.update()
    ships.activate(obj)
    return obj


def refusal(operator: str, **words: object) -> str:
    with pytest.raises(RuntimeError) as caught:
        getattr(CALL, operator)(**words)
    return str(caught.value)


def found(hull: bpy.types.Object) -> session.Entry:
    CALL.find_compartments()
    return session.entry_for(hull)


def names(entry: session.Entry) -> list[str]:
    return [compartment.name for compartment in entry.plan.compartments]


def moved(obj: bpy.types.Object, x: float) -> None:
    obj.location.x = x
    bpy.context.view_layer.update()


def test_compartments_of_a_hull_with_bulkheads(hull: bpy.types.Object) -> None:
    entry = found(hull)
    assert names(entry) == ["space 1", "hold", "space 2"]
    assert [compartment.volume for compartment in entry.plan.compartments] == pytest.approx(
        [4, 4, 4], rel=1e-6
    )
    assert all(compartment.watertight for compartment in entry.plan.compartments)
    hold = entry.plan.compartment("hold")
    assert (hold.use, hold.permeability) == ("stores", 0.60)
    assert set(hold.boundaries) == {"box", "aft", "forward"}
    assert entry.floating is None and not entry.divided.stale


def test_each_part_as_it_is_set(hull: bpy.types.Object) -> None:
    door = settings(empty("door", (AFT, 1, 0.1), Role.DOOR)).door
    door.area, door.height, door.closed = 0.3, 0.6, True
    vent = ships.opening("vent", (5, 1, 1.2))
    chosen = settings(vent).opening
    chosen.kind, chosen.area, chosen.height = "OPEN_TOP", 0.2, 0.3
    settings(bpy.data.objects["hold"]).compartment.use_permeability = True
    settings(bpy.data.objects["hold"]).compartment.permeability = 0.7
    bpy.context.scene.unit_settings.scale_length = 0.5
    bpy.context.view_layer.update()
    case = read_case(bpy.context.evaluated_depsgraph_get(), hull).case
    assert [boundary.name for boundary in case.boundaries] == ["aft", "forward"]
    assert case.boundaries[0].vertices[:, 0] == pytest.approx(np.full(4, AFT / 2))
    (way,) = case.doors
    assert (way.area, way.height, way.closed) == (
        pytest.approx(0.5 * 0.6 / 4),
        pytest.approx(0.3),
        True,
    )
    assert way.point == pytest.approx([1, 0, 0.05])
    (opening,) = case.openings
    assert (opening.kind, opening.area, opening.height) == (
        "open top",
        pytest.approx(0.05),
        pytest.approx(0.15),
    )
    (mark,) = case.compartment_marks
    assert mark.share == pytest.approx(0.7) and mark.at == pytest.approx([1.5, 0, 0.25])


def test_walls_of_half_a_hull_have_twins() -> None:
    half = ships.block("half", (0, 0, 0), (6, 1, 1), Role.HULL)
    chosen = settings(half)
    chosen.form.forward, chosen.form.up, chosen.form.mirror = "X", "Z", True
    whole, center = across("whole", 2), across("side", 4)
    for vertex in whole.data.vertices:
        vertex.co.y -= 1
    for vertex in center.data.vertices:
        vertex.co.y = vertex.co.y / 2.2 + 0.1 / 2.2
    along = ships.mesh_object("along", ((0, 0, 0), (2, 0, 0), (2, 0, 1), (0, 0, 1)), SHEET)
    settings(along).role = Role.BOUNDARY
    bpy.context.view_layer.update()
    ships.activate(half)
    boundaries = read_case(bpy.context.evaluated_depsgraph_get(), half).case.boundaries
    assert {boundary.name: len(boundary.triangles) for boundary in boundaries} == {
        "along": 2,
        "side": 4,
        "whole": 2,
    }
    entry = found(half)
    volumes = [compartment.volume for compartment in entry.plan.compartments]
    assert volumes == pytest.approx([2, 2, 4, 4], rel=1e-5)


def test_a_parented_wall_with_a_modifier_follows_the_hull(hull: bpy.types.Object) -> None:
    thick = bpy.data.objects["aft"]
    thick.modifiers.new("thick", "SOLIDIFY").thickness = 0.1
    thick.modifiers["thick"].offset = 0
    for obj in bpy.context.scene.objects:
        if obj != hull:
            obj.parent = hull
    hull.location, hull.rotation_euler, hull.scale = (7, -3, 2), (0.2, 0.1, 2.0), (1, 2, 1)
    bpy.context.view_layer.update()
    entry = found(hull)
    assert entry.plan.boundary_volume == pytest.approx(2 * 0.1 * 2, rel=1e-4)
    assert entry.plan.compartment("hold").volume == pytest.approx(2 * (4 - 0.1), rel=1e-4)


@pytest.mark.parametrize("offset,grown", [(-1.0, 0.0), (1.0, 0.1)])
@pytest.mark.parametrize("turned", [False, True])
def test_an_open_hull_with_solidify_is_an_open_boat(
    offset: float, grown: float, turned: bool
) -> None:
    """The box without its top: the boundary is 0.1 m thick within it, or round it."""
    faces = [face for face in ships.FACES if face != (4, 5, 6, 7)]
    obj = ships.hull(faces=faces)
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    thick = obj.modifiers.new("thick", "SOLIDIFY")
    thick.thickness, thick.offset, thick.use_even_offset = 0.1, offset, True
    ships.weight("ship", 3000, (3, 1, 0.3), obj)
    if turned:
        obj.rotation_euler = (0.4, -0.3, 2.0)
    bpy.context.view_layer.update()
    ships.activate(obj)
    length, breadth, depth = 6 + 2 * grown, 2 + 2 * grown, 1 + grown
    inside = (length - 0.2) * (breadth - 0.2) * (depth - 0.1)
    ship, entry = ships.floated(obj).floating, found(obj)
    assert ship.state == "afloat"
    assert ship.case.hull.volume == pytest.approx(length * breadth * depth, rel=1e-5)
    draft = 3000 / ship.case.water_density / length / breadth
    assert ship.downflooding_height == pytest.approx(depth - draft, rel=1e-4)
    (compartment,) = entry.plan.compartments
    assert compartment.volume == pytest.approx(inside, rel=1e-5) and not compartment.watertight
    assert entry.plan.boundary_volume == pytest.approx(length * breadth * depth - inside, rel=1e-4)
    cap = ships.mesh_object("lid", [(x, y, 1) for x, y, _ in ships.BOX[:4]], SHEET)
    cap.parent, cap.scale = obj, (1.1, 1.1, 1)
    settings(cap).role = Role.BOUNDARY
    bpy.context.view_layer.update()
    (compartment,) = found(obj).plan.compartments
    assert compartment.watertight and compartment.volume == pytest.approx(inside, rel=1e-5)


def test_a_mesh_is_a_compartment(hull: bpy.types.Object) -> None:
    ships.block("locker", (0.5, 0.5, 0), (1, 1, 0.5), Role.COMPARTMENT)
    bpy.context.view_layer.update()
    assert found(hull).plan.compartment("locker").volume == pytest.approx(0.125, rel=1e-5)
    bpy.data.objects["locker"].data.clear_geometry()
    bpy.data.objects["locker"].data.from_pydata(ships.BOX, [], ships.FACES[1:])
    assert reads(refusal("find_compartments"), "compartment 'locker': the mesh is open")


def test_what_moves_makes_compartments_stale_and_undone_makes_them_good(
    hull: bpy.types.Object,
) -> None:
    found(hull)
    boundary, mark = bpy.data.objects["aft"], bpy.data.objects["hold"]
    for obj in (boundary, mark, hull):
        moved(obj, 0.5)
        assert known_compartments.divided_of(hull).stale, obj.name
        moved(obj, 0.0 if obj != mark else 3.0)
        assert not known_compartments.divided_of(hull).stale, obj.name
    moved(bpy.data.objects["ship"], 1.0)
    assert not known_compartments.divided_of(hull).stale
    settings(mark).compartment.use = "MACHINERY"
    assert known_compartments.divided_of(hull).stale
    assert found(hull).plan.compartment("hold").permeability == 0.85
    settings(boundary).role = Role.NONE
    assert known_compartments.divided_of(hull).stale
    assert len(names(found(hull))) == 2


def test_what_is_renamed_is_known_by_its_new_name(hull: bpy.types.Object) -> None:
    breached(bpy.data.objects["aft"])
    bpy.context.view_layer.update()
    found(hull)
    for obj, name in ((bpy.data.objects["aft"], "collision bulkhead"), (hull, "lighter")):
        obj.name = name
        bpy.context.view_layer.update()
        assert known_compartments.divided_of(hull).stale, name
        assert name in found(hull).plan.compartments[0].boundaries
        assert not known_compartments.divided_of(hull).stale, name
        obj.location.z = obj.location.z
        bpy.context.view_layer.update()
        assert not known_compartments.divided_of(hull).stale, name


def test_live_figures_do_not_wait_for_compartments(
    hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch
) -> None:
    ships.floated(hull)
    before = found(hull).floating
    monkeypatch.setattr(live, "in_window", True)
    monkeypatch.setattr(live, "is_busy", lambda: False)
    moved(bpy.data.objects["aft"], 0.5)
    entry = session.entry_for(hull)
    assert entry.divided.stale and entry.floating is before and not entry.stale
    moved(bpy.data.objects["ship"], 2.5)
    assert session.entry_for(hull).floating is not before
    moved(bpy.data.objects["aft"], 0.0)
    assert known_compartments.divided_of(hull).stale
    live.settle()
    assert not known_compartments.divided_of(hull).stale
    bpy.ops.object.mode_set(mode="EDIT")
    bpy.ops.object.mode_set(mode="OBJECT")
    live.settle()
    assert not known_compartments.divided_of(hull).stale
    bpy.context.scene.frame_set(5)
    assert not known_compartments.divided_of(hull).stale
    bpy.data.objects["aft"].data.vertices[0].co.x += 0.1
    bpy.data.objects["aft"].data.update()
    bpy.context.view_layer.update()
    live.settle()
    assert known_compartments.divided_of(hull).stale


def test_naming_in_the_list_puts_a_mark_inside(hull: bpy.types.Object) -> None:
    found(hull)
    rows = compartment_rows_of_window().compartments
    assert [row.name for row in rows] == ["space 1", "hold", "space 2"]
    where = [row.as_pointer() for row in rows]
    rows[0].name = "after peak"
    assert [row.as_pointer() for row in compartment_rows_of_window().compartments] == where
    mark = bpy.data.objects["after peak"]
    assert settings(mark).role == Role.COMPARTMENT and mark.parent == hull
    assert np.array(mark.matrix_world.translation) == pytest.approx([1, 1, 0.5])
    assert names(session.entry_for(hull)) == ["after peak", "hold", "space 1"]
    compartment_rows_of_window().compartments[1].name = "cargo hold"
    assert "cargo hold" in bpy.data.objects and "hold" not in bpy.data.objects
    assert names(session.entry_for(hull))[1] == "cargo hold"
    compartment_rows_of_window().compartments[2].name = "aft"
    assert names(session.entry_for(hull))[2] == "space 1"


def test_choosing_in_the_list_selects_mark_and_walls(hull: bpy.types.Object) -> None:
    entry = found(hull)
    compartment_rows_of_window().active = 1
    assert {obj.name for obj in bpy.context.selected_objects} == {"hold", "aft", "forward"}
    assert session.entry_for(hull).chosen_compartment is entry.plan.compartment("hold")
    assert compartment_rows_of_window().active == 1
    CALL.show_compartment(compartment="space 1")
    assert [obj.name for obj in bpy.context.selected_objects] == ["aft"]
    assert compartment_rows_of_window().active == 0
    assert "no compartment 'cellar'" in refusal("show_compartment", compartment="cellar")


def test_the_choice_follows_the_mark_that_becomes_active(hull: bpy.types.Object) -> None:
    found(hull)
    compartment_rows_of_window().active = 0
    ships.activate(bpy.data.objects["hold"])
    bpy.context.view_layer.update()
    assert compartment_rows_of_window().active == 1
    compartment_rows_of_window().active = 0
    bpy.context.view_layer.update()
    assert compartment_rows_of_window().active == 0, (
        "what was selected along with it chooses nothing"
    )
    ships.activate(bpy.data.objects["aft"])
    bpy.context.view_layer.update()
    assert compartment_rows_of_window().active == 0, "a bulkhead bounds two compartments"
    ships.activate(bpy.data.objects["hold"])
    known_compartments.choose_compartment(hull.session_uid, "space 2")
    bpy.ops.object.mode_set(mode="OBJECT")
    bpy.context.view_layer.update()
    assert session.entry_for(hull).chosen_compartment.name == "hold"
    known_compartments.choose_compartment(hull.session_uid, "space 2")
    bpy.data.objects["hold"].location.x += 0.01
    bpy.context.view_layer.update()
    assert session.entry_for(hull).chosen_compartment.name == "space 2", "only what is new counts"


def test_a_tank_beside_a_compartment_does_not_take_its_choice(hull: bpy.types.Object) -> None:
    for name in ("aft", "forward", "hold"):
        bpy.data.objects.remove(bpy.data.objects[name])
    ships.block("fuel", (1, 0.5, 0.2), (2, 1.5, 0.8), Role.TANK)
    entry = found(hull)
    assert names(entry) == ["fuel", "space 1"]
    compartment_rows_of_window().active = 1
    assert bpy.context.view_layer.objects.active.name == "fuel"
    bpy.context.view_layer.update()
    assert compartment_rows_of_window().active == 1
    ships.activate(hull)
    bpy.context.view_layer.update()
    ships.activate(bpy.data.objects["fuel"])
    bpy.context.view_layer.update()
    assert compartment_rows_of_window().active == 0


def test_closed_meshes_are_marked_as_compartments(hull: bpy.types.Object) -> None:
    body = ships.block("locker", (0.5, 0.5, 0.2), (1.5, 1.5, 0.8))
    ships.activate(body)
    CALL.mark_compartments(use="STORES")
    chosen = settings(body)
    assert (chosen.role, chosen.hull, chosen.compartment.use) == (Role.COMPARTMENT, hull, "STORES")
    assert not CALL.mark_compartments.poll()
    assert "locker" in names(found(hull))


def test_the_list_forgets(hull: bpy.types.Object) -> None:
    found(hull)
    assert len(compartment_rows_of_window().compartments) == 3
    CALL.clear()
    assert (
        len(compartment_rows_of_window().compartments) == 0
        and known_compartments.divided_of(hull) is None
    )
    found(hull)
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    assert len(compartment_rows_of_window().compartments) == 0


def test_results_are_not_in_the_file_and_settings_are(
    hull: bpy.types.Object, tmp_path: Path
) -> None:
    settings(empty("gash", (3, 0, 0.1), Role.BREACH)).breach.area = 0.25
    found(hull)
    path = str(tmp_path / "ship.blend")
    bpy.ops.wm.save_as_mainfile(filepath=path)
    bpy.ops.wm.open_mainfile(filepath=path)
    there = bpy.data.objects
    assert not session.known() and len(compartment_rows_of_window().compartments) == 0
    assert settings(there["aft"]).role == Role.BOUNDARY
    assert settings(there["hold"]).compartment.use == "STORES"
    assert settings(there["gash"]).breach.area == 0.25
    bpy.context.view_layer.objects.active = there["box"]
    assert names(found(there["box"])) == ["space 1", "hold", "space 2"]


def test_exported_walls_part_the_case_alike(hull: bpy.types.Object, tmp_path: Path) -> None:
    door = settings(empty("door", (AFT, 1, 0.1), Role.DOOR)).door
    door.area, door.height = 0.3, 0.6
    settings(ships.opening("vent", (5, 1, 1.2))).opening.area = 0.2
    bpy.context.view_layer.update()
    here = found(hull).plan
    CALL.export_case(directory=str(tmp_path))
    case = read_file(tmp_path / "case.toml")
    there = find_compartments(case)
    assert [(compartment.name, compartment.use) for compartment in there.compartments] == [
        (compartment.name, compartment.use) for compartment in here.compartments
    ]
    assert [compartment.volume for compartment in there.compartments] == pytest.approx(
        [compartment.volume for compartment in here.compartments], rel=1e-6
    )
    assert case.doors[0].area == pytest.approx(0.3) and case.openings[0].area == pytest.approx(0.2)


def breached(boundary: bpy.types.Object) -> None:
    """The bulkhead made with a hole of 0.4 × 0.4 m, its sill 0.3 m up."""
    x = boundary.data.vertices[0].co.x
    outer = [tuple(vertex.co) for vertex in boundary.data.vertices]
    inner = [(x, y, z) for y, z in ((0.8, 0.3), (1.2, 0.3), (1.2, 0.7), (0.8, 0.7))]
    faces = [(i, (i + 1) % 4, (i + 1) % 4 + 4, i + 4) for i in range(4)]
    boundary.data.clear_geometry()
    boundary.data.from_pydata(outer + inner, [], faces)


def open_above(hull: bpy.types.Object) -> None:
    """The box without the deck abaft the after bulkhead."""
    mesh = hull.data
    outer = [(0, 0, 0), (6, 0, 0), (6, 2, 0), (0, 2, 0)]
    upper = [(0, 0, 1), (AFT, 0, 1), (6, 0, 1), (6, 2, 1), (AFT, 2, 1), (0, 2, 1)]
    faces = [
        (0, 3, 2, 1),
        (0, 1, 6, 5, 4),
        (1, 2, 7, 6),
        (2, 3, 9, 8, 7),
        (3, 0, 4, 9),
        (5, 6, 7, 8),
    ]
    mesh.clear_geometry()
    mesh.from_pydata(outer + upper, [], faces)


def test_a_leak_is_shown_at_its_edges(hull: bpy.types.Object) -> None:
    boundary = bpy.data.objects["aft"]
    open_above(hull)
    breached(boundary)
    bpy.context.view_layer.update()
    ships.floated(hull)
    entry = found(hull)
    leaks = {leak.compartment: leak for leak in entry.plan.leaks}
    assert set(leaks) == {"space 1", "hold"}
    assert [gap.boundary for gap in leaks["hold"].path] == ["box", "aft"]
    assert leaks["hold"].path[0].compartments == (SEA, "space 1")
    edges = free_edges(boundary, entry, leaks["hold"].path[1:], False)
    rim = {edge.index for edge in boundary.data.edges if all(v >= 4 for v in edge.vertices)}
    assert edges == rim and len(rim) == 4
    index = [leak.compartment for leak in entry.plan.leaks].index("hold")
    CALL.show_leak(index=index)
    assert hull.mode == boundary.mode == "EDIT"
    bpy.ops.object.mode_set(mode="OBJECT")
    assert {edge.index for edge in boundary.data.edges if edge.select} == rim
    top = {edge.index for edge in hull.data.edges if edge.select}
    assert len(top) == 4
    assert all(hull.data.vertices[v].co.z == 1 for i in top for v in hull.data.edges[i].vertices)
    moved(boundary, 0.1)
    assert "changed since" in refusal("show_leak", index=index)


def test_operators_say_what_they_need(hull: bpy.types.Object) -> None:
    for operator in ("show_leak", "flood", "flood_each", "time_to_flood", "rename_compartment"):
        assert "Find the compartments first" in refusal(operator), operator
    assert "suggested bulkheads first" in refusal("add_suggested_bulkheads")
    found(hull)
    assert "Check the compartments" in refusal("flood")
    assert "Add a breach" in refusal("time_to_flood")
    bpy.ops.object.mode_set(mode="EDIT")
    for operator in ("add_boundary", "add_compartment_mark", "add_door", "add_breach"):
        assert "needs Object Mode" in refusal(operator), operator
    CALL.suggest_bulkheads(count=1)
    CALL.find_floodable_length()
    assert "needs Object Mode" in refusal("add_suggested_bulkheads")


def test_which_hull_is_meant_is_asked_where_there_are_several() -> None:
    assert "Mark a hull first" in refusal("find_compartments")
    for x in (0, 20):
        ships.hull().location.x = x
    bpy.context.view_layer.objects.active = None
    bpy.context.view_layer.update()
    for operator in (
        "find_compartments",
        "suggest_bulkheads",
        "add_boundary",
        "compare",
        "check_symmetry",
    ):
        assert "several hulls: select one" in refusal(operator), operator


def test_parts_of_a_hull_linked_from_another_file(tmp_path: Path) -> None:
    ships.weight("ship", 3000, (3, 1, 0.3), hull := ships.hull())
    fleet = bpy.data.collections.new("fleet")
    for obj in (hull, *hull.children):
        fleet.objects.link(obj)
    library = str(tmp_path / "fleet.blend")
    bpy.data.libraries.write(library, {fleet})
    for obj in (hull, *hull.children):
        bpy.data.objects.remove(obj)
    bpy.data.collections.remove(fleet)
    with bpy.data.libraries.load(library, link=True) as (_, wanted):
        wanted.collections = ["fleet"]
    bpy.context.scene.collection.children.link(wanted.collections[0])
    bpy.context.view_layer.update()
    hull = bpy.data.objects["box"]
    bpy.context.view_layer.objects.active = hull
    bpy.context.scene.cursor.location = (3, 1, 0.5)
    assert "linked from another file" in refusal("edit_list", which="CONDITIONS", action="ADD")
    CALL.add_boundary(kind="TRANSVERSE")
    CALL.add_breach()
    entry = found(hull)
    compartment_rows_of_window().compartments[0].name = "aft peak"
    assert "aft peak" in names(session.entry_for(hull)) and len(entry.plan.compartments) == 2
    for name in ("Bulkhead", "Breach", "aft peak"):
        assert bpy.data.objects[name].name in bpy.context.scene.objects


def test_bad_walls_are_reported_in_one_line(hull: bpy.types.Object) -> None:
    count = len(bpy.data.objects)
    moved(bpy.data.objects["aft"], 50)
    assert reads(refusal("find_compartments"), "boundary 'aft' lies wholly outside the hull")
    bpy.data.objects["aft"].data.clear_geometry()
    assert reads(refusal("find_compartments"), "boundary 'aft': the mesh has no faces")
    bpy.data.objects["aft"].hide_viewport = True
    bpy.data.objects["hold"].location.x = 20
    bpy.context.view_layer.update()
    assert reads(refusal("find_compartments"), "outside the hull")
    assert len(bpy.data.objects) == count and known_compartments.divided_of(hull) is None


@pytest.mark.parametrize(("kind", "axis"), (("TRANSVERSE", 0), ("LONGITUDINAL", 1), ("DECK", 2)))
def test_a_wall_at_the_cursor(hull: bpy.types.Object, kind: str, axis: int) -> None:
    for name in ("aft", "forward", "hold"):
        bpy.data.objects.remove(bpy.data.objects[name])
    hull.location, hull.rotation_euler = (1, 2, 3), (0, 0, 0.5)
    bpy.context.view_layer.update()
    bpy.context.scene.cursor.location = hull.matrix_world @ hull.data.vertices[0].co.lerp(
        hull.data.vertices[6].co, 0.25
    )
    CALL.add_boundary(kind=kind)
    boundary = bpy.context.view_layer.objects.active
    assert settings(boundary).role == Role.BOUNDARY and boundary.parent == hull
    assert sorted(
        compartment.volume for compartment in found(hull).plan.compartments
    ) == pytest.approx([3, 9], rel=1e-5)
    count = len(bpy.data.objects)
    bpy.context.scene.cursor.location = (99, 99, 99)
    assert "outside the hull" in refusal("add_boundary", kind=kind)
    assert len(bpy.data.objects) == count


def test_marking_meshes_and_adding_parts(hull: bpy.types.Object) -> None:
    plain = ships.mesh_object("plate", ((5, -1, -1), (5, 3, -1), (5, 3, 2), (5, -1, 2)), SHEET)
    ships.activate(plain)
    CALL.mark_boundaries()
    assert settings(plain).role == Role.BOUNDARY and settings(plain).hull == hull
    bpy.context.scene.cursor.location = (5.5, 1, 0.5)
    CALL.add_compartment_mark(part_name="forepeak", use="LIQUIDS")
    CALL.add_door(part_name="door", area=0.42, height=0.7)
    CALL.add_breach(part_name="gash", area=0.02)
    there = bpy.data.objects
    assert settings(there["forepeak"]).compartment.use == "LIQUIDS"
    assert settings(there["door"]).door.area == pytest.approx(0.42)
    assert settings(there["gash"]).breach.area == pytest.approx(0.02)
    ships.activate(hull)
    assert names(found(hull)) == ["space 1", "hold", "space 2", "forepeak"]


def test_flooding_compartments(hull: bpy.types.Object) -> None:
    entry = found(hull)
    compartment_rows_of_window().compartments[0].breached = True
    assert session.entry_for(hull).breached == {"space 1"}
    CALL.flood()
    entry = session.entry_for(hull)
    (flooded,) = entry.floodings
    assert flooded.breached == ("space 1",) and entry.shown_flooding is flooded
    assert flooded.floating.hydrostatics.trim > 0.05
    assert entry.floating.hydrostatics.trim == pytest.approx(0, abs=1e-3)
    assert not entry.damage_stale
    CALL.show_flooding(index=0)
    assert session.entry_for(hull).shown_flooding is None
    moved(bpy.data.objects["ship"], 3.2)
    assert session.entry_for(hull).damage_stale
    CALL.flood_each()
    entry = session.entry_for(hull)
    assert [each.breached for each in entry.floodings] == [("space 1",), ("hold",), ("space 2",)]
    assert entry.shown_flooding in entry.floodings
    CALL.flood_each(pairs=True)
    entry = session.entry_for(hull)
    assert [each.breached for each in entry.floodings] == [("space 1", "hold"), ("hold", "space 2")]
    assert "out of date" in refusal("show_flooding", index=7)


def test_a_condition_with_a_compartment_flooded(hull: bpy.types.Object) -> None:
    chosen = settings(hull)
    chosen.conditions.add().name = "Holed"
    chosen.active_condition = 0
    CALL.toggle_loaded(object_name="hold")
    assert chosen.conditions[0].item_settings(bpy.data.objects["hold"]).flooded
    entry = ships.floated(hull)
    assert entry.condition.flooded == ("hold",)
    form = entry.floating.hydrostatics
    intact = 3000 / 1025 / 12
    lost = 3000 / 1025 / (12 - 0.6 * 4)
    assert form.draft_mid == pytest.approx(lost, rel=1e-4) and lost > intact
    moved(bpy.data.objects["aft"], 0.5)
    assert session.entry_for(hull).stale
    moved(bpy.data.objects["aft"], 0)
    assert not session.entry_for(hull).stale
    bpy.data.objects["hold"].name = "store"
    assert ships.floated(hull).condition.flooded == ("store",)


def test_undo_takes_a_named_compartment_back(hull: bpy.types.Object) -> None:
    bpy.context.preferences.edit.use_global_undo = True
    bpy.ops.ed.undo_push(message="start")
    found(hull)
    compartment_rows_of_window().compartments[0].name = "peak"
    assert "peak" in bpy.data.objects
    bpy.ops.ed.undo()
    assert "peak" not in bpy.data.objects
    there: Any = bpy.data.objects
    assert settings(there["aft"]).role == Role.BOUNDARY
    assert known_compartments.divided_of(there["box"]).stale
    ships.activate(there["box"])
    assert names(found(there["box"])) == ["space 1", "hold", "space 2"]


def undone(steps: int = 1) -> bpy.types.Object:
    """The box after so many steps are undone, active."""
    for _ in range(steps):
        bpy.ops.ed.undo()
    there: Any = bpy.data.objects
    ships.activate(there["box"])
    return there["box"]


def test_undo_and_redo_of_bulkheads_and_a_hole(hull: bpy.types.Object) -> None:
    bpy.context.preferences.edit.use_global_undo = True
    CALL.suggest_bulkheads(count=2)
    bpy.ops.ed.undo_push(message="start")
    CALL.add_suggested_bulkheads()
    bpy.ops.ed.undo_push(message="placed")
    ships.activate(hull)
    assert len(names(found(hull))) == 5
    CALL.add_breach(part_name="gash")
    bpy.ops.ed.undo_push(message="breach")
    box = undone()
    assert "gash" not in bpy.data.objects and "Bulkhead 1" in bpy.data.objects
    assert not known_compartments.divided_of(box).stale
    box = undone()
    assert "Bulkhead 1" not in bpy.data.objects and known_compartments.divided_of(box).stale
    assert session.entry_for(box).damage.advice
    bpy.ops.ed.redo()
    box = undone(0)
    assert not known_compartments.divided_of(box).stale
    assert settings(bpy.data.objects["Bulkhead 1"]).role == Role.BOUNDARY
    bpy.ops.ed.redo()
    assert settings(bpy.data.objects["gash"]).role == Role.BREACH


def test_a_wall_deleted_makes_compartments_stale(hull: bpy.types.Object) -> None:
    found(hull)
    ships.activate(bpy.data.objects["aft"])
    bpy.ops.object.delete()
    bpy.context.view_layer.update()
    ships.activate(hull)
    assert known_compartments.divided_of(hull).stale
    assert names(found(hull)) == ["hold", "space 1"]


def test_a_compartment_has_one_name(hull: bpy.types.Object) -> None:
    empty("store", (3.5, 1, 0.5), Role.COMPARTMENT)
    bpy.context.view_layer.update()
    assert reads(refusal("find_compartments"), "a compartment has one name")
    bpy.data.objects.remove(bpy.data.objects["store"])
    bpy.context.view_layer.update()
    found(hull)
    assert "'aft' already" in refusal("rename_compartment", compartment="space 1", new_name="aft")
    taken = refusal("rename_compartment", compartment="space 1", new_name="space 2")
    assert "'space 2' already" in taken


def test_long_work_stops_and_leaves_what_was_known(hull: bpy.types.Object) -> None:
    before = found(hull).divided
    moved(bpy.data.objects["aft"], 0.5)
    job = compartments_job_of_hull(bpy.context.evaluated_depsgraph_get(), hull)
    worker = Worker(job)
    worker.stopped = True
    worker.start()
    worker.join()
    assert isinstance(worker.error, StoppedError) and worker.steps == 1
    assert known_compartments.divided_of(hull).plan is before.plan
    whole = Worker(job)
    whole.start()
    whole.join()
    assert known_compartments.divided_of(hull).plan is before.plan
    whole.finish()
    assert known_compartments.divided_of(hull).plan.compartments[0].volume == pytest.approx(
        5, rel=1e-6
    )
    assert whole.steps >= 3 and not known_compartments.divided_of(hull).stale


def test_what_long_work_finds_wrong_is_reported(hull: bpy.types.Object) -> None:
    CALL.find_compartments()
    known_compartments.set_breached(hull.session_uid, frozenset({"cellar"}))
    worker = Worker(flood_breached(bpy.context.evaluated_depsgraph_get(), hull))
    worker.start()
    worker.join()
    with refused("no compartment is flooded"):
        worker.finish()


def test_a_breach_is_measured_from_the_water(
    hull: bpy.types.Object, capfd: pytest.CaptureFixture[str]
) -> None:
    ships.floated(hull)
    bpy.context.scene.cursor.location = (3, 0, 0.1)
    CALL.add_breach()
    assert "below the waterline" in capfd.readouterr().out
    bpy.context.scene.cursor.location = (3, 0, 0.9)
    CALL.add_breach()
    assert "above the waterline: no water enters" in capfd.readouterr().out


def test_time_to_flood(hull: bpy.types.Object) -> None:
    found(hull)
    gash = empty("gash", (3, 0, 0.1), Role.BREACH)
    settings(gash).breach.area = 0.01
    bpy.context.view_layer.update()
    ships.activate(hull)
    CALL.time_to_flood()
    entry = session.entry_for(hull)
    run = entry.flooding_history
    assert run.compartments == ("hold",) and entry.damage.breach == "gash"
    assert run.settled > 0 and run.lost is None
    assert run.water[-1, 0] > 0.1
    settings(bpy.data.objects["hold"]).inflow.pump = 3600.0
    CALL.time_to_flood()
    assert session.entry_for(hull).flooding_history.water[-1, 0] < run.water[-1, 0] / 2
    moved(gash, 0.5)
    gash.location.z = 0.9
    bpy.context.view_layer.update()
    before = session.entry_for(hull).flooding_history
    assert reads(refusal("time_to_flood"), "above the initial waterline")
    assert session.entry_for(hull).flooding_history is before
    CALL.play_flooding()
    assert bpy.context.scene.naval_checks.play_flooding


def test_an_opening_left_open(hull: bpy.types.Object) -> None:
    found(hull)
    cock = ships.opening("sea cock", (3, 0, 0.1))
    bpy.context.view_layer.update()
    ships.activate(cock)
    assert "sea cock" in refusal("time_to_flood")
    settings(cock).opening.area = 0.02
    CALL.time_to_flood()
    assert session.entry_for(hull).flooding_history.compartments == ("hold",)


def test_bulkheads_advised_and_placed(hull: bpy.types.Object) -> None:
    for name in ("aft", "forward", "hold"):
        bpy.data.objects.remove(bpy.data.objects[name])
    bpy.context.view_layer.update()
    CALL.suggest_bulkheads(count=2)
    advice = session.entry_for(hull).damage.advice
    assert len(advice.positions) == 2
    CALL.add_suggested_bulkheads()
    boundaries = [obj for obj in bpy.data.objects if settings(obj).role == Role.BOUNDARY]
    places = sorted(obj.matrix_world.translation.x for obj in boundaries)
    assert places == pytest.approx(advice.positions, abs=1e-5)
    ships.activate(hull)
    assert len(names(found(hull))) == 3


def test_a_case_put_into_the_scene_has_the_same_compartments(tmp_path: Path) -> None:
    assert main.main(["new", str(tmp_path / "boat"), "--example", "leaky-workboat"]) == 0
    case = read_file(tmp_path / "boat" / "case.toml")
    there = find_compartments(case)
    hull = ships.hull(
        "workboat", case.hull.vertices, case.hull.triangles[: -case.hull.caps or None]
    )
    settings(hull).form.forward, settings(hull).form.up = "X", "Z"
    for boundary in case.boundaries:
        obj = ships.mesh_object(boundary.name, boundary.vertices, boundary.triangles)
        settings(obj).role = Role.BOUNDARY
    for mark in case.compartment_marks:
        settings(empty(mark.name, mark.at, Role.COMPARTMENT)).compartment.use = mark.use.upper()
    for tank in case.tanks:
        corners = tank.body.faces()
        faces = np.arange(3 * len(corners)).reshape(-1, 3)
        obj = ships.mesh_object(tank.name, corners.reshape(-1, 3), faces)
        settings(obj).role = Role.TANK
    bpy.context.view_layer.update()
    ships.activate(hull)
    here = found(hull).plan
    assert [compartment.name for compartment in here.compartments] == [
        compartment.name for compartment in there.compartments
    ]
    assert [compartment.watertight for compartment in here.compartments] == [
        compartment.watertight for compartment in there.compartments
    ]
    for one, other in zip(here.compartments, there.compartments, strict=True):
        assert one.volume == pytest.approx(other.volume, rel=1e-4), one.name
    assert here.leaks and [leak.compartment for leak in here.leaks] == [
        leak.compartment for leak in there.leaks
    ]
    for index in range(len(here.leaks)):
        CALL.show_leak(index=index)
        selected = [
            edge.index
            for obj in bpy.context.objects_in_mode
            for edge in (obj.update_from_editmode(), obj.data.edges)[1]
            if edge.select
        ]
        assert selected
