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

from ..arrays import Bools, Floats, Ints
from .caps import Spaces, capped_spaces, half_edge_ends
from .half_edges import connected_components
from .triangles import area_vectors, corners_by_axis

CONE_SLOPE = 1e-3
"""Slope of the cone under which heights are taken, so that rain on a level rim runs off outward."""
PUDDLE_DEPTH_SHARE = 0.1
"""Depth over the height of the body up to which a basin is a puddle and runs over."""
NO_BASIN = -1
"""Number of a half-face that belongs to no basin."""
MIN_VOLUME_SHARE = 1 / 3
"""Volume of the basins over the displaced volume from which a body is an open boat."""
MIN_DEPTH_SHARE = 2 / 3
"""Mean depth of the basins over that of the body from which it is an open boat."""


@dataclass(frozen=True)
class _HalfFaces:
    """Sides of triangles, first and second of each: the space (s,) they face, their area upward
    (m2), and of the corners the highest, the lowest and the mean height (m)."""

    space: Ints
    upward: Floats
    top: Floats
    bottom: Floats
    middle: Floats

    @classmethod
    def of(cls, vertices: Floats, triangles: Ints, spaces: Spaces) -> _HalfFaces:
        corners = corners_by_axis(vertices, triangles)
        upward, heights = area_vectors(corners)[2], np.repeat(corners[2], 2, axis=1)
        return cls(
            spaces.of_sides,
            np.stack([upward, -upward], axis=1).reshape(-1),
            heights.max(axis=0),
            heights.min(axis=0),
            heights.mean(axis=0),
        )


def cap_basins(vertices: Floats, triangles: Ints, spaces: Spaces, tolerance: float) -> Spaces:
    """The spaces of a surface with caps over the basins of open boats as well.

    A body is an open boat if its basins have a mean depth of at least `MIN_DEPTH_SHARE` times its
    own, over the area seen from above, and hold `MIN_VOLUME_SHARE` or more of what it then
    displaces: cockpits, wells and areas within bulwarks do not. Basins that meet are merged, or
    where the merged one is none of an open boat, taken singly.
    """
    half_faces = _HalfFaces.of(vertices, triangles, spaces)
    chosen, puddle = _that_may_hold_basins(half_faces, spaces)
    if not chosen.any():
        return spaces
    basin = _watershed(vertices, triangles, spaces, half_faces, chosen, puddle)
    apart = _capped_between(vertices, triangles, spaces, basin, tolerance)
    group = np.where(chosen & apart.enclosed[apart.of_sides], 0, NO_BASIN)
    while (group != NO_BASIN).any():
        held = _capped_between(vertices, triangles, spaces, group, tolerance)
        good = _open_boat_basins(half_faces, held, chosen, group != NO_BASIN)
        bad = (group != NO_BASIN) & ~good[held.of_sides]
        if not bad.any():
            return replace(held, basin=good)
        group[bad] = np.where(group[bad] == 0, basin[bad] + 1, NO_BASIN)
    return spaces


def _capped_between(
    vertices: Floats, triangles: Ints, spaces: Spaces, group: Ints, tolerance: float
) -> Spaces:
    """The spaces with caps where sides of different groups (s,) meet as well."""
    one, other = group[spaces.adjacency.half_faces].T
    return capped_spaces(
        vertices, triangles, spaces.adjacency, spaces.closed | (one != other), tolerance
    )


def _that_may_hold_basins(half_faces: _HalfFaces, spaces: Spaces) -> tuple[Bools, Floats]:
    """Which sides (s,) belong to bodies with enough space for basins between upward faces and the
    highest point; and the greatest depth (s,) of a puddle on each of them (m)."""
    count = len(spaces.volume)
    top, bottom = np.full(count, -np.inf), np.full(count, np.inf)
    np.maximum.at(top, half_faces.space, half_faces.top)
    np.minimum.at(bottom, half_faces.space, half_faces.bottom)
    above = np.maximum(half_faces.upward, 0.0) * (top[half_faces.space] - half_faces.middle)
    volume_above = np.bincount(half_faces.space, above, count)
    may = spaces.outer & (
        volume_above >= MIN_VOLUME_SHARE / (1 - MIN_VOLUME_SHARE) * -spaces.volume
    )
    return may[half_faces.space], (PUDDLE_DEPTH_SHARE * (top - bottom))[half_faces.space]


