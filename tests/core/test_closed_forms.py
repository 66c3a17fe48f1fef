"""Bodies whose hydrostatics are known in closed form, upright, heeled and trimmed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from addon.core.buoyancy.attitude import Attitude, up_from_angles, water_frame
from addon.core.buoyancy.immersion import Immersion
from addon.core.hydrostatics.particulars import Hydrostatics, hydrostatics
from addon.core.model.hull import build_hull
from tests import bodies

EXACT = 1e-9
LENGTH, BREADTH, DEPTH = 10.0, 4.0, 3.0
TILTS = [(0.0, 0.0), (12.0, 0.0), (-7.0, 0.0), (0.0, 4.0), (0.0, -5.0), (11.0, 3.0), (-9.0, -4.0)]


def plane_second_moments(up: np.ndarray, x2: float, y2: float, area: float) -> np.ndarray:
    """Second moments in the water of a prism's cut, x2 and y2 its mean squares in plan."""
    onto_plane = np.array([[1.0, 0.0], [0.0, 1.0], [-up[0] / up[2], -up[1] / up[2]]])
    in_water = water_frame(up)[:2] @ onto_plane
    return area * in_water @ np.diag([x2, y2]) @ in_water.T


def assert_wall_sided(
    wet: Immersion,
    middle: np.ndarray,
    draft: float,
    plan: float,
    x2: float,
    y2: float,
    wetted: float,
    tolerance: float = EXACT,
) -> None:
    """An upright prism of the given plan area about `middle`, its floor wholly under water."""
    up = wet.attitude.up
    a, b = up[0] / up[2], up[1] / up[2]
    center = [-a * x2 / draft, -b * y2 / draft, draft / 2 + (a * a * x2 + b * b * y2) / (2 * draft)]
    area = plan / up[2]
    assert wet.volume == pytest.approx(plan * draft, rel=tolerance)
    assert wet.buoyancy == pytest.approx(middle + center, rel=tolerance, abs=tolerance)
    assert wet.waterplane_area == pytest.approx(area, rel=tolerance)
    assert wet.flotation == pytest.approx(middle + [0, 0, draft], rel=tolerance, abs=tolerance)
    assert wet.inertia == pytest.approx(
        plane_second_moments(up, x2, y2, area), rel=tolerance, abs=tolerance * area * (x2 + y2)
    )
    assert wet.wetted_surface == pytest.approx(wetted, rel=tolerance)


@pytest.mark.parametrize("divisions", [1, 5])
@pytest.mark.parametrize("heel, trim", TILTS)
def test_box_heeled_and_trimmed(heel: float, trim: float, divisions: int) -> None:
    draft = 1.4
    tree = bodies.tree(bodies.box(LENGTH, BREADTH, DEPTH, divisions))
    attitude = Attitude.from_draft(draft, LENGTH / 2, np.radians(heel), np.radians(trim))
    assert_wall_sided(
        tree.below(attitude),
        np.array([LENGTH / 2, 0.0, 0.0]),
        draft,
        LENGTH * BREADTH,
        LENGTH**2 / 12,
        BREADTH**2 / 12,
        LENGTH * BREADTH + 2 * (LENGTH + BREADTH) * draft,
    )


@pytest.mark.parametrize(
    "heel, trim", [(25.0, 8.0), (-40.0, 20.0), (130.0, -15.0), (-160.0, -30.0)]
)
def test_corner_of_a_box(heel: float, trim: float) -> None:
    """With one corner in the water the wet part is a right-angled tetrahedron."""
    up = up_from_angles(np.radians(heel), np.radians(trim))
    size = np.array([LENGTH, BREADTH, DEPTH])
    low = np.array([0.0, -BREADTH / 2, 0.0])
    corner = low + size * (up < 0)
    depth = 0.5 * float(np.min(size * np.abs(up)))
    wet = bodies.tree(bodies.box(LENGTH, BREADTH, DEPTH)).below(Attitude(up, up @ corner + depth))
    legs = depth / up
    x, y, z = np.abs(legs)
    area = x * y * z / (2 * depth)
    tips = np.diag(legs) - legs / 3
    in_water = tips @ water_frame(up)[:2].T
    assert wet.volume == pytest.approx(x * y * z / 6, rel=EXACT)
    assert wet.buoyancy == pytest.approx(corner + legs / 4, rel=EXACT)
    assert wet.waterplane_area == pytest.approx(area, rel=EXACT)
    assert wet.flotation == pytest.approx(corner + legs / 3, rel=EXACT)
    assert wet.inertia == pytest.approx(area * in_water.T @ in_water / 12, rel=EXACT)
    assert wet.wetted_surface == pytest.approx((x * y + y * z + z * x) / 2, rel=EXACT)


