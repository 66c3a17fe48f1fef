"""Digests of all that results are computed from: whether one is still good is told by them."""

from __future__ import annotations

from hashlib import blake2b

import bpy

from ..properties.groups import values_of
from ..properties.names import AFLOAT, WITHIN, Basis, Role
from ..properties.object_settings import ObjectSettings
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from .members import counted
from .meshes import digest_object


def shape_signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of all that a hull object is read from. Raises BadInputError without a mesh."""
    digest = blake2b(digest_size=16)
    chosen = settings(hull)
    marks = (chosen.aft_perpendicular, chosen.forward_perpendicular, chosen.baseline)
    choices = (chosen.forward, chosen.up, chosen.mirror, chosen.use_marks and marks)
    digest.update(repr((unit_scale(depsgraph.scene), *choices)).encode())
    digest_object(digest, depsgraph, hull, geometry=True)
    return digest.digest()


def figures_signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
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


def compartment_signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of all that the rooms of a hull and the ways between them are found from.

    Raises BadInputError for a part without the mesh it should have.
    """
    digest = blake2b(shape_signature(depsgraph, hull), digest_size=16)
    digest.update(repr(hull.name).encode())
    parts = counted(depsgraph, hull)
    for role in WITHIN:
        for part in parts[role]:
            chosen = settings(part)
            groups = {Role.ROOM: (chosen.room,), Role.DOOR: (chosen.door,)}.get(role, ())
            digest.update(
                repr((part.name, role, chosen.both_sides, *map(values_of, groups))).encode()
            )
            digest_object(digest, depsgraph, part, geometry=part.type != "EMPTY")
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
        ),
        Role.TANK: (chosen.content_density, chosen.fill, chosen.permeability, chosen.group),
        Role.OPENING: (chosen.weathertight, *values_of(chosen.opening)),
        Role.WINDAGE: (),
    }[chosen.role]
