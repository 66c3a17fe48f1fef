"""Meshes from files: OBJ, PLY, STL and GLB.

OBJ and PLY keep their polygons and their digits. STL and GLB are read by trimesh, which is
imported for them alone.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np

from ..core.geometry.mesh import Mesh, triangulate
from ..core.messages.findings import BadInputError
from ..core.messages.sentence import counted
from ..core.model.axes import Axes
from .disk import read_bytes
from .input_errors import within
from .obj import parse_obj
from .ply import parse_ply


def read_mesh(path: Path) -> Mesh:
    """Mesh of a file in its own axes, named by its path; all objects together.

    Raises BadInputError for a file that is missing, broken, of another kind, or without faces.
    """
    data = read_bytes(path)
    with within(str(path)):
        reader = READERS.get(path.suffix.lower())
        if reader is None:
            raise BadInputError(
                f"'{path.suffix}' is no mesh format read here; export the mesh as "
                f"{', '.join(suffix[1:].upper() for suffix in READERS)}"
            )
        if not data:
            raise BadInputError("the file is empty; export the mesh again")
        mesh = reader(str(path), data)
        _check(mesh)
    return mesh


def default_axes(path: Path) -> Axes:
    """Axes of a mesh file of that kind: y up in GLB (glTF 2.0, 3.4), else z; the bow along x."""
    return Axes(up="+Y") if path.suffix.lower() == ".glb" else Axes()


def _obj(name: str, data: bytes) -> Mesh:
    return triangulate(name, *parse_obj(data.decode("utf-8", "replace")))


def _ply(name: str, data: bytes) -> Mesh:
    return triangulate(name, *parse_ply(data))


def _stl(name: str, data: bytes) -> Mesh:
    """An STL file once it is known to be whole, which trimesh does not ask."""
    count = int.from_bytes(data[80:84], "little")
    if len(data) != 84 + 50 * count:
        if not data.lstrip().lower().startswith(b"solid"):
            raise BadInputError(
                "truncated STL: its header promises "
                f"{counted(count, '{count} triangle', '{count} triangles')} in "
                f"{84 + 50 * count} bytes, but it has {len(data)}; export the mesh again"
            )
        if b"endsolid" not in data[-400:].lower():
            raise BadInputError("truncated STL: 'endsolid' is missing; export the mesh again")
    return _by_trimesh(name, data, "stl")


def _glb(name: str, data: bytes) -> Mesh:
    return _by_trimesh(name, data, "glb")


def _by_trimesh(name: str, data: bytes, kind: str) -> Mesh:
    try:
        import trimesh
    except ImportError:
        raise BadInputError(
            f"reading {kind.upper()} needs the library trimesh: pip install trimesh"
        ) from None
    try:
        scene = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False)
        found = scene.to_mesh()
    except Exception as error:  # the library raises whatever broke it
        raise BadInputError(
            f"not a whole {kind.upper()} file ({error}); export the mesh again"
        ) from None
    triangles = np.array(found.faces, dtype=np.int64).reshape(-1, 3)
    return Mesh(
        name,
        np.array(found.vertices, dtype=np.float64).reshape(-1, 3),
        triangles,
        np.arange(len(triangles)),
    )


def _check(mesh: Mesh) -> None:
    """What every use of a mesh needs: faces, on vertices that exist, at places that are numbers."""
    if not len(mesh.triangles):
        raise BadInputError("the file holds no faces; export a surface")
    count = len(mesh.vertices)
    if mesh.triangles.min() < 0 or mesh.triangles.max() >= count:
        raise BadInputError(
            f"a face refers to a vertex that is missing, the file holds {count}; "
            "export the mesh again"
        )
    bad = np.flatnonzero(~np.isfinite(mesh.vertices).all(axis=1))
    if len(bad):
        raise BadInputError(
            f"{counted(len(bad), '{count} vertex has', '{count} vertices have')} a coordinate that "
            f"is not a number, the first is vertex {bad[0] + 1}; delete or move it"
        )


READERS: dict[str, Callable[[str, bytes], Mesh]] = {
    ".obj": _obj,
    ".ply": _ply,
    ".stl": _stl,
    ".glb": _glb,
}