@pytest.mark.parametrize("heel", [0.0, 10.0, -25.0])
@pytest.mark.parametrize("divisions", [1, 4])
def test_wedge(heel: float, divisions: int) -> None:
    """The wet section of a vee is the triangle of its keel and the two points of the water."""
    half, depth = np.arctan(BREADTH / 2 / DEPTH), 1.2
    tree = bodies.tree(bodies.wedge(LENGTH, BREADTH, DEPTH, divisions))
    wet = tree.below(Attitude.from_draft(depth, 0.0, np.radians(heel)))
    high = depth * np.cos(np.radians(heel))
    side = np.array([1.0, -1.0])
    reach = high / np.cos(half - side * np.radians(heel))
    port, starboard = (
        r * np.array([s * np.sin(half), np.cos(half)]) for s, r in zip(side, reach, strict=True)
    )
    across = float(np.linalg.norm(port - starboard))
    section = high * across / 2
    assert wet.volume == pytest.approx(section * LENGTH, rel=EXACT)
    assert wet.buoyancy == pytest.approx(
        [LENGTH / 2, *(port + starboard) / 3], rel=EXACT, abs=EXACT
    )
    assert wet.waterplane_area == pytest.approx(LENGTH * across, rel=EXACT)
    assert wet.flotation == pytest.approx(
        [LENGTH / 2, *(port + starboard) / 2], rel=EXACT, abs=EXACT
    )
    assert wet.inertia == pytest.approx(
        np.diag([LENGTH**3 * across / 12, LENGTH * across**3 / 12]), rel=EXACT, abs=EXACT
    )
    assert wet.wetted_surface == pytest.approx(LENGTH * reach.sum() + 2 * section, rel=EXACT)


def test_whole_and_nothing() -> None:
    tree = bodies.tree(bodies.box(LENGTH, BREADTH, DEPTH, 3))
    up = up_from_angles(0.3, -0.2)
    whole = tree.below(Attitude(up, 50.0))
    assert whole.volume == pytest.approx(LENGTH * BREADTH * DEPTH, rel=EXACT)
    assert whole.buoyancy == pytest.approx([LENGTH / 2, 0, DEPTH / 2], rel=EXACT, abs=EXACT)
    assert whole.wetted_surface == pytest.approx(
        2 * (LENGTH * BREADTH + BREADTH * DEPTH + DEPTH * LENGTH), rel=EXACT
    )
    nothing = tree.below(Attitude(up, -50.0))
    assert (nothing.volume, nothing.waterplane_area, nothing.wetted_surface) == (0.0, 0.0, 0.0)
    assert np.isnan(nothing.buoyancy).all()


def test_no_waterplane_when_wholly_under() -> None:
    for seed in range(8):
        under = bodies.tree(bodies.star(seed)).below(Attitude(up_from_angles(0.2, 0.1 * seed), 5.0))
        assert under.waterplane_area == pytest.approx(0.0, abs=1e-12)
        assert np.isnan(under.flotation).all()
        assert (under.inertia == 0).all()


# Curved bodies: a mesh of half the spacing must be four times as good.


def quantities(wet: Immersion) -> np.ndarray:
    """Volume, depth of B under the plane, area, second moments and wetted surface."""
    depth = wet.attitude.level - float(wet.buoyancy @ wet.attitude.up)
    return np.array(
        [
            wet.volume,
            depth,
            wet.waterplane_area,
            wet.inertia[0, 0],
            wet.inertia[1, 1],
            wet.wetted_surface,
        ]
    )


def assert_second_order(
    at: Callable[[int], Immersion], expected: list[float], finest: float, skip: tuple[int, ...] = ()
) -> None:
    """Errors of `at(1)`, `at(2)`, `at(4)` fall by four each time and end below `finest`."""
    errors = np.array([np.abs(quantities(at(n)) / expected - 1) for n in (1, 2, 4)])
    kept = [index for index in range(len(expected)) if index not in skip]
    ratios = errors[:-1, kept] / errors[1:, kept]
    assert ((ratios > 3.5) & (ratios < 4.5)).all(), ratios
    assert (errors[-1] < finest).all(), errors[-1]


