"""Invented example ships: meshes and weights in ship axes (x forward, y port, z up, metres).

Every hull is drawn from a small table; none is a real vessel.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..core.model.conditions import Condition
from ..core.model.openings import Door, Opening
from ..core.model.service import Service
from ..files.obj import PolygonMesh
from .outfit import Box, Outfit, Plane, RoomEntry, TankEntry, WallEntry, WindageEntry

Floats = NDArray[np.float64]
Polygon = Floats  # (k, 3) corners of one face, counter-clockwise seen from outside

REFLECT = np.array([1.0, -1.0, 1.0])  # times a point: its reflection in the centreline plane
CENTRE = np.array([1.0, 0.0, 1.0])  # times a point: moved onto that plane


@dataclass(frozen=True)
class ExampleWeight:
    """A point weight: `mass_kg` at `position_m`, reported under `group`, fixed or not."""

    name: str
    mass_kg: float
    position_m: tuple[float, float, float]
    group: str
    fixed: bool = False


@dataclass(frozen=True, eq=False)
class Example:
    """One ship. `fittings` are for the eye and displace no water.

    `perpendiculars` are the x of the aft and the forward one; `half_hull` means that `hull` is the
    port side only, open along the centreline plane, and wants mirroring. Weights are those of the
    whole ship, but for what her tanks hold: that, openings and the rest are in `outfit`.
    """

    key: str
    title: str
    description: str
    hull: PolygonMesh
    fittings: tuple[PolygonMesh, ...]
    weights: tuple[ExampleWeight, ...]
    perpendiculars: tuple[float, float]
    half_hull: bool = False
    outfit: Outfit = Outfit()


# Drawing tools --------------------------------------------------------------------------------


def _weld(name: str, faces: Iterable[Polygon]) -> PolygonMesh:
    """Join faces at corners that agree to a nanometre; faces that collapse are left out."""
    faces = [np.asarray(face, dtype=np.float64) for face in faces]
    corners = np.round(np.concatenate(faces), 9) + 0.0
    vertices, index = np.unique(corners, axis=0, return_inverse=True)
    ends = np.cumsum([len(face) for face in faces])[:-1]
    polygons = []
    for corner in np.split(index.reshape(-1), ends):
        polygon = tuple(
            int(i) for i, before in zip(corner, np.roll(corner, 1), strict=True) if i != before
        )
        if len(polygon) > 2:
            polygons.append(polygon)
    return PolygonMesh(name, vertices, tuple(polygons))


def _together(name: str, meshes: Iterable[PolygonMesh]) -> PolygonMesh:
    """Put meshes side by side in one mesh without welding them."""
    vertices, polygons, count = [], [], 0
    for mesh in meshes:
        vertices.append(mesh.vertices)
        polygons += [tuple(i + count for i in polygon) for polygon in mesh.polygons]
        count += len(mesh.vertices)
    return PolygonMesh(name, np.concatenate(vertices), tuple(polygons))


def _moved(mesh: PolygonMesh, by: ArrayLike) -> PolygonMesh:
    return replace(mesh, vertices=mesh.vertices + np.asarray(by, dtype=np.float64))


def _reflected(faces: Iterable[Polygon]) -> list[Polygon]:
    """Faces across the centreline plane, each from the same first corner, so fans match too."""
    return [np.roll(face[::-1], 1, axis=0) * REFLECT for face in faces]


def _mirrored(faces: list[Polygon]) -> list[Polygon]:
    return faces + _reflected(faces)


def _quads(grid: ArrayLike) -> list[Polygon]:
    """Faces of a grid of points (m, n, 3), their normals along (second axis) x (first axis)."""
    g = np.asarray(grid, dtype=np.float64)
    corners = np.stack([g[:-1, :-1], g[:-1, 1:], g[1:, 1:], g[1:, :-1]], axis=2)
    return list(corners.reshape(-1, 4, 3))


def _loft(rings: ArrayLike) -> list[Polygon]:
    """A closed solid through rings of points (m, n, 3), with the first and last ring as caps."""
    rings = np.asarray(rings, dtype=np.float64)
    faces = _quads(np.concatenate([rings, rings[:, :1]], axis=1)) + [rings[0, ::-1], rings[-1]]
    middle = rings.mean(axis=(0, 1))
    six_volumes = sum(
        np.dot(face[0] - middle, np.cross(face[1:-1] - middle, face[2:] - middle).sum(axis=0))
        for face in faces
    )
    return faces if six_volumes > 0 else [face[::-1] for face in faces]


def _box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> list[Polygon]:
    ring = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])
    return _loft([np.column_stack([ring, np.full(4, height)]) for height in z])


def _tube(path: ArrayLike, diameter: float | Sequence[float], sides: int = 10) -> list[Polygon]:
    """A round bar of `sides` along a path (m, 3), of one diameter or one for each point."""
    path = np.asarray(path, dtype=np.float64)
    along = _unit(np.gradient(path, axis=0))
    across = _unit(np.cross(along, np.eye(3)[np.argmin(np.abs(along).max(axis=0))]))
    angle = np.linspace(0, 2 * np.pi, sides, endpoint=False)[:, None]
    radius = np.broadcast_to(np.asarray(diameter, dtype=np.float64) / 2, len(path))
    return _loft(
        [
            p + r * (np.cos(angle) * a + np.sin(angle) * np.cross(t, a))
            for p, t, a, r in zip(path, along, across, radius, strict=True)
        ]
    )


def _net(*rows: ArrayLike) -> Floats:
    """Control net (rows, columns, 3) from each row's x, y and z."""
    return np.array(rows, dtype=np.float64).transpose(0, 2, 1)


