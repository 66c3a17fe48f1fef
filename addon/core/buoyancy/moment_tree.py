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

from ..arrays import Bools, Floats, Ints
from ..geometry.triangles import area_vectors, component_along
from .attitude import Attitude
from .immersion import Immersion, immersion
from .moment_blocks import (
    BRANCHING_FACTOR,
    MOMENT_PAIRS,
    TreeLevel,
    build_levels,
    is_wettable,
    leaf_corners,
    leaf_level,
    leaf_order,
)

ROUNDING_SHARE = 1e-13
"""Share of the extent, or of the area, that is rounding."""
ROW, COLUMN = np.array(MOMENT_PAIRS).T


@dataclass(frozen=True)
class MomentTree:
    """A surface ready to be cut by any plane.

    `middle` (3,) is the origin of everything stored; `corners` has shape (3 axes, 3 corners,
    leaves, LEAF) and `wettable_area` (leaves, LEAF) the wettable area of each triangle in m2 (zero
    for caps); `levels` run from the top down to the leaves. `order` (leaves, LEAF) is the triangle
    at each place, -1 for none; the last `caps` are caps.
    """

    middle: Floats
    corners: Floats
    wettable_area: Floats
    levels: tuple[TreeLevel, ...]
    order: Ints
    caps: int

    @property
    def _faces(self) -> int:
        """Number of triangles that are no caps; the caps' numbers follow theirs."""
        return int(self.order.max(initial=-1)) + 1 - self.caps

    @property
    def low(self) -> Floats:
        """Lowest corner of the bounding box, shape (3,)."""
        return self.middle + (self.levels[0].center - self.levels[0].half).min(axis=0)

    @property
    def high(self) -> Floats:
        """Highest corner of the bounding box, shape (3,)."""
        return self.middle + (self.levels[0].center + self.levels[0].half).max(axis=0)

    @property
    def size(self) -> float:
        """Diagonal of the bounding box (m)."""
        return float(np.linalg.norm(self.high - self.low))

    @property
    def volume(self) -> float:
        """Whole volume (m3), the flux of the upward coordinate through the surface."""
        return float(self.levels[0].moments[:, 2, MOMENT_PAIRS.index((0, 3))].sum())

    @property
    def area(self) -> float:
        """Whole wettable area (m2)."""
        return float(self.levels[0].wettable_area.sum())

    def translated(self, shift: Floats) -> MomentTree:
        """The same surface moved by a shift (3,) in meters."""
        return replace(self, middle=self.middle + shift)

    def reshaped(self, vertices: Floats, triangles: Ints, changed: Bools) -> MomentTree:
        """The tree of the same triangles (m, 3) with vertices (n, 3) moved.

        `changed` (n,) are those that moved; the cost is that of the leaves that hold them.
        """
        touched = np.append(np.logical_or.reduce(changed[triangles.T]), False)
        leaves = np.flatnonzero(np.logical_or.reduce(touched[self.order.T]))
        if not leaves.size:
            return self
        corners, wettable_area = self.corners.copy(), self.wettable_area.copy()
        corners[:, :, leaves] = leaf_corners(vertices - self.middle, triangles, self.order[leaves])
        fresh, wettable_area[leaves] = leaf_level(
            corners[:, :, leaves], is_wettable(self.order[leaves], len(triangles) - self.caps)
        )
        levels = [self.levels[-1].replaced(leaves, fresh)]
        for above in self.levels[-2::-1]:
            leaves = np.unique(leaves // BRANCHING_FACTOR)
            levels.insert(0, above.replaced(leaves, levels[0].parents(leaves)))
        return replace(self, corners=corners, wettable_area=wettable_area, levels=tuple(levels))

    def span(self, up: Floats) -> tuple[float, float]:
        """Lowest and highest level of the surface along `up` (m), exact."""
        heights = [
            np.einsum("a,acbt->cbt", up, self.corners.take(leaves, axis=2))
            for leaves in (self._extreme(-up), self._extreme(up))
        ]
        base = float(up @ self.middle)
        return base + float(heights[0].min()), base + float(heights[1].max())

    def below(self, attitude: Attitude) -> Immersion:
        """The part of the body below the water plane."""
        quadric, wettable_area = self.flux(attitude)
        return immersion(quadric, wettable_area, self.middle, attitude, self.least_area)

    @property
    def least_area(self) -> float:
        """Waterplane area (m2) below which it is rounding."""
        return ROUNDING_SHARE * self.area

    def flux(self, attitude: Attitude) -> tuple[Floats, float]:
        """int n_up X X^T (4, 4), X = (1, x - middle), over the surface below the water plane, and
        its wettable area (m2)."""
        up = attitude.up
        level = attitude.level - float(up @ self.middle)
        moments, wettable_area = np.zeros((3, len(MOMENT_PAIRS))), 0.0
        crossed = np.arange(0)
        for depth, blocks in self._descend(up, level):
            wet, crossed = blocks
            moments += self.levels[depth].moments[wet].sum(axis=0)
            wettable_area += float(self.levels[depth].wettable_area[wet].sum())
        quadric = _symmetric(np.einsum("k,kp->p", up, moments))
        if crossed.size:
            opened, opened_area = self._open(crossed, up, level)
            quadric += opened
            wettable_area += opened_area
        return quadric, wettable_area

    def faces(self) -> Floats:
        """Corners (m, 3, 3) of the triangles, in their original order."""
        corners = self.corners.reshape(3, 3, -1).transpose(2, 1, 0) + self.middle
        order = self.order.ravel()
        kept = order >= 0
        faces = np.zeros((int(kept.sum()), 3, 3))
        faces[order[kept]] = corners[kept]
        return faces

    def leaves_below(self, up: Floats, level: float) -> tuple[Ints, Ints]:
        """Leaves wholly below the plane x . up = level, and those that it may cross."""
        leaves, slack = self.levels[-1], ROUNDING_SHARE * self.size
        height = component_along(up, leaves.center.T) - (level - float(up @ self.middle))
        radius = component_along(np.abs(up), leaves.half.T)
        below = height + radius <= -slack
        return np.flatnonzero(below), np.flatnonzero(~below & (height <= radius + slack))

    def leaf_triangles(self, leaves: Ints) -> tuple[Floats, Bools]:
        """Corners (m, 3, 3) of the triangles of some leaves, and which of them are caps (m,)."""
        order = self.order[leaves].ravel()
        kept = order >= 0
        corners = self.corners.take(leaves, axis=2).reshape(3, 3, -1)[:, :, kept]
        return corners.transpose(2, 1, 0) + self.middle, order[kept] >= self._faces

    def with_faces(self, leaves: Ints, faces: Floats, caps: Floats) -> MomentTree:
        """The tree of some of its leaves (k,), with further faces and caps (m, 3, 3)."""
        corners = np.concatenate([faces, caps]).reshape(-1, 3) - self.middle
        triangles = np.arange(len(corners)).reshape(-1, 3)
        added = leaf_order(corners[::3])
        packed = leaf_corners(corners, triangles, added)
        level, wettable_area = leaf_level(packed, is_wettable(added, len(faces)))
        order = np.concatenate(
            [
                _renumbered(self.order[leaves], self._faces, 0, len(faces)),
                _renumbered(added, len(faces), self._faces, self._faces + self.caps),
            ]
        )
        present = np.zeros(self._faces + self.caps + len(triangles) + 1, bool)
        present[order] = True
        present[-1] = False
        number = np.cumsum(present) - 1
        number[-1] = -1
        here = self.levels[-1]
        grown = TreeLevel(
            *(
                np.concatenate([old[leaves], new])
                for old, new in zip(vars(here).values(), vars(level).values(), strict=True)
            )
        )
        return MomentTree(
            self.middle,
            np.concatenate([self.corners.take(leaves, axis=2), packed], axis=2),
            np.concatenate([self.wettable_area[leaves], wettable_area]),
            build_levels(grown),
            number[order],
            int(present[self._faces + len(faces) :].sum()),
        )

    def crossing(self, up: Floats, level: float) -> tuple[Floats, Floats]:
        """Triangles that the plane x . up = level crosses, and their heights above it.

        Corners (k, 3 corners, 3 axes) and heights (k, 3), at least one of each triangle's heights
        above zero and one not.
        """
        local = level - float(up @ self.middle)
        *_, (_, (_, crossed)) = self._descend(up, local, ROUNDING_SHARE * self.size)
        corners = self.corners.take(crossed, axis=2).reshape(3, 3, -1)
        heights = up[0] * corners[0] + up[1] * corners[1] + up[2] * corners[2] - local
        cut = (heights.min(axis=0) <= 0) & (heights.max(axis=0) > 0)
        return corners[:, :, cut].transpose(2, 1, 0) + self.middle, heights[:, cut].T

    def covered(self, points: Floats, clearance: float) -> Bools:
        """Whether the surface is straight above (ship z) by more than `clearance`; shape (k,)."""
        local = points - self.middle
        point = np.repeat(np.arange(len(local)), len(self.levels[0].wettable_area))
        block = np.tile(np.arange(len(self.levels[0].wettable_area)), len(local))
        for depth, here in enumerate(self.levels):
            if depth:
                point = np.repeat(point, BRANCHING_FACTOR)
                block = (block[:, None] * BRANCHING_FACTOR + np.arange(BRANCHING_FACTOR)).ravel()
                point, block = (
                    point[block < len(here.wettable_area)],
                    block[block < len(here.wettable_area)],
                )
            away = local[point] - here.center[block]
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
        self, up: Floats, level: float, slack: float = 0.0
    ) -> Iterator[tuple[int, tuple[Ints, Ints]]]:
        """Depth by depth, the blocks wholly below the plane and those it crosses.

        Blocks within `slack` of the plane count as crossed.
        """
        reach = np.abs(up)
        blocks = np.arange(len(self.levels[0].wettable_area))
        for depth, here in enumerate(self.levels):
            if depth:
                blocks = (blocks[:, None] * BRANCHING_FACTOR + np.arange(BRANCHING_FACTOR)).ravel()
                blocks = blocks[blocks < len(here.wettable_area)]
            height = component_along(up, here.center[blocks].T) - level
            radius = component_along(reach, here.half[blocks].T)
            below = height + radius <= -slack
            wet, blocks = blocks[below], blocks[~below & (height <= radius + slack)]
            yield depth, (wet, blocks)

    def _extreme(self, up: Floats) -> Ints:
        """Leaves that may hold the highest point along `up`."""
        leaves = self.levels[-1]
        height, radius = (
            component_along(up, leaves.center.T),
            component_along(np.abs(up), leaves.half.T),
        )
        return np.flatnonzero(height + radius >= (height - radius).max())

    def _open(self, leaves: Ints, up: Floats, level: float) -> tuple[Floats, float]:
        """Exact sums over the triangles of leaves that the plane crosses.

        A triangle with one corner below adds its cut corner; with two below, the whole less the cut
        corner above; with three, the whole.
        """
        corners = self.corners.take(leaves, axis=2).reshape(9, -1)
        wettable_area = self.wettable_area[leaves].ravel()
        heights = component_along(up, corners.reshape(3, 3, -1)) - level
        wet = heights <= 0
        count = wet.sum(axis=0, dtype=np.int8)
        chosen = np.flatnonzero(count >= 2)
        whole = corners.take(chosen, axis=1).reshape(3, 3, -1)
        quadric = _weighted_moments(whole, component_along(up, area_vectors(whole)))
        area = float(wettable_area[chosen].sum())

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
        quadric += _weighted_moments(
            np.stack(tip, axis=1), share * component_along(up, area_vectors(crossed))
        )
        return quadric, area + float(share @ wettable_area[cut])


