"""Conforming mesh: triangles that cross, touch or coincide, cut so that they meet in whole
edges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..arrays import Bools, Floats, Ints
from .bounding_boxes import overlapping_boxes
from .face_triangulation import cut_faces
from .intersection_graph import concatenated_ranges, find_intersections
from .morton_order import morton_order
from .self_intersections import unseparated
from .surface import first_coincident, is_sliver
from .triangles import area_vectors, corners_by_axis, lengths, unit_normals

OnProgress = Callable[[float], None]

MAX_PASSES = 6
"""Passes of cutting after which what is not conforming is left."""
MAX_GROWTH = 6
"""Pairs that meet, as a multiple of those of the first pass, beyond which cutting is given up."""
TOLERANCE_REDUCTION = 0.1
"""Factor by which the tolerance shrinks from pass to pass, so that cutting ends."""
LARGE_FACE_RATIO = 8.0
"""Extent over the median from which triangles are sorted last in the tree of boxes."""
NEGLIGIBLE_SHARE = 1e-3
"""Share of the tolerance that is rounding."""
LARGE_GROUP_FACES = 100
"""Triangles of a conforming group from which the search for pairs leaves out those within it."""


@dataclass(frozen=True)
class ConformingMesh:
    """Triangles (k, 3) over vertices (n, 3) that meet in whole edges and vertices only, or are the
    same; the given triangle of which each is a piece (k,), with the same orientation; and whether
    the cutting converged."""

    vertices: Floats
    triangles: Ints
    source: Ints
    converged: bool = True


@dataclass(frozen=True)
class _InputTriangles:
    """The triangles (m, 3) before they are cut, and the group (m,) of each, -1 for none."""

    triangles: Ints
    group: Ints


def make_conforming(
    vertices: Floats,
    triangles: Ints,
    tolerance: float,
    group: Ints | None = None,
    on_progress: OnProgress | None = None,
) -> ConformingMesh:
    """Cuts triangles (m, 3) over vertices (n, 3) wherever they meet; those of one `group` (m,), a
    number from 0 on, already meet in whole edges, and are cut only where they meet others.

    Vertices, edges and faces `tolerance` (m) or less apart meet, and are moved to coincide.
    Triangles no higher than that are left out. Where triangles coincide, the pieces of each have
    the same vertices. Where cuts lead to ever more cuts, as among many faces about `tolerance`
    apart, it stops. `on_progress` receives the number of triangles at each step.
    """
    points = np.asarray(vertices, dtype=np.float64)
    corners = np.asarray(triangles, dtype=np.int64)
    if not len(corners):
        return ConformingMesh(points[:0], corners, np.zeros(0, np.int64))
    used, corners = np.unique(corners, return_inverse=True)
    points, corners = points[used], corners.reshape(-1, 3)
    corners, source = _merge_corners(points, corners, tolerance)
    used, place = np.unique(corners, return_inverse=True)
    points, corners = points[used], place.reshape(-1, 3)
    pieces = ConformingMesh(points, corners[source], source)
    fresh = np.ones(len(source), bool)
    given = _InputTriangles(corners, np.full(len(corners), -1) if group is None else group)
    most = np.inf
    for again in range(MAX_PASSES):
        reach = tolerance * TOLERANCE_REDUCTION**again
        pairs = _pairs_that_may_meet(
            pieces, fresh, given.group[pieces.source], reach, most, on_progress
        )
        if len(pairs) > most:
            break
        if not again:
            most = MAX_GROWTH * len(pairs)
        pieces, fresh = _cut_pairs(pieces, pairs, given, reach, on_progress)
        corners, whole = _merge_corners(pieces.vertices, pieces.triangles, tolerance)
        fresh |= (corners != pieces.triangles).any(axis=1)
        pieces = ConformingMesh(pieces.vertices, corners[whole], pieces.source[whole])
        fresh = fresh[whole]
        if not fresh.any():
            break
    order = np.argsort(pieces.source, kind="stable")
    used, corners = np.unique(pieces.triangles[order], return_inverse=True)
    converged = not fresh.any()
    return ConformingMesh(
        pieces.vertices[used], corners.reshape(-1, 3), pieces.source[order], converged
    )


def _merge_corners(points: Floats, triangles: Ints, tolerance: float) -> tuple[Ints, Ints]:
    """Triangles (m, 3) over points merged within `tolerance`, and which of them (k,) still have
    three corners."""
    corners = first_coincident(points, tolerance)[triangles]
    return corners, np.flatnonzero((corners != np.roll(corners, 1, axis=1)).all(axis=1))


def _cut_pairs(
    pieces: ConformingMesh,
    pairs: Ints,
    given: _InputTriangles,
    tolerance: float,
    on_progress: OnProgress | None,
) -> tuple[ConformingMesh, Bools]:
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
    intersections = find_intersections(
        points, triangles[faces], pairs.reshape(-1, 2), whole, tolerance
    )
    if on_progress:
        on_progress(len(triangles))
    touched, rim = _cut_borders(triangles, intersections.borders)
    inner = np.setdiff1d(faces[intersections.lines[:, 0]], touched)
    corners = triangles[inner]
    plain = [np.stack([inner, corners[:, i], corners[:, (i + 1) % 3]], axis=1) for i in range(3)]
    rim = np.concatenate([rim, *plain])
    lines = np.column_stack(
        [faces[intersections.lines[:, 0]], np.sort(intersections.lines[:, 1:], axis=1)]
    )
    touched = np.union1d(touched, inner)
    if not len(touched):
        return pieces, np.zeros(len(triangles), bool)
    under = np.zeros(len(triangles), bool)
    under[faces[intersections.under]] = True
    cut, owner = cut_faces(intersections.points, triangles, rim, lines, under)
    rest = np.ones(len(triangles), bool)
    rest[touched] = False
    source = pieces.source[owner]
    after = ConformingMesh(
        intersections.points,
        np.concatenate([triangles[rest], cut]),
        np.concatenate([pieces.source[rest], source]),
    )
    new = (np.sort(cut, axis=1) != np.sort(triangles[owner], axis=1)).any(axis=1)
    new[new] = under[owner[new]] | strays_outside(
        intersections.points, cut[new], given.triangles[source[new]], NEGLIGIBLE_SHARE * tolerance
    )
    return after, np.concatenate([np.zeros(rest.sum(), bool), new])


def strays_outside(points: Floats, pieces: Ints, triangles: Ints, reach: float) -> Bools:
    """Which pieces (k, 3) extend more than `reach` beyond their triangles (k, 3), or are so flat
    that they may."""
    corners = corners_by_axis(points, triangles)
    sides = np.roll(corners, -1, axis=1) - corners
    normals = unit_normals(corners)
    within = ~is_sliver(points, pieces, reach / NEGLIGIBLE_SHARE)
    inward = np.cross(normals[:, None], sides, axis=0)
    inward /= np.sqrt(np.einsum("ack,ack->ck", sides, sides))
    for tip in pieces.T:
        arms = points[tip].T[:, None] - corners
        within &= np.abs(np.einsum("ak,ak->k", arms[:, 0], normals)) <= reach
        within &= (np.einsum("ack,ack->ck", arms, inward) >= -reach).all(axis=0)
    return ~within


def _cut_borders(triangles: Ints, borders: Ints) -> tuple[Ints, Ints]:
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
    part = borders[concatenated_ranges(first[at[split]], count[at[split]]), 2:]
    part = np.where((start < end)[half, None], part, part[:, ::-1])
    return near[touched], np.concatenate([whole, np.column_stack([near[half // 3], part])])


def _pairs_that_may_meet(
    pieces: ConformingMesh,
    fresh: Bools,
    group: Ints,
    tolerance: float,
    most: float,
    on_progress: OnProgress | None,
) -> Ints:
    """Pairs (k, 2) of triangles that may meet elsewhere than in shared vertices, at least one of
    them fresh, and not both of one group; and each fresh sliver with itself. Not all of them if
    there are more than `most`."""
    points, triangles, source = pieces.vertices, pieces.triangles, pieces.source
    corners = corners_by_axis(points - points.mean(axis=0), triangles)
    order = morton_order(corners.mean(axis=1).T)
    reach = np.ptp(corners, axis=1).max(axis=0)
    order = order[np.argsort(reach[order] > LARGE_FACE_RATIO * np.median(reach), kind="stable")]
    corners, triangles = corners.take(order, axis=2), triangles[order]
    fresh, group, source = fresh[order], group[order], source[order]
    many = np.flatnonzero(np.bincount(group[group >= 0]) >= LARGE_GROUP_FACES)
    edges = [corners[:, i] - corners[:, i - 1] for i in range(3)]
    normals = area_vectors(corners)
    slim = np.flatnonzero(fresh & is_sliver(points, triangles, tolerance))
    found = [np.stack([slim, slim], axis=1)]
    low, high = corners.min(axis=1) - tolerance / 2, corners.max(axis=1) + tolerance / 2
    for i, j in overlapping_boxes(low, high, np.stack([fresh, *(group != each for each in many)])):
        if on_progress:
            on_progress(len(triangles))
        other = (source[i] != source[j]) & ((group[i] != group[j]) | (group[i] < 0))
        i, j = i[other], j[other]
        equal = triangles[i][:, :, None] == triangles[j][:, None, :]
        shared = equal.sum(axis=(1, 2))
        lone = shared == 0
        parts = [_unseparated_disjoint(corners, normals, edges, i[lone], j[lone], tolerance)]
        some = (shared == 1) | (shared == 2)
        parts.append(
            _unseparated_adjacent(corners, normals, equal[some], i[some], j[some], tolerance)
        )
        found.extend(np.stack(part, axis=1) for part in parts)
        if sum(map(len, found)) > most:
            break
    return order[np.concatenate(found)]


def _unseparated_disjoint(
    corners: Floats, normals: Floats, edges: list[Floats], i: Ints, j: Ints, tolerance: float
) -> tuple[Ints, Ints]:
    """The pairs of triangles without a shared vertex that no axis separates by more than
    `tolerance`."""
    i, j = unseparated(corners, edges, normals, i, j, -tolerance)
    for edge in edges:
        for first in (True, False):
            face = i if first else j
            axes = np.cross(normals[:, face], edge[:, face], axis=0)
            reach = tolerance * lengths(axes)
            ours = np.einsum("ak,ack->ck", axes, corners[:, :, i])
            theirs = np.einsum("ak,ack->ck", axes, corners[:, :, j])
            meet = (ours.max(axis=0) >= theirs.min(axis=0) - reach) & (
                theirs.max(axis=0) >= ours.min(axis=0) - reach
            )
            i, j = i[meet], j[meet]
    return i, j


def _unseparated_adjacent(
    corners: Floats, normals: Floats, equal: Bools, i: Ints, j: Ints, tolerance: float
) -> tuple[Ints, Ints]:
    """The pairs of triangles that share one or two vertices, `equal` (k, 3, 3), unless a plane
    through them has one triangle on one side and the rest of the other more than `tolerance`
    beyond."""
    if not i.size:
        return i, j
    ours, theirs = equal.any(axis=2), equal.any(axis=1)
    here, there = corners[:, :, i].transpose(2, 1, 0), corners[:, :, j].transpose(2, 1, 0)
    pivot = here[np.arange(len(i)), ours.argmax(axis=1)][:, None]
    here, there = here - pivot, there - pivot
    axes = [
        _opening_direction(here, ours) - _opening_direction(there, theirs),
        normals[:, i].T,
        normals[:, j].T,
    ]
    for face, normal in ((here, axes[1]), (there, axes[2])):
        axes += [np.cross(normal, face[:, side] - face[:, side - 1]) for side in range(3)]
    left = np.arange(len(i))
    for axis in axes:
        size = tolerance * np.linalg.norm(axis[left], axis=1)
        parted = np.zeros(len(left), bool)
        for one, other, shared in ((here, there, theirs), (there, here, ours)):
            flank, beyond = (
                np.einsum("kca,ka->kc", face[left], axis[left]) for face in (one, other)
            )
            for sign in (1, -1):
                least = np.where(shared[left], -NEGLIGIBLE_SHARE, 1.0) * size[:, None]
                past = (sign * beyond > least).all(axis=1)
                parted |= past & ((sign * flank).max(axis=1) <= NEGLIGIBLE_SHARE * size)
        left = left[~parted]
    return i[left], j[left]


def _opening_direction(face: Floats, shared: Bools) -> Floats:
    """The direction (k, 3) of triangles (k, 3, 3) from the vertex at the origin, or from their edge
    there."""
    size = np.linalg.norm(face, axis=2, keepdims=True)
    direction: Floats = (face / np.where(size > 0, size, 1.0) * ~shared[:, :, None]).sum(axis=1)
    edge = (face * shared[:, :, None]).sum(axis=1)
    square = np.einsum("ij,ij->i", edge, edge)
    along = np.einsum("ij,ij->i", direction, edge) / np.where(square > 0, square, 1.0)
    direction = direction - along[:, None] * edge
    length = np.linalg.norm(direction, axis=1, keepdims=True)
    return direction / np.where(length > 0, length, 1.0)
