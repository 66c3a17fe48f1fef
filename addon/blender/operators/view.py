"""Turning the 3D view to places."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np
from mathutils import Vector

from ...core.arrays import Floats
from ..readers.members import active_hull

LEAST_VIEW = 0.1
"""Minimum extent shown around a place, in lengths of the hull."""


def turn_view(context: bpy.types.Context, places: Floats) -> None:
    """Center the current 3D view on points (k, 3) in the world and zoom to them."""
    space: Any = context.space_data
    if not len(places) or space is None or space.type != "VIEW_3D":
        return
    low, high = places.min(axis=0), places.max(axis=0)
    hull = active_hull(context)
    least = LEAST_VIEW * max(hull.dimensions[:]) if hull else 1.0
    view = space.region_3d
    if view.view_perspective == "CAMERA":
        view.view_perspective = "PERSP"
    view.view_location = Vector(((low + high) / 2).tolist())
    view.view_distance = 1.5 * max(float(np.linalg.norm(high - low)), least)


def places_of(obj: bpy.types.Object) -> Floats:
    """Corners (8, 3) of the bounding box of an object in the world; its origin for an empty."""
    corners = obj.bound_box if obj.type != "EMPTY" else ((0.0, 0.0, 0.0),)
    return np.array([obj.matrix_world @ Vector(corner) for corner in corners], dtype=np.float64)
