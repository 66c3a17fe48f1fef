"""Custom criteria, checked as those of the codes are."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, isnan

from ..messages.sentence import Sentence
from ..model.user_criteria import ANGLES, CustomCriterion
from ..stability.heeling_levers import Lever
from .clause import NO_TEXT, Clause
from .criteria_inputs import CriteriaInputs
from .gz_clauses import no_righting_arm
from .measures import (
    GZ_TEXT,
    NO_DECK_EDGE,
    area,
    downflooding_note,
    has_no_deck_edge,
    heel_under_lever,
    max_gz,
    max_gz_heel,
    no_equilibrium_text,
    stability_range,
    water_entry_text,
)
from .verdict import Sense, Verdict

TITLE = "custom criteria"


def check_custom(ship: CriteriaInputs, criterion: CustomCriterion) -> Iterator[Verdict]:
    """A verdict for the least and one for the most that a rule allows.

    Figures are in degrees where the measure is an angle.
    """
    what = criterion.measure[0].upper() + criterion.measure[1:]
    unit = "deg" if criterion.measure in ANGLES else "m rad" if criterion.measure == "area" else "m"
    shown = degrees if unit == "deg" else float
    missing, wrong = _missing(ship, criterion), _failure(ship, criterion)
    limits: tuple[tuple[str, float | None, Sense], ...]
    limits = ("least", criterion.least, "at least"), ("most", criterion.most, "at most")
    for end, limit, sense in limits:
        if limit is None:
            continue
        clause = Clause(f"own.{criterion.name}.{end}", TITLE, criterion.name, what, unit, sense)
        if missing:
            yield clause.not_known(missing, shown(limit))
        elif wrong:
            yield clause.fails(wrong, shown(limit))
        else:
            yield clause.judge(
                shown(limit), shown(measured(ship, criterion)), note=_note(ship, criterion)
            )


def measured(ship: CriteriaInputs, criterion: CustomCriterion) -> float:
    """The measure that a rule limits, in SI units; infinite for an angle that is not reached."""
    start = criterion.start or 0.0
    match criterion.measure:
        case "GM":
            return ship.GM
        case "GZ":
            return float(ship.gz_curve.arm(start))
        case "maximum GZ":
            return max_gz(ship, start)
        case "angle of maximum GZ":
            return max_gz_heel(ship)
        case "area":
            assert criterion.end is not None
            return area(ship, start, criterion.end)
        case "range":
            return stability_range(ship)
        case "angle of vanishing stability":
            return ship.vanishing_angle
        case "downflooding angle":
            return ship.downflooding_angle
        case "deck-edge immersion angle":
            return ship.deck_edge_angle
        case "freeboard":
            return ship.freeboard
        case "heel under moment":
            return heel_under_lever(ship, lever_of(ship, criterion))


def lever_of(ship: CriteriaInputs, criterion: CustomCriterion) -> Lever:
    """The heeling lever of the moment in a rule; zero for a rule without one."""
    return Lever(criterion.name, (criterion.moment or 0.0) / ship.mass, 1)


def _missing(ship: CriteriaInputs, criterion: CustomCriterion) -> Sentence:
    """What the hull must have before a rule can be checked."""
    lacks = (criterion.measure == "freeboard" and isnan(ship.freeboard)) or (
        criterion.measure == "deck-edge immersion angle" and has_no_deck_edge(ship)
    )
    return NO_DECK_EDGE if lacks else NO_TEXT


def _note(ship: CriteriaInputs, criterion: CustomCriterion) -> Sentence:
    """What downflooding takes off a measure, in words."""
    match criterion.measure:
        case "area":
            assert criterion.end is not None
            return downflooding_note(ship, criterion.end)
        case "angle of maximum GZ" | "range":
            return downflooding_note(ship, min(ship.vanishing_angle, ship.end), GZ_TEXT)
        case "angle of vanishing stability" if ship.downflooding_angle < ship.vanishing_angle:
            return Sentence("downflooding comes first: {water}", water=water_entry_text(ship))
        case _:
            return NO_TEXT


def _failure(ship: CriteriaInputs, criterion: CustomCriterion) -> Sentence:
    """Why it fails where there is nothing to measure."""
    if criterion.measure == "angle of maximum GZ" and isnan(max_gz_heel(ship)):
        return no_righting_arm(ship)
    if criterion.measure in ("GZ", "maximum GZ") and ship.downflooding_angle < (
        criterion.start or 0.0
    ):
        return Sentence("{water}, so no righting lever beyond counts", water=water_entry_text(ship))
    if criterion.measure == "heel under moment":
        return no_equilibrium_text(ship, lever_of(ship, criterion))
    return NO_TEXT
