"""A flooding in time as keys linearly interpolated between them: the attitude of the vessel
and the level of the water in its compartments, frame by frame."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import ceil, floor

import numpy as np

from ...core.arrays import Floats
from ...core.flooding_time.flooding_history import FloodingHistory
from ...core.model.compartment import CompartmentPlan
from .flooding_playback import Moment, Pace, moment

NEAR = 3e-5
"""How far off its place anything may be between keys, in diagonals of the hull."""


@dataclass(frozen=True, eq=False)
class Keys:
    """What changes along straight lines between its values (n, k) at frames (n,)."""

    frames: Floats
    values: Floats


@dataclass(frozen=True, eq=False)
class Baking:
    """A flooding over level water.

    `pivot` (3,) is the middle of the hull in ship axes. `pose` has its height over the sea (m),
    heel and trim (rad). `levels` has the height over the sea (m) of the water in each compartment
    that gets any, which is just below the compartment's floor while there is none.
    """

    pivot: Floats
    pose: Keys
    levels: tuple[tuple[str, Keys], ...]


def bake(
    run: FloodingHistory,
    plan: CompartmentPlan,
    pace: Pace,
    on_progress: Callable[[float], None] | None = None,
) -> Baking:
    """The fewest keys that keep a run within `NEAR` at every frame; `on_progress` is called with
    each frame."""
    body = run.case.hull.tree
    pivot, near = (body.low + body.high) / 2, NEAR * body.size
    frames = np.arange(floor(pace.start), ceil(pace.frame(float(run.times[-1]))) + 1.0)
    moments = []
    for frame in frames:
        moments.append(moment(run, plan, pace.time(float(frame))))
        if on_progress:
            on_progress(float(frame))
    pose = np.array([_pose(here, pivot) for here in moments])
    pose[:, 1] = np.unwrap(pose[:, 1])
    turned = near / (body.size / 2)
    levels = _levels(run, plan, moments, near)
    return Baking(
        pivot,
        thinned(frames, pose, np.array([near, turned, turned])),
        tuple((name, thinned(frames, heights, np.array([near]))) for name, heights in levels),
    )


def thinned(frames: Floats, values: Floats, near: Floats) -> Keys:
    """The frames to keep of values (n, k) at frames (n,), so that straight lines between them miss
    none by more than `near` (k,), the shares of all k added up."""
    scaled = values / near
    kept, spans = {0, len(frames) - 1}, [(0, len(frames) - 1)]
    while spans:
        first, last = spans.pop()
        between = np.arange(first + 1, last)
        if not len(between):
            continue
        share = (frames[between] - frames[first]) / (frames[last] - frames[first])
        line = scaled[first] + share[:, None] * (scaled[last] - scaled[first])
        missed = np.abs(scaled[between] - line).sum(axis=1)
        if missed.max() > 1:
            worst = int(between[missed.argmax()])
            kept.add(worst)
            spans += [(first, worst), (worst, last)]
    order = sorted(kept)
    return Keys(frames[order], values[order])


def _pose(here: Moment, pivot: Floats) -> tuple[float, float, float]:
    attitude = here.attitude
    return float(attitude.heights(pivot)), attitude.heel_rad, attitude.trim_rad


def _levels(
    run: FloodingHistory, plan: CompartmentPlan, moments: list[Moment], near: float
) -> Iterator[tuple[str, Floats]]:
    """Names of the compartments that get water in them, and its heights (n, 1) over the sea;
    compartments that are open to the sea from the first are as high as that."""
    wet = [
        name for name, water in zip(run.compartments, run.water.T, strict=True) if water.max() > 0
    ]
    for compartment in plan.compartments:
        if compartment.name in run.case.flooded:
            yield compartment.name, np.zeros((len(moments), 1))
        elif compartment.name in wet:
            heights = []
            for here in moments:
                level = dict(here.levels).get(compartment.name)
                if level is None:
                    level = compartment.body.span(here.attitude.up)[0] - near
                heights.append([level - here.attitude.level])
            yield compartment.name, np.array(heights)
