"""Flooding in time and flooding at rest agree on how it ends, for barges of any division."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest

from addon.core.damage.breach import Breach
from addon.core.damage.flooding import flood
from addon.core.flooding_time.time_to_flood import simulate_flooding
from addon.core.model.case import Case
from addon.core.model.compartment import CompartmentPlan
from addon.core.model.hull import build_hull
from addon.core.model.openings import Door
from addon.core.model.weights import Weight
from tests import bodies
from tests.core.box_compartments import block
from tests.tank_networks import compartment_of

pytestmark = pytest.mark.slow

CLOSE = 1e-3
"""m, and radians, by which an end in time may be off that at rest."""


def barge(seed: int) -> tuple[Case, CompartmentPlan, str, Breach]:
    """A box in three to eight compartments, doors in some of the boundaries, and a hole in a
    bottom."""
    chance = np.random.default_rng(seed)
    length, breadth, depth = chance.uniform((30, 8, 4), (50, 12, 6))
    hull = build_hull(bodies.mesh(bodies.box(length, breadth, depth)))
    mass = length * breadth * chance.uniform(0.25, 0.42) * depth * 1000.0
    center = np.array([length * chance.uniform(0.48, 0.52), 0.0, depth * chance.uniform(0.3, 0.6)])
    boundaries = np.sort(chance.uniform(0.1, 0.9, chance.integers(2, 5))) * length
    places = []
    for x in pairwise((0.0, *boundaries.tolist(), length)):
        middle = float(chance.uniform(-0.2, 0.2) * breadth)
        halves = (middle,) if chance.random() < 0.4 else ()
        ends = (-breadth / 2, *halves, breadth / 2)
        places += [(x, y) for y in pairwise(ends)]
    compartments = [
        compartment_of(f"compartment {i}", block(x, y, (0, depth)), chance.uniform(0.6, 1.0))
        for i, (x, y) in enumerate(places)
    ]
    beside, doors = [], []
    for one, other in combinations(range(len(compartments)), 2):
        (x, y), (there, across) = places[one], places[other]
        low, high = max(y[0], across[0]), min(y[1], across[1])
        if x != there and (x[1] != there[0] or high <= low):
            continue
        at = [sum(x) / 2, y[1]] if x == there else [x[1], (low + high) / 2]
        names = compartments[one].name, compartments[other].name
        beside.append(names)
        if chance.random() < 0.4:
            sill = np.array([*at, depth * chance.uniform(0.1, 0.7)])
            area, height = chance.uniform(0.3, 1.5), depth * chance.uniform(0, 0.25)
            doors.append(Door(f"door {len(doors)}", sill, area, height, names))
    breached = int(chance.integers(len(compartments)))
    hole = Breach(np.append(np.mean(places[breached], axis=1), 0.0), chance.uniform(0.1, 0.5))
    case = Case("barge", hull, (Weight("all", mass, center),), 1000.0, doors=tuple(doors))
    return (
        case,
        CompartmentPlan(tuple(compartments), tuple(beside)),
        compartments[breached].name,
        hole,
    )


@pytest.mark.parametrize("seed", (*range(9), *range(10, 21)))
def test_what_settles_does_so_where_its_compartments_leave_it_at_rest(seed: int) -> None:
    """Where water stands as high in the compartments reached as outside, or fills them. At rest
    water may go further, as every way under the sea counts whatever it takes in time; never less
    far."""
    case, plan, compartment, hole = barge(seed)
    run = simulate_flooding(case, plan, compartment, hole, tolerance=1e-4)
    if run.lost is not None:
        assert not flood(case, plan, [compartment], whole_curve=False).survives
        return
    assert run.settled is not None
    found = flood(case, plan, run.compartments, whole_curve=False)
    assert {*run.compartments} <= {*found.compartments}
    if {*run.compartments} != {*found.compartments}:
        return
    rest = found.floating.equilibrium
    assert rest and found.survives
    assert rest.attitude.up == pytest.approx(run.ups[-1], abs=CLOSE)
    assert rest.attitude.level == pytest.approx(run.levels[-1], abs=CLOSE)
    for name, water in zip(run.compartments, run.water[-1], strict=True):
        flooded = plan.compartment(name)
        assert flooded
        below = flooded.permeability * flooded.body.below(rest.attitude).volume
        assert water == pytest.approx(below, abs=CLOSE * flooded.volume)
