"""What the vessel is checked against: facts of service, published codes, criteria of the user."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

from ...core.criteria.codes import CODES
from ...core.model.service import Service
from ...core.model.user_criteria import CustomCriterion
from ..declare import choice, count, named, names, number
from ..specification import Choice, Part, Unit

KINDS = (
    Choice("cargo", "Cargo", "It carries cargo"),
    Choice("passenger", "Passenger", "It carries passengers"),
    Choice("tug", "Tug", "It tows"),
    Choice("sailing", "Sailing", "It goes under sail"),
    Choice("other", "Other", "None of these"),
)
WATERS = (
    Choice("exposed", "Exposed", "The open sea"),
    Choice("partially protected", "Partially Protected", "Bays and coasts in the lee of land"),
    Choice("protected", "Protected", "Rivers, harbors, lakes"),
)
BILGES = (
    Choice("round", "Round", "Sides turn into the bottom in a curve"),
    Choice("sharp", "Sharp", "Sides meet the bottom in a chine"),
)
PROPULSIONS = (
    Choice("inboard", "Inboard", "An engine inside"),
    Choice("outboard", "Outboard", "An engine on the transom"),
    Choice("manual", "Manual", "Oars or paddles"),
    Choice("sail", "Sail", "Wind"),
)


@dataclass(frozen=True)
class ServiceEntry:
    """The use of the vessel, needed by some criteria"""

    kind: str = choice(
        "Kind of vessel; some codes apply to some kinds only", KINDS, "other", example="passenger"
    )
    waters: str = choice("Where it sails", WATERS, "exposed", example="protected")
    passengers: int = count("People carried other than crew", 0, example=12)
    passenger_mass: float | None = number(
        "Mass per passenger; that of the code unless it is given",
        Unit.MASS,
        None,
        above=0.0,
        zero_is_unset=True,
        example=75.0,
        label="Mass per Passenger",
    )
    passenger_deck_z: float | None = number(
        "Height above the baseline of the passenger deck",
        Unit.LENGTH,
        None,
        zero_is_unset=True,
        example=1.9,
        label="Passenger Deck Height",
    )
    passenger_deck_breadth: float | None = number(
        "Breadth of the passenger deck from side to side",
        Unit.LENGTH,
        None,
        above=0.0,
        zero_is_unset=True,
    )
    passenger_offset: float | None = number(
        "Largest distance of the center of the passengers from the centerline",
        Unit.LENGTH,
        None,
        minimum=0.0,
        zero_is_unset=True,
        core="passenger_offset",
        label="Passenger Offset",
        example=1.1,
    )
    speed: float | None = number(
        "Speed in service, at which it turns",
        Unit.SPEED,
        None,
        minimum=0.0,
        zero_is_unset=True,
        example=5.0,
    )
    load_line_length: float | None = number(
        "Length in the sense of the load line rules",
        Unit.LENGTH,
        None,
        above=0.0,
        zero_is_unset=True,
    )
    bilge: str = choice("Shape of the bilge, on which rolling depends", BILGES, "round")
    bilge_keel_area: float = number(
        "Area of all bilge keels together, which damp rolling", Unit.AREA, 0.0, minimum=0.0
    )
    cockpit_length: float = number(
        "Length of the cockpit that can fill: 0 for a flush or a well deck, the whole "
        "length for an open boat",
        Unit.LENGTH,
        0.0,
        minimum=0.0,
    )
    propulsion: str | None = choice("What drives it", PROPULSIONS, None)
    boat_mass: float | None = number(
        "Mass of the boat without motor and people",
        Unit.MASS,
        None,
        above=0.0,
        zero_is_unset=True,
    )
    motor_mass: float | None = number(
        "Mass of motor, controls, battery and portable tank",
        Unit.MASS,
        None,
        minimum=0.0,
        zero_is_unset=True,
    )
    side_load: float | None = number(
        "Mass that can be placed along one side before water gets in",
        Unit.MASS,
        None,
        minimum=0.0,
        zero_is_unset=True,
    )


@dataclass(frozen=True)
class CriteriaEntry:
    """Published codes to check; those that apply to such a vessel unless they are given"""

    codes: tuple[str, ...] | None = names(
        "Keys of the codes",
        None,
        choices=tuple(Choice(code.key, code.title, code.scope) for code in CODES),
        core="",
        example=("is-code-2.2", "46-cfr-170.173"),
    )


GZ, MAXIMUM_GZ, AREA, MOMENT = "GZ", "maximum GZ", "area", "heel under moment"
MEASURES = (
    Choice("GM", "GM", "Metacentric height, corrected for free surfaces", unit=Unit.LENGTH),
    Choice(GZ, "GZ", "Righting lever at a heel", unit=Unit.LENGTH),
    Choice(
        MAXIMUM_GZ,
        "Maximum GZ",
        "The maximum GZ, at a heel or beyond",
        "maximum GZ",
        Unit.LENGTH,
    ),
    Choice(
        "angle of maximum GZ",
        "Angle of Maximum GZ",
        "The heel of the maximum GZ",
        "angle of maximum GZ",
        Unit.ANGLE,
    ),
    Choice(
        AREA,
        "Area under GZ",
        "Area under the GZ curve between two heels, and no further than downflooding",
        unit=Unit.LENGTH_RADIANS,
    ),
    Choice("range", "Range", "The range of positive stability", unit=Unit.ANGLE),
    Choice(
        "angle of vanishing stability",
        "Angle of Vanishing Stability",
        "The heel at which GZ vanishes",
        "angle of vanishing stability",
        Unit.ANGLE,
    ),
    Choice(
        "downflooding angle",
        "Downflooding Angle",
        "The heel at which the first unprotected opening is immersed",
        unit=Unit.ANGLE,
    ),
    Choice(
        "deck-edge immersion angle",
        "Deck-Edge Immersion Angle",
        "The heel at which the deck edge is immersed",
        "deck-edge immersion angle",
        Unit.ANGLE,
    ),
    Choice("freeboard", "Freeboard", "The minimum freeboard", unit=Unit.LENGTH),
    Choice(
        MOMENT,
        "Heel under Moment",
        "The heel under a moment that falls with the cosine of the heel",
        unit=Unit.ANGLE,
    ),
)


@dataclass(frozen=True)
class CriterionEntry:
    """A criterion of the user: a measure of stability and the limits that it keeps"""

    name: str = named("area up to 30 degrees")
    measure: str = choice("What is measured", MEASURES, example=AREA)
    at_least: float | None = number(
        "The minimum that is permitted, in m, m rad or degrees by the measure",
        default=None,
        unit_of="measure",
        core="least",
        example=0.055,
    )
    at_most: float | None = number(
        "The maximum that is permitted, in m, m rad or degrees by the measure",
        default=None,
        unit_of="measure",
        core="most",
    )
    start: float | None = number(
        "The heel from which on it is taken",
        Unit.ANGLE,
        None,
        key="from_deg",
        label="From",
        goes_with=("measure", (MAXIMUM_GZ, AREA)),
        example=0.0,
    )
    end: float | None = number(
        "The heel up to which it is taken",
        Unit.ANGLE,
        None,
        key="to_deg",
        label="To",
        goes_with=("measure", (AREA,)),
        example=radians(30.0),
    )
    at: float | None = number(
        "The heel at which it is taken",
        Unit.ANGLE,
        None,
        goes_with=("measure", (GZ,)),
        core="start",
    )
    moment: float | None = number(
        "Heeling moment, which falls with the cosine of the heel",
        Unit.MOMENT,
        None,
        above=0.0,
        goes_with=("measure", (MOMENT,)),
    )


SERVICE = Part("service", "Service", ServiceEntry, Service)
CRITERIA = Part("criteria", "Criteria", CriteriaEntry)
CRITERION = Part("criterion", "Custom Criterion", CriterionEntry, CustomCriterion)
