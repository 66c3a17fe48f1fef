"""Custom criteria, checked as those of the codes are."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, isnan

from ..messages.sentence import Sentence
from ..model.user_criteria import ANGLES, OwnRule
from ..stability.heeling_levers import Lever
from .clause import NOTHING, Clause
from .criteria_inputs import Particulars
from .gz_clauses import no_arm
from .measures import (
    ARM,
    NO_DECK_EDGE,
    area,
    cannot_hold,
    comes_in,
    cut_short,
    equilibrium,
    greatest_arm,
    greatest_heel,
    has_no_deck_edge,
    stability_range,
)
from .verdict import Sense, Verdict

TITLE = "own criteria"


def check_own(ship: Particulars, rule: OwnRule) -> Iterator[Verdict]:
    """A verdict for the least and one for the most that a rule allows.

    Figures are in degrees where the measure is an angle.
    """
    what = rule.measure[0].upper() + rule.measure[1:]
    unit = "deg" if rule.measure in ANGLES else "m rad" if rule.measure == "area" else "m"
    shown = degrees if unit == "deg" else float
    missing, wrong = _missing(ship, rule), _wrong(ship, rule)
    limits: tuple[tuple[str, float | None, Sense], ...]
    limits = ("least", rule.least, "at least"), ("most", rule.most, "at most")
    for end, limit, sense in limits:
        if limit is None:
            continue
        clause = Clause(f"own.{rule.name}.{end}", TITLE, rule.name, what, unit, sense)
        if missing:
            yield clause.not_known(missing, shown(limit))
        elif wrong:
            yield clause.fails(wrong, shown(limit))
        else:
            yield clause.judged(shown(limit), shown(measured(ship, rule)), note=_note(ship, rule))


def measured(ship: Particulars, rule: OwnRule) -> float:
    """The measure that a rule limits, in SI units; infinite for an angle that is not reached."""
    start = rule.start or 0.0
    match rule.measure:
        case "GM":
            return ship.GM
        case "GZ":
            return float(ship.arms.arm(start))
        case "greatest GZ":
            return greatest_arm(ship, start)
        case "angle of greatest GZ":
            return greatest_heel(ship)
        case "area":
            assert rule.end is not None
            return area(ship, start, rule.end)
        case "range":
            return stability_range(ship)
        case "vanishing angle":
            return ship.vanishing
        case "downflooding angle":
            return ship.flooding
        case "deck edge angle":
            return ship.deck_edge
        case "freeboard":
            return ship.freeboard
        case "heel under moment":
            return equilibrium(ship, lever_of(ship, rule))


def lever_of(ship: Particulars, rule: OwnRule) -> Lever:
    """The heeling lever of the moment in a rule; zero for a rule without one."""
    return Lever(rule.name, (rule.moment or 0.0) / ship.mass, 1)


def _missing(ship: Particulars, rule: OwnRule) -> Sentence:
    """What the hull must have before a rule can be checked."""
    lacks = (rule.measure == "freeboard" and isnan(ship.freeboard)) or (
        rule.measure == "deck edge angle" and has_no_deck_edge(ship)
    )
    return NO_DECK_EDGE if lacks else NOTHING


def _note(ship: Particulars, rule: OwnRule) -> Sentence:
    """What downflooding takes off a measure, in words."""
    match rule.measure:
        case "area":
            assert rule.end is not None
            return cut_short(ship, rule.end)
        case "angle of greatest GZ" | "range":
            return cut_short(ship, min(ship.vanishing, ship.end), ARM)
        case "vanishing angle" if ship.flooding < ship.vanishing:
            return Sentence("she floods first: {water}", water=comes_in(ship))
        case _:
            return NOTHING


def _wrong(ship: Particulars, rule: OwnRule) -> Sentence:
    """Why it fails where there is nothing to measure."""
    if rule.measure == "angle of greatest GZ" and isnan(greatest_heel(ship)):
        return no_arm(ship)
    if rule.measure in ("GZ", "greatest GZ") and ship.flooding < (rule.start or 0.0):
        return Sentence("{water}, so no arm beyond is hers", water=comes_in(ship))
    if rule.measure == "heel under moment":
        return cannot_hold(ship, lever_of(ship, rule))
    return NOTHING
