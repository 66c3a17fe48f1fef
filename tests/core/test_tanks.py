"""Liquids on board: where they run, what their surfaces take off, and how it rests on them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.buoyancy.attitude import up_from_angles
from addon.core.hydrostatics.equilibrium import find_equilibrium
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.hydrostatics.upright import upright_GM
from addon.core.messages.subjects import Subject
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.tanks import Tank, free_surface_moment
from addon.core.model.weights import Weight
from addon.core.stability.righting_curve import righting_curve
from addon.core.stability.righting_lever import heeling_of
from tests import bodies
from tests.core.direct_integration import direct_below
from tests.language import refused

UPRIGHT = np.array([0.0, 0.0, 1.0])
WATER = 1025.0


def tank(
    body: bodies.Body, fill: float, density: float = 1000.0, permeability: float = 1.0
) -> Tank:
    return Tank("tank", bodies.tree(body), density, fill, permeability)


def barge(*tanks: Tank, KG: float = 1.0, draft: float = 1.5, aside: float = 0.0) -> Case:
    """A box of 20 x 6 x 3 m at a draft, G of its solid weight on the centerline or aside of it."""
    hull = build_hull(bodies.mesh(bodies.box(20.0, 6.0, 3.0)))
    named = tuple(replace(each, name=f"tank {i}") for i, each in enumerate(tanks))
    mass = 120.0 * draft * WATER - sum(each.mass for each in named)
    weight = Weight("ship", mass, np.array([10.0, aside, KG]))
    return Case("barge", hull, (weight,), WATER, named)


# One tank.


@given(
    seed=st.integers(0, 10**6),
    fill=st.floats(1e-9, 1.0),
    heel=st.floats(-3.1, 3.1),
    trim=st.floats(-1.5, 1.5),
)
@settings(max_examples=40, deadline=None)
def test_volume_is_kept_at_every_attitude(seed: int, fill: float, heel: float, trim: float) -> None:
    body = bodies.moved(bodies.star(seed, 2), (30.0, -4.0, 2.0))
    mesh, held = bodies.mesh(body), tank(body, fill, 870.0, 0.9)
    up = up_from_angles(heel, trim)
    liquid = held.liquid(up)
    direct = direct_below(mesh.vertices, mesh.triangles, up, liquid.level)
    whole = held.body.volume
    assert liquid.mass == pytest.approx(870 * 0.9 * fill * whole, rel=1e-12)
    assert direct.volume == pytest.approx(fill * whole, abs=1e-9 * whole)
    if 1e-6 < fill < 1 - 1e-6:
        assert liquid.center == pytest.approx(direct.buoyancy, abs=1e-6)
    assert np.linalg.norm(liquid.center - held.body.middle) < held.body.size
    assert np.linalg.eigvalsh(liquid.surface)[0] > -1e-12


@given(heel=st.floats(-0.2, 0.2), trim=st.floats(-0.05, 0.05), fill=st.floats(0.35, 0.65))
@settings(max_examples=30, deadline=None)
def test_box_tank_at_a_heel(heel: float, trim: float, fill: float) -> None:
    """Wall-sided: as the water of a box floats, upside down as it were; b^2/12h tan heel aside."""
    length, breadth, depth = 4.0, 3.0, 2.0
    up = up_from_angles(heel, trim)
    liquid = tank(bodies.box(length, breadth, depth), fill).liquid(up)
    a, b = up[:2] / up[2]
    height = fill * depth
    expected = [
        length / 2 - a * length**2 / 12 / height,
        -b * breadth**2 / 12 / height,
        height / 2 + (a**2 * length**2 + b**2 * breadth**2) / (24 * height),
    ]
    assert liquid.center == pytest.approx(expected, abs=1e-9)
    assert liquid.level == pytest.approx(up @ [length / 2, 0.0, height], abs=1e-9)
    if trim == 0:
        across = length * (breadth / np.cos(heel)) ** 3 / 12
        assert liquid.surface[1, 1] == pytest.approx(across, rel=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("heel", [0.0, 7.5, 45.0, 120.0, 180.0])
@pytest.mark.parametrize("fill", [0.1, 0.5, 0.8])
def test_round_tank_at_a_heel(heel: float, fill: float) -> None:
    """A cylinder's liquid hangs straight below its axis at one depth, whatever the heel."""
    radius, length, sides = 0.7, 3.0, 720
    held = tank(bodies.horizontal_cylinder(radius, length, sides), fill)
    up = up_from_angles(np.radians(heel), 0.0)
    low, high = 0.0, 2 * np.pi
    for _ in range(80):
        middle = (low + high) / 2
        less = (middle - np.sin(middle)) / (2 * np.pi) < fill
        low, high = (middle, high) if less else (low, middle)
    below = 4 * radius * np.sin(low / 2) ** 3 / (3 * (low - np.sin(low)))
    axis = np.array([length / 2, 0.0, radius])
    liquid = held.liquid(up)
    assert liquid.center == pytest.approx(axis - below * up, abs=2e-5)
    chord = 2 * radius * np.sin(low / 2)
    assert liquid.surface == pytest.approx(
        np.diag([length**3 * chord, length * chord**3]) / 12, rel=2e-4, abs=1e-9
    )


