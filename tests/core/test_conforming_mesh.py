"""Faces made conforming: cells against a boolean library, closed forms and what must be kept."""

from __future__ import annotations

import manifold3d
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats, Ints
from addon.core.geometry.conforming_mesh import ConformingMesh, make_conforming, strays_outside
from addon.core.geometry.half_edges import find_adjacency, find_edges
from addon.core.geometry.self_intersections import crossing_faces
from addon.core.geometry.surface import first_coincident
from addon.core.geometry.triangles import areas, volumes

Part = tuple[Floats, Ints]

TOUCH = 1e-6
seeds = st.integers(0, 10**6)


def box(low: tuple[float, ...] = (-1, -1, -1), high: tuple[float, ...] = (1, 1, 1)) -> Part:
    body = trimesh.creation.box(bounds=[low, high])
    return np.array(body.vertices), np.array(body.faces)


def sheet(origin: tuple[float, ...], along: tuple[float, ...], across: tuple[float, ...]) -> Part:
    o, a, b = map(np.array, (origin, along, across))
    return np.array([o, o + a, o + a + b, o + b], float), np.array([[0, 1, 2], [0, 2, 3]])


def across(height: float, axis: int = 2, half: float = 2.0) -> Part:
    """A square through the axis at a height."""
    points, triangles = sheet((-half, -half, height), (2 * half, 0, 0), (0, 2 * half, 0))
    return np.roll(points, axis - 2, axis=1), triangles


def stack(*parts: Part) -> Part:
    starts = np.cumsum([0, *(len(points) for points, _ in parts[:-1])])
    triangles = [faces + start for (_, faces), start in zip(parts, starts, strict=True)]
    return np.concatenate([points for points, _ in parts]), np.concatenate(triangles)


def touch_of(points: Floats) -> float:
    return TOUCH * float(np.linalg.norm(np.ptp(points, axis=0)))


def cells(done: ConformingMesh) -> Floats:
    """Volumes of the closed spaces, small ones first."""
    edges = find_edges(done.triangles)
    adjacency = find_adjacency(done.vertices, done.triangles, edges, touch_of(done.vertices))
    behind = adjacency.spaces(np.zeros(len(adjacency.half_edge), bool)).reshape(-1, 2)
    tetrahedra, count = volumes(done.vertices, done.triangles), int(behind.max()) + 1
    size = np.bincount(behind[:, 1], tetrahedra, count)
    size -= np.bincount(behind[:, 0], tetrahedra, count)
    return np.sort(size[size > 1e-4])


def conformed(*parts: Part) -> ConformingMesh:
    """The parts made conforming, and what must be so of any."""
    points, triangles = stack(*parts)
    tolerance = touch_of(points)
    done = make_conforming(points, triangles, tolerance)
    pieces = np.bincount(done.source, areas(done.vertices, done.triangles), len(triangles))
    np.testing.assert_allclose(pieces, areas(points, triangles), atol=50 * tolerance)
    assert_meeting_in_edges(done, tolerance)
    return done


def assert_meeting_in_edges(done: ConformingMesh, tolerance: float) -> None:
    assert not len(crossing_faces(done.vertices, done.triangles))
    ends = find_edges(done.triangles).ends
    start, end = done.vertices[ends].transpose(1, 0, 2)
    for point, place in enumerate(done.vertices):
        way, arm = end - start, place - start
        along = (arm * way).sum(axis=1) / (way**2).sum(axis=1)
        away = np.linalg.norm(arm - along[:, None] * way, axis=1)
        inside = (along > 0) & (along < 1) & (ends != point).all(axis=1)
        assert (away[inside] > 0.05 * tolerance).all()


@pytest.mark.parametrize("turned", [False, True])
def test_a_box_in_compartments(turned: bool) -> None:
    parts = [box(), across(0.3), across(0.2, 1), across(0.1, 0)]
    if turned:
        turn = np.linalg.qr(np.random.default_rng(4).normal(size=(3, 3)))[0]
        turn *= np.sign(np.linalg.det(turn))
        parts = [(points @ turn.T + 5.0, faces) for points, faces in parts]
    sides = [(0.7, 1.3), (0.8, 1.2), (0.9, 1.1)]
    want = np.sort(np.einsum("i,j,k->ijk", *map(np.array, sides)).ravel())
    np.testing.assert_allclose(cells(conformed(*parts)), want, rtol=1e-9)


def test_walls_that_end_on_others() -> None:
    deck = sheet((-1, -1, 0.3), (2, 0, 0), (0, 2, 0))
    boundary = sheet((0.2, -1, 0.3), (0, 2, 0), (0, 0, 0.7))
    got = cells(conformed(box(), deck, boundary))
    np.testing.assert_allclose(got, [0.8 * 2 * 0.7, 1.2 * 2 * 0.7, 4 * 1.3], rtol=1e-9)


def test_a_wall_with_free_edges_parts_nothing() -> None:
    done = conformed(box(), sheet((-0.5, -0.5, 0), (1, 0, 0), (0, 0, 3)))
    np.testing.assert_allclose(cells(done), [8.0], rtol=1e-9)


