"""Damage to hulls of the scene: final floodings and flooding in time, kept for the session."""

from __future__ import annotations

from collections.abc import Callable, Container
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...core.compartments.find_compartments import compartments_beside
from ...core.damage.breach import Breach
from ...core.damage.bulkhead_suggestion import suggest_bulkheads
from ...core.damage.floodable_length import FloodableLength, floodable_length
from ...core.damage.flooding import flood, flood_each
from ...core.damage.flooding_result import worst
from ...core.damage.subdivision import subdivide
from ...core.flooding_time.flow_network import Pump
from ...core.flooding_time.time_to_flood import simulate_flooding
from ...core.messages.findings import BadInputError
from ...core.messages.sentence import Sentence
from ...core.model.case import Case
from ...core.model.compartment import SEA, CompartmentPlan
from ...core.model.loaded_case import in_condition
from ...parts.declarations import BREACH, INFLOW
from ..properties.names import Role
from ..properties.settings import settings
from ..readers.cases import read_case
from ..readers.members import core_names, counted
from ..readers.parts import as_modeled, boundary_of, entry_of
from . import known_compartments, session
from .analysis import afloat
from .compartments import compartments_job
from .job import Job, OnProgress

Find = Callable[[CompartmentPlan, OnProgress | None], dict[str, Any]]


@dataclass(frozen=True)
class _Ship:
    """A hull of the scene afloat as it is loaded, and the job that finds its compartments."""

    entry: session.Entry
    case: Case
    compartments: Job[known_compartments.FoundCompartments]

    def damaging(
        self, find: Find
    ) -> Job[tuple[known_compartments.FoundCompartments, dict[str, Any]]]:
        """Find fields of `Damage` once the compartments are known."""

        def work(
            on_progress: OnProgress | None,
        ) -> tuple[known_compartments.FoundCompartments, dict[str, Any]]:
            divided = self.compartments.work(on_progress)
            return divided, find(divided.plan, on_progress)

        def keep(found: tuple[known_compartments.FoundCompartments, dict[str, Any]]) -> None:
            divided, changes = found
            self.compartments.keep(divided)
            session.hurt(self.entry, **changes)

        return Job(work, keep)


def flood_breached(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, on_progress: OnProgress | None = None
) -> Job[Any]:
    """Open the compartments that are chosen to the sea. Raises BadInputError, as does the job."""
    ship = _ship(depsgraph, hull, on_progress)
    breached = ship.entry.breached

    def find(plan: CompartmentPlan, on_progress: OnProgress | None) -> dict[str, Any]:
        names = [
            compartment.name for compartment in plan.compartments if compartment.name in breached
        ]
        if not names:
            words = "no compartment is flooded; tick the compartments that are open to the sea"
            raise BadInputError(Sentence(words))
        found = flood(ship.case, plan, names, on_progress)
        return {"floodings": (found,), "shown": 0}

    return ship.damaging(find)


def flood_all(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    pairs: bool,
    on_progress: OnProgress | None = None,
) -> Job[Any]:
    """Open every compartment, or every two neighbors, to the sea, and draw the worst.

    Raises BadInputError, as does the job.
    """
    ship = _ship(depsgraph, hull, on_progress)

    def find(plan: CompartmentPlan, on_progress: OnProgress | None) -> dict[str, Any]:
        found = flood_each(ship.case, plan, pairs, on_progress)
        least = worst(found)
        shown = next(index for index, each in enumerate(found) if each is least)
        return {"floodings": found, "shown": shown}

    return ship.damaging(find)


