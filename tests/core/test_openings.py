"""Ways through surfaces: place, area and height, and the heel at which water comes in."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin

import numpy as np
import pytest

from addon.core.arrays import Floats
from addon.core.criteria.maximum_displacement import max_displaced_volume
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.messages.subjects import Subject
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.openings import Opening, opening_shape
from addon.core.model.weights import Weight
from addon.core.stability.both_sides import stability
from tests import bodies
from tests.language import reads, refused

WIDE, TALL, THICK = 0.8, 1.9, 0.05
SILL = np.array([4.0, 0.5, 1.2])


def sheet(*corners: tuple[float, float, float]) -> Floats:
    """A flat convex face as triangles (n, 3, 3)."""
    points = np.array(corners, dtype=np.float64)
    return np.array([points[[0, i, i + 1]] for i in range(1, len(points) - 1)])


def doorway() -> Floats:
    """An upright one across the ship."""
    half, top = WIDE / 2, TALL
    return SILL + sheet((0, -half, 0), (0, half, 0), (0, half, top), (0, -half, top))


def leaf(*size: float) -> Floats:
    """A closed box over its middle."""
    vertices, polygons = bodies.box(*size)
    body = bodies.mesh((vertices, polygons))
    return body.vertices[body.triangles] - [size[0] / 2, 0, 0]


def turned(triangles: Floats, heel: float) -> Floats:
    """Turned about the x axis, port side up."""
    turn = np.array([[1, 0, 0], [0, cos(heel), -sin(heel)], [0, sin(heel), cos(heel)]])
    return triangles @ turn.T


def test_an_upright_doorway():
    found = opening_shape(Subject("door", "d"), doorway())
    assert found.sill == pytest.approx(SILL)
    assert (found.area, found.height) == (pytest.approx(WIDE * TALL), pytest.approx(TALL))


def test_a_flat_hatch_has_no_height():
    found = opening_shape(
        Subject("opening", "h"), sheet((4, -1, 3), (6, -1, 3), (6, 1, 3), (4, 1, 3))
    )
    assert found.sill == pytest.approx([5, 0, 3])
    assert (found.area, found.height) == (pytest.approx(4), 0.0)


@pytest.mark.parametrize("heel", [radians(20), radians(70)])
def test_a_sloping_surface(heel):
    """Its height is the length up the slope times the sine of that."""
    found = opening_shape(
        Subject("opening", "o"), turned(sheet((0, 0, 0), (3, 0, 0), (3, 2, 0), (0, 2, 0)), heel)
    )
    assert found.sill == pytest.approx([1.5, 0, 0])
    assert (found.area, found.height) == (pytest.approx(6), pytest.approx(2 * sin(heel)))


def test_a_round_port_by_its_polygon():
    """Area of a regular polygon of n corners: n r^2 sin(2 pi / n) / 2."""
    n, r = 32, 0.3
    angles = 2 * pi * np.arange(n) / n - pi / 2
    ring = [(r * cos(angle), 0.0, 2 + r * sin(angle)) for angle in angles]
    found = opening_shape(Subject("opening", "o"), sheet(*ring))
    assert found.area == pytest.approx(n * r**2 * sin(2 * pi / n) / 2)
    assert found.height == pytest.approx(2 * r)
    assert found.sill == pytest.approx([0, 0, 1.7])


def test_faces_may_look_either_way():
    one = doorway()
    one[0] = one[0, ::-1]
    assert opening_shape(Subject("door", "d"), one).area == pytest.approx(WIDE * TALL)
    assert opening_shape(Subject("door", "d"), one[::-1, ::-1]).area == pytest.approx(WIDE * TALL)


def test_a_leaf_counts_one_of_its_faces():
    upright = opening_shape(Subject("door", "d"), leaf(THICK, WIDE, TALL))
    assert (upright.area, upright.height) == (pytest.approx(WIDE * TALL), pytest.approx(TALL))
    assert upright.sill == pytest.approx([0, 0, 0])
    cover = opening_shape(Subject("opening", "h"), leaf(1.2, 0.9, THICK))
    assert (cover.area, cover.height) == (pytest.approx(1.2 * 0.9), 0.0)
    leaning = opening_shape(Subject("door", "d"), turned(leaf(1.2, 0.9, THICK), radians(30)))
    assert leaning.area == pytest.approx(1.2 * 0.9)
    assert leaning.height == pytest.approx(0.9 * sin(radians(30)))


def test_a_fine_mesh_keeps_the_corners_that_come_lowest():
    """Those of a square cut in 800 triangles, with all that lies between them left out."""
    x, y = np.meshgrid(np.linspace(4, 6, 21), np.linspace(-1, 1, 21))
    grid = np.stack([x, y, np.full_like(x, 3.0)], axis=-1)
    a, b, c, d = grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]
    halves = [np.stack(each, axis=2).reshape(-1, 3, 3) for each in ((a, b, c), (a, c, d))]
    found = opening_shape(Subject("opening", "h"), np.concatenate(halves))
    assert sorted(found.corners.tolist()) == [[x, y, 3] for x in (4, 6) for y in (-1, 1)]
    assert found.area == pytest.approx(4)


def test_own_figures_go_before_those_found():
    found = opening_shape(Subject("door", "d"), doorway(), 1.1, 1.7)
    assert (found.area, found.height) == (1.1, 1.7)
    assert opening_shape(Subject("door", "d"), doorway(), height=0.0).height == 0.0


@pytest.mark.parametrize(
    "triangles",
    [np.zeros((0, 3, 3)), np.zeros((2, 3, 3)), sheet((0, 0, 0), (1, 1, 1), (2, 2, 2))],
)
def test_a_surface_without_area_is_refused(triangles):
    with refused("opening 'vent': its mesh has no area; model a flat"):
        opening_shape(Subject("opening", "vent"), triangles, 1.0)


def test_a_bent_surface_is_refused():
    """The sides of a pipe, open at both ends; with an own area they do."""
    sides = leaf(0.2, 0.2, 1.0)
    pipe = sides[np.ptp(sides[..., 2], axis=1) > 0.5]
    with refused("opening 'vent': its mesh is bent"):
        opening_shape(Subject("opening", "vent"), pipe)
    assert opening_shape(Subject("opening", "vent"), pipe, 0.04).area == 0.04


def boxed(*openings: Opening) -> Case:
    """A box of 20 x 4 x 3 m that draws half its depth."""
    hull = build_hull(bodies.mesh(bodies.box(20.0, 4.0, 3.0, 2)))
    weight = Weight("all", 20 * 4 * 1.5 * 1025.0, np.array([10.0, 0.0, 1.2]))
    return Case("box", hull, (weight,), openings=openings)


HATCH = sheet((9, -1, 3.1), (11, -1, 3.1), (11, 1, 3.1), (9, 1, 3.1))


def test_water_comes_in_at_the_edge_of_a_wide_hatch():
    """At the same heel as at vents in its corners, and to both sides alike."""
    hatch = opening_shape(Subject("opening", "h"), HATCH).opening("h", False, "hatch")
    corners = [Opening(f"vent {i}", place) for i, place in enumerate(hatch.corners)]
    ship, vented = stability(boxed(hatch)), stability(boxed(*corners))
    for side, other in ((ship.starboard, vented.starboard), (ship.port, vented.port)):
        assert side.downflooding_angle == pytest.approx(other.downflooding_angle, abs=1e-6)
        assert side.first_downflooding is not None
        assert side.first_downflooding.opening.point[1] == pytest.approx(-side.sign)
    assert ship.port.downflooding_angle == pytest.approx(
        ship.starboard.downflooding_angle, abs=1e-6
    )
    middle = stability(boxed(replace(hatch, corners=hatch.point[None])))
    assert ship.port.downflooding_angle < middle.port.downflooding_angle - 0.1


def test_what_is_said_of_it_goes_by_its_lowest_corner():
    way = opening_shape(Subject("opening", "port"), HATCH + [0, 0, 1]).opening(
        "port", False, "vent"
    )
    corner = np.array([10.0, 2.2, 1.4])
    case = boxed(replace(way, corners=np.stack([way.point, corner])))
    ship = find_floating_position(case)
    assert [each.name for each in ship.immersed_openings] == ["port"]
    (reported,) = (each for each in ship.findings if each.code == "opening-under")
    assert reads(reported.text, "0.1 m under water") and reported.points == pytest.approx(
        corner[None]
    )
    assert max_displaced_volume(case) == pytest.approx(20 * 4 * 1.4)
