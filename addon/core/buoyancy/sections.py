"""Cuts of a surface by a plane: waterline, sections, their extent and area."""

from __future__ import annotations

import numpy as np

from ..arrays import Floats
from .attitude import Attitude
from .body import Body


def plane_section(tree: Body, normal: Floats, level: float) -> Floats:
    """Segments (k, 2, 3) in which the plane x . normal = level cuts the surface.

    Seen against the normal, the inside lies to the left of each segment.
    """
    return section_segments(*tree.crossing(normal, level))


def section_segments(corners: Floats, heights: Floats) -> Floats:
    """Segments (k, 2, 3) in which a plane cuts triangles (k, 3, 3), whose corners have heights (k,
    3) above it: at least one above zero, and one not. Oriented as in `plane_section`."""
    above = heights > 0
    single = above.sum(axis=1) == 1
    lone = np.where(single, above.argmax(axis=1), above.argmin(axis=1))
    each = np.arange(len(corners))
    ends = []
    for step in (1, 2):
        other = (lone + step) % 3
        lower, upper = np.where(single, other, lone), np.where(single, lone, other)
        low, high = heights[each, lower], heights[each, upper]
        start = corners[each, lower]
        ends.append(start + (low / (low - high))[:, None] * (corners[each, upper] - start))
    segments = np.stack(ends, axis=1)
    segments[~single] = segments[~single][:, ::-1]
    return segments


def waterline(tree: Body, attitude: Attitude) -> Floats:
    """Segments (k, 2, 3) of the waterline in ship axes, the hull to their left from above."""
    return plane_section(tree, attitude.up, attitude.level)


def loops(segments: Floats) -> list[Floats]:
    """Closed outlines (k, 3) that segments (n, 2, 3) run through, without repeated points.

    Segments are consecutive where their end points are bitwise equal, as those from
    `plane_section`, which computes the point on an edge alike from both its triangles.
    """
    if not len(segments):
        return []
    _, node = np.unique(segments.reshape(-1, 3) + 0.0, axis=0, return_inverse=True)
    start, end = node.reshape(-1, 2).T
    leaving: dict[int, list[int]] = {}
    for segment in np.flatnonzero(start != end):
        leaving.setdefault(int(start[segment]), []).append(int(segment))
    outlines = []
    while leaving:
        first = here = next(iter(leaving))
        path = []
        while here in leaving:
            index = leaving[here].pop()
            if not leaving[here]:
                del leaving[here]
            path.append(segments[index, 0])
            here = int(end[index])
            if here == first:
                break
        if len(path) > 2:
            outlines.append(np.array(path))
    return outlines


def section_area(tree: Body, x_m: float, attitude: Attitude) -> float:
    """Area (m2) below the water of the transverse section at x, of the hull as cut there."""
    ahead = np.array([1.0, 0.0, 0.0])
    segments = plane_section(tree, ahead, x_m)
    upward = attitude.up - attitude.up[0] * ahead
    steep = float(np.linalg.norm(upward))
    if not len(segments) or steep == 0:
        return 0.0
    heights = attitude.heights(segments)
    start, end = segments.transpose(1, 0, 2)
    low, high = heights.T
    crossing = (low > 0) != (high > 0)
    share = np.where(crossing, low / np.where(crossing, low - high, 1.0), 0.0)[:, None]
    point = start + share * (end - start)
    start = np.where((low > 0)[:, None], point, start)
    end = np.where((crossing & (high > 0))[:, None], point, end)
    wet = (low <= 0) | (high <= 0)
    on_water = np.array([x_m, 0.0, 0.0])
    on_water += upward * (attitude.level - attitude.up @ on_water) / steep**2
    a, b = start[wet] - on_water, end[wet] - on_water
    return float((a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]).sum() / 2)
