"""The parts of a ship read: what she carries, what parts and opens her, loading conditions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import bpy
import numpy as np
from numpy.typing import NDArray

from ...core.buoyancy.moment_tree import build_tree
from ...core.geometry.envelope import Envelope, find_envelope
from ...core.geometry.mesh import Mesh
from ...core.messages.findings import BadInputError
from ...core.messages.sentence import Sentence
from ...core.model.compartment import RoomMark
from ...core.model.hull import Hull
from ...core.model.mirrored_parts import check_aside, is_aside, pair, paired_faces, paired_wall
from ...core.model.openings import Door, Opening, Passage, passage
from ...core.model.tanks import Tank
from ...core.model.weights import Weight, solid_weight, surface_weight
from ...files.input_errors import within
from ..properties.names import Basis, Role
from ..properties.settings import settings
from .axes import Frame
from .meshes import evaluated, outward, placed, surface, world_matrix

Array = NDArray[np.float64]


def as_it_stands(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame, hull: Hull
) -> tuple[Any, ...]:
    """A part in ship axes, both of one on both sides. Raises BadInputError."""
    role = settings(obj).role
    one = READERS[role](depsgraph, obj, frame)
    if not settings(obj).both_sides:
        return (one,)
    if role == Role.WEIGHT and settings(obj).basis != Basis.POINT:
        body = body_of(depsgraph, obj, frame)
        check_aside(f"weight '{obj.name}'", body.vertices[body.triangles, 1], hull)
    return pair(one, hull)


def weight_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Weight:
    """A tagged object as a weight in ship axes. Raises BadInputError."""
    chosen = settings(obj)
    if chosen.basis == Basis.POINT:
        place = place_of(depsgraph, obj, frame)
        return Weight(obj.name, chosen.mass, place, chosen.group)
    body = body_of(depsgraph, obj, frame)
    if chosen.basis == Basis.SKIN:
        return surface_weight(
            obj.name, body.vertices, body.triangles, chosen.skin_density, chosen.group
        )
    closed = find_envelope(body)
    return solid_weight(
        obj.name, closed.vertices, closed.triangles, chosen.solid_density, chosen.group
    )


def tank_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Tank:
    """A closed mesh as a tank in ship axes. Raises BadInputError."""
    chosen, closed = settings(obj), _closed(depsgraph, obj, frame, "tank")
    return Tank(
        obj.name,
        build_tree(closed.vertices, closed.triangles),
        chosen.content_density,
        chosen.fill / 100,
        chosen.permeability,
        chosen.group,
    )


def opening_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Opening:
    """An empty, or a surface, as an opening in ship axes. Raises BadInputError."""
    chosen = settings(obj)
    if obj.type != "EMPTY":
        found = passage_of(depsgraph, obj, frame)
        return found.opening(obj.name, chosen.weathertight, chosen.opening.core_kind)
    place = place_of(depsgraph, obj, frame)
    return chosen.opening.opening(obj.name, place, chosen.weathertight, frame.unit)


def wall_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Mesh:
    """A deck or a bulkhead as modelled, in ship axes. Raises BadInputError."""
    body = body_of(depsgraph, obj, frame)
    if not len(body.triangles):
        words = "wall '{wall}': the mesh has no faces; model some or unmark it"
        raise BadInputError(Sentence(words, wall=obj.name))
    return body


def whole_wall_of(
    depsgraph: bpy.types.Depsgraph,
    obj: bpy.types.Object,
    frame: Frame,
    hull: Hull,
    half: bool,
) -> Mesh:
    """The same, both sides of one on both. Raises BadInputError.

    Where one `half` of the ship is modelled, a wall on one side is on both.
    """
    wall = wall_of(depsgraph, obj, frame)
    return paired_wall(wall, hull) if is_on_both_sides(obj, wall, hull, half) else wall


def is_on_both_sides(obj: bpy.types.Object, wall: Mesh, hull: Hull, half: bool) -> bool:
    """Whether a wall in ship axes is on both sides, as its object says or as one of a half hull."""
    aside = half and is_aside(wall.vertices[wall.triangles, 1], hull)
    return aside or bool(settings(obj).both_sides)


def room_mark_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> RoomMark:
    """An empty, or a closed mesh, as what is said of a room in ship axes. Raises BadInputError."""
    chosen = settings(obj).room
    if obj.type == "EMPTY":
        return chosen.mark(obj.name, at=place_of(depsgraph, obj, frame))
    closed = _closed(depsgraph, obj, frame, "room")
    return chosen.mark(obj.name, body=closed.vertices[closed.triangles])


def door_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Door:
    """An empty, or a surface, as a door in ship axes. Raises BadInputError."""
    chosen = settings(obj).door
    if obj.type != "EMPTY":
        found = passage_of(depsgraph, obj, frame)
        return found.door(obj.name, chosen.rooms, chosen.shut, chosen.own_discharge)
    return chosen.door(obj.name, place_of(depsgraph, obj, frame), frame.unit)


def passage_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Passage:
    """The way through a surface that is an opening or a door, its own area where it has one.

    Raises BadInputError.
    """
    chosen, body = settings(obj), body_of(depsgraph, obj, frame)
    way = chosen.door if chosen.role == Role.DOOR else chosen.opening
    own = way.area * frame.unit**2 if way.has_own_area else None
    what = f"{chosen.role.lower()} '{obj.name}'"
    return passage(what, body.vertices[body.triangles], own)


def place_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Array:
    """Where the origin of an object is (3,), in ship axes."""
    return frame.ship(world_matrix(evaluated(depsgraph, obj))[:3, 3])


def _closed(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame, kind: str
) -> Envelope:
    """The closed surface of a mesh in ship axes. Raises BadInputError for an open one."""
    with within(f"{kind} '{obj.name}'"):
        closed = find_envelope(body_of(depsgraph, obj, frame))
    if closed.lids:
        raise BadInputError(
            Sentence(
                "{kind} '{part}': the mesh is open, and a {kind} must close; fill its holes",
                kind=kind,
                part=obj.name,
            )
        )
    return closed


def windage_of(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame, hull: Hull
) -> Array:
    """Triangles (m, 3, 3) of a mesh that catches the wind, in ship axes, both sides of one on both.

    Raises BadInputError.
    """
    body = body_of(depsgraph, obj, frame)
    if not len(body.triangles):
        words = "windage '{windage}': the mesh has no faces; model some or unmark it"
        raise BadInputError(Sentence(words, windage=obj.name))
    corners: Array = body.vertices[body.triangles]
    if settings(obj).both_sides:
        return paired_faces(f"windage '{obj.name}'", corners, hull)
    return corners


def body_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Mesh:
    """The mesh of an object, modifiers included, in the frame's axes. Raises BadInputError."""
    found = evaluated(depsgraph, obj)
    matrix = world_matrix(found)
    points, triangles, faces = surface(found)
    places = frame.ship(placed(matrix, points))
    return Mesh(obj.name, places, outward(matrix[:3, :3], triangles), faces)


READERS: Mapping[str, Callable[[bpy.types.Depsgraph, bpy.types.Object, Frame], Any]] = {
    Role.WEIGHT: weight_of,
    Role.TANK: tank_of,
    Role.OPENING: opening_of,
    Role.ROOM: room_mark_of,
    Role.DOOR: door_of,
}
"""What reads the parts that the core knows by name."""
