"""Documentation pictures in a real Blender: letters, the studio, whole pictures, and the demo."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType, SimpleNamespace

import bpy
import numpy as np
import pytest
import scene_ships as ships

from addon.blender.controller import session
from addon.blender.pictures import studio
from addon.blender.pictures.camera import FROM_AHEAD, FROM_STARBOARD_BOW, PROFILE, Aspect, fitted
from addon.blender.pictures.picture import BLOCK, PAPER, documentation, free_part
from addon.blender.pictures.studio import Studio, family
from addon.blender.pictures.text_outlines import CAPITAL, TextOutlines
from addon.blender.properties.settings import settings
from addon.blender.viewport.compartment_shapes import CompartmentState
from addon.core.model.compartment import CompartmentPlan
from addon.drawing.png import png
from addon.examples.loader import load_example
from tests import divided_barge
from tests.language import refused

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]
SMALL = (400, 225)
BLOCKS = ("objects", "meshes", "collections", "materials", "scenes", "worlds", "lights", "cameras")
SILENT_BLOCKS = ("curves", "fonts")


@pytest.fixture(autouse=True)
def coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(studio, "SAMPLES", 1)


def data_names() -> dict[str, set[str]]:
    return {kind: set(getattr(bpy.data, kind).keys()) for kind in (*BLOCKS, *SILENT_BLOCKS)}


def box_ship(mass: float = 5000.0, aside: float = 0.0) -> tuple[bpy.types.Object, session.Entry]:
    obj = ships.hull()
    ships.weight("cargo", mass, (3.0, 1.0 + aside, 0.3), obj)
    bpy.context.view_layer.update()
    return obj, ships.floated(obj)


def colors(canvas_pixels: np.ndarray, column: int) -> np.ndarray:
    return np.round(canvas_pixels[:, column] * 255)


# Letters --------------------------------------------------------------------------------------


def test_a_text_is_as_wide_as_its_letters_and_its_capitals_are_as_high_as_asked():
    with TextOutlines() as letters:
        width, height = letters.size("Draft aft 0.83 m", 20.0)
        assert 120 < width < 200 and height == pytest.approx(20 * CAPITAL)
        assert letters.outline("H")[..., 1].max() == pytest.approx(CAPITAL)
        assert letters.outline("HH")[..., 0].max() > 1.8 * letters.outline("H")[..., 0].max()


def test_signs_that_pictures_use_are_in_the_font():
    with TextOutlines() as letters:
        missing = letters.outline("\ue000")
        for sign in "°…'\"·":
            outline = letters.outline(sign)
            assert len(outline) and not np.array_equal(outline, missing), sign


def test_no_text_has_no_width():
    with TextOutlines() as letters:
        assert letters.size("", 20.0)[0] == 0 and len(letters.outline(" ")) == 0


def test_letters_leave_nothing_behind():
    before = data_names()
    with TextOutlines() as letters:
        letters.size("trim", 12.0)
    assert data_names() == before


def test_a_font_of_the_file_stays():
    folder = bpy.utils.system_resource("DATAFILES", path="fonts")
    own = bpy.data.fonts.load(str(Path(folder, "Inter.woff2")))
    with TextOutlines() as letters:
        letters.size("trim", 12.0)
    assert own.name in bpy.data.fonts


# The studio -----------------------------------------------------------------------------------


@pytest.mark.parametrize("aspect", [PROFILE, FROM_STARBOARD_BOW], ids=lambda aspect: aspect.title)
def test_the_camera_sees_what_blenders_own_sees(aspect: Aspect):
    points = np.random.default_rng(1).uniform((-4, -1, -1), (8, 2, 3), (40, 3))
    camera = fitted(aspect, points, SMALL, np.zeros(2), np.array(SMALL))
    ours = camera.view(*SMALL)
    with Studio(PAPER) as compartment:
        obj = ships.mesh_object("thing", ships.BOX, ships.FACES)
        compartment.show([obj], np.eye(4))
        compartment.photograph(camera, 40, 20)
        eye = compartment.scene.camera
        compartment.scene.render.resolution_x, compartment.scene.render.resolution_y = SMALL
        depsgraph = bpy.context.evaluated_depsgraph_get()
        lens = np.array(eye.calc_matrix_camera(depsgraph, x=SMALL[0], y=SMALL[1]), np.float64)
        theirs = lens @ np.linalg.inv(np.array(eye.matrix_world, np.float64))
    clip = np.column_stack([points, np.ones(40)]) @ theirs.T
    pixels = (clip[:, :2] / clip[:, 3:] + 1) / 2 * SMALL
    assert ours.pixels(points) == pytest.approx(pixels, abs=0.02)


def test_a_ship_is_shown_with_all_that_hangs_on_it_and_no_more():
    obj, _ = box_ship()
    head = bpy.data.objects.new("head", None)
    mast = ships.mesh_object("mast", ships.BOX, ships.FACES)
    stranger = ships.mesh_object("stranger", ships.BOX, ships.FACES)
    bpy.context.scene.collection.objects.link(head)
    obj.parent, mast.parent = head, head
    assert set(family(obj)) == {head, obj, mast, *obj.children}
    assert stranger not in family(obj)


def test_the_studio_moves_and_measures_in_meters():
    bpy.context.scene.unit_settings.system = "METRIC"
    bpy.context.scene.unit_settings.scale_length = 0.01
    obj = ships.hull()
    obj.scale, obj.rotation_euler, obj.location = (100,) * 3, (0.0, 0.0, 2.0), (70, 8, 9)
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    bpy.context.view_layer.update()
    ships.weight("cargo", 5000.0, obj.matrix_world @ obj.data.vertices[0].co)
    bpy.context.view_layer.update()
    entry = ships.floated(obj)
    with Studio(PAPER) as compartment:
        compartment.show([obj], np.linalg.inv(entry.to_world))
        corners = compartment.corners()
    assert np.ptp(corners, axis=0) == pytest.approx([6.0, 2.0, 1.0], rel=1e-4)
    assert corners.min(axis=0) == pytest.approx([0.0, -1.0, 0.0], abs=1e-3)


def test_what_lies_behind_is_hidden():
    obj = ships.mesh_object("box", ships.BOX, ships.FACES)
    with Studio(PAPER) as compartment:
        compartment.show([obj], np.eye(4))
        camera = fitted(PROFILE, compartment.corners(), SMALL, np.zeros(2), np.array(SMALL))
        points = np.array([[3.0, 0.0, 0.5], [3.0, 2.0, 0.5], [3.0, 5.0, 0.5], [3.0, 5.0, 1.5]])
        assert compartment.hides(points, camera).tolist() == [False, True, True, False]


def test_without_cycles_the_user_is_warned(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(studio, "ENGINE", "NO_ENGINE")
    obj, entry = box_ship()
    before = data_names()
    with refused("Cycles"):
        documentation(obj, entry, PROFILE, *SMALL)
    assert data_names() == before


# Pictures -------------------------------------------------------------------------------------


def test_the_water_stands_where_it_floats():
    """5 t on 12 m2 of sea water draw 5000 / 1025 / 12 m; the box is 1 m deep."""
    obj, entry = box_ship()
    width, height = 800, 450
    canvas = documentation(obj, entry, PROFILE, width, height)
    block = height - 377
    draft = 5000 / 1025 / 12
    box = np.array([[x, y, z - draft] for x in (0, 6) for y in (-1, 1) for z in (0, 1)], float)
    size = (width, height - block)
    view = fitted(PROFILE, box, size, *free_part(PROFILE, size)).view(*size)
    water = view.pixels(np.zeros((1, 3)))[0, 1]
    column = canvas.pixels[block:, 3]
    blue = column[:, 2] - column[:, 0] > 0.08
    assert blue[: int(water) - 2].all() and not blue[int(water) + 3 :].any()
    assert np.round(canvas.pixels[-3, 3] * 255) == pytest.approx(
        np.round(np.array(PAPER[:3]) * 255), abs=1
    )
    assert canvas.pixels[2, 3] == pytest.approx(BLOCK[:3], abs=1e-6)


def test_a_picture_leaves_the_scene_as_it_is():
    obj, entry = box_ship(aside=0.1)
    scene, before = bpy.context.scene, data_names()
    place, engine = obj.matrix_world.copy(), scene.render.engine
    canvas = documentation(obj, entry, FROM_AHEAD, *SMALL)
    assert canvas.pixels.shape == (225, 400, 3)
    assert np.isfinite(canvas.pixels).all()
    assert (canvas.pixels >= 0).all() and (canvas.pixels <= 1).all()
    assert data_names() == before and bpy.context.scene == scene
    assert obj.matrix_world == place and scene.render.engine == engine
    assert session.entry_for(obj) is entry


@pytest.mark.parametrize("mass", [11500.0, 20000.0], ids=["nearly margin line immersed", "sunk"])
def test_a_ship_in_distress_has_a_picture_too(mass: float):
    obj, entry = box_ship(mass)
    assert (entry.floating.state == "sunk") == (mass > 12300)
    for aspect in (PROFILE, FROM_STARBOARD_BOW):
        assert np.isfinite(documentation(obj, entry, aspect, *SMALL).pixels).all()


def test_both_sides_of_a_half_hull_are_shown():
    obj = ships.example(load_example("half-launch"))
    bpy.context.view_layer.update()
    canvas = documentation(obj, ships.floated(obj), FROM_AHEAD, *SMALL)
    ship = np.abs(canvas.pixels[120] - PAPER[:3]).max(axis=1) > 0.05
    assert ship[200 - 12] and ship[200 + 12]


def test_a_ship_is_looked_through_to_its_compartments():
    """The box in two compartments of unlike colors, each seen through the hull."""
    obj, entry = box_ship()
    halves = (
        divided_barge.compartment("aft", (0, -1, 0), (3, 1, 1)),
        divided_barge.compartment("fore", (3, -1, 0), (6, 1, 1), watertight=False),
    )
    within = CompartmentState(
        CompartmentPlan(halves, (("aft", "fore"),)), entry.floating, names=False
    )
    before = data_names()
    canvas = documentation(obj, entry, PROFILE, *SMALL, within=within)
    assert data_names() == before
    plain = documentation(obj, entry, PROFILE, *SMALL)
    row = canvas.pixels[round(0.62 * SMALL[1])]
    aft, fore = (row[round(share * SMALL[0])] for share in (0.3, 0.7))
    assert aft[2] - aft[0] > 0.02 and fore[0] - fore[2] > 0.02, "indigo and straw"
    assert np.abs(canvas.pixels - plain.pixels).max() > 0.2


def test_water_in_a_holed_ship_is_pictured():
    obj, entry = box_ship()
    lone = divided_barge.compartment("all", (0, -1, 0), (6, 1, 1))
    within = CompartmentState(CompartmentPlan((lone,)), entry.floating, names=False)
    empty, breached = (
        documentation(obj, entry, FROM_STARBOARD_BOW, *SMALL, within=each).pixels
        for each in (
            replace(within, levels=(("none", 1.0),)),
            replace(within, levels=(("all", 0.3),)),
        )
    )
    deeper = documentation(
        obj, entry, FROM_STARBOARD_BOW, *SMALL, within=replace(within, levels=(("all", 0.8),))
    ).pixels
    some, more = (np.abs(each - empty).max(axis=2) > 0.03 for each in (breached, deeper))
    assert 500 < some.sum() < more.sum()


def test_a_picture_is_read_back_by_blender(tmp_path: Path):
    rng = np.random.default_rng(5)
    pixels = rng.random((20, 30, 3)).astype(np.float32)
    path = tmp_path / "picture.png"
    path.write_bytes(png(pixels))
    assert studio._pixels_of(str(path)) == pytest.approx(pixels, abs=0.5 / 255 + 1e-6)


# The demo -------------------------------------------------------------------------------------


@pytest.fixture
def demo(monkeypatch: pytest.MonkeyPatch) -> Iterator[ModuleType]:
    monkeypatch.syspath_prepend(str(ROOT / "scripts"))
    import demo

    yield demo
    sys.modules.pop("demo")


def test_the_demos_file_holds_the_launch_of_its_case(demo: ModuleType, tmp_path: Path):
    demo.floated(load_example("survey-launch"), demo.LAUNCH)
    path = tmp_path / "launch.blend"
    demo.save(path)
    bpy.ops.wm.open_mainfile(filepath=str(path))
    hull = bpy.data.objects[demo.LAUNCH]
    assert [c.name for c in bpy.data.collections[demo.LAUNCH].children] == [
        "Hull",
        "Weights",
        "Tanks",
        "Openings",
        "Fittings",
    ]
    entry = ships.floated(hull)
    case, case_entry = entry.floating.case, load_example("survey-launch").case_entry
    assert [(c.name, c.without_groups, sorted(c.fills)) for c in case.conditions] == [
        (c.name, c.without_groups, sorted(c.fill)) for c in case_entry.conditions
    ]
    assert len(case.openings) == len(case_entry.openings) and len(case.windage)
    assert case.service.waters == case_entry.service.waters
    assert f"{entry.floating.case.title}\n" in demo.report(demo.write_case(tmp_path / "case"))
    run_command = [
        line for line in demo.report(tmp_path / "case/case.toml").splitlines() if "Draft" in line
    ]
    figures = entry.floating.hydrostatics
    for line, draft in zip(
        run_command, (figures.draft_aft, figures.draft_mid, figures.draft_forward), strict=True
    ):
        assert float(line.split()[-2]) == pytest.approx(draft, abs=6e-4)


def test_the_demo_looks_into_the_leaky_workboat(demo: ModuleType, tmp_path: Path, monkeypatch):
    shown: list[CompartmentState] = []

    def seen(*args, within, **given):
        shown.append(within)
        return SimpleNamespace(pixels=np.zeros((2, 2, 3), np.float32))

    monkeypatch.setattr("addon.blender.pictures.picture.documentation", seen)
    entry = demo.floated(load_example("leaky-workboat"), demo.LEAKY)
    demo.look_into(entry, tmp_path / "leak.png", chosen=demo.LEAK)
    demo.look_into(entry, tmp_path / "flooded.png", breached=demo.BREACHED)
    leak, flooded = shown
    compartments = {compartment.name: compartment for compartment in leak.plan.compartments}
    assert not compartments[demo.LEAK].watertight and compartments["cabin"].watertight
    (way,) = (each for each in leak.plan.leaks if each.compartment == demo.LEAK)
    assert len(way.path) == 3, "hatch, and two bulkheads"
    assert demo.BREACHED in dict(flooded.levels) and flooded.floating is not entry.floating


def test_the_demo_overwrites_its_case(demo: ModuleType, tmp_path: Path):
    first = demo.write_case(tmp_path)
    first.write_text("# spoilt\n")
    assert "Survey launch" in demo.report(demo.write_case(tmp_path))
