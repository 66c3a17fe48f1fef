"""33 CFR 183, subpart C: what small boats may carry.

Outboard boats: the weight carried, motor included, may be a fifth of the maximum displacement less
the boat's own weight (183.35, from memory). The remainder after the motor is for persons, and where
it is less than 550 lb, no more than 1 / 0.6 of the load along one side that brings water to the
edge (183.41).

Boats for manual propulsion: persons may weigh 90 % of the maximum weight capacity (183.43). That is
three tenths of the maximum displacement less the boat's weight (183.37, from memory and not
confirmed, so no verdict depends on it). The rule for inboard boats (183.33, 183.39) is not
included.

Multihulls are excluded (from memory). The maximum displacement is that in fresh water, 62.4 lb per
cubic foot (from memory).
"""

from __future__ import annotations

from math import floor

from ..messages.sentence import Sentence, joined, kilograms, meters
from .clause import Clause
from .criteria_inputs import CriteriaInputs
from .scope import FOOT, IN_SCOPE, ONE_HULL, in_scope
from .verdict import Verdict

TITLE = "33 CFR 183, subpart C"

POUND = 0.45359237
"""A pound (kg)."""
FRESH_WATER = 62.4 * POUND / FOOT**3
"""Density of fresh water (kg/m3): 62.4 lb per cubic foot."""
MAX_LENGTH = 20 * FOOT
"""Length (m) below which the subpart applies: 20 feet."""
OUTBOARD_SHARE = 0.2
"""Share of the maximum displacement less the boat's mass that may be carried, 183.35."""
MANUAL_SHARE = 0.3
"""The same for manual propulsion, 183.37."""
MANUAL_PERSONS = 0.9
"""Share of the weight capacity that persons may have, 183.43."""
TEST_PERSONS_MASS = 550 * POUND
"""Mass of persons (kg) below which the boat is to be tested: 550 lb, 183.41."""
SIDE_SHARE = 0.6
"""Share of the persons capacity that lies along one side in the test, 183.41."""

NO_SAIL = Sentence("sailing boats are left out of it")
GIVE_BOAT = Sentence("give boat_mass_kg, the mass of the bare boat without motor, gear and persons")
GIVE_MOTOR = Sentence("give motor_mass_kg, the mass of motor, controls, battery and portable tank")
GIVE_SIDE = Sentence(
    "below 550 lb the boat is to be tested; give side_load_kg, what can be laid along one side "
    "before water comes aboard"
)


def check(ship: CriteriaInputs, yardstick: bool) -> tuple[Verdict, ...]:
    """Weight and persons carried, for boats of less than 20 feet other than sailing boats."""
    match ship.service.propulsion:
        case "outboard":
            verdicts = _outboard(ship)
        case "manual":
            verdicts = _manual(ship)
        case "inboard":
            why = "the rule for inboard boats is not included; see 33 CFR 183.33 and 183.39"
            verdicts = _not_known(_clauses("183.33", "183.39"), Sentence(why))
        case "sail":
            verdicts = tuple(
                clause.not_applicable(NO_SAIL) for clause in _clauses("183.31", "183.31")
            )
        case None:
            why = "give propulsion, which is inboard, outboard or manual"
            verdicts = _not_known(_clauses("183.31", "183.31"), Sentence(why))
    return in_scope(verdicts, _outside(ship), yardstick)


def maximum_displacement(ship: CriteriaInputs) -> float:
    """Maximum displacement (kg): fresh water displaced, level, when water is about to come in."""
    return FRESH_WATER * ship.max_displaced_volume


def persons_mass(weight_capacity: float, motor: float, side_load: float | None) -> float | None:
    """Persons capacity (kg) of an outboard boat, 183.41(a); None where the test is required and its
    load (kg) is unknown."""
    left = max(weight_capacity - motor, 0.0)
    if left >= TEST_PERSONS_MASS:
        return left
    return None if side_load is None else min(left, side_load / SIDE_SHARE)


def persons_number(capacity: float) -> int:
    """Whole persons for a persons capacity (kg): (pounds + 32) / 141, rounded to the nearest;
    183.41(b), 183.43(b)."""
    return floor((capacity / POUND + 32) / 141 + 0.5)