def _basis(t: Floats, count: int) -> Floats:
    """Weights (len(t), count) of a clamped uniform cubic B-spline, by Cox and de Boor."""
    knots = np.concatenate([np.zeros(3), np.linspace(0, 1, count - 2), np.ones(3)])
    span = np.clip(np.searchsorted(knots, t, side="right") - 1, 3, count - 1)
    weights = np.eye(len(knots) - 1)[span]
    for degree in range(1, 4):
        width = knots[degree:] - knots[:-degree]
        rise = (t[:, None] - knots[:-degree]) / np.where(width > 0, width, np.inf)
        fall = np.where(width > 0, 1 - rise, 0.0)
        weights = rise[:, :-1] * weights[:, :-1] + fall[:, 1:] * weights[:, 1:]
    return weights


def _unit(vectors: Floats) -> Floats:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def _surface(net: Floats, u: Floats, v: Floats) -> Floats:
    """Points (len(v), len(u), 3) of the bicubic B-spline surface over a net (rows, columns, 3)."""
    return np.einsum("vi,uj,ijk->vuk", _basis(v, len(net)), _basis(u, net.shape[1]), net)


# Survey launch --------------------------------------------------------------------------------

HALF_SIDING = 0.04  # of the launch's keel and stem bar
LAUNCH_STATIONS = np.linspace(0, 1, 41)

# Control net of the launch's port side between keel bar and deck edge, stern to stem.
LAUNCH_NET = _net(
    # deck edge
    (
        (0.00, 0.85, 2.50, 4.80, 7.20, 9.50, 11.25, 11.95),
        (1.58, 1.68, 1.79, 1.85, 1.84, 1.62, 0.88, HALF_SIDING),
        (1.80, 1.77, 1.75, 1.79, 1.92, 2.15, 2.42, 2.58),
    ),
    # topside
    (
        (0.0825, 0.87, 2.50, 4.80, 7.20, 9.45, 10.98, 11.64),
        (1.53, 1.63, 1.75, 1.81, 1.76, 1.30, 0.43, HALF_SIDING),
        (1.25, 1.24, 1.22, 1.24, 1.32, 1.50, 1.75, 1.92),
    ),
    # bilge
    (
        (0.165, 0.89, 2.50, 4.80, 7.20, 9.40, 10.75, 11.39),
        (1.48, 1.58, 1.71, 1.76, 1.58, 0.98, 0.27, HALF_SIDING),
        (0.70, 0.65, 0.50, 0.40, 0.42, 0.62, 0.98, 1.26),
    ),
    # bottom
    (
        (0.1695, 0.89, 2.50, 4.80, 7.20, 9.40, 10.62, 11.20),
        (0.85, 0.92, 1.00, 1.00, 0.82, 0.42, 0.10, HALF_SIDING),
        (0.67, 0.59, 0.38, 0.20, 0.18, 0.26, 0.52, 0.80),
    ),
    # keel
    (
        (0.1755, 0.89, 2.50, 4.80, 7.20, 9.40, 10.58, 10.98),
        (HALF_SIDING,) * 8,
        (0.63, 0.55, 0.30, 0.11, 0.06, 0.05, 0.12, 0.46),
    ),
)


def _launch_side() -> list[Polygon]:
    """Faces of the port half of the launch's hull: shell, keel and stem bar, transom, deck."""
    shell = _surface(LAUNCH_NET, LAUNCH_STATIONS, np.linspace(0, 1, 17))
    deck_edge = shell[0]
    shares = np.linspace(0, 1, 5)
    deck = np.stack([deck_edge * (1, share, 1) for share in shares])
    deck[..., 2] += 0.05 * deck_edge[:, 1] * (1 - shares[:, None] ** 2)

    inner = np.concatenate([shell[-1], shell[-2::-1, -1]])
    along = np.gradient(inner[:, [0, 2]], axis=0)
    outward = np.column_stack([along[:, 1], np.zeros(len(along)), -along[:, 0]])
    outer = inner + 0.05 * _unit(outward)
    keel = outer[: len(deck_edge)]
    skeg = np.interp(keel[:, 0], (1.0, 1.6, 8.8, 9.3), (1.0, 0.0, 0.0, 1.0))
    keel[:, 2] = np.minimum(keel[:, 2], skeg)

    bar_end = np.array([inner[0] * CENTRE, inner[0], outer[0], outer[0] * CENTRE])
    transom = np.concatenate([shell[:1, 0] * CENTRE, shell[:, 0], bar_end[:1]])
    camber = np.concatenate([deck[:, 0], transom[:1]])
    stem_head = np.concatenate([[outer[-1] * CENTRE, outer[-1]], deck[::-1, -1]])
    return [
        *_quads(shell),
        *_quads([inner, outer]),
        *_quads([outer, outer * CENTRE]),
        *_quads(deck),
        bar_end,
        transom,
        camber,
        stem_head,
    ]


