"""The cells that boundaries make of a hull once the holes in them are closed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..arrays import Bools, Floats, Ints
from ..geometry.arrangement import Arrangement, SurfacePart, arrange
from ..geometry.arrangement_cells import Cells, boundary_areas, cell_winding_numbers, find_cells
from ..geometry.caps import capped_spaces, dangling
from ..geometry.half_edges import Edges, HalfFaceAdjacency, find_adjacency, find_edges
from ..geometry.triangles import areas
from .doorways import beyond_sills, find_doorways
from .thick_boundaries import is_plate, plate_sides

MIN_CLOSED_SHARE = 0.5
"""Area of a boundary over that of its holes from which they are closed."""
MIN_SURROUNDING_RATIO = 1.5
"""Area about a cell over that of its holes from which they are closed."""


@dataclass(frozen=True)
class Partition:
    """The parts of an arrangement, doorways last; the cells, how often each lies in each part (see
    `cell_winding_numbers`), the free half-edges (k,) in the first part that go round no hole, and
    the tolerance (m)."""

    parts: list[SurfacePart]
    arrangement: Arrangement
    cells: Cells
    winding: Ints
    loose: Ints
    tolerance: float


def partition_hull(
    parts: list[SurfacePart],
    arrangement: Arrangement,
    tolerance: float,
    on_progress: Callable[[float], None] | None = None,
) -> Partition:
    """The cells into which a hull, the first of the parts, is divided by the others as combined.

    Free edges of boundaries go round a hole if those boundaries separate cells once it is closed,
    and are at least `MIN_CLOSED_SHARE` times as large as their holes; the surface of either cell
    must be `MIN_SURROUNDING_RATIO` times as large, so that a freely projecting plate has none.
    `on_progress` is called as in `conform`.
    """
    first_door = len(parts)
    whole = _OpenArrangement.of(arrangement, parts, tolerance)
    doors = find_doorways(arrangement, whole.edges, whole.free, parts, tolerance)
    doors += _caps_through_thickness(whole, parts, tolerance)
    if doors:
        parts = [*parts, *doors]
        arrangement = arrange(parts, tolerance, on_progress)
        beyond = beyond_sills(arrangement, find_edges(arrangement.triangles), first_door)
        whole = _OpenArrangement.of(arrangement.without(beyond), parts, tolerance)
    while True:
        closed, idle = _holes_to_close(whole, first_door, tolerance)
        if not idle.any():
            break
        whole = _OpenArrangement.of(whole.arrangement.without(idle), parts, tolerance)
    cells, winding = whole.cells, whole.winding
    if closed.any():
        cells = find_cells(whole.arrangement, whole.adjacency, closed, tolerance)
        winding = cell_winding_numbers(cells, whole.arrangement, len(parts))
    half = whole.edges.order[whole.edges.first[whole.free]]
    loose = half[~np.isin(half, whole.adjacency.half_edge[closed])]
    return Partition(parts, whole.arrangement, cells, winding, loose, tolerance)


@dataclass(frozen=True)
class _OpenArrangement:
    """An arrangement before holes are closed, and its free edges (k,) within the hull."""

    arrangement: Arrangement
    edges: Edges
    adjacency: HalfFaceAdjacency
    cells: Cells
    winding: Ints
    free: Bools

    @classmethod
    def of(
        cls, arrangement: Arrangement, parts: list[SurfacePart], tolerance: float
    ) -> _OpenArrangement:
        edges = find_edges(arrangement.triangles)
        adjacency = find_adjacency(arrangement.vertices, arrangement.triangles, edges, tolerance)
        cells = find_cells(
            arrangement, adjacency, np.zeros(len(adjacency.half_edge), bool), tolerance
        )
        winding = cell_winding_numbers(cells, arrangement, len(parts))
        free = edges.count == 1
        owner = edges.order[edges.first[free]] // 3
        free[free] = winding[cells.front[owner], 0] > 0
        return cls(arrangement, edges, adjacency, cells, winding, free)


def _caps_through_thickness(
    whole: _OpenArrangement, parts: list[SurfacePart], tolerance: float
) -> list[SurfacePart]:
    """Caps over holes through parts that have thickness: those over the holes that one side of each
    alone, as a sheet, would have."""
    side = np.concatenate([np.zeros(len(part.triangles), np.int64) for part in parts])
    starts = np.cumsum([len(part.triangles) for part in parts])
    for part, start in zip(parts[1:], starts, strict=False):
        closing = np.flatnonzero(part.closing)
        if closing.size:
            side[start + closing] = plate_sides(part.vertices, part.triangles[closing], tolerance)
    if not side.any():
        return []
    arrangement, count = whole.arrangement, len(whole.arrangement.triangles)
    of_copy = side[arrangement.source]
    near, kept = (np.bincount(arrangement.copy, of_copy >= least, count) > 0 for least in (1, 0))
    sheets = arrangement.without(~kept)
    edges = find_edges(sheets.triangles)
    free = edges.count == 1
    owner = np.flatnonzero(kept)[edges.order[edges.first[free]] // 3]
    free[free] = near[owner] & (whole.winding[whole.cells.front[owner], 0] > 0)
    return find_doorways(sheets, edges, free, parts, tolerance, loops=True)


def _holes_to_close(
    whole: _OpenArrangement, first_door: int, tolerance: float
) -> tuple[Bools, Bools]:
    """Which edges to close with caps over holes, and which triangles (m,) are of caps over doorways
    that separate nothing."""
    arrangement, edges, adjacency = whole.arrangement, whole.edges, whole.adjacency
    closed = np.repeat(whole.free & ~dangling(edges, whole.free), edges.count)
    part = arrangement.first_part()
    doors = np.flatnonzero(arrangement.only_caps & (part >= first_door))
    if not (closed.any() or doors.size):
        return closed, np.zeros(len(part), bool)
    boundaries = np.where(
        arrangement.only_caps, 0.0, areas(arrangement.vertices, arrangement.triangles)
    )
    while True:
        spaces = capped_spaces(
            arrangement.vertices, arrangement.triangles, adjacency, closed, tolerance
        )
        caps = spaces.caps
        triangles = np.concatenate([arrangement.triangles[doors], caps.triangles])
        size = areas(np.concatenate([arrangement.vertices, caps.middles]), triangles)
        front = np.concatenate([spaces.front[doors], caps.front])
        back = np.concatenate([spaces.back[doors], caps.back])
        thin = is_plate(
            spaces.volume, boundary_areas(spaces.front, spaces.back, boundaries, len(spaces.volume))
        )
        fails = ~_separates_cells(spaces.front, spaces.back, boundaries, thin, front, back, size)
        failing = np.isin(caps.loop, caps.loop[fails[len(doors) :]])
        if not failing.any():
            break
        closed[np.flatnonzero(closed)[failing]] = False
    door = (part - first_door) // 2
    separating = front[: len(doors)] != back[: len(doors)]
    fails = fails[: len(doors)]
    useful = np.setdiff1d(door[doors[separating]], door[doors[separating & fails]])
    idle = np.zeros(len(part), bool)
    idle[doors] = ~np.isin(door[doors], useful)
    return closed, idle


def _separates_cells(
    front: Ints,
    back: Ints,
    boundaries: Floats,
    thin: Bools,
    before: Ints,
    behind: Ints,
    holes: Floats,
) -> Bools:
    """Which holes, of areas (k,) between spaces (k,) and (k,), are in what otherwise separates two
    spaces: triangles of areas `boundaries` (m,) between spaces (m,) and (m,), or such on both sides
    of a space that is `thin` (n,), as the material of a boundary."""
    count = len(thin)
    between = np.minimum(front, back) * count + np.maximum(front, back)
    pairs, pair = np.unique(
        np.minimum(before, behind) * count + np.maximum(before, behind), return_inverse=True
    )
    if not len(pairs):
        return np.zeros(0, bool)
    pair = pair.reshape(-1)
    place = np.minimum(np.searchsorted(pairs, between), len(pairs) - 1)
    same = pairs[place] == between
    closed = np.bincount(place[same], boundaries[same], len(pairs))
    ends = np.stack(np.divmod(pairs, count))
    for plate in np.flatnonzero(thin):
        beside = np.bincount(back[front == plate], boundaries[front == plate], count)
        beside += np.bincount(front[back == plate], boundaries[back == plate], count)
        closed += np.where((ends != plate).all(axis=0), beside[ends].min(axis=0), 0.0)
    enough = (closed >= MIN_CLOSED_SHARE * np.bincount(pair, holes))[pair]
    surface = boundary_areas(front, back, boundaries, count)
    open_skin = np.bincount(before, holes, count) + np.bincount(behind, holes, count)
    whole = surface >= MIN_SURROUNDING_RATIO * open_skin
    parts: Bools = (before != behind) & enough & whole[before] & whole[behind]
    return parts