def _outboard(ship: CriteriaInputs) -> tuple[Verdict, ...]:
    service = ship.service
    weight, mass, number = clauses = _clauses("183.35", "183.41")
    if service.boat_mass is None:
        return _not_known(clauses, GIVE_BOAT)
    capacity = max(OUTBOARD_SHARE * (maximum_displacement(ship) - service.boat_mass), 0.0)
    given = service.passengers * (service.passenger_mass or 0.0) + (service.motor_mass or 0.0)
    carried = weight.judge(
        capacity,
        max(ship.mass - service.boat_mass, given),
        Sentence("carry less, or give the boat more freeboard"),
        joined("{before}; {after}", (Sentence("the rule is from memory"), ONE_HULL)),
    )
    if service.motor_mass is None:
        return carried, *_not_known((mass, number), GIVE_MOTOR)
    persons = persons_mass(capacity, service.motor_mass, service.side_load)
    if persons is None:
        return carried, *_not_known((mass, number), GIVE_SIDE)
    return carried, *_persons(ship, mass, number, persons)


def _persons(
    ship: CriteriaInputs, mass: Clause, number: Clause, capacity: float
) -> tuple[Verdict, Verdict]:
    service, most = ship.service, persons_number(capacity)
    if not service.passengers:
        words = "give passengers, the number of persons on board; {most} may go"
        give = Sentence(words, most=most)
        return mass.not_known(give, capacity), number.not_known(give, most)
    fewer = Sentence("carry fewer persons")
    if service.passenger_mass is None:
        give = Sentence("give passenger_mass_kg, what a person weighs")
        weighed = mass.not_known(give, capacity)
    else:
        weighed = mass.judge(capacity, service.passengers * service.passenger_mass, fewer)
    return weighed, number.judge(most, service.passengers, fewer)


def _manual(ship: CriteriaInputs) -> tuple[Verdict, ...]:
    weight, mass, number = clauses = _clauses("183.37", "183.43")
    boat = ship.service.boat_mass
    if boat is None:
        return _not_known(clauses, GIVE_BOAT)
    capacity = max(MANUAL_SHARE * (maximum_displacement(ship) - boat), 0.0)
    persons = MANUAL_PERSONS * capacity
    doubt = "183.37 is from memory and not confirmed; by it the boat may carry {most}"
    laden = Sentence("{mass} of persons", mass=kilograms(persons, ".0f"))
    manned = Sentence("{count} persons", count=persons_number(persons))
    return (
        weight.not_known(Sentence(doubt, most=kilograms(capacity, ".0f"))),
        mass.not_known(Sentence(doubt, most=laden)),
        number.not_known(Sentence(doubt, most=manned)),
    )


def _clauses(weight: str, persons: str) -> tuple[Clause, Clause, Clause]:
    return (
        Clause(
            "33-cfr-183.total_mass",
            TITLE,
            weight,
            "Weight of persons, motor and gear",
            "kg",
            "at most",
        ),
        Clause(
            "33-cfr-183.mass_of_persons",
            TITLE,
            f"{persons}(a)",
            "Weight of persons",
            "kg",
            "at most",
        ),
        Clause(
            "33-cfr-183.number_of_persons",
            TITLE,
            f"{persons}(b)",
            "Number of persons",
            "",
            "at most",
        ),
    )


def _not_known(clauses: tuple[Clause, ...], why: Sentence) -> tuple[Verdict, ...]:
    return tuple(clause.not_known(why) for clause in clauses)


def _outside(ship: CriteriaInputs) -> Sentence:
    service = ship.service
    if service.kind == "sailing" or service.propulsion == "sail":
        return NO_SAIL
    if service.kind in ("cargo", "tug"):
        return Sentence("it applies to boats for pleasure")
    if ship.length_overall >= MAX_LENGTH:
        return Sentence(
            "the boat is {length} long, and it applies to less than {limit}",
            length=meters(ship.length_overall, ".2f"),
            limit=meters(MAX_LENGTH, ".2f"),
        )
    return IN_SCOPE