def flood_through(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    way: bpy.types.Object,
    on_progress: OnProgress | None = None,
) -> Job[Any]:
    """Find the time to flood through a breach, or through an opening left open.

    Marked compartments keep their air and are pumped as their marks say. Raises BadInputError, as
    does the job.
    """
    ship = _ship(depsgraph, hull, on_progress)
    frame, chosen = ship.entry.ship.frame, settings(way)
    marks = {
        name: INFLOW.entry(**settings(mark).inflow.values(frame.unit))
        for mark in counted(depsgraph, hull)[Role.COMPARTMENT]
        for name in core_names(mark)
    }
    name = way.name
    breach: str | Breach
    if chosen.role == Role.OPENING:
        point = as_modeled(depsgraph, way, ship.entry.ship).point
        breach = name = core_names(way)[0 if point[1] > 0 else -1]
    else:
        entry = entry_of(depsgraph, way, ship.entry.ship)
        point = np.array(entry.place)
        breach = Breach(point, **BREACH.core_values(entry))
    trapped = tuple(name for name, inflow in marks.items() if inflow.air_trapped)
    pumps = tuple(
        Pump(name, inflow.pump, inflow.pump_delay)
        for name, inflow in marks.items()
        if inflow.pump > 0
    )

    def find(plan: CompartmentPlan, on_progress: OnProgress | None) -> dict[str, Any]:
        inside = tuple(name for name in compartments_beside(plan, point) if name != SEA)
        run = simulate_flooding(
            ship.case, plan, inside[:1], breach, trapped, pumps, on_progress=on_progress
        )
        return {"flooding_history": run, "breach": name}

    return ship.damaging(find)


def advise(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    count: int,
    permeability: float,
    on_progress: OnProgress | None = None,
) -> Job[Any]:
    """Find the best places of a number of transverse bulkheads. Raises BadInputError, as does the
    job."""
    entry, case = _afloat(depsgraph, hull, on_progress)
    return Job(
        lambda on_progress: suggest_bulkheads(case, count, permeability, on_progress=on_progress),
        lambda found: session.hurt(entry, advice=found, charted=entry.damage.charted),
    )


def find_floodable_length(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    permeability: float,
    on_progress: OnProgress | None = None,
) -> Job[Any]:
    """Find the floodable length along the vessel. Raises BadInputError, as does the
    job."""
    entry, case = _afloat(depsgraph, hull, on_progress)
    return Job(
        lambda on_progress: floodable_length(case, permeability, on_progress=on_progress),
        lambda found: session.hurt(
            entry, subdivision=subdivide(found, case.boundaries), charted=True
        ),
    )


def shortest(found: FloodableLength) -> tuple[float, float]:
    """Where the middle of the shortest floodable length is, and that length (m), of those that
    are not cut short by an end of the vessel."""
    index = 1 + int(np.argmin(found.lengths[1:-1]))
    return float(found.centers[index]), float(found.lengths[index])


def reported_places(found: FloodableLength) -> list[float]:
    """Middles (m) at which the floodable length is shown in figures: near the ends, at the quarters
    and where it is shortest."""
    aft, forward = found.centers[0], found.centers[-1]
    quarters = (float(aft + share * (forward - aft)) for share in (0.25, 0.5, 0.75))
    return sorted({*found.centers[[1, -2]].tolist(), *quarters, shortest(found)[0]})


def follow_boundaries(depsgraph: bpy.types.Depsgraph, touched: Container[int] | None) -> None:
    """After objects of these session_uids (None: any) changed: hold the bulkheads of hulls against
    the floodable lengths that are known, which stay as they are."""
    objects: Any = depsgraph.view_layer.objects
    for entry in session.known():
        found, hull = entry.damage.subdivision, objects.get(entry.hull_name)
        if found is None or entry.ship is None or hull is None or hull.session_uid != entry.uid:
            continue
        boundaries = counted(depsgraph, hull)[Role.BOUNDARY]
        if touched is None or any(boundary.session_uid in touched for boundary in boundaries):
            with suppress(BadInputError):
                bodies = [boundary_of(depsgraph, boundary, entry.ship) for boundary in boundaries]
                session.subdivide(entry, subdivide(found.curve, bodies))


def _ship(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, on_progress: OnProgress | None = None
) -> _Ship:
    """The hull floated where that is not known. Raises BadInputError."""
    entry, case = _afloat(depsgraph, hull, on_progress)
    return _Ship(entry, case, compartments_job(depsgraph, hull, entry.ship))


def _afloat(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, on_progress: OnProgress | None
) -> tuple[session.Entry, Case]:
    """The entry of the hull afloat, and its case with all its parts as they are, in that loading
    condition. Raises BadInputError."""
    entry = afloat(depsgraph, hull, on_progress)
    if entry.floating is None:
        raise BadInputError(entry.message or "")
    case = read_case(depsgraph, hull, entry.ship).case
    return entry, in_condition(case, entry.condition) if entry.condition else case
