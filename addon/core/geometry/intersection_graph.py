"""The intersection graph of faces: on each face, the lines it shares with others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Bools, Floats, Ints
from .line_intersections import Segments, merge_points, split_at_intersections
from .triangles import corners_by_axis, lengths, unit_normals

KEY_BASE = 1 << 32
"""Factor that packs two indices in one whole number."""
MAX_OVERLAP_WIDTH = 2.0
"""Distance of planes over the narrower face, in tolerances, up to which faces lie on each other."""


@dataclass(frozen=True)
class IntersectionGraph:
    """Points (n, 3), the old ones first; the parts of each cut edge: its ends, low first, and those
    of the part (k, 4); lines on faces: the face and two points (l, 3), equal where only a point
    touches; and the faces (j,) that coincide with others."""

    points: Floats
    borders: Ints
    lines: Ints
    under: Ints


@dataclass(frozen=True)
class _Faces:
    """Triangles (m, 3), their edges (k, 2), low first, and the edges of each (m, 3)."""

    corners: Ints
    edges: Ints
    face_edges: Ints

    @staticmethod
    def of(corners: Ints) -> _Faces:
        ends = np.stack([corners, np.roll(corners, -1, axis=1)], axis=2).reshape(-1, 2)
        ends = np.sort(ends, axis=1)
        key, face_edges = np.unique(ends[:, 0] * KEY_BASE + ends[:, 1], return_inverse=True)
        return _Faces(corners, np.stack(divmod(key, KEY_BASE), axis=1), face_edges.reshape(-1, 3))

    def faces_at(self, edges: Ints) -> tuple[Ints, Ints]:
        """The faces that each of the edges bounds, and the index of that edge in them."""
        order = np.argsort(self.face_edges, axis=None, kind="stable")
        count = np.bincount(self.face_edges.ravel(), minlength=len(self.edges))
        first = np.cumsum(count) - count
        row = np.repeat(np.arange(len(edges)), count[edges])
        return order[concatenated_ranges(first[edges], count[edges])] // 3, row


def concatenated_ranges(first: Ints, count: Ints) -> Ints:
    """The consecutive numbers from each first on, as many as its count."""
    skip = np.repeat(first - np.cumsum(count) + count, count)
    numbers: Ints = skip + np.arange(len(skip))
    return numbers


def find_intersections(
    points: Floats, corners: Ints, pairs: Ints, whole: Bools, tolerance: float
) -> IntersectionGraph:
    """Intersections of the pairs (k, 2) of triangles (m, 3), `tolerance` (m) or less apart. Edges
    of those that are `whole` (m,) do not meet each other."""
    faces = _Faces.of(corners)
    loose = np.zeros(len(faces.edges), bool)
    loose[faces.face_edges[~whole]] = True
    edges = split_at_intersections(points, faces.edges, loose, tolerance)
    beside = _edges_beside_faces(faces, pairs)
    edges, known, inner = _split_where_piercing(faces, edges, beside, tolerance)
    face, row = faces.faces_at(edges.owner)
    on = np.unique(np.concatenate([*(face * KEY_BASE + edges.ends[row].T), inner]))
    part, other = _parts_beside(edges, beside)
    upon = np.isin(other * KEY_BASE + edges.ends[part].T, on).all(axis=0)
    shared = np.column_stack([other[upon], edges.ends[part[upon]]])
    alone = np.stack(divmod(inner, KEY_BASE), axis=1)[:, [0, 1, 1]]
    common, under = _common_lines(edges.points, corners, pairs, on, tolerance)
    found = np.concatenate([common, shared, alone])
    ends = np.sort(found[:, 1:], axis=1)
    key, line = np.unique(ends[:, 0] * KEY_BASE + ends[:, 1], return_inverse=True)
    line = line.reshape(-1)
    ends = np.concatenate([edges.ends, np.stack(divmod(key, KEY_BASE), axis=1)])
    lines = split_at_intersections(edges.points, ends, np.arange(len(ends)) >= known, tolerance)
    border = lines.owner < len(edges.ends)
    owner = edges.owner[lines.owner[border]]
    cut = np.bincount(owner, minlength=len(faces.edges))[owner] > 1
    borders = np.column_stack([faces.edges[owner[cut]], lines.ends[border][cut]])
    borders = borders[np.lexsort((borders[:, 1], borders[:, 0]))]
    inner_ends = lines.ends[~border]
    order = np.argsort(lines.owner[~border], kind="stable")
    count = np.bincount(lines.owner[~border] - len(edges.ends), minlength=len(key))
    first = np.cumsum(count) - count
    parts = inner_ends[order[concatenated_ranges(first[line], count[line])]]
    inner = np.column_stack([np.repeat(found[:, 0], count[line]), parts])
    return IntersectionGraph(lines.points, borders, inner, under)


def _edges_beside_faces(faces: _Faces, pairs: Ints) -> Ints:
    """Each edge with each face (k, 2) paired with one of those it bounds, but not bounded by it."""
    both = np.concatenate([pairs, pairs[:, ::-1]])
    edge, face = faces.face_edges[both[:, 0]].ravel(), np.repeat(both[:, 1], 3)
    edge, face = np.stack(divmod(np.unique(edge * KEY_BASE + face), KEY_BASE))
    own = (faces.face_edges[face] == edge[:, None]).any(axis=1)
    return np.stack([edge, face], axis=1)[~own]


def _parts_beside(edges: Segments, beside: Ints) -> tuple[Ints, Ints]:
    """Each part of the edges with each face beside it."""
    order = np.argsort(edges.owner, kind="stable")
    count = np.bincount(edges.owner, minlength=int(beside[:, 0].max(initial=-1)) + 1)
    first = np.cumsum(count) - count
    edge, face = beside.T
    return order[concatenated_ranges(first[edge], count[edge])], np.repeat(face, count[edge])


def _split_where_piercing(
    faces: _Faces, edges: Segments, beside: Ints, tolerance: float
) -> tuple[Segments, int, Ints]:
    """The edges cut where they pierce faces, the number of uncut ones, which come first, and the
    points within faces: face * BASE + point."""
    part, face = _parts_beside(edges, beside)
    bounded, row = faces.faces_at(edges.owner)
    rim = np.unique(bounded * KEY_BASE + edges.ends[row].T)
    corners = corners_by_axis(edges.points, faces.corners)
    normals = unit_normals(corners)

    def height(point: Ints) -> Floats:
        away = edges.points[point].T - corners[:, 0, face]
        above: Floats = np.einsum("ak,ak->k", away, normals[:, face])
        return above

    heights = np.stack([height(end) for end in edges.ends[part].T])
    keys = face * KEY_BASE + edges.ends[part].T
    close = (np.abs(heights) <= tolerance) & ~np.isin(keys, rim)
    touching = np.unique(keys[close])
    at, point = divmod(touching, KEY_BASE)
    touching = touching[_inside_faces(corners, normals, at, edges.points[point].T)]
    free = ~np.isin(keys, np.concatenate([rim, touching])).any(axis=0)
    free &= heights[0] * heights[1] < 0
    part, face, (low, high) = part[free], face[free], heights[:, free]
    start, end = edges.points[edges.ends[part]].transpose(1, 0, 2)
    new = start + (end - start) * (low / (low - high))[:, None]
    inside = _inside_faces(corners, normals, face, new.T)
    points, place = merge_points(edges.points, new[inside], tolerance)
    edges, known = Segments(points, edges.ends, edges.owner).cut(part[inside], place)
    pierced = face[inside] * KEY_BASE + place
    return edges, known, np.unique(np.concatenate([touching, pierced]))


def _inside_faces(corners: Floats, normals: Floats, face: Ints, points: Floats) -> Bools:
    """Which of the points (3, k), in the planes of faces (k,), are within them."""
    inside = np.ones(len(face), bool)
    for corner in range(3):
        start = corners[:, corner, face]
        across = np.cross(normals[:, face], corners[:, (corner + 1) % 3, face] - start, axis=0)
        inside &= np.einsum("ak,ak->k", across, points - start) > 0
    return inside


def _common_lines(
    points: Floats, corners: Ints, pairs: Ints, on: Ints, tolerance: float
) -> tuple[Ints, Ints]:
    """Lines on faces (k, 3) between the points `on` them, face * BASE + point in order, shared by
    two faces of a pair, unless they coincide; and the faces (j,) that do."""
    first = np.searchsorted(on, np.arange(len(corners) + 1) * KEY_BASE)
    count = np.diff(first)
    swap = count[pairs[:, 0]] > count[pairs[:, 1]]
    few, many = np.where(swap[:, None], pairs[:, ::-1], pairs).T
    pair = np.repeat(np.arange(len(pairs)), count[few])
    point = on[concatenated_ranges(first[few], count[few])] % KEY_BASE
    key = many[pair] * KEY_BASE + point
    both = on[np.minimum(np.searchsorted(on, key), len(on) - 1)] == key
    pair, point = pair[both], point[both]
    shapes = corners_by_axis(points, corners)
    normals = unit_normals(shapes)
    one, other = pairs.T
    direction = np.cross(normals[:, one], normals[:, other], axis=0)
    sine = lengths(direction)
    direction /= np.where(sine > 0, sine, 1.0)
    across = np.cross(normals[:, one], direction, axis=0)
    spans = [
        np.ptp(np.einsum("ak,ack->ck", across, shapes[:, :, face]), axis=0) for face in pairs.T
    ]
    alike = (sine * np.minimum(*spans) <= MAX_OVERLAP_WIDTH * tolerance) & (
        np.bincount(pair, minlength=len(pairs)) > 2
    )
    place = points[point].T
    along = np.einsum("ak,ak->k", place, direction[:, pair])
    order = np.lexsort((along, pair))[~alike[np.sort(pair)]]
    pair, point = pair[order], point[order]
    next_one = np.flatnonzero(pair[1:] == pair[:-1])
    ends = np.stack([point[next_one], point[next_one + 1]], axis=1)
    owner = pairs[pair[next_one]]
    lines = np.concatenate([np.column_stack([owner[:, side], ends]) for side in range(2)])
    return lines, np.unique(pairs[alike])
