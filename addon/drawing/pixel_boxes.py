"""Boxes on a plane of pixels."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..core.arrays import Bools, Floats

QUARTERS = np.pi + np.pi / 2 * (np.arange(4)[:, None] + np.linspace(0, 1, 6))
CORNERS = np.stack([np.cos(QUARTERS), np.sin(QUARTERS)], axis=2)  # arcs of a rounded box


class Box(NamedTuple):
    """A rectangle of pixels."""

    left: float
    bottom: float
    right: float
    top: float

    @classmethod
    def beside(cls, size: tuple[float, float], at: Floats, way: Floats) -> Box:
        """The box of a size that lies from `at` (2,) in the direction `way` (2,)."""
        width, height = size
        left = float(at[0] + (way[0] - 1.0) / 2 * width)
        bottom = float(at[1] + (way[1] - 1.0) / 2 * height)
        return cls(left, bottom, left + width, bottom + height)

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top."""
        return self.top - self.bottom

    @property
    def middle(self) -> Floats:
        """The middle (2,)."""
        return np.array([self.left + self.right, self.bottom + self.top]) / 2

    def meets(self, other: Box) -> bool:
        """Whether the two overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def within(self, other: Box) -> bool:
        """Whether no part of it is outside the other."""
        return (
            other.left <= self.left
            and self.right <= other.right
            and other.bottom <= self.bottom
            and self.top <= other.top
        )

    def holds(self, points: Floats) -> Bools:
        """Which points (..., 2) lie in it."""
        low, high = np.array(self[:2]), np.array(self[2:])
        inside: Bools = ((points >= low) & (points <= high)).all(axis=-1)
        return inside

    def moved_into(self, other: Box) -> Box:
        """The box moved as little as needed to be inside a larger one."""
        right = max(other.left - self.left, 0.0) + min(other.right - self.right, 0.0)
        up = max(other.bottom - self.bottom, 0.0) + min(other.top - self.top, 0.0)
        return Box(self.left + right, self.bottom + up, self.right + right, self.top + up)

    def grown(self, by: float) -> Box:
        """The box with its sides moved outward."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def nearest(self, point: Floats, others: Floats) -> bool:
        """Whether no other point (n, 2) is nearer to the box's middle than `point` (2,)."""
        middle = self.middle
        nearest = float(np.hypot(*(others - middle).T).min())
        return float(np.hypot(*(point - middle))) <= nearest + 1.0

    def rounded(self, by: float) -> Floats:
        """The outline (k, 2) of the box grown by so many pixels, with round corners."""
        left, bottom, right, top = self
        corners = np.array([[left, bottom], [right, bottom], [right, top], [left, top]])
        return (corners[:, None] + by * CORNERS).reshape(-1, 2)
