"""Surface moments below a plane, by a tree of blocks of triangles.

For a closed surface with outward area elements n dA, the integrals

    N[k, a, b] = int n_k  X_a X_b  dA,      X = (1, x, y, z)

over the part below a plane hold all its hydrostatics, and need no cap: see
`immersion`. A block of triangles wholly below the plane adds its stored sum, one
wholly above adds nothing, and only the blocks that the plane crosses are opened.
The result is exact to rounding and costs about the square root of the triangle count.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..geometry.morton_order import curve_order
from ..geometry.triangles import along, area_vectors, by_axis, lengths
from .attitude import Attitude
from .immersion import Immersion, immersion

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAF = 16
BRANCH = 8
CHUNK = 1 << 9
"""Leaves in a chunk that fits the caches with all intermediate arrays."""
ROUNDING = 1e-13
PAIRS = tuple((a, b) for a in range(4) for b in range(a, 4))
ROW, COLUMN = np.array(PAIRS).T
OF_MIDDLES = np.array([1.0] + 3 * [1 / 6] + 6 * [1 / 12])
"""Factors that turn sums over twice the edge midpoints of a triangle into means over it."""


@dataclass(frozen=True)
class Level:
    """Blocks of one size: bounding box centers and half sizes (n, 3), moments (n, 3, 10), wettable
    area (n,)."""

    centre: Array
    half: Array
    moments: Array
    skin: Array

    def parents(self, chosen: Ints | None = None) -> Level:
        """The level above, each of its blocks holding `BRANCH` of these; or some of its blocks."""
        count = len(self.skin)
        parts = self.centre - self.half, self.centre + self.half, self.moments, self.skin
        if chosen is None:
            first = np.arange(0, count, BRANCH)
        else:
            ends = np.minimum(np.stack([chosen, chosen + 1], axis=1) * BRANCH, count)
            inside = np.repeat(ends[:, 0], BRANCH).reshape(-1, BRANCH) + np.arange(BRANCH)
            inside = inside[inside < ends[:, 1:]]
            first = np.cumsum(np.diff(ends, axis=1)[:, 0]) - np.diff(ends, axis=1)[:, 0]
            parts = tuple(part[inside] for part in parts)
        low, high = np.minimum.reduceat(parts[0], first), np.maximum.reduceat(parts[1], first)
        moments, skin = (np.add.reduceat(part, first) for part in parts[2:])
        return Level((low + high) / 2, (high - low) / 2, moments, skin)

    def replaced(self, blocks: Ints, fresh: Level) -> Level:
        """The level with some blocks (k,) replaced."""
        changed = Level(self.centre.copy(), self.half.copy(), self.moments.copy(), self.skin.copy())
        for there, here in zip(vars(changed).values(), vars(fresh).values(), strict=True):
            there[blocks] = here
        return changed


@dataclass(frozen=True)
class MomentTree:
    """A surface ready to be cut by any plane.

    `middle` (3,) is the origin of everything stored; `corners` has shape (3 axes, 3 corners,
    leaves, LEAF) and `skin` (leaves, LEAF) the wettable area of each triangle in m2 (zero for
    caps); `levels` run from the top down to the leaves. `order` (leaves, LEAF) is the triangle at
    each place, -1 for none; the last `lids` are caps.
    """

    middle: Array
    corners: Array
    skin: Array
    levels: tuple[Level, ...]
    order: Ints
    lids: int

    @property
    def _faces(self) -> int:
        """Number of triangles that are no caps; the caps' numbers follow theirs."""
        return int(self.order.max(initial=-1)) + 1 - self.lids

    @property
    def low(self) -> Array:
        """Lowest corner of the bounding box, shape (3,)."""
        return self.middle + (self.levels[0].centre - self.levels[0].half).min(axis=0)

    @property
    def high(self) -> Array:
        """Highest corner of the bounding box, shape (3,)."""
        return self.middle + (self.levels[0].centre + self.levels[0].half).max(axis=0)

    @property
    def size(self) -> float:
        """Diagonal of the bounding box (m)."""
        return float(np.linalg.norm(self.high - self.low))

    @property
    def volume(self) -> float:
        """Whole volume (m3), the flux of the upward coordinate through the surface."""
        return float(self.levels[0].moments[:, 2, PAIRS.index((0, 3))].sum())

    @property
    def area(self) -> float:
        """Whole wettable area (m2)."""
        return float(self.levels[0].skin.sum())

    def moved(self, shift: Array) -> MomentTree:
        """The same surface moved by a shift (3,) in meters."""
        return replace(self, middle=self.middle + shift)

    def reshaped(self, vertices: Array, triangles: Ints, changed: NDArray[np.bool_]) -> MomentTree:
        """The tree of the same triangles (m, 3) with vertices (n, 3) moved.

        `changed` (n,) are those that moved; the cost is that of the leaves that hold them.
        """
        moved = np.append(np.logical_or.reduce(changed[triangles.T]), False)
        leaves = np.flatnonzero(np.logical_or.reduce(moved[self.order.T]))
        if not leaves.size:
            return self
        corners, skin = self.corners.copy(), self.skin.copy()
        corners[:, :, leaves] = _packed(vertices - self.middle, triangles, self.order[leaves])
        fresh, skin[leaves] = _leaf_level(
            corners[:, :, leaves], _wettable(self.order[leaves], len(triangles) - self.lids)
        )
        levels = [self.levels[-1].replaced(leaves, fresh)]
        for above in self.levels[-2::-1]:
            leaves = np.unique(leaves // BRANCH)
            levels.insert(0, above.replaced(leaves, levels[0].parents(leaves)))
        return replace(self, corners=corners, skin=skin, levels=tuple(levels))

    def span(self, up: Array) -> tuple[float, float]:
        """Lowest and highest level of the surface along `up` (m), exact."""
        heights = [
            np.einsum("a,acbt->cbt", up, self.corners.take(leaves, axis=2))
            for leaves in (self._extreme(-up), self._extreme(up))
        ]
        base = float(up @ self.middle)
        return base + float(heights[0].min()), base + float(heights[1].max())

    def below(self, attitude: Attitude) -> Immersion:
        """The part of the body below the water plane."""
        quadric, skin = self.flux(attitude)
        return immersion(quadric, skin, self.middle, attitude, self.least_area)

    @property
    def least_area(self) -> float:
        """Waterplane area (m2) below which it is rounding."""
        return ROUNDING * self.area

    def flux(self, attitude: Attitude) -> tuple[Array, float]:
        """int n_up X X^T (4, 4), X = (1, x - middle), over the surface below the water plane, and
        its wettable area (m2)."""
        up = attitude.up
        level = attitude.level - float(up @ self.middle)
        moments, skin = np.zeros((3, len(PAIRS))), 0.0
        crossed = np.arange(0)
        for depth, blocks in self._descend(up, level):
            wet, crossed = blocks
            moments += self.levels[depth].moments[wet].sum(axis=0)
            skin += float(self.levels[depth].skin[wet].sum())
        quadric = _square(np.einsum("k,kp->p", up, moments))
        if crossed.size:
            opened, opened_skin = self._open(crossed, up, level)
            quadric += opened
            skin += opened_skin
        return quadric, skin

    def faces(self) -> Array:
        """Corners (m, 3, 3) of the triangles, in their original order."""
        corners = self.corners.reshape(3, 3, -1).transpose(2, 1, 0) + self.middle
        order = self.order.ravel()
        kept = order >= 0
        faces = np.zeros((int(kept.sum()), 3, 3))
        faces[order[kept]] = corners[kept]
        return faces

    def leaves_below(self, up: Array, level: float) -> tuple[Ints, Ints]:
        """Leaves wholly below the plane x . up = level, and those that it may cross."""
        leaves, slack = self.levels[-1], ROUNDING * self.size
        height = along(up, leaves.centre.T) - (level - float(up @ self.middle))
        radius = along(np.abs(up), leaves.half.T)
        below = height + radius <= -slack
        return np.flatnonzero(below), np.flatnonzero(~below & (height <= radius + slack))

    def held(self, leaves: Ints) -> tuple[Array, NDArray[np.bool_]]:
        """Corners (m, 3, 3) of the triangles of some leaves, and which of them are caps (m,)."""
        order = self.order[leaves].ravel()
        kept = order >= 0
        corners = self.corners.take(leaves, axis=2).reshape(3, 3, -1)[:, :, kept]
        return corners.transpose(2, 1, 0) + self.middle, order[kept] >= self._faces

    def regrown(self, leaves: Ints, faces: Array, lids: Array) -> MomentTree:
        """The tree of some of its leaves (k,), with further faces and caps (m, 3, 3)."""
        corners = np.concatenate([faces, lids]).reshape(-1, 3) - self.middle
        triangles = np.arange(len(corners)).reshape(-1, 3)
        added = _leaf_order(corners[::3])
        packed = _packed(corners, triangles, added)
        level, skin = _leaf_level(packed, _wettable(added, len(faces)))
        order = np.concatenate(
            [
                _shifted(self.order[leaves], self._faces, 0, len(faces)),
                _shifted(added, len(faces), self._faces, self._faces + self.lids),
            ]
        )
        present = np.zeros(self._faces + self.lids + len(triangles) + 1, bool)
        present[order] = True
        present[-1] = False
        number = np.cumsum(present) - 1
        number[-1] = -1
        here = self.levels[-1]
        grown = Level(
            *(
                np.concatenate([old[leaves], new])
                for old, new in zip(vars(here).values(), vars(level).values(), strict=True)
            )
        )
        return MomentTree(
            self.middle,
            np.concatenate([self.corners.take(leaves, axis=2), packed], axis=2),
            np.concatenate([self.skin[leaves], skin]),
            _grown(grown),
            number[order],
            int(present[self._faces + len(faces) :].sum()),
        )

    def crossing(self, up: Array, level: float) -> tuple[Array, Array]:
        """Triangles that the plane x . up = level crosses, and their heights above it.

        Corners (k, 3 corners, 3 axes) and heights (k, 3), at least one of each triangle's heights
        above zero and one not.
        """
        local = level - float(up @ self.middle)
        *_, (_, (_, crossed)) = self._descend(up, local, ROUNDING * self.size)
        corners = self.corners.take(crossed, axis=2).reshape(3, 3, -1)
        heights = up[0] * corners[0] + up[1] * corners[1] + up[2] * corners[2] - local
        cut = (heights.min(axis=0) <= 0) & (heights.max(axis=0) > 0)
        return corners[:, :, cut].transpose(2, 1, 0) + self.middle, heights[:, cut].T

    def covered(self, points: Array, clearance: float) -> NDArray[np.bool_]:
        """Whether the surface is straight above (ship z) by more than `clearance`; shape (k,)."""
        local = points - self.middle
        point = np.repeat(np.arange(len(local)), len(self.levels[0].skin))
        block = np.tile(np.arange(len(self.levels[0].skin)), len(local))
        for depth, here in enumerate(self.levels):
            if depth:
                point = np.repeat(point, BRANCH)
                block = (block[:, None] * BRANCH + np.arange(BRANCH)).ravel()
                point, block = point[block < len(here.skin)], block[block < len(here.skin)]
            away = local[point] - here.centre[block]
            half = here.half[block]
            meets = (np.abs(away[:, :2]) <= half[:, :2]).all(axis=1)
            meets &= half[:, 2] - away[:, 2] > clearance
            point, block = point[meets], block[meets]
        (ax, bx, cx), (ay, by, cy), (az, bz, cz) = self.corners[:, :, block]
        x, y, z = local[point].T[:, :, None]
        u = (bx - x) * (cy - y) - (cx - x) * (by - y)
        v = (cx - x) * (ay - y) - (ax - x) * (cy - y)
        w = (ax - x) * (by - y) - (bx - x) * (ay - y)
        total = u + v + w
        inside = ((u >= 0) & (v >= 0) & (w >= 0)) | ((u <= 0) & (v <= 0) & (w <= 0))
        inside &= total != 0
        height = (u * az + v * bz + w * cz) / np.where(total == 0, 1.0, total) - z
        result = np.zeros(len(points), bool)
        result[point[(inside & (height > clearance)).any(axis=1)]] = True
        return result

    def _descend(
        self, up: Array, level: float, slack: float = 0.0
    ) -> Iterator[tuple[int, tuple[Ints, Ints]]]:
        """Depth by depth, the blocks wholly below the plane and those it crosses.

        Blocks within `slack` of the plane count as crossed.
        """
        reach = np.abs(up)
        blocks = np.arange(len(self.levels[0].skin))
        for depth, here in enumerate(self.levels):
            if depth:
                blocks = (blocks[:, None] * BRANCH + np.arange(BRANCH)).ravel()
                blocks = blocks[blocks < len(here.skin)]
            height = along(up, here.centre[blocks].T) - level
            radius = along(reach, here.half[blocks].T)
            below = height + radius <= -slack
            wet, blocks = blocks[below], blocks[~below & (height <= radius + slack)]
            yield depth, (wet, blocks)

    def _extreme(self, up: Array) -> Ints:
        """Leaves that may hold the highest point along `up`."""
        leaves = self.levels[-1]
        height, radius = along(up, leaves.centre.T), along(np.abs(up), leaves.half.T)
        return np.flatnonzero(height + radius >= (height - radius).max())

    def _open(self, leaves: Ints, up: Array, level: float) -> tuple[Array, float]:
        """Exact sums over the triangles of leaves that the plane crosses.

        A triangle with one corner below adds its cut corner; with two below, the whole less the cut
        corner above; with three, the whole.
        """
        corners = self.corners.take(leaves, axis=2).reshape(9, -1)
        skin = self.skin[leaves].ravel()
        heights = along(up, corners.reshape(3, 3, -1)) - level
        wet = heights <= 0
        count = wet.sum(axis=0, dtype=np.int8)
        chosen = np.flatnonzero(count >= 2)
        whole = corners.take(chosen, axis=1).reshape(3, 3, -1)
        quadric = _weighted(whole, along(up, area_vectors(whole)))
        area = float(skin[chosen].sum())

        cut = np.flatnonzero((count == 1) | (count == 2))
        crossed = corners.take(cut, axis=1).reshape(3, 3, -1)
        heights, wet, alone = heights[:, cut], wet[:, cut], count[cut] == 1
        lone = np.where(alone, wet.argmax(axis=0), wet.argmin(axis=0))
        each = np.arange(len(cut))
        apex, apex_height = crossed[:, lone, each], heights[lone, each]
        tip = [apex]
        share = np.where(alone, 1.0, -1.0)
        for step in (1, 2):
            other = (lone + step) % 3
            fraction = apex_height / (apex_height - heights[other, each])
            tip.append(apex + fraction * (crossed[:, other, each] - apex))
            share = share * fraction
        quadric += _weighted(np.stack(tip, axis=1), share * along(up, area_vectors(crossed)))
        return quadric, area + float(share @ skin[cut])


def build_tree(vertices: Array, triangles: Ints, lids: int = 0) -> MomentTree:
    """Tree of a closed surface.

    `vertices` (n, 3) in meters, `triangles` (m, 3) with outward normals by the right-hand rule and
    every vertex in use; the last `lids` triangles are caps, without wettable area.
    """
    axes = np.ascontiguousarray(vertices.T)
    middle = (axes.min(axis=1) + axes.max(axis=1)) / 2
    local = (axes - middle[:, None]).T
    order = _leaf_order(local.T.take(triangles[:, 0], axis=1).T)
    packed = _packed(local, triangles, order)
    leaves, skin = _leaf_level(packed, _wettable(order, len(triangles) - lids))
    return MomentTree(middle, packed, skin, _grown(leaves), order, lids)


def _grown(leaves: Level) -> tuple[Level, ...]:
    """All levels from the leaves up."""
    levels = [leaves]
    while len(levels[0].skin) > BRANCH**2:
        levels.insert(0, levels[0].parents())
    return tuple(levels)


def _leaf_order(points: Array) -> Ints:
    """Numbers (k, LEAF) of triangles by a point of each (m, 3), neighbors in one leaf; -1 for
    none."""
    order: Ints = np.full((-(-len(points) // LEAF), LEAF), -1)
    order.reshape(-1)[: len(points)] = curve_order(points)
    return order


def _shifted(order: Ints, faces: int, by: int, lids_by: int) -> Ints:
    """Triangle numbers increased, those of caps by another amount; -1 stays."""
    return np.where(order < 0, -1, order + np.where(order < faces, by, lids_by))


def _packed(local: Array, triangles: Ints, order: Ints) -> Array:
    """Corners (3 axes, 3 corners, k, LEAF) of triangles by number (k, LEAF), those numbered -1
    collapsed to a corner of the first of their leaf."""
    none = order < 0
    held = triangles.take(np.where(none, order[:, :1], order).ravel(), axis=0)
    corners = by_axis(local, held).reshape(3, 3, *order.shape)
    corners[:, 1:, none] = corners[:, :1, none]
    return corners


def _leaf_level(packed: Array, wettable: NDArray[np.bool_]) -> tuple[Level, Array]:
    """Blocks of corners (3, 3, k, LEAF), and the area (k, LEAF) of wettable triangles."""
    chunks = range(0, max(packed.shape[2], 1), CHUNK)
    parts = zip(*(_summed(packed[:, :, at : at + CHUNK]) for at in chunks), strict=True)
    low, high, moments, areas = map(np.concatenate, parts)
    skin = np.where(wettable, areas, 0.0)
    return Level((low + high) / 2, (high - low) / 2, moments, skin.sum(axis=1)), skin


def _wettable(order: Ints, faces: int) -> NDArray[np.bool_]:
    """Which places hold a triangle that is a face, not a cap."""
    return (order >= 0) & (order < faces)


def _summed(corners: Array) -> tuple[Array, Array, Array, Array]:
    """Lowest and highest corners (k, 3), moments (k, 3, 10) and areas (k, LEAF) of blocks of
    corners (3, 3, k, LEAF).

    The mean of X_a X_b over a triangle is that over its edge midpoints.
    """
    low = np.minimum(np.minimum(corners[:, 0], corners[:, 1]), corners[:, 2]).min(axis=2)
    high = np.maximum(np.maximum(corners[:, 0], corners[:, 1]), corners[:, 2]).max(axis=2)
    vectors = area_vectors(corners.reshape(3, 3, -1))
    middles = (corners + corners[:, [1, 2, 0]]).reshape(3, 3, -1)
    rows = np.ones((len(PAIRS), vectors.shape[1]))
    middles.sum(axis=1, out=rows[1:4])
    for row, (a, b) in zip(rows[4:], PAIRS[4:], strict=True):
        (middles[a - 1] * middles[b - 1]).sum(axis=0, out=row)
    block = corners.shape[2:]
    flows, means = vectors.reshape(3, *block), rows.reshape(len(PAIRS), *block)
    moments = flows.transpose(1, 0, 2) @ means.transpose(1, 2, 0) * OF_MIDDLES
    return low.T, high.T, moments, lengths(vectors).reshape(block)


def _weighted(corners: Array, weight: Array) -> Array:
    """Sum over triangles (3, 3, m) of weight times the mean of X X^T, shape (4, 4)."""
    total = corners[:, 0] + corners[:, 1] + corners[:, 2]
    points = np.concatenate([corners, total[:, None]], axis=1)
    columns = points.reshape(3, -1)
    result = np.zeros((4, 4))
    result[0, 0] = weight.sum()
    result[0, 1:] = result[1:, 0] = np.einsum("am,m->a", total, weight) / 3
    rows = (points * weight).reshape(3, -1)
    result[1:, 1:] = np.einsum("am,bm->ab", rows, columns) / 12
    return result


def _square(packed: Array) -> Array:
    """Symmetric (4, 4) from its ten entries in the order of PAIRS."""
    full = np.zeros((4, 4))
    full[ROW, COLUMN] = full[COLUMN, ROW] = packed
    return full
