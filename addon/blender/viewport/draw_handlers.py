"""The floating vessels in every 3D viewport."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import bpy
import numpy as np
from bpy.app.handlers import persistent

from ...charts.panel import ChartDrawing
from ...core.arrays import Floats
from ...core.damage.flooding import FloodingResult
from ...core.flooding_time.time_to_flood import FloodingHistory
from ...core.hydrostatics.floating_position import FloatingPosition
from ...drawing.pixel_boxes import Box
from ...units.lengths import Lengths
from ...units.quantities import Units
from ..controller import session, shown_state
from ..properties.names import PROPERTY, Role, WaterDisplay
from ..readers.members import active_hull, is_part
from .compartment_renderer import PosedCompartments
from .compartment_shapes import CompartmentState, flooded_to
from .dimensions import Dimension
from .floodable_span import longest_at, main_compartment_name
from .flooding_playback import Moment, Pace, lying, moment, run_text
from .gpu_renderer import ChartRequest, Renderer, Scenery, Ship, ship_at
from .projection import View
from .shapes import Levels, Show, Tone, readout


class Overlay:
    """Draw handlers of the viewports; `charts` are those on the screen, by their regions."""

    def __init__(self) -> None:
        self.renderer = Renderer()
        self.charts: dict[int, ChartDrawing | None] = {}
        self._lying: dict[
            int, tuple[FloatingPosition, FloodingHistory, float, FloatingPosition]
        ] = {}
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
        self._lying.clear()

    def lying(
        self, key: int, whole: FloatingPosition, run: FloodingHistory, here: Moment
    ) -> FloatingPosition:
        """The floating position at a moment of a run, computed once per moment."""
        known = self._lying.get(key)
        if not (known and known[0] is whole and known[1] is run and known[2] == here.time):
            known = self._lying[key] = whole, run, here.time, lying(whole, here)
        return known[3]

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


def scenery_of(context: Any) -> Scenery | None:
    """What the region at hand has to show; None where there is nothing to draw."""
    settings = getattr(context.scene, PROPERTY, None)
    space = context.space_data
    if settings is None or context.region_data is None:
        return None
    if not (settings.show_overlay and space.overlay.show_overlays):
        return None
    distance = (
        settings.copy_distance if settings.water_display == WaterDisplay.WATER_LEVEL else None
    )
    lengths = Lengths.of(context.scene.unit_settings)
    seen = tuple(_seen(context, settings, distance))
    ships = tuple(
        replace(ship, spans=tuple(_spans(entry, settings, lengths)))
        for entry, state in seen
        if (ship := _ship(entry, state, distance, lengths))
    )
    insides = tuple(_insides(settings, seen, ships, lengths))
    if not (ships or insides):
        return None
    wanted = [field.name for field in fields(Show) if field.name != "weights"]
    return Scenery(
        ships,
        Show(**{name: getattr(settings, f"show_{name}") for name in wanted}),
        lengths,
        ground_of(context),
        context.preferences.system.ui_scale,
        settings.marker_scale,
        _chart(context, settings),
        insides,
    )


def pace_of(scene: Any) -> Pace:
    """How a flooding in time lies on the timeline of a scene."""
    settings, render = getattr(scene, PROPERTY), scene.render
    frames = render.fps / render.fps_base / settings.flooding_speed
    return Pace(settings.flooding_start, frames)


@dataclass(frozen=True, eq=False)
class _State:
    """How a hull is to be drawn: intact, held at a heel, flooded, or at a moment of a run."""

    name: str
    floating: FloatingPosition | None
    stale: bool = False
    arm: float | None = None
    levels: Levels | None = None
    run: FloodingHistory | None = None
    moment: Moment | None = None
    flooded: FloodingResult | None = None

    @property
    def flooded_words(self) -> str:
        """Which compartments are open to the sea."""
        return f"{', '.join(self.flooded.compartments)} flooded" if self.flooded else ""


def _seen(
    context: Any, settings: Any, copy_distance: float | None
) -> Iterator[tuple[session.Entry, _State]]:
    """Hulls seen in the region, and their state; a floated copy also stands for a hidden hull."""
    for entry in session.shown_entries():
        hull = _object(context.scene, entry)
        if hull is None:
            continue
        if copy_distance is not None or hull.visible_in_viewport_get(context.space_data):
            yield entry, _state(context.scene, settings, entry, hull.name)


def _state(scene: Any, settings: Any, entry: session.Entry, name: str) -> _State:
    run, whole = entry.flooding_history, entry.floating
    if settings.play_flooding and run and entry.plan and whole and whole.equilibrium:
        here = moment(run, entry.plan, pace_of(scene).time(scene.frame_current_final))
        floating = _overlay.lying(entry.uid, whole, run, here)
        return _State(name, floating, entry.damage_stale, None, here.levels, run, here)
    flooded = entry.shown_flooding
    if flooded:
        levels = flooded_to(flooded)
        return _State(name, flooded.floating, entry.damage_stale, levels=levels, flooded=flooded)
    heeled = shown_state.at_held_heel(entry, settings)
    if heeled:
        return _State(name, heeled.floating, entry.stale or entry.behind, heeled.held.arm)
    return _State(name, whole, entry.stale)


def _ship(
    entry: session.Entry, state: _State, copy_distance: float | None, lengths: Lengths
) -> Ship | None:
    if state.floating is None:
        return None
    text: tuple[tuple[str, Tone], ...] = ()
    name, lengths = state.name, lengths.for_size(state.floating.case.hull.length_overall)
    if state.run and state.moment:
        text = (run_text(name, state.run, state.floating, state.moment, lengths),)
    elif state.flooded:
        name = f"{name}, {state.flooded_words}"
        usual = readout(state.floating, name, state.stale, lengths)
        why = Units(lengths).text(state.flooded.explanation)
        text = (
            usual,
            (
                why,
                "plain"
                if state.flooded.survives and not state.flooded.margin_line_immersed
                else "warning",
            ),
        )
    ship = ship_at(
        entry.uid,
        state.name,
        state.floating,
        entry.to_world,
        state.stale,
        copy_distance,
        state.arm,
    )
    return replace(ship, moving=state.run is not None, text=text)


def _spans(entry: session.Entry, settings: Any, lengths: Lengths) -> Iterator[Dimension]:
    """The longest compartment at the place inspected on the chart of floodable length."""
    found, place = entry.damage.subdivision, shown_state.inspected_place(entry, settings)
    if settings.show_chart and found and place is not None:
        hull = entry.ship.hull
        yield longest_at(found, hull.tree, place, lengths.for_size(hull.length_overall))


def _insides(
    settings: Any,
    seen: Sequence[tuple[session.Entry, _State]],
    ships: Sequence[Ship],
    lengths: Lengths,
) -> Iterator[PosedCompartments]:
    """What is inside hulls whose compartments are known; a flooding shows the water in any case."""
    poses = {ship.key: ship.pose for ship in ships}
    for entry, state in seen:
        if entry.plan is None or not (settings.show_compartments or state.levels is not None):
            continue
        compartment, small = entry.chosen_compartment, entry.ship.hull.length_overall
        within = CompartmentState(
            entry.plan,
            state.floating,
            state.levels,
            compartment.name if compartment else "",
            settings.show_liquids,
            settings.show_labels,
            lengths.for_size(small),
        )
        pose = poses.get(entry.uid, entry.to_world)
        stale = entry.divided.stale if state.levels is None else state.stale
        yield PosedCompartments(entry.uid, state.name, within, pose, stale)


def _chart(context: Any, settings: Any) -> ChartRequest | None:
    """The chart of the hull at hand, in one of the four regions of a quad view."""
    if not settings.show_chart or context.region_data != context.space_data.region_3d:
        return None
    entry = session.entry_for(active_hull(context))
    if entry is None or entry.floating is None:
        return None
    lengths = Lengths.of(context.scene.unit_settings)
    wanted = ChartRequest(
        entry.hull_name,
        entry.assessment,
        lengths.for_size(entry.floating.case.hull.length_overall),
        settings.held_heel if settings.use_held_heel else None,
        entry.stale or entry.behind,
        tuple(settings.chart_place),
        settings.chart_size,
    )
    state = _state(context.scene, settings, entry, entry.hull_name)
    subdivision = entry.damage.subdivision
    if entry.damage.charted and subdivision:
        active = context.view_layer.objects.active
        wanted = replace(
            wanted,
            subdivision=subdivision,
            names=tuple(
                main_compartment_name(each, entry.plan) for each in subdivision.main_compartments
            ),
            chosen=active.name if is_part(active, Role.BOUNDARY) else "",
            at=shown_state.inspected_place(entry, settings),
            stale=entry.advice_stale,
        )
    elif state.moment:
        wanted = replace(wanted, run=state.run, at=state.moment.time, stale=state.stale)
    elif state.flooded:
        name = f"{entry.hull_name}, {state.flooded_words}"
        left = state.flooded.stability
        wanted = replace(wanted, name=name, ship=None, left=left, stale=state.stale)
    return wanted if wanted.result else None


def chart_in(region: Any) -> ChartDrawing | None:
    """The chart that is on the screen in a region."""
    return _overlay.charts.get(region.as_pointer()) if region else None


def _object(scene: Any, entry: session.Entry) -> Any:
    """The hull of an entry, under its present name; None when not in the scene."""
    hull = scene.objects.get(entry.hull_name)
    if hull is not None and hull.session_uid == entry.uid:
        return hull
    return next((obj for obj in scene.objects if obj.session_uid == entry.uid), None)


def ground_of(context: Any) -> tuple[float, float, float]:
    """The color behind the scene."""
    shading = context.space_data.shading
    plain = shading.type in {"SOLID", "WIREFRAME"}
    if plain and shading.background_type == "VIEWPORT":
        return tuple(shading.background_color)
    if plain and shading.background_type == "WORLD" and context.scene.world:
        return tuple(context.scene.world.color)
    return tuple(context.preferences.themes[0].view_3d.space.gradients.high_gradient)


def free_part(area: Any, region: Any) -> tuple[Floats, Floats]:
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


def redo_panel(area: Any, region: Any) -> Box | None:
    """The panel of the last operation in pixels of a region; None where there is none: a hidden one
    is kept in the corner of the window."""
    for other in area.regions:
        if other.type == "HUD" and other.x > 0 and min(other.width, other.height) > 1:
            left, bottom = other.x - region.x, other.y - region.y
            return Box(left, bottom, left + other.width, bottom + other.height)
    return None


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
