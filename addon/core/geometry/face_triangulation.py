"""Triangulation of flat faces cut along lines."""

from __future__ import annotations

from itertools import pairwise
from math import atan2

import numpy as np

from ..arrays import Bools, Floats, Ints
from .triangles import area_vectors, corners_by_axis

SweepFront = tuple[list[int], int] | None

MAX_FLIPS = 1000
"""Rounds of edge flips, to bound time."""
MIN_GAIN = 1e-9
"""Sine by which opposite angles must exceed 180 degrees for an edge to be flipped, above
rounding."""
AXIS_WEIGHTS = np.array([1.0, 0.99, 0.98])
"""Weights of the axis to project along, so that faces that are alike take the same one."""


def cut_faces(
    points: Floats, triangles: Ints, rim: Ints, lines: Ints, alike: Bools
) -> tuple[Ints, Ints]:
    """Pieces (m, 3) of triangles cut at the points of their rims along lines, and the triangle of
    each piece (m,). Where the same lines enclose parts of several triangles that are `alike`, as
    they coincide, their pieces there are the same to rounding.

    Rows of `rim` (k, 3) are triangle, start and end, in order; those of `lines` (l, 3) triangle and
    two points, low first, equal for a single point.
    """
    names, place = np.unique(np.concatenate([rim[:, 1:], lines[:, 1:]]), return_inverse=True)
    faces, face = np.unique(np.concatenate([rim[:, 0], lines[:, 0]]), return_inverse=True)
    rows = np.column_stack([face.reshape(-1), place.reshape(-1, 2)])
    points, corners = points[names], np.searchsorted(names, triangles[faces])
    rim, lines = rows[: len(rim)], np.unique(rows[len(rim) :], axis=0)
    lines = lines[~np.isin(_undirected_keys(lines), _undirected_keys(rim))]
    plain, owner, simple = _cut_simple_faces(points, corners, rim, lines, alike[faces])
    rim, lines = rim[~simple[rim[:, 0]]], lines[~simple[lines[:, 0]]]
    pieces, face = _cut_by_sweep(points, corners, rim, lines)
    pieces = flip_to_delaunay(points, pieces, face, lines)
    return names[np.concatenate([plain, pieces])], faces[np.concatenate([owner, face])]


def _cut_simple_faces(
    points: Floats, corners: Ints, rim: Ints, lines: Ints, alike: Bools
) -> tuple[Ints, Ints, Bools]:
    """Pieces (k, 3) of the triangles with at most one point on each of two edges and none within,
    the triangle of each (k,), and which these are (m,); only one edge if they are alike."""
    count = len(corners)
    known = corners[rim[:, 0]]
    starts = known == rim[:, 1:2]
    on_edge = starts.any(axis=1) & (known != rim[:, 2:]).all(axis=1)
    tips = np.full((count, 3), -1)
    tips[rim[on_edge, 0], starts[on_edge].argmax(axis=1)] = rim[on_edge, 2]
    cuts = (tips >= 0).sum(axis=1)
    simple = (np.bincount(rim[:, 0], minlength=count) == 3 + cuts) & (cuts < 3 - alike)
    same = (tips == np.roll(tips, 1, axis=1)) & (tips >= 0)
    simple &= ~same.any(axis=1)
    base = len(points)
    rims = rim[:, 0] * base + rim[:, 1]
    for point in lines[:, 1:].T:
        simple[lines[~np.isin(lines[:, 0] * base + point, rims), 0]] = False

    parts = [(corners[simple & (cuts == 0)], np.flatnonzero(simple & (cuts == 0)))]
    one = np.flatnonzero(simple & (cuts == 1))
    a, b, c, tip, _ = _rotated_corners(corners, tips, one, tips[one].argmax(axis=1))
    parts += [(np.stack([a, tip, c], axis=1), one), (np.stack([tip, b, c], axis=1), one)]
    two = np.flatnonzero(simple & (cuts == 2))
    a, b, c, tip, other = _rotated_corners(corners, tips, two, tips[two].argmin(axis=1) + 2)
    parts.append((np.stack([a, tip, other], axis=1), two))
    line_keys = _undirected_keys(lines)
    from_tip, from_other = (
        np.isin(_undirected_keys(np.stack([two, start, end], axis=1)), line_keys)
        for start, end in ((tip, c), (other, b))
    )
    spans = [np.linalg.norm(points[p] - points[q], axis=1) for p, q in ((tip, c), (other, b))]
    first = from_tip | ((spans[0] <= spans[1]) & ~from_other)
    parts.append((np.stack([tip, b, np.where(first, c, other)], axis=1), two))
    parts.append((np.stack([np.where(first, tip, b), c, other], axis=1), two))
    pieces, owner = (np.concatenate(each) for each in zip(*parts, strict=True))
    return pieces, owner, simple