def _launch_rails() -> list[PolygonMesh]:
    """Bulwark, its capping and the rubbing strake, swept along the deck edge of both sides."""
    edge, below = (_basis(LAUNCH_STATIONS, LAUNCH_NET.shape[1]) @ row for row in LAUNCH_NET[:2])
    up = _unit(edge - below)

    def swept(*profile: tuple[float, float]) -> list[PolygonMesh]:
        rings = np.stack([edge + (0, out, 0) + rise * up for out, rise in profile], axis=1)
        rings[..., 1] = np.maximum(rings[..., 1], 0.0)
        port = _loft(rings)
        return [_weld("", port), _weld("", _reflected(port))]

    stem_head = (
        (-0.08, HALF_SIDING),
        (0.056, HALF_SIDING),
        (0.056, -HALF_SIDING),
        (-0.08, -HALF_SIDING),
    )
    foot = edge[-1] * CENTRE + [(x, y, 0) for x, y in stem_head]
    stem_post = _loft([foot + rise * up[-1] for rise in (-0.1, 0.5)])
    bulwark = swept((0, 0), (0, 0.5), (-0.05, 0.5), (-0.05, 0))
    return [
        _together("bulwark", [*bulwark, _weld("", stem_post)]),
        _together("capping", swept((0.04, 0.5), (0.04, 0.55), (-0.1, 0.55), (-0.1, 0.5))),
        _together("rubbing strake", swept((0, -0.12), (0.07, -0.09), (0.07, -0.02), (0, 0.01))),
    ]


def _house_ring(
    z: float, aft: float, shoulder: float, nose: float, half: float, nose_half: float
) -> list[tuple[float, float, float]]:
    """Six corners of a deckhouse at one height, counter-clockwise from above."""
    starboard = [(aft, -half, z), (shoulder, -half, z), (nose, -nose_half, z)]
    return starboard + [(x, -y, z) for x, y, z in reversed(starboard)]


def _panes(lower: ArrayLike, upper: ArrayLike, counts: Sequence[int]) -> list[Polygon]:
    """Window panes set proud of the band between two rings, `counts` of them on each edge."""
    faces = []
    lower, upper = np.asarray(lower), np.asarray(upper)
    bands = zip(lower, np.roll(lower, -1, 0), np.roll(upper, -1, 0), upper, strict=True)
    for (a, b, c, d), count in zip(bands, counts, strict=True):
        proud = 0.012 * _unit(np.cross(b - a, d - a))
        margin = 0.05 / np.linalg.norm(b - a)
        for k in range(count):
            s = np.array([k / count + margin, (k + 1) / count - margin])[:, None]
            faces.append(np.concatenate([a + s * (b - a), (d + s * (c - d))[::-1]]) + proud)
    return faces


def _launch_houses() -> list[PolygonMesh]:
    rings = [
        _house_ring(1.75, 5.70, 8.05, 8.52, 1.22, 0.66),
        _house_ring(2.95, 5.72, 7.95, 8.42, 1.18, 0.64),
        _house_ring(3.00, 5.72, 7.96, 8.43, 1.18, 0.64),
        _house_ring(3.70, 5.75, 8.14, 8.63, 1.14, 0.62),
        _house_ring(3.90, 5.75, 8.18, 8.68, 1.13, 0.62),
    ]
    roof = [
        _house_ring(3.88, 5.45, 8.30, 8.88, 1.24, 0.68),
        _house_ring(3.96, 5.45, 8.30, 8.88, 1.24, 0.68),
        _house_ring(4.02, 5.65, 8.10, 8.60, 1.00, 0.55),
    ]
    trunk = [
        _house_ring(1.90, 8.20, 9.90, 10.35, 0.98, 0.45),
        _house_ring(2.66, 8.20, 9.82, 10.20, 0.90, 0.40),
        _house_ring(2.74, 8.20, 9.72, 10.05, 0.78, 0.34),
    ]
    lights = _panes(rings[2], rings[3], (3, 1, 2, 1, 3, 2))
    return [
        _weld("wheelhouse", _loft(rings)),
        _weld("roof", _loft(roof)),
        _weld("trunk cabin", _loft(trunk)),
        _weld("windows", lights),
    ]


def _winch() -> PolygonMesh:
    """The survey winch about its own middle: drum with flanges between two cheeks."""
    axle = [(0, y, 0) for y in (-0.4, -0.36, -0.36, 0.36, 0.36, 0.4)]
    drum = _tube(axle, (0.7, 0.7, 0.45, 0.45, 0.7, 0.7), 24)
    cheek_xz = ((-0.45, -0.5), (0.45, -0.5), (0.12, 0.12), (-0.12, 0.12))
    cheek = _loft([[(x, y, z) for x, z in cheek_xz] for y in (0.42, 0.5)])
    bed = _box((-0.5, 0.5), (-0.55, 0.55), (-0.58, -0.5))
    return _weld("survey winch", drum + _mirrored(cheek) + bed)


def _propeller(diameter: float) -> list[Polygon]:
    """Four twisted blades and a boss about the origin, turning about x."""
    rings = []
    for radius, chord in ((0.1, 0.16), (0.2, 0.26), (0.3, 0.32), (0.4, 0.28), (0.5, 0.10)):
        pitch = np.arctan2(0.8, 2 * np.pi * radius)
        along = chord / 2 * np.array([np.sin(pitch), np.cos(pitch), 0])
        thick = 0.016 * np.array([np.cos(pitch), -np.sin(pitch), 0])
        rings.append([along, thick, -along, -thick] + np.array([0, 0, radius]))
    faces = _tube([(x, 0, 0) for x in (-0.12, 0.0, 0.12)], (0.06, 0.1, 0.1), 12)
    quarter_turn = np.array([[1, 0, 0], [0, 0, 1], [0, -1, 0]])
    for quarters in range(4):
        turned = np.linalg.matrix_power(quarter_turn, quarters)
        faces += [diameter * blade @ turned for blade in _loft(rings)]
    return faces


