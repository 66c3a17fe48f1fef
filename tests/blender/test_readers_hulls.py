"""Whatever way a ship is placed and modeled in the scene, it is the same ship to the core."""

from __future__ import annotations

from collections.abc import Callable

import bpy
import numpy as np
import pytest
import scene_ships as ships
from mathutils import Euler, Matrix, Vector

from addon.blender.properties.names import Basis, Role
from addon.blender.properties.settings import settings
from addon.blender.readers.cases import read_case
from addon.blender.readers.hulls import read_hull
from addon.core.geometry.mesh import triangulate
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.messages.subjects import Subject, SubjectKind
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.weights import Weight
from addon.examples.loader import Example, listing_launch, load_example
from tests.language import reads, refused

pytestmark = pytest.mark.slow

SHIP = listing_launch()
UNMOVED = Matrix()
SINGLE = 2e-6
"""Blender keeps places in single precision."""


def reference(ship: Example = SHIP) -> FloatingPosition:
    """The ship floated by the core alone, from the numbers as Blender rounds them."""
    vertices = ship.hull.vertices.astype(np.float32).astype(np.float64)
    hull = build_hull(triangulate(ship.hull.name, vertices, ship.hull.polygons))
    weights = tuple(
        Weight(item.name, item.mass, item.center - hull.origin) for item in ship.weights
    )
    return find_floating_position(Case(ship.title, hull, weights))


def place(world: Matrix, local: Matrix = UNMOVED, ship: Example = SHIP) -> bpy.types.Object:
    """The ship moved by `world`, its mesh modeled through the inverse of the object's `local`."""
    inverse = np.array(local.inverted(), dtype=np.float64)
    vertices = ship.hull.vertices @ inverse[:3, :3].T + inverse[:3, 3]
    polygons = ship.hull.polygons
    if local.determinant() < 0:
        polygons = tuple((face[0], *face[:0:-1]) for face in polygons)
    hull = ships.hull("ship", vertices, polygons)
    hull.matrix_world = world @ local
    for item in ship.weights:
        ships.weight(item.name, item.mass, world @ Vector(item.center))
    return hull


def as_modeled() -> bpy.types.Object:
    return place(Matrix())


def heeled_and_turned() -> bpy.types.Object:
    return place(Matrix.Translation((3, -8, 2)) @ Euler((0.4, -0.2, 2.1)).to_matrix().to_4x4())


def scaled() -> bpy.types.Object:
    return place(Matrix(), Matrix.Diagonal((2.5, 0.4, 3.0, 1.0)))


def mirrored_by_scale() -> bpy.types.Object:
    return place(Matrix(), Matrix.Diagonal((1.0, -1.0, 1.0, 1.0)))


def turned_inside_out() -> bpy.types.Object:
    return place(Matrix.Translation((1, 2, 3)), Matrix.Diagonal((-2.0, -2.0, -2.0, 1.0)))


def modeled_sideways() -> bpy.types.Object:
    return place(Matrix(), Euler((np.pi / 2, 0, -np.pi / 2)).to_matrix().to_4x4())


def far_away() -> bpy.types.Object:
    return place(Matrix.Translation((4096, -8192, 1024)))


def under_parents() -> bpy.types.Object:
    hull = place(Matrix())
    outer = bpy.data.objects.new("outer", None)
    inner = bpy.data.objects.new("inner", None)
    for parent in (outer, inner):
        bpy.context.scene.collection.objects.link(parent)
    inner.parent = outer
    for obj in bpy.context.scene.objects:
        if obj not in (outer, inner):
            obj.parent = inner
    outer.location, outer.rotation_euler, outer.scale = (5, 6, 7), (0.3, 0.2, 0.1), (0.5,) * 3
    inner.scale = (2.0, 2.0, 2.0)
    return hull


def in_millimeters() -> bpy.types.Object:
    bpy.context.scene.unit_settings.scale_length = 0.001
    hull = place(Matrix.Diagonal((1000.0, 1000.0, 1000.0, 1.0)))
    hull.data.transform(Matrix.Diagonal((1000.0, 1000.0, 1000.0, 1.0)))
    hull.matrix_world = Matrix()
    return hull


