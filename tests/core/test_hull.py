"""The hull in its own axes, and the edge of its deck."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np
import pytest
from scipy.interpolate import BSpline

from addon.core.arrays import Floats
from addon.core.buoyancy.attitude import Attitude
from addon.core.geometry.mesh import Mesh, mirrored, triangulate
from addon.core.geometry.winding_number import is_inside
from addon.core.hydrostatics.particulars import hydrostatics
from addon.core.model.hull import Hull, ReferencePlanes, build_hull
from addon.core.model.hull_openings import side_of_opening
from addon.examples.loader import EXAMPLES, load_example
from tests import bodies
from tests.language import refused

X, Y, Z = 0, 1, 2
HULL = (10.0, 4.0, 3.0)


def hull_of(body: bodies.Body, marks: ReferencePlanes | None = None) -> Hull:
    return build_hull(bodies.mesh(body), marks)


def solid(body: bodies.Body) -> manifold3d.Manifold:
    mesh = bodies.mesh(body)
    return manifold3d.Manifold(
        manifold3d.Mesh(
            np.ascontiguousarray(mesh.vertices, dtype=np.float32),
            np.ascontiguousarray(mesh.triangles, dtype=np.uint32),
        )
    )


def at(size: Sequence[float], *corner: float) -> bodies.Body:
    """A box of a size with its aft, lower end at x and z and the middle of its breadth at y."""
    return bodies.moved(bodies.box(*size), corner)


def union(first: bodies.Body, *others: bodies.Body) -> Hull:
    """One watertight surface of several, by manifold3d."""
    whole = solid(first)
    for other in others:
        whole += solid(other)
    return hull_from(whole)


def hull_from(whole: manifold3d.Manifold) -> Hull:
    mesh = whole.to_mesh()
    triangles = np.asarray(mesh.tri_verts, dtype=np.int64)
    vertices = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    return build_hull(Mesh("union", vertices, triangles, np.arange(len(triangles))))


def levels(hull: Hull) -> dict[float, float]:
    """Length of deck edge (m) at each height in the mesh as given, both to the millimeter."""
    edge = hull.deck_edge + hull.origin
    length = np.linalg.norm(edge[:, 1] - edge[:, 0], axis=1)
    height = edge[:, :, Z].mean(axis=1).round(3)
    return {
        level: pytest.approx(length[height == level].sum(), abs=1e-3)
        for level in np.unique(height).tolist()
    }


LAUNCH_SHEER = (
    (0.00, 0.85, 2.50, 4.80, 7.20, 9.50, 11.25, 11.95),
    (1.58, 1.68, 1.79, 1.85, 1.84, 1.62, 0.88, 0.04),
    (1.80, 1.77, 1.75, 1.79, 1.92, 2.15, 2.42, 2.58),
)
"""Control points of the port deck edge of the survey launch, x, y and z (m)."""


def example(key: str) -> Hull:
    ship = load_example(key)
    mesh = triangulate(key, ship.hull.vertices, ship.hull.polygons)
    return build_hull(mirrored(mesh) if ship.half_hull else mesh)


# Axes and marks.


def test_without_marks_the_bounding_box_gives_the_axes() -> None:
    hull = hull_of(at(HULL, 20.0, 7.0, -1.0))
    assert hull.origin == pytest.approx([20.0, 7.0, -1.0])
    assert (hull.length_pp, hull.midship_x) == (10.0, 5.0)
    assert (hull.length_overall, hull.breadth, hull.depth) == pytest.approx(HULL)
    assert hull.vertices.min(axis=0) == pytest.approx([0.0, -2.0, 0.0])
    assert hull.tree.low == pytest.approx([0.0, -2.0, 0.0])
    assert hull.volume == pytest.approx(120.0)


def test_marks_move_the_axes() -> None:
    hull = hull_of(at(HULL, 20.0, 7.0, -1.0), ReferencePlanes(21.0, 29.5, -1.5, 7.25))
    assert hull.origin == pytest.approx([21.0, 7.25, -1.5])
    assert hull.length_pp == 8.5
    assert hull.tree.low == pytest.approx([-1.0, -2.25, 0.5])
    assert levels(hull) == {2.0: 28.0}


@pytest.mark.parametrize("forward", [21.0, 20.0])
def test_perpendiculars_the_wrong_way_round_are_refused(forward: float) -> None:
    with refused(rf"x = {forward:g} m\) must lie ahead .*x = 21 m"):
        hull_of(at(HULL, 20.0, 0.0, 0.0), ReferencePlanes(21.0, forward))


def test_findings_stay_in_the_mesh_as_given() -> None:
    body = at(HULL, 20.0, 7.0, -1.0)
    top = next(i for i, face in enumerate(body[1]) if (body[0][list(face), Z] == 2.0).all())
    hull = hull_of((body[0], tuple(f for i, f in enumerate(body[1]) if i != top)))
    (opening,) = hull.findings
    assert opening.points.mean(axis=0) == pytest.approx([25.0, 7.0, 2.0])
    assert hull.rims[0].reshape(-1, 3).mean(axis=0) == pytest.approx([5.0, 0.0, 3.0])


# The deck edge.


@pytest.mark.parametrize("key", EXAMPLES)
def test_the_deck_edge_of_the_examples(key: str) -> None:
    """Just inboard and below it is hull, just above it and just outboard there is none; it runs
    from end to end on both sides, alike."""
    hull = example(key)
    edge = hull.deck_edge
    middle = edge.mean(axis=1)
    along = np.abs(edge[:, 1] - edge[:, 0])
    sides = along[:, X] > 0.2 * along[:, Y]
    corners = hull.vertices[hull.triangles]
    center = np.where(key == "catamaran", np.sign(middle[sides, Y]) * 2.0, 0.0)
    outboard = np.sign(middle[sides, Y] - center)[:, None] * [0.0, 0.004, 0.0]
    below = middle[sides] - [0.0, 0.0, 0.004]
    assert is_inside(below - outboard, corners).all()
    assert not is_inside(below + 2 * outboard, corners).any()
    assert not is_inside(middle + [0.0, 0.0, 0.004], corners).any() or key == "open-dinghy"
    for side in (edge[sides & (middle[:, Y] > 0)], edge[sides & (middle[:, Y] < 0)]):
        reach = np.sort(side[:, :, X], axis=1)
        reach = reach[reach[:, 0].argsort()]
        assert (reach[1:, 0] <= np.maximum.accumulate(reach[:-1, 1]) + 1e-9).all()
        assert reach[:, 1].max() - reach[0, 0] > 0.94 * hull.length_overall
    assert like(edge) == like(edge * [1.0, -1.0, 1.0])


def like(edges: Floats) -> set[frozenset]:
    return {frozenset(map(tuple, ends)) for ends in (edges.round(6) + 0.0).tolist()}


def test_freeboard_of_the_launch_is_its_lowest_sheer() -> None:
    """The sheer was drawn as a clamped cubic B-spline, here by scipy, through 41 stations."""
    hull = example("survey-launch")
    upright = hydrostatics(hull, Attitude.from_draft(0.85, hull.midship_x))
    knots = np.concatenate([np.zeros(3), np.linspace(0, 1, 6), np.ones(3)])
    sheer = BSpline(knots, np.transpose(LAUNCH_SHEER), 3)(np.linspace(0, 1, 41))
    assert upright.freeboard_min == pytest.approx(sheer[:, Z].min() - 0.85)
    lowest = sheer[sheer[:, Z].argmin()]
    assert np.abs(upright.freeboard_min_at) == pytest.approx(lowest)


@pytest.mark.parametrize("heel", [0.0, 12.0, -25.0])
@pytest.mark.parametrize("trim", [0.0, 3.0])
def test_freeboard_of_a_box(heel: float, trim: float) -> None:
    """Deck corner (0 or 10, +-2, 3) lowest: (3 - 1) cos t cos p - 2 cos t |sin p| - 5 sin t."""
    hull = hull_of(bodies.box(*HULL))
    p, t = np.radians([heel, trim])
    at_sea = hydrostatics(hull, Attitude.from_draft(1.0, 5.0, p, t))
    height = 2 * np.cos(t) * np.cos(p) - 2 * np.cos(t) * abs(np.sin(p)) - 5 * np.sin(t)
    assert at_sea.freeboard_min == pytest.approx(height)
    if heel:
        assert at_sea.freeboard_min_at[Y] == (-2.0 if heel > 0 else 2.0)
    if trim:
        assert at_sea.freeboard_min_at[X] == 0.0


def section(outline: Sequence[Sequence[float]]) -> Hull:
    """A prism 10 m long of half an outline to port, from the keel up to the middle of the deck."""
    half = [(y, z) for y, z in outline if y > 0]
    whole = [(0.0, outline[0][1]), *half, *([] if outline[-1][0] else [(0.0, outline[-1][1])])]
    return hull_of(bodies.prism([*whole, *((-y, z) for y, z in half[::-1])], 10.0, 4))


def test_a_cambered_deck_has_its_edge_at_the_side() -> None:
    hull = section([(0, 0), (2, 0), (2, 2), (1, 2.1), (0, 2.15)])
    edges = levels(hull)
    assert min(edges) == 2.0 and edges[2.0] == 20.0


def test_tumblehome_and_flare() -> None:
    assert levels(section([(0, 0), (2, 0), (2.2, 1), (1.8, 2)])) == {2.0: 27.2}
    assert levels(section([(0, 0), (1, 0), (1.2, 1), (2.5, 2)])) == {2.0: 30.0}


@pytest.mark.parametrize("angle", [44.0, 45.0, 46.0])
def test_a_side_that_leans_in_is_deck_from_45_degrees(angle: float) -> None:
    """Whatever rounding makes of just 45, to both sides alike."""
    rise = float(np.tan(np.radians(angle)))
    hull = section([(0, 0), (2, 0), (2, 1), (1, 1 + rise)])
    assert min(levels(hull)) == (1.0 if angle <= 45 else pytest.approx(1 + rise, abs=1e-3))
    assert like(hull.deck_edge) == like(hull.deck_edge * [1, -1, 1])


@pytest.mark.parametrize("sides", [8, 12, 16, 24, 100])
def test_a_log_has_its_deck_edge_where_it_leans_in_by_45_degrees(sides: int) -> None:
    """Radius 1: at 1 + cos 45, less half a side at most; the ends aside, both sides alike."""
    hull = hull_of(bodies.horizontal_cylinder(1.0, 10.0, sides, 3))
    lowest = min(levels(hull))
    assert 1 + np.cos(np.radians(45 + 360 / sides)) - 1e-3 <= lowest <= 1.708
    assert levels(hull)[lowest] == 20.0


def test_a_step_and_a_house() -> None:
    box = bodies.box(*HULL)
    assert levels(union(box, at((5, 4, 1), 0, 0, 3))) == {3.0: 14.0, 4.0: 18.0}
    assert levels(union(box, at((5, 2, 2), 2, 0, 3))) == {3.0: 28.0, 5.0: 14.0}
    assert levels(hull_of(bodies.joined(box, at((5, 2, 2), 2, 0, 3)))) == {3.0: 28.0, 5.0: 14.0}


def test_a_deck_edge_partly_under_a_wing_still_counts() -> None:
    """A bridge wider than the hull covers the middle of an edge ten meters long."""
    hull = union(bodies.box(*HULL), at((5, 2, 2), 2, 0, 3), at((3, 6, 1), 3, 0, 4))
    assert levels(hull)[3.0] == 28.0


def test_a_deck_wholly_covered_is_none() -> None:
    """A hull under a cabin that overhangs it all round: the cabin's roof is what is left."""
    assert levels(union(bodies.box(*HULL), at((12, 6, 1), -1, 0, 3))) == {4.0: 36.0}