@pytest.mark.parametrize("heel", [0.0, 30.0, 90.0, -150.0])
def test_horizontal_cylinder(heel: float) -> None:
    """The water lies 40 degrees up the side, a third or two thirds of the way along a facet."""
    radius, length, half = 1.3, 6.0, np.radians(40.0)
    up = up_from_angles(np.radians(heel), 0.0)
    level = up[2] * radius - radius * np.cos(half)
    chord = 2 * radius * np.sin(half)
    section = radius**2 * (half - np.sin(half) * np.cos(half))
    expected = [
        section * length,
        chord**3 / (12 * section) - radius * np.cos(half),
        chord * length,
        chord * length**3 / 12,
        chord**3 * length / 12,
        2 * radius * half * length + 2 * section,
    ]

    def at(n: int) -> Immersion:
        tree = bodies.tree(bodies.horizontal_cylinder(radius, length, 24 * n))
        wet = tree.below(Attitude(up, level))
        assert wet.buoyancy[0] == pytest.approx(length / 2, rel=EXACT)
        return wet

    assert_second_order(at, expected, 0.01)
    axis = np.array([length / 2, 0.0, radius])
    wet = at(8)
    metacenter = wet.buoyancy + wet.metacentric_radii()[0] * up
    assert metacenter == pytest.approx(axis, abs=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("heel, trim", TILTS)
def test_vertical_cylinder(heel: float, trim: float) -> None:
    """A regular polygon of n sides is a prism in closed form, and tends to the circle."""
    radius, height, draft, sides = 1.5, 4.0, 2.2, 12
    attitude = Attitude.from_draft(draft, 0.0, np.radians(heel), np.radians(trim))
    angle = 2 * np.pi / sides
    plan = sides * radius**2 * np.sin(angle) / 2
    square = radius**2 * (2 + np.cos(angle)) / 12
    for divisions in (1, 3):
        assert_wall_sided(
            bodies.tree(bodies.vertical_cylinder(radius, height, sides, divisions)).below(attitude),
            np.zeros(3),
            draft,
            plan,
            square,
            square,
            plan + 2 * sides * radius * np.sin(angle / 2) * draft,
        )
    finest = bodies.tree(bodies.vertical_cylinder(radius, height, 1536)).below(attitude)
    assert_wall_sided(
        finest,
        np.zeros(3),
        draft,
        np.pi * radius**2,
        radius**2 / 4,
        radius**2 / 4,
        np.pi * radius**2 + 2 * np.pi * radius * draft,
        tolerance=1e-5,
    )


@pytest.mark.parametrize("kind", ["uv", "icosahedron", "octahedron"])
@pytest.mark.parametrize("level", [-0.5, 0.0, 0.3])
def test_sphere(kind: str, level: float) -> None:
    radius = 1.25
    up = up_from_angles(0.7, 0.3)
    deep, center_height = radius + level, level
    circle = np.sqrt(radius**2 - level**2)
    inertia = np.pi * circle**4 / 4
    expected = [
        np.pi * deep**2 * (3 * radius - deep) / 3,
        center_height + 3 * (2 * radius - deep) ** 2 / (4 * (3 * radius - deep)),
        np.pi * circle**2,
        inertia,
        inertia,
        2 * np.pi * radius * deep,
    ]

    def at(n: int) -> Immersion:
        body = (
            bodies.uv_sphere(radius, 32 * n, 16 * n)
            if kind == "uv"
            else bodies.geodesic_sphere(radius, 6 * n, kind)
        )
        return bodies.tree(body).below(Attitude(up, level))

    assert_second_order(at, expected, 0.01)
    assert at(2).buoyancy == pytest.approx((level - expected[1]) * up, abs=0.02)


def test_paraboloid_upright() -> None:
    """The water lies two thirds of the way out, so the phase in a ring repeats."""
    radius, depth = 2.0, 3.0
    draft = 4 / 9 * depth
    circle = 2 / 3 * radius
    inertia = np.pi * circle**4 / 4
    expected = [
        np.pi * circle**2 * draft / 2,
        draft / 3,
        np.pi * circle**2,
        inertia,
        inertia,
        np.pi * circle / (6 * draft**2) * ((circle**2 + 4 * draft**2) ** 1.5 - circle**3),
    ]

    def at(n: int) -> Immersion:
        tree = bodies.tree(bodies.paraboloid(radius, depth, 8 * n, 24 * n))
        return tree.below(Attitude.from_draft(draft, 0.0))

    assert_second_order(at, expected, 0.003)


@pytest.mark.parametrize("heel, trim", [(15.0, 0.0), (-12.0, 8.0), (6.0, -14.0)])
def test_paraboloid_heeled(heel: float, trim: float) -> None:
    """z = k r^2 cut by any plane: in plan the cut is a circle, and the volume pi k rho^4 / 2."""
    radius, depth, draft = 2.0, 3.0, 1.0
    attitude = Attitude.from_draft(draft, 0.0, np.radians(heel), np.radians(trim))
    up = attitude.up
    k, a, b = depth / radius**2, up[0] / up[2], up[1] / up[2]
    out = np.array([-a, -b]) / (2 * k)
    rho2 = draft / k + out @ out
    surface = draft - a * out[0] - b * out[1]
    volume = np.pi * k * rho2**2 / 2
    area = np.pi * rho2 / up[2]
    second = plane_second_moments(up, rho2 / 4, rho2 / 4, area)

    def errors(n: int) -> np.ndarray:
        wet = bodies.tree(bodies.paraboloid(radius, depth, 16 * n, 48 * n)).below(attitude)
        return np.array(
            [
                wet.volume / volume - 1,
                wet.waterplane_area / area - 1,
                *(wet.buoyancy - [*out, surface - k * rho2 / 3]),
                *(wet.flotation - [*out, surface]),
                *(wet.inertia - second).ravel() / second[1, 1],
            ]
        )

    coarse, fine = np.abs(errors(1)), np.abs(errors(4))
    assert (fine < 1e-3).all(), fine
    telling = coarse > 1e-4
    assert (fine[telling] < coarse[telling] / 10).all(), coarse / fine


def wigley_skin(length: float, breadth: float, draft: float) -> float:
    """Wetted surface of Wigley's hull by Gauss's rule of 60 by 60 points."""
    points, shares = np.polynomial.legendre.leggauss(60)
    x, z = np.meshgrid(points, (points + 1) / 2, indexing="ij")
    along = 1 + (breadth / length * 2 * x * (1 - z**2)) ** 2
    down = (breadth / draft * z * (1 - x**2)) ** 2
    share = np.outer(shares * length / 2, shares * draft / 2)
    return float(2 * (share * np.sqrt(along + down)).sum())


def test_wigley() -> None:
    length, breadth, draft = 10.0, 1.6, 0.9
    volume = 4 / 9 * length * breadth * draft
    expected = [
        volume,
        3 / 8 * draft,
        2 / 3 * length * breadth,
        breadth * length**3 / 30,
        4 / 105 * breadth**3 * length,
        wigley_skin(length, breadth, draft),
    ]

    def at(n: int) -> Immersion:
        tree = bodies.tree(bodies.wigley(length, breadth, draft, 1.4, 8 * n))
        wet = tree.below(Attitude.from_draft(draft, 0.0))
        assert wet.buoyancy[:2] == pytest.approx([length / 2, 0], abs=1e-12)
        assert wet.flotation[:2] == pytest.approx([length / 2, 0], abs=1e-12)
        return wet

    assert_second_order(at, expected, 0.003)


# Particulars.


def box_particulars(draft: float, heel: float, trim: float) -> Hydrostatics:
    hull = build_hull(bodies.mesh(bodies.box(LENGTH, BREADTH, DEPTH, 2)))
    return hydrostatics(
        hull, Attitude.from_draft(draft, LENGTH / 2, np.radians(heel), np.radians(trim))
    )


def test_particulars_of_a_box_upright() -> None:
    draft = 1.4
    box = box_particulars(draft, 0.0, 0.0)
    assert [box.draft_aft, box.draft_forward, box.draft_mid] == pytest.approx([draft] * 3)
    assert box.trim == pytest.approx(0.0, abs=1e-12)
    assert [box.KB, box.BM, box.BML] == pytest.approx(
        [draft / 2, BREADTH**2 / 12 / draft, LENGTH**2 / 12 / draft]
    )
    assert [box.KM, box.KML] == pytest.approx([box.KB + box.BM, box.KB + box.BML])
    assert box.metacenter == pytest.approx([LENGTH / 2, 0, box.KM], abs=1e-12)
    assert [box.LWL, box.BWL] == pytest.approx([LENGTH, BREADTH])
    assert box.midship_area == pytest.approx(BREADTH * draft)
    assert [box.Cb, box.Cp, box.Cm, box.Cwp] == pytest.approx([1, 1, 1, 1])
    assert box.freeboard_min == pytest.approx(DEPTH - draft)
    assert box.displacement(1000.0) == pytest.approx(1000 * LENGTH * BREADTH * draft)
    assert box.sinkage_mass(1000.0) == pytest.approx(1000 * LENGTH * BREADTH)


@pytest.mark.parametrize("heel, trim", TILTS)
def test_particulars_of_a_box_tilted(heel: float, trim: float) -> None:
    draft = 1.5
    box = box_particulars(draft, heel, trim)
    p, t = np.radians(heel), np.radians(trim)
    by_stern = LENGTH * np.tan(t) / np.cos(p)
    assert box.draft_mid == pytest.approx(draft, rel=EXACT)
    assert box.trim == pytest.approx(by_stern, rel=EXACT, abs=1e-12)
    assert [box.draft_aft, box.draft_forward] == pytest.approx(
        [draft + by_stern / 2, draft - by_stern / 2], rel=EXACT
    )
    assert box.midship_area == pytest.approx(BREADTH * draft, rel=EXACT)
    assert box.immersion.attitude.heel_rad == pytest.approx(p, abs=1e-12)
    assert box.immersion.attitude.trim_rad == pytest.approx(t, abs=1e-12)
    a, b = np.tan(t) / np.cos(p), np.tan(p)
    center = np.array([-a * LENGTH**2, -b * BREADTH**2]) / 12 / draft
    rise = draft / 2 + (a**2 * LENGTH**2 + b**2 * BREADTH**2) / 24 / draft
    above_keel = np.cos(t) * (np.sin(p) * center[1] + np.cos(p) * rise)
    assert box.KB == pytest.approx(above_keel, rel=EXACT)
    assert box.KM == pytest.approx(above_keel + box.BM, rel=EXACT)
    corners = np.array([[x, y, DEPTH] for x in (0, LENGTH) for y in (-BREADTH / 2, BREADTH / 2)])
    up = np.array([np.sin(t), np.cos(t) * np.sin(p), np.cos(t) * np.cos(p)])
    heights = (corners - [LENGTH / 2, 0, draft]) @ up
    assert box.freeboard_min == pytest.approx(heights.min(), rel=EXACT)
    assert box.freeboard_min_at == pytest.approx(corners[heights.argmin()], abs=1e-12) or (
        np.sort(heights)[1] - heights.min() < 1e-9
    )
    if not trim:
        assert [box.LWL, box.BWL] == pytest.approx([LENGTH, BREADTH / np.cos(p)], rel=EXACT)
        assert [box.Cp, box.Cwp] == pytest.approx([1, 1], rel=EXACT)
    if not heel:
        assert [box.LWL, box.BWL] == pytest.approx([LENGTH / np.cos(t), BREADTH], rel=EXACT)


def test_signs() -> None:
    """Heel to starboard puts starboard under; trim by the stern sinks the stern."""
    attitude = Attitude(up_from_angles(0.1, 0.05), 0.0)
    port, ahead, above = attitude.heights(np.array([[0.0, 1, 0], [1.0, 0, 0], [0.0, 0, 1]]))
    assert port > 0 and ahead > 0 and above > 0.9
    assert attitude.draft_at(0.0) > attitude.draft_at(1.0)
    frame = attitude.mirrored().up
    assert Attitude(frame, 0.0).heel_rad == pytest.approx(-0.1)
    assert Attitude(frame, 0.0).trim_rad == pytest.approx(0.05)


@pytest.mark.parametrize("heel", [91.0, 180.0, -120.0])
def test_drafts_have_no_meaning_upside_down(heel: float) -> None:
    box = box_particulars(1.4, 0.0, 0.0)
    over = Attitude(up_from_angles(np.radians(heel), 0.0), 0.0)
    assert over.upside_down and not box.immersion.attitude.upside_down
    assert np.isnan(over.draft_at(0.0))


def test_form_has_no_meaning_with_the_deck_edge_under() -> None:
    box = box_particulars(2.5, 20.0, 0.0)
    assert box.freeboard_min < 0 and box.immersion.volume > 0
    assert np.isnan([box.Cb, box.Cp, box.Cm, box.Cwp]).all()


def test_coefficients_of_wigleys_hull() -> None:
    """Cb 4/9, Cp 2/3, Cm 2/3, Cwp 2/3 at the designed draft, from the definition of the form."""
    hull = build_hull(bodies.mesh(bodies.wigley(divisions=32)))
    figures = hydrostatics(hull, Attitude.from_draft(0.625, 5.0))
    assert [figures.Cb, figures.Cp, figures.Cm, figures.Cwp] == pytest.approx(
        [4 / 9, 2 / 3, 2 / 3, 2 / 3], rel=2e-3
    )
    assert [figures.LWL, figures.BWL] == pytest.approx([10.0, 1.0], rel=EXACT)