def test_a_box_of_cubes() -> None:
    cubes = [
        box((x, y, z), (x + 1, y + 1, z + 1)) for x in range(2) for y in range(2) for z in range(2)
    ]
    done = conformed(*cubes)
    np.testing.assert_allclose(cells(done), np.ones(8), rtol=1e-12)
    diagonals_that_cross = 12
    assert len(done.vertices) == 27 + diagonals_that_cross


@pytest.mark.parametrize("skew", [0.0, 0.4])
def test_the_same_quad_cut_along_both_diagonals(skew: float) -> None:
    corners = np.array([[0, 0, 0], [2, 0, 0], [2 + skew, 1, 0], [0, 1, 0.0]])
    quad = np.array([[0, 1, 2], [0, 2, 3], [1, 3, 0], [1, 2, 3]])
    done = conformed((corners, quad))
    assert len(done.vertices) == 5
    ways, count = np.unique(np.sort(done.triangles, axis=1), axis=0, return_counts=True)
    assert len(ways) == 4 and (count == 2).all()


def test_faces_that_overlap_lie_over_the_same_vertices() -> None:
    done = conformed(box(), box((1, -0.4, -0.3), (2, 1.3, 1.2)))
    np.testing.assert_allclose(cells(done), [1.7 * 1.5, 8.0], rtol=1e-9)
    own = np.sort(done.triangles, axis=1)
    shared = {tuple(row) for row in own[done.source < 12]} & {
        tuple(row) for row in own[done.source >= 12]
    }
    area = areas(done.vertices, np.array(sorted(shared)))
    assert area.sum() == pytest.approx(1.4 * 1.3, rel=1e-9)


@pytest.mark.parametrize("first", range(4))
def test_rectangles_cut_along_either_diagonal_are_the_same_in_the_end(first: int) -> None:
    points, _ = sheet((0, 0, 0), (3, 0, 0), (0, 1, 0))
    halves = [np.roll(np.arange(4), -turn)[[[0, 1, 2], [0, 2, 3]]] for turn in (first, first + 1)]
    done = conformed((points, halves[0]), (points, halves[1][:, ::-1]))
    own = np.sort(done.triangles, axis=1)
    assert {tuple(row) for row in own[done.source < 2]} == {
        tuple(row) for row in own[done.source >= 2]
    }


@given(seed=seeds, single=st.booleans())
@settings(max_examples=25, deadline=None)
def test_where_three_rectangles_lie_on_each_other_their_pieces_are_the_same(
    seed: int, single: bool
) -> None:
    rng = np.random.default_rng(seed)
    turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    sides = np.cumsum(np.stack([rng.integers(0, 6, (3, 2)), rng.integers(1, 5, (3, 2))], 2), axis=2)
    parts = []
    for (x0, x1), (y0, y1) in sides:
        points, faces = sheet((x0, y0, 0), (x1 - x0, 0, 0), (0, y1 - y0, 0))
        points = points @ turn.T
        order = np.roll(np.arange(4), rng.integers(4))[:: rng.choice([-1, 1])]
        parts.append((points.astype(np.float32).astype(float) if single else points, order[faces]))
    done = conformed(*parts)
    covered = np.zeros((10, 10), bool)
    for (x0, x1), (y0, y1) in sides:
        covered[x0:x1, y0:y1] = True
    distinct = np.unique(np.sort(done.triangles, axis=1), axis=0)
    assert areas(done.vertices, distinct).sum() == pytest.approx(covered.sum(), rel=1e-5)


def test_no_two_places_are_within_the_weld_distance() -> None:
    """A point has one near it on either side that are not near each other, the farther in order
    along the way that points are sought."""
    points = np.array([[0, 0, 0], [0.5, -0.6, 0.5], [-0.4, 0.7, 0.4], [9, 9, 9]])
    assert np.linalg.norm(points[1] - points[2]) > 1
    for order in ([0, 1, 2, 3], [2, 1, 0, 3], [1, 3, 0, 2]):
        first = first_coincident(points[order], 1.0)
        np.testing.assert_array_equal(first[first], first)
        places = points[order][np.unique(first)]
        away = np.linalg.norm(places[:, None] - places, axis=2)
        assert len(places) < 4 and away[away > 0].min() > 1


def test_a_face_without_area_hides_none() -> None:
    """Two points of one on a line with the third, in a plane that cuts a box."""
    flat = np.array([[-2, 0, 0.3], [0, 0, 0.3], [2, 0, 0.3]]), np.array([[0, 1, 2]])
    with np.errstate(all="raise"):
        points, triangles = stack(box(), across(0.3), flat)
        got = cells(make_conforming(points, triangles, touch_of(points)))
    np.testing.assert_allclose(got, [2.8, 5.2], rtol=1e-9)


