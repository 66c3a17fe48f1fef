"""Gaps between compartments, and the shortest flooding path through them from the sea."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from ..arrays import Floats, Ints
from ..buoyancy.attitude import Attitude
from ..geometry.arrangement import Arrangement
from ..geometry.arrangement_cells import Cells
from ..geometry.caps import half_edge_ends
from ..geometry.half_edges import connected_components, find_edges
from ..model.compartment import SEA, Gap, Leak
from ..model.openings import Door

AT_SEA = -1
"""Number of the cell outside."""
MAX_DOOR_DISTANCE_SHARE, DOOR_FILLS_SHARE = 0.25, 0.5
"""Distance of a door over the root of a gap's area within which it stands in it, and the share
of the area from which it fills it."""


def find_gaps(
    arrangement: Arrangement,
    cells: Cells,
    compartment: Ints,
    compartments: list[str],
    parts: list[str],
) -> tuple[Gap, ...]:
    """Where no boundary separates two compartments, or a compartment and the sea.

    `compartment` is the number of the compartment that each cell belongs to, `AT_SEA` for the
    outside, less for what is neither; `compartments` and `parts` are the names of the compartments
    and of the parts of the arrangement.
    """
    faces = len(arrangement.triangles)
    sides = np.sort(np.stack([compartment[cells.front], compartment[cells.back]], axis=1), axis=1)
    leaking = (sides[:, 0] != sides[:, 1]) & (sides[:, 0] >= AT_SEA)
    names = [*compartments, SEA]
    part = arrangement.first_part()
    gaps = []
    for number in _connected_gaps(
        sides, np.flatnonzero(leaking[:faces] & arrangement.only_caps), cells
    ):
        here = cells.triangles[number]
        edges = find_edges(here)
        ends = edges.ends[edges.count == 1]
        gaps.append((sides[number[0]], int(part[number[0]]), ends, number))
    caps = np.flatnonzero(leaking[faces:])
    key = np.column_stack([sides[faces:][caps], cells.caps.loop[caps]])
    _, which = np.unique(key, axis=0, return_inverse=True)
    for group in range(int(which.max(initial=-1)) + 1):
        here = caps[which.reshape(-1) == group]
        half = cells.caps.half_edge[here]
        ends = half_edge_ends(cells.triangles, half)
        gaps.append((sides[faces + here[0]], int(part[half[0] // 3]), ends, faces + here))
    found = []
    for (one, other), owner, ends, number in sorted(gaps, key=lambda gap: tuple(gap[0])):
        edges = cells.vertices[ends]
        lowest = edges.reshape(-1, 3)[edges[..., 2].argmin()]
        area = float(cells.area[number].sum())
        found.append(Gap((names[one], names[other]), parts[owner], edges, area, lowest))
    return tuple(found)


def _connected_gaps(sides: Ints, chosen: Ints, cells: Cells) -> list[Ints]:
    """The chosen triangles in sets connected at edges and between the same two compartments."""
    if not chosen.size:
        return []
    edges = find_edges(cells.triangles[chosen])
    owner = np.repeat(np.arange(len(edges.count)), edges.count)
    a, b = edges.order[:-1] // 3, edges.order[1:] // 3
    meet = (owner[1:] == owner[:-1]) & (sides[chosen[a]] == sides[chosen[b]]).all(axis=1)
    label = connected_components(len(chosen), a[meet], b[meet])
    order = np.argsort(label, kind="stable")
    return np.split(chosen[order], np.flatnonzero(np.diff(label[order])) + 1)


def gaps_without_doors(gaps: tuple[Gap, ...], doors: Iterable[Door]) -> tuple[Gap, ...]:
    """Gaps between compartments less the doors that stand in them.

    A door replaces a gap that it fills by a share `DOOR_FILLS_SHARE`; otherwise its area is taken
    off the gap. Ducts do not count. A door stands in a gap where its middle is in the bounding box
    of the gap's edges, or off it by no more than `MAX_DOOR_DISTANCE_SHARE` of the root of the gap's
    area.
    """
    left = []
    doors = tuple(doors)
    for gap in gaps:
        area = gap.area - sum(door.area for door in doors if _stands_in(door, gap))
        if area == gap.area:
            left.append(gap)
        elif area > (1 - DOOR_FILLS_SHARE) * gap.area:
            left.append(replace(gap, area=area))
    return tuple(left)


def _stands_in(door: Door, gap: Gap) -> bool:
    elsewhere = door.compartments and {*door.compartments} != {*gap.compartments}
    if SEA in gap.compartments or elsewhere or door.discharge_coefficient is not None:
        return False
    ends = gap.edges.reshape(-1, 3)
    low, high = ends.min(axis=0), ends.max(axis=0)
    reach = MAX_DOOR_DISTANCE_SHARE * np.sqrt(gap.area)
    return bool(((door.middle >= low - reach) & (door.middle <= high + reach)).all())


def find_leaks(gaps: tuple[Gap, ...]) -> tuple[Leak, ...]:
    """For every compartment that water can reach, the fewest gaps from the sea to it."""
    neighbors: dict[str, list[tuple[str, Gap]]] = {}
    for gap in gaps:
        one, other = gap.compartments
        neighbors.setdefault(one, []).append((other, gap))
        neighbors.setdefault(other, []).append((one, gap))
    paths: dict[str, tuple[Gap, ...]] = {SEA: ()}
    queue = deque([SEA])
    while queue:
        here = queue.popleft()
        for there, gap in neighbors.get(here, ()):
            if there not in paths:
                paths[there] = (*paths[here], gap)
                queue.append(there)
    del paths[SEA]
    return tuple(Leak(compartment, path) for compartment, path in paths.items())


def downflooding_sill(leak: Leak, attitude: Attitude) -> tuple[Floats, float]:
    """The sill that water must rise above to enter a compartment, and its height above the water.

    The point (3,) is the highest of the sills on the path, a sill being the lowest point of the
    edges round a gap; the height (m) is negative once it is under water.
    """
    sills = []
    for gap in leak.path:
        points = gap.edges.reshape(-1, 3)
        heights = attitude.heights(points)
        lowest = int(heights.argmin())
        sills.append((float(heights[lowest]), points[lowest]))
    height, point = max(sills, key=lambda sill: sill[0])
    return point, height
