"""Closed bodies for the tests, each `(vertices (n, 3), polygons)` in meters, faces outward.

Ships and prisms stand as ships do: x from 0 forward, y = 0 in the middle, z from 0 up.
Spheres, stars and tori lie about the origin. Polygons may have any number of corners.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

import numpy as np

from addon.core.arrays import Floats
from addon.core.buoyancy.moment_tree import MomentTree, build_tree
from addon.core.geometry.mesh import Mesh, triangulate

Polygons = tuple[tuple[int, ...], ...]
Body = tuple[Floats, Polygons]


def mesh(body: Body, name: str = "body") -> Mesh:
    """The body in triangles, one fan a polygon."""
    return triangulate(name, *body)


def tree(body: Body) -> MomentTree:
    """Moment tree of the body as modeled."""
    triangles = mesh(body)
    return build_tree(triangles.vertices, triangles.triangles)


def moved(body: Body, shift: Sequence[float] = (0.0, 0.0, 0.0), turn: Floats | None = None) -> Body:
    """The body turned by a matrix (3, 3) about the origin, then shifted."""
    vertices, polygons = body
    return vertices @ (np.eye(3) if turn is None else turn).T + np.asarray(shift), polygons


def scaled(body: Body, factors: Sequence[float]) -> Body:
    """The body stretched along x, y and z by positive factors."""
    return body[0] * np.asarray(factors), body[1]


def mirror(body: Body) -> Body:
    """Port for starboard, faces still outward, each starting at the same corner."""
    vertices, polygons = body
    return vertices * np.array([1.0, -1.0, 1.0]), reversed_faces(polygons)


def reversed_faces(polygons: Iterable[tuple[int, ...]]) -> Polygons:
    """Each polygon the other way round, starting at the same corner."""
    return tuple((face[0], *face[:0:-1]) for face in polygons)


def joined(*parts: Body) -> Body:
    """Several bodies in one mesh, vertices not shared."""
    starts = np.cumsum([0, *(len(vertices) for vertices, _ in parts[:-1])])
    return (
        np.concatenate([vertices for vertices, _ in parts]),
        tuple(
            tuple(int(start) + corner for corner in face)
            for start, (_, polygons) in zip(starts, parts, strict=True)
            for face in polygons
        ),
    )


def welded(body: Body, digits: int = 12) -> Body:
    """Vertices that coincide made one; corners that fall together dropped, lines left out."""
    vertices, polygons = body
    _, first, same = np.unique(
        vertices.round(digits), axis=0, return_index=True, return_inverse=True
    )
    same = same.reshape(-1)
    faces = []
    for face in polygons:
        corners = [int(same[corner]) for corner in face]
        corners = [c for i, c in enumerate(corners) if c != corners[i - 1]]
        if len(corners) > 2:
            faces.append(tuple(corners))
    return vertices[first], tuple(faces)


def sheet(at: Callable[[Floats, Floats], Floats], u: Floats, v: Floats) -> Body:
    """An open grid of quads through `at(u, v)` (..., 3), outward along d/du x d/dv."""
    rows, columns = len(u), len(v)
    vertices = at(*np.meshgrid(u, v, indexing="ij")).reshape(-1, 3)
    faces = tuple(
        (i * columns + j, (i + 1) * columns + j, (i + 1) * columns + j + 1, i * columns + j + 1)
        for i in range(rows - 1)
        for j in range(columns - 1)
    )
    return vertices, faces


def box(length: float = 10.0, breadth: float = 4.0, depth: float = 3.0, divisions: int = 1) -> Body:
    """A box; each side is a grid of `divisions` by `divisions` quads."""
    size, steps = np.array([length, breadth, depth]), np.linspace(0.0, 1.0, divisions + 1)
    floor, faces = sheet(lambda u, v: np.stack([u, v, 0 * u], axis=-1), steps, steps)
    parts = []
    for axis in range(3):
        low = np.roll(floor, axis, axis=1)
        high = np.roll(floor + [0.0, 0.0, 1.0], axis, axis=1)
        parts += [(low, reversed_faces(faces)), (high, faces)]
    return moved(scaled(welded(joined(*parts)), size), (0.0, -breadth / 2, 0.0))


def prism(outline: Sequence[Sequence[float]], length: float = 10.0, divisions: int = 1) -> Body:
    """An outline (k, 2) of (y, z), anticlockwise seen from ahead, drawn out along x from 0.

    The ends are one polygon each, concave if the outline is.
    """
    section = np.asarray(outline, dtype=np.float64)
    count = len(section)
    vertices = np.concatenate(
        [
            np.column_stack([np.full(count, x), section])
            for x in np.linspace(0.0, length, divisions + 1)
        ]
    )
    faces = [
        (i * count + j, i * count + (j + 1) % count, k * count + (j + 1) % count, k * count + j)
        for i, k in pairwise(range(divisions + 1))
        for j in range(count)
    ]
    aft = tuple(range(count))
    forward = tuple(divisions * count + j for j in range(count))
    return vertices, (*faces, *reversed_faces([aft]), forward)


def wedge(
    length: float = 10.0, breadth: float = 4.0, depth: float = 3.0, divisions: int = 1
) -> Body:
    """A vee: sides straight from the keel line to the deck."""
    return prism([(0.0, 0.0), (breadth / 2, depth), (-breadth / 2, depth)], length, divisions)


def horizontal_cylinder(
    radius: float = 1.0, length: float = 10.0, sides: int = 24, divisions: int = 1
) -> Body:
    """A prism with `sides` corners on the circle, the lowest at z = 0, the axis at z = radius."""
    angle = 2 * np.pi * np.arange(sides) / sides
    return prism(
        np.column_stack([radius * np.sin(angle), radius * (1 - np.cos(angle))]), length, divisions
    )


def vertical_cylinder(
    radius: float = 1.0, height: float = 3.0, sides: int = 24, divisions: int = 1
) -> Body:
    """A regular prism of `sides` corners on the circle about the z axis, standing on z = 0."""
    angle = 2 * np.pi * np.arange(sides) / sides
    circle = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    upright = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])
    return moved(prism(circle, height, divisions), turn=upright)


def uv_sphere(radius: float = 1.0, sectors: int = 24, rings: int = 12) -> Body:
    """A sphere of planar quads between meridians, triangles at the poles."""

    def at(polar: Floats, around: Floats) -> Floats:
        return radius * np.stack(
            [np.sin(polar) * np.cos(around), np.sin(polar) * np.sin(around), np.cos(polar)], axis=-1
        )

    return welded(
        sheet(at, np.linspace(0, np.pi, rings + 1), np.linspace(0, 2 * np.pi, sectors + 1))
    )


def geodesic_sphere(radius: float = 1.0, divisions: int = 4, base: str = "icosahedron") -> Body:
    """A sphere of 20 (icosahedron) or 8 (octahedron) times `divisions` squared triangles."""
    if base == "octahedron":
        seeds = np.concatenate([np.eye(3), -np.eye(3)])
        faces = [
            (x, y, z) if (x // 3 + y // 3 + z // 3) % 2 == 0 else (x, z, y)
            for x in (0, 3)
            for y in (1, 4)
            for z in (2, 5)
        ]
    else:
        golden = (1 + np.sqrt(5)) / 2
        rectangle = [(0.0, s, t * golden) for s in (-1, 1) for t in (-1, 1)]
        seeds = np.concatenate([np.roll(rectangle, axis, axis=1) for axis in range(3)])
        near = np.linalg.norm(seeds[:, None] - seeds, axis=2)
        near = (near > 0) & (near < 2.1)
        faces = [
            (i, j, k) if np.linalg.det(seeds[[i, j, k]]) > 0 else (i, k, j)
            for i in range(12)
            for j in range(i + 1, 12)
            for k in range(j + 1, 12)
            if near[i, j] and near[j, k] and near[i, k]
        ]
    vertices, polygons = welded(joined(*(_split(seeds[list(face)], divisions) for face in faces)))
    return radius * vertices / np.linalg.norm(vertices, axis=1, keepdims=True), polygons


def _split(corners: Floats, divisions: int) -> Body:
    """One triangle in `divisions` squared of the same shape."""
    index, points = {}, []
    for i in range(divisions + 1):
        for j in range(divisions + 1 - i):
            index[i, j] = len(points)
            points.append(
                (corners[0] * (divisions - i - j) + corners[1] * i + corners[2] * j) / divisions
            )
    faces = []
    for i in range(divisions):
        for j in range(divisions - i):
            faces.append((index[i, j], index[i + 1, j], index[i, j + 1]))
            if i + j < divisions - 1:
                faces.append((index[i + 1, j], index[i + 1, j + 1], index[i, j + 1]))
    return np.array(points), tuple(faces)


def star(seed: int, divisions: int = 3, roughness: float = 0.5, radius: float = 1.0) -> Body:
    """A random closed body seen whole from the origin: a geodesic sphere with each vertex moved
    along its own ray by a factor between 1 - roughness and 1 + roughness."""
    vertices, polygons = geodesic_sphere(radius, divisions)
    share = np.random.default_rng(seed).uniform(1 - roughness, 1 + roughness, len(vertices))
    return vertices * share[:, None], polygons


def paraboloid(radius: float = 2.0, depth: float = 3.0, rings: int = 8, sectors: int = 24) -> Body:
    """z = depth (r / radius)^2 up to a flat deck at z = depth, its tip at the origin."""

    def at(share: Floats, around: Floats) -> Floats:
        return np.stack(
            [radius * share * np.cos(around), radius * share * np.sin(around), depth * share**2],
            axis=-1,
        )

    vertices, faces = welded(
        sheet(at, np.linspace(0, 1, rings + 1), np.linspace(0, 2 * np.pi, sectors + 1))
    )
    rim = np.flatnonzero(vertices[:, 2] == vertices[:, 2].max())
    rim = rim[np.argsort(np.arctan2(vertices[rim, 1], vertices[rim, 0]))]
    return vertices, (*reversed_faces(faces), tuple(int(corner) for corner in rim))


def wigley(
    length: float = 10.0,
    breadth: float = 1.0,
    draft: float = 0.625,
    depth: float = 1.0,
    divisions: int = 8,
) -> Body:
    """Wigley's parabolic hull, |y| = B/2 (1 - (2 x/L - 1)^2) (1 - ((T - z)/T)^2) up to z = T,
    wall-sided above it, closed by a deck at z = depth.

    `divisions` along each half of the length and up to the draft. The quads are not flat; each
    starts at its corner nearest the end of the keel, so a fan halves it fore and aft alike.
    """
    x = np.linspace(0.0, length, 2 * divisions + 1)
    under = np.linspace(0.0, draft, divisions + 1)
    above = np.linspace(draft, depth, max(2, divisions // 2))[1:]

    def side(u: Floats, v: Floats) -> Floats:
        fullness = 1 - np.clip((draft - v) / draft, 0, None) ** 2
        half = breadth / 2 * (1 - (2 * u / length - 1) ** 2) * fullness
        return np.stack([u, -half, v], axis=-1)

    vertices, faces = sheet(side, x, np.concatenate([under, above]))
    aft = len(faces) // 2
    starboard = vertices, (*faces[:aft], *((b, c, d, a) for a, b, c, d in faces[aft:]))
    half = side(x, np.full_like(x, depth))
    rim = np.concatenate([half, half * np.array([1.0, -1.0, 1.0])])
    deck = rim, tuple((i, i + 1, len(x) + i + 1, len(x) + i) for i in range(len(x) - 1))
    return welded(joined(starboard, mirror(starboard), deck))


def halves(body: Body, x: float) -> tuple[Body, Body]:
    """The parts aft and ahead of a convex section at x that no polygon crosses, each closed."""
    vertices, polygons = body
    ring = np.flatnonzero(np.abs(vertices[:, 0] - x) < 1e-9)
    y, z = (vertices[ring, 1:] - vertices[ring, 1:].mean(axis=0)).T
    boundary = tuple(int(corner) for corner in ring[np.argsort(np.arctan2(z, y))])
    parts = []
    for chosen, cap in ((False, (boundary,)), (True, reversed_faces([boundary]))):
        ahead = [vertices[list(face), 0].mean() > x for face in polygons]
        faces = (
            *(face for face, here in zip(polygons, ahead, strict=True) if here == chosen),
            *cap,
        )
        used = sorted({corner for face in faces for corner in face})
        place = {corner: index for index, corner in enumerate(used)}
        parts.append((vertices[used], tuple(tuple(place[c] for c in face) for face in faces)))
    return parts[0], parts[1]


def torus(major: float = 2.0, minor: float = 0.5, around: int = 24, across: int = 12) -> Body:
    """A ring about the z axis: a tube of radius `minor` round the circle of radius `major`."""

    def at(u: Floats, v: Floats) -> Floats:
        reach = major + minor * np.cos(v)
        return np.stack([reach * np.cos(u), reach * np.sin(u), minor * np.sin(v)], axis=-1)

    return welded(
        sheet(at, np.linspace(0, 2 * np.pi, around + 1), np.linspace(0, 2 * np.pi, across + 1))
    )


def catamaran(
    length: float = 10.0,
    demihull: float = 1.0,
    spacing: float = 4.0,
    depth: float = 2.0,
    bridge: float = 0.0,
    divisions: int = 1,
) -> Body:
    """Two box demihulls, their middles `spacing` apart; joined by a deck `bridge` thick, if any."""
    if not bridge:
        one = box(length, demihull, depth, divisions)
        return joined(moved(one, (0, -spacing / 2, 0)), moved(one, (0, spacing / 2, 0)))
    inner, outer = (spacing - demihull) / 2, (spacing + demihull) / 2
    lower = depth - bridge
    return prism(
        [
            (-inner, lower), (inner, lower), (inner, 0), (outer, 0),
            (outer, depth), (-outer, depth), (-outer, 0), (-inner, 0),
        ],
        length,
        divisions,
    )  # fmt: skip
