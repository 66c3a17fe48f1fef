"""From a finding to its place: select the elements at fault, or turn the view to them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

import bmesh
import bpy
import numpy as np
from bpy.props import BoolProperty, IntProperty
from mathutils import Vector
from mathutils.kdtree import KDTree
from numpy.typing import NDArray

from ..core.findings import Finding, counted
from ..scene import session
from ..scene.members import hull_at_hand
from ..scene.settings import select_only
from .names import Ops

Array = NDArray[np.float64]

REACH = 1e-6
"""Vertices this near, in sizes of the mesh, are taken as the same."""
LEAST_VIEW = 0.1
"""Least extent shown round a place, in lengths of the ship."""
MODES = ("vertex", "edge", "face")
PLURALS = {"vertex": "vertices"}


class NAVAL_CHECKS_OT_select_faults(bpy.types.Operator):
    """Select what is at fault in Edit Mode. With Shift, or with nothing to select, turn the view"""

    bl_idname = Ops.SELECT_FAULTS
    bl_label = "Show Fault"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    index: IntProperty(name="Finding", description="Place of the finding in the list", min=0)
    turn_view: BoolProperty(name="Turn View", description="Turn the view to the place")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(hull_at_hand(context))
        if entry is None or not entry.findings:
            cls.poll_message_set("Nothing was found at fault")
            return False
        return True

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.turn_view = event.shift
        return self.execute(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = hull_at_hand(context)
        entry = session.entry_for(hull)
        if not self.index < len(entry.findings):
            self.report({"ERROR"}, "This finding is out of date; find the floating position again")
            return {"CANCELLED"}
        finding, places = entry.findings[self.index], entry.places(self.index)
        if not finding.element:
            turn_view(context, entry, places)
            self.report({"INFO"}, finding.text)
            return {"FINISHED"}
        if entry.stale:
            self.report({"ERROR"}, "The hull changed since; find the floating position again")
            return {"CANCELLED"}
        if not hull.visible_get():
            self.report({"ERROR"}, f"{hull.name} is hidden; show it first")
            return {"CANCELLED"}
        total, indices = at_fault(context.evaluated_depsgraph_get(), hull, finding)
        if self.turn_view or not indices:
            turn_view(context, entry, places)
        if indices:
            _select(context, hull, finding.element, indices)
        kind, text = told(hull, finding, total, len(indices))
        self.report({kind}, text)
        return {"FINISHED"}


def at_fault(
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


def turn_view(context: bpy.types.Context, entry: session.Entry, places: Array) -> None:
    """Turn the 3D view at hand to points (k, 3) of the world, and come near."""
    space: Any = context.space_data
    if not len(places) or space is None or space.type != "VIEW_3D":
        return
    low, high = places.min(axis=0), places.max(axis=0)
    ship = entry.ship
    least = LEAST_VIEW * ship.hull.length_overall / ship.frame.unit
    view = space.region_3d
    if view.view_perspective == "CAMERA":
        view.view_perspective = "PERSP"
    view.view_location = Vector(((low + high) / 2).tolist())
    view.view_distance = 1.5 * max(float(np.linalg.norm(high - low)), least)


def _corner_places(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, finding: Finding
) -> set[tuple[tuple[float, float, float], ...]]:
    """Local places of the vertices of each element; a half hull counts its twin's as its own."""
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


def _select(
    context: bpy.types.Context, hull: bpy.types.Object, element: str, indices: set[int]
) -> None:
    """Enter Edit Mode with just these elements selected."""
    if hull.mode != "EDIT":
        if context.mode != "OBJECT":
            bpy.ops.object.mode_set(mode="OBJECT")
        select_only(hull)
        bpy.ops.object.mode_set(mode="EDIT")
    tools: Any = context.tool_settings
    tools.mesh_select_mode = [mode == element for mode in MODES]
    bpy.ops.mesh.select_all(action="DESELECT")
    mesh: Any = hull.data
    body = bmesh.from_edit_mesh(mesh)
    row: Any = {"vertex": body.verts, "edge": body.edges, "face": body.faces}[element]
    row.ensure_lookup_table()
    for index in indices:
        row[index].hide_set(False)
        row[index].select_set(True)
    body.select_flush_mode()
    bmesh.update_edit_mesh(mesh, loop_triangles=False, destructive=False)


def told(
    hull: bpy.types.Object, finding: Finding, total: int, found: int
) -> tuple[Literal["INFO", "WARNING"], str]:
    """The kind and the text of the report on `found` elements out of `total`."""
    kind, kinds = finding.element, PLURALS.get(finding.element, f"{finding.element}s")
    makers = ", ".join(modifier.name for modifier in hull.modifiers if modifier.show_viewport)
    made = f"made by modifiers ({makers})" if makers else "not in the mesh"
    if not found:
        return "WARNING", f"{counted(total, kind, kinds)} {made}: nothing to select in the mesh"
    selected = f"{counted(found, kind, kinds)} selected"
    if found < total:
        return "WARNING", f"{selected}; {total - found} more {made}"
    return "INFO", selected


def _size(body: bmesh.types.BMesh) -> float:
    places = np.array([vertex.co for vertex in body.verts], dtype=np.float64).reshape(-1, 3)
    return float(np.linalg.norm(np.ptp(places, axis=0))) if len(places) else 0.0


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_select_faults,))
