"""46 CFR 178.330: the simplified stability proof test of small passenger vessels, computed.

The heeling moment is the greater of that of the passengers, W Bp / 6, and of the wind, P A H. From
memory are the pressures, the share of the freeboard that a flush deck or an open boat may immerse,
the limit of 14 degrees and the exclusion of multihulls. The user gives the condition tested: tanks
three quarters full and all persons on board with their center 0.76 m or more above the deck.
"""

from __future__ import annotations

from math import inf, isnan, radians

from ..messages.sentence import Sentence, joined, meters
from ..stability.heeling_levers import Lever
from .clause import Clause
from .criteria_inputs import CriteriaInputs
from .gz_clauses import heel_at_most
from .measures import NO_WINDAGE, immersing_heel
from .scope import FOOT, IN_SCOPE, ONE_HULL, in_scope
from .verdict import Verdict

TITLE = "46 CFR 178.330"

CROWD = Clause(
    "46-cfr-178.330.crowd_heel",
    TITLE,
    "178.330, Mp",
    "Heel under the passengers' moment",
    "deg",
    "at most",
)
WIND = Clause(
    "46-cfr-178.330.wind_heel",
    TITLE,
    "178.330, Mw",
    "Heel under the wind's moment",
    "deg",
    "at most",
)

MAX_LENGTH = 65 * FOOT
"""Length (m) up to which the test applies: 65 feet."""
MAX_PASSENGERS = 150
"""Passengers up to which the test applies."""
PASSENGER_MASS = 83.9
"""Mass of a passenger (kg): 185 lb, 46 CFR 170.090."""
MAX_HEEL = radians(14.0)
"""Heel (rad) at most."""
PRESSURE = {"exposed": 73.3, "partially protected": 48.8, "protected": 36.6}
"""Wind pressure (kg/m2) by the waters, from memory."""
FLUSH_DECK_SHARE, OPEN_BOAT_SHARE = 0.5, 0.25


def check(ship: CriteriaInputs, yardstick: bool) -> tuple[Verdict, ...]:
    """Heel under crowd and wind, for passenger vessels of no more than 65 feet and 150 persons."""
    return in_scope((_crowd(ship), _wind(ship)), _outside(ship), yardstick)


def immersed_share(ship: CriteriaInputs) -> float:
    """The share of the freeboard that may immerse: half with a flush or a well deck, i / f with a
    cockpit, a quarter for an open boat."""
    length, cockpit = ship.length_overall, ship.service.cockpit_length
    if cockpit >= length:
        return OPEN_BOAT_SHARE
    factor = 1.5 if ship.service.waters == "exposed" else 1.0
    return FLUSH_DECK_SHARE * (2 * length - factor * cockpit) / (2 * length)


def max_heel(ship: CriteriaInputs) -> float:
    """The permissible heel (rad): the one that immerses the share, and never more than 14
    degrees."""
    heel = immersing_heel(ship, immersed_share(ship))
    return min(MAX_HEEL, inf if isnan(heel) else heel)


def levers(ship: CriteriaInputs) -> tuple[Lever, ...]:
    """The heeling levers of the criterion."""
    return tuple(lever for lever in (crowd_lever(ship), wind_lever(ship)) if lever.upright > 0)


def crowd_lever(ship: CriteriaInputs) -> Lever:
    """Mp = W Bp / 6, over the hull's whole breadth unless given."""
    service = ship.service
    given = service.passenger_deck_breadth
    mass = service.passengers * (service.passenger_mass or PASSENGER_MASS)
    return Lever("crowd", mass * (ship.breadth if given is None else given) / 6 / ship.mass, 1)


def wind_lever(ship: CriteriaInputs) -> Lever:
    """Mw = P A H, H above the waterline; none where nothing stands above it."""
    profile = ship.profile
    moment = profile.area_above * profile.center_above if profile.area_above > 0 else 0.0
    return Lever("wind", PRESSURE[ship.service.waters] * moment / ship.mass, 1)


def _crowd(ship: CriteriaInputs) -> Verdict:
    service = ship.service
    if not service.passengers:
        if service.kind != "passenger":
            return CROWD.not_applicable(Sentence("the vessel carries no passengers"))
        give = Sentence("give passengers, the number of persons other than crew")
        return CROWD.not_known(give)
    note = Sentence(
        "computed with the hull's whole breadth; give passenger_deck_breadth_m, how far across "
        "passengers can go, if that is less"
        if service.passenger_deck_breadth is None
        else ""
    )
    helps = Sentence("carry fewer passengers, lower weights or give the vessel more freeboard")
    return _heeled(CROWD, ship, crowd_lever(ship), helps, note)


def _wind(ship: CriteriaInputs) -> Verdict:
    if not ship.profile.area_above > 0:
        return WIND.not_applicable(NO_WINDAGE)
    helps = Sentence("take off windage, lower weights or give the vessel more freeboard")
    note = Sentence("in {waters} waters", waters=ship.service.waters)
    return _heeled(WIND, ship, wind_lever(ship), helps, note)


def _heeled(
    clause: Clause, ship: CriteriaInputs, lever: Lever, helps: Sentence, note: Sentence
) -> Verdict:
    note = joined("{before}; {after}", (note, ONE_HULL))
    return heel_at_most(clause, ship, lever, max_heel(ship), helps, note, needs_deck_edge=True)


def _outside(ship: CriteriaInputs) -> Sentence:
    service = ship.service
    if service.kind != "passenger":
        return Sentence("it applies to passenger vessels; set kind in [service]")
    if service.propulsion == "sail":
        return Sentence("vessels under sail have rules of their own, 46 CFR 178.325")
    if ship.length_overall > MAX_LENGTH:
        return Sentence(
            "the vessel is {length} long, and it applies to no more than {most}",
            length=meters(ship.length_overall, ".2f"),
            most=meters(MAX_LENGTH, ".2f"),
        )
    if service.passengers > MAX_PASSENGERS:
        return Sentence(
            "the vessel carries {count} passengers, and it applies to no more than {most}",
            count=service.passengers,
            most=MAX_PASSENGERS,
        )
    return IN_SCOPE
