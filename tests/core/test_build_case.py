"""Entries made parts of a case: bodies, planes and points where they stand."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from math import radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from addon.core.model.conditions import Condition
from addon.core.model.hull import build_hull
from addon.core.model.service import Service
from addon.core.model.user_criteria import CustomCriterion
from addon.examples.loader import EXAMPLES, load_example
from addon.files.obj import PolygonMesh, obj_text
from addon.parts.build_case import box_mesh, build_case
from addon.parts.case_file import parse_case, read_case
from addon.parts.case_writer import write_case
from addon.parts.declarations import (
    CRITERION,
    BoundaryEntry,
    CaseEntry,
    CompartmentEntry,
    ConditionEntry,
    CriterionEntry,
    DoorEntry,
    HullEntry,
    OpeningEntry,
    ServiceEntry,
    TankEntry,
    WeightEntry,
    WindageEntry,
)
from addon.parts.places import Box, Plane
from addon.units.angles import exact_degrees
from tests.bodies import box, mesh, moved

HULL = HullEntry(PolygonMesh("hull", *box(10, 4, 3)))


def built(**tables: object) -> object:
    """The case of a box with these tables."""
    return build_case(CaseEntry(HULL, **tables), build_hull(mesh(box(10, 4, 3))))


def test_a_case_of_a_hull_alone_has_nothing_else():
    case = built()
    assert (
        case.weights
        == case.tanks
        == case.openings
        == case.boundaries
        == case.compartment_marks
        == ()
    )
    assert case.doors == case.custom_criteria == case.conditions == () and not len(case.windage)
    assert (case.codes, case.service, case.water_density) == (None, Service(), 1025.0)


def test_openings_and_doors_at_points():
    vent = OpeningEntry("vent", (3.0, 1.5, 3.25))
    hatch = OpeningEntry("hatch", (3.0, -1.5, 3.25), "weathertight", "hatch", 0.8, 0.1, ("hold",))
    pipe = DoorEntry("pipe", (4.0, 1.0, 0.2), 0.01, discharge_coefficient=0.5)
    door = DoorEntry("door", (4.0, 0.0, 0.8), 1.2, 1.8, ("hold", "peak"), closed=True)
    case = built(openings=(vent, hatch), doors=(pipe, door))
    one, other = case.openings
    assert (one.name, *one.point, one.weathertight) == ("vent", 3.0, 1.5, 3.25, False)
    assert (one.kind, one.area, one.height, one.compartments) == ("vent", 0.0, 0.0, ())
    assert (other.name, *other.point, other.weathertight) == ("hatch", 3.0, -1.5, 3.25, True)
    assert (other.kind, other.area, other.height, other.compartments) == (
        "hatch",
        0.8,
        0.1,
        ("hold",),
    )
    one, other = case.doors
    assert (one.name, *one.point, one.area, one.height) == ("pipe", 4.0, 1.0, 0.2, 0.01, 0.0)
    assert (one.compartments, one.closed, one.discharge_coefficient) == ((), False, 0.5)
    assert (*other.point, other.area, other.height) == (4.0, 0.0, 0.8, 1.2, 1.8)
    assert (other.compartments, other.closed, other.discharge_coefficient) == (
        ("hold", "peak"),
        True,
        None,
    )


def test_service_criteria_and_conditions_are_those_of_the_core():
    case = built(
        service=ServiceEntry("passenger", passengers=12, passenger_offset=1.1),
        custom_criteria=(
            CriterionEntry("crowd", "heel under moment", at_most=radians(10), moment=900.0),
            CriterionEntry("area", "area", at_least=0.055, start=0.0, end=radians(30)),
            CriterionEntry("GZ", "GZ", at_least=0.2, at=radians(30)),
            CriterionEntry("peak", "maximum GZ", at_least=0.2, start=radians(25)),
        ),
        tanks=(TankEntry("fuel", Box((1.0, -1.0, 0.5), (2.0, 1.0, 1.0)), 850.0),),
        conditions=(
            ConditionEntry("arrival", {"fuel": 0.1}, ("crew",), ("gear",), 0.05, 0.1, ("hold",)),
        ),
    )
    assert case.service == Service("passenger", passengers=12, passenger_offset=1.1)
    assert case.custom_criteria == (
        CustomCriterion("crowd", "heel under moment", most=radians(10), moment=900.0),
        CustomCriterion("area", "area", least=0.055, start=0.0, end=radians(30)),
        CustomCriterion("GZ", "GZ", least=0.2, start=radians(30)),
        CustomCriterion("peak", "maximum GZ", least=0.2, start=radians(25)),
    )
    wanted = Condition("arrival", {"fuel": 0.1}, ("crew",), ("gear",), 0.05, 0.1, ("hold",))
    assert case.conditions == (wanted,)
    again = tuple(CRITERION.from_core(rule) for rule in case.custom_criteria)
    assert (
        tuple(CustomCriterion(**CRITERION.core_values(entry)) for entry in again)
        == case.custom_criteria
    )


def test_a_fixed_weight_stays_fixed(tmp_path):
    """In the table, in the weight list, and on both sides."""
    weights = (
        WeightEntry("shell", HULL.mesh, areal_density=30.0),
        WeightEntry("keel", (5.0, 0.0, 0.1), 900.0, fixed=True),
        WeightEntry("wing", (5.0, 1.0, 0.1), 90.0, fixed=True, both_sides=True),
        WeightEntry("crew", (5.0, 0.0, 2.0), 80.0),
        WeightEntry("deck", PolygonMesh("deck", *box(9, 3, 1)), areal_density=10.0),
    )
    case = read_case(write_case(tmp_path, CaseEntry(HULL, title="Box", weights=weights))[0])
    fixed = {weight.name for weight in case.weights if weight.fixed}
    assert fixed == {"shell", "keel", "wing (port)", "wing (starboard)"}
    assert len(case.weights) == 6


@pytest.mark.parametrize("given", [None, True, False])
def test_a_weight_by_the_mesh_of_the_hull_is_fixed_unless_it_says_otherwise(given):
    case = built(weights=(WeightEntry("shell", HULL.mesh, areal_density=30.0, fixed=given),))
    assert case.weights[0].fixed == (given is not False)


def test_bodies_stand_in_the_ship(tmp_path):
    """A box tank is in ship axes, a mesh of millimeters along -Y where the hull's mesh is."""
    hull = moved(box(10, 4, 3), (7.0, 1.0, 5.0))
    cube = moved(box(2, 2, 1), (8.0, 1.0, 5.5))

    def drawn(body, name):
        x, y, z = (body[0] * 1000).T
        mesh = PolygonMesh(name, np.column_stack([z, -x, -y]), body[1])
        (tmp_path / f"{name}.obj").write_text(obj_text(mesh))

    drawn(hull, "hull")
    drawn(cube, "cube")
    (tmp_path / "case.toml").write_text(
        'hull = {mesh = "hull.obj", forward = "-Y", up = "+X", meters_per_unit = 0.001}\n'
        'tank = [{name = "a", mesh = "cube.obj", density_kg_m3 = 900.0, fill = 0.5}, '
        '{name = "b", box_m = [[1.0, -1.0, 0.5], [3.0, 1.0, 1.5]], density_kg_m3 = 900.0}]\n'
        'windage = [{name = "c", mesh = "cube.obj"}, '
        '{name = "d", box_m = [[1.0, -1.0, 0.5], [3.0, 1.0, 1.5]]}]\n'
    )
    case = read_case(tmp_path / "case.toml")
    for tank in case.tanks:
        assert tank.body.low == pytest.approx([1, -1, 0.5])
        assert tank.body.high == pytest.approx([3, 1, 1.5])
        assert tank.capacity == pytest.approx(4)
    assert case.tanks[0].mass == pytest.approx(900 * 2)
    a, b = case.windage.reshape(2, 12, 3, 3)
    for part in (a, b):
        assert part.min(axis=(0, 1)) == pytest.approx([1, -1, 0.5])
        assert part.max(axis=(0, 1)) == pytest.approx([3, 1, 1.5])