def _rotated_corners(corners: Ints, tips: Ints, face: Ints, first: Ints) -> list[Ints]:
    """Corners of faces rotated to begin with `first`, and the points on the edges after and before
    it."""
    a, b, c = (corners[face, (first + step) % 3] for step in range(3))
    return [a, b, c, tips[face, first % 3], tips[face, (first + 2) % 3]]


def _cut_by_sweep(points: Floats, corners: Ints, rim: Ints, lines: Ints) -> tuple[Ints, Ints]:
    """Pieces (k, 3) of triangles (m, 3) with these rims and lines, and the triangle of each (k,).

    Where a triangle is so small that moving its points has inverted parts of it, no lines are kept.
    """
    rim = rim[~np.isin(_directed_keys(rim), _directed_keys(rim[:, [0, 2, 1]]))]
    rim = rim[np.argsort(rim[:, 0], kind="stable")]
    faces = np.unique(rim[:, 0])
    first = np.searchsorted(rim[:, 0], faces)
    count = np.searchsorted(rim[:, 0], faces, side="right") - first
    start = np.searchsorted(lines[:, 0], faces)
    stop = np.searchsorted(lines[:, 0], faces, side="right")
    normals = area_vectors(corners_by_axis(points, corners[faces])).T
    pieces, owners = [np.zeros((0, 3), np.int64)], [np.zeros(0, np.int64)]
    for row, face in enumerate(faces.tolist()):
        border = rim[first[row] : first[row] + count[row], 1:]
        within = lines[start[row] : stop[row], 1:]
        names, place = np.unique(np.concatenate([border, within]), return_inverse=True)
        place = place.reshape(-1, 2)
        drop = int((np.abs(normals[row]) * AXIS_WEIGHTS).argmax())
        keep = [(drop + 1) % 3, (drop + 2) % 3]
        orientation = 1 if normals[row, drop] > 0 else -1
        ends = place[len(border) :]
        cut = triangulate_region(
            points[np.ix_(names, keep)],
            place[: len(border), ::orientation],
            ends[ends[:, 0] != ends[:, 1]],
        )
        pieces.append(names[cut[:, ::orientation]])
        owners.append(np.full(len(cut), face))
    cut, owner = np.concatenate(pieces), np.concatenate(owners)
    wrong = _wrongly_bounded(cut, owner, rim)
    if wrong.size:
        good, turned = ~np.isin(owner, wrong), rim[np.isin(rim[:, 0], wrong)]
        tips = turned[np.searchsorted(turned[:, 0], turned[:, 0]), 1]
        turned = np.column_stack([turned, tips])[(turned[:, 1:] != tips[:, None]).all(axis=1)]
        cut = np.concatenate([cut[good], turned[:, 1:]])
        owner = np.concatenate([owner[good], turned[:, 0]])
    return cut, owner


def _wrongly_bounded(pieces: Ints, face: Ints, rim: Ints) -> Ints:
    """The faces whose pieces (k, 3), of faces (k,), do not have the rim as their border."""
    ends = np.stack([pieces, np.roll(pieces, -1, axis=1)], axis=2).reshape(-1, 2)
    edges = np.concatenate([np.column_stack([np.repeat(face, 3), ends]), rim[:, [0, 2, 1]]])
    _, key = np.unique(_undirected_keys(edges), return_inverse=True)
    balance = np.bincount(key.reshape(-1), np.sign(edges[:, 2] - edges[:, 1]))
    return np.unique(edges[balance[key.reshape(-1)] != 0, 0])


