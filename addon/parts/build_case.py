"""Entries become the parts of a case: bodies, planes and points in ship axes.

Meshes are placed as the hull's. A part on both sides becomes two.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, TypeVar

import numpy as np

from ..core.arrays import Floats
from ..core.buoyancy.moment_tree import build_tree
from ..core.geometry.envelope import Envelope, find_envelope
from ..core.geometry.mesh import Mesh, triangulate
from ..core.messages.findings import BadInputError
from ..core.messages.sentence import WORDS, Sentence, called
from ..core.messages.subjects import Subject, SubjectKind
from ..core.model.case import Case
from ..core.model.compartment import CompartmentMark
from ..core.model.conditions import Condition
from ..core.model.hull import Hull
from ..core.model.mirrored_parts import (
    check_off_center,
    mirrored_boundary,
    mirrored_pair,
    with_mirrored_faces,
    with_own_side,
    with_pair_names,
)
from ..core.model.openings import Door, Opening, opening_shape
from ..core.model.service import Service
from ..core.model.tanks import Tank
from ..core.model.user_criteria import CustomCriterion
from ..core.model.weights import Weight, solid_weight, surface_weight
from ..files.input_errors import within
from ..files.obj import PolygonMesh
from .declarations import (
    COMPARTMENT,
    CONDITION,
    CRITERION,
    DOOR,
    OPENING,
    SERVICE,
    TANK,
    WATER,
    WEIGHT,
    BoundaryEntry,
    CaseEntry,
    CompartmentEntry,
    DoorEntry,
    OpeningEntry,
    TankEntry,
    WeightEntry,
    WindageEntry,
)
from .places import MODELED, Box, Place, Plane
from .specification import Part

MeshOf = Callable[[str], Mesh]
DoorOrOpening = TypeVar("DoorOrOpening", Opening, Door)

BEYOND = 0.05
"""Share of the hull's diagonal by which a plane reaches past its bounding box."""
CORNERS = np.array(list(product((0, 1), repeat=3)))
FACES = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
"""Corners of a box, 0 for low and 1 for high along x, y and z, and its faces, outward."""


def build_case(entry: CaseEntry, hull: Hull, mesh_of: MeshOf | None = None) -> Case:
    """The case of an entry whose hull is built.

    `mesh_of` gives the mesh of a file in meters, turned, placed as the hull's mesh; it may be
    left out where no part has a file. Raises BadInputError for a tank or a compartment whose mesh
    does not close, and for a part on both sides that is on the centerline.
    """
    pairs = {
        key: {each.name for each in entries if each.both_sides}
        for key, entries in (
            ("weight", entry.weights),
            ("tank", entry.tanks),
            ("compartment", entry.compartments),
        )
    }
    compartments = pairs["compartment"] | pairs["tank"]
    parts = Builder(hull, entry.hull.mesh, mesh_of, frozenset(compartments))
    return Case(
        entry.title,
        hull,
        tuple(part for each in entry.weights for part in parts.weights(each)),
        **WATER.core_values(entry.water),
        tanks=parts.made(entry.tanks, parts.tank),
        openings=parts.paths(entry.openings, parts.opening),
        windage=np.concatenate([np.zeros((0, 3, 3)), *map(parts.windage, entry.windage)]),
        boundaries=tuple(map(parts.boundary, entry.boundaries)),
        compartment_marks=parts.made(entry.compartments, parts.compartment),
        doors=parts.paths(entry.doors, parts.door),
        service=Service(**SERVICE.core_values(entry.service)),
        codes=entry.criteria.codes,
        custom_criteria=tuple(
            CustomCriterion(**CRITERION.core_values(each)) for each in entry.custom_criteria
        ),
        conditions=tuple(
            with_pair_names(
                Condition(**CONDITION.core_values(each)),
                pairs["weight"],
                pairs["tank"],
                compartments,
            )
            for each in entry.conditions
        ),
    )