@given(st.floats(-360, 360, allow_subnormal=False))
def test_degrees_give_their_angle_back(written):
    assert radians(exact_degrees(radians(written))) == radians(written)


@pytest.mark.parametrize("degrees", [0, 5, 12.5, 30, 57.3, 180])
def test_degrees_are_short_where_they_were(degrees):
    assert exact_degrees(radians(degrees)) == degrees


@pytest.mark.parametrize("origin", [(0.0, 0.0, 0.0), (3.25, -1.5, 0.75)])
def test_a_written_case_has_the_same_bodies(tmp_path, origin):
    """Drawn bodies go to files beside the hull's, boxes stay in ship axes."""
    tank = PolygonMesh("tank", *moved(box(2, 2, 1), np.add(origin, (1, 0, 0.5))))
    house = PolygonMesh("house", *moved(box(3, 2, 2), np.add(origin, (4, 0, 3))))
    block = Box((1.0, -1.0, 0.5), (3.0, 1.0, 1.5))
    corners = np.add(origin, [(0, -2, 2), (10, -2, 2), (10, 2, 2), (0, 2, 2)])
    deck = PolygonMesh("deck", corners, ((0, 1, 2, 3),))
    hatch = PolygonMesh("hatch", corners + [0, 0, 1.1], deck.polygons)
    marks = {
        "aft_perpendicular_x": origin[0],
        "forward_perpendicular_x": origin[0] + 10,
        "baseline_z": origin[2],
        "centerline_y": origin[1],
    }
    hull = PolygonMesh("hull", HULL.mesh.vertices + origin, HULL.mesh.polygons)
    entry = CaseEntry(
        HullEntry(hull, **marks),
        title="Box",
        openings=(OpeningEntry("vent", (1.0, 0.0, 3.5)), OpeningEntry("hatch", hatch)),
        doors=(DoorEntry("lid", deck, area=1 / 3),),
        tanks=(
            TankEntry("drawn", tank, 850.0, 1 / 3),
            TankEntry("box", block, 850.0, 1 / 3),
        ),
        windage=(WindageEntry("house", house),),
        boundaries=(BoundaryEntry("deck", deck), BoundaryEntry("bulkhead", Plane(0, 5.0))),
        compartments=(
            CompartmentEntry("drawn", tank),
            CompartmentEntry("box", block),
            CompartmentEntry("at", (1, 0, 1)),
        ),
    )
    paths = write_case(tmp_path / "box", entry)
    once = ["tank-1.obj", "opening-2.obj", "windage-1.obj", "boundary-1.obj"]
    assert [path.name for path in paths] == ["case.toml", "weights.csv", "hull.obj", *once]
    case = read_case(paths[0])
    drawn, boxed = case.tanks
    assert drawn.body.low.tolist() == boxed.body.low.tolist() == [1.0, -1.0, 0.5]
    assert drawn.mass == pytest.approx(boxed.mass, rel=1e-14)
    direct = build_case(entry, case.hull)
    assert np.array_equal(direct.windage, case.windage)
    for ours, theirs in zip(case.boundaries, direct.boundaries, strict=True):
        assert ours.name == theirs.name and np.array_equal(ours.triangles, theirs.triangles)
        assert np.array_equal(ours.vertices, theirs.vertices)
    deck, bulkhead = case.boundaries
    assert deck.vertices.tolist() == [[0, -2, 2], [10, -2, 2], [10, 2, 2], [0, 2, 2]]
    assert (bulkhead.vertices[:, 0] == 5.0).all()
    assert (bulkhead.vertices[:, 1:].min(axis=0) < [-2.1, -0.1]).all()
    assert (bulkhead.vertices[:, 1:].max(axis=0) > [2.1, 3.1]).all()
    drawn_compartment, boxed_compartment, at = case.compartment_marks
    assert drawn_compartment.body is not None and boxed_compartment.body is not None
    assert np.array_equal(
        drawn_compartment.body.max(axis=(0, 1)), boxed_compartment.body.max(axis=(0, 1))
    )
    assert at.body is None and at.at is not None and at.at.tolist() == [1, 0, 1]
    vent, way = case.openings
    assert vent.point.tolist() == [1.0, 0.0, 3.5] and not len(vent.corners)
    assert way.point == pytest.approx([5.0, 0.0, 3.1]) and (way.area, way.height) == (
        pytest.approx(40),
        0.0,
    )
    assert case.doors[0].area == 1 / 3
    assert np.array_equal(direct.openings[1].corners, way.corners)
    assert [tank.mass for tank in direct.tanks] == [tank.mass for tank in case.tanks]


