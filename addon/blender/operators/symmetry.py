"""Operators that check the symmetry of a hull and mirror one side."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Literal

import bmesh
import bpy
import numpy as np
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import EnumProperty

from ...core.geometry.symmetry import Symmetry
from ...core.messages.findings import BadInputError
from ..controller.symmetry import check, forget, sentence
from ..identifiers import Ops
from ..properties.settings import settings
from ..readers.hulls import TurnedMesh, turned_mesh
from ..readers.members import active_hull
from ..readers.meshes import world_matrix
from ..wording import reported
from .compute import has_hull
from .findings import elements_of, select_elements, selection_report
from .polls import allowed

SIDES = (
    ("PORT", "Port", "Replace starboard with the mirror image of port"),
    ("STARBOARD", "Starboard", "Replace port with the mirror image of starboard"),
)
HALF = n_("Half Hull is on: the other side is the mirror image already")
MIRRORED = {
    "PORT": n_("Port kept, starboard mirrored: {before} vertices became {after}"),
    "STARBOARD": n_("Starboard kept, port mirrored: {before} vertices became {after}"),
}


class NAVAL_CHECKS_OT_check_symmetry(bpy.types.Operator):
    """Measure the distance of mirrored vertices from the hull"""

    bl_idname = Ops.CHECK_SYMMETRY
    bl_label = "Check Symmetry"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return _can_mirror(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        try:
            found = check(context, active_hull(context))
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        self.report({_kind(found.symmetry)}, reported(context, found.finding.text))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_select_asymmetric(bpy.types.Operator):
    """Select the vertices without a counterpart on the other side, in Edit Mode"""

    bl_idname = Ops.SELECT_ASYMMETRIC
    bl_label = "Select Asymmetric Vertices"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return _can_mirror(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        if not hull.visible_get():
            self.report({"ERROR"}, rpt_("{hull} is hidden; show it first").format(hull=hull.name))
            return {"CANCELLED"}
        try:
            finding = check(context, hull).finding
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        total, indices = elements_of(context.evaluated_depsgraph_get(), hull, finding)
        if indices:
            select_elements(context, {hull: indices}, finding.element)
        kind, text = selection_report(hull, finding, total, len(indices))
        self.report({kind}, text if total else reported(context, finding.text))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_mirror_side(bpy.types.Operator):
    """Keep one side of the hull mesh and make the other its mirror image"""

    bl_idname = Ops.MIRROR_SIDE
    bl_label = "Mirror to Other Side"
    bl_options = {"REGISTER", "UNDO"}

    keep: EnumProperty(name="Keep", description="The side that stays as it is", items=SIDES)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        if not _can_mirror(cls, context):
            return False
        hull = active_hull(context)
        able = hull.mode in ("OBJECT", "EDIT")
        own = hull.is_editable and hull.data.is_editable
        return allowed(cls, able, "Mirroring needs Object Mode or Edit Mode") and allowed(
            cls, own, "This mesh is linked from another file; make it local first"
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        try:
            plane = check(context, hull).symmetry.plane
            turned = turned_mesh(context.evaluated_depsgraph_get(), hull)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        before, after = _mirror(hull, turned, plane, self.keep == "PORT")
        context.view_layer.update()
        found = check(context, hull).symmetry
        reports = [rpt_(MIRRORED[self.keep]).format(before=before, after=after)]
        shared = hull.data.users - 1
        if shared:
            one = rpt_("{count} other object with the same mesh changed too")
            many = rpt_("{count} other objects with the same mesh changed too")
            reports.append((one if shared == 1 else many).format(count=shared))
        if len(found.unlike):
            reports += [
                reported(context, sentence(found)),
                rpt_("Modifiers may cause the difference"),
            ]
        self.report({"INFO" if len(reports) == 1 else "WARNING"}, ". ".join(reports))
        return {"FINISHED"}


def _kind(found: Symmetry) -> Literal["INFO", "WARNING"]:
    return "WARNING" if len(found.unlike) else "INFO"


def _can_mirror(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    return has_hull(operator, context) and allowed(
        operator, not settings(active_hull(context)).form.mirror, HALF
    )


def _mirror(
    hull: bpy.types.Object, turned: TurnedMesh, plane: float, keep_port: bool
) -> tuple[int, int]:
    """Mirror one side of the object's own mesh; numbers of vertices before and after."""
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
    (NAVAL_CHECKS_OT_check_symmetry, NAVAL_CHECKS_OT_select_asymmetric, NAVAL_CHECKS_OT_mirror_side)
)


def unregister() -> None:
    forget()
    _unregister()