def _watershed(
    vertices: Floats,
    triangles: Ints,
    spaces: Spaces,
    half_faces: _HalfFaces,
    chosen: Bools,
    puddle: Floats,
) -> Ints:
    """Number (s,) of the basin of each of the chosen sides, `NO_BASIN` of the others.

    Heights are measured from a flat cone, so that rain on a level rim runs off outward.
    """
    plan = vertices[:, :2] - (vertices[:, :2].max(axis=0) + vertices[:, :2].min(axis=0)) / 2
    heights = vertices[:, 2] - CONE_SLOPE * np.hypot(*plan.T)
    over = ~spaces.closed & chosen[spaces.adjacency.half_faces[:, 0]]
    ends = heights[half_edge_ends(triangles, spaces.adjacency.half_edge[over])]
    order = np.lexsort((ends.sum(axis=1), ends.min(axis=1)))
    number = np.cumsum(chosen) - 1
    links = number[spaces.adjacency.half_faces[over][order]]
    low = np.repeat(heights[triangles].min(axis=1), 2)[chosen]
    basin = np.full(len(chosen), NO_BASIN)
    basin[chosen] = _merge_basins(low, puddle[chosen], links, ends.min(axis=1)[order])
    return basin


def _merge_basins(low: Floats, puddle: Floats, links: Ints, passes: Floats) -> Ints:
    """Number (k,) of the basin of each node with lowest point `low` (k,), joined by links (w, 2)
    over `passes` (w,), the lowest first; each basin is deeper than its puddles (k,)."""
    basin = np.arange(len(low))
    while True:
        apart = links[:, 0] != links[:, 1]
        links, passes = links[apart], passes[apart]
        first = np.full(len(low), len(links))
        np.minimum.at(first, links.reshape(-1), np.repeat(np.arange(len(links)), 2))
        runs = np.flatnonzero(first < len(links))
        runs = runs[passes[first[runs]] - low[runs] <= puddle[runs]]
        if not runs.size:
            return basin
        into = connected_components(len(low), *links[first[runs]].T)
        lowest, deepest = np.full((2, int(into.max()) + 1), np.inf)
        np.minimum.at(lowest, into, low)
        np.minimum.at(deepest, into, puddle)
        basin, links, low, puddle = into[basin], into[links], lowest, deepest


def _open_boat_basins(half_faces: _HalfFaces, held: Spaces, chosen: Bools, basin: Bools) -> Bools:
    """Which of the basins found belong to open boats."""
    space, count = held.of_sides, len(held.volume)
    body = np.zeros(count, np.int64)
    body[space[chosen]] = half_faces.space[chosen]
    bodies = int(half_faces.space.max()) + 1
    mouth = np.maximum(np.bincount(space[basin], half_faces.upward[basin], count), 0.0)
    hull = chosen & ~basin
    plan = np.bincount(half_faces.space[hull], np.maximum(-half_faces.upward[hull], 0.0), bodies)
    displaced = -np.bincount(body[held.outer], held.volume[held.outer], bodies)
    good: Bools = np.zeros(count, bool)
    good[space[basin]] = True
    good &= held.enclosed
    good &= held.volume * plan[body] >= MIN_DEPTH_SHARE * displaced[body] * mouth
    kept = np.bincount(body[good], held.volume[good], bodies)
    good &= (kept >= MIN_VOLUME_SHARE * displaced)[body]
    return good