def test_which_pieces_stray_from_the_triangle_they_are_of() -> None:
    whole = np.array([[0, 0, 0], [4, 0, 0], [0, 4, 0]])
    within, above, beyond, flat = [1, 1, 0], [1, 1, 2e-3], [2, -2e-3, 0], [1.5, 5e-4, 0]
    points = np.array([*whole, within, above, beyond, flat], float)
    pieces = np.array([[0, 1, tip] for tip in (3, 4, 5, 6)])
    pieces[2] = [5, 1, 2]
    got = strays_outside(points, pieces, np.tile([0, 1, 2], (4, 1)), 1e-6)
    np.testing.assert_array_equal(got, [False, True, True, True])


def test_pieces_are_turned_as_their_source() -> None:
    points, triangles = stack(box(), across(0.3))
    done = make_conforming(points, triangles, TOUCH)
    ways = [
        np.cross(p[t[:, 1]] - p[t[:, 0]], p[t[:, 2]] - p[t[:, 0]])
        for p, t in ((points, triangles), (done.vertices, done.triangles))
    ]
    assert ((ways[0][done.source] * ways[1]).sum(axis=1) > 0).all()


@pytest.mark.parametrize("offset", [0.0, 3e-7, -3e-7, 5e-6, 1e-3])
def test_a_plane_through_a_row_of_vertices(offset: float) -> None:
    ball = trimesh.creation.icosphere(subdivisions=2)
    points = np.array(ball.vertices, np.float32).astype(float)
    height = float(np.sort(points[:, 2])[len(points) // 3]) + offset
    got = cells(conformed((points, np.array(ball.faces)), across(height)))
    assert len(got) == 2
    assert got.sum() == pytest.approx(float(volumes(points, np.array(ball.faces)).sum()), rel=1e-6)


def solid(part: Part) -> manifold3d.Manifold:
    points, triangles = part
    return manifold3d.Manifold(manifold3d.Mesh64(points, triangles.astype(np.uint64)))


@given(seed=seeds, single=st.booleans())
@settings(max_examples=25, deadline=None)
def test_bodies_that_cross_agree_with_booleans(seed: int, single: bool) -> None:
    rng = np.random.default_rng(seed)
    shapes = [
        trimesh.creation.box((2, 1.5, 1)),
        trimesh.creation.icosphere(subdivisions=1),
        trimesh.creation.torus(1, 0.4, major_sections=12, minor_sections=6),
    ]
    parts = []
    for shape in rng.integers(0, 3, 2):
        turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
        turn *= np.sign(np.linalg.det(turn))
        points = np.array(shapes[shape].vertices) @ turn.T + rng.normal(size=3) * 0.3
        if single:
            points = points.astype(np.float32).astype(float)
        parts.append((points, np.array(shapes[shape].faces)))
    one, other = map(solid, parts)
    pieces = [part for body in (one - other, one ^ other, other - one) for part in body.decompose()]
    want = np.sort([piece.volume() for piece in pieces])
    np.testing.assert_allclose(cells(conformed(*parts)), want[want > 1e-4], atol=1e-4)


def test_twice_is_as_good_as_once() -> None:
    ball = trimesh.creation.icosphere(subdivisions=2)
    points, triangles = stack(
        (np.array(ball.vertices), np.array(ball.faces)), across(0.31), across(0.12, 0), box()
    )
    once = make_conforming(points, triangles, TOUCH)
    again = make_conforming(once.vertices, once.triangles, TOUCH)
    np.testing.assert_array_equal(again.triangles, once.triangles)
    np.testing.assert_array_equal(again.source, np.arange(len(once.triangles)))


def test_what_touches_nothing_stays_as_it_is() -> None:
    points, triangles = stack(box(), box((3, 3, 3), (4, 4, 4)))
    done = make_conforming(points, triangles, TOUCH)
    np.testing.assert_array_equal(done.vertices[done.triangles], points[triangles])
    assert not len(make_conforming(points, triangles[:0], TOUCH).triangles)


@pytest.mark.slow
@pytest.mark.parametrize("offset", [0.0, 3e-7, 1e-3, 0.1])
def test_what_is_whole_is_cut_by_others_alone(offset: float) -> None:
    ball = trimesh.creation.icosphere(3)
    body = np.array(ball.vertices), np.array(ball.faces)
    points, triangles = stack(body, across(offset), across(-0.4, 0), across(0.3, 1))
    tolerance = touch_of(points)
    group = np.where(np.arange(len(triangles)) < len(ball.faces), 0, -1)
    done = make_conforming(points, triangles, tolerance, group)
    assert_meeting_in_edges(done, tolerance)
    np.testing.assert_allclose(
        cells(done), cells(make_conforming(points, triangles, tolerance)), atol=1e-9
    )


def test_what_is_of_one_group_is_not_looked_at() -> None:
    points, triangles = stack(box(), box((0, 0, 0), (2, 2, 2)))
    one = np.zeros(len(triangles), int)
    assert len(make_conforming(points, triangles, touch_of(points), one).triangles) == len(
        triangles
    )
    two = np.arange(len(triangles)) // 12
    assert len(make_conforming(points, triangles, touch_of(points), two).triangles) > len(triangles)
