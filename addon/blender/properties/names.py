"""Names that a saved file depends on."""

from enum import StrEnum

from ...core.messages.subjects import SubjectKind

PROPERTY = "naval_checks"
"""The one attribute on bpy.types.Object and on bpy.types.Scene."""

BAKED = f"{PROPERTY}_flooding_of"
"""On what a flooding is baked to: the hull that floods."""

AUTO = "AUTO"
"""An axis of a hull that is guessed."""


class Role(StrEnum):
    """What an object is to a ship."""

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
"""What messages call what has a role."""

AFLOAT = (Role.WEIGHT, Role.TANK, Role.OPENING, Role.WINDAGE)
"""What her figures afloat are computed from beside the hull."""
WITHIN = (Role.TANK, Role.BOUNDARY, Role.COMPARTMENT, Role.DOOR)
"""What her compartments are found from beside the hull."""
PARTS = (*AFLOAT, Role.BOUNDARY, Role.COMPARTMENT, Role.DOOR, Role.BREACH)
"""What belongs to a hull."""

PAIRED = (Role.WEIGHT, Role.TANK, Role.OPENING, Role.COMPARTMENT, Role.DOOR)
"""What has two names where it stands on both sides; a boundary is one boundary then."""


class Basis(StrEnum):
    """Where the mass of a weight sits."""

    POINT = "POINT"
    SKIN = "SKIN"
    SOLID = "SOLID"


class Loading(StrEnum):
    """How a hull is loaded."""

    AS_MODELED = "AS_MODELED"
    CONDITION = "CONDITION"


class WaterDisplay(StrEnum):
    """How ship and water are shown."""

    SHIP_FIXED = "SHIP_FIXED"
    WATER_LEVEL = "WATER_LEVEL"
