"""Entries in Blender's own menus."""

from __future__ import annotations

import bpy

from .names import Ops


def _add(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.ADD_WEIGHT, text="Naval Weight", icon="MESH_UVSPHERE")
    before = self.layout.operator_context
    self.layout.operator_context = "INVOKE_REGION_WIN"  # the menu would ask nothing of the mouse
    self.layout.operator(Ops.DROP, text="Drop Naval Weights", icon="TRACKER")
    self.layout.operator_context = before
    self.layout.operator(Ops.ADD_OPENING, text="Naval Opening", icon="EMPTY_AXIS")


def _object_context(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.separator()
    self.layout.operator(Ops.MARK_HULL)
    self.layout.operator(Ops.TAG_WEIGHTS)
    self.layout.operator(Ops.WEIGH)
    self.layout.operator(Ops.MARK_TANKS)
    self.layout.operator(Ops.MARK_WINDAGE)
    self.layout.operator(Ops.MARK_OPENINGS)
    self.layout.operator(Ops.UNMARK)


def _export(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.EXPORT_CASE, text="Naval Case (.toml)")
    self.layout.operator(Ops.EXPORT_WEIGHTS, text="Naval Weights (.csv)")


def _import(self: bpy.types.Menu, context: bpy.types.Context) -> None:
    self.layout.operator(Ops.IMPORT_WEIGHTS, text="Naval Weights (.csv)")


ENTRIES = (
    ("VIEW3D_MT_add", _add),
    ("VIEW3D_MT_object_context_menu", _object_context),
    ("TOPBAR_MT_file_import", _import),
    ("TOPBAR_MT_file_export", _export),
)


def register() -> None:
    for menu, draw in ENTRIES:
        getattr(bpy.types, menu).append(draw)


def unregister() -> None:
    for menu, draw in ENTRIES:
        getattr(bpy.types, menu).remove(draw)
