"""Liquids in tanks: the loss of GM by free surfaces, and the transfer of liquid with heel.

Every tank with a free surface counts here. Rules exempt some: the 2008 IS Code, part B, 3.1, tanks
filled to 98 % and more, and small ones (the latter from memory); 46 CFR 170.285 takes for each
kind of consumable the pair, or the tank on the centerline, of the largest effect. Those belong to
the criteria.
"""

from __future__ import annotations

from math import atan, cos, degrees, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from addon.core.buoyancy.attitude import up_from_angles
from addon.core.hydrostatics.tank_soundings import heeling_moments, sounding_table
from addon.core.model.case import Case
from addon.core.model.load import Load
from addon.core.model.tanks import Liquid, Tank, free_surface_moment
from tests.bodies import Body, box, geodesic_sphere, horizontal_cylinder, moved, tree, wedge

from .conftest import Check
from .shapes import block
from .ships import (
    FOOT,
    LONG_TON,
    OLD_SEA_WATER,
    arms_of,
    at_rest_in,
    case_of,
    held,
    hull_of,
    load,
    wall_sided,
    zeros_of,
)

SEA = 1025.0


def tank_of(body: Body, fill: float = 0.5, density: float = SEA, permeability: float = 1) -> Tank:
    """A tank of the shape of a body."""
    return Tank("tank", tree(body), density, fill, permeability)


def liquid_at(tank: Tank, heel: float) -> Liquid:
    """The liquid of a tank at a heel (degrees, starboard +)."""
    return tank.liquid(up_from_angles(radians(heel), 0.0))


def box_with_tanks(count: int, rise: float = 0.0) -> Case:
    """A box of 60 x 12 x 7 m and 2952 t in all with KG 4 m, liquids as they lie upright.

    A tank of 12 x 12 x 2 m on the bottom is half full and divided lengthwise in `count`; `rise`
    (m) adds to KG.
    """
    breadth = 12 / count
    tanks = tuple(
        Tank(
            f"tank {i + 1}",
            tree(block((24, 36), (-6 + i * breadth, -6 + (i + 1) * breadth), (0, 2))),
            SEA,
            0.5,
        )
        for i in range(count)
    )
    liquid = sum(tank.mass for tank in tanks) / 1000
    rest = 2952 - liquid
    height = (2952 * (4 + rise) - liquid * 0.5) / rest
    return case_of(hull_of(box(60, 12, 7)), load(rest, 30, 0, height), tanks=tanks)


@pytest.mark.parametrize("count, loss", [(1, "0.6000"), (2, "0.1500"), (3, "0.066667")])
def test_divided_tank(check: Check, count: int, loss: str) -> None:
    """A box of 60 x 12 m, 2952 t, GM 1 m, with a half full tank of 12 x 12 m, whole or divided.

    Source: i rho/W, and 1/n^2 of it for n equal tanks abreast, C. B. Barrass and D. R. Derrett,
    Ship Stability for Masters and Mates, 5th ed., p. 193; the case by closed form.
    """
    ship = box_with_tanks(count)
    exact = 0.6 / count**2
    tanks = "whole" if count == 1 else f"in {count}"
    check(f"displacement, {tanks}, t", ship.load.mass / 1000, "2952", 2952)
    check(f"loss of GM, {tanks}, m", ship.load.free_surface_correction, loss, exact)
    upright = held(ship, 0)
    check(f"GM, {tanks}, m", upright.GM, exact=1 - exact)
    check(f"slope of GZ upright, {tanks}, m/rad", upright.slope, exact=1 - exact)
    afloat = at_rest_in(ship)
    check(f"GM taken as solid, {tanks}, m", afloat.GM, "1.0", 1)
    check(f"GM counting free surfaces, {tanks}, m", afloat.GM_fluid, exact=1 - exact)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_levers_with_a_free_surface(check: Check, count: int) -> None:
    """The same box: GZ by actual liquid transfer, up to the heel at which a tank bottom dries.

    Source: closed form. The liquid moves as the water below a wall-sided hull does, so its i rho/W
    reduces both BM and GM in the wall-sided formula.
    """
    ship, loss = box_with_tanks(count), 0.6 / count**2
    for heel in (4, 9, 9.4):
        exact = wall_sided(1 - loss, 3 - loss, heel)
        what = f"GZ at {heel} deg, tank in {count}, m"
        check(what, held(ship, heel).arm, exact=exact)
        check(what.replace("GZ", "GZ to port"), -held(ship, -heel).arm, exact=exact)