def _launch_gear(winch_at: tuple[float, float, float]) -> list[PolygonMesh]:
    foil = ((0.80, 0), (0.72, 0.035), (0.58, 0.04), (0.36, 0), (0.58, -0.04), (0.72, -0.035))
    rudder = _loft([[(x, y, z) for x, y in foil] for z in (0.08, 0.66)])
    side = _tube([(0.30, 1.30, 1.78), (-0.10, 1.05, 3.60), (-0.25, 0.80, 3.95)], 0.14)
    side += _tube([(1.70, 1.45, 1.78), (-0.08, 1.06, 3.50)], 0.08)
    gantry = _mirrored(side) + _tube([(-0.25, y, 3.95) for y in (-0.86, 0.86)], 0.14)
    gantry += _tube([(-0.25, 0, z) for z in (3.95, 3.55)], 0.03)
    gantry += _tube([(-0.25, y, 3.48) for y in (-0.05, 0.05)], 0.22, 16)
    davit_yz = ((1.55, 1.75), (1.55, 3.3), (1.60, 3.75), (1.80, 4.05), (2.10, 4.15))
    davit = _tube([(3.0, y, z) for y, z in davit_yz], (0.16, 0.15, 0.14, 0.13, 0.11))
    davit += _tube([(3.0, 2.08, z) for z in (4.15, 3.40)], 0.03)
    mast = _tube([(6.30, 0, 3.95), (6.05, 0, 5.60)], (0.14, 0.07))
    mast += _tube([(6.12, y, 5.15) for y in (-0.5, 0.5)], 0.05)
    mast += _box((6.20, 6.60), (-0.10, 0.10), (4.62, 4.68))
    mast += _box((6.36, 6.50), (-0.60, 0.60), (4.76, 4.88))
    mast += _tube([(6.43, 0, 4.66), (6.43, 0, 4.78)], 0.16)
    raft = _tube([(x, -0.6, 4.2) for x in (6.7, 6.74, 7.56, 7.6)], (0.3, 0.4, 0.4, 0.3), 16)
    return [
        _weld("engine hatch", _box((3.60, 5.00), (-0.65, 0.65), (1.70, 2.06))),
        _weld("gantry", gantry),
        _weld("davit", davit),
        _moved(_winch(), winch_at),
        _weld("mast", mast),
        _weld("life raft", raft),
        _weld("rudder", rudder),
        _moved(_weld("propeller", _propeller(0.50)), (1.02, 0, 0.28)),
    ]


def survey_launch(winch_to_port: bool = False) -> Example:
    """A 12 m survey launch; with `winch_to_port` her winch hangs outboard on the port davit."""
    winch_at = (3.0, 2.08, 3.1) if winch_to_port else (2.3, 0.0, 2.38)
    weights = (
        ExampleWeight("hull structure", 5400.0, (5.55, 0.0, 1.10), "structure", fixed=True),
        ExampleWeight("wheelhouse", 950.0, (7.10, 0.0, 2.95), "structure"),
        ExampleWeight("ballast", 1000.0, (6.60, 0.0, 0.22), "structure"),
        ExampleWeight("engine and gearbox", 1250.0, (4.30, 0.0, 0.75), "machinery"),
        ExampleWeight("stern gear", 320.0, (1.60, 0.0, 0.45), "machinery"),
        ExampleWeight("generator", 310.0, (5.30, 0.80, 0.75), "machinery"),
        ExampleWeight("batteries", 340.0, (5.50, -0.74, 0.60), "machinery"),
        ExampleWeight("deck outfit", 750.0, (5.20, 0.0, 1.95), "outfit"),
        ExampleWeight("ground tackle", 260.0, (10.40, 0.0, 1.90), "outfit"),
        ExampleWeight("A-frame", 420.0, (0.30, 0.0, 2.90), "survey gear"),
        ExampleWeight("survey winch", 480.0, winch_at, "survey gear"),
        ExampleWeight("echo-sounder", 180.0, (6.20, 0.0, 0.30), "survey gear"),
        ExampleWeight("crew of four", 340.0, (7.10, 0.0, 2.60), "crew"),
    )
    return Example(
        key="survey-launch",
        title="Survey launch",
        description="A round-bilge 12 m launch with a wheelhouse, stern A-frame and survey winch.",
        hull=_weld("hull", _mirrored(_launch_side())),
        fittings=(*_launch_rails(), *_launch_houses(), *_launch_gear(winch_at)),
        weights=weights,
        perpendiculars=(0.0, 11.25),
        outfit=_launch_outfit(),
    )


