"""The preview of what is about to be dropped, drawn in the 3D viewports meanwhile."""

from __future__ import annotations

from typing import Any

import bpy
import numpy as np

from ...core.arrays import Floats
from ...drawing.pixel_boxes import Box
from .gpu_text import show
from .palette import palette_for
from .preview import DropPreview
from .style import Style
from .view import View
from .viewport_regions import free_part, ground_of


class PreviewLayer:
    """Draws a preview in ship axes, which `to_world` (4, 4) places, in one region at a time."""

    def __init__(self, to_world: Floats) -> None:
        self.to_world = to_world
        self.preview: DropPreview | None = None
        self.region = 0
        self._handle: Any = None

    @property
    def installed(self) -> bool:
        """Whether it is drawn."""
        return self._handle is not None

    def install(self) -> None:
        """Draw from now on; once, however often it is called, and no other any more."""
        uninstall()
        self._handle = bpy.types.SpaceView3D.draw_handler_add(
            self._screen, (), "WINDOW", "POST_PIXEL"
        )
        _layers.append(self)

    def uninstall(self) -> None:
        """Stop drawing."""
        if self.installed:
            _layers.remove(self)
            bpy.types.SpaceView3D.draw_handler_remove(self._handle, "WINDOW")
            self._handle = None

    def _screen(self) -> None:
        context = bpy.context
        region, preview = context.region, self.preview
        if preview is None or region.as_pointer() != self.region:
            return
        camera = np.array(context.region_data.perspective_matrix, dtype=np.float64)
        view = View(camera, region.width, region.height).of(self.to_world)
        palette = palette_for(ground_of(context))
        style = Style(palette, context.preferences.system.ui_scale)
        low, high = free_part(context.area, region)
        bounds = Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        show(lambda text_size: preview.picture(view, style, bounds, text_size), palette.halo)


_layers: list[PreviewLayer] = []


def uninstall() -> bool:
    """Remove every preview; returns whether there was one."""
    removed = bool(_layers)
    for layer in _layers[:]:
        layer.uninstall()
    return removed
