"""How symmetric hulls are, found on request and kept for the session."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import blake2b

import bpy
import numpy as np
from bpy.app.translations import pgettext_n as n_
from mathutils import Vector
from mathutils.bvhtree import BVHTree

from ...core.arrays import Floats
from ...core.geometry.symmetry import Symmetry, symmetry
from ...core.messages.findings import BadInputError, Finding
from ...core.messages.sentence import Sentence, meters
from ..properties.settings import settings
from ..readers.hulls import turned_mesh
from ..readers.meshes import digest_object


@dataclass(frozen=True)
class Checked:
    """What was found of a hull whose mesh had the `digest`; vertices count in that mesh."""

    digest: bytes
    symmetry: Symmetry
    finding: Finding


_checked: dict[int, Checked] = {}
"""By the session_uid of the hull."""


def check(context: bpy.types.Context, hull: bpy.types.Object) -> Checked:
    """Look how symmetric a hull is, modifiers included, and keep it. Raises BadInputError."""
    depsgraph = context.evaluated_depsgraph_get()
    mesh = turned_mesh(depsgraph, hull).mesh
    used = np.unique(mesh.triangles)
    if not len(used):
        words = "{hull}: the mesh has no faces; model some"
        raise BadInputError(Sentence(words, hull=hull.name))
    tree = BVHTree.FromPolygons(mesh.vertices.tolist(), mesh.triangles.tolist())

    def nearest(points: Floats) -> Floats:
        return np.array([tree.find_nearest(Vector(point))[3] for point in points.tolist()])

    found = symmetry(mesh.vertices[used], nearest)
    unlike = used[found.unlike]
    finding = Finding(
        "warning", "asymmetric", sentence(found), "vertex", unlike, mesh.vertices[unlike]
    )
    result = Checked(_digest(depsgraph, hull), found, finding)
    _checked[hull.session_uid] = result
    return result


def checked(hull: bpy.types.Object) -> Checked | None:
    """What was found of a hull, once that was asked for."""
    return _checked.get(hull.session_uid)


def is_current(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, found: Checked) -> bool:
    """Whether a hull is still as it was when that was found."""
    return _digest(depsgraph, hull) == found.digest


def forget() -> None:
    """Drop all that was found."""
    _checked.clear()


def sentence(found: Symmetry) -> Sentence:
    """How symmetric the hull is."""
    count = len(found.unlike)
    if found.plane:
        alike = n_("Symmetric to within {tolerance}, about {offset} off the object's origin")
        one = n_(
            "Not symmetric, about {offset} off the object's origin: {count} vertex has no like "
            "on the other side, the worst by {worst}"
        )
        many = n_(
            "Not symmetric, about {offset} off the object's origin: {count} vertices have no like "
            "on the other side, the worst by {worst}"
        )
    else:
        alike = n_("Symmetric to within {tolerance}")
        one = n_(
            "Not symmetric: {count} vertex has no like on the other side, the worst by {worst}"
        )
        many = n_(
            "Not symmetric: {count} vertices have no like on the other side, the worst by {worst}"
        )
    text = alike if not count else one if count == 1 else many
    return Sentence(
        text,
        tolerance=meters(found.tolerance, ".3f"),
        offset=meters(abs(found.plane), ".3f"),
        count=count,
        worst=meters(found.max_distance, ".3f"),
    )


def _digest(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    chosen, digest = settings(hull).form, blake2b(digest_size=16)
    digest.update(repr((chosen.forward, chosen.up)).encode())
    digest_object(digest, depsgraph, hull, geometry=True)
    return digest.digest()
