"""The overlay painted without a window, and its place in the viewport."""

from __future__ import annotations

import logging
from dataclasses import fields, replace
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
import scene_ships as ships
from painting import (
    DARK,
    HEIGHT,
    LIGHT,
    NOTHING,
    WIDTH,
    camera,
    laid_out,
    needs_gpu,
    painted,
    seen,
)

from addon.blender.controller import session
from addon.blender.operators import chart as chart_ui
from addon.blender.readers.members import forget_glances
from addon.blender.viewport import draw_handlers, gpu_renderer, shown_scenery, viewport_regions
from addon.blender.viewport.chart_request import ChartRequest
from addon.blender.viewport.floated_copy import UNDERBODY
from addon.blender.viewport.gpu_renderer import Renderer, view_nearer
from addon.blender.viewport.palette import palette_for
from addon.blender.viewport.scenery import Scenery, Ship, ship_at
from addon.blender.viewport.shapes import Show
from addon.blender.viewport.view import View
from addon.charts.panel import Axes, ChartDrawing, Spot
from addon.core.criteria.assessment import Assessment, assess
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.weights import Weight
from addon.drawing.pixel_boxes import Box
from addon.units.lengths import Lengths
from tests import bodies

Array = np.ndarray


@pytest.fixture(scope="module")
def barge() -> FloatingPosition:
    """A box of 10 x 4 x 3 m at 1 m draft, listing to port."""
    hull = build_hull(bodies.mesh(bodies.box(), "barge"))
    weight = Weight("all", 41000.0, np.array([5.0, 0.15, 1.0]))
    return find_floating_position(Case("barge", hull, (weight,)), seek_others=False)


@pytest.fixture(scope="module")
def wreck() -> FloatingPosition:
    hull = build_hull(bodies.mesh(bodies.box(), "wreck"))
    weight = Weight("all", 200000.0, np.array([5.0, 0.0, 1.0]))
    return find_floating_position(Case("wreck", hull, (weight,)), seek_others=False)


def scenery(ship: Ship, show: Show, ground=DARK) -> Scenery:
    return Scenery((ship,), show, Lengths(), ground)


def at(ship: Ship, point: Array) -> tuple[int, int]:
    """Row and column of a point of the ship."""
    view, projection = camera()
    column, row = View(projection @ view, WIDTH, HEIGHT).of(ship.pose).pixels(point)[0]
    return int(row), int(column)


def around(image: Array, place: tuple[int, int], reach: int = 2) -> Array:
    row, column = place
    return image[row - reach : row + reach + 1, column - reach : column + reach + 1].reshape(-1, 3)


def over(color: tuple[float, ...], ground: tuple[float, ...]) -> Array:
    return np.array(color[:3]) * color[3] + np.array(ground) * (1 - color[3])


@needs_gpu
@pytest.mark.parametrize("ground", [DARK, LIGHT], ids=["dark", "light"])
def test_water_tints_the_ground(gpu, offscreen, barge, ground) -> None:
    ship = ship_at(1, "barge", barge, np.eye(4))
    image = painted(gpu, offscreen, Renderer(), scenery(ship, replace(NOTHING, water=True), ground))
    up, level = barge.equilibrium.attitude.up, barge.equilibrium.attitude.level
    beside = np.array([5.0, -4.0, 0.0])
    on_water = beside + (level - beside @ up) * up
    water = over(palette_for(ground).water, ground)
    assert around(image, at(ship, on_water)) == pytest.approx(np.tile(water, (25, 1)), abs=0.02)
    inside = np.array([5.0, 0.0, 0.0])
    on_waterplane = inside + (level - inside @ up) * up
    assert around(image, at(ship, on_waterplane)) == pytest.approx(
        np.tile(ground, (25, 1)), abs=0.02
    ), "the hull is cut out"


@needs_gpu
@pytest.mark.parametrize("ground", [DARK, LIGHT], ids=["dark", "light"])
def test_waterline_is_drawn_on_the_hull(gpu, offscreen, barge, ground) -> None:
    ship = ship_at(1, "barge", barge, np.eye(4))
    image = painted(
        gpu, offscreen, Renderer(), scenery(ship, replace(NOTHING, waterline=True), ground)
    )
    attitude = barge.equilibrium.attitude
    on_side = np.array([5.0, -2.0, 0.0])
    on_side[2] = (attitude.level - on_side[:2] @ attitude.up[:2]) / attitude.up[2]
    line = np.array(palette_for(ground).waterline[:3])
    distance = np.abs(around(image, at(ship, on_side)) - line).max(axis=1)
    assert distance.min() < 0.05


