"""46 CFR 170.170: weather criterion of inspected vessels, GM >= P A H / (W tan T).

H is the height of the centroid of the windage area above that of the underwater lateral area.
"""

from __future__ import annotations

from math import degrees, inf, isnan, radians, tan

from ..messages.sentence import Sentence
from .clause import NOTHING, Clause
from .criteria_inputs import Particulars
from .measures import NO_DECK_EDGE, NO_WINDAGE, immersing_heel, wind_height
from .verdict import Verdict

TITLE = "46 CFR 170.170"

METACENTRE = Clause("46-cfr-170.170.GM", TITLE, "170.170(a)", "Initial GM in the wind", "m")

MOST_HEEL = radians(14.0)
PRESSURE = {"exposed": 0.055, "partially protected": 0.036, "protected": 0.028}  # t/m2
PER_LENGTH = 1309.0  # m


def check(ship: Particulars, yardstick: bool) -> tuple[Verdict, ...]:
    """GM against the wind, by the waters of service. Applies to vessels of any size."""
    return (_metacentre(ship),)


def pressure(ship: Particulars) -> float:
    """P (kg/m2), by the waters and the length between perpendiculars."""
    return 1000 * (PRESSURE[ship.service.waters] + (ship.length / PER_LENGTH) ** 2)


def most_heel(ship: Particulars) -> float:
    """T (rad): 14 degrees, or the heel that immerses half the freeboard, under sail all of it, if
    that is less; NaN without a deck edge."""
    sails = ship.service.kind == "sailing" or ship.service.propulsion == "sail"
    deck = immersing_heel(ship, 1.0 if sails else 0.5)
    return deck if isnan(deck) else min(MOST_HEEL, deck)


def required_GM(ship: Particulars, heel: float) -> float:
    """GM (m) at which the wind heels the vessel to an angle (rad); infinite at zero."""
    moment = pressure(ship) * ship.profile.area_above * wind_height(ship)
    return moment / (ship.mass * tan(heel)) if heel > 0 else inf


def _metacentre(ship: Particulars) -> Verdict:
    if not ship.profile.area_above > 0:
        return METACENTRE.not_applicable(NO_WINDAGE)
    heel = most_heel(ship)
    if heel == 0:
        words = "her deck edge is under water already; give her more freeboard"
        return METACENTRE.fails(Sentence(words))
    least = required_GM(ship, MOST_HEEL if isnan(heel) else heel)
    if isnan(heel) and ship.GM >= least:
        return METACENTRE.not_known(NO_DECK_EDGE, None, ship.GM)
    note = Sentence(
        "in {waters} waters, heeled {angle} degrees at most",
        waters=ship.service.waters,
        angle=f"{degrees(heel):.3g}",
    )
    return METACENTRE.judged(
        least,
        ship.GM,
        Sentence("take off windage, lower her weights or give her more freeboard"),
        NOTHING if isnan(heel) else note,
    )
