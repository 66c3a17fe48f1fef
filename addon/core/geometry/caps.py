"""Openings of a surface: their loops, the spaces enclosed once they are closed, and their caps.

Free edges that run in loops go round openings. An opening need not have free edges all round: a
deck with a bulkhead below it may end it. Faces that still have the outside on both sides are then
separated from it by a minimum cut along free edges, folds and edges of three faces or more,
preferably high ones, and left as they are if that encloses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..arrays import Bools, Floats, Ints
from .half_edges import (
    Edges,
    HalfFaceAdjacency,
    connected_components,
    find_adjacency,
    find_edges,
    minimum_cut,
)
from .surface import Surface, without_slivers
from .triangles import areas, volumes

MAX_CRACK_WIDTH = 10.0
"""Mean width of an opening, in tolerances, up to which it is a crack without area."""
MIN_HELD_VOLUME_SHARE = 0.01
"""Share of the bounding box that a space must hold to be worth closing off."""
MIN_WALL_AREA_SHARE = 0.9
"""Area of the faces that bound a space over that of its openings, from which they close it off."""
HEIGHT_SCALE_SHARE = 0.1
"""Share of the diagonal over which the cost of an edge grows e-fold with depth: high edges are
preferred."""
FOLD_COSINE = -float(np.cos(np.radians(20.0)))
"""Cosine between two faces about their edge above which it is a fold: 20 degrees off straight."""


@dataclass(frozen=True)
class Loop:
    """Edges round an opening of a part: their vertices (k, 2), those in the mesh as given (k, 2),
    and their positions (k, 2, 3)."""

    part: int
    ends: Ints
    given: Ints
    points: Floats

    @property
    def spans(self) -> Floats:
        """Lengths (k,) of the edges (m)."""
        spans: Floats = np.linalg.norm(self.points[:, 1] - self.points[:, 0], axis=1)
        return spans

    @property
    def middle(self) -> Floats:
        """Length-weighted mean point (3,) of the edges."""
        middle: Floats = self.spans @ self.points.mean(axis=1) / self.spans.sum()
        return middle

    @property
    def area(self) -> float:
        """Area of the fan of triangles from the middle (m2)."""
        a, b = (self.points - self.middle).transpose(1, 0, 2)
        return float(np.linalg.norm(np.cross(a, b), axis=1).sum() / 2)

    def is_crack(self, tolerance: float) -> bool:
        """Whether its width is negligible, faces `tolerance` (m) apart being coincident."""
        return self.area <= MAX_CRACK_WIDTH * tolerance * float(self.spans.sum())

    def fan(self, tip: int, tolerance: float) -> Ints:
        """Triangles (n, 3) that close it from vertex `tip`, at its middle, or from one of its own
        there; from any of its own if it is a crack."""
        away = np.linalg.norm(self.points - self.middle, axis=2)
        if away.min() <= tolerance or self.is_crack(tolerance):
            tip = int(self.ends.flat[away.argmin()])
        return np.insert(self.ends[(self.ends != tip).all(axis=1), ::-1], 2, tip, axis=1)


@dataclass(frozen=True)
class Caps:
    """Caps over loops of free edges: triangles (k, 3), over the vertices and then the `middles` of
    the loops, each turned as the face beyond its edge; the half-edge (k,) and the loop (k,) of
    each, and the spaces (k,) in front and behind."""

    middles: Floats
    triangles: Ints
    half_edge: Ints
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
    volume: Floats
    outer: Bools
    enclosed: Bools
    basin: Bools
    caps: Caps
    adjacency: HalfFaceAdjacency
    closed: Bools

    @property
    def of_sides(self) -> Ints:
        """Number (2 m,) of the space that each side of the triangles faces."""
        return np.stack([self.front, self.back], axis=1).reshape(-1)

    @property
    def enclosed_volume(self) -> float:
        """Volume (m3) separated from the outside."""
        return -float(self.volume[self.outer].sum())


def find_spaces(surface: Surface, tolerance: float) -> tuple[Spaces, Ints]:
    """The spaces that a surface bounds when its openings are closed, and the free half-edges (k,)
    in no loop. Faces `tolerance` (m) or less apart coincide."""
    edges = find_edges(surface.triangles)
    adjacency = find_adjacency(surface.vertices, surface.triangles, edges, tolerance)
    loose = np.repeat(dangling(edges, edges.count == 1), edges.count)
    closed = np.repeat(edges.count == 1, edges.count) & ~loose
    spaces = capped_spaces(surface.vertices, surface.triangles, adjacency, closed, tolerance)
    leaky = (spaces.front == spaces.back) & ~spaces.enclosed[spaces.front]
    if leaky.any():
        own = adjacency.spaces(np.repeat(edges.count != 2, edges.count)).reshape(-1, 2)
        leaky &= own[:, 0] != own[:, 1]
        held = _minimum_closing_cut(surface, edges, adjacency, closed, leaky, tolerance)
        there = capped_spaces(surface.vertices, surface.triangles, adjacency, held, tolerance)
        if there.enclosed_volume > spaces.enclosed_volume:
            spaces, closed = there, held
    return spaces, adjacency.half_edge[loose & ~closed]


def dangling(edges: Edges, free: Bools) -> Bools:
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


def _minimum_closing_cut(
    surface: Surface,
    edges: Edges,
    adjacency: HalfFaceAdjacency,
    closed: Bools,
    leaky: Bools,
    tolerance: float,
) -> Bools:
    """Which joins to close so that the leaky faces separate the outside, where possible."""
    start, end = surface.vertices[edges.ends.T]
    extent = np.ptp(surface.vertices, axis=0)
    depth = surface.vertices[:, 2].max() - (start + end)[:, 2] / 2
    widths = np.linalg.norm(end - start, axis=1) * np.exp(
        depth / (HEIGHT_SCALE_SHARE * np.linalg.norm(extent))
    )
    may = np.repeat((edges.count != 2) | _is_fold(surface, edges), edges.count) & ~closed
    patch = adjacency.spaces(closed | may)
    pairs, widths = patch[adjacency.half_faces[may]], np.repeat(widths, edges.count)[may]
    sheets, sheet = np.unique(patch.reshape(-1, 2)[leaky], axis=0, return_inverse=True)
    size = np.bincount(sheet.reshape(-1), areas(surface.vertices, surface.triangles[leaky]))
    tried = np.zeros(len(pairs), bool)
    for source, sink in sheets[np.argsort(-size)].tolist():
        space = connected_components(int(patch.max()) + 1, *pairs[~tried].T)
        if space[source] == space[sink]:
            tried[~tried] = minimum_cut(pairs[~tried], widths[~tried], source, sink)
    after = closed.copy()
    after[may] = tried
    space = adjacency.spaces(after)
    spaces = capped_spaces(surface.vertices, surface.triangles, adjacency, after, tolerance)
    holds = spaces.volume > MIN_HELD_VOLUME_SHARE * extent.prod()
    holds = _bounded_well(surface, adjacency, after & ~closed, leaky, space, holds)
    here, there = holds[space[adjacency.half_faces]].T
    return closed | (after & (here != there))


def _bounded_well(
    surface: Surface,
    adjacency: HalfFaceAdjacency,
    tried: Bools,
    leaky: Bools,
    space: Ints,
    holds: Bools,
) -> Bools:
    """Which enclosed spaces the leaky faces bound with more area than the openings have: a bulwark
    with a gap encloses no deck, nor does a keel the side of a hull."""
    here, there = holds[space[adjacency.half_faces]].T
    cap = np.flatnonzero(tried & (here != there))
    held = np.where(here, *space[adjacency.half_faces].T)[cap]
    ends = half_edge_ends(surface.triangles, adjacency.half_edge[cap])
    loop = connected_edge_sets(ends)
    group = connected_components(len(holds) + len(cap), held, len(holds) + loop)
    arms = surface.vertices[ends] - _fan_centers(surface.vertices[ends], loop)[loop, None]
    fans = np.linalg.norm(np.cross(arms[:, 0], arms[:, 1]), axis=1) / 2
    openings = np.bincount(group[held], fans, group.max() + 1)
    sides = space.reshape(-1, 2)[leaky]
    front, back = holds[sides].T
    walls = areas(surface.vertices, surface.triangles[leaky])[front != back]
    walled = np.bincount(group[np.where(front, *sides.T)[front != back]], walls, group.max() + 1)
    return holds & (walled >= MIN_WALL_AREA_SHARE * openings)[group[: len(holds)]]


def _fan_centers(edges: Floats, loop: Ints) -> Floats:
    """Length-weighted mean (n, 3) of the edges (k, 2, 3) of each loop, by number (k,)."""
    middles = np.zeros((loop.max(initial=-1) + 1, 3))
    np.add.at(middles, loop, edges.mean(axis=1))
    middles /= np.bincount(loop)[:, None]
    return middles


def _is_fold(surface: Surface, edges: Edges) -> Bools:
    """Which edges have exactly two faces that do not continue nearly straight."""
    start, end = surface.vertices[edges.ends.T]
    along = (end - start) / np.linalg.norm(end - start, axis=1, keepdims=True)
    directions = []
    for half_edge in (edges.order[edges.first], edges.order[edges.first + edges.count - 1]):
        direction = (
            surface.vertices[surface.triangles[half_edge // 3, (half_edge % 3 + 2) % 3]] - start
        )
        direction = direction - (direction * along).sum(axis=1, keepdims=True) * along
        directions.append(direction / np.linalg.norm(direction, axis=1, keepdims=True))
    bent: Bools = (directions[0] * directions[1]).sum(axis=1) > FOLD_COSINE
    return bent & (edges.count == 2)


def capped_spaces(
    vertices: Floats, triangles: Ints, adjacency: HalfFaceAdjacency, closed: Bools, tolerance: float
) -> Spaces:
    """The spaces that the triangles bound with caps over the joins `closed`.

    One thinner than `tolerance` is neither enclosed nor outside.
    """
    space = adjacency.spaces(closed)
    halves, sides = adjacency.half_edge[closed], adjacency.half_faces[closed]
    ends = half_edge_ends(triangles, halves)
    loop = connected_edge_sets(ends)
    middles = _fan_centers(vertices[ends], loop)
    fans = np.column_stack([ends[:, ::-1], len(vertices) + loop])
    fan_sides = np.where(sides[:, :1] % 2 == 0, sides, sides[:, ::-1])
    caps = Caps(middles, fans, halves, loop, *space[fan_sides].T)
    front, back = space.reshape(-1, 2).T
    tetrahedra = volumes(np.concatenate([vertices, middles]), np.concatenate([triangles, fans]))
    count = int(space.max()) + 1
    volume: Floats = np.zeros(count)
    volume += np.bincount(np.concatenate([back, caps.back]), tetrahedra, count)
    volume -= np.bincount(np.concatenate([front, caps.front]), tetrahedra, count)
    least = tolerance * np.bincount(space, np.repeat(areas(vertices, triangles), 2), count)
    basin = np.zeros(count, bool)
    return Spaces(
        front, back, volume, volume < -least, volume > least, basin, caps, adjacency, closed
    )


def half_edge_ends(corners: Ints, halves: Ints) -> Ints:
    """Start and end corners (k, 2) of half-edges (k,)."""
    return np.stack([corners[halves // 3, (halves + step) % 3] for step in (0, 1)], axis=1)


def connected_edge_sets(ends: Ints) -> Ints:
    """Number (k,) of the connected set that each of the edges (k, 2) belongs to."""
    names, place = np.unique(ends, return_inverse=True)
    place = place.reshape(-1, 2)
    number: Ints = connected_components(len(names), *place.T)[place[:, 0]]
    return number


def find_loops(surface: Surface) -> list[Loop]:
    """The loops of the border of an outward surface, by part."""
    edges = find_edges(surface.triangles)
    owner = np.repeat(np.arange(len(edges.count)), edges.count)
    forward = edges.forward[edges.order]
    net = np.add.reduceat(np.where(forward, 1, -1), edges.first)
    if not net.any():
        return []
    order = np.lexsort((forward != (net > 0)[owner], owner))
    unmet = np.arange(len(order)) - edges.first[owner] < np.abs(net)[owner]
    halves = edges.order[order[unmet]]
    ends, given = half_edge_ends(surface.triangles, halves), half_edge_ends(surface.given, halves)
    part = surface.part[halves // 3]
    label = connected_edge_sets(ends + (part * len(surface.vertices))[:, None])
    order = np.argsort(label, kind="stable")
    return [
        Loop(int(part[here[0]]), ends[here], given[here], surface.vertices[ends[here]])
        for here in np.split(order, np.flatnonzero(np.diff(label[order])) + 1)
    ]


def with_caps(surface: Surface, loops: list[Loop], tolerance: float) -> Surface:
    """The surface closed by a fan over every loop, those over cracks dissolved into the faces."""
    if not loops:
        return surface
    vertices = np.concatenate([surface.vertices, [loop.middle for loop in loops]])
    fans = [loop.fan(tip, tolerance) for tip, loop in enumerate(loops, len(surface.vertices))]
    sizes = [len(fan) for fan in fans]
    caps = Surface(
        vertices,
        np.concatenate(fans),
        np.full((sum(sizes), 3), -1),
        np.full(sum(sizes), -1),
        np.repeat([loop.part for loop in loops], sizes),
    )
    reach = np.repeat([np.inf if loop.is_crack(tolerance) else tolerance for loop in loops], sizes)
    return without_slivers(
        replace(surface, vertices=vertices).joined(caps),
        np.concatenate([np.full(len(surface.triangles), tolerance), reach]),
    )
