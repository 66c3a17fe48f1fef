"""Case files: TOML in, checked key by key, to a `Case`.

Positions of weights are in ship axes; marks are in the mesh's own place, turned and in metres.
Files named in a case are found beside it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..core.geometry.envelope import find_envelope
from ..core.geometry.mesh import Mesh, mirrored
from ..core.messages.findings import BadInputError
from ..core.messages.subjects import Subject
from ..core.model.axes import Axes
from ..core.model.case import SEA_WATER, Case
from ..core.model.conditions import in_condition
from ..core.model.hull import Hull, Marks, build_hull
from ..core.model.mirrored_parts import check_aside, pair
from ..core.model.weights import Weight, solid_weight, surface_weight
from ..files.disk import read_text
from ..files.input_errors import within
from ..files.mesh_file import read_mesh, usual_axes
from .fitting import fitted
from .outfit import BOTH_SIDES, KEYS, Outfit, parse_outfit
from .table import Table
from .weight_list import ListedWeight, read_weight_list

Array = NDArray[np.float64]

MARKS = ("aft_perpendicular_x_m", "forward_perpendicular_x_m", "baseline_z_m", "centreline_y_m")
HULL_KEYS = ("mesh", "forward", "up", "metres_per_unit", *MARKS, "mirror")
AREAL, SOLID = "areal_density_kg_m2", "solid_density_kg_m3"
MASS_KEYS = ("mass_kg", "position_m", "mesh", AREAL, SOLID)
WEIGHT_KEYS = ("name", *MASS_KEYS, "group", BOTH_SIDES, "fixed")
CASE_KEYS = ("title", "hull", "water", "weight", "weight_list", *KEYS, "service", "criteria")


@dataclass(frozen=True)
class HullEntry:
    """What a case says of its hull: the mesh file and how it becomes a ship; axes as is usual for
    the kind of file where it says nothing."""

    mesh: str
    forward: str | None
    up: str | None
    metres_per_unit: float
    marks: Marks
    mirror: bool

    def axes(self, path: Path) -> Axes:
        """How the mesh of a file beside the case is turned."""
        usual = usual_axes(path)
        return Axes(self.forward or usual.forward, self.up or usual.up)


@dataclass(frozen=True)
class MeshWeight:
    """A weight by its mesh file and its density: kg/m2 of a skin, or kg/m3 of a solid."""

    name: str
    mesh: str
    density: float
    skin: bool
    group: str
    both_sides: bool = False
    fixed: bool = False


@dataclass(frozen=True)
class CaseEntry:
    """A case as its file says it, no other file opened yet."""

    title: str
    hull: HullEntry
    weights: tuple[ListedWeight | MeshWeight, ...]
    weight_list: str | None
    water_density: float
    outfit: Outfit = Outfit()


def read_case(path: Path) -> Case:
    """Case of a file. Raises BadInputError, one line that starts with the name of a file."""
    text = read_text(path)
    with within(str(path)):
        try:
            keys = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise BadInputError(f"is not TOML: {error}; mend that line") from None
        entry = parse_case(keys, path.stem)
    mesh = _as_modelled(path.parent / entry.hull.mesh, entry.hull)
    if entry.hull.mirror:
        mesh = _whole(mesh, entry.hull.marks.centreline_y or 0.0)
    hull = build_hull(mesh, entry.hull.marks)
    listed = read_weight_list(path.parent / entry.weight_list) if entry.weight_list else ()

    def modelled(name: str) -> Mesh:
        return _as_modelled(path.parent / name, entry.hull)

    with within(str(path)):
        weights = tuple(
            weight
            for told in (*entry.weights, *listed)
            for weight in (
                _weighed(told, modelled(told.mesh), hull)
                if isinstance(told, MeshWeight)
                else pair(told.weight, hull)
                if told.both_sides
                else (told.weight,)
            )
        )
        plain = Case(entry.title, hull, weights, entry.water_density)
        case = fitted(plain, entry.outfit, modelled)
        for condition in case.conditions:
            in_condition(case, condition)
        return case


def parse_case(keys: Mapping[str, Any], title: str = "ship") -> CaseEntry:
    """Case from the keys of its file; `title` serves where there is none."""
    top = Table("", keys)
    top.check_keys(CASE_KEYS)
    water = top.table("water", ("density_kg_m3",))
    density = water.number("density_kg_m3")
    hull = _hull(top.table("hull", HULL_KEYS))
    weights = enumerate(top.tables("weight", WEIGHT_KEYS), 1)
    return CaseEntry(
        top.text("title") or title,
        hull,
        tuple(_weight(table, i, hull.mesh) for i, table in weights),
        top.text("weight_list"),
        SEA_WATER if density is None else density,
        parse_outfit(top),
    )


def _hull(table: Table) -> HullEntry:
    mesh = table.text("mesh")
    if mesh is None:
        raise BadInputError('there is no hull.mesh; name the mesh file, such as mesh = "hull.obj"')
    scale = table.number("metres_per_unit")
    if scale is not None and not scale > 0:
        raise BadInputError(
            f"hull.metres_per_unit is {scale:g}; give the metres in one unit of the mesh, "
            "such as 1.0, or 0.001 for millimetres"
        )
    entry = HullEntry(
        mesh,
        table.text("forward"),
        table.text("up"),
        1.0 if scale is None else scale,
        Marks(*(table.number(mark) for mark in MARKS)),
        bool(table.flag("mirror")),
    )
    with within("hull"):
        entry.axes(Path(mesh))
    return entry


def _weight(table: Table, number: int, hull: str) -> ListedWeight | MeshWeight:
    """A weight; one by the mesh of the `hull` is fixed unless it says otherwise."""
    name = table.text("name") or f"weight {number}"
    group = table.text("group") or ""
    given = {key for key in MASS_KEYS if key in table.keys}
    both, fixed = bool(table.flag(BOTH_SIDES)), table.flag("fixed")
    mass, position = table.number("mass_kg"), table.point("position_m")
    mesh, areal, solid = table.text("mesh"), table.number(AREAL), table.number(SOLID)
    if mass is not None and position is not None and len(given) == 2:
        return ListedWeight(
            name, mass, np.array(position), group, fixed=bool(fixed), both_sides=both
        )
    fixed = mesh == hull if fixed is None else fixed
    if mesh is not None and len(given) == 2:
        if areal is not None:
            return MeshWeight(name, mesh, areal, True, group, both, fixed)
        if solid is not None:
            return MeshWeight(name, mesh, solid, False, group, both, fixed)
    raise BadInputError(
        f"weight '{name}' has {', '.join(sorted(given)) or 'nothing'}; give mass_kg and "
        f"position_m, or mesh and one of {AREAL} and {SOLID}"
    )


def _as_modelled(path: Path, hull: HullEntry) -> Mesh:
    """Mesh of a file, turned to x forward and z up and in metres."""
    mesh = read_mesh(path)
    return replace(mesh, vertices=hull.axes(path).turn(mesh.vertices) * hull.metres_per_unit)


def _whole(mesh: Mesh, centreline_y: float) -> Mesh:
    """Both sides of a half hull."""
    aside = np.array([0.0, centreline_y, 0.0])
    whole = mirrored(replace(mesh, vertices=mesh.vertices - aside))
    return replace(whole, vertices=whole.vertices + aside)


def _weighed(told: MeshWeight, mesh: Mesh, hull: Hull) -> tuple[Weight, ...]:
    """The weight of a mesh that stands where the hull's mesh does, both of one on both sides."""
    body = mesh if told.skin else find_envelope(mesh)
    points = body.vertices - hull.origin
    weigh = surface_weight if told.skin else solid_weight
    weight = weigh(told.name, points, body.triangles, told.density, told.group)
    weight = replace(weight, fixed=told.fixed)
    if not told.both_sides:
        return (weight,)
    check_aside(Subject("weight", told.name), points[body.triangles, 1], hull)
    return pair(weight, hull)