def test_a_bulwark_of_some_thickness_carries_the_edge() -> None:
    well = solid(bodies.box(*HULL)) - solid(at((9.6, 3.6, 1), 0.2, 0, 2.5))
    assert levels(hull_from(well)) == {3.0: pytest.approx(28.0 + 26.4, abs=1e-3)}


BULB = bodies.scaled(bodies.uv_sphere(0.5, 24, 12), (3.0, 1.0, 1.0))
APPENDAGES = {
    "keel with a bulb": [at((2, 0.2, 2), 4, 0, -1.5), bodies.moved(BULB, (5, 0, -1.5))],
    "skeg under the stern": [at((2, 0.2, 2), 0.5, 0, -1)],
    "skeg aft of the transom": [at((2, 0.2, 2), -1, 0, -1)],
    "rudder": [at((0.8, 0.15, 1.5), -0.7, 0, -0.2)],
    "bulb ahead of the stem": [bodies.moved(bodies.scaled(BULB, (0.3, 0.6, 0.8)), (10, 0, 0.6))],
    "bilge keels": [at((6, 0.2, 0.2), 2, 2, 0.2), at((6, 0.2, 0.2), 2, -2, 0.2)],
}


@pytest.mark.parametrize("name", APPENDAGES)
def test_appendages_have_no_deck(name: str) -> None:
    assert levels(union(bodies.box(*HULL), *APPENDAGES[name])) == {3.0: 28.0}


