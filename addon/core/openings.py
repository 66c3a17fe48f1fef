"""Openings through which water gets in when the ship heels far enough."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .findings import BadInputError
from .hull import Hull
from .winding import is_inside

Array = NDArray[np.float64]

OPEN_EDGE = "open edge of the hull"
WALL = 0.01


@dataclass(frozen=True)
class Opening:
    """A point (3,) of ship axes at which water first enters.

    A weathertight one keeps the sea out while it is shut, and does not count as flooding.
    """

    name: str
    point: Array
    weathertight: bool = False

    def __post_init__(self) -> None:
        if not np.isfinite(self.point).all():
            raise BadInputError(
                f"opening '{self.name}': its position is not a number; give x, y, z in metres"
            )


def check_openings(hull: Hull, openings: tuple[Opening, ...]) -> None:
    """Raises BadInputError for an opening inside the hull, deeper than a share `WALL` of her
    depth under her skin on every side."""
    if not openings:
        return
    reach = WALL * hull.depth
    around = reach * np.concatenate([np.eye(3), -np.eye(3)])
    points = np.array([opening.point for opening in openings])
    probes = (points[:, None] + around).reshape(-1, 3)
    inside = is_inside(probes, hull.vertices[hull.triangles]).reshape(len(openings), -1)
    for opening, enclosed in zip(openings, inside.all(axis=1), strict=True):
        if enclosed:
            x, y, z = opening.point
            raise BadInputError(
                f"opening '{opening.name}' at x {x:.2f}, y {y:.2f}, z {z:.2f} m lies inside the "
                "hull; move it to where water would first come in, on or above the hull's skin"
            )