def test_loll_by_a_free_surface(check: Check) -> None:
    """The same box with KG 4.43 m: GM solid of 0.57 m is less than the loss, so it lolls.

    Source: closed form, tan^2 = -2 GM/BM with the free surface deducted from both.
    """
    ship = box_with_tanks(1, 0.43)
    exact = degrees(atan(sqrt(0.06 / 2.4)))
    check("GM, m", held(ship, 0).GM, exact=-0.03)
    afloat = at_rest_in(ship)
    check("loll, deg", abs(degrees(afloat.equilibrium.attitude.heel_rad)), exact=exact)
    rests, falls = zeros_of(arms_of(ship, -30, 30))
    check("loll to starboard by the GZ curve, deg", rests[1], exact=exact, facets=3e-3)
    check("loll to port by the GZ curve, deg", -rests[0], exact=exact, facets=3e-3)
    check("unstable upright, deg", falls[0], "0", within=1e-6)
    check("GM at the loll, m", held(ship, exact).GM, exact=0.06 / cos(radians(exact)), facets=1e-5)


def flooded_hold(before: float, length: float, breadth: float, water: float) -> Load:
    """A vessel of `before` tons with sea water in a hold 8 ft deep (all in feet)."""
    hold = box(length * FOOT, breadth * FOOT, 8 * FOOT)
    tank = Tank("hold", tree(hold), OLD_SEA_WATER, water / 8)
    return Load((load(before * LONG_TON, 0, 0, 0),), (tank,), OLD_SEA_WATER)


@pytest.mark.parametrize(
    "before, length, breadth, water, tons, printed",
    [
        (930, 46, 28, 1.5, "36.8", "2.44"),
        (750, 60, 31, 3.5, "53.1", "4.55"),
        (740, 41, 30, 2.5, "35.1", ""),
    ],
    ids=["930 tons", "750 tons", "740 tons"],
)
def test_fish_hold(
    check: Check,
    before: float,
    length: float,
    breadth: float,
    water: float,
    tons: str,
    printed: str,
) -> None:
    """Fishing vessels of 930, 750 and 740 tons with 1.5, 3.5 and 2.5 ft of water in the hold.

    Source: US Coast Guard, merchant marine deck examination, deck safety, questions 2504, 2501 and
    2500 (public domain; answers by its key but for the last). The water counts in the displacement.
    """
    flooded = flooded_hold(before, length, breadth, water)
    at = f"at {before} tons"
    foot = flooded.tanks[0].mass / LONG_TON / 1000 / water
    check(f"water per foot {at}, tons", foot, tons, length * breadth / 35)
    exact = length * breadth**3 / 12 / 35 / (before + length * breadth * water / 35)
    check(f"loss of GM {at}, ft", flooded.free_surface_correction / FOOT, printed, exact)
    dry = free_surface_moment(flooded.tanks[0]) / (before * LONG_TON * 1000) / FOOT
    assert dry > 1.05 * exact


@pytest.mark.parametrize(
    "heel, dy, dz, moment",
    [
        (5, "0.233303", "0.010206", "38.2620"),
        (10, "0.470205", "0.041455", "77.1227"),
        (20, "0.970587", "0.176632", "159.4844"),
        (30, "1.500000", "0.422650", "247.6995"),
        (40, "1.763287", "0.602749", "285.0641"),
        (45, "1.833333", "0.666667", "289.9138"),
        (60, "1.944444", "0.807550", "274.1393"),
    ],
)
def test_half_full_tank(check: Check, heel: float, dy: str, dz: str, moment: str) -> None:
    """A tank 10 m long, 8 m wide and 4 m high, half full of sea water: transfer of the liquid.

    Source: closed form, the wedge that moves across; beyond 26.565 degrees the trapezium on the
    low side.
    """
    tank = tank_of(box(10, 8, 4))
    check("mass, t", tank.mass / 1000, "164", 164)
    level, there = tank.liquid(up_from_angles(0, 0)).center, liquid_at(tank, heel).center
    slope = tan(radians(heel))
    across, rise = 8**2 * slope / 24, 8**2 * slope**2 / 48
    if slope > 0.5:
        floor, top = 4 + 2 / slope, 4 - 2 / slope
        across = 4 - (floor**2 + floor * top + top**2) / 24
        rise = (floor + 2 * top) / 6 - 1
    lever = across * cos(radians(heel)) + rise * sin(radians(heel))
    found = there - level
    shift = -found[1] * cos(radians(heel)) + found[2] * sin(radians(heel))
    check(f"dy to starboard at {heel} deg, m", -found[1], dy, across)
    check(f"dz at {heel} deg, m", found[2], dz, rise)
    check(f"moment at {heel} deg, t m", tank.mass / 1000 * shift, moment, 164 * lever)
    check(f"shift fore and aft at {heel} deg, m", found[0], "0", 0)
    small = free_surface_moment(tank) / 1000
    check("free surface moment upright, t m", small, "437.333", 10 * 8**3 / 12 * 1.025)


