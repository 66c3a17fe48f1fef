"""A flooding in time baked to objects and keys of Blender's own: a box of compartments, one of them
holed.

The water in a compartment is judged by the volume of its mesh as Blender has it at a frame, and how
it lies by where the corners of its copy are over the sea.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import radians

import bmesh
import bpy
import numpy as np
import pytest
import scene_ships as ships
from mathutils import Matrix
from scene_ships import SHEET, across, empty

import addon
from addon.blender.controller import session
from addon.blender.operators.baked_objects import QUICK, check_cuts, made_for
from addon.blender.operators.timeline import markers
from addon.blender.properties.names import Role
from addon.blender.properties.settings import scene_settings, settings
from addon.blender.viewport.baked_keys import NEAR
from addon.blender.viewport.flooding_playback import Moment, moment, pace_of

pytestmark = pytest.mark.slow

CALL = bpy.ops.naval_checks
Array = np.ndarray
SIZE = float(np.linalg.norm(ships.BOX[6]))
KINDS = ("objects", "meshes", "actions", "materials", "collections")
TITLE = "Flooding of box"
ASIDE = Matrix.Translation((3.0, -7.0, 2.0)) @ Matrix.Rotation(radians(130.0), 4, "Z")
TILTED = ASIDE @ Matrix.Rotation(radians(7.0), 4, "X") @ Matrix.Scale(100.0, 4)


@pytest.fixture
def hull() -> bpy.types.Object:
    return boat(Matrix())


def boat(place: Matrix) -> bpy.types.Object:
    """The box under an empty in a place of the world, flooding through a hole to port."""
    hull = ships.hull()
    settings(hull).form.forward, settings(hull).form.up = "X", "Z"
    ships.weight("ship", 3000, (3, 1, 0.3))
    for name, x in (("aft", 2.0), ("forward", 5.0)):
        across(name, x)
    along = ships.mesh_object("along", [(2, 1, -1), (5, 1, -1), (5, 1, 2), (2, 1, 2)], SHEET)
    settings(along).role = Role.BOUNDARY
    empty("wing", (3, 1.5, 0.5), Role.COMPARTMENT)
    unit = bpy.context.scene.unit_settings.scale_length
    settings(empty("gash", (3, 2, 0.05), Role.BREACH)).breach.area = 0.004 / unit**2
    ships.block("house", (1, 0.5, 1), (2, 1.5, 1.5)).modifiers.new("twice", "ARRAY")
    parts = bpy.context.scene.objects[:]
    head = empty("head", (0, 0, 0), Role.NONE)
    for obj in parts:
        obj.parent = head
    head.matrix_world = place
    bpy.context.view_layer.update()
    flooded(hull)
    return hull


def flooded(hull: bpy.types.Object) -> None:
    ships.activate(hull)
    CALL.find_compartments()
    CALL.time_to_flood()


def here() -> Moment:
    """The moment of the run that the current frame stands for."""
    scene, entry = bpy.context.scene, session.entry_for(bpy.data.objects["box"])
    return moment(entry.flooding_history, entry.plan, pace_of(scene).time(scene.frame_current))


def seen(name: str) -> tuple[Array, float]:
    """Vertices (n, 3) and volume of an object as Blender has it now, in meters over the sea."""
    obj, depsgraph = bpy.data.objects[name], bpy.context.evaluated_depsgraph_get()
    over_sea = np.linalg.inv(np.array(bpy.data.objects[TITLE].matrix_world, np.float64))
    body = bmesh.new()
    body.from_object(obj, depsgraph)
    body.transform(
        Matrix((over_sea @ np.array(obj.evaluated_get(depsgraph).matrix_world)).tolist())
    )
    bmesh.ops.remove_doubles(body, verts=body.verts[:], dist=1e-6)
    points = np.array([vertex.co[:] for vertex in body.verts], np.float64).reshape(-1, 3)
    volume = body.calc_volume(signed=True)
    body.free()
    return points, volume


def frames() -> Iterator[int]:
    """Some frames of the whole run, each shown."""
    for frame in (1, 20, 60, 120, 200, 250):
        bpy.context.scene.frame_set(frame)
        yield frame


def right() -> None:
    """It lies, and is as full, as the run says of the current frame."""
    at, entry = here(), session.entry_for(bpy.data.objects["box"])
    corners = np.array(ships.BOX, float) - [0, 1, 0]
    copy, _ = seen("box afloat")
    assert sorted(copy[:, 2]) == pytest.approx(
        sorted(at.attitude.heights(corners)), abs=NEAR * SIZE + 1e-5
    )
    points, volume = seen("Water in wing")
    if not at.levels:
        assert not len(points)
        return
    ((_, level),) = at.levels
    share = entry.plan.compartment("wing").permeability
    assert volume == pytest.approx(at.water / share, rel=1e-3, abs=2 * NEAR * SIZE * 3.0)
    assert points[:, 2].max() == pytest.approx(level - at.attitude.level, abs=NEAR * SIZE + 1e-5)


def counts() -> dict[str, int]:
    return {kind: len(getattr(bpy.data, kind)) for kind in KINDS}


def owned() -> dict[str, tuple[object, ...]]:
    """All that could be changed of the user's objects."""
    return {
        obj.name: (
            obj.matrix_world.copy(),
            obj.parent,
            obj.data,
            obj.animation_data,
            obj.hide_get(),
            obj.hide_viewport,
            obj.hide_render,
            obj.users_collection,
            len(obj.modifiers),
            settings(obj).role,
        )
        for obj in bpy.context.scene.objects
        if TITLE not in {each.name for each in obj.users_collection}
    }


