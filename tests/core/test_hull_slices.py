"""Parts of closed surfaces between planes: they are closed, and add up to the whole."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats
from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.buoyancy.moment_tree import MomentTree, build_tree
from addon.core.damage.hull_slices import hull_between, slab
from addon.core.model.hull import build_hull
from tests import bodies
from tests.bodies import Body
from tests.language import refused

EXACT = 1e-12
AGREED = 1e-9


def turn(rng: np.random.Generator) -> Floats:
    """A random rotation (3, 3)."""
    q, r = np.linalg.qr(rng.normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q * np.sign(np.linalg.det(q))


def odd_body(seed: int) -> Body:
    """A star with a hollow within and a body within that, a ring, or several side by side."""
    rng = np.random.default_rng(seed)
    star = bodies.star(seed, int(rng.integers(2, 6)), rng.uniform(0, 0.6))
    if seed % 3 == 0:
        hollow = bodies.scaled(star, [0.7, 0.7, 0.7])
        kernel = bodies.scaled(star, [0.3, 0.3, 0.3])
        star = bodies.joined(star, (hollow[0], bodies.reversed_faces(hollow[1])), kernel)
    if seed % 3 == 1:
        star = bodies.torus(2.0, 0.7, int(rng.integers(5, 20)), int(rng.integers(4, 12)))
    if seed % 3 == 2:
        star = bodies.joined(star, bodies.moved(star, (0.4, 4.0, 0.1), turn(rng)))
    return bodies.moved(star, rng.uniform(-3, 3, 3), turn(rng))


def moments(corners: Floats) -> Floats:
    """Integral of X X^T, X = (1, x), over what triangles (m, 3, 3) enclose, by tetrahedra from
    the origin."""
    signed = np.linalg.det(corners) / 6
    points = np.insert(corners, 0, 1.0, axis=2)
    origin = np.array([1.0, 0.0, 0.0, 0.0])
    total = points.sum(axis=1) + origin
    squares = np.einsum("tvi,tvj->tij", points, points) + np.outer(origin, origin)
    squares += np.einsum("ti,tj->tij", total, total)
    return np.einsum("t,tij->ij", signed, squares) / 20


def closed_off(tree: MomentTree) -> float:
    """How far a surface is from closed: the sum of its area vectors."""
    a, b, c = tree.faces().transpose(1, 0, 2)
    return float(np.abs(np.cross(b - a, c - a).sum(axis=0)).max() / 2)


@given(
    seed=st.integers(0, 10**6),
    shares=st.lists(st.floats(0.0, 1.0), min_size=1, max_size=5),
    heel=st.floats(-3.1, 3.1),
    trim=st.floats(-1.5, 1.5),
    depth=st.floats(0.1, 1.2),
)
@settings(max_examples=40, deadline=None)
def test_slabs_add_up(
    seed: int, shares: list[float], heel: float, trim: float, depth: float
) -> None:
    whole = bodies.tree(odd_body(seed))
    normal = turn(np.random.default_rng(seed + 1))[0]
    low, high = whole.span(normal)
    planes = [-np.inf, *np.sort(low + (high - low) * np.array(shares)), np.inf]
    parts = [slab(whole, normal, a, b) for a, b in zip(planes[:-1], planes[1:], strict=True)]
    up = up_from_angles(heel, trim)
    bottom, top = whole.span(up)
    water = Attitude(up, bottom + depth * (top - bottom))
    quadric, surface = whole.flux(water)
    scale = np.abs(quadric).max() + whole.area
    assert sum(part.volume for part in parts) == pytest.approx(whole.volume, rel=EXACT)
    assert sum(part.area for part in parts) == pytest.approx(whole.area, rel=EXACT)
    found = [part.flux(water) for part in parts]
    assert np.abs(sum(each for each, _ in found) - quadric).max() < EXACT * scale
    assert sum(each for _, each in found) == pytest.approx(
        surface, rel=EXACT, abs=EXACT * whole.area
    )
    assert max(closed_off(part) for part in parts) < EXACT * whole.area


@pytest.mark.parametrize("seed", range(24))
def test_manifold3d(seed: int) -> None:
    """Volume, center and second moments as of manifold3d's own parts of the same mesh."""
    manifold3d = pytest.importorskip("manifold3d")
    body = odd_body(seed)
    mesh, tree = bodies.mesh(body), bodies.tree(body)
    rng = np.random.default_rng(seed)
    normal = turn(rng)[0]
    low, high = tree.span(normal)
    first, second = np.sort(low + (high - low) * rng.uniform(0.05, 0.95, 2))
    vertices = np.ascontiguousarray(mesh.vertices)
    solid = manifold3d.Manifold(manifold3d.Mesh64(vertices, mesh.triangles.astype(np.uint64)))
    assert solid.status() == manifold3d.Error.NoError
    part = solid.trim_by_plane(list(normal), first).trim_by_plane(list(-normal), -second)
    theirs = part.to_mesh64()
    corners = theirs.vert_properties[:, :3][theirs.tri_verts.astype(int)]
    ours = moments(slab(tree, normal, first, second).faces())
    assert ours == pytest.approx(moments(corners), abs=AGREED * np.abs(ours).max())