def _launch_outfit() -> Outfit:
    """Tanks, vents, houses in the wind, and the ways she is loaded on a day's survey."""
    fuel, water = "fuel", "fresh water"
    house, _, trunk, _ = _launch_houses()

    def filled(share: float) -> dict[str, float]:
        return {fuel: share, water: share}

    return Outfit(
        tanks=(
            TankEntry(
                fuel, Box((3.0, -0.85, 0.45), (3.9, 0.85, 1.15)), 850.0, 0.98, 0.98, "consumables"
            ),
            TankEntry(
                water, Box((8.2, -0.45, 0.35), (9.0, 0.45, 0.85)), 1000.0, 0.98, 0.98, "consumables"
            ),
        ),
        openings=(
            Opening("port engine vent", np.array([3.4, 1.35, 2.40])),
            Opening("starboard engine vent", np.array([3.4, -1.35, 2.40])),
            Opening("wheelhouse door", np.array([5.70, 0.0, 2.00])),
            Opening("engine hatch", np.array([4.3, 0.0, 2.06]), weathertight=True),
            Opening("fore hatch", np.array([9.0, 0.0, 2.74]), weathertight=True),
        ),
        windage=(WindageEntry(house.name, house), WindageEntry(trunk.name, trunk)),
        service=Service(
            waters="partially protected", speed=6.0, load_line_length=11.25, propulsion="inboard"
        ),
        conditions=(
            Condition("lightship", filled(0.0), without_groups=("crew",)),
            Condition("full load departure", filled(0.98)),
            Condition("arrival with 10 %", filled(0.1)),
        ),
    )


def half_launch() -> Example:
    """The survey launch with the port half of her hull only, to be mirrored."""
    return replace(
        survey_launch(),
        key="half-launch",
        title="Survey launch, half hull",
        description="The survey launch modelled as her port half, open along the centreline.",
        hull=_weld("hull", _launch_side()),
        half_hull=True,
    )


# Small craft ----------------------------------------------------------------------------------


def _sharp_stemmed_side(net: Floats, stations: int) -> tuple[list[Polygon], Floats]:
    """Faces of the port side drawn by `net`, transom included, and her shell (13, stations, 3)."""
    shell = _surface(net, np.linspace(0, 1, stations), np.linspace(0, 1, 13))
    transom = np.concatenate([shell[:1, 0] * CENTRE, shell[:, 0]])
    return [*_quads(shell), transom], shell


def _half_breadth(shell: Floats, x: float, z: float) -> float:
    """Half-breadth of a shell (edge to keel, stations, 3) at `x` and `z`."""
    at_z = [
        [np.interp(z, station[:, 2], station[:, axis]) for axis in (0, 1)]
        for station in shell[::-1].transpose(1, 0, 2)
    ]
    return float(np.interp(x, *np.transpose(at_z)))


# Gunwale, topside, bilge, bottom, keel; stern to stem.
DINGHY_NET = _net(
    (
        (0.00, 0.30, 0.90, 1.80, 2.70, 3.30, 3.60),
        (0.52, 0.60, 0.70, 0.76, 0.62, 0.26, 0.00),
        (0.58, 0.56, 0.54, 0.53, 0.58, 0.68, 0.76),
    ),
    (
        (0.032, 0.31, 0.90, 1.80, 2.70, 3.25, 3.52),
        (0.49, 0.57, 0.66, 0.72, 0.55, 0.17, 0.00),
        (0.42, 0.40, 0.37, 0.36, 0.40, 0.48, 0.54),
    ),
    (
        (0.066, 0.32, 0.90, 1.80, 2.70, 3.20, 3.45),
        (0.44, 0.52, 0.62, 0.67, 0.44, 0.10, 0.00),
        (0.25, 0.21, 0.15, 0.12, 0.17, 0.28, 0.38),
    ),
    (
        (0.082, 0.32, 0.90, 1.80, 2.70, 3.15, 3.39),
        (0.25, 0.29, 0.34, 0.35, 0.22, 0.05, 0.00),
        (0.17, 0.13, 0.06, 0.03, 0.05, 0.14, 0.26),
    ),
    (
        (0.088, 0.33, 0.90, 1.80, 2.70, 3.12, 3.30),
        (0.00,) * 7,
        (0.14, 0.09, 0.00, 0.00, 0.00, 0.06, 0.16),
    ),
)


def open_dinghy() -> Example:
    """A rowing boat of a single skin, open above her gunwale."""
    side, shell = _sharp_stemmed_side(DINGHY_NET, 25)
    thwarts = []
    for x in (0.55, 1.50, 2.40):
        port = [(end, _half_breadth(shell, end, 0.33)) for end in (x + 0.12, x - 0.12)]
        outline = [(end, -half) for end, half in reversed(port)] + port
        thwarts += _loft([[(*point, z) for point in outline] for z in (0.33, 0.36)])
    oar = _tube([(0.45, 0.36, 0.38), (2.48, 0.22, 0.38)], 0.04)
    oar += _box((0.10, 0.50), (0.30, 0.43), (0.37, 0.39))
    return Example(
        key="open-dinghy",
        title="Open dinghy",
        description="A 3.6 m open rowing boat: one skin, one free rim, two rowers.",
        hull=_weld("hull", _mirrored(side)),
        fittings=(_weld("thwarts", thwarts), _weld("oars", _mirrored(oar))),
        weights=(
            ExampleWeight("hull", 62.0, (1.65, 0.0, 0.27), "structure", fixed=True),
            ExampleWeight("thwarts", 12.0, (1.48, 0.0, 0.34), "structure"),
            ExampleWeight("after rower", 78.0, (1.10, 0.0, 0.56), "crew"),
            ExampleWeight("forward rower", 72.0, (2.20, 0.0, 0.56), "crew"),
            ExampleWeight("oars and gear", 14.0, (1.80, 0.0, 0.30), "outfit"),
        ),
        perpendiculars=(0.0, 3.4),
        outfit=Outfit(
            service=Service(
                waters="protected", propulsion="manual", cockpit_length=3.6, boat_mass=74.0
            )
        ),
    )