# What is baked --------------------------------------------------------------------------------


@pytest.mark.parametrize(("place", "unit"), [(Matrix(), 1.0), (ASIDE, 1.0), (TILTED, 0.01)])
def test_it_floods_as_in_the_run(place: Matrix, unit: float) -> None:
    bpy.context.scene.unit_settings.scale_length = unit
    boat(place)
    before = owned()
    assert CALL.bake_flooding() == {"FINISHED"}
    ups = []
    for _ in frames():
        right()
        ups.append(here().attitude.up)
    assert (np.ptp(ups, axis=0)[:2] > 0.01).all(), "it heels and trims"
    assert owned() == before
    assert not session.entry_for(bpy.data.objects["box"]).damage_stale


def test_it_plays_without_the_add_on(hull: bpy.types.Object) -> None:
    CALL.bake_flooding()
    known = [(here(), bpy.context.scene.frame_current) for _ in frames()]
    addon.unregister()
    try:
        for at, frame in known:
            bpy.context.scene.frame_set(frame)
            assert seen("Water in wing")[1] == pytest.approx(at.water / 0.95, rel=1e-3, abs=1e-3)
    finally:
        addon.register()


def test_the_copy_is_beside_it_with_the_sea_level(hull: bpy.types.Object) -> None:
    """Three breadths to starboard, where the sea at first is as high as on itself."""
    CALL.bake_flooding(distance=3.0)
    root = bpy.data.objects[TITLE].matrix_world
    start = session.entry_for(hull).floating.equilibrium.attitude
    assert root.translation[:] == pytest.approx((3.0, 1.0 - 6.0, start.level), abs=1e-3)
    assert np.array(root.to_3x3()) == pytest.approx(np.eye(3), abs=1e-6)
    points, volume = seen("Sea")
    assert np.ptp(points[:, 2]) < 2e-3
    whole = np.prod(np.ptp(points[:, :2], axis=0)) * np.ptp(points[:, 2])
    assert volume / whole == pytest.approx(1 - 12 / ((6 + 4.8) * (2 + 4.8)), rel=1e-3)


