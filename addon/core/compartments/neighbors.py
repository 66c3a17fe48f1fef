"""Compartments that share a boundary, whether a sheet or one with thickness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..geometry.arrangement import Arrangement
from ..geometry.arrangement_cells import Cells
from ..geometry.rays import first_hits

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

PROBES = 32
REACH = 10.0


def find_neighbours(
    arrangement: Arrangement, cells: Cells, room: Ints, solid: int, touch: float
) -> list[tuple[int, int]]:
    """Pairs of compartments, by the number of each cell's, with a boundary between them or, with
    `solid`, its material."""
    walls = np.flatnonzero(~arrangement.open)
    sides = np.sort(np.stack([room[cells.front[walls]], room[cells.back[walls]]], axis=1), axis=1)
    pairs = sides[(sides[:, 0] >= 0) & (sides[:, 0] != sides[:, 1])]
    pairs = np.concatenate([pairs, _through(cells, room, solid, touch)])
    count = int(room.max()) + 1
    return [
        divmod(pair, count) for pair in np.flatnonzero(np.bincount(pairs @ [count, 1])).tolist()
    ]


def _through(cells: Cells, room: Ints, solid: int, touch: float) -> Ints:
    """Pairs (k, 2) of compartments on opposite sides of boundary material, by lines straight
    through it from points spread evenly over the boundaries of each."""
    front, back = room[cells.front], room[cells.back]
    skin = np.flatnonzero((front == solid) != (back == solid))
    pairs = [np.zeros((0, 2), np.int64)]
    if not skin.size:
        return pairs[0]
    beyond = np.where(front[skin] == solid, back[skin], front[skin])
    corners = cells.vertices[cells.triangles[skin]]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    into = np.where((front[skin] == solid)[:, None], normals, -normals)
    low, high = corners.min(axis=1), corners.max(axis=1)
    reach = REACH * cells.thickness(room == solid)
    for one in np.unique(beyond[beyond >= 0]):
        own = np.flatnonzero(beyond == one)
        reached = np.cumsum(cells.area[skin[own]])
        spread = (np.arange(PROBES) + 0.5) / PROBES * reached[-1]
        own = own[np.unique(np.searchsorted(reached, spread))]
        near = (low <= high[beyond == one].max(axis=0) + reach).all(axis=1)
        near &= (high >= low[beyond == one].min(axis=0) - reach).all(axis=1)
        ways = into[own] / np.linalg.norm(into[own], axis=1, keepdims=True)
        _, hit = first_hits(corners[own].mean(axis=1), ways, corners[near], touch)
        there = beyond[near][hit[hit >= 0]]
        there = there[(there >= 0) & (there != one)]
        pairs.append(np.sort(np.column_stack([np.full(len(there), one), there]), axis=1))
    return np.concatenate(pairs)
