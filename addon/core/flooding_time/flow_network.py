"""Compartments joined by flooding paths and drained by pumps, and the flows between them.

About a pose the levels above the sills are linear in the volumes of water, apart from the rise in a
full compartment and the pressure of trapped air; the orifice law stays nonlinear.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..damage.flooding_paths import Way
from ..damage.orifice import GRAVITY, THIN, flow
from ..model.compartment import SEA
from .flooded_state import Basin, Pose

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

ATMOSPHERE = 101325.0
LAST_AIR = 1e-3
BREATH = 1.0  # s, in which a pump may take all the water present
MOST_TURNS = 60
SOLVED = THIN / 10
CLOSED = 1e-8
ROUNDING = 1e-15
LEAST_SHARE = 1e-3


@dataclass(frozen=True)
class Pump:
    """A pump from a compartment into the sea, at a rate in m3/s from a time (s) on.

    It draws no more per second than the water present.
    """

    room: str
    rate: float
    starts: float = 0.0


@dataclass(frozen=True)
class Network:
    """Compartments, the flooding paths between them and the sea, and pumps; those in `trapped` keep
    their air.

    `start` (k,) is the initial volume of water (m3), `density` that of the water (kg/m3).
    """

    basins: tuple[Basin, ...]
    ways: tuple[Way, ...]
    start: Array
    density: float
    pumps: tuple[Pump, ...] = ()
    trapped: tuple[str, ...] = ()

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of the compartments (k)."""
        return tuple(basin.room.name for basin in self.basins)

    @cached_property
    def capacity(self) -> Array:
        """Volumes of water (k,) that the compartments can hold (m3)."""
        return np.array([basin.capacity for basin in self.basins])

    @cached_property
    def pipes(self) -> Array:
        """Areas (k,) of the vent pipes over full compartments (m2)."""
        return np.array([basin.pipe for basin in self.basins])

    @cached_property
    def sides(self) -> Ints:
        """The two ends of each path (m, 2), the sea being k."""
        spaces = (*self.names, SEA)
        return np.array([[spaces.index(name) for name in way.rooms] for way in self.ways])

    @cached_property
    def balance(self) -> Array:
        """Share that each compartment gains of what passes each path and pump (k, m + p)."""
        gains = np.zeros((len(self.basins) + 1, len(self.ways) + len(self.pumps)))
        each = np.arange(len(self.ways))
        np.add.at(gains, (self.sides[:, 0], each), -1.0)
        np.add.at(gains, (self.sides[:, 1], each), 1.0)
        for i, pump in enumerate(self.pumps):
            gains[self.names.index(pump.room), len(each) + i] = -1.0
        return gains[:-1]

    @cached_property
    def spread(self) -> Array:
        """The least flow through each path per unit gain of each compartment (m + p, k), a
        pseudoinverse."""
        return np.linalg.pinv(self.balance)

    def reach(self, pose: Pose) -> Array:
        """Height of the water beside each compartment above the sill of a path into it (k,), m."""
        over, reach = Tide(self, pose).over, np.full(len(self.basins) + 1, -np.inf)
        for side in (0, 1):
            np.maximum.at(reach, self.sides[:, side], over[1 - side])
        return reach[:-1]

    def water(self, passed: Array) -> Array:
        """Water (k,) in the compartments after given volumes have passed the paths and pumps
        (m3)."""
        water: Array = self.start + self.balance @ passed
        return water

    def push(self, water: Array) -> tuple[Array, Array]:
        """Excess pressure of trapped air as a head (k,) in m, and its derivative (1/m2).

        Air is isothermal: pressure times volume stays constant (Boyle). Beyond compression to
        `LAST_AIR` of it the curve continues linearly.
        """
        air = np.maximum(self.capacity - self.start, LAST_AIR * self.capacity)
        shut = np.array([name in self.trapped for name in self.names])
        left = air - (water - self.start)
        some = np.maximum(left, LAST_AIR * air)
        head = ATMOSPHERE / (self.density * GRAVITY)
        slope = head * air / some**2
        push = head * (air / some - 1) + slope * (some - left)
        return np.where(shut, push, 0.0), np.where(shut, slope, 0.0)