def triangulate_region(flat: Floats, border: Ints, lines: Ints) -> Ints:
    """Triangles (m, 3), anticlockwise, that fill a border and have the lines as edges.

    The points flat (n, 2) are all used; border (k, 2) runs once round anticlockwise, and lines (l,
    2) within meet it and each other at points only. A sweep line passes over the points from left
    to right, with a front of edges, bent toward it, between each line and the next above: every
    point is joined to the visible part of the fronts beside it. Source: triangles of monotone
    pieces, Garey, Johnson, Preparata & Tarjan 1978, Triangulating a simple polygon, Inf. Proc.
    Lett. 7:175 (from memory), here without the pieces.
    """
    order = np.lexsort((flat[:, 1], flat[:, 0]))
    rank = np.argsort(order)
    sweep = _PlaneSweep(flat[order].tolist())
    for start, end in rank[border].tolist():
        sweep.add(min(start, end), max(start, end), start < end)
    for start, end in rank[lines].tolist():
        sweep.add(min(start, end), max(start, end), True)
    for point in range(len(flat)):
        sweep.advance(point)
    return order[np.array(sweep.triangles, np.int64).reshape(-1, 3)]


class _PlaneSweep:
    """The lines that cross the sweep line, upward, and the front above each: its points upward, and
    which of them was reached last."""

    def __init__(self, places: list[list[float]]) -> None:
        self.places = places
        self.ahead: list[list[tuple[int, bool]]] = [[] for _ in places]
        self.lines: list[tuple[int, int]] = []
        self.fronts: list[SweepFront] = []
        self.triangles: list[tuple[int, int, int]] = []

    def add(self, left: int, right: int, inside: bool) -> None:
        """A line, and whether the face is above it."""
        self.ahead[left].append((right, inside))

    def advance(self, point: int) -> None:
        """Moves on to the next point."""
        x, y = self.places[point]
        ending = [at for at, (_, right) in enumerate(self.lines) if right == point]
        if ending:
            first, last = ending[0], ending[-1] + 1
            for front in self.fronts[first : last - 1]:
                self.close(front, point)
        else:
            first = last = self.count_below(point)
        under = self.fronts[first - 1] if first else None
        over = self.fronts[last - 1] if last else None
        low, high = self.lower(under, point), self.upper(over, point)
        if ending:
            if under is not None:
                self.close((under[0][under[1] :], 0), point)
            if over is not None:
                self.close((over[0][: over[1] + 1], 0), point)
        out = sorted(
            self.ahead[point],
            key=lambda end: atan2(self.places[end[0]][1] - y, self.places[end[0]][0] - x),
        )
        fronts: list[SweepFront] = [([point], 0) if inside else None for _, inside in out]
        if out:
            fronts[-1] = (high, 0) if out[-1][1] and high else None
            beneath: SweepFront = (low, len(low) - 1) if low else None
        else:
            beneath = (low + high[1:], len(low) - 1) if low and high else None
        if first:
            self.fronts[first - 1] = beneath
        self.lines[first:last] = [(point, right) for right, _ in out]
        self.fronts[first:last] = fronts

    def count_below(self, point: int) -> int:
        """How many of the lines are below a point."""
        low, high = 0, len(self.lines)
        while low < high:
            middle = (low + high) // 2
            if self.signed_area(*self.lines[middle], point) > 0:
                low = middle + 1
            else:
                high = middle
        return low

    def signed_area(self, a: int, b: int, c: int) -> float:
        """Twice the area of a triangle, positive if anticlockwise."""
        (ax, ay), (bx, by), (cx, cy) = self.places[a], self.places[b], self.places[c]
        return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)

    def lower(self, front: SweepFront, point: int) -> list[int]:
        """The front that stays below a point."""
        if front is None:
            return []
        kept = front[0][: front[1] + 1]
        while len(kept) > 1 and self.signed_area(kept[-2], point, kept[-1]) > 0:
            self.triangles.append((kept[-2], point, kept.pop()))
        return [*kept, point]

    def upper(self, front: SweepFront, point: int) -> list[int]:
        """The front that stays above a point."""
        if front is None:
            return []
        kept = front[0][: front[1] - 1 if front[1] else None : -1]
        while len(kept) > 1 and self.signed_area(kept[-1], point, kept[-2]) > 0:
            self.triangles.append((kept.pop(), point, kept[-1]))
        return [point, *kept[::-1]]

    def close(self, front: SweepFront, point: int) -> None:
        """Joins all of a front to a point."""
        if front is not None:
            self.triangles.extend((a, point, b) for a, b in pairwise(front[0]))


