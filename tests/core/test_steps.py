"""Flooding step by step: what a step misses, how air is shut in, and a run that cannot end."""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.damage.orifice import GRAVITY
from addon.core.flooding_time import tr_bdf2
from addon.core.flooding_time.flooded_state import (
    MIN_WATER_SHARE,
    FloatingVessel,
    FloodableCompartment,
)
from addon.core.flooding_time.flow_network import (
    ATMOSPHERIC_PRESSURE,
    MIN_AIR_SHARE,
    FlowNetwork,
    LinearizedFlow,
    Pump,
)
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.model.case import Case
from addon.core.model.compartment import SEA
from addon.core.model.hull import build_hull
from addon.core.model.weights import Weight
from tests import bodies
from tests.core.box_compartments import block
from tests.language import refused
from tests.tank_networks import TankRun, compartment_of, way

TANK = compartment_of("tank", block((0, 5), (0, 2), (0, 1)))
OUTLET = way("tank", SEA, (2.5, 1, 0), 0.002)
ENOUGH = 150
"""Steps in which the tank runs dry."""


def drained() -> TankRun:
    """The tank, full at first."""
    return TankRun((TANK,), (OUTLET,), (TANK.volume,), tolerance=1e-4)


@pytest.fixture(scope="module")
def run() -> TankRun:
    return drained()


@pytest.mark.parametrize("power", [0, 1, 2])
def test_a_step_misses_what_one_of_third_order_does_not(power: int) -> None:
    """The weights of a step less those of its error are those of a rule of third order, which
    integrates a parabola exactly; the step itself is of second order."""
    places = np.array([0.0, tr_bdf2.GAMMA, 1.0])
    weights = np.array([tr_bdf2.WEIGHT_OLD, tr_bdf2.WEIGHT_OLD, tr_bdf2.WEIGHT_NEW])
    exact = 1 / (power + 1)
    assert (weights - tr_bdf2.ERROR_WEIGHTS) @ places**power == pytest.approx(exact, rel=1e-14)
    assert (weights @ places**power == pytest.approx(exact, rel=1e-14)) == (power < 2)


def test_the_error_of_a_step_falls_with_its_cube(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tr_bdf2, "MAX_STEP_GROWTH", np.inf)
    monkeypatch.setattr(tr_bdf2, "MAX_CHANGE_SHARE", np.inf)
    trough = compartment_of("tank", bodies.wedge(5.0, 1.8, 1.2))
    run = TankRun((trough,), (OUTLET,), (trough.volume,), tolerance=1e-3)
    here, march = run.instants[0], run.stepper
    assert here.state is not None
    growths = []
    for span in (80.0, 40.0, 20.0):
        there, growth = march._try_step(here, here.state, span)
        assert there is not None and there.time == span
        growths.append(growth)
    assert growths[1] / growths[0] == pytest.approx(2.0, rel=0.05)
    assert growths[2] / growths[1] == pytest.approx(2.0, rel=0.05)


def test_between_moments_the_water_is_on_their_parabola(run: TankRun) -> None:
    """The square root of the depth falls steadily (Torricelli): the water is a parabola in time."""
    empties = 2 * 10 * np.sqrt(1.0) / (0.6 * 0.002 * np.sqrt(2 * GRAVITY))
    last = next(i for i, moment in enumerate(run.instants) if moment.time > 0.9 * empties)
    for here, there in zip(run.instants[:last], run.instants[1 : last + 1], strict=True):
        span = there.time - here.time
        turn = run.stepper.interpolated(here, there, here.time + tr_bdf2.GAMMA * span)
        assert turn.passed == pytest.approx(there.earlier, rel=1e-12, abs=1e-12)
        for share in (0.25, 0.75):
            time = here.time + share * span
            water = run.stepper.interpolated(here, there, time).water[0]
            assert water == pytest.approx(10 * (1 - time / empties) ** 2, abs=1e-3)


