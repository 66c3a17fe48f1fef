"""Vessels drawn by the GPU: their shapes in batches, posed by the matrix stack."""

from __future__ import annotations

import logging
from collections.abc import Callable, Container, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

import blf
import gpu
import numpy as np

from ...charts.chart import Chart
from ...charts.floodable_length_chart import FloodableFigures, floodable_length_chart
from ...charts.flooding_chart import FloodingFigures, flooding_chart
from ...charts.gz_chart import gz_chart
from ...charts.gz_figures import gz_figures, judged_figures
from ...charts.layout import lay_out
from ...charts.panel import ChartDrawing, ChartStyle, Spot
from ...core.arrays import Floats
from ...core.criteria.assessment import Assessment
from ...core.damage.subdivision import Subdivision
from ...core.flooding_time.time_to_flood import FloodingHistory
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.stability.both_sides import Stability
from ...drawing.picture import CAPITAL, Label, Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import RGBA
from ...units.lengths import Lengths
from .chart_panel import chart_bounds, chart_spot, text_bounds
from .compartment_renderer import CompartmentRenderer, PosedCompartments
from .dimensions import Dimension
from .floated_copy import level_pose, shaded
from .gpu_batches import batch, clean_state, draw_line, paint, polyline, posed
from .palette import Palette, palette_for
from .projection import Style, View, brief, lines, picture
from .shapes import Drawing, Show, Tone, attitude_of, drawing, finding_marks, readout, water_point

FONT = 0
OUTLINE = 6  # blf's shadow level for an outline
NEARER = 2e-3  # share of the distance to the eye by which lines stand off the hull
MOST_CHARTS = 8
WATERLINE, CASING, BORDER = 2.0, 4.5, 1.4  # widths in pixels at a scale of 1

log = logging.getLogger(__name__)


@dataclass(frozen=True, eq=False)
class Ship:
    """A vessel to draw. `pose` (4, 4) places the hull or its floated copy in the world.

    `arm` (m) is GZ where the vessel is held at a heel, None at rest. Centers of a `moving` one are
    not drawn. `text` are its lines of read-out, the usual one where there are none. `spans` are
    lengths of the vessel to show.
    """

    key: int
    name: str
    floating: FloatingPosition
    to_world: Floats
    pose: Floats
    copy: bool
    stale: bool
    arm: float | None = None
    moving: bool = False
    text: tuple[tuple[str, Tone], ...] = ()
    spans: tuple[Dimension, ...] = ()


def ship_at(
    key: int,
    name: str,
    floating: FloatingPosition,
    to_world: Floats,
    stale: bool = False,
    copy_distance: float | None = None,
    arm: float | None = None,
) -> Ship:
    """A vessel in place, or its floated copy `copy_distance` breadths to port (None: no copy)."""
    if copy_distance is None:
        return Ship(key, name, floating, to_world, to_world, False, stale, arm)
    to_port = copy_distance * floating.case.hull.breadth
    pose = level_pose(to_world, attitude_of(floating), water_point(floating), to_port)
    return Ship(key, name, floating, to_world, pose, True, stale, arm)


@dataclass(frozen=True, eq=False)
class ChartRequest:
    """A chart of a vessel, at a `place` in the free part of a region of `size` usual sizes: its GZ
    curve, the residual one `left` after flooding, the flooding in time `run`, or of the floodable
    length for a `subdivision`, whose compartments have `names`, and of which one boundary is
    `chosen`.

    `at` is the heel (rad), the time (s) or the place (m) inspected; None at rest.
    """

    name: str
    ship: Assessment | None
    lengths: Lengths
    at: float | None = None
    stale: bool = False
    place: tuple[float, float] = (1.0, 0.0)
    size: float = 1.0
    run: FloodingHistory | None = None
    left: Stability | None = None
    subdivision: Subdivision | None = None
    names: tuple[str, ...] = ()
    chosen: str = ""

    @property
    def result(self) -> object:
        """What it is drawn from."""
        return self.subdivision or self.run or self.left or self.ship

    @property
    def chart(self) -> Chart:
        """What the chart shows."""
        if self.subdivision:
            looked = self.names, self.lengths, self.at, self.chosen
            return floodable_length_chart(FloodableFigures.of(self.name, self.subdivision, *looked))
        if self.run:
            run = FloodingFigures.of(self.name, self.run, self.lengths, self.at or 0.0)
            return flooding_chart(run)
        if self.left:
            left = gz_figures(self.name, self.left, self.lengths, shows="still")
            return gz_chart(replace(left, kind="residual GZ"))
        assert self.ship
        return gz_chart(judged_figures(self.name, self.ship, self.lengths, self.at))

    def laid_out(self, spot: Spot, style: ChartStyle) -> ChartDrawing:
        """The chart on its panel."""
        return lay_out(self.chart, spot, style, _text_size)


