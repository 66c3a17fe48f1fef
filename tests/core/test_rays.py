"""Lines and nearest points, against trimesh."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.geometry.rays import closest_points, first_hits
from tests import bodies

seeds = st.integers(0, 10**6)


@given(seed=seeds)
@settings(max_examples=20, deadline=None)
def test_closest_points(seed: int) -> None:
    trimesh = pytest.importorskip("trimesh")
    rng = np.random.default_rng(seed)
    corners = rng.normal(size=(200, 3, 3))
    point = rng.normal(size=3) * rng.choice([0.1, 1.0, 5.0])
    there = trimesh.triangles.closest_point(corners, np.tile(point, (200, 1)))
    np.testing.assert_allclose(closest_points(point, corners), there, atol=1e-9)


@given(seed=seeds)
@settings(max_examples=20, deadline=None)
def test_first_hits(seed: int) -> None:
    trimesh = pytest.importorskip("trimesh")
    rng = np.random.default_rng(seed)
    mesh = bodies.mesh(bodies.star(seed, 2, 0.4))
    corners = mesh.vertices[mesh.triangles]
    points, ways = rng.normal(size=(2, 12, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    distance, which = first_hits(points, ways, corners, 1e-6)
    solid = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    where, ray, _ = trimesh.ray.ray_triangle.RayMeshIntersector(solid).intersects_location(
        points, ways
    )
    for number in range(len(points)):
        there = np.linalg.norm(where[ray == number] - points[number], axis=1)
        assert distance[number] == pytest.approx(there.min(initial=np.inf))
        assert (which[number] < 0) == (not there.size)
    behind, _ = first_hits(points, ways, corners, 1e3)
    assert np.isinf(behind).all()
    nothing, which = first_hits(points, ways, corners[:0], 0.0)
    assert np.isinf(nothing).all() and (which == -1).all()
