"""Lines in space cut at their intersections."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Bools, Floats, Ints
from .bounding_boxes import overlapping_boxes
from .morton_order import morton_order
from .surface import first_coincident

MAX_ROUNDS = 20
"""Rounds of splitting, to bound time."""
MIN_SINE_SQUARED = 1e-14
"""Squared sine of the angle between two lines up to which they are parallel."""
REUSED_POINT_DISTANCE = 1.5
"""Distance from an intersection to an end, in tolerances, within which the end is taken."""


@dataclass(frozen=True)
class Segments:
    """Lines between points (n, 3): their ends (k, 2), and the given line of which each is part
    (k,). One with equal ends is a point."""

    points: Floats
    ends: Ints
    owner: Ints

    def cut(self, line: Ints, point: Ints) -> tuple[Segments, int]:
        """The lines, some of them cut at their points, and the number of uncut ones, which come
        first."""
        pairs = np.unique(np.stack([line, point], axis=1), axis=0)
        pairs = pairs[(self.ends[pairs[:, 0]] != pairs[:, 1:]).all(axis=1)]
        line, point = pairs.T
        start, end = self.points[self.ends[line]].transpose(1, 0, 2)
        place = self.points[point]
        between = np.einsum("ij,ij->i", place - start, end - place) > 0
        line, point, place, start, end = (x[between] for x in (line, point, place, start, end))
        along = np.einsum("ij,ij->i", place - start, end - start)
        along /= ((end - start) ** 2).sum(axis=1)
        if not len(line):
            return self, len(self.ends)
        whole = np.ones(len(self.ends), bool)
        whole[line] = False
        cut = np.flatnonzero(~whole)
        line = np.concatenate([line, cut, cut])
        point = np.concatenate([point, *self.ends[cut].T])
        along = np.concatenate([along, np.full(len(cut), -np.inf), np.full(len(cut), np.inf)])
        order = np.lexsort((along, line))
        line, point = line[order], point[order]
        runs = line[1:] == line[:-1]
        parts = np.stack([point[:-1][runs], point[1:][runs]], axis=1)
        after = Segments(
            self.points,
            np.concatenate([self.ends[whole], parts]),
            np.concatenate([self.owner[whole], self.owner[line[:-1][runs]]]),
        )
        return after, int(whole.sum())


def merge_points(points: Floats, new: Floats, tolerance: float) -> tuple[Floats, Ints]:
    """Points (n, 3) with those new ones (k, 3) that are more than `tolerance` from all, and the
    index of each new one among them."""
    if not len(new):
        return points, np.zeros(0, np.int64)
    reach = 2 * tolerance
    low, high = new.min(axis=0) - reach, new.max(axis=0) + reach
    near = np.flatnonzero(((points >= low) & (points <= high)).all(axis=1))
    first = first_coincident(np.concatenate([points[near], new]), tolerance)[len(near) :]
    fresh, place = np.unique(first[first >= len(near)], return_inverse=True)
    at = np.zeros(len(new), np.int64)
    at[first >= len(near)] = len(points) + place.reshape(-1)
    at[first < len(near)] = near[first[first < len(near)]]
    return np.concatenate([points, new[fresh - len(near)]]), at


def split_at_intersections(points: Floats, ends: Ints, fresh: Bools, tolerance: float) -> Segments:
    """Lines between points (n, 3), with these ends (k, 2), cut so that they meet in ends only;
    those that are not `fresh` (k,) meet only those that are.

    A line is cut at every end of another within `tolerance` of it, and two that pass each other
    within `tolerance` at a new point, or at an old one if that is within `tolerance` of it.
    """
    lines = Segments(points, ends, np.arange(len(ends)))
    for _ in range(MAX_ROUNDS):
        line, point, new, pairs = _find_intersections(lines, fresh, tolerance)
        whole, at = merge_points(lines.points, new, tolerance)
        lines, known = Segments(whole, lines.ends, lines.owner).cut(
            np.concatenate([line, *pairs.T]), np.concatenate([point, at, at])
        )
        fresh = np.arange(len(lines.ends)) >= known
        if not fresh.any():
            break
    return lines


def _find_intersections(
    lines: Segments, fresh: Bools, tolerance: float
) -> tuple[Ints, Ints, Floats, Ints]:
    """Lines (k,) and an end of another (k,) within `tolerance` of each; new points (n, 3) and the
    two lines (n, 2) that pass each other there; one of the two is fresh."""
    found: list[tuple[Ints, Ints, Floats, Ints]] = []
    points, ends = lines.points, lines.ends
    places = points[ends]
    order = morton_order(places.mean(axis=1))
    places = places[order].transpose(2, 1, 0)
    low, high = places.min(axis=1) - tolerance / 2, places.max(axis=1) + tolerance / 2
    for i, j in overlapping_boxes(low, high, fresh[None, order]):
        i, j = order[i], order[j]
        equal = ends[i][:, :, None] == ends[j][:, None, :]
        i, j = (each[equal.sum(axis=(1, 2)) < 2] for each in (i, j))
        if i.size:
            found.append(_intersect_pairs(points, ends, i, j, tolerance))
    none = np.zeros(0, np.int64)
    found.append((none, none, np.zeros((0, 3)), none.reshape(0, 2)))
    line, point, new, pairs = (np.concatenate(each) for each in zip(*found, strict=True))
    return line, point, new, pairs


def _intersect_pairs(
    points: Floats, ends: Ints, i: Ints, j: Ints, tolerance: float
) -> tuple[Ints, Ints, Floats, Ints]:
    """What `_find_intersections` finds among pairs of lines i, j."""
    met = (ends[i][:, :, None] == ends[j][:, None, :]).any(axis=(1, 2))
    line, point = [], []
    for one, other in ((i, j), (j, i)):
        start, end = points[ends[one]].transpose(1, 0, 2)
        direction = end - start
        square = np.maximum(np.einsum("ij,ij->i", direction, direction), np.finfo(float).tiny)
        for side in range(2):
            tip = ends[other, side]
            arm = points[tip] - start
            along = np.einsum("ij,ij->i", arm, direction) / square
            away = arm - along[:, None] * direction
            upon = np.einsum("ij,ij->i", arm, end - points[tip]) > 0
            upon &= (ends[one] != tip[:, None]).all(axis=1)
            upon &= np.einsum("ij,ij->i", away, away) <= tolerance**2
            line.append(one[upon])
            point.append(tip[upon])
            met |= upon
    i, j = i[~met], j[~met]
    (a, b), (c, d) = points[ends[i]].transpose(1, 0, 2), points[ends[j]].transpose(1, 0, 2)
    p, q, r = b - a, d - c, c - a
    pp, qq, pq = (np.einsum("ij,ij->i", *two) for two in ((p, p), (q, q), (p, q)))
    pr, qr = (np.einsum("ij,ij->i", *two) for two in ((p, r), (q, r)))
    slant = pp * qq - pq * pq
    sure = np.where(slant > MIN_SINE_SQUARED * pp * qq, slant, 1.0)
    s = np.where(slant > MIN_SINE_SQUARED * pp * qq, pr * qq - qr * pq, -1.0) / sure
    t = np.where(slant > MIN_SINE_SQUARED * pp * qq, pr * pq - qr * pp, -1.0) / sure
    here, there = a + s[:, None] * p, c + t[:, None] * q
    cross = (s > 0) & (s < 1) & (t > 0) & (t < 1)
    cross &= ((here - there) ** 2).sum(axis=1) <= tolerance**2
    new, i, j = (here + there)[cross] / 2, i[cross], j[cross]
    tips = np.concatenate([ends[i], ends[j]], axis=1)
    away = np.linalg.norm(points[tips] - new[:, None], axis=2)
    nearest = tips[np.arange(len(tips)), away.argmin(axis=1)]
    old = away.min(axis=1, initial=np.inf) <= REUSED_POINT_DISTANCE * tolerance
    line.extend([i[old], j[old]])
    point.extend([nearest[old], nearest[old]])
    pairs = np.stack([i, j], axis=1)[~old]
    return np.concatenate(line), np.concatenate(point), new[~old], pairs
