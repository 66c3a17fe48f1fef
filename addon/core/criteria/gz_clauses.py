"""Clauses on righting and heeling levers shared by several codes, each with its own figures."""

from __future__ import annotations

from math import degrees, isnan

from ..messages.sentence import Sentence
from ..stability.heeling_levers import Lever
from .clause import NOTHING, Clause
from .criteria_inputs import Particulars
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
)
from .verdict import Verdict

LOWER = Sentence("lower her weights or widen her waterplane")
FULLER = Sentence("lower her weights or give her more freeboard")
NO_ARM = Sentence("she has no righting arm on this side; lower her weights or widen her waterplane")


def no_arm(ship: Particulars) -> Sentence:
    """Why no righting lever counts, and what would correct it, in words."""
    if ship.rest_heel < ship.vanishing:
        words = "{water}, so no arm is hers; {cure}"
        return Sentence(words, water=comes_in(ship), cure=keep_out(ship))
    return NO_ARM


def keep_out(ship: Particulars) -> Sentence:
    """What would keep the water out that floods her, in words."""
    if ship.floods_over_edge:
        return Sentence("raise the edge or deck her over")
    return Sentence("raise that opening, or fit a closing that keeps the sea out")


def GM_at_least(clause: Clause, ship: Particulars, least: float) -> Verdict:
    """Initial GM (fluid), m."""
    return clause.judged(least, ship.GM, LOWER)


def area_at_least(
    clause: Clause, ship: Particulars, start: float, end: float, least: float
) -> Verdict:
    """Area (m rad) between two heels (rad) or downflooding; fails where downflooding comes
    before."""
    if ship.flooding <= start and start > 0:
        return clause.fails(
            Sentence(
                "{water}, so no area beyond {angle} degrees is hers; {cure}",
                water=comes_in(ship),
                angle=f"{degrees(start):.3g}",
                cure=keep_out(ship),
            ),
            least,
        )
    note = cut_short(ship, end)
    helps = keep_out(ship) if note else FULLER
    return clause.judged(least, area(ship, start, end), helps, note)


def arm_at_least(clause: Clause, ship: Particulars, start: float, least: float) -> Verdict:
    """GZ (m) at some heel from `start` (rad) on, before downflooding."""
    if ship.flooding < start:
        words = "{water}, so no arm beyond is hers; {cure}"
        reason = Sentence(words, water=comes_in(ship), cure=keep_out(ship))
        return clause.fails(reason, least)
    return clause.judged(least, greatest_arm(ship, start), FULLER)


def peak_at_least(clause: Clause, ship: Particulars, least: float) -> Verdict:
    """Heel (degrees) of the maximum GZ, before downflooding."""
    peak = greatest_heel(ship)
    if isnan(peak):
        return clause.fails(no_arm(ship), least)
    note = cut_short(ship, ship.vanishing, ARM)
    helps = keep_out(ship) if peak >= ship.flooding else FULLER
    return clause.judged(least, degrees(peak), helps, note)


def heel_at_most(
    clause: Clause,
    ship: Particulars,
    lever: Lever,
    most: float,
    helps: Sentence,
    note: Sentence = NOTHING,
    deck_tells: bool = False,
) -> Verdict:
    """Heel under a heeling lever against the most allowed, in rad; with `deck_tells` a deck edge on
    the hull could only lower the limit."""
    limit, heel = degrees(most), degrees(equilibrium(ship, lever))
    wrong = cannot_hold(ship, lever)
    if wrong:
        return clause.fails(wrong, limit)
    if deck_tells and has_no_deck_edge(ship) and heel <= limit:
        return clause.not_known(NO_DECK_EDGE, limit, heel)
    return clause.judged(limit, heel, helps, note)
