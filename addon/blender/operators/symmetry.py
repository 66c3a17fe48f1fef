"""Whether the hull is the same to port and to starboard, and one side made like the other."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import blake2b
from typing import Any, Literal

import bmesh
import bpy
import numpy as np
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import EnumProperty
from mathutils import Vector
from mathutils.bvhtree import BVHTree
from numpy.typing import NDArray

from ...core.geometry.symmetry import Symmetry, symmetry
from ...core.messages.findings import BadInputError, Finding
from ...core.messages.sentence import Sentence, metres
from ..identifiers import Ops
from ..panels.layout import Layout
from ..properties.settings import settings
from ..readers.hulls import TurnedMesh, turned_mesh
from ..readers.members import hull_at_hand
from ..readers.meshes import digest_object, world_matrix
from ..wording import BUTTON, reported, wrapped
from .compute import has_hull
from .findings import at_fault, select_elements, told

Array = NDArray[np.float64]

SIDES = (
    ("PORT", "Port", "Starboard becomes the mirror image of port"),
    ("STARBOARD", "Starboard", "Port becomes the mirror image of starboard"),
)
HALF = n_("Half Hull is on: her other side is the mirror image already")
MIRRORED = {
    "PORT": n_("Port kept, starboard made its mirror image: {before} vertices became {after}"),
    "STARBOARD": n_("Starboard kept, port made its mirror image: {before} vertices became {after}"),
}


@dataclass(frozen=True)
class Checked:
    """What was found of a hull whose mesh had the `digest`; vertices count in that mesh."""

    digest: bytes
    symmetry: Symmetry
    finding: Finding


_checked: dict[int, Checked] = {}
"""By the session_uid of the hull."""


class NAVAL_CHECKS_OT_check_symmetry(bpy.types.Operator):
    """Measure how far the mirror image of each vertex about the centreline lies off the hull"""

    bl_idname = Ops.CHECK_SYMMETRY
    bl_label = "Check Symmetry"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return _can_mirror(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        try:
            found = check(context, hull_at_hand(context))
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        self.report({_kind(found.symmetry)}, reported(context, found.finding.text))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_select_unlike(bpy.types.Operator):
    """Select in Edit Mode the vertices that have no like on the other side"""

    bl_idname = Ops.SELECT_UNLIKE
    bl_label = "Select Unlike Vertices"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return _can_mirror(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = hull_at_hand(context)
        if not hull.visible_get():
            self.report({"ERROR"}, rpt_("{hull} is hidden; show it first").format(hull=hull.name))
            return {"CANCELLED"}
        try:
            finding = check(context, hull).finding
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        total, indices = at_fault(context.evaluated_depsgraph_get(), hull, finding)
        if indices:
            select_elements(context, {hull: indices}, finding.element)
        kind, text = told(hull, finding, total, len(indices))
        self.report({kind}, text if total else reported(context, finding.text))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_mirror_side(bpy.types.Operator):
    """Keep one side of the hull's own mesh and make the other its mirror image"""

    bl_idname = Ops.MIRROR_SIDE
    bl_label = "Mirror to Other Side"
    bl_options = {"REGISTER", "UNDO"}

    keep: EnumProperty(name="Keep", description="The side that stays as it is", items=SIDES)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not _can_mirror(cls, context):
            return False
        hull = hull_at_hand(context)
        if hull.mode not in ("OBJECT", "EDIT"):
            cls.poll_message_set("Mirroring needs Object Mode or Edit Mode")
        elif not (hull.is_editable and hull.data.is_editable):
            cls.poll_message_set("This mesh is linked from another file; make it local first")
        else:
            return True
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = hull_at_hand(context)
        try:
            plane = check(context, hull).symmetry.plane
            turned = turned_mesh(context.evaluated_depsgraph_get(), hull)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        before, after = _mirror(hull, turned, plane, self.keep == "PORT")
        context.view_layer.update()
        found = check(context, hull).symmetry
        said = [rpt_(MIRRORED[self.keep]).format(before=before, after=after)]
        shared = hull.data.users - 1
        if shared:
            one = rpt_("{count} other object with the same mesh changed too")
            many = rpt_("{count} other objects with the same mesh changed too")
            said.append((one if shared == 1 else many).format(count=shared))
        if len(found.unlike):
            said += [reported(context, sentence(found)), rpt_("Modifiers may make what differs")]
        self.report({"INFO" if len(said) == 1 else "WARNING"}, ". ".join(said))
        return {"FINISHED"}


