"""Orientation of a mesh: from its own axes to ship axes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Floats
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence

AXES = ("+X", "-X", "+Y", "-Y", "+Z", "-Z")
"""The signed axes that a mesh may have forward or up."""


@dataclass(frozen=True)
class Axes:
    """The mesh's axes that point forward and up, each one of `AXES`."""

    forward: str = "+X"
    up: str = "+Z"

    def __post_init__(self) -> None:
        for what, axis in (("forward", self.forward), ("up", self.up)):
            if axis not in AXES:
                words = "{what} is '{axis}'; it should be one of {known}"
                known = ", ".join(AXES)
                raise BadInputError(Sentence(words, what=what, axis=axis, known=known))
        if self.forward[1] == self.up[1]:
            raise BadInputError(
                Sentence(
                    "forward '{forward}' and up '{up}' lie along one axis; choose "
                    "two that stand square",
                    forward=self.forward,
                    up=self.up,
                )
            )

    def turn(self, points: Floats) -> Floats:
        """Points (n, 3) with x forward, y to port and z up; without rounding."""
        forward, up = _unit(self.forward), _unit(self.up)
        rows = np.array([forward, np.cross(up, forward), up])
        columns = np.abs(rows).argmax(axis=1)
        return points[:, columns] * rows[np.arange(3), columns]


def _unit(axis: str) -> Floats:
    return np.eye(3)["XYZ".index(axis[1])] * (1.0 if axis[0] == "+" else -1.0)
