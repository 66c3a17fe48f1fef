"""The moment tree against direct sums over every triangle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats, Ints
from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.buoyancy.moment_blocks import BRANCHING_FACTOR, LEAF_SIZE
from addon.core.buoyancy.moment_tree import MomentTree, build_tree
from addon.core.geometry.mesh import Mesh
from tests import bodies
from tests.core.direct_integration import direct_below, off

ROUNDING = 1e-13
UPRIGHT = np.array([0.0, 0.0, 1.0])
AXES = [sign * axis for axis in np.eye(3) for sign in (1.0, -1.0)]


def with_triangles(count: int, seed: int = 0) -> tuple[Floats, Ints]:
    """A box of `count` >= 12 triangles.

    A random one is split in three at its middle until there are enough; an odd one more comes
    of one split in two at an edge, where the neighbor stays whole.
    """
    rng = np.random.default_rng(seed)
    box = bodies.mesh(bodies.box(4.0, 2.0, 1.0))
    vertices, triangles = list(box.vertices), [tuple(triangle) for triangle in box.triangles]
    while len(triangles) < count:
        a, b, c = triangles.pop(int(rng.integers(len(triangles))))
        new = len(vertices)
        if len(triangles) + 1 == count - 1:
            vertices.append((vertices[a] + vertices[b]) / 2)
            triangles += [(a, new, c), (new, b, c)]
        else:
            vertices.append((vertices[a] + vertices[b] + vertices[c]) / 3)
            triangles += [(a, b, new), (b, c, new), (c, a, new)]
    assert len(triangles) == count
    return np.array(vertices), np.array(triangles)


def planes(vertices: Floats, seed: int, count: int = 12) -> list[tuple[Floats, float]]:
    """Planes at random, through vertices, touching the surface, and well clear of it."""
    rng = np.random.default_rng(seed)
    ups = rng.normal(size=(count, 3))
    ups /= np.linalg.norm(ups, axis=1, keepdims=True)
    cuts = []
    for kind, up in enumerate(ups):
        heights = vertices @ up
        low, high = heights.min(), heights.max()
        level = (
            rng.uniform(low, high),
            heights[rng.integers(len(heights))],
            (low, high)[kind // 4 % 2],
            (low - 1e3, high + 1e3)[kind // 4 % 2],
        )[kind % 4]
        cuts.append((up, float(level)))
    return cuts


def assert_direct(tree: MomentTree, vertices: Floats, triangles: Floats, seed: int) -> None:
    for up, level in planes(vertices, seed):
        direct = direct_below(vertices, triangles, up, level)
        far = max(1.0, abs(level - up @ tree.middle) / tree.size)
        found = tree.below(Attitude(up, level))
        assert off(found, direct, tree.size * far) < ROUNDING, (up, level)


SIZES = sorted(
    {12, 13, 14}
    | {LEAF_SIZE + n for n in (-1, 0, 1)}
    | {LEAF_SIZE * BRANCHING_FACTOR + n for n in (-1, 0, 1)}
    | {LEAF_SIZE * BRANCHING_FACTOR**2 + n for n in (-1, 0, 1, LEAF_SIZE + 1)}
)


@pytest.mark.parametrize("count", SIZES)
def test_sizes_about_the_block_boundaries(count: int) -> None:
    vertices, triangles = with_triangles(count, count)
    tree = build_tree(vertices, triangles)
    assert tree.volume == pytest.approx(8.0, rel=1e-13)
    assert tree.area == pytest.approx(28.0, rel=1e-13)
    assert_direct(tree, vertices, triangles, count)


@pytest.mark.parametrize("seed", range(6))
def test_stars_and_rings(seed: int) -> None:
    body = bodies.star(seed, 6, 0.6) if seed % 2 else bodies.torus(2.0, 0.8, 30, 14)
    mesh = bodies.mesh(body)
    assert_direct(bodies.tree(body), mesh.vertices, mesh.triangles, seed)


@given(seed=st.integers(0, 10**6), divisions=st.integers(1, 4))
@settings(max_examples=12, deadline=None)
def test_random_stars(seed: int, divisions: int) -> None:
    mesh = bodies.mesh(bodies.star(seed, divisions, 0.7))
    tree = build_tree(mesh.vertices, mesh.triangles)
    assert_direct(tree, mesh.vertices, mesh.triangles, seed)


@given(
    step=st.integers(-1, 9),
    axis=st.integers(0, 5),
    divisions=st.integers(1, 6),
    coarse=st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_planes_in_rows_of_vertices(step: int, axis: int, divisions: int, coarse: bool) -> None:
    """Planes square to the ship that hold whole rows of vertices, and faces at both ends."""
    body = bodies.catamaran(4.0, 0.5, 2.0, 1.0, 0.25, divisions) if coarse else bodies.box(
        4.0, 2.0, 1.0, divisions
    )  # fmt: skip
    mesh = bodies.mesh(body)
    tree = bodies.tree(body)
    up = AXES[axis]
    heights = np.unique((mesh.vertices @ up).round(12))
    level = float(heights[0] - 1) if step < 0 else float(heights[step % len(heights)])
    direct = direct_below(mesh.vertices, mesh.triangles, up, level)
    if step % len(heights) in (0, len(heights) - 1):
        direct_volume = tree.below(Attitude(up, level)).volume
        assert direct_volume == pytest.approx(direct.volume, abs=1e-12)
    else:
        assert off(tree.below(Attitude(up, level)), direct, tree.size) < ROUNDING


@pytest.mark.parametrize("divisions", [1, 2, 5])
def test_faces_in_the_plane(divisions: int) -> None:
    """Faces in the plane count as wet: the deck just margin line immersed, the floor just
    touching."""
    tree = bodies.tree(bodies.box(4.0, 2.0, 1.0, divisions))
    margin_line_immersed = tree.below(Attitude(UPRIGHT, 1.0))
    assert (margin_line_immersed.volume, margin_line_immersed.wetted_surface) == pytest.approx(
        (8.0, 28.0)
    )
    assert margin_line_immersed.waterplane_area == pytest.approx(0.0, abs=1e-12)
    touching = tree.below(Attitude(UPRIGHT, 0.0))
    assert touching.volume == pytest.approx(0.0, abs=1e-12)
    assert touching.waterplane_area == pytest.approx(8.0)
    assert touching.inertia == pytest.approx(np.diag([8 * 16 / 12, 8 * 4 / 12]))


@pytest.mark.parametrize("divisions", [1, 3, 8])
@pytest.mark.parametrize("over", [False, True])
def test_ledge_in_the_plane(divisions: int, over: bool) -> None:
    """At the very height of a ledge the waterplane is that just above it, ledge and all."""
    narrow, wide = (2.0, 1.0) if over else (1.0, 2.0)
    outline = [(-wide, 0), (wide, 0), (wide, 1), (narrow, 1), (narrow, 2), (-narrow, 2)]
    tree = bodies.tree(bodies.prism([*outline, (-narrow, 1), (-wide, 1)], 6.0, divisions))
    at, above = (tree.below(Attitude(UPRIGHT, level)) for level in (1.0, 1.0 + 1e-9))
    assert at.waterplane_area == pytest.approx(12 * narrow)
    assert at.waterplane_area == pytest.approx(above.waterplane_area, abs=1e-6)
    assert at.wetted_surface == pytest.approx(above.wetted_surface, abs=1e-6)
    assert at.volume == pytest.approx(12 * wide)


@pytest.mark.parametrize("offset", [(1e5, 0, 0), (-1e5, 1e5, 1e5), (0, 0, -1e5)])
def test_far_from_the_origin(offset: tuple[float, float, float]) -> None:
    """Coordinates are kept to 2^-20 m, so the shift of 100 km rounds nothing."""
    mesh = bodies.mesh(bodies.star(5, 5, 0.5, 3.0))
    vertices = np.round(mesh.vertices * 2**20) / 2**20
    shift = np.array(offset)
    here = build_tree(vertices, mesh.triangles)
    there = build_tree(vertices + shift, mesh.triangles)
    assert there.volume == pytest.approx(here.volume, rel=1e-13)
    assert there.area == pytest.approx(here.area, rel=1e-13)
    for up, level in planes(vertices, 3, 40):
        if abs(level) > 100:
            continue
        near = here.below(Attitude(up, level))
        far = there.below(Attitude(up, level + float(up @ shift)))
        scale = here.size
        assert far.volume == pytest.approx(near.volume, abs=1e-10 * scale**3)
        assert far.waterplane_area == pytest.approx(near.waterplane_area, abs=1e-10 * scale**2)
        assert far.inertia == pytest.approx(near.inertia, abs=1e-9 * scale**4)
        if near.waterplane_area > 1e-3:
            assert far.buoyancy - shift == pytest.approx(near.buoyancy, abs=1e-9)
            assert far.flotation - shift == pytest.approx(near.flotation, abs=1e-7)


def test_flat_and_slivered_triangles_add_nothing() -> None:
    mesh = bodies.mesh(bodies.star(2, 3))
    line = [[0, 0, 1], [0, 1, 1], [2, 2, 2]]
    dull = build_tree(mesh.vertices, np.concatenate([mesh.triangles, line]))
    clean = build_tree(mesh.vertices, mesh.triangles)
    for up, level in planes(mesh.vertices, 1):
        a, b = (tree.below(Attitude(up, level)) for tree in (dull, clean))
        assert a.volume == pytest.approx(b.volume, rel=1e-13, abs=1e-13)
        assert a.wetted_surface == pytest.approx(b.wetted_surface, rel=1e-13, abs=1e-13)


def test_lids_have_no_skin() -> None:
    """The last triangles, as many as are lids, displace but are not wetted."""
    body = bodies.box(4.0, 2.0, 1.0, 3)
    mesh = bodies.mesh(body)
    top = (mesh.vertices[mesh.triangles][:, :, 2] == 1.0).all(axis=1)
    ordered = np.concatenate([mesh.triangles[~top], mesh.triangles[top]])
    tree = build_tree(mesh.vertices, ordered, int(top.sum()))
    assert tree.volume == pytest.approx(8.0)
    assert tree.area == pytest.approx(20.0)
    assert tree.below(Attitude(UPRIGHT, 5.0)).wetted_surface == pytest.approx(20.0)
    over = Attitude(up_from_angles(np.pi, 0.0), -0.5)
    assert tree.below(over).wetted_surface == pytest.approx(6.0)
    assert tree.below(over).volume == pytest.approx(4.0)


@given(seed=st.integers(0, 10**6), divisions=st.integers(1, 6))
@settings(max_examples=25, deadline=None)
def test_span(seed: int, divisions: int) -> None:
    mesh = bodies.mesh(bodies.moved(bodies.star(seed, divisions), (30.0, -4.0, 2.0)))
    tree = build_tree(mesh.vertices, mesh.triangles)
    assert tree.low == pytest.approx(mesh.vertices.min(axis=0), abs=1e-13)
    assert tree.high == pytest.approx(mesh.vertices.max(axis=0), abs=1e-13)
    for up, _ in planes(mesh.vertices, seed):
        heights = mesh.vertices @ up
        assert tree.span(up) == pytest.approx((heights.min(), heights.max()), abs=1e-13)


def rows(triangles: Floats) -> Floats:
    """Triangles (k, 3, 3), each turned to start at its least corner, in a set order."""
    flat = triangles.round(9) + 0.0
    turned = [min(np.roll(each, -turn, axis=0).tolist() for turn in range(3)) for each in flat]
    return np.array(sorted(turned)).reshape(-1, 3, 3)


@given(seed=st.integers(0, 10**6), divisions=st.integers(1, 5))
@settings(max_examples=15, deadline=None)
def test_crossing(seed: int, divisions: int) -> None:
    mesh = bodies.mesh(bodies.star(seed, divisions))
    tree = build_tree(mesh.vertices, mesh.triangles)
    for up, level in planes(mesh.vertices, seed):
        heights = (mesh.vertices @ up - level)[mesh.triangles]
        cut = (heights.min(axis=1) <= 0) & (heights.max(axis=1) > 0)
        expected = mesh.vertices[mesh.triangles[cut]]
        corners, over = tree.crossing(up, level)
        assert over == pytest.approx(corners @ up - level, abs=1e-12)
        assert (over.min(axis=1) <= 0).all() and (over.max(axis=1) > 0).all()
        if np.abs(mesh.vertices @ up - level).min() > 1e-12:
            assert rows(corners) == pytest.approx(rows(expected), abs=1e-9)


@pytest.mark.parametrize("divisions", [1, 2, 4, 7])
@pytest.mark.parametrize("axis", range(6))
def test_crossing_in_rows_of_vertices(divisions: int, axis: int) -> None:
    """A plane that holds the edges between two rows of faces is crossed by one row of them."""
    mesh = bodies.mesh(bodies.box(4.0, 2.0, 1.0, divisions))
    tree = build_tree(mesh.vertices, mesh.triangles)
    up = AXES[axis]
    levels = np.unique(mesh.vertices @ up)
    for level in levels[:-1]:
        heights = (mesh.vertices @ up - level)[mesh.triangles]
        cut = (heights.min(axis=1) <= 0) & (heights.max(axis=1) > 0)
        corners, _ = tree.crossing(up, float(level))
        assert len(corners) == cut.sum()


def test_crossing_of_a_single_triangle() -> None:
    corners = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 1.0], [0.0, 1.0, 1.0]])
    tree = build_tree(corners, np.array([[0, 1, 2]]))
    found, heights = tree.crossing(UPRIGHT, 0.5)
    assert rows(found) == pytest.approx(rows(corners[None]))
    assert sorted(heights[0]) == pytest.approx([-0.5, 0.5, 0.5])
    for level in (1.5, -0.5):
        assert tree.crossing(UPRIGHT, level)[0].shape == (0, 3, 3)
    assert tree.span(UPRIGHT) == pytest.approx((0.0, 1.0))
    assert tree.area == pytest.approx(np.sqrt(3) / 2)


def heights_above(mesh: Mesh, point: Floats) -> Floats:
    """How far above a point the triangles straight over and under it lie."""
    a, b, c = mesh.vertices[mesh.triangles].transpose(1, 0, 2) - point
    legs = np.stack([b - a, c - a], axis=2)
    level = np.abs(np.linalg.det(legs[:, :2])) > 1e-12
    shares = np.linalg.solve(legs[level, :2], -a[level, :2, None])[:, :, 0]
    inside = (shares >= 0).all(axis=1) & (shares.sum(axis=1) <= 1)
    return (a[level, 2] + (legs[level, 2] * shares).sum(axis=1))[inside]


@pytest.mark.parametrize("seed", range(4))
def test_covered(seed: int) -> None:
    body = bodies.star(seed, 4) if seed % 2 else bodies.torus(2.0, 0.6, 24, 10)
    mesh = bodies.mesh(body)
    tree = bodies.tree(body)
    rng = np.random.default_rng(seed)
    points = tree.low + (tree.high - tree.low) * rng.uniform(-0.2, 1.2, (60, 3))
    heights = [heights_above(mesh, point) for point in points]
    for clearance in (0.0, 0.3):
        expected = [bool((over > clearance).any()) for over in heights]
        assert 5 < sum(expected) < 55
        assert tree.covered(points, clearance).tolist() == expected


def test_covered_through_vertices_and_nothing_else() -> None:
    mesh = bodies.mesh(bodies.box(4.0, 2.0, 1.0, 4))
    tree = build_tree(mesh.vertices, mesh.triangles)
    under = np.array([[1.0, 0.0, 0.5], [1.0, 0.5, -3.0], [2.0, 0.0, 0.9]])
    assert tree.covered(under, 0.05).all()
    assert not tree.covered(under, 5.0).any()
    assert not tree.covered(under + [0, 0, 4.0], 0.0).any()
    assert not tree.covered(under + [0, 9.0, 0], 0.0).any()
    assert tree.covered(np.zeros((0, 3)), 0.0).shape == (0,)


def test_nothing_is_changed_by_reading() -> None:
    mesh = bodies.mesh(bodies.star(7, 4))
    for array in (mesh.vertices, mesh.triangles):
        array.flags.writeable = False
    before = [mesh.vertices.copy(), mesh.triangles.copy()]
    tree = build_tree(mesh.vertices, mesh.triangles)
    stored = [tree.middle, tree.corners, tree.wettable_area]
    stored += [
        array
        for level in tree.levels
        for array in (level.center, level.half, level.moments, level.wettable_area)
    ]
    copies = [array.copy() for array in stored]
    up = up_from_angles(0.4, -0.2)
    attitude = Attitude(up, 0.1)
    first = tree.below(attitude)
    tree.span(up), tree.crossing(up, 0.1), tree.covered(mesh.vertices, 0.1)
    again = tree.below(attitude)
    assert again.volume == first.volume and (again.buoyancy == first.buoyancy).all()
    assert (up == up_from_angles(0.4, -0.2)).all()
    now = (mesh.vertices, mesh.triangles, *stored)
    for array, copy in zip(now, (*before, *copies), strict=True):
        assert (array == copy).all()


def test_many_triangles() -> None:
    """Deep enough for several levels, and for more than one chunk of moments."""
    body = bodies.geodesic_sphere(2.0, 41)
    mesh = bodies.mesh(body)
    assert len(mesh.triangles) > 1 << 15
    tree = bodies.tree(body)
    up, level = up_from_angles(0.5, 0.3), 0.321
    direct = direct_below(mesh.vertices, mesh.triangles, up, level)
    assert off(tree.below(Attitude(up, level)), direct, tree.size) < 1e-12
    assert tree.span(up) == pytest.approx(((mesh.vertices @ up).min(), (mesh.vertices @ up).max()))