@dataclass(frozen=True)
class Tide:
    """Flows in a network linearized about a pose, at a time (s) that determines which pumps run."""

    network: Network
    pose: Pose
    time: float = 0.0

    @cached_property
    def _sills(self) -> tuple[Array, Array]:
        """Lowest heights (m,) of the paths along up, not below the floor of a compartment, and
        their vertical extents."""
        ways, up = self.network.ways, self.pose.attitude.up
        rise = np.array([way.height for way in ways]) * up[2]
        foot = np.array([way.sill for way in ways]) @ up + np.minimum(rise, 0.0)
        floors = np.append(self.pose.lows, -np.inf)[self.network.sides].max(axis=1)
        sill = np.maximum(foot, floors)
        return sill, np.maximum(foot + np.abs(rise) - sill, 0.0)

    @cached_property
    def over(self) -> Array:
        """Levels (2, m) on both sides of the paths above their sills (m)."""
        levels = np.append(self.pose.levels, self.pose.attitude.level)
        over: Array = levels[self.network.sides.T] - self._sills[0]
        return over

    @cached_property
    def _turning(self) -> Array:
        """Change of those levels per water in each compartment by the motion of the vessel (2, m,
        k)."""
        pose = self.pose
        points = np.array([way.sill for way in self.network.ways])
        middles = pose.arms(pose.middles)
        own = np.concatenate([middles, np.zeros((1, 3))])[self.network.sides.T]
        turning: Array = (pose.arms(points) - own) @ (pose.yielding @ middles.T)
        return turning

    @cached_property
    def _areas(self) -> Array:
        """Areas (m,) of the paths times their discharge coefficients (m2)."""
        return np.array([way.area for way in self.network.ways])

    def _rises(self, water: Array) -> tuple[Array, Array]:
        """Rise (k,) of the levels with water (k,) in the compartments, and its derivative
        (1/m2)."""
        network, before = self.network, self.pose.water
        full = network.capacity
        over, was_over = np.maximum(water - full, 0.0), np.maximum(before - full, 0.0)
        rise = (np.minimum(water, full) - np.minimum(before, full)) / self.pose.areas
        return (
            rise + (over - was_over) / network.pipes,
            np.where(water > full, 1 / network.pipes, 1 / self.pose.areas),
        )

    def flows(self, water: Array) -> tuple[Array, Array]:
        """Flow (m + p,) through each path and pump with water (k,) in the compartments (m3/s), and
        its Jacobian (m + p, k) with respect to the water in each (1/s)."""
        network = self.network
        rise, steep = self._rises(water)
        push, press = network.push(water)
        rise, steep, push, press = (np.append(part, 0.0) for part in (rise, steep, push, press))
        first, second = network.sides.T
        over = self.over + self._turning @ (water - self.pose.water) + rise[network.sides.T]
        found = flow(over[0], over[1], push[first] - push[second], self._areas, self._sills[1])
        each, count = np.arange(len(first)), len(network.basins)
        own = np.zeros((len(first), count + 1))
        own[each, first] = found.by_first * steep[first] + found.by_push * press[first]
        own[each, second] += found.by_second * steep[second] - found.by_push * press[second]
        by_first, by_second = found.by_first[:, None], found.by_second[:, None]
        slopes = own[:, :-1] + by_first * self._turning[0] + by_second * self._turning[1]
        lifted, drawn = self._lifted(water)
        return np.concatenate([found.rate, lifted]), np.concatenate([slopes, drawn])

    def _lifted(self, water: Array) -> tuple[Array, Array]:
        """Pump flows (p,) in m3/s, and their Jacobian (p, k)."""
        network = self.network
        slopes = np.zeros((len(network.pumps), len(water)))
        rates = np.zeros(len(network.pumps))
        for i, pump in enumerate(network.pumps):
            room = network.names.index(pump.room)
            all_there = max(water[room], 0.0) / BREATH
            if self.time >= pump.starts:
                rates[i] = min(pump.rate, all_there)
                slopes[i, room] = (all_there < pump.rate) / BREATH
        return rates, slopes

    def solve(self, base: Array, stretch: float, guess: Array) -> tuple[Array, Array] | None:
        """Solves water (k,) = `base` plus `stretch` seconds of flow at that state, and returns it
        with the Jacobian of the residual (k, k). None where no solution is found.

        In a full compartment the volume in its vent pipe may be below rounding, and so the flow
        driven by it: where only that remains, a damped step does no better.
        """
        network, scale = self.network, self.network.capacity

        def unfit(water: Array) -> tuple[Array, Array]:
            rates, slopes = self.flows(water)
            gained = network.balance @ np.column_stack([rates, slopes])
            off = water - base - stretch * gained[:, 0]
            return off / scale, np.eye(len(water)) - stretch * gained[:, 1:]

        water = guess
        off, slope = unfit(water)
        for _ in range(MOST_TURNS):
            move = np.linalg.solve(slope, -off * scale)
            fine = np.maximum(SOLVED / self._rises(water)[1], ROUNDING * scale)
            small = bool((np.abs(move) <= np.minimum(fine, CLOSED * scale)).all())
            share, before = 1.0, np.linalg.norm(off)
            while True:
                tried = water + share * move
                tried_off, there = unfit(tried)
                if small or np.linalg.norm(tried_off) <= (1 - share / 4) * before:
                    break
                share /= 2
                if share < LEAST_SHARE:
                    return (water, slope) if (np.abs(move) <= CLOSED * scale).all() else None
            water, off, slope = tried, tried_off, there
            if small:
                return water, slope
        return None
