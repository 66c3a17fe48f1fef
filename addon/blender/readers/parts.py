"""The parts of a ship read: what she carries, what parts and opens her, loading conditions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from hashlib import blake2b
from typing import Any

import bpy
import numpy as np
from numpy.typing import NDArray

from ...core.buoyancy.moment_tree import build_tree
from ...core.geometry.envelope import Envelope, find_envelope
from ...core.geometry.mesh import Mesh
from ...core.messages.findings import BadInputError, Finding
from ...core.messages.sentence import WORDS, Sentence, called
from ...core.messages.subjects import Subject, SubjectKind
from ...core.model.compartment import RoomMark
from ...core.model.conditions import Condition
from ...core.model.hull import Hull
from ...core.model.mirrored_parts import check_aside, is_aside, pair, paired_faces, paired_wall
from ...core.model.openings import Door, Opening, Passage, passage
from ...core.model.tanks import Tank
from ...core.model.weights import Weight, solid_weight, surface_weight
from ...files.input_errors import within
from ..properties.conditions import ConditionSettings
from ..properties.groups import values_of
from ..properties.names import AFLOAT, PARTS, SUBJECTS, Basis, Role
from ..properties.settings import ObjectSettings, settings, unit_scale
from .axes import Frame
from .members import is_enabled, muster
from .meshes import digest_object, evaluated, outward, placed, surface, world_matrix

Array = NDArray[np.float64]
Parts = dict[Role, list[bpy.types.Object]]
"""The parts of a hull by role, each by name."""


def counted(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> Parts:
    """The parts of a hull that count: those hidden with the eye do, disabled ones do not."""
    found = muster(depsgraph.view_layer).parts_of(hull)
    there = [part for part in found if is_enabled(depsgraph.view_layer, part)]
    return {role: [part for part in there if settings(part).role == role] for role in PARTS}


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
        check_aside(Subject("weight", obj.name), body.vertices[body.triangles, 1], hull)
    return pair(one, hull)


def weight_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Weight:
    """A tagged object as a weight in ship axes. Raises BadInputError."""
    chosen = settings(obj)
    return replace(_weighed(depsgraph, obj, frame), group=chosen.group, fixed=chosen.fixed)


def _weighed(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Weight:
    chosen = settings(obj)
    if chosen.basis == Basis.POINT:
        return Weight(obj.name, chosen.mass, place_of(depsgraph, obj, frame))
    body = body_of(depsgraph, obj, frame)
    if chosen.basis == Basis.SKIN:
        return surface_weight(obj.name, body.vertices, body.triangles, chosen.skin_density)
    closed = find_envelope(body)
    return solid_weight(obj.name, closed.vertices, closed.triangles, chosen.solid_density)


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
        raise BadInputError(Sentence(words, wall=Subject("boundary", obj.name)))
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
    closed = _closed(depsgraph, obj, frame, "compartment")
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
    what = Subject("door" if chosen.role == Role.DOOR else "opening", obj.name)
    return passage(what, body.vertices[body.triangles], own)


def place_of(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame) -> Array:
    """Where the origin of an object is (3,), in ship axes."""
    return frame.ship(world_matrix(evaluated(depsgraph, obj))[:3, 3])


def _closed(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, frame: Frame, kind: SubjectKind
) -> Envelope:
    """The closed surface of a mesh in ship axes. Raises BadInputError for an open one."""
    with within(called(Subject(kind, obj.name))):
        closed = find_envelope(body_of(depsgraph, obj, frame))
    if closed.lids:
        raise BadInputError(
            Sentence(
                "{kind} '{part}': the mesh is open, and a {kind} must close; fill its holes",
                kind=WORDS[kind],
                part=Subject(kind, obj.name),
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
        raise BadInputError(Sentence(words, windage=Subject("windage", obj.name)))
    corners: Array = body.vertices[body.triangles]
    if settings(obj).both_sides:
        return paired_faces(Subject("windage", obj.name), corners, hull)
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


def condition_of(condition: ConditionSettings, parts: Parts, unit: float) -> Condition:
    """A loading condition, as far as it speaks of parts that are there."""
    aboard = parts[Role.WEIGHT], parts[Role.TANK]
    return condition.condition(*aboard, groups_of(parts), parts[Role.ROOM], unit)


def active_condition(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, parts: Parts
) -> Condition | None:
    """The condition that a hull is loaded in; None as modelled."""
    chosen = settings(hull).condition
    return condition_of(chosen, parts, unit_scale(depsgraph.scene)) if chosen else None


def groups_of(parts: Parts) -> list[str]:
    """Groups of the weights and tanks, each once."""
    aboard = (*parts[Role.WEIGHT], *parts[Role.TANK])
    return sorted({settings(obj).group for obj in aboard} - {""})


def lost_groups(hull: bpy.types.Object, parts: Parts) -> tuple[Finding, ...]:
    """What to say of groups that conditions leave ashore and that nothing belongs to."""
    known = groups_of(parts)
    return tuple(
        Finding(
            "warning",
            "lost-group",
            Sentence(
                "condition '{condition}' leaves the group '{group}' ashore, and nothing belongs to "
                "it",
                condition=Subject("condition", condition.name),
                group=Subject("group", group.name),
            ),
        )
        for condition in settings(hull).conditions
        for group in condition.groups_ashore
        if group.name not in known
    )


def stray_findings(depsgraph: bpy.types.Depsgraph) -> tuple[Finding, ...]:
    """What to say of the parts that belong to no hull."""
    return tuple(
        Finding(
            "warning",
            f"stray-{role.lower()}",
            Sentence(
                "{part} belongs to no hull and is not counted; choose its hull",
                part=called(Subject(SUBJECTS[role], part.name)),
            ),
        )
        for part in muster(depsgraph.view_layer).parts_of(None)
        for role in [settings(part).role]
    )


def shape_signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of all that a hull object is read from. Raises BadInputError without a mesh."""
    digest = blake2b(digest_size=16)
    chosen = settings(hull)
    marks = (chosen.aft_perpendicular, chosen.forward_perpendicular, chosen.baseline)
    choices = (chosen.forward, chosen.up, chosen.mirror, chosen.use_marks and marks)
    digest.update(repr((unit_scale(depsgraph.scene), *choices)).encode())
    digest_object(digest, depsgraph, hull, geometry=True)
    return digest.digest()


def signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of all that the figures of a hull as modelled are computed from.

    Raises BadInputError for a part without the mesh it should have.
    """
    digest = blake2b(shape_signature(depsgraph, hull), digest_size=16)
    digest.update(repr(_duties(settings(hull))).encode())
    parts = counted(depsgraph, hull)
    for part in (part for role in AFLOAT for part in parts[role]):
        chosen = settings(part)
        choices = (part.name, chosen.both_sides, *_part_choices(chosen))
        digest.update(repr(choices).encode())
        point = chosen.role == Role.WEIGHT and chosen.basis == Basis.POINT
        digest_object(digest, depsgraph, part, geometry=not (point or part.type == "EMPTY"))
    return digest.digest()


def _duties(chosen: ObjectSettings) -> tuple[object, ...]:
    return (
        chosen.water_density,
        values_of(chosen.service),
        chosen.choose_codes and values_of(chosen.codes),
        *map(values_of, chosen.rules),
    )


def _part_choices(chosen: ObjectSettings) -> tuple[object, ...]:
    return {
        Role.WEIGHT: (
            chosen.basis,
            chosen.mass,
            chosen.skin_density,
            chosen.solid_density,
            chosen.group,
            chosen.fixed,
        ),
        Role.TANK: (chosen.content_density, chosen.fill, chosen.permeability, chosen.group),
        Role.OPENING: (chosen.weathertight, *values_of(chosen.opening)),
        Role.WINDAGE: (),
    }[chosen.role]
