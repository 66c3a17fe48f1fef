"""Tanks, openings, windage, service, criteria and conditions: from case files and back."""

from __future__ import annotations

import tomllib
from dataclasses import fields, replace
from math import radians

import numpy as np
import pytest
from addon.parts.fitting import box_mesh, fitted
from addon.parts.outfit import (
    ASKED,
    SERVICE,
    Box,
    DoorEntry,
    OpeningEntry,
    Outfit,
    Plane,
    RoomEntry,
    TankEntry,
    WallEntry,
    WindageEntry,
)
from addon.parts.outfit_text import outfit_text
from hypothesis import given
from hypothesis import strategies as st

from addon.core.model.case import Case
from addon.core.model.conditions import Condition
from addon.core.model.hull import Marks, build_hull
from addon.core.model.openings import Door, Opening
from addon.core.model.service import Service
from addon.core.model.user_criteria import ANGLES, MEASURES, OwnRule
from addon.files.obj import PolygonMesh, obj_text
from addon.parts.case_file import CaseEntry, parse_case, read_case
from addon.parts.case_writer import HINTS, write_case
from addon.parts.examples import EXAMPLES
from addon.units.angles import exact_degrees
from tests.bodies import box, mesh, moved

HULL = PolygonMesh("hull", *box(10, 4, 3))
ODD = 0.1 + 0.2


def parsed(text: str) -> Outfit:
    return parse_case(tomllib.loads('[hull]\nmesh = "hull.obj"\n' + text)).outfit


def plain(outfit: Outfit) -> Outfit:
    """The outfit with openings and doors that compare by their figures."""

    def told(value: object) -> object:
        return value.tolist() if isinstance(value, np.ndarray) else value

    ways = (
        tuple(tuple((key, told(value)) for key, value in vars(way).items()) for way in each)
        for each in (outfit.openings, outfit.doors)
    )
    openings, doors = ways
    return replace(outfit, openings=openings, doors=doors)


def rules() -> tuple[OwnRule, ...]:
    """One of each measure, with a limit of many digits."""
    extra = {
        "GZ": {"start": radians(ODD)},
        "greatest GZ": {"start": radians(30)},
        "area": {"start": radians(0), "end": radians(40 / 3)},
        "heel under moment": {"moment": 1000 / 3},
    }
    return tuple(
        OwnRule(
            f"rule {i}",
            measure,
            radians(10 * i / 3) if measure in ANGLES else i / 3,
            None if i % 2 else 100.0,
            **extra.get(measure, {}),
        )
        for i, measure in enumerate(MEASURES)
    )


FULL = Outfit(
    tanks=(
        TankEntry('fu"el', Box((1.0, -ODD, 0.1), (2.0, 1 / 3, 1.0)), 850.0, ODD, 0.97, "liquids"),
        TankEntry("water", "water tank.obj", 999.1),
    ),
    openings=(
        Opening("vent", np.array([1 / 3, -ODD, 3.2])),
        Opening("hatch", np.array([5.0, 0.0, 3.1]), True, "hatch", ODD, 1 / 7, ("hold",)),
        OpeningEntry("skylight", "skylight.obj"),
        OpeningEntry("trunk", "trunk.obj", True, "hatch", ODD, 1 / 7, ("hold",)),
    ),
    windage=(
        WindageEntry("house", Box((4.0, -1.0, 3.0), (6.0, 1.0, 5.0))),
        WindageEntry("mast", "mast.ply"),
    ),
    walls=(
        WallEntry("bulkhead", Plane(0, 10 / 3)),
        WallEntry("along", Plane(1, -ODD)),
        WallEntry("deck", Plane(2, 0.0)),
        WallEntry("tank top", "tank top.stl"),
    ),
    rooms=(
        RoomEntry("hold", (5.0, -ODD, 1.0), "stores", 1 / 3),
        RoomEntry("cabin", Box((6.0, -1.0, 0.1), (7.0, 1.0, ODD)), "accommodation"),
        RoomEntry("peak", "peak.obj"),
    ),
    doors=(
        Door("door", np.array([10 / 3, 0.1, 0.7]), 4 / 3, 1.8, ("hold", "cabin"), shut=True),
        Door("pipe", np.array([5.0, ODD, 0.2]), 0.01, discharge=1 / 3),
        DoorEntry("arch", "arch.obj"),
        DoorEntry("leaf", "leaf.obj", 4 / 3, 1.8, ("hold", "cabin"), True, 1 / 3),
    ),
    service=Service(
        kind="passenger", waters="protected", passengers=12, crowd_offset=ODD, speed=1 / 3
    ),
    codes=(),
    own_rules=rules(),
    conditions=(
        Condition("light", {'fu"el': 0.0, "water": ODD}),
        Condition("arrival", {}, ('fu"el',), ("liquids", "crew"), 0.05, -1 / 3, ("hold", "peak")),
    ),
)


