"""Openings of a surface: their loops, the spaces enclosed once they are closed, and their caps.

Free edges that run in loops go round openings. An opening need not have free edges all round: a
deck with a bulkhead below it may end it. Faces that still have the outside on both sides are then
separated from it by a minimum cut along free edges, folds and edges of three faces or more,
preferably high ones, and left as they are if that encloses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .half_edges import Edges, Joins, connected, find_edges, find_joins, least_cut
from .surface import Skin, without_slivers
from .triangles import areas, volumes

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Chosen = NDArray[np.bool_]

SLIT = 10.0
LEAST_HOLD = 0.01
LEAST_WALL = 0.9
STEEP = 0.1
FOLD = -float(np.cos(np.radians(20.0)))


@dataclass(frozen=True)
class Loop:
    """Edges round an opening of a part: their vertices (k, 2), those in the mesh as given (k, 2),
    and their positions (k, 2, 3)."""

    part: int
    ends: Ints
    given: Ints
    points: Array

    @property
    def spans(self) -> Array:
        """Lengths (k,) of the edges (m)."""
        spans: Array = np.linalg.norm(self.points[:, 1] - self.points[:, 0], axis=1)
        return spans

    @property
    def middle(self) -> Array:
        """Length-weighted mean point (3,) of the edges."""
        middle: Array = self.spans @ self.points.mean(axis=1) / self.spans.sum()
        return middle

    @property
    def area(self) -> float:
        """Area of the fan of triangles from the middle (m2)."""
        a, b = (self.points - self.middle).transpose(1, 0, 2)
        return float(np.linalg.norm(np.cross(a, b), axis=1).sum() / 2)

    def is_crack(self, touch: float) -> bool:
        """Whether its width is negligible, faces `touch` (m) apart being coincident."""
        return self.area <= SLIT * touch * float(self.spans.sum())

    def fan(self, tip: int, touch: float) -> Ints:
        """Triangles (n, 3) that close it from vertex `tip`, at its middle, or from one of its own
        there; from any of its own if it is a crack."""
        away = np.linalg.norm(self.points - self.middle, axis=2)
        if away.min() <= touch or self.is_crack(touch):
            tip = int(self.ends.flat[away.argmin()])
        return np.insert(self.ends[(self.ends != tip).all(axis=1), ::-1], 2, tip, axis=1)


@dataclass(frozen=True)
class Fans:
    """Caps over loops of free edges: triangles (k, 3), over the vertices and then the `middles` of
    the loops, each turned as the face beyond its edge; the half-edge (k,) and the loop (k,) of
    each, and the spaces (k,) in front and behind."""

    middles: Array
    triangles: Ints
    half: Ints
    loop: Ints
    front: Ints
    back: Ints


@dataclass(frozen=True)
class Spaces:
    """Number (m,) of the spaces in front of and behind each triangle; for each space, its volume
    (m3, negative outside), and whether it is an outside, an enclosed space, and the basin of an
    open boat; the caps; and the joins, those closed by caps."""

    front: Ints
    back: Ints
    volume: Array
    outer: Chosen
    room: Chosen
    basin: Chosen
    lids: Fans
    joins: Joins
    shut: Chosen

    @property
    def of_sides(self) -> Ints:
        """Number (2 m,) of the space that each side of the triangles faces."""
        return np.stack([self.front, self.back], axis=1).reshape(-1)

    @property
    def enclosed(self) -> float:
        """Volume (m3) separated from the outside."""
        return -float(self.volume[self.outer].sum())


def find_spaces(skin: Skin, touch: float) -> tuple[Spaces, Ints]:
    """The spaces that a surface bounds when its openings are closed, and the free half-edges (k,)
    in no loop. Faces `touch` (m) or less apart coincide."""
    edges = find_edges(skin.triangles)
    joins = find_joins(skin.vertices, skin.triangles, edges, touch)
    loose = np.repeat(dangling(edges, edges.count == 1), edges.count)
    shut = np.repeat(edges.count == 1, edges.count) & ~loose
    spaces = lidded_spaces(skin.vertices, skin.triangles, joins, shut, touch)
    leaky = (spaces.front == spaces.back) & ~spaces.room[spaces.front]
    if leaky.any():
        own = joins.spaces(np.repeat(edges.count != 2, edges.count)).reshape(-1, 2)
        leaky &= own[:, 0] != own[:, 1]
        held = _held(skin, edges, joins, shut, leaky, touch)
        there = lidded_spaces(skin.vertices, skin.triangles, joins, held, touch)
        if there.enclosed > spaces.enclosed:
            spaces, shut = there, held
    return spaces, joins.half[loose & ~shut]


def dangling(edges: Edges, free: Chosen) -> Chosen:
    """Which of the free edges (k,) are in no loop of them."""
    free = free.copy()
    names, ends = np.unique(edges.ends[free], return_inverse=True)
    ends = ends.reshape(-1, 2)
    looping = np.ones(len(ends), bool)
    while True:
        single = np.bincount(ends[looping].ravel(), minlength=len(names)) == 1
        dangling = looping & single[ends].any(axis=1)
        if not dangling.any():
            break
        looping &= ~dangling
    free[free] = ~looping
    return free


def _held(
    skin: Skin, edges: Edges, joins: Joins, shut: Chosen, leaky: Chosen, touch: float
) -> Chosen:
    """Which joins to close so that the leaky faces separate the outside, where possible."""
    start, end = skin.vertices[edges.ends.T]
    extent = np.ptp(skin.vertices, axis=0)
    depth = skin.vertices[:, 2].max() - (start + end)[:, 2] / 2
    widths = np.linalg.norm(end - start, axis=1) * np.exp(depth / (STEEP * np.linalg.norm(extent)))
    may = np.repeat((edges.count != 2) | _is_fold(skin, edges), edges.count) & ~shut
    patch = joins.spaces(shut | may)
    pairs, widths = patch[joins.sides[may]], np.repeat(widths, edges.count)[may]
    sheets, sheet = np.unique(patch.reshape(-1, 2)[leaky], axis=0, return_inverse=True)
    size = np.bincount(sheet.reshape(-1), areas(skin.vertices, skin.triangles[leaky]))
    tried = np.zeros(len(pairs), bool)
    for source, sink in sheets[np.argsort(-size)].tolist():
        space = connected(int(patch.max()) + 1, *pairs[~tried].T)
        if space[source] == space[sink]:
            tried[~tried] = least_cut(pairs[~tried], widths[~tried], source, sink)
    after = shut.copy()
    after[may] = tried
    space = joins.spaces(after)
    spaces = lidded_spaces(skin.vertices, skin.triangles, joins, after, touch)
    holds = spaces.volume > LEAST_HOLD * extent.prod()
    holds = _walled(skin, joins, after & ~shut, leaky, space, holds)
    here, there = holds[space[joins.sides]].T
    return shut | (after & (here != there))


def _walled(
    skin: Skin, joins: Joins, tried: Chosen, leaky: Chosen, space: Ints, holds: Chosen
) -> Chosen:
    """Which enclosed spaces the leaky faces bound with more area than the openings have: a bulwark
    with a gap encloses no deck, nor does a keel the side of a hull."""
    here, there = holds[space[joins.sides]].T
    lid = np.flatnonzero(tried & (here != there))
    held = np.where(here, *space[joins.sides].T)[lid]
    ends = ends_of(skin.triangles, joins.half[lid])
    loop = connected_edges(ends)
    group = connected(len(holds) + len(lid), held, len(holds) + loop)
    arms = skin.vertices[ends] - _fan_middles(skin.vertices[ends], loop)[loop, None]
    fans = np.linalg.norm(np.cross(arms[:, 0], arms[:, 1]), axis=1) / 2
    openings = np.bincount(group[held], fans, group.max() + 1)
    sides = space.reshape(-1, 2)[leaky]
    front, back = holds[sides].T
    walls = areas(skin.vertices, skin.triangles[leaky])[front != back]
    walled = np.bincount(group[np.where(front, *sides.T)[front != back]], walls, group.max() + 1)
    return holds & (walled >= LEAST_WALL * openings)[group[: len(holds)]]


def _fan_middles(edges: Array, loop: Ints) -> Array:
    """Length-weighted mean (n, 3) of the edges (k, 2, 3) of each loop, by number (k,)."""
    middles = np.zeros((loop.max(initial=-1) + 1, 3))
    np.add.at(middles, loop, edges.mean(axis=1))
    middles /= np.bincount(loop)[:, None]
    return middles


def _is_fold(skin: Skin, edges: Edges) -> Chosen:
    """Which edges have exactly two faces that do not continue nearly straight."""
    start, end = skin.vertices[edges.ends.T]
    along = (end - start) / np.linalg.norm(end - start, axis=1, keepdims=True)
    ways = []
    for half in (edges.order[edges.first], edges.order[edges.first + edges.count - 1]):
        way = skin.vertices[skin.triangles[half // 3, (half % 3 + 2) % 3]] - start
        way = way - (way * along).sum(axis=1, keepdims=True) * along
        ways.append(way / np.linalg.norm(way, axis=1, keepdims=True))
    bent: Chosen = (ways[0] * ways[1]).sum(axis=1) > FOLD
    return bent & (edges.count == 2)


def lidded_spaces(
    vertices: Array, triangles: Ints, joins: Joins, shut: Chosen, touch: float
) -> Spaces:
    """The spaces that the triangles bound with caps over the joins `shut`.

    One thinner than `touch` is neither enclosed nor outside.
    """
    space = joins.spaces(shut)
    halves, sides = joins.half[shut], joins.sides[shut]
    ends = ends_of(triangles, halves)
    loop = connected_edges(ends)
    middles = _fan_middles(vertices[ends], loop)
    fans = np.column_stack([ends[:, ::-1], len(vertices) + loop])
    fan_sides = np.where(sides[:, :1] % 2 == 0, sides, sides[:, ::-1])
    lids = Fans(middles, fans, halves, loop, *space[fan_sides].T)
    front, back = space.reshape(-1, 2).T
    tetrahedra = volumes(np.concatenate([vertices, middles]), np.concatenate([triangles, fans]))
    count = int(space.max()) + 1
    volume: Array = np.zeros(count)
    volume += np.bincount(np.concatenate([back, lids.back]), tetrahedra, count)
    volume -= np.bincount(np.concatenate([front, lids.front]), tetrahedra, count)
    least = touch * np.bincount(space, np.repeat(areas(vertices, triangles), 2), count)
    basin = np.zeros(count, bool)
    return Spaces(front, back, volume, volume < -least, volume > least, basin, lids, joins, shut)


def ends_of(corners: Ints, halves: Ints) -> Ints:
    """Start and end corners (k, 2) of half-edges (k,)."""
    return np.stack([corners[halves // 3, (halves + step) % 3] for step in (0, 1)], axis=1)


def connected_edges(ends: Ints) -> Ints:
    """Number (k,) of the connected set that each of the edges (k, 2) belongs to."""
    names, place = np.unique(ends, return_inverse=True)
    place = place.reshape(-1, 2)
    number: Ints = connected(len(names), *place.T)[place[:, 0]]
    return number


def find_loops(skin: Skin) -> list[Loop]:
    """The loops of the border of an outward surface, by part."""
    edges = find_edges(skin.triangles)
    owner = np.repeat(np.arange(len(edges.count)), edges.count)
    forward = edges.forward[edges.order]
    net = np.add.reduceat(np.where(forward, 1, -1), edges.first)
    if not net.any():
        return []
    order = np.lexsort((forward != (net > 0)[owner], owner))
    unmet = np.arange(len(order)) - edges.first[owner] < np.abs(net)[owner]
    halves = edges.order[order[unmet]]
    ends, given = ends_of(skin.triangles, halves), ends_of(skin.given, halves)
    part = skin.part[halves // 3]
    label = connected_edges(ends + (part * len(skin.vertices))[:, None])
    order = np.argsort(label, kind="stable")
    return [
        Loop(int(part[here[0]]), ends[here], given[here], skin.vertices[ends[here]])
        for here in np.split(order, np.flatnonzero(np.diff(label[order])) + 1)
    ]


def with_lids(skin: Skin, loops: list[Loop], touch: float) -> Skin:
    """The surface closed by a fan over every loop, those over cracks dissolved into the faces."""
    if not loops:
        return skin
    vertices = np.concatenate([skin.vertices, [loop.middle for loop in loops]])
    fans = [loop.fan(tip, touch) for tip, loop in enumerate(loops, len(skin.vertices))]
    sizes = [len(fan) for fan in fans]
    lids = Skin(
        vertices,
        np.concatenate(fans),
        np.full((sum(sizes), 3), -1),
        np.full(sum(sizes), -1),
        np.repeat([loop.part for loop in loops], sizes),
    )
    reach = np.repeat([np.inf if loop.is_crack(touch) else touch for loop in loops], sizes)
    return without_slivers(
        replace(skin, vertices=vertices).joined(lids),
        np.concatenate([np.full(len(skin.triangles), touch), reach]),
    )
