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

from ..arrays import Floats
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from .flooded_state import FloodedState, StateSolver
from .flow_network import FlowNetwork, LinearizedFlow

GAMMA = 2 - np.sqrt(2.0)
"""Share of a step that the trapezoidal rule takes."""
WEIGHT_NEW = GAMMA / 2
"""Weight of the slope at the end of a stage."""
WEIGHT_OLD = np.sqrt(2.0) / 4
"""Weight of the slopes before it."""
ERROR_WEIGHTS = np.array(
    [
        WEIGHT_OLD - (1 - WEIGHT_OLD) / 3,
        WEIGHT_OLD - (3 * WEIGHT_OLD + 1) / 3,
        WEIGHT_NEW - WEIGHT_NEW / 3,
    ]
)
"""Weights (3,) of the slopes in the error of third order."""
FIRST_STEP_SHARE = 2e-3
"""Share of a capacity that may flow in the first step."""
MAX_CHANGE_SHARE = 0.02
"""Share of a capacity that a step is to change at most."""
MAX_STEP_GROWTH = 2.5
"""Factor by which a step may grow."""
STEP_REDUCTION = 0.25
"""Factor by which a step that fails shrinks."""
SAFETY_FACTOR = 0.9
"""Share of the step that the error would allow."""
STATE_TOLERANCE = 0.1
"""Share of the root of the tolerance within which state and water agree."""
MIN_STEP_SHARE = 1e-6
"""Share of the first step, and of the time, below which a step is explicit."""
FINAL_STEP_SHARE = 0.01
"""Share of the time that the last step takes."""
MIN_RESTING_STEP_SHARE = 1e-4
"""Share of the time up to which a step may end at rest."""
MAX_STATES = 6
"""States of the vessel that a stage tries."""
MOST_STEPS = 10_000
"""Steps tried in a run. The longest of the examples tries 240, so one that tries so many more does
not converge: a bound to what it costs, and an error in place of a run without end."""


@dataclass(frozen=True)
class Instant:
    """The state at a time (s): the volumes `passed` (m + p,) through each path and pump (m3), the
    `water` (k,) in the compartments, the pose, None where there is none, and the flows (m + p,) in
    m3/s.

    `earlier` (m + p,) had passed at a share `GAMMA` of the step to it. `at_rest` is true where an
    equally long further step would change nothing.
    """

    time: float
    passed: Floats
    water: Floats
    state: FloodedState | None
    rates: Floats
    earlier: Floats
    at_rest: bool = False


@dataclass(frozen=True)
class ImplicitStage:
    """A stage of a step: the pose, the flows (m + p,) and the Jacobian (k, k) of the residual."""

    state: FloodedState
    rates: Floats
    slope: Floats


