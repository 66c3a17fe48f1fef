"""A clause of a code and the verdicts under it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite, isnan

from ..messages.sentence import Quantity, Sentence, joined, kilograms, meter_radians, meters
from .verdict import Outcome, Sense, Verdict

ROUNDING_SHARE = 1e-9
"""Share of a required figure by which it may be missed: rounding."""
QUANTITY_BY_UNIT: dict[str, Callable[[float, str], Quantity]] = {
    "m": meters,
    "kg": kilograms,
    "m rad": meter_radians,
}
"""How a figure is written, by its unit."""
NO_TEXT = Sentence("")


@dataclass(frozen=True)
class Clause:
    """A clause of a code and what it limits, in `unit` (m, m rad, deg, kg or none).

    `key` is unique, such as "is-code-2.2.area_0_30".
    """

    key: str
    code: str
    number: str
    what: str
    unit: str
    sense: Sense = "at least"

    def judge(
        self, required: float, attained: float, helps: Sentence = NO_TEXT, note: Sentence = NO_TEXT
    ) -> Verdict:
        """The verdict on a figure attained against the one required.

        `helps` is what would correct a failure and `note` any remark. A figure that is NaN lies
        beyond the end of the GZ curve.
        """
        if isnan(attained):
            early = "the GZ curve ends too early; give heels from -180 to 180 degrees"
            return self.not_known(Sentence(early), required)
        margin = attained - required if self.sense == "at least" else required - attained
        passes = margin >= -ROUNDING_SHARE * max(1.0, abs(required))
        if not isfinite(margin):
            summary = Sentence("it is not reached")
        elif abs(margin) <= ROUNDING_SHARE * max(1.0, abs(required)):
            summary = Sentence("just keeps it")
        else:
            short = "{margin} short" if self.sense == "at least" else "{margin} over the limit"
            template = "{margin} to spare" if passes else short
            summary = Sentence(template, margin=_with_unit(abs(margin), self.unit))
        verdict = self._verdict("passes" if passes else "fails", summary, required, attained)
        return verdict.noted(joined("{before}; {after}", (NO_TEXT if passes else helps, note)))

    def fails(self, reason: Sentence, required: float | None = None) -> Verdict:
        """A failure without a figure."""
        return self._verdict("fails", reason, required, None)

    def not_known(
        self, reason: Sentence, required: float | None = None, attained: float | None = None
    ) -> Verdict:
        """A fact is missing, which `reason` names."""
        return self._verdict("not known", reason, required, attained)

    def not_applicable(self, reason: Sentence) -> Verdict:
        """The clause does not apply to this vessel."""
        return self._verdict("not applicable", reason, None, None)

    def _verdict(
        self, outcome: Outcome, reason: Sentence, required: float | None, attained: float | None
    ) -> Verdict:
        return Verdict(
            self.key,
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


def _with_unit(value: float, unit: str) -> Quantity | str:
    if unit in QUANTITY_BY_UNIT:
        return QUANTITY_BY_UNIT[unit](value, ".3g")
    figure = f"{value:.3g}"
    return Sentence("{angle} degrees", angle=figure) if unit == "deg" else figure
