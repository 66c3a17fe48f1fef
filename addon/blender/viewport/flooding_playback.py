"""A flooding in time as it is played: attitude at a moment, water inside, next event."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import Attitude
from ...core.flooding_time.flooding_events import Event
from ...core.flooding_time.flooding_history import FloodingHistory
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ...core.model.compartment import CompartmentPlan
from ...units.durations import clock
from ...units.lengths import Lengths
from ...units.quantities import Units
from ..properties.names import PROPERTY
from .readout import angle_words, trim_words
from .shapes import Levels, Tone

SPEEDS = (
    0.1,
    0.25,
    0.5,
    1.0,
    2.0,
    5.0,
    10.0,
    15.0,
    30.0,
    60.0,
    120.0,
    300.0,
    600.0,
    1800.0,
    3600.0,
)


@dataclass(frozen=True)
class Pace:
    """How a run lies on a timeline: from frame `start` on, `frames` of them a second of the run."""

    start: float
    frames: float

    def time(self, frame: float) -> float:
        """Seconds of the run at a frame; 0 before its start."""
        return max(frame - self.start, 0.0) / self.frames

    def frame(self, time: float) -> float:
        """The frame at a `time` (s) of the run."""
        return self.start + time * self.frames


def pace_of(scene: Any) -> Pace:
    """How a flooding in time lies on the timeline of a scene."""
    settings, render = getattr(scene, PROPERTY), scene.render
    frames = render.fps / render.fps_base / settings.flooding_speed
    return Pace(settings.flooding_start, frames)


@dataclass(frozen=True, eq=False)
class Moment:
    """The attitude and the water inside at a `time` (s) of a run: the `levels` of the water in
    compartments that have any, and its volume `water` (m3)."""

    time: float
    attitude: Attitude
    levels: Levels
    water: float


def speed_for(seconds: float, played: float) -> float:
    """The least round speed, in seconds of a run per second of playing, at which a run of `seconds`
    is played in at most `played` seconds."""
    return next((speed for speed in SPEEDS if seconds <= played * speed), seconds / played)


def moment(run: FloodingHistory, plan: CompartmentPlan, time: float) -> Moment:
    """A moment of a run, between two steps in proportion; before it the first, after it the last.

    Water that first shows in a step rises from the lowest place of the compartment.
    """
    time = float(np.clip(time, run.times[0], run.times[-1]))
    after = int(np.clip(np.searchsorted(run.times, time), 1, max(len(run.times) - 1, 1)))
    steps = np.array([after - 1, after]) if len(run.times) > 1 else np.zeros(2, int)
    span = float(np.diff(run.times[steps])[0])
    share = (time - float(run.times[steps[0]])) / span if span > 0 else 0.0
    parts = np.array([1.0 - share, share])
    up = parts @ run.ups[steps]
    attitude = Attitude(up / np.linalg.norm(up), float(parts @ run.levels[steps]))
    water = parts @ run.water[steps]
    levels = tuple(
        (name, level)
        for number, name in enumerate(run.compartments)
        for level in _level(run.surfaces[steps, number], parts, plan, name, attitude.up)
        if water[number] > 0
    )
    return Moment(time, attitude, levels, float(water.sum()))


def _level(
    surfaces: Floats, parts: Floats, plan: CompartmentPlan, name: str, up: Floats
) -> Iterator[float]:
    """The level in a compartment between two steps, none where it is dry at both."""
    dry, compartment = np.isnan(surfaces), plan.compartment(name)
    if compartment is not None and not dry.all():
        floor = compartment.body.span(up)[0] if dry.any() else 0.0
        yield float(parts @ np.where(dry, floor, surfaces))


def lying(ship: FloatingPosition, here: Moment) -> FloatingPosition:
    """The floating position at a moment."""
    assert ship.equilibrium
    return replace(
        ship,
        equilibrium=replace(ship.equilibrium, attitude=here.attitude),
    )


def next_event(run: FloodingHistory, time: float) -> Event | None:
    """The first event after a time (s)."""
    return next((event for event in run.events if event.time > time), None)


def run_text(
    name: str, run: FloodingHistory, ship: FloatingPosition, here: Moment, lengths: Lengths
) -> tuple[str, Tone]:
    """One line: attitude at a moment and the next event; a warning once the vessel is lost."""
    parts = [f"at {clock(here.time)}"]
    figures, heel = ship.hydrostatics, here.attitude.heel_rad
    if figures and 0 <= figures.draft_mid <= ship.case.hull.depth:
        parts.append(f"draft {lengths(figures.draft_mid)}")
    parts.append("upright" if abs(heel) <= UPRIGHT_TOLERANCE else f"heel {angle_words(heel)}")
    parts += trim_words(ship, lengths)
    parts.append(f"water {lengths.volume(here.water)}")
    lost = run.lost is not None and here.time >= run.lost
    event = next_event(run, here.time)
    if lost:
        parts.append("lost")
    elif event:
        what = Units(lengths).text(event.what)
        what = what[:1].lower() + what[1:]
        parts.append(f"next: {what} at {clock(event.time)}")
    elif run.settled is not None:
        parts.append("settled")
    return f"{name}: {' · '.join(parts)}", "warning" if lost else "plain"


class PlayedPositions:
    """Floating positions of vessels at a moment of a run, computed once per moment."""

    def __init__(self) -> None:
        self._known: dict[
            int, tuple[FloatingPosition, FloodingHistory, float, FloatingPosition]
        ] = {}

    def forget(self) -> None:
        """Drop what was kept."""
        self._known.clear()

    def at(
        self, key: int, whole: FloatingPosition, run: FloodingHistory, here: Moment
    ) -> FloatingPosition:
        """The floating position of the vessel `key`, `whole` before the run, at a moment of it."""
        known = self._known.get(key)
        if not (known and known[0] is whole and known[1] is run and known[2] == here.time):
            known = self._known[key] = whole, run, here.time, lying(whole, here)
        return known[3]
