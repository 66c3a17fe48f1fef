"""The parts of a vessel, each declared once: those of a case, and those of a scene alone.

In: nothing but the core's types and words. Out: an entry type and a `Part` of each, which the file
reader, the writer, the JSON Schema, `build_case` and Blender's property groups go by.
"""

from .assessment import CRITERIA, CRITERION, SERVICE, CriteriaEntry, CriterionEntry, ServiceEntry
from .case import CASE, CaseEntry
from .loading import CONDITION, TANK, WEIGHT, ConditionEntry, TankEntry, WeightEntry
from .openings import (
    BREACH,
    DOOR,
    OPENING,
    BreachEntry,
    DoorEntry,
    OpeningEntry,
)
from .subdivision import (
    BOUNDARY,
    COMPARTMENT,
    INFLOW,
    BoundaryEntry,
    CompartmentEntry,
    InflowEntry,
)
from .vessel import HULL, WATER, WINDAGE, HullEntry, WaterEntry, WindageEntry

PARTS = (
    *(HULL, WATER, WEIGHT, TANK, OPENING, WINDAGE, BOUNDARY, COMPARTMENT, DOOR),
    *(SERVICE, CRITERIA, CRITERION, CONDITION),
)
"""The parts that have a table in a case file, in its order."""
SCENE_PARTS = (BREACH, INFLOW)
"""Inputs of flooding in time only, given on the command line and in a scene; a case file has no
table of them."""

__all__ = [
    "BOUNDARY",
    "BREACH",
    "CASE",
    "COMPARTMENT",
    "CONDITION",
    "CRITERIA",
    "CRITERION",
    "DOOR",
    "HULL",
    "INFLOW",
    "OPENING",
    "PARTS",
    "SCENE_PARTS",
    "SERVICE",
    "TANK",
    "WATER",
    "WEIGHT",
    "WINDAGE",
    "BoundaryEntry",
    "BreachEntry",
    "CaseEntry",
    "CompartmentEntry",
    "ConditionEntry",
    "CriteriaEntry",
    "CriterionEntry",
    "DoorEntry",
    "HullEntry",
    "InflowEntry",
    "OpeningEntry",
    "ServiceEntry",
    "TankEntry",
    "WaterEntry",
    "WeightEntry",
    "WindageEntry",
]