def flip_to_delaunay(points: Floats, triangles: Ints, face: Ints, constrained: Ints) -> Ints:
    """Delaunay triangles (m, 3) of flat faces, numbered (m,): edges shared by two triangles of one
    face are flipped, except those held (k, 3), each a face with two points.

    Source: Lawson 1977, Software for C1 surface interpolation, in Rice (ed.), Mathematical Software
    III (from memory).
    """
    triangles = triangles.copy()
    fixed = np.unique(_undirected_keys(constrained))
    active = np.arange(len(triangles))
    for _ in range(MAX_FLIPS):
        if not active.size:
            break
        here = triangles[active]
        ends = np.stack([here, np.roll(here, -1, axis=1)], axis=2).reshape(-1, 2)
        key = _undirected_keys(np.column_stack([np.repeat(face[active], 3), ends]))
        order = np.argsort(key, kind="stable")
        key = key[order]
        at = np.flatnonzero(key[1:] == key[:-1])
        at = at[~np.isin(key[at], fixed)]
        one, two = order[at], order[at + 1]
        a, b, c = (here[one // 3, (one % 3 + step) % 3] for step in range(3))
        d = here[two // 3, (two % 3 + 2) % 3]
        gain = _flip_gain(points, a, b, c, d)
        better = gain > MIN_GAIN
        one, two, a, b, c, d = (x[better] for x in (one, two, a, b, c, d))
        gain = gain[better]
        rank: Ints = np.argsort(np.argsort(-gain, kind="stable")).astype(np.int64)
        best = np.full(len(active), len(rank))
        np.minimum.at(best, one // 3, rank)
        np.minimum.at(best, two // 3, rank)
        go = (best[one // 3] == rank) & (best[two // 3] == rank)
        one, two, a, b, c, d = (x[go] for x in (one, two, a, b, c, d))
        triangles[active[one // 3]] = np.stack([a, d, c], axis=1)
        triangles[active[two // 3]] = np.stack([d, b, c], axis=1)
        busy = np.unique(face[active[one // 3]])
        active = active[np.isin(face[active], busy)]
    return triangles


def _flip_gain(points: Floats, a: Ints, b: Ints, c: Ints, d: Ints) -> Floats:
    """The excess (as a sine) of the sum of the angles at c and d, opposite the edge a-b, over 180
    degrees, where c and d can be joined instead; else zero."""
    ca, cb, da, db = (points[p] - points[q] for q in (c, d) for p in (a, b))
    at_c, at_d = np.cross(ca, cb), np.cross(db, da)
    sines = np.linalg.norm(at_c, axis=1), np.linalg.norm(at_d, axis=1)
    cosines = np.einsum("ij,ij->i", ca, cb), np.einsum("ij,ij->i", da, db)
    sine = sines[0] * cosines[1] + sines[1] * cosines[0]
    size = np.hypot(sines[0], cosines[0]) * np.hypot(sines[1], cosines[1])
    up = at_c + at_d
    dc = points[c] - points[d]
    fits = np.einsum("ij,ij->i", np.cross(dc, da), up) > 0
    fits &= np.einsum("ij,ij->i", np.cross(dc, db), up) < 0
    gain: Floats = np.where(fits, -sine / size, 0.0)
    return gain


def _directed_keys(rows: Ints) -> Ints:
    """A number for each row of a face and two points."""
    face, start, end = rows.T
    numbers: Ints = (face << 42) + (start << 21) + end
    return numbers


def _undirected_keys(rows: Ints) -> Ints:
    """A number for each row of a face and two points, the same whichever comes first."""
    return _directed_keys(np.column_stack([rows[:, 0], np.sort(rows[:, 1:], axis=1)]))
