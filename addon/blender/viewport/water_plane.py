"""The water plane around a hull: a rectangle less the outlines that lie in it."""

from __future__ import annotations

import numpy as np

from ...core.arrays import Floats

CELLS = float(1 << 22)  # along each side of the rectangle: corners in one cell are one


def regions(segments: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Triangles (n, 3, 2) outside and inside outlines within the rectangle `low` to `high` (2,).

    `segments` (k, 2, 2) run round the outlines with the inside to their left. The rectangle
    is cut into upright strips at every corner; in a strip no segment starts or ends, so
    between neighboring segments lie trapezoids, and the sum of the segments' directions
    below one says how often it is enclosed. Outlines may be several, nest, overlap, or turn
    the other way round as the edge of a hole.
    """
    grain = (high - low) / CELLS
    frame = np.array([[[0.0, y], [CELLS, y]] for y in (0.0, CELLS)])
    edges = np.concatenate([frame, np.round((segments - low) / grain)])
    turn = np.sign(edges[:, 1, 0] - edges[:, 0, 0]).astype(np.int64)
    turn[:2] = 0
    upright = edges[:, 0, 0] == edges[:, 1, 0]
    edges, turn = edges[~upright], turn[~upright]
    backward = edges[:, 0, 0] > edges[:, 1, 0]
    edges[backward] = edges[backward][:, ::-1]

    cuts = np.unique(edges[:, :, 0])
    first = np.searchsorted(cuts, edges[:, 0, 0])
    count = np.searchsorted(cuts, edges[:, 1, 0]) - first
    edge = np.repeat(np.arange(len(edges)), count)
    strip = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + first[edge]
    (x0, y0), (x1, y1) = edges[edge, 0].T, edges[edge, 1].T
    left, right = (y0 + (cuts[strip + side] - x0) * ((y1 - y0) / (x1 - x0)) for side in (0, 1))

    order = np.lexsort((edge, left + right, strip))
    strip, left, right, turn = strip[order], left[order], right[order], turn[edge[order]]
    enclosed = np.cumsum(turn)
    start = np.searchsorted(strip, np.arange(len(cuts) - 1))
    enclosed -= (enclosed - turn)[start][strip]

    lower = np.flatnonzero(strip[:-1] == strip[1:])
    upper = lower + 1
    x0, x1 = cuts[strip[lower]], cuts[strip[lower] + 1]
    corners = np.stack(
        [
            np.stack([x0, left[lower]], axis=1),
            np.stack([x1, right[lower]], axis=1),
            np.stack([x1, right[upper]], axis=1),
            np.stack([x0, left[upper]], axis=1),
        ],
        axis=1,
    )
    triangles = corners[:, [[0, 1, 2], [0, 2, 3]]]
    a, b = triangles[:, :, 1] - triangles[:, :, 0], triangles[:, :, 2] - triangles[:, :, 0]
    solid = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0] > 1.0
    inside = np.broadcast_to((enclosed[lower] > 0)[:, None], solid.shape)
    triangles = low + grain * triangles
    return triangles[solid & ~inside], triangles[solid & inside]
