"""Time to flood: water, attitude and events over time after a breach.

Quasi-static in calm water: at each instant the vessel is in equilibrium with the water that has
come in, which is weight on board with level surfaces of its own; neither rolling nor sloshing is
modeled. Flow follows the orifice law (`orifice`), integrated step by step (`steps`).
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import Attitude
from ..damage.flooding import damaged, float_before
from ..damage.flooding_paths import (
    Breach,
    FloodingPath,
    breach_paths,
    find_flooding_paths,
    opening_paths,
    openings_without_area,
    reachable_compartments,
)
from ..damage.outcome import MAX_TRIM
from ..geometry.root_finding import find_root
from ..hydrostatics.floating_position import FloatingPosition
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import BOW, STERN, Sentence, meters, millimeters
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA, CompartmentPlan
from ..model.hull import MARGIN_LINE_DEPTH
from ..model.names import check_known
from .flooded_state import (
    MIN_WATER_SHARE,
    FixedVessel,
    FloatingVessel,
    FloodableCompartment,
    FloodedState,
    StateSolver,
)
from .flow_network import FlowNetwork, Pump
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

DAY = 86400.0
"""A day (s), after which a run ends."""
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
class FloodingHistory:
    """The course of a flooding. At `times` (n,) in s the vessel has attitude `ups` (n, 3) and the
    sea level `levels` (n,) along it; `compartments` (k) hold `water` (n, k) m3 with the surface at
    `surfaces` (n, k) along up, NaN where dry. `passed` (n, m) is the volume through each of `paths`
    (m) from the first of its two sides to the second (m3).

    `settled` is the time at which nothing changes any more and `lost` that at which the vessel
    sinks, capsizes, stands on end or fills over an open edge behind which no compartment is known
    (s), None where not reached.
    """

    case: Case
    compartments: tuple[str, ...]
    times: Floats
    ups: Floats
    levels: Floats
    water: Floats
    surfaces: Floats
    paths: tuple[FloodingPath, ...]
    passed: Floats
    events: tuple[Event, ...]
    settled: float | None
    lost: float | None
    findings: tuple[Finding, ...]


def simulate_flooding(
    case: Case,
    plan: CompartmentPlan,
    compartment: str | tuple[str, ...],
    breach: Breach | str,
    trapped: tuple[str, ...] = (),
    pumps: tuple[Pump, ...] = (),
    until: float = DAY,
    fixed_attitude: bool = False,
    tolerance: float = 1e-6,
    on_progress: Callable[[float], None] | None = None,
) -> FloodingHistory:
    """Flooding over time through a breach into one or several compartments, until nothing changes,
    the vessel is lost or the time `until` (s) is reached.

    `breach` may be the name of an opening, left open. `trapped` names compartments that keep their
    air, all others are vented; those that the case has as flooded are one with the sea. With
    `fixed_attitude` the vessel keeps its attitude. A tank with the name of a compartment is that
    compartment with so much in it, counted as floodwater. The error of a step is at most a share
    `tolerance` of a compartment; `on_progress` receives each time. Raises BadInputError for unknown
    names, a breach away from the compartment or the hull surface or out of the water, a pump
    without a rate, a vessel that does not float, and a run of too many steps.
    """
    compartments = (compartment,) if isinstance(compartment, str) else compartment
    _check(case, plan, compartments, trapped, pumps)
    case = damaged(case, plan, ())
    paths = [
        path.with_sea_merged(case.flooded) for path in _paths(case, plan, compartments, breach)
    ]
    floating = _float_intact(case)
    reached = reachable_compartments(paths) | {pump.compartment for pump in pumps}
    nodes = tuple(FloodableCompartment(each) for each in plan.compartments if each.name in reached)
    paths = [
        path
        for path in paths
        if path.compartments[0] != path.compartments[1] and reached & set(path.compartments)
    ]
    network = FlowNetwork(
        nodes, tuple(paths), _initial_water(case, nodes), case.water_density, pumps, trapped
    )
    ship = _state_solver(case, floating, nodes, fixed_attitude)
    state = ship(network.start, None)
    if state is None:
        words = "{ship}: there is no equilibrium before the breach"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    stepper = TimeStepper(network, ship, tolerance)
    here = stepper.begin(state)
    if not here.rates.any():
        raise BadInputError(_nothing_flows(paths[0], state))
    rims = () if plan.covers_hull_openings else case.hull.rims
    triggers = [*_event_triggers(case, network, compartments, rims)]
    instants = [here]
    events = [each.event for each in triggers if each.measure(here) > 0]
    for there in stepper.steps(here, until):
        if on_progress:
            on_progress(there.time)
        known = {event.key for event in events}
        ahead = [each for each in triggers if each.event.key not in known]
        found, here = _events_between(stepper, here, there, ahead)
        events += found
        instants.append(here)
        if any(event.kind == "lost" for event in found):
            break
    return _history(case, network, compartments, instants, events)


@dataclass(frozen=True)
class _EventTrigger:
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
) -> _EventTrigger:
    return _EventTrigger(Event(0.0, what, kind, subject, loss), measure)


def _event_triggers(
    case: Case, network: FlowNetwork, breached: tuple[str, ...], rims: tuple[Floats, ...]
) -> Iterator[_EventTrigger]:
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


def _events_between(
    stepper: TimeStepper, here: Instant, there: Instant, triggers: list[_EventTrigger]
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


def _history(
    case: Case,
    network: FlowNetwork,
    breached: tuple[str, ...],
    instants: list[Instant],
    events: list[Event],
) -> FloodingHistory:
    """The run as arrays, for the compartments that take water."""
    states = [instant.state or instants[-2].state for instant in instants]
    water = np.array([instant.water for instant in instants])
    least = MIN_WATER_SHARE * network.capacity
    wet = (water > least).any(axis=0) | [name in breached for name in network.names]
    levels = [np.minimum(state.levels, state.highs) for state in states if state]
    surfaces = np.where(water > least, levels, np.nan)
    dry = {name for name, takes in zip(network.names, wet, strict=True) if not takes}
    ends = {event.kind: event.time for event in events}
    return FloodingHistory(
        case,
        tuple(name for name, takes in zip(network.names, wet, strict=True) if takes),
        np.array([instant.time for instant in instants]),
        np.array([state.attitude.up for state in states if state]),
        np.array([state.attitude.level for state in states if state]),
        water[:, wet],
        surfaces[:, wet],
        network.paths,
        np.array([instant.passed for instant in instants]),
        tuple(
            event
            for event in events
            if not (
                event.kind == "progressive-flooding" and event.subject and event.subject.name in dry
            )
        ),
        ends.get("settled"),
        ends.get("lost"),
        (*openings_without_area(case), *_escaping_air(network, states[-1])),
    )


def _escaping_air(network: FlowNetwork, state: FloodedState | None) -> Iterator[Finding]:
    """Compartments with trapped air into which a path from the sea leads above the water in
    them."""
    assert state
    for path in network.paths:
        for number, compartment in enumerate(network.names):
            if (
                SEA not in path.compartments
                or compartment not in path.compartments
                or compartment not in network.trapped
            ):
                continue
            if path.sill @ state.attitude.up > state.levels[number]:
                yield Finding(
                    "warning",
                    "air-rises",
                    Sentence(
                        "{path} leads in over the water in compartment '{compartment}', so the "
                        "air that it keeps "
                        "would rise out: take that compartment as vented",
                        path=path.label,
                        compartment=Subject("compartment", compartment),
                    ),
                    points=path.points[:1],
                )


def _state_solver(
    case: Case,
    floating: FloatingPosition,
    nodes: tuple[FloodableCompartment, ...],
    fixed_attitude: bool,
) -> StateSolver:
    """The vessel with the content of the compartments taken off its load."""
    assert floating.equilibrium
    attitude = floating.equilibrium.attitude
    if fixed_attitude:
        return FixedVessel(attitude, nodes)
    names = [node.compartment.name for node in nodes]
    tanks = tuple(tank for tank in case.tanks if tank.name not in names)
    return FloatingVessel(case.hull.tree, replace(case.load, tanks=tanks), nodes, attitude)


def _initial_water(case: Case, nodes: tuple[FloodableCompartment, ...]) -> Floats:
    """The initial water in the compartments (k,), m3: that of tanks with their names."""
    full = {tank.name: tank.fill * tank.capacity for tank in case.tanks}
    return np.array([min(full.get(each.compartment.name, 0.0), each.capacity) for each in nodes])


def _float_intact(case: Case) -> FloatingPosition:
    """The initial floating position. Raises BadInputError where the vessel does not float."""
    floating = float_before(case)
    if floating.state != "afloat":
        why = floating.findings[0].text
        raise BadInputError(Sentence("{ship}: {why}", ship=Subject("vessel", case.title), why=why))
    return floating


def _paths(
    case: Case, plan: CompartmentPlan, compartments: tuple[str, ...], breach: Breach | str
) -> tuple[FloodingPath, ...]:
    """Flooding paths: first the breach, or the opening left open; then everything else that is not
    closed and has an area."""
    if isinstance(breach, Breach):
        inflow = breach_paths(case, plan, compartments, breach)
    else:
        check_known("breach", "opening", breach, [each.name for each in case.openings])
        opening = next(each for each in case.openings if each.name == breach)
        inflow = opening_paths(plan, compartments, opening)
    return inflow + tuple(
        path
        for path in find_flooding_paths(case, plan)
        if not path.weathertight and path.area > 0 and (path.kind, path.name) != ("opening", breach)
    )


def _check(
    case: Case,
    plan: CompartmentPlan,
    compartments: tuple[str, ...],
    trapped: tuple[str, ...],
    pumps: tuple[Pump, ...],
) -> None:
    """Raises BadInputError for compartments that are unknown or open already, and idle pumps."""
    known = [each.name for each in plan.compartments]
    if not compartments:
        raise BadInputError(Sentence("breach: it leads into no compartment; name one"))
    for whose, names in (("breach", compartments), ("trapped air", trapped)):
        for name in names:
            check_known(whose, "compartment", name, known)
    for name in compartments:
        if name in case.flooded:
            words = (
                "breach: compartment '{compartment}' is flooded already, and as high in as out; "
                "name a dry one"
            )
            raise BadInputError(Sentence(words, compartment=Subject("compartment", name)))
    for pump in pumps:
        check_known("pump", "compartment", pump.compartment, known)
        if not (np.isfinite(pump.rate) and pump.rate > 0):
            raise BadInputError(
                Sentence(
                    "pump in compartment '{compartment}': the rate is {rate} m3/s; give one "
                    "above zero, such as "
                    "0.05",
                    compartment=Subject("compartment", pump.compartment),
                    rate=f"{pump.rate:g}",
                )
            )
        if not (np.isfinite(pump.starts) and pump.starts >= 0):
            raise BadInputError(
                Sentence(
                    "pump in compartment '{compartment}': it starts after {time} s; give a time "
                    "that is not "
                    "negative",
                    compartment=Subject("compartment", pump.compartment),
                    time=f"{pump.starts:g}",
                )
            )


def _nothing_flows(breach: FloodingPath, state: FloodedState) -> Sentence:
    height = breach.height_above_water(state.attitude)
    if height > 0:
        return Sentence(
            "{breach}: it is {height} above the initial waterline, so nothing comes in; put it "
            "lower",
            breach=breach.label,
            height=meters(height, ".2f"),
        )
    words = "{breach}: nothing flows through it; the compartment is as full as it gets"
    return Sentence(words, breach=breach.label)
