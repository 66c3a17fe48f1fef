"""One requirement of a code, and how a ship answers it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Outcome = Literal["passes", "fails", "not applicable", "not known"]
Sense = Literal["at least", "at most"]


@dataclass(frozen=True)
class Verdict:
    """A criterion with what it requires, what the ship attains, and why.

    `required` and `attained` are in `unit` (m, m rad, deg, kg, s or none); None where there is
    no figure. 'not applicable' means that the code does not speak of such a ship, or this
    clause of such a case; 'not known' that a fact is missing, and `reason` says which.
    """

    code: str
    clause: str
    what: str
    required: float | None
    attained: float | None
    unit: str
    sense: Sense
    outcome: Outcome
    reason: str

    @property
    def margin(self) -> float | None:
        """How much better than required (positive) or worse (negative), in `unit`."""
        if self.required is None or self.attained is None:
            return None
        better = self.attained - self.required
        return better if self.sense == "at least" else -better
