"""Cases written out: a commented TOML file with its hull and its weight list beside it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from ..core.axes import Axes
from ..core.case import FRESH_WATER, SEA_WATER
from ..core.hull import Marks
from ..core.weights import Weight
from .disk import write_new
from .obj import PolygonMesh, obj_text
from .weight_list import weight_list_text

CASE, HULL, WEIGHTS = "case.toml", "hull.obj", "weights.csv"

TEMPLATE = """\
# One ship for naval-checks. Metres and kilograms. Ship axes: x forward from the
# aft perpendicular, y to port from the centreline, z up from the baseline.

title = {title}
weight_list = {weights}  # one weight a row: name, mass_kg, x_m, y_m, z_m, group

[hull]
mesh = {hull}  # OBJ, PLY, STL or GLB, beside this file
forward = {forward}  # the axis of the mesh that points to the bow
up = {up}  # and the one that points to the sky
metres_per_unit = 1.0  # 0.001 for a mesh in millimetres
mirror = {mirror}  # true for one half of a hull, cut at the centreline
# Where the ship axes lie in the mesh, once it is turned and in metres.
# Without them: the ends, the lowest point and the middle of the hull.
{marks}

[water]
density_kg_m3 = {density}  # sea water {sea}, fresh water {fresh}

# Weights may stand here too, by mass and position:
#
# [[weight]]
# name = "passengers"
# mass_kg = 300.0
# position_m = [4.0, 0.0, 1.5]
# group = "crew"
#
# or by a mesh, which stands where the hull's does, as a skin or as a solid:
#
# [[weight]]
# name = "deck plating"
# mesh = "deck.obj"
# areal_density_kg_m2 = 20.0  # or solid_density_kg_m3 = 650.0
"""


def write_case(
    directory: Path,
    title: str,
    mesh: PolygonMesh,
    weights: Iterable[Weight] = (),
    axes: Axes | None = None,
    marks: Marks | None = None,
    water_density: float = SEA_WATER,
    mirror: bool = False,
) -> tuple[Path, ...]:
    """Writes a case that reads back the same to the last digit; gives the paths, the case first.

    `mesh` is in metres, in the axes and with the marks told. Weights become point masses.
    Raises BadInputError, with nothing written, where one of the files exists already.
    """
    files = {
        CASE: case_text(title, axes or Axes(), marks or Marks(), water_density, mirror),
        WEIGHTS: weight_list_text(weights),
        HULL: obj_text(mesh),
    }
    return write_new(directory, files)


def case_text(title: str, axes: Axes, marks: Marks, water_density: float, mirror: bool) -> str:
    """TOML text of a case whose hull and weights lie beside it."""
    places = {
        "aft_perpendicular_x_m": marks.aft_perpendicular_x,
        "forward_perpendicular_x_m": marks.forward_perpendicular_x,
        "baseline_z_m": marks.baseline_z,
        "centreline_y_m": marks.centreline_y,
    }
    return TEMPLATE.format(
        title=_quoted(title),
        weights=_quoted(WEIGHTS),
        hull=_quoted(HULL),
        forward=_quoted(axes.forward),
        up=_quoted(axes.up),
        mirror=str(mirror).lower(),
        marks="\n".join(
            f"# {key} = 0.0" if place is None else f"{key} = {float(place)!r}"
            for key, place in places.items()
        ),
        density=repr(float(water_density)),
        sea=f"{SEA_WATER:g}",
        fresh=f"{FRESH_WATER:g}",
    )


def _quoted(text: str) -> str:
    """A TOML string; JSON's escapes are TOML's too, but for the one control it leaves bare."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
