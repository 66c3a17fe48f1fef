"""From a leak to the free edges that let the water in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import IntProperty
from numpy.typing import NDArray

from ...core.compartments.find_compartments import first_water
from ...core.geometry.symmetry import mirror_image
from ...core.model.compartment import Gap, Leak
from ...units.quantities import Units
from ..controller import session
from ..identifiers import Ops
from ..properties.settings import settings
from ..readers.members import hull_at_hand, part_called
from .compartments import OnRooms, places_in
from .findings import select_elements
from .view import turn_view

Array = NDArray[np.float64]

REACH = 1e-5
"""Edges this near, in diagonals of the hull, are taken as the same."""
CHANGED = n_("The rooms changed since they were found; find them again")


class NAVAL_CHECKS_OT_show_leak(OnRooms):
    """Select the free edges past which water gets into this room, and turn the view to them"""

    bl_idname = Ops.SHOW_LEAK
    bl_label = "Show Leak"
    bl_options = {"REGISTER", "UNDO", "INTERNAL"}

    index: IntProperty(name="Leak", description="Place of the leak in the list", min=0)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = hull_at_hand(context)
        entry = session.entry_for(hull)
        if entry.divided.stale or not self.index < len(entry.division.leaks):
            self.report({"ERROR"}, CHANGED)
            return {"CANCELLED"}
        leak = entry.division.leaks[self.index]
        walls = {gap.wall: wall_named(context, hull, gap.wall) for gap in leak.path}
        for name, wall in walls.items():
            if wall is None or not wall.visible_get():
                text = rpt_("{wall} is hidden or gone; show it first")
                self.report({"ERROR"}, text.format(wall=name))
                return {"CANCELLED"}
        if context.mode != "OBJECT":
            bpy.ops.object.mode_set(mode="OBJECT")
        found = {
            wall: free_edges(
                wall,
                entry,
                [gap for gap in leak.path if gap.wall == name],
                settings(hull).mirror or settings(wall).both_sides,
            )
            for name, wall in walls.items()
        }
        chosen = {wall: edges for wall, edges in found.items() if edges}
        if chosen:
            select_elements(context, chosen, "edge")
        ends = np.concatenate([gap.edges.reshape(-1, 3) for gap in leak.path])
        turn_view(context, places_in(entry, ends))
        told = " ".join(filter(None, (way_in(leak), entry_point(context, entry, leak))))
        missing = [wall.name for wall, edges in found.items() if not edges]
        if missing:
            text = rpt_("{told} The edges in {walls} are not in the mesh, so none are selected")
            self.report({"WARNING"}, text.format(told=told, walls=", ".join(missing)))
        else:
            self.report({"INFO"}, told)
        return {"FINISHED"}


def wall_named(
    context: bpy.types.Context, hull: bpy.types.Object, name: str
) -> bpy.types.Object | None:
    """The mesh that a gap is in: the hull, or one of her parts."""
    objects: Any = context.view_layer.objects
    return hull if name == hull.name else part_called(objects, name, hull)


def free_edges(
    wall: bpy.types.Object, entry: session.Entry, gaps: Iterable[Gap], half: bool
) -> set[int]:
    """Indices of the edges of a mesh in Object Mode along which the edges of gaps lie.

    An edge of a gap may be part of one of the mesh, which other walls have cut; and that of its
    mirror image where `half` of what there is is modelled.
    """
    mesh: Any = wall.data
    places = np.zeros(3 * len(mesh.vertices))
    mesh.vertices.foreach_get("co", places)
    to_ship = np.linalg.inv(entry.to_world) @ np.array(wall.matrix_world, dtype=np.float64)
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


def _distances(start: Array, along: Array, square: Array, point: Array) -> Array:
    """Distances (n,) of a point (3,) from edges that start at (n, 3) and run along (n, 3)."""
    share = np.clip(((point - start) * along).sum(axis=1) / square, 0.0, 1.0)
    return np.linalg.norm(start + share[:, None] * along - point, axis=1)


def way_in(leak: Leak) -> str:
    """'Water gets into hold through gap in 'hull', gap in 'deck'.'"""
    gaps = ", ".join(iface_("gap in '{wall}'").format(wall=gap.wall) for gap in leak.path)
    return iface_("Water gets into {room} through {gaps}.").format(room=leak.room, gaps=gaps)


def entry_point(context: bpy.types.Context, entry: session.Entry, leak: Leak) -> str:
    """Where water would first enter at the present waterline; empty while that is not known."""
    rest = entry.floating.rest if entry.floating else None
    if rest is None:
        return ""
    point, height = first_water(leak, rest.attitude)
    length = Units.of(context.scene).length
    x, y, z = (length(value) for value in point)
    text = (
        iface_("Water first enters at x {x}, y {y}, z {z}, {height} above the waterline.")
        if height > 0
        else iface_("Water enters at x {x}, y {y}, z {z}, {height} under the waterline.")
    )
    return text.format(x=x, y=y, z=z, height=length(abs(height)))


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_show_leak,))
