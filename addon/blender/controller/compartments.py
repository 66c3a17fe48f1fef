"""Rooms of hulls: found when the user asks for them, kept for the session, told when stale."""

from __future__ import annotations

from hashlib import blake2b

import bpy

from ...core.compartments.find_compartments import find_rooms
from ...core.damage.flooding_paths import with_doors_told
from ...core.messages.findings import BadInputError
from ..properties.groups import values_of
from ..properties.names import WITHIN, Role
from ..properties.settings import settings
from ..readers.hulls import ReadHull, read_case
from ..readers.meshes import digest_object
from ..readers.parts import counted, shape_signature
from . import session
from .job import Job


def dividing(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull | None = None
) -> Job[session.Divided]:
    """How a hull, which may have been read before, is divided; found where that is not known.

    Raises BadInputError, as does the job.
    """
    uid, signed = hull.session_uid, signature(depsgraph, hull)
    known = session.divided_of(hull)
    if known and known.signature == signed:
        same = known
        return Job(lambda _: same, lambda _: session.set_divided_stale(uid, False))
    case = read_case(depsgraph, hull, ship).case
    parts = counted(depsgraph, hull)
    within = (hull, *(part for role in WITHIN for part in parts[role]))
    sources = frozenset(each.session_uid for each in within)
    session.know_names(within)
    return Job(
        lambda tell: session.Divided(
            with_doors_told(case, find_rooms(case, tell)), sources, signed
        ),
        lambda found: session.divide(uid, found),
    )


def recheck(depsgraph: bpy.types.Depsgraph) -> None:
    """Compare hulls with what their rooms were found from, and say which are out of date."""
    for hull in depsgraph.view_layer.objects:
        known = session.divided_of(hull)
        if known is None:
            continue
        try:
            same = signature(depsgraph, hull) == known.signature
        except BadInputError:
            same = False
        session.set_divided_stale(hull.session_uid, not same)


def signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
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
