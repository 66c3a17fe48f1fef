"""The add-on registered in a real Blender, with an empty scene for each test."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator

import bpy
import pytest

import addon
from addon.blender.controller import session

BROKEN_EXIT = (4, 5, 0)
"""Before it, Blender's Python module crashes at exit after a property with a callback."""
EXIT = pytest.StashKey[int]()


@pytest.fixture(scope="session", autouse=True)
def registered() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


@pytest.fixture(autouse=True)
def empty_scene(registered: None) -> Iterator[None]:
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    yield
    session.clear()


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    session.config.stash[EXIT] = int(exitstatus)


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config: pytest.Config) -> None:
    if bpy.app.version < BROKEN_EXIT:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(config.stash[EXIT])
