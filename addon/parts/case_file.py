"""Case files: TOML with meshes and a weight list beside it, read to a `Case`.

Positions of weights are in ship axes; perpendiculars, baseline and centerline are in the mesh's own
place, turned and in meters.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from ..core.geometry.mesh import Mesh, mirrored
from ..core.messages.findings import BadInputError
from ..core.model.axes import Axes
from ..core.model.case import Case
from ..core.model.hull import ReferencePlanes, build_hull
from ..core.model.loaded_case import in_condition
from ..files.disk import read_text
from ..files.input_errors import within
from ..files.mesh_file import default_axes, read_mesh
from .build_case import build_case
from .declarations import CASE, HULL, CaseEntry, HullEntry
from .toml_reader import read_entry, read_value
from .weight_list import read_weight_list


def read_case(path: Path) -> Case:
    """Case of a file. Raises BadInputError, one line that starts with the name of a file."""
    entry = read_case_entry(path)
    mesh = _as_modeled(path, entry.hull, str(entry.hull.mesh))
    marks = ReferencePlanes(**HULL.core_values(entry.hull))
    if entry.hull.mirror:
        mesh = _whole(mesh, marks.centerline_y or 0.0)
    hull = build_hull(mesh, marks)
    if entry.weight_list:
        listed = read_weight_list(path.parent / entry.weight_list)
        entry = replace(entry, weights=(*entry.weights, *(each.entry for each in listed)))
    with within(str(path)):
        case = build_case(entry, hull, lambda name: _as_modeled(path, entry.hull, name))
        for condition in case.conditions:
            in_condition(case, condition)
        return case


def read_case_entry(path: Path) -> CaseEntry:
    """The entry of a case file, no other file opened. Raises BadInputError as `read_case`."""
    text = read_text(path)
    with within(str(path)):
        try:
            keys = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise BadInputError(f"is not TOML: {error}; mend that line") from None
        return parse_case(keys, path.stem)


def parse_case(keys: Mapping[str, Any], title: str = "ship") -> CaseEntry:
    """Entry of the keys of a case file; `title` serves where there is none."""
    read_value(CASE, "format", keys)
    entry = read_entry(CASE, keys)
    with within("hull"):
        axes_of(entry.hull, Path(str(entry.hull.mesh)))
    return entry if entry.title else replace(entry, title=title)


def axes_of(hull: HullEntry, path: Path) -> Axes:
    """Axes of the mesh of a file: those of the hull's entry, else the usual ones of its kind."""
    usual = default_axes(path)
    return Axes(hull.forward or usual.forward, hull.up or usual.up)


def _as_modeled(case: Path, hull: HullEntry, name: str) -> Mesh:
    """Mesh of a file beside a case, turned to x forward and z up and in meters."""
    path = case.parent / name
    mesh = read_mesh(path)
    return replace(mesh, vertices=axes_of(hull, path).turn(mesh.vertices) * hull.meters_per_unit)


def _whole(mesh: Mesh, centerline_y: float) -> Mesh:
    """Both sides of a half hull."""
    aside = np.array([0.0, centerline_y, 0.0])
    whole = mirrored(replace(mesh, vertices=mesh.vertices - aside))
    return replace(whole, vertices=whole.vertices + aside)