@pytest.mark.parametrize(
    "heel, classical, exact",
    [
        (5, "38.1161", "38.2620"),
        (10, "75.9421", "77.1227"),
        (20, "149.577", "159.4844"),
        (30, "218.667", "247.6995"),
        (40, "281.112", "285.0641"),
        (45, "309.241", "289.9138"),
        (60, "378.742", "274.1393"),
    ],
)
def test_classical_and_exact_moments(check: Check, heel: int, classical: str, exact: str) -> None:
    """The same half full tank: its upright free surface moment times the sine, and the actual
    liquid transfer.

    Source: closed form of IMO resolution A.749(18), 3.3.7 (from memory), and rho l b^3/12 sin.
    """
    tank = tank_of(box(10, 8, 4))
    surface, transfer = (moments[0] / 1000 for moments in heeling_moments(tank, [radians(heel)]))
    check(f"classical at {heel} deg, t m", surface, classical)
    check(f"exact at {heel} deg, t m", transfer, exact)


def test_capacity_tables(check: Check) -> None:
    """A sphere of 1 m radius and a vee of 6 x 3 x 2 m, sounded.

    Source: closed form, a spherical cap of depth h is pi h^2 (R - h/3), its centroid 3/4
    (2R - h)^2/(3R - h) from the center; the volume of a vee grows with the square of the level.
    The mesh of the sphere has 20 480 triangles.
    """
    levels = (0.3, 1.0, 1.6)
    table = sounding_table(tank_of(geodesic_sphere(1, 32)), levels)
    for place, level in enumerate(levels):
        at, fine = f"of the sphere at {level:g} m", {"facets": 4e-3}
        volume = float(table.volumes[place])
        check(f"volume {at}, m3", volume, exact=pi * level**2 * (1 - level / 3), **fine)
        center = -0.75 * (2 - level) ** 2 / (3 - level)
        check(f"height of centroid {at}, m", table.centers[place][2], exact=center, **fine)
        moment = SEA * pi / 4 * (level * (2 - level)) ** 2 / 1000
        check(f"free surface moment {at}, t m", table.moments[place] / 1000, exact=moment, **fine)
    vee = sounding_table(tank_of(wedge(6, 3, 2)), [0.5, 1.5])
    for place, level in enumerate((0.5, 1.5)):
        at = f"of the vee at {level:g} m"
        check(f"volume {at}, m3", vee.volumes[place], exact=18 * (level / 2) ** 2)
        moment = SEA * 6 * (1.5 * level) ** 3 / 12 / 1000
        check(f"free surface moment {at}, t m", vee.moments[place] / 1000, exact=moment)


K_HEELS = (5, 10, 15, 20, 30, 40, 45, 50, 60, 70, 75, 80, 90)
K_TABLE = {
    20: ".111 .121 .121 .119 .111 .100 .093 .085 .068 .049 .038 .028 .006",
    1: ".007 .015 .022 .030 .049 .072 .088 .104 .122 .130 .131 .130 .125",
    0.1: ".001 .001 .002 .003 .005 .007 .009 .011 .018 .037 .064 .140 1.25",
}


@pytest.mark.parametrize("shape", K_TABLE)
def test_coefficients_of_free_surfaces(check: Check, shape: float) -> None:
    """Half full tanks of breadth over height 20, 1 and 0.1: moment over v b rho, k.

    Source: formula and table of IMO resolution A.749(18), 3.3.7 (from memory), k = sin/12
    (1 + tan^2/2) b/h where cot >= b/h, otherwise cos/8 (1 + tan h/b) - cos/12 (h/b)^2
    (1 + cot^2/2).
    """
    height = 2.0
    breadth = shape * height
    tank = tank_of(box(3, breadth, height))
    level = tank.liquid(up_from_angles(0, 0)).center
    for heel, printed in zip(K_HEELS, K_TABLE[shape].split(), strict=True):
        phi = radians(heel)
        if heel < 90 and 1 / tan(phi) >= shape:
            exact = sin(phi) / 12 * (1 + tan(phi) ** 2 / 2) * shape
        else:
            first = cos(phi) / 8 + sin(phi) / 8 / shape
            exact = first - (cos(phi) + cos(phi) / tan(phi) ** 2 / 2) / (12 * shape**2)
        found = liquid_at(tank, heel).center - level
        shift = -found[1] * cos(phi) + found[2] * sin(phi)
        k = tank.mass * shift / (tank.capacity * breadth * tank.density)
        check(f"k at {heel} deg, b/h {shape:g}", k, printed, exact)


