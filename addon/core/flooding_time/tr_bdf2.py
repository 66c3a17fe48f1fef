"""TR-BDF2 integration of progressive flooding, with error control.

The state is the volume that has passed each flooding path and pump, so that what leaves one
compartment enters another. A step is the trapezoidal rule to 2 - sqrt 2 of it and the second
backward difference from there to its end, which damps whatever equalizes faster than the step, with
an error estimate of third order. Source: Bank and others 1985, Transient simulation of silicon
devices and circuits, IEEE Trans. CAD 4:436; Hosea and Shampine 1996, Analysis and implementation of
TR-BDF2, Appl. Numer. Math. 20:21 (both from memory).

In each stage the pose is linear in the water, the flow is not; the stage is solved again from the
pose that it leads to until both agree.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from .flooded_state import Pose, Standing
from .flow_network import Network, Tide

Array = NDArray[np.float64]

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
MOST_STEPS = 10_000
"""Steps tried in a run. The longest of the examples tries 240, so one that tries so many more does
not converge: a bound to what it costs, and an error in place of a run without end."""


@dataclass(frozen=True)
class Moment:
    """The state at a time (s): the volumes `passed` (m + p,) through each path and pump (m3), the
    `water` (k,) in the compartments, the pose, None where there is none, and the flows (m + p,) in
    m3/s.

    `earlier` (m + p,) had passed at a share `TURN` of the step to it. `rests` is true where an
    equally long further step would change nothing.
    """

    time: float
    passed: Array
    water: Array
    pose: Pose | None
    rates: Array
    earlier: Array
    rests: bool = False


@dataclass(frozen=True)
class Stage:
    """A stage of a step: the pose, the flows (m + p,) and the Jacobian (k, k) of the residual."""

    pose: Pose
    rates: Array
    slope: Array


@dataclass(frozen=True)
class March:
    """Steps through a network from a first pose, each with an error of at most a share `tolerance`
    of any compartment's capacity."""

    network: Network
    stand: Standing
    tolerance: float = 1e-6

    def begin(self, pose: Pose) -> Moment:
        """The state at time 0."""
        nothing = np.zeros(self.network.balance.shape[1])
        return self._moment(0.0, nothing, nothing, pose)

    def on(self, here: Moment, until: float) -> Iterator[Moment]:
        """Moments after `here`, to one a little after she has come to rest, or has no pose, or
        time is up. Where no step is short enough, as where she falls over, one goes straight ahead.
        Raises BadInputError after `MOST_STEPS` of them.
        """
        network = self.network
        fastest = np.abs(network.balance @ here.rates / network.capacity).max()
        step = FIRST_STEP / max(fastest, FIRST_STEP / until)
        least = LEAST_STEP * step
        tried = 0
        while here.time < until and here.pose and not here.rests:
            starts = [pump.starts for pump in network.pumps if pump.starts > here.time]
            left = min([until, *starts]) - here.time
            least = max(least, LEAST_STEP * here.time)
            there = None
            while there is None:
                tried += 1
                if tried > MOST_STEPS:
                    raise BadInputError(_endless(here.time))
                span = min(step, left)
                if span > least:
                    there, growth = self._stepped(here, here.pose, span)
                else:
                    there, growth = self._pushed(here, span), MOST_GROWTH
                step = growth * span
            here = there
            yield here
        if here.pose and here.rests:
            yield from self._rested(here, here.pose)

    def between(self, here: Moment, there: Moment, time: float) -> Moment:
        """The state at a time between two successive ones, by the parabola of the step; in the pose
        of the next where there is none, as during a capsize."""
        span = there.time - here.time
        share = (time - here.time) / span
        early, whole = there.earlier - here.passed, there.passed - here.passed
        bend = (early / TURN - whole) / (TURN - 1)
        passed = here.passed + share * (whole + (share - 1) * bend)
        return self._moment(time, passed, passed, self._pose(passed, here.pose) or there.pose)

    def _stepped(self, here: Moment, pose: Pose, span: float) -> tuple[Moment | None, float]:
        """The state a span (s) later, None where the span must be shorter; and the factor for the
        next."""
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
        """The state a span (s) later, by an explicit step at the present rates."""
        passed = self._spared(here.passed, span * here.rates)
        earlier = here.passed + TURN * (passed - here.passed)
        return self._moment(here.time + span, passed, earlier, self._pose(passed, here.pose))

    def _rested(self, here: Moment, pose: Pose) -> Iterator[Moment]:
        """A later state, by a backward difference that removes whatever has not yet equalized."""
        span = LAST_STEP * here.time
        last = self._stage(here.time, here.water, span, pose)
        if last:
            yield self._pushed(replace(here, rates=last.rates), span)

    def _stage(self, time: float, base: Array, stretch: float, pose: Pose) -> Stage | None:
        """Solves a stage: water equal to `base` plus `stretch` seconds of flow at that state.

        Where heads nearly vanish the flows are mostly rounding, so they are corrected by the water.
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
        """The passed volumes and `more`, less what would leave empty compartments."""
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
        still = again is not None and bool(
            (np.abs(again[0] - water) <= self.tolerance * network.capacity).all()
        )
        if time == 0:
            still = not (network.balance @ rates).any()
        waits = any(pump.starts > time for pump in network.pumps)
        return Moment(time, passed, water, pose, rates, earlier, still and not waits)


def _endless(time: float) -> Sentence:
    return Sentence(
        "flooding: {count} steps lead no further than {time} s; end it before that, or give holes, "
        "doors and pumps other sizes",
        count=MOST_STEPS,
        time=f"{time:.4g}",
    )
