"""The arrangement of surfaces: hull, boundaries, tanks and drawn compartments as one mesh whose
faces meet only at their edges, with each face once however many surfaces share it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..arrays import Bools, Floats, Ints
from .caps import capped_spaces
from .conforming_mesh import make_conforming
from .half_edges import connected_components, find_adjacency, find_edges
from .surface import first_coincident, is_sliver


@dataclass(frozen=True)
class SurfacePart:
    """A surface of the arrangement: triangles (m, 3) over vertices (n, 3), m.

    Those that are `closing` (m,) bound bodies, turned outward; the last `caps` triangles are no
    faces, but caps. Each connected set of `conforming` triangles meets itself in whole edges only.
    """

    name: str
    vertices: Floats
    triangles: Ints
    closing: Bools
    caps: int = 0
    conforming: bool = False


@dataclass(frozen=True)
class Arrangement:
    """Distinct triangles (m, 3) over vertices (n, 3), and their copies in the parts.

    Copy k is triangle `copy[k]`, belongs to part `part[k]`, has the same (1) or the opposite (-1)
    orientation by `turn[k]`, may be `closing` or a `cap`, and is a piece of triangle `source[k]` of
    all the parts in sequence. `only_caps` (m,) are triangles of which all copies are caps. It is
    not `converged` if faces may still meet elsewhere than in their edges.
    """

    vertices: Floats
    triangles: Ints
    copy: Ints
    part: Ints
    orientation: Ints
    closing: Bools
    cap: Bools
    source: Ints
    only_caps: Bools
    converged: bool

    def first_part(self) -> Ints:
        """The first part (m,) that each triangle belongs to, as a face rather than a cap."""
        rank = self.part + np.where(self.cap, int(self.part.max()) + 1, 0)
        first = np.full(len(self.triangles), np.iinfo(np.int64).max)
        np.minimum.at(first, self.copy, rank)
        return first % (int(self.part.max()) + 1)

    def without(self, left_out: Bools) -> Arrangement:
        """The same without some of the triangles (m,)."""
        there = ~left_out
        kept = there[self.copy]
        return Arrangement(
            self.vertices,
            self.triangles[there],
            (np.cumsum(there) - 1)[self.copy[kept]],
            self.part[kept],
            self.orientation[kept],
            self.closing[kept],
            self.cap[kept],
            self.source[kept],
            self.only_caps[there],
            self.converged,
        )


def closed_part(
    name: str, vertices: Floats, triangles: Ints, caps: int = 0, conforming: bool = False
) -> SurfacePart:
    """A part that is one closed outward surface."""
    return SurfacePart(name, vertices, triangles, np.ones(len(triangles), bool), caps, conforming)


def sheet_part(
    name: str, vertices: Floats, triangles: Ints, tolerance: float, caps: int = 0
) -> SurfacePart:
    """A part of any surface, closing where the pieces of it enclose something, with the last `caps`
    triangles as caps. Caps that close nothing are left out."""
    used, place = np.unique(triangles, return_inverse=True)
    points = vertices[used]
    if not len(points):
        return SurfacePart(name, points, np.zeros((0, 3), np.int64), np.zeros(0, bool))
    triangles = first_coincident(points, tolerance)[place.reshape(-1, 3)]
    cap = np.arange(len(triangles)) >= len(triangles) - caps
    kept = np.flatnonzero(~is_sliver(points, triangles, tolerance))
    kept = kept[_distinct_rows(np.sort(triangles[kept], axis=1))[0]]
    triangles, cap = triangles[kept], cap[kept]
    if not len(triangles):
        return SurfacePart(name, points, triangles, np.zeros(0, bool))
    edges = find_edges(triangles)
    adjacency = find_adjacency(points, triangles, edges, tolerance)
    spaces = capped_spaces(
        points, triangles, adjacency, np.zeros(len(adjacency.half_edge), bool), tolerance
    )
    front, back = spaces.outer[spaces.front], spaces.outer[spaces.back]
    reversed, closing = back & ~front, front != back
    triangles = np.where(reversed[:, None], triangles[:, ::-1], triangles)
    last = np.concatenate([np.flatnonzero(~cap), np.flatnonzero(cap & closing)])
    return SurfacePart(name, points, triangles[last], closing[last], int((cap & closing).sum()))


def arrange(
    parts: list[SurfacePart], tolerance: float, on_progress: Callable[[float], None] | None = None
) -> Arrangement:
    """The arrangement of the parts. Points `tolerance` (m) or less apart are merged. `on_progress`
    is called as in `make_conforming`."""
    starts = np.cumsum([0, *(len(part.vertices) for part in parts)])
    vertices = np.concatenate([part.vertices for part in parts])
    triangles = np.concatenate(
        [part.triangles + start for part, start in zip(parts, starts, strict=False)]
    )
    sizes = [len(part.triangles) for part in parts]
    owner = np.repeat(np.arange(len(parts)), sizes)
    closing = np.concatenate([part.closing for part in parts])
    cap = np.concatenate(
        [np.arange(size) >= size - part.caps for part, size in zip(parts, sizes, strict=True)]
    )
    result = make_conforming(
        vertices, triangles, tolerance, np.concatenate(_conforming_groups(parts)), on_progress
    )
    ordered = np.sort(result.triangles, axis=1)
    first, copy = _distinct_rows(ordered)
    a, b, c = result.triangles.T
    source = result.source
    return Arrangement(
        result.vertices,
        ordered[first],
        copy,
        owner[source],
        np.where(((b > a) ^ (c > b)) ^ (c > a), 1, -1),
        closing[source],
        cap[source],
        source,
        np.bincount(copy, ~cap[source]) == 0,
        result.converged,
    )


def _conforming_groups(parts: list[SurfacePart]) -> list[Ints]:
    """For each part the number (m,) of each triangle's connected set, counted through all parts
    that are whole, else -1."""
    groups, count = [], 0
    for part in parts:
        group = np.full(len(part.triangles), -1)
        if part.conforming:
            a, b, c = part.triangles.T
            joined = np.concatenate([a, a]), np.concatenate([b, c])
            group = (
                count
                + np.unique(
                    connected_components(len(part.vertices), *joined)[a], return_inverse=True
                )[1]
            )
            count = int(group.max()) + 1
        groups.append(group)
    return groups


def _distinct_rows(rows: Ints) -> tuple[Ints, Ints]:
    """Index of one of each distinct row of (n, 3), and which of them each row is (n,)."""
    order = np.lexsort(rows.T)
    fresh = np.ones(len(rows), bool)
    fresh[1:] = (rows[order[1:]] != rows[order[:-1]]).any(axis=1)
    which = np.zeros(len(rows), np.int64)
    which[order] = np.cumsum(fresh) - 1
    return order[fresh], which
