"""The scene read: hull objects with all their parts, to hulls and cases of the core."""

from __future__ import annotations

from dataclasses import dataclass, replace

import bpy
import numpy as np

from ...core.arrays import Floats
from ...core.geometry.mesh import Mesh, check_mesh, mirrored
from ...core.messages.findings import BadInputError
from ...core.messages.sentence import Sentence
from ...core.messages.subjects import Subject
from ...core.model.hull import Hull, ReferencePlanes, ReshapableHull, build_reshapable_hull
from ...files.input_errors import within
from ...parts.declarations import HULL, HullEntry
from ..properties.names import AUTO
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from .axes import Frame, ObjectAxes, choose_axes, ship_turn
from .meshes import (
    Layout,
    evaluated,
    layout_of,
    outward,
    placed,
    points_alike,
    surface,
    world_matrix,
)

FLAT = 1e-9
AHEAD, UP = "+X", "+Z"
"""Axes of a mesh as turned."""


@dataclass(frozen=True)
class TurnedMesh:
    """A hull object's mesh in meters, turned to x forward and z up from the object's origin."""

    mesh: Mesh
    frame: Frame
    axes: ObjectAxes


@dataclass(frozen=True)
class ReadHull:
    """A hull as read; `frame` places the ship axes in the world, `axes` are those of the object.

    `turned` is its mesh in ship axes, one side where `half` of it is modeled, and `layout`
    identifies its faces.
    """

    mould: ReshapableHull
    turned: TurnedMesh
    layout: Layout
    half: bool

    @property
    def hull(self) -> Hull:
        """The hull in ship axes."""
        return self.mould.hull

    @property
    def frame(self) -> Frame:
        """Where the ship axes lie in the world."""
        return self.turned.frame.moved(self.hull.origin)

    @property
    def axes(self) -> ObjectAxes:
        """The axes of the object that point forward and up."""
        return self.turned.axes


def read_hull(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> ReadHull:
    """The surface of a hull object, modifiers included. Raises BadInputError."""
    turned = turned_mesh(depsgraph, hull)
    mesh = _both_sides(hull, turned)
    mould = build_reshapable_hull(
        mesh, ReferencePlanes(**HULL.core_values(hull_entry(depsgraph, hull, turned.mesh)))
    )
    return ReadHull(
        mould, turned, layout_of(evaluated(depsgraph, hull)), settings(hull).form.mirror
    )


def follow_hull(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull
) -> ReadHull | None:
    """A hull read before with its vertices and its object where they are now.

    Faces keep the triangles that they were first cut in. None where it must be read again.
    Raises BadInputError.
    """
    found = evaluated(depsgraph, hull)
    points = points_alike(found, ship.layout)
    if points is None or not np.isfinite(points).all():
        return None
    matrix = _solid_matrix(found)
    before = ship.turned
    frame = Frame(ship_turn(before.axes, matrix[:3, :3]), matrix[:3, 3], before.frame.unit)
    mesh = replace(before.mesh, vertices=frame.ship(placed(matrix, points)))
    turned = replace(before, mesh=mesh, frame=frame)
    mould = ship.mould.reshaped(_both_sides(hull, turned))
    return None if mould is None else replace(ship, mould=mould, turned=turned)


def _solid_matrix(obj: bpy.types.Object) -> Floats:
    """Matrix (4, 4) of an evaluated object. Raises BadInputError for one that flattens it."""
    matrix = world_matrix(obj)
    linear = matrix[:3, :3]
    lengths = np.linalg.norm(linear, axis=0)
    if not (np.isfinite(matrix).all() and abs(np.linalg.det(linear)) > FLAT * lengths.prod()):
        raise BadInputError(
            Sentence(
                "{object}: the object's scale flattens it; give it a scale above zero along X, Y "
                "and Z, its parents too",
                object=Subject("object", obj.name),
            )
        )
    return matrix


def _both_sides(hull: bpy.types.Object, turned: TurnedMesh) -> Mesh:
    return mirrored(turned.mesh) if settings(hull).form.mirror else turned.mesh


def turned_mesh(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> TurnedMesh:
    """The mesh of a hull object as modeled, one side only of a half hull.

    Raises BadInputError for an object that is disabled or flattened by its scale.
    """
    found = evaluated(depsgraph, hull)
    form = settings(hull).form
    forward, up = (form.word(HULL.field(name)) or AUTO for name in ("forward", "up"))
    matrix = _solid_matrix(found)
    linear = matrix[:3, :3]
    points, triangles, faces = surface(found)
    with within(hull.name):
        axes = choose_axes(points, linear, forward, up)
    frame = Frame(ship_turn(axes, linear), matrix[:3, 3], unit_scale(depsgraph.scene))
    mesh = Mesh(hull.name, frame.ship(placed(matrix, points)), outward(linear, triangles), faces)
    return TurnedMesh(mesh, frame, axes)


def hull_entry(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, mesh: Mesh) -> HullEntry:
    """A hull object by its mesh as turned."""
    turned = {"mesh": mesh, "forward": AHEAD, "up": UP}
    return HULL.entry(**(settings(hull).form.values(unit_scale(depsgraph.scene)) | turned))


def usual_marks(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> dict[str, float]:
    """Where the marks of a hull object are unless they are set, from its origin, in Blender units,
    by their names in the entry. Raises BadInputError.
    """
    turned = turned_mesh(depsgraph, hull)
    check_mesh(turned.mesh)
    used = turned.mesh.vertices[np.unique(turned.mesh.triangles)] / turned.frame.unit
    low, high = used.min(axis=0).tolist(), used.max(axis=0).tolist()
    middle = 0.0 if settings(hull).form.mirror else (low[1] + high[1]) / 2
    return {
        "aft_perpendicular_x": low[0],
        "forward_perpendicular_x": high[0],
        "baseline_z": low[2],
        "centerline_y": middle,
    }


def guessed_axes(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> ObjectAxes:
    """The forward and up axes of a hull object. Raises BadInputError."""
    return turned_mesh(depsgraph, hull).axes
