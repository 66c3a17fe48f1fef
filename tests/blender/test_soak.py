"""Thousands of random edits: nothing fails, nothing is left behind, the figures are right."""

from __future__ import annotations

import gc
import os
import random
from collections.abc import Iterator
from pathlib import Path

import bpy
import pytest
import scene_ships as ships

from addon.blender.controller import live, session
from addon.blender.controller.analysis import float_hull
from addon.blender.controller.handlers import HANDLERS
from addon.blender.properties.names import Role
from addon.blender.properties.settings import settings
from addon.blender.readers.cases import read_case
from addon.core.hydrostatics.floating_position import find_floating_position

pytestmark = pytest.mark.slow

EDITS = int(os.environ.get("NAVAL_CHECKS_EDITS", "600"))
ROUNDS = 2


@pytest.fixture
def computed_once() -> None:
    """Nothing is shared: no two ships are the same, and what is left in memory is counted."""


@pytest.fixture(autouse=True)
def window(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(live, "in_window", True)
    yield
    live.forget()


class Modeller:
    """Someone who edits a ship at random."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def edit(self) -> None:
        """One edit, and sometimes a pause in which all settles."""
        edits = [
            (self.move_weight, 8),
            (self.move_vertex, 5),
            (self.move_hull, 2),
            (self.change_mass, 4),
            (self.add_weight, 2),
            (self.delete_weight, 1),
            (self.duplicate, 1),
            (self.hide, 1),
            (self.undo, 3),
            (self.redo, 2),
            (self.edit_mode, 1),
            (self.condition, 1),
            (self.water, 1),
        ]
        chosen = self.random.choices(*zip(*edits, strict=True))[0]
        chosen()
        bpy.context.view_layer.update()
        if live._pending.noted:
            live._follow_noted()
        if self.random.random() < 0.15:
            live.settle()
        if chosen not in (self.undo, self.redo):
            bpy.ops.ed.undo_push(message="edit")

    def weights(self) -> list[bpy.types.Object]:
        return [obj for obj in bpy.data.objects if settings(obj).role == Role.WEIGHT]

    def hull(self) -> bpy.types.Object:
        return bpy.data.objects["box"]

    def place(self) -> tuple[float, float, float]:
        there = self.random.uniform
        return there(0.5, 5.5), there(0.6, 1.4), there(0.1, 0.9)

    def move_weight(self) -> None:
        self.random.choice(self.weights()).location = self.place()

    def move_vertex(self) -> None:
        mesh = self.hull().data
        mesh.vertices[self.random.randrange(len(mesh.vertices))].co.z += self.random.uniform(
            -0.01, 0.012
        )
        mesh.update_tag()

    def move_hull(self) -> None:
        self.hull().location.z += self.random.uniform(-0.02, 0.02)

    def change_mass(self) -> None:
        settings(self.random.choice(self.weights())).weight.mass = self.random.uniform(100, 900)

    def add_weight(self) -> None:
        if len(self.weights()) < 8:
            ships.weight("ballast", self.random.uniform(50, 300), self.place())

    def delete_weight(self) -> None:
        if len(self.weights()) > 2:
            bpy.data.objects.remove(self.random.choice(self.weights()))

    def duplicate(self) -> None:
        if len(self.weights()) < 8:
            twin = self.random.choice(self.weights()).copy()
            bpy.context.scene.collection.objects.link(twin)

    def hide(self) -> None:
        obj = self.random.choice(self.weights())
        obj.hide_viewport = not obj.hide_viewport

    def undo(self) -> None:
        if bpy.ops.ed.undo.poll():
            bpy.ops.ed.undo()

    def redo(self) -> None:
        if bpy.ops.ed.redo.poll():
            bpy.ops.ed.redo()

    def edit_mode(self) -> None:
        bpy.context.view_layer.objects.active = self.hull()
        bpy.ops.object.mode_set(mode="EDIT")
        bpy.ops.mesh.select_all(action="SELECT")
        bpy.ops.transform.translate(value=(0, 0, self.random.uniform(-0.01, 0.01)))
        bpy.ops.object.mode_set(mode="OBJECT")

    def condition(self) -> None:
        chosen = settings(self.hull())
        if not chosen.conditions:
            chosen.conditions.add().name = "light"
        chosen.active_condition = 0
        chosen.loading = self.random.choice(["CONDITION", "AS_MODELED"])

    def water(self) -> None:
        settings(self.hull()).water.kind = self.random.choice(["SEA", "FRESH"])


def laid_down() -> bpy.types.Object:
    hull = ships.hull()
    ships.weight("engine", 800.0, (2.0, 1.0, 0.3))
    ships.weight("crew", 300.0, (4.0, 1.1, 0.7))
    bpy.context.view_layer.update()
    float_hull(bpy.context.evaluated_depsgraph_get(), hull)
    bpy.ops.ed.undo_push(message="laid down")
    return hull


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_figures_survive_a_day_of_edits(
    seed: int, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    laid_down()
    modeller = Modeller(seed)
    for step in range(EDITS // ROUNDS):
        modeller.edit()
        if step % 100 == 99:
            path = str(tmp_path / "ship.blend")
            bpy.ops.wm.save_as_mainfile(filepath=path)
            bpy.ops.wm.open_mainfile(filepath=path)
            assert not session.known()
            float_hull(bpy.context.evaluated_depsgraph_get(), modeller.hull())
    for handlers, handler in HANDLERS:
        assert list(handlers).count(handler) == 1
    live.settle()
    hull = modeller.hull()
    entry = session.entry_for(hull)
    assert entry and not entry.stale and not entry.behind
    case = read_case(bpy.context.evaluated_depsgraph_get(), hull).case
    if entry.condition is None and entry.floating and entry.floating.equilibrium:
        truth = find_floating_position(case, seek_others=False)
        assert truth.equilibrium
        assert entry.floating.equilibrium.attitude.up == pytest.approx(
            truth.equilibrium.attitude.up, abs=1e-6
        )
    assert "Traceback" not in capfd.readouterr().err


def test_edits_leave_nothing_in_memory() -> None:
    laid_down()
    modeller = Modeller(11)
    counts = []
    for _ in range(4):
        for _ in range(60):
            modeller.move_weight()
            modeller.move_vertex()
            bpy.context.view_layer.update()
        live.settle()
        gc.collect()
        counts.append(len(gc.get_objects()))
    assert counts[-1] - counts[1] < 500, counts
    assert len(session.known()) <= 2 and len(live._pending.paces) <= 1
