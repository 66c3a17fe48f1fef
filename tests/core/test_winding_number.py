"""Winding numbers against closed forms and a ray cast that shares nothing with them."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Bools, Floats
from addon.core.geometry.winding_number import is_inside, winding_numbers
from tests import bodies

anywhere = pytest.mark.parametrize(
    "size, shift", [(1.0, 0.0), (1e-4, 0.0), (1e3, 0.0), (1.0, 1e4), (1e-4, 1e4)]
)


def corners_of(body: bodies.Body) -> Floats:
    mesh = bodies.mesh(body)
    return mesh.vertices[mesh.triangles]


def by_rays(points: Floats, corners: Floats) -> Bools:
    """Whether a ray in an odd direction meets an odd number of faces (Moeller & Trumbore 1997)."""
    along = np.array([0.5377, 0.2113, 0.8161])
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    slope = np.cross(along, two)
    scale = 1 / np.einsum("mi,mi->m", one, slope)
    offset = points[:, None] - corners[:, 0]
    u = np.einsum("kmi,mi->km", offset, slope) * scale
    turned = np.cross(offset, one)
    v = turned @ along * scale
    ahead = np.einsum("mi,kmi->km", two, turned) * scale > 0
    met = (u > 0) & (v > 0) & (u + v < 1) & ahead
    return met.sum(axis=1) % 2 == 1


@anywhere
def test_a_box_is_one_inside_and_zero_outside(size: float, shift: float) -> None:
    points = np.random.default_rng(1).uniform((-2, -4, -2), (12, 4, 5), size=(500, 3))
    inside = np.all((points > (0, -2, 0)) & (points < (10, 2, 3)), axis=1)
    corners = corners_of(bodies.box(10, 4, 3)) * size + shift
    found = winding_numbers(points * size + shift, corners)
    assert np.allclose(found, inside, rtol=0, atol=1e-4 if size < 1 < shift else 1e-9)
    assert np.array_equal(is_inside(points * size + shift, corners), inside)


@anywhere
def test_a_ring_is_open_in_the_middle(size: float, shift: float) -> None:
    corners = corners_of(bodies.torus(major=2.0, minor=0.7))
    points = np.random.default_rng(2).uniform(-1, 1, size=(400, 3)) * (3, 3, 1)
    points[0] = 0.0
    found = is_inside(points * size + shift, corners * size + shift)
    assert not found[0]
    assert 50 < found.sum() < 250
    assert np.array_equal(found, by_rays(points, corners))


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_random_bodies_agree_with_rays(seed: int) -> None:
    corners = corners_of(bodies.star(seed))
    points = np.random.default_rng(seed).uniform(-1.5, 1.5, size=(80, 3))
    found = winding_numbers(points, corners)
    assert np.allclose(found, found.round(), rtol=0, atol=1e-9)
    assert np.array_equal(is_inside(points, corners), by_rays(points, corners))


def test_one_face_across_the_axes_fills_an_eighth_of_space() -> None:
    octant = np.eye(3)[None]
    assert winding_numbers(np.zeros((1, 3)), octant)[0] == pytest.approx(1 / 8)
    assert winding_numbers(np.zeros((1, 3)), octant[:, ::-1])[0] == pytest.approx(-1 / 8)


def test_bodies_add_and_inside_out_ones_take_away() -> None:
    ball = corners_of(bodies.geodesic_sphere())
    points = np.array([[0.1, 0.0, 0.0], [1.5, 0.0, 0.0], [3.0, 0.0, 0.0]])
    assert np.allclose(winding_numbers(points, ball[:, ::-1]), (-1, 0, 0))
    assert np.allclose(winding_numbers(points, np.concatenate([ball, ball * 2])), (2, 1, 0))
    hollow = np.concatenate([ball * 2, ball[:, ::-1]])
    assert is_inside(points, hollow).tolist() == [False, True, False]


@pytest.mark.parametrize("gap", [1e-3, 1e-6, 1e-9])
def test_a_point_close_to_the_skin_falls_on_its_side(gap: float) -> None:
    corners = corners_of(bodies.star(5))
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    middles = corners.mean(axis=1)
    assert is_inside(middles - gap * normals, corners).all()
    assert not is_inside(middles + gap * normals, corners).any()


def test_nothing_asked_or_nothing_there() -> None:
    corners = corners_of(bodies.box())
    assert winding_numbers(np.zeros((0, 3)), corners).shape == (0,)
    assert winding_numbers(np.zeros((2, 3)), np.zeros((0, 3, 3))).tolist() == [0, 0]


def test_many_points_and_faces_stay_in_bounded_memory() -> None:
    corners = corners_of(bodies.geodesic_sphere(divisions=30))
    points = np.random.default_rng(4).uniform(-0.8, 0.8, size=(300, 3))
    points = points[np.abs(np.linalg.norm(points, axis=1) - 1) > 0.01]
    tracemalloc.start()
    found = is_inside(points, corners)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert np.array_equal(found, np.linalg.norm(points, axis=1) < 1)
    assert peak < 50e6
