"""Vessels drawn by the GPU: their shapes in batches, posed by the matrix stack."""

from __future__ import annotations

import logging
from collections.abc import Container, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

import gpu
import numpy as np

from ...charts.panel import ChartDrawing, ChartStyle
from ...core.arrays import Floats
from ...drawing.picture import Picture
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import RGBA
from ...units.lengths import Lengths
from .chart_panel import chart_bounds, chart_spot, text_bounds
from .compartment_renderer import CompartmentRenderer
from .drawing_layout import picture
from .floated_copy import shaded
from .gpu_batches import batch, clean_state, draw_line, paint, polyline, posed
from .gpu_text import draw_label, text_size
from .palette import palette_for
from .readout import readout
from .scenery import Scenery, Ship
from .shapes import Drawing
from .text_lines import brief, lines
from .vessel_shapes import drawing, finding_marks
from .view import View

NEARER = 2e-3  # share of the distance to the eye by which lines stand off the hull
MOST_CHARTS = 8
WATERLINE, CASING, BORDER = 2.0, 4.5, 1.4  # widths in pixels at a scale of 1

log = logging.getLogger(__name__)


@dataclass(eq=False)
class _Made:
    """The drawing of a vessel and its batches, with what they were made from."""

    baked: tuple[Any, ...]
    drawing: Drawing
    batches: dict[str, Any] = field(default_factory=dict)
    finding_points: Drawing | None = None


