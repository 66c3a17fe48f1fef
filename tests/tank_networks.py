"""Compartments and tanks for the tests, and water that runs between them and the sea."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from addon.core.buoyancy.attitude import UPRIGHT_UP, Attitude
from addon.core.damage.flooding_paths import FloodingPath
from addon.core.flooding_time.flooded_state import FixedVessel, FloodableCompartment, FloodedState
from addon.core.flooding_time.flow_network import FlowNetwork
from addon.core.flooding_time.tr_bdf2 import Instant, TimeStepper
from addon.core.geometry.root_finding import find_root
from addon.core.model.compartment import Compartment
from tests.bodies import Body, mesh
from tests.bodies import tree as tree_of

DRY = -1e3


def compartment_of(name: str, body: Body, permeability: float = 1.0) -> Compartment:
    """The compartment that a body bounds."""
    surface = mesh(body)
    return Compartment(
        name, tree_of(body), surface.vertices, surface.triangles, permeability=permeability
    )


def way(first: str, second: str, point: tuple[float, float, float], area: float) -> FloodingPath:
    """A sharp-edged flat hole, its area times 0.6."""
    return FloodingPath(
        "breach", "the breach", (first, second), np.array([point], float), 0.6 * area
    )


class TankRun:
    """Tanks ashore and how they run; `sea` is the level outside (m), and all is fresh water."""

    def __init__(
        self,
        compartments: tuple[Compartment, ...],
        ways: tuple[FloodingPath, ...],
        start: tuple[float, ...],
        sea: float = DRY,
        tolerance: float = 1e-7,
    ) -> None:
        nodes = tuple(map(FloodableCompartment, compartments))
        network = FlowNetwork(nodes, ways, np.array(start), 1000.0)
        self.stepper = TimeStepper(
            network, FixedVessel(Attitude(UPRIGHT_UP, sea), nodes), tolerance
        )
        state = self.stepper.solve_state(network.start, None)
        assert isinstance(state, FloodedState)
        begin = self.stepper.begin(state)
        self.instants: list[Instant] = [begin, *self.stepper.steps(begin, 1e6)]

    @property
    def end(self) -> float:
        """Time (s) from which nothing changes."""
        return next(instant.time for instant in self.instants if instant.at_rest)

    def when(self, measure: Callable[[Instant], float]) -> float:
        """Time (s) at which a measure that falls is zero."""
        values = [measure(instant) for instant in self.instants]
        last = next(i for i, value in enumerate(values) if value <= 0)
        here, there = self.instants[last - 1], self.instants[last]

        def value(time: float) -> float:
            return measure(self.stepper.interpolated(here, there, time))

        return find_root(value, here.time, there.time, values[last - 1], values[last], 1e-9)
