"""Compartments of hulls: found when the user asks for them, kept for the session, marked when
stale."""

from __future__ import annotations

import bpy

from ...core.compartments.find_compartments import find_compartments
from ...core.damage.flooding_paths import with_door_findings
from ...core.messages.findings import BadInputError
from ..properties.names import WITHIN
from ..readers.cases import read_case
from ..readers.hulls import ReadHull
from ..readers.members import counted
from ..readers.signatures import compartment_signature
from . import known_compartments, known_objects
from .job import Job


def compartments_job(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull | None = None
) -> Job[known_compartments.FoundCompartments]:
    """How a hull, which may have been read before, is divided; found where that is not known.

    Raises BadInputError, as does the job.
    """
    uid, signed = hull.session_uid, compartment_signature(depsgraph, hull)
    known = known_compartments.divided_of(hull)
    if known and known.signature == signed:
        same = known
        return Job(lambda _: same, lambda _: known_compartments.set_divided_stale(uid, False))
    case = read_case(depsgraph, hull, ship).case
    parts = counted(depsgraph, hull)
    within = (hull, *(part for role in WITHIN for part in parts[role]))
    sources = frozenset(each.session_uid for each in within)
    known_objects.know_names(within)
    return Job(
        lambda on_progress: known_compartments.FoundCompartments(
            with_door_findings(case, find_compartments(case, on_progress)), sources, signed
        ),
        lambda found: known_compartments.divide(uid, found),
    )


def recheck(depsgraph: bpy.types.Depsgraph) -> None:
    """Mark the compartments of hulls that changed since they were found as out of date."""
    for hull in depsgraph.view_layer.objects:
        known = known_compartments.divided_of(hull)
        if known is None:
            continue
        try:
            same = compartment_signature(depsgraph, hull) == known.signature
        except BadInputError:
            same = False
        known_compartments.set_divided_stale(hull.session_uid, not same)
