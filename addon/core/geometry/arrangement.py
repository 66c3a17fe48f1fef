"""The arrangement of surfaces: hull, boundaries, tanks and drawn compartments as one mesh whose
faces meet only at their edges, with each face once however many surfaces share it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .caps import lidded_spaces
from .conforming_mesh import conform
from .half_edges import connected, find_edges, find_joins
from .surface import first_alike, is_sliver

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Chosen = NDArray[np.bool_]


@dataclass(frozen=True)
class Part:
    """A surface of the arrangement: triangles (m, 3) over vertices (n, 3), m.

    Those that are `closing` (m,) bound bodies, turned outward; the last `lids` triangles are no
    faces, but caps. Each connected set of `whole` triangles meets itself in whole edges only.
    """

    name: str
    vertices: Array
    triangles: Ints
    closing: Chosen
    lids: int = 0
    whole: bool = False


@dataclass(frozen=True)
class Arrangement:
    """Distinct triangles (m, 3) over vertices (n, 3), and their copies in the parts.

    Copy k is triangle `copy[k]`, belongs to part `part[k]`, has the same (1) or the opposite (-1)
    orientation by `turn[k]`, may be `closing` or a `lid`, and is a piece of triangle `source[k]` of
    all the parts in sequence. `open` (m,) are triangles of which all copies are caps. It is not
    `settled` if faces may still meet elsewhere than in their edges.
    """

    vertices: Array
    triangles: Ints
    copy: Ints
    part: Ints
    turn: Ints
    closing: Chosen
    lid: Chosen
    source: Ints
    open: Chosen
    settled: bool

    def first_part(self) -> Ints:
        """The first part (m,) that each triangle belongs to, as a face rather than a cap."""
        rank = self.part + np.where(self.lid, int(self.part.max()) + 1, 0)
        first = np.full(len(self.triangles), np.iinfo(np.int64).max)
        np.minimum.at(first, self.copy, rank)
        return first % (int(self.part.max()) + 1)

    def without(self, left_out: Chosen) -> Arrangement:
        """The same without some of the triangles (m,)."""
        there = ~left_out
        kept = there[self.copy]
        return Arrangement(
            self.vertices,
            self.triangles[there],
            (np.cumsum(there) - 1)[self.copy[kept]],
            self.part[kept],
            self.turn[kept],
            self.closing[kept],
            self.lid[kept],
            self.source[kept],
            self.open[there],
            self.settled,
        )


def closed_part(
    name: str, vertices: Array, triangles: Ints, lids: int = 0, whole: bool = False
) -> Part:
    """A part that is one closed outward surface."""
    return Part(name, vertices, triangles, np.ones(len(triangles), bool), lids, whole)


def sheet_part(name: str, vertices: Array, triangles: Ints, touch: float, lids: int = 0) -> Part:
    """A part of any surface, closing where the pieces of it enclose something, with the last `lids`
    triangles as caps. Caps that close nothing are left out."""
    used, place = np.unique(triangles, return_inverse=True)
    points = vertices[used]
    if not len(points):
        return Part(name, points, np.zeros((0, 3), np.int64), np.zeros(0, bool))
    triangles = first_alike(points, touch)[place.reshape(-1, 3)]
    lid = np.arange(len(triangles)) >= len(triangles) - lids
    kept = np.flatnonzero(~is_sliver(points, triangles, touch))
    kept = kept[_distinct(np.sort(triangles[kept], axis=1))[0]]
    triangles, lid = triangles[kept], lid[kept]
    if not len(triangles):
        return Part(name, points, triangles, np.zeros(0, bool))
    edges = find_edges(triangles)
    joins = find_joins(points, triangles, edges, touch)
    spaces = lidded_spaces(points, triangles, joins, np.zeros(len(joins.half), bool), touch)
    front, back = spaces.outer[spaces.front], spaces.outer[spaces.back]
    turned, closing = back & ~front, front != back
    triangles = np.where(turned[:, None], triangles[:, ::-1], triangles)
    last = np.concatenate([np.flatnonzero(~lid), np.flatnonzero(lid & closing)])
    return Part(name, points, triangles[last], closing[last], int((lid & closing).sum()))


def arrange(
    parts: list[Part], touch: float, tell: Callable[[float], None] | None = None
) -> Arrangement:
    """The arrangement of the parts. Points `touch` (m) or less apart are merged. `tell` is called
    as in `conform`."""
    starts = np.cumsum([0, *(len(part.vertices) for part in parts)])
    vertices = np.concatenate([part.vertices for part in parts])
    triangles = np.concatenate(
        [part.triangles + start for part, start in zip(parts, starts, strict=False)]
    )
    sizes = [len(part.triangles) for part in parts]
    owner = np.repeat(np.arange(len(parts)), sizes)
    closing = np.concatenate([part.closing for part in parts])
    lid = np.concatenate(
        [np.arange(size) >= size - part.lids for part, size in zip(parts, sizes, strict=True)]
    )
    result = conform(vertices, triangles, touch, np.concatenate(_groups(parts)), tell)
    ordered = np.sort(result.triangles, axis=1)
    first, copy = _distinct(ordered)
    a, b, c = result.triangles.T
    source = result.source
    return Arrangement(
        result.vertices,
        ordered[first],
        copy,
        owner[source],
        np.where(((b > a) ^ (c > b)) ^ (c > a), 1, -1),
        closing[source],
        lid[source],
        source,
        np.bincount(copy, ~lid[source]) == 0,
        result.settled,
    )


def _groups(parts: list[Part]) -> list[Ints]:
    """For each part the number (m,) of each triangle's connected set, counted through all parts
    that are whole, else -1."""
    groups, count = [], 0
    for part in parts:
        group = np.full(len(part.triangles), -1)
        if part.whole:
            a, b, c = part.triangles.T
            joined = np.concatenate([a, a]), np.concatenate([b, c])
            group = (
                count + np.unique(connected(len(part.vertices), *joined)[a], return_inverse=True)[1]
            )
            count = int(group.max()) + 1
        groups.append(group)
    return groups


def _distinct(rows: Ints) -> tuple[Ints, Ints]:
    """Index of one of each distinct row of (n, 3), and which of them each row is (n,)."""
    order = np.lexsort(rows.T)
    fresh = np.ones(len(rows), bool)
    fresh[1:] = (rows[order[1:]] != rows[order[:-1]]).any(axis=1)
    which = np.zeros(len(rows), np.int64)
    which[order] = np.cumsum(fresh) - 1
    return order[fresh], which
