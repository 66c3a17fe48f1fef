"""The example ships: sound meshes, believable weights, and floating as their names promise.

The floating check cuts the hull with trimesh and sums cones to a point of the water plane.
"""

import re
from collections import Counter

import numpy as np
import pytest

from addon.core.messages.findings import BadInputError
from addon.core.model.loaded_case import in_condition
from addon.examples.loader import (
    DEFAULT,
    EXAMPLES,
    FOLDER,
    Example,
    copy_example,
    listing_launch,
    load_example,
)
from addon.files.obj import PolygonMesh, obj_text, parse_obj
from addon.parts.case_file import read_case

SHIPS = {key: load_example(key) for key in EXAMPLES}
LISTING = listing_launch()
CLOSED = ["survey-launch", "pontoon", "catamaran", "sectional-pontoon", "workboat"]
WATER_KG_M3 = 1025.0


def fan(mesh: PolygonMesh) -> np.ndarray:
    return np.array(
        [(p[0], *pair) for p in mesh.polygons for pair in zip(p[1:], p[2:], strict=False)]
    )


def volume(mesh: PolygonMesh) -> float:
    a, b, c = mesh.vertices[fan(mesh)].transpose(1, 0, 2)
    return np.einsum("ij,ij->", a, np.cross(b, c)) / 6


def rims(mesh: PolygonMesh) -> list[list[int]]:
    """Loops of vertices along edges that only one polygon has; neighbors must agree in sense."""
    edges = Counter((a, b) for p in mesh.polygons for a, b in zip(p, p[1:] + p[:1], strict=True))
    assert set(edges.values()) == {1}, f"{mesh.name}: neighbouring polygons disagree in sense"
    free = [(a, b) for a, b in edges if (b, a) not in edges]
    after = dict(free)
    assert len(after) == len(free), f"{mesh.name}: rims touch"
    loops = []
    while after:
        loop = list(after.popitem())
        while loop[-1] != loop[0]:
            loop.append(after.pop(loop[-1]))
        loops.append(loop[1:])
    return loops


def parts(mesh: PolygonMesh) -> list[PolygonMesh]:
    """The mesh taken apart where no vertex is shared."""
    label, before = np.arange(len(mesh.vertices)), None
    while not np.array_equal(label, before):
        before = label.copy()
        for p in mesh.polygons:
            label[list(p)] = label[list(p)].min()
    return [
        PolygonMesh(
            mesh.name, mesh.vertices, tuple(p for p in mesh.polygons if label[p[0]] == part)
        )
        for part in np.unique(label)
    ]


def outline(mesh: PolygonMesh, reflect: bool = False) -> set[frozenset]:
    """The polygons as sets of corners, free of numbering."""
    corners = np.round(mesh.vertices * (1, -1 if reflect else 1, 1), 6) + 0.0
    return {frozenset(map(tuple, corners[list(p)])) for p in mesh.polygons}


def both_sides(ship: Example) -> PolygonMesh:
    """The hull, a half hull completed by its reflection."""
    if not ship.half_hull:
        return ship.hull
    count = len(ship.hull.vertices)
    starboard = tuple(tuple(i + count for i in (p[0], *p[:0:-1])) for p in ship.hull.polygons)
    vertices = np.concatenate([ship.hull.vertices, ship.hull.vertices * (1, -1, 1)])
    return PolygonMesh("hull", vertices, ship.hull.polygons + starboard)


def answer(ship: Example) -> dict[str, tuple[float | str, ...]]:
    """Mass, place and group of each weight by its name."""
    return {w.name: (w.mass, *w.center.tolist(), w.group) for w in ship.weights}


def mass_and_G(ship: Example) -> tuple[float, np.ndarray]:
    """All on board, the content of box tanks up to its level upright."""
    aboard = [(w.mass, w.center) for w in ship.weights]
    for tank in ship.case_entry.tanks:
        low, high = np.array([tank.place.low, tank.place.high])
        size = (high - low) * (1, 1, tank.fill)
        aboard.append((tank.density * tank.permeability * size.prod(), low + size / 2))
    mass = np.array([each for each, _ in aboard])
    return mass.sum(), mass @ np.array([place for _, place in aboard]) / mass.sum()


