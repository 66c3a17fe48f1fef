"""What is inside a ship: her rooms, the water and the liquids in them, as bodies that are seen
through, their names, and the ways by which water gets in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ...core.buoyancy.attitude import Attitude, water_frame
from ...core.buoyancy.immersion import Immersion
from ...core.buoyancy.moment_tree import MomentTree, build_tree
from ...core.buoyancy.sections import cut
from ...core.compartments.leaks import first_water
from ...core.damage.flooding import Flooded
from ...core.geometry.half_edges import find_edges
from ...core.hydrostatics.floating_position import Floating
from ...core.model.compartment import Division, Gap, Leak, Room
from ...core.model.tanks import UPRIGHT
from ...units.lengths import Lengths
from .floated_copy import parted
from .shapes import Drawing, Levels, Mark, Path, Tag, Tint, Tone, attitude_of
from .water_plane import regions

Array = NDArray[np.float64]
Floats = NDArray[np.float32]
Ints = NDArray[np.int64]

COLOURS = 6
SHARP = np.cos(np.radians(25.0))
INSET, THINNEST = 3e-3, 0.1  # from the walls, in diagonals of the hull and in widths of the room
HATCHED = np.array([1.0, 0.35, 1.0]) / np.linalg.norm([1.0, 0.35, 1.0])
HATCHES, FEWEST = 14.0, 5.0  # strokes in a breadth of the ship, and least in a room
REACH = 0.10  # from a gap to where its path begins outside, in diagonals of the hull
NO_LINES, NO_FACES = np.zeros((0, 2, 3)), np.zeros((0, 3, 3), np.float32)
APART = 1e-6  # of the greatest extent, by which boxes side by side may overlap


@dataclass(frozen=True, eq=False)
class Cell:
    """A closed body that is seen through: `faces` (n, 3, 3) turned outward, an `outline` (k, 2, 3)
    and `hatching` (m, 2, 3) on it. `tint` is the number of a room's colour, or what fills it."""

    name: str
    tint: Tint
    faces: Floats
    outline: Array
    hatching: Array = field(default_factory=lambda: NO_LINES)

    @property
    def box(self) -> Array:
        """Its lowest and its highest corner (2, 3)."""
        corners = np.concatenate([self.faces.reshape(-1, 3), self.outline.reshape(-1, 3)])
        return np.stack([corners.min(axis=0), corners.max(axis=0)])

    @cached_property
    def body(self) -> MomentTree:
        """Its surface, to be cut."""
        corners = self.faces.reshape(-1, 3).astype(np.float64)
        return build_tree(corners, np.arange(len(corners)).reshape(-1, 3))


@dataclass(frozen=True, eq=False)
class Within:
    """What is to be shown within a ship: the rooms of a `division`, the one `chosen`, and if wanted
    the `liquids` in her tanks and `names`.

    `floating` is how she lies, None where that is not known. Of a holed ship `levels` are those of
    the water in the rooms that it has got into; None of one that is whole.
    """

    division: Division
    floating: Floating | None = None
    levels: Levels | None = None
    chosen: str = ""
    liquids: bool = True
    names: bool = True
    length_text: Lengths = Lengths()

    @property
    def attitude(self) -> Attitude:
        """How she lies; upright over the water where that is not known."""
        return attitude_of(self.floating) if self.floating else Attitude(UPRIGHT, -np.inf)

    def is_like(self, other: Within) -> bool:
        """Whether the other shows the same; results are compared by what they are."""
        results = self.division is other.division and self.floating is other.floating
        return results and all(
            getattr(self, part.name) == getattr(other, part.name)
            for part in fields(self)
            if part.name not in {"division", "floating"}
        )


def flooded_to(flooded: Flooded) -> Levels:
    """The water in the rooms of a ship that are open to the sea: as high as the sea."""
    level = attitude_of(flooded.floating).level
    return tuple((name, level) for name in flooded.rooms)