# From a file -----------------------------------------------------------------------------------


def test_every_key_of_an_outfit():
    outfit = parsed(
        """
        [[tank]]
        name = "fuel"
        mesh = "fuel.obj"
        density_kg_m3 = 850
        fill = 0.98
        permeability = 0.97
        group = "liquids"
        [[tank]]
        box_m = [[2, 1, 1], [1, -1, 0.5]]
        density_kg_m3 = 1000
        [[opening]]
        name = "vent"
        position_m = [3, 1.5, 3.25]
        [[opening]]
        position_m = [3, -1.5, 3.25]
        protection = "weathertight"
        kind = "hatch"
        area_m2 = 0.8
        height_m = 0.1
        rooms = ["hold"]
        [[opening]]
        mesh = "skylight.obj"
        protection = "weathertight"
        kind = "hatch"
        height_m = 0
        [[wall]]
        name = "bulkhead"
        x_m = 4
        [[wall]]
        z_m = -0.5
        [[wall]]
        mesh = "tank top.obj"
        [[room]]
        name = "hold"
        at_m = [6, 0, 1]
        use = "stores"
        permeability = 0.7
        [[room]]
        box_m = [[4, -1, 0], [2, 1, 1]]
        [[door]]
        name = "door"
        position_m = [4, 0, 0.8]
        area_m2 = 1.2
        height_m = 1.8
        rooms = ["hold", "room 2"]
        shut = true
        [[door]]
        position_m = [4, 1, 0.2]
        area_m2 = 0.01
        discharge = 0.5
        [[door]]
        name = "arch"
        mesh = "arch.obj"
        area_m2 = 1.1
        rooms = ["hold", "room 2"]
        discharge = 0.7
        [[windage]]
        name = "house"
        box_m = [[1, -1, 3], [2, 1, 5]]
        [[windage]]
        mesh = "mast.obj"
        [service]
        kind = "passenger"
        waters = "partially protected"
        passengers = 12
        passenger_mass_kg = 80
        passenger_deck_z_m = 1.9
        crowd_offset_m = 1.1
        speed_m_s = 5
        load_line_length_m = 11
        bilge = "sharp"
        bilge_keel_area_m2 = 0.5
        propulsion = "outboard"
        boat_mass_kg = 400
        motor_mass_kg = 60
        [criteria]
        codes = []
        [[criterion]]
        name = "heel of a crowd"
        measure = "heel under moment"
        at_most = 10
        moment_kg_m = 900
        [[criterion]]
        measure = "area"
        at_least = 0.055
        from_deg = 0
        to_deg = 30
        [[criterion]]
        measure = "GZ"
        at_least = 0.2
        at_deg = 30
        [[condition]]
        name = "arrival"
        fill = {fuel = 0.1}
        without = ["tank 2"]
        without_groups = ["crew"]
        mass_margin = 0.05
        rise_margin_m = 0.1
        flooded = ["hold"]
        """
    )
    fuel, other = outfit.tanks
    assert fuel == TankEntry("fuel", "fuel.obj", 850.0, 0.98, 0.97, "liquids")
    assert other == TankEntry("tank 2", Box((1.0, -1.0, 0.5), (2.0, 1.0, 1.0)), 1000.0)
    vent, hatch, skylight = outfit.openings
    assert skylight == OpeningEntry("opening 3", "skylight.obj", True, "hatch", height=0.0)
    assert (vent.name, *vent.point, vent.weathertight) == ("vent", 3.0, 1.5, 3.25, False)
    assert (hatch.name, *hatch.point, hatch.weathertight) == ("opening 2", 3.0, -1.5, 3.25, True)
    assert (vent.kind, vent.area, vent.height, vent.rooms) == ("vent", 0.0, 0.0, ())
    assert (hatch.kind, hatch.area, hatch.height, hatch.rooms) == ("hatch", 0.8, 0.1, ("hold",))
    assert outfit.walls == (
        WallEntry("bulkhead", Plane(0, 4.0)),
        WallEntry("wall 2", Plane(2, -0.5)),
        WallEntry("wall 3", "tank top.obj"),
    )
    assert outfit.rooms == (
        RoomEntry("hold", (6.0, 0.0, 1.0), "stores", 0.7),
        RoomEntry("room 2", Box((2.0, -1.0, 0.0), (4.0, 1.0, 1.0))),
    )
    door, pipe, arch = outfit.doors
    assert arch == DoorEntry("arch", "arch.obj", 1.1, rooms=("hold", "room 2"), discharge=0.7)
    assert (*door.point, door.area, door.height) == (4.0, 0.0, 0.8, 1.2, 1.8)
    assert (door.name, door.rooms, door.shut) == ("door", ("hold", "room 2"), True)
    assert (pipe.name, pipe.rooms, pipe.shut) == ("door 2", (), False)
    assert (door.discharge, pipe.discharge) == (None, 0.5)
    assert outfit.windage == (
        WindageEntry("house", Box((1.0, -1.0, 3.0), (2.0, 1.0, 5.0))),
        WindageEntry("windage 2", "mast.obj"),
    )
    assert outfit.service == Service(
        kind="passenger",
        waters="partially protected",
        passengers=12,
        passenger_mass=80.0,
        passenger_deck_z=1.9,
        crowd_offset=1.1,
        speed=5.0,
        load_line_length=11.0,
        bilge="sharp",
        bilge_keel_area=0.5,
        propulsion="outboard",
        boat_mass=400.0,
        motor_mass=60.0,
    )
    assert outfit.codes == ()
    assert outfit.own_rules == (
        OwnRule("heel of a crowd", "heel under moment", most=radians(10), moment=900.0),
        OwnRule("criterion 2", "area", least=0.055, start=0.0, end=radians(30)),
        OwnRule("criterion 3", "GZ", least=0.2, start=radians(30)),
    )
    assert outfit.conditions == (
        Condition("arrival", {"fuel": 0.1}, ("tank 2",), ("crew",), 0.05, 0.1, ("hold",)),
    )