@pytest.mark.parametrize("axis", range(3))
def test_a_plane_reaches_past_the_hull_on_all_sides(axis):
    hull = build_hull(mesh(moved(box(10, 4, 3), (2.0, 1.0, -0.5))))
    plane = BoundaryEntry("boundary", Plane(axis, 0.7))
    (boundary,) = build_case(CaseEntry(HULL, boundaries=(plane,)), hull).boundaries
    assert boundary.name == "boundary" and (boundary.vertices[:, axis] == 0.7).all()
    others = [other for other in range(3) if other != axis]
    assert (boundary.vertices[:, others].min(axis=0) < hull.tree.low[others] - 0.1).all()
    assert (boundary.vertices[:, others].max(axis=0) > hull.tree.high[others] + 0.1).all()
    a, b, c = boundary.vertices[boundary.triangles].transpose(1, 0, 2)
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2
    assert area == pytest.approx(np.prod(np.ptp(boundary.vertices[:, others], axis=0)))


def test_a_box_is_closed_and_faces_outward():
    low, high = np.array([[1.0, -2.0, 3.0], [4.0, 5.0, 7.0]])
    mesh = box_mesh(Box(tuple(low), tuple(high)))
    a, b, c, d = (mesh.vertices[list(corner)] for corner in zip(*mesh.polygons, strict=True))
    vectors = np.cross(c - a, d - b) / 2
    assert vectors.sum(axis=0) == pytest.approx([0, 0, 0])
    assert np.einsum("ij,ij->", (a + c) / 2, vectors) / 3 == pytest.approx(np.prod(high - low))


@pytest.mark.parametrize("key", EXAMPLES)
def test_examples_come_with_their_parts(tmp_path, key):
    ship = load_example(key)
    entry = replace(ship.case_entry, title=ship.title, hull=HullEntry(ship.hull))
    text = write_case(tmp_path, entry)[0].read_text()
    again = parse_case(tomllib.loads(text))
    for table in ("openings", "doors", "compartments", "service", "criteria", "conditions"):
        assert getattr(again, table) == getattr(entry, table)
    assert [each.name for each in again.boundaries] == [each.name for each in entry.boundaries]
    assert text.count("# [[tank]]") == (0 if entry.tanks else 1)
