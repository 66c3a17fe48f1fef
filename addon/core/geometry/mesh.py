"""Triangulated meshes as modeled: checks, and the whole from one half."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..arrays import Floats, Ints
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, counted, meters
from ..messages.subjects import Subject
from .polygon_triangulation import triangulate_polygons
from .symmetry import mirror_image

WELD_SHARE = 1e-6
"""Share of the size of a mesh within which points of it coincide."""


@dataclass(frozen=True)
class Mesh:
    """A triangulated mesh: vertices (n, 3) m, triangles (m, 3), and the face of each (m,)."""

    name: str
    vertices: Floats
    triangles: Ints
    faces: Ints

    @cached_property
    def size(self) -> float:
        """Diagonal of the bounding box of the faces (m)."""
        return float(np.linalg.norm(np.ptp(compacted(self.vertices, self.triangles)[0], axis=0)))

    @property
    def tolerance(self) -> float:
        """Distance (m) within which vertices and faces coincide."""
        return WELD_SHARE * self.size


def triangulate(name: str, vertices: Floats, polygons: tuple[tuple[int, ...], ...]) -> Mesh:
    """Mesh from polygons, convex or not; bent ones are fans from their first corner."""
    points = np.asarray(vertices, dtype=np.float64).reshape(-1, 3)
    return Mesh(name, points, *triangulate_polygons(points, polygons))


def mirrored(mesh: Mesh) -> Mesh:
    """Whole hull from one half, mirrored about the plane y = 0.

    Faces that lie in the plane are dropped. Raises BadInputError for a mesh on both sides.
    """
    check_mesh(mesh)
    side = mesh.vertices[mesh.triangles, 1]
    low, high = side.min(), side.max()
    if low < -mesh.tolerance and high > mesh.tolerance:
        raise BadInputError(
            Sentence(
                "{mesh}: a half hull must lie on one side of the mirror plane, but it reaches from "
                "y = {low} to {high}",
                mesh=Subject("object", mesh.name),
                low=meters(low, ".4g", unit=""),
                high=meters(high, ".4g"),
            )
        )
    return with_mirror_image(mesh)


def with_mirror_image(mesh: Mesh) -> Mesh:
    """A mesh on one side of the plane y = 0 and its mirror image there, joined in the plane.

    Faces that lie in the plane are dropped.
    """
    vertices = mesh.vertices.copy()
    side = vertices[:, 1]
    side[np.abs(side) <= mesh.tolerance] = 0.0
    kept = (side[mesh.triangles] != 0.0).any(axis=1)
    triangles, faces = mesh.triangles[kept], mesh.faces[kept]
    mirrored_vertex = np.where(side == 0.0, np.arange(len(side)), np.arange(len(side)) + len(side))
    return Mesh(
        mesh.name,
        np.concatenate([vertices, mirror_image(vertices)]),
        np.concatenate([triangles, mirrored_vertex[triangles][:, ::-1]]),
        np.concatenate([faces, faces]),
    )


def check_mesh(mesh: Mesh) -> None:
    """Raises BadInputError for a mesh without faces, with unusable numbers, or without extent."""
    if not len(mesh.triangles):
        words = "{mesh}: the mesh has no faces; model or choose a hull surface"
        raise BadInputError(Sentence(words, mesh=Subject("object", mesh.name)))
    if not np.isfinite(mesh.vertices).all():
        bad = np.flatnonzero(~np.isfinite(mesh.vertices).all(axis=1))
        raise BadInputError(
            Sentence(
                "{mesh}: {vertices} with a coordinate that is not a number, first vertex {first}; "
                "delete or move it",
                mesh=Subject("object", mesh.name),
                vertices=counted(len(bad), "{count} vertex", "{count} vertices"),
                first=bad[0],
            )
        )
    extent = np.ptp(compacted(mesh.vertices, mesh.triangles)[0], axis=0)
    if extent.min() <= WELD_SHARE * max(extent.max(), np.finfo(float).tiny):
        axis = "xyz"[int(extent.argmin())]
        raise BadInputError(
            Sentence(
                "{mesh}: the mesh is flat, with no extent along {axis}; model a body with length, "
                "breadth and depth",
                mesh=Subject("object", mesh.name),
                axis=axis,
            )
        )


def compacted(vertices: Floats, triangles: Ints) -> tuple[Floats, Ints]:
    """Vertices that the triangles use, and the triangles renumbered."""
    used = np.zeros(len(vertices), bool)
    used[triangles] = True
    return vertices[used], (np.cumsum(used) - 1)[triangles]
