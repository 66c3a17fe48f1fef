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
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude
from ..damage.flooding import damaged, float_before
from ..damage.flooding_paths import (
    Hole,
    Way,
    hole_into,
    of_no_area,
    opening_into,
    reachable,
    ways_of,
)
from ..damage.outcome import STEEPEST
from ..geometry.root_finding import find_root
from ..hydrostatics.floating_position import Floating
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import BOW, STERN, Sentence, metres, millimetres
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA, Division
from ..model.hull import MARGIN_LINE
from ..model.names import check_known
from .flooded_state import DREGS, Afloat, Basin, Held, Pose, Standing
from .flow_network import Network, Pump
from .tr_bdf2 import March, Moment

Array = NDArray[np.float64]

EventKind = Literal[
    "margin-line",
    "deck-edge",
    "opening",
    "heel-15",
    "heel-30",
    "full",
    "spread",
    "settled",
    "lost",
]
Loss = Literal["swamped", "plunges-by-stern", "plunges-by-bow", "capsizes", "sinks", "no-rest"]

DAY = 86400.0
HEELS: dict[int, EventKind] = {15: "heel-15", 30: "heel-30"}
MOMENT = 1e-5


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
class Ingress:
    """The course of a flooding. At `times` (n,) in s the vessel has attitude `ups` (n, 3) and the
    sea level `levels` (n,) along it; `rooms` (k) hold `water` (n, k) m3 with the surface at
    `surfaces` (n, k) along up, NaN where dry. `passed` (n, m) is the volume through each of `ways`
    (m) from the first of its two sides to the second (m3).

    `settled` is the time at which nothing changes any more and `lost` that at which the vessel
    sinks, capsizes, stands on end or fills over an open edge behind which no compartment is known
    (s), None where not reached.
    """

    case: Case
    rooms: tuple[str, ...]
    times: Array
    ups: Array
    levels: Array
    water: Array
    surfaces: Array
    ways: tuple[Way, ...]
    passed: Array
    events: tuple[Event, ...]
    settled: float | None
    lost: float | None
    findings: tuple[Finding, ...]


def flood_in_time(
    case: Case,
    division: Division,
    room: str | tuple[str, ...],
    hole: Hole | str,
    trapped: tuple[str, ...] = (),
    pumps: tuple[Pump, ...] = (),
    until: float = DAY,
    held: bool = False,
    tolerance: float = 1e-6,
    tell: Callable[[float], None] | None = None,
) -> Ingress:
    """How a ship floods through a hole in a room, or one in several, till nothing changes, she is
    lost or it is `until` (s).

    `hole` may be the name of one of her openings, left open. `trapped` names rooms that keep their
    air, all others are vented; those that the case has as flooded are one with the sea. She is
    `held` as she floats where she is not to settle. A tank of the name of a room is that room with
    so much in it, which counts as the water that comes in. No step misses more than a share
    `tolerance` of a room; `tell` hears each time. Raises BadInputError for names that are not
    known, a hole away from the room or the skin or out of the water, a pump without a rate, a ship
    that does not float, and a run of too many steps.
    """
    rooms = (room,) if isinstance(room, str) else room
    _check(case, division, rooms, trapped, pumps)
    case = damaged(case, division, ())
    ways = [way.where_open(case.flooded) for way in _ways(case, division, rooms, hole)]
    floating = _afloat(case)
    reached = reachable(ways) | {pump.room for pump in pumps}
    basins = tuple(Basin(each) for each in division.rooms if each.name in reached)
    ways = [way for way in ways if way.rooms[0] != way.rooms[1] and reached & set(way.rooms)]
    network = Network(basins, tuple(ways), _start(case, basins), case.water_density, pumps, trapped)
    ship = _ship(case, floating, basins, held)
    pose = ship(network.start, None)
    if pose is None:
        words = "{ship}: she finds no rest as she is, before any hole"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    march = March(network, ship, tolerance)
    here = march.begin(pose)
    if not here.rates.any():
        raise BadInputError(_nothing_flows(ways[0], pose))
    rims = () if division.knows_rims else case.hull.rims
    watches = [*_watches(case, network, rooms, rims)]
    moments = [here]
    events = [each.event for each in watches if each.measure(here) > 0]
    for there in march.on(here, until):
        if tell:
            tell(there.time)
        known = {event.key for event in events}
        ahead = [each for each in watches if each.event.key not in known]
        found, here = _between(march, here, there, ahead)
        events += found
        moments.append(here)
        if any(event.kind == "lost" for event in found):
            break
    return _ingress(case, network, rooms, moments, events)


