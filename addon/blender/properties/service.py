"""What a hull is for and what she is asked to keep: service, codes and criteria of one's own."""

from __future__ import annotations

from math import radians
from typing import Any

import bpy
from bpy.props import (
    BoolProperty,
    EnumProperty,
    FloatProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ...core.criteria.codes import CODES
from ...core.model.service import Service
from ...core.model.user_criteria import MEASURES, OwnRule
from .callbacks import figures_changed

LENGTHS = ("GM", "GZ", "greatest GZ", "freeboard")
AREA = "area"
SPANS = ("GZ", "greatest GZ", AREA)
MOMENT = "heel under moment"

UNKNOWN = "0 while it is not known"


class ServiceSettings(bpy.types.PropertyGroup):
    """What she is for; criteria ask for it."""

    kind: EnumProperty(
        name="Kind",
        description="What she is; codes speak of some kinds only",
        items=(
            ("OTHER", "Other", "None of these"),
            ("CARGO", "Cargo", "She carries cargo"),
            ("PASSENGER", "Passenger", "She carries passengers"),
            ("TUG", "Tug", "She tows"),
            ("SAILING", "Sailing", "She goes under sail"),
        ),
        update=figures_changed,
    )
    waters: EnumProperty(
        name="Waters",
        description="Where she sails",
        items=(
            ("EXPOSED", "Exposed", "The open sea"),
            ("PARTIALLY_PROTECTED", "Partially Protected", "Bays and coasts in the lee of land"),
            ("PROTECTED", "Protected", "Rivers, harbours, lakes"),
        ),
        update=figures_changed,
    )
    passengers: IntProperty(
        name="Passengers",
        description="People carried who may crowd to one side",
        min=0,
        update=figures_changed,
    )
    passenger_mass: FloatProperty(
        name="Each (kg)",
        description="Mass of a passenger in kg, whatever the units of the scene; 0 for what a code "
        "reckons",
        min=0.0,
        soft_max=150.0,
        update=figures_changed,
    )
    passenger_deck_z: FloatProperty(
        name="Deck Height",
        description=f"Height above the baseline of the deck that passengers stand on; {UNKNOWN}",
        unit="LENGTH",
        update=figures_changed,
    )
    passenger_deck_breadth: FloatProperty(
        name="Deck Breadth",
        description=f"How far the passengers' deck reaches from side to side; {UNKNOWN}",
        unit="LENGTH",
        min=0.0,
        update=figures_changed,
    )
    crowd_offset: FloatProperty(
        name="Crowd Offset",
        description=f"How far off the centreline passengers can gather; {UNKNOWN}",
        unit="LENGTH",
        min=0.0,
        update=figures_changed,
    )
    speed: FloatProperty(
        name="Speed",
        description=f"Speed in service, at which she turns; {UNKNOWN}",
        unit="VELOCITY",
        min=0.0,
        update=figures_changed,
    )
    load_line_length: FloatProperty(
        name="Load Line",
        description=f"Length in the sense of the load line rules; {UNKNOWN}",
        unit="LENGTH",
        min=0.0,
        update=figures_changed,
    )
    bilge: EnumProperty(
        name="Bilge",
        description="Shape of her bilge, on which rolling depends",
        items=(
            ("ROUND", "Round", "Sides turn into the bottom in a curve"),
            ("SHARP", "Sharp", "Sides meet the bottom in a chine"),
        ),
        update=figures_changed,
    )
    bilge_keel_area: FloatProperty(
        name="Bilge Keels",
        description="Area of all bilge keels together; they damp her rolling",
        unit="AREA",
        min=0.0,
        update=figures_changed,
    )
    cockpit_length: FloatProperty(
        name="Cockpit",
        description="Length of the cockpit that can fill: 0 for a flush or a well deck, and the "
        "boat's own for an open boat",
        unit="LENGTH",
        min=0.0,
        update=figures_changed,
    )
    propulsion: EnumProperty(
        name="Propulsion",
        description="What drives her",
        items=(
            ("NOT_TOLD", "Not Known", "Nobody has told yet"),
            ("INBOARD", "Inboard", "An engine inside"),
            ("OUTBOARD", "Outboard", "An engine on the transom"),
            ("MANUAL", "Manual", "Oars or paddles"),
            ("SAIL", "Sail", "Wind"),
        ),
        update=figures_changed,
    )
    boat_mass: FloatProperty(
        name="Boat (kg)",
        description="Mass of the boat without engine and people, in kg, whatever the units of the "
        f"scene; {UNKNOWN}",
        min=0.0,
        update=figures_changed,
    )
    motor_mass: FloatProperty(
        name="Motor (kg)",
        description="Mass of motor, controls, battery and portable tank, in kg, whatever the "
        f"units of the scene; {UNKNOWN}",
        min=0.0,
        update=figures_changed,
    )

    side_load: FloatProperty(
        name="Load Aside (kg)",
        description="Mass that can be laid along one side before water comes aboard, in kg, "
        f"whatever the units of the scene; {UNKNOWN}",
        min=0.0,
        update=figures_changed,
    )

    def facts(self, unit: float) -> Service:
        """Facts in SI units, `unit` metres in a Blender unit."""

        def told(value: float, factor: float = 1.0) -> float | None:
            return value * factor if value else None

        words: dict[str, Any] = {
            name: getattr(self, name).lower().replace("_", " ")
            for name in ("kind", "waters", "bilge", "propulsion")
        }
        if words["propulsion"] == "not told":
            words["propulsion"] = None
        return Service(
            **words,
            passengers=self.passengers,
            passenger_mass=told(self.passenger_mass),
            passenger_deck_z=told(self.passenger_deck_z, unit),
            passenger_deck_breadth=told(self.passenger_deck_breadth, unit),
            crowd_offset=told(self.crowd_offset, unit),
            speed=told(self.speed, unit),
            load_line_length=told(self.load_line_length, unit),
            bilge_keel_area=self.bilge_keel_area * unit**2,
            cockpit_length=self.cockpit_length * unit,
            boat_mass=told(self.boat_mass),
            motor_mass=told(self.motor_mass),
            side_load=told(self.side_load),
        )


class LimitSettings(bpy.types.PropertyGroup):
    """A limit, kept in the kind of quantity that a measure has."""

    used: BoolProperty(name="Set", description="Set this limit", update=figures_changed)
    length: FloatProperty(
        name="Limit", description="The limit of the measure", unit="LENGTH", update=figures_changed
    )
    angle: FloatProperty(
        name="Limit",
        description="The limit of the measure",
        subtype="ANGLE",
        update=figures_changed,
    )
    area: FloatProperty(
        name="Limit (m rad)",
        description="The limit of the measure in m rad, whatever the units of the scene",
        precision=4,
        step=0.1,
        update=figures_changed,
    )

    def value(self, measure: str, unit: float) -> float | None:
        """The limit in SI units; None where there is none."""
        if not self.used:
            return None
        return float(getattr(self, kind_of(measure))) * (unit if measure in LENGTHS else 1.0)


def kind_of(measure: str) -> str:
    """'length', 'area' or 'angle'."""
    return "length" if measure in LENGTHS else "area" if measure == AREA else "angle"


def _name_of(measure: str) -> str:
    return measure.upper().replace(" ", "_")


MEASURE_OF = {_name_of(measure): measure for measure in MEASURES}


class RuleSettings(bpy.types.PropertyGroup):
    """A criterion of the user's own."""

    name: StringProperty(
        name="Name", description="What the criterion is called", update=figures_changed
    )
    kind: EnumProperty(
        name="Measure",
        description="What is measured",
        items=[
            (name, measure[0].upper() + measure[1:], f"Limits on: {measure}")
            for name, measure in MEASURE_OF.items()
        ],
        update=figures_changed,
    )
    least: PointerProperty(
        name="At Least", description="The least that is allowed", type=LimitSettings
    )
    most: PointerProperty(
        name="At Most", description="The most that is allowed", type=LimitSettings
    )
    start: FloatProperty(
        name="From",
        description="The heel at which GZ is taken, or from which on",
        subtype="ANGLE",
        update=figures_changed,
    )
    end: FloatProperty(
        name="To",
        description="The heel up to which the area is taken",
        subtype="ANGLE",
        default=radians(30.0),
        update=figures_changed,
    )
    moment: FloatProperty(
        name="Moment (kg m)",
        description="Heeling moment in kg m, whatever the units of the scene; it falls with the "
        "cosine of the heel",
        min=0.0,
        update=figures_changed,
    )

    @property
    def measure(self) -> str:
        """The measure as the core calls it."""
        return MEASURE_OF[self.kind]

    def rule(self, unit: float) -> OwnRule:
        """The criterion in SI units. Raises BadInputError for one that says nothing."""
        measure: Any = self.measure
        return OwnRule(
            self.name,
            measure,
            self.least.value(measure, unit),
            self.most.value(measure, unit),
            self.start if measure in SPANS else None,
            self.end if measure == AREA else None,
            self.moment if measure == MOMENT else None,
        )


FIELD_OF = {
    code.key: "".join(letter if letter.isalnum() else "_" for letter in code.key) for code in CODES
}
"""The switch of each code."""


class CodeSettings(bpy.types.PropertyGroup):
    """Codes chosen to be checked."""

    __annotations__ = {
        FIELD_OF[code.key]: BoolProperty(
            name=code.title, description=code.scope, update=figures_changed
        )
        for code in CODES
    }

    def chosen(self) -> tuple[str, ...]:
        """Keys of the codes that are switched on."""
        return tuple(key for key, field in FIELD_OF.items() if getattr(self, field))


CLASSES = (ServiceSettings, LimitSettings, RuleSettings, CodeSettings)
