"""A point well inside a body, whatever its shape."""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.geometry.interior_point import interior_point
from addon.core.geometry.mesh import Mesh, triangulate
from addon.core.geometry.winding_number import is_inside
from tests import bodies

ANGLE = ((0, 0), (10, 0), (10, 1), (1, 1), (1, 10), (0, 10))
"""An L whose centroid lies outside of it."""


def upright(outline: tuple[tuple[float, float], ...], height: float) -> Mesh:
    """A prism of an outline."""
    count = len(outline)
    points = np.array([(x, y, z) for z in (0.0, height) for x, y in outline])
    sides = ((i, (i + 1) % count, (i + 1) % count + count, i + count) for i in range(count))
    ends = (tuple(reversed(range(count))), tuple(range(count, 2 * count)))
    return triangulate("prism", points, (*ends, *sides))


def test_the_middle_of_a_box() -> None:
    box = bodies.mesh(bodies.box(2, 3, 4), "box")
    middle = (box.vertices.min(axis=0) + box.vertices.max(axis=0)) / 2
    assert interior_point(box.vertices, box.triangles) == pytest.approx(middle)


@pytest.mark.parametrize("height", (0.01, 1.0, 30.0))
@pytest.mark.parametrize("turn", (0.0, 0.7))
def test_inside_an_angle(height: float, turn: float) -> None:
    body = upright(ANGLE, height)
    spin = np.array(((np.cos(turn), 0, -np.sin(turn)), (0, 1, 0), (np.sin(turn), 0, np.cos(turn))))
    vertices = body.vertices @ spin.T + (5.0, -3.0, 2.0)
    corners = vertices[body.triangles]
    point = interior_point(vertices, body.triangles)
    around = point + 0.1 * min(height, 1.0) * np.concatenate([np.eye(3), -np.eye(3)])
    assert is_inside(around, corners).all()
