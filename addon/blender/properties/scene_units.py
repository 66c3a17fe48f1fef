"""Lengths and masses of a scene in SI units, and properties of them in the units of a scene."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import bpy

MM = 1e-3
"""Meters in a millimeter."""


def unit_scale(scene: bpy.types.Scene) -> float:
    """Meters in a Blender unit."""
    units = scene.unit_settings
    return 1.0 if units.system == "NONE" else units.scale_length


def scene_mass_unit() -> float:
    """Kilograms in the unit of mass of a scene, which depends on its unit scale."""
    return unit_scale(bpy.context.scene) ** 3


def scene_mass(name: str) -> dict[str, Any]:
    """Options of a property that shows a mass in the units of the scene; the property of that name
    keeps it in kilograms."""
    return {"unit": "MASS", "precision": 5, **_shown_as(name, scene_mass_unit)}


def scene_millimeters(name: str) -> dict[str, Any]:
    """The same for a length that is kept in millimeters."""
    return {"unit": "LENGTH", **_shown_as(name, lambda: unit_scale(bpy.context.scene) / MM)}


def _shown_as(name: str, per_unit: Callable[[], float]) -> dict[str, Any]:
    def get(self: Any) -> float:
        return float(getattr(self, name)) / per_unit()

    def put(self: Any, value: float) -> None:
        setattr(self, name, value * per_unit())

    return {"min": 0.0, "get": get, "set": put, "options": {"SKIP_SAVE"}}
