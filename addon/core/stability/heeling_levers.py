"""Heeling levers: heeling moments divided by the weight of the vessel.

Those of a crowd at the rail, a turn and the rudder vary with the cosine of the heel, that of a wind
as in 46 CFR 171.055 with its square (from memory); the winds of the 2008 IS Code, part A, 2.3, are
constant.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import Floats


@dataclass(frozen=True)
class Lever:
    """A heeling lever of `upright` meters times the cosine of the heel to a `power` of 0, 1 or 2.

    Where it is positive it turns the vessel to starboard, or to port when subtracted from a
    mirrored curve. For a power above zero it is zero beyond 90 degrees.
    """

    name: str
    upright: float
    power: int = 0

    def arm(self, heel: ArrayLike) -> Floats:
        """The lever (m) at heels (rad) of any shape."""
        return self.upright * self._cosine(heel) ** self.power

    def slope(self, heel: ArrayLike) -> Floats:
        """Derivative with respect to heel (m/rad)."""
        if self.power == 0:
            return np.zeros_like(np.asarray(heel, dtype=np.float64))
        cosine = self._cosine(heel)
        held = np.where(cosine > 0, cosine, 1.0)
        slope: Floats = -self.upright * self.power * held ** (self.power - 1) * np.sin(heel)
        return np.where(cosine > 0, slope, 0.0)

    def area(self, heel: ArrayLike) -> Floats:
        """Integral of the lever from upright to heels (m rad)."""
        heel = np.asarray(heel, dtype=np.float64)
        if self.power == 0:
            return self.upright * heel
        end = np.clip(heel, -np.pi / 2, np.pi / 2)
        if self.power == 1:
            return self.upright * np.sin(end)
        return self.upright * (end / 2 + np.sin(2 * end) / 4)

    def _cosine(self, heel: ArrayLike) -> Floats:
        return np.maximum(np.cos(np.asarray(heel, dtype=np.float64)), 0.0)
