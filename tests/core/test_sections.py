"""Cuts: waterlines, outlines and areas of sections."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats
from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.buoyancy.sections import loops, plane_section, section_area, waterline
from tests import bodies
from tests.core.direct_integration import direct_below

UPRIGHT = np.array([0.0, 0.0, 1.0])
AHEAD = np.array([1.0, 0.0, 0.0])


def enclosed(outline: Floats, normal: Floats) -> float:
    """Area inside a closed outline (k, 3), positive when anticlockwise about the normal."""
    here = outline - outline.mean(axis=0)
    return float(np.cross(here, np.roll(here, -1, axis=0)).sum(axis=0) @ normal / 2)


def perimeter(outline: Floats) -> float:
    return float(np.linalg.norm(outline - np.roll(outline, -1, axis=0), axis=1).sum())


def in_order(segments: Floats) -> Floats:
    """Segments that are more than points, in an order of their own."""
    coarse = segments.round(8).reshape(-1, 6) + 0.0
    order = np.lexsort(coarse.T)
    return segments[order][lengths(segments[order]) > 1e-7]


def lengths(segments: Floats) -> Floats:
    return np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1)


@given(
    seed=st.integers(0, 10**6),
    divisions=st.integers(1, 5),
    heel=st.floats(-3.1, 3.1),
    trim=st.floats(-1.5, 1.5),
    level=st.floats(-0.7, 0.7),
)
@settings(max_examples=30, deadline=None)
def test_waterline_encloses_the_waterplane(
    seed: int, divisions: int, heel: float, trim: float, level: float
) -> None:
    body = bodies.star(seed, divisions)
    mesh, tree = bodies.mesh(body), bodies.tree(body)
    attitude = Attitude(up_from_angles(heel, trim), level)
    direct = direct_below(mesh.vertices, mesh.triangles, attitude.up, level)
    segments = waterline(tree, attitude)
    assert attitude.heights(segments) == pytest.approx(0.0, abs=1e-12)
    if np.abs(mesh.vertices @ attitude.up - level).min() > 1e-9:
        assert in_order(segments) == pytest.approx(in_order(direct.line), abs=1e-8)
    outlines = loops(segments)
    areas = [enclosed(outline, attitude.up) for outline in outlines]
    wet = tree.below(attitude)
    assert sum(areas) == pytest.approx(wet.waterplane_area, rel=1e-9, abs=1e-9)
    total = sum(perimeter(outline) for outline in outlines)
    assert total == pytest.approx(lengths(segments).sum(), rel=1e-9)


def test_outlines_of_a_ring() -> None:
    """The water inside a ring lies to the other side: its outline runs clockwise."""
    tree = bodies.tree(bodies.torus(2.0, 0.5, 48, 24))
    outlines = loops(waterline(tree, Attitude(UPRIGHT, 0.1)))
    areas = sorted(enclosed(outline, UPRIGHT) for outline in outlines)
    half = np.sqrt(0.5**2 - 0.1**2)
    assert areas == pytest.approx([-np.pi * (2 - half) ** 2, np.pi * (2 + half) ** 2], rel=0.02)
    across = loops(waterline(tree, Attitude(up_from_angles(np.pi / 2, 0.0), 0.01)))
    assert len(across) == 2 and all(enclosed(o, np.array([0, 1.0, 0])) > 0 for o in across)


@pytest.mark.parametrize("divisions", [1, 2, 5])
@pytest.mark.parametrize("level", [0.5, 1.0, 0.4, 1.7])
def test_outlines_of_a_catamaran(divisions: int, level: float) -> None:
    body = bodies.catamaran(10.0, 1.0, 4.0, 2.0, divisions=divisions)
    outlines = loops(waterline(bodies.tree(body), Attitude(UPRIGHT, level)))
    assert [enclosed(o, UPRIGHT) for o in outlines] == pytest.approx([10.0, 10.0])
    assert [perimeter(o) for o in outlines] == pytest.approx([22.0, 22.0])
    middles = sorted(float(outline[:, 1].min() + outline[:, 1].max()) / 2 for outline in outlines)
    assert middles == pytest.approx([-2.0, 2.0])


@pytest.mark.parametrize("length", [10.0, 25.6, 51.2])
def test_outlines_close_wherever_their_points_fall(length: float) -> None:
    """Neighbors find their common point a rounding apart; no grid may part them."""
    tree = bodies.tree(bodies.wedge(length, 4.0, 3.0, 3))
    for half_breadth in np.arange(1, 20) / 10:
        attitude = Attitude(UPRIGHT, float(half_breadth) * 1.5)
        outlines = loops(waterline(tree, attitude))
        assert len(outlines) == 1, half_breadth
        assert enclosed(outlines[0], UPRIGHT) == pytest.approx(2 * half_breadth * length, rel=1e-5)


@pytest.mark.parametrize("axis", range(3))
@pytest.mark.parametrize("divisions", [2, 3, 4, 6, 7])
def test_cut_through_a_row_of_vertices(axis: int, divisions: int) -> None:
    """Every row of vertices of a box gives the one outline, whole."""
    size = np.array([6.0, 3.0, 2.0])
    tree = bodies.tree(bodies.box(*size, divisions))
    normal = np.eye(3)[axis]
    low = np.array([0.0, -1.5, 0.0])[axis]
    a, b = np.delete(size, axis)
    for step in range(divisions):
        level = float(low + size[axis] * step / divisions)
        for sign in (1.0, -1.0)[: 1 if step == 0 else 2]:
            segments = plane_section(tree, sign * normal, sign * level)
            assert lengths(segments).sum() == pytest.approx(2 * (a + b)), (step, sign)
            outlines = loops(segments)
            assert len(outlines) == 1
            assert enclosed(outlines[0], sign * normal) == pytest.approx(a * b)


@pytest.mark.parametrize("divisions", [2, 4, 8, 11])
def test_waterline_along_a_row_of_vertices_of_a_curved_hull(divisions: int) -> None:
    draft = 0.625
    tree = bodies.tree(bodies.wigley(10.0, 1.0, draft, 1.0, divisions))
    attitude = Attitude(UPRIGHT, draft)
    outlines = loops(waterline(tree, attitude))
    assert len(outlines) == 1
    assert np.ptp(outlines[0][:, :2], axis=0) == pytest.approx([10.0, 1.0])
    area = tree.below(attitude).waterplane_area
    assert enclosed(outlines[0], UPRIGHT) == pytest.approx(area, rel=1e-9)


def test_no_cut() -> None:
    tree = bodies.tree(bodies.box())
    for level in (-1.0, 9.0):
        segments = waterline(tree, Attitude(UPRIGHT, level))
        assert segments.shape == (0, 2, 3)
        assert loops(segments) == []
    assert section_area(tree, -1.0, Attitude(UPRIGHT, 1.0)) == 0.0
    assert section_area(tree, 11.0, Attitude(UPRIGHT, 1.0)) == 0.0
    assert section_area(tree, 5.0, Attitude(UPRIGHT, -1.0)) == 0.0
    assert section_area(tree, 5.0, Attitude(UPRIGHT, 9.0)) == pytest.approx(12.0)


@pytest.mark.parametrize("x", [0.0, 2.5, 5.0, 7.1])
@pytest.mark.parametrize("heel, trim", [(0, 0), (14, 0), (-9, 5), (170, 3), (188, 0), (7, -6)])
@pytest.mark.parametrize("divisions", [1, 4])
def test_section_area_of_a_box(x: float, heel: float, trim: float, divisions: int) -> None:
    """Breadth times the depth of water on the centerline, whichever way up it is."""
    tree = bodies.tree(bodies.box(10.0, 4.0, 3.0, divisions))
    attitude = Attitude.from_draft(1.5, 5.0, np.radians(heel), np.radians(trim))
    draft = (attitude.level - x * attitude.up[0]) / attitude.up[2]
    depth = draft if attitude.up[2] > 0 else 3.0 - draft
    assert section_area(tree, x, attitude) == pytest.approx(4.0 * depth, rel=1e-9)


@pytest.mark.parametrize("heel", [0.0, 20.0, -35.0])
def test_section_area_of_a_vee(heel: float) -> None:
    tree = bodies.tree(bodies.wedge(10.0, 4.0, 3.0, 4))
    attitude = Attitude.from_draft(1.0, 0.0, np.radians(heel))
    half, high = np.arctan(2 / 3), np.cos(np.radians(heel))
    legs = [high / np.cos(half - side * np.radians(heel)) for side in (1, -1)]
    expected = legs[0] * legs[1] * np.sin(2 * half) / 2
    for x in (0.0, 5.0, 9.0):
        assert section_area(tree, x, attitude) == pytest.approx(expected, rel=1e-9)


@given(
    seed=st.integers(0, 10**6),
    x=st.floats(-0.5, 0.5),
    heel=st.floats(-3.1, 3.1),
    trim=st.floats(-1.2, 1.2),
    level=st.floats(-0.5, 0.5),
)
@settings(max_examples=30, deadline=None)
def test_section_area_by_clipping_the_outline(
    seed: int, x: float, heel: float, trim: float, level: float
) -> None:
    body = bodies.star(seed, 4)
    mesh, tree = bodies.mesh(body), bodies.tree(body)
    attitude = Attitude(up_from_angles(heel, trim), level)
    line = direct_below(mesh.vertices, mesh.triangles, AHEAD, x).line
    apex = np.array([x, 0.0, 0.0])
    apex = apex + (level - attitude.up @ apex) / (attitude.up[1:] @ attitude.up[1:]) * (
        attitude.up * [0, 1, 1]
    )
    expected = 0.0
    for a, b in line - apex:
        low, high = sorted((a, b), key=lambda p: float(p @ attitude.up))
        h, k = low @ attitude.up, high @ attitude.up
        if h >= 0:
            continue
        if k > 0:
            share = h / (h - k)
            a, b = (a, a + share * (b - a)) if low is a else (b + share * (a - b), b)
        expected += float(np.cross(a, b)[0]) / 2
    assert section_area(tree, x, attitude) == pytest.approx(expected, abs=1e-9)


def test_areas_of_sections_add_up_to_the_volume() -> None:
    tree = bodies.tree(bodies.wigley(10.0, 1.6, 0.9, 1.4, 10))
    attitude = Attitude.from_draft(0.7, 5.0, np.radians(8.0), np.radians(1.5))
    points, shares = np.polynomial.legendre.leggauss(3)
    volume = sum(
        share / 4 * section_area(tree, low + (point + 1) / 4, attitude)
        for low in np.arange(0, 10, 0.5)
        for point, share in zip(points, shares, strict=True)
    )
    assert volume == pytest.approx(tree.below(attitude).volume, rel=1e-4)
