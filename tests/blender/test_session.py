"""Results live in the session: what makes them out of date, what makes them good again."""

from __future__ import annotations

from collections.abc import Callable
from math import radians
from pathlib import Path

import bpy
import pytest
import scene_ships as ships

from addon.blender.controller import session, shown_state
from addon.blender.properties.names import Basis, Role, WaterDisplay
from addon.blender.properties.settings import scene_settings, settings
from addon.core.messages.subjects import Subject

pytestmark = pytest.mark.slow

MIDDLE = (3.0, 1.0, 0.5)


@pytest.fixture
def hull() -> bpy.types.Object:
    obj = ships.hull()
    ships.weight("engine", 1000, MIDDLE)
    ships.weight("crew", 500, MIDDLE)
    plate = ships.mesh_object("plate", [(0, 0, 0), (1, 0, 0), (0, 1, 0)], [(0, 1, 2)])
    settings(plate).role, settings(plate).weight.basis = Role.WEIGHT, Basis.SKIN
    ships.activate(obj)
    bpy.context.view_layer.update()
    ships.floated(obj)
    return obj


def stale(obj: bpy.types.Object) -> bool:
    bpy.context.view_layer.update()
    return session.entry_for(obj).stale


def named(name: str) -> bpy.types.Object:
    return bpy.data.objects[name]


def move_hull() -> None:
    named("box").location.x += 1


def edit_hull() -> None:
    mesh = named("box").data
    mesh.vertices[0].co.z -= 0.1
    mesh.update_tag()


def add_modifier() -> None:
    named("box").modifiers.new("Array", "ARRAY")


def move_weight() -> None:
    named("engine").location.z += 0.1


def edit_plate() -> None:
    mesh = named("plate").data
    mesh.vertices[0].co.z -= 0.1
    mesh.update_tag()


def change_mass() -> None:
    settings(named("engine")).weight.mass += 1


def change_group() -> None:
    settings(named("engine")).group = "machinery"


def change_skin() -> None:
    settings(named("plate")).weight.areal_density += 1


def untag_weight() -> None:
    settings(named("engine")).role = Role.NONE


def give_weight_away() -> None:
    settings(named("engine")).hull = ships.hull("other")


def add_weight() -> None:
    ships.weight("cargo", 10, MIDDLE)


def delete_weight() -> None:
    bpy.data.objects.remove(named("engine"))


def disable_weight() -> None:
    named("engine").hide_viewport = True


def change_water() -> None:
    settings(named("box")).water.kind = "FRESH"


def turn_axes() -> None:
    settings(named("box")).form.forward = "NEGATIVE_X"


def set_marks() -> None:
    ships.mark(named("box"), baseline_z=-1)


@pytest.mark.parametrize(
    "change",
    (
        move_hull,
        edit_hull,
        add_modifier,
        move_weight,
        edit_plate,
        change_mass,
        change_group,
        change_skin,
        untag_weight,
        give_weight_away,
        add_weight,
        delete_weight,
        disable_weight,
        change_water,
        turn_axes,
        set_marks,
    ),
)
def test_a_change_makes_the_figures_stale(
    hull: bpy.types.Object, change: Callable[[], None]
) -> None:
    assert not stale(hull)
    change()
    assert stale(hull)
    ships.floated(hull)
    assert not stale(hull)


def test_undo_makes_them_good_again_and_redo_stale(hull: bpy.types.Object) -> None:
    bpy.ops.ed.undo_push(message="before")
    for change in (move_hull, edit_hull, change_mass, add_weight, untag_weight):
        change()
        assert stale(named("box"))
        bpy.ops.ed.undo_push(message="after")
        bpy.ops.ed.undo()
        assert not stale(named("box")), change.__name__
        bpy.ops.ed.redo()
        assert stale(named("box")), change.__name__
        bpy.ops.ed.undo()


def test_other_objects_leave_them_alone(hull: bpy.types.Object) -> None:
    other = ships.mesh_object("buoy", ships.BOX, ships.FACES)
    assert not stale(hull)
    other.location.x = 20
    assert not stale(hull)
    hull.select_set(False)
    assert not stale(hull)


