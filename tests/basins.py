"""Rooms and tanks for the tests, and water that runs between them and the sea."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from addon.core.buoyancy.attitude import Attitude
from addon.core.damage.flooding_paths import Way
from addon.core.flooding_time.flooded_state import Basin, Held, Pose
from addon.core.flooding_time.flow_network import Network
from addon.core.flooding_time.tr_bdf2 import March, Moment
from addon.core.geometry.root_finding import find_root
from addon.core.model.compartment import Room
from addon.core.model.tanks import UPRIGHT
from tests.bodies import Body, mesh
from tests.bodies import tree as tree_of

Array = NDArray[np.float64]

DRY = -1e3


def room_of(name: str, body: Body, permeability: float = 1.0) -> Room:
    """The room that a body bounds."""
    surface = mesh(body)
    return Room(name, tree_of(body), surface.vertices, surface.triangles, permeability=permeability)


def way(first: str, second: str, point: tuple[float, float, float], area: float) -> Way:
    """A sharp-edged flat hole, its area times 0.6."""
    return Way("hole", "the hole", (first, second), np.array([point], float), 0.6 * area)


class Ashore:
    """Tanks ashore and how they run; `sea` is the level outside (m), and all is fresh water."""

    def __init__(
        self,
        rooms: tuple[Room, ...],
        ways: tuple[Way, ...],
        start: tuple[float, ...],
        sea: float = DRY,
        tolerance: float = 1e-7,
    ) -> None:
        basins = tuple(map(Basin, rooms))
        network = Network(basins, ways, np.array(start), 1000.0)
        self.march = March(network, Held(Attitude(UPRIGHT, sea), basins), tolerance)
        pose = self.march.stand(network.start, None)
        assert isinstance(pose, Pose)
        begin = self.march.begin(pose)
        self.moments: list[Moment] = [begin, *self.march.on(begin, 1e6)]

    @property
    def end(self) -> float:
        """Time (s) from which nothing changes."""
        return next(moment.time for moment in self.moments if moment.rests)

    def when(self, measure: Callable[[Moment], float]) -> float:
        """Time (s) at which a measure that falls is zero."""
        values = [measure(moment) for moment in self.moments]
        last = next(i for i, value in enumerate(values) if value <= 0)
        here, there = self.moments[last - 1], self.moments[last]

        def value(time: float) -> float:
            return measure(self.march.between(here, there, time))

        return find_root(value, here.time, there.time, values[last - 1], values[last], 1e-9)
