"""The add-on registered in a real Blender, with an empty scene for each test."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import bpy
import pytest
from painting import HEIGHT, WIDTH

import addon
from addon.blender.controller import analysis, session
from addon.core.criteria.assessment import Assessment
from addon.core.hydrostatics.floating_position import FloatingPosition
from addon.core.model.case import Case
from tests.once import once

BROKEN_EXIT = (4, 5, 0)
"""Before it, Blender's Python module crashes at exit after a property with a callback."""
EXIT = pytest.StashKey[int]()


@pytest.fixture(scope="session", autouse=True)
def registered() -> Iterator[None]:
    addon.register()
    yield
    addon.unregister()


FLOATED, ASSESSED = once(analysis.find_floating_position), once(analysis.assess)


@pytest.fixture(autouse=True)
def computed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Most tests survey the same few ships: new objects of the figures that were found before."""

    def floats(case: Case, **options: Any) -> FloatingPosition:
        return replace(FLOATED(case, **options), case=case)

    def assesses(case: Case, floating: FloatingPosition, **options: Any) -> Assessment:
        found = ASSESSED(case, floating=floating, **options)
        return replace(found, stability=replace(found.stability, floating=floating))

    monkeypatch.setattr(analysis, "find_floating_position", floats)
    monkeypatch.setattr(analysis, "assess", assesses)


@pytest.fixture(autouse=True)
def empty_scene(registered: None) -> Iterator[None]:
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    yield
    session.clear()


@pytest.fixture(scope="session")
def gpu() -> Any:
    import gpu

    gpu.init()
    return gpu


@pytest.fixture
def offscreen(gpu: Any) -> Iterator[Any]:
    """What is painted on without a window."""
    target = gpu.types.GPUOffScreen(WIDTH, HEIGHT)
    yield target
    target.free()


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    session.config.stash[EXIT] = int(exitstatus)


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config: pytest.Config) -> None:
    """By then a worker of pytest-xdist has sent its results, and a single process has reported."""
    if bpy.app.version < BROKEN_EXIT:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(config.stash[EXIT])
