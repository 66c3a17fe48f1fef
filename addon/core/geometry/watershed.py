"""Watershed basins of a surface: the parts that would hold rainwater, and their rims.

An open boat whose shell has thickness is a closed surface, which continues over the rim to the
inside. Each side of a face that faces outside belongs to the basin that rain on it runs into: over
the lowest edge of all that has merged so far, unless that is far uphill (Cousty and others 2009,
Watershed cuts: minimum spanning forests and the drop of water principle, IEEE PAMI 31:1362; from
memory). Those that enclose something, with caps over the rims where they meet others, hold water.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .caps import Spaces, ends_of, lidded_spaces
from .half_edges import connected
from .triangles import area_vectors, by_axis

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Chosen = NDArray[np.bool_]

CONE = 1e-3
PUDDLE = 0.1
NO_BASIN = -1
LEAST_SHARE = 1 / 3
LEAST_DEPTH = 2 / 3


@dataclass(frozen=True)
class _Sides:
    """Sides of triangles, first and second of each: the space (s,) they face, their area upward
    (m2), and of the corners the highest, the lowest and the mean height (m)."""

    space: Ints
    upward: Array
    top: Array
    bottom: Array
    middle: Array

    @classmethod
    def of(cls, vertices: Array, triangles: Ints, spaces: Spaces) -> _Sides:
        corners = by_axis(vertices, triangles)
        upward, heights = area_vectors(corners)[2], np.repeat(corners[2], 2, axis=1)
        return cls(
            spaces.of_sides,
            np.stack([upward, -upward], axis=1).reshape(-1),
            heights.max(axis=0),
            heights.min(axis=0),
            heights.mean(axis=0),
        )


def hold_basins(vertices: Array, triangles: Ints, spaces: Spaces, touch: float) -> Spaces:
    """The spaces of a surface with caps over the basins of open boats as well.

    A body is an open boat if its basins have a mean depth of at least `LEAST_DEPTH` times its own,
    over the area seen from above, and hold `LEAST_SHARE` or more of what it then displaces:
    cockpits, wells and areas within bulwarks do not. Basins that meet are merged, or where the
    merged one is none of an open boat, taken singly.
    """
    sides = _Sides.of(vertices, triangles, spaces)
    chosen, puddle = _with_room(sides, spaces)
    if not chosen.any():
        return spaces
    basin = _basins(vertices, triangles, spaces, sides, chosen, puddle)
    apart = _parted(vertices, triangles, spaces, basin, touch)
    group = np.where(chosen & apart.room[apart.of_sides], 0, NO_BASIN)
    while (group != NO_BASIN).any():
        held = _parted(vertices, triangles, spaces, group, touch)
        good = _of_open_boats(sides, held, chosen, group != NO_BASIN)
        bad = (group != NO_BASIN) & ~good[held.of_sides]
        if not bad.any():
            return replace(held, basin=good)
        group[bad] = np.where(group[bad] == 0, basin[bad] + 1, NO_BASIN)
    return spaces


def _parted(vertices: Array, triangles: Ints, spaces: Spaces, group: Ints, touch: float) -> Spaces:
    """The spaces with caps where sides of different groups (s,) meet as well."""
    one, other = group[spaces.joins.sides].T
    return lidded_spaces(vertices, triangles, spaces.joins, spaces.shut | (one != other), touch)


def _with_room(sides: _Sides, spaces: Spaces) -> tuple[Chosen, Array]:
    """Which sides (s,) belong to bodies with enough space for basins between upward faces and the
    highest point; and the greatest depth (s,) of a puddle on each of them (m)."""
    count = len(spaces.volume)
    top, bottom = np.full(count, -np.inf), np.full(count, np.inf)
    np.maximum.at(top, sides.space, sides.top)
    np.minimum.at(bottom, sides.space, sides.bottom)
    above = np.maximum(sides.upward, 0.0) * (top[sides.space] - sides.middle)
    room = np.bincount(sides.space, above, count)
    may = spaces.outer & (room >= LEAST_SHARE / (1 - LEAST_SHARE) * -spaces.volume)
    return may[sides.space], (PUDDLE * (top - bottom))[sides.space]


def _basins(
    vertices: Array, triangles: Ints, spaces: Spaces, sides: _Sides, chosen: Chosen, puddle: Array
) -> Ints:
    """Number (s,) of the basin of each of the chosen sides, `NO_BASIN` of the others.

    Heights are measured from a flat cone, so that rain on a level rim runs off outward.
    """
    plan = vertices[:, :2] - (vertices[:, :2].max(axis=0) + vertices[:, :2].min(axis=0)) / 2
    heights = vertices[:, 2] - CONE * np.hypot(*plan.T)
    over = ~spaces.shut & chosen[spaces.joins.sides[:, 0]]
    ends = heights[ends_of(triangles, spaces.joins.half[over])]
    order = np.lexsort((ends.sum(axis=1), ends.min(axis=1)))
    number = np.cumsum(chosen) - 1
    ways = number[spaces.joins.sides[over][order]]
    low = np.repeat(heights[triangles].min(axis=1), 2)[chosen]
    basin = np.full(len(chosen), NO_BASIN)
    basin[chosen] = _run_together(low, puddle[chosen], ways, ends.min(axis=1)[order])
    return basin


def _run_together(low: Array, puddle: Array, ways: Ints, passes: Array) -> Ints:
    """Number (k,) of the basin of each node with lowest point `low` (k,), joined by links (w, 2)
    over `passes` (w,), the lowest first; each basin is deeper than its puddles (k,)."""
    basin = np.arange(len(low))
    while True:
        apart = ways[:, 0] != ways[:, 1]
        ways, passes = ways[apart], passes[apart]
        first = np.full(len(low), len(ways))
        np.minimum.at(first, ways.reshape(-1), np.repeat(np.arange(len(ways)), 2))
        runs = np.flatnonzero(first < len(ways))
        runs = runs[passes[first[runs]] - low[runs] <= puddle[runs]]
        if not runs.size:
            return basin
        into = connected(len(low), *ways[first[runs]].T)
        lowest, deepest = np.full((2, int(into.max()) + 1), np.inf)
        np.minimum.at(lowest, into, low)
        np.minimum.at(deepest, into, puddle)
        basin, ways, low, puddle = into[basin], into[ways], lowest, deepest


def _of_open_boats(sides: _Sides, held: Spaces, chosen: Chosen, basin: Chosen) -> Chosen:
    """Which of the basins found belong to open boats."""
    space, count = held.of_sides, len(held.volume)
    body = np.zeros(count, np.int64)
    body[space[chosen]] = sides.space[chosen]
    bodies = int(sides.space.max()) + 1
    mouth = np.maximum(np.bincount(space[basin], sides.upward[basin], count), 0.0)
    hull = chosen & ~basin
    plan = np.bincount(sides.space[hull], np.maximum(-sides.upward[hull], 0.0), bodies)
    displaced = -np.bincount(body[held.outer], held.volume[held.outer], bodies)
    good: Chosen = np.zeros(count, bool)
    good[space[basin]] = True
    good &= held.room
    good &= held.volume * plan[body] >= LEAST_DEPTH * displaced[body] * mouth
    kept = np.bincount(body[good], held.volume[good], bodies)
    good &= (kept >= LEAST_SHARE * displaced)[body]
    return good