def with_mirror_modifier() -> bpy.types.Object:
    half = load_example("half-launch")
    hull = ships.hull("ship", half.hull.vertices, half.hull.polygons)
    mirror = hull.modifiers.new("Mirror", "MIRROR")
    mirror.use_axis = (False, True, False)
    for item in SHIP.weights:
        ships.weight(item.name, item.mass, item.center)
    return hull


def as_half_hull() -> bpy.types.Object:
    half = load_example("half-launch")
    hull = ships.hull("ship", half.hull.vertices, half.hull.polygons)
    settings(hull).form.mirror = True
    for item in SHIP.weights:
        ships.weight(item.name, item.mass, item.center)
    return hull


def in_edit_mode() -> bpy.types.Object:
    hull = place(Matrix())
    ships.activate(hull)
    bpy.ops.object.mode_set(mode="EDIT")
    return hull


WAYS = (
    as_modeled,
    heeled_and_turned,
    scaled,
    mirrored_by_scale,
    turned_inside_out,
    modeled_sideways,
    far_away,
    under_parents,
    in_millimeters,
    with_mirror_modifier,
    as_half_hull,
    in_edit_mode,
)


@pytest.mark.parametrize("way", WAYS)
def test_the_same_ship_however_placed(way: Callable[[], bpy.types.Object]) -> None:
    entry = ships.floated(way())
    assert entry.message is None
    found, right = entry.floating, reference()
    assert found.state == "afloat"
    for value, wanted in (
        (found.case.hull.volume, right.case.hull.volume),
        (found.weight.mass, right.weight.mass),
        (found.hydrostatics.draft_aft, right.hydrostatics.draft_aft),
        (found.hydrostatics.draft_forward, right.hydrostatics.draft_forward),
        (found.GM, right.GM),
        (found.GML, right.GML),
        (found.equilibrium.attitude.heel_rad, right.equilibrium.attitude.heel_rad),
    ):
        assert value == pytest.approx(wanted, rel=2e-4 if way is far_away else 20 * SINGLE)
    assert [finding.code for finding in entry.surface] == [
        finding.code for finding in right.case.hull.findings
    ]


@pytest.mark.parametrize("way", WAYS)
def test_ship_axes_lie_where_the_hull_lies(way: Callable[[], bpy.types.Object]) -> None:
    hull = way()
    entry = ships.floated(hull)
    points = entry.ship.hull.vertices @ entry.to_world[:3, :3].T + entry.to_world[:3, 3]
    evaluated = hull.evaluated_get(bpy.context.evaluated_depsgraph_get())
    corners = np.array([evaluated.matrix_world @ corner.co for corner in hull.data.vertices])
    size = np.ptp(corners, axis=0).max()
    for bound in (np.min, np.max):
        difference = bound(points, axis=0) - bound(corners, axis=0)
        if way in (with_mirror_modifier, as_half_hull):
            difference = difference[[0, 2]]
        assert np.abs(difference).max() < 1e-5 * size + 1e-6 * np.abs(corners).max()
    unit = bpy.context.scene.unit_settings.scale_length
    turn = entry.to_world[:3, :3] * unit
    assert np.allclose(turn @ turn.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1)


def test_list_is_to_the_side_of_the_winch() -> None:
    assert ships.floated(as_modeled()).floating.equilibrium.attitude.heel_rad < 0


def test_a_mirrored_ship_lists_to_the_other_side() -> None:
    hull = under_parents()
    bpy.data.objects["inner"].scale.x = -2.0
    entry = ships.floated(hull)
    right = reference().equilibrium.attitude.heel_rad
    assert entry.floating.equilibrium.attitude.heel_rad == pytest.approx(-right, rel=20 * SINGLE)
    assert entry.surface == ()


