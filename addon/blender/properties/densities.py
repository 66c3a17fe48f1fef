"""Densities of waters and of contents of tanks, and choices that set them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import bpy

from ...core.model.case import FRESH_WATER, SEA_WATER
from .callbacks import Update, figures_changed

OTHER = "OTHER"
WATERS = {"SEA": SEA_WATER, "FRESH": FRESH_WATER, "BRACKISH": 1010.0}
CONTENTS = {**WATERS, "DIESEL": 850.0, "PETROL": 740.0, "LUBRICANT": 900.0}
"""Densities (kg/m3); those of oils and of brackish water are common practice."""
WATER_ITEMS = (
    ("SEA", "Sea Water", f"{SEA_WATER:g} kg/m³"),
    ("FRESH", "Fresh Water", f"{FRESH_WATER:g} kg/m³"),
    ("BRACKISH", "Brackish Water", f"{WATERS['BRACKISH']:g} kg/m³, common practice in estuaries"),
)
CONTENT_ITEMS = (
    *WATER_ITEMS,
    ("DIESEL", "Diesel", f"{CONTENTS['DIESEL']:g} kg/m³, common practice"),
    ("PETROL", "Gasoline", f"{CONTENTS['PETROL']:g} kg/m³, common practice"),
    ("LUBRICANT", "Lubricating Oil", f"{CONTENTS['LUBRICANT']:g} kg/m³, common practice"),
)
OTHER_ITEM = (OTHER, "Custom", "A custom density")


def in_step(choice: str, density: str, known: Mapping[str, float]) -> tuple[Update, Update]:
    """Callbacks that keep a choice of substance and the density of it in step."""
    names = {value: name for name, value in known.items()}

    def chosen(group: Any, context: bpy.types.Context) -> None:
        if getattr(group, choice) in known:
            setattr(group, density, known[getattr(group, choice)])

    def density_changed(group: Any, context: bpy.types.Context) -> None:
        name = names.get(getattr(group, density), OTHER)
        if getattr(group, choice) != name:
            setattr(group, choice, name)
        figures_changed(group, context)

    return chosen, density_changed
