"""The floating ships in every 3D viewport."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import Any

import bpy
import numpy as np
from bpy.app.handlers import persistent
from numpy.typing import NDArray

from ..scene import session
from ..scene.members import hull_at_hand
from ..scene.names import PROPERTY, Look
from .lengths import Lengths
from .painter import ChartWanted, Painter, Scenery, Ship, ship_at
from .panel import ChartDrawing
from .project import View
from .shapes import Show

Array = NDArray[np.float64]


class Overlay:
    """A painter hung into the viewports; `charts` are those on the screen, by their regions."""

    def __init__(self) -> None:
        self.painter = Painter()
        self.charts: dict[int, ChartDrawing | None] = {}
        self.handles: list[Any] = []

    def install(self) -> None:
        """Draw from now on; once, however often it is called."""
        self.uninstall()
        for draw, when in ((self._world, "POST_VIEW"), (self._screen, "POST_PIXEL")):
            handle = bpy.types.SpaceView3D.draw_handler_add(draw, (), "WINDOW", when)
            self.handles.append(handle)

    def uninstall(self) -> None:
        """Draw no more, and drop what was kept."""
        while self.handles:
            bpy.types.SpaceView3D.draw_handler_remove(self.handles.pop(), "WINDOW")
        self.forget()

    def forget(self) -> None:
        """Drop what was kept."""
        self.painter.forget()
        self.charts.clear()

    def _world(self) -> None:
        context = bpy.context
        scenery = scenery_of(context)
        self.painter.keep_only({entry.uid for entry in session.entries()})
        if scenery is not None:
            eye = context.region_data
            self.painter.world(scenery, _doubles(eye.view_matrix), _doubles(eye.window_matrix))

    def _screen(self) -> None:
        context = bpy.context
        scenery, region = scenery_of(context), context.region
        self.charts.pop(region.as_pointer(), None)
        if scenery is not None:
            camera = _doubles(context.region_data.perspective_matrix)
            view = View(camera, region.width, region.height)
            free = free_part(context.area, region)
            self.charts[region.as_pointer()] = self.painter.screen(scenery, view, *free)


def scenery_of(context: Any) -> Scenery | None:
    """What the region at hand has to show; None where there is nothing to draw."""
    settings = getattr(context.scene, PROPERTY, None)
    space = context.space_data
    if settings is None or context.region_data is None:
        return None
    if not (settings.show_overlay and space.overlay.show_overlays):
        return None
    distance = settings.twin_distance if settings.look == Look.WATER_LEVEL else None
    ships = tuple(_ships(context, settings, distance))
    if not ships:
        return None
    wanted = [field.name for field in fields(Show) if field.name != "weights"]
    return Scenery(
        ships,
        Show(**{name: getattr(settings, f"show_{name}") for name in wanted}),
        Lengths.of(context.scene.unit_settings),
        ground_of(context),
        context.preferences.system.ui_scale,
        settings.marker_scale,
        _chart(context, settings),
    )


def _chart(context: Any, settings: Any) -> ChartWanted | None:
    """The chart of the hull at hand, in one of the four regions of a quad view."""
    if not settings.show_chart or context.region_data != context.space_data.region_3d:
        return None
    entry = session.entry_for(hull_at_hand(context))
    if entry is None or entry.assessment is None:
        return None
    size = entry.assessment.stability.case.hull.length_overall
    return ChartWanted(
        entry.hull_name,
        entry.assessment,
        Lengths.of(context.scene.unit_settings).for_size(size),
        settings.look_heel if settings.use_look_heel else None,
        entry.stale or entry.behind,
        tuple(settings.chart_place),
        settings.chart_size,
    )


def chart_in(region: Any) -> ChartDrawing | None:
    """The chart that is on the screen in a region."""
    return _overlay.charts.get(region.as_pointer()) if region else None


def _ships(context: Any, settings: Any, twin_distance: float | None) -> Iterator[Ship]:
    """Ships whose hull is seen in the region; a twin also stands in for a hidden hull."""
    for entry in session.entries():
        hull = _object(context.scene, entry)
        if hull is None or entry.floating is None:
            continue
        if twin_distance is not None or hull.visible_in_viewport_get(context.space_data):
            heeled = session.at_look_heel(entry, settings)
            yield ship_at(
                entry.uid,
                hull.name,
                heeled.floating if heeled else entry.floating,
                entry.to_world,
                entry.stale or (heeled is not None and entry.behind),
                twin_distance,
                heeled.held.arm if heeled else None,
            )


def _object(scene: Any, entry: session.Entry) -> Any:
    """The hull of an entry, whatever she is called by now; None when not in the scene."""
    hull = scene.objects.get(entry.hull_name)
    if hull is not None and hull.session_uid == entry.uid:
        return hull
    return next((obj for obj in scene.objects if obj.session_uid == entry.uid), None)


def ground_of(context: Any) -> tuple[float, float, float]:
    """The colour behind the scene."""
    shading = context.space_data.shading
    plain = shading.type in {"SOLID", "WIREFRAME"}
    if plain and shading.background_type == "VIEWPORT":
        return tuple(shading.background_color)
    if plain and shading.background_type == "WORLD" and context.scene.world:
        return tuple(context.scene.world.color)
    return tuple(context.preferences.themes[0].view_3d.space.gradients.high_gradient)


def free_part(area: Any, region: Any) -> tuple[Array, Array]:
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


def _doubles(matrix: Any) -> Array:
    return np.array(matrix, dtype=np.float64)


_overlay = Overlay()


@persistent
def _forget(*_: Any) -> None:
    _overlay.forget()


def register() -> None:
    """Hang the overlay into every 3D viewport."""
    _overlay.install()
    if _forget not in bpy.app.handlers.load_post:
        bpy.app.handlers.load_post.append(_forget)


def unregister() -> None:
    """Take it down and drop all it kept."""
    _overlay.uninstall()
    if _forget in bpy.app.handlers.load_post:
        bpy.app.handlers.load_post.remove(_forget)
