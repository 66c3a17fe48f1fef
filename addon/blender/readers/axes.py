"""The axes of a hull object, and the rotation from the world into ship axes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ...core.arrays import Floats
from ...core.model.axes import Axes
from ..properties.names import AUTO

END = 0.1
ALIKE = 0.01


@dataclass(frozen=True)
class ObjectAxes(Axes):
    """The local axes of the hull object that point forward and up in the ship."""

    forward_guessed: bool = False
    up_guessed: bool = False


@dataclass(frozen=True)
class Frame:
    """Ship axes in the world: rows ahead, to port and up (3, 3), where they start (3,) in
    Blender units, and meters in a Blender unit."""

    turn: Floats
    start: Floats
    unit: float

    def ship(self, world: Floats) -> Floats:
        """Points (..., 3) of the world in ship axes (m)."""
        return (world - self.start) @ self.turn.T * self.unit

    def world(self, ship: Floats) -> Floats:
        """Points (..., 3) in ship axes (m) in the world."""
        return ship @ self.turn / self.unit + self.start

    def moved(self, by: Floats) -> Frame:
        """The frame that starts at the point `by` (3,) of this one."""
        return replace(self, start=self.start + by @ self.turn / self.unit)

    @property
    def to_world(self) -> Floats:
        """Matrix (4, 4) from ship axes (m) to the world (Blender units)."""
        matrix = np.eye(4)
        matrix[:3, :3] = self.turn.T / self.unit
        matrix[:3, 3] = self.start
        return matrix


def choose_axes(points: Floats, linear: Floats, forward: str, up: str) -> ObjectAxes:
    """The axes as chosen, or guessed where they are AUTO.

    Up is the local axis nearest to the world's z; forward the longest of the others, its bow
    at the end that is narrower over the last tenth of the length. `points` (n, 3) are local,
    `linear` (3, 3) takes them to the world. Raises BadInputError when both lie on one axis.
    """
    lengths = np.linalg.norm(linear, axis=0)
    chosen_up = up
    if up == AUTO:
        heights = linear[2] / lengths
        axis = max(_axes_without(forward), key=lambda free: abs(heights[free]))
        chosen_up = _named(axis, bool(heights[axis] >= 0))
    chosen_forward = forward
    if forward == AUTO:
        points = points[np.isfinite(points).all(axis=1)]
        extents = np.ptp(points, axis=0) * lengths if len(points) else lengths
        free = _axes_without(chosen_up)
        axis = max(free, key=lambda free: extents[free])
        bow_first = _narrows_backwards(points[:, axis], points[:, sum(free) - axis])
        chosen_forward = _named(axis, not bow_first)
    return ObjectAxes(chosen_forward, chosen_up, forward == AUTO, up == AUTO)


def ship_turn(axes: ObjectAxes, linear: Floats) -> Floats:
    """Rows ahead, to port and up in the world, orthonormal and right-handed whatever the scale."""
    ahead = _direction(axes.forward, linear)
    ahead = ahead / np.linalg.norm(ahead)
    up = _direction(axes.up, linear)
    up = up - (up @ ahead) * ahead
    up = up / np.linalg.norm(up)
    return np.array([ahead, np.cross(up, ahead), up])


def _axes_without(taken: str) -> list[int]:
    return [axis for axis in range(3) if taken == AUTO or axis != _index(taken)]


def _index(axis: str) -> int:
    return "XYZ".index(axis[1])


def _named(axis: int, positive: bool) -> str:
    return f"{'+' if positive else '-'}{'XYZ'[axis]}"


def _direction(axis: str, linear: Floats) -> Floats:
    column: Floats = linear[:, _index(axis)]
    return column if axis[0] == "+" else -column


def _narrows_backwards(along: Floats, across: Floats) -> bool:
    """True when the hull is narrower at the low end of `along` than at the high one."""
    if not len(along):
        return False
    low, high = along.min(), along.max()
    reach = END * (high - low)
    breadth_low = np.ptp(across[along <= low + reach])
    breadth_high = np.ptp(across[along >= high - reach])
    return bool(breadth_low < breadth_high - ALIKE * np.ptp(across))
