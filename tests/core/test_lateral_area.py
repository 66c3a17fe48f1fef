"""The silhouette from abeam: closed forms, and shapely's union of the triangles laid flat."""

from __future__ import annotations

from dataclasses import astuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats, Ints
from addon.core.buoyancy.attitude import Attitude, up_from_angles, water_frame
from addon.core.hydrostatics import lateral_area
from addon.core.hydrostatics.lateral_area import LateralProfile, lateral_profile
from tests import bodies

angles = {"heel": st.floats(-3.1, 3.1), "trim": st.floats(-1.5, 1.5)}


def soup(*parts: bodies.Body) -> Floats:
    """Corners (m, 3, 3) of the triangles of several bodies."""
    meshes = [bodies.mesh(part) for part in parts]
    return np.concatenate([mesh.vertices[mesh.triangles] for mesh in meshes])


def afloat(level: float, heel: float = 0.0, trim: float = 0.0) -> Attitude:
    return Attitude(up_from_angles(heel, trim), level)


def same(profile: LateralProfile, *expected: float, rel: float = 1e-12, abs: float = 1e-12) -> bool:
    return astuple(profile) == pytest.approx(expected, rel=rel, abs=abs, nan_ok=True)


def union(triangles: Floats, attitude: Attitude) -> LateralProfile:
    """The same by shapely: the triangles laid flat, made one and parted at the water."""
    shapely = pytest.importorskip("shapely")
    ahead, _, up = water_frame(attitude.up)
    view = np.stack([triangles @ ahead, attitude.heights(triangles)], axis=-1)
    flat = [shapely.Polygon(corners) for corners in view]
    whole = shapely.union_all([p for p in flat if p.area > 1e-9], grid_size=1e-9)
    sides = []
    for low, high in ((0.0, 1e4), (-1e4, 0.0)):
        part = whole.intersection(shapely.box(-1e4, low, 1e4, high))
        along, height = part.centroid.coords[0] if part.area > 0 else (np.nan, np.nan)
        sides.append((part.area, height, ahead[0] * along + up[0] * (height + attitude.level)))
    (above, height, x_above), (below, depth, x_below) = sides
    return LateralProfile(above, height, x_above, below, -depth, x_below)


@pytest.mark.parametrize("divisions", [1, 3])
@pytest.mark.parametrize("draft", [0.5, 1.0, 2.0])
def test_box(divisions: int, draft: float) -> None:
    profile = lateral_profile(soup(bodies.box(10.0, 4.0, 3.0, divisions)), afloat(draft))
    freeboard = 3.0 - draft
    assert same(profile, 10 * freeboard, freeboard / 2, 5.0, 10 * draft, draft / 2, 5.0)
    assert profile.lever == pytest.approx(1.5)


@pytest.mark.parametrize("sunk", [0.0, 1.0])
def test_hull_with_a_house(sunk: float) -> None:
    """60 x 3 m of topsides and 20 x 3 m of house: (180 x 1.5 + 60 x 4.5) / 240 = 2.25 m up, and
    (180 x 30 + 60 x 20) / 240 = 27.5 m from aft; a house let into the deck shows the same."""
    house = bodies.moved(bodies.box(20.0, 8.0, 3.0 + sunk), (10.0, 0.0, 7.0 - sunk))
    profile = lateral_profile(soup(bodies.box(60.0, 12.0, 7.0), house), afloat(4.0))
    assert same(profile, 240.0, 2.25, 27.5, 240.0, 2.0, 30.0)
    assert profile.lever == pytest.approx(4.25)


def test_what_overlaps_counts_once() -> None:
    """Boxes 10 x 3 and 8 x 2 m that share 4 x 1 m, one far to port of the other."""
    other = bodies.moved(bodies.box(8.0, 1.0, 2.0), (6.0, 30.0, 2.0))
    profile = lateral_profile(soup(bodies.box(10.0, 4.0, 3.0), other), afloat(0.0))
    x = (30 * 5 + 16 * 10 - 4 * 8) / 42
    assert same(profile, 42.0, (30 * 1.5 + 16 * 3 - 4 * 2.5) / 42, x, 0.0, np.nan, np.nan)
    assert np.isnan(profile.lever)