@needs_gpu
@pytest.mark.parametrize("ground", [DARK, LIGHT], ids=["dark", "light"])
@pytest.mark.parametrize(
    ("field", "kind"),
    [
        ("center_of_gravity", "G"),
        ("center_of_buoyancy", "B"),
        ("metacenter", "M"),
        ("center_of_flotation", "F"),
    ],
)
def test_marks_are_painted_in_their_colors(gpu, offscreen, barge, ground, field, kind) -> None:
    ship = ship_at(1, "barge", barge, np.eye(4))
    show = replace(NOTHING, **{field: True})
    image = painted(gpu, offscreen, Renderer(), scenery(ship, show, ground))
    wet = barge.hydrostatics.immersion
    places = {
        "G": barge.weight.center,
        "B": wet.buoyancy,
        "M": barge.hydrostatics.metacenter,
        "F": wet.flotation,
    }
    row, column = at(ship, places[kind])
    palette = palette_for(ground)
    fill = np.array(palette.marks[kind][:3])
    near = around(image, (row, column), 6)
    assert (np.abs(near - fill).max(axis=1) < 0.03).sum() > 20, "the fill"
    wide = around(image, (row, column), 12)
    assert (np.abs(wide - palette.rim[:3]).max(axis=1) < 0.1).any(), "a light rim"
    assert (wide.max(axis=1) < 0.35).any(), "a dark edge"
    if ground == DARK:
        assert (around(image, (row, column), 30).min(axis=1) > 0.6).any()


@needs_gpu
def test_words_are_written(gpu, offscreen, barge) -> None:
    ship = ship_at(1, "barge", barge, np.eye(4))
    silent = painted(gpu, offscreen, Renderer(), scenery(ship, NOTHING))
    assert (silent[:40].min(axis=2) > 0.7).sum() > 100, "the read-out"
    marks = replace(NOTHING, draft_marks=True)
    bare = painted(gpu, offscreen, Renderer(), scenery(ship, marks))
    named = painted(gpu, offscreen, Renderer(), scenery(ship, replace(marks, labels=True)))
    assert 0 == seen(silent, DARK) < seen(bare, DARK) < seen(named, DARK)


@needs_gpu
def test_stale_is_painted_dimmer(gpu, offscreen, barge) -> None:
    fresh, stale = (
        painted(gpu, offscreen, Renderer(), scenery(ship, Show()))
        for ship in (
            ship_at(1, "barge", barge, np.eye(4)),
            ship_at(1, "barge", barge, np.eye(4), stale=True),
        )
    )
    departure = [np.abs(image[40:] - DARK).sum() for image in (fresh, stale)]
    assert departure[1] < 0.65 * departure[0]


@needs_gpu
def test_sunk_ship_warns(gpu, offscreen, wreck) -> None:
    ship = ship_at(1, "wreck", wreck, np.eye(4))
    image = painted(gpu, offscreen, Renderer(), scenery(ship, Show()))
    warning = np.array(palette_for(DARK).warning[:3])
    near = np.abs(image - warning).max(axis=2) < 0.06
    assert near[:40].any() and near[40:].any()


@needs_gpu
def test_twin_is_painted_in_two_tones(gpu, offscreen, barge) -> None:
    twin = ship_at(1, "barge", barge, np.eye(4), copy_distance=0.0)
    image = painted(gpu, offscreen, Renderer(), scenery(twin, NOTHING))
    side = np.array([5.0, -2.0, 0.0])
    side[2] = (barge.equilibrium.attitude.level - side @ barge.equilibrium.attitude.up) + 0.0
    wet, dry = (image[at(twin, side + (0, 0, z))] for z in (-0.5, 1.0))
    hue = UNDERBODY / UNDERBODY.max()
    assert wet / wet.max() == pytest.approx(hue, abs=0.05)
    assert np.abs(dry / dry.max() - hue).max() > 0.1
    assert seen(image, DARK) > 5000


