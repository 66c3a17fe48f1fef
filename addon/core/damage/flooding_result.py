"""The result of a flooding at rest, and the worst of several."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..hydrostatics.floating_position import FloatingPosition
from ..messages.sentence import Sentence
from ..model.case import Case
from ..stability.both_sides import Stability
from .outcome import Ending, Outcome, Progression
from .residual_gz import ResidualGZ


@dataclass(frozen=True)
class FloodingResult:
    """A vessel with compartments open to the sea, in equilibrium or lost.

    `case` is the damaged vessel, `breached` the compartments breached and `compartments` all open
    to the sea in the end, by way of `progression`. It is `sunk` where the remaining buoyancy cannot
    carry it, where it stands on end or plunges, or fills over an open edge; `capsized` where the
    equilibrium is past 90 degrees of heel otherwise, or without righting lever. It `survives`
    afloat in a settled equilibrium. `ending` is how it ends, and `explanation` describes it, the
    worst first.

    `water` is the volume in the compartments (m3), `residual_freeboard` the height above water of
    the lowest point 76 mm below the deck edge (m), and `freeboards` holds each opening with its
    height (m). `residual` is the residual GZ on the side of the heel; `stability` the whole GZ
    curve where requested.
    """

    case: Case
    breached: tuple[str, ...]
    compartments: tuple[str, ...]
    progression: tuple[Progression, ...]
    outcome: Outcome
    survives: bool
    ending: Ending
    explanation: Sentence
    floating: FloatingPosition
    stability: Stability | None
    residual: ResidualGZ | None
    water: float
    s_factor: float
    residual_freeboard: float
    freeboards: tuple[tuple[str, float], ...]

    @property
    def margin_line_immersed(self) -> bool:
        """Whether the vessel survives with its margin line immersed."""
        return self.survives and self.residual_freeboard < 0


def worst(floodings: Iterable[FloodingResult]) -> FloodingResult:
    """The worst flooding: lost, then margin line immersed, then not; among these by s-factor,
    residual freeboard and residual GZ, which may be known only as far as the s-factor needs."""

    def rank(each: FloodingResult) -> tuple[bool, bool, float, float, float]:
        arm = each.residual.max_gz if each.residual else 0.0
        line = -np.inf if np.isnan(each.residual_freeboard) else each.residual_freeboard
        return each.survives, not each.margin_line_immersed, each.s_factor, line, arm

    return min(floodings, key=rank)
