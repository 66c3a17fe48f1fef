"""The scene read: hull objects with all their parts, to hulls and cases of the core."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

import bpy
import numpy as np

from ...core.geometry.mesh import Mesh, check_mesh, mirrored
from ...core.messages.findings import BadInputError, Finding
from ...core.messages.sentence import Sentence
from ...core.messages.subjects import Subject
from ...core.model.case import Case
from ...core.model.hull import Hull, Marks, Mould, build_mould
from ...core.model.mirrored_parts import plain_name
from ...files.input_errors import within
from ..properties.names import Role
from ..properties.settings import settings, unit_scale
from .axes import Frame, ObjectAxes, choose_axes, ship_turn
from .members import part_called
from .meshes import (
    Array,
    Layout,
    evaluated,
    layout_of,
    outward,
    placed,
    points_alike,
    surface,
    world_matrix,
)
from .parts import (
    as_it_stands,
    condition_of,
    counted,
    lost_groups,
    stray_findings,
    whole_wall_of,
    windage_of,
)

FLAT = 1e-9


@dataclass(frozen=True)
class TurnedMesh:
    """A hull object's mesh in metres, turned to x forward and z up from the object's origin."""

    mesh: Mesh
    frame: Frame
    axes: ObjectAxes


@dataclass(frozen=True)
class ReadHull:
    """A hull as read; `frame` places the ship axes in the world, `axes` are those of the object.

    `turned` is her mesh as turned, and `layout` what tells its faces apart from others.
    """

    mould: Mould
    turned: TurnedMesh
    layout: Layout

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


@dataclass(frozen=True)
class Reading:
    """A ship of the scene as modelled, and what else the user should know of it."""

    ship: ReadHull
    case: Case
    findings: tuple[Finding, ...]


def read_case(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull | None = None
) -> Reading:
    """The case of a hull object, which may have been read before, and of all her parts.

    Raises BadInputError.
    """
    ship = ship or read_hull(depsgraph, hull)
    unit, chosen, parts = unit_scale(depsgraph.scene), settings(hull), counted(depsgraph, hull)
    frame = ship.frame
    skins = [windage_of(depsgraph, part, frame, ship.hull) for part in parts[Role.WINDAGE]]

    def read(role: Role) -> tuple[Any, ...]:
        return tuple(
            found
            for part in parts[role]
            for found in as_it_stands(depsgraph, part, frame, ship.hull)
        )

    case = Case(
        hull.name,
        replace(ship.hull, name=hull.name),
        read(Role.WEIGHT),
        chosen.water_density,
        read(Role.TANK),
        read(Role.OPENING),
        np.concatenate([np.zeros((0, 3, 3)), *skins]),
        chosen.service.facts(unit),
        chosen.codes.chosen() if chosen.choose_codes else None,
        tuple(rule.rule(unit) for rule in chosen.rules),
        tuple(condition_of(each, parts, unit) for each in chosen.conditions),
        tuple(
            whole_wall_of(depsgraph, part, frame, ship.hull, chosen.mirror)
            for part in parts[Role.WALL]
        ),
        read(Role.ROOM),
        read(Role.DOOR),
    )
    return Reading(ship, case, (*lost_groups(hull, parts), *stray_findings(depsgraph)))


def read_hull(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> ReadHull:
    """The surface of a hull object, modifiers included. Raises BadInputError."""
    turned = turned_mesh(depsgraph, hull)
    mesh = _both_sides(hull, turned)
    mould = build_mould(mesh, chosen_marks(depsgraph, hull))
    return ReadHull(mould, turned, layout_of(evaluated(depsgraph, hull)))


def follow_hull(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull
) -> ReadHull | None:
    """A hull read before with her vertices and her object where they are now.

    Faces keep the triangles that they were first cut in. None where she must be read anew.
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


def follow_case(
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    ship: ReadHull,
    case: Case,
    touched: Container[str] | None,
) -> Case | None:
    """A case read before with the parts of these names (None: all) as they are now.

    None when other parts count now. Raises BadInputError, and KeyError for a part that is no
    more.
    """
    objects: Any = depsgraph.view_layer.objects
    parts = counted(depsgraph, hull) if touched is None else None
    now: dict[Role, tuple[Any, ...]] = {}
    for role, things in (
        (Role.WEIGHT, case.weights),
        (Role.TANK, case.tanks),
        (Role.OPENING, case.openings),
    ):
        known = _by_part(objects, hull, role, things)
        if parts is not None and [part.name for part in parts[role]] != [name for name, _ in known]:
            return None
        now[role] = tuple(
            thing
            for name, own in known
            for thing in (
                as_it_stands(depsgraph, objects[name], ship.frame, ship.hull)
                if touched is None or name in touched
                else own
            )
        )
    return replace(
        case,
        hull=replace(ship.hull, name=case.hull.name),
        weights=now[Role.WEIGHT],
        tanks=now[Role.TANK],
        openings=now[Role.OPENING],
        water_density=settings(hull).water_density,
    )


def _by_part(
    objects: Any, hull: bpy.types.Object, role: Role, things: tuple[Any, ...]
) -> list[tuple[str, list[Any]]]:
    """What the core knows by name, with the names of the objects that it was read from."""

    def source(thing: Any) -> str:
        if plain_name(thing.name) == thing.name:
            return str(thing.name)
        part = part_called(objects, thing.name, hull, role)
        return part.name if part else str(thing.name)

    return [(name, [*own]) for name, own in groupby(things, source)]


def _solid_matrix(obj: bpy.types.Object) -> Array:
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
    return mirrored(turned.mesh) if settings(hull).mirror else turned.mesh


def turned_mesh(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> TurnedMesh:
    """The mesh of a hull object as modelled, one side only of a half hull.

    Raises BadInputError for an object that is disabled or flattened by its scale.
    """
    found = evaluated(depsgraph, hull)
    chosen = settings(hull)
    matrix = _solid_matrix(found)
    linear = matrix[:3, :3]
    points, triangles, faces = surface(found)
    with within(hull.name):
        axes = choose_axes(points, linear, chosen.forward, chosen.up)
    frame = Frame(ship_turn(axes, linear), matrix[:3, 3], unit_scale(depsgraph.scene))
    mesh = Mesh(hull.name, frame.ship(placed(matrix, points)), outward(linear, triangles), faces)
    return TurnedMesh(mesh, frame, axes)


def chosen_marks(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> Marks:
    """The marks that the user set, in metres in the turned mesh."""
    chosen, unit = settings(hull), unit_scale(depsgraph.scene)
    if not chosen.use_marks:
        return Marks()
    return Marks(
        chosen.aft_perpendicular * unit,
        chosen.forward_perpendicular * unit,
        chosen.baseline * unit,
    )


def ends(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> tuple[float, float, float]:
    """Aft end, forward end and lowest point of a hull object, from its origin, in Blender units.

    Raises BadInputError.
    """
    turned = turned_mesh(depsgraph, hull)
    check_mesh(turned.mesh)
    used = turned.mesh.vertices[np.unique(turned.mesh.triangles)] / turned.frame.unit
    low, high = used.min(axis=0), used.max(axis=0)
    return float(low[0]), float(high[0]), float(low[2])


def guessed_axes(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> ObjectAxes:
    """Which way a hull object points. Raises BadInputError."""
    return turned_mesh(depsgraph, hull).axes