def test_in_its_own_place_the_sea_is_where_it_floats_before(hull: bpy.types.Object) -> None:
    bpy.data.objects["ship"].location = (3.4, 1.1, 0.3)
    bpy.context.view_layer.update()
    CALL.compute()
    flooded(hull)
    CALL.bake_flooding(distance=0.0)
    start = session.entry_for(hull).floating.equilibrium.attitude
    assert start.heel_rad and start.trim_rad
    root = bpy.data.objects[TITLE].matrix_world.translation
    assert root[:2] == pytest.approx((3.0, 1.0), abs=0.05)
    assert start.heights(np.array(root) - [0.0, 1.0, 0.0]) == pytest.approx(0.0, abs=1e-5)


def test_copies_have_their_modifiers_and_walls_end_at_the_hull(hull: bpy.types.Object) -> None:
    CALL.bake_flooding()
    assert len(bpy.data.objects["house afloat"].data.polygons) == 12
    bound = np.array(ships.BOX) - ships.BOX[0]
    for name in ("aft", "forward", "along"):
        mesh = bpy.data.objects[f"{name} afloat"].data
        points = np.array([vertex.co[:] for vertex in mesh.vertices])
        assert len(points) and (points > bound.min(axis=0) - 1e-5).all()
        assert (points < bound.max(axis=0) + 1e-5).all()
    assert all(each.users for each in made_for(hull, "meshes"))
    assert not any(settings(each).role != Role.NONE for each in made_for(hull, "objects"))


def test_half_a_hull_is_shown_whole() -> None:
    half = ships.block("box", (0, 0, 0), (6, 1, 1), Role.HULL)
    chosen = settings(half)
    chosen.form.forward, chosen.form.up, chosen.form.mirror = "X", "Z", True
    ships.weight("ship", 3000, (3, 0, 0.3))
    across("aft", 2.0)
    along = ships.mesh_object(
        "along", [(2, 0.5, -1), (6, 0.5, -1), (6, 0.5, 2), (2, 0.5, 2)], SHEET
    )
    settings(along).role = Role.BOUNDARY
    settings(empty("gash", (4, 1, 0.05), Role.BREACH)).breach.area = 0.004
    bpy.context.view_layer.update()
    flooded(half)
    CALL.bake_flooding()
    named = [each.name.split(" afloat")[0] for each in made_for(half, "objects")]
    assert [named.count(name) for name in ("box", "along", "aft")] == [2, 2, 1]
    sides = [seen(name)[0][:, 1] for name in ("box afloat", "box afloat.001")]
    assert sorted(sides[0]) == pytest.approx(sorted(-sides[1]), abs=0.05)


OFFERED = QUICK in bpy.types.BooleanModifier.bl_rna.properties["solver"].enum_items


@pytest.mark.skipif(not OFFERED, reason="the quick solver is offered from 4.5 on")
def test_what_the_quick_solver_leaves_is_cut_all_the_same() -> None:
    """A box without its lid, which it refuses, and one that it cuts."""
    bodies = [ships.mesh_object("open", ships.BOX, ships.FACES[:1] + ships.FACES[2:])]
    bodies.append(ships.block("closed", (0, 0, 0), (6, 2, 1)))
    by = ships.block("level", (-1, -1, -1), (3, 7, 7))
    for body in bodies:
        cut = body.modifiers.new("cut", "BOOLEAN")
        cut.operation, cut.solver, cut.object = "INTERSECT", QUICK, by
    check_cuts(bpy.context, bodies)
    assert [body.modifiers[0].solver for body in bodies] == ["EXACT", QUICK]


def test_keys_are_few_and_straight(hull: bpy.types.Object) -> None:
    CALL.bake_flooding()
    pose = next(each for each in made_for(hull, "objects") if each.name.startswith("Pose"))
    action = pose.animation_data.action
    curves = (
        action.fcurves
        if hasattr(action, "fcurves")
        else action.layers[0].strips[0].channelbags[0].fcurves
    )
    assert {(curve.data_path, curve.array_index) for curve in curves} == {
        ("location", 2),
        ("rotation_euler", 0),
        ("rotation_euler", 1),
    }
    for curve in curves:
        assert len(curve.keyframe_points) < 80
        assert {point.interpolation for point in curve.keyframe_points} == {"LINEAR"}


