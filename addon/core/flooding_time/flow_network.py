"""Spaces joined by ways and drained by pumps, and what flows between them.

About a pose the levels over the sills are linear in the water of the rooms, but for the rise in a
room that is full and the push of air shut in; the orifice law is kept as it is.
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
BREATH = 1.0  # s
MOST_TURNS = 60
SOLVED = THIN / 10
CLOSED = 1e-8
ROUNDING = 1e-15
LEAST_SHARE = 1e-3


@dataclass(frozen=True)
class Pump:
    """A pump that lifts water out of a room into the sea, at a rate in m3/s from a time (s) on.

    In a second it draws no more than there is.
    """

    room: str
    rate: float
    starts: float = 0.0


@dataclass(frozen=True)
class Network:
    """Rooms, the ways between them and the sea, and pumps; those in `trapped` keep their air.

    `start` (k,) is the water in them to begin with (m3), `density` that of the water (kg/m3).
    """

    basins: tuple[Basin, ...]
    ways: tuple[Way, ...]
    start: Array
    density: float
    pumps: tuple[Pump, ...] = ()
    trapped: tuple[str, ...] = ()

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of the rooms (k)."""
        return tuple(basin.room.name for basin in self.basins)

    @cached_property
    def capacity(self) -> Array:
        """Water (k,) that the rooms can take (m3)."""
        return np.array([basin.capacity for basin in self.basins])

    @cached_property
    def pipes(self) -> Array:
        """Surfaces (k,) of the pipes over full rooms (m2)."""
        return np.array([basin.pipe for basin in self.basins])

    @cached_property
    def sides(self) -> Ints:
        """The two spaces of each way (m, 2), the sea being k."""
        spaces = (*self.names, SEA)
        return np.array([[spaces.index(name) for name in way.rooms] for way in self.ways])

    @cached_property
    def balance(self) -> Array:
        """Share of what passes each way and pump that each room gains (k, m + p)."""
        gains = np.zeros((len(self.basins) + 1, len(self.ways) + len(self.pumps)))
        each = np.arange(len(self.ways))
        np.add.at(gains, (self.sides[:, 0], each), -1.0)
        np.add.at(gains, (self.sides[:, 1], each), 1.0)
        for i, pump in enumerate(self.pumps):
            gains[self.names.index(pump.room), len(each) + i] = -1.0
        return gains[:-1]

    @cached_property
    def spread(self) -> Array:
        """The least that must pass each way for each room to gain a share (m + p, k)."""
        return np.linalg.pinv(self.balance)

    def reach(self, pose: Pose) -> Array:
        """How far the water beside each room stands over the sill of a way into it (k,), m."""
        over, reach = Tide(self, pose).over, np.full(len(self.basins) + 1, -np.inf)
        for side in (0, 1):
            np.maximum.at(reach, self.sides[:, side], over[1 - side])
        return reach[:-1]

    def water(self, passed: Array) -> Array:
        """Water (k,) in the rooms once so much has passed the ways and pumps (m3)."""
        water: Array = self.start + self.balance @ passed
        return water

    def push(self, water: Array) -> tuple[Array, Array]:
        """Head (k,) by which shut-in air presses more than the open (m), and its slope (1/m2).

        Air keeps its temperature: pressure times volume stays as it was (Boyle). Beyond all but
        `LAST_AIR` of it the line goes straight on.
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
    """Flows in a network about a pose, linear in it, at a time (s) that says which pumps run."""

    network: Network
    pose: Pose
    time: float = 0.0

    @cached_property
    def _sills(self) -> tuple[Array, Array]:
        """Lowest heights (m,) of the ways along up, at no floor's lower, and how far they reach."""
        ways, up = self.network.ways, self.pose.attitude.up
        rise = np.array([way.height for way in ways]) * up[2]
        foot = np.array([way.sill for way in ways]) @ up + np.minimum(rise, 0.0)
        floors = np.append(self.pose.lows, -np.inf)[self.network.sides].max(axis=1)
        sill = np.maximum(foot, floors)
        return sill, np.maximum(foot + np.abs(rise) - sill, 0.0)

    @cached_property
    def over(self) -> Array:
        """Levels (2, m) on both sides of the ways over their sills (m)."""
        levels = np.append(self.pose.levels, self.pose.attitude.level)
        over: Array = levels[self.network.sides.T] - self._sills[0]
        return over

    @cached_property
    def _turning(self) -> Array:
        """Change of those levels with the water in each room by her motion (2, m, k)."""
        pose = self.pose
        points = np.array([way.sill for way in self.network.ways])
        middles = pose.arms(pose.middles)
        own = np.concatenate([middles, np.zeros((1, 3))])[self.network.sides.T]
        turning: Array = (pose.arms(points) - own) @ (pose.yielding @ middles.T)
        return turning

    @cached_property
    def _areas(self) -> Array:
        """Areas (m,) of the ways times their coefficients (m2)."""
        return np.array([way.area for way in self.network.ways])

    def _rises(self, water: Array) -> tuple[Array, Array]:
        """Rise (k,) of the levels with water (k,) in the rooms, and its slope (1/m2)."""
        network, before = self.network, self.pose.water
        full = network.capacity
        over, was_over = np.maximum(water - full, 0.0), np.maximum(before - full, 0.0)
        rise = (np.minimum(water, full) - np.minimum(before, full)) / self.pose.areas
        return (
            rise + (over - was_over) / network.pipes,
            np.where(water > full, 1 / network.pipes, 1 / self.pose.areas),
        )

    def flows(self, water: Array) -> tuple[Array, Array]:
        """Flow (m + p,) through each way and pump with water (k,) in the rooms (m3/s), and its
        slope (m + p, k) over the water in each (1/s)."""
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
        """What the pumps draw (p,) in m3/s, and its slope (p, k)."""
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
        """Water (k,) that is `base` and what flows in `stretch` seconds at the rate it has then;
        and the slope of what does not fit (k, k). None where none is found.

        In a full room the least of what its pipe holds is rounding, and so what flows by it: where
        that is all that is left, no share of a step does better.
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
