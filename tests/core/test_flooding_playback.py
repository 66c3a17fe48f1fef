"""A flooding in time as it is played: moments between steps, words, and its chart on a panel.

Attitudes and levels between two steps are those of a straight line between them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.blender.viewport.flooding_playback import (
    Pace,
    lying,
    moment,
    next_event,
    run_text,
    speed_for,
)
from addon.blender.viewport.shapes import Show
from addon.blender.viewport.vessel_shapes import drawing
from addon.charts.colors import ON_DARK
from addon.charts.flooding_chart import FloodingFigures, flooding_chart
from addon.charts.layout import lay_out
from addon.charts.panel import ChartDrawing, ChartStyle, Spot
from addon.core.buoyancy.attitude import up_from_angles
from addon.core.flooding_time.flooding_events import Event
from addon.core.flooding_time.flooding_history import FloodingHistory
from addon.core.messages.sentence import Sentence
from addon.drawing.pixel_boxes import Box
from addon.drawing.tessellation import Fill, Stroke
from addon.units.durations import clock
from addon.units.lengths import FOOT, Lengths
from tests import divided_barge

Array = np.ndarray
METERS = Lengths()
HEELS = np.radians([0.0, 4.0, 10.0])
PANEL = Box(100.0, 50.0, 500.0, 300.0)


@pytest.fixture(scope="module")
def plan():
    return divided_barge.plan()


@pytest.fixture(scope="module")
def ship():
    return divided_barge.barge()


@pytest.fixture(scope="module")
def run(ship) -> FloodingHistory:
    """Three steps of a barge: the hold takes water at once, the store from 60 s on."""
    return flooding(ship)


def flooding(ship, **given) -> FloodingHistory:
    facts = {
        "case": ship.case,
        "compartments": ("hold", "store to port"),
        "times": np.array([0.0, 60.0, 180.0]),
        "ups": np.array([up_from_angles(heel, 0.0) for heel in HEELS]),
        "levels": np.array([1.6, 1.8, 2.2]),
        "water": np.array([[0.0, 0.0], [30.0, 0.0], [90.0, 8.0]]),
        "surfaces": np.array([[np.nan, np.nan], [1.2, np.nan], [1.9, 1.4]]),
        "events": (
            Event(100.0, Sentence("deck edge under"), "deck-edge"),
            Event(180.0, Sentence("lost"), "lost"),
        ),
        "settled": None,
        "lost": 180.0,
    }
    facts |= given
    known = {name: facts.get(name, ()) for name in FloodingHistory.__dataclass_fields__}
    return FloodingHistory(**known)


def text_size(text: str, size: float) -> tuple[float, float]:
    return 0.6 * size * len(text), 0.72 * size


# Moments --------------------------------------------------------------------------------------


def test_at_a_step_it_lies_as_computed(run, plan) -> None:
    here = moment(run, plan, 60.0)
    assert here.attitude.heel_rad == pytest.approx(HEELS[1])
    assert here.attitude.level == pytest.approx(1.8)
    assert dict(here.levels) == pytest.approx({"hold": 1.2})
    assert here.water == pytest.approx(30.0)


def test_between_steps_in_proportion(run, plan) -> None:
    here = moment(run, plan, 90.0)
    assert np.linalg.norm(here.attitude.up) == pytest.approx(1.0)
    assert here.attitude.heel_rad == pytest.approx(np.radians(5.5), rel=2e-3)
    assert here.attitude.level == pytest.approx(1.9)
    assert here.water == pytest.approx(0.75 * 30 + 0.25 * 98)
    assert dict(here.levels)["hold"] == pytest.approx(0.75 * 1.2 + 0.25 * 1.9)


def test_first_water_rises_from_the_lowest_place(run, plan) -> None:
    here = moment(run, plan, 120.0)
    floor = plan.compartment("store to port").body.span(here.attitude.up)[0]
    assert dict(here.levels)["store to port"] == pytest.approx((floor + 1.4) / 2)


def test_before_and_after_the_run_nothing_changes(run, plan) -> None:
    first, last = moment(run, plan, -5.0), moment(run, plan, 1e6)
    assert (first.time, first.levels, first.water) == (0.0, (), 0.0)
    assert last.time == 180.0 and last.attitude.level == pytest.approx(2.2)


def test_a_run_of_one_step_and_a_compartment_that_is_gone(run, plan, ship) -> None:
    parts = {
        name: getattr(run, name)[1:2] for name in ("times", "ups", "levels", "water", "surfaces")
    }
    assert moment(flooding(ship, **parts), plan, 7.0).water == 30.0
    fewer = replace(plan, compartments=plan.compartments[2:])
    assert [name for name, _ in moment(run, fewer, 180.0).levels] == ["store to port"]


def test_it_is_drawn_as_it_lies(run, plan, ship) -> None:
    here = moment(run, plan, 90.0)
    there = lying(ship, here)
    assert there.equilibrium.attitude is here.attitude
    assert there.hydrostatics.draft_mid == pytest.approx(here.attitude.draft_at(15.0))
    shapes = drawing(there, Show().without_centers(), METERS)
    assert here.attitude.heights(shapes.waterline) == pytest.approx(0.0, abs=1e-9)
    assert not shapes.marks and not shapes.measures and len(shapes.draft_scales) == 2


# The timeline ---------------------------------------------------------------------------------


def test_frames_and_times_follow_each_other() -> None:
    pace = Pace(10.0, 2.4)
    assert pace.time(10.0) == pace.time(-3.0) == 0.0
    assert pace.time(34.0) == pytest.approx(10.0) and pace.frame(10.0) == pytest.approx(34.0)


@pytest.mark.parametrize(
    ("seconds", "played", "speed"),
    [(10.0, 10.0, 1.0), (11.0, 10.0, 2.0), (600.0, 10.0, 60.0), (1.0, 10.0, 0.1), (1e6, 10.0, 1e5)],
)
def test_a_run_fits_into_the_time_it_is_played_in(seconds, played, speed) -> None:
    assert speed_for(seconds, played) == pytest.approx(speed)


def test_clock() -> None:
    assert [clock(t) for t in (0, 45.4, 60, 725, 3599.6, 3753)] == [
        "0:00",
        "0:45",
        "1:00",
        "12:05",
        "1:00:00",
        "1:02:33",
    ]


@pytest.mark.wording
def test_the_line_says_how_it_lies_and_what_is_next(run, plan, ship) -> None:
    here = moment(run, plan, 60.0)
    text, tone = run_text("barge", run, lying(ship, here), here, METERS)
    draft = here.attitude.draft_at(15.0)
    assert text == (
        f"barge: at 1:00 · draft {draft:.2f} m · heel 4.0° to starboard · "
        "on an even keel · water 30.0 m³ · next: deck edge under at 1:40"
    )
    assert tone == "plain"
    assert next_event(run, 100.0).kind == "lost"
    here = moment(run, plan, 180.0)
    text, tone = run_text("barge", run, lying(ship, here), here, METERS)
    assert text.endswith("· lost") and tone == "warning"
    calm = flooding(ship, events=(), lost=None, settled=170.0)
    assert run_text("barge", calm, ship, here, METERS)[0].endswith("· settled")


# The chart ------------------------------------------------------------------------------------


def chart_of(run: FloodingHistory, time: float = 60.0, lengths: Lengths = METERS) -> ChartDrawing:
    spot = Spot(PANEL.grown(20.0), PANEL)
    chart = flooding_chart(FloodingFigures.of("barge", run, lengths, time))
    return lay_out(chart, spot, ChartStyle(ON_DARK), text_size)


def texts(chart: ChartDrawing) -> list[str]:
    return [label.text for label in chart.picture.labels]


def test_the_curve_is_the_water_over_time(run) -> None:
    chart = chart_of(run)
    (line,) = (
        ink
        for ink in chart.picture.primitives
        if isinstance(ink, Stroke) and ink.color == ON_DARK.curves[0]
    )
    drawn = np.concatenate([line.segments[:, 0], line.segments[-1:, 1]])
    assert drawn == pytest.approx(chart.axes.at(run.times, np.array([0.0, 30.0, 98.0])))
    assert PANEL.holds(drawn).all() and chart.axes.across == (0.0, 180.0)
    (ground,) = (ink for ink in chart.picture.primitives if isinstance(ink, Fill))
    a, b = (ground.corners[:, n] - ground.corners[:, 0] for n in (1, 2))
    box = chart.axes.box
    whole = box.width / 180 * box.height / chart.axes.up[1]
    ground_area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() / 2
    assert ground_area == pytest.approx(whole * (30 * 60 / 2 + (30 + 98) * 120 / 2))


@pytest.mark.wording
def test_the_moment_and_the_events_are_reported(run) -> None:
    reported = texts(chart_of(run))
    assert (
        "1:00: 30.0 m³, 4.0°" in reported
        and "lost 3:00" in reported
        and "deck edge under 1:40" in reported
    )
    assert reported[0] == "barge  ·  flooding over time  ·  lost at 3:00"
    assert {"Water (m³)", "Heel to starboard", "1:00", "0"} <= {*reported}


def test_the_end_is_in_the_title(ship) -> None:
    def ending(**given) -> str:
        run = flooding(ship, lost=None, **given)
        return flooding_chart(FloodingFigures.of("b", run, METERS, 0.0)).title[1]

    assert ending(settled=170.0) == "settles at 2:50"
    assert ending() == "first 3:00"


def test_words_keep_off_one_another_and_within_the_panel(run) -> None:
    boxes = []
    for label in chart_of(run).picture.labels:
        width, height = text_size(label.text, label.size)
        left, bottom = label.at
        boxes.append(Box(left, bottom, left + width, bottom + height))
    assert all(box.within(PANEL) for box in boxes)
    for number, box in enumerate(boxes):
        assert not any(box.meets(other) for other in boxes[:number]), box


def test_volumes_are_in_the_users_unit(run, ship) -> None:
    feet = chart_of(run, lengths=Lengths("IMPERIAL", "FEET"))
    assert "Water (ft³)" in texts(feet)
    assert f"1:00: {30 / FOOT**3:.0f} ft³, 4.0°" in texts(feet)
    small = flooding(ship, water=np.array([[0.0, 0.0], [0.01, 0.0], [0.03, 0.02]]))
    assert "Water (L)" in texts(chart_of(small))


def test_the_pixel_under_the_mouse_is_a_time(run) -> None:
    axes = chart_of(run).axes
    assert axes.across_at(float(axes.at(45.0, 0.0)[0])) == pytest.approx(45.0)
    assert chart_of(run).shows == "time"


def test_volumes_have_three_figures() -> None:
    assert [METERS.volume(v) for v in (0.0, 0.0123, 0.35, 1.0, 12.34, 1234.0)] == [
        "0 L",
        "12.3 L",
        "350 L",
        "1.00 m³",
        "12.3 m³",
        "1234 m³",
    ]
    assert Lengths("IMPERIAL", "FEET").volume(1.0) == "35.3 ft³"