@dataclass(frozen=True)
class Builder:
    """Makes parts of a hull from their entries.

    `paired` are the plain names of compartments on both sides.
    """

    hull: Hull
    hull_mesh: str | PolygonMesh | Mesh
    mesh_of: MeshOf | None
    paired: frozenset[str] = frozenset()

    def made(self, entries: Iterable[Any], make: Callable[[Any], Any]) -> tuple[Any, ...]:
        """What is made of entries, both of each that is on both sides."""
        return tuple(
            part
            for entry in entries
            for one in [make(entry)]
            for part in (mirrored_pair(one, self.hull, self.paired) if entry.both_sides else (one,))
        )

    def paths(
        self, entries: Iterable[Any], make: Callable[[Any], DoorOrOpening]
    ) -> tuple[DoorOrOpening, ...]:
        """Openings or doors made of entries, each into the compartments on its own side."""
        made = self.made(entries, make)
        return tuple(with_own_side(path, self.paired, self.hull) for path in made)

    def weights(self, entry: WeightEntry) -> tuple[Weight, ...]:
        """A weight, both of one on both sides."""
        if not isinstance(entry.place, MODELED):
            weight = Weight(center=np.array(entry.place), **WEIGHT.core_values(entry))
            return mirrored_pair(weight, self.hull) if entry.both_sides else (weight,)
        mesh, origin = self.modeled(entry.place), self.hull.origin
        hulls = isinstance(entry.place, str) and entry.place == self.hull_mesh
        own = {"fixed": hulls or entry.place is self.hull_mesh}
        weight = replace(modeled_weight(entry, mesh, origin), **(own | WEIGHT.core_values(entry)))
        if not entry.both_sides:
            return (weight,)
        across = mesh.vertices[mesh.triangles, 1] - origin[1]
        check_off_center(Subject("weight", entry.name), across, self.hull)
        return mirrored_pair(weight, self.hull)

    def tank(self, entry: TankEntry) -> Tank:
        """The tank with a closed body."""
        closed = _closed(Subject("tank", entry.name), self.placed(entry.place))
        body = build_tree(closed.vertices, closed.triangles)
        return Tank(body=body, **TANK.core_values(entry))

    def opening(self, entry: OpeningEntry) -> Opening:
        """The opening at its point, or at the lowest corners of its surface."""
        return Opening(**self.way("opening", OPENING, entry, "corners"))

    def door(self, entry: DoorEntry) -> Door:
        """The door with its sill at a point, or where its surface is lowest."""
        return Door(**self.way("door", DOOR, entry))

    def way(
        self, kind: SubjectKind, part: Part[Any], entry: OpeningEntry | DoorEntry, *more: str
    ) -> dict[str, Any]:
        """Arguments of an opening or a door; `more` of a surface is passed on."""
        values = part.core_values(entry)
        if not isinstance(entry.place, MODELED):
            return {"point": np.array(entry.place)} | values
        surface = self.placed(entry.place)
        corners = surface.vertices[surface.triangles]
        found = opening_shape(Subject(kind, entry.name), corners, entry.area, entry.height)
        own = {key: getattr(found, key) for key in ("area", "height", *more)}
        return values | {"point": found.sill} | own

    def windage(self, entry: WindageEntry) -> Floats:
        """Triangles (n, 3, 3) that catch the wind."""
        mesh = self.placed(entry.place)
        faces: Floats = mesh.vertices[mesh.triangles]
        if entry.both_sides:
            return with_mirrored_faces(Subject("windage", entry.name), faces, self.hull)
        return faces

    def boundary(self, entry: BoundaryEntry) -> Mesh:
        """A bulkhead or a deck, with its mirror image where it is on both sides."""
        if isinstance(entry.place, Plane):
            boundary = _sheet(entry.name, entry.place, self.hull)
        else:
            boundary = replace(self.placed(entry.place), name=entry.name)
        return mirrored_boundary(boundary, self.hull) if entry.both_sides else boundary

    def compartment(self, entry: CompartmentEntry) -> CompartmentMark:
        """The mark of a compartment, at a point in it or with the body around it."""
        values = COMPARTMENT.core_values(entry)
        if isinstance(entry.place, tuple):
            return CompartmentMark(at=np.array(entry.place), **values)
        closed = _closed(Subject("compartment", entry.name), self.placed(entry.place))
        return CompartmentMark(body=closed.vertices[closed.triangles], **values)

    def placed(self, place: Place) -> Mesh:
        """A box or a mesh in ship axes."""
        if isinstance(place, Box):
            return drawn(box_mesh(place))
        mesh = self.modeled(place)
        return replace(mesh, vertices=mesh.vertices - self.hull.origin)

    def modeled(self, place: Place) -> Mesh:
        """A mesh in meters, turned, placed as the hull's mesh."""
        if isinstance(place, Mesh):
            return place
        if isinstance(place, PolygonMesh):
            return drawn(place)
        assert isinstance(place, str) and self.mesh_of
        return self.mesh_of(place)


def modeled_weight(entry: WeightEntry, mesh: Mesh, origin: Floats) -> Weight:
    """A weight with a mesh, in axes that start at an origin (3,) in it."""
    body = find_envelope(mesh) if entry.areal_density is None else mesh
    shape = entry.name, body.vertices - origin, body.triangles
    if entry.areal_density is not None:
        return surface_weight(*shape, entry.areal_density)
    assert entry.solid_density is not None
    return solid_weight(*shape, entry.solid_density)


def _closed(what: Subject, mesh: Mesh) -> Envelope:
    """The surface of a mesh that must close."""
    with within(called(what)):
        closed = find_envelope(mesh)
        if closed.caps:
            fault = Sentence(
                "the mesh is open, and a {kind} must close; fill its holes", kind=WORDS[what.kind]
            )
            if mesh.name != what.name:
                fault = Sentence("{mesh}: {fault}", mesh=mesh.name, fault=fault)
            raise BadInputError(fault)
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


def drawn(mesh: PolygonMesh) -> Mesh:
    """A mesh of polygons in triangles."""
    return triangulate(mesh.name, mesh.vertices, mesh.polygons)


def box_mesh(box: Box) -> PolygonMesh:
    """The box as six faces, outward."""
    ends = np.array([box.low, box.high])
    return PolygonMesh("box", ends[CORNERS, [0, 1, 2]], FACES)
