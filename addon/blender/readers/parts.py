"""Parts of a hull object as entries, and those made the parts of a case."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import bpy
import numpy as np

from ...core.arrays import Floats
from ...core.geometry.mesh import Mesh
from ...core.messages.findings import BadInputError
from ...core.messages.sentence import Sentence, called
from ...core.messages.subjects import Subject
from ...core.model.mirrored_parts import is_off_center
from ...core.model.openings import OpeningShape, opening_shape
from ...parts.build_case import Builder, modeled_weight
from ...parts.places import Place
from ...parts.specification import Part
from ..properties.names import SUBJECTS, Basis, Role
from ..properties.object_settings import OF_OBJECTS
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from .axes import Frame
from .hulls import ReadHull
from .members import scene_parts
from .meshes import evaluated, outward, placed, surface, world_matrix

PART_OF = {Role(part.key.upper()): part for part in OF_OBJECTS}
"""What the objects of each role are declared by."""


def entry_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull) -> Any:
    """The entry of a part of a hull that was read. Raises BadInputError."""
    place = _place(depsgraph, obj, ship)
    return _entry(depsgraph, obj, place, _is_mirrored(obj, place, ship))


def core_part(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull
) -> tuple[Any, ...]:
    """A weight, a tank or an opening as the core has it, both of one on both sides.

    Raises BadInputError.
    """
    opening = settings(obj).role == Role.OPENING
    paired = _paired_compartments(depsgraph, obj) if opening else frozenset()
    return _made(obj, entry_of(depsgraph, obj, ship), ship, paired)


def as_modeled(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull) -> Any:
    """The same, only the one that is modeled of two on both sides. Raises BadInputError."""
    return _made(obj, replace(entry_of(depsgraph, obj, ship), both_sides=False), ship)[0]


def boundary_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull) -> Mesh:
    """A deck or a bulkhead in ship axes, both sides of one on both. Raises BadInputError."""
    return Builder(ship.hull, ship.turned.mesh, None).boundary(entry_of(depsgraph, obj, ship))


def mass_alone(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object) -> float:
    """Mass (kg) of a weight from its mesh, whatever its hull. Raises BadInputError."""
    frame = Frame(np.eye(3), np.zeros(3), unit_scale(depsgraph.scene))
    body = body_of(depsgraph, obj, frame)
    return modeled_weight(_entry(depsgraph, obj, body, both_sides=False), body, frame.start).mass


def passage_of(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull
) -> OpeningShape:
    """The outline that an opening or a door cuts into a surface, its own size where it has one.

    Raises BadInputError.
    """
    chosen = settings(obj)
    entry = entry_of(depsgraph, obj, ship)
    body = body_of(depsgraph, obj, ship.frame)
    what = Subject(SUBJECTS[chosen.role], obj.name)
    return opening_shape(what, body.vertices[body.triangles], entry.area, entry.height)


def place_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Floats:
    """Where the origin of an object is (3,), in ship axes."""
    return frame.ship(world_matrix(evaluated(depsgraph, obj))[:3, 3])


def body_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Mesh:
    """The mesh of an object, modifiers included, in the frame's axes. Raises BadInputError."""
    found = evaluated(depsgraph, obj)
    matrix = world_matrix(found)
    points, triangles, faces = surface(found)
    places = frame.ship(placed(matrix, points))
    return Mesh(obj.name, places, outward(matrix[:3, :3], triangles), faces)


def is_on_both_sides(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull) -> bool:
    """Whether a boundary is on both sides. Raises BadInputError."""
    return _is_mirrored(obj, _place(depsgraph, obj, ship), ship)


def _made(
    obj: bpy.types.Object, entry: Any, ship: ReadHull, paired: frozenset[str] = frozenset()
) -> tuple[Any, ...]:
    """A weight, a tank or an opening of its entry."""
    builder = Builder(ship.hull, ship.turned.mesh, None, paired)
    match settings(obj).role:
        case Role.WEIGHT:
            return builder.weights(entry)
        case Role.TANK:
            return builder.made([entry], builder.tank)
        case _:
            return builder.paths([entry], builder.opening)


def _paired_compartments(depsgraph: bpy.types.Depsgraph, part: bpy.types.Object) -> frozenset[str]:
    """The names of the compartments on both sides of the hull of a part."""
    here = scene_parts(depsgraph.view_layer)
    compartments = here.parts_of(here.owner(part), Role.COMPARTMENT, Role.TANK)
    return frozenset(each.name for each in compartments if settings(each).both_sides)


def _entry(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, place: Place, both_sides: bool
) -> Any:
    chosen = settings(obj)
    part: Part[Any] = PART_OF[Role(chosen.role)]
    group = getattr(chosen, part.key, None)
    values = group.values(unit_scale(depsgraph.scene)) if group else {}
    shared = {"group": chosen.group, "both_sides": both_sides}
    known = {field.name for field in part.fields}
    values |= {name: value for name, value in shared.items() if name in known}
    return part.entry(name=obj.name, place=place, **values)


def _place(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull) -> Place:
    """Where a part is: the origin of an empty or of a point mass, else its mesh.

    Raises BadInputError.
    """
    chosen = settings(obj)
    point = obj.type == "EMPTY" or chosen.role == Role.BREACH
    if chosen.role == Role.WEIGHT:
        point = chosen.weight.basis == Basis.POINT
    if point:
        x, y, z = place_of(depsgraph, obj, ship.frame).tolist()
        return (x, y, z)
    body = body_of(depsgraph, obj, ship.turned.frame)
    if chosen.role in (Role.BOUNDARY, Role.WINDAGE) and not len(body.triangles):
        raise BadInputError(
            Sentence(
                "{part}: the mesh has no faces; model some or unmark it",
                part=called(Subject(SUBJECTS[chosen.role], obj.name)),
            )
        )
    return body


def _is_mirrored(obj: bpy.types.Object, place: Place, ship: ReadHull) -> bool:
    """Whether a part is on both sides, as its object says or as a boundary on one side of a hull of
    which one half is modeled."""
    chosen = settings(obj)
    if chosen.both_sides or chosen.role != Role.BOUNDARY or not ship.half:
        return bool(chosen.both_sides)
    assert isinstance(place, Mesh)
    across = place.vertices[place.triangles, 1] - ship.hull.origin[1]
    return is_off_center(across, ship.hull)