def test_a_bulb_that_is_a_part_by_itself_has_no_deck() -> None:
    hull = hull_of(bodies.joined(bodies.box(*HULL), bodies.moved(BULB, (5, 0, -1.5))))
    assert hull.parts == 2 and levels(hull) == {3.0: 28.0}


def test_the_low_after_deck_of_a_ferry_is_no_ledge() -> None:
    """A mooring deck of a twentieth of its length, well below the roof that covers the rest."""
    hull = union(at((20.0, 4.0, 2.0), 0, 0, 0), at((19.0, 4.0, 6.0), 1, 0, 0))
    assert levels(hull) == {2.0: 6.0, 6.0: 46.0}


def test_a_tub_of_thick_planks_has_its_deck_edge_at_the_gunwale() -> None:
    """Though the bottom inside is many times as large."""
    tub = solid(bodies.box(*HULL)) - solid(at((9.9, 3.9, 3), 0.05, 0, 0.05))
    assert levels(hull_from(tub)) == {3.0: pytest.approx(28.0, abs=1e-3)}


@pytest.mark.parametrize("divisions", [1, 4])
def test_half_a_hull_has_the_deck_edge_of_the_whole(divisions: int) -> None:
    half = bodies.moved(bodies.box(10.0, 2.0, 3.0, divisions), (0.0, 1.0, 0.0))
    hull = build_hull(mirrored(bodies.mesh(half)))
    assert levels(hull) == {3.0: 28.0}


