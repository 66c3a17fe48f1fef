"""Shapes that the published checks need beyond those of `tests.bodies`, in the same manner."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from addon.core.arrays import Floats
from addon.core.geometry.mesh import mirrored
from addon.core.model.hull import Hull, build_hull
from tests.bodies import Body, joined, mesh, moved, prism, sheet

X_TO_Z = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])
X_TO_STARBOARD = np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])


def block(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Body:
    """The box between two x, two y and two z."""
    section = [(y[0], z[0]), (y[1], z[0]), (y[1], z[1]), (y[0], z[1])]
    return moved(prism(section, x[1] - x[0]), (x[0], 0.0, 0.0))


def from_plan(plan: Sequence[Sequence[float]], depth: float) -> Body:
    """A plan (k, 2) of (x, y), anticlockwise seen from above, drawn up from z = 0."""
    return moved(prism(plan, depth), turn=X_TO_Z)


def stadium(depth: float) -> Body:
    """A pontoon 12 m long and 2 m wide whose ends are half circles, of 720 sides each."""
    angle = np.linspace(-np.pi / 2, np.pi / 2, 721)
    fore = np.column_stack([11 + np.cos(angle), np.sin(angle)])
    after = np.column_stack([1 - np.cos(angle), -np.sin(angle)])
    return from_plan(np.concatenate([fore, after]), depth)


def from_profile(profile: Sequence[Sequence[float]], breadth: float) -> Body:
    """A profile (k, 2) of (x, z), anticlockwise seen from starboard, drawn across the hull."""
    return moved(prism(profile, breadth), (0.0, breadth / 2, 0.0), X_TO_STARBOARD)


def pair_of_ends(length: float, breadth: float, depth: float, gap: float) -> Body:
    """The buoyant part of a box whose midships compartment, `gap` long, is open to the sea."""
    half, side = (length - gap) / 2, (-breadth / 2, breadth / 2)
    after, fore = (0.0, half), (length - half, length)
    return joined(block(after, side, (0.0, depth)), block(fore, side, (0.0, depth)))


def cone(radius: float, height: float, sides: int = 720) -> Body:
    """A cone on its point, its axis upright through the origin, with a flat top."""
    around = 2 * np.pi * np.arange(sides) / sides
    rim = np.column_stack(
        [radius * np.cos(around), radius * np.sin(around), np.full(sides, height)]
    )
    slope = tuple((sides, i, (i + 1) % sides)[::-1] for i in range(sides))
    return np.concatenate([rim, np.zeros((1, 3))]), (*slope, tuple(range(sides)))


def double_ended(half_breadth: Callable[[Floats, Floats], Floats], x: Floats, z: Floats) -> Hull:
    """An open hull |y| = `half_breadth(x, z)`, zero at the keel and both ends, from its half."""

    def port(u: Floats, v: Floats) -> Floats:
        y = half_breadth(u, v)
        y[[0, -1]] = y[:, 0] = 0.0
        return np.stack([u, y, v], axis=-1)

    vertices, faces = sheet(port, x, z)
    outward = tuple(face[::-1] for face in faces)
    return build_hull(mirrored(mesh((vertices, outward), "half hull")))
