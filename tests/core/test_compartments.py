"""The compartments of ships as people model them: what is joined, what watertight, what leaks and
where.

Truth is a closed form: hulls are boxes 10 m long, 4 m wide and 3 m deep unless given otherwise.
Random compartments are compared with manifold3d's, which parts bodies in a way of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats, Ints
from addon.core.buoyancy.attitude import Attitude
from addon.core.buoyancy.moment_tree import build_tree
from addon.core.compartments.find_compartments import (
    compartments_beside,
    downflooding_sill,
    find_compartments,
)
from addon.core.compartments.leaks import gaps_without_doors
from addon.core.damage.flooding_paths import find_flooding_paths
from addon.core.geometry.envelope import find_envelope
from addon.core.geometry.half_edges import find_edges
from addon.core.geometry.mesh import Mesh, triangulate
from addon.core.messages.findings import Finding
from addon.core.model.case import Case
from addon.core.model.compartment import SEA, Compartment, CompartmentMark, CompartmentPlan, Gap
from addon.core.model.hull import Hull, build_hull
from addon.core.model.openings import DISCHARGE_COEFFICIENT, Door
from addon.core.model.tanks import Tank
from tests import bodies
from tests.language import names, reads, refused

Bounds = Sequence[float]

AGREED = 1e-6
BEYOND = (-50.0, 50.0)


def box_hull() -> Hull:
    return build_hull(bodies.mesh(bodies.box(), "hull"))


def sheet(name: str, axis: int, at: float, u: Bounds = BEYOND, v: Bounds = BEYOND) -> Mesh:
    """A boundary in the plane where a coordinate is `at`, between bounds of the next two."""
    corners = np.full((4, 3), float(at))
    corners[:, (axis + 1) % 3] = u[0], u[1], u[1], u[0]
    corners[:, (axis + 2) % 3] = v[0], v[0], v[1], v[1]
    return triangulate(name, corners, ((0, 1, 2, 3),))


def bulkhead(name: str, x: float, y: Bounds = BEYOND, z: Bounds = BEYOND) -> Mesh:
    return sheet(name, 0, x, y, z)


def deck(name: str, z: float, x: Bounds = BEYOND, y: Bounds = BEYOND) -> Mesh:
    return sheet(name, 2, z, x, y)


def breached(name: str, x: float, y: Bounds, z: Bounds, reach: float = 50.0) -> Mesh:
    """A bulkhead with a square hole between bounds of y and z."""
    outer = [(x, sy * reach, sz * reach) for sy, sz in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    inner = [(x, y[i], z[j]) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))]
    ring = tuple((i, (i + 1) % 4, 4 + (i + 1) % 4, 4 + i) for i in range(4))
    return triangulate(name, np.array(outer + inner), ring)


def block(size: Sequence[float], at: Sequence[float]) -> bodies.Body:
    """A box of so much length, breadth and depth, its aft lower starboard corner at a point."""
    x, y, z = at
    return bodies.moved(bodies.box(*size), (x, y + size[1] / 2, z))


def turned_in(body: bodies.Body) -> bodies.Body:
    return body[0], bodies.reversed_faces(body[1])


def open_top(body: bodies.Body) -> bodies.Body:
    """The body without the faces that lie at its top."""
    vertices, polygons = body
    top = vertices[:, 2].max()
    return vertices, tuple(f for f in polygons if vertices[list(f), 2].min() < top - 1e-9)


def corners(body: bodies.Body) -> Floats:
    mesh = bodies.mesh(body)
    return mesh.vertices[mesh.triangles]


def tank(name: str, body: bodies.Body) -> Tank:
    return Tank(name, bodies.tree(body), 1000.0)


def divided(
    *boundaries: Mesh,
    hull: Hull | None = None,
    tanks: tuple[Tank, ...] = (),
    marks: tuple[CompartmentMark, ...] = (),
) -> CompartmentPlan:
    """The compartments, found to add up to the hull, each of them with a closed surface."""
    hull = hull or box_hull()
    plan = find_compartments(
        Case("trial", hull, tanks=tanks, boundaries=boundaries, compartment_marks=marks)
    )
    total = plan.boundary_volume + sum(compartment.volume for compartment in plan.compartments)
    assert total == pytest.approx(hull.volume, rel=AGREED)
    for compartment in plan.compartments:
        assert is_closed(compartment)
    return plan


def is_closed(compartment: Compartment) -> bool:
    """Whether as many triangles run along each edge one way as the other."""
    edges = find_edges(compartment.triangles)
    ways = np.where(edges.forward[edges.order], 1, -1)
    return not np.add.reduceat(ways, edges.first).any()


def sizes(plan: CompartmentPlan) -> dict[str, float]:
    return {compartment.name: round(compartment.volume, 6) for compartment in plan.compartments}


def reported(plan: CompartmentPlan) -> dict[str, Finding]:
    return {finding.code: finding for finding in plan.findings}


def place(*points: Sequence[float]) -> set[tuple[float, ...]]:
    return {tuple(map(float, point)) for point in points}


def ends(gap: Gap) -> set[tuple[float, ...]]:
    """Points at which the edges round a gap meet."""
    return {tuple(map(float, point)) for point in gap.edges.reshape(-1, 3).round(9) + 0.0}


def girth(gap: Gap) -> float:
    return float(np.linalg.norm(gap.edges[:, 1] - gap.edges[:, 0], axis=1).sum())


def test_no_walls_one_compartment() -> None:
    plan = divided()
    (compartment,) = plan.compartments
    assert (
        sizes(plan) == {"space 1": 120.0}
        and compartment.watertight
        and compartment.boundaries == ("hull",)
    )
    assert (compartment.use, compartment.permeability) == ("void", 0.95)
    assert (compartment.floor, compartment.top) == (0.0, 3.0)
    np.testing.assert_allclose(compartment.center, [5, 0, 1.5], atol=1e-9)
    assert not (plan.gaps or plan.leaks or plan.neighbors or plan.findings)


def test_finding_compartments_tells_of_its_steps_and_can_be_left() -> None:
    case = Case("trial", box_hull(), boundaries=(bulkhead("frame 4", 4), deck("deck", 1)))
    heard: list[float] = []
    find_compartments(case, heard.append)
    assert len(heard) >= 3 and min(heard) > 0

    def leave(_: float) -> None:
        raise KeyError

    with pytest.raises(KeyError):
        find_compartments(case, leave)


def test_crossing_bulkheads_and_decks() -> None:
    """Named from aft to forward, then low to high, then starboard to port."""
    boundaries = (bulkhead("frame 4", 4), deck("deck", 1), sheet("center", 1, 0))
    plan = divided(*boundaries)
    assert sizes(plan) == {
        **{"space 1": 8.0, "space 2": 8.0, "space 3": 16.0, "space 4": 16.0},
        **{"space 5": 12.0, "space 6": 12.0, "space 7": 24.0, "space 8": 24.0},
    }
    centers = [(x, y, z) for x in (2, 7) for z in (0.5, 2) for y in (-1, 1)]
    np.testing.assert_allclose(
        [compartment.center for compartment in plan.compartments], centers, atol=1e-9
    )
    assert all(compartment.watertight for compartment in plan.compartments)
    assert all(
        compartment.boundaries == ("hull", "frame 4", "deck", "center")
        for compartment in plan.compartments
    )
    beside = {frozenset(pair) for pair in plan.neighbors}
    numbers = dict(zip(product((0, 1), repeat=3), (r.name for r in plan.compartments), strict=True))
    assert beside == {
        frozenset((numbers[one], numbers[other]))
        for one, other in combinations(numbers, 2)
        if sum(a != b for a, b in zip(one, other, strict=True)) == 1
    }


def test_a_hull_of_cubes_has_neighbors() -> None:
    """Each face between two cubes is there twice, cut along either diagonal."""
    places = list(product(range(2), repeat=3))
    cubes = [block((1, 1, 1), at) for at in places]
    vertices = np.concatenate([cube[0] for cube in cubes])
    faces = tuple(
        tuple(8 * number + face[(corner + sum(at)) % 4] for corner in range(4))
        for number, (at, cube) in enumerate(zip(places, cubes, strict=True))
        for face in cube[1]
    )
    plan = divided(hull=build_hull(bodies.mesh((vertices, faces))))
    assert len(plan.compartments) == 8 and plan.boundary_volume == pytest.approx(0)
    centers = {compartment.name: compartment.center for compartment in plan.compartments}
    away = [np.linalg.norm(centers[one] - centers[other]) for one, other in plan.neighbors]
    np.testing.assert_allclose(away, np.ones(12))


def test_double_bottom() -> None:
    """A tank top from end to end with floors below it that go no higher."""
    boundaries = (deck("tank top", 0.5), *(bulkhead(f"floor {x}", x, z=(-1, 0.5)) for x in (3, 6)))
    plan = divided(*boundaries)
    assert sizes(plan) == {"space 1": 6.0, "space 2": 6.0, "space 3": 100.0, "space 4": 8.0}
    assert plan.compartments[2].boundaries == ("hull", "tank top")
    assert {("space 1", "space 3"), ("space 2", "space 3"), ("space 3", "space 4")} <= set(
        plan.neighbors
    )


def thick_tub(boundary: float = 0.1) -> Hull:
    """The skin outside and inside, decked over."""
    size = (10 - 2 * boundary, 4 - 2 * boundary, 3 - 2 * boundary)
    inner = turned_in(block(size, (boundary, boundary - 2, boundary)))
    return build_hull(bodies.mesh(bodies.joined(bodies.box(), inner), "tub"))


def test_thick_walled_tub() -> None:
    plan = divided(bulkhead("frame 5", 5), hull=thick_tub())
    half = 9.8 * 3.8 * 2.8 / 2
    assert list(sizes(plan).values()) == pytest.approx([half, half])
    assert plan.boundary_volume == pytest.approx(120 - 2 * half)
    assert plan.neighbors == (("space 1", "space 2"),)
    assert "boundary-material" in reported(plan)


def test_a_shell_half_a_meter_thick_is_a_compartment_round_a_compartment() -> None:
    plan = divided(hull=thick_tub(0.5))
    assert plan.boundary_volume == 0
    assert sizes(plan) == {"space 1": 66.0, "space 2": 54.0}
    assert plan.neighbors == (("space 1", "space 2"),)


def test_the_inside_of_an_open_tub_with_thickness_is_a_compartment() -> None:
    outer, inner = open_top(bodies.box()), open_top(block((9.8, 3.8, 2.9), (0.1, -1.9, 0.1)))
    rim = (
        np.concatenate([outer[0][outer[0][:, 2] > 2.9], inner[0][inner[0][:, 2] > 2.9]]),
        ((0, 1, 5, 4), (1, 3, 7, 5), (3, 2, 6, 7), (2, 0, 4, 6)),
    )
    hull = build_hull(bodies.mesh(bodies.welded(bodies.joined(outer, turned_in(inner), rim))))
    inside = 9.8 * 3.8 * 2.9
    for boundaries, watertight in ((), False), ((deck("lid", 3),), True):
        plan = divided(*boundaries, hull=hull)
        (compartment,) = plan.compartments
        assert compartment.volume == pytest.approx(inside) and compartment.watertight is watertight
        assert plan.boundary_volume == pytest.approx(120 - inside)


def test_a_bulkhead_with_thickness_parts_as_a_sheet_does() -> None:
    thick = bodies.mesh(block((0.2, 6, 6), (4, -3, -1)), "thick")
    plan = divided(thick, deck("deck", 1))
    assert sizes(plan) == {"space 1": 16.0, "space 2": 32.0, "space 3": 23.2, "space 4": 46.4}
    assert plan.boundary_volume == pytest.approx(0.2 * 4 * 3)
    assert set(plan.neighbors) == {
        *(("space 1", "space 2"), ("space 3", "space 4")),
        *(("space 1", "space 3"), ("space 2", "space 4")),
    }
    corner = plan.material.reshape(-1, 3)
    np.testing.assert_allclose(corner.min(axis=0), [4, -2, 0], atol=1e-9)
    np.testing.assert_allclose(corner.max(axis=0), [4.2, 2, 3], atol=1e-9)


def frame_of_blocks(y: Bounds, z: Bounds, reach: float, foot: float) -> Mesh:
    """A bulkhead 0.2 m thick from x = 4, down to `foot`, with a hole between bounds of y and z
    as a boolean cuts it, through its foot where the hole goes as low."""
    outline = [(-reach, foot), (reach, foot), (reach, 4), (-reach, 4)]
    hole = [(y[0], z[0]), (y[0], z[1]), (y[1], z[1]), (y[1], z[0])]
    if z[0] > foot:
        rings = [(i, (i + 1) % 4, 4 + (-1 - i) % 4, 4 + -i % 4) for i in range(4)]
        borders = [[0, 1, 2, 3], [4, 5, 6, 7]]
    else:
        rings, borders = [(0, 4, 5, 3), (3, 5, 6, 2), (2, 6, 7, 1)], [[0, 4, 5, 6, 7, 1, 2, 3]]
    corners = [(x, *at) for x in (4.0, 4.2) for at in (*outline, *hole)]
    around = [
        (border[i - 1], border[i], border[i] + 8, border[i - 1] + 8)
        for border in borders
        for i in range(len(border))
    ]
    sides = [*rings, *(tuple(8 + corner for corner in ring) for ring in rings)]
    return triangulate("frame 4", np.array(corners), (*around, *sides))


@pytest.mark.parametrize("foot", [-1.0, 0.0])
@pytest.mark.parametrize("low", [1.0, 0.0])
def test_a_hole_through_a_bulkhead_with_thickness_is_a_gap(low: float, foot: float) -> None:
    """A manhole, and a doorway cut down to the skin or through the foot of the bulkhead."""
    thick = frame_of_blocks((-0.5, 0.5), (low, 2), 2.0 if foot == 0 else 3.0, foot)
    plan = divided(thick)
    hole = 2 - low
    assert sizes(plan) == {"space 1": 48.0, "space 2": round(12 * 5.8 + 0.2 * hole, 6)}
    assert plan.boundary_volume == pytest.approx(0.2 * (12 - hole))
    (gap,) = plan.gaps
    assert gap.compartments == ("space 1", "space 2") and gap.boundary == "frame 4"
    assert gap.area == pytest.approx(hole) and gap.lowest[2] == pytest.approx(low)


@pytest.mark.parametrize("x", [4.0, 4.1, 4.2])
@pytest.mark.parametrize("closed", [True, False])
def test_a_door_in_a_gap_takes_its_place(x: float, closed: bool) -> None:
    thick = frame_of_blocks((-0.5, 0.5), (0.5, 2), 3.0, -1)
    door = Door("door", np.array([x, 0, 0.5]), 1.5, 1.5, closed=closed)
    case = Case("trial", box_hull(), boundaries=(thick,), doors=(door,))
    plan = find_compartments(case)
    assert len(plan.compartments) == 2 and len(plan.gaps) == (not closed)
    ways = [(way.kind, set(way.compartments)) for way in find_flooding_paths(case, plan)]
    assert ways == ([] if closed else [("door", {"space 1", "space 2"})])
    elsewhere = replace(door, point=np.array([x, 1.6, 0.5]))
    assert len(find_compartments(replace(case, doors=(elsewhere,))).gaps) == 1


def test_a_frame_with_thickness_divides_nothing() -> None:
    plan = divided(frame_of_blocks((-1.8, 1.8), (0.2, 2.8), 3.0, -1))
    assert len(plan.compartments) == 1 and not plan.gaps


def test_a_cabin_with_thick_walls_is_a_compartment_within_a_compartment() -> None:
    """Boundary material lies between the two surfaces of its one mesh, not within the inner."""
    boundaries = bodies.joined(
        block((3, 2, 2), (5, -1, 0.5)), turned_in(block((2.8, 1.8, 1.8), (5.1, -0.9, 0.6)))
    )
    plan = divided(bodies.mesh(boundaries, "cabin"))
    inside = 2.8 * 1.8 * 1.8
    assert list(sizes(plan).values()) == pytest.approx([120 - 12, inside])
    assert plan.boundary_volume == pytest.approx(12 - inside)
    assert plan.neighbors == (("space 1", "space 2"),)


def test_a_closed_wall_without_thickness_is_the_outline_of_a_compartment() -> None:
    plan = divided(bodies.mesh(block((2, 1, 1), (4, -0.5, 1)), "casing"))
    assert sizes(plan) == {"space 1": 118.0, "space 2": 2.0} and plan.boundary_volume == 0
    assert [compartment.boundaries for compartment in plan.compartments] == [
        ("hull", "casing"),
        ("casing",),
    ]


def test_box_of_cubes() -> None:
    """Blocks side by side, each with all its faces: every one is a compartment."""
    cubes = bodies.joined(*(block((1, 1, 1), at) for at in product(range(3), (-1, 0), (0, 1))))
    plan = divided(hull=build_hull(bodies.mesh(cubes, "cubes")))
    assert len(plan.compartments) == 12 and set(sizes(plan).values()) == {1.0}
    assert len(plan.neighbors) == 2 * 2 * 2 + 3 * 2 + 3 * 2
    assert all(
        compartment.watertight and compartment.boundaries == ("cubes",)
        for compartment in plan.compartments
    )


def test_unequal_blocks() -> None:
    blocks = bodies.joined(block((2, 2, 2), (0, -1, 0)), block((2, 1, 1), (2, -0.5, 0.5)))
    plan = divided(hull=build_hull(bodies.mesh(blocks, "blocks")))
    assert sizes(plan) == {"space 1": 8.0, "space 2": 2.0}
    assert plan.neighbors == (("space 1", "space 2"),)


def test_nested_tank() -> None:
    """A tank amid a compartment, and one within a bulkhead's reach, stay whole and keep their
    names."""
    fuel = tank("fuel", block((2, 1, 1), (1, -0.5, 1)))
    water = tank("water", block((2, 1, 1), (4, -0.5, 1)))
    plan = divided(bulkhead("frame 5", 5), tanks=(fuel, water))
    assert sizes(plan) == {"fuel": 2.0, "space 1": 57.0, "water": 2.0, "space 2": 59.0}
    fuel_compartment = plan.compartments[0]
    assert (fuel_compartment.use, fuel_compartment.permeability) == ("liquids", 1.0)
    assert set(plan.neighbors) == {
        *(("fuel", "space 1"), ("space 1", "water"), ("space 1", "space 2")),
        ("water", "space 2"),
    }


def test_a_tank_in_a_tank_like_casing_lies_in_the_innermost() -> None:
    casing = bodies.mesh(block((4, 2, 2), (3, -1, 0.5)), "casing")
    plan = divided(casing, tanks=(tank("fuel", block((1, 1, 1), (4, -0.5, 1))),))
    assert sizes(plan) == {"space 1": 104.0, "fuel": 1.0, "space 2": 15.0}
    assert set(plan.neighbors) == {("space 1", "space 2"), ("fuel", "space 2")}


def test_l_shaped_compartment() -> None:
    """A half deck and a bulkhead that stands on its edge."""
    plan = divided(deck("half deck", 1, x=(-1, 4)), bulkhead("step", 4, z=(1, 4)))
    assert sizes(plan) == {"space 1": 32.0, "space 2": 88.0}
    np.testing.assert_allclose(
        plan.compartments[1].center,
        (16 * np.array([2, 0, 0.5]) + 72 * np.array([7, 0, 1.5])) / 88,
        atol=1e-9,
    )


def test_holed_bulkhead() -> None:
    plan = divided(breached("frame 4", 4, (-0.5, 0.5), (1, 2)))
    assert sizes(plan) == {"space 1": 48.0, "space 2": 72.0}
    assert plan.neighbors == (("space 1", "space 2"),)
    (gap,) = plan.gaps
    assert gap.compartments == ("space 1", "space 2") and gap.boundary == "frame 4"
    assert ends(gap) == place((4, -0.5, 1), (4, 0.5, 1), (4, 0.5, 2), (4, -0.5, 2))
    assert gap.area == pytest.approx(1.0) and girth(gap) == pytest.approx(4.0)
    assert gap.lowest[2] == 1.0
    assert all(compartment.watertight for compartment in plan.compartments) and not plan.leaks


def doorway(area: float = 1.0, y: float = 0.0, closed: bool = True, *compartments: str) -> Door:
    """A door 1 m high whose sill is 1 m up the bulkhead at 4 m."""
    return Door("door", np.array([4.0, y, 1.0]), area, 1.0, compartments, closed)


@pytest.mark.parametrize(
    ("door", "gaps", "ways"),
    (
        (doorway(), (), ()),
        (doorway(0.6), (), ()),
        (doorway(0.4), (0.6,), (("gap", 0.6),)),
        (doorway(closed=False), (1.0,), (("door", 1.0),)),
        (doorway(0.4, 0.0, False), (1.0,), (("door", 0.4), ("gap", 0.6))),
        (doorway(1.0, 0.7), (), ()),
        (doorway(1.0, 1.2), (1.0,), (("gap", 1.0),)),
        (doorway(1.0, 0.0, True, "space 1", "space 2"), (), ()),
    ),
)
def test_a_door_in_a_hole_is_the_way_through_it(
    door: Door, gaps: tuple[float, ...], ways: tuple[tuple[str, float], ...]
) -> None:
    case = Case("trial", box_hull(), boundaries=(breached("frame 4", 4, (-0.5, 0.5), (1, 2)),))
    case = replace(case, doors=(door,))
    plan = find_compartments(case)
    assert [gap.area for gap in plan.gaps] == pytest.approx(gaps)
    found = find_flooding_paths(case, plan)
    assert [way.kind for way in found] == [kind for kind, _ in ways]
    areas = [DISCHARGE_COEFFICIENT * area for _, area in ways]
    assert [way.area for way in found] == pytest.approx(areas)


def test_a_door_takes_nothing_off_a_gap_between_other_compartments() -> None:
    case = Case("trial", box_hull(), boundaries=(breached("frame 4", 4, (-0.5, 0.5), (1, 2)),))
    (gap,) = find_compartments(case).gaps
    assert gaps_without_doors((gap,), (doorway(1.0, 0.0, True, "space 1", "fore"),)) == (gap,)
    duct = replace(doorway(1.0, 0.0, True, "space 1", "space 2"), discharge_coefficient=0.5)
    assert gaps_without_doors((gap,), (duct,)) == (gap,)
    outer = replace(gap, compartments=(SEA, "space 1"))
    assert gaps_without_doors((outer,), (doorway(),)) == (outer,)


@pytest.mark.parametrize("tilt", [0.0, 0.2])
def test_a_wall_through_a_manhole_leaves_a_gap_on_either_side(tilt: float) -> None:
    middle = sheet("middle", 1, 0)
    across = Mesh(
        "middle",
        middle.vertices + tilt * middle.vertices[:, 2:] * [0, 1, 0],
        middle.triangles,
        middle.faces,
    )
    plan = divided(breached("frame 4", 4, (-0.3, 0.5), (1, 2)), across)
    assert len(plan.compartments) == 4 and not reported(plan)
    areas = sorted(gap.area for gap in plan.gaps)
    assert areas == pytest.approx(sorted([0.3 + 1.5 * tilt, 0.5 - 1.5 * tilt]))
    assert all(gap.boundary == "frame 4" for gap in plan.gaps)


def test_two_holes_in_a_bulkhead_are_two_gaps() -> None:
    halves = [breached("", 4, (y - 0.5, y + 0.5), (1, 2), 50) for y in (-1, 1)]
    for half, side in zip(halves, (-1, 1), strict=True):
        half.vertices[:4, 1] = np.where(half.vertices[:4, 1] * side > 0, side * 50.0, 0.0)
    both = [(half.vertices, tuple(map(tuple, half.triangles.tolist()))) for half in halves]
    plan = divided(bodies.mesh(bodies.joined(*both), "frame 4"))
    assert [gap.compartments for gap in plan.gaps] == [("space 1", "space 2")] * 2
    assert sorted(gap.edges[..., 1].mean().round(9) for gap in plan.gaps) == [-1.0, 1.0]


def test_a_holed_bulkhead_that_is_part_of_the_hull_mesh() -> None:
    frame = breached("frame", 4, (-0.5, 0.5), (1, 2))
    frame.vertices[:4] = [(4, y, z) for y, z in ((-2, 0), (2, 0), (2, 3), (-2, 3))]
    faces = tuple(tuple(corners) for corners in frame.triangles.tolist())
    hull = build_hull(bodies.mesh(bodies.joined(bodies.box(), (frame.vertices, faces)), "hull"))
    plan = divided(hull=hull)
    assert sizes(plan) == {"space 1": 48.0, "space 2": 72.0}
    assert [(gap.boundary, gap.area) for gap in plan.gaps] == [("hull", pytest.approx(1.0))]


def test_a_tank_without_a_top_has_a_gap_there() -> None:
    envelope = find_envelope(bodies.mesh(open_top(block((2, 1, 1), (5, -0.5, 1))), "well"))
    body = build_tree(envelope.vertices, envelope.triangles, envelope.caps)
    plan = divided(tanks=(Tank("well", body, 1000.0),))
    assert sizes(plan) == {"space 1": 118.0, "well": 2.0}
    (gap,) = plan.gaps
    assert (set(gap.compartments), gap.boundary, gap.area) == ({"space 1", "well"}, "well", 2.0)
    assert gap.lowest[2] == 2.0 and plan.neighbors == (("space 1", "well"),)


def missing_face(at: Sequence[float]) -> Hull:
    """A box of sixteen faces a side, without the one about a point."""
    vertices, polygons = bodies.box(divisions=4)
    kept = [f for f in polygons if np.abs(vertices[list(f)].mean(axis=0) - at).max() > 0.01]
    assert len(kept) == len(polygons) - 1
    return build_hull(bodies.mesh((vertices, tuple(kept)), "hull"))


def test_missing_face() -> None:
    """The compartment behind it leaks there, the one behind a tight bulkhead does not."""
    plan = divided(bulkhead("frame 4", 4), hull=missing_face((10, 0.5, 1.875)))
    assert [compartment.watertight for compartment in plan.compartments] == [True, False]
    (leak,) = plan.leaks
    (gap,) = leak.path
    assert (
        leak.compartment == "space 2"
        and gap.compartments == (SEA, "space 2")
        and gap.boundary == "hull"
    )
    assert ends(gap) == place((10, 0, 1.5), (10, 1, 1.5), (10, 1, 2.25), (10, 0, 2.25))
    assert gap.area == pytest.approx(0.75) and gap.lowest[2] == 1.5


def test_a_leak_runs_through_compartments_by_the_fewest_gaps() -> None:
    boundaries = (
        breached("frame 7", 7, (-0.5, 0.5), (1, 2)),
        breached("frame 4", 4, (-0.5, 0.5), (2, 2.5)),
        bulkhead("frame 2", 2),
    )
    plan = divided(*boundaries, hull=missing_face((10, 0.5, 1.875)))
    leaks = {leak.compartment: leak for leak in plan.leaks}
    assert set(leaks) == {"space 2", "space 3", "space 4"}
    path = leaks["space 2"].path
    assert [gap.boundary for gap in path] == ["hull", "frame 7", "frame 4"]
    assert [set(gap.compartments) for gap in path] == [
        {SEA, "space 4"},
        {"space 3", "space 4"},
        {"space 2", "space 3"},
    ]
    point, height = downflooding_sill(leaks["space 2"], Attitude.from_draft(1.2, 5.0))
    assert point[[0, 2]].tolist() == [4, 2] and height == pytest.approx(0.8)
    point, height = downflooding_sill(leaks["space 3"], Attitude.from_draft(1.8, 5.0))
    assert point[[0, 2]].tolist() == [10, 1.5] and height == pytest.approx(-0.3)
    heeled = Attitude.from_draft(1.0, 5.0, heel_rad=np.radians(20.0))
    point, height = downflooding_sill(leaks["space 4"], heeled)
    assert point.tolist() == [10, 0, 1.5]
    assert height == pytest.approx(0.5 * np.cos(np.radians(20.0)))


def bathtub() -> Hull:
    return build_hull(bodies.mesh(open_top(bodies.box()), "tub"))


def test_open_bathtub() -> None:
    """Each compartment opens to the sea through its part of the rim."""
    plan = divided(bulkhead("frame 4", 4), hull=bathtub())
    assert [gap.compartments for gap in plan.gaps] == [(SEA, "space 1"), (SEA, "space 2")]
    assert [gap.area for gap in plan.gaps] == pytest.approx([16, 24])
    assert place((0, -2, 3), (0, 2, 3), (4, -2, 3), (4, 2, 3)) <= ends(plan.gaps[0])
    assert girth(plan.gaps[1]) == pytest.approx(2 * (6 + 4))
    assert not any(compartment.watertight for compartment in plan.compartments)


@pytest.mark.parametrize("height", [2.0, 3.0])
def test_a_deck_seals_the_compartment_below_it(height: float) -> None:
    plan = divided(deck("deck", height), hull=bathtub())
    assert (
        plan.compartments[0].volume == pytest.approx(40 * height)
        and plan.compartments[0].watertight
    )
    assert [compartment.watertight for compartment in plan.compartments[1:]] == [False] * (
        height < 3
    )


def test_a_deck_over_part_of_the_rim_leaves_the_rest_open() -> None:
    plan = divided(bulkhead("frame 4", 4), deck("deck", 3, x=(-1, 7)), hull=bathtub())
    assert [compartment.watertight for compartment in plan.compartments] == [True, False]
    (gap,) = plan.gaps
    assert gap.area == pytest.approx(12) and gap.edges[..., 0].min() == pytest.approx(7)


def crown(ended: bool) -> Mesh:
    """A deck over the rim, higher in the middle; with the gables at its ends or without."""
    y = np.linspace(-2, 2, 9)
    arch = bodies.sheet(
        lambda u, v: np.stack([u, v, 3 + 0.2 * (1 - (v / 2) ** 2)], axis=-1), np.array([0, 10]), y
    )
    gables = [
        (np.column_stack([np.full(9, x), y, 3 + 0.2 * (1 - (y / 2) ** 2)]), (tuple(range(9)),))
        for x in (0.0, 10.0)
    ]
    return bodies.mesh(bodies.joined(arch, *gables[: 2 * ended]), "crown")


def test_a_deck_above_the_rim_seals_the_hull_if_it_closes() -> None:
    assert divided(crown(True), hull=bathtub()).compartments[0].watertight
    plan = divided(crown(False), hull=bathtub())
    assert not plan.compartments[0].watertight
    assert names(reported(plan)["open-boundary"].text) == ["crown"]


def sheered(rise: float = 0.2) -> tuple[Hull, Mesh]:
    """An open hull with a rim that rises to the ends, and the deck that fits it."""
    x = np.linspace(0, 10, 11)
    z = 3 + rise * ((x - 5) / 5) ** 2
    rim = [np.column_stack([x, np.full(11, y), z]) for y in (-2.0, 2.0)]
    keel = [np.column_stack([x, np.full(11, y), 0 * x]) for y in (-2.0, 2.0)]
    vertices = np.concatenate([*rim, *keel])
    rows = {"rs": 0, "rp": 11, "ks": 22, "kp": 33}

    def strip(one: str, other: str) -> list[tuple[int, ...]]:
        a, b = rows[one], rows[other]
        return [(a + i, a + i + 1, b + i + 1, b + i) for i in range(10)]

    ends = [(0, 11, 33, 22), (10, 21, 43, 32)]
    faces = (*strip("rs", "ks"), *strip("ks", "kp"), *strip("kp", "rp"), *ends)
    hull = build_hull(bodies.mesh((vertices, tuple(faces)), "hull"))
    return hull, bodies.mesh((vertices, tuple(strip("rs", "rp"))), "deck")


def test_a_deck_that_follows_the_rim_seals_the_hull() -> None:
    """What lies between it and the lid over the rim, which is not bent as it is, is no
    compartment."""
    hull, fitted = sheered()
    plan = divided(fitted, hull=hull)
    (compartment,) = plan.compartments
    heights = 3 + 0.2 * ((np.linspace(0, 10, 11) - 5) / 5) ** 2
    below = 4 * float((heights[1:] + heights[:-1]).sum() / 2)
    assert compartment.watertight and not plan.gaps and 0 < plan.boundary_volume
    assert compartment.volume == pytest.approx(below)
    assert reads(reported(plan)["on-deck"].text, "between a deck and the cap")
    assert compartments_beside(plan, np.array([3.0, 0.3, 3.02])) == ("space 1", SEA)


def test_bulkheads_up_to_the_rim_part_an_open_hull() -> None:
    """They end below the lid, a fan from the middle of a rim that rises to the ends."""
    hull, _ = sheered()
    boundaries = []
    for x in (2, 5, 6):
        top = 3 + 0.2 * ((x - 5) / 5) ** 2
        boundaries.append(bulkhead(f"frame {x}", x, (-2, 2), (0, top)))
    plan = divided(*boundaries, hull=hull)
    assert len(plan.compartments) == 4 and not reported(plan)
    over = {gap.boundary: gap for gap in plan.gaps if SEA not in gap.compartments}
    assert set(over) == {boundary.name for boundary in boundaries}
    assert over["frame 5"].lowest[2] == pytest.approx(3)
    assert 0 < over["frame 5"].area < 4 * 0.2
    assert {leak.compartment for leak in plan.leaks} == {
        compartment.name for compartment in plan.compartments
    }


def test_a_hole_in_a_deck_below_the_lid_leaks() -> None:
    """What lies on the deck is a compartment then, on the way from the sea into the one below."""
    hull, fitted = sheered()
    inner = fitted.vertices[[4, 5, 16, 15]] * [1, 0.5, 1]
    number = len(fitted.vertices)
    ring = [(4, 5), (5, 16), (16, 15), (15, 4)]
    around = [(a, b, number + (i + 1) % 4, number + i) for i, (a, b) in enumerate(ring)]
    strips = [(i, i + 1, i + 12, i + 11) for i in range(10) if i != 4]
    vertices = np.concatenate([fitted.vertices, inner + [[0.2, 0, 0], [-0.2, 0, 0]] * 2])
    vertices[number:, 0] = 4.2, 4.8, 4.8, 4.2
    vertices[number:, 2] = np.interp(vertices[number:, 0], vertices[:11, 0], vertices[:11, 2])
    plan = divided(bodies.mesh((vertices, (*strips, *around)), "deck"), hull=hull)
    leaks = {leak.compartment: leak for leak in plan.leaks}
    assert [gap.boundary for gap in leaks["space 1"].path] == ["hull", "deck"]
    assert not any(compartment.watertight for compartment in plan.compartments)


def test_t_junctions() -> None:
    """Boundaries that end on the middle of others, and a hull with a vertex amid an edge."""
    boundaries = (
        deck("deck", 1),
        bulkhead("below", 3, z=(-1, 1)),
        bulkhead("above", 6, z=(1, 4)),
        sheet("stub", 1, 0.5, (1, 4), (6, 11)),
    )
    assert sorted(sizes(divided(*boundaries)).values()) == [12.0, 12.0, 20.0, 28.0, 48.0]
    vertices, polygons = bodies.box()
    split = tuple(np.flatnonzero((vertices[:, 0] == 10) & (vertices[:, 2] == 3)))
    faces = [f for f in polygons if not set(split) <= set(f) or vertices[list(f), 2].min() < 3]
    (top,) = [f for f in polygons if vertices[list(f), 2].min() == 3]
    start = top.index(split[0])
    around = [top[(start + step) % 4] for step in range(4)]
    if around[1] not in split:
        around = [around[-1], *around[:-1]]
    middle = len(vertices)
    vertices = np.concatenate([vertices, [[10, 0, 3]]])
    faces.append((around[0], middle, *around[1:]))
    hull = build_hull(bodies.mesh((vertices, tuple(faces)), "hull"))
    assert sorted(sizes(divided(*boundaries, hull=hull)).values()) == [12.0, 12.0, 20.0, 28.0, 48.0]


@pytest.mark.parametrize("heel", [0.0, 0.07])
@pytest.mark.parametrize("seed", range(4))
def test_walls_made_of_the_vertices_of_the_hull(seed: int, heel: float) -> None:
    """Frames, stringer decks and the deck itself once more, as copies of its vertices filled with
    faces, in single precision: the compartments are those of the grid."""
    rng = np.random.default_rng(seed)
    u, v = np.linspace(0, 1, 7), np.linspace(0, 1, 5)
    half = 2 * (1 - u[:, None] ** 3) * np.sin(np.pi / 2 * v) + 0 * u[:, None]
    rise = 2 * v**1.5 + 0.4 * v * (u[:, None] - 0.4) ** 2
    port = np.stack(np.broadcast_arrays(12 * u[:, None], half, rise), axis=-1)
    side = np.arange(35).reshape(7, 5)
    other = side + 35
    points = np.concatenate([port, port * [1, -1, 1]]).reshape(-1, 3)
    cos, sin = np.cos(heel), np.sin(heel)
    points = points @ np.array([[1, 0, 0], [0, cos, -sin], [0, sin, cos]]).T + rng.normal(size=3)
    points = points.astype(np.float32).astype(float)

    def strips(*rows: tuple[Ints, Ints]) -> list[tuple[int, ...]]:
        quads = [
            np.roll([a[i], a[i + 1], b[i + 1], b[i]], rng.integers(4))
            for a, b in rows
            for i in range(len(a) - 1)
        ]
        return [tuple(map(int, quad)) for quad in quads]

    def frame(i: int) -> tuple[int, ...]:
        return tuple(map(int, [*side[i, ::-1], *other[i, 1:]]))

    shell = [strips((side[:, j + 1], side[:, j]), (other[:, j], other[:, j + 1])) for j in range(4)]
    deck = strips((other[:, -1], side[:, -1]))
    hull = build_hull(triangulate("hull", points, (*sum(shell, []), *deck, frame(0))))
    boundaries = {f"frame {i}": [frame(i)] for i in (2, 4)}
    boundaries |= {f"deck {j}": strips((side[:, j], other[:, j])) for j in (1, 3, 4)}
    plan = divided(
        *(
            triangulate(name, points - hull.origin, tuple(faces))
            for name, faces in boundaries.items()
        ),
        hull=hull,
    )
    assert len(plan.compartments) == 9 and plan.boundary_volume == 0
    assert not (plan.gaps or plan.findings)


def test_coplanar_faces() -> None:
    """Boundaries on each other and on the skin, a deck in two overlapping parts, tanks flush."""
    boundaries = (
        bulkhead("frame 4", 4),
        bulkhead("again", 4, z=(-1, 5)),
        sheet("on the side", 1, 2, (0, 10), (-1, 4)),
        deck("deck", 1, x=(-1, 7)),
        deck("deck too", 1, x=(5, 11)),
    )
    tanks = (
        tank("wing", block((2, 1, 0.5), (2, -0.5, 0))),
        tank("deep", block((1, 4, 1), (4, -2, 0))),
    )
    plan = divided(*boundaries, tanks=tanks)
    assert sizes(plan) == {
        **{"space 1": 15.0, "space 2": 32.0, "wing": 1.0, "deep": 4.0},
        **{"space 3": 48.0, "space 4": 20.0},
    }
    assert ("wing", "deep") in plan.neighbors
    assert {"hull", "frame 4", "again", "deep"} <= set(plan.compartments[0].boundaries)
    assert not plan.findings and all(compartment.watertight for compartment in plan.compartments)


def test_disjoint_hulls() -> None:
    """A catamaran: what spans the gap between its hulls is no compartment."""
    two = bodies.joined(block((10, 1, 2), (0, -2.5, 0)), block((10, 1, 2), (0, 1.5, 0)))
    hull = build_hull(bodies.mesh(two, "hulls"))
    plan = divided(bulkhead("frame 4", 4), deck("deck", 1), hull=hull)
    assert list(sizes(plan).values()) == [4.0] * 4 + [6.0] * 4
    assert [compartment.center[1].round(9) for compartment in plan.compartments] == [-2, 2] * 4
    assert all(
        plan.compartment(one).center[1] * plan.compartment(other).center[1] > 0  # type: ignore[union-attr]
        for one, other in plan.neighbors
    )


def test_parts_that_run_into_each_other_do_not_add_up() -> None:
    hull = build_hull(bodies.mesh(bodies.joined(bodies.box(), block((4, 2, 2), (8, -1, 0.5)))))
    assert hull.volume == pytest.approx(136)
    plan = find_compartments(Case("trial", hull, boundaries=(bulkhead("frame 3", 3),)))
    assert sum(compartment.volume for compartment in plan.compartments) == pytest.approx(128)
    assert reads(
        reported(plan)["compartments-do-not-add-up"].text, "128 m3 in all, the hull 136 m3"
    )


def soup(mesh: Mesh) -> Mesh:
    """The mesh with vertices of its own for every triangle."""
    vertices = mesh.vertices[mesh.triangles].reshape(-1, 3)
    return Mesh(mesh.name, vertices, np.arange(len(vertices)).reshape(-1, 3), mesh.faces)


def test_duplicate_vertices() -> None:
    hull = build_hull(soup(bodies.mesh(bodies.box(divisions=3), "hull")))
    boundary = soup(breached("frame 4", 4, (-0.5, 0.5), (1, 2)))
    plan = divided(boundary, soup(deck("deck", 0.5)), hull=hull)
    assert sizes(plan) == {"space 1": 8.0, "space 2": 40.0, "space 3": 12.0, "space 4": 60.0}
    (gap,) = plan.gaps
    assert gap.compartments == ("space 2", "space 4") and gap.area == pytest.approx(1.0)


@pytest.mark.parametrize(
    "boundary",
    [
        bulkhead("stub", 4, z=(-1, 2)),
        bulkhead("stub", 4, y=(-5, 1.9)),
        bulkhead("stub", 4, y=(-1, 1), z=(1, 2)),
    ],
    ids=["half height", "short of a side", "hung free"],
)
def test_a_wall_with_free_edges_in_the_hull_divides_nothing(boundary: Mesh) -> None:
    plan = divided(boundary)
    assert sizes(plan) == {"space 1": 120.0} and not plan.gaps
    finding = reported(plan)["open-boundary"]
    assert names(finding.text) == ["stub"] and (finding.points[:, 0] == 4).all()
    inside = np.abs(finding.points[:, 1:] - [0, 1.5]).max(axis=0)
    assert inside[0] < 2 and inside[1] < 1.5


def notched(name: str, x: float, y: Bounds, z: Bounds) -> Mesh:
    """A bulkhead with a doorway up from its lower edge."""
    (y0, y1), (z0, z1) = y, z
    outline = [(-9, z0), (y0, z0), (y0, z1), (y1, z1), (y1, z0), (9, z0), (9, 9), (-9, 9)]
    return triangulate(name, np.array([(x, *point) for point in outline]), (tuple(range(8)),))


@pytest.mark.parametrize("below", [0.0, 1.0])
def test_a_doorway_without_a_sill_is_a_gap(below: float) -> None:
    """Cut down to a deck, and to the bottom of the hull."""
    boundaries = (notched("frame 4", 4, (-0.5, 0.5), (below, below + 1.5)), deck("deck", 1))
    plan = divided(*boundaries[: 1 + (below > 0)])
    aft, fore = ("space 1", "space 3") if below else ("space 1", "space 2")
    (gap,) = plan.gaps
    assert gap.compartments == (aft, fore) and gap.boundary == "frame 4"
    assert gap.area == pytest.approx(1.5) and gap.lowest[2] == below
    corner = place(*((4, y, z) for y in (-0.5, 0.5) for z in (below, below + 1.5)))
    assert corner <= ends(gap) and girth(gap) == pytest.approx(5)
    assert plan.compartment(fore).volume == pytest.approx(24 * (3 - below))  # type: ignore[union-attr]
    assert not plan.findings


def test_a_doorway_down_to_the_keel_of_a_vee() -> None:
    """The lid goes on below the line between the ends of its edges, to the bottom."""
    hull = build_hull(bodies.mesh(bodies.wedge(10, 4, 3), "vee"))
    plan = divided(notched("frame 4", 4, (-0.5, 0.5), (-1, 2.25)), hull=hull)
    (gap,) = plan.gaps
    assert gap.area == pytest.approx(1.5 + 0.375) and gap.lowest[2] == pytest.approx(0)
    assert sorted(sizes(plan).values()) == [24.0, 36.0]


def test_a_doorway_parts_nothing_where_its_wall_does_not() -> None:
    """A bulkhead that ends below the deck, and one that is nearly all doorway."""
    low = notched("frame 4", 4, (-0.5, 0.5), (0, 1.5))
    low.vertices[:, 2] = np.minimum(low.vertices[:, 2], 2.5)
    plan = divided(low)
    assert len(plan.compartments) == 1 and not plan.gaps
    assert names(reported(plan)["open-boundary"].text) == ["frame 4"]
    wide = divided(notched("frame 4", 4, (-1.9, 1.9), (0, 2.5)))
    assert len(wide.compartments) == 1 and not wide.gaps


def test_a_doorway_and_a_hole_in_one_bulkhead() -> None:
    boundaries = (
        notched("frame 4", 4, (-0.5, 0.5), (1, 2)),
        breached("below", 4, (-0.5, 0.5), (0.2, 0.8)),
        deck("deck", 1),
    )
    below = boundaries[1].vertices
    below[:, 2] = np.minimum(below[:, 2], 1.0)
    plan = divided(*boundaries)
    assert len(plan.compartments) == 4
    assert sorted(gap.boundary for gap in plan.gaps) == ["below", "frame 4"]
    assert sorted(gap.area for gap in plan.gaps) == pytest.approx([0.6, 1.0])


def test_a_web_frame_divides_nothing() -> None:
    assert len(divided(breached("web", 4, (-1.8, 1.8), (0.2, 2.8))).compartments) == 1
    assert len(divided(breached("web", 4, (-1.2, 1.2), (0.5, 2.5))).compartments) == 2


def test_an_open_bin_is_a_compartment_with_a_gap() -> None:
    boundary = bodies.mesh(open_top(block((2, 1, 1), (4, -0.5, 1))), "bin")
    plan = divided(boundary)
    assert sizes(plan) == {"space 1": 118.0, "space 2": 2.0}
    assert [(gap.boundary, gap.area, gap.lowest[2]) for gap in plan.gaps] == [("bin", 2.0, 2.0)]


def test_marks_name_compartments() -> None:
    marks = (
        CompartmentMark("engine", at=np.array([2.0, 0, 1]), use="machinery"),
        CompartmentMark("locker", body=corners(block((2, 1, 1), (3, -0.5, 1))), permeability=0.5),
    )
    plan = divided(bulkhead("frame 4", 4), marks=marks)
    assert sizes(plan) == {"engine": 47.0, "locker": 2.0, "space 1": 71.0}
    engine, locker, rest = plan.compartments
    assert (engine.use, engine.permeability, locker.permeability) == ("machinery", 0.85, 0.5)
    assert rest.permeability == 0.95
    assert ("locker", "space 1") in plan.neighbors


def test_found_names_leave_out_those_that_are_taken() -> None:
    mark = CompartmentMark("space 1", at=np.array([9.0, 0, 1]))
    assert list(sizes(divided(bulkhead("frame 4", 4), marks=(mark,)))) == ["space 2", "space 1"]


def test_a_drawn_compartment_reaches_no_further_than_the_hull() -> None:
    plan = divided(marks=(CompartmentMark("bow", body=corners(block((4, 6, 6), (8, -3, -1)))),))
    assert sizes(plan) == {"space 1": 96.0, "bow": 24.0}


def test_a_tank_that_sticks_out() -> None:
    plan = divided(tanks=(tank("deck tank", block((2, 1, 1), (2, -0.5, 2.5))),))
    assert sizes(plan)["deck tank"] == 1.0
    assert reads(reported(plan)["tank-sticks-out"].text, "with 1 m3")
    above = divided(tanks=(tank("on deck", block((2, 1, 1), (2, -0.5, 4))),))
    assert sizes(above) == {"space 1": 120.0}
    assert [each.code for each in above.findings] == ["tank-outside"]


def at(name: str, *point: float) -> CompartmentMark:
    return CompartmentMark(name, at=np.array(point))


def drawn(name: str, size: Sequence[float], corner: Sequence[float]) -> CompartmentMark:
    return CompartmentMark(name, body=corners(block(size, corner)))


@pytest.mark.parametrize(
    ("boundaries", "tanks", "marks", "line"),
    [
        ((bulkhead("far", 20),), (), (), "boundary 'far' lies wholly outside the hull; move it"),
        ((replace(bulkhead("thread", 5), triangles=np.array([[0, 1, 1]])),), (), (), "no area"),
        (
            (),
            (tank("a", block((2, 1, 1), (2, 0, 1))), tank("b", block((2, 1, 1), (3, 0, 1)))),
            (),
            "tanks 'a' and 'b' share 1 m3; draw them side by side",
        ),
        (
            (),
            (),
            (drawn("a", (2, 1, 1), (2, 0, 1)), drawn("b", (2, 1, 1), (2, 0.5, 1))),
            "compartments 'a' and 'b' share 1 m3; draw them side by side",
        ),
        (
            (),
            (),
            (drawn("a", (2, 1, 1), (12, 0, 1)),),
            "compartment 'a' has no volume of its own within",
        ),
        (
            (),
            (),
            (at("a", 20, 0, 1),),
            "compartment 'a' is marked at x 20.00, y 0.00, z 1.00 m, outside",
        ),
        (
            (bodies.mesh(block((0.2, 6, 6), (4, -3, -1)), "thick"),),
            (),
            (at("a", 4.1, 0, 1),),
            "x 4.10, y 0.00, z 1.00 m, in a boundary; move the mark into the compartment",
        ),
        (
            (),
            (),
            (at("a", 1, 0, 1), at("b", 9, 0, 1)),
            "compartment 'b' is marked at x 9.00, .* compartment 'a'",
        ),
        (
            (),
            (tank("a", block((2, 1, 1), (2, 0, 1))),),
            (at("b", 3, 0.5, 1.5),),
            "compartment 'b' is marked at .*, in compartment 'a'",
        ),
        ((), (tank("a", block((2, 1, 1), (2, 0, 1))),), (at("a", 9, 0, 1),), "'a' is named twice"),
        ((triangulate("none", np.zeros((0, 3)), ()),), (), (), "boundary 'none' has no faces"),
        (
            (bulkhead("nan", np.nan),),
            (),
            (),
            "boundary 'nan' has a vertex with a coordinate that is",
        ),
    ],
    ids=lambda value: value[:20] if isinstance(value, str) else "",
)
def test_bad_input(
    boundaries: tuple[Mesh, ...],
    tanks: tuple[Tank, ...],
    marks: tuple[CompartmentMark, ...],
    line: str,
) -> None:
    with refused(line) as caught:
        divided(*boundaries, tanks=tanks, marks=marks)
    assert "\n" not in str(caught.value)


def test_compartments_beside_a_point() -> None:
    thick = bodies.mesh(block((0.2, 6, 6), (7, -3, -1)), "thick")
    plan = divided(bulkhead("frame 4", 4), deck("deck", 1, x=(-1, 4)), thick)
    beside = {
        (4, 0, 2): {"space 2", "space 3"},
        (4.05, 0, 0.5): {"space 1", "space 3"},
        (2, 1, 1): {"space 1", "space 2"},
        (2, 0, 3): {"space 2", SEA},
        (2, 0, 3.7): {"space 2", SEA},
        (2, -2, 0.2): {"space 1", SEA},
        (7.1, 0.3, 1.4): {"space 3", "space 4"},
        (6.95, 0.3, 1.4): {"space 3", "space 4"},
        (10, 0, 1): {"space 4", SEA},
        (12, 0, 1): {"space 4", SEA},
    }
    for point, there in beside.items():
        assert set(compartments_beside(plan, np.array(point, dtype=float))) == there, point
    assert compartments_beside(plan, np.array([2.0, 0, 3]))[1] == SEA
    assert compartments_beside(CompartmentPlan(()), np.zeros(3)) == (SEA, SEA)


seeds = st.integers(0, 10**6)


def random_planes(rng: np.random.Generator, count: int) -> list[tuple[Floats, float]]:
    normals = rng.normal(size=(count, 3))
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return [(normal, float(rng.uniform(-0.4, 0.4))) for normal in normals]


def plane_boundary(name: str, normal: Floats, level: float) -> Mesh:
    across = np.cross(normal, np.eye(3)[np.abs(normal).argmin()])
    across /= np.linalg.norm(across)
    up = np.cross(normal, across)
    corners = [level * normal + 9 * (a * across + b * up) for a, b in ((-1, -1), (1, -1), (1, 1))]
    last = level * normal + 9 * (up - across)
    return triangulate(name, np.array([*corners, last]), ((0, 1, 2, 3),))


@pytest.mark.slow
@given(seed=seeds, count=st.integers(1, 3))
@settings(max_examples=30, deadline=None)
def test_random_planes_through_a_random_hull(seed: int, count: int) -> None:
    """Each compartment has the volume, the skin and the box that manifold3d's part of the hull
    has."""
    manifold3d = pytest.importorskip("manifold3d")
    rng = np.random.default_rng(seed)
    mesh = bodies.mesh(bodies.star(seed, 2, 0.3), "star")
    hull = build_hull(mesh)
    planes = random_planes(rng, count)
    boundaries = [plane_boundary(f"plane {i}", *plane) for i, plane in enumerate(planes)]
    boundaries = [Mesh(w.name, w.vertices - hull.origin, w.triangles, w.faces) for w in boundaries]
    plan = divided(*boundaries, hull=hull)
    whole = manifold3d.Manifold(
        manifold3d.Mesh64(np.ascontiguousarray(hull.vertices), hull.triangles.astype(np.uint64))
    )
    parts = [whole]
    for normal, level in planes:
        level -= float(normal @ hull.origin)
        parts = [half for part in parts for half in part.split_by_plane(list(normal), level)]
    parts = [piece for part in parts for piece in part.decompose() if piece.volume() > 0]
    assert len(parts) == len(plan.compartments)
    there = sorted((p.volume(), p.surface_area(), *p.bounding_box()) for p in parts)
    here = sorted((r.volume, r.body.area, *r.body.low, *r.body.high) for r in plan.compartments)
    np.testing.assert_allclose(here, there, rtol=1e-5, atol=1e-6)


def slab(normal: Floats, level: float, thickness: float) -> Mesh:
    """A plate below a plane, wider than any body here."""
    top = plane_boundary("plate", normal, level)
    corners = np.concatenate([top.vertices[:4], top.vertices[:4] - thickness * normal])
    sides = tuple((i, (i + 1) % 4, 4 + (i + 1) % 4, 4 + i) for i in range(4))
    return triangulate("plate", corners, (*sides, (0, 1, 2, 3), (7, 6, 5, 4)))


@pytest.mark.parametrize("seed", [*range(6), 15, 21, 62])
def test_a_sheet_all_but_in_the_face_of_a_plate(seed: int) -> None:
    """Sheets that are tilted out of the face of a plate by next to nothing, or a hair off it,
    leave the plate whole, and part the rest as if they were not there."""
    rng = np.random.default_rng(seed)
    hull = build_hull(bodies.mesh(bodies.star(seed, 2, 0.3), "star"))
    ((normal, level),) = random_planes(rng, 1)
    level -= float(normal @ hull.origin)
    plate = slab(normal, level, 0.04)
    tolerance = 1e-6 * hull.tree.size
    near = []
    for number in range(2):
        way = normal + 10 ** rng.uniform(-8, -6) * rng.normal(size=3)
        way /= np.linalg.norm(way)
        off = level * float(normal @ way) + tolerance * rng.uniform(-1, 1)
        near.append(plane_boundary(f"sheet {number}", way, off))
    (across,) = random_planes(rng, 1)
    third = plane_boundary("across", across[0], across[1] - float(across[0] @ hull.origin))
    alone = divided(plate, third, hull=hull)
    plan = divided(plate, third, *near, hull=hull)
    least = 100 * tolerance
    want = sorted(
        compartment.volume
        for compartment in alone.compartments
        if compartment.volume > least * compartment.body.area
    )
    got = sorted(
        compartment.volume
        for compartment in plan.compartments
        if compartment.volume > least * compartment.body.area
    )
    np.testing.assert_allclose(got, want, atol=20 * tolerance * 20)


def test_decks_a_few_weld_distances_apart_are_taken_as_one_and_reported() -> None:
    """Eight decks tilted about each other by some weld distances: the hull in two halves."""
    rng, tolerance = np.random.default_rng(3), 1e-6 * box_hull().tree.size
    x, y = 50.0 * np.array([[-1, 1, 1, -1], [-1, -1, 1, 1]])
    decks = []
    for number in range(8):
        along, across, off = 1e-6 * rng.normal(size=3)
        corners = np.stack(
            [x, y, 1.5 + along * (x - 5) + across * y + tolerance * off * 1e6], axis=1
        )
        decks.append(triangulate(f"deck {number}", corners, ((0, 1, 2, 3),)))
    plan = divided(*decks)
    compartments = sorted(compartment.volume for compartment in plan.compartments)
    np.testing.assert_allclose(compartments, [60, 60], rtol=1e-3)
    finding = reported(plan)["taken-as-one"]
    assert reads(finding.text, "'deck 0', 'deck 1'") and finding.severity == "note"
    assert "faces-all-but-one" not in reported(plan)
    assert all(compartment.watertight for compartment in plan.compartments)


def test_decks_a_hundred_weld_distances_apart_stay_two() -> None:
    gap = 100e-6 * box_hull().tree.size
    plan = divided(deck("low", 1.5), deck("high", 1.5 + gap))
    compartments = sorted(compartment.volume for compartment in plan.compartments)
    np.testing.assert_allclose(compartments, [40 * gap, 40 * (1.5 - gap), 60], rtol=1e-9)
    assert "taken-as-one" not in reported(plan)
