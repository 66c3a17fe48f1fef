"""Flooding step by step: spaces joined by ways, and the water that has passed each.

The state is the water that has passed every way and pump, so that what leaves one space enters
another. Steps are those of the trapezoidal rule to 2 - sqrt 2 of the step and of the second
backward difference from there to its end, which damps whatever equalises faster than the step,
with an error estimate of third order. Source: Bank and others 1985, IEEE Trans. CAD 4:436; Hosea
and Shampine 1996, Appl. Numer. Math. 20:21 (both from memory).

In each stage the ship's pose is linear in the water, the law of the ways is not; the stage is
solved anew from the pose that it leads to until both agree.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .inlets import Way
from .orifice import GRAVITY, THIN, flow
from .room import SEA
from .waters import Basin, Pose, Standing

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

ATMOSPHERE = 101325.0
LAST_AIR = 1e-3
BREATH = 1.0  # s
TURN = 2 - np.sqrt(2.0)
NEW = TURN / 2
OLD = np.sqrt(2.0) / 4
MISS = np.array([OLD - (1 - OLD) / 3, OLD - (3 * OLD + 1) / 3, NEW - NEW / 3])
FIRST_STEP = 2e-3
MOST_CHANGE = 0.02
MOST_GROWTH = 2.5
SHRINK = 0.25
CAREFUL = 0.9
CLOSE = 0.1
LEAST_STEP = 1e-6
LAST_STEP = 0.01
FINE = 1e-4
MOST_POSES = 6
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
        foot = np.array([way.point for way in ways]) @ up + np.minimum(rise, 0.0)
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
        points = np.array([way.point for way in self.network.ways])
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
        and the slope of what does not fit (k, k). None where none is found."""
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
                tried, (off, there) = water + share * move, unfit(water + share * move)
                if small or np.linalg.norm(off) <= (1 - share / 4) * before:
                    break
                share /= 2
                if share < LEAST_SHARE:
                    return None
            water, slope = tried, there
            if small:
                return water, slope
        return None


@dataclass(frozen=True)
class Moment:
    """A ship at a time (s): what has `passed` (m + p,) each way and pump (m3), the `water` (k,)
    in her rooms, her pose, None where she has none, and the flows (m + p,) in m3/s.

    `earlier` (m + p,) had passed a share `TURN` of the way to it from the moment before. `rests`
    is true where as much time again would change nothing.
    """

    time: float
    passed: Array
    water: Array
    pose: Pose | None
    rates: Array
    earlier: Array
    rests: bool = False


