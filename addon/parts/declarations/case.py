"""The whole case: its title, and the tables of its parts."""

from __future__ import annotations

from dataclasses import dataclass

from ..declare import count, table, tables, text
from ..specification import Part, Source
from .assessment import (
    CRITERIA,
    CRITERION,
    SERVICE,
    CriteriaEntry,
    CriterionEntry,
    ServiceEntry,
)
from .loading import CONDITION, TANK, WEIGHT, ConditionEntry, TankEntry, WeightEntry
from .openings import DOOR, OPENING, DoorEntry, OpeningEntry
from .subdivision import BOUNDARY, COMPARTMENT, BoundaryEntry, CompartmentEntry
from .vessel import HULL, WATER, WINDAGE, HullEntry, WaterEntry, WindageEntry

FORMAT = 1
"""The form of case files that is written and read."""


@dataclass(frozen=True)
class CaseEntry:
    """A vessel for naval-checks, in meters and kilograms; ship axes are x forward from the aft
    perpendicular, y to port from the centerline, z up from the baseline"""

    hull: HullEntry = table(HULL)
    format: int = count(
        "The format of this file",
        FORMAT,
        minimum=FORMAT,
        maximum=FORMAT,
        core="",
        source=Source.NOWHERE,
        always=True,
    )
    title: str = text("Name of the vessel", core="")
    weight_list: str = text(
        "CSV file of point weights, one in each row: name, mass_kg, x_m, y_m, z_m, group",
        core="",
        source=Source.NOWHERE,
    )
    water: WaterEntry = table(WATER, WaterEntry())
    weights: tuple[WeightEntry, ...] = tables(WEIGHT)
    tanks: tuple[TankEntry, ...] = tables(TANK)
    openings: tuple[OpeningEntry, ...] = tables(OPENING)
    windage: tuple[WindageEntry, ...] = tables(WINDAGE)
    boundaries: tuple[BoundaryEntry, ...] = tables(BOUNDARY)
    compartments: tuple[CompartmentEntry, ...] = tables(COMPARTMENT)
    doors: tuple[DoorEntry, ...] = tables(DOOR)
    service: ServiceEntry = table(SERVICE, ServiceEntry())
    criteria: CriteriaEntry = table(CRITERIA, CriteriaEntry())
    custom_criteria: tuple[CriterionEntry, ...] = tables(CRITERION)
    conditions: tuple[ConditionEntry, ...] = tables(CONDITION)


CASE = Part("", "Case", CaseEntry)