def test_faces_of_any_number_of_corners() -> None:
    ring = [(3 + 3 * np.cos(a), 1 + np.sin(a)) for a in np.linspace(0, 2 * np.pi, 12, False)]
    vertices = [(x, y, z) for z in (0, 1) for x, y in ring]
    sides = [(i, (i + 1) % 12, 12 + (i + 1) % 12, 12 + i) for i in range(12)]
    hull = ships.hull("drum", vertices, [tuple(range(11, -1, -1)), tuple(range(12, 24)), *sides])
    area = 12 / 2 * np.sin(np.radians(30)) * 3
    ships.weight("all", 1025 * area / 4, (3, 1, 0.2))
    entry = ships.floated(hull)
    assert entry.floating.hydrostatics.draft_mid == pytest.approx(0.25, rel=1e-6)
    assert entry.surface == ()


def test_marks_are_measured_from_the_object_in_scene_units() -> None:
    bpy.context.scene.unit_settings.scale_length = 0.5
    hull = ships.hull("box", 2 * np.array(ships.BOX) + (10, 0, 0))
    hull.location = (100, 0, 0)
    form = settings(hull).form
    form.use_aft_perpendicular_x = True
    assert (form.aft_perpendicular_x, form.forward_perpendicular_x) == (10, 22)
    ships.mark(hull, aft_perpendicular_x=12, forward_perpendicular_x=20, baseline_z=-1)
    read = read_hull(bpy.context.evaluated_depsgraph_get(), hull).hull
    assert read.length_pp == pytest.approx(4)
    assert read.tree.low == pytest.approx([-1, -1, 0.5])


def test_weights_by_their_mesh() -> None:
    hull = ships.hull()
    deck = ships.mesh_object("deck", [(0, 0, 0), (2, 0, 0), (2, 1, 0), (0, 1, 0)], [(0, 1, 2, 3)])
    deck.location = (2, 0.5, 1)
    deck.scale = (2, 2, 2)
    block = ships.mesh_object("block", ships.BOX, [face[::-1] for face in ships.FACES])
    block.scale = (-0.1, 0.1, 0.1)
    block.location = (3.3, 0.9, 0.0)
    for obj, basis in ((deck, Basis.SKIN), (block, Basis.SOLID)):
        settings(obj).role, settings(obj).weight.basis = Role.WEIGHT, basis
    settings(deck).weight.areal_density = 20
    settings(block).weight.solid_density = 7000
    settings(block).group = "ballast"
    found = {w.name: w for w in read_case(bpy.context.evaluated_depsgraph_get(), hull).case.weights}
    assert found["deck"].mass == pytest.approx(2 * 4 * 20, rel=1e-6)
    assert found["deck"].center == pytest.approx([4, 0.5, 1], rel=1e-6)
    assert found["block"].mass == pytest.approx(12e-3 * 7000, rel=1e-6)
    assert found["block"].center == pytest.approx([3, 0, 0.05], abs=1e-6)
    assert found["block"].group == "ballast"


def test_modifiers_count() -> None:
    hull = ships.hull()
    ships.weight("all", 3000, (6, 1, 0.5))
    array = hull.modifiers.new("Array", "ARRAY")
    array.count = 2
    entry = ships.floated(hull)
    assert entry.floating.case.hull.volume == pytest.approx(24, rel=1e-6)


def test_hidden_weights_count_and_disabled_ones_do_not() -> None:
    hull = ships.hull()
    hidden, disabled, closed = (ships.weight(name, 1000, (3, 1, 0.5)) for name in "abc")
    hidden.hide_set(True)
    disabled.hide_viewport = True
    folder = bpy.data.collections.new("not_loaded")
    bpy.context.scene.collection.children.link(folder)
    folder.objects.link(closed)
    bpy.context.scene.collection.objects.unlink(closed)
    bpy.context.view_layer.layer_collection.children["not_loaded"].exclude = True
    assert [w.name for w in ships.floated(hull).floating.case.weights] == ["a"]


