"""Half-edges of a triangle mesh, and the sides of triangles that face the same space.

Every triangle has a side its normal points to and one behind. Around an edge, sorted by angle,
neighboring triangles face each other across a wedge of space, and those two sides are joined; a
lone triangle at a free edge joins its own two sides, unless a cap ends there. The connected sets of
sides bound the spaces: the one outside has negative volume, each of the others is enclosed. No
orientation of the triangles is presumed.

Coincident triangles have no order by angle. They take the one that joins the fewest spaces, all
other edges being joined before.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain, islice, permutations, product

import numpy as np

from ..arrays import Bools, Floats, Ints

MAX_ORDERINGS = 1000
"""Orders of coincident triangles about an edge that are tried, to bound time."""


@dataclass(frozen=True)
class Edges:
    """Edges of a triangle mesh with the half-edges (3 per triangle) on each.

    Half-edge h runs from corner h % 3 to the next of triangle h // 3. `order` lists the half-edges
    edge by edge; edge e owns `order[first[e] : first[e] + count[e]]` and joins the vertices
    `ends[e]` (low index first). `forward[h]` is true where h runs from low to high.
    """

    ends: Ints
    first: Ints
    count: Ints
    order: Ints
    forward: Bools

    def half_edges_on(self, chosen: Bools) -> Ints:
        """Half-edges on the chosen edges."""
        return self.order[np.repeat(chosen, self.count)]


def find_edges(triangles: Ints) -> Edges:
    """Edges of triangles (m, 3)."""
    start = triangles.ravel()
    end = np.roll(triangles, -1, axis=1).ravel()
    low, high = np.minimum(start, end), np.maximum(start, end)
    base = int(high.max()) + 1 if high.size else 1
    key = low * base + high
    order = np.argsort(key, kind="stable")
    ordered = key[order]
    first = np.flatnonzero(np.concatenate([[True], ordered[1:] != ordered[:-1]]))
    count = np.diff(np.concatenate([first, [len(key)]]))
    ends = np.stack([ordered[first] // base, ordered[first] % base], axis=1)
    return Edges(ends, first, count, order, start < end)


@dataclass(frozen=True)
class HalfFaceAdjacency:
    """Pairs of sides (k, 2) that face the same space across an edge, unless it is closed by a cap,
    and the half-edge (k,) that leads from the first to it.

    Side 2 t is that which the normal of triangle t points to, side 2 t + 1 the one behind.
    """

    half_faces: Ints
    half_edge: Ints

    def spaces(self, closed: Bools) -> Ints:
        """Number of the space that each side faces, with caps over the joins `closed` (k,)."""
        return connected_components(
            2 * int(self.half_edge.max() // 3 + 1), *self.half_faces[~closed].T
        )


def find_adjacency(
    vertices: Floats, triangles: Ints, edges: Edges, tolerance: float = 0.0
) -> HalfFaceAdjacency:
    """The joins of the sides of triangles, which coincide at an edge where they are `tolerance` (m)
    or less apart."""
    order, coincident = _order_by_angle(vertices, triangles, edges, tolerance)
    following = np.arange(1, len(order) + 1)
    following[edges.first + edges.count - 1] = edges.first
    if coincident.any():
        order = _order_coincident(edges, order, coincident, following)
    return HalfFaceAdjacency(_facing_half_faces(edges, order, order[following]), order)


def _facing_half_faces(edges: Edges, halves: Ints, following: Ints) -> Ints:
    """The sides (k, 2) that face each other between half-edges and the following ones."""
    ahead = halves // 3 * 2 + ~edges.forward[halves]
    return np.stack([ahead, following // 3 * 2 + edges.forward[following]], axis=1)


def _order_by_angle(
    vertices: Floats, triangles: Ints, edges: Edges, tolerance: float
) -> tuple[Ints, Bools]:
    """`edges.order` with the half-edges of each branching edge sorted by angle about it, and which
    of them coincide with the next."""
    branching = edges.count > 2
    order, coincident = edges.order.copy(), np.zeros(len(edges.order), bool)
    if not branching.any():
        return order, coincident
    halves = edges.half_edges_on(branching)
    owner = np.repeat(np.flatnonzero(branching), edges.count[branching])
    origin = vertices[edges.ends[owner, 0]]
    axis = vertices[edges.ends[owner, 1]] - origin
    axis /= np.linalg.norm(axis, axis=1, keepdims=True)
    tip = vertices[triangles[halves // 3, (halves % 3 + 2) % 3]] - origin
    across = np.cross(axis, np.eye(3)[np.abs(axis).argmin(axis=1)])
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    p, q = np.einsum("ij,ij->i", tip, across), np.einsum("ij,ij->i", tip, np.cross(axis, across))
    angle, reach = np.arctan2(q, p), np.hypot(p, q)
    sorting = np.lexsort((angle, owner))
    angle, reach = angle[sorting], reach[sorting]
    following = np.arange(1, len(halves) + 1)
    last = np.cumsum(edges.count[branching]) - 1
    following[last] = last + 1 - edges.count[branching]
    gap = angle[following] - angle
    gap[last] += 2 * np.pi
    here = np.repeat(branching, edges.count)
    order[here] = halves[sorting]
    coincident[here] = gap * np.minimum(reach, reach[following]) <= tolerance
    return order, coincident


def _coincident_layers(ring: list[int], coincident: list[bool]) -> list[list[int]]:
    """The half-edges of a ring in coincident sets, from one that coincides with none before it."""
    start = coincident.index(False) + 1 if False in coincident else 0
    layers: list[list[int]] = [[]]
    for index in (*range(start, len(ring)), *range(start)):
        layers[-1].append(ring[index])
        if not coincident[index]:
            layers.append([])
    return [layer for layer in layers if layer]


def _order_coincident(edges: Edges, order: Ints, coincident: Bools, following: Ints) -> Ints:
    """The order about the edges; among coincident half-edges the one that joins the fewest spaces,
    the other edges and those before being joined."""
    owner = np.repeat(np.arange(len(edges.count)), edges.count)
    doubtful = np.zeros(len(edges.count), bool)
    doubtful[owner[coincident]] = True
    sure = ~doubtful[owner] & (edges.count > 1)[owner]
    joined_half_faces = _facing_half_faces(edges, order[sure], order[following[sure]])
    spaces = connected_components(2 * (len(order) // 3), *joined_half_faces.T)
    halves = np.arange(len(order))
    ahead, behind = spaces[_facing_half_faces(edges, halves, halves)].T.tolist()
    root = list(range(int(spaces.max()) + 1))

    def find(space: int) -> int:
        while root[space] != space:
            root[space] = root[root[space]]
            space = root[space]
        return space

    def merged(ring: list[int]) -> list[set[int]]:
        pairs = zip(ring, [*ring[1:], ring[0]], strict=True)
        return _connected_sets((find(ahead[a]), find(behind[b])) for a, b in pairs)

    order = order.copy()
    for start, size in zip(edges.first[doubtful], edges.count[doubtful], strict=True):
        around = slice(start, start + size)
        layers = _coincident_layers(order[around].tolist(), coincident[around].tolist())
        rings = islice(product(*map(permutations, layers)), MAX_ORDERINGS)
        ring = min(
            (list(chain(*ring)) for ring in rings),
            key=lambda ring: sum(len(spaces) - 1 for spaces in merged(ring)),
        )
        order[around] = ring
        for joined_spaces in merged(ring):
            for space in joined_spaces:
                root[space] = min(joined_spaces)
    return order


def _connected_sets(pairs: Iterable[tuple[int, int]]) -> list[set[int]]:
    """The connected sets of the pairs."""
    sets: list[set[int]] = []
    for pair in pairs:
        touched = [each for each in sets if not each.isdisjoint(pair)]
        sets = [each for each in sets if each.isdisjoint(pair)]
        sets.append(set(pair).union(*touched))
    return sets


def minimum_cut(pairs: Ints, widths: Floats, source: int, sink: int) -> Bools:
    """Which of the pairs (k, 2) of nodes, of `widths` (k,), to cut so that no path leads from
    source to sink, with the least sum of widths.

    By augmenting shortest paths (Edmonds and Karp 1972, Theoretical improvements in algorithmic
    efficiency for network flow problems, J. ACM 19:248).
    """
    if source == sink:
        return np.zeros(len(pairs), bool)
    residual: dict[int, dict[int, float]] = {}
    for (a, b), width in zip(pairs.tolist(), widths.tolist(), strict=True):
        if a != b:
            for here, there in ((a, b), (b, a)):
                capacities = residual.setdefault(here, {})
                capacities[there] = capacities.get(there, 0.0) + width
    least = 1e-9 * float(widths.sum())
    while True:
        predecessor = {source: source}
        queue = deque([source])
        while queue and sink not in predecessor:
            here = queue.popleft()
            for there, width in residual.get(here, {}).items():
                if width > least and there not in predecessor:
                    predecessor[there] = here
                    queue.append(there)
        if sink not in predecessor:
            break
        path = [sink]
        while path[-1] != source:
            path.append(predecessor[path[-1]])
        steps = list(zip(path[1:], path[:-1], strict=True))
        width = min(residual[here][there] for here, there in steps)
        for here, there in steps:
            residual[here][there] -= width
            residual[there][here] += width
    reached = np.array([[a in predecessor, b in predecessor] for a, b in pairs.tolist()]).reshape(
        -1, 2
    )
    return reached[:, 0] != reached[:, 1]


def connected_components(count: int, a: Ints, b: Ints) -> Ints:
    """Label (0, 1, ...) of the connected set of each of `count` nodes, joined in pairs a-b."""
    root = np.arange(count)
    while a.size:
        low, high = np.minimum(root[a], root[b]), np.maximum(root[a], root[b])
        np.minimum.at(root, high, low)
        while True:
            further = root[root]
            if np.array_equal(further, root):
                break
            root = further
        apart = root[a] != root[b]
        a, b = a[apart], b[apart]
    return np.unique(root, return_inverse=True)[1].reshape(-1)