@given(seed=st.integers(0, 10**6))
@settings(max_examples=15, deadline=None)
def test_part_is_a_surface_like_any(seed: int) -> None:
    """A tree built afresh from its faces is the same, and its lids are the last of them."""
    body = odd_body(seed)
    mesh = bodies.mesh(body)
    caps = len(mesh.triangles) // 3
    whole = build_tree(mesh.vertices, mesh.triangles, caps)
    low, high = whole.span(np.array([1.0, 0.0, 0.0]))
    third = (high - low) / 3
    part = slab(whole, np.array([1.0, 0.0, 0.0]), low + third, high - third)
    faces = part.faces()
    number = np.arange(3 * len(faces)).reshape(-1, 3)
    fresh = build_tree(faces.reshape(-1, 3), number, part.caps)
    assert fresh.volume == pytest.approx(part.volume, rel=EXACT, abs=EXACT)
    assert fresh.area == pytest.approx(part.area, rel=EXACT, abs=EXACT)
    again = [slab(part, np.array([0.0, 1.0, 0.0]), *ends) for ends in ((-9.0, 0.1), (0.1, 9.0))]
    assert sum(each.volume for each in again) == pytest.approx(part.volume, rel=EXACT, abs=EXACT)


@pytest.mark.parametrize("divisions", [1, 4])
@pytest.mark.parametrize("x0, x1", [(0.0, 10.0), (2.5, 7.5), (2.5, 5.0), (-3.0, 1.0), (9.0, 11.0)])
def test_box_cut_along_its_edges(divisions: int, x0: float, x1: float) -> None:
    """Planes through vertices and faces, and beyond the ends."""
    hull = build_hull(bodies.mesh(bodies.box(10.0, 4.0, 3.0, divisions)))
    part = hull_between(hull, x0, x1)
    length = min(x1, 10.0) - max(x0, 0.0)
    assert part.volume == pytest.approx(12.0 * length, rel=EXACT)
    assert part.low[0] == pytest.approx(max(x0, 0.0))
    assert part.high[0] == pytest.approx(min(x1, 10.0))


def test_demihulls_and_bridge() -> None:
    """A concave section of two legs, of which the fan from the middle runs through the air."""
    hull = build_hull(bodies.mesh(bodies.catamaran(bridge=0.4)))
    section = 2 * 1.0 * 2.0 + 3.0 * 0.4
    part = hull_between(hull, 1.3, 4.0)
    assert part.volume == pytest.approx(2.7 * section, rel=EXACT)
    wet = part.below(Attitude.from_draft(1.0, 0.0))
    assert wet.volume == pytest.approx(2.7 * 2.0, rel=EXACT)
    assert wet.waterplane_area == pytest.approx(2.7 * 2.0, rel=EXACT)
    assert wet.buoyancy == pytest.approx([2.65, 0.0, 0.5], abs=EXACT)


def test_nothing_between() -> None:
    hull = build_hull(bodies.mesh(bodies.box()))
    for planes in ((10.0, 12.0), (4.0, 4.0), (5.0, 4.0)):
        with refused("nothing of the hull between"):
            hull_between(hull, *planes)
