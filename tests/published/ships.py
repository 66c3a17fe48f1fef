"""The core as the published checks use it: hulls of meshes, tonnes, and heel in degrees."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from addon.core.attitude import Attitude, up_from_angles
from addon.core.case import SEA_WATER, Case
from addon.core.floating import Floating, float_ship
from addon.core.hull import Hull, Marks, build_hull
from addon.core.hydrostatics import Hydrostatics, hydrostatics
from addon.core.level import level_for_volume
from addon.core.weights import Weight
from tests.bodies import Body, mesh

Array = NDArray[np.float64]

FOOT = 0.3048
LONG_TON = 1.0160469088
OLD_SEA_WATER = 1000 * LONG_TON / (35 * FOOT**3)  # 35 cubic feet to the ton, kg/m3


def hull_of(body: Body, marks: Marks | None = None) -> Hull:
    """Hull of a body, which must give no cause for complaint."""
    hull = build_hull(mesh(body), marks)
    assert not [found for found in hull.findings if found.severity == "warning"]
    return hull


def load(tonnes: float, x: float, y: float, z: float) -> Weight:
    """A weight in tonnes at ship axes (y to port)."""
    return Weight(f"{tonnes:g} t at {x:g}, {y:g}, {z:g}", 1000 * tonnes, np.array([x, y, z]))


def at_rest(hull: Hull, *weights: Weight, density: float = SEA_WATER) -> Floating:
    """The ship afloat, from upright."""
    return float_ship(Case("check", hull, weights, density), seek_others=False)


def at_draft(hull: Hull, draft: float) -> Hydrostatics:
    """The hull upright on an even keel."""
    return hydrostatics(hull, Attitude.from_draft(draft, hull.midship_x))


def heeled(hull: Hull, volume: float, degrees: float) -> Hydrostatics:
    """The hull held at a heel (starboard +) on an even keel, with a volume (m3) under water."""
    up = up_from_angles(float(np.radians(degrees)), 0.0)
    return hydrostatics(hull, Attitude(up, level_for_volume(hull.tree, up, volume)))


def righting_arm(hull: Hull, volume: float, centre: ArrayLike, degrees: float) -> float:
    """GZ (m) at a heel: how far B lies to starboard of `centre` (3,), level across the water."""
    wet = heeled(hull, volume, degrees).immersion
    return float(wet.frame[1] @ (np.asarray(centre) - wet.buoyancy))


def area_under_arms(
    hull: Hull, volume: float, centre: ArrayLike, *degrees: float, points: int = 12
) -> float:
    """Area under GZ (m rad) over `degrees`, by Gauss-Legendre between each two of them."""
    places, shares = np.polynomial.legendre.leggauss(points)
    area = 0.0
    for low, high in pairwise(degrees):
        heels = (low + high) / 2 + (high - low) / 2 * places
        arms = [righting_arm(hull, volume, centre, heel) for heel in heels]
        area += float(np.radians(high - low) / 2 * shares @ arms)
    return area


def heel_deg(ship: Floating) -> float:
    """Heel in degrees, starboard positive."""
    assert ship.rest and ship.rest.settled
    return float(np.degrees(ship.rest.attitude.heel_rad))


def tilt_deg(ship: Floating) -> float:
    """Angle between the ship's own vertical and the world's (degrees)."""
    assert ship.rest and ship.rest.settled
    up = ship.rest.attitude.up
    return float(np.degrees(np.arctan2(np.hypot(up[0], up[1]), up[2])))


def wall_sided_list_deg(GM: float, BM: float, off_centre: float) -> float:
    """Heel (degrees) of a wall-sided ship: tan(phi) (GM + BM tan^2(phi) / 2) = y."""
    roots = np.roots([BM / 2, 0.0, GM, -off_centre])
    return float(np.degrees(np.arctan(roots[np.abs(roots.imag) < 1e-9].real.max())))
