"""Openings through which water enters when the vessel heels far enough, and doors within it.

Either is given by a point and figures, or by a surface across it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import radians
from typing import Literal

import numpy as np

from ..arrays import Floats, Ints
from ..buoyancy.attitude import up_from_angles
from ..geometry.triangles import area_vectors, lengths
from ..geometry.winding_number import is_inside
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, called, coordinates, square_meters
from ..messages.subjects import Subject
from .hull import Hull

OpeningKind = Literal["vent", "hatch", "door", "open top"]
MAX_DEPTH_INSIDE_SHARE = 0.01
"""Share of the depth by which an opening may lie inside the hull."""
LEVEL_SHARE = 1e-3
"""Share of the extent of a surface within which heights coincide."""
MIN_FLATNESS = 0.8
"""Least ratio of the projected area of a surface to its area, 1 for a flat one."""
NO_POINTS = np.zeros((0, 3))
"""Points (0, 3)."""
SAMPLED_UPS = np.array(
    [
        up_from_angles(radians(heel + 2.5), radians(trim))
        for heel in range(-180, 180, 5)
        for trim in (-10, -1, 1, 10)
    ]
)
"""The world's up directions at which the lowest corner of a surface is kept; no edge lies level
there."""

DISCHARGE_COEFFICIENT = 0.6
"""Discharge coefficient of a sharp-edged opening (common practice)."""


@dataclass(frozen=True)
class Opening:
    """An opening in the hull; `point` (3,) in ship axes is where water first enters.

    A weathertight one excludes the sea while closed, and does not count as downflooding. `area`
    (m2) is what water can pass through, zero where unknown; `height` (m) its vertical extent above
    the point, zero for a horizontal one. `compartments` names what it leads into, found from its
    place where empty. With heel water enters at the lowest of point and `corners` (k, 3).
    """

    name: str
    point: Floats
    weathertight: bool = False
    kind: OpeningKind = "vent"
    area: float = 0.0
    height: float = 0.0
    compartments: tuple[str, ...] = ()
    corners: Floats = field(default_factory=NO_POINTS.copy)

    def __post_init__(self) -> None:
        _check_path(called(Subject("opening", self.name)), self.point, self.area, self.height)

    @property
    def points(self) -> Floats:
        """Points (k, 3) at the lowest of which water enters, its own the first."""
        return np.concatenate([self.point[None], self.corners])


@dataclass(frozen=True)
class Door:
    """A door between compartments; `point` (3,) in ship axes is the middle of its sill.

    `area` (m2) and `height` (m) of the doorway, `compartments` the two that it joins, found from
    its place where empty. A door that is `closed` lets nothing through. One with its own discharge
    coefficient `discharge_coefficient` is a duct, whose compartments need not share a boundary:
    1/sqrt(k), k being the sum of its losses in velocity heads, that at its end included.
    """

    name: str
    point: Floats
    area: float
    height: float = 0.0
    compartments: tuple[str, ...] = ()
    closed: bool = False
    discharge_coefficient: float | None = None

    def __post_init__(self) -> None:
        _check_path(called(Subject("door", self.name)), self.point, self.area, self.height)
        if self.discharge_coefficient is not None:
            check_discharge_coefficient(
                called(Subject("door", self.name)), self.discharge_coefficient
            )
        if not self.area > 0:
            raise BadInputError(
                Sentence(
                    "door '{door}': the area is {area}; give that of the doorway, such as 1.5",
                    door=Subject("door", self.name),
                    area=square_meters(self.area, "g"),
                )
            )

    @property
    def middle(self) -> Floats:
        """The center (3,) of the doorway, at half its height."""
        middle: Floats = self.point + [0.0, 0.0, self.height / 2]
        return middle


def _check_path(way: Sentence, point: Floats, area: float, height: float) -> None:
    if not np.isfinite(point).all():
        raise BadInputError(
            Sentence("{way}: its position is not a number; give x, y, z in meters", way=way)
        )
    for what, value in ((Sentence("area"), area), (Sentence("height"), height)):
        if not (np.isfinite(value) and value >= 0):
            raise BadInputError(
                Sentence(
                    "{way}: the {what} is {value}; give one that is not negative",
                    way=way,
                    what=what,
                    value=f"{value:g}",
                )
            )


def check_discharge_coefficient(what: str, discharge_coefficient: float) -> None:
    """Raises BadInputError for an invalid discharge coefficient."""
    if not 0 < discharge_coefficient <= 1:
        raise BadInputError(
            Sentence(
                "{what}: the coefficient of discharge is {share}; give one above 0 and up to 1, "
                "such as {usual} for a sharp edge",
                what=what,
                share=f"{discharge_coefficient:g}",
                usual=f"{DISCHARGE_COEFFICIENT:g}",
            )
        )


@dataclass(frozen=True)
class OpeningShape:
    """What a surface across an opening or doorway determines, in ship axes.

    `corners` (k, 3) are the vertices that come lowest as the vessel heels and trims, `sill` (3,)
    the middle of those lowest upright, `area` (m2) what water can pass through, `height` (m) its
    vertical extent, zero for a horizontal one.
    """

    corners: Floats
    sill: Floats
    area: float
    height: float

    def opening(
        self, name: str, weathertight: bool, kind: OpeningKind, compartments: tuple[str, ...] = ()
    ) -> Opening:
        """The opening there, which water enters at its lowest corner."""
        size = self.area, self.height
        return Opening(name, self.sill, weathertight, kind, *size, compartments, self.corners)

    def door(
        self,
        name: str,
        compartments: tuple[str, ...] = (),
        closed: bool = False,
        discharge_coefficient: float | None = None,
    ) -> Door:
        """The door there. Raises BadInputError for one without an area."""
        return Door(
            name, self.sill, self.area, self.height, compartments, closed, discharge_coefficient
        )


def opening_shape(
    what: Subject, triangles: Floats, area: float | None = None, height: float | None = None
) -> OpeningShape:
    """The passage through a surface of triangles (n, 3, 3), with any orientation.

    A flat surface across the passage is expected, and its area is that of the passage. A closed
    body, such as a leaf with thickness, counts half the area seen along the direction that most of
    it faces, and its thickness is no part of the height. An own `area` or `height` takes
    precedence. Raises BadInputError for a surface without area, and for one too bent.
    """
    corners, edges = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
    vectors = area_vectors(np.moveaxis(triangles, (0, 1, 2), (2, 1, 0)))
    parts = lengths(vectors)
    level = LEVEL_SHARE * float(np.linalg.norm(np.ptp(corners, axis=0))) if len(corners) else 0.0
    if not parts.sum() > level**2:
        raise BadInputError(
            Sentence(
                "{what}: its mesh has no area; model a flat surface across the passage",
                what=called(what),
            )
        )
    faced = vectors[:, parts > 0]
    normal = np.linalg.eigh(faced / parts[parts > 0] @ faced.T)[1][:, -1]
    seen = float(np.abs(normal @ vectors).sum())
    closed = _is_closed(edges.reshape(-1, 3))
    if area is None and not closed and seen < MIN_FLATNESS * parts.sum():
        raise BadInputError(
            Sentence(
                "{what}: its mesh is bent, so its area is not that of the passage; model a flat "
                "surface across it, or give its area",
                what=called(what),
            )
        )
    upright = float(np.ptp(corners[:, 2]) - abs(normal[2]) * np.ptp(corners @ normal))
    lowest = corners[corners[:, 2] <= corners[:, 2].min() + level]
    return OpeningShape(
        corners[np.unique((SAMPLED_UPS @ corners.T).argmin(axis=1))],
        (lowest.min(axis=0) + lowest.max(axis=0)) / 2,
        (seen / 2 if closed else float(parts.sum())) if area is None else area,
        (upright if upright > level else 0.0) if height is None else height,
    )


def _is_closed(triangles: Ints) -> bool:
    """Whether triangles (n, 3) have no free edges."""
    edges = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=-1).reshape(-1, 2))
    return bool((np.unique(edges, axis=0, return_counts=True)[1] > 1).all())


def check_openings(hull: Hull, openings: tuple[Opening, ...]) -> None:
    """Raises BadInputError for an opening inside the hull, deeper than a share
    `MAX_DEPTH_INSIDE_SHARE` of the depth under the hull surface on every side."""
    if not openings:
        return
    reach = MAX_DEPTH_INSIDE_SHARE * hull.depth
    around = reach * np.concatenate([np.eye(3), -np.eye(3)])
    points = np.array([opening.point for opening in openings])
    probes = (points[:, None] + around).reshape(-1, 3)
    inside = is_inside(probes, hull.vertices[hull.triangles]).reshape(len(openings), -1)
    for opening, enclosed in zip(openings, inside.all(axis=1), strict=True):
        if enclosed:
            raise BadInputError(
                Sentence(
                    "opening '{opening}' at {place} lies inside the hull; move it to where water "
                    "would first come in, on or above the hull surface",
                    opening=Subject("opening", opening.name),
                    place=coordinates(opening.point),
                )
            )
