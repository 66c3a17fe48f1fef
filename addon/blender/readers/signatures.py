"""Digests of all that results are computed from: they show whether one is still valid."""

from __future__ import annotations

from collections.abc import Container, Iterable
from hashlib import blake2b

import bpy

from ..properties.names import AFLOAT, WITHIN, Basis, Role
from ..properties.scene_units import unit_scale
from ..properties.settings import settings
from .members import counted
from .meshes import digest_object


def shape_signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of all that a hull object is read from. Raises BadInputError without a mesh."""
    digest, unit = blake2b(digest_size=16), unit_scale(depsgraph.scene)
    digest.update(repr((unit, settings(hull).form.values(unit))).encode())
    digest_object(digest, depsgraph, hull, geometry=True)
    return digest.digest()


def figures_signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of all that the figures of a hull as modeled are computed from.

    Raises BadInputError for a part without the mesh it should have.
    """
    digest = blake2b(shape_signature(depsgraph, hull), digest_size=16)
    chosen, unit = settings(hull), unit_scale(depsgraph.scene)
    asked = (chosen.water, chosen.service, chosen.criteria)
    digest.update(repr([group.values(unit) for group in asked]).encode())
    digest.update(repr([each.entry(unit) for each in chosen.custom_criteria]).encode())
    _add_parts(digest, depsgraph, hull, AFLOAT, AFLOAT)
    return digest.digest()


def compartment_signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of all that compartments of a hull and their flooding paths are found from.

    Raises BadInputError for a part without the mesh it should have.
    """
    digest = blake2b(shape_signature(depsgraph, hull), digest_size=16)
    digest.update(repr(hull.name).encode())
    _add_parts(digest, depsgraph, hull, WITHIN, (Role.COMPARTMENT, Role.DOOR))
    return digest.digest()


def _add_parts(
    digest: blake2b,
    depsgraph: bpy.types.Depsgraph,
    hull: bpy.types.Object,
    roles: Iterable[Role],
    asked: Container[Role],
) -> None:
    """Add the parts of a hull in some roles: where they are, their meshes, and what is set of those
    in the roles that are `asked`."""
    parts, unit = counted(depsgraph, hull), unit_scale(depsgraph.scene)
    for part in (part for role in roles for part in parts[role]):
        chosen = settings(part)
        digest.update(repr((part.name, chosen.role, chosen.both_sides)).encode())
        group = getattr(chosen, chosen.role.lower(), None)
        if group and chosen.role in asked:
            digest.update(repr((chosen.group, group.values(unit))).encode())
        point = chosen.role == Role.WEIGHT and chosen.weight.basis == Basis.POINT
        digest_object(digest, depsgraph, part, geometry=not (point or part.type == "EMPTY"))
