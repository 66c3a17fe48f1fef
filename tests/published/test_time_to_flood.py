"""Times to empty a tank, to level two tanks, and to flood a hull."""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.damage.breach import Breach
from addon.core.damage.flooding_paths import FloodingPath
from addon.core.damage.orifice import GRAVITY
from addon.core.flooding_time.flooding_history import FloodingHistory
from addon.core.flooding_time.time_to_flood import simulate_flooding
from addon.core.geometry.mesh import triangulate
from addon.core.model.compartment import SEA, CompartmentPlan
from addon.core.model.hull import build_hull
from tests import bodies
from tests.tank_networks import TankRun, compartment_of, way

from .conftest import Check
from .shapes import block
from .ships import FOOT, case_of, hull_of, load

pytestmark = pytest.mark.slow

FREE = np.sqrt(2 * GRAVITY)
INCH = FOOT / 12
HALF_A_PER_CENT = 0.005


def test_tank_draws_down(check: Check) -> None:
    """A round tank of 4 ft diameter empties from 6 to 2 ft through 5 square inches, discharge
    coefficient 1.

    Source: closed form, 2 A (sqrt(H1) - sqrt(H2)) / (Cd a sqrt(2 g)).
    """
    tank = compartment_of("tank", bodies.vertical_cylinder(2 * FOOT, 7 * FOOT, 720))
    area = tank.volume / (7 * FOOT)
    outlet = FloodingPath("breach", "outlet", (SEA, "tank"), np.zeros((1, 3)), 5 * INCH**2)
    ran = TankRun((tank,), (outlet,), (6 * FOOT * area,))
    time = ran.when(lambda moment: float(moment.water[0] - 2 * FOOT * area))
    drawn = 2 * area * (np.sqrt(6 * FOOT) - np.sqrt(2 * FOOT)) / (5 * INCH**2 * FREE)
    check("time, s", time, "93.4", drawn, within=0.1)


def test_dry_dock_fills(check: Check) -> None:
    """A dock of 100 x 20 m fills from a sea 5 m above its floor through 1 m2 in the floor.

    Source: US Department of Defense, UFC 4-213-10, Design: Graving Drydocks (2002, public domain),
    equations 4 and 5.
    """
    dock = compartment_of("dock", block((0, 100), (-10, 10), (0, 6)))
    ran = TankRun((dock,), (way(SEA, "dock", (50, 0, 0), 1.0),), (0.0,), sea=5.0)
    total = 2 * 2000 * np.sqrt(5) / (0.6 * FREE)
    check("time, s", ran.end, "", total, facets=5e-4)
    check("water, m3", ran.instants[-1].water[0], "", 10000)


def test_hemisphere_empties(check: Check) -> None:
    """A hemisphere of radius 1 m empties through 0.001 m2 at its bottom.

    Source: closed form, 14 pi R^2.5 / (15 Cd a sqrt(2 g)).
    """
    vertices, polygons = bodies.uv_sphere(1.0, 160, 80)
    low = [face for face in polygons if vertices[list(face), 2].mean() < 0]
    rim = np.flatnonzero(np.abs(vertices[:, 2]) < 1e-12)
    cap = rim[np.argsort(np.arctan2(vertices[rim, 1], vertices[rim, 0]))]
    used = sorted({corner for face in low for corner in face})
    place = {corner: i for i, corner in enumerate(used)}
    faces = tuple(tuple(place[c] for c in face) for face in (*low, tuple(cap.tolist())))
    bowl = compartment_of("bowl", (vertices[used], faces))
    ran = TankRun((bowl,), (way(SEA, "bowl", (0, 0, -1), 0.001),), (bowl.volume,))
    check("time, s", ran.end, "1103.28", 14 * np.pi / (15 * 0.0006 * FREE), within=1.5, facets=1e-3)


def test_sphere_draws_down(check: Check) -> None:
    """A sphere of 3 m diameter, filled 2.75 m deep, empties through a hole of 3 cm, discharge
    coefficient 0.55.

    Source: closed form, pi / (Cd a sqrt(2 g)) (2/3 D H^1.5 - 2/5 H^2.5).
    """
    ball = compartment_of("ball", bodies.moved(bodies.uv_sphere(1.5, 160, 80), (0, 0, 1.5)))
    start = np.pi * 2.75**2 * (1.5 - 2.75 / 3) * ball.volume / (4 / 3 * np.pi * 1.5**3)
    area = 0.55 * np.pi * 0.015**2
    outlet = FloodingPath("breach", "outlet", (SEA, "ball"), np.zeros((1, 3)), area)
    ran = TankRun((ball,), (outlet,), (float(start),))
    time = np.pi / (area * FREE) * (2 * 3 * 2.75**1.5 / 3 - 2 * 2.75**2.5 / 5)
    check("time, s", ran.end, "7487.7", time, within=8, facets=1e-3)