def pontoon() -> Example:
    """A plain box, whose hydrostatics are closed forms."""
    return Example(
        key="pontoon",
        title="Pontoon",
        description="A 10 m by 4 m by 1.2 m box pontoon with a generator on deck.",
        hull=_weld("hull", _box((0, 10), (-2, 2), (0, 1.2))),
        fittings=(
            _weld("generator", _box((2.3, 3.9), (-0.5, 0.5), (1.2, 2.3))),
            _weld("shelter", _box((6.2, 8.2), (-1.1, 1.1), (1.2, 3.3))),
        ),
        weights=(
            ExampleWeight("structure", 13500.0, (5.0, 0.0, 0.65), "structure", fixed=True),
            ExampleWeight("shelter", 800.0, (7.2, 0.0, 2.30), "structure"),
            ExampleWeight("generator", 1500.0, (3.1, 0.0, 1.70), "machinery"),
            ExampleWeight("crew of four", 340.0, (7.0, 0.0, 2.20), "crew"),
        ),
        perpendiculars=(0.0, 10.0),
    )


# Deck edge, topside, bilge, bottom, keel; stern to stem, about the hull's own centreline.
CATAMARAN_NET = _net(
    (
        (0.00, 0.75, 2.25, 4.50, 6.75, 8.40, 9.00),
        (0.36, 0.40, 0.45, 0.47, 0.40, 0.17, 0.00),
        (1.14, 1.14, 1.14, 1.16, 1.21, 1.28, 1.32),
    ),
    (
        (0.10, 0.78, 2.25, 4.50, 6.75, 8.35, 8.96),
        (0.36, 0.40, 0.44, 0.46, 0.36, 0.12, 0.00),
        (0.84, 0.83, 0.82, 0.82, 0.85, 0.90, 0.93),
    ),
    (
        (0.20, 0.80, 2.25, 4.50, 6.75, 8.30, 8.91),
        (0.33, 0.37, 0.42, 0.44, 0.31, 0.08, 0.00),
        (0.54, 0.48, 0.38, 0.34, 0.36, 0.45, 0.55),
    ),
    (
        (0.26, 0.82, 2.25, 4.50, 6.75, 8.25, 8.86),
        (0.20, 0.22, 0.25, 0.26, 0.17, 0.04, 0.00),
        (0.36, 0.27, 0.13, 0.07, 0.08, 0.19, 0.36),
    ),
    (
        (0.28, 0.83, 2.25, 4.50, 6.75, 8.20, 8.80),
        (0.00,) * 7,
        (0.30, 0.20, 0.00, 0.00, 0.00, 0.06, 0.20),
    ),
)


def catamaran() -> Example:
    """Two slender decked hulls that share no vertex, under a bridge deck."""
    side, shell = _sharp_stemmed_side(CATAMARAN_NET, 33)
    side += _quads([shell[0] * CENTRE, shell[0]])
    demihull = _weld("hull", _mirrored(side))
    bridge_deck = _box((1.4, 6.2), (-1.75, 1.75), (0.95, 1.15))
    cuddy = [
        _house_ring(1.15, 2.2, 4.9, 5.6, 1.35, 0.70),
        _house_ring(1.70, 2.2, 4.7, 5.3, 1.30, 0.66),
        _house_ring(2.20, 2.3, 4.2, 4.7, 1.20, 0.60),
        _house_ring(2.32, 2.4, 4.0, 4.4, 1.00, 0.50),
    ]
    beams = _tube([(7.6, y, 1.15) for y in (-2, 2)], 0.14)
    beams += _tube([(0.7, y, 1.08) for y in (-2, 2)], 0.14)
    return Example(
        key="catamaran",
        title="Catamaran",
        description="A 9 m work catamaran: two slender hulls joined by a bridge deck.",
        hull=_together("hull", [_moved(demihull, (0, y, 0)) for y in (2.0, -2.0)]),
        fittings=(
            _weld("bridge deck", bridge_deck),
            _weld("wheelhouse", _loft(cuddy)),
            _weld("windows", _panes(cuddy[1], cuddy[2], (2, 1, 2, 1, 2, 0))),
            _weld("cross beams", beams),
        ),
        weights=(
            ExampleWeight("port hull", 720.0, (4.4, 2.0, 0.62), "structure", fixed=True),
            ExampleWeight("starboard hull", 720.0, (4.4, -2.0, 0.62), "structure", fixed=True),
            ExampleWeight("bridge deck and beams", 620.0, (4.5, 0.0, 1.08), "structure"),
            ExampleWeight("wheelhouse", 330.0, (4.1, 0.0, 1.75), "structure"),
            ExampleWeight("port engine", 170.0, (1.6, 2.0, 0.60), "machinery"),
            ExampleWeight("starboard engine", 170.0, (1.6, -2.0, 0.60), "machinery"),
            ExampleWeight("fuel", 220.0, (5.4, 0.0, 0.98), "consumables"),
            ExampleWeight("crew of three", 240.0, (4.0, 0.0, 1.75), "crew"),
        ),
        perpendiculars=(0.0, 8.9),
    )


