"""Entries in Blender's own menus, where its search finds them as well."""

from __future__ import annotations

import bpy

from ..identifiers import TAB, Ops
from .layout import Described
from .typical_weights import NAVAL_CHECKS_MT_add_typical_weight


class NAVAL_CHECKS_MT_object(Described, bpy.types.Menu):
    """What objects are to a ship, and how she floats"""

    bl_label = TAB

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        for marking in (
            Ops.MARK_HULL,
            Ops.MARK_WEIGHTS,
            Ops.WEIGH,
            Ops.MARK_TANKS,
            Ops.MARK_OPENINGS,
            Ops.MARK_WINDAGE,
            Ops.MARK_BOUNDARIES,
            Ops.MARK_COMPARTMENTS,
            Ops.MARK_DOORS,
            Ops.UNMARK,
        ):
            layout.operator(marking)
        layout.separator()
        for asking in (
            Ops.COMPUTE,
            Ops.COMPARE,
            Ops.FIND_COMPARTMENTS,
            Ops.FLOOD,
            Ops.FLOOD_EACH,
            Ops.TIME_TO_FLOOD,
            Ops.PLAY_FLOODING,
            Ops.STOP_FLOODING,
            Ops.BAKE_FLOODING,
            Ops.REMOVE_BAKED,
            Ops.SUGGEST_BULKHEADS,
            Ops.ADD_SUGGESTED_BULKHEADS,
            Ops.FIND_FLOODABLE_LENGTH,
            Ops.CHECK_SYMMETRY,
            Ops.MIRROR_SIDE,
            Ops.SWITCH_WATER_DISPLAY,
            Ops.CLEAR,
        ):
            layout.operator(asking)


def _add(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.ADD_WEIGHT, text="Naval Weight", icon="MESH_UVSPHERE")
    before = self.layout.operator_context
    self.layout.operator_context = "INVOKE_REGION_WIN"  # the menu would ask nothing of the mouse
    self.layout.operator(Ops.DROP, text="Drop Naval Weights", icon="TRACKER")
    self.layout.operator_context = before
    self.layout.menu(
        NAVAL_CHECKS_MT_add_typical_weight.__name__, text="Usual Naval Weight", icon="BLANK1"
    )
    self.layout.operator(Ops.ADD_OPENING, text="Naval Opening", icon="EMPTY_AXIS")
    self.layout.operator(Ops.ADD_BOUNDARY, text="Naval Bulkhead or Deck", icon="MESH_GRID")
    self.layout.operator(Ops.ADD_COMPARTMENT_MARK, text="Naval Compartment", icon="MESH_CUBE")
    self.layout.operator(Ops.ADD_DOOR, text="Naval Door", icon="BLANK1")
    self.layout.operator(Ops.ADD_BREACH, text="Naval Breach", icon="MESH_CIRCLE")


def _object(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.separator()
    self.layout.menu(NAVAL_CHECKS_MT_object.__name__)


def _export(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.EXPORT_CASE, text="Naval Case (.toml)")
    self.layout.operator(Ops.EXPORT_WEIGHTS, text="Naval Weights (.csv)")


def _import(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.IMPORT_WEIGHTS, text="Naval Weights (.csv)")


ENTRIES = (
    ("VIEW3D_MT_add", _add),
    ("VIEW3D_MT_object", _object),
    ("VIEW3D_MT_object_context_menu", _object),
    ("TOPBAR_MT_file_import", _import),
    ("TOPBAR_MT_file_export", _export),
)


def register() -> None:
    bpy.utils.register_class(NAVAL_CHECKS_MT_object)
    for menu, draw in ENTRIES:
        getattr(bpy.types, menu).append(draw)


def unregister() -> None:
    for menu, draw in ENTRIES:
        getattr(bpy.types, menu).remove(draw)
    bpy.utils.unregister_class(NAVAL_CHECKS_MT_object)
