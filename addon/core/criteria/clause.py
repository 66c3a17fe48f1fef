"""What a code says in one clause, and what may be answered under it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, isnan

from ..criterion import Outcome, Sense, Verdict

ROUNDING = 1e-9
WORDS = {"deg": " degrees", "": ""}


@dataclass(frozen=True)
class Clause:
    """A clause of a code and what it limits, in `unit` (m, m rad, deg, kg or none)."""

    code: str
    number: str
    what: str
    unit: str
    sense: Sense = "at least"

    def judged(self, required: float, attained: float, helps: str = "", note: str = "") -> Verdict:
        """Whether the figure attained keeps the one required.

        `helps` is what would mend a failure and `note` what else to say. A figure that is NaN
        lies beyond the end of the curve of arms.
        """
        if isnan(attained):
            return self.not_known(
                "the curve of arms ends too early; give heels from -180 to 180 degrees", required
            )
        margin = attained - required if self.sense == "at least" else required - attained
        passes = margin >= -ROUNDING * max(1.0, abs(required))
        if not isfinite(margin):
            said = "it never comes"
        elif abs(margin) <= ROUNDING * max(1.0, abs(required)):
            said = "just keeps it"
        else:
            short = "short" if self.sense == "at least" else "over the limit"
            said = f"{_shown(abs(margin), self.unit)} {'to spare' if passes else short}"
        reason = said + (f"; {helps}" if helps and not passes else "") + _and(note)
        return self._said("passes" if passes else "fails", reason, required, attained)

    def fails(self, reason: str, required: float | None = None) -> Verdict:
        """She fails without a figure."""
        return self._said("fails", reason, required, None)

    def not_known(
        self, reason: str, required: float | None = None, attained: float | None = None
    ) -> Verdict:
        """A fact is missing, which `reason` names."""
        return self._said("not known", reason, required, attained)

    def not_applicable(self, reason: str) -> Verdict:
        """The clause has no case in this ship."""
        return self._said("not applicable", reason, None, None)

    def _said(
        self, outcome: Outcome, reason: str, required: float | None, attained: float | None
    ) -> Verdict:
        return Verdict(
            self.code,
            self.number,
            self.what,
            _figure(required),
            _figure(attained),
            self.unit,
            self.sense,
            outcome,
            reason,
        )


def _figure(value: float | None) -> float | None:
    return None if value is None or not isfinite(value) else float(value)


def _shown(value: float, unit: str) -> str:
    return f"{value:.3g}{WORDS.get(unit, f' {unit}')}"


def _and(note: str) -> str:
    return f"; {note}" if note else ""