@pytest.mark.parametrize("fill", [0.1, 0.5, 0.9])
def test_round_tank(check: Check, fill: float) -> None:
    """A tank that is a horizontal cylinder of 2 m radius: its liquid turns about the axis.

    Source: closed form. At every heel the liquid acts as a weight on the axis. The mesh has 1440
    sides.
    """
    tank = tank_of(moved(horizontal_cylinder(2, 6, 1440), (0, 1, 3)), fill)
    level = tank.liquid(up_from_angles(0, 0))
    axis = np.array([3.0, 1.0, 5.0])
    reach = float(axis[2] - level.center[2])
    half = segment_half_angle(fill)
    exact = 4 * sin(half) ** 3 / (3 * (half - sin(half) * cos(half)))
    at = f"at a fill of {fill:g}"
    check(f"axis above the liquid {at}, m", reach, exact=exact, facets=2e-5)
    loss = free_surface_moment(tank) / tank.mass
    check(f"loss of a GM of that liquid alone {at}, m", loss, exact=exact, facets=2e-5)
    for heel in (-70, 30, 90, 160):
        found = liquid_at(tank, heel).center - axis
        to = f"{heel} deg {at}, m"
        check(f"to starboard {to}", -found[1], exact=reach * sin(radians(heel)), facets=2e-5)
        check(f"up {to}", found[2], exact=-reach * cos(radians(heel)), facets=2e-5)


def segment_half_angle(share: float) -> float:
    """Half the angle (rad) of a segment with a share of its circle's area."""
    low, high = 0.0, pi
    for _ in range(60):
        middle = (low + high) / 2
        small = middle - sin(middle) * cos(middle) < share * pi
        low, high = (middle, high) if small else (low, middle)
    return low


def test_round_hull_with_a_round_tank(check: Check) -> None:
    """A horizontal cylinder of 2 m radius carries a third of its mass in a round tank.

    Source: closed form, GZ = (R - KG) sin(phi) with the liquid on the axis of its tank, to 180
    degrees. The meshes have 1440 sides.
    """
    hull = hull_of(horizontal_cylinder(2, 10, 1440))
    tank = tank_of(moved(horizontal_cylinder(0.8, 10, 1440), (0, 0, 0.9)), 0.6)
    solid = 2 * tank.mass / 1000
    ship = case_of(hull, load(solid, 5, 0, 0.7), tanks=(tank,))
    exact = 2 - (2 * 0.7 + 1.7) / 3
    check("GM, m", held(ship, 0).GM, exact=exact, facets=2e-5)
    for heel in (15, 60, 90, 135):
        arm = held(ship, heel, fixed_trim=True).arm
        check(f"GZ at {heel} deg, m", arm, exact=exact * sin(radians(heel)), facets=2e-5)


def test_spherical_tank(check: Check) -> None:
    """A half full sphere of 1 m radius: the centroid of the liquid is 3/8 R below the center.

    Source: closed form, a hemisphere; i = pi R^4/4. The mesh has 20 480 triangles.
    """
    tank = tank_of(geodesic_sphere(1, 32))
    for heel in (0, 40, 120):
        center = liquid_at(tank, heel).center
        at, fine = f"at {heel} deg, m", {"facets": 2e-3}
        check(f"to starboard {at}", -center[1], exact=0.375 * sin(radians(heel)), **fine)
        check(f"up {at}", center[2], exact=-0.375 * cos(radians(heel)), **fine)
    check("moment, t m", free_surface_moment(tank) / 1000, exact=1.025 * pi / 4, facets=2e-3)


def test_permeable_and_pressed_tanks(check: Check) -> None:
    """A tank of 10 x 8 x 4 m: full, empty, and with contents that take up 40 percent.

    Source: closed form; a full or an empty tank has no free surface, and a surface counts by
    its permeability (common practice).
    """
    shape = box(10, 8, 4)
    check("moment full, t m", free_surface_moment(tank_of(shape, 1.0)), "0", 0)
    check("moment empty, t m", free_surface_moment(tank_of(shape, 0.0)), "0", 0)
    crowded = tank_of(shape, permeability=0.6)
    check("capacity, m3", crowded.capacity, "192", 192)
    check("mass half full, t", crowded.mass / 1000, exact=98.4)
    exact = 0.6 * 10 * 8**3 / 12 * 1.025
    check("moment half full, t m", free_surface_moment(crowded) / 1000, exact=exact)
    full = tank_of(shape, 1.0)
    for heel in (0, 50, 140):
        check(f"height of centroid, full, {heel} deg, m", liquid_at(full, heel).center[2], "2", 2)