def test_edit_mode_by_itself_changes_nothing(hull: bpy.types.Object) -> None:
    bpy.ops.object.mode_set(mode="EDIT")
    bpy.ops.mesh.select_all(action="SELECT")
    assert not stale(hull)
    bpy.ops.transform.translate(value=(1, 0, 0))
    assert stale(hull)
    bpy.ops.object.mode_set(mode="OBJECT")
    assert stale(hull)


def test_a_new_frame_may_change_them(hull: bpy.types.Object) -> None:
    engine = named("engine")
    engine.keyframe_insert("location", frame=1)
    engine.location.z += 1
    engine.keyframe_insert("location", frame=10)
    engine.location.z -= 1
    ships.floated(hull)
    bpy.context.scene.frame_set(10)
    assert session.entry_for(hull).stale
    bpy.context.scene.frame_set(1)
    assert not session.entry_for(hull).stale


def test_two_hulls_do_not_disturb_each_other(hull: bpy.types.Object) -> None:
    settings(named("engine")).hull = settings(named("crew")).hull = hull
    second = ships.hull("second")
    settings(ships.weight("second's", 2000, MIDDLE)).hull = second
    settings(named("plate")).role = Role.NONE
    for obj in (hull, second):
        ships.floated(obj)
    move_weight()
    assert stale(hull)
    assert not stale(second)
    assert {entry.hull_name for entry in session.entries()} == {"box", "second"}


def test_renaming_follows(hull: bpy.types.Object) -> None:
    hull.name = "launch"
    assert not stale(hull)
    assert session.entry_for(hull).hull_name == "launch"
    fleet = bpy.data.collections.new("fleet")
    bpy.context.scene.collection.children.link(fleet)
    fleet.name = "yard"
    assert not stale(hull)
    hull.location.x += 1
    assert stale(hull)


@pytest.mark.parametrize("by_operator", (True, False))
def test_deleting_the_hull_forgets_it(hull: bpy.types.Object, by_operator: bool) -> None:
    settings(named("engine")).hull = hull
    if by_operator:
        bpy.ops.object.delete()
    else:
        bpy.data.objects.remove(hull)
    bpy.context.view_layer.update()
    assert session.known() == ()


def test_deleting_it_and_undoing_breaks_nothing(hull: bpy.types.Object) -> None:
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.object.delete()
    bpy.ops.ed.undo_push(message="deleted")
    bpy.context.view_layer.update()
    bpy.ops.ed.undo()
    assert session.entry_for(named("box")) is None
    assert ships.floated(named("box")).floating


def test_failure_takes_the_place_of_an_old_result(hull: bpy.types.Object) -> None:
    change_mass()
    settings(named("engine")).weight.mass = 0
    entry = ships.floated(hull)
    assert session.entries() == ()
    assert session.known() == (entry,)
    assert entry.ship and entry.message.subjects == (Subject("weight", "engine"),)


def test_loading_a_file_forgets_all(hull: bpy.types.Object, tmp_path: Path) -> None:
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "yard.blend"))
    assert session.known()
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "yard.blend"))
    assert session.known() == ()
    assert ships.floated(named("box")).floating


def test_a_file_keeps_the_settings(hull: bpy.types.Object, tmp_path: Path) -> None:
    chosen = settings(hull)
    chosen.form.forward, chosen.form.up, chosen.form.mirror, chosen.water.density = (
        "NEGATIVE_Y",
        "X",
        True,
        1012,
    )
    ships.mark(hull, baseline_z=0.25)
    ballast = settings(named("engine"))
    ballast.hull, ballast.group, ballast.weight.mass = hull, "ballast", 1250.5
    scene_settings(bpy.context.scene).water_display = WaterDisplay.WATER_LEVEL
    scene_settings(bpy.context.scene).show_labels = False
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "yard.blend"))
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "yard.blend"))
    chosen, ballast = settings(named("box")), settings(named("engine"))
    assert (chosen.role, chosen.form.forward, chosen.form.up, chosen.form.mirror) == (
        Role.HULL,
        "NEGATIVE_Y",
        "X",
        True,
    )
    assert (chosen.water.kind, chosen.water.density) == ("OTHER", 1012)
    assert (chosen.form.use_baseline_z, chosen.form.baseline_z) == (True, 0.25)
    assert (ballast.role, ballast.hull, ballast.group, ballast.weight.mass) == (
        Role.WEIGHT,
        named("box"),
        "ballast",
        1250.5,
    )
    assert scene_settings(bpy.context.scene).water_display == WaterDisplay.WATER_LEVEL
    assert not scene_settings(bpy.context.scene).show_labels


