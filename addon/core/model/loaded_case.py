"""A case loaded as one of its conditions says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from .case import Case
from .conditions import Condition
from .names import check_known
from .tanks import Tank
from .weights import Weight, combined


def in_condition(case: Case, condition: Condition) -> Case:
    """The case loaded so, titled with both names.

    Raises BadInputError for a name that is not on board, and where nothing stays on board.
    """
    where = Sentence("condition '{condition}'", condition=Subject("condition", condition.name))
    aboard: tuple[Weight | Tank, ...] = (*case.weights, *case.tanks)
    groups = {item.group for item in aboard} - {""}
    for name in condition.fills:
        check_known(where, "tank", name, [tank.name for tank in case.tanks])
    for name in condition.without:
        check_known(where, "weight or tank", name, [item.name for item in aboard])
    for name in condition.without_groups:
        check_known(where, "group", name, sorted(groups))

    def stays(item: Weight | Tank) -> bool:
        return item.name not in condition.without and item.group not in condition.without_groups

    weights = tuple(weight for weight in case.weights if stays(weight))
    filled = tuple(
        tank.filled(condition.fills.get(tank.name, tank.fill)) for tank in case.tanks if stays(tank)
    )
    if not weights and not any(tank.mass for tank in filled):
        raise BadInputError(
            Sentence(
                "{where} is empty: nothing with a mass is on board; load more of it",
                where=where,
            )
        )
    return replace(
        case,
        title=f"{case.title}, {condition.name}",
        weights=_with_margin(weights, condition),
        tanks=filled,
        flooded=tuple(dict.fromkeys((*case.flooded, *condition.flooded))),
    )


def _with_margin(weights: tuple[Weight, ...], condition: Condition) -> tuple[Weight, ...]:
    """The weights with the margins on top, as one more weight and a shift upward."""
    rise = np.array([0.0, 0.0, condition.kg_margin])
    raised = tuple(replace(weight, center=weight.center + rise) for weight in weights)
    if not weights or not condition.mass_margin:
        return raised
    whole = combined(raised)
    if condition.mass_margin < 0:
        return tuple(
            replace(weight, mass=weight.mass * (1 + condition.mass_margin)) for weight in raised
        )
    mass, name = condition.mass_margin * whole.mass, f"margin of {condition.name}"
    return (*raised, Weight(name, mass, whole.center, margin=True))


def condition_named(case: Case, name: str) -> Condition:
    """A condition of the case. Raises BadInputError where there is none of that name."""
    check_known(case.title, "condition", name, [condition.name for condition in case.conditions])
    return next(condition for condition in case.conditions if condition.name == name)
