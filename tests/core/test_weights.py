"""Masses of points, skins and solids against closed forms."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.buoyancy.attitude import up_from_angles, water_frame
from addon.core.messages.findings import BadInputError
from addon.core.model.names import check_names
from addon.core.model.weights import Weight, combined, solid_weight, surface_weight
from tests import bodies
from tests.language import refused

Make = Callable[..., Weight]


def weigh(make: Make, body: bodies.Body, density: float = 1.0) -> Weight:
    mesh = bodies.mesh(body)
    return make("part", mesh.vertices, mesh.triangles, density)


@pytest.mark.parametrize("divisions", [1, 4])
def test_solid_box(divisions: int) -> None:
    box = weigh(solid_weight, bodies.box(10.0, 4.0, 3.0, divisions), 750.0)
    assert box.mass == pytest.approx(750 * 120, rel=1e-12)
    assert box.center == pytest.approx([5.0, 0.0, 1.5], abs=1e-12)
    expected = box.mass * np.diag([100, 16, 9]) / 12
    assert box.inertia == pytest.approx(expected, rel=1e-12, abs=1e-7)


@pytest.mark.parametrize("divisions", [1, 4])
def test_skin_of_a_box(divisions: int) -> None:
    """Two plates a pair of sides: their own spread, and for the ends the half length squared."""
    size = np.array([10.0, 4.0, 3.0])
    box = weigh(surface_weight, bodies.box(*size, divisions), 8.0)
    plates = 2 * 8.0 * np.prod(size) / size
    assert box.mass == pytest.approx(plates.sum(), rel=1e-12)
    assert box.center == pytest.approx([5.0, 0.0, 1.5], abs=1e-12)
    spread = [
        size[axis] ** 2 * (plates.sum() - plates[axis]) / 12 + size[axis] ** 2 * plates[axis] / 4
        for axis in range(3)
    ]
    assert box.inertia == pytest.approx(np.diag(spread), rel=1e-12, abs=1e-8)


def test_solid_tetrahedron_and_its_skin() -> None:
    """Mean of x x over the corner tetrahedron is 1/10, of x y 1/20; over a triangle 1/6, 1/12."""
    corner = np.vstack([np.zeros(3), np.eye(3)])
    body = corner, ((0, 2, 1), (0, 3, 2), (0, 1, 3), (1, 2, 3))
    solid = weigh(solid_weight, body, 6.0)
    assert solid.mass == pytest.approx(1.0)
    assert solid.center == pytest.approx([0.25] * 3)
    second = np.full((3, 3), 1 / 20) + np.eye(3) / 20
    assert solid.inertia == pytest.approx(second - 1 / 16)
    face = surface_weight("face", corner, np.array([[1, 2, 3]]), 2 / np.sqrt(3))
    assert face.mass == pytest.approx(1.0)
    assert face.inertia == pytest.approx(np.full((3, 3), 1 / 12) + np.eye(3) / 12 - 1 / 9)


@pytest.mark.parametrize("make, share", [(solid_weight, 1 / 5), (surface_weight, 1 / 3)])
@pytest.mark.parametrize("kind", ["icosahedron", "octahedron"])
def test_ball_and_shell(make: Make, share: float, kind: str) -> None:
    """int x x dm is m r^2 / 5 for a ball, m r^2 / 3 for a shell; errors fall by four."""
    radius, middle = 1.7, np.array([3.0, -2.0, 8.0])
    mass = {solid_weight: 4 / 3 * np.pi * radius**3, surface_weight: 4 * np.pi * radius**2}[make]
    errors = []
    for divisions in (5, 10, 20):
        ball = weigh(make, bodies.moved(bodies.geodesic_sphere(radius, divisions, kind), middle))
        assert ball.center == pytest.approx(middle, abs=1e-12)
        assert ball.inertia == pytest.approx(np.eye(3) * ball.inertia[0, 0], abs=1e-10)
        errors.append([ball.mass / mass - 1, ball.inertia[0, 0] / (mass * radius**2 * share) - 1])
    ratios = np.array(errors[:-1]) / errors[1:]
    assert ((ratios > 3.5) & (ratios < 4.5)).all()


@given(
    seed=st.integers(0, 10**6),
    heel=st.floats(-3, 3),
    trim=st.floats(-1.4, 1.4),
    shift=st.tuples(*[st.floats(-50, 50)] * 3),
    make=st.sampled_from([solid_weight, surface_weight]),
)
@settings(max_examples=25, deadline=None)
def test_a_moved_body_weighs_the_same(
    seed: int, heel: float, trim: float, shift: tuple[float, ...], make: Make
) -> None:
    body = bodies.star(seed)
    turn = water_frame(up_from_angles(heel, trim))
    here = weigh(make, body, 3.0)
    there = weigh(make, bodies.moved(body, shift, turn), 3.0)
    assert there.mass == pytest.approx(here.mass, rel=1e-12)
    assert there.center == pytest.approx(turn @ here.center + shift, abs=1e-11)
    assert there.inertia == pytest.approx(turn @ here.inertia @ turn.T, abs=1e-9)


def test_solid_far_from_the_origin() -> None:
    near = weigh(solid_weight, bodies.box(4.0, 2.0, 1.0))
    far = weigh(solid_weight, bodies.moved(bodies.box(4.0, 2.0, 1.0), (1e5, -1e5, 1e5)))
    assert far.mass == pytest.approx(near.mass, rel=1e-12)
    assert far.center - near.center == pytest.approx([1e5, -1e5, 1e5], abs=1e-9)
    assert far.inertia == pytest.approx(near.inertia, abs=1e-9)


def test_skin_far_from_the_origin() -> None:
    near = weigh(surface_weight, bodies.box(4.0, 2.0, 1.0))
    far = weigh(surface_weight, bodies.moved(bodies.box(4.0, 2.0, 1.0), (1e5, -1e5, 1e5)))
    assert far.mass == pytest.approx(near.mass, rel=1e-12)
    assert far.center - near.center == pytest.approx([1e5, -1e5, 1e5], abs=1e-9)
    assert far.inertia == pytest.approx(near.inertia, abs=1e-9)


def test_combined_by_hand() -> None:
    """3 t at x = 2 and 1 t at x = 10: center at 4, 3 (-2)^2 + 1 (6)^2 = 48 t m2 about it."""
    own = np.diag([5.0, 6.0, 7.0])
    total = combined(
        (
            Weight("a", 3.0, np.array([2.0, 1.0, 0.0]), inertia=own),
            Weight("b", 1.0, np.array([10.0, -3.0, 4.0])),
        ),
        "both",
    )
    assert total.name == "both" and total.mass == 4.0
    assert total.center == pytest.approx([4.0, 0.0, 1.0])
    arms = np.array([[-2.0, 1.0, -1.0], [6.0, -3.0, 3.0]])
    by_hand = own + 3 * np.outer(arms[0], arms[0]) + np.outer(arms[1], arms[1])
    assert by_hand[0] == pytest.approx([53.0, -24.0, 24.0])
    assert total.inertia == pytest.approx(by_hand)


def test_combined_parts_make_the_whole() -> None:
    """A box of two halves: masses, centers and inertias by parallel axes."""
    whole = weigh(solid_weight, bodies.box(10.0, 4.0, 3.0))
    half = bodies.box(5.0, 4.0, 3.0)
    parts = tuple(weigh(solid_weight, bodies.moved(half, (x, 0, 0))) for x in (0.0, 5.0))
    total = combined(parts)
    assert total.mass == pytest.approx(whole.mass)
    assert total.center == pytest.approx(whole.center, abs=1e-12)
    assert total.inertia == pytest.approx(whole.inertia, abs=1e-9)


positions = st.tuples(*[st.floats(-100, 100)] * 3)


@given(parts=st.lists(st.tuples(st.floats(0.1, 1e6), positions), min_size=1, max_size=6))
@settings(max_examples=50, deadline=None)
def test_order_and_grouping_do_not_matter(parts: list[tuple[float, tuple[float, ...]]]) -> None:
    weights = tuple(Weight(str(i), mass, np.array(at)) for i, (mass, at) in enumerate(parts))
    once = combined(weights)
    middle = len(weights) // 2
    twice = combined(
        tuple(combined(group) for group in (weights[middle:], weights[:middle]) if group)
    )
    assert twice.mass == pytest.approx(once.mass)
    assert twice.center == pytest.approx(once.center, abs=1e-9)
    assert twice.inertia == pytest.approx(once.inertia, rel=1e-6, abs=1e-7 * once.mass)


def test_one_weight_is_itself() -> None:
    alone = combined((Weight("a", 7.0, np.array([1.0, 2.0, 3.0])),))
    assert alone.mass == 7.0 and (alone.center == [1, 2, 3]).all() and not alone.inertia.any()


@pytest.mark.parametrize("mass", [0.0, -1.0, float("nan"), float("inf")])
def test_bad_mass(mass: float) -> None:
    with refused("weight 'anvil': the mass is"):
        Weight("anvil", mass, np.zeros(3))


def test_bad_position() -> None:
    with refused("weight 'anvil': its position"):
        Weight("anvil", 1.0, np.array([0.0, np.nan, 0.0]))


@pytest.mark.parametrize("make", [solid_weight, surface_weight])
def test_bad_meshes_and_densities(make: Make) -> None:
    body = bodies.box()
    for density in (0.0, -2.0, float("nan")):
        with refused("'part'.*density"):
            weigh(make, body, density)
    flat = bodies.scaled(body, (0.0, 0.0, 1.0))
    with refused("'part'.*no extent"):
        weigh(make, flat)
    mesh = bodies.mesh(body)
    with refused("'part'.*no extent"):
        make("part", mesh.vertices, mesh.triangles[:0], 1.0)


def test_inward_solid_is_refused() -> None:
    vertices, polygons = bodies.box()
    with pytest.raises(BadInputError):
        weigh(solid_weight, (vertices, bodies.reversed_faces(polygons)))


def test_names() -> None:
    a, b = (Weight(name, 1.0, np.zeros(3)) for name in "ab")
    check_names("weight", (a, b))
    with refused("'a' is named twice"):
        check_names("weight", (a, b, a))
    with refused("no weights"):
        combined(())
