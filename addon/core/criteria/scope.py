"""The scope of a code, and the standing of its verdicts outside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ..messages.sentence import Sentence, meters
from .criteria_inputs import CriteriaInputs
from .verdict import Verdict

FOOT = 0.3048
"""A foot (m)."""
IS_CODE_LENGTH = 24.0
"""Length (m) from which the IS Code applies."""
ONE_HULL = Sentence("multihulls are not meant")
IN_SCOPE = Sentence("")


def in_scope(
    verdicts: Iterable[Verdict], outside: Sentence, yardstick: bool = False
) -> tuple[Verdict, ...]:
    """The verdicts for a vessel `outside` the scope of a code, for the reason given; empty where it
    is inside.

    Outside they do not apply, or serve as a yardstick and say so.
    """
    if not outside:
        return tuple(verdicts)
    if yardstick:
        return tuple(
            each
            if each.outcome == "not applicable"
            else replace(
                each.noted(Sentence("a yardstick only: {outside}", outside=outside)), yardstick=True
            )
            for each in verdicts
        )
    return tuple(
        replace(each, outcome="not applicable", reason=outside, required=None, attained=None)
        for each in verdicts
    )


def code_length(ship: CriteriaInputs) -> tuple[float, Sentence]:
    """The length (m) by which codes classify vessels, and which one it is."""
    given = ship.service.load_line_length
    if given is not None:
        return given, Sentence("load line length")
    return ship.length, Sentence("length between perpendiculars")


def too_short(ship: CriteriaInputs) -> Sentence:
    """Why a vessel is outside the scope of the IS Code, 24 m and more; empty where it is not."""
    length, which = code_length(ship)
    if length >= IS_CODE_LENGTH:
        return IN_SCOPE
    return Sentence(
        "the {which} is {length}, and the code applies to ships of {least} and more",
        which=which,
        length=meters(length, ".2f"),
        least=meters(IS_CODE_LENGTH, "g"),
    )
