"""The 3D viewport under the mouse, and what a line of sight from it strikes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from bpy_extras import view3d_utils
from mathutils import Vector

from ...core.arrays import Floats
from .view import View

MOST_LAYERS = 16


SEEN = {"SOLID", "TEXTURED"}


@dataclass(frozen=True)
class Viewport:
    """A region of a 3D viewport, and how it looks at the scene."""

    area: Any
    region: Any
    eye: Any
    space: Any

    @property
    def view(self) -> View:
        """Its camera, for points of the world."""
        camera = np.array(self.eye.perspective_matrix, dtype=np.float64)
        return View(camera, self.region.width, self.region.height)

    def sight(self, pixel: Floats) -> tuple[Floats, Floats]:
        """Where the line of sight through a pixel (2,) of the region starts, and its direction."""
        at: Any = Vector(pixel.tolist())
        origin = view3d_utils.region_2d_to_origin_3d(self.region, self.eye, at)
        along = view3d_utils.region_2d_to_vector_3d(self.region, self.eye, at)
        return np.array(origin, dtype=np.float64), np.array(along, dtype=np.float64)


def viewport_under(window: Any, x: int, y: int) -> Viewport | None:
    """The part of a 3D viewport under a pixel of the window that no bar or sidebar covers."""
    for area in window.screen.areas if window else ():
        if area.type != "VIEW_3D":
            continue
        under = [each for each in area.regions if _holds(each, x, y)]
        if under and all(each.type == "WINDOW" for each in under):
            return Viewport(area, under[0], under[0].data, area.spaces.active)
    return None


def _holds(region: Any, x: int, y: int) -> bool:
    inside = 0 <= x - region.x < region.width and 0 <= y - region.y < region.height
    return inside and min(region.width, region.height) > 1


def struck(
    context: Any, space: Any, start: Floats, along: Floats, nudge: float
) -> tuple[Floats, Floats] | None:
    """Where a ray first meets a surface that the viewport shows, and the normal there.

    What is drawn as wires or as a box does not block the line.
    """
    depsgraph = context.evaluated_depsgraph_get()
    begin, direction = Vector(start.tolist()), Vector(along.tolist())
    for _ in range(MOST_LAYERS):
        hit, place, normal, _, obj, _ = context.scene.ray_cast(depsgraph, begin, direction)
        if not hit:
            return None
        if obj.display_type in SEEN and (
            space is None or obj.original.visible_in_viewport_get(space)
        ):
            return np.array(place, dtype=np.float64), np.array(normal, dtype=np.float64)
        begin = place + nudge * direction
    return None
