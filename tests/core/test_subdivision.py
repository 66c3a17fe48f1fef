"""Compartments held against a curve of floodable length, and how far bulkheads may be moved.

Curves are drawn by hand; where a line of slope 2 meets them is computed there too.
"""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.buoyancy.moment_tree import build_tree
from addon.core.damage.floodable_length import FloodableLength
from addon.core.damage.subdivision import Subdivision, subdivide
from addon.core.geometry.mesh import Mesh
from addon.core.model.compartment import Compartment, CompartmentPlan
from tests import bodies

LEVEL = FloodableLength(
    np.array([0.0, 4.0, 20.0, 36.0, 40.0]), np.array([0.0, 8.0, 8.0, 8.0, 0.0]), 0.95, 0.076
)
"""A curve of 8 m all along a ship of 40 m."""
RISING = FloodableLength(
    np.array([0.0, 3.0, 37.0, 40.0]), np.array([0.0, 6.0, 23.0, 0.0]), 0.95, 0.076
)
"""One that rises by half a meter in one: 6 m + (x - 3 m) / 2."""


def boundary(x: float, name: str = "boundary", thick: float = 0.0, tilt: float = 0.0) -> Mesh:
    body = bodies.mesh(bodies.box(thick or 1.0, 6.0, 4.0), name)
    points = body.vertices * (1.0 if thick else 0.0, 1.0, 1.0)
    points[:, 0] += x - thick / 2 + tilt * points[:, 2]
    return Mesh(name, points, body.triangles, body.faces)


def at(*places: float, curve: FloodableLength = LEVEL) -> Subdivision:
    return subdivide(curve, [boundary(x, f"at {x:g}") for x in places])


def test_each_compartment_is_held_against_the_curve_at_its_middle() -> None:
    found = at(7.0, 17.0, 24.0, 33.0, curve=RISING)
    spans = [(each.aft, each.forward) for each in found.main_compartments]
    assert spans == [(0.0, 7.0), (7.0, 17.0), (17.0, 24.0), (24.0, 33.0), (33.0, 40.0)]
    allowed = [each.allowed for each in found.main_compartments]
    assert allowed == pytest.approx([6.0, 6.0 + 9.0 / 2, 6.0 + 17.5 / 2, 6.0 + 25.5 / 2, 23.0])
    assert [each.survives for each in found.main_compartments] == [False, True, True, True, True]
    assert [each.boundaries for each in found.too_long] == [("at 7",)]
    assert found.main_compartments[1].boundaries == ("at 7", "at 17")
    assert [each.x for each in found.bulkheads] == [7.0, 17.0, 24.0, 33.0]


def test_a_bulkhead_may_be_moved_as_far_as_both_its_compartments_may_flood() -> None:
    first, middle, last = at(7.0, 14.0, 33.0).bulkheads
    assert first.permissible_range == pytest.approx((14.0 - 8.0, 8.0))
    assert middle.permissible_range is None, "25 m are too long for two compartments of 8 m"
    assert last.permissible_range is None
    (alone,) = subdivide(RISING, [boundary(20.0)]).bulkheads
    assert alone.permissible_range is None
    _, second, _ = at(5.0, 10.0, 22.0, curve=RISING).bulkheads
    slope = 0.5
    ahead = 5.0 + 2 * (6.0 + slope * (5.0 - 3.0)) / (2 - slope)
    back = 22.0 - 2 * (6.0 + slope * (22.0 - 3.0)) / (2 + slope)
    assert second.permissible_range == pytest.approx((back, ahead))


@pytest.mark.parametrize("index", [0, 1, 2, 3])
def test_at_the_ends_of_its_leeway_a_compartment_is_just_short_enough(index: int) -> None:
    places = [6.0, 13.0, 20.0, 30.0]
    permissible_range = at(*places, curve=RISING).bulkheads[index].permissible_range
    for place, out in zip(permissible_range, (-1e-3, 1e-3), strict=True):
        near = {*places} - {places[index]}
        beside = slice(index, index + 2)
        just = at(*sorted({*near, place}), curve=RISING).main_compartments[beside]
        beyond = at(*sorted({*near, place + out}), curve=RISING).main_compartments[beside]
        assert all(each.survives for each in just)
        limited = places[index - 1] if index else 0.0, [*places, 40.0][index + 1]
        assert place in limited or not all(each.survives for each in beyond)


def test_only_walls_square_across_within_the_ship_part_it() -> None:
    deck = Mesh(
        "deck",
        boundary(20.0).vertices[:, [2, 1, 0]],
        boundary(20.0).triangles,
        boundary(20.0).faces,
    )
    boundaries = [boundary(10.0), boundary(20.0, tilt=0.5), boundary(-1.0), boundary(40.0), deck]
    assert [each.x for each in subdivide(LEVEL, boundaries).bulkheads] == [10.0]
    assert subdivide(LEVEL, boundaries[1:]).main_compartments == ()


def test_a_wall_with_thickness_stands_where_its_middle_is() -> None:
    (found,) = subdivide(LEVEL, [boundary(10.0, thick=0.05), boundary(30.0, thick=0.5)]).bulkheads
    assert found.x == pytest.approx(10.0)


def test_walls_in_one_plane_are_one_bulkhead() -> None:
    (found,) = subdivide(LEVEL, [boundary(10.0, "port"), boundary(10.0, "starboard")]).bulkheads
    assert found.boundaries == ("port", "starboard")


def test_a_main_compartment_is_called_by_its_largest() -> None:
    def compartment(name: str, x: float, size: float) -> Compartment:
        body = bodies.mesh(bodies.moved(bodies.box(size, size, size), (x - size / 2, 0.0, 0.0)))
        tree = build_tree(body.vertices, body.triangles)
        return Compartment(name, tree, body.vertices, body.triangles)

    compartments = (
        compartment("store", 9.0, 1.0),
        compartment("hold", 9.0, 3.0),
        compartment("peak", 38.0, 4.0),
    )
    found = at(7.0, 14.0)
    assert [
        each.compartment(CompartmentPlan(compartments)) for each in found.main_compartments
    ] == ["", "hold", "peak"]


def test_a_ship_all_of_which_may_flood_leaves_bulkheads_anywhere() -> None:
    whole = FloodableLength(np.array([0.0, 20.0, 40.0]), np.array([0.0, 40.0, 0.0]), 0.1, 0.076)
    found = at(10.0, 30.0, curve=whole)
    assert not found.too_long
    assert [each.permissible_range for each in found.bulkheads] == [
        pytest.approx((0.0, 30.0)),
        pytest.approx((10.0, 40.0)),
    ]
