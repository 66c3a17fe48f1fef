"""The floated copy: the hull in two tones, posed so that the water around it is level."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ...core.arrays import Bools, Floats, Floats32
from ...core.buoyancy.attitude import Attitude, water_frame
from ...core.model.hull import Hull

TOPSIDES = np.array([0.80, 0.78, 0.74])
UNDERBODY = np.array([0.36, 0.50, 0.54])
LAMPS = (  # direction in the water frame (ahead, port, up) and strength
    (np.array([0.35, 0.55, 0.76]), 0.48),
    (np.array([0.15, -0.85, 0.50]), 0.28),
    (np.array([-0.80, 0.20, -0.57]), 0.16),
)
SHADE = 0.38
SHEER = 0.20  # opacity of a see-through hull


def level_pose(to_world: Floats, attitude: Attitude, pivot: Floats, to_port: float) -> Floats:
    """Ship axes to world, (4, 4), for a copy that floats in level water.

    `to_world` places the real ship, `pivot` (3,) is a point of its water plane in ship axes.
    The copy keeps scale and heading; its pivot lies `to_port` meters off the real one, at
    the same height. A vessel standing on end heads along world x.
    """
    turned = to_world[:3, :3]
    scale = float(np.cbrt(abs(np.linalg.det(turned))))
    frame = water_frame(attitude.up)
    heading = (turned @ frame[0]) * (1.0, 1.0, 0.0)
    if np.linalg.norm(heading) <= 1e-6 * scale:
        heading = np.array([1.0, 0.0, 0.0])
    heading /= np.linalg.norm(heading)
    up = np.array([0.0, 0.0, 1.0])
    port = np.cross(up, heading)
    pose = np.eye(4)
    pose[:3, :3] = scale * np.column_stack([heading, port, up]) @ frame
    place = turned @ pivot + to_world[:3, 3] + scale * to_port * port
    pose[:3, 3] = place - pose[:3, :3] @ pivot
    return pose


def shaded(hull: Hull, attitude: Attitude) -> tuple[Floats32, Floats32]:
    """Corners (3 n, 3) in ship axes and colors (3 n, 4) of hull triangles, cut at the water."""
    vertices = hull.vertices.astype(np.float32)
    corners = vertices[hull.triangles]
    light = lit(corners, attitude.up)
    heights = attitude.heights(hull.vertices).astype(np.float32)[hull.triangles]
    pieces, source, wet = parted(corners, heights)
    tone = np.where(wet[:, None], UNDERBODY, TOPSIDES).astype(np.float32)
    colors = np.ones((len(pieces), 3, 4), np.float32)
    colors[:, :, :3] = np.minimum(tone * light[source, None], 1.0)[:, None]
    return pieces.reshape(-1, 3), colors.reshape(-1, 4)


def lit(corners: Floats32, up: Floats) -> Floats32:
    """Brightness (n,) of triangles (n, 3, 3), with up (3,) as they stand."""
    (ax, ay, az), (bx, by, bz) = ((corners[:, k] - corners[:, 0]).T for k in (1, 2))
    normals = np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=1)
    lengths = np.sqrt(np.einsum("nk,nk->n", normals, normals))
    lamps = np.array([strength * lamp for lamp, strength in LAMPS]) @ water_frame(up)
    lit = np.maximum(normals @ lamps.T.astype(np.float32), 0.0).sum(axis=1)
    return SHADE + lit / np.maximum(lengths, np.finfo(np.float32).tiny)


def see_through(hull: Hull) -> tuple[Floats32, Floats32]:
    """Corners (3 n, 3) in ship axes and colors (3 n, 4) of the triangles of the hull, drawn
    see-through; the same at every attitude."""
    corners = hull.vertices.astype(np.float32)[hull.triangles]
    colors = np.ones((len(corners), 3, 4), np.float32)
    light = lit(corners, np.array([0.0, 0.0, 1.0]))
    colors[:, :, :3] = np.minimum(TOPSIDES * light[:, None], 1.0)[:, None]
    colors[:, :, 3] = SHEER
    return corners.reshape(-1, 3), colors.reshape(-1, 4)


def parted(corners: Floats32, heights: Floats32) -> tuple[Floats32, NDArray[np.intp], Bools]:
    """Pieces (k, 3, 3) of triangles on either side of the water, their source and wetness (k,).

    `corners` (n, 3, 3) lie at `heights` (n, 3) above it.
    """
    above = heights > 0
    count = above.sum(axis=1)
    crossed = np.flatnonzero((count == 1) | (count == 2))
    whole = np.flatnonzero((count == 0) | (count == 3))
    lone = np.where(
        count[crossed] == 1, above[crossed].argmax(axis=1), above[crossed].argmin(axis=1)
    )
    tip, second, third = (corners[crossed, (lone + step) % 3] for step in range(3))
    high, *others = (heights[crossed, (lone + step) % 3] for step in range(3))
    on_second, on_third = (
        tip + (high / (high - other))[:, None] * (corner - tip)
        for corner, other in zip((second, third), others, strict=True)
    )
    tips = np.stack([tip, on_second, on_third], axis=1)
    rest = np.stack([on_second, second, third], axis=1)
    corner = np.stack([on_second, third, on_third], axis=1)
    return (
        np.concatenate([corners[whole], tips, rest, corner]),
        np.concatenate([whole, crossed, crossed, crossed]),
        np.concatenate([count[whole] == 0, count[crossed] == 2, *[count[crossed] == 1] * 2]),
    )
