"""The core as the published checks use it: hulls of meshes, masses in tonnes, heel in degrees."""

from __future__ import annotations

from functools import cache

import numpy as np

from addon.core.buoyancy.attitude import Attitude
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.hydrostatics.particulars import Hydrostatics, hydrostatics
from addon.core.model.case import SEA_WATER, Case
from addon.core.model.hull import Hull, ReferencePlanes, build_hull
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from addon.core.stability.gz_curve import GZCurve
from addon.core.stability.righting_curve import righting_curve
from addon.core.stability.righting_lever import HeeledPosition, heeling_of
from tests.bodies import Body, mesh

FOOT = 0.3048
LONG_TON = 1.0160469088
OLD_SEA_WATER = 1000 * LONG_TON / (35 * FOOT**3)  # 35 cubic feet to the ton, kg/m3


def hull_of(body: Body, marks: ReferencePlanes | None = None) -> Hull:
    """Hull of a body, which must raise no warning."""
    vertices, faces = body
    return _built(vertices.tobytes(), tuple(map(tuple, faces)), marks)


@cache
def _built(
    vertices: bytes, faces: tuple[tuple[int, ...], ...], marks: ReferencePlanes | None
) -> Hull:
    corners = np.frombuffer(vertices).reshape(-1, 3)
    hull = build_hull(mesh((corners, faces)), marks)
    assert not [found for found in hull.findings if found.severity == "warning"]
    return hull


def load(tonnes: float, x: float, y: float, z: float) -> Weight:
    """A weight in tonnes at ship axes (y to port)."""
    return Weight(f"{tonnes:g} t at {x:g}, {y:g}, {z:g}", 1000 * tonnes, np.array([x, y, z]))


def case_of(
    hull: Hull, *weights: Weight, density: float = SEA_WATER, tanks: tuple[Tank, ...] = ()
) -> Case:
    """A hull with its weights and tanks."""
    return Case("check", hull, weights, density, tanks)


def at_rest(hull: Hull, *weights: Weight, density: float = SEA_WATER) -> FloatingPosition:
    """The hull with its weights at equilibrium, solved from upright."""
    return at_rest_in(case_of(hull, *weights, density=density))


def at_rest_in(case: Case) -> FloatingPosition:
    """A case at equilibrium, solved from upright."""
    return find_floating_position(case, seek_others=False)


def at_draft(hull: Hull, draft: float) -> Hydrostatics:
    """The hull upright on an even keel."""
    return hydrostatics(hull, Attitude.from_draft(draft, hull.midship_x))


def held(case: Case, degrees: float, fixed_trim: bool = False) -> HeeledPosition:
    """A case held at a heel (degrees, starboard +)."""
    return heeling_of(case, fixed_trim).at(float(np.radians(degrees)))


def arms_of(case: Case, low: int, high: int, fixed_trim: bool = False) -> GZCurve:
    """The GZ curve between two heels (degrees), computed every 5 degrees."""
    heels = np.radians(np.union1d(np.arange(low, high, 5), [high]))
    return righting_curve(heeling_of(case, fixed_trim), heels).gz_curve


def area_of(arms: GZCurve, low: float, high: float) -> float:
    """Area under the GZ curve (m rad) between two heels (degrees)."""
    return arms.area(float(np.radians(low)), float(np.radians(high)))


def zeros_of(arms: GZCurve) -> tuple[list[float], list[float]]:
    """Heels (degrees) at which GZ is zero: the stable equilibria, then the unstable ones."""
    rising, falling = [], []
    for each in arms.crossings:
        (rising if each.rising else falling).append(float(np.degrees(each.heel)))
    return rising, falling


def arms_vanish_at(ship: FloatingPosition) -> float:
    """Angle of list (degrees), the stable zero of the GZ curve."""
    (rests,), _ = zeros_of(arms_of(ship.case, -30, 30))
    return rests


def heel_deg(ship: FloatingPosition) -> float:
    """Heel in degrees, starboard positive."""
    assert ship.equilibrium and ship.equilibrium.converged
    return float(np.degrees(ship.equilibrium.attitude.heel_rad))


def tilt_deg(ship: FloatingPosition) -> float:
    """Angle between the vertical of the hull and of the world (degrees)."""
    assert ship.equilibrium and ship.equilibrium.converged
    up = ship.equilibrium.attitude.up
    return float(np.degrees(np.arctan2(np.hypot(up[0], up[1]), up[2])))


def wall_sided(GM: float, BM: float, degrees: float) -> float:
    """GZ (m) of a wall-sided hull before deck edge or bilge meets the water."""
    heel = np.radians(degrees)
    return float((GM + BM / 2 * np.tan(heel) ** 2) * np.sin(heel))


def wall_sided_list_deg(GM: float, BM: float, off_center: float) -> float:
    """Angle of list (degrees) of a wall-sided hull: tan(phi) (GM + BM tan^2(phi) / 2) = y."""
    roots = np.roots([BM / 2, 0.0, GM, -off_center])
    return float(np.degrees(np.arctan(roots[np.abs(roots.imag) < 1e-9].real.max())))
