"""Typical masses of equipment and loads: common practice, to use until weighed."""

from __future__ import annotations

from dataclasses import dataclass

from bpy.app.translations import pgettext_data as data_


@dataclass(frozen=True)
class TypicalWeight:
    """A mass (kg) per piece, liter or meter, and the default number of these."""

    name: str
    group: str
    mass: float
    per: str = ""
    amount: float = 1.0


TYPICAL_WEIGHTS = {
    "PERSON": TypicalWeight("Person", "crew", 75.0),
    "OUTBOARD_SMALL": TypicalWeight("Outboard Engine, 4 kW", "machinery", 28.0),
    "OUTBOARD_MIDDLE": TypicalWeight("Outboard Engine, 15 kW", "machinery", 55.0),
    "OUTBOARD_LARGE": TypicalWeight("Outboard Engine, 75 kW", "machinery", 170.0),
    "DIESEL_SMALL": TypicalWeight("Inboard Diesel, 15 kW", "machinery", 130.0),
    "DIESEL_LARGE": TypicalWeight("Inboard Diesel, 60 kW", "machinery", 320.0),
    "BATTERY": TypicalWeight("Battery, 12 V 100 Ah", "machinery", 28.0),
    "ANCHOR": TypicalWeight("Anchor", "outfit", 15.0),
    "CHAIN": TypicalWeight("Anchor Chain, 8 mm", "outfit", 1.4, "m", 40.0),
    "LIFE_RAFT": TypicalWeight("Life Raft, 6 People", "outfit", 40.0),
    "DIESEL": TypicalWeight("Diesel", "consumables", 0.85, "L", 100.0),
    "PETROL": TypicalWeight("Gasoline", "consumables", 0.74, "L", 50.0),
    "WATER": TypicalWeight("Fresh Water", "consumables", 1.0, "L", 100.0),
}
"""All common practice, from memory."""


def label_of(typical: TypicalWeight, amount: float) -> str:
    """'Diesel, 100 L', 'Person × 4'."""
    name = data_(typical.name)
    if typical.per:
        return f"{name}, {amount:g} {typical.per}"
    return name if amount == 1 else f"{name} × {amount:g}"
