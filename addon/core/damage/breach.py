"""A breach of the hull surface, and the flooding paths through it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Floats
from ..geometry.rays import closest_points
from ..geometry.triangles import areas
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, coordinates, meters, square_meters
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA, Compartment, CompartmentPlan
from ..model.hull import Hull
from ..model.openings import DISCHARGE_COEFFICIENT, check_discharge_coefficient
from .flooding_paths import FloodingPath, check_compartment

MAX_BREACH_DISTANCE_SHARE = 0.05
"""Share of the depth of the hull by which a breach may lie off the surface."""
SURFACE_TOLERANCE_SHARE = 1e-5
"""Share of the size of the hull within which a point is on its surface."""
FAR_AWAY_SIZES = 10.0
"""Sizes of the hull from which a position is taken for one in other units."""


@dataclass(frozen=True)
class Breach:
    """A breach of the hull surface; `point` (3,) in ship axes is its lowest point.

    With its area (m2), its discharge coefficient, and its vertical extent (m), zero where it lies
    flat or is small compared with its depth.
    """

    point: Floats
    area: float
    discharge_coefficient: float = DISCHARGE_COEFFICIENT
    height: float = 0.0

    def __post_init__(self) -> None:
        if not np.isfinite(self.point).all():
            words = "breach: its position is not a number; give x, y, z in meters"
            raise BadInputError(Sentence(words))
        if not (np.isfinite(self.area) and self.area > 0):
            raise BadInputError(
                Sentence(
                    "breach: the area is {area}; give one above zero, such as 0.05",
                    area=square_meters(self.area, "g"),
                )
            )
        check_discharge_coefficient("breach", self.discharge_coefficient)
        if not (np.isfinite(self.height) and self.height >= 0):
            raise BadInputError(
                Sentence(
                    "breach: the height is {height}; give one that is not negative",
                    height=meters(self.height, "g"),
                )
            )


def breach_paths(
    case: Case, plan: CompartmentPlan, compartments: tuple[str, ...], hole: Breach
) -> tuple[FloodingPath, ...]:
    """A breach, its area divided equally among the compartments.

    Raises BadInputError for an unknown compartment, for a breach farther than a share
    `MAX_BREACH_DISTANCE_SHARE` of the depth from their boundaries or from the hull surface, and for
    one larger than all of those boundaries.
    """
    for name in compartments:
        check_compartment("breach", name, plan)
        compartment = plan.compartment(name)
        assert compartment
        _check_place(hole, compartment, case.hull)
        boundaries = float(areas(compartment.vertices, compartment.triangles).sum())
        if hole.area / len(compartments) > boundaries:
            raise BadInputError(
                Sentence(
                    "breach: the area is {area}, and all boundaries of compartment "
                    "'{compartment}' have {boundaries}; give that of the breach, such as 0.05",
                    area=square_meters(hole.area, "g"),
                    compartment=Subject("compartment", name),
                    boundaries=square_meters(boundaries, ".4g"),
                )
            )
    area = hole.discharge_coefficient * hole.area / len(compartments)
    return tuple(
        FloodingPath("breach", "the breach", (SEA, name), hole.point[None], area, hole.height)
        for name in compartments
    )


def _check_place(hole: Breach, compartment: Compartment, hull: Hull) -> None:
    """Raises BadInputError for a breach that is not where the boundary of a compartment is the hull
    surface."""
    feet = closest_points(hole.point, compartment.vertices[compartment.triangles])
    distances = np.linalg.norm(feet - hole.point, axis=1)
    away = float(distances.min())
    boundary = Sentence(
        "the boundaries of compartment '{compartment}'",
        compartment=Subject("compartment", compartment.name),
    )
    if away <= MAX_BREACH_DISTANCE_SHARE * hull.depth:
        away, boundary = _distance_to_surface(hole.point, hull), Sentence("the hull surface")
    if away <= MAX_BREACH_DISTANCE_SHARE * hull.depth:
        return
    close = SURFACE_TOLERANCE_SHARE * hull.tree.size
    outer = (
        foot for foot in feet[distances.argsort()] if _distance_to_surface(foot, hull) <= close
    )
    nearest = next(outer, None)
    right = Sentence("put it where compartment and hull surface meet")
    if nearest is not None:
        words = "the nearest of its outer surface is {place}"
        right = Sentence(words, place=coordinates(nearest))
    if away > FAR_AWAY_SIZES * hull.tree.size:
        right = Sentence("{right}; positions are in meters, ship axes", right=right)
    raise BadInputError(
        Sentence(
            "breach at {place} is {far} from {boundary}; {right}",
            place=coordinates(hole.point),
            far=meters(away, ".2f"),
            boundary=boundary,
            right=right,
        )
    )


def _distance_to_surface(point: Floats, hull: Hull) -> float:
    """Distance (m) of a point (3,) from the hull surface."""
    feet = closest_points(point, hull.vertices[hull.triangles])
    return float(np.linalg.norm(feet - point, axis=1).min())
