"""Where on a vessel the mouse points, and where that snaps to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...core.arrays import Floats
from ...units.lengths import Lengths
from .view import View

CLOSEST_LINES = 14.0  # of the grid, in pixels at a scale of 1
FINER = 10.0  # times slower is the mouse, and closer the grid, for fine work
STEEPEST = 0.2  # sine of the least angle at which a line of sight meets a plane
MIRROR = np.array([1.0, -1.0, 1.0])
STARBOARD, PORT = "starboard", "port"


@dataclass(frozen=True)
class SnapPoint:
    """A point (3,) on a surface with a unit normal (3,), both in ship axes."""

    point: Floats
    normal: Floats

    @property
    def facing(self) -> int:
        """The axis that the surface faces most."""
        return int(np.abs(self.normal).argmax())

    def to(self, point: Floats) -> SnapPoint:
        """Slid to a point (3,); along the axis that the surface faces, the surface decides."""
        away = self.facing
        off = point - self.point
        off[away] = 0.0
        slid = point.copy()
        slid[away] = self.point[away] - (self.normal @ off) / self.normal[away]
        return replace(self, point=slid)

    def on_grid(self, step: float) -> SnapPoint:
        """Slid along the surface to the nearest whole steps (m)."""
        return self.to(step * np.round(self.point / step))

    def on_centerline(self) -> SnapPoint:
        """Slid along the surface to the centerplane; off a surface that faces it."""
        point = self.point * (1.0, 0.0, 1.0)
        return replace(self, point=point) if self.facing == 1 else self.to(point)

    def near_centerline(self, view: View, reach: float, most: float) -> bool:
        """Whether the centerplane is within `reach` pixels, and `most` meters, along a surface
        that does not face it."""
        if self.facing == 1 or abs(self.point[1]) > most:
            return False
        here, there = view.pixels(np.stack([self.point, self.on_centerline().point]))
        return float(np.hypot(*(there - here))) <= reach


def met(eye: Floats, sight: Floats, middle: Floats) -> SnapPoint | None:
    """Where a line of sight, from (3,) along a unit (3,), meets a plane through `middle` (3,).

    The level plane is taken, or one seen less edge-on: the centerplane, then the one square to
    it. None where none lies ahead.
    """
    for axis in (2, 1, 0):
        if abs(sight[axis]) >= STEEPEST:
            reach = (middle[axis] - eye[axis]) / sight[axis]
            if reach > 0:
                return SnapPoint(eye + reach * sight, np.eye(3)[axis])
    return None


def fine(anchor: Floats, mouse: Floats) -> Floats:
    """The pixel (2,) that a slow mouse would be at, had it been at `anchor` (2,)."""
    return anchor + (mouse - anchor) / FINER


def grid_step(point: Floats, view: View, lengths: Lengths, scale: float, finer: bool) -> float:
    """A round length (m) that the eye can part on the screen at a point (3,)."""
    here, *there = view.pixels(point + np.concatenate([np.zeros((1, 3)), np.eye(3)]))
    meter = max(float(np.hypot(*(end - here))) for end in there)
    least = CLOSEST_LINES * scale / meter if meter > 0 else 1.0
    return lengths.step(least / FINER if finer else least)


def places(point: Floats, pair: bool) -> tuple[Floats, ...]:
    """The point (3,), and its mirror image if a pair is wanted and it is off the centerline."""
    if not pair or abs(point[1]) < 1e-6:
        return (point,)
    return point, point * MIRROR


def named(name: str, places: Sequence[Floats]) -> tuple[str, ...]:
    """A name for each of the places, distinguished by their sides."""
    if len(places) == 1:
        return (name,)
    return tuple(f"{name} {PORT if place[1] > 0 else STARBOARD}" for place in places)
