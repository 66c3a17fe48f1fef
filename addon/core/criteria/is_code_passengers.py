"""2008 IS Code (resolution MSC.267(85)), part A, 3.1: passenger ships, crowding and turning.

A passenger weighs 75 kg, 1 m above the deck when standing. The text of the code and the heeling
moment of a turn, 0.200 v0^2 / Lwl x displacement x (KG - d/2), are from memory.
"""

from __future__ import annotations

from math import degrees, radians

from ..messages.sentence import Sentence, meters
from ..stability.heeling_levers import Lever
from .clause import Clause
from .criteria_inputs import CriteriaInputs
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

MAX_HEEL = radians(10.0)
"""Heel (rad) at most, 3.1.1 and 3.1.2."""
PASSENGER_MASS = 75.0
"""Mass of a passenger (kg)."""
STANDING_HEIGHT = 1.0
"""Height (m) of a standing passenger's center above the deck."""
TURN_COEFFICIENT = 0.2
"""Coefficient of the heeling moment in a turn, 3.1.2."""
GRAVITY = 9.81
"""Acceleration of gravity (m/s2), as the code has it."""


def check(ship: CriteriaInputs, yardstick: bool) -> tuple[Verdict, ...]:
    """Heel under a crowd and in a turn, for passenger ships of 24 m and more."""
    outside = too_short(ship)
    if ship.service.kind != "passenger":
        outside = Sentence("the clause is for passenger ships; set kind in [service]")
    return in_scope((_crowding(ship), _turning(ship)), outside, yardstick)


def levers(ship: CriteriaInputs) -> tuple[Lever, ...]:
    """The heeling levers of the criterion, as far as their facts are given."""
    levers_given = crowd_lever(ship), turn_lever(ship)
    return tuple(lever for lever in levers_given if lever and lever.upright > 0)


def crowd_lever(ship: CriteriaInputs) -> Lever | None:
    """All passengers with their center `passenger_offset` off the centerline; None without that."""
    service = ship.service
    if service.passenger_offset is None:
        return None
    mass = service.passengers * (service.passenger_mass or PASSENGER_MASS)
    return Lever("crowd", mass * service.passenger_offset / ship.mass, 1)


def turn_lever(ship: CriteriaInputs) -> Lever | None:
    """Turning at service speed; None without that."""
    speed = ship.service.speed
    if speed is None:
        return None
    height = abs(ship.KG - ship.draft / 2)
    return Lever("turn", TURN_COEFFICIENT * speed**2 / ship.LWL * height / GRAVITY, 1)


def _crowding(ship: CriteriaInputs) -> Verdict:
    service, limit = ship.service, degrees(MAX_HEEL)
    if not service.passengers:
        if service.kind != "passenger":
            return CROWD.not_applicable(Sentence("the vessel carries no passengers"))
        give = Sentence("give passengers, the number of persons other than crew")
        return CROWD.not_known(give, limit)
    lever = crowd_lever(ship)
    if lever is None:
        give = Sentence(
            "give passenger_offset_m, how far off the centerline the middle of the crowd can come"
        )
        return CROWD.not_known(give, limit)
    deck = service.passenger_deck_z
    note = Sentence(
        "their weight belongs in the weights of the case, {height} above the deck they stand on",
        height=meters(STANDING_HEIGHT, "g"),
    )
    if deck is not None:
        note = Sentence("{note}, at z {z}", note=note, z=meters(deck + STANDING_HEIGHT, ".2f"))
    helps = Sentence("carry fewer passengers, keep them nearer the centerline or lower weights")
    return heel_at_most(CROWD, ship, lever, MAX_HEEL, helps, note)


def _turning(ship: CriteriaInputs) -> Verdict:
    lever = turn_lever(ship)
    if lever is None:
        give = Sentence("give speed_m_s, the service speed in the turn")
        return TURN.not_known(give, degrees(MAX_HEEL))
    helps = Sentence("turn at less speed or lower weights")
    return heel_at_most(TURN, ship, lever, MAX_HEEL, helps)
