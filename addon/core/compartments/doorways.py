"""Caps over free edges of boundaries: doorways and hatches open at one side, holes that another
boundary passes through, and bulkheads that end at the rim of an open hull."""

from __future__ import annotations

import numpy as np

from ..arrays import Bools, Floats, Ints
from ..geometry.arrangement import Arrangement, SurfacePart
from ..geometry.caps import connected_edge_sets, dangling, half_edge_ends
from ..geometry.half_edges import Edges, connected_components
from ..geometry.polygon_triangulation import triangulate_polygons

SILL_HEIGHTS = 1.0
"""Heights of a doorway by which its cap reaches beyond the sill, for a boundary that is not
straight."""


def find_doorways(
    arrangement: Arrangement,
    edges: Edges,
    free: Bools,
    parts: list[SurfacePart],
    tolerance: float,
    loops: bool = False,
) -> list[SurfacePart]:
    """Caps over each of the free edges (k,) that run from one place on a boundary to another and
    not straight: one up to the line between those, and one beyond it by `SILL_HEIGHTS` times its
    height, for a curved boundary. Edges from rim to rim of an open hull get one up to its cap; and
    one closes those round a hole that another part passes through, or round any if `loops` are
    requested."""
    found = []
    rim, mixed = _rim(arrangement), _on_several_parts(arrangement)
    part = arrangement.first_part()
    half = edges.order[edges.first[free]]
    ends = half_edge_ends(arrangement.triangles, half)
    label = 2 * connected_edge_sets(ends) + dangling(edges, free)[free]
    for number in np.unique(label):
        here = label == number
        path = _vertex_path(ends[here])
        if path is None:
            continue
        name = parts[part[half[here][0] // 3]].name
        points = arrangement.vertices[path]
        if number % 2 == 0:
            if loops or mixed[path].any():
                found += [_cap(name, points), _cap(name, points[:0])]
            continue
        if rim[path[[0, -1]]].all():
            away = _continuation(
                points, arrangement.vertices[arrangement.triangles[half[here] // 3]]
            )
            sheet = np.concatenate([points, points[[-1, 0]] + away])
            found += [_cap(name, sheet), _cap(name, sheet[:0])]
            continue
        chord = points[-1] - points[0]
        normal = np.cross(points[:-1] - points[0], points[1:] - points[0]).sum(axis=0) / 2
        span = float(np.linalg.norm(chord))
        length = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
        if np.linalg.norm(normal) <= tolerance * length or span <= tolerance:
            continue
        away = np.cross(chord, normal)
        away *= -SILL_HEIGHTS * float(np.linalg.norm(normal)) / span / float(np.linalg.norm(away))
        sill = np.array([points[-1], points[0], points[0] + away, points[-1] + away])
        found += [_cap(name, points), _cap(name, sill)]
    return found


def _rim(arrangement: Arrangement) -> Bools:
    """Which vertices (n,) are on the border of a cap of the hull."""
    of_hull = arrangement.part == 0
    on = np.zeros((2, len(arrangement.vertices)), bool)
    for row, chosen in enumerate((of_hull & arrangement.cap, of_hull & ~arrangement.cap)):
        on[row, arrangement.triangles[arrangement.copy[chosen]]] = True
    rim: Bools = on.all(axis=0)
    return rim


def _on_several_parts(arrangement: Arrangement) -> Bools:
    """Which vertices (n,) belong to faces of several parts."""
    low = np.full(len(arrangement.vertices), len(arrangement.part))
    high = np.full(len(arrangement.vertices), -1)
    corners = arrangement.triangles[arrangement.copy].T
    for corner in corners:
        np.minimum.at(low, corner, arrangement.part)
        np.maximum.at(high, corner, arrangement.part)
    return high > low


def _continuation(points: Floats, faces: Floats) -> Floats:
    """The continuation (3,) of faces (k, 3, 3) beyond points (n, 3) in a row on their edges, as
    long as the row, at right angles to the line between its ends."""
    chord = points[-1] - points[0]
    away = (points.mean(axis=0) - faces.mean(axis=(0, 1))).astype(np.float64)
    away -= (away @ chord) / (chord @ chord) * chord
    length = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    onward: Floats = away * length / np.linalg.norm(away)
    return onward


def _cap(name: str, outline: Floats) -> SurfacePart:
    """A part that closes an outline (k, 3), if there is one."""
    faces = (tuple(range(len(outline))),) if len(outline) else ()
    triangles, _ = triangulate_polygons(outline, faces)
    return SurfacePart(name, outline, triangles, np.zeros(len(triangles), bool), len(triangles))


def beyond_sills(arrangement: Arrangement, edges: Edges, first: int) -> Bools:
    """Which triangles (m,) of the caps of doorways, the parts from `first` on, are beyond the
    boundaries that those end on."""
    part = arrangement.first_part()
    caps = arrangement.only_caps & (part >= first)
    pairs = edges.order[np.stack([edges.first, edges.first + 1])[:, edges.count == 2]] // 3
    joined = pairs[:, caps[pairs].all(axis=0)]
    label = connected_components(len(part), *joined)
    beyond: Bools = caps & ~np.isin(label, label[caps & ((part - first) % 2 == 0)])
    return beyond


def _vertex_path(ends: Ints) -> Ints | None:
    """The ordered vertices of the path or loop that edges (k, 2) form; None if they branch."""
    names, place = np.unique(ends, return_inverse=True)
    place = place.reshape(-1, 2)
    counts = np.bincount(place.ravel())
    if counts.max() > 2 or (counts == 1).sum() > 2:
        return None
    neighbors: dict[int, list[int]] = {}
    for one, other in place.tolist():
        neighbors.setdefault(one, []).append(other)
        neighbors.setdefault(other, []).append(one)
    row = [int(counts.argmin())]
    while len(row) < len(names):
        row.append(next(there for there in neighbors[row[-1]] if there not in row[-2:]))
    path: Ints = names[row]
    return path
