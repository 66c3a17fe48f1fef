"""The purpose and the limits of the results."""

from __future__ import annotations

from collections.abc import Iterable

from .codes import CODES
from .verdict import Verdict

CAUTION = (
    "For early design only: approval of stability and of the number of people carried "
    "belongs to the local rules and to a licensed professional."
)
UNCHECKED = "No stability criteria were checked."


def criteria_note(verdicts: Iterable[Verdict]) -> str:
    """Which codes were checked, and which were not and why."""
    found: dict[str, set[str]] = {}
    for verdict in verdicts:
        found.setdefault(verdict.code, set()).add(verdict.outcome)
    checked = [code for code, outcomes in found.items() if outcomes & {"passes", "fails"}]
    groups = {
        "Criteria checked": checked,
        "Not known, as facts are missing": [
            f"part of {code}" if code in checked else code
            for code, outcomes in found.items()
            if "not known" in outcomes
        ],
        "Not applicable": [
            code for code, outcomes in found.items() if outcomes == {"not applicable"}
        ],
        "Not asked for": [code.title for code in CODES if code.title not in found],
    }
    sentences = [f"{words}: {'; '.join(codes)}." for words, codes in groups.items() if codes]
    return " ".join(sentences if checked else [UNCHECKED, *sentences])
