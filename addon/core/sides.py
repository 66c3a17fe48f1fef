"""Which sides of a triangle mesh face the same space.

Every triangle has a side its normal points to and one behind. Around an edge, sorted by
angle, neighbouring triangles face each other across a wedge of space, and those two sides
are joined; a lone triangle at a free edge joins its own two sides. The connected sets of
sides bound the spaces: the one outside has negative volume, each of the others is a room.
No orientation of the triangles is presumed.

Triangles that lie on each other have no order by angle. They take the one that joins the
fewest spaces, all other edges being joined before.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import chain, islice, permutations, product

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_ORDERS = 1000
NEAREST = 4


@dataclass(frozen=True)
class Edges:
    """Edges of a triangle mesh with the half edges (3 a triangle) that lie on each.

    Half edge h runs from corner h % 3 to the next of triangle h // 3. `order` lists the half
    edges edge by edge; edge e owns `order[first[e] : first[e] + count[e]]` and joins the
    vertices `ends[e]` (low index first). `forward[h]` says that h runs from low to high.
    """

    ends: Ints
    first: Ints
    count: Ints
    order: Ints
    forward: NDArray[np.bool_]

    def on(self, chosen: NDArray[np.bool_]) -> Ints:
        """Half edges on the chosen edges."""
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


def space_labels(
    vertices: Array, triangles: Ints, edges: Edges, touch: float = 0.0
) -> NDArray[np.int64]:
    """Label of the space that each side faces, shape (m, 2): normal side, back side.

    Triangles at an edge lie on each other where they are `touch` (m) or less apart.
    """
    order, upon = _around(vertices, triangles, edges, touch)
    following = np.arange(1, len(order) + 1)
    following[edges.first + edges.count - 1] = edges.first
    side = np.arange(3 * len(triangles)) // 3 * 2
    leading, trailing = side + ~edges.forward, side + edges.forward
    doubtful = np.zeros(len(edges.count), bool)
    doubtful[np.repeat(np.arange(len(edges.count)), edges.count)[upon]] = True
    sure = np.repeat(~doubtful, edges.count)
    labels = connected(2 * len(triangles), leading[order[sure]], trailing[order[following[sure]]])
    if doubtful.any():
        layers = (
            _layers(order[start:end].tolist(), upon[start:end].tolist())
            for start, end in zip(
                edges.first[doubtful], (edges.first + edges.count)[doubtful], strict=True
            )
        )
        labels = _joined(labels, layers, labels[leading].tolist(), labels[trailing].tolist())
    return labels.reshape(-1, 2)


def _around(
    vertices: Array, triangles: Ints, edges: Edges, touch: float
) -> tuple[Ints, NDArray[np.bool_]]:
    """`edges.order` with the half edges of each branching edge sorted by angle about it, and
    which of them lie on the next."""
    branching = edges.count > 2
    order, upon = edges.order.copy(), np.zeros(len(edges.order), bool)
    if not branching.any():
        return order, upon
    halves = edges.on(branching)
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
    upon[here] = gap * np.minimum(reach, reach[following]) <= touch
    return order, upon


def _layers(ring: list[int], upon: list[bool]) -> list[list[int]]:
    """The half edges of a ring in sets that lie on each other, from one that lies on none."""
    start = upon.index(False) + 1 if False in upon else 0
    layers: list[list[int]] = [[]]
    for index in (*range(start, len(ring)), *range(start)):
        layers[-1].append(ring[index])
        if not upon[index]:
            layers.append([])
    return [layer for layer in layers if layer]


def _joined(
    labels: Ints, rings: Iterable[list[list[int]]], leading: list[int], trailing: list[int]
) -> Ints:
    """Labels after joining, round each ring, the spaces ahead of and behind its half edges."""
    root = list(range(int(labels.max()) + 1))

    def find(label: int) -> int:
        while root[label] != label:
            root[label] = root[root[label]]
            label = root[label]
        return label

    for layers in rings:
        best = min(
            (
                _merged(
                    [
                        (find(leading[a]), find(trailing[b]))
                        for a, b in zip(ring, turned, strict=True)
                    ]
                )
                for ring, turned in _rings(layers)
            ),
            key=lambda spaces: sum(map(len, spaces)) - len(spaces),
        )
        for spaces in best:
            for label in spaces:
                root[label] = min(spaces)
    return np.unique([find(label) for label in range(len(root))], return_inverse=True)[1][labels]


def _rings(layers: list[list[int]]) -> Iterator[tuple[list[int], list[int]]]:
    """Every order of half edges round an edge that keeps to its layers, and the next of each."""
    for order in islice(product(*map(permutations, layers)), MOST_ORDERS):
        ring = list(chain(*order))
        yield ring, [*ring[1:], ring[0]]


def _merged(pairs: Iterable[tuple[int, int]]) -> list[set[int]]:
    """The connected sets of what the pairs join."""
    sets: list[set[int]] = []
    for pair in pairs:
        touched = [each for each in sets if not each.isdisjoint(pair)]
        sets = [each for each in sets if each.isdisjoint(pair)]
        sets.append(set(pair).union(*touched))
    return sets


def joining(tips: list[int], ends: Ints, spans: Array) -> Ints:
    """Indices of the edges (k, 2), each of so long a span (k,), on the shortest ways between the
    tips two and two, those nearest to each other first; one that no way leads to is left over."""
    beside: dict[int, list[tuple[int, int, float]]] = {}
    for edge, ((a, b), span) in enumerate(zip(ends.tolist(), spans.tolist(), strict=True)):
        beside.setdefault(a, []).append((edge, b, span))
        beside.setdefault(b, []).append((edge, a, span))
    ways = sorted(way for tip in tips for way in _ways(tip, set(tips), beside))
    apart = set(tips)
    joined: set[int] = set()
    for _, tip, other, edges in ways:
        if {tip, other} <= apart:
            apart -= {tip, other}
            joined ^= set(edges)
    return np.array(sorted(joined), dtype=np.int64)


def _ways(
    tip: int, tips: set[int], beside: dict[int, list[tuple[int, int, float]]]
) -> list[tuple[float, int, int, list[int]]]:
    """Length, ends and edges of the shortest ways from a tip to the nearest others."""
    found: list[tuple[float, int, int, list[int]]] = []
    came: dict[int, tuple[int, int]] = {}
    queue = [(0.0, tip, -1, tip)]
    while queue and len(found) < NEAREST:
        length, vertex, edge, before = heappop(queue)
        if vertex in came:
            continue
        came[vertex] = edge, before
        if vertex in tips and vertex != tip:
            edges, here = [], vertex
            while here != tip:
                edges.append(came[here][0])
                here = came[here][1]
            found.append((length, tip, vertex, edges))
        for edge, other, span in beside.get(vertex, []):
            if other not in came:
                heappush(queue, (length + span, other, edge, vertex))
    return found


def connected(count: int, a: Ints, b: Ints) -> Ints:
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
