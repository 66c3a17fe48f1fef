"""Conforming mesh: triangles that cross, touch or coincide, cut so that they meet in whole
edges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .bounding_boxes import overlapping
from .face_triangulation import cut_faces
from .intersection_graph import find_web, ranges
from .morton_order import curve_order
from .self_intersections import unparted
from .surface import first_alike, is_sliver
from .triangles import area_vectors, by_axis, lengths, unit_normals

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Chosen = NDArray[np.bool_]
Tell = Callable[[float], None]

MOST_PASSES = 6
MOST_GROWTH = 6
FINER = 0.1
LARGE = 8.0
LEAST = 1e-3
MANY = 100


@dataclass(frozen=True)
class Conformed:
    """Triangles (k, 3) over vertices (n, 3) that meet in whole edges and vertices only, or are the
    same; the given triangle of which each is a piece (k,), with the same orientation; and whether
    the cutting converged."""

    vertices: Array
    triangles: Ints
    source: Ints
    settled: bool = True


@dataclass(frozen=True)
class _Given:
    """The triangles (m, 3) before they are cut, and the group (m,) of each, -1 for none."""

    triangles: Ints
    group: Ints


def conform(
    vertices: Array,
    triangles: Ints,
    touch: float,
    group: Ints | None = None,
    tell: Tell | None = None,
) -> Conformed:
    """Cuts triangles (m, 3) over vertices (n, 3) wherever they meet; those of one `group` (m,), a
    number from 0 on, already meet in whole edges, and are cut only where they meet others.

    Vertices, edges and faces `touch` (m) or less apart meet, and are moved to coincide. Triangles
    no higher than that are left out. Where triangles coincide, the pieces of each have the same
    vertices. Where cuts lead to ever more cuts, as among many faces about `touch` apart, it stops.
    `tell` receives the number of triangles at each step.
    """
    points = np.asarray(vertices, dtype=np.float64)
    corners = np.asarray(triangles, dtype=np.int64)
    if not len(corners):
        return Conformed(points[:0], corners, np.zeros(0, np.int64))
    used, corners = np.unique(corners, return_inverse=True)
    points, corners = points[used], corners.reshape(-1, 3)
    corners, source = _collapsed(points, corners, touch)
    used, place = np.unique(corners, return_inverse=True)
    points, corners = points[used], place.reshape(-1, 3)
    pieces = Conformed(points, corners[source], source)
    fresh = np.ones(len(source), bool)
    given = _Given(corners, np.full(len(corners), -1) if group is None else group)
    most = np.inf
    for again in range(MOST_PASSES):
        reach = touch * FINER**again
        pairs = _near(pieces, fresh, given.group[pieces.source], reach, most, tell)
        if len(pairs) > most:
            break
        if not again:
            most = MOST_GROWTH * len(pairs)
        pieces, fresh = _cut(pieces, pairs, given, reach, tell)
        corners, whole = _collapsed(pieces.vertices, pieces.triangles, touch)
        fresh |= (corners != pieces.triangles).any(axis=1)
        pieces = Conformed(pieces.vertices, corners[whole], pieces.source[whole])
        fresh = fresh[whole]
        if not fresh.any():
            break
    order = np.argsort(pieces.source, kind="stable")
    used, corners = np.unique(pieces.triangles[order], return_inverse=True)
    settled = not fresh.any()
    return Conformed(pieces.vertices[used], corners.reshape(-1, 3), pieces.source[order], settled)


def _collapsed(points: Array, triangles: Ints, touch: float) -> tuple[Ints, Ints]:
    """Triangles (m, 3) over points merged within `touch`, and which of them (k,) still have three
    corners."""
    corners = first_alike(points, touch)[triangles]
    return corners, np.flatnonzero((corners != np.roll(corners, 1, axis=1)).all(axis=1))


def _cut(
    pieces: Conformed, pairs: Ints, given: _Given, touch: float, tell: Tell | None
) -> tuple[Conformed, Chosen]:
    """The triangles cut where pairs (k, 2) of them meet, and which of them are fresh: may meet
    others elsewhere than the given triangle of which they are a piece did, or coincide with
    others."""
    points, triangles, group = pieces.vertices, pieces.triangles, given.group[pieces.source]
    if not len(pairs):
        return pieces, np.zeros(len(triangles), bool)
    slim = pairs[pairs[:, 0] == pairs[:, 1], 0]
    faces, pairs = np.unique(pairs, return_inverse=True)
    group = np.where(np.isin(faces, slim), -1, group[faces])
    whole = group == np.bincount(group[group >= 0], minlength=1).argmax()
    web = find_web(points, triangles[faces], pairs.reshape(-1, 2), whole, touch)
    if tell:
        tell(len(triangles))
    touched, rim = _rims(triangles, web.borders)
    inner = np.setdiff1d(faces[web.lines[:, 0]], touched)
    corners = triangles[inner]
    plain = [np.stack([inner, corners[:, i], corners[:, (i + 1) % 3]], axis=1) for i in range(3)]
    rim = np.concatenate([rim, *plain])
    lines = np.column_stack([faces[web.lines[:, 0]], np.sort(web.lines[:, 1:], axis=1)])
    touched = np.union1d(touched, inner)
    if not len(touched):
        return pieces, np.zeros(len(triangles), bool)
    under = np.zeros(len(triangles), bool)
    under[faces[web.under]] = True
    cut, owner = cut_faces(web.points, triangles, rim, lines, under)
    rest = np.ones(len(triangles), bool)
    rest[touched] = False
    source = pieces.source[owner]
    after = Conformed(
        web.points,
        np.concatenate([triangles[rest], cut]),
        np.concatenate([pieces.source[rest], source]),
    )
    new = (np.sort(cut, axis=1) != np.sort(triangles[owner], axis=1)).any(axis=1)
    new[new] = under[owner[new]] | strays(
        web.points, cut[new], given.triangles[source[new]], LEAST * touch
    )
    return after, np.concatenate([np.zeros(rest.sum(), bool), new])


def strays(points: Array, pieces: Ints, triangles: Ints, reach: float) -> Chosen:
    """Which pieces (k, 3) extend more than `reach` beyond their triangles (k, 3), or are so flat
    that they may."""
    corners = by_axis(points, triangles)
    sides = np.roll(corners, -1, axis=1) - corners
    normals = unit_normals(corners)
    within = ~is_sliver(points, pieces, reach / LEAST)
    inward = np.cross(normals[:, None], sides, axis=0)
    inward /= np.sqrt(np.einsum("ack,ack->ck", sides, sides))
    for tip in pieces.T:
        arms = points[tip].T[:, None] - corners
        within &= np.abs(np.einsum("ak,ak->k", arms[:, 0], normals)) <= reach
        within &= (np.einsum("ack,ack->ck", arms, inward) >= -reach).all(axis=0)
    return ~within


def _rims(triangles: Ints, borders: Ints) -> tuple[Ints, Ints]:
    """The triangles with a cut edge, and all edges round them: triangle, start, end (k, 3).

    `borders` (l, 4) holds the ends of the cut edges, low first, with those of each part.
    """
    base = int(triangles.max()) + 1
    keys, first, count = np.unique(
        borders[:, 0] * base + borders[:, 1], return_index=True, return_counts=True
    )
    if not len(keys):
        return np.zeros(0, np.int64), np.zeros((0, 3), np.int64)
    marked = np.zeros(base, bool)
    marked[borders[:, :2]] = True
    near = np.flatnonzero(marked[triangles].sum(axis=1) > 1)
    start, end = triangles[near].ravel(), np.roll(triangles[near], -1, axis=1).ravel()
    key = np.minimum(start, end) * base + np.maximum(start, end)
    at = np.minimum(np.searchsorted(keys, key), len(keys) - 1)
    split = keys[at] == key
    touched = split.reshape(-1, 3).any(axis=1)
    plain = np.repeat(touched, 3) & ~split
    whole = np.stack([np.repeat(near, 3), start, end], axis=1)[plain]
    half = np.repeat(np.flatnonzero(split), count[at[split]])
    part = borders[ranges(first[at[split]], count[at[split]]), 2:]
    part = np.where((start < end)[half, None], part, part[:, ::-1])
    return near[touched], np.concatenate([whole, np.column_stack([near[half // 3], part])])


def _near(
    pieces: Conformed, fresh: Chosen, group: Ints, touch: float, most: float, tell: Tell | None
) -> Ints:
    """Pairs (k, 2) of triangles that may meet elsewhere than in shared vertices, at least one of
    them fresh, and not both of one group; and each fresh sliver with itself. Not all of them if
    there are more than `most`."""
    points, triangles, source = pieces.vertices, pieces.triangles, pieces.source
    corners = by_axis(points - points.mean(axis=0), triangles)
    order = curve_order(corners.mean(axis=1).T)
    reach = np.ptp(corners, axis=1).max(axis=0)
    order = order[np.argsort(reach[order] > LARGE * np.median(reach), kind="stable")]
    corners, triangles = corners.take(order, axis=2), triangles[order]
    fresh, group, source = fresh[order], group[order], source[order]
    many = np.flatnonzero(np.bincount(group[group >= 0]) >= MANY)
    edges = [corners[:, i] - corners[:, i - 1] for i in range(3)]
    normals = area_vectors(corners)
    slim = np.flatnonzero(fresh & is_sliver(points, triangles, touch))
    found = [np.stack([slim, slim], axis=1)]
    low, high = corners.min(axis=1) - touch / 2, corners.max(axis=1) + touch / 2
    for i, j in overlapping(low, high, np.stack([fresh, *(group != each for each in many)])):
        if tell:
            tell(len(triangles))
        other = (source[i] != source[j]) & ((group[i] != group[j]) | (group[i] < 0))
        i, j = i[other], j[other]
        equal = triangles[i][:, :, None] == triangles[j][:, None, :]
        shared = equal.sum(axis=(1, 2))
        lone = shared == 0
        parts = [_apart(corners, normals, edges, i[lone], j[lone], touch)]
        some = (shared == 1) | (shared == 2)
        parts.append(_hinged(corners, normals, equal[some], i[some], j[some], touch))
        found.extend(np.stack(part, axis=1) for part in parts)
        if sum(map(len, found)) > most:
            break
    return order[np.concatenate(found)]


def _apart(
    corners: Array, normals: Array, edges: list[Array], i: Ints, j: Ints, touch: float
) -> tuple[Ints, Ints]:
    """The pairs of triangles without a shared vertex that no axis separates by more than
    `touch`."""
    i, j = unparted(corners, edges, normals, i, j, -touch)
    for edge in edges:
        for first in (True, False):
            face = i if first else j
            axes = np.cross(normals[:, face], edge[:, face], axis=0)
            reach = touch * lengths(axes)
            ours = np.einsum("ak,ack->ck", axes, corners[:, :, i])
            theirs = np.einsum("ak,ack->ck", axes, corners[:, :, j])
            meet = (ours.max(axis=0) >= theirs.min(axis=0) - reach) & (
                theirs.max(axis=0) >= ours.min(axis=0) - reach
            )
            i, j = i[meet], j[meet]
    return i, j


def _hinged(
    corners: Array, normals: Array, equal: Chosen, i: Ints, j: Ints, touch: float
) -> tuple[Ints, Ints]:
    """The pairs of triangles that share one or two vertices, `equal` (k, 3, 3), unless a plane
    through them has one triangle on one side and the rest of the other more than `touch` beyond."""
    if not i.size:
        return i, j
    ours, theirs = equal.any(axis=2), equal.any(axis=1)
    here, there = corners[:, :, i].transpose(2, 1, 0), corners[:, :, j].transpose(2, 1, 0)
    pivot = here[np.arange(len(i)), ours.argmax(axis=1)][:, None]
    here, there = here - pivot, there - pivot
    axes = [_way(here, ours) - _way(there, theirs), normals[:, i].T, normals[:, j].T]
    for face, normal in ((here, axes[1]), (there, axes[2])):
        axes += [np.cross(normal, face[:, side] - face[:, side - 1]) for side in range(3)]
    left = np.arange(len(i))
    for axis in axes:
        size = touch * np.linalg.norm(axis[left], axis=1)
        parted = np.zeros(len(left), bool)
        for one, other, shared in ((here, there, theirs), (there, here, ours)):
            flank, beyond = (
                np.einsum("kca,ka->kc", face[left], axis[left]) for face in (one, other)
            )
            for sign in (1, -1):
                least = np.where(shared[left], -LEAST, 1.0) * size[:, None]
                past = (sign * beyond > least).all(axis=1)
                parted |= past & ((sign * flank).max(axis=1) <= LEAST * size)
        left = left[~parted]
    return i[left], j[left]


def _way(face: Array, shared: Chosen) -> Array:
    """The direction (k, 3) of triangles (k, 3, 3) from the vertex at the origin, or from their edge
    there."""
    size = np.linalg.norm(face, axis=2, keepdims=True)
    way: Array = (face / np.where(size > 0, size, 1.0) * ~shared[:, :, None]).sum(axis=1)
    edge = (face * shared[:, :, None]).sum(axis=1)
    square = np.einsum("ij,ij->i", edge, edge)
    along = np.einsum("ij,ij->i", way, edge) / np.where(square > 0, square, 1.0)
    way = way - along[:, None] * edge
    length = np.linalg.norm(way, axis=1, keepdims=True)
    return way / np.where(length > 0, length, 1.0)
