"""One requirement of a code and its verdict."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from ..messages.sentence import Sentence, joined

Outcome = Literal["passes", "fails", "not applicable", "not known"]
Sense = Literal["at least", "at most"]

WORST_FIRST: tuple[Outcome, ...] = ("fails", "not known", "passes", "not applicable")
"""Outcomes from the worst to the best."""
ROUNDING_SHARE = 1e-6
"""Share of a margin within which two are alike."""


@dataclass(frozen=True)
class Verdict:
    """A criterion with what it requires, what the vessel attains, and why.

    `key` is unique. `required` and `attained` are in `unit` (m, m rad, deg, kg, s or none); None
    where there is no figure. 'not applicable' means that the code does not cover such a vessel, or
    this clause such a case; 'not known' that a fact is missing, named by `reason`. `note` is the
    reason without the margin that is in `attained` already. `side` is that to which the vessel does
    worse than to its weaker one, and a `yardstick` a verdict on one outside the scope of the code.
    """

    key: str
    code: str
    clause: str
    what: str
    required: float | None
    attained: float | None
    unit: str
    sense: Sense
    outcome: Outcome
    reason: Sentence
    note: Sentence = Sentence("")
    side: str = ""
    yardstick: bool = False

    @property
    def name(self) -> str:
        """What it is called: code, clause and what is asked."""
        return f"{self.code} {self.clause}: {self.what}"

    @property
    def margin(self) -> float | None:
        """How much better than required (positive) or worse (negative), in `unit`."""
        if self.required is None or self.attained is None:
            return None
        better = self.attained - self.required
        return better if self.sense == "at least" else -better

    def noted(self, more: Sentence) -> Verdict:
        """The verdict with something more to say."""
        reason, note = (
            joined("{before}; {after}", (each, more)) for each in (self.reason, self.note)
        )
        return replace(self, reason=reason, note=note)

    def is_worse_than(self, other: Verdict) -> bool:
        """Whether this verdict is worse than another on the same requirement, by more than
        rounding; of two failures, the one with nothing to measure is."""
        if self.outcome != other.outcome:
            return WORST_FIRST.index(self.outcome) < WORST_FIRST.index(other.outcome)
        if self.margin is None or other.margin is None:
            return self.outcome == "fails" and other.margin is not None
        return self.margin < other.margin - ROUNDING_SHARE * max(1.0, abs(other.margin))
