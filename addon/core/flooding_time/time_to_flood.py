"""Time to flood: water, attitude and events over time after a breach.

Quasi-static in calm water: at each instant the vessel is in equilibrium with the water that has
come in, which is weight on board with level surfaces of its own; neither rolling nor sloshing is
modeled. Flow follows the orifice law (`damage.orifice`), integrated step by step (`tr_bdf2`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from ..arrays import Floats
from ..damage.breach import Breach, breach_paths
from ..damage.damaged_case import damaged
from ..damage.flooding import float_before
from ..damage.flooding_paths import (
    FloodingPath,
    find_flooding_paths,
    opening_paths,
    reachable_compartments,
)
from ..hydrostatics.floating_position import FloatingPosition
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import CompartmentPlan
from ..model.names import check_known
from .flooded_state import (
    FixedVessel,
    FloatingVessel,
    FloodableCompartment,
    FloodedState,
    StateSolver,
)
from .flooding_events import event_triggers, events_between
from .flooding_history import FloodingHistory, history_of
from .flow_network import FlowNetwork, Pump
from .tr_bdf2 import TimeStepper

DAY = 86400.0
"""A day (s), after which a run ends."""


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
    triggers = [*event_triggers(case, network, compartments, rims)]
    instants = [here]
    events = [each.event for each in triggers if each.measure(here) > 0]
    for there in stepper.steps(here, until):
        if on_progress:
            on_progress(there.time)
        known = {event.key for event in events}
        ahead = [each for each in triggers if each.event.key not in known]
        found, here = events_between(stepper, here, there, ahead)
        events += found
        instants.append(here)
        if any(event.kind == "lost" for event in found):
            break
    return history_of(case, network, compartments, instants, events)


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
                    "pump in compartment '{compartment}': the rate is {rate} m3/s; give one above "
                    "zero, such as 0.05",
                    compartment=Subject("compartment", pump.compartment),
                    rate=f"{pump.rate:g}",
                )
            )
        if not (np.isfinite(pump.starts) and pump.starts >= 0):
            raise BadInputError(
                Sentence(
                    "pump in compartment '{compartment}': it starts after {time} s; give a time "
                    "that is not negative",
                    compartment=Subject("compartment", pump.compartment),
                    time=f"{pump.starts:g}",
                )
            )


def _nothing_flows(breach: FloodingPath, state: FloodedState) -> Sentence:
    height = breach.height_above_water(state.attitude)
    if height > 0:
        return Sentence(
            "{breach}: it is {height} above the initial waterline, so nothing "
            "comes in; put it lower",
            breach=breach.label,
            height=meters(height, ".2f"),
        )
    words = "{breach}: nothing flows through it; the compartment is as full as it gets"
    return Sentence(words, breach=breach.label)