def block_barge() -> Example:
    """A barge of closed one-metre cubes; the faces between neighbours lie inside her."""
    cells = [
        (i, j, k) for i in range(12) for j in range(-2, 2) for k in range(2) if k == 1 or 0 < i < 11
    ]
    cube = _weld("hull", _box((0, 1), (0, 1), (0, 1)))
    house = [(i, j, k) for i in (1, 2) for j in (-1, 0) for k in (2, 3)]
    cargo = [(i, j, 2) for i in range(6, 10) for j in (-1, 0)]

    def blocks(name: str, at: list[tuple[int, int, int]]) -> PolygonMesh:
        return _together(name, [_moved(cube, cell) for cell in at])

    return Example(
        key="block-barge",
        title="Block barge",
        description="A 12 m barge built of one-metre cubes with stepped rakes at both ends.",
        hull=blocks("hull", cells),
        fittings=(blocks("deckhouse", house), blocks("cargo", cargo)),
        weights=(
            ExampleWeight("structure", 22000.0, (6.0, 0.0, 1.05), "structure", fixed=True),
            ExampleWeight("deckhouse", 2700.0, (2.0, 0.0, 2.90), "structure"),
            ExampleWeight("engine", 1200.0, (2.2, 0.0, 0.60), "machinery"),
            ExampleWeight("cargo", 8000.0, (8.0, 0.0, 2.50), "cargo"),
            ExampleWeight("crew of three", 250.0, (2.5, 0.0, 2.90), "crew"),
        ),
        perpendiculars=(0.0, 12.0),
    )


# Workboat -------------------------------------------------------------------------------------

# Deck edge, topside, bilge, bottom, keel; stern to stem.
WORKBOAT_NET = _net(
    (
        (0.00, 1.00, 3.20, 7.00, 10.60, 13.10, 14.00),
        (1.95, 2.08, 2.25, 2.30, 2.05, 1.00, 0.00),
        (2.30, 2.24, 2.18, 2.22, 2.42, 2.72, 2.86),
    ),
    (
        (0.0816, 1.02, 3.20, 7.00, 10.60, 12.95, 13.84),
        (1.94, 2.06, 2.24, 2.28, 1.96, 0.82, 0.00),
        (1.62, 1.56, 1.50, 1.52, 1.66, 1.90, 2.06),
    ),
    (
        (0.1632, 1.04, 3.20, 7.00, 10.60, 12.80, 13.66),
        (1.88, 2.00, 2.18, 2.22, 1.80, 0.60, 0.00),
        (0.94, 0.80, 0.56, 0.52, 0.68, 1.00, 1.24),
    ),
    (
        (0.1896, 1.06, 3.20, 7.00, 10.60, 12.60, 13.40),
        (1.20, 1.26, 1.34, 1.34, 1.00, 0.30, 0.00),
        (0.72, 0.58, 0.26, 0.20, 0.28, 0.54, 0.80),
    ),
    (
        (0.1992, 1.08, 3.20, 7.00, 10.60, 12.40, 13.10),
        (0.00,) * 7,
        (0.64, 0.46, 0.00, 0.00, 0.00, 0.20, 0.50),
    ),
)
HATCH = slice(18, 27)  # the stations of her deck edge between which the hold opens
HATCH_SHARE, COAMING = 0.4, 0.4
PIPE_HOLE = (0.9, 0.95), (0.15, 0.1)  # its middle and half its size, across and up
PIPED = ("after bulkhead", "engine room bulkhead")
BEYOND = 3.0  # half the size of sheets that reach past her skin


def _workboat_hull(hatch_open: bool) -> PolygonMesh:
    """Shell, transom, deck and the coaming of her hatch, with its cover unless it is open."""
    side, shell = _sharp_stemmed_side(WORKBOAT_NET, 41)
    edge = shell[0]
    rows = np.stack([edge * (1, share, 1) for share in (0.0, HATCH_SHARE, 1.0)])
    side[-1] = np.concatenate([rows[:2, 0], shell[:, 0]])
    ahead, behind = slice(HATCH.stop - 1, None), slice(None, HATCH.start + 1)
    mouth = rows[:2, HATCH]
    rim = mouth + (0, 0, COAMING)
    side += _quads(rows[1:]) + _quads(rows[:2, behind]) + _quads(rows[:2, ahead])
    side += _quads(np.stack([mouth[1], rim[1]], axis=1))
    side += _quads(np.stack([mouth[:, 0], rim[:, 0]], axis=1))
    side += _quads(np.stack([mouth[:, -1], rim[:, -1]]))
    return _weld("hull", _mirrored(side if hatch_open else side + _quads(rim)))


WORKBOAT_BULKHEADS = {"after bulkhead": 1.7, "engine room bulkhead": 5.2}
WORKBOAT_BULKHEADS |= {"hold bulkhead": 9.4, "collision bulkhead": 12.0}


