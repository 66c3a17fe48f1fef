"""What is within ships, painted without a window, for hulls of the scene, and on the timeline."""

from __future__ import annotations

from dataclasses import replace
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

from addon.blender.controller import known_compartments, session
from addon.blender.controller.compartments import compartments_job
from addon.blender.operators import chart as chart_ui
from addon.blender.operators.timeline import MARKER
from addon.blender.properties.settings import scene_settings
from addon.blender.viewport import compartment_renderer, draw_handlers, shown_scenery
from addon.blender.viewport.chart_panel import chart_bounds
from addon.blender.viewport.chart_request import ChartRequest
from addon.blender.viewport.compartment_renderer import PosedCompartments, eye_of
from addon.blender.viewport.compartment_shapes import CompartmentState
from addon.blender.viewport.flooding_playback import Pace, pace_of
from addon.blender.viewport.gpu_renderer import Renderer
from addon.blender.viewport.palette import palette_for
from addon.blender.viewport.scenery import Scenery, ship_at
from addon.charts.panel import ChartDrawing
from addon.core.damage.flooding import flood
from addon.core.flooding_time.flooding_events import Event
from addon.core.flooding_time.flooding_history import FloodingHistory
from addon.core.messages.sentence import Sentence
from addon.core.stability.both_sides import stability
from addon.units.durations import clock
from addon.units.lengths import Lengths
from tests import divided_barge
from tests.language import reads

pytestmark = pytest.mark.slow

Array = np.ndarray
SHIFT = np.eye(4)
SHIFT[:3, 3] = [-8.0, 0.0, 0.0]


@pytest.fixture(scope="module")
def barge():
    return divided_barge.barge()


def scenery(*within: CompartmentState, ground=DARK, **given) -> Scenery:
    insides = tuple(
        PosedCompartments(number, f"{number}", each, SHIFT) for number, each in enumerate(within)
    )
    return Scenery((), NOTHING, Lengths(), ground, insides=insides, **given)


def plain(within: CompartmentState) -> CompartmentState:
    return replace(within, names=False)


# Painting -------------------------------------------------------------------------------------


@needs_gpu
@pytest.mark.parametrize("ground", [DARK, LIGHT], ids=["dark", "light"])
def test_compartments_have_their_colors(gpu, offscreen, ground) -> None:
    """Indigo is by a third more blue than red, and two of its boundaries hide most of the
    ground."""
    compartment = divided_barge.compartment("lone", (2, -2, 0), (16, 2, 3))
    within = plain(
        CompartmentState(replace(divided_barge.plan(), compartments=(compartment,), neighbors=()))
    )
    image = painted(gpu, offscreen, Renderer(), scenery(within, ground=ground))
    shown = image[np.abs(image - ground).max(axis=2) > 0.05]
    assert len(shown) > 5000
    assert (shown[:, 2] - shown[:, 0]).mean() > 0.12


@needs_gpu
def test_leaks_and_water_look_different(gpu, offscreen, barge) -> None:
    dry = plain(CompartmentState(divided_barge.plan(), barge))
    images = [
        painted(gpu, offscreen, Renderer(), scenery(each))
        for each in (
            dry,
            plain(CompartmentState(divided_barge.plan(leaks=True), barge)),
            replace(dry, levels=(("hold", 2.0),)),
            replace(dry, chosen="hold"),
        )
    ]
    for number, image in enumerate(images):
        for other in images[:number]:
            assert (np.abs(image - other).max(axis=2) > 0.05).sum() > 800


@needs_gpu
def test_water_is_painted_up_to_its_level(gpu, offscreen, barge) -> None:
    """The farther up the water, the more of the picture is blue."""
    dry = plain(CompartmentState(divided_barge.plan(), barge))
    amounts = []
    for level in (1.0, 2.0, 3.0):
        levels = (("hold", level), ("engine room", level))
        image = painted(gpu, offscreen, Renderer(), scenery(replace(dry, levels=levels)))
        amounts.append(int((image[..., 2] - image[..., 0] > 0.15).sum()))
    assert 500 < amounts[0] < amounts[1] < amounts[2]


@needs_gpu
def test_names_of_compartments_are_written(gpu, offscreen, barge) -> None:
    named = CompartmentState(divided_barge.plan(), barge)
    quiet, reported = (
        painted(gpu, offscreen, Renderer(), scenery(each)) for each in (plain(named), named)
    )
    assert (np.abs(quiet - reported).max(axis=2) > 0.3).sum() > 200


