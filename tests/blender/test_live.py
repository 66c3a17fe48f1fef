"""Figures that follow: what they are after each change is what a fresh computation gives."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import bpy
import numpy as np
import pytest
import scene_ships as ships

import addon
from addon.blender.controller import live, session
from addon.blender.controller.analysis import float_hull
from addon.blender.properties.events import Event, listeners
from addon.blender.properties.names import Role
from addon.blender.properties.settings import scene_settings, settings
from addon.blender.readers.cases import read_case
from addon.core.hydrostatics.floating_position import FloatingPosition

pytestmark = pytest.mark.slow

Change = Callable[[], None]


@pytest.fixture(autouse=True)
def window(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(live, "in_window", True)
    monkeypatch.setattr(live, "FRAME", float("inf"))
    yield
    live.forget()


@pytest.fixture
def hull() -> bpy.types.Object:
    obj = ships.hull()
    ships.weight("engine", 2000.0, (2.0, 1.0, 0.2))
    ships.weight("crew", 300.0, (4.0, 1.2, 0.9))
    ships.opening("vent", (3.0, 0.2, 1.2))
    bpy.context.view_layer.update()
    float_hull(bpy.context.evaluated_depsgraph_get(), obj)
    return obj


def update() -> None:
    bpy.context.view_layer.update()


def entry_of(hull: bpy.types.Object) -> session.Entry:
    entry = session.entry_for(hull)
    assert entry
    return entry


def fresh(hull: bpy.types.Object) -> FloatingPosition:
    from addon.core.hydrostatics.floating_position import find_floating_position

    depsgraph = bpy.context.evaluated_depsgraph_get()
    return find_floating_position(read_case(depsgraph, hull).case, seek_others=False)


def assert_up_to_date(hull: bpy.types.Object) -> None:
    entry, truth = entry_of(hull), fresh(hull)
    assert not entry.stale and entry.floating and entry.floating.equilibrium and truth.equilibrium
    assert entry.floating.equilibrium.attitude.up == pytest.approx(
        truth.equilibrium.attitude.up, abs=1e-6
    )
    assert entry.floating.weight.mass == pytest.approx(truth.weight.mass)
    assert entry.floating.GM == pytest.approx(truth.GM, abs=1e-6)
    assert entry.to_world == pytest.approx(session_world(hull), abs=1e-6)


def session_world(hull: bpy.types.Object) -> np.ndarray:
    from addon.blender.readers.hulls import read_hull

    return read_hull(bpy.context.evaluated_depsgraph_get(), hull).frame.to_world


def move_weight() -> None:
    bpy.data.objects["engine"].location.y += 0.2


def move_hull() -> None:
    bpy.data.objects["box"].location.x += 1.0


def turn_hull() -> None:
    bpy.data.objects["box"].rotation_euler.z += 0.3


def scale_hull() -> None:
    bpy.data.objects["box"].scale = (1.1, 1.2, 1.1)


def pull_vertex() -> None:
    mesh = bpy.data.meshes["box"]
    mesh.vertices[1].co.x += 0.5
    mesh.update_tag()


def move_opening() -> None:
    bpy.data.objects["vent"].location.z += 0.1


@pytest.mark.parametrize(
    "change", [move_weight, move_hull, turn_hull, scale_hull, pull_vertex, move_opening]
)
def test_a_change_is_followed_at_once(hull: bpy.types.Object, change: Change) -> None:
    before = entry_of(hull)
    change()
    update()
    after = entry_of(hull)
    assert after is not before and after.behind
    assert_up_to_date(hull)
    assert after.assessment is before.assessment
    live.settle()
    assert not entry_of(hull).behind and entry_of(hull).assessment is not before.assessment
    assert_up_to_date(hull)


def change_mass() -> None:
    settings(bpy.data.objects["engine"]).weight.mass = 2500.0


def change_water() -> None:
    settings(bpy.data.objects["box"]).water.kind = "FRESH"


@pytest.mark.parametrize("change", [change_mass, change_water])
def test_a_setting_is_followed_soon(hull: bpy.types.Object, change: Change) -> None:
    change()
    assert entry_of(hull).stale
    live._follow_noted()
    assert entry_of(hull).behind
    assert_up_to_date(hull)


def add_weight() -> None:
    ships.weight("anchor", 100.0, (5.0, 1.0, 0.5))


def delete_weight() -> None:
    bpy.data.objects.remove(bpy.data.objects["crew"])


def subdivide() -> None:
    modifier = bpy.data.objects["box"].modifiers.new("fine", "SUBSURF")
    modifier.levels = 1


@pytest.mark.parametrize("change", [add_weight, delete_weight, subdivide])
def test_what_cannot_be_followed_waits_until_it_is_quiet(
    hull: bpy.types.Object, change: Change
) -> None:
    change()
    update()
    assert entry_of(hull).stale
    live.settle()
    assert not entry_of(hull).stale and not entry_of(hull).behind
    assert_up_to_date(hull)


def test_vertices_are_followed_in_edit_mode(hull: bpy.types.Object) -> None:
    import bmesh

    bpy.context.view_layer.objects.active = hull
    bpy.ops.object.mode_set(mode="EDIT")
    mesh = bmesh.from_edit_mesh(hull.data)
    for _ in range(3):
        for vertex in mesh.verts:
            vertex.co.z *= 1.05
        bmesh.update_edit_mesh(hull.data)
        update()
        assert entry_of(hull).behind
        assert_up_to_date(hull)
    bpy.ops.object.mode_set(mode="OBJECT")
    live.settle()
    assert_up_to_date(hull)


def test_undo_and_redo_are_followed(hull: bpy.types.Object) -> None:
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.ed.undo_push(message="start")
    bpy.data.objects["engine"].location.y += 0.3
    update()
    moved = entry_of(hull).floating.equilibrium.attitude.heel_rad
    bpy.ops.ed.undo_push(message="moved")
    bpy.ops.ed.undo()
    box = bpy.data.objects["box"]
    live.settle()
    assert_up_to_date(box)
    assert entry_of(box).floating.equilibrium.attitude.heel_rad != pytest.approx(moved)
    bpy.ops.ed.redo()
    box = bpy.data.objects["box"]
    live.settle()
    assert_up_to_date(box)
    assert entry_of(box).floating.equilibrium.attitude.heel_rad == pytest.approx(moved)


def test_switched_off_they_only_go_stale(hull: bpy.types.Object) -> None:
    scene_settings(bpy.context.scene).live = False
    before = entry_of(hull)
    move_weight()
    update()
    assert entry_of(hull).stale and entry_of(hull).floating is before.floating
    live.settle()
    assert entry_of(hull).stale


def test_switched_off_half_way_they_are_out_of_date(hull: bpy.types.Object) -> None:
    move_weight()
    update()
    assert entry_of(hull).behind and not entry_of(hull).stale
    scene_settings(bpy.context.scene).live = False
    assert entry_of(hull).stale


def test_without_a_window_nothing_follows(
    hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live, "in_window", False)
    move_weight()
    update()
    assert entry_of(hull).stale


def test_slow_hulls_wait(hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "FRAME", -1.0)
    monkeypatch.setattr(live, "PATIENCE", float("inf"))
    before = entry_of(hull)
    move_weight()
    update()
    assert entry_of(hull).stale and entry_of(hull).floating is before.floating
    live.settle()
    assert not entry_of(hull).stale
    assert_up_to_date(hull)


def test_computations_of_seconds_are_left_to_the_user(
    hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live, "LONG", -1.0)
    before = entry_of(hull)
    move_weight()
    update()
    live.settle()
    after = entry_of(hull)
    assert after.behind and after.assessment is before.assessment
    assert_up_to_date(hull)


def test_a_condition_is_followed(hull: bpy.types.Object) -> None:
    added = settings(hull).conditions.add()
    added.name = "empty"
    settings(hull).active_condition = 0
    settings(hull).loading = "CONDITION"
    assert entry_of(hull).loading == "empty"
    move_weight()
    update()
    shown, other = entry_of(hull), session.entry_in(hull, None)
    assert shown.behind and shown.loading == "empty"
    assert other and other.stale


def test_bad_input_half_way_loses_nothing(hull: bpy.types.Object) -> None:
    hull.scale.z = 0.0
    update()
    assert entry_of(hull).stale and entry_of(hull).floating
    hull.scale.z = 1.0
    update()
    live.settle()
    assert_up_to_date(hull)


def test_nothing_of_it_reaches_the_file(hull: bpy.types.Object) -> None:
    steps = bpy.context.window_manager.get("undo", None)
    dirty = bpy.data.is_dirty
    live.settle()
    move_weight()
    update()
    assert bpy.context.window_manager.get("undo", None) == steps
    assert bpy.data.is_dirty == dirty
    assert not [key for key in hull.keys() if key != "naval_checks"]


def test_registered_twice_it_listens_once(hull: bpy.types.Object) -> None:
    addon.unregister()
    assert listeners(Event.SOURCE_CHANGED) == ()
    addon.register()
    assert listeners(Event.SOURCE_CHANGED) == (live.note,)


def test_other_objects_cost_nothing(
    hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch
) -> None:
    cube = ships.mesh_object("other", ships.BOX, ships.FACES)
    update()
    live.settle()
    computed: list[object] = []
    monkeypatch.setattr(live, "_float_again", lambda *args: computed.append(args))
    cube.location.x += 1.0
    update()
    assert not computed and not entry_of(hull).stale


def test_a_hull_that_loses_its_role_is_let_go(hull: bpy.types.Object) -> None:
    settings(hull).role = Role.NONE
    update()
    live.settle()
    assert not live._pending.waiting


def test_while_blender_plays_nothing_is_computed_and_nothing_lost(
    hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live, "is_busy", lambda: True)
    before = entry_of(hull)
    move_weight()
    update()
    live.settle()
    assert entry_of(hull).stale and entry_of(hull).floating is before.floating
    monkeypatch.setattr(live, "is_busy", lambda: False)
    live.settle()
    assert_up_to_date(hull)


def test_a_new_frame_waits_until_it_stands_still(hull: bpy.types.Object) -> None:
    engine = bpy.data.objects["engine"]
    engine.keyframe_insert("location", frame=1)
    engine.location.y += 0.3
    engine.keyframe_insert("location", frame=10)
    update()
    live.settle()
    before = entry_of(hull)
    bpy.context.scene.frame_set(2)
    assert entry_of(hull).floating is before.floating
    live.settle()
    assert_up_to_date(hull)


def test_large_hulls_are_left_to_the_user(
    hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live, "A_TRIANGLE", 1.0)
    before = entry_of(hull)
    move_weight()
    update()
    live.settle()
    assert entry_of(hull).behind and entry_of(hull).assessment is before.assessment


def test_vertices_that_are_no_numbers_only_make_it_stale(hull: bpy.types.Object) -> None:
    hull.data.vertices[0].co.x = float("nan")
    hull.data.update_tag()
    update()
    assert entry_of(hull).stale
