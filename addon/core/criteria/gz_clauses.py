"""Clauses on righting and heeling levers shared by several codes, each with its own figures."""

from __future__ import annotations

from math import degrees, isnan

from ..messages.sentence import Sentence
from ..stability.heeling_levers import Lever
from .clause import NO_TEXT, Clause
from .criteria_inputs import CriteriaInputs
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
    water_entry_text,
)
from .verdict import Verdict

LOWER_WEIGHTS = Sentence("lower weights or widen the waterplane")
MORE_FREEBOARD = Sentence("lower weights or give the vessel more freeboard")
NO_RIGHTING_ARM = Sentence(
    "there is no righting lever on this side; lower weights or widen the waterplane"
)


def no_righting_arm(ship: CriteriaInputs) -> Sentence:
    """Why no righting lever counts, and what would correct it, in words."""
    if ship.equilibrium_heel < ship.vanishing_angle:
        words = "{water}, so no righting lever counts; {cure}"
        return Sentence(words, water=water_entry_text(ship), cure=keep_water_out(ship))
    return NO_RIGHTING_ARM


def keep_water_out(ship: CriteriaInputs) -> Sentence:
    """What would prevent the downflooding, in words."""
    if ship.floods_over_edge:
        return Sentence("raise the edge or deck the hull over")
    return Sentence("raise that opening, or fit a closing that keeps the sea out")


def GM_at_least(clause: Clause, ship: CriteriaInputs, least: float) -> Verdict:
    """Initial GM (fluid), m."""
    return clause.judge(least, ship.GM, LOWER_WEIGHTS)


def area_at_least(
    clause: Clause, ship: CriteriaInputs, start: float, end: float, least: float
) -> Verdict:
    """Area (m rad) between two heels (rad) or downflooding; fails where downflooding comes
    before."""
    if ship.downflooding_angle <= start and start > 0:
        return clause.fails(
            Sentence(
                "{water}, so no area beyond {angle} degrees counts; {cure}",
                water=water_entry_text(ship),
                angle=f"{degrees(start):.3g}",
                cure=keep_water_out(ship),
            ),
            least,
        )
    note = downflooding_note(ship, end)
    helps = keep_water_out(ship) if note else MORE_FREEBOARD
    return clause.judge(least, area(ship, start, end), helps, note)


def GZ_at_least(clause: Clause, ship: CriteriaInputs, start: float, least: float) -> Verdict:
    """GZ (m) at some heel from `start` (rad) on, before downflooding."""
    if ship.downflooding_angle < start:
        words = "{water}, so no righting lever beyond counts; {cure}"
        reason = Sentence(words, water=water_entry_text(ship), cure=keep_water_out(ship))
        return clause.fails(reason, least)
    return clause.judge(least, max_gz(ship, start), MORE_FREEBOARD)


def max_GZ_angle_at_least(clause: Clause, ship: CriteriaInputs, least: float) -> Verdict:
    """Heel (degrees) of the maximum GZ, before downflooding."""
    peak = max_gz_heel(ship)
    if isnan(peak):
        return clause.fails(no_righting_arm(ship), least)
    note = downflooding_note(ship, ship.vanishing_angle, GZ_TEXT)
    helps = keep_water_out(ship) if peak >= ship.downflooding_angle else MORE_FREEBOARD
    return clause.judge(least, degrees(peak), helps, note)


def heel_at_most(
    clause: Clause,
    ship: CriteriaInputs,
    lever: Lever,
    most: float,
    helps: Sentence,
    note: Sentence = NO_TEXT,
    needs_deck_edge: bool = False,
) -> Verdict:
    """Heel under a heeling lever against the most allowed, in rad; with `needs_deck_edge` a deck
    edge on the hull could only lower the limit."""
    limit, heel = degrees(most), degrees(heel_under_lever(ship, lever))
    wrong = no_equilibrium_text(ship, lever)
    if wrong:
        return clause.fails(wrong, limit)
    if needs_deck_edge and has_no_deck_edge(ship) and heel <= limit:
        return clause.not_known(NO_DECK_EDGE, limit, heel)
    return clause.judge(limit, heel, helps, note)