@dataclass(frozen=True, eq=False)
class Scenery:
    """What a region shows, and how: vessels, over a `ground` color, at the scale of the screen."""

    ships: tuple[Ship, ...]
    show: Show
    lengths: Lengths
    ground: tuple[float, float, float]
    scale: float = 1.0
    mark_scale: float = 1.0
    chart: ChartRequest | None = None
    insides: tuple[PosedCompartments, ...] = ()

    def inside(self, ship: Ship) -> PosedCompartments | None:
        """What is shown inside a vessel."""
        return next((inside for inside in self.insides if inside.key == ship.key), None)

    def style(self, palette: Palette) -> Style:
        """How marks and words are laid out."""
        unit, counted = self.lengths.unit, self.lengths.counted
        return Style(palette, self.scale, self.mark_scale, unit, counted)


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
        rows = brief(self._rows(scenery), words, style, _text_size)
        foot = np.array([low[0], words.bottom])
        with self._surviving("chart", "layout"):
            chart = self._chart(scenery, chart_bounds(foot, high, len(rows), scenery.scale))
        taken = (chart.spot.panel,) if chart else ()
        pictures = list(self._pictures(scenery, camera, taken))
        with self._surviving("read-out", "layout"):
            pictures.append(lines(rows, words, style, _text_size))
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
                    yield picture(drawn, view, style, _text_size, taken)
        ships = {ship.key for ship in scenery.ships}
        for inside in (each for each in scenery.insides if each.key not in ships):
            style = scenery.style(palette_for(scenery.ground, inside.stale))
            with self._surviving(inside.name, "names of compartments"):
                drawn, view = self._insides.drawing(inside), camera.of(inside.pose)
                yield picture(drawn, view, style, _text_size, taken)

    def _show(self, pictures: Sequence[Picture], halo: RGBA, under: Sequence[Box] = ()) -> None:
        """Draw pictures, except labels that begin under some boxes."""
        with self._surviving("marks", "painting"):
            paint([each for laid in pictures for each in laid.primitives])
        for label in (label for laid in pictures for label in laid.labels):
            if any(box.holds(label.at) for box in under):
                continue
            with self._surviving("label", label.text):
                _write(label, halo)

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


def show(lay: Callable[[TextSize], Picture], halo: RGBA) -> None:
    """Draw a picture on the region, laid out by the sizes of its texts."""
    laid = lay(_text_size)
    with clean_state():
        paint(laid.primitives)
    for label in laid.labels:
        _write(label, halo)


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


def _text_size(text: str, size: float) -> tuple[float, float]:
    blf.size(FONT, size)
    return blf.dimensions(FONT, text)[0], CAPITAL * size


def _write(label: Label, halo: RGBA) -> None:
    blf.size(FONT, label.size)
    blf.position(FONT, float(round(label.at[0])), float(round(label.at[1])), 0.0)
    blf.color(FONT, *label.color)
    blf.enable(FONT, blf.SHADOW)
    blf.shadow(FONT, OUTLINE, *halo[:3], halo[3] * label.color[3])
    blf.shadow_offset(FONT, 0, 0)
    blf.draw(FONT, label.text)
    blf.disable(FONT, blf.SHADOW)
