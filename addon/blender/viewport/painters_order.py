"""The order in which see-through bodies hide one another: the painter's algorithm."""

from __future__ import annotations

import numpy as np

from ...core.arrays import Bools, Floats

APART = 1e-6  # of the greatest extent, by which boxes side by side may overlap


def back_to_front(boxes: Floats, eye: Floats) -> list[int]:
    """The order in which bodies in boxes (n, 2, 3) hide one another from an eye (4,): a place and
    1, or a direction towards it and 0.

    Of two boxes side by side that on the eye's side of every plane between them is drawn later.
    Those that overlap, or go round in a ring, follow how far their middles are off.
    """
    if not len(boxes):
        return []
    low, high = boxes[:, 0], boxes[:, 1]
    beside = low[None] - high[:, None] >= -APART * float(np.ptp(boxes, axis=(0, 1)).max())
    over = eye[:3] > eye[3] * high[:, None]
    beyond, before = (beside & over).any(axis=2), (beside & ~over).any(axis=2)
    parted = (beside | beside.transpose(1, 0, 2)).any(axis=2)
    hides = parted & ~(beyond | before.T)
    middles = boxes.mean(axis=1)
    away = np.linalg.norm(middles - eye[:3], axis=1) if eye[3] else -middles @ eye[:3]
    return _layered(hides, away)


def _layered(hides: Bools, away: Floats) -> list[int]:
    """Numbers from the farthest on, each after all those that it `hides` (n, n)."""
    waiting, before, order = np.ones(len(away), bool), hides.sum(axis=1), []
    while waiting.any():
        free = waiting & (before == before[waiting].min())
        chosen = int(np.where(free, away, -np.inf).argmax())
        waiting[chosen] = False
        before = before - hides[:, chosen]
        order.append(chosen)
    return order
