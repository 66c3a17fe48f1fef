"""What a region has to show, by the session and the settings of the scene."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from ...core.damage.flooding_result import FloodingResult
from ...core.flooding_time.flooding_history import FloodingHistory
from ...core.hydrostatics.floating_position import FloatingPosition
from ...units.lengths import Lengths
from ...units.quantities import Units
from ..controller import session, shown_state
from ..properties.names import PROPERTY, Role, WaterDisplay
from ..readers.members import active_hull, is_part
from .chart_request import ChartRequest
from .compartment_renderer import PosedCompartments
from .compartment_shapes import CompartmentState, flooded_to
from .dimensions import Dimension
from .floodable_span import longest_at, main_compartment_name
from .flooding_playback import Moment, PlayedPositions, moment, pace_of, run_text
from .readout import readout
from .scenery import Scenery, Ship, ship_at
from .shapes import Levels, Show, Tone
from .viewport_regions import ground_of

played = PlayedPositions()
"""Of the vessels in the viewports."""


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
        floating = played.at(entry.uid, whole, run, here)
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


def _object(scene: Any, entry: session.Entry) -> Any:
    """The hull of an entry, under its present name; None when not in the scene."""
    hull = scene.objects.get(entry.hull_name)
    if hull is not None and hull.session_uid == entry.uid:
        return hull
    return next((obj for obj in scene.objects if obj.session_uid == entry.uid), None)
