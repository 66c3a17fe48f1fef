"""GZ curve: values, area and intersections.

Between computed heels the curve is the cubic with their values and slopes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from ..arrays import Bools, Floats
from .heeling_levers import Lever

MAX_STEPS = 60
"""Newton steps and bisections, to bound time."""
HEEL_TOLERANCE = 1e-12
"""Heel (rad) to which zeros are found."""


@dataclass(frozen=True)
class ZeroCrossing:
    """A heel (rad) at which a lever is zero; `rising` where it grows with the heel."""

    heel: float
    rising: bool


@dataclass(frozen=True)
class GZCurve:
    """Righting levers GZ (n,) in meters at heels (n,) in radians, in ascending order.

    Heel is positive to starboard, and GZ is positive where it turns the vessel to port. `slopes`
    (n,) are dGZ/dheel (m/rad), `areas` (n,) the integral of GZ from upright (m rad). Two points at
    one heel are a jump.
    """

    heels: Floats
    gz: Floats
    slopes: Floats
    areas: Floats

    def arm(self, heel: ArrayLike) -> Floats:
        """GZ (m) at heels within the curve, of any shape; NaN outside it."""
        return self._cubic(heel)[0]

    def slope(self, heel: ArrayLike) -> Floats:
        """dGZ/dheel (m/rad) at heels within the curve; NaN outside it."""
        return self._cubic(heel)[1]

    def area(self, start: float, end: float) -> float:
        """Integral of GZ from one heel to another (m rad); NaN where one lies outside."""
        low, high = self._cubic(np.array([start, end]))[2]
        return float(high - low)

    def mirrored(self) -> GZCurve:
        """The curve to the other side, GZ positive where it rights the vessel."""
        return GZCurve(-self.heels[::-1], -self.gz[::-1], self.slopes[::-1], self.areas[::-1])

    def minus(self, lever: Lever) -> GZCurve:
        """GZ less a heeling lever."""
        return GZCurve(
            self.heels,
            self.gz - lever.arm(self.heels),
            self.slopes - lever.slope(self.heels),
            self.areas - lever.area(self.heels),
        )

    def clipped(self, start: float, end: float) -> GZCurve:
        """The curve between two heels within it."""
        inside = (self.heels > start) & (self.heels < end)
        heels = np.array([start, *self.heels[inside], end])
        given = (self.gz, self.slopes, self.areas)
        ends = zip(self._cubic(start), self._cubic(end, "left"), strict=True)
        parts = [
            np.array([first, *each[inside], last])
            for each, (first, last) in zip(given, ends, strict=True)
        ]
        return GZCurve(heels, *parts)

    @cached_property
    def crossings(self) -> tuple[ZeroCrossing, ...]:
        """Zeros of GZ, in ascending heel; where it stays at zero over a range, the end at which it
        is positive."""
        heels, gz = self._monotone_points
        sided = np.flatnonzero(gz)
        through = gz[sided[:-1]] * np.sign(gz[sided[1:]]) < 0
        start, end = sided[:-1][through], sided[1:][through]
        rising = gz[end] > 0
        stays = heels[np.where(rising, end - 1, start + 1)]
        found = np.where(end > start + 1, stays, self._zeros(heels[start], heels[end], rising))
        return tuple(map(ZeroCrossing, found.tolist(), rising.tolist()))

    def _zeros(self, low: Floats, high: Floats, rising: Bools) -> Floats:
        """Zeros (k,) between heels at which GZ has opposite signs, by bracketed Newton."""
        heel = (low + high) / 2
        for _ in range(MAX_STEPS):
            arm, slope, _area = self._cubic(heel)
            before = (arm < 0) == rising
            low, high = np.where(before, heel, low), np.where(before, high, heel)
            there = heel - arm / np.where(slope == 0, np.inf, slope)
            inside = (low < there) & (there < high)
            step = np.where(inside, there, (low + high) / 2) - heel
            heel = heel + step
            if not (np.abs(step) > HEEL_TOLERANCE).any():
                break
        return heel

    def maximum(self, start: float, end: float) -> tuple[float, float]:
        """Heel (rad) and size (m) of the maximum GZ between two heels; NaN without a curve."""
        start, end = max(start, float(self.heels[0])), min(end, float(self.heels[-1]))
        if not start <= end:
            return float("nan"), float("nan")
        heels, gz = self.clipped(start, end)._monotone_points
        at = int(gz.argmax())
        return float(heels[at]), float(gz[at])

    @cached_property
    def _monotone_points(self) -> tuple[Floats, Floats]:
        """Heels and GZ at the ends of monotonic pieces."""
        step = np.diff(self.heels)
        start, end = self.slopes[:-1] * step, self.slopes[1:] * step
        rise = np.diff(self.gz)
        a, b, c = 3 * (start + end - 2 * rise), 2 * (3 * rise - 2 * start - end), start
        root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))
        q = -(b + np.copysign(root, b)) / 2
        with np.errstate(divide="ignore", invalid="ignore"):
            turns = np.stack([q / a, c / q])
        inside = (turns > 0) & (turns < 1) & (b * b > 4 * a * c)
        heels = np.concatenate([self.heels, (self.heels[:-1] + turns * step)[inside]])
        order = np.argsort(heels, kind="stable")
        gz = np.concatenate([self.gz, self.arm(heels[len(self.heels) :])])
        return heels[order], gz[order]

    def _cubic(
        self, heel: ArrayLike, side: Literal["left", "right"] = "right"
    ) -> tuple[Floats, Floats, Floats]:
        """GZ, slopes and areas at heels, after a jump that is just there or, on the left `side`,
        before."""
        heel = np.asarray(heel, dtype=np.float64)
        at = np.clip(np.searchsorted(self.heels, heel, side) - 1, 0, len(self.heels) - 2)
        step = self.heels[at + 1] - self.heels[at]
        wide = np.where(step > 0, step, 1.0)
        t = np.where(step > 0, (heel - self.heels[at]) / wide, 1.0)
        first, start, end = self.gz[at], self.slopes[at] * step, self.slopes[at + 1] * step
        rise = self.gz[at + 1] - first
        a, b = start + end - 2 * rise, 3 * rise - 2 * start - end
        arm = first + t * (start + t * (b + t * a))
        slope = (start + t * (2 * b + 3 * t * a)) / wide
        under = step * t * (first + t * (start / 2 + t * (b / 3 + t * a / 4)))
        whole = step * (first + start / 2 + b / 3 + a / 4)
        area = self.areas[at] + under + t * (self.areas[at + 1] - self.areas[at] - whole)
        outside = (heel < self.heels[0]) | (heel > self.heels[-1])
        arm, slope, area = (np.where(outside, np.nan, each) for each in (arm, slope, area))
        return arm, slope, area
