"""Scenery painted without a window."""

from __future__ import annotations

import bpy
import numpy as np
import pytest

from addon.blender.viewport.chart_panel import chart_bounds
from addon.blender.viewport.gpu_renderer import Renderer
from addon.blender.viewport.scenery import Scenery
from addon.blender.viewport.shapes import Show
from addon.blender.viewport.view import View
from addon.charts.panel import ChartDrawing

Array = np.ndarray

WIDTH, HEIGHT = 640, 400
DARK, LIGHT = (0.2, 0.2, 0.2), (0.95, 0.95, 0.95)
NOTHING = Show(*[False] * 10)

needs_gpu = pytest.mark.skipif(
    bpy.app.version < (5, 2), reason="Blender draws without a window from 5.2 on (gpu.init)"
)


def camera() -> tuple[Array, Array]:
    """View and projection from over the starboard bow."""
    eye, target = np.array([18.0, -14.0, 9.0]), np.array([5.0, 0.0, 1.0])
    back = (eye - target) / np.linalg.norm(eye - target)
    right = np.cross([0.0, 0.0, 1.0], back)
    right /= np.linalg.norm(right)
    view = np.eye(4)
    view[:3, :3] = [right, np.cross(back, right), back]
    view[:3, 3] = -view[:3, :3] @ eye
    focal, near, far = 1.8, 0.1, 100.0
    projection = np.diag([focal * HEIGHT / WIDTH, focal, (far + near) / (near - far), 0.0])
    projection[2, 3], projection[3, 2] = 2 * far * near / (near - far), -1.0
    return view, projection


def painted(gpu, offscreen, renderer: Renderer, scene: Scenery) -> Array:
    """The scenery over its ground, (HEIGHT, WIDTH, 3) from the bottom, 0 to 1."""
    from mathutils import Matrix

    view, projection = camera()
    pixels = np.array([[2 / WIDTH, 0, 0, -1], [0, 2 / HEIGHT, 0, -1], [0, 0, -1, 0], [0, 0, 0, 1]])
    with offscreen.bind():
        frame = gpu.state.active_framebuffer_get()
        frame.clear(color=(*scene.ground, 1.0), depth=1.0)
        with gpu.matrix.push_pop(), gpu.matrix.push_pop_projection():
            gpu.matrix.load_matrix(Matrix(view))
            gpu.matrix.load_projection_matrix(Matrix(projection))
            renderer.world(scene, view, projection)
            gpu.matrix.load_matrix(Matrix.Identity(4))
            gpu.matrix.load_projection_matrix(Matrix(pixels))
            whole = np.zeros(2), np.array([WIDTH, HEIGHT], float)
            renderer.screen(scene, View(projection @ view, WIDTH, HEIGHT), *whole)
        raw = frame.read_color(0, 0, WIDTH, HEIGHT, 4, 0, "FLOAT")
    return np.asarray(raw, dtype=float).reshape(HEIGHT, WIDTH, 4)[..., :3]


def seen(image: Array, ground: tuple[float, ...]) -> int:
    """Pixels that differ from the ground, the read-out at the bottom left out."""
    return int((np.abs(image[40:] - ground).max(axis=2) > 0.02).sum())


def laid_out(renderer: Renderer, scene: Scenery, width: float = WIDTH) -> ChartDrawing | None:
    """The chart on a region, without the picture."""
    return renderer._chart(
        scene, chart_bounds(np.zeros(2), np.array([width, HEIGHT]), 1, scene.scale)
    )
