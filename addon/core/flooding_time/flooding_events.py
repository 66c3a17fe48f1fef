"""Events of a flooding: what comes about, at which time in a step, and how the vessel is lost."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import Attitude
from ..damage.outcome import MAX_TRIM
from ..geometry.root_finding import find_root
from ..messages.sentence import BOW, STERN, Sentence, millimeters
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA
from ..model.hull import MARGIN_LINE_DEPTH
from .flooded_state import MIN_WATER_SHARE, FloatingVessel
from .flow_network import FlowNetwork
from .tr_bdf2 import Instant, TimeStepper

EventKind = Literal[
    "margin-line",
    "deck-edge",
    "opening",
    "heel-15",
    "heel-30",
    "full",
    "progressive-flooding",
    "settled",
    "lost",
]
Loss = Literal["swamped", "plunges-by-stern", "plunges-by-bow", "capsizes", "sinks", "no-rest"]
EVENT_HEELS: dict[int, EventKind] = {15: "heel-15", 30: "heel-30"}
"""Heels (degrees) that are events."""
EVENT_TIME_SHARE = 1e-5
"""Share of a time step to which an event is located."""


@dataclass(frozen=True)
class Event:
    """Something that comes about at a time (s): `what` says it in words.

    `subject` is the opening that comes under water, or the compartment that fills, is reached by
    water or has the open edge under water. `loss` is how the vessel is lost, where it is.
    """

    time: float
    what: Sentence
    kind: EventKind
    subject: Subject | None = None
    loss: Loss | None = None

    @property
    def key(self) -> tuple[EventKind, Subject | None, Loss | None]:
        """What comes about, whenever it does."""
        return self.kind, self.subject, self.loss


@dataclass(frozen=True)
class EventTrigger:
    """An event, its time yet open, that comes about when a measure of the ship becomes
    positive."""

    event: Event
    measure: Callable[[Instant], float]


def _watch(
    measure: Callable[[Instant], float],
    what: Sentence,
    kind: EventKind,
    subject: Subject | None = None,
    loss: Loss | None = None,
) -> EventTrigger:
    return EventTrigger(Event(0.0, what, kind, subject, loss), measure)


def event_triggers(
    case: Case, network: FlowNetwork, breached: tuple[str, ...], rims: tuple[Floats, ...]
) -> Iterator[EventTrigger]:
    """All possible events, ordered by what leads to others; over open edges `rims` (k, 2, 3) the
    vessel fills an unknown compartment."""
    edge = case.hull.deck_edge
    if len(edge):
        below = millimeters(MARGIN_LINE_DEPTH)
        line = Sentence("Margin line, {below} below the deck edge, under water", below=below)
        yield _watch(partial(_immersion_depth, points=case.hull.margin_line), line, "margin-line")
        yield _watch(
            partial(_immersion_depth, points=edge), Sentence("Deck edge under water"), "deck-edge"
        )
    for opening in case.openings:
        words = Sentence(
            "Opening '{name}' under water, closed weathertight"
            if opening.weathertight
            else "Opening '{name}' under water",
            name=(subject := Subject("opening", opening.name)),
        )
        yield _watch(partial(_immersion_depth, points=opening.points), words, "opening", subject)
    for path in network.paths:
        if path.kind == "gap" and SEA in path.compartments:
            compartment = Subject(
                "compartment", next(name for name in path.compartments if name != SEA)
            )
            words = Sentence(
                "Open edge of compartment '{compartment}' under water", compartment=compartment
            )
            yield _watch(
                partial(_immersion_depth, points=path.points), words, "opening", compartment
            )
    for angle, kind in EVENT_HEELS.items():
        words = Sentence("Heel of {angle} degrees", angle=angle)
        yield _watch(partial(_heel_beyond, angle=angle), words, kind)
    for i, name in enumerate(network.names):
        compartment = Subject("compartment", name)
        words = Sentence("Compartment '{compartment}' is full", compartment=compartment)
        yield _watch(partial(_overfill, network, i), words, "full", compartment)
        if name not in breached:
            words = Sentence("Water reaches compartment '{compartment}'", compartment=compartment)
            yield _watch(
                partial(_head_over_sill, network, i), words, "progressive-flooding", compartment
            )
    if rims:
        points = np.concatenate(rims)
        words = Sentence("Swamped: the hull's open edge is under water, and the hull fills there")
        yield _watch(partial(_immersion_depth, points=points), words, "lost", loss="swamped")
    ends: tuple[tuple[Sentence, int, Loss], ...]
    ends = (STERN, 1, "plunges-by-stern"), (BOW, -1, "plunges-by-bow")
    for end, sign, loss in ends:
        words = Sentence("Plunges by the {end}", end=end)
        yield _watch(partial(_trim_beyond, sign=sign), words, "lost", loss=loss)
    yield _watch(partial(_heel_beyond, angle=90), Sentence("Capsizes"), "lost", loss="capsizes")


def _immersion_depth(instant: Instant, points: Floats) -> float:
    """Depth (m) of the deepest of points (..., 3) below the sea level."""
    return -float(_attitude(instant).heights(points).min())


def _heel_beyond(instant: Instant, angle: float) -> float:
    return abs(_attitude(instant).heel_rad) - float(np.radians(angle))


def _trim_beyond(instant: Instant, sign: int) -> float:
    return sign * _attitude(instant).trim_rad - float(MAX_TRIM)


def _overfill(network: FlowNetwork, compartment: int, instant: Instant) -> float:
    return float(instant.water[compartment] - (1 - MIN_WATER_SHARE) * network.capacity[compartment])


def _head_over_sill(network: FlowNetwork, compartment: int, instant: Instant) -> float:
    """Height of the water beside a compartment above the sill of a path into it (m)."""
    assert instant.state
    return float(network.heads_over_sills(instant.state)[compartment])


def _attitude(instant: Instant) -> Attitude:
    assert instant.state
    return instant.state.attitude


def events_between(
    stepper: TimeStepper, here: Instant, there: Instant, triggers: list[EventTrigger]
) -> tuple[list[Event], Instant]:
    """Events between two moments, in order, and the last moment: the next, or that at which the
    vessel is lost."""
    if there.state is None:
        return [_lost(stepper, there)], there
    seen = [here, there]
    found = [
        replace(trigger.event, time=_event_time(stepper, seen, trigger.measure))
        for trigger in triggers
        if trigger.measure(here) <= 0 < trigger.measure(there)
    ]
    if there.at_rest and not here.at_rest:
        found.append(Event(there.time, Sentence("Settled"), "settled"))
    found.sort(key=lambda event: event.time)
    lost = next((event.time for event in found if event.kind == "lost"), None)
    if lost is None:
        return found, there
    return [event for event in found if event.time <= lost], stepper.interpolated(here, there, lost)


def _event_time(
    stepper: TimeStepper, seen: list[Instant], measure: Callable[[Instant], float]
) -> float:
    """The time (s) at which a measure becomes positive, within a step of which the moments `seen`
    are known, in order. Those computed are inserted there, so that simultaneous events, as in a
    capsize, get one time."""
    here, there = seen[0], seen[-1]
    values = [measure(instant) for instant in seen]
    after = next(i for i, value in enumerate(values) if value > 0)
    low, high = seen[after - 1].time, seen[after].time
    close = EVENT_TIME_SHARE * (there.time - here.time)
    if high - low <= close:
        return high

    def value(time: float) -> float:
        instant = stepper.interpolated(here, there, time)
        insort(seen, instant, key=lambda each: each.time)
        return measure(instant)

    return find_root(value, low, high, values[after - 1], values[after], close)


def _lost(stepper: TimeStepper, last: Instant) -> Event:
    """That the vessel is lost at the last moment, in which it does not float."""
    ship = stepper.solve_state
    if isinstance(ship, FloatingVessel) and ship.sinks(last.water):
        words = Sentence("Sinks: the water in it weighs more than its buoyancy can carry")
        return Event(last.time, words, "lost", loss="sinks")
    words = Sentence("Lost: no equilibrium is left")
    return Event(last.time, words, "lost", loss="no-rest")
