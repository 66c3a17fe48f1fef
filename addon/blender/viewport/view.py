"""A camera, and the pixels of points in space."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...core.arrays import Floats


@dataclass(frozen=True)
class View:
    """A camera: `matrix` (4, 4) takes points to clip space; the picture's size is in pixels."""

    matrix: Floats
    width: float
    height: float

    def of(self, pose: Floats) -> View:
        """The same camera for points in axes that `pose` (4, 4) places in the world."""
        return View(self.matrix @ pose, self.width, self.height)

    def pixels(self, points: Floats) -> Floats:
        """Pixels (n, 2) from the lower left of points (n, 3); NaN behind the eye."""
        points = np.atleast_2d(points)
        clip = points @ self.matrix[:, :3].T + self.matrix[:, 3]
        depth = np.where(clip[:, 3] > 1e-9, clip[:, 3], np.nan)
        return (clip[:, :2] / depth[:, None] + 1) / 2 * (self.width, self.height)

    def distances(self, points: Floats) -> Floats:
        """How far off points (n, 3) are: a measure that grows with the distance."""
        row = self.matrix[3] if self.matrix[3, :3].any() else self.matrix[2]
        return points @ row[:3] + row[3]
