"""Keys in the 3D viewport, which the user can change in the preferences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import bpy

from .identifiers import Ops

KEYMAP = "3D View"
KEYS: dict[str, Any] = {Ops.COMPUTE: "N", Ops.ADD_WEIGHT: "K", Ops.SWITCH_WATER_DISPLAY: "V"}
"""Pressed with Ctrl and Alt, which Blender leaves free for these keys."""

Placed = tuple[bpy.types.KeyMap, bpy.types.KeyMapItem]

_placed: list[Placed] = []


def found_in(configuration: bpy.types.KeyConfig | None) -> Iterator[Placed]:
    """The add-on's keys in a configuration, edited by the user or not."""
    keymap = configuration.keymaps.get(KEYMAP) if configuration else None
    items: Any = keymap.keymap_items if keymap else ()
    for item in items:
        if item.idname in KEYS:
            yield keymap, item


def register() -> None:
    configuration = bpy.context.window_manager.keyconfigs.addon
    if configuration is None:
        return
    keymap = configuration.keymaps.new(name=KEYMAP, space_type="VIEW_3D")
    for operator, key in KEYS.items():
        item = keymap.keymap_items.new(operator, key, "PRESS", ctrl=True, alt=True)
        _placed.append((keymap, item))


def unregister() -> None:
    while _placed:
        keymap, item = _placed.pop()
        keymap.keymap_items.remove(item)
