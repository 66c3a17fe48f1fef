"""GZ curve the long way round: the mesh itself is turned, cut by manifold3d and weighed.

Shares nothing with the core. World axes: x ahead, y to port, z up; the ship is heeled about x
and then trimmed about y, and the water of every tank is cut like the hull. Levels and trims are
found by a bracketed search each, one inside the other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import manifold3d
import numpy as np
from scipy.optimize import brentq

from addon.core.arrays import Floats

Solid = manifold3d.Manifold

STEEPEST = np.radians(89.0)
SCANNED = 24


def solid(vertices: Floats, triangles: Floats) -> Solid:
    """A closed outward mesh, in doubles."""
    mesh = manifold3d.Mesh64(
        np.ascontiguousarray(vertices), np.ascontiguousarray(triangles, dtype=np.uint64)
    )
    mesh.merge()
    made = Solid(mesh)
    assert made.status() == manifold3d.Error.NoError and made.volume() > 0
    return made


def turning(heel: float, trim: float) -> Floats:
    """Rotation (3, 3) of the ship from upright: heel to starboard, then trim by the stern."""
    c, s = np.cos(heel), np.sin(heel)
    heeled = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
    c, s = np.cos(trim), np.sin(trim)
    return np.array([[c, 0.0, -s], [0.0, 1.0, 0.0], [s, 0.0, c]]) @ heeled


def weighed(part: Solid) -> tuple[float, Floats]:
    """Volume and center (3,) of a solid, by tetrahedra from the middle of its box."""
    mesh = part.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3]
    if not len(vertices):
        return 0.0, np.zeros(3)
    middle = (vertices.min(axis=0) + vertices.max(axis=0)) / 2
    a, b, c = (vertices[np.asarray(mesh.tri_verts)] - middle).transpose(1, 0, 2)
    shares = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    volume = float(shares.sum())
    return volume, middle + shares @ (a + b + c) / 4 / volume if volume else middle


def below(whole: Solid, level: float) -> tuple[float, Floats]:
    """Volume and center (3,) of what lies below z = level."""
    return weighed(whole.trim_by_plane((0.0, 0.0, -1.0), -level))


def cut_at(whole: Solid, volume: float) -> tuple[float, Floats]:
    """Level below which a solid has a volume, and the center (3,) of that part."""
    low, high = whole.bounding_box()[2], whole.bounding_box()[5]
    level = float(
        brentq(lambda z: below(whole, z)[0] - volume, low, high, xtol=1e-12 * (high - low))
    )
    return level, below(whole, level)[1]


@dataclass(frozen=True)
class Ship:
    """A hull of so much displacement (m3), a solid mass (m3 of water) at G (3,), and liquids,
    each a solid, its volume, and its density over that of the water."""

    hull: Solid
    volume: float
    mass: float
    center: Floats
    liquids: tuple[tuple[Solid, float, float], ...] = ()

    def balance(self, heel: float, trim: float) -> tuple[float, Floats]:
        """Level of the water, and G less B (3,) in world axes, at the displacement."""
        turn = turning(heel, trim)
        level, buoyancy = cut_at(_turned(self.hull, turn), self.volume)
        moment = self.mass * (turn @ self.center)
        for tank, held, share in self.liquids:
            moment = moment + held * share * cut_at(_turned(tank, turn), held)[1]
        return level, moment / self.volume - buoyancy

    def trims(self, heel: float, scanned: int = SCANNED) -> list[float]:
        """Every trim that the ship keeps of itself at a heel: nudged, it comes back to it."""

        def ahead(trim: float) -> float:
            return float(self.balance(heel, trim)[1][0])

        grid = np.linspace(-STEEPEST, STEEPEST, scanned + 1) + 1e-4
        arms = [ahead(trim) for trim in grid]
        return [
            root(ahead, grid[i], grid[i + 1]) for i in range(scanned) if arms[i] < 0 <= arms[i + 1]
        ]


def root(function: Callable[[float], float], low: float, high: float) -> float:
    return float(brentq(function, low, high, xtol=1e-10))


def _turned(whole: Solid, turn: Floats) -> Solid:
    return whole.transform(np.column_stack([turn, np.zeros(3)]))
