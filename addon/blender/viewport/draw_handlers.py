"""The floating vessels in every 3D viewport."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np
from bpy.app.handlers import persistent

from ...charts.panel import ChartDrawing
from ...core.arrays import Floats
from ..controller import session
from .gpu_renderer import Renderer
from .shown_scenery import played, scenery_of
from .view import View
from .viewport_regions import free_part, redo_panel


class Overlay:
    """Draw handlers of the viewports; `charts` are those on the screen, by their regions."""

    def __init__(self) -> None:
        self.renderer = Renderer()
        self.charts: dict[int, ChartDrawing | None] = {}
        self.handles: list[Any] = []

    def install(self) -> None:
        """Draw from now on; once, however often it is called."""
        self.uninstall()
        for draw, when in ((self._world, "POST_VIEW"), (self._screen, "POST_PIXEL")):
            handle = bpy.types.SpaceView3D.draw_handler_add(draw, (), "WINDOW", when)
            self.handles.append(handle)

    def uninstall(self) -> None:
        """Remove the draw handlers, and drop what was kept."""
        while self.handles:
            bpy.types.SpaceView3D.draw_handler_remove(self.handles.pop(), "WINDOW")
        self.forget()

    def forget(self) -> None:
        """Drop what was kept."""
        self.renderer.forget()
        self.charts.clear()
        played.forget()

    def _world(self) -> None:
        context = bpy.context
        scenery = scenery_of(context)
        self.renderer.keep_only({entry.uid for entry in session.shown_entries()})
        if scenery is not None:
            eye = context.region_data
            self.renderer.world(scenery, _doubles(eye.view_matrix), _doubles(eye.window_matrix))

    def _screen(self) -> None:
        context = bpy.context
        scenery, region = scenery_of(context), context.region
        self.charts.pop(region.as_pointer(), None)
        if scenery is not None:
            camera = _doubles(context.region_data.perspective_matrix)
            view = View(camera, region.width, region.height)
            free = free_part(context.area, region)
            redo = redo_panel(context.area, region)
            self.charts[region.as_pointer()] = self.renderer.screen(scenery, view, *free, redo)


def chart_in(region: Any) -> ChartDrawing | None:
    """The chart that is on the screen in a region."""
    return _overlay.charts.get(region.as_pointer()) if region else None


def _doubles(matrix: Any) -> Floats:
    return np.array(matrix, dtype=np.float64)


_overlay = Overlay()


@persistent
def _forget(*_: Any) -> None:
    _overlay.forget()


def register() -> None:
    """Draw in every 3D viewport from now on."""
    _overlay.install()
    if _forget not in bpy.app.handlers.load_post:
        bpy.app.handlers.load_post.append(_forget)


def unregister() -> None:
    """Stop drawing and drop what was kept."""
    _overlay.uninstall()
    if _forget in bpy.app.handlers.load_post:
        bpy.app.handlers.load_post.remove(_forget)
