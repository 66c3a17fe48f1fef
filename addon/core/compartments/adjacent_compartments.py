"""Which compartments a point is in, or lies between."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..arrays import Floats
from ..geometry.rays import closest_points, first_hits
from ..geometry.winding_number import is_inside
from ..model.compartment import SEA, Compartment, CompartmentPlan

STEP_SHARE = 1e-6
"""Share of the extent by which a point is put off a boundary."""
INWARD_SHARE = 1e-3
"""Share of the way to the middle of a triangle by which a point is put off its edges."""


def compartment_at(compartments: Sequence[Compartment], point: Floats) -> int | None:
    """The index of the compartment that a point (3,) lies in."""
    for number, compartment in enumerate(compartments):
        around = (compartment.body.low < point).all() and (point < compartment.body.high).all()
        if around and is_inside(point[None], compartment.vertices[compartment.triangles])[0]:
            return number
    return None


def compartments_beside(plan: CompartmentPlan, point: Floats) -> tuple[str, str]:
    """Names of the compartments on both sides of the boundary nearest to a point (3,), `SEA` for
    outside.

    The first is a compartment, the second lies beyond its boundary, straight through the material
    of one that has thickness. For a door use a point at mid height: its sill may be as near to a
    deck.
    """
    compartments = plan.compartments
    if not compartments:
        return SEA, SEA
    lows, highs = (
        np.array([getattr(compartment.body, end) for compartment in compartments])
        for end in ("low", "high")
    )
    step = STEP_SHARE * float(np.linalg.norm(highs.max(axis=0) - lows.min(axis=0)))
    away = np.linalg.norm(np.maximum(np.maximum(lows - point, point - highs), 0.0), axis=1)
    best, boundary, foot, here = np.inf, np.zeros((3, 3)), point, 0
    for number in np.argsort(away, kind="stable"):
        if away[number] > best:
            break
        corners = compartments[number].vertices[compartments[number].triangles]
        feet = closest_points(point, corners)
        distances = np.linalg.norm(feet - point, axis=1)
        nearest = int(distances.argmin())
        if distances[nearest] < best - step:
            best, boundary = float(distances[nearest]), corners[nearest]
            foot, here = feet[nearest], int(number)
    normal = np.cross(boundary[1] - boundary[0], boundary[2] - boundary[0])
    normal /= np.linalg.norm(normal)
    beyond = foot + INWARD_SHARE * (boundary.mean(axis=0) - foot) + step * normal
    if is_inside(beyond[None], plan.material)[0]:
        distance, _ = first_hits(beyond[None], normal[None], plan.material, 0.0)
        beyond = beyond + (distance[0] + step) * normal
    there = compartment_at(compartments, beyond)
    return compartments[here].name, SEA if there is None else compartments[there].name