def test_full_and_empty_tanks_have_no_surface() -> None:
    body = bodies.star(2, 2)
    full, empty = tank(body, 1.0), tank(body, 0.0)
    for heel in (0.0, 1.0, -2.5):
        liquid = full.liquid(up_from_angles(heel, 0.3))
        assert (liquid.surface == 0).all()
        assert liquid.center == pytest.approx(full.liquid(UPRIGHT).center, abs=1e-15)
        assert liquid.mass == full.mass == 1000.0 * full.capacity
    assert free_surface_moment(full) == free_surface_moment(empty) == 0.0
    assert empty.mass == 0.0 and barge(empty).load.slack_tanks == ()
    assert barge(empty).load.free_surface_correction == 0.0
    nearly = full.filled(1 - 1e-8).liquid(up_from_angles(1.0, 0.3))
    assert nearly.center == pytest.approx(liquid.center, abs=1e-6)


@pytest.mark.parametrize("fill", [5e-324, 1e-300, 1e-17, 1e-12])
def test_dregs_lie_at_the_bottom(fill: float) -> None:
    held = tank(bodies.box(4.0, 2.0, 1.0), fill)
    for heel in (0.0, 0.3, -2.0):
        up = up_from_angles(heel, 0.1)
        liquid = held.liquid(up)
        assert up @ liquid.center == pytest.approx(held.body.span(up)[0], abs=2e-3)
        assert np.isfinite(liquid.surface).all()


@given(share=st.floats(0.01, 1.0), fill=st.floats(0.01, 0.99))
@settings(max_examples=20, deadline=None)
def test_permeability(share: float, fill: float) -> None:
    """What stands in a tank takes its share of mass and of surface, and leaves the center."""
    body = bodies.wedge(3.0, 2.0, 1.0)
    up = up_from_angles(0.4, -0.1)
    whole, part = tank(body, fill).liquid(up), tank(body, fill, permeability=share).liquid(up)
    assert part.mass == pytest.approx(share * whole.mass)
    assert part.surface == pytest.approx(share * whole.surface)
    assert (part.center == whole.center).all() and part.level == whole.level


@pytest.mark.parametrize(
    "settings, words",
    [
        ({"density": 0.0}, "density is 0 kg/m3"),
        ({"density": float("nan")}, "density is nan"),
        ({"fill": 1.01}, "fill is 1.01"),
        ({"fill": -0.1}, "fill is -0.1"),
        ({"fill": float("nan")}, "fill is nan"),
        ({"permeability": 0.0}, "permeability is 0"),
        ({"permeability": 1e-9}, "permeability is 1e-09; give a share from 0.001 to 1"),
        ({"permeability": 1.1}, "permeability is 1.1"),
    ],
)
def test_no_tank(settings: dict[str, float], words: str) -> None:
    given_settings = {"density": 1000.0, "fill": 0.5, **settings}
    with refused(words, Subject("tank", "fuel")):
        Tank("fuel", bodies.tree(bodies.box()), **given_settings)


# Stiffness.


