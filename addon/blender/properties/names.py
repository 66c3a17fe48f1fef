"""Names that a saved file depends on."""

from enum import StrEnum

from ...core.messages.subjects import SubjectKind

PROPERTY = "naval_checks"
"""The one attribute on bpy.types.Object and on bpy.types.Scene."""

BAKED = f"{PROPERTY}_flooding_of"
"""On data of a baked flooding: its hull."""

AUTO = "AUTO"
"""An axis of a hull that is guessed."""


class Role(StrEnum):
    """The role of an object on a vessel."""

    NONE = "NONE"
    HULL = "HULL"
    WEIGHT = "WEIGHT"
    TANK = "TANK"
    OPENING = "OPENING"
    WINDAGE = "WINDAGE"
    BOUNDARY = "BOUNDARY"
    COMPARTMENT = "COMPARTMENT"
    DOOR = "DOOR"
    BREACH = "BREACH"


SUBJECTS: dict[str, SubjectKind] = {
    Role.HULL: "hull",
    Role.WEIGHT: "weight",
    Role.TANK: "tank",
    Role.OPENING: "opening",
    Role.WINDAGE: "windage",
    Role.BOUNDARY: "boundary",
    Role.COMPARTMENT: "compartment",
    Role.DOOR: "door",
    Role.BREACH: "breach",
}
"""The kind of subject in messages, by role."""

AFLOAT = (Role.WEIGHT, Role.TANK, Role.OPENING, Role.WINDAGE)
"""What the floating position is computed from besides the hull."""
WITHIN = (Role.TANK, Role.BOUNDARY, Role.COMPARTMENT, Role.DOOR)
"""What compartments are found from besides the hull."""
PARTS = (*AFLOAT, Role.BOUNDARY, Role.COMPARTMENT, Role.DOOR, Role.BREACH)
"""What belongs to a hull."""

PAIRED = (Role.WEIGHT, Role.TANK, Role.OPENING, Role.COMPARTMENT, Role.DOOR)
"""What has two names if on both sides; a boundary stays one boundary."""


class Basis(StrEnum):
    """How the mass of a weight is distributed."""

    POINT = "POINT"
    SKIN = "SKIN"
    SOLID = "SOLID"


class Loading(StrEnum):
    """How a hull is loaded."""

    AS_MODELED = "AS_MODELED"
    CONDITION = "CONDITION"


class WaterDisplay(StrEnum):
    """How vessel and water are displayed."""

    SHIP_FIXED = "SHIP_FIXED"
    WATER_LEVEL = "WATER_LEVEL"