@given(**angles, size=st.tuples(*[st.floats(0.5, 20.0)] * 3), divisions=st.integers(1, 3))
@settings(max_examples=40, deadline=None)
def test_box_at_any_attitude(
    heel: float, trim: float, size: tuple[float, float, float], divisions: int
) -> None:
    """Its shadow is that of its faces, each by the cosine of its slant, about its middle."""
    attitude = afloat(-100.0, heel, trim)
    profile = lateral_profile(soup(bodies.box(*size, divisions)), attitude)
    length, breadth, depth = size
    shadow = np.abs(water_frame(attitude.up)[1]) @ [
        breadth * depth,
        length * depth,
        length * breadth,
    ]
    height = float(attitude.heights(np.array([length / 2, 0.0, depth / 2])))
    assert same(profile, shadow, height, length / 2, 0.0, np.nan, np.nan, rel=1e-7, abs=1e-7)


@pytest.mark.slow
@pytest.mark.parametrize("level", [-0.5, 0.0, 0.3, 0.9])
@pytest.mark.parametrize("turn", [0.0, 0.7])
def test_sphere(level: float, turn: float) -> None:
    """Segments of a circle: area a - sin a cos a with cos a = h, moment 2/3 sin^3 a."""
    profile = lateral_profile(soup(bodies.uv_sphere(1.0, 400, 200)), afloat(level, turn, turn / 3))
    angle = np.arccos(level)
    above = angle - np.sin(angle) * np.cos(angle)
    below = np.pi - above
    moment = 2 / 3 * np.sin(angle) ** 3
    assert profile.area_above == pytest.approx(above, rel=5e-4)
    assert profile.area_below == pytest.approx(below, rel=5e-4)
    assert profile.center_above == pytest.approx(moment / above - level, abs=5e-4)
    assert profile.center_below == pytest.approx(moment / below + level, abs=5e-4)


def test_sphere_of_few_faces_is_the_polygon_it_shows() -> None:
    """Its meridians abeam are a regular polygon: n / 2 sin(2 pi / n)."""
    profile = lateral_profile(soup(bodies.uv_sphere(1.0, 24, 12)), afloat(0.0))
    half = 6 * np.sin(np.pi / 12)
    assert profile.area_above == pytest.approx(half, rel=1e-12)
    assert profile.area_below == pytest.approx(half, rel=1e-12)


@pytest.mark.parametrize("heel", [0.0, 0.2, -0.2, 1.2, np.pi / 2, 3.0])
def test_catamaran(heel: float) -> None:
    """Upright one hull hides the other; heeled, each shows the heights it takes up."""
    profile = lateral_profile(soup(bodies.catamaran(10.0, 1.0, 4.0, 2.0)), afloat(-50.0, heel))
    y, z = np.array([(y, z) for y in (1.5, 2.5) for z in (0.0, 2.0)]).T
    spans = [side * y * np.sin(heel) + z * np.cos(heel) for side in (1, -1)]
    (low, high), (other_low, other_high) = sorted((s.min(), s.max()) for s in spans)
    shown = high - low + max(other_high - max(high, other_low), 0.0)
    assert profile.area_above == pytest.approx(10.0 * shown)


def test_round_hulls_from_abeam_are_as_long_and_deep_as_they_are() -> None:
    lying = lateral_profile(soup(bodies.horizontal_cylinder(1.0, 10.0, 24)), afloat(1.0))
    assert same(lying, 10.0, 0.5, 5.0, 10.0, 0.5, 5.0)
    standing = lateral_profile(soup(bodies.vertical_cylinder(1.0, 3.0, 24)), afloat(1.0))
    assert same(standing, 4.0, 1.0, 0.0, 2.0, 0.5, 0.0)


def test_on_its_end_it_shows_its_keel_and_deck_in_line() -> None:
    """Bow up, a box 10 x 4 x 3 m stands 10 m high and 3 m wide to an eye abeam."""
    profile = lateral_profile(soup(bodies.box()), Attitude(np.array([1.0, 0.0, 0.0]), 4.0))
    assert same(profile, 18.0, 3.0, 7.0, 12.0, 2.0, 2.0)


