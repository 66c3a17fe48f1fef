"""Masses of what boats usually carry: common practice, to begin with until the thing is weighed."""

from __future__ import annotations

from dataclasses import dataclass

from bpy.app.translations import pgettext_data as data_


@dataclass(frozen=True)
class UsualWeight:
    """A mass (kg) per piece, litre or metre, and how many of them one usually begins with."""

    name: str
    group: str
    mass: float
    per: str = ""
    amount: float = 1.0


USUAL = {
    "PERSON": UsualWeight("Person", "crew", 75.0),
    "OUTBOARD_SMALL": UsualWeight("Outboard Engine, 4 kW", "machinery", 28.0),
    "OUTBOARD_MIDDLE": UsualWeight("Outboard Engine, 15 kW", "machinery", 55.0),
    "OUTBOARD_LARGE": UsualWeight("Outboard Engine, 75 kW", "machinery", 170.0),
    "DIESEL_SMALL": UsualWeight("Inboard Diesel, 15 kW", "machinery", 130.0),
    "DIESEL_LARGE": UsualWeight("Inboard Diesel, 60 kW", "machinery", 320.0),
    "BATTERY": UsualWeight("Battery, 12 V 100 Ah", "machinery", 28.0),
    "ANCHOR": UsualWeight("Anchor", "outfit", 15.0),
    "CHAIN": UsualWeight("Anchor Chain, 8 mm", "outfit", 1.4, "m", 40.0),
    "LIFE_RAFT": UsualWeight("Life Raft, 6 People", "outfit", 40.0),
    "DIESEL": UsualWeight("Diesel", "consumables", 0.85, "L", 100.0),
    "PETROL": UsualWeight("Petrol", "consumables", 0.74, "L", 50.0),
    "WATER": UsualWeight("Fresh Water", "consumables", 1.0, "L", 100.0),
}
"""All common practice, from memory."""


def label_of(usual: UsualWeight, amount: float) -> str:
    """'Diesel, 100 L', 'Person × 4'."""
    name = data_(usual.name)
    if usual.per:
        return f"{name}, {amount:g} {usual.per}"
    return name if amount == 1 else f"{name} × {amount:g}"
