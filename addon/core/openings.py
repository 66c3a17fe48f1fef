"""Openings through which water gets in when the ship heels far enough, and doors within her."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .findings import BadInputError
from .hull import Hull
from .winding import is_inside

Array = NDArray[np.float64]

Kind = Literal["vent", "hatch", "door", "open top"]

OPEN_EDGE = "open edge of the hull"
WALL = 0.01


@dataclass(frozen=True)
class Opening:
    """A way into the ship; `point` (3,) of ship axes is where water first enters.

    A weathertight one keeps the sea out while it is shut, and does not count as flooding.
    `area` (m2) is what water can pass through, zero where it is not known; `height` (m) how far
    it reaches up from the point, zero for one that lies flat. `rooms` names what it leads into,
    found from its place where there are none.
    """

    name: str
    point: Array
    weathertight: bool = False
    kind: Kind = "vent"
    area: float = 0.0
    height: float = 0.0
    rooms: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _check_way("opening", self.name, self.point, self.area, self.height)


@dataclass(frozen=True)
class Door:
    """A way from one room to another; `point` (3,) of ship axes is the middle of its sill.

    `area` (m2) and `height` (m) of the doorway, `rooms` the two that it joins, found from its
    place where there are none. A door that is `shut` lets nothing through.
    """

    name: str
    point: Array
    area: float
    height: float = 0.0
    rooms: tuple[str, ...] = ()
    shut: bool = False

    def __post_init__(self) -> None:
        _check_way("door", self.name, self.point, self.area, self.height)
        if not self.area > 0:
            raise BadInputError(
                f"door '{self.name}': the area is {self.area:g} m2; give that of the doorway, "
                "such as 1.5"
            )


def _check_way(kind: str, name: str, point: Array, area: float, height: float) -> None:
    if not np.isfinite(point).all():
        raise BadInputError(
            f"{kind} '{name}': its position is not a number; give x, y, z in metres"
        )
    for what, value in (("area", area), ("height", height)):
        if not (np.isfinite(value) and value >= 0):
            raise BadInputError(
                f"{kind} '{name}': the {what} is {value:g}; give one that is not negative"
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
