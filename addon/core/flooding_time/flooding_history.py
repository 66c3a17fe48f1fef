"""The course of a flooding over time, as arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..arrays import Floats
from ..damage.flooding_paths import FloodingPath, openings_without_area
from ..messages.findings import Finding
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA
from .flooded_state import MIN_WATER_SHARE, FloodedState
from .flooding_events import Event
from .flow_network import FlowNetwork
from .tr_bdf2 import Instant


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


def history_of(
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
