"""Objects that results were found from as they were last seen: their names, the active one."""

from __future__ import annotations

from collections.abc import Iterable

import bpy

_names: dict[int, str] = {}
_active: list[int] = []


def know_names(objects: Iterable[bpy.types.Object]) -> None:
    """Keep what objects are called that results are found from."""
    _names.update((obj.session_uid, obj.name) for obj in objects)


def is_renamed(uid: int, name: str) -> bool:
    """Whether results were found from an object of another name, which is then kept."""
    if _names.get(uid, name) == name:
        return False
    _names[uid] = name
    return True


def activate(obj: bpy.types.Object | None) -> bool:
    """Keep which object is the active one; whether it was another before."""
    now = [obj.session_uid] if obj else []
    if now == _active:
        return False
    _active[:] = now
    return True


def forget_names() -> None:
    """Drop all names."""
    _names.clear()