def breached(divisions: int, *at: float) -> Hull:
    """The box without its face about a point."""
    vertices, polygons = bodies.box(*HULL, divisions)
    off = [np.abs(vertices[list(face)].mean(axis=0) - at).max() for face in polygons]
    return hull_of((vertices, tuple(f for i, f in enumerate(polygons) if i != np.argmin(off))))


def test_an_open_boat_has_its_deck_edge_at_the_rim() -> None:
    assert levels(breached(1, 5, 0, 3)) == {3.0: 28.0}


@pytest.mark.parametrize(
    ("at", "place"),
    [((5, 0, 3), "top"), ((5, 2, 1.5), "side"), ((10, 0, 1.5), "side"), ((5, 0, 0), "bottom")],
)
def test_a_hole_in_a_decked_hull_is_no_deck_edge(at: tuple[float, ...], place: str) -> None:
    hull = breached(5, *at)
    assert levels(hull) == {3.0: 28.0}
    assert [side_of_opening(rim) for rim in hull.rims] == [place]


def test_a_hole_in_the_bottom_of_an_open_boat_is_no_deck_edge() -> None:
    """A tub of thick planks whose inner bottom lacks a face: that looks up and is no gunwale."""
    outer, inner = solid(bodies.box(*HULL)), solid(at((9.8, 3.8, 3.0), 0.1, 0.0, 0.1))
    mesh = (outer - inner).refine(4).to_mesh()
    triangles = np.asarray(mesh.tri_verts, dtype=np.int64)
    vertices = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    off = np.linalg.norm(vertices[triangles].mean(axis=1) - [5.0, 0.0, 0.1], axis=1)
    triangles = np.delete(triangles, off.argmin(), axis=0)
    hull = build_hull(Mesh("tub", vertices, triangles, np.arange(len(triangles))))
    assert hull.deck_edge[:, :, Z].min() == pytest.approx(3.0)


def test_a_crack_at_the_deck_edge_does_not_hide_it() -> None:
    """A corner on the edge that the side lacks: it has its deck edge whole."""
    vertices, polygons = bodies.box(*HULL)
    top = next(i for i, face in enumerate(polygons) if (vertices[list(face), Z] == 3.0).all())
    ring = list(polygons[top])
    middle = (vertices[ring[0]] + vertices[ring[1]]) / 2
    faces = [face for i, face in enumerate(polygons) if i != top]
    faces.append((ring[0], len(vertices), *ring[1:]))
    hull = hull_of((np.vstack([vertices, middle]), tuple(faces)))
    assert levels(hull) == {3.0: 28.0}


@pytest.mark.parametrize("single", [False, True])
def test_flush_decks_of_many_corners(single: bool) -> None:
    """A deck of one polygon with corners along its straight edges, and a bulkhead below."""
    x = np.linspace(0.0, 10.0, 9)
    outline = np.concatenate(
        [np.column_stack([x, np.full(9, -2.0)]), np.column_stack([x[::-1], np.full(9, 2.0)])]
    )
    upright = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    vertices, polygons = bodies.moved(bodies.prism(outline, 3.0), turn=upright.T)
    bulkhead = (4, 22, 31, 13)
    assert np.unique(vertices[list(bulkhead), X]).tolist() == [5.0]
    if single:
        vertices = vertices.astype(np.float32).astype(np.float64)
    hull = hull_of((vertices, (*polygons, bulkhead)))
    assert levels(hull) == {3.0: 28.0}
    assert {finding.code for finding in hull.findings} == {"inner-boundaries"}