def test_v_section_empties(check: Check) -> None:
    """A trough 5 m long, 1.5 m wide per meter of height, filled to 1.2 m, empties through 0.002 m2
    in its bottom.

    Source: closed form, 2/3 l m H^1.5 / (Cd a sqrt(2 g)).
    """
    trough = compartment_of("trough", bodies.wedge(5.0, 1.8, 1.2))
    ran = TankRun((trough,), (way(SEA, "trough", (2.5, 0, 0), 0.002),), (trough.volume,))
    time = 2 / 3 * 5 * 1.5 * 1.2**1.5 / (0.0012 * FREE)
    check("time, s", ran.end, "1236.55", time, within=1, facets=5e-4)


def test_two_tanks_equalise(check: Check) -> None:
    """Tanks of 20 and 30 m2 with levels 2 m apart are joined by a submerged opening of 0.05 m2.

    Source: closed form, 2 sqrt(H) / (Cd a sqrt(2 g) (1/A1 + 1/A2)).
    """
    high = compartment_of("high", block((0, 5), (-2, 2), (0, 4)))
    low = compartment_of("low", block((5, 12.5), (-2, 2), (0, 4)))
    ran = TankRun((high, low), (way("high", "low", (5, 0, 0.2), 0.05),), (60.0, 30.0))
    time = 2 * np.sqrt(2) / (0.03 * FREE * (1 / 20 + 1 / 30))
    check("time, s", ran.end, "255.42", time, within=0.2, facets=1e-3)
    water = ran.instants[-1].water
    check("the higher level falls, m", 3 - water[0] / 20, "1.2", 1.2)
    check("the lower level rises, m", water[1] / 30 - 1, "0.8", 0.8)


def times_to(flooded: FloodingHistory, shares: list[float]) -> list[float]:
    """Times (s) at which the first compartment has shares of its final water. The square root of
    the head falls linearly with time, so interpolating in the roots is exact."""
    roots = np.sqrt(np.maximum(1 - flooded.water[:, 0] / flooded.water[-1, 0], 0.0))
    wanted = np.sqrt(1 - np.array(shares))
    return np.interp(-wanted, -roots, flooded.times).tolist()


def test_barge_fills_through_its_bottom(check: Check) -> None:
    """A box of 150 x 24 m at 5 m fills 20 m amidships through 0.5 m2 in its bottom, and sinks in.

    Source: closed form, dH/dt = -Q (1/A_compartment - 1/A_waterplane), g 9.81 m/s2; the end is
    that of C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed., p. 206,
    example 2.
    """
    case = case_of(hull_of(bodies.box(150, 24, 12)), load(18450, 75, 0, 8))
    plan = CompartmentPlan((compartment_of("hold", block((65, 85), (-12, 12), (0, 12))),))
    hole = Breach(np.array([75.0, 0.0, 0.0]), 0.5)
    flooded = simulate_flooding(case, plan, "hold", hole)
    printed = ["249.72", "545.94", "931.97", "1274.51"]
    shares = [0.25, 0.5, 0.75, 0.9]
    end = 2 * np.sqrt(5) / (0.3 * FREE * (1 / 480 - 1 / 3600))
    for share, run_command, ours in zip(shares, printed, times_to(flooded, shares), strict=True):
        within = HALF_A_PER_CENT * float(run_command)
        exact = end * (1 - np.sqrt(1 - share))
        check(f"time to {share:.0%}, s", ours, run_command, exact, within=within, facets=1e-3)
    assert flooded.settled is not None
    check("time to the end, s", flooded.settled, "1863.95", end, within=9.3, facets=2e-3)
    check("water, m3", flooded.water[-1, 0], "2769.23", 36000 / 13, facets=1e-6)
    check("draft, m", flooded.levels[-1], "5.769231", 75 / 13, facets=1e-6)
    held = simulate_flooding(case, plan, "hold", hole, fixed_attitude=True)
    assert held.settled is not None
    check("time if held at its draft, s", held.settled, "1615.42", within=8.1)


def test_open_boat(check: Check) -> None:
    """A boat of 10 x 3 x 1.2 m at 0.3 m in fresh water with 0.002 m2 open in its bottom.

    Source: closed form, the head stays constant: freeboard times waterplane over the inflow, g
    9.81 m/s2.
    """
    vertices, polygons = bodies.box(10, 3, 1.2)
    sides = tuple(face for face in polygons if vertices[list(face), 2].min() < 1.2)
    hull = build_hull(triangulate("boat", vertices, sides))
    assert len(hull.rims) == 1
    case = case_of(hull, load(9, 5, 0, 0.1), density=1000.0)
    plan = CompartmentPlan((compartment_of("boat", block((0, 10), (-1.5, 1.5), (0, 1.2))),))
    flooded = simulate_flooding(case, plan, "boat", Breach(np.array([5.0, 0.0, 0.0]), 0.002))
    assert flooded.lost is not None
    time = 0.9 * 30 / (0.0012 * FREE * np.sqrt(0.3))
    check("edge immersed, s", flooded.lost, "9274.1", time, within=5, facets=1e-5)
    heads = flooded.levels[1:] - flooded.surfaces[1:, 0]
    assert heads == pytest.approx(0.3, abs=1e-4)
