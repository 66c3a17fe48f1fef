"""2008 IS Code (resolution MSC.267(85)), part A, 3.1: passenger ships, crowding and turning.

A passenger weighs 75 kg, 1 m above the deck when standing. The text of the code and the heeling
moment of a turn, 0.200 v0^2 / Lwl x displacement x (KG - d/2), are from memory.
"""

from __future__ import annotations

from math import degrees, radians

from ..messages.sentence import Sentence, metres
from ..stability.heeling_levers import Lever
from .clause import Clause
from .criteria_inputs import Particulars
from .gz_clauses import heel_at_most
from .scope import in_scope, too_short
from .verdict import Verdict

TITLE = "2008 IS Code, part A, 3.1"

CROWD = Clause(
    "is-code-3.1.crowd_heel",
    TITLE,
    "3.1.1",
    "Heel with the passengers crowded to one side",
    "deg",
    "at most",
)
TURN = Clause("is-code-3.1.turning_heel", TITLE, "3.1.2", "Heel in a turn", "deg", "at most")

MOST_HEEL = radians(10.0)
PASSENGER = 75.0  # kg
STANDING = 1.0  # m, center of mass of a standing passenger above the deck
TURNING = 0.2
G = 9.81  # m/s2, as in the code


def check(ship: Particulars, yardstick: bool) -> tuple[Verdict, ...]:
    """Heel under a crowd and in a turn, for passenger ships of 24 m and more."""
    outside = too_short(ship)
    if ship.service.kind != "passenger":
        outside = Sentence("the clause is for passenger ships; kind in [service] says what she is")
    return in_scope((_crowding(ship), _turning(ship)), outside, yardstick)


def levers(ship: Particulars) -> tuple[Lever, ...]:
    """The heeling levers of the criterion, as far as their facts are given."""
    told = crowd_lever(ship), turn_lever(ship)
    return tuple(lever for lever in told if lever and lever.upright > 0)


def crowd_lever(ship: Particulars) -> Lever | None:
    """All passengers with their center `crowd_offset` off the centerline; None without that."""
    service = ship.service
    if service.crowd_offset is None:
        return None
    mass = service.passengers * (service.passenger_mass or PASSENGER)
    return Lever("crowd", mass * service.crowd_offset / ship.mass, 1)


def turn_lever(ship: Particulars) -> Lever | None:
    """Turning at service speed; None without that."""
    speed = ship.service.speed
    if speed is None:
        return None
    height = abs(ship.KG - ship.draft / 2)
    return Lever("turn", TURNING * speed**2 / ship.LWL * height / G, 1)


def _crowding(ship: Particulars) -> Verdict:
    service, limit = ship.service, degrees(MOST_HEEL)
    if not service.passengers:
        if service.kind != "passenger":
            return CROWD.not_applicable(Sentence("she carries no passengers"))
        give = Sentence("give passengers, the number of persons other than crew")
        return CROWD.not_known(give, limit)
    lever = crowd_lever(ship)
    if lever is None:
        give = Sentence(
            "give passenger_offset_m, how far off the centreline the middle of the crowd can come"
        )
        return CROWD.not_known(give, limit)
    deck = service.passenger_deck_z
    note = Sentence(
        "their weight belongs among hers, {height} above the deck they stand on",
        height=metres(STANDING, "g"),
    )
    if deck is not None:
        note = Sentence("{note}, at z {z}", note=note, z=metres(deck + STANDING, ".2f"))
    helps = Sentence("carry fewer passengers, keep them nearer the centreline or lower her weights")
    return heel_at_most(CROWD, ship, lever, MOST_HEEL, helps, note)


def _turning(ship: Particulars) -> Verdict:
    lever = turn_lever(ship)
    if lever is None:
        give = Sentence("give speed_m_s, the service speed at which she turns")
        return TURN.not_known(give, degrees(MOST_HEEL))
    helps = Sentence("turn at less speed or lower her weights")
    return heel_at_most(TURN, ship, lever, MOST_HEEL, helps)