@needs_gpu
def test_hull_of_the_twin_hides_what_lies_behind(gpu, offscreen, barge) -> None:
    twin = ship_at(1, "barge", barge, np.eye(4), copy_distance=0.0)
    alone = painted(gpu, offscreen, Renderer(), scenery(twin, NOTHING))
    afloat = painted(gpu, offscreen, Renderer(), scenery(twin, replace(NOTHING, water=True)))
    up = barge.equilibrium.attitude.up
    high = at(twin, np.array([9.99, 0.0, 2.0]))
    assert afloat[high] == pytest.approx(alone[high], abs=0.02)
    assert seen(afloat, DARK) > seen(alone, DARK)
    assert up[1] != 0


@needs_gpu
def test_batches_are_made_once_and_follow_what_they_are_made_of(
    gpu, offscreen, barge, wreck, monkeypatch
) -> None:
    from addon.blender.viewport import gpu_renderer as module

    made = []
    real = module.drawing
    monkeypatch.setattr(module, "drawing", lambda *args: made.append(args) or real(*args))
    renderer, show = Renderer(), Show()
    moved = np.eye(4)
    moved[:3, 3] = [0.0, 2.0, 0.0]

    def count(ship: Ship, show: Show) -> int:
        made.clear()
        painted(gpu, offscreen, renderer, scenery(ship, show))
        return len(made)

    assert count(ship_at(1, "barge", barge, np.eye(4)), show) == 1
    assert count(ship_at(1, "barge", barge, np.eye(4)), show) == 0
    assert count(ship_at(1, "barge", barge, moved), show) == 0, "posed, not baked"
    assert count(ship_at(1, "barge", barge, moved), replace(show, labels=False)) == 1
    assert count(ship_at(1, "barge", wreck, moved), show) == 1
    renderer.keep_only({2})
    assert count(ship_at(1, "barge", wreck, moved), show) == 1
    renderer.forget()
    assert count(ship_at(1, "barge", wreck, moved), show) == 1


@needs_gpu
def test_ship_moves_with_its_pose(gpu, offscreen, barge) -> None:
    renderer, show = Renderer(), replace(NOTHING, water=True)
    moved = np.eye(4)
    moved[:3, 3] = [-2.0, 3.0, 0.0]
    first = painted(gpu, offscreen, renderer, scenery(ship_at(1, "b", barge, np.eye(4)), show))
    second = painted(gpu, offscreen, renderer, scenery(ship_at(1, "b", barge, moved), show))
    assert np.abs(first - second).max() > 0.05


@needs_gpu
def test_one_failing_element_leaves_the_others(gpu, offscreen, barge, monkeypatch, caplog) -> None:
    from addon.blender.viewport import gpu_renderer as module

    def fail(*_: object) -> None:
        raise RuntimeError("broken")

    monkeypatch.setattr(module, "finding_marks", fail)
    renderer, ship = Renderer(), ship_at(1, "barge", barge, np.eye(4))
    with caplog.at_level(logging.ERROR):
        image = painted(gpu, offscreen, renderer, scenery(ship, Show()))
        painted(gpu, offscreen, renderer, scenery(ship, Show()))
    assert [record.getMessage() for record in caplog.records] == ["barge: faults cannot be drawn"]
    assert seen(image, DARK) > 1000
    assert (image[:40].min(axis=2) > 0.7).any()


@needs_gpu
def test_state_of_the_gpu_is_left_as_found(gpu, offscreen, barge) -> None:
    ship = ship_at(1, "barge", barge, np.eye(4), copy_distance=1.0)

    def state() -> tuple:
        return (
            gpu.state.blend_get(),
            gpu.state.depth_test_get(),
            gpu.state.depth_mask_get(),
            gpu.matrix.get_model_view_matrix(),
            gpu.matrix.get_projection_matrix(),
        )

    before = state()
    painted(gpu, offscreen, Renderer(), scenery(ship, Show()))
    assert state() == before


def test_lines_stand_off_the_hull_at_the_same_place_on_the_screen() -> None:
    view, projection = camera()
    flat = projection.copy()
    flat[3] = [0.0, 0.0, 0.0, 1.0]
    points = np.array([[3.0, -2.0, 1.0, 1.0], [8.0, 2.0, 0.0, 1.0]])
    for lens in (projection, flat):
        plain, near = (points @ (lens @ eye).T for eye in (view, view_nearer(view, lens)))
        assert near[:, :2] / near[:, 3:] == pytest.approx(plain[:, :2] / plain[:, 3:])
        assert (near[:, 2] / near[:, 3] < plain[:, 2] / plain[:, 3]).all()


