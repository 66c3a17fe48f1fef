"""Compartments, the water and the liquids inside vessels, drawn see-through by the GPU."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import gpu
import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import UPRIGHT_UP
from ...core.model.hull import Hull
from ...drawing.tessellation import RGBA, faint
from .compartment_bodies import CompartmentBody, compartment_bodies
from .compartment_shapes import CompartmentState, inner_drawing, shown_bodies
from .floated_copy import lit, see_through
from .gpu_batches import batch, draw_line, polyline, posed
from .painters_order import back_to_front
from .palette import Palette
from .shapes import Drawing
from .vessel_shapes import deck_edge_under

OUTLINE, HATCH, CHOSEN, EDGE = 1.2, 1.0, 2.4, 3.0  # widths in pixels at a scale of 1


@dataclass(frozen=True, eq=False)
class PosedCompartments:
    """What is inside a vessel; `pose` (4, 4) takes ship axes to the world."""

    key: int
    name: str
    within: CompartmentState
    pose: Floats
    stale: bool = False


class _Batches(NamedTuple):
    boundaries: Any
    outline: Any
    hatching: Any


@dataclass(eq=False)
class _Drawn:
    """What was last drawn inside a vessel: its compartments, the see-through bodies in `boxes`
    (n, 2, 3), the shapes, and the batches in the colors `tones`."""

    within: CompartmentState
    compartments: tuple[CompartmentBody, ...]
    bodies: tuple[CompartmentBody, ...]
    boxes: Floats
    drawing: Drawing
    under: Any
    tones: tuple[RGBA, ...] = ()
    batches: list[_Batches] = field(default_factory=list)


class CompartmentRenderer:
    """Draws what is inside vessels. Batches are kept until what they were made from changes."""

    def __init__(self) -> None:
        self._drawn: dict[int, _Drawn] = {}
        self._hulls: dict[int, tuple[Hull, Any]] = {}

    def forget(self) -> None:
        """Drop every batch."""
        self._drawn.clear()
        self._hulls.clear()

    def keep_only(self, keys: Container[int]) -> None:
        """Drop the batches of vessels that are not among `keys`."""
        for kept in (self._drawn, self._hulls):
            for key in [key for key in kept if key not in keys]:
                del kept[key]

    def hull(self, key: int, hull: Hull, model_view: Floats) -> None:
        """Draw a hull see-through, the far sides first."""
        shader = gpu.shader.from_builtin("SMOOTH_COLOR")
        known, made = self._hulls.get(key, (None, None))
        if known is None or known.vertices is not hull.vertices:
            corners, colors = see_through(hull)
            made = batch(shader, "TRIS", pos=corners, color=colors)
            self._hulls[key] = hull, made
        gpu.state.blend_set("ALPHA")
        gpu.state.depth_mask_set(False)
        gpu.state.depth_test_set("LESS_EQUAL")
        with posed(model_view):
            for hidden in ("FRONT", "BACK"):
                gpu.state.face_culling_set(hidden)
                made.draw(shader)
        gpu.state.face_culling_set("NONE")

    def drawing(self, inside: PosedCompartments) -> Drawing:
        """The names of compartments and the flooding paths into those that are not watertight."""
        return self._up_to_date(inside).drawing

    def draw(
        self,
        inside: PosedCompartments,
        palette: Palette,
        scale: float,
        view: Floats,
        projection: Floats,
    ) -> None:
        """Draw the see-through bodies over all that hides them, the farthest first."""
        drawn = self._up_to_date(inside)
        tones = (*palette.compartments, palette.flood, palette.content)
        if drawn.tones != tones:
            drawn.tones, drawn.batches = tones, [_batches(body, palette) for body in drawn.bodies]
        model_view = view @ inside.pose
        gpu.state.blend_set("ALPHA")
        gpu.state.depth_mask_set(False)
        gpu.state.depth_test_set("NONE")
        with posed(model_view):
            for number in back_to_front(drawn.boxes, eye_of(model_view, projection)):
                chosen = drawn.bodies[number].name == inside.within.chosen
                whole = inside.within.levels is None
                _draw(drawn.batches[number], palette, scale, chosen and whole)
            if drawn.under:
                draw_line(drawn.under, "NONE", palette.warning, EDGE * scale)

    def _up_to_date(self, inside: PosedCompartments) -> _Drawn:
        drawn = self._drawn.get(inside.key)
        if drawn is None or not drawn.within.is_like(inside.within):
            drawn = _updated(inside.within, drawn)
            self._drawn[inside.key] = drawn
        return drawn


def eye_of(model_view: Floats, projection: Floats) -> Floats:
    """The eye (4,) in axes that a matrix (4, 4) takes to its own: its place and 1, or without
    perspective the direction towards it and 0."""
    turned, perspective = np.linalg.inv(model_view), projection[3, 3] == 0
    return np.append(turned[:3, 3] if perspective else turned[:3, 2], float(perspective))


def _updated(within: CompartmentState, before: _Drawn | None) -> _Drawn:
    """What is inside a vessel; the compartments are kept while only the water in them changes."""
    kept = before is not None and before.within.plan is within.plan
    compartments = before.compartments if kept else compartment_bodies(within.plan)
    shown = shown_bodies(within, compartments)
    boxes = np.array([body.box for body in shown]).reshape(-1, 2, 3)
    breached = within.levels is not None
    under = deck_edge_under(within.floating) if within.floating and breached else None
    line = batch(polyline(), "LINES", pos=under) if under is not None and len(under) else None
    return _Drawn(within, compartments, shown, boxes, inner_drawing(within), line)


def _batches(body: CompartmentBody, palette: Palette) -> _Batches:
    boundaries = None
    if len(body.faces):
        colors = np.full((len(body.faces), 3, 4), palette.tint(body.tint), np.float32)
        light = lit(body.faces, UPRIGHT_UP)[:, None, None]
        colors[..., :3] = np.minimum(colors[..., :3] * light, 1.0)
        shader = gpu.shader.from_builtin("SMOOTH_COLOR")
        boundaries = batch(shader, "TRIS", pos=body.faces, color=colors)
    lines = (
        batch(polyline(), "LINES", pos=lines) if len(lines) else None
        for lines in (body.outline, body.hatching)
    )
    return _Batches(boundaries, *lines)


def _draw(made: _Batches, palette: Palette, scale: float, chosen: bool) -> None:
    """The far boundaries of a body, the lines on it, and its near boundaries; a chosen one
    stronger."""
    shader = gpu.shader.from_builtin("SMOOTH_COLOR")
    for hidden in ("FRONT", "BACK"):
        if made.boundaries:
            gpu.state.face_culling_set(hidden)
            made.boundaries.draw(shader)
            if chosen:
                made.boundaries.draw(shader)
        if hidden == "FRONT":
            gpu.state.face_culling_set("NONE")
            if made.hatching:
                draw_line(made.hatching, "NONE", faint(palette.warning), HATCH * scale)
            if made.outline:
                width = CHOSEN if chosen else OUTLINE
                color = palette.ink if chosen else palette.partition
                draw_line(made.outline, "NONE", color, width * scale)
    gpu.state.face_culling_set("NONE")
