"""Hull materials and their densities: common practice in early design, from memory."""

from __future__ import annotations

from typing import NamedTuple


class Material(NamedTuple):
    """A name and a density (kg/m3)."""

    name: str
    density: float


MATERIALS = {
    "STEEL": Material("Steel", 7850.0),
    "ALUMINIUM": Material("Aluminium", 2700.0),
    "GRP": Material("GRP", 1600.0),
    "CARBON": Material("Carbon Laminate", 1550.0),
    "FOAM": Material("Foam Core", 80.0),
    "PLYWOOD": Material("Plywood", 600.0),
    "OAK": Material("Oak", 720.0),
    "PINE": Material("Pine", 520.0),
    "TEAK": Material("Teak", 650.0),
    "GLASS": Material("Glass", 2500.0),
    "LEAD": Material("Ballast Lead", 11340.0),
    "IRON": Material("Cast Iron", 7200.0),
    "CONCRETE": Material("Concrete", 2400.0),
}


def areal_density(density: float, thickness: float) -> float:
    """Mass per area of a plate (kg/m2), from its density (kg/m3) and thickness (m)."""
    return density * thickness
