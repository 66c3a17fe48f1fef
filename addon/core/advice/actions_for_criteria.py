"""Corrective actions for failed criteria: how much lower G must be.

The trim at each heel is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from ..criteria.assessment import Assessment, both_sides
from ..criteria.codes import check_sides
from ..criteria.limiting_kg import with_KG
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from .action import CorrectiveAction
from .least_amount import SCAN_STEPS
from .weight_moves import move_weight

KG_TOLERANCE_SHARE = 1e-4
"""Share of a step to which the lowering of G is found."""


def actions_for_criteria(assessment: Assessment) -> Iterator[CorrectiveAction]:
    """For each failed criterion that a lower G corrects: how much lower, and by which weight where
    one has space for the move.

    The trim at each heel is kept. None with compartments open to the sea: the criteria are those of
    intact vessels.
    """
    ship, floating = assessment.stability, assessment.stability.floating
    sides, case = both_sides(ship), ship.case
    if not assessment.failed or sides[0].KG <= 0 or case.flooded:
        return
    known: dict[float, set[str]] = {}

    def passing(drop: float) -> set[str]:
        if drop not in known:
            weaker, other = (with_KG(side, side.KG - drop) for side in sides)
            found = check_sides(weaker, other, ship.stronger.name, case.codes, case.custom_criteria)
            known[drop] = {each.key for each in found if each.outcome == "passes"}
        return known[drop]

    drops = np.linspace(0.0, sides[0].KG, SCAN_STEPS).tolist()
    for verdict in assessment.failed:
        enough = next((drop for drop in drops[1:] if _passes(passing, verdict.key, drop)), None)
        if enough is None:
            continue
        drop = _bisect(partial(_passes, passing, verdict.key), drops[1], enough)
        text = Sentence(
            "Passes with G {far} lower, at a KG of {KG}",
            far=meters(drop),
            KG=meters(sides[0].KG - drop, ".2f"),
        )
        lowered = move_weight(floating, "criterion", 2, -drop, text)
        if lowered:
            assert lowered.weight
            text = Sentence(
                "{passes}: moving '{weight}' {far} down does that",
                passes=text,
                weight=Subject("weight", lowered.weight.name),
                far=meters(lowered.shift[2]),
            )
        action = lowered or CorrectiveAction("lower_gravity", "criterion", text)
        yield replace(action, text=text, criterion=verdict)


def _passes(passing: Callable[[float], set[str]], key: str, drop: float) -> bool:
    return key in passing(drop)


def _bisect(holds: Callable[[float], bool], step: float, enough: float) -> float:
    """The least value at which a condition holds, given that it holds at `enough` and not a step
    before."""
    fails = enough - step
    while enough - fails > KG_TOLERANCE_SHARE * step:
        middle = (fails + enough) / 2
        if holds(middle):
            enough = middle
        else:
            fails = middle
    return enough
