"""Compartments joined by flooding paths and drained by pumps, and the flows between them.

About a pose the levels above the sills are linear in the volumes of water, apart from the rise in a
full compartment and the pressure of trapped air; the orifice law stays nonlinear.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..arrays import Floats, Ints
from ..damage.flooding_paths import FloodingPath
from ..damage.orifice import GRAVITY, SMALLEST_HEAD, flow
from ..model.compartment import SEA
from .flooded_state import FloodableCompartment, FloodedState

ATMOSPHERIC_PRESSURE = 101325.0
"""Standard atmospheric pressure (Pa)."""
MIN_AIR_SHARE = 1e-3
"""Share of the trapped air below which its pressure grows linearly."""
PUMP_DRAIN_TIME = 1.0
"""Time (s) in which a pump draws no more water than there is."""
MAX_ITERATIONS = 60
"""Newton iterations of one stage."""
LEVEL_TOLERANCE = SMALLEST_HEAD / 10
"""Error of a level (m), well below `SMALLEST_HEAD`."""
STEP_TOLERANCE_SHARE = 1e-8
"""Newton step over the capacity at which a stage is solved."""
ROUNDING_SHARE = 1e-15
"""Share of its capacity that is rounding."""
MIN_DAMPING = 1e-3
"""Share of a Newton step below which it is given up."""


@dataclass(frozen=True)
class Pump:
    """A pump from a compartment into the sea, at a rate in m3/s from a time (s) on.

    It draws no more per second than the water present.
    """

    compartment: str
    rate: float
    starts: float = 0.0


@dataclass(frozen=True)
class FlowNetwork:
    """Compartments, the flooding paths between them and the sea, and pumps; those in `trapped` keep
    their air.

    `start` (k,) is the initial volume of water (m3), `density` that of the water (kg/m3).
    """

    nodes: tuple[FloodableCompartment, ...]
    paths: tuple[FloodingPath, ...]
    start: Floats
    density: float
    pumps: tuple[Pump, ...] = ()
    trapped: tuple[str, ...] = ()

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of the compartments (k)."""
        return tuple(node.compartment.name for node in self.nodes)

    @cached_property
    def capacity(self) -> Floats:
        """Volumes of water (k,) that the compartments can hold (m3)."""
        return np.array([node.capacity for node in self.nodes])

    @cached_property
    def vent_areas(self) -> Floats:
        """Areas (k,) of the vent pipes over full compartments (m2)."""
        return np.array([node.vent_area for node in self.nodes])

    @cached_property
    def path_nodes(self) -> Ints:
        """The two ends of each path (m, 2), the sea being k."""
        spaces = (*self.names, SEA)
        return np.array([[spaces.index(name) for name in path.compartments] for path in self.paths])

    @cached_property
    def incidence(self) -> Floats:
        """Share that each compartment gains of what passes each path and pump (k, m + p)."""
        gains = np.zeros((len(self.nodes) + 1, len(self.paths) + len(self.pumps)))
        each = np.arange(len(self.paths))
        np.add.at(gains, (self.path_nodes[:, 0], each), -1.0)
        np.add.at(gains, (self.path_nodes[:, 1], each), 1.0)
        for i, pump in enumerate(self.pumps):
            gains[self.names.index(pump.compartment), len(each) + i] = -1.0
        return gains[:-1]

    @cached_property
    def incidence_inverse(self) -> Floats:
        """The least flow through each path per unit gain of each compartment (m + p, k), a
        pseudoinverse."""
        return np.linalg.pinv(self.incidence)

    def heads_over_sills(self, state: FloodedState) -> Floats:
        """Height of the water beside each compartment above the sill of a path into it (k,), m."""
        over, heads_over_sills = (
            LinearizedFlow(self, state).over,
            np.full(len(self.nodes) + 1, -np.inf),
        )
        for side in (0, 1):
            np.maximum.at(heads_over_sills, self.path_nodes[:, side], over[1 - side])
        return heads_over_sills[:-1]

    def water(self, passed: Floats) -> Floats:
        """Water (k,) in the compartments after given volumes have passed the paths and pumps
        (m3)."""
        water: Floats = self.start + self.incidence @ passed
        return water

    def air_head(self, water: Floats) -> tuple[Floats, Floats]:
        """Excess pressure of trapped air as a head (k,) in m, and its derivative (1/m2).

        Air is isothermal: pressure times volume stays constant (Boyle). Beyond compression to
        `MIN_AIR_SHARE` of it the curve continues linearly.
        """
        air = np.maximum(self.capacity - self.start, MIN_AIR_SHARE * self.capacity)
        closed = np.array([name in self.trapped for name in self.names])
        left = air - (water - self.start)
        some = np.maximum(left, MIN_AIR_SHARE * air)
        head = ATMOSPHERIC_PRESSURE / (self.density * GRAVITY)
        slope = head * air / some**2
        air_head = head * (air / some - 1) + slope * (some - left)
        return np.where(closed, air_head, 0.0), np.where(closed, slope, 0.0)


