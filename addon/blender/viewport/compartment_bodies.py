"""Compartments, and the water and liquids in them, as closed see-through bodies."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from ...core.arrays import Floats, Floats32, Ints
from ...core.buoyancy.attitude import Attitude, water_frame
from ...core.buoyancy.moment_tree import MomentTree, build_tree
from ...core.buoyancy.sections import plane_section
from ...core.geometry.half_edges import find_edges
from ...core.model.compartment import Compartment, CompartmentPlan
from .floated_copy import parted
from .shapes import Tint
from .water_plane import regions

COLORS = 6
SHARP = np.cos(np.radians(25.0))
INSET, THINNEST = (
    3e-3,
    0.1,
)  # from the boundaries, in diagonals of the hull and in widths of the compartment
HATCHED = np.array([1.0, 0.35, 1.0]) / np.linalg.norm([1.0, 0.35, 1.0])
HATCHES, FEWEST = 14.0, 5.0  # strokes per breadth of the vessel, and fewest per compartment
NO_LINES, NO_FACES = np.zeros((0, 2, 3)), np.zeros((0, 3, 3), np.float32)


@dataclass(frozen=True, eq=False)
class CompartmentBody:
    """A closed body that is seen through: `faces` (n, 3, 3) turned outward, an `outline` (k, 2, 3)
    and `hatching` (m, 2, 3) on it. `tint` is the number of a compartment's color, or what fills
    it."""

    name: str
    tint: Tint
    faces: Floats32
    outline: Floats
    hatching: Floats = field(default_factory=lambda: NO_LINES)

    @property
    def box(self) -> Floats:
        """Its lowest and its highest corner (2, 3)."""
        corners = np.concatenate([self.faces.reshape(-1, 3), self.outline.reshape(-1, 3)])
        return np.stack([corners.min(axis=0), corners.max(axis=0)])

    @cached_property
    def body(self) -> MomentTree:
        """Its surface, to be cut."""
        corners = self.faces.reshape(-1, 3).astype(np.float64)
        return build_tree(corners, np.arange(len(corners)).reshape(-1, 3))


def tints(plan: CompartmentPlan) -> tuple[int, ...]:
    """A color for each compartment by number, unlike those of the compartments beside it.

    Compartment by compartment the least used that no neighbor has; where they have all of them, the
    least used.
    """
    beside: dict[str, set[str]] = {compartment.name: set() for compartment in plan.compartments}
    for a, b in plan.neighbors:
        beside[a].add(b)
        beside[b].add(a)
    chosen: dict[str, int] = {}
    for compartment in plan.compartments:
        taken = {chosen[other] for other in beside[compartment.name] if other in chosen}
        used = [list(chosen.values()).count(color) for color in range(COLORS)]
        free = [color for color in range(COLORS) if color not in taken]
        chosen[compartment.name] = min(free or range(COLORS), key=lambda color: used[color])
    return tuple(chosen[compartment.name] for compartment in plan.compartments)


def compartment_bodies(plan: CompartmentPlan) -> tuple[CompartmentBody, ...]:
    """The compartments, each a little inside its boundaries; those not watertight are hatched."""
    if not plan.compartments:
        return ()
    low = np.min([compartment.body.low for compartment in plan.compartments], axis=0)
    high = np.max([compartment.body.high for compartment in plan.compartments], axis=0)
    spacing = float(high[1] - low[1]) / HATCHES
    by = INSET * float(np.linalg.norm(high - low))
    return tuple(
        _compartment_body(compartment, tint, by, spacing)
        for compartment, tint in zip(plan.compartments, tints(plan), strict=True)
    )


def _compartment_body(
    compartment: Compartment, tint: int, by: float, spacing: float
) -> CompartmentBody:
    width = 2 * compartment.volume / compartment.body.area
    within = inset(compartment.vertices, compartment.triangles, min(by, THINNEST * width))
    hatching = NO_LINES if compartment.watertight else hatches(compartment.body, spacing)
    outline = within[sharp_edges(compartment.vertices, compartment.triangles)]
    return CompartmentBody(
        compartment.name, tint, within[compartment.triangles].astype(np.float32), outline, hatching
    )


def inset(vertices: Floats, triangles: Ints, by: float) -> Floats:
    """Vertices (n, 3) of a closed surface moved inward by so much along the mean of its normals
    round each, weighted by the angles."""
    corners = vertices[triangles]
    ahead = np.roll(corners, -1, axis=1) - corners
    back = np.roll(corners, 1, axis=1) - corners
    lengths = np.linalg.norm(ahead, axis=2) * np.linalg.norm(back, axis=2)
    cosine = np.einsum("nck,nck->nc", ahead, back) / np.maximum(lengths, np.finfo(float).tiny)
    angles = np.arccos(np.clip(cosine, -1.0, 1.0))
    normals = np.zeros_like(vertices)
    np.add.at(normals, triangles, angles[..., None] * _normals(corners)[:, None])
    return vertices - by * _unit(normals)


def sharp_edges(vertices: Floats, triangles: Ints) -> Ints:
    """Edges (k, 2), as pairs of vertices, at which a surface turns by more than a bend."""
    edges, normals = find_edges(triangles), _normals(vertices[triangles])
    first, last = (edges.order[edges.first + step] // 3 for step in (0, edges.count - 1))
    turned = np.einsum("ek,ek->e", normals[first], normals[last]) < SHARP
    return edges.ends[turned | (edges.count != 2)]


def hatches(body: MomentTree, spacing: float) -> Floats:
    """Strokes (k, 2, 3) on a surface, slanting and so far apart, or closer in a small
    compartment."""
    low, high = body.span(HATCHED)
    spacing = min(spacing, (high - low) / FEWEST)
    levels = np.arange(np.floor(low / spacing) + 1, np.ceil(high / spacing)) * spacing
    return np.concatenate(
        [NO_LINES, *(plane_section(body, HATCHED, float(level)) for level in levels)]
    )


def water_body(
    name: str, tint: Tint, body: MomentTree, attitude: Attitude
) -> CompartmentBody | None:
    """What lies in a body below a plane, under a level surface; None where nothing does."""
    faces = body.faces()
    heights = attitude.heights(faces).astype(np.float32)
    pieces, _, wet = parted(faces.astype(np.float32), heights)
    if not wet.any():
        return None
    line = plane_section(body, attitude.up, attitude.level)
    across = water_frame(attitude.up)[:2]
    flat = line @ across.T
    surface = NO_FACES
    if len(line):
        low, high = flat.min(axis=(0, 1)), flat.max(axis=(0, 1))
        level = regions(flat, low, high)[1] @ across + attitude.level * attitude.up
        surface = level.astype(np.float32)
    return CompartmentBody(name, tint, np.concatenate([pieces[wet], surface]), line)


def _normals(corners: Floats) -> Floats:
    """Unit normals (n, 3) of triangles (n, 3, 3)."""
    return _unit(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]))


def _unit(vectors: Floats) -> Floats:
    lengths = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return vectors / np.maximum(lengths, np.finfo(float).tiny)
