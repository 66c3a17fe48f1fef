"""What is inside a vessel: compartments, the water and the liquids in them, as see-through bodies,
their names, and the flooding paths."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from functools import cached_property

import numpy as np

from ...core.arrays import Bools, Floats, Floats32, Ints
from ...core.buoyancy.attitude import Attitude, water_frame
from ...core.buoyancy.immersion import Immersion
from ...core.buoyancy.moment_tree import MomentTree, build_tree
from ...core.buoyancy.sections import plane_section
from ...core.compartments.leaks import downflooding_sill
from ...core.damage.flooding_result import FloodingResult
from ...core.geometry.half_edges import find_edges
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.model.compartment import Compartment, CompartmentPlan, Gap, Leak
from ...core.model.tanks import UPRIGHT_UP
from ...units.lengths import Lengths
from .floated_copy import parted
from .shapes import Drawing, Levels, Mark, Path, Tag, Tint, Tone, attitude_of
from .water_plane import regions

COLORS = 6
SHARP = np.cos(np.radians(25.0))
INSET, THINNEST = (
    3e-3,
    0.1,
)  # from the boundaries, in diagonals of the hull and in widths of the compartment
HATCHED = np.array([1.0, 0.35, 1.0]) / np.linalg.norm([1.0, 0.35, 1.0])
HATCHES, FEWEST = 14.0, 5.0  # strokes per breadth of the vessel, and fewest per compartment
REACH = 0.10  # from a gap to where its path begins outside, in diagonals of the hull
NO_LINES, NO_FACES = np.zeros((0, 2, 3)), np.zeros((0, 3, 3), np.float32)
APART = 1e-6  # of the greatest extent, by which boxes side by side may overlap


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


@dataclass(frozen=True, eq=False)
class CompartmentState:
    """What is to be shown inside a vessel: the compartments of a `plan`, the one `chosen`, and if
    wanted the `liquids` in the tanks and `names`.

    `floating` is its floating position, None where unknown. `levels` are those of the water in
    flooded compartments; None for an intact vessel.
    """

    plan: CompartmentPlan
    floating: FloatingPosition | None = None
    levels: Levels | None = None
    chosen: str = ""
    liquids: bool = True
    names: bool = True
    length_text: Lengths = Lengths()

    @property
    def attitude(self) -> Attitude:
        """The attitude; upright over the water where it is unknown."""
        return attitude_of(self.floating) if self.floating else Attitude(UPRIGHT_UP, -np.inf)

    def is_like(self, other: CompartmentState) -> bool:
        """Whether the other shows the same; results are compared by what they are."""
        results = self.plan is other.plan and self.floating is other.floating
        return results and all(
            getattr(self, part.name) == getattr(other, part.name)
            for part in fields(self)
            if part.name not in {"plan", "floating"}
        )


def flooded_to(flooded: FloodingResult) -> Levels:
    """The water levels in the compartments open to the sea: that of the sea."""
    level = attitude_of(flooded.floating).level
    return tuple((name, level) for name in flooded.compartments)


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


def cells(
    within: CompartmentState, compartments: tuple[CompartmentBody, ...]
) -> tuple[CompartmentBody, ...]:
    """The see-through bodies of a vessel of these `compartments`: all of them if it is intact, else
    their outlines and the water in them; and the liquids in the tanks where wanted."""
    shown = [*compartments]
    if within.levels is not None:
        lined = (compartment for compartment in compartments if len(compartment.outline))
        shown = [
            CompartmentBody(compartment.name, compartment.tint, NO_FACES, compartment.outline)
            for compartment in lined
        ]
        shown += _waters(compartments, dict(within.levels), within.attitude.up)
    if within.liquids and within.floating:
        wet = dict(within.levels or ())
        shown += (each for each in _liquids(within.floating) if each.name not in wet)
    return tuple(shown)


def _waters(
    compartments: tuple[CompartmentBody, ...], levels: dict[str, float], up: Floats
) -> Iterator[CompartmentBody]:
    for compartment in (compartment for compartment in compartments if compartment.name in levels):
        water = water_body(
            compartment.name, "flood", compartment.body, Attitude(up, levels[compartment.name])
        )
        if water:
            yield water


def _liquids(ship: FloatingPosition) -> Iterator[CompartmentBody]:
    up = attitude_of(ship).up
    for tank in ship.case.tanks:
        if tank.fill > 0:
            surface = Attitude(up, tank.liquid(up).level)
            liquid = water_body(tank.name, "content", tank.body, surface)
            if liquid:
                yield liquid


def back_to_front(boxes: Floats, eye: Floats) -> list[int]:
    """The order in which bodies in boxes (n, 2, 3) hide one another from an eye (4,): a place and
    1, or a direction towards it and 0.

    Of two boxes side by side that on the eye's side of every plane between them is drawn later.
    Those that overlap, or go round in a ring, follow how far their middles are off.
    """
    if not len(boxes):
        return []
    low, high = boxes[:, 0], boxes[:, 1]
    beside = low[None] - high[:, None] >= -APART * float(np.ptp(boxes, axis=(0, 1)).max())
    over = eye[:3] > eye[3] * high[:, None]
    beyond, before = (beside & over).any(axis=2), (beside & ~over).any(axis=2)
    parted = (beside | beside.transpose(1, 0, 2)).any(axis=2)
    hides = parted & ~(beyond | before.T)
    middles = boxes.mean(axis=1)
    away = np.linalg.norm(middles - eye[:3], axis=1) if eye[3] else -middles @ eye[:3]
    return _layered(hides, away)


def _layered(hides: Bools, away: Floats) -> list[int]:
    """Numbers from the farthest on, each after all those that it `hides` (n, n)."""
    waiting, before, order = np.ones(len(away), bool), hides.sum(axis=1), []
    while waiting.any():
        free = waiting & (before == before[waiting].min())
        chosen = int(np.where(free, away, -np.inf).argmax())
        waiting[chosen] = False
        before = before - hides[:, chosen]
        order.append(chosen)
    return order


def inner_drawing(within: CompartmentState) -> Drawing:
    """Names of compartments where they are, with their volumes, and the flooding paths into those
    not watertight: into the one chosen, or into all of them."""
    plan, attitude = within.plan, within.attitude
    tags = tuple(_tags(within)) if within.names else ()
    if within.levels is not None:
        return Drawing(attitude, tags=tags)
    chosen = [leak for leak in plan.leaks if leak.compartment == within.chosen]
    leaks = chosen or plan.leaks
    paths = tuple(leak_path(leak, plan) for leak in leaks)
    sills = [_sill_mark(leak, within) for leak in leaks] if within.floating else []
    marks = {(*sill.at, sill.letter): sill for sill in sills}
    return Drawing(attitude, marks=tuple(marks.values()), tags=tags, paths=paths)


def _tags(within: CompartmentState) -> Iterator[Tag]:
    breached, wet = within.levels is not None, dict(within.levels or ())
    for compartment in within.plan.compartments:
        chosen = compartment.name == within.chosen
        if breached and compartment.name not in wet:
            continue
        center, volume = _whole(compartment).buoyancy, compartment.volume
        if breached:
            water = compartment.body.below(Attitude(within.attitude.up, wet[compartment.name]))
            if not water.volume > 0:
                continue
            center, volume = water.buoyancy, compartment.permeability * water.volume
        leaks = () if compartment.watertight or breached else ("not watertight",)
        words = " · ".join((compartment.name, within.length_text.volume(volume), *leaks))
        tone: Tone = "plain" if compartment.watertight or breached else "warning"
        yield Tag(center, (words, " · ".join((compartment.name, *leaks))), tone, chosen)


def _sill_mark(leak: Leak, within: CompartmentState) -> Mark:
    """The mark of the sill over which water gets into a compartment."""
    place, height = downflooding_sill(leak, within.attitude)
    over = f"{within.length_text(height)} above water" if height > 0 else "under water"
    return Mark("flooding", place, f"sill {over}" if within.names else "")


def leak_path(leak: Leak, plan: CompartmentPlan) -> Path:
    """From outside through the middle of each gap into the compartment."""
    middles = [gap.edges.mean(axis=(0, 1)) for gap in leak.path]
    compartment = plan.compartment(leak.compartment)
    inmost = [_whole(compartment).buoyancy] if compartment else []
    points = np.array([*middles, *inmost])
    rims = np.concatenate([NO_LINES, *(gap.edges for gap in leak.path)])
    size = max((compartment.body.size for compartment in plan.compartments), default=0.0)
    outside = middles[0] + REACH * size * _outward(leak.path[0], points)
    return Path(np.array([outside, *points]), rims)


def _outward(gap: Gap, points: Floats) -> Floats:
    """Unit direction (3,) square to a gap, away from the next of the points (n, 3) of its path."""
    around = gap.edges.reshape(-1, 3) - points[0]
    square = np.linalg.svd(around)[2][-1]
    return square if (points[0] - points[1]) @ square >= 0 else -square


def deck_edge_under(ship: FloatingPosition) -> Floats:
    """The parts (k, 2, 3) of the deck edge that are under water."""
    attitude, edges = attitude_of(ship), ship.case.hull.deck_edge
    heights = attitude.heights(edges)
    under = heights.min(axis=1) < 0
    (start, end), (low, high) = edges[under].transpose(1, 0, 2), heights[under].T
    share = low / np.where(low == high, 1.0, low - high)
    crossed = (low > 0) != (high > 0)
    point = start + share[:, None] * (end - start)
    start = np.where((crossed & (low > 0))[:, None], point, start)
    end = np.where((crossed & (high > 0))[:, None], point, end)
    return np.stack([start, end], axis=1)


def _whole(compartment: Compartment) -> Immersion:
    return compartment.body.below(
        Attitude(UPRIGHT_UP, float(compartment.body.high[2]) + compartment.body.size)
    )


def _normals(corners: Floats) -> Floats:
    """Unit normals (n, 3) of triangles (n, 3, 3)."""
    return _unit(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]))


def _unit(vectors: Floats) -> Floats:
    lengths = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return vectors / np.maximum(lengths, np.finfo(float).tiny)