def test_a_case_without_an_outfit_has_the_usual_one():
    assert parsed("") == Outfit()


@pytest.mark.parametrize("measure", MEASURES)
def test_limits_are_in_the_unit_of_their_measure(measure):
    more = {"from_deg": 1, "to_deg": 2, "at_deg": 3, "moment_kg_m": 4}
    asked = "\n".join(f"{key} = {more[key]}" for key in ASKED.get(measure, ()))
    (rule,) = parsed(
        f'[[criterion]]\nmeasure = "{measure}"\nat_least = 20\nat_most = 40\n{asked}\n'
    ).own_rules
    unit = radians(1) if "angle" in measure or measure in ("range", "heel under moment") else 1
    assert (rule.least, rule.most) == (pytest.approx(20 * unit), pytest.approx(40 * unit))


def test_every_fact_of_the_service_has_a_key_with_its_unit():
    """Words and counts need none."""
    bare = {key for key, fact in SERVICE.items() if key == fact}
    assert bare == {"kind", "waters", "passengers", "bilge", "propulsion"}
    assert set(SERVICE.values()) == {field.name for field in fields(Service)}


def test_bodies_stand_in_the_ship(tmp_path):
    """A box tank is in ship axes, a mesh of millimetres along -Y where the hull's mesh is."""
    hull = moved(box(10, 4, 3), (7.0, 1.0, 5.0))
    cube = moved(box(2, 2, 1), (8.0, 1.0, 5.5))

    def drawn(body, name):
        x, y, z = (body[0] * 1000).T
        mesh = PolygonMesh(name, np.column_stack([z, -x, -y]), body[1])
        (tmp_path / f"{name}.obj").write_text(obj_text(mesh))

    drawn(hull, "hull")
    drawn(cube, "cube")
    (tmp_path / "case.toml").write_text(
        'hull = {mesh = "hull.obj", forward = "-Y", up = "+X", metres_per_unit = 0.001}\n'
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


# And back --------------------------------------------------------------------------------------


def test_an_outfit_reads_back_to_the_last_digit():
    assert plain(parsed(outfit_text(FULL))) == plain(FULL)


def test_the_usual_outfit_is_not_written():
    assert outfit_text(Outfit()) == ""


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
    outfit_box = Box((1.0, -1.0, 0.5), (3.0, 1.0, 1.5))
    corners = np.add(origin, [(0, -2, 2), (10, -2, 2), (10, 2, 2), (0, 2, 2)])
    deck = PolygonMesh("deck", corners, ((0, 1, 2, 3),))
    hatch = PolygonMesh("hatch", corners + [0, 0, 1.1], deck.polygons)
    outfit = Outfit(
        openings=(Opening("vent", np.array([1.0, 0.0, 3.5])), OpeningEntry("hatch", hatch)),
        doors=(DoorEntry("lid", deck, area=1 / 3),),
        tanks=(
            TankEntry("drawn", tank, 850.0, 1 / 3),
            TankEntry("box", outfit_box, 850.0, 1 / 3),
        ),
        windage=(WindageEntry("house", house),),
        walls=(WallEntry("deck", deck), WallEntry("bulkhead", Plane(0, 5.0))),
        rooms=(RoomEntry("drawn", tank), RoomEntry("box", outfit_box), RoomEntry("at", (1, 0, 1))),
    )
    hull = PolygonMesh("hull", HULL.vertices + origin, HULL.polygons)
    marks = Marks(origin[0], origin[0] + 10, origin[2], origin[1])
    paths = write_case(tmp_path / "box", "Box", hull, marks=marks, outfit=outfit)
    bodies = ["tank-1.obj", "opening-2.obj", "windage-1.obj", "wall-1.obj", "room-1.obj"]
    written = ["case.toml", "weights.csv", "hull.obj", *bodies, "door-1.obj"]
    assert [path.name for path in paths] == written
    case = read_case(paths[0])
    drawn, boxed = case.tanks
    assert drawn.body.low.tolist() == boxed.body.low.tolist() == [1.0, -1.0, 0.5]
    assert drawn.mass == pytest.approx(boxed.mass, rel=1e-14)
    direct = fitted(case, outfit)
    assert np.array_equal(direct.windage, case.windage)
    for ours, theirs in zip(case.walls, direct.walls, strict=True):
        assert ours.name == theirs.name and np.array_equal(ours.triangles, theirs.triangles)
        assert np.array_equal(ours.vertices, theirs.vertices)
    deck, bulkhead = case.walls
    assert deck.vertices.tolist() == [[0, -2, 2], [10, -2, 2], [10, 2, 2], [0, 2, 2]]
    assert (bulkhead.vertices[:, 0] == 5.0).all()
    assert (bulkhead.vertices[:, 1:].min(axis=0) < [-2.1, -0.1]).all()
    assert (bulkhead.vertices[:, 1:].max(axis=0) > [2.1, 3.1]).all()
    drawn_room, boxed_room, at = case.room_marks
    assert drawn_room.body is not None and boxed_room.body is not None
    assert np.array_equal(drawn_room.body.max(axis=(0, 1)), boxed_room.body.max(axis=(0, 1)))
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
    plane = Outfit(walls=(WallEntry("wall", Plane(axis, 0.7)),))
    (wall,) = fitted(Case("ship", hull), plane).walls
    assert wall.name == "wall" and (wall.vertices[:, axis] == 0.7).all()
    others = [other for other in range(3) if other != axis]
    assert (wall.vertices[:, others].min(axis=0) < hull.tree.low[others] - 0.1).all()
    assert (wall.vertices[:, others].max(axis=0) > hull.tree.high[others] + 0.1).all()
    a, b, c = wall.vertices[wall.triangles].transpose(1, 0, 2)
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2
    assert area == pytest.approx(np.prod(np.ptp(wall.vertices[:, others], axis=0)))


def test_a_box_is_closed_and_faces_outward():
    low, high = np.array([[1.0, -2.0, 3.0], [4.0, 5.0, 7.0]])
    mesh = box_mesh(Box(tuple(low), tuple(high)))
    a, b, c, d = (mesh.vertices[list(corner)] for corner in zip(*mesh.polygons, strict=True))
    vectors = np.cross(c - a, d - b) / 2
    assert vectors.sum(axis=0) == pytest.approx([0, 0, 0])
    assert np.einsum("ij,ij->", (a + c) / 2, vectors) / 3 == pytest.approx(np.prod(high - low))


def test_hints_of_the_template_are_good_tables():
    """Uncommented, each reads as what it explains."""
    text = "\n".join(HINTS.values())
    live = "\n".join(
        line.removeprefix("# ") for line in text.splitlines() if "=" in line or "[" in line
    )
    outfit = parsed(live)
    lists = ("tanks", "openings", "windage", "walls", "rooms", "doors", "own_rules", "conditions")
    for part in lists:
        assert len(getattr(outfit, part)) == 1, part
    assert outfit.service.kind == "passenger" and outfit.codes


@pytest.mark.parametrize("key", EXAMPLES)
def test_examples_come_with_their_outfits(tmp_path, key):
    ship = EXAMPLES[key]()
    path, *_ = write_case(
        tmp_path,
        ship.title,
        ship.hull,
        marks=Marks(*ship.perpendiculars, 0.0, 0.0),
        mirror=ship.half_hull,
        outfit=ship.outfit,
    )
    text = path.read_text()
    entry = parse_case(tomllib.loads(text))
    assert isinstance(entry, CaseEntry)
    for part in ("service", "codes", "own_rules", "conditions"):
        assert getattr(entry.outfit, part) == getattr(ship.outfit, part)
    assert plain(entry.outfit).openings == plain(ship.outfit).openings
    assert plain(entry.outfit).doors == plain(ship.outfit).doors
    assert [wall.name for wall in entry.outfit.walls] == [wall.name for wall in ship.outfit.walls]
    assert entry.outfit.rooms == ship.outfit.rooms
    assert text.count("# [[tank]]") == (0 if ship.outfit.tanks else 1)
