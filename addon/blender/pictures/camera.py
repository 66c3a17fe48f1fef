"""The camera position from which a vessel fills a picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...core.arrays import Floats
from ..viewport.view import View

LENS = 0.48  # width over distance of what a picture in perspective shows, as with a 75 mm lens
AWAY = 4.0  # distance of an eye without perspective, in diagonals of what it sees
ROUNDS = 20


@dataclass(frozen=True)
class Aspect:
    """A view of a vessel. `toward` (3,) points to the eye, in axes ahead, to port and up."""

    title: str
    toward: tuple[float, float, float]
    perspective: bool = False

    @property
    def end_on(self) -> bool:
        """True when the view is square from ahead or from astern."""
        return not self.perspective and self.toward[1] == self.toward[2] == 0


PROFILE = Aspect("Profile from starboard", (0.0, -1.0, 0.0))
FROM_AHEAD = Aspect("Seen from ahead", (1.0, 0.0, 0.0))
FROM_STARBOARD_BOW = Aspect("From the starboard bow", (0.62, -0.72, 0.30), True)
FROM_PORT_BOW = Aspect("From the port bow", (0.62, 0.72, 0.30), True)


@dataclass(frozen=True)
class Camera:
    """An eye at `pose` (4, 4), which looks along its own -z with y up.

    `breadth` is the width (m) of what it shows, at `distance` (m) before it.
    """

    pose: Floats
    breadth: float
    distance: float
    perspective: bool

    def view(self, width: int, height: int) -> View:
        """What it sees in a picture of so many pixels."""
        lens = np.zeros((4, 4))
        lens[0, 0], lens[1, 1] = 2 / self.breadth, 2 / self.breadth * width / height
        if self.perspective:
            lens[3, 2] = -1 / self.distance
        else:
            lens[3, 3] = 1.0
        return View(lens @ np.linalg.inv(self.pose), width, height)


def fitted(
    aspect: Aspect, points: Floats, size: tuple[int, int], low: Floats, high: Floats
) -> Camera:
    """The camera that shows points (n, 3) as large as the pixels `low` to `high` (2,) allow."""
    axes = _axes(np.array(aspect.toward))
    local = points @ axes
    middle = (local.min(axis=0) + local.max(axis=0)) / 2
    reach = float(np.linalg.norm(np.ptp(local, axis=0)))
    breadth, distance = reach, AWAY * reach
    for _ in range(ROUNDS):
        if aspect.perspective:
            distance = breadth / LENS
        pose = _placed(axes, middle + (0, 0, distance))
        camera = Camera(pose, breadth, distance, aspect.perspective)
        seen = camera.view(*size).pixels(points)
        first, last = seen.min(axis=0), seen.max(axis=0)
        growth = float(((high - low) / (last - first)).min())
        off = (first + last - size) / 2 - (low + high - size) / 2 / growth
        middle = middle + breadth / size[0] * np.array([*off, 0.0])
        breadth /= growth
    return camera


def _axes(toward: Floats) -> Floats:
    """Columns to the right, up and toward the eye."""
    toward = toward / np.linalg.norm(toward)
    right = np.cross((0.0, 0.0, 1.0), toward)
    right /= np.linalg.norm(right)
    return np.column_stack([right, np.cross(toward, right), toward])


def _placed(axes: Floats, eye: Floats) -> Floats:
    pose = np.eye(4)
    pose[:3, :3] = axes
    pose[:3, 3] = axes @ eye
    return pose
