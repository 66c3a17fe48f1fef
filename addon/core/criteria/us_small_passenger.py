"""46 CFR 178.330: the simplified stability proof test of small passenger vessels, reckoned.

The heeling moment is the greater of a crowd's, W Bp / 6, and the wind's, P A H. The pressures, the
share of the freeboard that a flush deck or an open boat may immerse and the limit of 14 degrees are
from memory. The condition tested, tanks three quarters full and all persons on board with their
weight 0.76 m or more above the deck, is the user's to give.
"""

from __future__ import annotations

from math import inf, isnan, radians

from ..criterion import Verdict
from ..levers import Lever
from ..particulars import Particulars
from .clause import Clause
from .measures import NO_WINDAGE, immersing_heel
from .righting import heel_at_most
from .scope import FOOT, in_scope

TITLE = "46 CFR 178.330"

CROWD = Clause(TITLE, "178.330, Mp", "Heel under the passengers' moment", "deg", "at most")
WIND = Clause(TITLE, "178.330, Mw", "Heel under the wind's moment", "deg", "at most")

LENGTH = 65 * FOOT
PASSENGERS = 150
PASSENGER = 83.9  # kg: 185 lb, 46 CFR 170.090
MOST_HEEL = radians(14.0)
PRESSURE = {"exposed": 73.3, "partially protected": 48.8, "protected": 36.6}  # kg/m2, from memory
FLUSH, OPEN = 0.5, 0.25


def check(ship: Particulars, yardstick: bool) -> tuple[Verdict, ...]:
    """Heel under crowd and wind, for passenger vessels of no more than 65 feet and 150 persons."""
    return in_scope((_crowd(ship), _wind(ship)), _outside(ship), yardstick)


def immersed_share(ship: Particulars) -> float:
    """The share of the freeboard that may go under: half with a flush or a well deck, i / f with a
    cockpit, a quarter of an open boat's."""
    length, cockpit = ship.length_overall, ship.service.cockpit_length
    if cockpit >= length:
        return OPEN
    factor = 1.5 if ship.service.waters == "exposed" else 1.0
    return FLUSH * (2 * length - factor * cockpit) / (2 * length)


def most_heel(ship: Particulars) -> float:
    """The heel (rad) that she may take: the one that immerses the share, and never more than 14
    degrees."""
    heel = immersing_heel(ship, immersed_share(ship))
    return min(MOST_HEEL, inf if isnan(heel) else heel)


def _crowd(ship: Particulars) -> Verdict:
    service = ship.service
    if not service.passengers:
        if service.kind != "passenger":
            return CROWD.not_applicable("she carries no passengers")
        return CROWD.not_known("give passengers, the number of persons other than crew")
    told = service.passenger_deck_breadth
    breadth = ship.breadth if told is None else told
    mass = service.passengers * (service.passenger_mass or PASSENGER)
    note = (
        "reckoned with the hull's whole breadth; give passenger_deck_breadth_m, how far across "
        "passengers can go, if that is less"
        if told is None
        else ""
    )
    helps = "carry fewer passengers, lower her weights or give her more freeboard"
    return _heeled(CROWD, ship, mass * breadth / 6, helps, note)


def _wind(ship: Particulars) -> Verdict:
    profile, waters = ship.profile, ship.service.waters
    if not profile.area_above > 0:
        return WIND.not_applicable(NO_WINDAGE)
    moment = PRESSURE[waters] * profile.area_above * profile.centre_above
    helps = "take off windage, lower her weights or give her more freeboard"
    return _heeled(WIND, ship, moment, helps, f"in {waters} waters")


def _heeled(clause: Clause, ship: Particulars, moment: float, helps: str, note: str) -> Verdict:
    """The heel under a moment (kg m)."""
    name = "crowd" if clause is CROWD else "wind"
    lever = Lever(name, moment / ship.mass, 1)
    return heel_at_most(clause, ship, lever, most_heel(ship), helps, note, deck_tells=True)


def _outside(ship: Particulars) -> str:
    service = ship.service
    if service.kind != "passenger":
        return "it speaks of passenger vessels; kind in [service] says what she is"
    if service.propulsion == "sail":
        return "vessels under sail have rules of their own, 46 CFR 178.325"
    if ship.length_overall > LENGTH:
        return f"she is {ship.length_overall:.2f} m long, and it speaks of no more than 19.81 m"
    if service.passengers > PASSENGERS:
        return f"she carries {service.passengers} passengers, and it speaks of no more than 150"
    return ""