@dataclass(frozen=True)
class LinearizedFlow:
    """Flows in a network linearized about a pose, at a time (s) that determines which pumps run."""

    network: FlowNetwork
    state: FloodedState
    time: float = 0.0

    @cached_property
    def _sills(self) -> tuple[Floats, Floats]:
        """Lowest heights (m,) of the paths along up, not below the floor of a compartment, and
        their vertical extents."""
        paths, up = self.network.paths, self.state.attitude.up
        rise = np.array([path.height for path in paths]) * up[2]
        foot = np.array([path.sill for path in paths]) @ up + np.minimum(rise, 0.0)
        floors = np.append(self.state.lows, -np.inf)[self.network.path_nodes].max(axis=1)
        sill = np.maximum(foot, floors)
        return sill, np.maximum(foot + np.abs(rise) - sill, 0.0)

    @cached_property
    def over(self) -> Floats:
        """Levels (2, m) on both sides of the paths above their sills (m)."""
        levels = np.append(self.state.levels, self.state.attitude.level)
        over: Floats = levels[self.network.path_nodes.T] - self._sills[0]
        return over

    @cached_property
    def _level_changes(self) -> Floats:
        """Change of those levels per water in each compartment by the motion of the vessel (2, m,
        k)."""
        state = self.state
        points = np.array([path.sill for path in self.network.paths])
        middles = state.depth_changes(state.middles)
        own = np.concatenate([middles, np.zeros((1, 3))])[self.network.path_nodes.T]
        changes: Floats = (state.depth_changes(points) - own) @ (state.compliance @ middles.T)
        return changes

    @cached_property
    def _areas(self) -> Floats:
        """Areas (m,) of the paths times their discharge coefficients (m2)."""
        return np.array([path.area for path in self.network.paths])

    def _level_rises(self, water: Floats) -> tuple[Floats, Floats]:
        """Rise (k,) of the levels with water (k,) in the compartments, and its derivative
        (1/m2)."""
        network, before = self.network, self.state.water
        full = network.capacity
        over, was_over = np.maximum(water - full, 0.0), np.maximum(before - full, 0.0)
        rise = (np.minimum(water, full) - np.minimum(before, full)) / self.state.areas
        return (
            rise + (over - was_over) / network.vent_areas,
            np.where(water > full, 1 / network.vent_areas, 1 / self.state.areas),
        )

    def flows(self, water: Floats) -> tuple[Floats, Floats]:
        """Flow (m + p,) through each path and pump with water (k,) in the compartments (m3/s), and
        its Jacobian (m + p, k) with respect to the water in each (1/s)."""
        network = self.network
        rise, steep = self._level_rises(water)
        air_head, air_slope = network.air_head(water)
        rise, steep, air_head, air_slope = (
            np.append(part, 0.0) for part in (rise, steep, air_head, air_slope)
        )
        first, second = network.path_nodes.T
        over = (
            self.over
            + self._level_changes @ (water - self.state.water)
            + rise[network.path_nodes.T]
        )
        found = flow(
            over[0], over[1], air_head[first] - air_head[second], self._areas, self._sills[1]
        )
        each, count = np.arange(len(first)), len(network.nodes)
        own = np.zeros((len(first), count + 1))
        own[each, first] = found.by_first * steep[first] + found.by_air_head * air_slope[first]
        own[each, second] += found.by_second * steep[second] - found.by_air_head * air_slope[second]
        by_first, by_second = found.by_first[:, None], found.by_second[:, None]
        slopes = (
            own[:, :-1] + by_first * self._level_changes[0] + by_second * self._level_changes[1]
        )
        lifted, drawn = self._pump_flows(water)
        return np.concatenate([found.rate, lifted]), np.concatenate([slopes, drawn])

    def _pump_flows(self, water: Floats) -> tuple[Floats, Floats]:
        """Pump flows (p,) in m3/s, and their Jacobian (p, k)."""
        network = self.network
        slopes = np.zeros((len(network.pumps), len(water)))
        rates = np.zeros(len(network.pumps))
        for i, pump in enumerate(network.pumps):
            compartment = network.names.index(pump.compartment)
            all_there = max(water[compartment], 0.0) / PUMP_DRAIN_TIME
            if self.time >= pump.starts:
                rates[i] = min(pump.rate, all_there)
                slopes[i, compartment] = (all_there < pump.rate) / PUMP_DRAIN_TIME
        return rates, slopes

    def solve(self, base: Floats, duration: float, guess: Floats) -> tuple[Floats, Floats] | None:
        """Solves water (k,) = `base` plus `duration` seconds of flow at that state, and returns it
        with the Jacobian of the residual (k, k). None where no solution is found.

        In a full compartment the volume in its vent pipe may be below rounding, and so the flow
        driven by it: where only that remains, a damped step does no better.
        """
        network, scale = self.network, self.network.capacity

        def unfit(water: Floats) -> tuple[Floats, Floats]:
            rates, slopes = self.flows(water)
            gained = network.incidence @ np.column_stack([rates, slopes])
            off = water - base - duration * gained[:, 0]
            return off / scale, np.eye(len(water)) - duration * gained[:, 1:]

        water = guess
        off, slope = unfit(water)
        for _ in range(MAX_ITERATIONS):
            move = np.linalg.solve(slope, -off * scale)
            fine = np.maximum(LEVEL_TOLERANCE / self._level_rises(water)[1], ROUNDING_SHARE * scale)
            small = bool((np.abs(move) <= np.minimum(fine, STEP_TOLERANCE_SHARE * scale)).all())
            share, before = 1.0, np.linalg.norm(off)
            while True:
                tried = water + share * move
                tried_off, there = unfit(tried)
                if small or np.linalg.norm(tried_off) <= (1 - share / 4) * before:
                    break
                share /= 2
                if share < MIN_DAMPING:
                    return (
                        (water, slope)
                        if (np.abs(move) <= STEP_TOLERANCE_SHARE * scale).all()
                        else None
                    )
            water, off, slope = tried, tried_off, there
            if small:
                return water, slope
        return None
