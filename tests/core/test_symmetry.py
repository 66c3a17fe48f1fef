"""Whether a surface is the same to port and to starboard: distances in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.arrays import Floats
from addon.core.geometry.symmetry import SYMMETRY_TOLERANCE_SHARE, Nearest, mirror_image, symmetry
from tests.bodies import box


def nearest_of(points: Floats) -> Nearest:
    """Distances from the nearest of so many points."""

    def nearest(places: Floats) -> Floats:
        apart = np.linalg.norm(places[:, None] - points, axis=2)
        least: Floats = apart.min(axis=1)
        return least

    return nearest


BOX = box(10.0, 4.0, 3.0, divisions=4)[0]


def test_a_box_is_symmetric_wherever_it_stands() -> None:
    for aside in (0.0, 7.0):
        points = BOX + (0.0, aside, 0.0)
        found = symmetry(points, nearest_of(points))
        assert found.plane == pytest.approx(aside)
        assert len(found.unlike) == 0
        assert found.max_distance == pytest.approx(0.0, abs=1e-12)


def test_a_vertex_out_of_place_and_its_partner_are_unlike() -> None:
    points = BOX.copy()
    pulled = int(np.flatnonzero((points == (5.0, 2.0, 1.5)).all(axis=1))[0])
    partner = int(np.flatnonzero((points == (5.0, -2.0, 1.5)).all(axis=1))[0])
    points[pulled, 1] += 0.2
    found = symmetry(points, nearest_of(points))
    assert found.plane == 0.0
    assert set(found.unlike.tolist()) == {pulled, partner}
    assert found.max_distance == pytest.approx(0.2)


def test_tolerance_goes_by_size() -> None:
    points = BOX.copy()
    points[0, 1] -= 0.9 * SYMMETRY_TOLERANCE_SHARE * 10.0
    assert len(symmetry(points, nearest_of(points)).unlike) == 0
    points[0, 1] -= 0.2 * SYMMETRY_TOLERANCE_SHARE * 10.0
    assert len(symmetry(points, nearest_of(points)).unlike) == 2


def test_the_mirror_image_about_a_plane() -> None:
    image = mirror_image(np.array([[1.0, 2.0, 3.0]]), 0.5)
    assert image == pytest.approx(np.array([[1.0, -1.0, 3.0]]))