@needs_gpu
def test_deck_edge_under_water_is_marked(gpu, offscreen) -> None:
    ship = divided_barge.barge(center=(15.0, 3.2, 1.5))
    within = plain(CompartmentState(divided_barge.plan(), ship, (("hold", -9.0),)))
    image = painted(gpu, offscreen, Renderer(), scenery(within))
    orange = np.abs(image - palette_for(DARK).warning[:3]).max(axis=2) < 0.1
    assert orange.sum() > 100


@needs_gpu
def test_the_twin_is_looked_through_when_compartments_are_shown(gpu, offscreen, barge) -> None:
    ship = replace(ship_at(0, "barge", barge, SHIFT, copy_distance=0.0))
    within = plain(
        CompartmentState(replace(divided_barge.plan(), compartments=(), neighbors=()), barge)
    )
    whole = Scenery((ship,), NOTHING, Lengths(), DARK)
    through = replace(whole, insides=(PosedCompartments(0, "barge", within, ship.pose),))
    solid, sheer = (painted(gpu, offscreen, Renderer(), each) for each in (whole, through))
    assert seen(solid, DARK) == pytest.approx(seen(sheer, DARK), rel=0.05)
    assert np.abs(sheer - DARK).sum() < 0.6 * np.abs(solid - DARK).sum()


@needs_gpu
def test_nothing_is_made_anew_while_nothing_changes(gpu, offscreen, barge, monkeypatch) -> None:
    made: list[str] = []
    for name in ("compartment_bodies", "shown_bodies", "inner_drawing", "batch"):
        real = getattr(compartment_renderer, name)

        def counted(*args, _name=name, _real=real, **given):
            made.append(_name)
            return _real(*args, **given)

        monkeypatch.setattr(compartment_renderer, name, counted)
    renderer, plan = Renderer(), divided_barge.plan()

    def count(**given) -> list[str]:
        made.clear()
        painted(gpu, offscreen, renderer, scenery(CompartmentState(plan, barge, **given)))
        return made.copy()

    assert {"compartment_bodies", "shown_bodies", "batch"} <= {*count()}
    assert count() == []
    rising = count(levels=(("hold", 1.0),))
    assert "shown_bodies" in rising and "compartment_bodies" not in rising
    assert count(levels=(("hold", 1.0),)) == []
    renderer.keep_only({7})
    assert "compartment_bodies" in count()
    renderer.forget()
    assert "compartment_bodies" in count()


@needs_gpu
def test_state_of_the_gpu_is_left_as_found(gpu, offscreen, barge) -> None:
    before = gpu.state.blend_get(), gpu.state.depth_test_get(), gpu.state.depth_mask_get()
    painted(gpu, offscreen, Renderer(), scenery(CompartmentState(divided_barge.plan(True), barge)))
    after = gpu.state.blend_get(), gpu.state.depth_test_get(), gpu.state.depth_mask_get()
    assert before == after


@needs_gpu
def test_words_keep_off_the_chart(gpu, offscreen, barge) -> None:
    run = flooding(barge)
    shown = scenery(CompartmentState(divided_barge.plan(), barge), chart=wanted(run))
    renderer = Renderer()
    chart = renderer._chart(shown, chart_bounds(np.zeros(2), np.array([WIDTH, HEIGHT]), 0, 1.0))
    left, bottom, right, top = map(round, chart.spot.panel)
    with_names, without = (
        painted(gpu, offscreen, Renderer(), each)[bottom + 1 : top - 1, left + 1 : right - 1]
        for each in (shown, scenery(plain(shown.insides[0].within), chart=wanted(run)))
    )
    assert np.abs(with_names - without).max() < 0.02


def test_the_eye_is_where_the_camera_is() -> None:
    view, projection = camera()
    assert eye_of(view, projection) == pytest.approx([18.0, -14.0, 9.0, 1.0])
    assert eye_of(view @ SHIFT, projection) == pytest.approx([26.0, -14.0, 9.0, 1.0])
    flat = projection.copy()
    flat[3] = [0.0, 0.0, 0.0, 1.0]
    back = np.array([13.0, -14.0, 8.0])
    assert eye_of(view, flat) == pytest.approx([*back / np.linalg.norm(back), 0.0])


# Charts ---------------------------------------------------------------------------------------