def test_open_sheet_and_hull_without_deck() -> None:
    """A sail of 6 x 4 m seen square, and one turned 60 degrees away from the eye."""
    sail = np.array([[[0, 0, 0], [6, 0, 0], [6, 0, 4]], [[0, 0, 0], [6, 0, 4], [0, 0, 4.0]]])
    assert same(lateral_profile(sail, afloat(1.0)), 18.0, 1.5, 3.0, 6.0, 0.5, 3.0)
    turned = sail @ [[0.5, np.sqrt(0.75), 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    assert same(lateral_profile(turned, afloat(1.0)), 9.0, 1.5, 1.5, 3.0, 0.5, 1.5)
    box = soup(bodies.box())
    undecked = box[box[:, :, 2].min(axis=1) < 3.0]
    assert len(undecked) == 10
    assert same(lateral_profile(undecked, afloat(1.0)), 20.0, 1.0, 5.0, 10.0, 0.5, 5.0)


@pytest.mark.parametrize("slope", [0.3, 1.0, 7.0])
def test_crossed_spars(slope: float) -> None:
    """Two slanting spars 0.5 m wide and 10 m high share a rhombus 0.5 m wide."""
    corners = np.array([[-0.25, 0, 0], [0.25, 0, 0], [0.25, 0, 10], [-0.25, 0, 10.0]])
    spars = []
    for sign in (1, -1):
        spar = corners + [0.0, sign, 0.0]
        spar[:, 0] += sign * slope * (spar[:, 2] - 4.0)
        spars += [spar[[0, 1, 2]], spar[[0, 2, 3]]]
    rhombus = 0.5 * (0.5 / slope) / 2
    profile = lateral_profile(np.array(spars), afloat(0.0))
    area = 10.0 - rhombus
    assert profile.area_above == pytest.approx(area, rel=1e-6)
    assert profile.center_above == pytest.approx((10 * 5 - rhombus * 4) / area, rel=1e-6)
    assert profile.x_above == pytest.approx(0.0, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize(
    "parts",
    [
        [bodies.star(3, 4)],
        [bodies.torus()],
        [bodies.wigley(), bodies.moved(bodies.box(3.0, 0.5, 1.0), (4.0, 0.0, 0.9))],
        [bodies.catamaran(bridge=0.4, divisions=2), bodies.star(5, 2)],
        [bodies.moved(bodies.star(seed, 2), (seed % 4, seed % 3, 0.4 * seed)) for seed in range(9)],
    ],
    ids=["star", "torus", "wigley with a house", "catamaran and star", "stars"],
)
@given(**angles, level=st.floats(-1.0, 2.0))
@settings(max_examples=12, deadline=None)
def test_union_of_the_triangles(
    parts: list[bodies.Body], heel: float, trim: float, level: float
) -> None:
    triangles, attitude = soup(*parts), afloat(level, heel, trim)
    profile, expected = lateral_profile(triangles, attitude), union(triangles, attitude)
    whole = expected.area_above + expected.area_below
    for side in ("above", "below"):
        area = getattr(expected, f"area_{side}")
        assert getattr(profile, f"area_{side}") == pytest.approx(area, abs=1e-6 * whole)
        if area > 0.01 * whole:
            for name in (f"center_{side}", f"x_{side}"):
                assert getattr(profile, name) == pytest.approx(getattr(expected, name), abs=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize("heel, trim", [(0.0, 0.0), (0.3, 0.05), (-1.0, 0.4)])
def test_contour_of_very_many_lines(heel: float, trim: float) -> None:
    """Loose leaves, no two of which share an edge: every edge is a line of the contour."""
    random = np.random.default_rng(8)
    leaves = random.standard_normal((4000, 1, 3)) + 0.1 * random.standard_normal((4000, 3, 3))
    attitude = afloat(0.2, heel, trim)
    assert same(
        lateral_profile(leaves, attitude), *astuple(union(leaves, attitude)), rel=1e-4, abs=1e-4
    )


@pytest.mark.slow
def test_steps_among_very_many_lines() -> None:
    """Boxes 2 m long of several heights, thousands of leaves hidden within the lowest."""
    random = np.random.default_rng(4)
    tops = 2.0 + random.random(5)
    steps = [
        bodies.moved(bodies.box(2.0, 4.0, top, 5), (2.0 * i, 0.0, 0.0))
        for i, top in enumerate(tops)
    ]
    places = random.random((6000, 1, 3)) * [8.0, 3.0, 1.6] + [1.0, 0.0, 0.2]
    leaves = places + 0.2 * random.random((6000, 3, 3))
    profile = lateral_profile(np.concatenate([soup(*steps), leaves]), afloat(0.0))
    assert profile.area_above == pytest.approx(2.0 * tops.sum(), rel=1e-12)
    assert profile.center_above == pytest.approx((tops**2).sum() / 2 / tops.sum(), rel=1e-12)


def test_work_has_a_bound_and_is_done_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    triangles, attitude = soup(bodies.star(1, 12)), afloat(0.1, 0.4, 0.2)
    whole = astuple(lateral_profile(triangles, attitude))
    monkeypatch.setattr(lateral_area, "CUTS_AT_ONCE", 1000)
    assert astuple(lateral_profile(triangles, attitude)) == pytest.approx(whole, rel=1e-12)
    parts = []
    covered = lateral_area._covered_lengths

    def noted(feet: Floats, heads: Floats, change: Ints, heights: Floats) -> Floats:
        parts.append(len(heights))
        return covered(feet, heads, change, heights)

    monkeypatch.setattr(lateral_area, "_covered_lengths", noted)
    monkeypatch.setattr(lateral_area, "MAX_CUTS", 30_000)
    assert astuple(lateral_profile(triangles, attitude)) == pytest.approx(whole, abs=1e-2)
    assert 10 < len(parts) < 60


@pytest.mark.slow
@given(**angles, seed=st.integers(0, 1000))
@settings(max_examples=20, deadline=None)
def test_order_facing_and_copies_do_not_matter(heel: float, trim: float, seed: int) -> None:
    random = np.random.default_rng(seed)
    triangles = soup(bodies.star(seed, 3), bodies.moved(bodies.torus(), (1.0, 0.0, 0.5)))
    attitude = afloat(0.1, heel, trim)
    expected = astuple(lateral_profile(triangles, attitude))
    mixed = np.array([corners[random.permutation(3)] for corners in random.permutation(triangles)])
    mixed = np.concatenate([mixed, triangles[random.integers(0, len(triangles), 50)]])
    assert astuple(lateral_profile(mixed, attitude)) == pytest.approx(expected, rel=3e-6, abs=3e-6)


def test_only_heights_and_the_view_matter() -> None:
    """Shifting each triangle athwartships changes nothing; shifting all ahead moves x alone."""
    triangles, attitude = soup(bodies.torus()), afloat(0.1)
    expected = np.array(astuple(lateral_profile(triangles, attitude)))
    apart = triangles + np.random.default_rng(1).normal(size=(len(triangles), 1, 1)) * [0, 9, 0]
    assert astuple(lateral_profile(apart, attitude)) == pytest.approx(expected, rel=1e-7, abs=1e-7)
    ahead = astuple(lateral_profile(triangles + [1e3, 0.0, 0.0], attitude))
    assert ahead == pytest.approx(expected + [0, 0, 1e3, 0, 0, 1e3], rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("heel, trim", [(0.0, 0.0), (0.4, -0.3)])
def test_all_above_and_all_below(heel: float, trim: float) -> None:
    triangles = soup(bodies.star(2, 3))
    over = lateral_profile(triangles, afloat(-5.0, heel, trim))
    under = lateral_profile(triangles, afloat(5.0, heel, trim))
    assert over.area_below == under.area_above == 0.0
    assert np.isnan([over.center_below, over.x_below, under.center_above, under.x_above]).all()
    assert np.isnan([over.lever, under.lever]).all()
    assert over.area_above == pytest.approx(under.area_below, rel=1e-9)
    assert over.center_above + under.center_below == pytest.approx(10.0)
    assert over.x_above == pytest.approx(under.x_below)


@pytest.mark.parametrize(
    "triangles",
    [
        np.zeros((0, 3, 3)),
        np.ones((2, 3, 3)),
        np.array([[[0, 0, 0], [4, 0, 0], [0, 3, 0.0]]]),
        np.array([[[0, 0, 0], [0, 4, 0], [0, 0, 3.0]]]),
    ],
    ids=["empty", "points", "level", "square to the ship"],
)
def test_no_silhouette(triangles: Floats) -> None:
    assert same(lateral_profile(triangles, afloat(0.5)), *[0.0, np.nan, np.nan] * 2)
