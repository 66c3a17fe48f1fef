"""Crossing faces against exact whole-number arithmetic, a boolean library and known bodies."""

from __future__ import annotations

import tracemalloc
from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats, Ints
from addon.core.geometry.self_intersections import crossing_faces
from tests import bodies

Point = Sequence[int]
Pairs = list[tuple[int, int]]

TURN = np.linalg.qr(np.random.default_rng(11).normal(size=(3, 3)))[0]
anywhere = pytest.mark.parametrize(
    "size, shift", [(1.0, 0.0), (1e-4, 0.0), (1e3, 0.0), (1.0, 1e4), (1e-4, 1e4)]
)


def faces_of(body: bodies.Body) -> tuple[Floats, Ints]:
    mesh = bodies.mesh(body)
    return mesh.vertices, mesh.triangles


def found(vertices: Floats, triangles: Ints, **options: float) -> Pairs:
    return [(int(i), int(j)) for i, j in crossing_faces(vertices, triangles, **options)]


def minus(p: Point, q: Point) -> Point:
    return [a - b for a, b in zip(p, q, strict=True)]


def dot(p: Point, q: Point) -> int:
    return sum(a * b for a, b in zip(p, q, strict=True))


def cross(p: Point, q: Point) -> Point:
    return [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]]


def stretch(corners: Sequence[Point], heights: Sequence[int], line: Point) -> tuple[Fraction, ...]:
    """Where a triangle that stands across a plane meets it, measured along a line."""
    ends = [Fraction(dot(line, p)) for p, h in zip(corners, heights, strict=True) if h == 0]
    for (p, h), (q, k) in combinations(zip(corners, heights, strict=True), 2):
        if h * k < 0:
            ends.append(dot(line, p) + Fraction(dot(line, minus(q, p)) * h, h - k))
    return min(ends), max(ends)


def exact(vertices: Floats, triangles: Ints) -> Pairs:
    """Pairs of faces whose stretches of the line common to their planes overlap (Moeller 1997)."""
    faces = [[list(map(int, vertices[corner])) for corner in face] for face in triangles]
    normals = [cross(minus(b, a), minus(c, a)) for a, b, c in faces]
    pairs = []
    for i, j in combinations(range(len(faces)), 2):
        ours = [dot(normals[j], minus(p, faces[j][0])) for p in faces[i]]
        if min(ours) >= 0 or max(ours) <= 0:
            continue
        theirs = [dot(normals[i], minus(p, faces[i][0])) for p in faces[j]]
        if min(theirs) >= 0 or max(theirs) <= 0:
            continue
        line = cross(normals[i], normals[j])
        a, b = stretch(faces[i], ours, line), stretch(faces[j], theirs, line)
        if max(a[0], b[0]) < min(a[1], b[1]):
            pairs.append((i, j))
    return pairs


def soup(seed: int) -> tuple[Floats, Ints]:
    """A few faces on a coarse lattice: flat, coincident, touching and crossing all come up."""
    rng = np.random.default_rng(seed)
    count = rng.integers(4, 13)
    vertices = rng.integers(0, 5, size=(count, 3)).astype(float)
    return vertices, rng.integers(0, count, size=(rng.integers(2, 21), 3))