def tints(division: Division) -> tuple[int, ...]:
    """A colour for each room by number, unlike those of the rooms beside it.

    Room by room the least used that no neighbour has; where they have all of them, the least
    used.
    """
    beside: dict[str, set[str]] = {room.name: set() for room in division.rooms}
    for a, b in division.neighbours:
        beside[a].add(b)
        beside[b].add(a)
    chosen: dict[str, int] = {}
    for room in division.rooms:
        taken = {chosen[other] for other in beside[room.name] if other in chosen}
        used = [list(chosen.values()).count(colour) for colour in range(COLOURS)]
        free = [colour for colour in range(COLOURS) if colour not in taken]
        chosen[room.name] = min(free or range(COLOURS), key=lambda colour: used[colour])
    return tuple(chosen[room.name] for room in division.rooms)


def room_cells(division: Division) -> tuple[Cell, ...]:
    """Her rooms, each a little within its walls; those that leak are hatched."""
    if not division.rooms:
        return ()
    low = np.min([room.body.low for room in division.rooms], axis=0)
    high = np.max([room.body.high for room in division.rooms], axis=0)
    spacing = float(high[1] - low[1]) / HATCHES
    by = INSET * float(np.linalg.norm(high - low))
    return tuple(
        _room_cell(room, tint, by, spacing)
        for room, tint in zip(division.rooms, tints(division), strict=True)
    )


def _room_cell(room: Room, tint: int, by: float, spacing: float) -> Cell:
    width = 2 * room.volume / room.body.area
    within = inset(room.vertices, room.triangles, min(by, THINNEST * width))
    hatching = NO_LINES if room.sealed else hatches(room.body, spacing)
    outline = within[sharp_edges(room.vertices, room.triangles)]
    return Cell(room.name, tint, within[room.triangles].astype(np.float32), outline, hatching)


def inset(vertices: Array, triangles: Ints, by: float) -> Array:
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


