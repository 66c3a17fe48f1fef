"""Select the free edges of a leak."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import IntProperty

from ...core.arrays import Floats
from ...core.geometry.symmetry import mirror_image
from ...core.model.compartment import Gap
from ..controller import session
from ..damage_wording import entry_point, leak_text
from ..identifiers import Ops
from ..properties.settings import settings
from ..readers.members import active_hull, part_called
from .compartments import OnCompartments, places_in
from .findings import select_elements
from .view import turn_view

REACH = 1e-5
"""Edges closer than this, in diagonals of the hull, are taken as the same."""
CHANGED = n_("The compartments changed since they were found; find them again")


class NAVAL_CHECKS_OT_show_leak(OnCompartments):
    """Select the free edges past which water enters this compartment, and turn the view to them"""

    bl_idname = Ops.SHOW_LEAK
    bl_label = "Show Leak"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    index: IntProperty(name="Leak", description="Index of the leak in the list", min=0)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        entry = session.entry_for(hull)
        if entry.divided.stale or not self.index < len(entry.plan.leaks):
            self.report({"ERROR"}, CHANGED)
            return {"CANCELLED"}
        leak = entry.plan.leaks[self.index]
        boundaries = {
            gap.boundary: boundary_named(context, hull, gap.boundary) for gap in leak.path
        }
        for name, boundary in boundaries.items():
            if boundary is None or not boundary.visible_get():
                text = rpt_("{boundary} is hidden or gone; show it first")
                self.report({"ERROR"}, text.format(boundary=name))
                return {"CANCELLED"}
        if context.mode != "OBJECT":
            bpy.ops.object.mode_set(mode="OBJECT")
        found = {
            boundary: free_edges(
                boundary,
                entry,
                [gap for gap in leak.path if gap.boundary == name],
                settings(hull).form.mirror or settings(boundary).both_sides,
            )
            for name, boundary in boundaries.items()
        }
        chosen = {boundary: edges for boundary, edges in found.items() if edges}
        if chosen:
            select_elements(context, chosen, "edge")
        ends = np.concatenate([gap.edges.reshape(-1, 3) for gap in leak.path])
        turn_view(context, places_in(entry, ends))
        where = " ".join(
            filter(None, (leak_text(leak), entry_point(context.scene, entry.floating, leak)))
        )
        missing = [boundary.name for boundary, edges in found.items() if not edges]
        if missing:
            text = rpt_(
                "{where} The edges in {boundaries} are not in the mesh, so none are selected"
            )
            self.report({"WARNING"}, text.format(where=where, boundaries=", ".join(missing)))
        else:
            self.report({"INFO"}, where)
        return {"FINISHED"}


def boundary_named(
    context: bpy.types.Context, hull: bpy.types.Object, name: str
) -> bpy.types.Object | None:
    """The mesh that has a gap: the hull or one of its parts."""
    objects: Any = context.view_layer.objects
    return hull if name == hull.name else part_called(objects, name, hull)


def free_edges(
    boundary: bpy.types.Object, entry: session.Entry, gaps: Iterable[Gap], half: bool
) -> set[int]:
    """Indices of the edges of a mesh in Object Mode along which the edges of gaps lie.

    An edge of a gap may be part of one of the mesh, which other boundaries have cut; and that of
    its mirror image where `half` of what there is is modeled.
    """
    mesh: Any = boundary.data
    places = np.zeros(3 * len(mesh.vertices))
    mesh.vertices.foreach_get("co", places)
    to_ship = np.linalg.inv(entry.to_world) @ np.array(boundary.matrix_world, dtype=np.float64)
    points = places.reshape(-1, 3) @ to_ship[:3, :3].T + to_ship[:3, 3]
    ends = np.zeros(2 * len(mesh.edges), np.int32)
    mesh.edges.foreach_get("vertices", ends)
    edges = points[ends.reshape(-1, 2)]
    sought = np.concatenate([gap.edges for gap in gaps])
    if half:
        sought = np.concatenate([sought, mirror_image(sought)])
    reach = REACH * entry.ship.hull.tree.size
    low, high = sought.min(axis=(0, 1)) - reach, sought.max(axis=(0, 1)) + reach
    near = np.flatnonzero(((edges.max(1) >= low) & (edges.min(1) <= high)).all(axis=1))
    start, along = edges[near, 0], edges[near, 1] - edges[near, 0]
    square = np.maximum((along * along).sum(axis=1), np.finfo(float).tiny)
    found: set[int] = set()
    for pair in sought:
        off = [_distances(start, along, square, end) for end in pair]
        found.update(near[np.maximum(*off) <= reach].tolist())
    return found


def _distances(start: Floats, along: Floats, square: Floats, point: Floats) -> Floats:
    """Distances (n,) of a point (3,) from edges that start at (n, 3) and run along (n, 3)."""
    share = np.clip(((point - start) * along).sum(axis=1) / square, 0.0, 1.0)
    return np.linalg.norm(start + share[:, None] * along - point, axis=1)


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_show_leak,))
