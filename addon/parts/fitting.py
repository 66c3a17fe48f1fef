"""The outfit that a case tells made part of the ship: bodies, planes and marks in ship axes.

Meshes stand where the hull's does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..core.buoyancy.moment_tree import build_tree
from ..core.geometry.envelope import Envelope, find_envelope
from ..core.geometry.mesh import Mesh, triangulate
from ..core.messages.findings import BadInputError
from ..core.messages.sentence import WORDS, called
from ..core.messages.subjects import Subject, SubjectKind
from ..core.model.case import Case
from ..core.model.compartment import RoomMark
from ..core.model.hull import Hull
from ..core.model.mirrored_parts import led, pair, paired_faces, paired_wall, plain_name, spread
from ..core.model.openings import Door, Opening, Passage, passage
from ..core.model.tanks import Tank
from ..files.input_errors import within
from ..files.obj import PolygonMesh
from .outfit import (
    Body,
    Box,
    DoorEntry,
    OpeningEntry,
    Outfit,
    Plane,
    RoomEntry,
    TankEntry,
    WallEntry,
    WindageEntry,
)

Array = NDArray[np.float64]

BEYOND = 0.05
"""Share of the hull's diagonal by which a plane reaches past her bounding box."""
CORNERS = np.array(list(product((0, 1), repeat=3)))
FACES = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
"""Corners of a box, 0 for low and 1 for high along x, y and z, and its faces, outward."""


def fitted(case: Case, outfit: Outfit, mesh_of: Callable[[str], Mesh] | None = None) -> Case:
    """The case with its outfit.

    `mesh_of` gives the mesh of a file in metres, turned, where the hull's mesh stands. Raises
    BadInputError for a tank or a room whose mesh does not close.
    """

    def placed(body: Body) -> Mesh:
        if isinstance(body, str):
            assert mesh_of
            mesh = mesh_of(body)
        else:
            drawn = box_mesh(body) if isinstance(body, Box) else body
            mesh = triangulate(drawn.name, drawn.vertices, drawn.polygons)
        origin = 0.0 if isinstance(body, Box) else case.hull.origin
        return replace(mesh, vertices=mesh.vertices - origin)

    def tank(entry: TankEntry) -> Tank:
        closed = _closed(Subject("tank", entry.name), placed(entry.body))
        return Tank(
            entry.name,
            build_tree(closed.vertices, closed.triangles),
            entry.density,
            entry.fill,
            entry.permeability,
            entry.group,
        )

    def wall(entry: WallEntry) -> Mesh:
        if isinstance(entry.body, Plane):
            return _sheet(entry.name, entry.body, case.hull)
        return replace(placed(entry.body), name=entry.name)

    def mark(entry: RoomEntry) -> RoomMark:
        if isinstance(entry.place, tuple):
            where, body = np.array(entry.place), None
        else:
            closed = _closed(Subject("compartment", entry.name), placed(entry.place))
            where, body = None, closed.vertices[closed.triangles]
        return RoomMark(entry.name, where, body, entry.use, entry.permeability)

    def passing(kind: SubjectKind, entry: OpeningEntry | DoorEntry) -> Passage:
        surface = placed(entry.body)
        corners = surface.vertices[surface.triangles]
        return passage(Subject(kind, entry.name), corners, entry.area, entry.height)

    def opening(entry: Opening | OpeningEntry) -> Opening:
        if isinstance(entry, Opening):
            return entry
        found = passing("opening", entry)
        return found.opening(entry.name, entry.weathertight, entry.kind, entry.rooms)

    def door(entry: Door | DoorEntry) -> Door:
        if isinstance(entry, Door):
            return entry
        return passing("door", entry).door(entry.name, entry.rooms, entry.shut, entry.discharge)

    def shape(entry: WindageEntry) -> Array:
        mesh = placed(entry.body)
        return mesh.vertices[mesh.triangles]

    def pairs(key: str, entries: Iterable[Any]) -> set[str]:
        """Names of the entries that stand on both sides."""
        return {entry.name for i, entry in enumerate(entries) if (key, i) in outfit.both_sides}

    def parts(key: str, entries: Iterable[Any], made: Callable[[Any], Any]) -> tuple[Any, ...]:
        """What is made of the entries, both of those that stand on both sides."""
        return tuple(
            part
            for i, one in enumerate(map(made, entries))
            for part in (pair(one, case.hull) if (key, i) in outfit.both_sides else (one,))
        )

    rooms = pairs("room", outfit.rooms) | pairs("tank", outfit.tanks)
    tanks = pairs("tank", outfit.tanks)
    weights = {plain_name(weight.name) for weight in case.weights if weight.twin}
    return replace(
        case,
        tanks=parts("tank", outfit.tanks, tank),
        openings=tuple(
            led(way, rooms, case.hull) for way in parts("opening", outfit.openings, opening)
        ),
        windage=np.concatenate(
            [
                np.zeros((0, 3, 3)),
                *(
                    paired_faces(Subject("windage", entry.name), shape(entry), case.hull)
                    if ("windage", i) in outfit.both_sides
                    else shape(entry)
                    for i, entry in enumerate(outfit.windage)
                ),
            ]
        ),
        walls=tuple(
            paired_wall(wall(entry), case.hull) if ("wall", i) in outfit.both_sides else wall(entry)
            for i, entry in enumerate(outfit.walls)
        ),
        room_marks=parts("room", outfit.rooms, mark),
        doors=tuple(led(way, rooms, case.hull) for way in parts("door", outfit.doors, door)),
        service=outfit.service,
        codes=outfit.codes,
        own_rules=outfit.own_rules,
        conditions=tuple(spread(each, weights, tanks, rooms) for each in outfit.conditions),
    )


def _closed(what: Subject, mesh: Mesh) -> Envelope:
    """The surface of a mesh that must close."""
    with within(called(what)):
        closed = find_envelope(mesh)
        if closed.lids:
            raise BadInputError(
                f"{mesh.name}: the mesh is open, and a {WORDS[what.kind]} must close; fill "
                "its holes"
            )
    return closed


def _sheet(name: str, plane: Plane, hull: Hull) -> Mesh:
    """A plane as a rectangle that reaches past the hull on all sides."""
    past = BEYOND * hull.tree.size
    ends = np.array([hull.tree.low - past, hull.tree.high + past])
    across, up = (axis for axis in range(3) if axis != plane.axis)
    vertices = np.zeros((4, 3))
    vertices[:, plane.axis] = plane.at
    vertices[:, across] = ends[[0, 1, 1, 0], across]
    vertices[:, up] = ends[[0, 0, 1, 1], up]
    return triangulate(name, vertices, ((0, 1, 2, 3),))


def box_mesh(box: Box) -> PolygonMesh:
    """The box as six faces, outward."""
    ends = np.array([box.low, box.high])
    return PolygonMesh("box", ends[CORNERS, [0, 1, 2]], FACES)