def test_several_hulls_keep_their_own_weights() -> None:
    first, second = ships.hull("first"), ships.hull("second")
    second.location.x = 10
    for hull, mass in ((first, 3000), (second, 6000)):
        settings(ships.weight(f"of {hull.name}", mass, hull.location + SHIFT)).hull = hull
    ships.weight("stray", 500, (0, 0, 0))
    assert ships.floated(first).floating.weight.mass == 3000
    assert ships.floated(second).floating.weight.mass == 6000
    reading = read_case(bpy.context.evaluated_depsgraph_get(), first)
    (finding,) = reading.findings
    assert finding.code == "stray-weight"
    assert finding.subjects == (Subject("weight", "stray"),)
    assert reads(finding.text, "weight 'stray' belongs to no hull and is not counted")


SHIFT = Matrix.Translation((3, 1, 0.5)).translation


def test_a_deleted_hull_leaves_its_weights_to_the_next() -> None:
    first = ships.hull("first")
    ballast = ships.weight("ballast", 3000, (3, 1, 0.5))
    settings(ballast).hull = first
    ships.activate(first)
    bpy.ops.object.delete()
    assert settings(ballast).hull is not None, "Blender keeps a deleted object that is named"
    second = ships.hull("second")
    assert ships.floated(second).floating.weight.mass == 3000


def zero_scale() -> bpy.types.Object:
    hull = ships.hull()
    hull.scale.z = 0
    return hull


def disabled() -> bpy.types.Object:
    hull = ships.hull()
    hull.hide_viewport = True
    return hull


def without_faces() -> bpy.types.Object:
    return ships.hull("box", ships.BOX, [])


def without_weights() -> bpy.types.Object:
    return ships.hull()


def with_a_weight_of_nothing() -> bpy.types.Object:
    hull = ships.hull()
    ships.weight("engine", 0, (3, 1, 0.5))
    return hull


def with_an_empty_skin() -> bpy.types.Object:
    hull = ships.hull()
    settings(ships.weight("engine", 10, (3, 1, 0.5))).weight.basis = Basis.SKIN
    return hull


def with_one_axis_twice() -> bpy.types.Object:
    hull = ships.hull()
    settings(hull).form.forward, settings(hull).form.up = "X", "NEGATIVE_X"
    return hull


def with_crossed_marks() -> bpy.types.Object:
    hull = ships.hull()
    ships.mark(hull, aft_perpendicular_x=7)
    return hull


@pytest.mark.parametrize(
    ("make", "about", "words"),
    (
        (zero_scale, "object", "box: the object's scale flattens it; give it a scale above zero"),
        (disabled, "object", "box: the object is disabled in viewports"),
        (without_faces, "object", "box: the mesh has no faces"),
        (without_weights, "vessel", "box: there are no weights"),
        (with_a_weight_of_nothing, "weight", "weight 'engine': the mass is 0 kg"),
        (with_an_empty_skin, "object", "engine: the object has no surface"),
        (with_one_axis_twice, None, "box: forward '+X' and up '-X' lie along one axis"),
        (with_crossed_marks, "object", "box: the forward perpendicular"),
    ),
)
def test_bad_input_is_reported_in_one_line(
    make: Callable[[], bpy.types.Object], about: SubjectKind | None, words: str
) -> None:
    hull = make()
    entry = ships.floated(hull)
    assert entry.floating is None
    assert reads(entry.message, words) and "\n" not in entry.message
    assert [each.kind for each in entry.message.subjects] == ([about] if about else [])
    with refused("^" + words[:10]):
        depsgraph = bpy.context.evaluated_depsgraph_get()
        find_floating_position(read_case(depsgraph, hull).case)


def test_nothing_is_changed_by_reading() -> None:
    hull = as_modeled()
    bpy.context.view_layer.update()
    before = [(o.name, o.matrix_world.copy(), o.mode) for o in bpy.data.objects]
    meshes = len(bpy.data.meshes)
    ships.floated(hull)
    assert before == [(o.name, o.matrix_world, o.mode) for o in bpy.data.objects]
    assert len(bpy.data.meshes) == meshes
