"""Registering and unregistering leaves Blender as it was."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import bpy
import pytest

import addon
from addon.blender import command_line, keymap
from addon.blender.identifiers import Ops
from addon.blender.panels.menus import ENTRIES
from addon.blender.properties.names import PROPERTY

OWNERS = (bpy.types.Object, bpy.types.Scene, bpy.types.WindowManager)
ROOT = Path(__file__).parents[2]
HANDLERS = (
    "depsgraph_update_post",
    "frame_change_post",
    "load_pre",
    "load_post",
    "undo_post",
    "redo_post",
)


def state() -> dict[str, object]:
    """All that an add-on may leave behind."""
    handlers = {name: len(getattr(bpy.app.handlers, name)) for name in HANDLERS}
    classes = [name for name in dir(bpy.types) if "naval" in name.lower()]
    menus = {
        name: len(getattr(getattr(bpy.types, name).draw, "_draw_funcs", ())) for name, _ in ENTRIES
    }
    owners = [hasattr(kind, PROPERTY) for kind in OWNERS]
    return {
        **handlers,
        **menus,
        "classes": classes,
        "owners": owners,
        "keys": len([*keymap.found_in(bpy.context.window_manager.keyconfigs.addon)]),
        "commands": len(command_line._commands),
        "operators": dir(bpy.ops.naval_checks),
    }


@pytest.fixture
def unregistered() -> Iterator[None]:
    addon.unregister()
    yield
    addon.register()


def test_all_is_there() -> None:
    found = state()
    assert found["owners"] == [True, True, True]
    assert found["commands"] == 1
    assert found["keys"] == len(keymap.KEYS)
    assert sorted(found["operators"]) == sorted(name.split(".")[1] for name in Ops)


def test_twice_leaves_nothing(unregistered: None) -> None:
    before = state()
    assert before["classes"] == [] and before["owners"] == [False, False, False]
    assert before["keys"] == 0
    assert before["commands"] == 0 and before["operators"] == []
    for _ in range(2):
        addon.register()
        during = state()
        addon.unregister()
        assert state() == before
        assert during["classes"]
    for name in HANDLERS:
        for handler in getattr(bpy.app.handlers, name):
            assert not handler.__module__.startswith("addon"), handler


def test_import_needs_no_blender() -> None:
    code = "import sys; sys.modules['bpy'] = None; import addon; print(addon.__doc__)"
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr


def test_imports_stay_inside_the_package() -> None:
    for path in (ROOT / "addon").rglob("*.py"):
        for line in path.read_text(encoding="utf-8").splitlines():
            assert not line.lstrip().startswith(("import addon", "from addon")), (path, line)
