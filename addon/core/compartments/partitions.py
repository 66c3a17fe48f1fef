"""The cells that boundaries make of a hull once the holes in them are closed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.arrangement import Arrangement, Part, arrange
from ..geometry.arrangement_cells import Cells, bodies_around, find_cells, skin_round
from ..geometry.caps import dangling, lidded_spaces
from ..geometry.half_edges import Edges, Joins, find_edges, find_joins
from ..geometry.triangles import areas
from .doorways import beyond_sills, find_doorways
from .thick_boundaries import is_plate, plate_sides

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Chosen = NDArray[np.bool_]

LEAST_CLOSED = 0.5
LEAST_ROUND = 1.5


@dataclass(frozen=True)
class Partition:
    """The parts of an arrangement, doorways last; the cells, how often each lies in each part (see
    `bodies_around`), the free half-edges (k,) in the first part that go round no hole, and the
    tolerance (m)."""

    parts: list[Part]
    arrangement: Arrangement
    cells: Cells
    around: Ints
    loose: Ints
    touch: float


def part_hull(
    parts: list[Part],
    arrangement: Arrangement,
    touch: float,
    tell: Callable[[float], None] | None = None,
) -> Partition:
    """The cells into which a hull, the first of the parts, is divided by the others as combined.

    Free edges of boundaries go round a hole if those boundaries separate cells once it is closed,
    and are at least `LEAST_CLOSED` times as large as their holes; the surface of either cell must
    be `LEAST_ROUND` times as large, so that a freely projecting plate has none. `tell` is called as
    in `conform`.
    """
    first_door = len(parts)
    whole = _Whole.of(arrangement, parts, touch)
    doors = find_doorways(arrangement, whole.edges, whole.free, parts, touch)
    doors += _tunnels(whole, parts, touch)
    if doors:
        parts = [*parts, *doors]
        arrangement = arrange(parts, touch, tell)
        beyond = beyond_sills(arrangement, find_edges(arrangement.triangles), first_door)
        whole = _Whole.of(arrangement.without(beyond), parts, touch)
    while True:
        shut, idle = _holes(whole, first_door, touch)
        if not idle.any():
            break
        whole = _Whole.of(whole.arrangement.without(idle), parts, touch)
    cells, around = whole.cells, whole.around
    if shut.any():
        cells = find_cells(whole.arrangement, whole.joins, shut, touch)
        around = bodies_around(cells, whole.arrangement, len(parts))
    half = whole.edges.order[whole.edges.first[whole.free]]
    loose = half[~np.isin(half, whole.joins.half[shut])]
    return Partition(parts, whole.arrangement, cells, around, loose, touch)


@dataclass(frozen=True)
class _Whole:
    """An arrangement before holes are closed, and its free edges (k,) within the hull."""

    arrangement: Arrangement
    edges: Edges
    joins: Joins
    cells: Cells
    around: Ints
    free: Chosen

    @classmethod
    def of(cls, arrangement: Arrangement, parts: list[Part], touch: float) -> _Whole:
        edges = find_edges(arrangement.triangles)
        joins = find_joins(arrangement.vertices, arrangement.triangles, edges, touch)
        cells = find_cells(arrangement, joins, np.zeros(len(joins.half), bool), touch)
        around = bodies_around(cells, arrangement, len(parts))
        free = edges.count == 1
        owner = edges.order[edges.first[free]] // 3
        free[free] = around[cells.front[owner], 0] > 0
        return cls(arrangement, edges, joins, cells, around, free)


def _tunnels(whole: _Whole, parts: list[Part], touch: float) -> list[Part]:
    """Caps over holes through parts that have thickness: those over the holes that one side of each
    alone, as a sheet, would have."""
    side = np.concatenate([np.zeros(len(part.triangles), np.int64) for part in parts])
    starts = np.cumsum([len(part.triangles) for part in parts])
    for part, start in zip(parts[1:], starts, strict=False):
        closing = np.flatnonzero(part.closing)
        if closing.size:
            side[start + closing] = plate_sides(part.vertices, part.triangles[closing], touch)
    if not side.any():
        return []
    arrangement, count = whole.arrangement, len(whole.arrangement.triangles)
    of_copy = side[arrangement.source]
    near, kept = (np.bincount(arrangement.copy, of_copy >= least, count) > 0 for least in (1, 0))
    sheets = arrangement.without(~kept)
    edges = find_edges(sheets.triangles)
    free = edges.count == 1
    owner = np.flatnonzero(kept)[edges.order[edges.first[free]] // 3]
    free[free] = near[owner] & (whole.around[whole.cells.front[owner], 0] > 0)
    return find_doorways(sheets, edges, free, parts, touch, loops=True)


def _holes(whole: _Whole, first_door: int, touch: float) -> tuple[Chosen, Chosen]:
    """Which edges to close with caps over holes, and which triangles (m,) are of caps over doorways
    that separate nothing."""
    arrangement, edges, joins = whole.arrangement, whole.edges, whole.joins
    shut = np.repeat(whole.free & ~dangling(edges, whole.free), edges.count)
    part = arrangement.first_part()
    doors = np.flatnonzero(arrangement.open & (part >= first_door))
    if not (shut.any() or doors.size):
        return shut, np.zeros(len(part), bool)
    walls = np.where(arrangement.open, 0.0, areas(arrangement.vertices, arrangement.triangles))
    while True:
        spaces = lidded_spaces(arrangement.vertices, arrangement.triangles, joins, shut, touch)
        lids = spaces.lids
        triangles = np.concatenate([arrangement.triangles[doors], lids.triangles])
        size = areas(np.concatenate([arrangement.vertices, lids.middles]), triangles)
        front = np.concatenate([spaces.front[doors], lids.front])
        back = np.concatenate([spaces.back[doors], lids.back])
        thin = is_plate(
            spaces.volume, skin_round(spaces.front, spaces.back, walls, len(spaces.volume))
        )
        fails = ~_parts_cells(spaces.front, spaces.back, walls, thin, front, back, size)
        failing = np.isin(lids.loop, lids.loop[fails[len(doors) :]])
        if not failing.any():
            break
        shut[np.flatnonzero(shut)[failing]] = False
    door = (part - first_door) // 2
    parting = front[: len(doors)] != back[: len(doors)]
    fails = fails[: len(doors)]
    useful = np.setdiff1d(door[doors[parting]], door[doors[parting & fails]])
    idle = np.zeros(len(part), bool)
    idle[doors] = ~np.isin(door[doors], useful)
    return shut, idle


def _parts_cells(
    front: Ints,
    back: Ints,
    walls: Array,
    thin: Chosen,
    before: Ints,
    behind: Ints,
    holes: Array,
) -> Chosen:
    """Which holes, of areas (k,) between spaces (k,) and (k,), are in what otherwise separates two
    spaces: triangles of areas `walls` (m,) between spaces (m,) and (m,), or such on both sides of a
    space that is `thin` (n,), as the material of a boundary."""
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
    closed = np.bincount(place[same], walls[same], len(pairs))
    ends = np.stack(np.divmod(pairs, count))
    for plate in np.flatnonzero(thin):
        beside = np.bincount(back[front == plate], walls[front == plate], count)
        beside += np.bincount(front[back == plate], walls[back == plate], count)
        closed += np.where((ends != plate).all(axis=0), beside[ends].min(axis=0), 0.0)
    enough = (closed >= LEAST_CLOSED * np.bincount(pair, holes))[pair]
    skin = skin_round(front, back, walls, count)
    open_skin = np.bincount(before, holes, count) + np.bincount(behind, holes, count)
    whole = skin >= LEAST_ROUND * open_skin
    parts: Chosen = (before != behind) & enough & whole[before] & whole[behind]
    return parts
