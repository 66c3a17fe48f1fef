"""The example vessels, read from the folders beside this module."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from ..core.model.weights import Weight
from ..files.disk import read_text, write_new
from ..files.obj import PolygonMesh, parse_obj
from ..parts.case_file import read_case_entry
from ..parts.case_writer import CASE_FILE
from ..parts.declarations import CaseEntry
from ..parts.weight_list import read_weight_list

FOLDER = Path(__file__).parent
EXAMPLES = tuple(sorted(case.parent.name for case in FOLDER.glob(f"*/{CASE_FILE}")))
"""Names of the examples, which are those of their folders."""

DEFAULT = "survey-launch"
WINCH, OVER_THE_SIDE = "survey winch", (3.0, 2.08, 3.1)
DRAWN = ("tanks", "openings", "windage", "boundaries", "compartments", "doors")
"""Parts of a case that may be meshes."""


@dataclass(frozen=True, eq=False)
class Example:
    """One vessel, in ship axes (x forward, y to port, z up; m and kg).

    `perpendiculars` are the x of the aft and the forward one; with `half_hull` the mesh is the port
    side only, open along the centerline plane. `weights` do not include the content of the tanks;
    meshes of parts are in `case_entry` in place of the names of their files. `fittings` are further
    shapes: windage, and fittings that displace no water.
    """

    key: str
    title: str
    hull: PolygonMesh
    weights: tuple[Weight, ...]
    perpendiculars: tuple[float, float]
    half_hull: bool
    case_entry: CaseEntry
    fittings: tuple[PolygonMesh, ...]


def load_example(key: str) -> Example:
    """The example of that name, its meshes as polygons with all their digits."""
    folder = FOLDER / key
    entry = read_case_entry(folder / CASE_FILE)
    hull, case_entry = entry.hull, _drawn(entry, folder)
    houses = [shape.place for shape in case_entry.windage if isinstance(shape.place, PolygonMesh)]
    assert hull.aft_perpendicular_x is not None and hull.forward_perpendicular_x is not None
    return Example(
        key,
        entry.title,
        _mesh(folder / str(hull.mesh)),
        tuple(listed.weight for listed in read_weight_list(folder / entry.weight_list)),
        (hull.aft_perpendicular_x, hull.forward_perpendicular_x),
        hull.mirror,
        case_entry,
        (*houses, *map(_mesh, sorted(folder.glob("fittings/*.obj")))),
    )


def listing_launch() -> Example:
    """The survey launch, with the winch swung out over the port side."""
    launch = load_example(DEFAULT)
    (winch,) = (weight for weight in launch.weights if weight.name == WINCH)
    moved = replace(winch, center=np.array(OVER_THE_SIDE))
    by = moved.center - winch.center
    return replace(
        launch,
        weights=tuple(moved if weight is winch else weight for weight in launch.weights),
        fittings=tuple(
            replace(each, vertices=each.vertices + by) if each.name == WINCH else each
            for each in launch.fittings
        ),
    )


def copy_example(key: str, directory: Path) -> tuple[Path, ...]:
    """Copies the files of a case into a directory; gives their paths, the case first.

    Raises BadInputError, with nothing written, where one of them exists already.
    """
    files = sorted(
        (path for path in (FOLDER / key).iterdir() if path.is_file()),
        key=lambda path: (path.name != CASE_FILE, path.name),
    )
    return write_new(directory, {path.name: read_text(path) for path in files})


def _mesh(path: Path) -> PolygonMesh:
    """Mesh of an OBJ file, named by it."""
    return PolygonMesh(path.stem.replace("-", " "), *parse_obj(read_text(path)))


def _drawn(entry: CaseEntry, folder: Path) -> CaseEntry:
    """The entry with meshes in place of the names of their files."""

    def drawn(part: Any) -> Any:
        names = {key: getattr(part, key, None) for key in ("place",)}
        meshes = {key: _mesh(folder / name) for key, name in names.items() if isinstance(name, str)}
        return replace(part, **meshes) if meshes else part

    lists: dict[str, Any] = {key: tuple(map(drawn, getattr(entry, key))) for key in DRAWN}
    return replace(entry, **lists)