def test_free_surface_is_the_classical_correction() -> None:
    """Two tanks of l b^3 / 12 each by their densities, over the displacement; GM at rest, and by
    the arms of a hair's heel."""
    two = (
        tank(bodies.moved(bodies.box(4.0, 2.0, 1.0), (2.0, 1.5, 0.2)), 0.5, 900.0),
        tank(bodies.moved(bodies.box(4.0, 2.0, 1.0), (14.0, -1.5, 0.2)), 0.5, 900.0),
    )
    case = barge(*two, KG=1.4)
    moment = 2 * 900 * 4 * 2**3 / 12
    mass = 120 * 1.5 * WATER
    assert sum(map(free_surface_moment, case.tanks)) == pytest.approx(moment)
    assert case.load.free_surface_correction == pytest.approx(moment / mass)
    ship = find_floating_position(case, seek_others=False)
    G = case.load.solid.center[2]
    solid = 0.75 + 36 / 12 / 1.5 - G
    assert ship.GM == pytest.approx(solid, abs=1e-9)
    assert ship.GM_fluid == pytest.approx(solid - moment / mass, abs=1e-9)
    assert upright_GM(case) == pytest.approx(ship.GM_fluid, abs=1e-9)
    heeling = heeling_of(case)
    step = 1e-5
    slope = (heeling.at(step).arm - heeling.at(-step).arm) / (2 * step)
    assert slope == pytest.approx(ship.GM_fluid, abs=1e-7)
    assert heeling.at(0.0).GM == pytest.approx(ship.GM_fluid, abs=1e-9)


def many_tanks() -> Case:
    """Of every kind, off every axis."""
    return barge(
        tank(bodies.moved(bodies.box(3.0, 2.0, 1.0), (1.0, 1.8, 0.1)), 0.4, 850.0, 0.98),
        tank(bodies.moved(bodies.box(3.0, 2.0, 1.0), (1.0, -1.8, 0.1)), 0.7, 850.0),
        tank(bodies.moved(bodies.star(8, 2, 0.3, 0.9), (7.0, 0.5, 1.2)), 0.5, 1400.0),
        tank(bodies.moved(bodies.horizontal_cylinder(0.6, 4.0, 16), (10.0, -1.0, 0.3)), 0.2),
        tank(bodies.moved(bodies.wedge(2.0, 4.0, 1.5), (16.0, 0.0, 0.5)), 0.95, 1025.0),
        tank(bodies.moved(bodies.box(2.0, 2.0, 1.0), (13.0, 0.0, 0.1)), 1.0, 1000.0),
        tank(bodies.moved(bodies.box(1.0, 1.0, 1.0), (18.5, 2.0, 0.5)), 0.0, 1000.0),
        KG=1.7,
    )


@pytest.mark.parametrize("heel", [-120.0, -34.0, 0.0, 3.0, 22.0, 61.0, 95.0, 170.0])
def test_slope_with_tanks(heel: float) -> None:
    heeling = heeling_of(many_tanks())
    at, step = np.radians(heel), 1e-5
    held = heeling.at(at)
    ahead, behind = heeling.at(at + step, held), heeling.at(at - step, held)
    assert held.converged and held.equilibrium.lever_residual < 1e-9
    assert held.slope == pytest.approx((ahead.arm - behind.arm) / (2 * step), abs=1e-5)
    assert held.trim_slope == pytest.approx(
        (ahead.attitude.trim_rad - behind.attitude.trim_rad) / (2 * step), abs=1e-5
    )


def test_area_with_tanks() -> None:
    """From heights of G over B, as from the arms themselves by quadrature."""
    curve = righting_curve(heeling_of(many_tanks()), np.radians(np.arange(-30, 61, 5)))
    nodes, weights = np.polynomial.legendre.leggauss(4)
    for start, end in np.radians([(0.0, 25.0), (-10.0, 10.0)]):
        cuts = np.linspace(start, end, 4)
        area = sum(
            (b - a) / 2 * weight * curve.at((a + b) / 2 + (b - a) / 2 * node).arm
            for a, b in pairwise(cuts)
            for node, weight in zip(nodes.tolist(), weights.tolist(), strict=True)
        )
        assert curve.gz_curve.area(start, end) == pytest.approx(area, abs=5e-6)


def test_frozen_liquids_hang_as_liquids_do() -> None:
    """At one attitude liquids are weights that lie where the liquids have run to."""
    case = many_tanks()
    heel = np.radians(33.0)
    held = heeling_of(case).at(heel)
    solid = replace(
        case, tanks=(), weights=(*case.weights, *case.load.liquids_as_weights(held.attitude.up))
    )
    again = heeling_of(solid).at(heel)
    assert again.arm == pytest.approx(held.arm, abs=1e-9)
    assert again.attitude.trim_rad == pytest.approx(held.attitude.trim_rad, abs=1e-9)
    slack = case.load.gravity_at(held.attitude.up).free_surfaces[1, 1]
    assert held.GM == pytest.approx(again.GM - slack / case.load.volume, abs=1e-9)


# At rest.


