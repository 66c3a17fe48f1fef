"""From a mesh as people model it to the closed surface that keeps the water out.

Vertices that coincide are welded, slivers give way to their neighbours, free edges that run
in loops are closed with lids, and the faces with the outside on just one side are kept,
turned outward. Inner walls, loose sheets and bodies wholly inside others displace nothing
and are left out. Everything done is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .crossings import crossing_faces
from .findings import BadInputError, Finding, counted
from .sides import Edges, connected, find_edges, joining, space_labels
from .triangles import area_vectors, areas, by_axis, lengths, volumes
from .winding import is_inside

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

WELD = 1e-6
SLIT = 1e-5
THIN = 0.1
PROBES = 24
PROBED_PAIRS = 1 << 20
MOST_PASSES = 1000
LEAST_HOLD = 0.01
DETOUR = 10.0
FOLD = -float(np.cos(np.radians(20.0)))
ASKEW = np.sqrt([1 / 6, 2 / 6, 3 / 6])  # a direction that no model has a reason to follow


@dataclass(frozen=True)
class Mesh:
    """A triangulated mesh: vertices (n, 3) m, triangles (m, 3), and the face of each (m,)."""

    name: str
    vertices: Array
    triangles: Ints
    faces: Ints

    @cached_property
    def size(self) -> float:
        """Diagonal of the bounding box of the faces (m)."""
        return float(np.linalg.norm(np.ptp(_in_use(self.vertices, self.triangles)[0], axis=0)))

    @property
    def touch(self) -> float:
        """Distance (m) within which vertices are one and faces lie on each other."""
        return WELD * self.size


@dataclass(frozen=True)
class Skin:
    """Triangles (m, 3) and the triangle of the mesh that each came from (m,), -1 for a lid."""

    vertices: Array
    triangles: Ints
    source: Ints


@dataclass(frozen=True)
class Loop:
    """Edges, connected and as often into a vertex as out of it, to be closed by a lid.

    Their vertices (k, 2), those in the mesh as given (k, 2), and where they are (k, 2, 3); a
    crack leaves no opening between its edges.
    """

    ends: Ints
    given: Ints
    points: Array
    is_crack: bool


@dataclass(frozen=True)
class Spaces:
    """Number (m,) of the space before and of that behind each triangle; of each space, its
    volume (m3, negative outside), and whether it is an outside or a room."""

    front: Ints
    back: Ints
    volume: Array
    outer: NDArray[np.bool_]
    room: NDArray[np.bool_]

    @property
    def enclosed(self) -> float:
        """Volume (m3) shut off from the outside."""
        return -float(self.volume[self.outer].sum())


@dataclass(frozen=True)
class Envelope:
    """Closed outward surface. The last `lids` triangles close the open edges.

    `rims` holds the edges (k, 2, 3) round each opening; `source` (m,) is the triangle of the
    mesh that each one came from (-1 for a lid).
    """

    vertices: Array
    triangles: Ints
    lids: int
    source: Ints
    rims: tuple[Array, ...]
    parts: int
    findings: tuple[Finding, ...]


def triangulate(name: str, vertices: Array, polygons: tuple[tuple[int, ...], ...]) -> Mesh:
    """Mesh from polygons, k - 2 triangles each: a fan from the first corner, or where that
    leaves a flat polygon, as it does a concave one, what cutting off its ears gives."""
    points = np.asarray(vertices, dtype=np.float64).reshape(-1, 3)
    triangles = np.array(
        [(face[0], face[i], face[i + 1]) for face in polygons for i in range(1, len(face) - 1)],
        dtype=np.int64,
    ).reshape(-1, 3)
    sizes = [max(len(face) - 2, 0) for face in polygons]
    faces = np.repeat(np.arange(len(polygons)), sizes)
    starts = np.cumsum([0, *sizes])
    for face in _folded(points, triangles, faces):
        corners = np.array(polygons[face])
        triangles[starts[face] : starts[face + 1]] = corners[_ears(points[corners])]
    return Mesh(name, points, triangles, faces)


def _folded(points: Array, triangles: Ints, faces: Ints) -> Ints:
    """Faces one of whose triangles looks the other way or has next to no area."""
    sound = triangles.size and triangles.min() >= 0 and triangles.max() < len(points)
    if not (sound and np.isfinite(points).all()):
        return np.zeros(0, np.int64)
    vectors = area_vectors(by_axis(points, triangles))
    whole = np.array([np.bincount(faces, axis)[faces] for axis in vectors])
    return np.unique(faces[(vectors * whole).sum(axis=0) <= WELD * (whole**2).sum(axis=0)])


def _ears(points: Array) -> Ints:
    """Triangles (k - 2, 3) that fill a flat polygon (k, 3): its ears, the shortest cut first.

    A polygon without an ear, which crosses itself, is left a fan.
    """
    local = points - points.mean(axis=0)
    normal = np.cross(local, np.roll(local, -1, axis=0)).sum(axis=0)
    drop = int(np.abs(normal).argmax())
    flat = np.delete(local, drop, axis=1) * [1.0, 1.0 if (normal[drop] > 0) ^ (drop == 1) else -1.0]
    slack = WELD * float(np.linalg.norm(np.ptp(flat, axis=0)))
    ring, ears = np.arange(len(points)), []
    while len(ring) > 3:
        cuts = np.linalg.norm(flat[np.roll(ring, -1)] - flat[np.roll(ring, 1)], axis=1)
        rolled = (np.roll(ring, 1 - corner) for corner in np.argsort(cuts, kind="stable"))
        ahead = next((order for order in rolled if _is_ear(flat[order], slack)), None)
        if ahead is None:
            break
        ears.append(ahead[:3])
        ring = np.delete(ring, np.flatnonzero(ring == ahead[1]))
    fan = [(ring[0], ring[i], ring[i + 1]) for i in range(1, len(ring) - 1)]
    return np.array([*ears, *fan])


def _is_ear(points: Array, slack: float) -> bool:
    """Whether the first three of points (k, 2) make a triangle in the polygon they run round."""
    corners = points[:3]
    along = np.roll(corners, -1, axis=0) - corners
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), np.finfo(float).tiny)
    away = points[:, None] - corners
    left = along[:, 0] * away[..., 1] - along[:, 1] * away[..., 0]
    heights = left[[2, 0, 1], [0, 1, 2]]
    touched = (left[3:] > -slack).all(axis=1)
    apart = (np.linalg.norm(away[3:], axis=2) > slack).all(axis=1)
    return bool(heights.min() > slack and not (touched & apart).any())


def mirrored(mesh: Mesh) -> Mesh:
    """Whole hull from half of one, mirrored about the plane y = 0.

    Faces that lie in the plane are dropped. Raises BadInputError for a mesh on both sides.
    """
    check_mesh(mesh)
    vertices = mesh.vertices.copy()
    side = vertices[:, 1]
    low, high = side[mesh.triangles].min(), side[mesh.triangles].max()
    if low < -mesh.touch and high > mesh.touch:
        raise BadInputError(
            f"{mesh.name}: a half hull must lie on one side of the mirror plane, "
            f"but it reaches from y = {low:.4g} to {high:.4g} m"
        )
    side[np.abs(side) <= mesh.touch] = 0.0
    kept = (side[mesh.triangles] != 0.0).any(axis=1)
    triangles, faces = mesh.triangles[kept], mesh.faces[kept]
    twin = np.where(side == 0.0, np.arange(len(side)), np.arange(len(side)) + len(side))
    return Mesh(
        mesh.name,
        np.concatenate([vertices, vertices * np.array([1.0, -1.0, 1.0])]),
        np.concatenate([triangles, twin[triangles][:, ::-1]]),
        np.concatenate([faces, faces]),
    )


def find_envelope(mesh: Mesh) -> Envelope:
    """The closed surface of a mesh. Raises BadInputError when there is none."""
    check_mesh(mesh)
    findings: list[Finding] = []
    skin = _weld(mesh, findings)
    skin, loops, spaces = _close(mesh, skin, findings)
    skin, part_of = _outside(mesh, skin, spaces, findings)
    kept = _displacing(mesh, skin, part_of, findings)
    skin = Skin(skin.vertices, skin.triangles[kept], skin.source[kept])
    vertices, rims = _find_rims(skin, loops, findings)
    vertices, triangles = _in_use(vertices, skin.triangles)
    _seek_crossings(mesh, vertices, triangles, skin.source, findings)
    _warn_of_thin_shell(vertices, triangles, findings)
    order = np.argsort(skin.source < 0, kind="stable")
    return Envelope(
        vertices,
        triangles[order],
        int((skin.source < 0).sum()),
        skin.source[order],
        rims,
        len(np.unique(part_of[kept])),
        tuple(findings),
    )


def check_mesh(mesh: Mesh) -> None:
    """Raises BadInputError for a mesh without faces, with unusable numbers, or without extent."""
    if not len(mesh.triangles):
        raise BadInputError(f"{mesh.name}: the mesh has no faces; model or choose a hull surface")
    if not np.isfinite(mesh.vertices).all():
        bad = np.flatnonzero(~np.isfinite(mesh.vertices).all(axis=1))
        raise BadInputError(
            f"{mesh.name}: {counted(len(bad), 'vertex', 'vertices')} with a coordinate that is "
            f"not a number, first vertex {bad[0]}; delete or move it"
        )
    extent = np.ptp(_in_use(mesh.vertices, mesh.triangles)[0], axis=0)
    if extent.min() <= WELD * max(extent.max(), np.finfo(float).tiny):
        axis = "xyz"[int(extent.argmin())]
        raise BadInputError(
            f"{mesh.name}: the mesh is flat, with no extent along {axis}; "
            "a hull needs length, breadth and depth"
        )


def _weld(mesh: Mesh, findings: list[Finding]) -> Skin:
    """Vertices, those that coincide made one; triangles without collapsed and double ones."""
    used = np.flatnonzero(np.bincount(mesh.triangles.ravel()))
    merged = np.arange(len(mesh.vertices))
    merged[used] = used[_first_alike(mesh.vertices[used], mesh.touch)]
    double = used[merged[used] != used]
    if double.size:
        findings.append(
            Finding(
                "note",
                "double-vertices",
                f"{counted(double.size, 'double vertex', 'double vertices')} taken as one",
                "vertex",
                double,
                mesh.vertices[double],
            )
        )
    triangles = merged[mesh.triangles]
    a, b, c = triangles.T
    collapsed = (a == b) | (b == c) | (c == a)
    flat = collapsed | _is_sliver(mesh.vertices, triangles, mesh.touch)
    _tell_faces(
        mesh,
        findings,
        "degenerate-faces",
        np.flatnonzero(np.bincount(mesh.faces, ~flat)[mesh.faces] == 0),
        "{} without area; dissolve or delete",
        severity="note",
    )
    kept = np.flatnonzero(~collapsed)
    if flat.all():
        raise BadInputError(f"{mesh.name}: no face of the mesh has any area")
    first = _distinct(np.sort(triangles[kept], axis=1))
    repeated = np.ones(len(kept), bool)
    repeated[first] = False
    _tell_faces(
        mesh,
        findings,
        "double-faces",
        kept[repeated],
        "{} on top of another, counted once",
        severity="note",
    )
    kept = kept[~repeated]
    return Skin(*_in_use(mesh.vertices, triangles[kept]), kept)


def _first_alike(points: Array, touch: float) -> Ints:
    """Index of the first of the points (n, 3) at the same place as each.

    Every cluster of points less than `touch` apart is one place.
    """
    along = (points - points.min(axis=0)) @ ASKEW
    order = np.argsort(along, kind="stable")
    along, points = along[order], points[order]
    pairs = [np.zeros((2, 0), np.int64)]
    alone, step = np.arange(len(points)), 1
    while alone.size:
        alone = alone[alone < len(points) - step]
        alone = alone[along[alone + step] - along[alone] <= touch]
        near = np.linalg.norm(points[alone + step] - points[alone], axis=1) <= touch
        pairs.append(order[np.stack([alone[near], alone[near] + step])])
        alone, step = alone[~near], step + 1
    place = connected(len(points), *np.concatenate(pairs, axis=1))
    return np.unique(place, return_index=True)[1][place]


def _distinct(rows: Ints) -> Ints:
    """First index of each distinct row of (n, 3) whole numbers >= 0."""
    if rows.max() < 1 << 21:
        packed = (rows[:, 0] << 42) | (rows[:, 1] << 21) | rows[:, 2]
        return np.unique(packed, return_index=True)[1]
    return np.unique(rows, axis=0, return_index=True)[1]


def _close(mesh: Mesh, skin: Skin, findings: list[Finding]) -> tuple[Skin, list[Loop], Spaces]:
    """The skin with its openings closed, the loops closed, and the spaces there are then.

    Free edges that run in no loop, as where a deck with a bulkhead below it ends an opening,
    are closed with what joins their ends, if their sheet then holds something; the others are
    told.
    """
    loops, loose = _free_loops(mesh, skin)
    closed = _with_lids(skin, loops, mesh.touch)
    spaces = _spaces(closed, mesh.touch)
    if loose.size:
        sheet = _sheets(skin.triangles)
        tried = _with_lids(skin, [*loops, *_joined_loops(mesh, skin, sheet, loose)], mesh.touch)
        filled = np.searchsorted(skin.source, _filled(tried, mesh.touch))
        held = np.isin(sheet[loose // 3], sheet[filled])
        more = [*loops, *_joined_loops(mesh, skin, sheet, loose[held])]
        fuller = _with_lids(skin, more, mesh.touch)
        there = _spaces(fuller, mesh.touch)
        if there.enclosed > spaces.enclosed:
            closed, loops, spaces, loose = fuller, more, there, loose[~held]
    if loose.size:
        findings.append(
            Finding(
                "warning",
                "loose-edges",
                f"{counted(len(loose), 'free edge')} of faces that stick out of the surface "
                "or hang in it; they displace nothing",
                "edge",
                _given(mesh, skin, loose),
                skin.vertices[_ends(skin.triangles, loose)].mean(axis=1),
            )
        )
    return closed, loops, spaces


def _free_loops(mesh: Mesh, skin: Skin) -> tuple[list[Loop], Ints]:
    """The loops that free edges run in, and the free half edges that run in none."""
    edges = find_edges(skin.triangles)
    halves = edges.order[edges.first[edges.count == 1]]
    names, ends = np.unique(_ends(skin.triangles, halves), return_inverse=True)
    ends = ends.reshape(-1, 2)
    looping = np.ones(len(halves), bool)
    while True:
        single = np.bincount(ends[looping].ravel(), minlength=len(names)) == 1
        dangling = looping & single[ends].any(axis=1)
        if not dangling.any():
            break
        looping &= ~dangling
    return _loops(mesh, skin, halves[looping]), halves[~looping]


def _loops(mesh: Mesh, skin: Skin, halves: Ints) -> list[Loop]:
    """Half edges in loops, one for each connected set."""
    if not halves.size:
        return []
    ends = _ends(skin.triangles, halves)
    names, place = np.unique(ends, return_inverse=True)
    place = place.reshape(-1, 2)
    label = connected(len(names), *place.T)[place[:, 0]]
    order = np.argsort(label, kind="stable")
    loops = []
    for here in np.split(order, np.flatnonzero(np.diff(label[order])) + 1):
        points = skin.vertices[ends[here]]
        length = float(np.linalg.norm(points[:, 1] - points[:, 0], axis=1).sum())
        crack = _opening(points) <= SLIT * mesh.size * length
        loops.append(Loop(ends[here], _given(mesh, skin, halves[here]), points, crack))
    return loops


def _ends(triangles: Ints, halves: Ints) -> Ints:
    """Vertices (k, 2) from and to which half edges (k,) run."""
    return np.stack([triangles[halves // 3, (halves + step) % 3] for step in (0, 1)], axis=1)


def _given(mesh: Mesh, skin: Skin, halves: Ints) -> Ints:
    """Vertices (k, 2) of half edges (k,) in the mesh as given."""
    return _ends(mesh.triangles, 3 * skin.source[halves // 3] + halves % 3)


def _sheets(triangles: Ints) -> Ints:
    """Number of the sheet of each triangle: faces joined at edges that no third face shares."""
    edges = find_edges(triangles)
    first = edges.first[edges.count == 2]
    return connected(len(triangles), edges.order[first] // 3, edges.order[first + 1] // 3)


def _joined_loops(mesh: Mesh, skin: Skin, sheet: Ints, loose: Ints) -> list[Loop]:
    """Loops of free half edges and of what joins their ends, two and two, the nearest first:
    the shortest way along folds and edges of three faces or more, not across their own sheets.
    """
    edges = find_edges(skin.triangles)
    halves = edges.order[edges.first]
    passable = ~np.isin(halves, loose) & ((edges.count != 2) | _is_fold(skin, edges))
    own = np.isin(sheet[halves // 3], sheet[loose // 3]) & (edges.count == 2)
    spans = np.linalg.norm(np.diff(skin.vertices[edges.ends], axis=1)[:, 0], axis=1)
    spans[own] *= DETOUR
    vertex, times = np.unique(_ends(skin.triangles, loose), return_counts=True)
    tips = vertex[times == 1].tolist()
    joints = halves[passable][joining(tips, edges.ends[passable], spans[passable])]
    return _loops(mesh, skin, np.concatenate([loose, joints]))


def _is_fold(skin: Skin, edges: Edges) -> NDArray[np.bool_]:
    """Which edges are those of just two faces that do not go on nearly straight."""
    start, end = skin.vertices[edges.ends.T]
    along = (end - start) / np.linalg.norm(end - start, axis=1, keepdims=True)
    ways = []
    for half in (edges.order[edges.first], edges.order[edges.first + edges.count - 1]):
        way = skin.vertices[skin.triangles[half // 3, (half % 3 + 2) % 3]] - start
        way = way - (way * along).sum(axis=1, keepdims=True) * along
        long = np.linalg.norm(way, axis=1, keepdims=True)
        ways.append(way / np.maximum(long, np.finfo(float).tiny))
    bent: NDArray[np.bool_] = (ways[0] * ways[1]).sum(axis=1) > FOLD
    return bent & (edges.count == 2)


def _filled(skin: Skin, touch: float) -> Ints:
    """The triangles of the mesh between the outside and a space that counts."""
    spaces = _spaces(skin, touch)
    wet_front, wet_back = spaces.outer[spaces.front], spaces.outer[spaces.back]
    inner = spaces.volume[np.where(wet_front, spaces.back, spaces.front)]
    least = LEAST_HOLD * np.ptp(skin.vertices, axis=0).prod()
    return np.unique(skin.source[(skin.source >= 0) & (wet_front != wet_back) & (inner > least)])


def _spaces(skin: Skin, touch: float) -> Spaces:
    """The spaces that the triangles bound; one thinner than `touch` is neither room nor outside."""
    labels = space_labels(skin.vertices, skin.triangles, find_edges(skin.triangles), touch)
    front, back = labels.T
    count = int(labels.max()) + 1
    tetrahedra = volumes(skin.vertices, skin.triangles)
    surface = areas(skin.vertices, skin.triangles)
    behind, before = (np.bincount(side, tetrahedra, count) for side in (back, front))
    volume = np.asarray(behind - before, dtype=np.float64)
    least = touch * (np.bincount(back, surface, count) + np.bincount(front, surface, count))
    return Spaces(front, back, volume, volume < -least, volume > least)


def _with_lids(skin: Skin, loops: list[Loop], touch: float) -> Skin:
    """The skin with a fan over every loop and without slivers, those over cracks among them.

    The tips of the fans are the last vertices.
    """
    triangles, reach = [skin.triangles], [np.full(len(skin.triangles), touch)]
    tips = np.array([_middle(loop.points) for loop in loops]).reshape(-1, 3)
    for tip, loop in enumerate(loops, len(skin.vertices)):
        away = np.linalg.norm(loop.points - _middle(loop.points), axis=2)
        if away.min() <= touch:
            tip = int(loop.ends.flat[away.argmin()])
        fan = loop.ends[(loop.ends != tip).all(axis=1)]
        triangles.append(np.insert(fan[:, ::-1], 2, tip, axis=1))
        reach.append(np.full(len(fan), np.inf if loop.is_crack else touch))
    source = np.concatenate([skin.source, np.full(sum(map(len, triangles[1:])), -1)])
    closed = Skin(np.concatenate([skin.vertices, tips]), np.concatenate(triangles), source)
    return _without_slivers(closed, np.concatenate(reach))


def _is_sliver(vertices: Array, triangles: Ints, reach: Array | float) -> NDArray[np.bool_]:
    """Which triangles are no higher above their longest edge than `reach` (m)."""
    corners = by_axis(vertices, triangles)
    longest = np.max([lengths(corners[:, i] - corners[:, i - 1]) for i in range(3)], axis=0)
    flat: NDArray[np.bool_] = 2 * lengths(area_vectors(corners)) <= reach * longest
    return flat


def _without_slivers(skin: Skin, reach: Array) -> Skin:
    """The skin without slivers.

    The triangles beyond the longest edge of a sliver are cut in two at its third corner, and
    then it is not needed: what was closed stays closed. The longest edges come first, so that
    slivers in a row dissolve from one side. `reach` (m,) is that of `_is_sliver`.
    """
    vertices, triangles, source = skin.vertices, skin.triangles, skin.source
    slim = _is_sliver(vertices, triangles, reach)
    for _ in range(MOST_PASSES):
        thin = np.flatnonzero(slim)
        if not thin.size:
            break
        sides = np.stack([triangles[thin], np.roll(triangles[thin], -1, axis=1)], axis=2)
        spans = np.linalg.norm(vertices[sides[..., 1]] - vertices[sides[..., 0]], axis=2)
        longest, ranked = spans.argmax(axis=1), np.argsort(-spans.max(axis=1), kind="stable")
        keys = _edge_keys(triangles[thin], len(vertices))[ranked, longest[ranked]]
        keys, first = np.unique(keys, return_index=True)
        tips = np.roll(triangles[thin], 1, axis=1)[ranked, longest[ranked]][first]
        ends = np.zeros(len(vertices), bool)
        ends[triangles[thin]] = True
        near = np.flatnonzero(ends[triangles].sum(axis=1) >= 2)
        here = _edge_keys(triangles[near], len(vertices))
        place = np.minimum(np.searchsorted(keys, here), len(keys) - 1)
        rank = np.where(keys[place] == here, first[place], len(thin))
        while (crowded := (rank < len(thin)).sum(axis=1) > 1).any():
            later = rank[crowded] > rank[crowded].min(axis=1, keepdims=True)
            rank[np.isin(rank, rank[crowded][later])] = len(thin)
        row, corner = np.nonzero(rank < len(thin))
        tip, row = tips[place[row, corner]], near[row]
        start, end, apex = (triangles[row, (corner + step) % 3] for step in range(3))
        halves = np.concatenate([np.stack([start, tip, apex], 1), np.stack([tip, end, apex], 1)])
        cut = np.tile(row, 2)[whole := np.tile(tip != apex, 2)]
        rest = np.ones(len(triangles), bool)
        rest[row] = False
        triangles = np.concatenate([triangles[rest], halves[whole]])
        source = np.concatenate([source[rest], source[cut]])
        slim = np.concatenate([slim[rest], _is_sliver(vertices, halves[whole], reach[cut])])
        reach = np.concatenate([reach[rest], reach[cut]])
    return Skin(vertices, triangles, source)


def _edge_keys(triangles: Ints, base: int) -> Ints:
    """A number for each edge of triangles (m, 3), the same whichever way it runs."""
    end = np.roll(triangles, -1, axis=1)
    return np.minimum(triangles, end) * base + np.maximum(triangles, end)


def _find_rims(
    skin: Skin, loops: list[Loop], findings: list[Finding]
) -> tuple[Array, tuple[Array, ...]]:
    """The vertices, their last the tips of the lids moved to where the rims put them, and the
    edges (k, 2, 3) round each opening of the skin."""
    vertices, faces = skin.vertices.copy(), skin.triangles[skin.source >= 0]
    cracks = [loop for loop in loops if loop.is_crack]
    if cracks:
        findings.append(
            Finding(
                "note",
                "cracks",
                f"{counted(sum(len(loop.ends) for loop in cracks), 'free edge')} along cracks "
                "without width, taken as closed",
                "edge",
                np.concatenate([loop.given for loop in cracks]),
                np.concatenate([loop.points for loop in cracks]).mean(axis=1),
            )
        )
    rims = []
    for tip, loop in zip(vertices[len(vertices) - len(loops) :], loops, strict=True):
        near = np.zeros(len(vertices), bool)
        near[loop.ends] = True
        keys = _edge_keys(faces[near[faces].sum(axis=1) >= 2], len(vertices))
        here = np.isin(_edge_keys(loop.ends, len(vertices))[:, 0], keys)
        if loop.is_crack or not here.any():
            continue
        rim = loop.points[here]
        tip[:] = _middle(rim)
        given = loop.given[here]
        if np.ptp(rim[..., 1]) <= WELD * np.ptp(vertices[faces, 1]):
            findings.append(
                Finding(
                    "warning",
                    "half-hull",
                    f"open all along the fore-and-aft plane y = {rim[0, 0, 1]:.4g} m: if this is "
                    "half a hull, mirror it, and about that plane",
                    "edge",
                    given,
                    rim.mean(axis=1),
                )
            )
        findings.append(
            Finding(
                "note",
                "open-edge",
                f"open: {counted(len(rim), 'free edge')} round an opening of "
                f"{_opening(rim):.3g} m2; she fills when its lowest point goes under",
                "edge",
                given,
                rim.mean(axis=1),
            )
        )
        rims.append(rim)
    return vertices, tuple(rims)


def _middle(edges: Array) -> Array:
    """Mean point (3,) of edges (k, 2, 3) by their length."""
    length = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
    middle: Array = length @ edges.mean(axis=1) / length.sum()
    return middle


def _opening(edges: Array) -> float:
    """Area (m2) of the fan of triangles from the middle of edges (k, 2, 3)."""
    a, b = (edges - _middle(edges)).transpose(1, 0, 2)
    return float(np.linalg.norm(np.cross(a, b), axis=1).sum() / 2)


def _outside(mesh: Mesh, skin: Skin, spaces: Spaces, findings: list[Finding]) -> tuple[Skin, Ints]:
    """The faces with the outside on just one side, turned so that their normals point to it,
    and the number of the part that each belongs to."""
    if not spaces.outer.any():
        raise BadInputError(
            f"{mesh.name}: the surface encloses nothing; close it, or leave one open rim "
            "above the water"
        )
    front, back, source = spaces.front, spaces.back, skin.source
    given, wet_front, wet_back = source >= 0, spaces.outer[front], spaces.outer[back]
    kept = wet_front != wet_back
    partly = np.bincount(mesh.faces[source[given & kept]], minlength=int(mesh.faces.max()) + 1) > 0
    left = given & ~kept
    left[left] = ~partly[mesh.faces[source[left]]]
    wall = left & ~wet_front & (spaces.room[front] | spaces.room[back])
    _tell_faces(
        mesh,
        findings,
        "inner-walls",
        source[wall],
        "{} inside the hull left out of its outer surface",
        severity="note",
    )
    _tell_faces(
        mesh,
        findings,
        "loose-faces",
        source[left & ~wall],
        "{} of loose sheets, which shut nothing in, left out",
    )
    turned = kept & wet_back
    backward = source[turned & given]
    everything = backward.size == int((kept & given).sum())
    _tell_faces(
        mesh,
        findings,
        "inward-normals",
        backward,
        ("all {}" if everything else "{}") + " with inward normals, turned for the computation",
    )
    triangles = np.where(turned[:, None], skin.triangles[:, ::-1], skin.triangles)[kept]
    part_of = np.where(wet_front, front, back)[kept]
    return Skin(skin.vertices, triangles, source[kept]), part_of


def _displacing(
    mesh: Mesh, skin: Skin, part_of: Ints, findings: list[Finding]
) -> NDArray[np.bool_]:
    """Which triangles belong to a part that does not lie wholly inside another."""
    vertices, triangles, source = skin.vertices, skin.triangles, skin.source
    names, part_of = np.unique(part_of, return_inverse=True)
    if len(names) == 1:
        return np.ones(len(triangles), bool)
    low, high = np.full((len(names), 3), np.inf), np.full((len(names), 3), -np.inf)
    for corner in range(3):
        np.minimum.at(low, part_of, vertices[triangles[:, corner]])
        np.maximum.at(high, part_of, vertices[triangles[:, corner]])
    meet = (low[:, None] < high[None]).all(axis=2) & (high[:, None] > low[None]).all(axis=2)
    nested: set[int] = set()
    shared: list[Ints] = []
    for part, other in np.argwhere(meet & ~np.eye(len(names), dtype=bool)):
        if part in nested or other in nested:
            continue
        mine, theirs = np.flatnonzero(part_of == part), triangles[part_of == other]
        most = max(PROBES, PROBED_PAIRS // len(theirs))
        probed = mine[:: -(-len(mine) // most)]
        probes = _just_inside(vertices, triangles[probed], 2 * mesh.touch)
        inside = is_inside(probes, vertices[theirs])
        if inside.all():
            nested.add(int(part))
        else:
            shared.append(probed[inside])
    kept = ~np.isin(part_of, list(nested))
    if nested:
        _tell_faces(
            mesh,
            findings,
            "nested-parts",
            source[~kept & (source >= 0)],
            f"{counted(len(nested), 'closed part')} ({{}}) inside another left out: "
            "a space inside the hull displaces no water of its own",
        )
    if shared:
        within = np.unique(np.concatenate(shared))
        _tell_faces(
            mesh,
            findings,
            "overlapping-parts",
            source[within[kept[within] & (source[within] >= 0)]],
            "parts of the hull run into each other and what they share counts twice; "
            "join them with a Boolean union",
        )
    return kept


def _just_inside(vertices: Array, triangles: Ints, depth: float) -> Array:
    """Points (m, 3) at a depth (m) behind the middle of each triangle."""
    corners = by_axis(vertices, triangles)
    normals = area_vectors(corners)
    inward = normals / np.maximum(lengths(normals), np.finfo(float).tiny)
    return (corners.mean(axis=1) - depth * inward).T


def _in_use(vertices: Array, triangles: Ints) -> tuple[Array, Ints]:
    """Vertices that the triangles use, and the triangles renumbered for them."""
    used = np.zeros(len(vertices), bool)
    used[triangles] = True
    return vertices[used], (np.cumsum(used) - 1)[triangles]


def _seek_crossings(
    mesh: Mesh, vertices: Array, triangles: Ints, source: Ints, findings: list[Finding]
) -> None:
    """Faces of the outer surface that pass through each other."""
    given = source >= 0
    pairs = crossing_faces(vertices, triangles[given])
    _tell_faces(
        mesh,
        findings,
        "crossing-faces",
        source[given][np.unique(pairs)],
        "{} pass through others; space that they enclose twice counts twice",
    )


def _warn_of_thin_shell(vertices: Array, triangles: Ints, findings: list[Finding]) -> None:
    """A hull given a thickness and left open displaces its skin alone; say so."""
    thickness = 2 * volumes(vertices, triangles).sum() / areas(vertices, triangles).sum()
    if thickness < THIN * np.ptp(vertices, axis=0).min() / 2:
        findings.append(
            Finding(
                "warning",
                "thin-shell",
                f"this surface encloses a shell about {thickness:.3g} m thick, not the space "
                "inside it; model the outside as a single skin, or close it with a deck",
            )
        )


def _tell_faces(
    mesh: Mesh,
    findings: list[Finding],
    code: str,
    chosen: Ints,
    text: str,
    severity: str = "warning",
) -> None:
    """Adds a finding about the faces that the chosen triangles came from, if there are any."""
    if not len(chosen):
        return
    faces, first = np.unique(mesh.faces[chosen], return_index=True)
    findings.append(
        Finding(
            "note" if severity == "note" else "warning",
            code,
            text.format(counted(len(faces), "face")),
            "face",
            faces,
            mesh.vertices[mesh.triangles[np.asarray(chosen)[first]]].mean(axis=1),
        )
    )