def test_register_and_unregister_can_be_repeated() -> None:
    hook = draw_handlers._forget
    for _ in range(2):
        draw_handlers.unregister()
        assert not draw_handlers._overlay.handles
        assert hook not in bpy.app.handlers.load_post
    for _ in range(2):
        draw_handlers.register()
        assert len(draw_handlers._overlay.handles) == 2
        assert bpy.app.handlers.load_post.count(hook) == 1


def test_loading_a_file_drops_what_was_kept() -> None:
    draw_handlers._overlay.renderer._made[1] = None
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    assert not draw_handlers._overlay.renderer._made
    assert len(draw_handlers._overlay.handles) == 2


# What a region has to show ---------------------------------------------------------------------


@pytest.fixture
def context() -> SimpleNamespace:
    """A context in a 3D viewport of the scene, with a box afloat in it."""
    hull = ships.hull()
    ships.weight("all", 4000.0, (3.0, 1.0, 0.4))
    bpy.context.view_layer.update()
    assert ships.floated(hull).floating
    areas = (area for screen in bpy.data.screens for area in screen.areas)
    space = next(area for area in areas if area.type == "VIEW_3D").spaces.active
    space.overlay.show_overlays = True
    return SimpleNamespace(
        scene=bpy.context.scene,
        view_layer=bpy.context.view_layer,
        space_data=space,
        region_data=space.region_3d,
        preferences=bpy.context.preferences,
    )


def test_ship_in_sight_is_shown(context) -> None:
    scene = shown_scenery.scenery_of(context)
    (ship,) = scene.ships
    assert (ship.name, ship.copy, ship.stale) == ("box", False, False)
    assert ship.pose is ship.to_world
    assert scene.show == Show()
    assert scene.lengths.unit == 1.0


def test_nothing_is_shown_when_switched_off(context) -> None:
    context.scene.naval_checks.show_overlay = False
    assert shown_scenery.scenery_of(context) is None
    context.scene.naval_checks.show_overlay = True
    context.space_data.overlay.show_overlays = False
    assert shown_scenery.scenery_of(context) is None
    context.space_data.overlay.show_overlays = True
    context.region_data = None
    assert shown_scenery.scenery_of(context) is None


def test_switches_of_the_scene_reach_the_drawing(context) -> None:
    for field in (field.name for field in fields(Show) if field.name != "weights"):
        setattr(context.scene.naval_checks, f"show_{field}", False)
        assert shown_scenery.scenery_of(context).show == replace(Show(), **{field: False})
        setattr(context.scene.naval_checks, f"show_{field}", True)


def test_hidden_hull_hides_its_water_but_not_its_twin(context) -> None:
    bpy.data.objects["box"].hide_viewport = True
    bpy.context.view_layer.update()
    assert shown_scenery.scenery_of(context) is None
    context.scene.naval_checks.water_display = "WATER_LEVEL"
    context.scene.naval_checks.copy_distance = 3.0
    (ship,) = shown_scenery.scenery_of(context).ships
    assert ship.copy
    assert ship.pose[1, 3] - ship.to_world[1, 3] == pytest.approx(3.0 * 2.0), "breadths to port"


def test_renamed_hull_is_still_shown(context) -> None:
    bpy.data.objects["box"].name = "barge"
    assert [ship.name for ship in shown_scenery.scenery_of(context).ships] == ["barge"]


def test_ship_of_another_scene_is_not_shown(context) -> None:
    context.scene = bpy.data.scenes.new("elsewhere")
    assert shown_scenery.scenery_of(context) is None


def test_changed_ship_is_shown_as_stale(context) -> None:
    session.mark_stale()
    assert [ship.stale for ship in shown_scenery.scenery_of(context).ships] == [True]


def test_ground_is_the_color_behind_the_scene(context) -> None:
    shading = context.space_data.shading
    shading.type, shading.background_type = "SOLID", "VIEWPORT"
    shading.background_color = (0.25, 0.5, 0.75)
    assert viewport_regions.ground_of(context) == pytest.approx((0.25, 0.5, 0.75))
    theme = context.preferences.themes[0].view_3d.space.gradients.high_gradient
    shading.background_type = "THEME"
    assert viewport_regions.ground_of(context) == pytest.approx(tuple(theme))


