"""Entries in Blender's own menus, where its search finds them as well."""

from __future__ import annotations

import bpy

from ..identifiers import TAB, Ops
from .layout import Described
from .typical_weights import NAVAL_CHECKS_MT_add_typical_weight


class NAVAL_CHECKS_MT_object(Described, bpy.types.Menu):
    """Mark objects as hulls and parts, and run naval checks"""

    bl_label = TAB

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        for mark in (
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
            layout.operator(mark)
        layout.separator()
        for action in (
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
            layout.operator(action)


class NAVAL_CHECKS_MT_add(Described, bpy.types.Menu):
    """Add weights, openings, boundaries, doors and breaches"""

    bl_label = TAB

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.operator(Ops.ADD_WEIGHT, icon="MESH_UVSPHERE")
        layout.menu(NAVAL_CHECKS_MT_add_typical_weight.__name__, icon="BLANK1")
        before = layout.operator_context
        layout.operator_context = "INVOKE_REGION_WIN"  # a menu executes without the mouse
        layout.operator(Ops.DROP, icon="TRACKER")
        layout.operator_context = before
        layout.separator()
        layout.operator(Ops.ADD_OPENING, icon="EMPTY_AXIS")
        layout.operator_menu_enum(Ops.ADD_BOUNDARY, "kind", icon="MESH_GRID")
        layout.operator(Ops.ADD_COMPARTMENT_MARK, icon="MESH_CUBE")
        layout.operator(Ops.ADD_DOOR, icon="IMPORT")
        layout.operator(Ops.ADD_BREACH, icon="MESH_CIRCLE")


def _add(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.menu(NAVAL_CHECKS_MT_add.__name__)


def _object(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.separator()
    self.layout.menu(NAVAL_CHECKS_MT_object.__name__)


def _export(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.EXPORT_CASE, text="Naval Checks Case (.toml)")
    self.layout.operator(Ops.EXPORT_WEIGHTS, text="Naval Checks Weights (.csv)")


def _import(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.IMPORT_WEIGHTS, text="Naval Checks Weights (.csv)")


ENTRIES = (
    ("VIEW3D_MT_add", _add),
    ("VIEW3D_MT_object", _object),
    ("VIEW3D_MT_object_context_menu", _object),
    ("TOPBAR_MT_file_import", _import),
    ("TOPBAR_MT_file_export", _export),
)


_register_classes, _unregister_classes = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_MT_add, NAVAL_CHECKS_MT_object)
)


def register() -> None:
    _register_classes()
    for menu, draw in ENTRIES:
        getattr(bpy.types, menu).append(draw)


def unregister() -> None:
    for menu, draw in ENTRIES:
        getattr(bpy.types, menu).remove(draw)
    _unregister_classes()
