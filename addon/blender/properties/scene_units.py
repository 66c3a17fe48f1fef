"""Lengths and masses of a scene in SI units."""

from __future__ import annotations

import bpy


def unit_scale(scene: bpy.types.Scene) -> float:
    """Meters in a Blender unit."""
    units = scene.unit_settings
    return 1.0 if units.system == "NONE" else units.scale_length


def scene_mass_unit() -> float:
    """Kilograms in the unit of mass of a scene, which depends on its unit scale."""
    return unit_scale(bpy.context.scene) ** 3