@pytest.mark.slow
@anywhere
@settings(max_examples=150, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_soups_agree_with_whole_numbers(seed: int, size: float, shift: float) -> None:
    vertices, triangles = soup(seed)
    expected = exact(vertices, triangles)
    assert found(vertices, triangles, tolerance=1e-9) == expected
    assert found((vertices @ TURN) * size + shift, triangles) == expected


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_crowd_of_faces_agrees_with_whole_numbers(seed: int) -> None:
    rng = np.random.default_rng(seed)
    middles = rng.integers(0, 60, size=(150, 1, 3))
    vertices = (middles + rng.integers(-8, 9, size=(150, 3, 3))).reshape(-1, 3).astype(float)
    triangles = np.arange(450).reshape(-1, 3)
    assert found(vertices, triangles, tolerance=1e-9) == exact(vertices, triangles)


@anywhere
@pytest.mark.parametrize(
    "body",
    [
        bodies.wigley(),
        bodies.torus(),
        bodies.uv_sphere(),
        bodies.paraboloid(),
        bodies.catamaran(),
        bodies.box(divisions=5),
        *(bodies.star(seed) for seed in range(3)),
    ],
)
def test_a_sound_body_crosses_itself_nowhere(body: bodies.Body, size: float, shift: float) -> None:
    vertices, triangles = faces_of(body)
    assert found((vertices @ TURN) * size + shift, triangles) == []
    assert found(vertices, triangles, tolerance=1e-9) == []
    assert found((vertices @ TURN).astype(np.float32).astype(float), triangles) == []


@anywhere
def test_blocks_that_touch_do_not_cross(size: float, shift: float) -> None:
    rng = np.random.default_rng(5)
    blocks = []
    for layer in range(3):
        along, across = np.sort(rng.uniform(0, 20, 6)), np.sort(rng.uniform(-4, 4, 4))
        for x, length in zip(along, np.diff(along), strict=False):
            for y, breadth in zip(across, np.diff(across), strict=False):
                block = bodies.box(length, breadth, 2.0)
                blocks.append(bodies.moved(block, (x, y + breadth / 2, 2.0 * layer)))
    vertices, triangles = faces_of(bodies.joined(*blocks))
    assert found(vertices * size + shift, triangles) == []
    turned = vertices @ TURN
    assert found(turned * size + shift, triangles, tolerance=1e-12) == []
    assert found(turned.astype(np.float32).astype(float) * size + shift, triangles) == []


@anywhere
@pytest.mark.parametrize("apart, meet", [(0.0, False), (0.3, False), (1.1, True), (1.9, False)])
def test_spheres_cross_round_a_circle(apart: float, meet: bool, size: float, shift: float) -> None:
    ball = bodies.geodesic_sphere(1.0, 6)
    small = bodies.moved(bodies.geodesic_sphere(0.6, 6), (apart, 0.0, 0.0), TURN)
    vertices, triangles = faces_of(bodies.joined(ball, small))
    pairs = np.array(found(vertices * size + shift, triangles)).reshape(-1, 2)
    assert (len(pairs) > 30) == meet
    assert len(pairs) or not meet
    first = len(bodies.mesh(ball).triangles)
    assert np.all((pairs[:, 0] < first) & (pairs[:, 1] >= first))
    if meet:
        plane = (1.0 - 0.6**2 + apart**2) / (2 * apart)
        middles = vertices[triangles[pairs]].mean(axis=2)
        assert np.all(np.abs(middles[..., 0] - plane) < 0.15)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_two_bodies_cross_when_a_boolean_says_they_share_space(seed: int) -> None:
    manifold3d = pytest.importorskip("manifold3d")

    def solid(body: bodies.Body) -> object:
        vertices, triangles = faces_of(body)
        return manifold3d.Manifold(manifold3d.Mesh64(vertices, triangles.astype(np.uint64)))

    rng = np.random.default_rng(seed)
    one = bodies.star(seed, divisions=2)
    two = bodies.moved(bodies.star(seed + 1, 2, radius=0.5), rng.uniform(-1, 1, 3), TURN)
    shared = (solid(one) ^ solid(two)).volume()
    free = min(solid(one).volume(), solid(two).volume()) - shared
    clear = [volume <= 1e-12 or volume > 1e-6 for volume in (shared, free)]
    assume(all(clear))  # as little as between the two may be rounding of the boolean
    crosses = bool(found(*faces_of(bodies.joined(one, two))))
    assert crosses == (shared > 1e-6 and free > 1e-6)


def test_a_hull_pushed_through_its_other_side_crosses_there() -> None:
    vertices, triangles = faces_of(bodies.wigley(divisions=5))
    vertices = (vertices * 1000).round()
    assert found(vertices, triangles, tolerance=1e-9) == []
    pushed = np.argmin(np.linalg.norm(vertices - (4000, 400, 500), axis=1))
    vertices[pushed, 1] = -900.0
    pairs = found(vertices, triangles, tolerance=1e-9)
    assert pairs == exact(vertices, triangles)
    assert pairs
    assert all((triangles[list(pair)] == pushed).any() for pair in pairs)


def test_faces_on_one_vertex_cross_only_away_from_it() -> None:
    vertices = np.array(
        [[0, 0, 0], [4, -2, 0], [4, 2, 0], [3, 0, -1], [3, 0, 1], [4, 2, 3], [-3, 0, -1]], float
    )
    through = [[0, 1, 2], [0, 3, 4]]
    to_the_rim = [[0, 1, 2], [0, 2, 5]]
    behind = [[0, 1, 2], [0, 6, 4]]
    assert found(vertices, np.array(through)) == [(0, 1)]
    assert found(vertices, np.array(to_the_rim)) == []
    assert found(vertices, np.array(behind)) == exact(vertices, np.array(behind))


@pytest.mark.parametrize("seed", range(20))
def test_needles_on_one_edge_do_not_cross(seed: int) -> None:
    rng = np.random.default_rng(seed)
    tips = [[rng.random(), 1e-8, 0.0], [rng.random(), -1e-8, 1e-8]]
    vertices = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], *tips]) @ TURN + rng.normal(size=3)
    assert found(vertices, np.array([[0, 1, 2], [1, 0, 3]]), tolerance=1e-12) == []


def test_a_touch_is_as_deep_as_it_is_said_to_be() -> None:
    floor = np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0]], float)
    spike = np.array([[2, 2, -1e-3], [2, 3, 4], [3, 2, 4]])
    vertices, triangles = np.concatenate([floor, spike]), np.arange(6).reshape(2, 3)
    assert found(vertices, triangles) == [(0, 1)]
    assert found(vertices, triangles, tolerance=1e-3) == []


def test_stops_at_the_limit() -> None:
    rng = np.random.default_rng(8)
    vertices, triangles = rng.normal(size=(300, 3)), np.arange(300).reshape(-1, 3)
    everything = found(vertices, triangles)
    some = found(vertices, triangles, limit=20)
    assert len(some) == 20 < len(everything)
    assert set(some) <= set(everything)
    assert some == sorted(some)


def test_faces_without_area_and_stray_vertices_do_no_harm() -> None:
    vertices = np.array([[0, 0, 0], [4, 0, 0], [0, 4, 0], [1, 1, -1], [1, 1, 2], [2, 1, 2]], float)
    triangles = np.array([[0, 1, 2], [3, 4, 4], [3, 3, 3], [3, 4, 5]])
    assert found(vertices, triangles) == [(0, 3)]
    assert found(np.concatenate([vertices, [[1e9, 0, 0]]]), triangles) == [(0, 3)]
    assert found(vertices, triangles[:1]) == []
    assert found(vertices, triangles[1:3]) == []
    assert found(vertices, triangles[:0]) == []


def test_many_faces_stay_in_bounded_memory() -> None:
    def swell(u: Floats, v: Floats) -> Floats:
        return np.stack([u, v, 0.3 * np.sin(u) * np.cos(v)], axis=-1)

    sea = bodies.sheet(swell, np.linspace(0, 40, 160), np.linspace(0, 30, 120))
    vertices, triangles = faces_of(bodies.joined(sea, bodies.moved(sea, (0.5, 0.5, 0.05))))
    tracemalloc.start()
    pairs = found(vertices, triangles, limit=100_000)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(pairs) > 5_000
    assert peak < 100e6