@dataclass(frozen=True)
class TimeStepper:
    """Steps through a network from a first pose, each with an error of at most a share `tolerance`
    of any compartment's capacity."""

    network: FlowNetwork
    solve_state: StateSolver
    tolerance: float = 1e-6

    def begin(self, state: FloodedState) -> Instant:
        """The state at time 0."""
        nothing = np.zeros(self.network.incidence.shape[1])
        return self._instant(0.0, nothing, nothing, state)

    def steps(self, here: Instant, until: float) -> Iterator[Instant]:
        """States after `here`, up to one shortly after equilibrium, the loss of the pose, or the
        time limit. Where no step is short enough, as in a capsize, one goes straight ahead. Raises
        BadInputError after `MOST_STEPS` steps."""
        network = self.network
        fastest = np.abs(network.incidence @ here.rates / network.capacity).max()
        step = FIRST_STEP_SHARE / max(fastest, FIRST_STEP_SHARE / until)
        least = MIN_STEP_SHARE * step
        tried = 0
        while here.time < until and here.state and not here.at_rest:
            starts = [pump.starts for pump in network.pumps if pump.starts > here.time]
            left = min([until, *starts]) - here.time
            least = max(least, MIN_STEP_SHARE * here.time)
            there = None
            while there is None:
                tried += 1
                if tried > MOST_STEPS:
                    raise BadInputError(_endless(here.time))
                span = min(step, left)
                if span > least:
                    there, growth = self._try_step(here, here.state, span)
                else:
                    there, growth = self._explicit_step(here, span), MAX_STEP_GROWTH
                step = growth * span
            here = there
            yield here
        if here.state and here.at_rest:
            yield from self._final_instant(here, here.state)

    def interpolated(self, here: Instant, there: Instant, time: float) -> Instant:
        """The state at a time between two successive ones, by the parabola of the step; in the pose
        of the next where there is none, as during a capsize."""
        span = there.time - here.time
        share = (time - here.time) / span
        early, whole = there.earlier - here.passed, there.passed - here.passed
        bend = (early / GAMMA - whole) / (GAMMA - 1)
        passed = here.passed + share * (whole + (share - 1) * bend)
        return self._instant(time, passed, passed, self._state(passed, here.state) or there.state)

    def _try_step(
        self, here: Instant, state: FloodedState, span: float
    ) -> tuple[Instant | None, float]:
        """The state a span (s) later, None where the span must be shorter; and the factor for the
        next."""
        net, scale, old = self.network.incidence, self.network.capacity, here.rates
        half = self._stage(
            here.time, here.water + WEIGHT_NEW * span * net @ old, WEIGHT_NEW * span, state
        )
        if half is None:
            return None, STEP_REDUCTION
        base = here.water + WEIGHT_OLD * span * net @ (old + half.rates)
        end = self._stage(here.time, base, WEIGHT_NEW * span, half.state)
        if end is None:
            return None, STEP_REDUCTION
        rates = np.array([old, half.rates, end.rates])
        error_vector = np.linalg.solve(end.slope, span * net @ (ERROR_WEIGHTS @ rates))
        error = float(np.abs(error_vector / scale).max()) / self.tolerance
        passed = self._limited_to_content(
            here.passed, span * (np.array([WEIGHT_OLD, WEIGHT_OLD, WEIGHT_NEW]) @ rates)
        )
        change = float(np.abs((self.network.water(passed) - here.water) / scale).max())
        growth = min(MAX_STEP_GROWTH, SAFETY_FACTOR / max(error, 1e-9) ** (1 / 3))
        growth = min(growth, MAX_CHANGE_SHARE / max(change, 1e-9))
        if error > 1 or change > 2 * MAX_CHANGE_SHARE:
            return None, float(np.clip(growth, STEP_REDUCTION / 2, 2 * STEP_REDUCTION))
        earlier = here.passed + WEIGHT_NEW * span * (old + half.rates)
        there = self._instant(here.time + span, passed, earlier, self._state(passed, end.state))
        if there.state is None:
            return None, STEP_REDUCTION
        if there.at_rest and span > MIN_RESTING_STEP_SHARE * there.time:
            return None, 2 * STEP_REDUCTION
        return there, growth

    def _explicit_step(self, here: Instant, span: float) -> Instant:
        """The state a span (s) later, by an explicit step at the present rates."""
        passed = self._limited_to_content(here.passed, span * here.rates)
        earlier = here.passed + GAMMA * (passed - here.passed)
        return self._instant(here.time + span, passed, earlier, self._state(passed, here.state))

    def _final_instant(self, here: Instant, state: FloodedState) -> Iterator[Instant]:
        """A later state, by a backward difference that removes whatever has not yet equalized."""
        span = FINAL_STEP_SHARE * here.time
        last = self._stage(here.time, here.water, span, state)
        if last:
            yield self._explicit_step(replace(here, rates=last.rates), span)

    def _stage(
        self, time: float, base: Floats, duration: float, state: FloodedState
    ) -> ImplicitStage | None:
        """Solves a stage: water equal to `base` plus `duration` seconds of flow at that state.

        Where heads nearly vanish the flows are mostly rounding, so they are corrected by the water.
        """
        close = STATE_TOLERANCE * np.sqrt(self.tolerance) * self.network.capacity
        water = state.water
        for _ in range(MAX_STATES):
            flow = LinearizedFlow(self.network, state, time)
            solved = flow.solve(base, duration, water)
            if solved is None:
                return None
            water, slope = solved
            if (np.abs(water - state.water) <= close).all():
                rates, _ = flow.flows(water)
                missed = (water - base) / duration - self.network.incidence @ rates
                return ImplicitStage(state, rates + self.network.incidence_inverse @ missed, slope)
            there = self.solve_state(water, state)
            if there is None:
                return None
            state = there
        return None

    def _limited_to_content(self, passed: Floats, more: Floats) -> Floats:
        """The passed volumes and `more`, less what would leave empty compartments."""
        incidence = self.network.incidence
        for compartment, left in enumerate(self.network.water(passed + more)):
            if left < 0:
                given = np.minimum(incidence[compartment] * more, 0.0)
                share = 1 + left / max(-float(given.sum()), -left)
                more = np.where(given < 0, share * more, more)
        return passed + more

    def _state(self, passed: Floats, near: FloodedState | None) -> FloodedState | None:
        return self.solve_state(self.network.water(passed), near)

    def _instant(
        self, time: float, passed: Floats, earlier: Floats, state: FloodedState | None
    ) -> Instant:
        network = self.network
        water = network.water(passed)
        if state is None:
            return Instant(time, passed, water, None, np.zeros_like(passed), earlier)
        flow = LinearizedFlow(network, state, time)
        rates, _ = flow.flows(water)
        again = flow.solve(water, time, water)
        still = again is not None and bool(
            (np.abs(again[0] - water) <= self.tolerance * network.capacity).all()
        )
        if time == 0:
            still = not (network.incidence @ rates).any()
        waits = any(pump.starts > time for pump in network.pumps)
        return Instant(time, passed, water, state, rates, earlier, still and not waits)


def _endless(time: float) -> Sentence:
    return Sentence(
        "flooding: {count} steps lead no further than {time} s; end it before that, or give holes, "
        "doors and pumps other sizes",
        count=MOST_STEPS,
        time=f"{time:.4g}",
    )