@dataclass(frozen=True)
class _Watch:
    """An event, its time yet open, that comes about when a measure of the ship becomes
    positive."""

    event: Event
    measure: Callable[[Moment], float]


def _watch(
    measure: Callable[[Moment], float],
    what: Sentence,
    kind: EventKind,
    subject: Subject | None = None,
    loss: Loss | None = None,
) -> _Watch:
    return _Watch(Event(0.0, what, kind, subject, loss), measure)


def _watches(
    case: Case, network: Network, holed: tuple[str, ...], rims: tuple[Array, ...]
) -> Iterator[_Watch]:
    """All possible events, ordered by what leads to others; over open edges `rims` (k, 2, 3) the
    vessel fills an unknown compartment."""
    edge = case.hull.deck_edge
    if len(edge):
        below = millimetres(MARGIN_LINE)
        line = Sentence("Margin line, {below} below the deck edge, under water", below=below)
        yield _watch(partial(_depth, points=case.hull.margin_line), line, "margin-line")
        yield _watch(partial(_depth, points=edge), Sentence("Deck edge under water"), "deck-edge")
    for opening in case.openings:
        words = Sentence(
            "Opening '{name}' under water, shut weathertight"
            if opening.weathertight
            else "Opening '{name}' under water",
            name=(subject := Subject("opening", opening.name)),
        )
        yield _watch(partial(_depth, points=opening.points), words, "opening", subject)
    for way in network.ways:
        if way.kind == "gap" and SEA in way.rooms:
            room = Subject("compartment", next(name for name in way.rooms if name != SEA))
            words = Sentence("Open edge of room '{room}' under water", room=room)
            yield _watch(partial(_depth, points=way.points), words, "opening", room)
    for angle, kind in HEELS.items():
        words = Sentence("Heel of {angle} degrees", angle=angle)
        yield _watch(partial(_heel_over, angle=angle), words, kind)
    for i, name in enumerate(network.names):
        room = Subject("compartment", name)
        words = Sentence("Room '{room}' is full", room=room)
        yield _watch(partial(_excess, network, i), words, "full", room)
        if name not in holed:
            words = Sentence("Water reaches room '{room}'", room=room)
            yield _watch(partial(_spread, network, i), words, "spread", room)
    if rims:
        points = np.concatenate(rims)
        words = Sentence("Swamped: the hull's open edge is under water, and she fills there")
        yield _watch(partial(_depth, points=points), words, "lost", loss="swamped")
    ends: tuple[tuple[Sentence, int, Loss], ...]
    ends = (STERN, 1, "plunges-by-stern"), (BOW, -1, "plunges-by-bow")
    for end, sign, loss in ends:
        words = Sentence("Founders by the {end}", end=end)
        yield _watch(partial(_on_end, sign=sign), words, "lost", loss=loss)
    yield _watch(partial(_heel_over, angle=90), Sentence("Capsizes"), "lost", loss="capsizes")


def _depth(moment: Moment, points: Array) -> float:
    """Depth (m) of the deepest of points (..., 3) below the sea level."""
    return -float(_attitude(moment).heights(points).min())


def _heel_over(moment: Moment, angle: float) -> float:
    return abs(_attitude(moment).heel_rad) - float(np.radians(angle))


def _on_end(moment: Moment, sign: int) -> float:
    return sign * _attitude(moment).trim_rad - float(STEEPEST)


def _excess(network: Network, room: int, moment: Moment) -> float:
    return float(moment.water[room] - (1 - DREGS) * network.capacity[room])


