"""Surfaces as people model them: what is kept of them, and what is said of them."""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.geometry.envelope import find_envelope
from addon.core.geometry.mesh import Mesh, mirrored, triangulate
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.model.case import Case
from addon.core.model.hull import Hull, build_hull
from addon.core.model.weights import Weight
from addon.examples.loader import EXAMPLES, load_example
from tests import bodies
from tests.language import reads, refused

Polygons = tuple[tuple[int, ...], ...]
ALWAYS_FOUND = {
    "open-dinghy": {"open-edge"},
    "sectional-pontoon": {"double-vertices", "inner-boundaries"},
    "leaky-workboat": {"open-edge"},
}


def example(key: str) -> Mesh:
    ship = load_example(key)
    mesh = triangulate(key, ship.hull.vertices, ship.hull.polygons)
    return mirrored(mesh) if ship.half_hull else mesh


def codes(hull: Hull) -> set[str]:
    return {finding.code for finding in hull.findings}


def floated(hull: Hull, mass: float, *center: float) -> FloatingPosition:
    return find_floating_position(Case("ship", hull, (Weight("all", mass, np.array(center)),)))


def turned(mesh: Mesh, which: np.ndarray) -> Mesh:
    triangles = np.where(which[:, None], mesh.triangles[:, ::-1], mesh.triangles)
    return Mesh(mesh.name, mesh.vertices, triangles, mesh.faces)


def without(body: bodies.Body, *faces: int) -> bodies.Body:
    vertices, polygons = body
    return vertices, tuple(face for index, face in enumerate(polygons) if index not in faces)


def facing(body: bodies.Body, axis: int, level: float) -> int:
    """Number of the face of a body that lies in the plane where a coordinate is `level`."""
    vertices, polygons = body
    flat = [(np.asarray(vertices)[list(face), axis] == level).all() for face in polygons]
    return flat.index(True)


@pytest.mark.parametrize("key", EXAMPLES)
def test_examples_have_nothing_wrong(key: str) -> None:
    hull = build_hull(example(key))
    assert codes(hull) == ALWAYS_FOUND.get(key, set())
    assert hull.parts == (2 if key == "catamaran" else 1)


@pytest.mark.parametrize("key", EXAMPLES)
def test_inward_normals_are_turned_and_reported(key: str) -> None:
    mesh = example(key)
    right = build_hull(mesh)
    some = np.random.default_rng(1).random(mesh.faces.max() + 1)[mesh.faces] < 0.3
    for which in (np.ones(len(mesh.faces), bool), some):
        hull = build_hull(turned(mesh, which))
        assert "inward-normals" in codes(hull)
        assert hull.volume == pytest.approx(right.volume, rel=1e-9)
        assert hull.tree.area == pytest.approx(right.tree.area, rel=1e-9)


def test_the_faces_that_look_inward_are_named() -> None:
    mesh = bodies.mesh(bodies.box(4.0, 3.0, 2.0))
    which = mesh.faces == 2
    (finding,) = build_hull(turned(mesh, which)).findings
    assert (finding.code, finding.severity, finding.element) == (
        "inward-normals",
        "warning",
        "face",
    )
    assert finding.elements.tolist() == [2]


def test_triangle_soup_is_welded() -> None:
    mesh = bodies.mesh(bodies.box(4.0, 3.0, 2.0, 2))
    soup = Mesh(
        "soup",
        mesh.vertices[mesh.triangles].reshape(-1, 3),
        np.arange(3 * len(mesh.triangles)).reshape(-1, 3),
        mesh.faces,
    )
    hull = build_hull(soup)
    assert hull.volume == pytest.approx(24.0, rel=1e-12)
    assert codes(hull) == {"double-vertices"}


def test_double_faces_count_once() -> None:
    vertices, polygons = bodies.box(4.0, 3.0, 2.0)
    hull = build_hull(bodies.mesh((vertices, (*polygons, polygons[1]))))
    assert hull.volume == pytest.approx(24.0, rel=1e-12)
    (double,) = (finding for finding in hull.findings if finding.code == "double-faces")
    assert double.elements.tolist() == [len(polygons)] and reads(double.text, "1 face")