@dataclass(frozen=True)
class March:
    """Steps through a network from a first pose, each missing no room's capacity by more than a
    share `tolerance`."""

    network: Network
    stand: Standing
    tolerance: float = 1e-6

    def begin(self, pose: Pose) -> Moment:
        """The ship at time 0."""
        nothing = np.zeros(self.network.balance.shape[1])
        return self._moment(0.0, nothing, nothing, pose)

    def on(self, here: Moment, until: float) -> Iterator[Moment]:
        """Moments after `here`, to one a little after she has come to rest, or has no pose, or
        time is up. Where no step is short enough, as where she falls over, one goes straight ahead.
        """
        network = self.network
        fastest = np.abs(network.balance @ here.rates / network.capacity).max()
        step = FIRST_STEP / max(fastest, FIRST_STEP / until)
        least = LEAST_STEP * step
        while here.time < until and here.pose and not here.rests:
            starts = [pump.starts for pump in network.pumps if pump.starts > here.time]
            left = min([until, *starts]) - here.time
            least = max(least, LEAST_STEP * here.time)
            there = None
            while there is None:
                span = min(step, left)
                if span > least:
                    there, growth = self._stepped(here, here.pose, span)
                else:
                    there, growth = self._pushed(here, span), MOST_GROWTH
                step = growth * span
            here = there
            yield here
        if here.pose and here.rests:
            yield self._rested(here, here.pose)

    def between(self, here: Moment, there: Moment, time: float) -> Moment:
        """The ship at a time between a moment and the next, by the parabola of the step; in the
        pose of the next where she has none, as while she falls over."""
        span = there.time - here.time
        share = (time - here.time) / span
        early, whole = there.earlier - here.passed, there.passed - here.passed
        bend = (early / TURN - whole) / (TURN - 1)
        passed = here.passed + share * (whole + (share - 1) * bend)
        return self._moment(time, passed, passed, self._pose(passed, here.pose) or there.pose)

    def _stepped(self, here: Moment, pose: Pose, span: float) -> tuple[Moment | None, float]:
        """The moment a span (s) later, None where it must be shorter; and by how much the next
        should be longer."""
        net, scale, old = self.network.balance, self.network.capacity, here.rates
        half = self._stage(here.time, here.water + NEW * span * net @ old, NEW * span, pose)
        if half is None:
            return None, SHRINK
        base = here.water + OLD * span * net @ (old + half.rates)
        end = self._stage(here.time, base, NEW * span, half.pose)
        if end is None:
            return None, SHRINK
        rates = np.array([old, half.rates, end.rates])
        miss = np.linalg.solve(end.slope, span * net @ (MISS @ rates))
        error = float(np.abs(miss / scale).max()) / self.tolerance
        passed = self._spared(here.passed, span * (np.array([OLD, OLD, NEW]) @ rates))
        change = float(np.abs((self.network.water(passed) - here.water) / scale).max())
        growth = min(MOST_GROWTH, CAREFUL / max(error, 1e-9) ** (1 / 3))
        growth = min(growth, MOST_CHANGE / max(change, 1e-9))
        if error > 1 or change > 2 * MOST_CHANGE:
            return None, float(np.clip(growth, SHRINK / 2, 2 * SHRINK))
        earlier = here.passed + NEW * span * (old + half.rates)
        there = self._moment(here.time + span, passed, earlier, self._pose(passed, end.pose))
        if there.pose is None:
            return None, SHRINK
        if there.rests and span > FINE * there.time:
            return None, 2 * SHRINK
        return there, growth

    def _pushed(self, here: Moment, span: float) -> Moment:
        """The moment a span (s) later, at the rates of before."""
        passed = self._spared(here.passed, span * here.rates)
        earlier = here.passed + TURN * (passed - here.passed)
        return self._moment(here.time + span, passed, earlier, self._pose(passed, here.pose))

    def _rested(self, here: Moment, pose: Pose) -> Moment:
        """A moment later, by a backward difference that takes away what had not yet levelled."""
        span = LAST_STEP * here.time
        last = self._stage(here.time, here.water, span, pose)
        return self._pushed(replace(here, rates=last.rates) if last else here, span)

    def _stage(self, time: float, base: Array, stretch: float, pose: Pose) -> Stage | None:
        """Water that is `base` and what flows in `stretch` seconds at the rate it has then.

        Where heads all but vanish flows are mostly rounding, so they are put right by the water.
        """
        close = CLOSE * np.sqrt(self.tolerance) * self.network.capacity
        water = pose.water
        for _ in range(MOST_POSES):
            tide = Tide(self.network, pose, time)
            solved = tide.solve(base, stretch, water)
            if solved is None:
                return None
            water, slope = solved
            if (np.abs(water - pose.water) <= close).all():
                rates, _ = tide.flows(water)
                missed = (water - base) / stretch - self.network.balance @ rates
                return Stage(pose, rates + self.network.spread @ missed, slope)
            there = self.stand(water, pose)
            if there is None:
                return None
            pose = there
        return None

    def _spared(self, passed: Array, more: Array) -> Array:
        """What has passed and `more`, less what would leave rooms that have run empty."""
        balance = self.network.balance
        for room, left in enumerate(self.network.water(passed + more)):
            if left < 0:
                given = np.minimum(balance[room] * more, 0.0)
                share = 1 + left / max(-float(given.sum()), -left)
                more = np.where(given < 0, share * more, more)
        return passed + more

    def _pose(self, passed: Array, near: Pose | None) -> Pose | None:
        return self.stand(self.network.water(passed), near)

    def _moment(self, time: float, passed: Array, earlier: Array, pose: Pose | None) -> Moment:
        network = self.network
        water = network.water(passed)
        if pose is None:
            return Moment(time, passed, water, None, np.zeros_like(passed), earlier)
        tide = Tide(network, pose, time)
        rates, _ = tide.flows(water)
        again = tide.solve(water, time, water)
        still = (
            again is not None
            and (np.abs(again[0] - water) <= self.tolerance * network.capacity).all()
        )
        if time == 0:
            still = not (network.balance @ rates).any()
        waits = any(pump.starts > time for pump in network.pumps)
        return Moment(time, passed, water, pose, rates, earlier, bool(still and not waits))


@dataclass(frozen=True)
class Stage:
    """A stage of a step: the pose, the flows (m + p,) and the slope (k, k) of what did not fit."""

    pose: Pose
    rates: Array
    slope: Array
