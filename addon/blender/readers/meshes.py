"""Meshes and places of evaluated objects as arrays."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import blake2b
from typing import Any

import bpy
import numpy as np
from numpy.typing import NDArray

from ...core.arrays import Floats, Floats32, Ints
from ...core.messages.findings import BadInputError
from ...core.messages.sentence import Sentence
from ...core.messages.subjects import Subject
from .members import is_enabled


def evaluated(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object) -> bpy.types.Object:
    """The object as Blender evaluates it. Raises BadInputError for one that is disabled."""
    found = obj.evaluated_get(depsgraph)
    if not (found.is_evaluated and is_enabled(depsgraph.view_layer, obj)):
        raise BadInputError(
            Sentence(
                "{object}: the object is disabled in viewports or its collection is excluded; "
                "enable it (hiding it with the eye does no harm)",
                object=Subject("object", obj.name),
            )
        )
    return found


def world_matrix(obj: bpy.types.Object) -> Floats:
    """Matrix (4, 4) from the object to the world, in double precision."""
    return np.array(obj.matrix_world, dtype=np.float64)


def digest_object(
    digest: blake2b, depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, geometry: bool
) -> None:
    """Add the place of an object, and its mesh if that counts, to a digest."""
    found = obj.evaluated_get(depsgraph)
    digest.update(world_matrix(found).tobytes())
    if geometry:
        with _mesh_of(found) as mesh:
            digest.update(b"%d" % len(mesh.polygons))
            digest.update(_positions(mesh).tobytes())
            digest.update(_corner_vertices(mesh).tobytes())


def placed(matrix: Floats, points: Floats) -> Floats:
    """Points (n, 3) moved by a matrix (4, 4)."""
    return points @ matrix[:3, :3].T + matrix[:3, 3]


def outward(linear: Floats, triangles: Ints) -> Ints:
    """Triangles turned about where a negative scale turns them inside out."""
    return triangles if np.linalg.det(linear) > 0 else triangles[:, ::-1]


def surface(obj: bpy.types.Object) -> tuple[Floats, Ints, Ints]:
    """Local points (n, 3), triangles (m, 3) and the face of each (m,) of an evaluated object.

    Raises BadInputError for one without a mesh.
    """
    with _mesh_of(obj) as mesh:
        mesh.calc_loop_triangles()
        points = _positions(mesh).astype(np.float64)
        corners = np.zeros(3 * len(mesh.loop_triangles), np.int32)
        mesh.loop_triangles.foreach_get("loops", corners)
        faces = np.zeros(len(mesh.loop_triangles), np.int32)
        mesh.loop_triangle_polygons.foreach_get("value", faces)
        triangles = _corner_vertices(mesh)[corners].reshape(-1, 3)
    return points, triangles.astype(np.int64), faces.astype(np.int64)


@dataclass(frozen=True)
class Layout:
    """What identifies the faces of a mesh: their number and the vertex of each of
    their corners."""

    faces: int
    vertices: int
    corners: NDArray[np.int32]


def layout_of(obj: bpy.types.Object) -> Layout:
    """The layout of the mesh of an evaluated object."""
    with _mesh_of(obj) as mesh:
        return Layout(len(mesh.polygons), len(mesh.vertices), _corner_vertices(mesh))


def points_alike(obj: bpy.types.Object, layout: Layout) -> Floats | None:
    """Local points (n, 3) of an evaluated object with that layout; None where it has another."""
    with _mesh_of(obj) as mesh:
        counts = (len(mesh.polygons), len(mesh.vertices), len(mesh.loops))
        if counts != (layout.faces, layout.vertices, len(layout.corners)):
            return None
        if not np.array_equal(_corner_vertices(mesh), layout.corners):
            return None
        return _positions(mesh).astype(np.float64)


@contextmanager
def _mesh_of(obj: bpy.types.Object) -> Iterator[bpy.types.Mesh]:
    """The mesh as evaluated, in edit mode too. Raises BadInputError where there is none."""
    try:
        mesh = obj.to_mesh()
    except RuntimeError:
        mesh = None
    if mesh is None:
        raise BadInputError(
            Sentence(
                "{object}: the object has no surface; choose a mesh, or a point mass",
                object=Subject("object", obj.name),
            )
        )
    try:
        yield mesh
    finally:
        obj.to_mesh_clear()


def _positions(mesh: bpy.types.Mesh) -> Floats32:
    """Vertices (n, 3)."""
    flat = np.zeros(3 * len(mesh.vertices), np.float32)
    _fill(flat, mesh, "position", "vector")
    return flat.reshape(-1, 3)


def _corner_vertices(mesh: bpy.types.Mesh) -> NDArray[np.int32]:
    """Vertex of each face corner."""
    corners = np.zeros(len(mesh.loops), np.int32)
    _fill(corners, mesh, ".corner_vert", "value")
    return corners


def _fill(values: NDArray[Any], mesh: bpy.types.Mesh, name: str, field: str) -> None:
    """Reads an attribute into an array of its size and kind, the one fast way."""
    if len(values):
        attribute: Any = mesh.attributes[name]
        attribute.data.foreach_get(field, values)