def check(context: bpy.types.Context, hull: bpy.types.Object) -> Checked:
    """Look how symmetric a hull is, modifiers included, and keep it. Raises BadInputError."""
    depsgraph = context.evaluated_depsgraph_get()
    mesh = turned_mesh(depsgraph, hull).mesh
    used = np.unique(mesh.triangles)
    if not len(used):
        words = "{hull}: the mesh has no faces; model some"
        raise BadInputError(Sentence(words, hull=hull.name))
    tree = BVHTree.FromPolygons(mesh.vertices.tolist(), mesh.triangles.tolist())

    def nearest(points: Array) -> Array:
        return np.array([tree.find_nearest(Vector(point))[3] for point in points.tolist()])

    found = symmetry(mesh.vertices[used], nearest)
    unlike = used[found.unlike]
    finding = Finding(
        "warning", "asymmetric", sentence(found), "vertex", unlike, mesh.vertices[unlike]
    )
    checked = Checked(_digest(depsgraph, hull), found, finding)
    _checked[hull.session_uid] = checked
    return checked


def sentence(found: Symmetry) -> Sentence:
    """How symmetric she is."""
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
        tolerance=metres(found.tolerance, ".3f"),
        offset=metres(abs(found.plane), ".3f"),
        count=count,
        worst=metres(found.greatest, ".3f"),
    )


def symmetry_lines(layout: Layout, context: bpy.types.Context, hull: bpy.types.Object) -> None:
    """Whether she is symmetric, as far as that was checked, and what can be done about it."""
    if settings(hull).mirror:
        return
    layout.operator(Ops.CHECK_SYMMETRY, icon="MOD_MIRROR")
    found = _checked.get(hull.session_uid)
    if found is None:
        return
    if _digest(context.evaluated_depsgraph_get(), hull) != found.digest:
        wrapped(layout, context, n_("Changed since symmetry was checked"), "FILE_REFRESH")
        return
    unlike = bool(len(found.symmetry.unlike))
    row = layout.row()
    icon = "ERROR" if unlike else "CHECKMARK"
    wrapped(row.column(), context, found.finding.text, icon, BUTTON if unlike else 0)
    if unlike:
        row.operator(Ops.SELECT_UNLIKE, text="", icon="RESTRICT_SELECT_OFF")
        layout.operator_menu_enum(Ops.MIRROR_SIDE, "keep", icon="MOD_MIRROR")


def _kind(found: Symmetry) -> Literal["INFO", "WARNING"]:
    return "WARNING" if len(found.unlike) else "INFO"


def _can_mirror(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    if not has_hull(operator, context):
        return False
    if settings(hull_at_hand(context)).mirror:
        operator.poll_message_set(HALF)
        return False
    return True


def _digest(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    chosen, digest = settings(hull), blake2b(digest_size=16)
    digest.update(repr((chosen.forward, chosen.up)).encode())
    digest_object(digest, depsgraph, hull, geometry=True)
    return digest.digest()


def _mirror(
    hull: bpy.types.Object, turned: TurnedMesh, plane: float, keep_port: bool
) -> tuple[int, int]:
    """Make one side of the object's own mesh like the other; vertices before and after."""
    linear = world_matrix(hull)[:3, :3]
    to_port = np.linalg.solve(linear, turned.frame.turn[1] / turned.frame.unit)
    axis = int(np.abs(to_port).argmax())
    on_plane = plane * to_port
    from_positive = bool(to_port[axis] > 0) == keep_port
    direction: Any = f"{'' if from_positive else '-'}{'XYZ'[axis]}"
    with _body(hull) as body:
        before = len(body.verts)
        bmesh.ops.translate(body, verts=body.verts[:], vec=(-on_plane).tolist())
        extent = max((vertex.co.length for vertex in body.verts), default=0.0)
        everything: Any = [*body.verts, *body.edges, *body.faces]
        bmesh.ops.symmetrize(body, input=everything, direction=direction, dist=1e-6 * extent)
        bmesh.ops.translate(body, verts=body.verts[:], vec=on_plane.tolist())
        return before, len(body.verts)


@contextmanager
def _body(hull: bpy.types.Object) -> Iterator[bmesh.types.BMesh]:
    """The object's own mesh to work on, in Edit Mode or not."""
    mesh: Any = hull.data
    if hull.mode == "EDIT":
        yield bmesh.from_edit_mesh(mesh)
        bmesh.update_edit_mesh(mesh)
        return
    body = bmesh.new()
    try:
        body.from_mesh(mesh)
        yield body
        body.to_mesh(mesh)
        mesh.update()
    finally:
        body.free()


register, _unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_check_symmetry, NAVAL_CHECKS_OT_select_unlike, NAVAL_CHECKS_OT_mirror_side)
)


def unregister() -> None:
    _checked.clear()
    _unregister()
