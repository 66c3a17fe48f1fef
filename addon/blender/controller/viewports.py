"""The 3D viewports of all windows."""

from __future__ import annotations

import bpy


def redraw() -> None:
    """Have every 3D viewport drawn again."""
    for window in bpy.context.window_manager.windows if bpy.context.window_manager else ():
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()
