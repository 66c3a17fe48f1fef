"""Regions of 3D viewports: what lies behind the scene, and which part of them is free."""

from __future__ import annotations

from typing import Any

import numpy as np

from ...core.arrays import Floats
from ...drawing.pixel_boxes import Box


def ground_of(context: Any) -> tuple[float, float, float]:
    """The color behind the scene."""
    shading = context.space_data.shading
    plain = shading.type in {"SOLID", "WIREFRAME"}
    if plain and shading.background_type == "VIEWPORT":
        return tuple(shading.background_color)
    if plain and shading.background_type == "WORLD" and context.scene.world:
        return tuple(context.scene.world.color)
    return tuple(context.preferences.themes[0].view_3d.space.gradients.high_gradient)


def free_part(area: Any, region: Any) -> tuple[Floats, Floats]:
    """Corners (2,) of the part of a region, in its pixels, that bars and sidebars leave free."""
    low, high = np.zeros(2), np.array([region.width, region.height], np.float64)
    for other in area.regions:
        if other.type == "WINDOW" or min(other.width, other.height) <= 1:
            continue
        if other.alignment == "LEFT":
            low[0] = max(low[0], other.x + other.width - region.x)
        elif other.alignment == "RIGHT":
            high[0] = min(high[0], other.x - region.x)
        elif other.alignment == "BOTTOM":
            low[1] = max(low[1], other.y + other.height - region.y)
        elif other.alignment == "TOP":
            high[1] = min(high[1], other.y - region.y)
    return low, high


def redo_panel(area: Any, region: Any) -> Box | None:
    """The panel of the last operation in pixels of a region; None where there is none: a hidden one
    is kept in the corner of the window."""
    for other in area.regions:
        if other.type == "HUD" and other.x > 0 and min(other.width, other.height) > 1:
            left, bottom = other.x - region.x, other.y - region.y
            return Box(left, bottom, left + other.width, bottom + other.height)
    return None