def afloat(ship: Example) -> dict[str, float]:
    """Draft amidships, trim by the stern, GM (meters) and heel to starboard (degrees) at rest."""
    trimesh = pytest.importorskip("trimesh")
    hull = both_sides(ship)
    triangles = fan(hull)
    mass, G = mass_and_G(ship)

    def up(t: float, p: float) -> np.ndarray:
        return np.array([np.sin(t), np.cos(t) * np.sin(p), np.cos(t) * np.cos(p)])

    def below(u: np.ndarray, level: float) -> tuple[float, np.ndarray]:
        vertices, faces, _ = trimesh.intersections.slice_faces_plane(
            hull.vertices, triangles, plane_normal=-u, plane_origin=level * u
        )
        corners = vertices[faces] - level * u
        cones = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
        return cones.sum(), level * u + cones @ corners.sum(axis=1) / 4 / cones.sum()

    def waterline(u: np.ndarray) -> float:
        low, high = (hull.vertices @ u).min() + 1e-3, (hull.vertices @ u).max() - 1e-3
        for _ in range(34):
            level = (low + high) / 2
            light = below(u, level)[0] < mass / WATER_KG_M3
            low, high = (level, high) if light else (low, level)
        return low

    def arms(angles: np.ndarray) -> np.ndarray:
        u = up(*angles)
        return np.cross(below(u, waterline(u))[1] - G, u)[:2]

    angles, nudge = np.zeros(2), 1e-4 * np.eye(2)
    for _ in range(4):
        slope = np.transpose([(arms(angles + d) - arms(angles - d)) / 2e-4 for d in nudge])
        angles = angles - np.linalg.solve(slope, arms(angles))
    assert np.abs(arms(angles)).max() < 1e-6
    u = up(*angles)
    aft, forward = ((waterline(u) - x * u[0]) / u[2] for x in ship.perpendiculars)
    return {
        "draft_mid_m": (aft + forward) / 2,
        "trim_m": aft - forward,
        "heel_deg": np.degrees(angles[1]),
        "GM_solid_m": -slope[0, 1],
    }


@pytest.mark.parametrize("key", SHIPS)
def test_mesh_is_well_formed(key):
    ship = SHIPS[key]
    assert ship.key == key and ship.hull.name == "hull" and ship.title
    names = [mesh.name for mesh in (ship.hull, *ship.fittings)]
    assert len(set(names)) == len(names)
    for mesh in (ship.hull, *ship.fittings):
        assert mesh.vertices.dtype == np.float64 and mesh.vertices.shape[1:] == (3,)
        assert np.isfinite(mesh.vertices).all()
        assert {i for p in mesh.polygons for i in p} == set(range(len(mesh.vertices)))
        for p in mesh.polygons:
            assert len(set(p)) == len(p) >= 3
            middle = mesh.vertices[list(p)].mean(axis=0)
            if len(p) > 4:
                assert np.linalg.svd(mesh.vertices[list(p)] - middle)[1][2] < 2e-3, "bent n-gon"


@pytest.mark.parametrize("key", SHIPS)
def test_origin_is_the_aft_perpendicular_on_the_baseline(key):
    ship = SHIPS[key]
    assert ship.hull.vertices[:, [0, 2]].min(axis=0) == pytest.approx([0, 0], abs=1e-9)
    aft, forward = ship.perpendiculars
    assert aft == 0 < forward <= ship.hull.vertices[:, 0].max() + 0.01


@pytest.mark.parametrize("key", CLOSED)
def test_hull_is_closed_and_faces_outward(key):
    for part in parts(SHIPS[key].hull):
        assert rims(part) == []
        assert volume(part) > 0


@pytest.mark.parametrize("key", SHIPS)
def test_hull_is_symmetric(key):
    hull = both_sides(SHIPS[key])
    assert outline(hull) == outline(hull, reflect=True)