def test_water_and_density_agree(hull: bpy.types.Object) -> None:
    chosen = settings(hull)
    assert (chosen.water.kind, chosen.water.density) == ("SEA", 1025)
    chosen.water.kind = "FRESH"
    assert chosen.water.density == 1000
    chosen.water.density = 1025
    assert chosen.water.kind == "SEA"
    chosen.water.density = 1015
    assert chosen.water.kind == "OTHER"
    chosen.water.kind = "SEA"
    chosen.water.kind = "OTHER"
    assert (chosen.water.kind, chosen.water.density) == ("OTHER", 1025)


def test_mass_is_shown_in_scene_units(hull: bpy.types.Object) -> None:
    """Blender keeps masses by the cube of the unit scale."""
    engine = settings(named("engine"))
    bpy.context.scene.unit_settings.scale_length = 0.01
    assert engine.weight.scene_mass == pytest.approx(1e9)
    engine.weight.scene_mass = 2e9
    assert engine.weight.mass == pytest.approx(2000)
    bpy.context.scene.unit_settings.system = "NONE"
    assert engine.weight.scene_mass == pytest.approx(2000)


def test_an_empty_is_as_large_as_its_mass_in_iron() -> None:
    engine = ships.weight("engine", 7870 * 4 / 3 * 3.14159265 * 0.5**3, MIDDLE)
    assert engine.empty_display_size == pytest.approx(0.5)
    settings(engine).weight.size_by_mass = False
    settings(engine).weight.mass = 1
    assert engine.empty_display_size == pytest.approx(0.5)
    settings(engine).weight.size_by_mass = True
    assert engine.empty_display_size == pytest.approx(0.0312, abs=1e-3)


def test_held_at_a_heel_to_be_looked_at(hull: bpy.types.Object) -> None:
    entry, chosen = session.entry_for(hull), scene_settings(bpy.context.scene)
    assert shown_state.shown(entry, chosen) is entry.floating
    chosen.use_held_heel, chosen.held_heel = True, radians(20)
    held = shown_state.shown(entry, chosen)
    assert held.equilibrium.attitude.heel_rad == pytest.approx(radians(20))
    assert held.hydrostatics.immersion.volume == pytest.approx(
        entry.floating.equilibrium.immersion.volume
    )
    heeled = shown_state.at_held_heel(entry, chosen)
    assert heeled.floating is held
    arm = entry.assessment.stability.curve.gz_curve.arm(radians(20))
    assert heeled.held.arm == pytest.approx(arm, rel=1e-4)
    chosen.held_heel = radians(-40)
    assert shown_state.shown(entry, chosen).equilibrium.attitude.heel_rad == pytest.approx(
        radians(-40)
    )
    old = shown_state.shown(entry, chosen)
    settings(named("engine")).weight.mass += 500
    assert shown_state.shown(ships.floated(hull), chosen).weight.mass == old.weight.mass + 500


def test_a_ship_that_sinks_has_no_stability(hull: bpy.types.Object) -> None:
    settings(named("engine")).weight.mass = 50000
    entry, chosen = ships.floated(hull), scene_settings(bpy.context.scene)
    chosen.use_held_heel = True
    assert entry.floating.state == "sunk" and entry.assessment is None
    assert shown_state.shown(entry, chosen) is entry.floating