class Renderer:
    """Draws sceneries. Batches of each vessel are kept until what they were made from changes."""

    def __init__(self) -> None:
        self._made: dict[int, _Made] = {}
        self._insides = CompartmentRenderer()
        self._charts: dict[tuple[Any, ...], tuple[object, ChartDrawing]] = {}
        self._reported: set[tuple[str, str]] = set()

    def forget(self) -> None:
        """Drop every batch."""
        self._made.clear()
        self._insides.forget()
        self._charts.clear()
        self._reported.clear()

    def keep_only(self, keys: Container[int]) -> None:
        """Drop the batches of vessels that are not among `keys`."""
        for key in [key for key in self._made if key not in keys]:
            del self._made[key]
        self._insides.keep_only(keys)

    def world(self, scenery: Scenery, view: Floats, projection: Floats) -> None:
        """Draw what lies in space, with the depth of the scene; matrices (4, 4) of the camera."""
        near = view_nearer(view, projection)
        with clean_state():
            for ship in scenery.ships:
                with self._surviving(ship.name, "copy"):
                    self._copy(ship, scenery, view)
            for inside in scenery.insides:
                with self._surviving(inside.name, "compartments"):
                    palette = palette_for(scenery.ground, inside.stale)
                    self._insides.draw(inside, palette, scenery.scale, view, projection)
            for what, draw in (("water", self._water), ("waterline", self._waterline)):
                for ship in scenery.ships:
                    with self._surviving(ship.name, what):
                        draw(ship, scenery, view, near)

    def screen(
        self, scenery: Scenery, camera: View, low: Floats, high: Floats, redo: Box | None = None
    ) -> ChartDrawing | None:
        """Draw marks, texts and the chart on the region; returns the chart, if there is one.

        `low` and `high` (2,) bound the free pixels, on which `redo` is the panel of the last
        operation.
        """
        style, chart = scenery.style(palette_for(scenery.ground)), None
        words = text_bounds(low, high, redo)
        rows = brief(self._rows(scenery), words, style, text_size)
        foot = np.array([low[0], words.bottom])
        with self._surviving("chart", "layout"):
            chart = self._chart(scenery, chart_bounds(foot, high, len(rows), scenery.scale))
        taken = (chart.spot.panel,) if chart else ()
        pictures = list(self._pictures(scenery, camera, taken))
        with self._surviving("read-out", "layout"):
            pictures.append(lines(rows, words, style, text_size))
        with clean_state():
            self._show(pictures, style.palette.halo, taken)
            self._show([chart.picture] if chart else [], style.palette.halo)
        return chart

    def _rows(self, scenery: Scenery) -> Iterator[tuple[str, RGBA]]:
        """The lines of the read-out."""
        for ship in scenery.ships:
            palette = palette_for(scenery.ground, ship.stale)
            with self._surviving(ship.name, "read-out"):
                lengths = _lengths(ship, scenery)
                usual = readout(ship.floating, ship.name, ship.stale, lengths, ship.arm)
                yield from ((text, palette.of(tone)) for text, tone in ship.text or (usual,))

    def _pictures(self, scenery: Scenery, camera: View, taken: Sequence[Box]) -> Iterator[Picture]:
        """Marks and texts of vessels and of what is inside them, clear of the boxes `taken`."""
        for ship in scenery.ships:
            style = scenery.style(palette_for(scenery.ground, ship.stale))
            for what, shapes, pose in (
                ("faults", self._finding_points, ship.to_world),
                ("marks", self._marks, ship.pose),
            ):
                with self._surviving(ship.name, what):
                    drawn, view = shapes(ship, scenery), camera.of(pose)
                    yield picture(drawn, view, style, text_size, taken)
        ships = {ship.key for ship in scenery.ships}
        for inside in (each for each in scenery.insides if each.key not in ships):
            style = scenery.style(palette_for(scenery.ground, inside.stale))
            with self._surviving(inside.name, "names of compartments"):
                drawn, view = self._insides.drawing(inside), camera.of(inside.pose)
                yield picture(drawn, view, style, text_size, taken)

    def _show(self, pictures: Sequence[Picture], halo: RGBA, under: Sequence[Box] = ()) -> None:
        """Draw pictures, except labels that begin under some boxes."""
        with self._surviving("marks", "painting"):
            paint([each for laid in pictures for each in laid.primitives])
        for label in (label for laid in pictures for label in laid.labels):
            if any(box.holds(label.at) for box in under):
                continue
            with self._surviving("label", label.text):
                draw_label(label, halo)

    def _chart(self, scenery: Scenery, bounds: Box) -> ChartDrawing | None:
        """The chart laid out, as long as it stays the same only once."""
        wanted = scenery.chart
        spot = chart_spot(bounds, wanted.place, wanted.size, scenery.scale) if wanted else None
        if wanted is None or spot is None:
            return None
        shown = (id(wanted.result), wanted.name, wanted.lengths, wanted.at, wanted.stale)
        named = wanted.names, wanted.chosen
        baked = (*shown, *named, spot, scenery.ground, scenery.scale)
        if baked not in self._charts:
            if len(self._charts) >= MOST_CHARTS:
                self._charts.clear()
            palette = palette_for(scenery.ground, wanted.stale)
            style = ChartStyle(palette.chart, scenery.scale)
            self._charts[baked] = wanted.result, wanted.laid_out(spot, style)
        return self._charts[baked][1]

    def _make(self, ship: Ship, scenery: Scenery) -> _Made:
        lengths = _lengths(ship, scenery)
        show = scenery.show.with_weights(ship.copy)
        show = show.without_centers() if ship.moving else show
        made = self._made.get(ship.key)
        if made is None or made.baked[0] is not ship.floating or made.baked[1:] != (show, lengths):
            shapes = drawing(ship.floating, show, lengths, ship.arm)
            made = _Made((ship.floating, show, lengths), shapes)
            self._made[ship.key] = made
        return made

    def _marks(self, ship: Ship, scenery: Scenery) -> Drawing:
        shapes, inside = self._make(ship, scenery).drawing, scenery.inside(ship)
        shapes = replace(shapes, dimensions=(*shapes.dimensions, *ship.spans))
        return shapes.with_inner(self._insides.drawing(inside)) if inside else shapes

    def _finding_points(self, ship: Ship, scenery: Scenery) -> Drawing:
        """Faults are shown on the hull as modeled, wherever its copy floats."""
        made = self._make(ship, scenery)
        if made.finding_points is None:
            made.finding_points = Drawing(made.drawing.attitude, marks=finding_marks(ship.floating))
        return made.finding_points

    def _copy(self, ship: Ship, scenery: Scenery, view: Floats) -> None:
        if not ship.copy:
            return
        made = self._make(ship, scenery)
        shader = gpu.shader.from_builtin("SMOOTH_COLOR")
        if scenery.inside(ship):
            self._insides.hull(ship.key, ship.floating.case.hull, view @ ship.pose)
            return
        if "copy" not in made.batches:
            corners, colors = shaded(ship.floating.case.hull, made.drawing.attitude)
            made.batches["copy"] = batch(shader, "TRIS", pos=corners, color=colors)
        gpu.state.blend_set("NONE")
        gpu.state.depth_test_set("LESS_EQUAL")
        gpu.state.depth_mask_set(True)
        with posed(view @ ship.pose):
            made.batches["copy"].draw(shader)

    def _water(self, ship: Ship, scenery: Scenery, view: Floats, near: Floats) -> None:
        made = self._make(ship, scenery)
        water = made.drawing.water
        if water is None:
            return
        palette = palette_for(scenery.ground, ship.stale)
        shader = gpu.shader.from_builtin("UNIFORM_COLOR")
        if "water" not in made.batches:
            made.batches["water"] = batch(shader, "TRIS", pos=water.triangles)
            made.batches["border"] = batch(polyline(), "LINES", pos=water.border)
        gpu.state.blend_set("ALPHA")
        gpu.state.depth_mask_set(False)
        gpu.state.depth_test_set("LESS_EQUAL")
        with posed(view @ ship.pose):
            shader.uniform_float("color", palette.water)
            made.batches["water"].draw(shader)
        with posed(near @ ship.pose):
            border, width = made.batches["border"], BORDER * scenery.scale
            draw_line(border, "NONE", palette.border_behind, width)
            draw_line(border, "LESS_EQUAL", palette.border, width)

    def _waterline(self, ship: Ship, scenery: Scenery, view: Floats, near: Floats) -> None:
        made = self._make(ship, scenery)
        if not len(made.drawing.waterline):
            return
        palette, scale = palette_for(scenery.ground, ship.stale), scenery.scale
        if "waterline" not in made.batches:
            made.batches["waterline"] = batch(polyline(), "LINES", pos=made.drawing.waterline)
        line = made.batches["waterline"]
        gpu.state.blend_set("ALPHA")
        gpu.state.depth_mask_set(False)
        with posed(near @ ship.pose):
            draw_line(line, "LESS_EQUAL", palette.waterline_casing, CASING * scale)
            draw_line(line, "NONE", palette.waterline_behind, WATERLINE * scale)
            draw_line(line, "LESS_EQUAL", palette.waterline, WATERLINE * scale)

    @contextmanager
    def _surviving(self, whose: str, what: str) -> Iterator[None]:
        """Let one element fail without the others; report it once."""
        try:
            yield
        except Exception:
            if (whose, what) not in self._reported:
                self._reported.add((whose, what))
                log.exception("%s: %s cannot be drawn", whose, what)


def view_nearer(view: Floats, projection: Floats) -> Floats:
    """The view (4, 4) with everything a little nearer the eye, at the same place on the screen."""
    near = np.eye(4)
    if projection[3, 3] == 0:
        near[:3, :3] *= 1 - NEARER
    else:
        near[2, 3] = 2 * NEARER / abs(projection[1, 1])
    return near @ view


def _lengths(ship: Ship, scenery: Scenery) -> Lengths:
    return scenery.lengths.for_size(ship.floating.case.hull.length_overall)
