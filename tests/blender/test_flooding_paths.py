"""Openings and doors of the scene that are surfaces across the way through."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bpy
import numpy as np
import pytest
import scene_ships as ships
from test_panels import drawn, words

from addon.blender.controller import known_compartments, session
from addon.blender.properties import suggestions
from addon.blender.properties.names import Role
from addon.blender.properties.settings import settings
from addon.blender.readers.cases import read_case
from addon.core.model.case import Case
from addon.parts.case_file import read_case as read_file
from tests.language import reads

CALL = bpy.ops.naval_checks
FACE = ((0, 1, 2, 3),)
HATCH = ((2, 0.5, 1.1), (3, 0.5, 1.1), (3, 1.5, 1.1), (2, 1.5, 1.1))
DOORWAY = ((2, 0.7, 0.1), (2, 1.3, 0.1), (2, 1.3, 0.8), (2, 0.7, 0.8))


@pytest.fixture
def hull() -> bpy.types.Object:
    """The box of 6 × 2 × 1 m with a bulkhead at 2 m, a doorway in that and a hatch over it."""
    obj = ships.hull()
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    ships.weight("ship", 3000, (3, 1, 0.3))
    boundary = ((2, -0.1, -0.1), (2, 2.1, -0.1), (2, 2.1, 1.1), (2, -0.1, 1.1))
    settings(ships.mesh_object("boundary", boundary, FACE)).role = Role.BOUNDARY
    surface("hatch", HATCH, Role.OPENING)
    surface("doorway", DOORWAY, Role.DOOR)
    ships.activate(obj)
    return obj


def surface(name: str, corners: Any, role: Role = Role.NONE) -> bpy.types.Object:
    obj = ships.mesh_object(name, corners, FACE)
    settings(obj).role = role
    bpy.context.view_layer.update()
    return obj


def reading(hull: bpy.types.Object) -> Case:
    return read_case(bpy.context.evaluated_depsgraph_get(), hull).case


def test_figures_are_those_of_the_mesh(hull: bpy.types.Object) -> None:
    settings(bpy.data.objects["hatch"]).opening.kind = "HATCH"
    settings(bpy.data.objects["hatch"]).opening.protection = "WEATHERTIGHT"
    doorway = settings(bpy.data.objects["doorway"]).door
    doorway.closed, doorway.use_discharge_coefficient = True, True
    doorway.discharge_coefficient, doorway.compartments_1 = 0.45, "aft"
    (hatch,), (door,) = reading(hull).openings, reading(hull).doors
    assert hatch.point == pytest.approx([2.5, 0, 1.1], abs=1e-6)
    assert np.abs(hatch.corners[:, 1]) == pytest.approx(np.full(4, 0.5))
    assert (hatch.kind, hatch.weathertight) == ("hatch", True)
    assert (hatch.area, hatch.height) == (pytest.approx(1), 0)
    assert door.point == pytest.approx([2, 0, 0.1], abs=1e-6)
    assert (door.area, door.height) == (pytest.approx(0.6 * 0.7), pytest.approx(0.7))
    assert door.closed and door.discharge_coefficient == 0.45 and door.compartments == ()
    doorway.compartments_2 = "fore"
    assert reading(hull).doors[0].compartments == ("aft", "fore")
    doorway.use_discharge_coefficient = False
    (door,) = reading(hull).doors
    assert door.discharge_coefficient is None and door.compartments == ("aft", "fore")


def test_a_duct_is_offered_the_compartments_of_its_own_hull(hull: bpy.types.Object) -> None:
    doorway = bpy.data.objects["doorway"]
    door = settings(doorway).door

    def offered(text: str = "") -> list[str]:
        return suggestions.suggest_compartments(door, bpy.context, text)

    assert offered() == []
    CALL.find_compartments()
    assert offered() == ["space 1", "space 2"] and offered("2") == ["space 2"]
    other = ships.hull("tender")
    for part in (doorway, bpy.data.objects["boundary"], bpy.data.objects["ship"]):
        settings(part).hull = hull
    bpy.context.view_layer.update()
    ships.activate(other)
    CALL.find_compartments()
    assert len(known_compartments.divisions()) == 2 and offered() == ["space 1", "space 2"]
    settings(doorway).hull = other
    assert offered() == ["space 1"]
    settings(doorway).hull = None
    assert offered() == []


def test_modifiers_scale_and_units_count(hull: bpy.types.Object) -> None:
    hatch = bpy.data.objects["hatch"]
    hatch.scale = (-2, 1, 1)
    thick: Any = hatch.modifiers.new("thick", "SOLIDIFY")
    thick.thickness = 0.05
    bpy.context.scene.unit_settings.scale_length = 0.5
    bpy.context.view_layer.update()
    (found,) = reading(hull).openings
    assert (found.area, found.height) == (pytest.approx(2 / 4), 0)


def test_an_own_area(hull: bpy.types.Object) -> None:
    opening = settings(bpy.data.objects["hatch"]).opening
    door = settings(bpy.data.objects["doorway"]).door
    door.use_area, door.area = True, 0.3
    assert reading(hull).openings[0].area == pytest.approx(1)
    opening.area = 0.2
    assert reading(hull).openings[0].area == pytest.approx(0.2)
    assert reading(hull).doors[0].area == pytest.approx(0.3)


def test_marking(hull: bpy.types.Object) -> None:
    skylight, arch = surface("skylight", HATCH), surface("arch", DOORWAY)
    ships.activate(skylight)
    CALL.mark_openings(protection="WEATHERTIGHT")
    assert (settings(skylight).role, settings(skylight).hull) == (Role.OPENING, hull)
    ships.activate(arch)
    CALL.mark_doors(closed=True)
    assert (settings(arch).role, settings(arch).door.closed) == (Role.DOOR, True)
    with pytest.raises(RuntimeError, match="Select empties or flat meshes first, or use Add Door"):
        CALL.mark_doors()


def test_the_panel_tells_area_and_height(hull: bpy.types.Object) -> None:
    hatch, door = bpy.data.objects["hatch"], bpy.data.objects["doorway"]
    ships.activate(hatch)
    assert "come with the floating position" in words("Openings and Windage")
    ships.floated(hull)
    labels = drawn("Openings and Windage")
    assert (
        labels[labels.index("Area") + 1] == "1 m²"
        and labels[labels.index("Height") + 1] == "0.000 m"
    )
    settings(hatch).opening.area = 0.4
    labels = drawn("Openings and Windage")
    assert labels[labels.index("Area") + 1] == "0.4 m²"
    ships.activate(door)
    labels = drawn("Compartments")
    assert (
        labels[labels.index("Area") + 1] == "0.42 m²"
        and labels[labels.index("Height") + 1] == "0.700 m"
    )
    assert not {"area", "height"} & {part for part in labels if isinstance(part, str)}
    bpy.context.scene.unit_settings.system = "IMPERIAL"
    labels = drawn("Compartments")
    assert labels[labels.index("Area") + 1] == "4.521 ft²"


def test_an_edit_makes_figures_stale(hull: bpy.types.Object) -> None:
    ships.floated(hull)
    CALL.find_compartments()
    bpy.context.view_layer.update()
    for name in ("hatch", "doorway"):
        entry = session.entry_for(hull)
        assert not (entry.stale or entry.divided.stale)
        mesh: Any = bpy.data.objects[name].data
        mesh.vertices[0].co.y -= 0.1
        mesh.update()
        bpy.context.view_layer.update()
        entry = session.entry_for(hull)
        assert (entry.stale, entry.divided.stale) == (name == "hatch", name == "doorway")
        mesh.vertices[0].co.y += 0.1
        mesh.update()
        bpy.context.view_layer.update()


def test_a_bad_surface_is_reported_in_one_line(hull: bpy.types.Object) -> None:
    bpy.data.objects["hatch"].scale = (0, 1, 1)
    bpy.context.view_layer.update()
    with pytest.raises(RuntimeError, match="'hatch'") as caught:
        CALL.compute()
    assert reads(str(caught.value), "opening 'hatch': its mesh has no area")
    assert "Traceback" not in str(caught.value)
    ships.activate(bpy.data.objects["hatch"])
    drawn("Openings and Windage")


@pytest.mark.slow
def test_water_comes_in_through_a_surface(hull: bpy.types.Object) -> None:
    """A port in the side under water, left open; the origin of its mesh is in the other
    compartment."""
    CALL.find_compartments()
    low = ((2.5, 0, 0.1), (2.7, 0, 0.1), (2.7, 0, 0.2), (2.5, 0, 0.2))
    ships.activate(surface("port", low, Role.OPENING))
    CALL.time_to_flood()
    run = session.entry_for(hull).flooding_history
    early = dict(zip(run.compartments, run.water[1], strict=True))
    assert early["space 2"] > 10 * early["space 1"] and run.water[-1].min() > 0


def test_export_writes_the_meshes(hull: bpy.types.Object, tmp_path: Path) -> None:
    door = settings(bpy.data.objects["doorway"]).door
    door.use_area, door.area = True, 0.3
    hull.rotation_euler = (0.1, 0.3, -0.8)
    for name in ("hatch", "doorway", "boundary", "ship"):
        bpy.data.objects[name].parent = hull
    bpy.context.view_layer.update()
    here = reading(hull)
    CALL.export_case(directory=str(tmp_path))
    there = read_file(tmp_path / "case.toml")
    assert {path.name for path in tmp_path.iterdir()} >= {"opening-1.obj", "door-1.obj"}
    (ours,), (theirs,) = here.openings, there.openings
    for end in (np.min, np.max):
        assert end(theirs.corners, axis=0) == pytest.approx(end(ours.corners, axis=0), abs=1e-6)
    assert (theirs.area, theirs.height) == (pytest.approx(ours.area), ours.height)
    assert there.doors[0].area == pytest.approx(0.3)
    assert there.doors[0].height == pytest.approx(here.doors[0].height)
    assert there.doors[0].point == pytest.approx(here.doors[0].point, abs=1e-6)
