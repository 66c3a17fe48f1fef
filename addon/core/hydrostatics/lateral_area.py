"""Lateral areas above and below water, from the silhouette seen from abeam.

Every triangle, projected on the view and turned anticlockwise, adds one layer to what it covers.
Where the surface continues, the shared edge of two triangles cancels; what is left is the contour,
at which the number of layers changes. A level line is covered where that number is not zero.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Floats, Ints
from ..buoyancy.attitude import Attitude, water_frame

EDGE_ON_SHARE = 1e-9
"""Twice the area over the longest side squared up to which a triangle is seen edge on."""
HEIGHT_TOLERANCE_SHARE = 1e-12
"""Share of the whole height within which heights are one."""
BAND_LIMITS = 32, 4096
"""Fewest and most bands to begin with."""
AREA_TOLERANCE_SHARE = 1e-9
"""Share of the whole area: a band that halving changes by less is good."""
MAX_CUTS = 1 << 24
"""Cuts of the contour by level lines in all, to bound time."""
CUTS_AT_ONCE = 1 << 20
"""Cuts of the contour at a time, to bound memory."""
GAUSS_POINTS = (0.5 - 3**-0.5 / 2, 0.5 + 3**-0.5 / 2)
"""Places of the two Gauss points in a band, as shares of its height."""


@dataclass(frozen=True)
class LateralProfile:
    """Lateral areas above and below the water (m2) and their centroids; NaN where there is no area.

    `center_above` is the height of the one above the water and `center_below` the depth of the
    other below it, both in meters and positive; `x_above` and `x_below` are their positions along
    the ship, in ship axes (m).
    """

    area_above: float
    center_above: float
    x_above: float
    area_below: float
    center_below: float
    x_below: float

    @property
    def lever(self) -> float:
        """Vertical distance between the two centroids (m); NaN if one is missing.

        Z of the weather criterion, 2008 IS Code, A 2.3.2 (from memory).
        """
        return self.center_above + self.center_below


def lateral_profile(triangles: Floats, attitude: Attitude) -> LateralProfile:
    """Lateral projected areas of the triangles (m, 3 corners, 3 axes) at a floating position.

    The view is horizontal, along the ship's transverse axis projected on the water. The triangles,
    finite and in ship axes, may belong to any number of bodies, open or closed, with faces either
    way; overlaps count once, and an edge-on triangle has no area.

    Exact to rounding where lines of the contour cross only at its corners, else within 1e-6 of the
    whole; within 1e-4 for a contour of 100 000 lines, which takes seconds.
    """
    ahead, _, up = water_frame(attitude.up)
    corners = np.asarray(triangles, dtype=np.float64).transpose(2, 1, 0)
    view = np.stack(
        [_component_along(corners, ahead), _component_along(corners, up) - attitude.level]
    )
    feet, heads, change = _contour(view)
    if not change.size:
        return LateralProfile(0.0, np.nan, np.nan, 0.0, np.nan, np.nan)
    middle = (feet[0].min() + feet[0].max()) / 2
    offset = np.array([[middle], [0.0]])
    moments = _moments(feet - offset, heads - offset, change)
    centers = np.full((2, 2), np.nan)
    has = moments[:, 0] > 0
    centers[has] = moments[has, 1:] / moments[has, :1]
    height, along = centers.T
    x = ahead[0] * (along + middle) + up[0] * (height + attitude.level)
    area = moments[:, 0]
    return LateralProfile(*map(float, (area[0], height[0], x[0], area[1], -height[1], x[1])))


def _component_along(corners: Floats, axis: Floats) -> Floats:
    """Corners (3 axes, ...) along an axis; equal corners give the same to the last bit."""
    x, y, z = corners
    along: Floats = x * axis[0] + y * axis[1] + z * axis[2]
    return along


def _contour(view: Floats) -> tuple[Floats, Floats, Ints]:
    """Start and end points (2 axes, n) of the contour of triangles (2 axes, 3 corners, m), and the
    change (n,) in layers from its left, which is aft, to its right."""
    side = np.roll(view, -1, axis=1) - view
    double = side[0, 0] * side[1, 1] - side[1, 0] * side[0, 1]
    longest = (side**2).sum(axis=0).max(axis=0)
    turn = np.sign(double) * (np.abs(double) > EDGE_ON_SHARE * longest)
    name = _point_ids(view)
    step = np.roll(name, -1, axis=0) - name
    corner, triangle = np.nonzero((step != 0) & (turn != 0))
    step = step[corner, triangle]
    sense = np.sign(step) * turn.astype(np.int64)[triangle]
    key = np.abs(step)
    order = np.argsort(key)
    key = key[order]
    start = np.flatnonzero(np.diff(key, prepend=-1))
    net = np.add.reduceat(sense[order], start) if start.size else start
    one = order[start[net != 0]]
    corner, triangle, net = corner[one], triangle[one], net[net != 0] * np.sign(step[one])
    ends = view[:, corner, triangle], view[:, (corner + 1) % 3, triangle]
    rises = ends[1][1] > ends[0][1]
    feet, heads = np.where(rises, ends, ends[::-1])
    return feet, heads, np.where(rises, -net, net)


def _point_ids(points: Floats) -> Ints:
    """A number for each of points (2, ...), equal for equal points only, with odds of 2^-64.

    The mixing of bits is that of Steele, Lea & Flood 2014, Fast Splittable Pseudorandom Number
    Generators, OOPSLA (from memory).
    """
    name = np.zeros(points.shape[1:], dtype=np.uint64)
    for axis in points:
        name += (axis + 0.0).view(np.uint64)
        name ^= name >> np.uint64(30)
        name *= np.uint64(0xBF58476D1CE4E5B9)
        name ^= name >> np.uint64(27)
        name *= np.uint64(0x94D049BB133111EB)
        name ^= name >> np.uint64(31)
    return name.view(np.int64)


def _moments(feet: Floats, heads: Floats, change: Ints) -> Floats:
    """Area and its first moments in height and ahead, shape (3,), above and below height 0, (2, 3).

    Two Gauss points are exact in a band with straight lines that do not cross. Other bands are
    halved until the result converges, the worst as far as `MAX_CUTS` allows.
    """
    limits = _band_limits(feet, heads)
    rising = heads[1] > feet[1]
    feet, heads, change = feet[:, rising], heads[:, rising], change[rising]
    bands = np.stack([limits[:-1], limits[1:]])
    whole, cuts = _band_moments(feet, heads, change, bands)
    along, height = np.abs([feet, heads]).max(axis=(0, 2))
    reach = np.array([[1.0], [height], [along]])
    close = AREA_TOLERANCE_SHARE * whole[0].sum()
    left = MAX_CUTS - cuts.sum()
    moments = np.zeros((2, 3))
    while bands.size:
        low, high = bands
        middle = (low + high) / 2
        halves = np.stack([[low, middle], [middle, high]], axis=-1).reshape(2, -1)
        parts, cuts = _band_moments(feet, heads, change, halves)
        both = parts[:, ::2] + parts[:, 1::2]
        error = (np.abs(both - whole) / reach).max(axis=0)
        left -= cuts.sum()
        worst = np.argsort(-error)
        next_cuts = 2 * (cuts[::2] + cuts[1::2])[worst]
        rough = np.zeros(len(error), dtype=bool)
        rough[worst] = (error[worst] > close) & (np.cumsum(next_cuts) <= left)
        for side, here in enumerate((middle > 0, middle <= 0)):
            moments[side] += both[:, here & ~rough].sum(axis=1)
        again = np.repeat(rough, 2)
        bands, whole = halves[:, again], parts[:, again]
    return moments


def _band_limits(feet: Floats, heads: Floats) -> Floats:
    """Heights that divide the contour into bands: the water's, its corners' and others evenly
    spaced.

    Of too many corners, those where the contour runs farthest ahead, at which the covered length
    may jump, and every n-th of the rest.
    """
    corners, place = np.unique([feet[1], heads[1]], return_inverse=True)
    low, high = corners[0], corners[-1]
    first, last = np.searchsorted(corners, [feet[1], heads[1]])
    most = int(np.clip(MAX_CUTS * len(corners) / (12 * (last - first).sum()), *BAND_LIMITS))
    part = most // 4
    if len(corners) > 3 * part:
        run = np.bincount(place.reshape(-1), np.tile(np.abs(heads[0] - feet[0]), 2))
        nth = np.linspace(0, len(corners) - 1, 2 * part).astype(np.intp)
        corners = corners[np.concatenate([nth, np.argsort(run)[-part:]])]
    even = np.linspace(low, high, part)
    heights = np.unique(np.concatenate([corners, even, np.clip([0.0], low, high)]))
    return heights[np.diff(heights, prepend=-np.inf) > HEIGHT_TOLERANCE_SHARE * (high - low)]


def _band_moments(feet: Floats, heads: Floats, change: Ints, bands: Floats) -> tuple[Floats, Ints]:
    """Area and its first moments in height and ahead (3, k) in bands (2, k) in ascending order, and
    the number of cuts of the contour in each (k,)."""
    low, high = bands
    heights = (low + (high - low) * np.array(GAUSS_POINTS)[:, None]).T.reshape(-1)
    first, last = np.searchsorted(heights, [feet[1], heads[1]])
    size = len(heights) + 1
    cuts = np.cumsum(np.bincount(first, minlength=size) - np.bincount(last, minlength=size))[:-1]
    blocks = np.split(heights, np.flatnonzero(np.diff(np.cumsum(cuts) // CUTS_AT_ONCE)) + 1)
    length, moment = np.concatenate(
        [_covered_lengths(feet, heads, change, block) for block in blocks], axis=1
    )
    values = np.stack([length, length * heights, moment])
    return values.reshape(3, -1, 2).sum(axis=2) * (high - low) / 2, cuts.reshape(-1, 2).sum(axis=1)


def _covered_lengths(feet: Floats, heads: Floats, change: Ints, heights: Floats) -> Floats:
    """Covered length, and its first moment ahead, at ascending heights (k,); shape (2, k)."""
    first, last = np.searchsorted(heights, [feet[1], heads[1]])
    count = last - first
    line = np.repeat(np.arange(len(count)), count)
    at = np.arange(len(line)) - np.repeat(np.cumsum(count) - count - first, count)
    slope = (heads[0] - feet[0]) / (heads[1] - feet[1])
    x = feet[0].take(line) + (heights.take(at) - feet[1].take(line)) * slope.take(line)
    order = np.argsort(x)
    order = order[np.argsort(at[order].astype(np.min_scalar_type(len(heights))), kind="stable")]
    x, at = x[order], at[order]
    start = np.flatnonzero(np.cumsum(change.take(line[order])) > 0)
    a, b = x[start], x[start + 1]
    return np.stack(
        [
            np.bincount(at[start], weights, len(heights))
            for weights in (b - a, (b - a) * (b + a) / 2)
        ]
    )