def build_tree(vertices: Floats, triangles: Ints, caps: int = 0) -> MomentTree:
    """Tree of a closed surface.

    `vertices` (n, 3) in meters, `triangles` (m, 3) with outward normals by the right-hand rule and
    every vertex in use; the last `caps` triangles are caps, without wettable area.
    """
    axes = np.ascontiguousarray(vertices.T)
    middle = (axes.min(axis=1) + axes.max(axis=1)) / 2
    local = (axes - middle[:, None]).T
    order = leaf_order(local.T.take(triangles[:, 0], axis=1).T)
    packed = leaf_corners(local, triangles, order)
    leaves, wettable_area = leaf_level(packed, is_wettable(order, len(triangles) - caps))
    return MomentTree(middle, packed, wettable_area, build_levels(leaves), order, caps)


def _renumbered(order: Ints, faces: int, by: int, caps_by: int) -> Ints:
    """Triangle numbers increased, those of caps by another amount; -1 stays."""
    return np.where(order < 0, -1, order + np.where(order < faces, by, caps_by))


def _weighted_moments(corners: Floats, weight: Floats) -> Floats:
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


def _symmetric(packed: Floats) -> Floats:
    """Symmetric (4, 4) from its ten entries in the order of PAIRS."""
    full = np.zeros((4, 4))
    full[ROW, COLUMN] = full[COLUMN, ROW] = packed
    return full
