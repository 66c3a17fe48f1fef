"""What a ship is for: facts that criteria ask for and geometry does not tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Waters = Literal["exposed", "partially protected", "protected"]
Bilge = Literal["round", "sharp"]
Propulsion = Literal["inboard", "outboard", "manual", "sail"]


@dataclass(frozen=True)
class Service:
    """Facts of use, SI units; None where nobody has told.

    `kind` is what she is: cargo, passenger, tug, sailing or other. `crowd_offset` is how far off
    the centreline passengers can gather (m), `passenger_deck_z` the height of the deck they
    stand on. `windage_lift` and others are in metres.
    """

    kind: Literal["cargo", "passenger", "tug", "sailing", "other"] = "other"
    waters: Waters = "exposed"
    passengers: int = 0
    passenger_mass: float = 75.0
    passenger_deck_z: float | None = None
    crowd_offset: float | None = None
    speed: float | None = None
    load_line_length: float | None = None
    bilge: Bilge = "round"
    bilge_keel_area: float = 0.0
    propulsion: Propulsion = "inboard"
    boat_mass: float | None = None
    motor_mass: float = 0.0
