"""Which sides of triangles face the same space: edges, joins, and where to cut them."""

from __future__ import annotations

from itertools import combinations

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats, Ints
from addon.core.geometry.half_edges import (
    connected_components,
    find_adjacency,
    find_edges,
    minimum_cut,
)
from addon.core.geometry.triangles import volumes
from tests import bodies

seeds = st.integers(0, 10**6)


def spaces(vertices: Floats, triangles: Ints, closed: bool = False, tolerance: float = 0.0) -> Ints:
    """Space of each side (m, 2), a lone triangle's two sides joined unless `closed`."""
    edges = find_edges(triangles)
    adjacency = find_adjacency(vertices, triangles, edges, tolerance)
    caps = np.repeat(edges.count == 1, edges.count) & closed
    return adjacency.spaces(caps).reshape(-1, 2)


def sizes(vertices: Floats, triangles: Ints, labels: Ints) -> Floats:
    """Volume (m3) of each space, negative outside."""
    tetrahedra, count = volumes(vertices, triangles), int(labels.max()) + 1
    front, back = (np.bincount(side, tetrahedra, count) for side in labels.T)
    return back - front


def book(angles: Floats, turned: Floats) -> tuple[Floats, Ints]:
    """Leaves (k) that share the edge along x, at angles about it, some turned over."""
    count = len(angles)
    tips = np.column_stack([np.full(count, 0.5), np.cos(angles), np.sin(angles)])
    leaves = np.column_stack([np.zeros(count, int), np.ones(count, int), np.arange(count) + 2])
    leaves = np.where(np.asarray(turned)[:, None], leaves[:, [1, 0, 2]], leaves)
    return np.concatenate([[[0.0, 0, 0], [1.0, 0, 0]], tips]), leaves


@given(seed=seeds)
@settings(max_examples=30, deadline=None)
def test_edges_and_their_half_edges(seed: int) -> None:
    rng = np.random.default_rng(seed)
    triangles = np.array([rng.permutation(9)[:3] for _ in range(20)])
    edges = find_edges(triangles)
    half = {
        3 * t + i: (int(triangles[t, i]), int(triangles[t, (i + 1) % 3]))
        for t in range(20)
        for i in range(3)
    }
    assert sorted(edges.order.tolist()) == list(range(60)) and edges.count.sum() == 60
    assert len({tuple(ends) for ends in edges.ends.tolist()}) == len(edges.ends)
    for (low, high), first, count in zip(edges.ends, edges.first, edges.count, strict=True):
        assert low < high
        for h in edges.order[first : first + count].tolist():
            assert set(half[h]) == {low, high}
            assert edges.forward[h] == (half[h] == (low, high))
    double = edges.count == 2
    assert sorted(edges.half_edges_on(double).tolist()) == sorted(
        h for e in np.flatnonzero(double) for h in edges.order[edges.first[e] :][:2].tolist()
    )


@given(seed=seeds, count=st.integers(1, 40), pairs=st.integers(0, 60))
@settings(max_examples=60, deadline=None)
def test_connected_sets(seed: int, count: int, pairs: int) -> None:
    """Against networkx; numbered from 0 without a gap, in the order of their first node."""
    a, b = np.random.default_rng(seed).integers(0, count, (2, pairs))
    label = connected_components(count, a, b)
    graph = networkx.Graph(zip(a.tolist(), b.tolist(), strict=True))
    graph.add_nodes_from(range(count))
    for component in networkx.connected_components(graph):
        assert len({int(label[node]) for node in component}) == 1
    assert label.max() + 1 == networkx.number_connected_components(graph)
    assert np.unique(label, return_index=True)[1].tolist() == sorted(
        np.unique(label, return_index=True)[1].tolist()
    )


def test_a_long_chain_is_connected() -> None:
    order = np.random.default_rng(0).permutation(5000)
    assert (connected_components(5000, order[1:], order[:-1]) == 0).all()


@given(seed=seeds, leaves=st.integers(2, 7))
@settings(max_examples=40, deadline=None)
def test_leaves_of_a_book_face_their_neighbors(seed: int, leaves: int) -> None:
    """With lids over the free edges, k leaves part k spaces, each between two neighbors."""
    rng = np.random.default_rng(seed)
    angles = 2 * np.pi * (np.arange(leaves) + rng.uniform(0, 0.8, leaves)) / leaves
    turned = rng.random(leaves) < 0.5
    shuffled = rng.permutation(leaves)
    labels = spaces(*book(angles[shuffled], turned[shuffled]), closed=True)
    assert len(np.unique(labels)) == leaves
    for i in range(leaves):
        here, there = (int(np.flatnonzero(shuffled == j)[0]) for j in (i, (i + 1) % leaves))
        toward = labels[here, 1 if turned[shuffled[here]] else 0]
        assert toward == labels[there, 0 if turned[shuffled[there]] else 1]
    assert len(np.unique(spaces(*book(angles, turned)))) == 1