def test_it_lies_on_the_timeline_as_the_run_is_played(hull: bpy.types.Object) -> None:
    scene, chosen = bpy.context.scene, scene_settings(bpy.context.scene)
    scene.frame_start, scene.frame_end = 11, 111
    CALL.play_flooding()
    played = [(mark.name, mark.frame) for mark in markers(scene)]
    chosen.flooding_speed *= 2
    CALL.bake_flooding()
    baked = [mark.frame for mark in markers(scene)]
    assert all(frame < before for frame, (_, before) in zip(baked, played, strict=True))
    CALL.remove_baked()
    assert markers(scene), "it is still played"
    CALL.stop_flooding()
    CALL.bake_flooding()
    assert [(mark.name, mark.frame) for mark in markers(scene)] == played
    CALL.remove_baked()
    assert not markers(scene) and not chosen.play_flooding


# Again, and no more ---------------------------------------------------------------------------


def test_a_second_one_takes_the_place_of_the_first(hull: bpy.types.Object) -> None:
    CALL.bake_flooding()
    once = counts()
    mine = empty("my camera", (0, 0, 0), Role.NONE)
    bpy.data.collections[TITLE].objects.link(mine)
    hull.name = "boat"
    flooded(hull)
    CALL.bake_flooding()
    assert counts() == once | {"objects": once["objects"] + 1}
    assert TITLE in {each.name for each in mine.users_collection}
    assert bpy.ops.naval_checks.remove_baked() == {"FINISHED"}
    assert mine.name in bpy.data.collections[TITLE].objects
    assert len(bpy.data.collections[TITLE].objects) == 1


def test_removed_it_leaves_nothing(hull: bpy.types.Object) -> None:
    before = counts()
    assert not CALL.remove_baked.poll()
    CALL.bake_flooding()
    assert counts() != before
    CALL.remove_baked()
    assert counts() == before


@pytest.mark.parametrize("whole", [True, False])
def test_deleted_by_hand_it_leaves_nothing_behind(hull: bpy.types.Object, whole: bool) -> None:
    """The collection with all in it, or the collection alone, whose objects Blender then keeps."""
    before = counts()
    CALL.bake_flooding()
    if whole:
        bpy.data.batch_remove(bpy.data.collections[TITLE].objects[:])
    bpy.data.collections.remove(bpy.data.collections[TITLE])
    bpy.context.view_layer.update()
    assert not session.entry_for(hull).damage_stale
    CALL.bake_flooding()
    right()
    CALL.remove_baked()
    assert counts() == before


def test_it_is_undone_in_one_step(hull: bpy.types.Object) -> None:
    before = counts()
    bpy.ops.ed.undo_push(message="before")
    CALL.bake_flooding()
    bpy.ops.ed.undo_push(message="baked")
    assert counts() != before
    bpy.ops.ed.undo()
    assert counts() == before and not markers(bpy.context.scene)


def test_two_ships_have_one_each(hull: bpy.types.Object) -> None:
    CALL.bake_flooding()
    first = {each.name for each in made_for(hull, "objects")}
    other = ships.hull("other")
    settings(other).role = Role.HULL
    assert not made_for(other, "objects")
    ships.activate(other)
    assert not CALL.remove_baked.poll()
    assert {each.name for each in made_for(hull, "objects")} == first


def test_what_is_missing_is_said(hull: bpy.types.Object) -> None:
    bpy.data.objects["aft"].location.x += 0.5
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="Changed since flooded"):
        CALL.bake_flooding()
    session.clear()
    with pytest.raises(RuntimeError, match="time to flood"):
        CALL.bake_flooding()
    with pytest.raises(RuntimeError, match="No flooding of this hull is baked"):
        CALL.remove_baked()
    bpy.ops.object.mode_set(mode="EDIT")
    with pytest.raises(RuntimeError, match="Object Mode"):
        CALL.bake_flooding()