def _spread(network: Network, room: int, moment: Moment) -> float:
    """Height of the water beside a compartment above the sill of a path into it (m)."""
    assert moment.pose
    return float(network.reach(moment.pose)[room])


def _attitude(moment: Moment) -> Attitude:
    assert moment.pose
    return moment.pose.attitude


def _between(
    march: March, here: Moment, there: Moment, watches: list[_Watch]
) -> tuple[list[Event], Moment]:
    """Events between two moments, in order, and the last moment: the next, or that at which the
    vessel is lost."""
    if there.pose is None:
        return [_lost(march, there)], there
    seen = [here, there]
    found = [
        replace(watch.event, time=_when(march, seen, watch.measure))
        for watch in watches
        if watch.measure(here) <= 0 < watch.measure(there)
    ]
    if there.rests and not here.rests:
        words = Sentence("Settled: nothing changes any more")
        found.append(Event(there.time, words, "settled"))
    found.sort(key=lambda event: event.time)
    lost = next((event.time for event in found if event.kind == "lost"), None)
    if lost is None:
        return found, there
    return [event for event in found if event.time <= lost], march.between(here, there, lost)


def _when(march: March, seen: list[Moment], measure: Callable[[Moment], float]) -> float:
    """The time (s) at which a measure becomes positive, within a step of which the moments `seen`
    are known, in order. Those computed are inserted there, so that simultaneous events, as in a
    capsize, get one time."""
    here, there = seen[0], seen[-1]
    values = [measure(moment) for moment in seen]
    after = next(i for i, value in enumerate(values) if value > 0)
    low, high = seen[after - 1].time, seen[after].time
    close = MOMENT * (there.time - here.time)
    if high - low <= close:
        return high

    def value(time: float) -> float:
        moment = march.between(here, there, time)
        insort(seen, moment, key=lambda each: each.time)
        return measure(moment)

    return find_root(value, low, high, values[after - 1], values[after], close)


def _lost(march: March, last: Moment) -> Event:
    """That the vessel is lost at the last moment, in which it does not float."""
    ship = march.stand
    if isinstance(ship, Afloat) and ship.sinks(last.water):
        words = Sentence("Sinks: the water in it weighs more than its buoyancy can carry")
        return Event(last.time, words, "lost", loss="sinks")
    words = Sentence("Lost: no equilibrium is left")
    return Event(last.time, words, "lost", loss="no-rest")


def _ingress(
    case: Case,
    network: Network,
    holed: tuple[str, ...],
    moments: list[Moment],
    events: list[Event],
) -> Ingress:
    """The run as arrays, for the compartments that take water."""
    poses = [moment.pose or moments[-2].pose for moment in moments]
    water = np.array([moment.water for moment in moments])
    least = DREGS * network.capacity
    wet = (water > least).any(axis=0) | [name in holed for name in network.names]
    levels = [np.minimum(pose.levels, pose.highs) for pose in poses if pose]
    surfaces = np.where(water > least, levels, np.nan)
    dry = {name for name, takes in zip(network.names, wet, strict=True) if not takes}
    ends = {event.kind: event.time for event in events}
    return Ingress(
        case,
        tuple(name for name, takes in zip(network.names, wet, strict=True) if takes),
        np.array([moment.time for moment in moments]),
        np.array([pose.attitude.up for pose in poses if pose]),
        np.array([pose.attitude.level for pose in poses if pose]),
        water[:, wet],
        surfaces[:, wet],
        network.ways,
        np.array([moment.passed for moment in moments]),
        tuple(
            event
            for event in events
            if not (event.kind == "spread" and event.subject and event.subject.name in dry)
        ),
        ends.get("settled"),
        ends.get("lost"),
        (*of_no_area(case), *_rising_air(network, poses[-1])),
    )