def test_bars_leave_the_rest_of_the_region_free() -> None:
    def region(kind: str, alignment: str, x: int, y: int, width: int, height: int):
        return SimpleNamespace(type=kind, alignment=alignment, x=x, y=y, width=width, height=height)

    window = region("WINDOW", "NONE", 100, 50, 1000, 600)
    area = SimpleNamespace(
        regions=[
            window,
            region("HEADER", "TOP", 100, 620, 1000, 30),
            region("TOOLS", "LEFT", 100, 50, 60, 600),
            region("UI", "RIGHT", 900, 50, 200, 600),
            region("ASSET_SHELF", "BOTTOM", 100, 50, 1000, 80),
            region("CHANNELS", "LEFT", 0, 0, 1, 1),
        ]
    )
    low, high = viewport_regions.free_part(area, window)
    assert low.tolist() == [60, 80] and high.tolist() == [800, 570]
    assert viewport_regions.redo_panel(area, window) is None
    redo = region("HUD", "FLOAT", 165, 135, 170, 25)
    area.regions.append(redo)
    assert viewport_regions.redo_panel(area, window) == Box(65, 85, 235, 110)
    redo.x, redo.y = 0, 0
    assert viewport_regions.redo_panel(area, window) is None, "hidden"


# The chart of righting arms --------------------------------------------------------------------


@pytest.fixture(scope="module")
def judged() -> Assessment:
    """The barge with its righting arms."""
    hull = build_hull(bodies.mesh(bodies.box(), "barge"))
    weight = Weight("all", 41000.0, np.array([5.0, 0.15, 1.0]))
    return assess(Case("barge", hull, (weight,)))


def charted(judged: Assessment, ground=DARK, **given) -> Scenery:
    ship = ship_at(1, "barge", judged.stability.floating, np.eye(4))
    wanted = ChartRequest("barge", judged, Lengths(), **given)
    return replace(scenery(ship, NOTHING, ground), chart=wanted)


@needs_gpu
@pytest.mark.parametrize("ground", [DARK, LIGHT], ids=["dark", "light"])
def test_chart_is_painted_on_its_panel(gpu, offscreen, judged, ground) -> None:
    renderer, scene = Renderer(), charted(judged, ground, at=0.5)
    image = painted(gpu, offscreen, renderer, scene)
    chart, palette = laid_out(renderer, scene), palette_for(ground)
    left, bottom, right, top = map(round, chart.spot.panel)
    panel = image[bottom:top, left:right]
    outside = image.copy()
    outside[bottom - 1 : top + 1, left - 1 : right + 1] = ground
    assert seen(outside, ground) == 0
    plain = over(palette.chart.panel, ground)
    assert (np.abs(panel - plain).max(axis=2) < 0.02).mean() > 0.5
    at_rest = painted(
        gpu, offscreen, Renderer(), replace(scene, chart=replace(scene.chart, at=None))
    )
    (column, low), (_, high) = chart.axes.at(0.5, np.array(chart.axes.up)).astype(int)
    changed = np.abs(image - at_rest)[low + 2 : high - 2, column - 1 : column + 2].max(axis=(1, 2))
    assert (changed > 0.05).mean() > 0.9, "the line at the heel looked at"
    curve = np.abs(panel - palette.chart.curves[0][:3]).max(axis=2) < 0.05
    assert curve.sum() > 200


@needs_gpu
def test_stale_chart_is_dimmer(gpu, offscreen, judged) -> None:
    fresh, stale = (
        np.abs(painted(gpu, offscreen, Renderer(), charted(judged, stale=stale))[40:] - DARK)
        for stale in (False, True)
    )
    assert (stale > 0.3).sum() < 0.5 * (fresh > 0.3).sum()


@needs_gpu
def test_chart_is_laid_out_anew_only_for_what_changed(gpu, judged, monkeypatch) -> None:
    from addon.blender.viewport import chart_request as module

    made = []
    real = module.lay_out
    monkeypatch.setattr(module, "lay_out", lambda *args: made.append(args) or real(*args))
    renderer = Renderer()

    def count(**given) -> int:
        made.clear()
        laid_out(renderer, charted(judged, **given))
        return len(made)

    assert [count(), count()] == [1, 0]
    assert [count(at=0.3), count(at=0.4), count(at=0.4), count(at=0.3)] == [1, 1, 0, 0]
    assert [count(stale=True), count(place=(0.0, 0.0)), count(size=0.8)] == [1, 1, 1]
    for heel in np.linspace(0.0, 1.0, 40):
        count(at=float(heel))
    assert len(renderer._charts) <= gpu_renderer.MOST_CHARTS
    renderer.forget()
    assert not renderer._charts