def workboat(leaky: bool = False) -> Example:
    """A 14 m workboat in rooms; a leaky one has pipe holes through the bulkheads of her engine
    room, and her hatch stands open."""
    house = [
        _house_ring(2.20, 9.45, 11.20, 11.80, 1.15, 0.75),
        _house_ring(4.30, 9.50, 11.10, 11.65, 1.05, 0.70),
        _house_ring(4.45, 9.40, 11.20, 11.80, 1.15, 0.75),
    ]
    wheelhouse = _weld("wheelhouse", _loft(house))
    winch = _moved(_winch(), (13.0, 0.0, 3.35))
    return Example(
        key="leaky-workboat" if leaky else "workboat",
        title="Leaky workboat" if leaky else "Workboat",
        description="A 14 m workboat in six rooms, "
        + ("three of them joined and open to the sky." if leaky else "all of them sealed."),
        hull=_workboat_hull(hatch_open=leaky),
        fittings=(wheelhouse, winch),
        weights=(
            ExampleWeight("hull structure", 15800.0, (6.05, 0.0, 1.35), "structure", fixed=True),
            ExampleWeight("wheelhouse", 1600.0, (10.50, 0.0, 3.40), "structure"),
            ExampleWeight("engine and gearbox", 2600.0, (3.60, 0.0, 0.95), "machinery"),
            ExampleWeight("stern gear", 700.0, (0.90, 0.0, 0.80), "machinery"),
            ExampleWeight("anchor winch", 400.0, (13.0, 0.0, 3.35), "outfit"),
            ExampleWeight("deck outfit", 1500.0, (6.20, 0.0, 2.60), "outfit"),
            ExampleWeight("cabin outfit", 900.0, (10.60, 0.0, 1.30), "outfit"),
            ExampleWeight("cargo", 11000.0, (6.30, 0.0, 1.40), "cargo"),
            ExampleWeight("crew of three", 255.0, (10.40, 0.0, 3.00), "crew"),
        ),
        perpendiculars=(0.0, 13.5),
        outfit=_workboat_outfit(wheelhouse, leaky),
    )


def _holed(name: str, x: float) -> PolygonMesh:
    """A bulkhead at x with a pipe hole in it."""
    frames = ((0.0, 1.5), (BEYOND, BEYOND)), PIPE_HOLE
    square = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
    corners = np.concatenate([middle + square * half for middle, half in frames])
    around = tuple((i, (i + 1) % 4, (i + 1) % 4 + 4, i + 4) for i in range(4))
    return PolygonMesh(name, np.column_stack([np.full(8, x), corners]), around)


def _workboat_outfit(wheelhouse: PolygonMesh, leaky: bool) -> Outfit:
    """Bulkheads, tank top, rooms, doors, tanks and vents, and how she sails and is holed."""
    aft, forward = (WORKBOAT_BULKHEADS[name] for name in ("engine room bulkhead", "hold bulkhead"))
    corners = (aft, -BEYOND), (forward, -BEYOND), (forward, BEYOND), (aft, BEYOND)
    tank_top = PolygonMesh("tank top", np.array([(x, y, 0.6) for x, y in corners]), ((0, 1, 2, 3),))
    bulkheads = [
        WallEntry(name, _holed(name, x) if leaky and name in PIPED else Plane(0, x))
        for name, x in WORKBOAT_BULKHEADS.items()
    ]

    def filled(share: float) -> dict[str, float]:
        return {"port fuel": share, "starboard fuel": share}

    return Outfit(
        tanks=tuple(
            TankEntry(
                f"{name} fuel",
                Box((2.2, low, 0.8), (3.8, high, 1.6)),
                850.0,
                0.9,
                0.98,
                "consumables",
            )
            for name, low, high in (("port", 1.1, 1.7), ("starboard", -1.7, -1.1))
        ),
        openings=(
            Opening(
                "engine room vent", np.array([4.4, 1.5, 3.1]), area=0.12, rooms=("engine room",)
            ),
            Opening("cabin door", np.array([9.45, 0.0, 2.75]), False, "door", 1.1, 1.6, ("cabin",)),
            Opening(
                "steering gear hatch",
                np.array([0.8, 0.0, 2.5]),
                True,
                "hatch",
                0.36,
                0.0,
                ("steering gear",),
            ),
        ),
        windage=(WindageEntry(wheelhouse.name, wheelhouse),),
        service=Service(waters="partially protected", speed=5.0, propulsion="inboard"),
        conditions=(
            Condition("departure", filled(0.98)),
            Condition("arrival, light", filled(0.1), without=("cargo",)),
            Condition("engine room flooded", flooded=("engine room",)),
        ),
        walls=(*bulkheads, WallEntry(tank_top.name, tank_top)),
        rooms=(
            RoomEntry("steering gear", (1.0, 0.0, 1.2), "machinery"),
            RoomEntry("engine room", (4.5, 0.0, 1.2), "machinery"),
            RoomEntry("hold", (7.4, 0.0, 1.2), "cargo"),
            RoomEntry("double bottom", (7.4, 0.0, 0.3), "liquids"),
            RoomEntry("cabin", (10.6, 0.0, 1.2), "accommodation"),
            RoomEntry("fore peak", (12.6, 0.0, 1.6)),
        ),
        doors=(
            Door(
                "hold door", np.array([forward, 0.6, 0.9]), 0.9, 1.3, ("hold", "cabin"), shut=True
            ),
        ),
    )


def leaky_workboat() -> Example:
    """The workboat with holes in two bulkheads and her hatch open."""
    return workboat(leaky=True)


EXAMPLES: Mapping[str, Callable[[], Example]] = MappingProxyType(
    {
        "survey-launch": survey_launch,
        "half-launch": half_launch,
        "open-dinghy": open_dinghy,
        "pontoon": pontoon,
        "catamaran": catamaran,
        "block-barge": block_barge,
        "workboat": workboat,
        "leaky-workboat": leaky_workboat,
    }
)
