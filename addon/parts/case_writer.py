"""Cases written out: a commented TOML file with its meshes and its weight list beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from ..core.geometry.mesh import Mesh
from ..files.disk import write_new
from ..files.obj import PolygonMesh, obj_text
from .declarations import CASE, CaseEntry
from .specification import Kind
from .toml_writer import case_text
from .weight_list import listed_weight, weight_list_text

CASE_FILE, WEIGHTS = "case.toml", "weights.csv"


def write_case(directory: Path, entry: CaseEntry) -> tuple[Path, ...]:
    """Writes a case that reads back the same to the last digit; gives the paths, the case first.

    Meshes in the entry, in meters, go to files of their own, point weights to a weight list. Raises
    BadInputError, with nothing written, where one of the files exists already.
    """
    points = [each for each in entry.weights if isinstance(each.place, tuple)]
    others = tuple(each for each in entry.weights if each not in points)
    filed, meshes = with_files(replace(entry, weights=others, weight_list=WEIGHTS))
    files = {CASE_FILE: case_text(filed), WEIGHTS: weight_list_text(map(listed_weight, points))}
    files |= {name: obj_text(mesh) for name, mesh in meshes.items()}
    return write_new(directory, files)


def with_files(entry: CaseEntry) -> tuple[CaseEntry, dict[str, PolygonMesh]]:
    """The entry with names of files in place of its meshes, and those meshes by these names."""
    meshes: dict[str, PolygonMesh] = {}

    def filed(part: Any, key: str, stem: str) -> Any:
        mesh = getattr(part, key, None)
        if isinstance(mesh, Mesh):
            mesh = PolygonMesh(mesh.name, mesh.vertices, tuple(map(tuple, mesh.triangles.tolist())))
        if not isinstance(mesh, PolygonMesh):
            return part
        known = (name for name, other in meshes.items() if other is mesh)
        name = next(known, f"{stem}.obj")
        meshes[name] = mesh
        return replace(part, **{key: name})

    tables = {"hull": filed(entry.hull, "mesh", "hull")} | {
        field.name: tuple(
            filed(part, "place", f"{field.key}-{i}")
            for i, part in enumerate(getattr(entry, field.name), 1)
        )
        for field in CASE.fields
        if field.kind == Kind.TABLES
    }
    return replace(entry, **tables), meshes