@needs_gpu
def test_no_chart_in_a_narrow_region(gpu, judged) -> None:
    assert laid_out(Renderer(), charted(judged)) is not None
    assert laid_out(Renderer(), charted(judged), width=150.0) is None
    assert laid_out(Renderer(), replace(charted(judged), chart=None)) is None


def test_chart_is_that_of_the_hull_at_hand(context) -> None:
    hull = bpy.data.objects["box"]
    ships.activate(hull)
    chart = shown_scenery.scenery_of(context).chart
    assert (chart.name, chart.at, chart.stale) == ("box", None, False)
    assert chart.ship is session.entry_for(hull).assessment
    assert (chart.place, chart.size) == ((1.0, 0.0), 1.0)
    other = ships.hull("barge")
    ships.activate(other)
    assert shown_scenery.scenery_of(context).chart is None, "not floated yet"
    ships.activate(None)
    forget_glances()
    assert shown_scenery.scenery_of(context).chart is None, "one of two"
    ships.activate(hull)
    context.region_data = object()
    assert shown_scenery.scenery_of(context).chart is None, "another part of a quad view"
    context.region_data = context.space_data.region_3d
    context.scene.naval_checks.show_chart = False
    assert shown_scenery.scenery_of(context).chart is None


def test_ship_and_chart_are_at_the_heel_looked_at(context) -> None:
    ships.activate(bpy.data.objects["box"])
    context.scene.naval_checks.use_held_heel = True
    context.scene.naval_checks.held_heel = 0.25
    scene = shown_scenery.scenery_of(context)
    (ship,) = scene.ships
    assert scene.chart.at == pytest.approx(0.25)
    assert ship.floating.equilibrium.attitude.heel_rad == pytest.approx(0.25)
    arms = scene.chart.ship.stability.curve.gz_curve
    assert ship.arm == pytest.approx(float(arms.arm(0.25)), abs=1e-3)
    context.scene.naval_checks.use_held_heel = False
    (ship,) = shown_scenery.scenery_of(context).ships
    assert ship.arm is None and ship.floating.equilibrium.attitude.heel_rad != pytest.approx(0.25)


def test_chart_takes_the_mouse_where_it_is(judged, monkeypatch) -> None:
    axes = Axes(Box(40.0, 40.0, 380.0, 200.0), (0.0, 1.5), (0.0, 0.5))
    panel = Box(10.0, 20.0, 400.0, 240.0)
    drawing = ChartDrawing(Spot(panel, panel), panel._replace(bottom=215.0), axes, None, "heels")
    region = SimpleNamespace(as_pointer=lambda: 7)
    context = SimpleNamespace(region=region)
    title, curve = chart_ui.NAVAL_CHECKS_GT_chart_title, chart_ui.NAVAL_CHECKS_GT_chart_curve

    def hit(at: tuple[float, float]) -> tuple[int, int]:
        parts = SimpleNamespace(part=title.part), SimpleNamespace(part=curve.part)
        return tuple(chart_ui._ChartGizmo.test_select(part, context, at) for part in parts)

    assert draw_handlers.chart_in(region) is None and hit((50.0, 230.0)) == (-1, -1)
    assert not chart_ui.NAVAL_CHECKS_GGT_chart.poll(context)
    monkeypatch.setitem(draw_handlers._overlay.charts, 7, drawing)
    assert draw_handlers.chart_in(region) is drawing and draw_handlers.chart_in(None) is None
    assert chart_ui.NAVAL_CHECKS_GGT_chart.poll(context)
    assert hit((50.0, 230.0)) == (0, -1)
    assert hit((50.0, 100.0)) == (-1, 0)
    assert hit((5.0, 100.0)) == (-1, -1)


def test_chart_operators_need_a_chart() -> None:
    for call in (bpy.ops.naval_checks.move_chart, bpy.ops.naval_checks.scrub_heel):
        with pytest.raises(RuntimeError, match="find the floating position first"):
            call("INVOKE_DEFAULT")
