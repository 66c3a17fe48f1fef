"""A flooding in time as keys: it lies between them as the run has it, and so does the water.

A pose is its middle over the sea, turned by the heel about x and then by the trim about y, as
Blender turns an empty; a run is asked by `moment`, which the keys do not know of.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.blender.viewport.baked_keys import NEAR, Baking, Keys, bake, thinned
from addon.blender.viewport.flooding_playback import Pace, moment
from addon.core.buoyancy.attitude import Attitude, up_from_angles, water_frame
from addon.core.damage.breach import Breach
from addon.core.flooding_time.flooding_history import FloodingHistory
from addon.core.flooding_time.time_to_flood import simulate_flooding
from addon.core.model.compartment import CompartmentPlan
from tests import divided_barge

PACE = Pace(5.0, 0.5)
COMPARTMENT = "store to port"
SIZE = float(np.linalg.norm([divided_barge.LENGTH, divided_barge.BREADTH, divided_barge.DEPTH]))
CORNERS = np.array([[x, y, z] for x in (0, 30) for y in (-4, 4) for z in (0, 4)], float)


@pytest.fixture(scope="module")
def plan() -> CompartmentPlan:
    return divided_barge.plan()


@pytest.fixture(scope="module")
def run(plan) -> FloodingHistory:
    """A hole in its side, which heels and trims it."""
    hole = Breach(np.array([23.0, 4.0, 1.0]), 0.05)
    return simulate_flooding(divided_barge.barge().case, plan, COMPARTMENT, hole)


@pytest.fixture(scope="module")
def baking(run, plan) -> Baking:
    return bake(run, plan, PACE)


def at(keys: Keys, frame: float) -> np.ndarray:
    """On the straight line between two keys."""
    return np.array([np.interp(frame, keys.frames, column) for column in keys.values.T])


def turned(heel: float, trim: float) -> np.ndarray:
    c, s = np.cos(heel), np.sin(heel)
    about_x = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    c, s = np.cos(-trim), np.sin(-trim)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]]) @ about_x


def frames_of(baking: Baking) -> np.ndarray:
    first, last = baking.pose.frames[[0, -1]]
    return np.arange(first, last + 1)


def test_the_whole_run_is_there(run, baking) -> None:
    end = PACE.frame(float(run.times[-1]))
    for keys in (baking.pose, *(keys for _, keys in baking.levels)):
        assert keys.frames[0] == PACE.start and end <= keys.frames[-1] < end + 1
        assert (keys.frames == np.round(keys.frames)).all() and (np.diff(keys.frames) > 0).all()


def test_it_lies_as_in_the_run_at_every_frame(run, plan, baking) -> None:
    heels = []
    for frame in frames_of(baking):
        attitude = moment(run, plan, PACE.time(frame)).attitude
        height, heel, trim = at(baking.pose, frame)
        placed = (CORNERS - baking.pivot) @ turned(heel, trim).T + [0, 0, height]
        assert placed[:, 2] == pytest.approx(attitude.heights(CORNERS), abs=NEAR * SIZE)
        assert turned(heel, trim) == pytest.approx(water_frame(attitude.up), abs=2 * NEAR)
        heels.append(heel)
    assert np.ptp(heels) > np.radians(0.5), "a run in which nothing happens tells nothing"


def test_the_water_in_the_compartment_is_at_the_level_of_the_run(run, plan, baking) -> None:
    compartment, ((name, keys),) = plan.compartment(COMPARTMENT), baking.levels
    assert name == COMPARTMENT
    for frame in frames_of(baking):
        here = moment(run, plan, PACE.time(frame))
        level = at(keys, frame)[0] + here.attitude.level
        dry = compartment.body.span(here.attitude.up)[0] - NEAR * SIZE
        assert level == pytest.approx(dict(here.levels).get(COMPARTMENT, dry), abs=NEAR * SIZE)


def test_the_water_in_the_compartment_is_as_much_as_in_the_run(run, plan, baking) -> None:
    """At the steps of the run, between which it says how much there is but not where."""
    compartment, ((_, keys),) = plan.compartment(COMPARTMENT), baking.levels
    permissible_range = (
        2 * NEAR * SIZE * 6.0 * 4.0
    )  # ship and level both off, over the floor of the compartment
    for time, water in zip(run.times[1:], run.water[1:, 0], strict=True):
        frame = PACE.frame(float(time))
        (_, heel, trim), level = at(baking.pose, frame), at(keys, frame)[0]
        up = turned(heel, trim)[2]
        sea = up @ baking.pivot - at(baking.pose, frame)[0]
        inside = compartment.body.below(Attitude(up, level + sea)).volume
        assert inside == pytest.approx(
            water / compartment.permeability, rel=1e-3, abs=permissible_range
        )


def test_few_keys_do(run, baking) -> None:
    frames = len(frames_of(baking))
    assert frames > 60 and len(baking.pose.frames) < frames / 2
    assert all(len(keys.frames) < frames / 2 for _, keys in baking.levels)


def test_compartments_open_from_the_first_are_as_high_as_the_sea(run, plan) -> None:
    flooded = replace(run, case=replace(run.case, flooded=("forepeak", "no compartment")))
    levels = dict(bake(flooded, plan, PACE).levels)
    assert set(levels) == {"forepeak", COMPARTMENT}
    assert not levels["forepeak"].values.any() and len(levels["forepeak"].frames) == 2


def test_a_compartment_is_dry_until_water_shows(run, plan) -> None:
    surfaces, water = (np.tile(each, 2) for each in (run.surfaces, run.water))
    half = len(run.times) // 2
    surfaces[:half, 1], water[:half, 1] = np.nan, 0.0
    late = replace(run, compartments=(COMPARTMENT, "hold"), surfaces=surfaces, water=water)
    keys = dict(bake(late, plan, PACE).levels)["hold"]
    hold, dry = plan.compartment("hold").body, PACE.frame(float(run.times[half - 1])) - 1
    for frame in np.arange(PACE.start, dry):
        sea = moment(run, plan, PACE.time(frame)).attitude
        under = hold.span(sea.up)[0] - (at(keys, frame)[0] + sea.level)
        assert 0 <= under <= 2 * NEAR * SIZE
    assert at(keys, keys.frames[-1])[0] + run.levels[-1] == pytest.approx(surfaces[-1, 0])


def test_it_turns_over_the_short_way(run, plan) -> None:
    """Past keel up the heel goes on beyond half a turn instead of back to its negative."""
    heels = np.radians(np.linspace(170.0, 190.0, len(run.times)))
    over = replace(run, ups=np.array([up_from_angles(heel, 0.0) for heel in heels]))
    turned_over = bake(over, plan, PACE).pose.values[:, 1]
    assert np.degrees(turned_over[[0, -1]]) == pytest.approx([170.0, 190.0])
    assert (np.diff(turned_over) > 0).all()


def test_every_frame_is_reported(run, plan, baking) -> None:
    reported: list[float] = []
    bake(run, plan, PACE, reported.append)
    assert reported == frames_of(baking).tolist()


def test_thinning_keeps_corners_and_adds_up_shares() -> None:
    frames = np.arange(9.0)
    bent = np.minimum(frames, 4.0)
    values = np.column_stack([bent, 10 * bent])
    assert thinned(frames, values, np.array([1e-6, 1.0])).frames.tolist() == [0, 4, 8]
    slight = np.column_stack([0.1 * (frames == 4), 0.1 * (frames == 4)])
    for near, kept in ((0.21, 2), (0.19, 3), (0.14, 5)):
        assert len(thinned(frames, slight, np.array([near, near])).frames) == kept
    assert thinned(frames[:1], slight[:1], np.ones(2)).frames.tolist() == [0]