def sharp_edges(vertices: Array, triangles: Ints) -> Ints:
    """Edges (k, 2), as pairs of vertices, at which a surface turns by more than a bend."""
    edges, normals = find_edges(triangles), _normals(vertices[triangles])
    first, last = (edges.order[edges.first + step] // 3 for step in (0, edges.count - 1))
    turned = np.einsum("ek,ek->e", normals[first], normals[last]) < SHARP
    return edges.ends[turned | (edges.count != 2)]


def hatches(body: MomentTree, spacing: float) -> Array:
    """Strokes (k, 2, 3) on a surface, slanting and so far apart, or closer in a small room."""
    low, high = body.span(HATCHED)
    spacing = min(spacing, (high - low) / FEWEST)
    levels = np.arange(np.floor(low / spacing) + 1, np.ceil(high / spacing)) * spacing
    return np.concatenate([NO_LINES, *(cut(body, HATCHED, float(level)) for level in levels)])


def water_cell(name: str, tint: Tint, body: MomentTree, attitude: Attitude) -> Cell | None:
    """What lies in a body below a plane, under a level surface; None where nothing does."""
    faces = body.faces()
    heights = attitude.heights(faces).astype(np.float32)
    pieces, _, wet = parted(faces.astype(np.float32), heights)
    if not wet.any():
        return None
    line = cut(body, attitude.up, attitude.level)
    across = water_frame(attitude.up)[:2]
    flat = line @ across.T
    surface = NO_FACES
    if len(line):
        low, high = flat.min(axis=(0, 1)), flat.max(axis=(0, 1))
        level = regions(flat, low, high)[1] @ across + attitude.level * attitude.up
        surface = level.astype(np.float32)
    return Cell(name, tint, np.concatenate([pieces[wet], surface]), line)


def cells(within: Within, rooms: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """What is seen through in a ship of these `rooms`: all of them while she is whole, else their
    outlines and the water in them; and the liquids in her tanks where they are wanted."""
    shown = [*rooms]
    if within.levels is not None:
        lined = (room for room in rooms if len(room.outline))
        shown = [Cell(room.name, room.tint, NO_FACES, room.outline) for room in lined]
        shown += _waters(rooms, dict(within.levels), within.attitude.up)
    if within.liquids and within.floating:
        wet = dict(within.levels or ())
        shown += (each for each in _liquids(within.floating) if each.name not in wet)
    return tuple(shown)


def _waters(rooms: tuple[Cell, ...], levels: dict[str, float], up: Array) -> Iterator[Cell]:
    for room in (room for room in rooms if room.name in levels):
        water = water_cell(room.name, "flood", room.body, Attitude(up, levels[room.name]))
        if water:
            yield water


def _liquids(ship: Floating) -> Iterator[Cell]:
    up = attitude_of(ship).up
    for tank in ship.case.tanks:
        if tank.fill > 0:
            surface = Attitude(up, tank.liquid(up).level)
            liquid = water_cell(tank.name, "content", tank.body, surface)
            if liquid:
                yield liquid


def back_to_front(boxes: Array, eye: Array) -> list[int]:
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


def _layered(hides: NDArray[np.bool_], away: Array) -> list[int]:
    """Numbers from the farthest on, each after all those that it `hides` (n, n)."""
    waiting, before, order = np.ones(len(away), bool), hides.sum(axis=1), []
    while waiting.any():
        free = waiting & (before == before[waiting].min())
        chosen = int(np.where(free, away, -np.inf).argmax())
        waiting[chosen] = False
        before = before - hides[:, chosen]
        order.append(chosen)
    return order


def inner_drawing(within: Within) -> Drawing:
    """Names of rooms where they are, with what they hold, and how water gets into those that
    leak: into the one chosen, or into all of them."""
    division, attitude = within.division, within.attitude
    tags = tuple(_tags(within)) if within.names else ()
    if within.levels is not None:
        return Drawing(attitude, tags=tags)
    chosen = [leak for leak in division.leaks if leak.room == within.chosen]
    leaks = chosen or division.leaks
    paths = tuple(leak_path(leak, division) for leak in leaks)
    ways = [_way_in(leak, within) for leak in leaks] if within.floating else []
    marks = {(*way.at, way.letter): way for way in ways}
    return Drawing(attitude, marks=tuple(marks.values()), tags=tags, paths=paths)


def _tags(within: Within) -> Iterator[Tag]:
    holed, wet = within.levels is not None, dict(within.levels or ())
    for room in within.division.rooms:
        chosen = room.name == within.chosen
        if holed and room.name not in wet:
            continue
        centre, volume = _whole(room).buoyancy, room.volume
        if holed:
            water = room.body.below(Attitude(within.attitude.up, wet[room.name]))
            if not water.volume > 0:
                continue
            centre, volume = water.buoyancy, room.permeability * water.volume
        leaks = () if room.sealed or holed else ("leaks",)
        words = " · ".join((room.name, within.length_text.volume(volume), *leaks))
        tone: Tone = "plain" if room.sealed or holed else "warning"
        yield Tag(centre, (words, " · ".join((room.name, *leaks))), tone, chosen)


def _way_in(leak: Leak, within: Within) -> Mark:
    """The sill that water must rise over before it gets into a room."""
    place, height = first_water(leak, within.attitude)
    over = f"{within.length_text(height)} above water" if height > 0 else "under water"
    return Mark("flooding", place, f"way in, {over}" if within.names else "")


def leak_path(leak: Leak, division: Division) -> Path:
    """From outside through the middle of each gap into the room."""
    middles = [gap.edges.mean(axis=(0, 1)) for gap in leak.path]
    room = division.room(leak.room)
    inmost = [_whole(room).buoyancy] if room else []
    points = np.array([*middles, *inmost])
    rims = np.concatenate([NO_LINES, *(gap.edges for gap in leak.path)])
    size = max((room.body.size for room in division.rooms), default=0.0)
    outside = middles[0] + REACH * size * _outward(leak.path[0], points)
    return Path(np.array([outside, *points]), rims)


def _outward(gap: Gap, points: Array) -> Array:
    """Unit direction (3,) square to a gap, away from the next of the points (n, 3) of its path."""
    around = gap.edges.reshape(-1, 3) - points[0]
    square = np.linalg.svd(around)[2][-1]
    return square if (points[0] - points[1]) @ square >= 0 else -square


def deck_edge_under(ship: Floating) -> Array:
    """The parts (k, 2, 3) of her deck edge that are under water."""
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


def _whole(room: Room) -> Immersion:
    return room.body.below(Attitude(UPRIGHT, float(room.body.high[2]) + room.body.size))


def _normals(corners: Array) -> Array:
    """Unit normals (n, 3) of triangles (n, 3, 3)."""
    return _unit(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]))


def _unit(vectors: Array) -> Array:
    lengths = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return vectors / np.maximum(lengths, np.finfo(float).tiny)
