"""Areas and strokes on a plane of pixels, as triangles with soft edges."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from ..core.arrays import Floats, Floats32

RGBA = tuple[float, float, float, float]
"""Red, green, blue and alpha, 0 to 1, as on the screen."""

SOFT = 0.5  # half the width over which an edge fades (pixels)
SHARPEST = 4.0  # longest mitre, in offsets


@dataclass(frozen=True)
class Area:
    """Convex `outlines` (m, k, 2), counter-clockwise, filled one over the other."""

    outlines: Floats
    color: RGBA


@dataclass(frozen=True)
class Fill:
    """Triangles `corners` (n, 3, 2) that may share edges; their own edges are left hard."""

    corners: Floats
    color: RGBA


@dataclass(frozen=True)
class Stroke:
    """Straight `segments` (k, 2, 2) of a `width` in pixels."""

    segments: Floats
    width: float
    color: RGBA


Primitive = Area | Fill | Stroke


def faint(color: RGBA) -> RGBA:
    """The color, half as strong."""
    return (*color[:3], color[3] / 2)


def mitres(outlines: Floats) -> Floats:
    """How far each corner of convex outlines (..., k, 2) moves as the sides move out by one."""
    after = np.concatenate([outlines[..., 1:, :], outlines[..., :1, :]], axis=-2)
    along = after - outlines
    normal = along[..., ::-1] * (1.0, -1.0)
    normal /= np.hypot(normal[..., 0], normal[..., 1])[..., None]
    before = np.concatenate([normal[..., -1:, :], normal[..., :-1, :]], axis=-2)
    moved = (before + normal) / (1.0 + (before * normal).sum(axis=-1))[..., None]
    return moved * np.minimum(1.0, SHARPEST / np.hypot(moved[..., 0], moved[..., 1]))[..., None]


def grown(outlines: Floats, by: float) -> Floats:
    """Convex outlines (..., k, 2) with their sides moved outward."""
    return outlines + by * mitres(outlines)


def dashes(line: Floats, *pattern: float) -> Floats:
    """Segments (k, 2, 2) of a line through points (n, 2): so many pixels drawn, so many left,
    and so on, over and over."""
    lengths = np.hypot(*np.diff(line, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    ends = np.cumsum(pattern)
    cuts = (np.arange(0.0, along[-1] + ends[-1], ends[-1])[:, None] + ends).ravel()
    stops = np.unique(np.concatenate([along, cuts[cuts < along[-1]]]))
    points = np.stack([np.interp(stops, along, line[:, axis]) for axis in (0, 1)], axis=1)
    middles = (stops[:-1] + stops[1:]) / 2
    inked = np.searchsorted(ends, middles % ends[-1], side="right") % 2 == 0
    return np.stack([points[:-1], points[1:]], axis=1)[inked]


def triangles(primitives: Iterable[Primitive]) -> tuple[Floats32, Floats32]:
    """Corners (n, 3), z = 0, and colors (n, 4) of the shapes, in the order of painting."""
    pieces = [(np.zeros((0, 2)), np.zeros((0, 4)))]
    for _, run in groupby(primitives, type):
        alike = list(run)
        pieces += [_areas(primitive) for primitive in alike if isinstance(primitive, Area)]
        pieces += [_fill(primitive) for primitive in alike if isinstance(primitive, Fill)]
        strokes = [primitive for primitive in alike if isinstance(primitive, Stroke)]
        pieces += [_strokes(strokes)] if strokes else []
    corners, colors = (np.concatenate(part) for part in zip(*pieces, strict=True))
    flat = np.zeros((len(corners), 3), np.float32)
    flat[:, :2] = corners
    return flat, colors.astype(np.float32)


def _areas(area: Area) -> tuple[Floats, Floats]:
    count, sides = area.outlines.shape[:2]
    soft = SOFT * mitres(area.outlines)
    both = np.concatenate([area.outlines - soft, area.outlines + soft], axis=1)
    here = np.arange(sides)
    after = np.roll(here, -1)
    fan = np.stack([0 * here[2:], here[1:-1], here[2:]], axis=1)
    rims = [here, here + sides, after + sides, here, after + sides, after]
    corner = np.concatenate([fan.ravel(), np.stack(rims, axis=1).ravel()])
    corners = both[:, corner].reshape(-1, 2)
    return corners, _tinted(np.array([area.color]), np.tile(corner < sides, count))


def _fill(fill: Fill) -> tuple[Floats, Floats]:
    corners = fill.corners.reshape(-1, 2)
    return corners, _tinted(np.array([fill.color]), np.ones(len(corners)))


def _strokes(strokes: list[Stroke]) -> tuple[Floats, Floats]:
    counts = [len(stroke.segments) for stroke in strokes]
    width = np.repeat([stroke.width for stroke in strokes], counts)
    color = np.repeat([stroke.color for stroke in strokes], counts, axis=0)
    start, end = np.concatenate([stroke.segments for stroke in strokes]).transpose(1, 0, 2)
    along = end - start
    length = np.hypot(along[:, 0], along[:, 1])
    long = length > 0
    start, end, width, color = start[long], end[long], width[long], color[long]
    side = along[long, ::-1] * (-1.0, 1.0) / length[long, None]
    core = np.maximum(width / 2 - SOFT, 0.0)
    offsets = np.stack([-width / 2 - SOFT, -core, core, width / 2 + SOFT])
    lines = np.stack([start, end])[:, None] + offsets[..., None] * side
    ends, line = np.array([0, 1, 1, 0, 1, 0]), np.array([0, 0, 1, 0, 1, 1])
    line = (np.arange(3)[:, None] + line).ravel()
    corners = lines[np.tile(ends, 3), line].transpose(1, 0, 2).reshape(-1, 2)
    full = np.minimum(1.0, width)[:, None] * ((line == 1) | (line == 2))
    return corners, _tinted(np.repeat(color, len(line), axis=0), full.ravel())


def _tinted(colors: Floats, full: Floats) -> Floats:
    tinted = np.broadcast_to(colors, (len(full), 4)).astype(np.float64)
    tinted[:, 3] *= full
    return tinted
