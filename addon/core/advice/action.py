"""A corrective action: a change of weights or tanks, what it corrects, and the case after it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from ..arrays import Floats
from ..criteria.verdict import Verdict
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.tanks import Tank
from ..model.weights import Weight

Kind = Literal[
    "move_weight", "pump_liquid", "add_ballast", "lower_gravity", "shift_moment", "remove_mass"
]
Target = Literal["list", "trim", "GM", "freeboard", "criterion"]


@dataclass(frozen=True)
class CorrectiveAction:
    """A change and what it does.

    `against` is what it corrects, of criteria `criterion`. `weight` is moved by `shift` (3,) m,
    or is new where there is none of its name; `tanks` are as they would be filled. An action may
    change nothing, and say only by how much something must change.
    """

    kind: Kind
    against: Target
    text: Sentence
    weight: Weight | None = None
    shift: Floats = field(default_factory=lambda: np.zeros(3))
    tanks: tuple[Tank, ...] = ()
    criterion: Verdict | None = None

    @property
    def subjects(self) -> tuple[Subject, ...]:
        """The weight that is moved or added, or the tanks that are pumped."""
        if self.weight:
            return (Subject("weight", self.weight.name),)
        return tuple(Subject("tank", tank.name) for tank in self.tanks)

    @property
    def full_text(self) -> Sentence:
        """The text where nothing beside it says which criterion it speaks of."""
        if not self.criterion:
            return self.text
        return Sentence("{criterion}: {action}", criterion=self.criterion.name, action=self.text)

    @property
    def moves(self) -> bool:
        """Whether something on board is moved."""
        return self.weight is not None and bool(self.shift.any())

    def applied(self, case: Case) -> Case:
        """The case after the change."""
        case = with_tanks(case, self.tanks)
        if self.weight is None:
            return case
        if not self.moves:
            return replace(case, weights=(*case.weights, self.weight))
        return replace(case, weights=tuple(self._shifted(case.weights)))

    def _shifted(self, weights: tuple[Weight, ...]) -> Iterator[Weight]:
        """The weights after the move, which the margin at their common center follows."""
        assert self.weight
        real = sum(weight.mass for weight in weights if not weight.margin)
        moving = with_mirror_image(weights, self.weight)
        moved, names = sum(each.mass for each in moving), {each.name for each in moving}
        for weight in weights:
            share = moved / real if weight.margin else 0.0
            share = 1.0 if weight.name in names else share
            yield replace(weight, center=weight.center + share * self.shift)


def with_mirror_image(weights: Iterable[Weight], weight: Weight) -> list[Weight]:
    """A weight and, of a pair, the other."""
    pair = weight.pair
    return [each for each in weights if each.name == weight.name or (pair and each.pair == pair)]


def with_tanks(case: Case, tanks: tuple[Tank, ...]) -> Case:
    """The case with these tanks in place of those of their names."""
    filled = {tank.name: tank for tank in tanks}
    return replace(case, tanks=tuple(filled.get(tank.name, tank) for tank in case.tanks))
