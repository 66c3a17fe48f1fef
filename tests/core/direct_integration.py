"""The part of a body below a plane, triangle by triangle, the long way round.

Shares nothing with the core: each triangle is clipped by hand, volume is the sum of
tetrahedra from a point of the plane, and the waterplane is what the waterline encloses.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from addon.core.arrays import Floats
from addon.core.buoyancy.immersion import Immersion


@dataclass(frozen=True)
class Direct:
    """Volume, its first moment (3,), waterplane area, its first (3,) and second (3, 3) moments
    about `foot`, a point of the plane, in ship axes; wetted surface; waterline (k, 2, 3)."""

    foot: Floats
    volume: float
    moment: Floats
    area: float
    area_moment: Floats
    second: Floats
    wetted: float
    line: Floats

    @property
    def buoyancy(self) -> Floats:
        return self.foot + self.moment / self.volume

    @property
    def flotation(self) -> Floats:
        return self.foot + self.area_moment / self.area

    @property
    def inertia(self) -> Floats:
        """Second moments about the waterplane's own center, (3, 3) in ship axes."""
        return self.second - np.outer(self.area_moment, self.area_moment) / self.area


def clip(corners: Floats, heights: Floats) -> tuple[list[Floats], list[Floats]]:
    """The part of a triangle with heights <= 0, and its cut, the inside to the left from above."""
    kept, edge = [], []
    for i in range(3):
        j = (i + 1) % 3
        if heights[i] <= 0:
            kept.append(corners[i])
        if (heights[i] <= 0) != (heights[j] <= 0):
            share = heights[i] / (heights[i] - heights[j])
            point = corners[i] + share * (corners[j] - corners[i])
            kept.append(point)
            edge.append(point)
    if heights[0] <= 0:
        edge.reverse()
    return kept, edge


def direct_below(vertices: Floats, triangles: Floats, up: Floats, level: float) -> Direct:
    """Everything below the plane x . up = level of a closed outward surface."""
    middle = vertices.mean(axis=0)
    foot = middle + (level - up @ middle) * up
    area, area_moment, second = 0.0, np.zeros(3), np.zeros((3, 3))
    line = []
    parts = []
    for corners in vertices[triangles] - foot:
        heights = corners @ up
        if heights.min() > 0:
            continue
        kept, edge = clip(corners, heights)
        parts += [(kept[0], b, c) for b, c in pairwise(kept[1:])]
        if edge:
            a, b = edge
            line.append((a + foot, b + foot))
            share = up @ np.cross(a, b) / 2
            area += share
            area_moment += share * (a + b) / 3
            total = a + b
            second += share * (np.outer(a, a) + np.outer(b, b) + np.outer(total, total)) / 12
    corners = np.array(parts).reshape(-1, 3, 3)
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    shares = np.einsum("ij,ij->i", corners[:, 0], across) / 6
    volume, moment = shares.sum(), shares @ corners.sum(axis=1) / 4
    wetted = float(np.linalg.norm(across, axis=1).sum() / 2)
    return Direct(
        foot, float(volume), moment, float(area), area_moment, second, wetted,
        np.array(line).reshape(-1, 2, 3),
    )  # fmt: skip


def off(found: Immersion, direct: Direct, size: float) -> float:
    """Greatest difference between the two, each moment over the same power of `size`."""
    volume_moment = found.volume * (found.buoyancy - direct.foot) if found.volume > 0 else 0.0
    second = found.frame[:2].T @ found.inertia @ found.frame[:2]
    area_moment = np.zeros(3)
    if found.waterplane_area > 0:
        arm = found.flotation - direct.foot
        area_moment = found.waterplane_area * arm
        second = second + found.waterplane_area * np.outer(arm, arm)
    differences = (
        (found.volume - direct.volume, 3),
        (volume_moment - direct.moment, 4),
        (found.waterplane_area - direct.area, 2),
        (area_moment - direct.area_moment, 3),
        (second - direct.second, 4),
        (found.wetted_surface - direct.wetted, 2),
    )
    return max(float(np.abs(value).max()) / size**power for value, power in differences)