@pytest.mark.parametrize("key", SHIPS)
def test_fittings_are_closed_but_for_window_panes(key):
    for mesh in SHIPS[key].fittings:
        if mesh.name == "windows":
            assert all(len(p) == 4 for p in mesh.polygons)
        else:
            for part in parts(mesh):
                assert rims(part) == [] and volume(part) > 0, mesh.name


def test_dinghy_has_one_rim_at_its_gunwale():
    (rim,) = rims(SHIPS["open-dinghy"].hull)
    assert SHIPS["open-dinghy"].hull.vertices[rim, 2].min() > 0.5
    assert volume(SHIPS["open-dinghy"].hull) > 0


def test_half_launch_is_open_along_the_centerline_and_half_the_launch():
    half = SHIPS["half-launch"]
    (rim,) = rims(half.hull)
    assert half.half_hull and half.hull.vertices[:, 1].min() == 0
    assert set(rim) == set(np.flatnonzero(half.hull.vertices[:, 1] == 0))
    assert 2 * volume(half.hull) == pytest.approx(volume(SHIPS["survey-launch"].hull), rel=1e-9)
    assert outline(both_sides(half)) == outline(SHIPS["survey-launch"].hull)


def test_launch_is_fair_enough_to_show():
    hull = SHIPS["survey-launch"].hull
    sizes = Counter(map(len, hull.polygons))
    assert sizes[4] > 0.99 * len(hull.polygons)
    length, breadth, _ = np.ptp(hull.vertices, axis=0)
    assert length == pytest.approx(12.0, abs=0.05) and breadth == pytest.approx(3.6, abs=0.15)


def test_leaky_workboat_is_the_workboat_with_its_hatch_open():
    tight, leaky = SHIPS["workboat"], SHIPS["leaky-workboat"]
    (rim,) = rims(leaky.hull)
    assert outline(leaky.hull) < outline(tight.hull)
    x, y, z = leaky.hull.vertices[rim].T
    assert 5.2 < x.min() and x.max() < 9.4 and abs(y).max() < 1.0 and z.min() > 2.5
    assert answer(leaky) == answer(tight)


def test_pontoon_is_a_block():
    pontoon = SHIPS["pontoon"].hull
    assert pontoon.vertices.shape == (8, 3) and set(map(len, pontoon.polygons)) == {4}
    assert volume(pontoon) == pytest.approx(10 * 4 * 1.2)


def test_sectional_pontoon_is_closed_floats_side_by_side():
    hull = SHIPS["sectional-pontoon"].hull
    floats = parts(hull)
    assert len(floats) == 5 * 3 and len(hull.vertices) == 8 * len(floats)
    assert [volume(each) for each in floats] == pytest.approx([2.4 * 1.2 * 0.6] * len(floats))
    assert np.ptp(hull.vertices, axis=0) == pytest.approx([5 * 2.4, 3 * 1.2, 0.6])


def test_sectional_pontoon_lists_by_the_crate_left_and_is_ballasted_upright():
    """Heel upright by moment over displacement times GM, KM by B^2 / (12 T) and T / 2."""
    case = read_case(FOLDER / "sectional-pontoon" / "case.toml")
    list_deg = {}
    for condition in case.conditions:
        load = in_condition(case, condition).load
        T = load.mass / 1025.0 / (12.0 * 3.6)
        x, y, z = load.solid.center
        GM = T / 2 + 3.6**2 / (12 * T) - z
        list_deg[condition.name] = np.degrees(np.arctan(y / GM))
    landed, ballasted = list_deg.values()
    assert 2.4 < landed < 2.8 and abs(ballasted) < 0.1


def test_catamaran_has_two_equal_hulls():
    port, starboard = parts(SHIPS["catamaran"].hull)
    assert volume(port) == pytest.approx(volume(starboard))
    assert outline(port) == outline(starboard, reflect=True)


