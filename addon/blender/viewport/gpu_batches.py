"""Batches for the GPU, its state left as found, and lines and areas drawn with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Literal

import gpu
import numpy as np
from gpu_extras.batch import batch_for_shader
from mathutils import Matrix
from numpy.typing import NDArray

from ...core.arrays import Floats
from ...drawing.tessellation import RGBA, Primitive, triangles


@contextmanager
def clean_state() -> Iterator[None]:
    """Leave depth test, depth mask, blending and culling as they were."""
    depth_test: Any = gpu.state.depth_test_get()
    depth_mask: Any = gpu.state.depth_mask_get()
    blend: Any = gpu.state.blend_get()
    try:
        yield
    finally:
        gpu.state.depth_test_set(depth_test)
        gpu.state.depth_mask_set(depth_mask)
        gpu.state.blend_set(blend)
        gpu.state.face_culling_set("NONE")


@contextmanager
def posed(model_view: Floats) -> Iterator[None]:
    """Draw in axes that a matrix (4, 4) takes to those of the eye."""
    gpu.matrix.push()
    try:
        gpu.matrix.load_matrix(Matrix(model_view.tolist()))
        yield
    finally:
        gpu.matrix.pop()


def polyline() -> Any:
    """The shader of lines that have a width."""
    return gpu.shader.from_builtin("POLYLINE_UNIFORM_COLOR")


def batch(shader: Any, kind: Literal["TRIS", "LINES"], **attributes: NDArray[Any]) -> Any:
    """A batch of attributes (..., 3 or 4): only contiguous single floats are drawn."""
    content: dict[str, Any] = {
        name: np.ascontiguousarray(values.reshape(-1, values.shape[-1]), np.float32)
        for name, values in attributes.items()
    }
    return batch_for_shader(shader, kind, content)


def draw_line(batch: Any, test: Literal["NONE", "LESS_EQUAL"], color: RGBA, width: float) -> None:
    """Every uniform is set, for built-in shaders keep what the last user set."""
    shader = polyline()
    gpu.state.depth_test_set(test)
    shader.uniform_float("viewportSize", gpu.state.viewport_get()[2:])
    shader.uniform_float("lineWidth", width)
    shader.uniform_bool("lineSmooth", True)
    shader.uniform_float("color", color)
    batch.draw(shader)


def paint(primitives: Sequence[Primitive]) -> None:
    """Draw lines and areas on the region."""
    corners, colors = triangles(primitives)
    if len(corners):
        shader = gpu.shader.from_builtin("SMOOTH_COLOR")
        gpu.state.blend_set("ALPHA")
        gpu.state.depth_test_set("NONE")
        batch(shader, "TRIS", pos=corners, color=colors).draw(shader)