def test_faces_without_area_are_reported() -> None:
    vertices, polygons = bodies.box(4.0, 3.0, 2.0)
    a, b = polygons[0][:2]
    middle = (np.asarray(vertices)[a] + np.asarray(vertices)[b]) / 2
    body = np.vstack([vertices, middle]), (*polygons, (a, b, len(vertices)))
    hull = build_hull(bodies.mesh(body))
    assert hull.volume == pytest.approx(24.0, rel=1e-9)
    assert "degenerate-faces" in codes(hull)


def test_a_hole_in_the_deck_fills_at_its_lowest_point() -> None:
    body = bodies.box(10.0, 4.0, 2.0)
    hull = build_hull(bodies.mesh(without(body, facing(body, 2, 2.0))))
    assert codes(hull) == {"open-edge"} and len(hull.rims) == 1
    ship = floated(hull, 1025.0 * 40, 5.0, 0.0, 0.5)
    assert ship.state == "afloat" and ship.downflooding_height == pytest.approx(1.0)
    assert ship.hydrostatics is not None
    assert ship.hydrostatics.immersion.wetted_surface == pytest.approx(40 + 2 * 14)


def test_a_hole_in_the_bottom_swamps() -> None:
    body = bodies.box(10.0, 4.0, 2.0)
    hull = build_hull(bodies.mesh(without(body, facing(body, 2, 0.0))))
    ship = floated(hull, 1025.0 * 40, 5.0, 0.0, 0.5)
    assert ship.state == "swamped" and ship.downflooding_height == pytest.approx(-1.0)
    assert ship.findings[0].code == "swamped"


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("walled", [False, True])
def test_half_a_hull_and_its_mirror(side: float, walled: bool) -> None:
    vertices, polygons = bodies.moved(bodies.box(10.0, 2.0, 2.0), (0.0, side, 0.0))
    if not walled:
        body = vertices, polygons
        polygons = without(body, facing(body, 1, 0.0))[1]
    whole = build_hull(mirrored(bodies.mesh((vertices, polygons))))
    assert whole.volume == pytest.approx(80.0, rel=1e-12)
    assert whole.tree.area == pytest.approx(2 * (40 + 20 + 8), rel=1e-12)
    assert (whole.parts, codes(whole)) == (1, set())


def test_half_a_hull_unmirrored_is_reported() -> None:
    body = bodies.moved(bodies.box(10.0, 2.0, 2.0), (0.0, 1.0, 0.0))
    hull = build_hull(bodies.mesh(without(body, facing(body, 1, 0.0))))
    assert "half-hull" in codes(hull)


def test_a_whole_hull_is_no_half() -> None:
    with refused(r"one side of the mirror plane.*-2 to 2"):
        mirrored(bodies.mesh(bodies.box(10.0, 4.0, 2.0)))


def test_a_tank_inside_displaces_nothing() -> None:
    inner = bodies.moved(bodies.box(2.0, 1.0, 0.5), (4.0, 0.0, 0.5))
    hull = build_hull(bodies.mesh(bodies.joined(bodies.box(10.0, 4.0, 2.0), inner)))
    assert hull.volume == pytest.approx(80.0, rel=1e-12)
    assert "nested-parts" in codes(hull) and hull.parts == 1


def test_parts_apart_add_up() -> None:
    other = bodies.moved(bodies.box(10.0, 1.0, 1.0), (0.0, 5.0, 0.0))
    hull = build_hull(bodies.mesh(bodies.joined(bodies.box(10.0, 1.0, 1.0), other)))
    assert hull.volume == pytest.approx(20.0, rel=1e-12)
    assert hull.parts == 2 and not hull.findings


def test_parts_that_run_into_each_other_are_reported() -> None:
    other = bodies.moved(bodies.box(10.0, 1.0, 1.0), (3.0, 0.3, 0.4))
    hull = build_hull(bodies.mesh(bodies.joined(bodies.box(10.0, 1.0, 1.0), other)))
    assert {"overlapping-parts", "crossing-faces"} & codes(hull)


