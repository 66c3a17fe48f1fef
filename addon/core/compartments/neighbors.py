"""Compartments that share a boundary, whether a sheet or one with thickness."""

from __future__ import annotations

import numpy as np

from ..arrays import Ints
from ..geometry.arrangement import Arrangement
from ..geometry.arrangement_cells import Cells
from ..geometry.rays import first_hits

PROBES_PER_COMPARTMENT = 32
"""Rays sent through material from each compartment."""
MAX_THICKNESSES = 10.0
"""Mean thicknesses of the material within which the other side is looked for."""


def find_neighbors(
    arrangement: Arrangement, cells: Cells, compartment: Ints, solid: int, tolerance: float
) -> list[tuple[int, int]]:
    """Pairs of compartments, by the number of each cell's, with a boundary between them or, with
    `solid`, its material."""
    boundaries = np.flatnonzero(~arrangement.only_caps)
    sides = np.sort(
        np.stack(
            [compartment[cells.front[boundaries]], compartment[cells.back[boundaries]]], axis=1
        ),
        axis=1,
    )
    pairs = sides[(sides[:, 0] >= 0) & (sides[:, 0] != sides[:, 1])]
    pairs = np.concatenate([pairs, _through_material(cells, compartment, solid, tolerance)])
    count = int(compartment.max()) + 1
    return [
        divmod(pair, count) for pair in np.flatnonzero(np.bincount(pairs @ [count, 1])).tolist()
    ]


def _through_material(cells: Cells, compartment: Ints, solid: int, tolerance: float) -> Ints:
    """Pairs (k, 2) of compartments on opposite sides of boundary material, by lines straight
    through it from points spread evenly over the boundaries of each."""
    front, back = compartment[cells.front], compartment[cells.back]
    surface = np.flatnonzero((front == solid) != (back == solid))
    pairs = [np.zeros((0, 2), np.int64)]
    if not surface.size:
        return pairs[0]
    beyond = np.where(front[surface] == solid, back[surface], front[surface])
    corners = cells.vertices[cells.triangles[surface]]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    into = np.where((front[surface] == solid)[:, None], normals, -normals)
    low, high = corners.min(axis=1), corners.max(axis=1)
    reach = MAX_THICKNESSES * cells.thickness(compartment == solid)
    for one in np.unique(beyond[beyond >= 0]):
        own = np.flatnonzero(beyond == one)
        reached = np.cumsum(cells.area[surface[own]])
        spread = (np.arange(PROBES_PER_COMPARTMENT) + 0.5) / PROBES_PER_COMPARTMENT * reached[-1]
        own = own[np.unique(np.searchsorted(reached, spread))]
        near = (low <= high[beyond == one].max(axis=0) + reach).all(axis=1)
        near &= (high >= low[beyond == one].min(axis=0) - reach).all(axis=1)
        directions = into[own] / np.linalg.norm(into[own], axis=1, keepdims=True)
        _, hit = first_hits(corners[own].mean(axis=1), directions, corners[near], tolerance)
        there = beyond[near][hit[hit >= 0]]
        there = there[(there >= 0) & (there != one)]
        pairs.append(np.sort(np.column_stack([np.full(len(there), one), there]), axis=1))
    return np.concatenate(pairs)