def flooding(
    ship, compartments: tuple[str, ...] = ("hold",), lost: float | None = None
) -> FloodingHistory:
    """A barge whose first compartment fills in a hundred seconds."""
    steps = np.linspace(0.0, 1.0, 5)
    facts = {
        "case": ship.case,
        "compartments": compartments,
        "times": 100 * steps,
        "ups": np.tile(ship.equilibrium.attitude.up, (5, 1)),
        "levels": ship.equilibrium.attitude.level + 0.2 * steps,
        "water": 0.5 * steps[:, None],
        "surfaces": ship.equilibrium.attitude.level + 0.2 * steps[:, None],
        "events": (
            Event(50.0, Sentence("deck edge under"), "deck-edge"),
            Event(100.0, Sentence("settled"), "settled"),
        ),
        "settled": 100.0,
        "lost": lost,
    }
    return FloodingHistory(
        **{name: facts.get(name, ()) for name in FloodingHistory.__dataclass_fields__}
    )


def wanted(run: FloodingHistory, at: float = 30.0) -> ChartRequest:
    return ChartRequest("barge", None, Lengths(), at, run=run)


@needs_gpu
def test_charts_of_a_run_and_of_the_arms_left(gpu, barge) -> None:
    renderer, run = Renderer(), flooding(barge)
    shown = scenery(chart=wanted(run))
    chart = laid_out(renderer, shown)
    assert chart.shows == "time" and laid_out(renderer, shown) is chart
    later = scenery(chart=wanted(run, 40.0))
    assert laid_out(renderer, later) is not chart
    left = replace(wanted(run), run=None, left=stability(barge.case, floating=barge))
    assert laid_out(renderer, scenery(chart=left)).shows == "still"


def test_each_chart_takes_the_mouse_in_its_own_way(monkeypatch) -> None:
    context = SimpleNamespace(region=SimpleNamespace(as_pointer=lambda: 7))

    def hit(gizmo: type, shows: str) -> int:
        panel = chart_ui.Box(0.0, 0.0, 100.0, 80.0)
        title = panel._replace(bottom=70.0)
        spot = ChartDrawing(SimpleNamespace(panel=panel), title, None, None, shows)
        monkeypatch.setitem(draw_handlers._overlay.charts, 7, spot)
        part = SimpleNamespace(part=gizmo.part)
        return chart_ui._ChartGizmo.test_select(part, context, (50.0, 30.0))

    heel, time = chart_ui.NAVAL_CHECKS_GT_chart_curve, chart_ui.NAVAL_CHECKS_GT_chart_time
    assert (hit(heel, "heels"), hit(time, "heels")) == (0, -1)
    assert (hit(heel, "time"), hit(time, "time")) == (-1, 0)
    assert (hit(heel, "still"), hit(time, "still")) == (-1, -1)
    place = chart_ui.NAVAL_CHECKS_GT_chart_place
    assert (hit(heel, "place"), hit(place, "place"), hit(place, "time")) == (-1, 0, -1)


# Hulls of the scene ---------------------------------------------------------------------------


@pytest.fixture
def context() -> SimpleNamespace:
    """A context in a 3D viewport of the scene, with a box afloat in it, of two compartments."""
    hull = ships.hull()
    ships.weight("all", 4000.0, (3.0, 1.0, 0.4))
    ships.mesh_object("boundary", [(2, -1, -1), (2, 3, -1), (2, 3, 2), (2, -1, 2)], [(0, 1, 2, 3)])
    bpy.data.objects["boundary"].naval_checks.role = "BOUNDARY"
    bpy.context.view_layer.update()
    entry = ships.floated(hull)
    compartments_job(bpy.context.evaluated_depsgraph_get(), hull, entry.ship).run()
    ships.activate(hull)
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


def box() -> session.Entry:
    return session.entry_for(bpy.data.objects["box"])


def test_compartments_of_the_hull_are_shown_with_the_chosen_one(context) -> None:
    names = [compartment.name for compartment in box().plan.compartments]
    assert len(names) == 2
    known_compartments.choose_compartment(box().uid, names[1])
    (shown,) = shown_scenery.scenery_of(context).insides
    assert shown.within.plan is box().plan and shown.within.floating is box().floating
    assert (shown.within.chosen, shown.within.levels, shown.stale) == (names[1], None, False)
    context.scene.naval_checks.show_compartments = False
    assert not shown_scenery.scenery_of(context).insides


