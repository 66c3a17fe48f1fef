"""Select the mesh elements of a finding, or turn the view to them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Literal

import bmesh
import bpy
import numpy as np
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, IntProperty
from mathutils.kdtree import KDTree

from ...core.messages.findings import Finding
from ..controller import session
from ..identifiers import Ops
from ..properties.selection import select_only
from ..readers.members import active_hull
from ..wording import reported
from .polls import allowed
from .view import turn_view

REACH = 1e-6
"""Vertices closer than this, in sizes of the mesh, are taken as the same."""
MODES = ("vertex", "edge", "face")
ELEMENTS = {
    "vertex": (n_("{count} vertex"), n_("{count} vertices")),
    "edge": (n_("{count} edge"), n_("{count} edges")),
    "face": (n_("{count} face"), n_("{count} faces")),
}


class NAVAL_CHECKS_OT_select_finding(bpy.types.Operator):
    """Select the elements of this finding in Edit Mode. With Shift, turn the view to them"""

    bl_idname = Ops.SELECT_FINDING
    bl_label = "Select Finding"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    index: IntProperty(name="Finding", description="Index of the finding in the list", min=0)
    turn_view: BoolProperty(name="Turn View", description="Turn the view to the finding")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(active_hull(context))
        return allowed(cls, entry is not None and entry.findings, "There are no findings")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.turn_view = event.shift
        return self.execute(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        entry = session.entry_for(hull)
        if not self.index < len(entry.findings):
            self.report({"ERROR"}, "This finding is out of date; find the floating position again")
            return {"CANCELLED"}
        finding, places = entry.findings[self.index], entry.places(self.index)
        if not finding.element:
            turn_view(context, places)
            self.report({"INFO"}, reported(context, finding.text))
            return {"FINISHED"}
        if entry.stale:
            self.report({"ERROR"}, "The hull changed since; find the floating position again")
            return {"CANCELLED"}
        if not hull.visible_get():
            self.report({"ERROR"}, rpt_("{hull} is hidden; show it first").format(hull=hull.name))
            return {"CANCELLED"}
        total, indices = elements_of(context.evaluated_depsgraph_get(), hull, finding)
        if self.turn_view or not indices:
            turn_view(context, places)
        if indices:
            select_elements(context, {hull: indices}, finding.element)
        kind, text = selection_report(hull, finding, total, len(indices))
        self.report({kind}, text)
        return {"FINISHED"}


def elements_of(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, finding: Finding
) -> tuple[int, set[int]]:
    """How many elements a finding names, and the indices of those of them in the hull's own mesh.

    The finding counts in the mesh after modifiers, which renumber; an element is the same when
    all its vertices lie in the same places.
    """
    places = _corner_places(depsgraph, hull, finding)
    mesh: Any = hull.data
    body = bmesh.from_edit_mesh(mesh) if hull.mode == "EDIT" else bmesh.new()
    if hull.mode != "EDIT":
        body.from_mesh(mesh)
    body.verts.ensure_lookup_table()
    body.verts.index_update()
    tree = KDTree(len(body.verts))
    for vertex in body.verts:
        tree.insert(vertex.co.to_tuple(), vertex.index)
    tree.balance()
    reach = REACH * _size(body)
    found: set[int] = set()
    for corners in places:
        near = [{index for _, index, _ in tree.find_range(corner, reach)} for corner in corners]
        found.update(_elements(body, finding.element, near))
    if hull.mode != "EDIT":
        body.free()
    return len(places), found


def _corner_places(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, finding: Finding
) -> set[tuple[tuple[float, float, float], ...]]:
    """Local places of the vertices of each element; those of a mirrored half count as its own."""
    evaluated = hull.evaluated_get(depsgraph)
    mesh = evaluated.to_mesh()
    try:
        count = len(mesh.vertices)
        elements: Iterable[Iterable[int]]
        if finding.element == "face":
            elements = (mesh.polygons[face].vertices for face in finding.elements.tolist())
        else:
            elements = (finding.elements.reshape(len(finding.elements), -1) % count).tolist()
        return {
            tuple(mesh.vertices[index].co.to_tuple() for index in corners) for corners in elements
        }
    finally:
        evaluated.to_mesh_clear()


def _elements(body: bmesh.types.BMesh, element: str, near: list[set[int]]) -> Iterable[int]:
    """Indices of the elements whose vertices are, in some order, one of each of `near`."""
    first = [body.verts[index] for index in near[0]]
    if element == "vertex":
        return near[0]
    if element == "edge":
        edges = [(edge, vertex) for vertex in first for edge in vertex.link_edges]
        return [edge.index for edge, vertex in edges if edge.other_vert(vertex).index in near[1]]
    anywhere = set().union(*near)
    faces = [face for vertex in first for face in vertex.link_faces]
    return [
        face.index
        for face in faces
        if len(face.verts) == len(near) and all(corner.index in anywhere for corner in face.verts)
    ]


def select_elements(
    context: bpy.types.Context, chosen: Mapping[bpy.types.Object, set[int]], element: str
) -> None:
    """Enter Edit Mode with just these elements of objects selected."""
    if any(obj.mode != "EDIT" for obj in chosen):
        if context.mode != "OBJECT":
            bpy.ops.object.mode_set(mode="OBJECT")
        select_only(*chosen)
        bpy.ops.object.mode_set(mode="EDIT")
    tools: Any = context.tool_settings
    tools.mesh_select_mode = [mode == element for mode in MODES]
    bpy.ops.mesh.select_all(action="DESELECT")
    for obj, indices in chosen.items():
        mesh: Any = obj.data
        body = bmesh.from_edit_mesh(mesh)
        row: Any = {"vertex": body.verts, "edge": body.edges, "face": body.faces}[element]
        row.ensure_lookup_table()
        for index in indices:
            row[index].hide_set(False)
            row[index].select_set(True)
        body.select_flush_mode()
        bmesh.update_edit_mesh(mesh, loop_triangles=False, destructive=False)


def selection_report(
    hull: bpy.types.Object, finding: Finding, total: int, found: int
) -> tuple[Literal["INFO", "WARNING"], str]:
    """The kind and the text of the report on `found` of `total` elements."""
    makers = ", ".join(modifier.name for modifier in hull.modifiers if modifier.show_viewport)
    made = (
        rpt_("made by modifiers ({names})").format(names=makers)
        if makers
        else rpt_("not in the mesh")
    )
    if not found:
        text = rpt_("{elements} {made}: nothing to select in the mesh")
        return "WARNING", text.format(elements=_count_text(finding.element, total), made=made)
    selected = _count_text(finding.element, found)
    if found < total:
        text = rpt_("{elements} selected; {more} more {made}")
        return "WARNING", text.format(elements=selected, more=total - found, made=made)
    return "INFO", rpt_("{elements} selected").format(elements=selected)


def _count_text(element: str, count: int) -> str:
    one, many = ELEMENTS[element]
    return (iface_(one) if count == 1 else iface_(many)).format(count=count)


def _size(body: bmesh.types.BMesh) -> float:
    places = np.array([vertex.co for vertex in body.verts], dtype=np.float64).reshape(-1, 3)
    return float(np.linalg.norm(np.ptp(places, axis=0))) if len(places) else 0.0


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_select_finding,))
