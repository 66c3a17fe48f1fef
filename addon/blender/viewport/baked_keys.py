"""A flooding in time as keys with straight lines between them: how she lies, and how high the water
stands in her rooms, from frame to frame."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from ...core.flooding_time.time_to_flood import Ingress
from ...core.model.compartment import Division
from .flooding_playback import Moment, Pace, moment

Array = NDArray[np.float64]

NEAR = 3e-5
"""How far off its place anything may be between keys, in diagonals of the hull."""


@dataclass(frozen=True, eq=False)
class Keys:
    """What changes along straight lines between its values (n, k) at frames (n,)."""

    frames: Array
    values: Array


@dataclass(frozen=True, eq=False)
class Baking:
    """A flooding over level water.

    `pivot` (3,) is the middle of the hull in ship axes. `pose` has its height over the sea (m),
    heel and trim (rad). `levels` has the height over the sea (m) of the water in each room that
    gets any, which is just below the room's floor while there is none.
    """

    pivot: Array
    pose: Keys
    levels: tuple[tuple[str, Keys], ...]


def bake(
    run: Ingress, division: Division, pace: Pace, tell: Callable[[float], None] | None = None
) -> Baking:
    """The fewest keys that keep a run within `NEAR` at every frame; `tell` hears each frame."""
    body = run.case.hull.tree
    pivot, near = (body.low + body.high) / 2, NEAR * body.size
    frames = np.arange(floor(pace.start), ceil(pace.frame(float(run.times[-1]))) + 1.0)
    moments = []
    for frame in frames:
        moments.append(moment(run, division, pace.time(float(frame))))
        if tell:
            tell(float(frame))
    pose = np.array([_lying(here, pivot) for here in moments])
    pose[:, 1] = np.unwrap(pose[:, 1])
    turned = near / (body.size / 2)
    levels = _levels(run, division, moments, near)
    return Baking(
        pivot,
        thinned(frames, pose, np.array([near, turned, turned])),
        tuple((name, thinned(frames, heights, np.array([near]))) for name, heights in levels),
    )


def thinned(frames: Array, values: Array, near: Array) -> Keys:
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


def _lying(here: Moment, pivot: Array) -> tuple[float, float, float]:
    attitude = here.attitude
    return float(attitude.heights(pivot)), attitude.heel_rad, attitude.trim_rad


def _levels(
    run: Ingress, division: Division, moments: list[Moment], near: float
) -> Iterator[tuple[str, Array]]:
    """Names of the rooms that get water in them, and its heights (n, 1) over the sea; rooms that
    are open to the sea from the first are as high as that."""
    wet = [name for name, water in zip(run.rooms, run.water.T, strict=True) if water.max() > 0]
    for room in division.rooms:
        if room.name in run.case.flooded:
            yield room.name, np.zeros((len(moments), 1))
        elif room.name in wet:
            heights = []
            for here in moments:
                level = dict(here.levels).get(room.name)
                if level is None:
                    level = room.body.span(here.attitude.up)[0] - near
                heights.append([level - here.attitude.level])
            yield room.name, np.array(heights)
