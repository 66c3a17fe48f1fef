"""46 CFR 170.170: weather criterion of inspected vessels, GM >= P A H / (W tan T).

H is the height of the centroid of the windage area above that of the underwater lateral area.
"""

from __future__ import annotations

from math import degrees, inf, isnan, radians, tan

from ..messages.sentence import Sentence
from .clause import NO_TEXT, Clause
from .criteria_inputs import CriteriaInputs
from .measures import NO_DECK_EDGE, NO_WINDAGE, immersing_heel, wind_height
from .verdict import Verdict

TITLE = "46 CFR 170.170"

INITIAL_GM = Clause("46-cfr-170.170.GM", TITLE, "170.170(a)", "Initial GM in the wind", "m")

MAX_HEEL = radians(14.0)
"""Heel (rad) in the wind at most, 170.170(a)."""
PRESSURE = {"exposed": 0.055, "partially protected": 0.036, "protected": 0.028}
"""Wind pressure P (t/m2) by the waters, without the term of length."""
LENGTH_SCALE = 1309.0
"""Length (m) by which the term of length is divided."""


def check(ship: CriteriaInputs, yardstick: bool) -> tuple[Verdict, ...]:
    """GM against the wind, by the waters of service. Applies to vessels of any size."""
    return (_initial_GM(ship),)


def pressure(ship: CriteriaInputs) -> float:
    """P (kg/m2), by the waters and the length between perpendiculars."""
    return 1000 * (PRESSURE[ship.service.waters] + (ship.length / LENGTH_SCALE) ** 2)


def max_heel(ship: CriteriaInputs) -> float:
    """T (rad): 14 degrees, or the heel that immerses half the freeboard, under sail all of it, if
    that is less; NaN without a deck edge."""
    sails = ship.service.kind == "sailing" or ship.service.propulsion == "sail"
    deck = immersing_heel(ship, 1.0 if sails else 0.5)
    return deck if isnan(deck) else min(MAX_HEEL, deck)


def required_GM(ship: CriteriaInputs, heel: float) -> float:
    """GM (m) at which the wind heels the vessel to an angle (rad); infinite at zero."""
    moment = pressure(ship) * ship.profile.area_above * wind_height(ship)
    return moment / (ship.mass * tan(heel)) if heel > 0 else inf


def _initial_GM(ship: CriteriaInputs) -> Verdict:
    if not ship.profile.area_above > 0:
        return INITIAL_GM.not_applicable(NO_WINDAGE)
    heel = max_heel(ship)
    if heel == 0:
        words = "the deck edge is under water already; give the vessel more freeboard"
        return INITIAL_GM.fails(Sentence(words))
    least = required_GM(ship, MAX_HEEL if isnan(heel) else heel)
    if isnan(heel) and ship.GM >= least:
        return INITIAL_GM.not_known(NO_DECK_EDGE, None, ship.GM)
    note = Sentence(
        "in {waters} waters, heeled {angle} degrees at most",
        waters=ship.service.waters,
        angle=f"{degrees(heel):.3g}",
    )
    return INITIAL_GM.judge(
        least,
        ship.GM,
        Sentence("take off windage, lower weights or give the vessel more freeboard"),
        NO_TEXT if isnan(heel) else note,
    )