def test_it_rests_where_its_curve_is_zero() -> None:
    case = many_tanks()
    ship = find_floating_position(case, seek_others=False)
    assert ship.equilibrium is not None and ship.equilibrium.converged and ship.equilibrium.stable
    heel = ship.equilibrium.attitude.heel_rad
    assert abs(np.degrees(heel)) > 0.5
    curve = righting_curve(heeling_of(case), np.radians(np.arange(-40, 41, 5)))
    rising = [each.heel for each in curve.gz_curve.crossings if each.rising]
    assert min(abs(np.array(rising) - heel)) < 1e-4
    held = curve.at(heel)
    assert held.arm == pytest.approx(0.0, abs=1e-8)
    assert held.attitude.trim_rad == pytest.approx(ship.equilibrium.attitude.trim_rad, abs=1e-7)
    assert ship.equilibrium.gravity == pytest.approx(
        case.load.gravity_at(ship.equilibrium.attitude.up).center
    )


def test_loll_by_free_surface_alone() -> None:
    """Stable with its liquid frozen, not with it free. A wall-sided hull and a wall-sided tank:
    GZ = (GM + c/2 tan^2) sin, c = BM less the tank's own second moment over the displacement."""
    wide = tank(bodies.moved(bodies.box(16.0, 6.0, 1.6), (2.0, 0.0, 0.0)), 0.5, 1000.0)
    solid_KG = (1.2 * 184_500 - 0.4 * wide.mass) / (184_500 - wide.mass)
    case = barge(wide, KG=solid_KG, draft=1.5)
    ship = find_floating_position(case, seek_others=True)
    frozen = replace(
        case, tanks=(), weights=(*case.weights, *case.load.liquids_as_weights(UPRIGHT))
    )
    solid = find_floating_position(frozen, seek_others=False)
    assert solid.equilibrium is not None and abs(solid.equilibrium.attitude.heel_rad) < 1e-9
    mass = case.load.mass
    share = 1000 * 16 * 6**3 / 12 / mass
    BM = 36 / 12 / 1.5
    GM = 0.75 + BM - case.load.solid.center[2] - share
    assert GM < 0 < upright_GM(frozen)
    assert upright_GM(case) == pytest.approx(GM, abs=1e-9)
    loll = np.arctan(np.sqrt(-2 * GM / (BM - share)))
    assert loll < np.arctan(1.6 / 6)
    assert ship.equilibrium is not None
    assert ship.equilibrium.attitude.heel_rad == pytest.approx(loll, abs=1e-8)
    assert "loll" in [finding.code for finding in ship.findings]
    assert any(other.attitude.heel_rad == pytest.approx(-loll, abs=1e-6) for other in ship.others)
    curve = righting_curve(heeling_of(case), np.radians(np.arange(0, 31, 2.5)))
    inside = np.linspace(0.01, np.arctan(1.6 / 6), 20)
    formula = (GM + (BM - share) / 2 * np.tan(inside) ** 2) * np.sin(inside)
    assert curve.gz_curve.arm(inside) == pytest.approx(formula, abs=2e-5)


@given(
    fills=st.tuples(*[st.floats(0.0, 1.0)] * 3),
    densities=st.tuples(*[st.floats(600.0, 2000.0)] * 3),
    heel=st.floats(-1.0, 1.0),
)
@settings(max_examples=15, deadline=None)
def test_settles_on_many_tanks(
    fills: tuple[float, ...], densities: tuple[float, ...], heel: float
) -> None:
    shapes = [
        bodies.moved(bodies.box(5.0, 2.5, 1.2), (1.0, 1.4, 0.1)),
        bodies.moved(bodies.wedge(5.0, 2.5, 1.2), (7.0, -1.4, 0.1)),
        bodies.moved(bodies.star(4, 2, 0.3, 0.8), (15.0, 0.2, 1.0)),
    ]
    tanks = [tank(*each) for each in zip(shapes, fills, densities, strict=True)]
    case = barge(*tanks, KG=1.5)
    load = case.load
    rest = find_equilibrium(case.hull.tree, load.volume, load.gravity_at, up_from_angles(heel, 0.0))
    up = rest.attitude.up
    mesh = case.hull
    direct = direct_below(mesh.vertices, mesh.triangles, up, rest.attitude.level)
    assert rest.converged and rest.stable
    assert np.linalg.norm(np.cross(direct.buoyancy - load.gravity_at(up).center, up)) < 1e-7
    assert direct.volume * WATER == pytest.approx(load.mass, rel=1e-8)
