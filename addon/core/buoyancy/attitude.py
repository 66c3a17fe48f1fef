"""The attitude of the vessel and the water plane.

Ship axes: x forward, y to port, z up, meters. An attitude is the world's up direction in those axes
and the level of the water plane along it; the water is every point x with x . up <= level. Heel is
positive to starboard, trim positive by the stern, both in radians.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, hypot, sin

import numpy as np

from ..arrays import Floats

UPRIGHT_UP = np.array([0.0, 0.0, 1.0])
"""The upward direction (3,) of a vessel upright on an even keel."""
VERTICAL_TOLERANCE = 1e-6
"""Component of up, of 1, within which the vessel stands on end or its deck is vertical."""


def up_from_angles(heel_rad: float, trim_rad: float) -> Floats:
    """World up in ship axes, shape (3,), for a heel (starboard +) and trim (stern +).

    Bow up is trim by the stern, so the forward axis gains a positive share of up;
    starboard down raises port, so the port axis does for a positive heel.
    """
    return np.array(
        [
            sin(trim_rad),
            cos(trim_rad) * sin(heel_rad),
            cos(trim_rad) * cos(heel_rad),
        ]
    )


def water_frame(up: Floats) -> Floats:
    """Rows: ahead and to port, both in the water plane, and up; shape (3, 3).

    Ahead is the ship's forward axis projected on the water plane. A vessel on end has none, and
    takes its underside, or its deck with the bow down, the limit as it rears up.
    """
    x, y, z = map(float, up)
    if abs(x) < 1.0 - VERTICAL_TOLERANCE:
        across = hypot(y, z)
        return np.array(
            [[across, -x * y / across, -x * z / across], [0.0, z / across, -y / across], [x, y, z]]
        )
    underside = np.array([0.0, 0.0, -np.sign(x)])
    ahead = underside - (underside @ up) * up
    ahead /= np.linalg.norm(ahead)
    return np.array([ahead, np.cross(up, ahead), up])


@dataclass(frozen=True)
class Attitude:
    """A water plane: `up` (unit, shape (3,), ship axes) and `level` (m along it)."""

    up: Floats
    level: float

    @classmethod
    def from_draft(
        cls, draft_m: float, at_x_m: float, heel_rad: float = 0.0, trim_rad: float = 0.0
    ) -> Attitude:
        """The plane that meets the centerline at height `draft_m` above x = `at_x_m`."""
        up = up_from_angles(heel_rad, trim_rad)
        return cls(up, float(up @ np.array([at_x_m, 0.0, draft_m])))

    @property
    def heel_rad(self) -> float:
        """Heel, radians in (-pi, pi], positive to starboard."""
        return atan2(self.up[1], self.up[2])

    @property
    def trim_rad(self) -> float:
        """Trim angle, radians, positive by the stern."""
        return asin(max(-1.0, min(1.0, self.up[0])))

    @property
    def upside_down(self) -> bool:
        """True when the deck faces down or level: drafts along z have no meaning then."""
        return bool(self.up[2] <= VERTICAL_TOLERANCE)

    def draft_at(self, x_m: float) -> float:
        """Height of the water above the baseline on the centerline at x, along ship z (m).

        NaN when the vessel lies on its side or upside down.
        """
        if self.upside_down:
            return float("nan")
        return float((self.level - x_m * self.up[0]) / self.up[2])

    def heights(self, points: Floats) -> Floats:
        """Height above the water (m) of points of shape (..., 3)."""
        return points @ self.up - self.level

    def mirrored(self) -> Attitude:
        """The same water plane for the mirror image of the vessel about its centerplane."""
        return Attitude(self.up * np.array([1.0, -1.0, 1.0]), self.level)
