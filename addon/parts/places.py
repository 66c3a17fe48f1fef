"""Where parts are: at a point, in a box, on a plane, or where a mesh is.

Points, boxes and planes are in ship axes; a mesh is placed as the hull's.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..core.geometry.mesh import Mesh
from ..files.obj import PolygonMesh

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Box:
    """A box along the ship axes, by two opposite corners (m)."""

    low: Point
    high: Point


@dataclass(frozen=True)
class Plane:
    """A whole plane through the hull: 0 for x, 1 for y or 2 for z, and where along it (m)."""

    axis: int
    at: float


Place = str | Box | Plane | Point | PolygonMesh | Mesh
"""Where a part is: the name of a mesh file, a box, a plane or a point in ship axes (m), or a mesh
in meters placed as the hull's."""

MODELED = (str, PolygonMesh, Mesh)
"""The kind of a place that is given by a mesh."""

MESH, BOX, POSITION = "mesh", "box_m", "position_m"
PLANES = ("x_m", "y_m", "z_m")
"""Keys of a place, of which one is given."""


@dataclass(frozen=True)
class Form:
    """One way to give a place: its key, what it means, and how a message asks for it."""

    key: str
    doc: str
    phrase: str


def by_mesh(doc: str) -> Form:
    """A mesh file, placed as the hull's."""
    return Form(MESH, f"Mesh file of {doc}", f"{MESH} for {doc}")


def in_box() -> Form:
    """A box in ship axes."""
    doc = "Two opposite corners of a box in ship axes"
    return Form(BOX, doc, f"{BOX} = [[x0, y0, z0], [x1, y1, z1]]")


def at_point(doc: str) -> Form:
    """A point in ship axes."""
    return Form(POSITION, f"Point in ship axes: {doc}", f"{POSITION} = [x, y, z] for {doc}")


def on_plane(axis: int, doc: str) -> Form:
    """A whole plane square to an axis."""
    key = PLANES[axis]
    return Form(key, f"Where {doc} is that is a whole plane", f"{key} for {doc}")


def form_of(place: Place) -> str:
    """The key under which a place is given."""
    if isinstance(place, MODELED):
        return MESH
    if isinstance(place, Plane):
        return PLANES[place.axis]
    return BOX if isinstance(place, Box) else POSITION
