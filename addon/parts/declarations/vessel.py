"""The hull, the water and the windage."""

from __future__ import annotations

from dataclasses import dataclass

from ...core.geometry.mesh import Mesh
from ...core.model.axes import AXES
from ...core.model.case import FRESH_WATER, SEA_WATER
from ...core.model.hull import ReferencePlanes
from ...files.obj import PolygonMesh
from ..declare import choice, file, flag, mirrored, named, number, placed
from ..places import Box, Place, by_mesh, in_box
from ..specification import Choice, Part, Source, Unit

DIRECTIONS = tuple(Choice(axis, axis, f"The mesh's own {axis} axis") for axis in AXES)


@dataclass(frozen=True)
class HullEntry:
    """The watertight outer surface, and the ship axes in it"""

    mesh: str | PolygonMesh | Mesh = file(
        "Mesh file, OBJ, PLY, STL or GLB, beside this file",
        hint='such as mesh = "hull.obj"',
        example="hull.obj",
    )
    forward: str | None = choice(
        "The axis of the mesh that points to the bow; along X unless it is given",
        DIRECTIONS,
        None,
        core="",
        example="+X",
    )
    up: str | None = choice(
        "The axis of the mesh that points from keel to deck; Y in GLB, else Z",
        DIRECTIONS,
        None,
        core="",
        example="+Z",
    )
    meters_per_unit: float = number(
        "Meters in one unit of the mesh",
        default=1.0,
        above=0.0,
        core="",
        source=Source.NOWHERE,
        hint="such as 1.0, or 0.001 for millimeters",
        example=1.0,
    )
    aft_perpendicular_x: float | None = number(
        "Position of the aft perpendicular (AP); the after end unless it is given",
        Unit.LENGTH,
        None,
        example=0.0,
        label="AP X",
    )
    forward_perpendicular_x: float | None = number(
        "Position of the forward perpendicular (FP); the forward end unless it is given",
        Unit.LENGTH,
        None,
        example=10.0,
        label="FP X",
    )
    baseline_z: float | None = number(
        "Height in the mesh from which drafts are measured; the lowest point unless it is given",
        Unit.LENGTH,
        None,
        example=0.0,
    )
    centerline_y: float | None = number(
        "Position of the centerplane in the mesh; the middle of the breadth unless it is given",
        Unit.LENGTH,
        None,
        core="centerline_y",
        example=0.0,
    )
    mirror: bool = flag(
        "One half of the hull is modeled, open along the centerplane; it is mirrored",
        core="",
        label="Half Hull",
    )


@dataclass(frozen=True)
class WaterEntry:
    """The water that the vessel floats in"""

    density: float = number(
        f"Density of the water; sea water {SEA_WATER:g}, fresh water {FRESH_WATER:g}",
        Unit.DENSITY,
        SEA_WATER,
        above=0.0,
        core="water_density",
        hint=f"such as {SEA_WATER:g} for sea water",
    )


@dataclass(frozen=True)
class WindageEntry:
    """A shape above deck that is exposed to wind, in addition to the hull"""

    name: str = named("wheelhouse")
    place: Place = placed(
        by_mesh("a surface"), in_box(), example=Box((5.0, -1.0, 1.8), (8.0, 1.0, 3.8))
    )
    both_sides: bool = mirrored()


HULL = Part("hull", "Hull", HullEntry, ReferencePlanes)
WATER = Part("water", "Water", WaterEntry)
WINDAGE = Part("windage", "Windage", WindageEntry)
