"""A hull that follows the vertices of its mesh is the hull built anew from them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.geometry.mesh import Mesh, mirrored
from addon.core.model.hull import (
    Hull,
    ReferencePlanes,
    ReshapableHull,
    build_hull,
    build_reshapable_hull,
)
from tests import bodies

UP = up_from_angles(0.3, 0.05)


def moved(mesh: Mesh, seed: int, share: float) -> Mesh:
    """The mesh with some of its vertices a little elsewhere, those at one place together."""
    rng = np.random.default_rng(seed)
    places, place = np.unique(mesh.vertices, axis=0, return_inverse=True)
    shifts = 0.02 * mesh.size * rng.uniform(-1, 1, places.shape)
    shifts[rng.random(len(places)) >= share] = 0.0
    return replace(mesh, vertices=mesh.vertices + shifts[place.reshape(-1)])


def assert_alike(here: Hull, there: Hull) -> None:
    level = float(UP @ (there.tree.low + there.tree.high) / 2)
    ours, theirs = (hull.tree.below(Attitude(UP, level)) for hull in (here, there))
    scale = there.tree.size
    assert here.origin == pytest.approx(there.origin, abs=1e-12 * scale)
    assert here.length_pp == pytest.approx(there.length_pp)
    assert here.volume == pytest.approx(there.volume, rel=1e-12)
    assert here.tree.area == pytest.approx(there.tree.area, rel=1e-12)
    assert ours.volume == pytest.approx(theirs.volume, rel=1e-11)
    assert ours.buoyancy == pytest.approx(theirs.buoyancy, abs=1e-11 * scale)
    assert ours.inertia == pytest.approx(theirs.inertia, rel=1e-9, abs=1e-11 * scale**4)
    assert here.tree.low == pytest.approx(there.tree.low, abs=1e-12 * scale)
    assert len(here.rims) == len(there.rims)
    for rim, other in zip(here.rims, there.rims, strict=True):
        assert np.sort(rim, axis=0) == pytest.approx(np.sort(other, axis=0))


BODIES = {
    "sphere": bodies.mesh(bodies.geodesic_sphere(1.0, 6)),
    "wigley": bodies.mesh(bodies.wigley()),
    "catamaran": bodies.mesh(bodies.catamaran()),
    "tub": bodies.mesh((bodies.box(divisions=3)[0], bodies.box(divisions=3)[1][:-9])),
}


@pytest.mark.parametrize("name", BODIES)
@given(seed=st.integers(0, 999), share=st.sampled_from([0.0, 0.02, 0.5, 1.0]))
@settings(max_examples=8, deadline=None)
def test_a_hull_that_followed_is_the_hull_built_anew(name: str, seed: int, share: float) -> None:
    mesh = BODIES[name]
    mould: ReshapableHull | None = build_reshapable_hull(mesh)
    for step in range(2):
        mesh = moved(mesh, seed + step, share)
        assert mould
        mould = mould.reshaped(mesh)
    assert mould
    assert_alike(mould.hull, build_hull(mesh))


def test_moved_as_a_whole_it_is_where_it_is_now() -> None:
    mesh = BODIES["wigley"]
    shifted = replace(mesh, vertices=mesh.vertices + np.array([3.0, 0.0, 1.0]))
    mould = build_reshapable_hull(mesh, ReferencePlanes(0.5, 9.0, 0.1)).reshaped(shifted)
    assert mould
    assert_alike(mould.hull, build_hull(shifted, ReferencePlanes(0.5, 9.0, 0.1)))


def test_a_half_hull_follows_with_both_sides() -> None:
    half = bodies.mesh(bodies.box())
    half = replace(half, vertices=half.vertices * [1, 0.5, 1] + [0, 1.0, 0])
    lower = half.vertices[:, 2].min()
    raked = half.vertices.copy()
    raked[(raked[:, 0] > 0) & (raked[:, 2] == lower), 0] -= 0.5
    there = mirrored(replace(half, vertices=raked))
    mould = build_reshapable_hull(mirrored(half)).reshaped(there)
    assert mould
    assert_alike(mould.hull, build_hull(there))


def test_the_deck_edge_follows() -> None:
    mesh = bodies.mesh(bodies.box(10.0, 4.0, 3.0))
    high = mesh.vertices.copy()
    high[high[:, 2] == high[:, 2].max(), 2] += 0.5
    mould = build_reshapable_hull(mesh).reshaped(replace(mesh, vertices=high))
    assert mould
    assert mould.hull.deck_edge[..., 2] == pytest.approx(3.5)


def test_other_faces_want_a_new_hull() -> None:
    mesh = BODIES["sphere"]
    mould = build_reshapable_hull(mesh)
    turned = mesh.triangles.copy()
    turned[0] = turned[0][[1, 2, 0]]
    assert mould.reshaped(replace(mesh, triangles=turned)) is None
    more = replace(mesh, vertices=np.concatenate([mesh.vertices, mesh.vertices[:1]]))
    assert mould.reshaped(more) is None


def test_welded_vertices_that_part_want_a_new_hull() -> None:
    apart = bodies.mesh(bodies.box())
    loose = replace(
        apart,
        vertices=apart.vertices[apart.triangles.ravel()],
        triangles=np.arange(3 * len(apart.triangles)).reshape(-1, 3),
    )
    mould = build_reshapable_hull(loose)
    together = moved(loose, 1, 1.0)
    assert mould.reshaped(together) is not None
    parted = loose.vertices.copy()
    parted[0] += 0.1
    assert mould.reshaped(replace(loose, vertices=parted)) is None


def test_a_flat_face_that_may_open_wants_a_new_hull() -> None:
    box = bodies.mesh(bodies.box())
    vertices = np.concatenate([box.vertices, [box.vertices[:2].mean(axis=0)]])
    sliver = np.concatenate([box.triangles, [[0, 1, len(box.vertices)]]])
    faces = np.arange(len(sliver))
    mould = build_reshapable_hull(Mesh("box", vertices, sliver, faces))
    assert mould.reshaped(mould.mesh) is None