def test_a_flooding_is_drawn_in_place_of_the_ship_whole(context) -> None:
    plan = box().plan
    found = flood(box().floating.case, plan, [plan.compartments[0].name])
    session.hurt(box(), floodings=(found,), shown=0)
    context.scene.naval_checks.show_compartments = False
    scene = shown_scenery.scenery_of(context)
    (ship,), (shown,) = scene.ships, scene.insides
    assert ship.floating is found.floating
    level = found.floating.equilibrium.attitude.level
    assert shown.within.levels == ((plan.compartments[0].name, level),)
    assert ship.text[0][0].startswith(f"box, {plan.compartments[0].name} flooded: ")
    assert found.margin_line_immersed and ship.text[1] == (found.explanation, "warning")
    assert scene.chart.left is found.stability and scene.chart.run is None
    session.show_flooding(box(), None)
    scene = shown_scenery.scenery_of(context)
    assert scene.ships[0].floating is box().floating and scene.chart.left is None


def playing(context) -> tuple[FloodingHistory, Pace]:
    run = flooding(box().floating, (box().plan.compartments[0].name,))
    session.hurt(box(), flooding_history=run)
    assert bpy.ops.naval_checks.play_flooding() == {"FINISHED"}
    return run, pace_of(context.scene)


def test_the_ship_follows_the_frame(context) -> None:
    run, pace = playing(context)
    context.scene.frame_set(round(pace.frame(75.0)))
    scene = shown_scenery.scenery_of(context)
    (ship,), (shown,) = scene.ships, scene.insides
    time = pace.time(context.scene.frame_current)
    assert ship.moving and ship.floating.equilibrium.attitude.level == pytest.approx(
        box().floating.equilibrium.attitude.level + 0.2 * time / 100
    )
    assert dict(shown.within.levels)[run.compartments[0]] == pytest.approx(
        ship.floating.equilibrium.attitude.level
    )
    assert f": at {clock(time)} · " in ship.text[0][0]
    assert scene.chart.run is run and scene.chart.at == pytest.approx(time)
    assert shown_scenery.scenery_of(context).ships[0].floating is ship.floating, "computed once"
    context.scene.frame_set(1)
    assert shown_scenery.scenery_of(context).insides[0].within.levels == ()


def test_the_run_fits_the_timeline_with_a_marker_for_each_event(context) -> None:
    context.scene.timeline_markers.new("mine", frame=3)
    context.scene.frame_start, context.scene.frame_end = 11, 251
    run, pace = playing(context)
    chosen = scene_settings(context.scene)
    assert (chosen.flooding_start, chosen.flooding_speed) == (11, 10.0)
    assert pace.frame(100.0) <= context.scene.frame_end
    marks = {
        mark.name: mark.frame
        for mark in context.scene.timeline_markers
        if mark.name.startswith(MARKER)
    }
    assert [*marks.values()] == [round(pace.frame(time)) for time in (50.0, 100.0)]
    assert reads(" ".join(marks), "Flooding: deck edge under (0:50)", "settled (1:40)")
    assert bpy.ops.naval_checks.play_flooding() == {"FINISHED"}
    assert len(context.scene.timeline_markers) == 3, "those of before are gone"
    assert bpy.ops.naval_checks.stop_flooding() == {"FINISHED"}
    assert [mark.name for mark in context.scene.timeline_markers] == ["mine"]
    assert not chosen.play_flooding and not bpy.ops.naval_checks.stop_flooding.poll()


def test_markers_are_undone_with_the_operator(context) -> None:
    session.hurt(
        box(), flooding_history=flooding(box().floating, (box().plan.compartments[0].name,))
    )
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.naval_checks.play_flooding()
    bpy.ops.ed.undo_push(message="played")
    assert len(bpy.context.scene.timeline_markers) == 2
    bpy.ops.ed.undo()
    assert not bpy.context.scene.timeline_markers
    assert not scene_settings(bpy.context.scene).play_flooding


def test_without_a_run_the_user_is_warned(context) -> None:
    with pytest.raises(RuntimeError, match="time to flood"):
        bpy.ops.naval_checks.play_flooding()


def test_compartments_are_shown_before_the_ship_was_floated(context) -> None:
    entry = box()
    session.store(replace(entry, floating=None, assessment=None, message="no weights"))
    scene = shown_scenery.scenery_of(context)
    assert not scene.ships and scene.chart is None
    (shown,) = scene.insides
    assert shown.within.floating is None


# Floodable length -----------------------------------------------------------------------------


@pytest.fixture
def lengths(context) -> SimpleNamespace:
    """The same, its floodable length found, with a boundary across at 2 m."""
    bpy.ops.naval_checks.find_floodable_length()
    return context