def test_a_step_straight_ahead_is_a_line(run: TankRun) -> None:
    here = run.instants[5]
    there = run.stepper._explicit_step(here, 2.0)
    assert there.passed - here.passed == pytest.approx(2.0 * here.rates, rel=1e-12)
    half = run.stepper.interpolated(here, there, here.time + 1.0)
    assert half.passed - here.passed == pytest.approx(here.rates, rel=1e-12)


def test_no_more_leaves_a_compartment_than_is_in_it(run: TankRun) -> None:
    march = run.stepper
    passed = march._limited_to_content(np.array([9.0]), np.array([1.5]))
    assert march.network.water(passed) == pytest.approx([0.0], abs=1e-12)
    assert march._limited_to_content(np.array([9.0]), np.array([0.5])) == pytest.approx([9.5])


@pytest.mark.parametrize("weight", [0, 1, 2])
def test_a_run_with_a_wrong_error_ends_with_a_line(
    weight: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error that does not vanish with the step keeps every step too long."""
    monkeypatch.setattr(tr_bdf2, "ERROR_WEIGHTS", tr_bdf2.ERROR_WEIGHTS + 0.1 * np.eye(3)[weight])
    monkeypatch.setattr(tr_bdf2, "MOST_STEPS", ENOUGH)
    with refused(r"^flooding: 150 steps lead no further than [^\n]* s;"):
        drained()


def test_a_run_takes_far_fewer_steps_than_the_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    assert 20 * ENOUGH < tr_bdf2.MOST_STEPS
    monkeypatch.setattr(tr_bdf2, "MOST_STEPS", ENOUGH)
    assert drained().instants[-1].at_rest


@pytest.mark.slow
def test_what_has_equalized_costs_no_steps() -> None:
    """Through a door of 100 m2 two tanks drain as one does, in about as many steps: the error of a
    step counts as much as the step itself damps it."""
    ends = block((0, 5), (0, 2), (0, 1)), block((5, 10), (0, 2), (0, 1))
    aft, forward = (compartment_of(name, body) for name, body in zip("ab", ends, strict=True))
    whole = compartment_of("a", block((0, 10), (0, 2), (0, 1)))
    door, out = way("a", "b", (5, 1, 0), 100.0), way("b", SEA, (10, 1, 0), 0.002)
    two = TankRun((aft, forward), (door, out), (aft.volume, forward.volume), tolerance=1e-10)
    one = TankRun((whole,), (way("a", SEA, (10, 1, 0), 0.002),), (20.0,), tolerance=1e-10)
    assert len(two.instants) < 2 * len(one.instants)


def test_air_shut_in_presses_by_boyle_and_beyond_its_last_along_a_line() -> None:
    """Of 8 m3 of air over 2 m3 of water; a compartment that is vented has none of it."""
    other = compartment_of("other", block((5, 10), (0, 2), (0, 1)))
    start = np.array([2.0, 0.0])
    network = FlowNetwork(
        (FloodableCompartment(TANK), FloodableCompartment(other)),
        (OUTLET,),
        start,
        1000.0,
        trapped=("tank",),
    )
    head = ATMOSPHERIC_PRESSURE / (1000 * GRAVITY)

    def push(water: float) -> tuple[float, float]:
        found, slope = network.air_head(np.array([water, water]))
        assert found[1] == slope[1] == 0
        return found[0], slope[0]

    for left in (8.0, 4.0, 1.0, 8 * MIN_AIR_SHARE):
        found, slope = push(10 - left)
        assert found == pytest.approx(head * (8 / left - 1), rel=1e-9, abs=1e-9)
        assert slope == pytest.approx(head * 8 / left**2, rel=1e-9)
    last, steep = head * (1 / MIN_AIR_SHARE - 1), head / (8 * MIN_AIR_SHARE**2)
    for more in (0.002, 0.008, 0.5):
        found, slope = push(10 - 8 * MIN_AIR_SHARE + more)
        assert found == pytest.approx(last + steep * more, rel=1e-9)
        assert slope == pytest.approx(steep, rel=1e-9)


def test_a_compartment_that_is_full_of_water_keeps_the_last_of_its_air() -> None:
    """A compartment without air to begin with is taken to have a share `MIN_AIR_SHARE` of what it
    holds."""
    network = FlowNetwork(
        (FloodableCompartment(TANK),), (OUTLET,), np.array([TANK.volume]), 1000.0, trapped=("tank",)
    )
    head = ATMOSPHERIC_PRESSURE / (1000 * GRAVITY)
    found, slope = network.air_head(np.array([TANK.volume + 0.004]))
    air = MIN_AIR_SHARE * TANK.volume
    left = air - 0.004
    assert found[0] == pytest.approx(head * (air / left - 1), rel=1e-6)
    assert slope[0] == pytest.approx(head * air / left**2, rel=1e-6)


def test_levels_in_a_compartment() -> None:
    """With the level surface of 10 m2 in a compartment 1 m high: nearly dry, half full, and over
    full."""
    basin, up = FloodableCompartment(TANK), np.array([0.0, 0.0, 1.0])
    half = basin.water_state(up, 5.0)
    assert (half.level, half.low, half.high) == pytest.approx((0.5, 0.0, 1.0))
    assert half.area == pytest.approx(10.0) and half.center[2] == pytest.approx(0.25)
    more = 1e-3 * basin.vent_area
    full = basin.water_state(up, 10.0 + more)
    assert full.level == pytest.approx(1.0 + more / basin.vent_area) and full.level > 1.0
    damp = basin.water_state(up, MIN_WATER_SHARE * basin.capacity / 2)
    assert damp.level == pytest.approx(
        MIN_WATER_SHARE / 2, rel=1e-6
    ) and damp.area == pytest.approx(10.0)
    dry = basin.water_state(up, 0.0)
    assert dry.level == 0.0 and dry.area == pytest.approx(10.0)
    below = basin.water_state(up, -1e-20)
    assert below.level < 0.0


@pytest.mark.parametrize("trapped", [(), ("aft",)])
@pytest.mark.parametrize("water", [(40.0, 8.0), (60.0, 0.004), (100.0 + 4e-7, 8.0)])
def test_slopes_of_the_flows_of_a_ship(
    water: tuple[float, float], trapped: tuple[str, ...]
) -> None:
    """As water comes in it yields, levels rise and shut-in air presses: each flow changes as its
    slope says, with a compartment full and a pump that draws all there is."""
    hull = build_hull(bodies.mesh(bodies.box(40.0, 10.0, 5.0)))
    case = Case("ship", hull, (Weight("all", 1e6, np.array([20.0, 0.0, 2.0])),), 1000.0)
    rest = find_floating_position(case, seek_others=False).equilibrium
    assert rest
    basins = (
        FloodableCompartment(compartment_of("aft", block((2, 12), (-5, 5), (0, 1)))),
        FloodableCompartment(compartment_of("wing", block((12, 20), (1, 5), (0, 4)))),
    )
    ways = (way(SEA, "aft", (5, 0, 0), 0.1), way("aft", "wing", (12, 3, 0.05), 0.2))
    pumps = (Pump("wing", 0.01),)
    network = FlowNetwork(basins, ways, np.array([10.0, 0.0]), 1000.0, pumps, trapped)
    here = np.array(water)
    pose = FloatingVessel(hull.tree, case.load, basins, rest.attitude)(here)
    assert pose
    tide = LinearizedFlow(network, pose, 1.0)
    rates, slopes = tide.flows(here)
    assert rates[2] == pytest.approx(min(0.01, water[1]))
    for i, size in enumerate(np.where(here >= network.capacity, 1e-10, 1e-6)):
        more = size * np.eye(2)[i]
        there, back = tide.flows(here + more)[0], tide.flows(here - more)[0]
        assert (there - back) / (2 * size) == pytest.approx(slopes[:, i], rel=1e-3, abs=1e-5)
