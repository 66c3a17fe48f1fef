"""Cells of an arrangement: the spaces it separates, each with all the surfaces that bound it.

A surface that floats within a cell bounds it too. Crossing a face of a closed body outward leaves
the body, so the bodies that contain each cell follow without point tests.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .arrangement import Arrangement
from .caps import Fans, lidded_spaces
from .half_edges import Joins, connected
from .triangles import areas
from .winding_number import is_inside

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Chosen = NDArray[np.bool_]


@dataclass(frozen=True)
class Cells:
    """Triangles (m, 3) of an arrangement and, after them, of the caps over holes; their areas (m2);
    and the cells in front and behind. For each cell the volume (m3) and the area of its boundary;
    `sea` is the one outside everything."""

    vertices: Array
    triangles: Ints
    area: Array
    front: Ints
    back: Ints
    lids: Fans
    volume: Array
    skin: Array
    sea: int

    @property
    def parting(self) -> Chosen:
        """Which triangles have different cells in front and behind."""
        parting: Chosen = self.front != self.back
        return parting

    def faces_round(self, cells: Ints | Chosen) -> Array:
        """Corners (k, 3, 3) of the outward surface of a union of cells."""
        within = np.zeros(len(self.volume), bool)
        within[cells] = True
        front, back = within[self.front], within[self.back]
        outward = self.triangles[back & ~front]
        inward = self.triangles[front & ~back][:, ::-1]
        faces: Array = self.vertices[np.concatenate([outward, inward])]
        return faces

    def thickness(self, cells: Chosen) -> float:
        """Twice the volume over the boundary area of a union of cells (m)."""
        edge = cells[self.front] != cells[self.back]
        return 2 * float(self.volume[cells].sum()) / float(self.area[edge].sum())


def find_cells(arrangement: Arrangement, joins: Joins, shut: Chosen, touch: float) -> Cells:
    """The cells of an arrangement with caps over the joins `shut` (k,)."""
    spaces = lidded_spaces(arrangement.vertices, arrangement.triangles, joins, shut, touch)
    lids = spaces.lids
    vertices = np.concatenate([arrangement.vertices, lids.middles])
    triangles = np.concatenate([arrangement.triangles, lids.triangles])
    area = areas(vertices, triangles)
    front = np.concatenate([spaces.front, lids.front])
    back = np.concatenate([spaces.back, lids.back])
    count = len(spaces.volume)
    skin = skin_round(front, back, area, count)
    apart = Cells(vertices, triangles, area, front, back, lids, spaces.volume, skin, 0)
    cell, sea = _nested(apart, spaces.room)
    front, back = cell[front], cell[back]
    volume: Array = np.zeros(int(cell.max()) + 1)
    volume += np.bincount(cell, spaces.volume)
    skin = skin_round(front, back, area, len(volume))
    return Cells(vertices, triangles, area, front, back, lids, volume, skin, sea)


def skin_round(front: Ints, back: Ints, area: Array, count: int) -> Array:
    """Area (m2) that separates each of `count` cells from others."""
    parting = front != back
    sums: Array = np.zeros(count)
    for side in (front, back):
        sums += np.bincount(side[parting], area[parting], count)
    return sums


def _nested(cells: Cells, room: Chosen) -> tuple[Ints, int]:
    """The cell that each space belongs to, the outside of a surface being part of the cell it
    floats in; and the one outside everything."""
    count = len(cells.volume)
    piece = connected(count, cells.front, cells.back)
    outermost = np.lexsort((cells.volume, piece))
    outermost = outermost[np.searchsorted(piece[outermost], np.arange(piece.max() + 1))]
    within = np.full(len(outermost), -1)
    if len(outermost) > 1:
        largest = np.zeros(len(outermost), np.int64)
        rising = np.argsort(cells.area, kind="stable")
        largest[piece[cells.front[rising]]] = rising
        probes = cells.vertices[cells.triangles[largest]].mean(axis=1)
        rooms = np.flatnonzero(room)
        for space in rooms[np.argsort(cells.volume[rooms], kind="stable")]:
            seek = (within < 0) & (np.arange(len(within)) != piece[space])
            if not seek.any():
                continue
            faces = cells.faces_round(np.array([space]))
            low, high = faces.min(axis=(0, 1)), faces.max(axis=(0, 1))
            seek &= ((probes > low) & (probes < high)).all(axis=1)
            found = np.flatnonzero(seek)
            within[found[is_inside(probes[found], faces)]] = space
    within = np.where(within < 0, outermost[np.argmin(within)], within)
    label = connected(count, outermost, within)
    outside = outermost[within == outermost]
    return label, int(label[outside[0]])


def bodies_around(cells: Cells, arrangement: Arrangement, bodies: int) -> Ints:
    """How often each cell lies in the closing faces of each part: 1 inside a closed body, 0
    outside; shape (cells, bodies)."""
    parting = np.flatnonzero(cells.parting)
    rising = parting[np.argsort(cells.area[parting], kind="stable")]
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
    np.add.at(steps, (at[counts], arrangement.part[counts]), arrangement.turn[counts])

    ways: list[list[tuple[int, Ints]]] = [[] for _ in cells.volume]
    for front, back, step in zip(
        cells.front[chosen].tolist(), cells.back[chosen].tolist(), steps, strict=True
    ):
        ways[front].append((back, step))
        ways[back].append((front, -step))
    around = np.zeros((len(cells.volume), bodies), np.int64)
    reached = {cells.sea}
    queue = deque(reached)
    while queue:
        here = queue.popleft()
        for there, step in ways[here]:
            if there not in reached:
                reached.add(there)
                around[there] = around[here] + step
                queue.append(there)
    return around
