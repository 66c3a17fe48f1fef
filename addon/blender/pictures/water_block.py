"""The water of a picture: a block around the vessel, less the hull."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import Attitude, water_frame
from ..viewport.water_plane import regions
from .camera import Aspect

OCEAN, BASIN = 1.5, 0.05  # margins around the vessel, in diagonals of its box
PIECES = 100  # of a side of the surface


@dataclass(frozen=True)
class WaterBlock:
    """Water at height 0: its `surface`, triangles (n, 3, 3), `border` (4, 2, 3) and `depth` (m)."""

    surface: Floats
    border: Floats
    depth: float

    @property
    def corners(self) -> Floats:
        """Its eight corners (8, 3)."""
        top = self.border[:, 0]
        return np.concatenate([top, top - (0, 0, self.depth)])

    @property
    def boundaries(self) -> Floats:
        """Its sides (4, 4, 3)."""
        return np.concatenate([self.border, self.border[:, ::-1] - (0, 0, self.depth)], axis=1)

    @property
    def edges(self) -> Floats:
        """The border in short pieces (n, 2, 3)."""
        shares = np.linspace(0, 1, PIECES + 1)[:, None]
        points = self.border[:, :1] + shares * (self.border[:, 1:] - self.border[:, :1])
        return np.stack([points[:, :-1], points[:, 1:]], axis=2).reshape(-1, 2, 3)


def afloat(attitude: Attitude) -> Floats:
    """Ship axes to axes ahead, to port and up from the water, (4, 4)."""
    pose = np.eye(4)
    pose[:3, :3] = water_frame(attitude.up)
    pose[2, 3] = -attitude.level
    return pose


def water_block(attitude: Attitude, waterline: Floats, box: Floats, aspect: Aspect) -> WaterBlock:
    """Water around a vessel of `waterline` (k, 2, 3), ship axes, and corners `box` (n, 3) afloat.

    It fills a picture from the side; in perspective it is a block not much larger than the vessel.
    """
    low, high = box.min(axis=0), box.max(axis=0)
    margin = (BASIN if aspect.perspective else OCEAN) * float(np.linalg.norm(high - low))
    depth = max(float(-low[2]), 0.0) + (margin / 2 if aspect.perspective else margin)
    low, high = low[:2] - margin, high[:2] + margin
    outside, _ = regions(moved(afloat(attitude), waterline)[..., :2], low, high)
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    border = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    return WaterBlock(_level(outside), _level(border), depth)


def moved(pose: Floats, points: Floats) -> Floats:
    """Points (..., 3) where a pose (4, 4) takes them."""
    return points @ pose[:3, :3].T + pose[:3, 3]


def _level(points: Floats) -> Floats:
    return np.concatenate([points, np.zeros((*points.shape[:-1], 1))], axis=-1)