def test_an_inner_wall_is_no_skin() -> None:
    """A bulkhead across a box, welded to its sides."""
    aft = bodies.box(5.0, 4.0, 2.0)
    ahead = bodies.moved(aft, (5.0, 0.0, 0.0))
    vertices, polygons = bodies.welded(bodies.joined(aft, ahead))
    seen: dict[frozenset[int], tuple[int, ...]] = {}
    for face in polygons:
        seen.setdefault(frozenset(face), face)
    hull = build_hull(bodies.mesh((vertices, tuple(seen.values()))))
    assert hull.volume == pytest.approx(80.0, rel=1e-12)
    assert hull.tree.area == pytest.approx(2 * (40 + 20 + 8), rel=1e-12)
    assert codes(hull) == {"inner-boundaries"}


def test_a_loose_fin_displaces_nothing() -> None:
    vertices, polygons = bodies.box(10.0, 4.0, 2.0)
    tip = np.array([[2.0, 0.0, -1.0], [4.0, 0.0, -1.0], [3.0, 0.0, -2.0]])
    body = np.vstack([vertices, tip]), (*polygons, tuple(range(len(vertices), len(vertices) + 3)))
    envelope = find_envelope(bodies.mesh(body))
    assert len(envelope.triangles) == 12
    assert {"loose-faces", "loose-edges", "open-edge"} & {f.code for f in envelope.findings}


def test_a_thick_tub_floats_on_its_inside() -> None:
    """A box given a thickness and left open at the top, its rim 0.05 m higher inside."""
    outer, inner = bodies.box(10.0, 4.0, 2.0), bodies.box(9.9, 3.9, 2.0)
    inner = bodies.moved(inner, (0.05, 0.0, 0.05))
    vertices, polygons = bodies.joined(outer, inner)
    top, cap = facing(outer, 2, 2.0), facing(inner, 2, 2.05)
    a, b = polygons[top], polygons[len(outer[1]) + cap]
    order = [min(b, key=lambda k: float(np.linalg.norm(vertices[k] - vertices[i]))) for i in a]
    sides = [face[::-1] for face in polygons[len(outer[1]) :] if face != b]
    rim = [(a[i], a[(i + 1) % 4], order[(i + 1) % 4], order[i]) for i in range(4)]
    tub = vertices, (*(f for f in polygons[: len(outer[1])] if f != a), *sides, *rim)
    hull = build_hull(bodies.mesh(tub))
    frustum = 0.05 / 6 * (10 * 4 + 4 * 9.95 * 3.95 + 9.9 * 3.9)
    assert hull.volume == pytest.approx(80 + frustum)
    assert codes(hull) == {"open-shell", "open-edge"}


@pytest.mark.parametrize("size", [1e-4, 1e3])
def test_size_does_not_matter(size: float) -> None:
    mesh = example("open-dinghy")
    scaled = Mesh("scaled", mesh.vertices * size, mesh.triangles, mesh.faces)
    hull, plain = build_hull(scaled), build_hull(mesh)
    assert hull.volume == pytest.approx(plain.volume * size**3, rel=1e-9)
    assert codes(hull) == codes(plain)


def test_far_from_the_origin() -> None:
    mesh = example("catamaran")
    far = mesh.vertices + [1e4, -2e4, 500.0]
    hull = build_hull(Mesh("far", far, mesh.triangles, mesh.faces))
    assert hull.volume == pytest.approx(build_hull(mesh).volume, rel=1e-9)
    assert hull.parts == 2 and not hull.findings


def test_deck_edge_of_a_box_with_a_cabin_and_a_bulb() -> None:
    """Freeboard is measured at the deck, not at the cabin's roof nor on a bulb below."""
    cabin = bodies.moved(bodies.box(3.0, 2.0, 1.5), (4.0, 0.0, 2.0))
    bulb = bodies.moved(bodies.box(3.0, 0.5, 0.5), (3.0, 0.0, -1.5))
    body = bodies.joined(bodies.joined(bodies.box(10.0, 4.0, 2.0), cabin), bulb)
    hull = build_hull(bodies.mesh(body))
    assert hull.deck_edge[:, :, 2].min() == pytest.approx(2.0 + 1.5)
    assert np.ptp(hull.deck_edge[:, :, 2]) == pytest.approx(1.5)