def test_floodable_length_takes_the_place_of_the_chart_until_its_eye_is_shut(lengths) -> None:
    chart = shown_scenery.scenery_of(lengths).chart
    assert chart.subdivision is box().damage.subdivision and chart.result is chart.subdivision
    first, second = (
        stretch.compartment(box().plan) for stretch in chart.subdivision.main_compartments
    )
    assert chart.names == (first, second) and all(chart.names)
    assert not chart.stale and chart.at is None and chart.chosen == ""
    bpy.ops.naval_checks.show_floodable_length()
    assert shown_scenery.scenery_of(lengths).chart.subdivision is None
    bpy.ops.naval_checks.show_floodable_length()
    lengths.scene.naval_checks.show_chart = False
    assert shown_scenery.scenery_of(lengths).chart is None


def test_what_is_asked_for_last_has_the_chart(lengths) -> None:
    known_compartments.set_breached(box().uid, frozenset({box().plan.compartments[0].name}))
    bpy.ops.naval_checks.flood()
    assert shown_scenery.scenery_of(lengths).chart.subdivision is None
    bpy.ops.naval_checks.show_floodable_length()
    assert shown_scenery.scenery_of(lengths).chart.subdivision is not None
    session.show_flooding(box(), None)
    assert shown_scenery.scenery_of(lengths).chart.subdivision is None
    bpy.ops.naval_checks.show_floodable_length()
    bpy.ops.naval_checks.suggest_bulkheads(count=1)
    assert shown_scenery.scenery_of(lengths).chart.subdivision is not None


def test_bulkheads_are_followed_and_the_curve_stays_good(lengths) -> None:
    before = box().damage.subdivision
    bpy.data.objects["boundary"].location.x += 0.5
    bpy.context.view_layer.update()
    after = box().damage.subdivision
    assert after.curve is before.curve and not shown_scenery.scenery_of(lengths).chart.stale
    (old,), (new,) = before.bulkheads, after.bulkheads
    assert new.x - old.x == pytest.approx(0.5, abs=1e-5)
    bpy.data.objects["boundary"].naval_checks.role = "NONE"
    assert box().damage.subdivision.main_compartments == ()
    bpy.data.objects["boundary"].naval_checks.role = "BOUNDARY"
    assert len(box().damage.subdivision.bulkheads) == 1
    bpy.data.objects["all"].naval_checks.weight.mass += 500.0
    assert shown_scenery.scenery_of(lengths).chart.stale


def test_the_place_looked_at_is_drawn_in_the_ship(lengths) -> None:
    chosen = lengths.scene.naval_checks
    (ship,) = shown_scenery.scenery_of(lengths).ships
    assert ship.spans == ()
    chosen.use_inspected_place, chosen.inspected_place = True, 3.0
    (ship,) = shown_scenery.scenery_of(lengths).ships
    (span,) = ship.spans
    length = box().damage.subdivision.curve.at(3.0)
    assert [span.start[0], span.end[0]] == pytest.approx([3.0 - length / 2, 3.0 + length / 2])
    assert shown_scenery.scenery_of(lengths).chart.at == pytest.approx(3.0)
    bpy.ops.naval_checks.show_floodable_length()
    (ship,) = shown_scenery.scenery_of(lengths).ships
    assert ship.spans == () and shown_scenery.scenery_of(lengths).chart.at is None


def test_a_compartment_is_shown_by_the_bulkheads_at_its_ends(lengths) -> None:
    bpy.ops.naval_checks.show_floodable_length()
    bpy.ops.naval_checks.show_main_compartment(index=0)
    boundary, chosen = bpy.data.objects["boundary"], lengths.scene.naval_checks
    assert bpy.context.selected_objects == [boundary] and box().damage.charted
    stretch = box().damage.subdivision.main_compartments[0]
    assert chosen.use_inspected_place and chosen.inspected_place == pytest.approx(stretch.middle)
    assert shown_scenery.scenery_of(lengths).chart.chosen == "boundary"
    with pytest.raises(RuntimeError, match="out of date"):
        bpy.ops.naval_checks.show_main_compartment(index=7)


@needs_gpu
def test_chart_of_floodable_length_is_laid_out_anew_for_what_changed(gpu, lengths) -> None:
    renderer, chart = Renderer(), shown_scenery.scenery_of(lengths).chart
    first = laid_out(renderer, scenery(chart=chart))
    assert first.shows == "place" and laid_out(renderer, scenery(chart=chart)) is first
    for changes in ({"at": 2.0}, {"chosen": "boundary"}, {"names": ("a", "b")}):
        assert laid_out(renderer, scenery(chart=replace(chart, **changes))) is not first
