"""What must not change, and which way what changes must go."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats
from addon.core.buoyancy.attitude import Attitude, up_from_angles, water_frame
from addon.core.buoyancy.immersion import Immersion
from addon.core.buoyancy.level import level_for_volume
from addon.core.buoyancy.moment_tree import MomentTree, build_tree
from addon.core.geometry.envelope import find_envelope
from addon.core.geometry.mesh import mirrored
from addon.core.hydrostatics.equilibrium import find_equilibrium, stepped_attitude
from addon.core.hydrostatics.equilibrium import potential_energy as skin_energy
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.hydrostatics.particulars import hydrostatics
from addon.core.model.case import Case
from addon.core.model.hull import ReferencePlanes, build_hull
from addon.core.model.load import GravityState
from addon.core.model.weights import Weight
from tests import bodies

UPRIGHT = np.array([0.0, 0.0, 1.0])
STARBOARD_FOR_PORT = np.array([1.0, -1.0, 1.0])

seeds = st.integers(0, 10**6)
heels = st.floats(-3.1, 3.1)
trims = st.floats(-1.5, 1.5)
levels = st.floats(-0.6, 0.6)
shifts = st.tuples(*[st.floats(-40, 40)] * 3)


def tensor(wet: Immersion) -> Floats:
    """Second moments of the waterplane (3, 3) in ship axes."""
    return wet.frame[:2].T @ wet.inertia @ wet.frame[:2]


def turning(seed: int) -> Floats:
    """A random rotation (3, 3)."""
    q, r = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q * np.sign(np.linalg.det(q))


def yaw(angle: float) -> Floats:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def ship_hull(seed: int) -> bodies.Body:
    """A hull with a well-defined rest: no two of its axes alike, no symmetry at all."""
    rng = np.random.default_rng(seed)
    return bodies.scaled(bodies.star(seed, 3, 0.3), (4.0, 1.5, 1.0) * rng.uniform(0.8, 1.2, 3))


def low_weight(tree: MomentTree, seed: int) -> tuple[float, Floats]:
    """Volume of displacement and a G low down and off every axis."""
    rng = np.random.default_rng(seed)
    reach = tree.high - tree.low
    off = rng.uniform([-0.1, -0.1, -0.3], [0.1, 0.1, -0.15])
    return tree.volume * float(rng.uniform(0.2, 0.8)), tree.middle + reach * off


def energy(tree: MomentTree, volume: float, gravity: Floats, attitude: Attitude) -> float:
    """Height of the weight over the water, and depth of the water pushed aside, both / rho g."""
    wet = tree.below(attitude)
    lifted = volume * float(gravity @ attitude.up - attitude.level)
    if wet.volume <= 0:
        return lifted
    return lifted + wet.volume * float(attitude.level - wet.buoyancy @ attitude.up)


def beside(attitude: Attitude, turn: Floats, rise: float) -> Attitude:
    """The attitude after a small rotation vector (3,) and a rise of the water."""
    up = attitude.up + np.cross(turn, attitude.up)
    return Attitude(up / np.linalg.norm(up), attitude.level + rise)


# The axes.


@given(heel=st.floats(-3.1, 3.1), trim=st.floats(-1.57, 1.57))
@settings(max_examples=60, deadline=None)
def test_angles_come_back(heel: float, trim: float) -> None:
    attitude = Attitude(up_from_angles(heel, trim), 0.0)
    assert np.linalg.norm(attitude.up) == pytest.approx(1.0)
    assert attitude.trim_rad == pytest.approx(trim, abs=1e-7)
    assert attitude.heel_rad == pytest.approx(heel, abs=1e-7)


@given(seed=seeds)
@settings(max_examples=60, deadline=None)
def test_water_frame(seed: int) -> None:
    """Right-handed; ahead leans to the bow, and port to port while it is upright."""
    up = turning(seed)[2]
    frame = water_frame(up)
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)
    assert (frame[2] == up).all()
    assert frame[0, 0] > 0
    assert frame[1, 0] == pytest.approx(0.0, abs=1e-12)
    assert np.sign(frame[1, 1]) == np.sign(up[2])


@pytest.mark.parametrize("end", [1.0, -1.0])
def test_water_frame_on_end(end: float) -> None:
    frame = water_frame(np.array([end, 0.0, 0.0]))
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)


# Moving and turning.


@given(seed=seeds, heel=heels, trim=trims, level=levels, shift=shifts, turn=seeds)
@settings(max_examples=40, deadline=None)
def test_turning_the_body_and_the_water_together(
    seed: int, heel: float, trim: float, level: float, shift: tuple[float, ...], turn: int
) -> None:
    body, rotation = bodies.star(seed), turning(turn)
    up = up_from_angles(heel, trim)
    here = bodies.tree(body).below(Attitude(up, level))
    turned_up = rotation @ up
    turned = Attitude(turned_up, level + float(turned_up @ shift))
    there = bodies.tree(bodies.moved(body, shift, rotation)).below(turned)
    assert there.volume == pytest.approx(here.volume, abs=1e-11)
    assert there.waterplane_area == pytest.approx(here.waterplane_area, abs=1e-11)
    assert there.wetted_surface == pytest.approx(here.wetted_surface, abs=1e-11)
    assert tensor(there) == pytest.approx(rotation @ tensor(here) @ rotation.T, abs=1e-10)
    if here.waterplane_area > 1e-3 and here.volume > 1e-3:
        assert there.buoyancy == pytest.approx(rotation @ here.buoyancy + shift, abs=1e-9)
        assert there.flotation == pytest.approx(rotation @ here.flotation + shift, abs=1e-9)


@given(seed=seeds, angle=st.floats(-3.1, 3.1), shift=shifts)
@settings(max_examples=15, deadline=None)
def test_turning_and_moving_ship_and_weights_together(
    seed: int, angle: float, shift: tuple[float, ...]
) -> None:
    body, rotation = ship_hull(seed), yaw(angle)
    tree, elsewhere = bodies.tree(body), bodies.tree(bodies.moved(body, shift, rotation))
    volume, gravity = low_weight(tree, seed)
    here = find_equilibrium(tree, volume, gravity)
    there = find_equilibrium(elsewhere, volume, rotation @ gravity + shift)
    assert here.converged and there.converged
    assert there.attitude.up == pytest.approx(rotation @ here.attitude.up, abs=1e-8)
    sunk = there.attitude.level - float(there.attitude.up @ shift)
    assert sunk == pytest.approx(here.attitude.level, abs=1e-8)
    assert there.stiffness == pytest.approx(here.stiffness, abs=1e-6)


@given(seed=seeds, factor=st.floats(0.05, 40.0))
@settings(max_examples=10, deadline=None)
def test_a_model_floats_as_the_ship_does(seed: int, factor: float) -> None:
    """Length, area, volume and moment grow by powers of the scale; the angles stay."""
    body = ship_hull(seed)
    tree, model = bodies.tree(body), bodies.tree(bodies.scaled(body, (factor, factor, factor)))
    volume, gravity = low_weight(tree, seed)
    ship = find_equilibrium(tree, volume, gravity)
    small = find_equilibrium(model, volume * factor**3, gravity * factor)
    assert small.attitude.up == pytest.approx(ship.attitude.up, abs=1e-8)
    assert small.attitude.level == pytest.approx(factor * ship.attitude.level, abs=1e-7 * factor)
    assert small.stiffness == pytest.approx(factor * ship.stiffness, rel=1e-6)
    area = ship.immersion.waterplane_area * factor**2
    assert small.immersion.waterplane_area == pytest.approx(area, rel=1e-6)


@given(seed=seeds, x=st.floats(-30, 30), y=st.floats(-30, 30), z=st.floats(-30, 30))
@settings(max_examples=10, deadline=None)
def test_where_the_mesh_lies_in_the_model_does_not_matter(
    seed: int, x: float, y: float, z: float
) -> None:
    """Marks left to themselves follow the hull, so ship axes see no shift."""
    body = ship_hull(seed)
    here, there = (build_hull(bodies.mesh(each)) for each in (body, bodies.moved(body, (x, y, z))))
    assert there.origin == pytest.approx(here.origin + [x, y, z])
    assert there.vertices == pytest.approx(here.vertices, abs=1e-12)
    weight = Weight("all", 400 * here.volume, np.array([0.5 * here.length_pp, 0.02, 0.4]))
    a, b = (
        find_floating_position(Case("ship", hull, (weight,)), seek_others=False)
        for hull in (here, there)
    )
    assert a.equilibrium is not None and b.equilibrium is not None
    assert b.equilibrium.attitude.up == pytest.approx(a.equilibrium.attitude.up, abs=1e-8)
    assert b.equilibrium.attitude.level == pytest.approx(a.equilibrium.attitude.level, abs=1e-8)


def test_marks_move_the_axes_and_nothing_else() -> None:
    mesh = bodies.mesh(bodies.moved(bodies.wigley(), (3.0, 1.0, 2.0)))
    plain = build_hull(mesh)
    marked = build_hull(mesh, ReferencePlanes(3.5, 12.5, 2.1, 1.2))
    assert marked.origin == pytest.approx([3.5, 1.2, 2.1])
    assert marked.length_pp == 9.0 and marked.midship_x == 4.5
    apart = marked.origin - plain.origin
    up = up_from_angles(0.1, 0.02)
    figures = hydrostatics(marked, Attitude(up, 0.5))
    same = hydrostatics(plain, Attitude(up, 0.5 + float(up @ apart)))
    assert figures.immersion.volume == pytest.approx(same.immersion.volume)
    assert figures.immersion.buoyancy + apart == pytest.approx(same.immersion.buoyancy)
    assert [figures.LWL, figures.BWL] == pytest.approx([same.LWL, same.BWL])


# Mirrors.


@given(seed=seeds, heel=heels, trim=trims, level=levels)
@settings(max_examples=30, deadline=None)
def test_the_mirror_image_sees_the_mirrored_water(
    seed: int, heel: float, trim: float, level: float
) -> None:
    body, attitude = bodies.star(seed), Attitude(up_from_angles(heel, trim), level)
    here = bodies.tree(body).below(attitude)
    there = bodies.tree(bodies.mirror(body)).below(attitude.mirrored())
    assert there.volume == pytest.approx(here.volume, abs=1e-12)
    assert there.waterplane_area == pytest.approx(here.waterplane_area, abs=1e-12)
    assert there.wetted_surface == pytest.approx(here.wetted_surface, abs=1e-12)
    sides = np.array([[1, -1], [-1, 1]])
    assert there.inertia == pytest.approx(here.inertia * sides, abs=1e-11)
    if here.waterplane_area > 1e-3 and here.volume > 1e-3:
        assert there.buoyancy == pytest.approx(here.buoyancy * STARBOARD_FOR_PORT, abs=1e-10)
        assert there.flotation == pytest.approx(here.flotation * STARBOARD_FOR_PORT, abs=1e-9)


@given(seed=seeds)
@settings(max_examples=15, deadline=None)
def test_mirrored_ship_heels_the_other_way(seed: int) -> None:
    body = ship_hull(seed)
    tree = bodies.tree(body)
    volume, gravity = low_weight(tree, seed)
    here = find_equilibrium(tree, volume, gravity)
    there = find_equilibrium(bodies.tree(bodies.mirror(body)), volume, gravity * STARBOARD_FOR_PORT)
    assert there.attitude.heel_rad == pytest.approx(-here.attitude.heel_rad, abs=1e-8)
    assert there.attitude.trim_rad == pytest.approx(here.attitude.trim_rad, abs=1e-8)
    assert there.attitude.level == pytest.approx(here.attitude.level, abs=1e-8)


def test_half_a_hull_and_its_mirror_make_the_whole() -> None:
    vertices, polygons = bodies.wigley(divisions=6)
    x, y, z = vertices.T
    port = tuple(
        face
        for face in polygons
        if y[list(face)].mean() > 1e-9 and not (z[list(face)] == z.max()).all()
    )
    used, places = np.unique([corner for face in port for corner in face], return_inverse=True)
    ends = np.cumsum([len(face) for face in port])
    port = tuple(tuple(int(c) for c in face) for face in np.split(places, ends[:-1]))
    half = mirrored(bodies.mesh((vertices[used], port)))
    whole = build_hull(bodies.mesh((vertices, polygons)))
    doubled = build_hull(half)
    assert doubled.volume == pytest.approx(whole.volume, rel=1e-9)
    attitude = Attitude.from_draft(0.5, 5.0, 0.05, 0.01)
    assert doubled.tree.below(attitude).wetted_surface == pytest.approx(
        whole.tree.below(attitude).wetted_surface, rel=1e-9
    )


# Two halves.


HALVED = [
    (bodies.wigley(divisions=6), 5.0),
    (bodies.box(10.0, 4.0, 3.0, 4), 2.5),
    (bodies.horizontal_cylinder(1.0, 10.0, 24, 5), 6.0),
    (bodies.wedge(10.0, 4.0, 3.0, 2), 5.0),
]
CORNER_ON_A_SIDE = bodies.prism([(0, 0), (1, 0), (1, 0.5), (1, 1), (0, 1)], 2.0, 2), 1.0


@pytest.mark.parametrize("body, x", HALVED)
@pytest.mark.parametrize("heel, trim", [(0.0, 0.0), (0.4, -0.1), (-2.0, 0.5)])
def test_two_halves_displace_as_the_whole(
    body: bodies.Body, x: float, heel: float, trim: float
) -> None:
    whole, two = bodies.tree(body), bodies.tree(bodies.joined(*bodies.halves(body, x)))
    up = up_from_angles(heel, trim)
    attitude = Attitude(up, level_for_volume(whole, up, 0.45 * whole.volume))
    a, b = whole.below(attitude), two.below(attitude)
    assert b.volume == pytest.approx(a.volume, rel=1e-12)
    assert b.buoyancy == pytest.approx(a.buoyancy, abs=1e-11)
    assert b.waterplane_area == pytest.approx(a.waterplane_area, rel=1e-11)
    assert b.flotation == pytest.approx(a.flotation, abs=1e-11)
    assert b.inertia == pytest.approx(a.inertia, rel=1e-10, abs=1e-10)
    assert b.wetted_surface > a.wetted_surface


@pytest.mark.parametrize("body, x", [*HALVED, CORNER_ON_A_SIDE])
@pytest.mark.parametrize("turned", [0, 1, 2, 5])
def test_the_wall_between_two_halves_is_no_skin(body: bodies.Body, x: float, turned: int) -> None:
    """Whichever corner the fans of the two boundaries start from."""
    aft, (vertices, polygons) = bodies.halves(body, x)
    boundary = polygons[-1]
    turned %= len(boundary)
    ahead = vertices, (*polygons[:-1], (*boundary[turned:], *boundary[:turned]))
    outer = find_envelope(bodies.mesh(bodies.joined(aft, ahead)))
    tree, whole = build_tree(outer.vertices, outer.triangles, outer.caps), bodies.tree(body)
    assert tree.volume == pytest.approx(whole.volume, rel=1e-12)
    assert tree.area == pytest.approx(whole.area, rel=1e-12)
    assert outer.parts == 1
    assert "inner-boundaries" in [finding.code for finding in outer.findings]


@pytest.mark.parametrize("body, x", HALVED)
def test_two_halves_float_as_the_whole(body: bodies.Body, x: float) -> None:
    weights = (Weight("all", 20_000.0, np.array([5.1, 0.05, 0.4])),)
    if bodies.tree(body).volume < 25:
        weights = (Weight("all", 2_000.0, np.array([5.1, 0.01, 0.2])),)
    hulls = [
        build_hull(bodies.mesh(each)) for each in (body, bodies.joined(*bodies.halves(body, x)))
    ]
    a, b = (
        find_floating_position(Case("ship", hull, weights), seek_others=False) for hull in hulls
    )
    assert a.equilibrium is not None and b.equilibrium is not None
    assert b.equilibrium.attitude.up == pytest.approx(a.equilibrium.attitude.up, abs=1e-8)
    assert b.equilibrium.attitude.level == pytest.approx(a.equilibrium.attitude.level, abs=1e-8)
    assert b.equilibrium.immersion.wetted_surface == pytest.approx(
        a.equilibrium.immersion.wetted_surface
    )


# More weight.


@given(seed=seeds, heel=heels, trim=trims, shares=st.tuples(*[st.floats(0.001, 0.999)] * 2))
@settings(max_examples=30, deadline=None)
def test_more_volume_needs_a_higher_level(
    seed: int, heel: float, trim: float, shares: tuple[float, float]
) -> None:
    tree = bodies.tree(bodies.star(seed))
    up = up_from_angles(heel, trim)
    less, more = sorted(shares)
    low, high = (level_for_volume(tree, up, share * tree.volume) for share in (less, more))
    assert low <= high + 1e-12
    assert tree.below(Attitude(up, low)).wetted_surface <= (
        tree.below(Attitude(up, high)).wetted_surface + 1e-9
    )


@given(seed=seeds, more=st.floats(0.001, 0.1))
@settings(max_examples=15, deadline=None)
def test_more_weight_at_G_brings_G_nearer_the_water(seed: int, more: float) -> None:
    """At a stable rest the energy bends upward, so the height of the water over G must grow."""
    tree = bodies.tree(ship_hull(seed))
    volume, gravity = low_weight(tree, seed)
    here = find_equilibrium(tree, volume, gravity)
    there = find_equilibrium(tree, volume * (1 + more), gravity, here.attitude.up)
    over = [rest.attitude.level - float(rest.attitude.up @ gravity) for rest in (here, there)]
    assert there.immersion.volume > here.immersion.volume
    assert over[1] > over[0]


@given(
    mass=st.floats(1.0, 6000.0),
    at=st.tuples(st.floats(0, 10), st.floats(-2, 2), st.floats(0, 3)),
)
@settings(max_examples=20, deadline=None)
def test_more_weight_anywhere_sinks_a_box(mass: float, at: tuple[float, float, float]) -> None:
    """Wall-sided and its bilges under water: the draft amidships is its volume over its plan."""
    hull = build_hull(bodies.mesh(bodies.box(10.0, 4.0, 3.0)))
    light = Weight("ship", 60_000.0, np.array([5.0, 0.0, 0.8]))
    before = find_floating_position(Case("box", hull, (light,)), seek_others=False)
    after = find_floating_position(
        Case("box", hull, (light, Weight("more", mass, np.array(at)))), seek_others=False
    )
    assert before.hydrostatics is not None and after.hydrostatics is not None
    sunk = after.hydrostatics.draft_mid - before.hydrostatics.draft_mid
    assert after.hydrostatics.displacement() == pytest.approx(60_000 + mass, rel=1e-9)
    assert sunk > 0
    corners = np.array([[x, y, z] for x in (0, 10) for y in (-2, 2) for z in (0, 3)])
    wet = (
        after.equilibrium.attitude.heights(corners).reshape(4, 2)
        if after.equilibrium
        else np.zeros((4, 2))
    )
    if (wet[:, 0] < 0).all() and (wet[:, 1] > 0).all():
        assert sunk == pytest.approx(mass / 1025 / 40, rel=1e-6)


# The energy.


@pytest.mark.slow
@given(seed=seeds)
@settings(max_examples=12, deadline=None)
def test_at_rest_the_energy_is_least(seed: int) -> None:
    rng = np.random.default_rng(seed)
    tree = bodies.tree(ship_hull(seed))
    volume = tree.volume * float(rng.uniform(0.05, 0.95))
    gravity = tree.middle + (tree.high - tree.low) * rng.uniform(-0.3, 0.3, 3)
    rest = find_equilibrium(tree, volume, gravity, turning(seed)[2])
    least = energy(tree, volume, gravity, rest.attitude)
    gained = []
    for reach in (1e-4, 1e-3, 1e-2):
        for _ in range(12):
            aside = beside(rest.attitude, rng.normal(size=3) * reach, rng.normal() * reach)
            gained.append(energy(tree, volume, gravity, aside) - least)
    assert min(gained) > -1e-13 * tree.size**4
    assert min(gained[24:]) > 0


@given(seed=seeds)
@settings(max_examples=12, deadline=None)
def test_settling_goes_downhill(seed: int) -> None:
    rng = np.random.default_rng(seed)
    tree = bodies.tree(ship_hull(seed))
    volume, gravity = low_weight(tree, seed)
    up = turning(seed)[2]
    start = Attitude(up, level_for_volume(tree, up, volume))
    rest = find_equilibrium(tree, volume, gravity, up)
    assert energy(tree, volume, gravity, rest.attitude) < energy(tree, volume, gravity, start)
    pushed = beside(rest.attitude, rng.normal(size=3) * 0.02, 0.0)
    back = find_equilibrium(tree, volume, gravity, pushed.up)
    assert back.attitude.up == pytest.approx(rest.attitude.up, abs=1e-7)


@given(seed=seeds, level=levels)
@settings(max_examples=20, deadline=None)
def test_slope_and_curve_of_the_energy(seed: int, level: float) -> None:
    """Against differences of the energy as computed above, along the steps that are taken."""
    rng = np.random.default_rng(seed)
    tree = bodies.tree(ship_hull(seed))
    volume = tree.volume * float(rng.uniform(0.1, 0.9))
    gravity = tree.middle + rng.uniform(-0.5, 0.5, 3)
    length = float(np.cbrt(volume))
    attitude = Attitude(turning(seed)[2], float(turning(seed)[2] @ tree.middle) + level)
    wet = tree.below(attitude)
    value, slope, curve = skin_energy(wet, volume, length, GravityState(gravity, np.zeros((2, 2))))
    unit = volume * length
    assert value == pytest.approx(energy(tree, volume, gravity, attitude) / unit, rel=1e-9)

    def at(*move: float) -> float:
        there = stepped_attitude(attitude, np.array(move), length, gravity)
        return energy(tree, volume, gravity, there) / unit

    near = 1e-5
    steps = np.eye(3) * near
    first = np.array([at(*step) - at(*-step) for step in steps]) / (2 * near)
    assert slope == pytest.approx(first, abs=1e-7)
    far = 1e-3
    steps = np.eye(3) * far
    second = np.array(
        [[at(*(a + b)) - at(*(a - b)) - at(*(b - a)) + at(*-(a + b)) for a in steps] for b in steps]
    ) / (4 * far**2)
    assert curve == pytest.approx(second, abs=0.02 * np.abs(second).max())
    assert curve == pytest.approx(curve.T, abs=1e-12)


def test_curve_of_the_energy_of_a_box() -> None:
    """Where the skin is wall-sided the energy is smooth, and differences are sharp."""
    tree = bodies.tree(bodies.box(10.0, 4.0, 3.0))
    volume, gravity, length = 55.0, np.array([4.7, 0.2, 1.3]), 3.8
    attitude = Attitude.from_draft(1.5, 5.0, 0.1, -0.05)
    _, _, curve = skin_energy(
        tree.below(attitude), volume, length, GravityState(gravity, np.zeros((2, 2)))
    )

    far = 1e-3
    steps = np.eye(3) * far

    def at(move: Floats) -> float:
        there = stepped_attitude(attitude, move, length, gravity)
        return energy(tree, volume, gravity, there) / (volume * length)

    second = np.array(
        [[at(a + b) - at(a - b) - at(b - a) + at(-(a + b)) for a in steps] for b in steps]
    ) / (4 * far**2)
    assert curve == pytest.approx(second, abs=1e-5)