@pytest.mark.parametrize("ship", [*SHIPS.values(), LISTING], ids=[*SHIPS, "winch to port"])
def test_weights_are_believable(ship):
    names = [w.name for w in ship.weights]
    assert len(set(names)) == len(names) and all(w.group for w in ship.weights)
    vertices = np.concatenate([m.vertices for m in (both_sides(ship), *ship.fittings)])
    for weight in ship.weights:
        assert weight.mass > 0
        assert np.all(vertices.min(axis=0) <= weight.center)
        assert np.all(weight.center <= vertices.max(axis=0))
    if ship.key in CLOSED:
        reserve = volume(ship.hull) * WATER_KG_M3 / mass_and_G(ship)[0]
        assert reserve > 2


def test_the_winch_is_all_that_moves():
    before, after = answer(SHIPS["survey-launch"]), answer(LISTING)
    assert before.keys() == after.keys()
    assert [name for name in before if before[name] != after[name]] == ["survey winch"]
    (mass, _, y, _, group), (other, _, aside, _, same) = (
        ship["survey winch"] for ship in (before, after)
    )
    assert (mass, group) == (other, same) and y == 0 < aside
    shifts = [
        np.abs(new.vertices - old.vertices).max()
        for old, new in zip(SHIPS["survey-launch"].fittings, LISTING.fittings, strict=True)
        if not np.array_equal(old.vertices, new.vertices)
    ]
    assert shifts == pytest.approx([2.08])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("key", "draft", "GM"),
    [
        ("survey-launch", (0.80, 0.90), (0.6, 1.2)),
        ("open-dinghy", (0.12, 0.22), (0.3, 0.8)),
        ("pontoon", (0.35, 0.45), (2.0, 3.5)),
        ("catamaran", (0.40, 0.55), (8.0, 16.0)),
        ("sectional-pontoon", (0.28, 0.34), (2.6, 3.1)),
        ("workboat", (1.05, 1.25), (0.8, 1.2)),
    ],
)
def test_floats_upright_near_level_trim(key, draft, GM):
    ship, rest = SHIPS[key], afloat(SHIPS[key])
    assert draft[0] < rest["draft_mid_m"] < draft[1]
    assert GM[0] < rest["GM_solid_m"] < GM[1]
    assert abs(rest["trim_m"]) < 0.01 * ship.perpendiculars[1]
    assert abs(rest["heel_deg"]) < 0.1


def test_pontoon_floats_by_the_closed_form():
    mass, G = mass_and_G(SHIPS["pontoon"])
    draft = mass / WATER_KG_M3 / 40
    rest = afloat(SHIPS["pontoon"])
    assert rest["draft_mid_m"] == pytest.approx(draft, rel=1e-4)
    assert rest["GM_solid_m"] == pytest.approx(draft / 2 + 4**2 / (12 * draft) - G[2], rel=1e-3)


def test_launch_lists_to_port_with_the_winch_outboard():
    assert -6 < afloat(LISTING)["heel_deg"] < -3


@pytest.mark.parametrize("key", SHIPS)
def test_files_of_an_example(key):
    """A mesh that no case names is a fitting, and `new` writes the case's files as they are."""
    folder = FOLDER / key
    named = re.findall(r'^(?:mesh|weight_list) = "(.*?)"', (folder / "case.toml").read_text(), re.M)
    assert {path.name for path in folder.iterdir()} - {"fittings"} == {"case.toml", *named}
    for path in folder.glob("**/*.obj"):
        text = path.read_text(encoding="utf-8")
        assert obj_text(PolygonMesh(path.stem.replace("-", " "), *parse_obj(text))) == text


@pytest.mark.parametrize("key", SHIPS)
def test_a_copy_is_the_case(tmp_path, key):
    copied = copy_example(key, tmp_path / "ship")
    assert copied[0].name == "case.toml"
    for path in copied:
        assert path.read_bytes() == (FOLDER / key / path.name).read_bytes()
    assert {path.name for path in copied} == {
        path.name for path in (FOLDER / key).iterdir() if path.is_file()
    }
    with pytest.raises(BadInputError, match="exists already"):
        copy_example(key, tmp_path / "ship")


def test_the_example_to_start_from_is_one():
    assert DEFAULT in EXAMPLES
