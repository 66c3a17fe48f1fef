"""Cells of an arrangement: the spaces it separates, each with all the surfaces that bound it.

A surface that floats within a cell bounds it too. Crossing a face of a closed body outward leaves
the body, so the bodies that contain each cell follow without point tests.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np

from ..arrays import Bools, Floats, Ints
from .arrangement import Arrangement
from .caps import Caps, capped_spaces
from .half_edges import HalfFaceAdjacency, connected_components
from .triangles import areas
from .winding_number import is_inside


@dataclass(frozen=True)
class Cells:
    """Triangles (m, 3) of an arrangement and, after them, of the caps over holes; their areas (m2);
    and the cells in front and behind. For each cell the volume (m3) and the area of its boundary;
    `unbounded` is the one outside everything."""

    vertices: Floats
    triangles: Ints
    area: Floats
    front: Ints
    back: Ints
    caps: Caps
    volume: Floats
    surface_area: Floats
    unbounded: int

    @property
    def separating(self) -> Bools:
        """Which triangles have different cells in front and behind."""
        separating: Bools = self.front != self.back
        return separating

    def boundary_faces(self, cells: Ints | Bools) -> Floats:
        """Corners (k, 3, 3) of the outward surface of a union of cells."""
        within = np.zeros(len(self.volume), bool)
        within[cells] = True
        front, back = within[self.front], within[self.back]
        outward = self.triangles[back & ~front]
        inward = self.triangles[front & ~back][:, ::-1]
        faces: Floats = self.vertices[np.concatenate([outward, inward])]
        return faces

    def thickness(self, cells: Bools) -> float:
        """Twice the volume over the boundary area of a union of cells (m)."""
        edge = cells[self.front] != cells[self.back]
        return 2 * float(self.volume[cells].sum()) / float(self.area[edge].sum())


def find_cells(
    arrangement: Arrangement, adjacency: HalfFaceAdjacency, closed: Bools, tolerance: float
) -> Cells:
    """The cells of an arrangement with caps over the joins `closed` (k,)."""
    spaces = capped_spaces(
        arrangement.vertices, arrangement.triangles, adjacency, closed, tolerance
    )
    caps = spaces.caps
    vertices = np.concatenate([arrangement.vertices, caps.middles])
    triangles = np.concatenate([arrangement.triangles, caps.triangles])
    area = areas(vertices, triangles)
    front = np.concatenate([spaces.front, caps.front])
    back = np.concatenate([spaces.back, caps.back])
    count = len(spaces.volume)
    surface_area = boundary_areas(front, back, area, count)
    apart = Cells(vertices, triangles, area, front, back, caps, spaces.volume, surface_area, 0)
    cell, unbounded = _merge_nested(apart, spaces.enclosed)
    front, back = cell[front], cell[back]
    volume: Floats = np.zeros(int(cell.max()) + 1)
    volume += np.bincount(cell, spaces.volume)
    surface_area = boundary_areas(front, back, area, len(volume))
    return Cells(vertices, triangles, area, front, back, caps, volume, surface_area, unbounded)


def boundary_areas(front: Ints, back: Ints, area: Floats, count: int) -> Floats:
    """Area (m2) that separates each of `count` cells from others."""
    separating = front != back
    sums: Floats = np.zeros(count)
    for side in (front, back):
        sums += np.bincount(side[separating], area[separating], count)
    return sums


def _merge_nested(cells: Cells, enclosed: Bools) -> tuple[Ints, int]:
    """The cell that each space belongs to, the outside of a surface being part of the cell it
    floats in; and the one outside everything."""
    count = len(cells.volume)
    piece = connected_components(count, cells.front, cells.back)
    outermost = np.lexsort((cells.volume, piece))
    outermost = outermost[np.searchsorted(piece[outermost], np.arange(piece.max() + 1))]
    within = np.full(len(outermost), -1)
    if len(outermost) > 1:
        largest = np.zeros(len(outermost), np.int64)
        rising = np.argsort(cells.area, kind="stable")
        largest[piece[cells.front[rising]]] = rising
        probes = cells.vertices[cells.triangles[largest]].mean(axis=1)
        enclosed_spaces = np.flatnonzero(enclosed)
        for space in enclosed_spaces[np.argsort(cells.volume[enclosed_spaces], kind="stable")]:
            seek = (within < 0) & (np.arange(len(within)) != piece[space])
            if not seek.any():
                continue
            faces = cells.boundary_faces(np.array([space]))
            low, high = faces.min(axis=(0, 1)), faces.max(axis=(0, 1))
            seek &= ((probes > low) & (probes < high)).all(axis=1)
            found = np.flatnonzero(seek)
            within[found[is_inside(probes[found], faces)]] = space
    within = np.where(within < 0, outermost[np.argmin(within)], within)
    label = connected_components(count, outermost, within)
    outside = outermost[within == outermost]
    return label, int(label[outside[0]])


def cell_winding_numbers(cells: Cells, arrangement: Arrangement, bodies: int) -> Ints:
    """How often each cell lies in the closing faces of each part: 1 inside a closed body, 0
    outside; shape (cells, bodies)."""
    separating = np.flatnonzero(cells.separating)
    rising = separating[np.argsort(cells.area[separating], kind="stable")]
    low = np.minimum(cells.front, cells.back)[rising]
    high = np.maximum(cells.front, cells.back)[rising]
    pairs, which = np.unique(low * len(cells.volume) + high, return_inverse=True)
    chosen = np.zeros(len(pairs), np.int64)
    chosen[which.reshape(-1)] = rising
    place = np.full(len(cells.triangles), -1)
    place[chosen] = np.arange(len(chosen))
    steps = np.zeros((len(chosen), bodies), np.int64)
    at = place[arrangement.copy]
    counts = (at >= 0) & arrangement.closing
    np.add.at(steps, (at[counts], arrangement.part[counts]), arrangement.orientation[counts])

    neighbors: list[list[tuple[int, Ints]]] = [[] for _ in cells.volume]
    for front, back, step in zip(
        cells.front[chosen].tolist(), cells.back[chosen].tolist(), steps, strict=True
    ):
        neighbors[front].append((back, step))
        neighbors[back].append((front, -step))
    around = np.zeros((len(cells.volume), bodies), np.int64)
    reached = {cells.unbounded}
    queue = deque(reached)
    while queue:
        here = queue.popleft()
        for there, step in neighbors[here]:
            if there not in reached:
                reached.add(there)
                around[there] = around[here] + step
                queue.append(there)
    return around
