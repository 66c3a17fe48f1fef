"""Service of a vessel: facts that criteria need and geometry does not give."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite
from typing import Literal, get_args

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, kilograms, meters, square_meters
from .names import check_known

VesselKind = Literal["cargo", "passenger", "tug", "sailing", "other"]
Waters = Literal["exposed", "partially protected", "protected"]
Bilge = Literal["round", "sharp"]
Propulsion = Literal["inboard", "outboard", "manual", "sail"]
Fact = tuple[str, float | None, Callable[[float, str], object]]
"""What a number is of, the number, and how it is written with its unit."""


@dataclass(frozen=True)
class Service:
    """Facts of service, SI units; None where not given. Raises BadInputError for an impossible one.

    `passengers` are persons other than crew, zero where not given, each of `passenger_mass`; the
    mass in the code when None. They stand on a deck at height `passenger_deck_z` with the breadth
    `passenger_deck_breadth`, and the center of a crowd can be `passenger_offset` off the
    centerline. `cockpit_length` is zero for a flush or a well deck, and the boat's own for an open
    boat. `boat_mass` is that of the bare boat, `motor_mass` that of motor, controls, battery and
    portable tank, and `side_load` what can be laid along one side before water comes aboard.
    """

    kind: VesselKind = "other"
    waters: Waters = "exposed"
    passengers: int = 0
    passenger_mass: float | None = None
    passenger_deck_z: float | None = None
    passenger_deck_breadth: float | None = None
    passenger_offset: float | None = None
    speed: float | None = None
    load_line_length: float | None = None
    bilge: Bilge = "round"
    bilge_keel_area: float = 0.0
    cockpit_length: float = 0.0
    propulsion: Propulsion | None = None
    boat_mass: float | None = None
    motor_mass: float | None = None
    side_load: float | None = None

    def __post_init__(self) -> None:
        check_known("service", "kind", self.kind, get_args(VesselKind))
        check_known("service", "kind of waters", self.waters, get_args(Waters))
        check_known("service", "kind of bilge", self.bilge, get_args(Bilge))
        if self.propulsion is not None:
            check_known("service", "propulsion", self.propulsion, get_args(Propulsion))
        if self.passenger_deck_z is not None and not isfinite(self.passenger_deck_z):
            raise BadInputError(
                Sentence(
                    "service: the height of the passengers' deck is not a number; give it in "
                    "meters above the baseline"
                )
            )
        above_zero: tuple[Fact, ...] = (
            ("mass of a passenger", self.passenger_mass, kilograms),
            ("breadth of the passengers' deck", self.passenger_deck_breadth, meters),
            ("load line length", self.load_line_length, meters),
            ("mass of the bare boat", self.boat_mass, kilograms),
        )
        for what, value, unit in above_zero:
            if value is not None and not (isfinite(value) and value > 0):
                raise BadInputError(
                    Sentence(
                        "service: the {what} is {value}; give one above zero, or leave it out",
                        what=what,
                        value=unit(value, "g"),
                    )
                )
        not_below_zero: tuple[Fact, ...] = (
            ("number of passengers", self.passengers, format),
            ("offset of a crowd", self.passenger_offset, meters),
            ("speed", self.speed, lambda speed, spec: f"{speed:{spec}} m/s"),
            ("area of the bilge keels", self.bilge_keel_area, square_meters),
            ("length of the cockpit", self.cockpit_length, meters),
            ("mass of the motor", self.motor_mass, kilograms),
            ("load along one side", self.side_load, kilograms),
        )
        for what, value, unit in not_below_zero:
            if value is not None and not (isfinite(value) and value >= 0):
                raise BadInputError(
                    Sentence(
                        "service: the {what} is {value}; give zero or more, or leave it out",
                        what=what,
                        value=unit(value, "g"),
                    )
                )
