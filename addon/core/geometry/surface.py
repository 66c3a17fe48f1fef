"""The triangles of a surface with their source, and the removal of doubles and slivers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..arrays import Bools, Floats, Ints
from .half_edges import connected_components
from .triangles import area_vectors, corners_by_axis, lengths

MAX_PASSES = 1000
"""Passes of dissolving slivers, to bound time."""
SKEW_DIRECTION = np.sqrt([1 / 6, 2 / 6, 3 / 6])
"""A unit direction (3,) that no model has a reason to follow."""


@dataclass(frozen=True)
class Surface:
    """Triangles (m, 3) of a surface, and for each: its corners in the mesh as given (m, 3), the
    source triangle there (m,), -1 for a cap, and its part (m,)."""

    vertices: Floats
    triangles: Ints
    given: Ints
    source: Ints
    part: Ints

    def take(self, chosen: Ints | Bools) -> Surface:
        """Some of the triangles."""
        return replace(
            self,
            triangles=self.triangles[chosen],
            given=self.given[chosen],
            source=self.source[chosen],
            part=self.part[chosen],
        )

    def joined(self, other: Surface) -> Surface:
        """These triangles and those of another surface over the same vertices."""
        return replace(
            self,
            triangles=np.concatenate([self.triangles, other.triangles]),
            given=np.concatenate([self.given, other.given]),
            source=np.concatenate([self.source, other.source]),
            part=np.concatenate([self.part, other.part]),
        )


def first_coincident(points: Floats, tolerance: float) -> Ints:
    """Index of the first of the points (n, 3) that coincides with each.

    Clusters of points `tolerance` or less apart coincide, and distinct points are farther apart.
    """
    first = np.arange(len(points))
    while True:
        names, place = np.unique(first, return_inverse=True)
        merged = names[_linked_points(points[names], tolerance)]
        if np.array_equal(merged, names):
            return first
        first = merged[place.reshape(-1)]


def _linked_points(points: Floats, tolerance: float) -> Ints:
    """Index of the first of the points (n, 3) that chains lead to from each; the links go to the
    next along the direction `SKEW_DIRECTION` if that is `tolerance` or less away."""
    along = (points - points.min(axis=0)) @ SKEW_DIRECTION
    order = np.argsort(along, kind="stable")
    along, points = along[order], points[order]
    pairs = [np.zeros((2, 0), np.int64)]
    alone, step = np.arange(len(points)), 1
    while alone.size:
        alone = alone[alone < len(points) - step]
        alone = alone[along[alone + step] - along[alone] <= tolerance]
        near = np.linalg.norm(points[alone + step] - points[alone], axis=1) <= tolerance
        pairs.append(order[np.stack([alone[near], alone[near] + step])])
        alone, step = alone[~near], step + 1
    place = connected_components(len(points), *np.concatenate(pairs, axis=1))
    return np.unique(place, return_index=True)[1][place]


def is_sliver(vertices: Floats, triangles: Ints, reach: Floats | float) -> Bools:
    """Which triangles are no higher above their longest edge than `reach` (m)."""
    corners = corners_by_axis(vertices, triangles)
    longest = np.max([lengths(corners[:, i] - corners[:, i - 1]) for i in range(3)], axis=0)
    flat: Bools = 2 * lengths(area_vectors(corners)) <= reach * longest
    return flat


def without_slivers(surface: Surface, tolerance: Floats | float) -> Surface:
    """The surface without slivers, those of `is_sliver`.

    The triangles beyond the longest edge of a sliver are cut in two at its third corner, and then
    it is not needed: a closed surface stays closed. The longest edges come first, so that slivers
    in a row dissolve from one side.
    """
    reach: Floats = np.broadcast_to(tolerance, len(surface.triangles))
    slim = is_sliver(surface.vertices, surface.triangles, reach)
    for _ in range(MAX_PASSES):
        thin = np.flatnonzero(slim)
        if not thin.size:
            break
        spans = _edge_lengths(surface.vertices, surface.triangles[thin])
        thin = thin[np.argsort(-spans.max(axis=1), kind="stable")]
        longest = _edge_lengths(surface.vertices, surface.triangles[thin]).argmax(axis=1)
        keys = _edge_keys(surface.triangles[thin], len(surface.vertices))
        keys, first = np.unique(keys[np.arange(len(thin)), longest], return_index=True)
        corner_of = np.zeros(len(surface.vertices), bool)
        corner_of[surface.triangles[thin]] = True
        near = np.flatnonzero(corner_of[surface.triangles].sum(axis=1) >= 2)
        here = _edge_keys(surface.triangles[near], len(surface.vertices))
        place = np.minimum(np.searchsorted(keys, here), len(keys) - 1)
        rank = np.where(keys[place] == here, first[place], len(thin))
        while (crowded := (rank < len(thin)).sum(axis=1) > 1).any():
            later = rank[crowded] > rank[crowded].min(axis=1, keepdims=True)
            rank[np.isin(rank, rank[crowded][later])] = len(thin)
        row, corner = np.nonzero(rank < len(thin))
        sliver, row = rank[row, corner], near[row]

        tips = thin[sliver], (longest[sliver] + 2) % 3
        twice = np.tile(row, 2)
        halves = replace(
            surface.take(twice),
            triangles=_split_at_tips(surface.triangles, row, corner, tips),
            given=_split_at_tips(surface.given, row, corner, tips),
        )
        whole = halves.triangles[:, 0] != halves.triangles[:, 2]
        whole &= halves.triangles[:, 1] != halves.triangles[:, 2]
        rest = np.ones(len(surface.triangles), bool)
        rest[row] = False
        pieces, reaches = halves.take(whole), reach[twice[whole]]
        surface, reach = surface.take(rest).joined(pieces), np.concatenate([reach[rest], reaches])
        now_slim = is_sliver(surface.vertices, pieces.triangles, reaches)
        slim = np.concatenate([slim[rest], now_slim])
    return surface


def _split_at_tips(corners: Ints, row: Ints, corner: Ints, tips: tuple[Ints, Ints]) -> Ints:
    """Corners (2 k, 3) of the triangles `row` cut in two at a tip on the edge from `corner`."""
    start, end, apex = (corners[row, (corner + step) % 3] for step in range(3))
    tip = corners[tips]
    return np.concatenate([np.stack([start, tip, apex], 1), np.stack([tip, end, apex], 1)])


def _edge_lengths(vertices: Floats, triangles: Ints) -> Floats:
    """Lengths (m, 3) of the edges that run from each corner of triangles to the next."""
    spans: Floats = np.linalg.norm(
        vertices[np.roll(triangles, -1, axis=1)] - vertices[triangles], axis=2
    )
    return spans


def _edge_keys(triangles: Ints, base: int) -> Ints:
    """A number for each edge of triangles (m, 3), independent of its direction."""
    end = np.roll(triangles, -1, axis=1)
    return np.minimum(triangles, end) * base + np.maximum(triangles, end)