def _rising_air(network: Network, pose: Pose | None) -> Iterator[Finding]:
    """Compartments with trapped air into which a path from the sea leads above the water in
    them."""
    assert pose
    for way in network.ways:
        for number, room in enumerate(network.names):
            if SEA not in way.rooms or room not in way.rooms or room not in network.trapped:
                continue
            if way.sill @ pose.attitude.up > pose.levels[number]:
                yield Finding(
                    "warning",
                    "air-rises",
                    Sentence(
                        "{way} leads in over the water in room '{room}', so the air that it keeps "
                        "would rise out: take that room as vented",
                        way=way.told,
                        room=Subject("compartment", room),
                    ),
                    points=way.points[:1],
                )


def _ship(case: Case, floating: Floating, basins: tuple[Basin, ...], held: bool) -> Standing:
    """The vessel with the content of the compartments taken off its load."""
    assert floating.rest
    attitude = floating.rest.attitude
    if held:
        return Held(attitude, basins)
    names = [basin.room.name for basin in basins]
    tanks = tuple(tank for tank in case.tanks if tank.name not in names)
    return Afloat(case.hull.tree, replace(case.load, tanks=tanks), basins, attitude)


def _start(case: Case, basins: tuple[Basin, ...]) -> Array:
    """The initial water in the compartments (k,), m3: that of tanks with their names."""
    full = {tank.name: tank.fill * tank.capacity for tank in case.tanks}
    return np.array([min(full.get(each.room.name, 0.0), each.capacity) for each in basins])


def _afloat(case: Case) -> Floating:
    """The initial floating position. Raises BadInputError where the vessel does not float."""
    floating = float_before(case)
    if floating.state != "afloat":
        why = floating.findings[0].text
        raise BadInputError(Sentence("{ship}: {why}", ship=Subject("vessel", case.title), why=why))
    return floating


def _ways(
    case: Case, division: Division, rooms: tuple[str, ...], hole: Hole | str
) -> tuple[Way, ...]:
    """Flooding paths: first the breach, or the opening left open; then everything else that is not
    closed and has an area."""
    if isinstance(hole, Hole):
        torn = hole_into(case, division, rooms, hole)
    else:
        check_known("hole", "opening", hole, [each.name for each in case.openings])
        opening = next(each for each in case.openings if each.name == hole)
        torn = opening_into(division, rooms, opening)
    return torn + tuple(
        way
        for way in ways_of(case, division)
        if not way.tight and way.area > 0 and (way.kind, way.name) != ("opening", hole)
    )


def _check(
    case: Case,
    division: Division,
    rooms: tuple[str, ...],
    trapped: tuple[str, ...],
    pumps: tuple[Pump, ...],
) -> None:
    """Raises BadInputError for compartments that are unknown or open already, and idle pumps."""
    known = [each.name for each in division.rooms]
    if not rooms:
        raise BadInputError(Sentence("hole: it leads into no room; name one"))
    for whose, names in (("hole", rooms), ("trapped air", trapped)):
        for name in names:
            check_known(whose, "room", name, known)
    for name in rooms:
        if name in case.flooded:
            words = "hole: room '{room}' is flooded already, and as high in as out; name a dry one"
            raise BadInputError(Sentence(words, room=Subject("compartment", name)))
    for pump in pumps:
        check_known("pump", "room", pump.room, known)
        if not (np.isfinite(pump.rate) and pump.rate > 0):
            raise BadInputError(
                Sentence(
                    "pump in room '{room}': the rate is {rate} m3/s; give one above zero, such as "
                    "0.05",
                    room=Subject("compartment", pump.room),
                    rate=f"{pump.rate:g}",
                )
            )
        if not (np.isfinite(pump.starts) and pump.starts >= 0):
            raise BadInputError(
                Sentence(
                    "pump in room '{room}': it starts after {time} s; give a time that is not "
                    "negative",
                    room=Subject("compartment", pump.room),
                    time=f"{pump.starts:g}",
                )
            )


def _nothing_flows(hole: Way, pose: Pose) -> Sentence:
    height = hole.clear(pose.attitude)
    if height > 0:
        return Sentence(
            "{hole}: it is {height} above the water in which she floats, so nothing comes in; put "
            "it lower",
            hole=hole.told,
            height=metres(height, ".2f"),
        )
    words = "{hole}: nothing flows through it; the room is as full as it gets"
    return Sentence(words, hole=hole.told)
