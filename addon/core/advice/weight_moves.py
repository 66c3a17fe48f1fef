"""One weight moved along an axis, to where the hull has space for it.

Whether it fits there is checked against the hull only.
"""

from __future__ import annotations

import numpy as np

from ..arrays import Floats
from ..geometry.winding_number import is_inside
from ..hydrostatics.floating_position import FloatingPosition
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from ..model.hull import Hull
from .action import CorrectiveAction, Target, with_mirror_image
from .action_wording import direction_text

SURFACE_TOLERANCE_SHARE = 1e-6
"""Share of the depth within which a weight is on the surface of the hull."""


def move_weight(
    ship: FloatingPosition, against: Target, axis: int, rise: float, effect: Sentence
) -> CorrectiveAction | None:
    """One weight moved along an axis so that G moves by `rise` (m), the heaviest with space for it.

    One of a pair takes the other along; across the ship that moves nothing.
    """
    weights = ship.case.weights
    real = [weight for weight in weights if not weight.margin]
    extra = sum(weight.mass for weight in weights if weight.margin)
    share = 1.0 + extra / sum(weight.mass for weight in real) if real else 1.0
    for weight in sorted(real, key=lambda each: -each.mass):
        shift, moving = np.zeros(3), with_mirror_image(real, weight)
        if weight.fixed or (axis == 1 and len(moving) > 1):
            continue
        shift[axis] = rise * ship.weight.mass / (share * sum(each.mass for each in moving))
        if all(_has_space(ship.case.hull, each.center, shift) for each in moving):
            name = weight.pair if len(moving) > 1 else weight.name
            text = Sentence(
                "Moving '{weight}' {far} {direction} {effect}",
                weight=Subject("weight", name),
                far=meters(shift[axis]),
                direction=direction_text(axis, rise),
                effect=effect,
            )
            return CorrectiveAction("move_weight", against, text, weight, shift)
    return None


def _has_space(hull: Hull, here: Floats, shift: Floats) -> bool:
    """Whether a weight at (3,) may be shifted so: from inside the hull to inside; from outside
    within its length and breadth, and down only into the hull or to above all of it. The hull
    surface counts as inside."""
    there = here + shift
    beside = SURFACE_TOLERANCE_SHARE * hull.depth * np.array([0.0, 0.0, 1.0])
    around = np.array([here, there, here - beside, there - beside, here + beside, there + beside])
    enclosed = is_inside(around, hull.vertices[hull.triangles]).reshape(3, 2)
    was_inside, inside = enclosed.any(axis=0)
    if was_inside or inside:
        return bool(inside)
    low, high = np.minimum(hull.tree.low, here), np.maximum(hull.tree.high, here)
    clear = shift[2] == 0 or there[2] >= hull.tree.high[2]
    return bool(clear and ((low <= there) & (there <= high))[:2].all())