@given(seed=seeds)
@settings(max_examples=20, deadline=None)
def test_a_closed_body_has_an_inside_and_an_outside(seed: int) -> None:
    """However its faces look; the space of negative volume is outside."""
    rng = np.random.default_rng(seed)
    mesh = bodies.mesh(bodies.star(seed, 2))
    flipped = rng.random(len(mesh.triangles)) < 0.5
    triangles = np.where(flipped[:, None], mesh.triangles[:, ::-1], mesh.triangles)
    labels = spaces(mesh.vertices, triangles)
    volume = sizes(mesh.vertices, triangles, labels)
    assert volume.min() == pytest.approx(-volume.max()) and len(volume) == 2
    assert (labels[:, 0] == np.where(flipped, volume.argmax(), volume.argmin())).all()


def test_compartments_of_a_barge_of_cubes() -> None:
    """3 x 2 cubes, their common boundaries single: six compartments of one cubic meter and the
    outside."""
    parts = [bodies.moved(bodies.box(1.0, 1.0, 1.0), (i, j, 0)) for i in range(3) for j in range(2)]
    vertices, polygons = bodies.welded(bodies.joined(*parts))
    polygons = tuple({frozenset(face): face for face in polygons}.values())
    mesh = bodies.mesh((vertices, polygons))
    labels = spaces(mesh.vertices, mesh.triangles)
    volume = sizes(mesh.vertices, mesh.triangles, labels)
    assert sorted(volume) == pytest.approx([-6.0, *[1.0] * 6])


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("gap", [0.0, 1e-9])
def test_walls_that_lie_on_each_other_leak_nothing(first: int, gap: float) -> None:
    """Two cubes with a boundary each, of other diagonals, in one plane or as good as."""
    one = bodies.box(1.0, 1.0, 1.0)
    other = bodies.moved(one, (1.0, 0, 0))
    vertices, polygons = bodies.joined(one, (other[0], tuple(
        tuple(np.roll(face, first).tolist()) for face in other[1]
    )))  # fmt: skip
    vertices, polygons = bodies.welded((vertices, polygons))
    mesh = bodies.mesh((vertices + gap * np.sin(np.arange(len(vertices)))[:, None], polygons))
    labels = spaces(mesh.vertices, mesh.triangles, tolerance=1e-6)
    volume = sizes(mesh.vertices, mesh.triangles, labels)
    assert volume.min() == pytest.approx(-2.0)
    assert volume[volume > 0.1].sum() == pytest.approx(2.0)


@given(seed=seeds, nodes=st.integers(2, 9), pairs=st.integers(0, 25))
@settings(max_examples=80, deadline=None)
def test_the_least_cut(seed: int, nodes: int, pairs: int) -> None:
    """It parts source from sink, and networkx finds none narrower."""
    rng = np.random.default_rng(seed)
    ends = rng.integers(0, nodes, (pairs, 2))
    widths = rng.uniform(0.1, 2.0, pairs)
    cut = minimum_cut(ends, widths, 0, nodes - 1)
    label = connected_components(nodes, *ends[~cut].T)
    assert label[0] != label[nodes - 1]
    graph = networkx.Graph()
    graph.add_nodes_from(range(nodes))
    for (a, b), width in zip(ends.tolist(), widths.tolist(), strict=True):
        if a != b:
            known = graph.get_edge_data(a, b, {"capacity": 0.0})["capacity"]
            graph.add_edge(a, b, capacity=known + width)
    least, _ = networkx.minimum_cut(graph, 0, nodes - 1)
    assert widths[cut].sum() == pytest.approx(least, abs=1e-9)


def test_nothing_parts_a_node_from_itself() -> None:
    assert not minimum_cut(np.array([[0, 1]]), np.array([1.0]), 0, 0).any()


def test_three_sheets_in_one_plane_between_two_compartments() -> None:
    """A box with two boundaries and a loose doubler on its bulkhead, all of other diagonals."""
    body = bodies.welded(
        bodies.joined(bodies.box(1.0, 1.0, 1.0), bodies.moved(bodies.box(1.0, 1.0, 1.0), (1, 0, 0)))
    )
    boundary = [i for i, face in enumerate(body[1]) if (body[0][list(face), 0] == 1.0).all()]
    assert len(boundary) == 2
    a, b = body[1][boundary[0]], body[1][boundary[1]]
    for x, y, z in combinations([0, 1, 2, 3, 4, 5], 3):
        faces = [face for i, face in enumerate(body[1]) if i not in boundary]
        faces += [tuple(np.roll(face, k).tolist()) for face, k in ((a, x), (b, y), (a, z))]
        mesh = bodies.mesh((body[0], tuple(faces)))
        keys = np.unique(np.sort(mesh.triangles, axis=1), axis=0, return_index=True)[1]
        triangles = mesh.triangles[np.sort(keys)]
        labels = spaces(mesh.vertices, triangles, tolerance=1e-6)
        volume = sizes(mesh.vertices, triangles, labels)
        assert volume.min() == pytest.approx(-2.0)
