"""From meshes as people model them, in order and out of it, to the surface that keeps water out.

Truth is a closed form, or the divergence theorem over the mesh before it was spoilt.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Bools, Floats
from addon.core.buoyancy.moment_tree import build_tree
from addon.core.geometry.envelope import Envelope, find_envelope
from addon.core.geometry.mesh import Mesh, mirrored, triangulate
from addon.core.messages.findings import Finding
from addon.examples.loader import EXAMPLES, load_example
from tests import bodies
from tests.language import reads, refused

Chosen = Callable[[Floats], bool]

TOP, BOTTOM = 3.0, 0.0
X, Y, Z = 0, 1, 2
seeds = st.integers(0, 10**6)


def volume(envelope: Envelope) -> float:
    return build_tree(envelope.vertices, envelope.triangles, envelope.caps).volume


def surface(envelope: Envelope) -> float:
    """Wettable area, without the lids."""
    return build_tree(envelope.vertices, envelope.triangles, envelope.caps).area


def reported(envelope: Envelope) -> dict[str, Finding]:
    return {finding.code: finding for finding in envelope.findings}


def found(body: bodies.Body) -> Envelope:
    return find_envelope(bodies.mesh(body))


def box(divisions: int = 1) -> bodies.Body:
    """10 m by 4 m by 3 m: 120 m3, 164 m2."""
    return bodies.box(10.0, 4.0, TOP, divisions)


def where(body: bodies.Body, chosen: Chosen) -> list[int]:
    """Numbers of the polygons by the mean of their corners."""
    vertices, polygons = body
    return [i for i, face in enumerate(polygons) if chosen(vertices[list(face)].mean(axis=0))]


def without(body: bodies.Body, chosen: Chosen) -> bodies.Body:
    out = set(where(body, chosen))
    return body[0], tuple(face for i, face in enumerate(body[1]) if i not in out)


def plate(*corners: Sequence[float]) -> bodies.Body:
    return np.array(corners, dtype=np.float64), (tuple(range(len(corners))),)


def grid(axis: int, at: float, u: Sequence[float], v: Sequence[float]) -> bodies.Body:
    """A sheet of quads in the plane where a coordinate is `at`, over the next two axes."""

    def place(a: Floats, b: Floats) -> Floats:
        points = np.full((*a.shape, 3), at)
        points[..., (axis + 1) % 3], points[..., (axis + 2) % 3] = a, b
        return points

    return bodies.sheet(place, np.asarray(u, dtype=float), np.asarray(v, dtype=float))


def lattice(
    marks: Sequence[Sequence[float]], hull: Chosen, inner: Callable[[int, Floats], bool]
) -> bodies.Body:
    """Quads between marks along x, y and z: those of the box's own skin where `hull`, and the
    others, normal to an axis, where `inner`. Welded."""
    quads = []
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        for at in marks[axis]:
            outside = at in (marks[axis][0], marks[axis][-1])
            for i, j in product(range(len(marks[u]) - 1), range(len(marks[v]) - 1)):
                corners = np.zeros((4, 3))
                corners[:, axis] = at
                corners[:, u] = np.array(marks[u])[[i, i + 1, i + 1, i]]
                corners[:, v] = np.array(marks[v])[[j, j, j + 1, j + 1]]
                middle = corners.mean(axis=0)
                if hull(middle) if outside else inner(axis, middle):
                    quads.append(corners)
    polygons = tuple(tuple(range(4 * i, 4 * i + 4)) for i in range(len(quads)))
    return bodies.welded((np.concatenate(quads), polygons))


def example(key: str) -> Mesh:
    ship = load_example(key)
    mesh = triangulate(key, ship.hull.vertices, ship.hull.polygons)
    return mirrored(mesh) if ship.half_hull else mesh


def truth(key: str) -> tuple[float, float]:
    """Volume (m3) and skin (m2) of an example by direct sums over its outward faces."""
    if key == "sectional-pontoon":
        return 12 * 3.6 * 0.6, 2 * (12 * 3.6 + 12 * 0.6 + 3.6 * 0.6)
    mesh = example(key)
    corners = mesh.vertices[mesh.triangles]
    if key in ("open-dinghy", "leaky-workboat"):
        half = np.concatenate([mesh.triangles[:, [i, (i + 1) % 3]] for i in range(3)])
        there = set(map(tuple, half.tolist()))
        rim = half[[(b, a) not in there for a, b in half.tolist()]]
        ends = mesh.vertices[rim]
        spans = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
        middle = spans @ ends.mean(axis=1) / spans.sum()
        cap = np.concatenate([ends[:, ::-1], np.broadcast_to(middle, (len(rim), 1, 3))], axis=1)
    else:
        cap = np.zeros((0, 3, 3))
    a, b, c = np.concatenate([corners, cap]).transpose(1, 0, 2)
    volume = np.einsum("ij,ij->", a, np.cross(b, c)) / 6
    a, b, c = corners.transpose(1, 0, 2)
    return volume, np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2


def flipped(mesh: Mesh, which: Bools) -> Mesh:
    triangles = np.where(which[:, None], mesh.triangles[:, ::-1], mesh.triangles)
    return Mesh(mesh.name, mesh.vertices, triangles, mesh.faces)


def soup(mesh: Mesh) -> Mesh:
    corners = mesh.vertices[mesh.triangles].reshape(-1, 3)
    return Mesh(mesh.name, corners, np.arange(len(corners)).reshape(-1, 3), mesh.faces)


def doubled(mesh: Mesh, every: int) -> Mesh:
    again = mesh.triangles[::every][:, [1, 0, 2]]
    faces = mesh.faces.max() + 1 + np.arange(len(again))
    return Mesh(
        mesh.name,
        mesh.vertices,
        np.concatenate([mesh.triangles, again]),
        np.concatenate([mesh.faces, faces]),
    )


def single(mesh: Mesh) -> Mesh:
    """Coordinates as single precision keeps them."""
    vertices = mesh.vertices.astype(np.float32).astype(np.float64)
    return Mesh(mesh.name, vertices, mesh.triangles, mesh.faces)


# The examples, spoilt.


@pytest.mark.slow
@pytest.mark.parametrize("key", EXAMPLES)
def test_examples_whichever_way_their_faces_look(key: str) -> None:
    mesh, (space, area) = example(key), truth(key)
    count = len(mesh.triangles)
    rng = np.random.default_rng(7)
    for which in (
        np.ones(count, bool),
        np.arange(count) < count // 2,
        np.arange(count) == count // 3,
        rng.random(count) < 0.5,
    ):
        for spoilt in (flipped(mesh, which), flipped(soup(mesh), which)):
            envelope = find_envelope(spoilt)
            assert volume(envelope) == pytest.approx(space, rel=1e-12)
            assert surface(envelope) == pytest.approx(area, rel=1e-12)
            kept = envelope.source[envelope.source >= 0]
            turned = np.unique(mesh.faces[kept[which[kept]]])
            named = [f.elements for f in envelope.findings if f.code == "inward-normals"]
            assert np.concatenate([*named, []]).tolist() == turned.tolist()


@pytest.mark.slow
@pytest.mark.parametrize("key", EXAMPLES)
def test_examples_doubled_scaled_moved_and_rounded(key: str) -> None:
    mesh, (space, area) = example(key), truth(key)
    double = find_envelope(doubled(mesh, 5))
    assert volume(double) == pytest.approx(space, rel=1e-12)
    assert surface(double) == pytest.approx(area, rel=1e-12)
    assert len(reported(double)["double-faces"].elements)
    for scale in (1e-3, 1e3):
        model = Mesh(key, mesh.vertices * scale, mesh.triangles, mesh.faces)
        assert volume(find_envelope(model)) == pytest.approx(space * scale**3, rel=1e-12)
    far = Mesh(key, mesh.vertices + [1e5, -7e4, 3e3], mesh.triangles, mesh.faces)
    assert volume(find_envelope(far)) == pytest.approx(space, rel=1e-9)
    for spoilt, close in ((single(mesh), 1e-6), (single(far), 2e-3)):
        envelope = find_envelope(spoilt)
        assert volume(envelope) == pytest.approx(space, rel=close)
        assert set(reported(envelope)) == set(reported(find_envelope(mesh)))


# Doubles and slivers.


@given(seed=seeds)
@settings(max_examples=15, deadline=None)
def test_corners_apart_by_rounding_are_one(seed: int) -> None:
    """As single precision leaves the corners of parts that were joined: a tenth of the weld."""
    mesh = soup(bodies.mesh(bodies.box(10.0, 4.0, 3.0, 4)))
    rng = np.random.default_rng(seed)
    shaken = mesh.vertices + rng.uniform(-2.5e-7, 2.5e-7, mesh.vertices.shape) * mesh.size
    envelope = find_envelope(Mesh("soup", shaken, mesh.triangles, mesh.faces))
    assert set(reported(envelope)) == {"double-vertices"}
    assert len(reported(envelope)["double-vertices"].elements) == len(shaken) - 98
    assert envelope.caps == 0
    assert volume(envelope) == pytest.approx(120.0, rel=1e-5)


def test_corners_further_apart_than_the_weld_are_not_one() -> None:
    vertices, polygons = box()
    top = next(face for face in polygons if (vertices[list(face), Z] == TOP).all())
    raised = plate(*(vertices[list(top)] + [0.0, 0.0, 0.01]))
    others = tuple(face for face in polygons if face != top)
    envelope = found(bodies.joined((vertices, others), raised))
    assert "open-edge" in reported(envelope) and "double-vertices" not in reported(envelope)


def test_faces_without_area() -> None:
    vertices, polygons = box()
    a, b = (i for i in range(8) if vertices[i, Y] == -2.0 and vertices[i, Z] == TOP)
    middle = np.array([[5.0, -2.0, TOP]])
    spoilt = np.concatenate([vertices, middle]), (*polygons, (a, a, b), (a, b, 8))
    envelope = found(spoilt)
    assert reported(envelope)["degenerate-faces"].elements.tolist() == [6, 7]
    assert volume(envelope) == pytest.approx(120.0)
    assert set(reported(envelope)) == {"degenerate-faces"}


@pytest.mark.parametrize("off", [0.0, 1e-7, 5e-5])
def test_a_t_junction_is_a_crack_and_no_opening(off: float) -> None:
    """A corner on the edge of a face that does not have it; the deck edge stays whole."""
    vertices, polygons = box()
    a, b = (i for i in range(8) if vertices[i, Y] == -2.0 and vertices[i, Z] == TOP)
    top = next(i for i, face in enumerate(polygons) if {a, b} < set(face) and i > 3)
    at = polygons[top].index(a)
    split = (*polygons[top][: at + 1], 8, *polygons[top][at + 1 :])
    if polygons[top][(at + 1) % 4] != b:
        split = (*polygons[top][:at], 8, *polygons[top][at:])
    spoilt = (
        np.concatenate([vertices, [[5.0, -2.0, TOP - off]]]),
        tuple(split if i == top else face for i, face in enumerate(polygons)),
    )
    envelope = found(spoilt)
    assert set(reported(envelope)) == {"cracks"} and envelope.rims == ()
    pairs = {frozenset(pair) for pair in reported(envelope)["cracks"].elements.tolist()}
    assert pairs == {frozenset((a, b)), frozenset((a, 8)), frozenset((8, b))}
    assert envelope.caps == 0
    assert volume(envelope) == pytest.approx(120.0, rel=1e-4)


@pytest.mark.parametrize("turned", [False, True])
def test_faces_twice_with_other_diagonals(turned: bool) -> None:
    vertices, polygons = box(2)
    again = tuple(face[1:] + face[:1] for face in polygons)
    envelope = found((vertices, (*polygons, *(bodies.reversed_faces(again) if turned else again))))
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(164.0)
    assert envelope.parts == 1


# Polygons of any shape.


@given(seed=seeds, corners=st.integers(5, 14))
@settings(max_examples=40, deadline=None)
def test_a_prism_of_any_outline(seed: int, corners: int) -> None:
    """Volume and skin from the outline's own area and length; a bulkhead of the same shape,
    from whatever corner its triangles start, is no part of the skin."""
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0, 2 * np.pi, corners))
    if np.diff([*angle, angle[0] + 2 * np.pi]).max() > 2.5:
        return
    outline = rng.uniform(0.3, 1.0, corners)[:, None] * np.column_stack(
        [np.cos(angle), np.sin(angle)]
    )
    outline = np.insert(outline, 2, (outline[1] + outline[2]) / 2, axis=0)
    count = len(outline)
    y, z = outline.T
    area = (y @ np.roll(z, -1) - z @ np.roll(y, -1)) / 2
    girth = np.linalg.norm(np.roll(outline, -1, axis=0) - outline, axis=1).sum()
    vertices, polygons = bodies.prism(outline, 4.0, 2)
    bulkhead = tuple(np.roll(np.arange(count, 2 * count), rng.integers(count)).tolist())
    for faces in (polygons, (*polygons, bulkhead)):
        envelope = found((vertices, faces))
        assert volume(envelope) == pytest.approx(4.0 * area)
        assert surface(envelope) == pytest.approx(4.0 * girth + 2 * area)
        assert envelope.parts == 1
        assert set(reported(envelope)) == (
            {"inner-boundaries"} if len(faces) > len(polygons) else set()
        )


def test_a_polygon_of_missing_or_endless_corners_is_left_to_the_reader() -> None:
    points = np.array([[0, 0, 0], [1, 0, 0], [np.inf, 1, 0], [0, np.nan, 0]], dtype=float)
    assert triangulate("odd", points, ((0, 1, 2, 3),)).triangles.shape == (2, 3)
    assert triangulate("odd", points[:2], ((0, 1, 2, 9),)).triangles.shape == (2, 3)
    assert triangulate("line", points[:2], ((0, 1), (0,))).triangles.shape == (0, 3)


# Openings.


def test_two_cockpits_and_a_hole_in_the_bottom() -> None:
    def holes(c: Floats) -> bool:
        deck = c[Z] == TOP and abs(c[Y]) < 0.3 and (2 < c[X] < 4 or 6 < c[X] < 8)
        return deck or (c[Z] == BOTTOM and abs(c[Y]) < 0.3 and 4 < c[X] < 6)

    body = box(5)
    envelope = found(without(body, holes))
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(164.0 - 3 * 2 * 0.8)
    assert sorted(rim[..., Z].max() for rim in envelope.rims) == [BOTTOM, TOP, TOP]
    openings = [f for f in envelope.findings if f.code == "open-edge"]
    assert [f.severity for f in openings] == ["note"] * 3
    for opening in openings:
        assert opening.element == "edge" and opening.elements.shape == (4, 2)
        ends = body[0][opening.elements]
        assert opening.points == pytest.approx(ends.mean(axis=1))
        assert reads(opening.text, "4 edges round an opening of 1.6 m2")


def test_a_missing_triangle_is_an_opening_where_it_was() -> None:
    mesh = bodies.mesh(box(4))
    gone = 17
    kept = np.arange(len(mesh.triangles)) != gone
    envelope = find_envelope(Mesh("hull", mesh.vertices, mesh.triangles[kept], mesh.faces[kept]))
    (rim,) = envelope.rims
    assert volume(envelope) == pytest.approx(120.0)
    corners = mesh.vertices[mesh.triangles[gone]]
    assert np.unique(rim.reshape(-1, 3), axis=0) == pytest.approx(np.unique(corners, axis=0))


def test_two_openings_that_share_a_corner() -> None:
    def holes(c: Floats) -> bool:
        return c[Z] == TOP and (
            (4 < c[X] < 6 and abs(c[Y]) < 0.3) or (6 < c[X] < 8 and 0.5 < c[Y] < 1.1)
        )

    envelope = found(without(box(5), holes))
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(164.0 - 2 * 1.6)
    assert sum(map(len, envelope.rims)) == 8


def test_a_catamaran_of_two_open_hulls() -> None:
    open_ = without(box(2), lambda c: c[Z] == TOP)
    envelope = found(bodies.joined(bodies.moved(open_, (0, 5, 0)), bodies.moved(open_, (0, -5, 0))))
    assert volume(envelope) == pytest.approx(240.0)
    assert surface(envelope) == pytest.approx(248.0)
    assert (envelope.parts, len(envelope.rims)) == (2, 2)


def test_the_lid_never_dips_below_the_rim() -> None:
    """The rim of a boat with sheer; a bulkhead hollowed at the top takes no part in it."""
    boat = lattice(
        [(0, 2.5, 5, 7.5, 10), (-2, -1, 0, 1, 2), (0, 1, 2, 3)],
        lambda c: c[Z] != TOP,
        lambda axis, c: axis == X and c[X] == 5 and (abs(c[Y]) > 1 or c[Z] < 1),
    )
    vertices = boat[0].copy()
    sheer = vertices[:, Z] == TOP
    vertices[sheer, Z] += 0.02 * (vertices[sheer, X] - 5) ** 2
    envelope = found((vertices, boat[1]))
    (rim,) = envelope.rims
    assert len(rim) == 16 and rim[..., Z].min() == TOP
    caps = envelope.triangles[len(envelope.triangles) - envelope.caps :]
    assert envelope.vertices[caps][..., Z].min() >= TOP
    assert set(reported(envelope)) >= {"inner-boundaries", "open-edge"}


MARKS = [(0, 2, 4, 6, 8, 10), (-2, -1, 0, 1, 2), (0, 1.5, TOP)]


def deck(c: Floats) -> bool:
    return c[Z] == TOP


DECKED = {
    "bulkhead to the rim": (
        lambda c: not deck(c),
        lambda axis, c: axis == X and c[X] == 6,
    ),
    "bulkheads along and across": (
        lambda c: not deck(c),
        lambda axis, c: (axis == Y and c[Y] == 0) or (axis == X and c[X] in (4, 8)),
    ),
    "frames and a thwart": (
        lambda c: not deck(c),
        lambda axis, c: (axis == X and c[Z] < 1.5) or (axis == Z and 4 < c[X] < 6),
    ),
    "foredeck over a bulkhead": (
        lambda c: not (deck(c) and c[X] < 6),
        lambda axis, c: axis == X and c[X] == 6,
    ),
    "foredeck over a beam": (
        lambda c: not (deck(c) and c[X] < 6),
        lambda axis, c: axis == X and c[X] == 6 and c[Z] > 1.5,
    ),
    "decks at both ends": (
        lambda c: not (deck(c) and 4 < c[X] < 6),
        lambda axis, c: axis == X and c[X] in (4, 6),
    ),
    "hatch between bulkheads": (
        lambda c: not (deck(c) and 4 < c[X] < 8 and abs(c[Y]) < 1),
        lambda axis, c: axis == X and c[X] in (4, 8),
    ),
    "two hatches that meet at a bulkhead": (
        lambda c: not (deck(c) and 2 < c[X] < 8 and abs(c[Y]) < 1),
        lambda axis, c: axis == X and c[X] in (2, 4, 8),
    ),
    "side tanks": (
        lambda c: not (deck(c) and abs(c[Y]) < 1),
        lambda axis, c: axis == Y and abs(c[Y]) == 1,
    ),
    "side tanks that end in the forepeak": (
        lambda c: not (deck(c) and abs(c[Y]) < 1 and c[X] < 6),
        lambda axis, c: axis == Y and abs(c[Y]) == 1 and c[X] < 6,
    ),
    "tanks all round": (
        lambda c: not (deck(c) and abs(c[Y]) < 1 and 2 < c[X] < 8),
        lambda axis, c: (
            (axis == Y and abs(c[Y]) == 1 and 2 < c[X] < 8)
            or (axis == X and c[X] in (2, 8) and abs(c[Y]) < 1)
        ),
    ),
}


@pytest.mark.parametrize("name", DECKED)
def test_open_boats_with_decks_bulkheads_and_tanks(name: str) -> None:
    hull, inner = DECKED[name]
    body = lattice(MARKS, hull, inner)
    envelope = found(body)
    missing = sum(
        2.0
        for c in product((1, 3, 5, 7, 9), (-1.5, -0.5, 0.5, 1.5), (TOP,))
        if not hull(np.array(c))
    )
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(164.0 - missing)
    assert envelope.parts == 1
    assert envelope.rims and all((rim[..., Z] == TOP).all() for rim in envelope.rims)
    for opening in (f for f in envelope.findings if f.code == "open-edge"):
        assert (body[0][opening.elements][..., Z] == TOP).all()


@given(seed=seeds)
@settings(max_examples=25, deadline=None)
def test_a_barge_of_holds_some_of_them_open(seed: int) -> None:
    """Bulkheads at random, and over any hold a deck with a hatch, none, or no hatch."""
    rng = np.random.default_rng(seed)
    nx, ny = int(rng.integers(3, 8)), int(rng.integers(2, 5))
    x = np.cumsum(rng.uniform(0.5, 2.0, nx + 1)).round(3)
    y = np.cumsum(rng.uniform(0.5, 1.5, ny + 1)).round(3)
    across = [i for i in range(1, nx) if rng.random() < 0.5]
    along = [j for j in range(1, ny) if rng.random() < 0.25]
    hatches = np.zeros((nx, ny), bool)
    for hold in np.split(np.arange(nx), across):
        a, c = rng.integers(0, len(hold)), rng.integers(0, ny)
        b, d = rng.integers(a, len(hold)) + 1, rng.integers(c, ny) + 1
        kind = rng.random()
        if kind < 0.3:
            hatches[hold] = True
        elif kind < 0.5:
            hatches[hold, c:d] = True
        elif kind < 0.7:
            hatches[hold[a:b], c:d] = True

    def is_skin(c: Floats) -> bool:
        cell = np.searchsorted(x, c[X]) - 1, np.searchsorted(y, c[Y]) - 1
        return not (c[Z] == 2.0 and hatches[cell])

    def boundary(axis: int, c: Floats) -> bool:
        return (axis == X and c[X] in x[across]) or (axis == Y and c[Y] in y[along])

    envelope = found(lattice([x.tolist(), y.tolist(), [0.0, 1.0, 2.0]], is_skin, boundary))
    assert volume(envelope) == pytest.approx(np.ptp(x) * np.ptp(y) * 2.0)
    assert bool(envelope.rims) == hatches.any()
    assert all((rim[..., Z] == 2.0).all() for rim in envelope.rims)


@given(seed=seeds, open_=st.booleans())
@settings(max_examples=25, deadline=None)
def test_sheets_inside_a_hull_displace_nothing(seed: int, open_: bool) -> None:
    """Any of the boundaries of a lattice inside a box, closed or wholly open, and a fin below."""
    rng = np.random.default_rng(seed)
    n = rng.integers(1, 4, 3)
    marks = [list(range(k + 1)) for k in n]
    body = lattice(
        marks, lambda c: not (open_ and c[Z] == n[2]), lambda axis, c: rng.random() < 0.5
    )
    x, y = int(rng.integers(0, n[0])), int(rng.integers(0, n[1] + 1))
    fin = plate((x, y, 0), (x + 1, y, 0), (x + 1, y, -1), (x, y, -1))
    envelope = found(bodies.welded(bodies.joined(body, fin)))
    assert volume(envelope) == pytest.approx(n.prod())
    assert len(envelope.rims) == open_
    assert all((rim[..., Z] == n[2]).all() for rim in envelope.rims)


# Loose sheets.


FIN = plate((3, 0, -0.5), (7, 0, -0.5), (7, 0, -1.5), (3, 0, -1.5))
LOOSE = {
    "fin that floats free": FIN,
    "fin that touches the keel": bodies.moved(FIN, (0, 0, 0.5)),
    "bulkhead that touches the sides": plate((5, -2, 0), (5, 2, 0), (5, 2, TOP), (5, -2, TOP)),
    "bulkhead that touches nothing": plate((5, -1, 1), (5, 1, 1), (5, 1, 2), (5, -1, 2)),
    "deck that touches the sides": plate((0, -2, 2), (10, -2, 2), (10, 2, 2), (0, 2, 2)),
    "fin at a corner of the keel": plate((0, -2, 0), (0, -2, -1), (-1, -2, -1)),
}


@pytest.mark.parametrize("name", LOOSE)
@pytest.mark.parametrize("open_", [False, True])
def test_a_loose_sheet_is_reported_and_is_no_opening(name: str, open_: bool) -> None:
    body = without(box(2), lambda c: open_ and c[Z] == TOP)
    envelope = found(bodies.joined(body, LOOSE[name]))
    assert reported(envelope)["loose-faces"].elements.tolist() == [len(body[1])]
    assert reported(envelope)["loose-faces"].severity == "warning"
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(124.0 if open_ else 164.0)
    assert len(envelope.rims) == open_ and ("open-edge" in reported(envelope)) == open_


def test_a_fin_on_the_keel_is_reported_with_its_free_edges() -> None:
    body = box(2)
    keel = sorted(
        (i for i, v in enumerate(body[0]) if v[Z] == 0 and v[Y] == 0), key=lambda i: body[0][i, X]
    )
    count = len(body[0])
    low = np.array([(0, 0, -1), (5, 0, -1), (10, 0, -1)], dtype=float)
    fins = (
        (keel[0], keel[1], count + 1, count),
        (keel[1], keel[2], count + 2, count + 1),
    )
    envelope = found((np.concatenate([body[0], low]), (*body[1], *fins)))
    assert volume(envelope) == pytest.approx(120.0) and envelope.rims == ()
    assert reported(envelope)["loose-faces"].elements.tolist() == [24, 25]
    edges = {frozenset(pair) for pair in reported(envelope)["loose-edges"].elements.tolist()}
    path = [keel[0], count, count + 1, count + 2, keel[2]]
    assert edges == {frozenset(pair) for pair in pairwise(path)}


@pytest.mark.parametrize("divisions", [1, 4, 8])
@pytest.mark.parametrize("open_", [False, True])
def test_a_long_keel_makes_no_trough_of_a_side(divisions: int, open_: bool) -> None:
    hull = bodies.wedge(divisions=divisions)
    hull = without(hull, lambda c: open_ and c[Z] == 3.0)
    keel = grid(Y, 0.0, [0.0, -0.5, -1.0], np.linspace(0, 10, divisions + 1))
    envelope = found(bodies.welded(bodies.joined(hull, keel)))
    assert volume(envelope) == pytest.approx(60.0)
    assert len(envelope.rims) == open_


def test_a_bulwark_shuts_a_deck_in_only_all_round() -> None:
    hull = box(4)
    steps = [TOP, TOP + 0.5, TOP + 1.0]
    sides = [grid(Y, y, steps, np.linspace(0, 10, 5)) for y in (-2.0, 2.0)]
    ends = [grid(X, x, np.linspace(-2, 2, 5), steps) for x in (0.0, 10.0)]
    partly = found(bodies.welded(bodies.joined(hull, *sides, ends[1])))
    assert volume(partly) == pytest.approx(120.0) and partly.rims == ()
    assert len(reported(partly)["loose-faces"].elements) == 24
    whole = found(bodies.welded(bodies.joined(hull, *sides, *ends)))
    assert volume(whole) == pytest.approx(160.0)
    assert [rim[..., Z].min() for rim in whole.rims] == [TOP + 1.0]


def moebius(twists: int = 1, around: int = 24) -> bodies.Body:
    """A band of two rows about the z axis with so many half twists."""
    turn = 2 * np.pi * np.arange(around) / around
    across = np.array([-0.5, 0.0, 0.5])[None]
    reach = 2 + across * np.cos(twists * turn / 2)[:, None]
    points = np.stack(
        [
            reach * np.cos(turn)[:, None],
            reach * np.sin(turn)[:, None],
            across * np.sin(twists * turn / 2)[:, None],
        ],
        axis=-1,
    ).reshape(-1, 3)
    faces = []
    for i, j in product(range(around), range(2)):
        ahead = 3 * (i + 1) + np.array([j, j + 1])
        if i == around - 1:
            ahead = np.array([2 - j, 1 - j]) if twists % 2 else np.array([j, j + 1])
        faces.append((3 * i + j, int(ahead[0]), int(ahead[1]), 3 * i + j + 1))
    return points, tuple(faces)


def klein(around: int = 24, across: int = 12) -> bodies.Body:
    """A figure of eight swept about the z axis with half a turn."""

    def at(u: Floats, v: Floats) -> Floats:
        reach = 3 + np.cos(u / 2) * np.sin(v) - np.sin(u / 2) * np.sin(2 * v)
        height = np.sin(u / 2) * np.sin(v) + np.cos(u / 2) * np.sin(2 * v)
        return np.stack([reach * np.cos(u), reach * np.sin(u), height], axis=-1)

    v = np.linspace(0, 2 * np.pi, across + 1) + np.pi / across
    return bodies.welded(bodies.sheet(at, np.linspace(0, 2 * np.pi, around + 1), v), 9)


@pytest.mark.parametrize("band", [moebius(), moebius(3), klein()])
def test_a_surface_with_one_side_encloses_nothing(band: bodies.Body) -> None:
    with refused("encloses nothing; close it"):
        found(band)
    envelope = found(bodies.joined(box(), bodies.moved(band, (5, 0, 10))))
    assert volume(envelope) == pytest.approx(120.0) and envelope.rims == ()
    assert len(reported(envelope)["loose-faces"].elements) == len(band[1])


# Several parts.


def boxes(*places: tuple[Sequence[float], Sequence[float]]) -> bodies.Body:
    """Boxes, each from its low to its high corner, sharing no vertex."""
    parts = []
    for low, high in places:
        size = np.subtract(high, low)
        start = np.add(low, (0, size[1] / 2, 0))
        parts.append(bodies.moved(bodies.box(*size), start))
    return bodies.joined(*parts)


HULL = ((0, -2, 0), (10, 2, 3))
NESTED = {
    "in the middle": ((2, -1, 1), (4, 1, 2)),
    "on the bottom": ((2, -1, 0), (4, 1, 2)),
    "in a corner": ((0, -2, 0), (4, 0, 1)),
    "along the whole bottom": ((0, -2, 0), (10, 2, 1)),
    "from end to end": ((0, -1, 1), (10, 1, 2)),
    "through and through": ((2, -2, 0), (4, 2, 3)),
}


@pytest.mark.parametrize("inner", NESTED.values(), ids=NESTED)
@pytest.mark.parametrize("inverted", [False, True])
def test_a_tank_inside_displaces_nothing(
    inner: tuple[Sequence[float], Sequence[float]], inverted: bool
) -> None:
    tank = boxes(inner)
    if inverted:
        tank = tank[0], bodies.reversed_faces(tank[1])
    for parts in ((boxes(HULL), tank), (tank, boxes(HULL))):
        envelope = found(bodies.joined(*parts))
        assert volume(envelope) == pytest.approx(120.0)
        assert surface(envelope) == pytest.approx(164.0)


def test_the_faces_of_nested_parts_are_named() -> None:
    envelope = found(boxes(HULL, ((2, -1, 1), (4, 1, 2)), ((2.5, -0.5, 1.2), (3, 0, 1.5))))
    finding = reported(envelope)["nested-parts"]
    assert finding.elements.tolist() == list(range(6, 18)) and finding.severity == "warning"
    assert reads(finding.text, "2 closed parts (12 faces)")


OVERLAPS = {
    "one beside the other": ((5, -2, 0), (15, 2, 3)),
    "half as wide": ((5, -1, 0), (15, 1, 3)),
    "through the deck": ((2, -1, 2), (4, 1, 4)),
    "across": ((4, -5, 0), (6, 5, 3)),
    "across and deeper": ((4, -5, -1), (6, 5, 4)),
}


@pytest.mark.parametrize("other", OVERLAPS.values(), ids=OVERLAPS)
def test_parts_that_overlap_are_never_silent(
    other: tuple[Sequence[float], Sequence[float]],
) -> None:
    envelope = found(boxes(HULL, other))
    assert volume(envelope) == pytest.approx(120.0 + np.prod(np.subtract(other[1], other[0])))
    warned = {code for code, finding in reported(envelope).items() if finding.severity == "warning"}
    assert warned & {"overlapping-parts", "crossing-faces"}
    for code in warned:
        assert len(reported(envelope)[code].elements) > 0


TOUCHING = {
    "end to end": (((10, -2, 0), (20, 2, 3)), 48.0),
    "end to end and smaller": (((10, -1, 0), (15, 1, 2)), 0.0),
    "at an edge": (((10, 2, 0), (20, 6, 3)), 0.0),
    "at a corner": (((10, 2, 3), (20, 6, 6)), 0.0),
    "a house as wide at one end": (((0, -2, 3), (5, 2, 5)), 0.0),
    "a house in the middle": (((2, -1, 3), (5, 1, 5)), 0.0),
    "a house all over": (((0, -2, 3), (10, 2, 5)), 80.0),
}


@pytest.mark.parametrize("other,gone", TOUCHING.values(), ids=TOUCHING)
@pytest.mark.parametrize("merged", [False, True])
def test_parts_that_touch_add_up(
    other: tuple[Sequence[float], Sequence[float]], gone: float, merged: bool
) -> None:
    """Their boundaries in common are no skin where they have the same corners."""
    body = boxes(HULL, other)
    size = np.subtract(other[1], other[0])
    if merged:
        body = bodies.welded(body)
    envelope = found(body)
    assert volume(envelope) == pytest.approx(120.0 + size.prod())
    faces = 2 * (size[0] * size[1] + size[1] * size[2] + size[2] * size[0])
    if gone == 48.0:
        gone = 24.0
    assert surface(envelope) == pytest.approx(164.0 + faces - gone)
    assert not any(f.severity == "warning" for f in envelope.findings)


def cells(rng: np.random.Generator, low: Floats, high: Floats, depth: int) -> list[tuple]:
    """A box cut at random into boxes."""
    axis = int(rng.integers(3))
    if depth == 0 or high[axis] - low[axis] < 2:
        return [(low, high)]
    at = rng.integers(low[axis] + 1, high[axis])
    left, right = high.copy(), low.copy()
    left[axis] = right[axis] = at
    return cells(rng, low, left, depth - 1) + cells(rng, right, high, depth - 1)


@given(seed=seeds, shaken=st.booleans(), merged=st.booleans())
@settings(max_examples=40, deadline=None)
def test_boxes_that_fill_a_box(seed: int, shaken: bool, merged: bool) -> None:
    """Boxes of any size in contact, some missing: corners, edges and parts of faces shared,
    diagonals and normals at random, at a slant."""
    rng = np.random.default_rng(seed)
    chosen = [
        each
        for each in cells(rng, np.zeros(3, int), np.array([8, 4, 4]), int(rng.integers(1, 6)))
        if rng.random() > 0.2
    ]
    if not chosen:
        return
    vertices, polygons = boxes(*chosen)
    polygons = tuple(tuple(np.roll(face, rng.integers(4)).tolist()) for face in polygons)
    if merged:
        vertices, polygons = bodies.welded((vertices, polygons))
    slant = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    vertices = vertices @ slant.T + 0.3
    if shaken:
        vertices = vertices + rng.uniform(-3e-7, 3e-7, vertices.shape)
    mesh = bodies.mesh((vertices, polygons))
    envelope = find_envelope(flipped(mesh, rng.random(len(mesh.triangles)) < 0.3))
    total = sum(np.subtract(high, low).prod() for low, high in chosen)
    assert volume(envelope) == pytest.approx(total, rel=1e-5)


@given(seed=seeds, doubled_boundaries=st.booleans(), shaken=st.booleans())
@settings(max_examples=30, deadline=None)
def test_cubes_with_walls_between_them(seed: int, doubled_boundaries: bool, shaken: bool) -> None:
    """Any set of cubes of a lattice, their boundaries double or merged to one, with any
    diagonals."""
    rng = np.random.default_rng(seed)
    solid = rng.random(rng.integers(1, 5, 3)) < rng.uniform(0.4, 1.0)
    solid.flat[0] = True
    vertices, polygons = boxes(*((at, at + 1) for at in np.argwhere(solid)))
    polygons = tuple(tuple(np.roll(face, rng.integers(4)).tolist()) for face in polygons)
    if not doubled_boundaries:
        vertices, polygons = bodies.welded((vertices, polygons))
        polygons = tuple({frozenset(face): face for face in polygons}.values())
    if shaken:
        vertices = vertices + rng.uniform(-3e-7, 3e-7, vertices.shape)
    mesh = bodies.mesh((vertices, polygons))
    envelope = find_envelope(flipped(mesh, rng.random(len(mesh.triangles)) < 0.5))
    filled = ~outside(~solid)
    around = np.pad(filled, 1).astype(int)
    area = sum(np.abs(np.diff(around, axis=axis)).sum() for axis in range(3))
    assert volume(envelope) == pytest.approx(filled.sum(), rel=1e-5)
    assert surface(envelope) == pytest.approx(area, rel=1e-5)


def outside(empty: Bools) -> Bools:
    """Which of the empty cells water reaches from without, through their faces."""
    air = np.pad(empty, 1, constant_values=True)
    wet = np.zeros_like(air)
    wet[0] = True
    while True:
        spread = wet.copy()
        for axis in range(3):
            for step in (1, -1):
                spread |= np.roll(wet, step, axis=axis)
        spread &= air
        if (spread == wet).all():
            return wet[1:-1, 1:-1, 1:-1]
        wet = spread


# Given a thickness.


def thick(mesh: Mesh, inner: Floats) -> Mesh:
    """A mesh and the same of the vertices `inner`, turned over, the free edges joined."""
    count = len(mesh.vertices)
    half = np.concatenate([mesh.triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    twins = {(b, a) for a, b in half.tolist()}
    rim = np.array([pair for pair in half.tolist() if tuple(pair) not in twins], int).reshape(-1, 2)
    triangles = np.concatenate(
        [
            mesh.triangles,
            mesh.triangles[:, ::-1] + count,
            np.column_stack([rim[:, ::-1], rim[:, 0] + count]),
            np.column_stack([rim[:, 1], rim + count])[:, [0, 1, 2]],
        ]
    )
    vertices = np.concatenate([mesh.vertices, inner])
    return Mesh("thick", vertices, triangles, np.arange(len(triangles)))


def test_an_open_hull_with_a_thickness_is_the_hull_up_to_its_rim() -> None:
    tub = bodies.mesh(without(box(4), lambda c: c[Z] == TOP))
    share = np.array([9.9 / 10, 3.9 / 4, 1.0])
    inner = (tub.vertices - [5, 0, TOP]) * share * [1, 1, 2.95 / 3] + [5, 0, TOP]
    envelope = find_envelope(thick(tub, inner))
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(164.0 - 9.9 * 3.9)
    (rim,) = envelope.rims
    assert rim[..., Z].min() == rim[..., Z].max() == TOP
    assert set(reported(envelope)) == {"open-shell", "open-edge"}
    assert reported(envelope)["open-shell"].severity == "note"
    assert len(reported(envelope)["open-shell"].elements) == len(tub.triangles)


def test_one_that_lies_on_its_rim_is_a_thin_shell() -> None:
    """Open below, so that nothing stands in it."""
    tub = bodies.mesh(without(box(4), lambda c: c[Z] == BOTTOM))
    inner = (tub.vertices - [5, 0, 0]) * [9.9 / 10, 3.9 / 4, 2.95 / 3] + [5, 0, 0]
    envelope = find_envelope(thick(tub, inner))
    assert volume(envelope) == pytest.approx(120.0 - 9.9 * 3.9 * 2.95)
    assert envelope.rims == () and reported(envelope)["thin-shell"].severity == "warning"
    area = 124.0 + 9.9 * 3.9 + 2 * 2.95 * 13.8 + (40 - 9.9 * 3.9)
    thickness = 2 * volume(envelope) / area
    assert reads(reported(envelope)["thin-shell"].text, f"about {thickness:.3g} m thick")


def test_a_closed_hull_with_a_thickness_is_its_outer_skin() -> None:
    hull = bodies.mesh(box(2))
    envelope = find_envelope(thick(hull, (hull.vertices - [5, 0, 1.5]) * 0.98 + [5, 0, 1.5]))
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(164.0)
    assert "nested-parts" in reported(envelope) and "thin-shell" not in reported(envelope)


def test_a_flat_raft_is_no_thin_shell() -> None:
    assert reported(found(bodies.box(10.0, 4.0, 0.1))) == {}


# Half hulls.


def half(divisions: int = 3, side: float = 1.0) -> bodies.Body:
    """Half of the box, to one side of y = 0, with its boundary there."""
    return bodies.moved(bodies.box(10.0, 2.0, TOP, divisions), (0.0, side, 0.0))


HALVES = {
    "with the boundary": lambda c: False,
    "without it": lambda c: c[Y] == 0,
    "with part of it": lambda c: c[Y] == 0 and c[X] > 4,
    "open": lambda c: c[Y] == 0 or c[Z] == TOP,
    "with a cockpit": lambda c: c[Y] == 0 or (c[Z] == TOP and abs(c[Y]) < 0.7 and 3 < c[X] < 7),
}


@pytest.mark.parametrize("gone", HALVES.values(), ids=HALVES)
@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("off", [0.0, 2e-6])
def test_half_a_hull_makes_a_whole(gone: Chosen, side: float, off: float) -> None:
    vertices, polygons = without(half(side=side), gone)
    rng = np.random.default_rng(3)
    plane = vertices[:, Y] == 0
    vertices[plane, Y] += rng.uniform(-off, off, plane.sum())
    envelope = find_envelope(mirrored(bodies.mesh((vertices, polygons))))
    opening = sum(
        2 * 10 / 3 * 2 / 3
        for x, y in product((5 / 3, 5, 25 / 3), (1 / 3, 1, 5 / 3))
        if gone(np.array([x, side * y, TOP]))
    )
    assert volume(envelope) == pytest.approx(120.0)
    assert surface(envelope) == pytest.approx(164.0 - opening)
    assert envelope.parts == 1
    assert set(reported(envelope)) == ({"open-edge"} if opening else set())
    assert len(envelope.rims) == bool(opening)


def test_half_a_hull_across_the_plane_is_refused() -> None:
    with refused(r"one side .* from y = -0.5 to 1.5 m"):
        mirrored(bodies.mesh(bodies.moved(half(), (0, -0.5, 0))))


def test_half_a_hull_with_a_stray_vertex_across_the_plane() -> None:
    vertices, polygons = half()
    stray = np.concatenate([vertices, [[5.0, -3.0, 0.0]]])
    assert volume(find_envelope(mirrored(bodies.mesh((stray, polygons))))) == pytest.approx(120.0)


@pytest.mark.parametrize("gap", [0.0, 0.005])
def test_half_a_hull_open_at_the_plane_is_reported(gap: float) -> None:
    """Not mirrored, or mirrored about a plane it does not reach."""
    body = bodies.moved(without(half(), lambda c: c[Y] == 0), (0, gap, 0))
    envelope = find_envelope(mirrored(bodies.mesh(body))) if gap else found(body)
    assert reported(envelope)["half-hull"].severity == "warning"
    where_ = reported(envelope)["half-hull"].points
    assert np.abs(where_[:, Y]) == pytest.approx(np.full(len(where_), gap))
    assert volume(envelope) == pytest.approx(60.0 if not gap else 120.0)


@pytest.mark.parametrize(("length", "whole"), [(6.0, False), (2.0, True)])
def test_a_port_in_a_flat_side_makes_no_half_hull(length: float, whole: bool) -> None:
    """A side 10 m long and open over 6 m of it, or over 2 m."""
    open_side = without(box(5), lambda c: c[Y] == 2 and abs(c[X] - 5) < length / 2)
    assert ("half-hull" not in reported(found(open_side))) is whole


def test_mirroring_an_empty_mesh_says_what_is_wrong() -> None:
    with refused("no faces"):
        mirrored(Mesh("nothing", np.zeros((0, 3)), np.zeros((0, 3), int), np.zeros(0, int)))


# What else is refused, or makes no difference.


@pytest.mark.parametrize(
    "vertices,triangles,why",
    [
        (np.zeros((0, 3)), np.zeros((0, 3), int), "no faces"),
        ([[0, 0, 0], [1, 0, 0], [0, np.nan, 1]], [[0, 1, 2]], "not a number, first vertex 2"),
        ([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 1, 2]], "flat, with no extent along z"),
        ([[0, 0, 0], [1, 0, 0], [0, 1, 1]], [[0, 1, 1], [0, 2, 2]], "no face .* any area"),
        (np.full((3, 3), 5.0), [[0, 1, 2]], "flat"),
    ],
)
def test_a_mesh_that_is_none_is_refused(vertices: Floats, triangles: Floats, why: str) -> None:
    triangles = np.asarray(triangles, dtype=np.int64)
    mesh = Mesh("hull", np.asarray(vertices, float), triangles, np.arange(len(triangles)))
    with refused(rf"^hull: .*{why}") as error:
        find_envelope(mesh)
    assert "\n" not in str(error.value)


def test_two_loose_plates_enclose_nothing() -> None:
    plates = plate((0, 0, 0), (1, 0, 0), (1, 1, 0)), plate((0, 0, 2), (1, 0, 2), (0, 1, 3))
    with refused("encloses nothing"):
        found(bodies.joined(*plates))


@pytest.mark.parametrize("away", [1e3, 1e8])
def test_a_vertex_that_no_face_uses_changes_nothing(away: float) -> None:
    mesh = example("survey-launch")
    stray = Mesh("hull", np.vstack([mesh.vertices, [away, 0, 0]]), mesh.triangles, mesh.faces)
    one, other = find_envelope(mesh), find_envelope(stray)
    assert (one.vertices == other.vertices).all() and (one.triangles == other.triangles).all()
    assert volume(find_envelope(stray)) == pytest.approx(truth("survey-launch")[0], rel=1e-12)


def test_a_small_part_of_a_long_ship_counts() -> None:
    """A thruster pod of 8 litres under 100 m of hull, a millionth of the cube of its length."""
    envelope = found(boxes(((0, -8, 0), (100, 8, 10)), ((50, 0, -1), (50.2, 0.2, -0.8))))
    assert envelope.parts == 2 and reported(envelope) == {}
    assert volume(envelope) == pytest.approx(16000.008, rel=1e-12)


def test_faces_that_pass_through_each_other_are_named() -> None:
    """A figure of eight: the two sides cross in the middle, and its halves look opposite ways."""
    envelope = found(bodies.prism([(-2, 0), (2, 0), (-1.5, 3), (1.5, 3)], 10.0))
    assert "crossing-faces" in reported(envelope)
    assert set(reported(envelope)["crossing-faces"].elements.tolist()) == {1, 3}


@given(seed=seeds)
@settings(max_examples=10, deadline=None)
def test_the_surface_is_always_closed(seed: int) -> None:
    """Whatever is deleted of a hull and whichever way the rest looks, its area vectors add up
    to nothing and every face is given back as it was or turned."""
    rng = np.random.default_rng(seed)
    mesh = bodies.mesh(bodies.wigley(divisions=4))
    kept = rng.random(len(mesh.triangles)) < 0.85
    spoilt = flipped(
        Mesh("hull", mesh.vertices, mesh.triangles[kept], mesh.faces[kept]),
        rng.random(kept.sum()) < 0.5,
    )
    envelope = find_envelope(spoilt)
    a, b, c = envelope.vertices[envelope.triangles].transpose(1, 0, 2)
    assert np.cross(b - a, c - a).sum(axis=0) == pytest.approx(np.zeros(3), abs=1e-9)
    half = np.concatenate([envelope.triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    key = np.sort(half, axis=1) @ [len(envelope.vertices), 1]
    sense = np.where(half[:, 0] < half[:, 1], 1, -1)
    assert (np.bincount(np.unique(key, return_inverse=True)[1].ravel(), sense) == 0).all()
