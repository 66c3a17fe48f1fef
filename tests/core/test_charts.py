"""Charts of results: what each shows, read back through the numbers along its axes, and the files
that come of it."""

from __future__ import annotations

import os
import re
import struct
import subprocess
import sys
import zlib
from itertools import combinations
from math import degrees, radians, sin
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.charts.chart import MUST, Axis, Chart, Ground, Line, Mark, Note, Part, pieces
from addon.charts.colors import ON_DARK, ON_PAPER, ChartColors
from addon.charts.floodable_length_chart import floodable_result_chart
from addon.charts.flooding_chart import time_to_flood_chart
from addon.charts.gz_figures import gz_curve_chart, residual_chart
from addon.charts.layout import NOTHING, OWN, lay_out
from addon.charts.loading_charts import conditions_chart, cross_curves_chart, limiting_kg_chart
from addon.charts.page import FINE, HEIGHT, WIDTH, chart_png, chart_svg, page_of
from addon.charts.panel import TEXT, ChartStyle, Spot
from addon.core.criteria.disclaimer import CAUTION
from addon.drawing.lettering import text_size
from addon.drawing.picture import Label
from addon.drawing.pixel_boxes import Box
from addon.drawing.svg import clean
from addon.drawing.tessellation import Fill, Stroke
from addon.units.lengths import Lengths
from addon.units.scales import Angles, Decimal
from tests.language import refused

ROOT = Path(__file__).resolve().parents[2]
SVG = "{http://www.w3.org/2000/svg}"
HEELS = [float(heel) for heel in range(0, 91, 7)]
ARMS = [0.6 * sin(2 * heel / degrees(1.0)) for heel in HEELS]
SIDE = {
    "equilibrium_heel_deg": 0.0,
    "GZ_max_m": 0.6,
    "GZ_max_at_deg": 45.0,
    "vanishing_stability_deg": 80.5,
    "range_deg": 80.5,
    "downflooding_deg": 52.0,
    "downflooding_opening": "engine room vent",
    "deck_edge_immersion_deg": 31.5,
}
RESULT: dict[str, Any] = {
    "title": "Survey launch",
    "length_overall_m": 8.0,
    "heel_deg": HEELS,
    "GZ_m": ARMS,
    "GM_upright_m": 0.7,
    "floating": {"heel_deg": 0.0},
    "weaker_side": "starboard",
    "sides": {"starboard": SIDE, "port": SIDE},
    "heeling_levers": [
        {"name": "steady wind", "lever_m": [0.1] * len(HEELS)},
        {"name": "turning", "lever_m": [0.2] * len(HEELS)},
    ],
    "criteria_note": "No stability criteria were checked.",
}
RUN = {
    "title": "Barge",
    "time_s": [0.0, 60.0, 120.0],
    "heel_deg": [0.0, -2.0, -8.0],
    "compartments": [
        {"name": "hold", "water_m3": [0.0, 3.0, 5.0]},
        {"name": "peak", "water_m3": [0.0, 0.0, 1.0]},
    ],
    "events": [
        {
            "time_s": 90.0,
            "description": "Water reaches compartment 'peak'",
            "kind": "progressive_flooding",
        },
        {"time_s": 120.0, "description": "Lost", "kind": "lost"},
    ],
    "lost_s": 120.0,
    "settled_s": None,
}
LENGTH = {
    "title": "Coaster",
    "x_m": [0.0, 4.0, 10.0],
    "floodable_length_m": [0.0, 6.0, 0.0],
    "permeability": 0.9,
    "main_compartments": [
        {"aft_m": 0.0, "forward_m": 3.0, "floodable_length_m": 4.0, "survives": True},
        {"aft_m": 3.0, "forward_m": 10.0, "floodable_length_m": 3.5, "survives": False},
    ],
}
MASSES = [8000.0, 10000.0, 12500.0]
CROSS = {
    "title": "Coaster",
    "heel_deg": [10.0, 20.0, 30.0],
    "rows": [
        {"displacement_kg": mass, "KN_m": [heel / 40 - mass / 1e6 for heel in (10, 20, 30)]}
        for mass in MASSES
    ],
}
LIMITS = {
    "title": "Coaster",
    "rows": [
        {"displacement_kg": 1000.0 * t, "KG_max_m": None if t < 9 else 2 - t / 20}
        for t in range(8, 13)
    ],
    "displacement_kg": 11000.0,
    "KG_m": 1.3,
    "KG_max_m": 1.45,
}
CONDITIONS = {
    "title": "Coaster",
    "conditions": [
        {"condition": name, "heel_deg": HEELS, "GZ_m": [arm * (1 - n / 9) for arm in ARMS]}
        for n, name in enumerate(("Light ship", "Departure", "Arrival", "Towing"))
    ],
}
LEFT = {
    "title": "Coaster",
    "residual_heel_deg": HEELS,
    "residual_GZ_m": ARMS,
    "residual_side": "port",
    "residual_equilibrium_deg": 7.0,
    "residual_range_deg": 35.0,
}
CHARTS = {
    "GZ": gz_curve_chart(RESULT),
    "both": gz_curve_chart(
        {
            **RESULT,
            "heel_deg": [-heel for heel in HEELS[:0:-1]] + HEELS,
            "GZ_m": [-arm for arm in ARMS[:0:-1]] + ARMS,
            "heeling_levers": [],
            "floating": {"heel_deg": -4.0},
        }
    ),
    "time": time_to_flood_chart(RUN),
    "floodable-length": floodable_result_chart(LENGTH),
    "KN": cross_curves_chart(CROSS),
    "KG": limiting_kg_chart(LIMITS),
    "conditions": conditions_chart(CONDITIONS),
    "residual": residual_chart(LEFT),
}


def lines(chart: Chart, tone: object) -> list[Line]:
    return [part for part in chart.parts if isinstance(part, Line) and part.tone == tone]


def notes(chart: Chart) -> list[str]:
    return [part.text for part in chart.parts if isinstance(part, Note)]


def simple(*parts: Part, names: Any = "legend", **changes: Any) -> Chart:
    axis = Axis("x", Decimal(1.0, ""), (0.0, 10.0))
    given = {"title": ("t",), "kind": "k", "x": axis, "y": axis, "parts": parts, "names": names}
    return Chart(**{**given, **changes})


class Picture:
    """A chart on its page, and its strokes in the figures of its axes, by the numerals alone."""

    def __init__(self, chart: Chart) -> None:
        self.page = page_of(chart)
        self.labels = self.page.picture.labels
        self.words = [label.text for label in self.labels]
        figures = [label for label in self.labels if re.fullmatch(r"[−\d.:°]+", label.text)]
        low = min(float(label.at[1]) for label in figures)
        left = min(float(label.at[0]) for label in figures)
        ends = [float(label.at[0]) + text_size(label.text, label.size)[0] for label in figures]
        column = [
            label
            for label, end in zip(figures, ends, strict=True)
            if float(label.at[0]) < left + 30 and end < left + 60 and float(label.at[1]) > low + 8
        ]
        self.x = self._scale([each for each in figures if float(each.at[1]) < low + 1], 0)
        self.y = self._scale(column, 1)

    @staticmethod
    def _scale(labels: list[Label], axis: int) -> np.ndarray:
        middles = [
            float(label.at[axis]) + text_size(label.text, label.size)[axis] / 2 for label in labels
        ]
        return np.polyfit(middles[1:-1], [figure(label.text) for label in labels][1:-1], 1)

    def read(self, pixels: np.ndarray) -> np.ndarray:
        return np.stack(
            [np.polyval(self.x, pixels[..., 0]), np.polyval(self.y, pixels[..., 1])], axis=-1
        )

    def strokes(self, color: tuple[float, ...]) -> list[np.ndarray]:
        """Points (n, 2) of strokes of a color that run through the axes."""
        primitives = self.page.picture.primitives
        found = [ink for ink in primitives if isinstance(ink, Stroke) and ink.color == color]
        return [self.read(ink.segments.reshape(-1, 2)) for ink in found]


def figure(text: str) -> float:
    minutes, _, seconds = text.rpartition(":")
    return 60 * float(minutes or 0) + float(seconds.replace("−", "-").rstrip("°"))


# What is shown ----------------------------------------------------------------------------------


def test_the_GZ_curve_goes_through_its_points() -> None:
    curve = gz_curve_chart({**RESULT, "sides": {}, "heeling_levers": [], "GM_upright_m": None})
    (points,) = Picture(curve).strokes(ON_PAPER.curves[0])
    expected = np.column_stack([HEELS, ARMS])
    assert points[::2] == pytest.approx(expected[:-1], abs=0.01)
    assert points[-1] == pytest.approx(expected[-1], abs=0.01)


@pytest.mark.parametrize(
    ("heels", "sides", "dry", "wet"),
    [
        (range(-60, 61, 10), (45.0, 25.0), [(-25, 45)], [(-60, -25), (45, 60)]),
        (range(-60, 61, 10), (None, 20.0), [(-20, 60)], [(-60, -20)]),
        (range(0, 61, 10), (30.0, 25.0), [(0, 30)], [(30, 60)]),
        (range(0, 61, 10), (None, 25.0), [(0, 60)], []),
        (range(0, 61, 10), (60.0, None), [(0, 60)], []),
        (range(0, 61, 10), (90.0, None), [(0, 60)], []),
    ],
)
def test_GZ_beyond_downflooding_is_dashed(heels, sides, dry, wet) -> None:
    stated = [{"downflooding_deg": heel} for heel in sides]
    chart = gz_curve_chart(
        {
            "heel_deg": [float(heel) for heel in heels],
            "GZ_m": [0.01 * heel for heel in heels],
            "sides": dict(zip(("starboard", "port"), stated, strict=True)),
        }
    )
    for dash, expected in (("solid", dry), ("dashed", wet)):
        found = [line.points for line in lines(chart, 0) if line.dash == dash]
        spans = sorted(np.degrees(run[[0, -1], 0]).tolist() for run in found)
        assert np.ravel(spans) == pytest.approx(np.ravel(sorted(expected)))
        for run in found:
            assert run[:, 1] == pytest.approx(0.01 * np.degrees(run[:, 0]))


def test_what_could_not_be_found_breaks_the_line_and_leaves_a_lone_point() -> None:
    arms = [0.0, 0.1, None, 0.3, float("nan"), 0.2, 0.1]
    runs = pieces("arm", [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0], arms)
    assert [run.tolist() for run in runs] == [
        [[0.0, 0.0], [10.0, 0.1]],
        [[30.0, 0.3]],
        [[50.0, 0.2], [60.0, 0.1]],
    ]
    dots = [
        len(laid_out(simple(Line(np.array(run), 0))).picture.primitives) for run in ([], [[1, 2]])
    ]
    assert dots[1] == dots[0] + 2, "a disc with its rim"


def laid_out(chart: Chart, colors: ChartColors = ON_PAPER, size: tuple[float, float] = (560, 372)):
    panel = Box(0.0, 0.0, *size)
    return lay_out(chart, Spot(panel, panel), ChartStyle(colors), text_size)


@pytest.mark.parametrize(("GM", "whole"), [(0.7, True), (3.0, False), (-0.2, True)])
def test_the_tangent_rises_by_GM_in_a_radian(GM: float, whole: bool) -> None:
    """A steep one ends before the chart grows to much more than the height that the arms need."""
    chart = gz_curve_chart({**RESULT, "GM_upright_m": GM})
    slope = lines(chart, "quiet")[0].points
    assert slope[0].tolist() == [0.0, 0.0]
    assert slope[1, 1] / slope[1, 0] == pytest.approx(GM)
    assert (slope[1, 0] == pytest.approx(1.0)) == whole
    assert slope[1, 1] <= chart.y.span[1] < 1.2
    text = f"GM {GM:.3f} m" + (" at 57.3°" if whole else "")
    assert text in notes(chart)


@pytest.mark.parametrize(
    ("downflooding", "area", "name"),
    [(52.0, 8.0, "area to 40.0°"), (None, 8.0, "area to 40.0°")]
    + [(30.0, 4.5, "area to 30.0°, downflooding")],
)
def test_the_shade_has_the_area_under_the_arm(
    downflooding: float | None, area: float, name: str
) -> None:
    """Under GZ = heel/100 (m) the area up to h is h^2/200 (m degrees)."""
    result = {**RESULT, "GZ_m": [heel / 100 for heel in HEELS], "heeling_levers": []}
    side = {**SIDE, "downflooding_deg": downflooding}
    chart = gz_curve_chart({**result, "sides": {"starboard": side, "port": side}})
    picture = Picture(chart)
    (shade,) = [ink for ink in picture.page.picture.primitives if isinstance(ink, Fill)]
    corners = picture.read(shade.corners)
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    shaded = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() / 2
    assert shaded == pytest.approx(area, rel=3e-3)
    assert name in picture.words


def test_nothing_is_shaded_where_no_lever_rights_the_vessel() -> None:
    side = {**SIDE, "range_deg": 0.0}
    chart = gz_curve_chart({**RESULT, "sides": {"starboard": side, "port": side}})
    assert not any(isinstance(part, Ground) for part in chart.parts)
    assert chart.title[-1] == "no positive GZ"


def test_every_figure_of_a_GZ_curve_is_named() -> None:
    picture = Picture(CHARTS["GZ"])
    assert {
        "Survey launch  ·  GZ curve  ·  GM 0.700 m  ·  range 80.5°, 52.0° to downflooding",
        "Heel to starboard",
        "GZ (m)",
        "steady wind",
        "turning",
        "area to 40.0°",
        "GM 0.700 m at 57.3°",
        "maximum GZ 0.600 m at 45.0°",
        "deck-edge immersion 31.5°",
        "downflooding 52.0°, engine room vent",
        "angle of vanishing stability 80.5°",
    } <= set(picture.words)
    assert " ".join(picture.words).endswith(f"{RESULT['criteria_note']} {CAUTION}")


def test_a_heeling_lever_stands_on_the_weaker_side_alone() -> None:
    heels = [-60.0, -30.0, 0.0, 30.0, 60.0]
    arm = {"name": "wind", "lever_m": [-0.1] * 5}
    result = {"heel_deg": heels, "GZ_m": [-0.3, -0.2, 0.0, 0.2, 0.3], "heeling_levers": [arm]}
    sides = {"starboard": SIDE, "port": SIDE}
    chart = gz_curve_chart({**result, "sides": sides, "weaker_side": "port"})
    (lever,) = lines(chart, "lever")
    assert np.degrees(lever.points[:, 0]) == pytest.approx([0.0, -30.0, -60.0])
    assert chart.x.ends == ("port", "starboard")


def test_cross_curves_stand_over_tonnes_and_are_named_at_their_ends() -> None:
    picture = Picture(CHARTS["KN"])
    assert {"Displacement (t)", "KN (m)", "10°", "20°", "30°"} <= set(picture.words)
    assert [line.points.tolist() for line in lines(CHARTS["KN"], 1)] == [
        [[mass, 20 / 40 - mass / 1e6] for mass in MASSES]
    ]
    for number, heel in enumerate((10, 20, 30)):
        label = next(each for each in picture.labels if each.text == f"{heel}°")
        assert label.color == ON_PAPER.curves[number]
        _, height = picture.read(label.at + (0.0, label.size * 0.35))
        assert height == pytest.approx(heel / 40 - 0.0125, abs=0.01)


def test_names_at_the_ends_of_near_lines_stand_clear_of_one_another() -> None:
    near = [Line(np.array([[0, 0], [10, 5 + n / 100]]), n, name=f"{n}°") for n in (3, 1, 4, 2)]
    labels = laid_out(simple(*near, names="ends")).picture.labels
    heights = {label.text: float(label.at[1]) for label in labels}
    assert np.diff([heights[f"{n}°"] for n in (1, 2, 3, 4)]).min() > 10.5
    middle = np.mean([heights[f"{n}°"] for n in (1, 2, 3, 4)])
    alone = laid_out(simple(Line(np.array([[0, 0], [10, 5.025]]), 0, name="9°"), names="ends"))
    (own,) = [float(label.at[1]) for label in alone.picture.labels if label.text == "9°"]
    assert middle == pytest.approx(own, abs=0.5)


@pytest.mark.parametrize(("KG", "tone"), [(1.3, "ink"), (1.6, "warning")])
def test_the_vessel_is_marked_against_limiting_KG(KG: float, tone: str) -> None:
    chart = limiting_kg_chart({**LIMITS, "KG_m": KG})
    (limit,) = lines(chart, 0)
    assert limit.points.tolist() == [[1000.0 * t, 2 - t / 20] for t in range(9, 13)]
    (mark,) = [part for part in chart.parts if isinstance(part, Mark)]
    assert (mark.x, mark.y, mark.tone) == (11000.0, KG, tone)
    assert f"the vessel: KG {KG:.3f} m at 11 t" in notes(chart)
    assert f"margin {1.45 - KG:.3f} m" in notes(chart)
    assert chart.y.span[0] < KG < chart.y.span[1]
    nobody = limiting_kg_chart({**LIMITS, "displacement_kg": None, "KG_m": None})
    assert not any(isinstance(part, Mark) for part in nobody.parts)


def test_conditions_are_distinct_without_colors() -> None:
    chart = CHARTS["conditions"]
    assert [line.name for line in chart.parts] == ["Light ship", "Departure", "Arrival", "Towing"]
    assert all(line.dash == "own" for line in chart.parts)
    assert len(set(OWN)) == len(OWN) >= 7
    assert {"Light ship", "Departure", "Arrival", "Towing"} <= set(Picture(chart).words)


def test_a_break_in_a_curve_leaves_one_name_in_the_legend() -> None:
    state = {"condition": "c", "heel_deg": [0.0, 1.0, 2.0, 3.0, 4.0], "GZ_m": [0, 1, None, 1, 0]}
    chart = conditions_chart({"conditions": [state]})
    assert [line.name for line in chart.parts] == ["", "c"]
    assert {line.tone for line in chart.parts} == {0}


def test_residual_GZ_is_shaded_over_the_range_that_counts() -> None:
    chart = CHARTS["residual"]
    (ground,) = [part for part in chart.parts if isinstance(part, Ground)]
    assert np.degrees(ground.points[[0, -1], 0]) == pytest.approx([7.0, 42.0])
    rules = [degrees(line.points[0, 0]) for line in lines(chart, "quiet")]
    assert rules == pytest.approx([7.0, 42.0])
    assert chart.x.title == "Heel to port"
    lost = residual_chart({"residual_heel_deg": [], "residual_GZ_m": []})
    assert lost.empty and lost.x.title == "Heel" and NOTHING in Picture(simple()).words


def test_compartments_are_triangles_as_high_as_they_are_long() -> None:
    chart = CHARTS["floodable-length"]
    (curve,) = lines(chart, 0)
    assert curve.points.tolist() == [[0, 0], [4, 6], [10, 0]]
    short, long = (part.points.tolist() for part in chart.parts if isinstance(part, Ground))
    assert short == [[0, 0], [1.5, 3], [3, 0]] and long == [[3, 0], [6.5, 7], [10, 0]]
    assert [part.tone for part in chart.parts if isinstance(part, Ground)] == ["quiet", "warning"]
    assert "3.500 m too long" in notes(chart)
    alone = floodable_result_chart({**LENGTH, "main_compartments": []})
    assert [part.name for part in alone.parts if isinstance(part, Line)] == ["floodable length"]


def test_water_stands_on_the_left_and_heel_on_the_right() -> None:
    chart = CHARTS["time"]
    hold, peak = lines(chart, 1)[0], lines(chart, 2)[0]
    assert hold.points.tolist() == [[0, 0], [60, 3], [120, 5]]
    assert peak.points.tolist() == [[0, 0], [60, 0], [120, 1]]
    whole = next(line for line in lines(chart, 0) if line.name == "all of it")
    assert whole.points.tolist() == [[0, 0], [60, 3], [120, 6]]
    (heel,) = [line for line in lines(chart, "lever") if line.right]
    assert np.degrees(heel.points) == pytest.approx(
        np.degrees([[0, 0], [60, 0], [120, 0]])
        + [
            [0, 0],
            [0, 2],
            [0, 8],
        ]
    )
    assert chart.right and chart.right.title == "Heel to port"
    assert chart.title == ("Barge", "lost at 2:00")
    assert {"Water reaches compartment 'peak' 1:30", "Lost 2:00"} <= set(notes(chart))
    both = time_to_flood_chart({**RUN, "heel_deg": [0.0, 3.0, -3.0]})
    assert both.right and both.right.title == "Heel, either side"


# Layout -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(560, 372), (400, 250), (190, 120), (900, 130)])
@pytest.mark.parametrize("name", CHARTS)
def test_words_are_whole_and_clear_of_one_another(name: str, size: tuple[float, float]) -> None:
    drawing = laid_out(CHARTS[name], size=size)
    boxes = [(label.text, box_of(label)) for label in drawing.picture.labels]
    for text, box in boxes:
        assert box.within(drawing.spot.panel), text
    for (one, a), (other, b) in combinations(boxes, 2):
        assert not a.meets(b), (one, other)


def box_of(label: Label) -> Box:
    left, bottom = label.at.tolist()
    width, height = text_size(label.text, label.size)
    return Box(left, bottom, left + width, bottom + height)


@pytest.mark.parametrize("name", CHARTS)
def test_axes_have_titles_with_units_and_round_numbers(name: str) -> None:
    chart, picture = CHARTS[name], Picture(CHARTS[name])
    assert {chart.x.title, chart.y.title} <= set(picture.words)
    if chart.right:
        assert chart.right.title in picture.words
    for axis in (chart.x, chart.y):
        assert axis.scale.symbol == "" or f"({axis.scale.symbol})" in axis.title


def test_words_without_space_stand_in_the_footnote() -> None:
    line = Line(np.array([[0.0, 5.0], [10.0, 5.0]]), 0)
    crowd = [Note(5.0, 5.0, f"a rather long name of something {n}", MUST, "ink") for n in range(60)]
    picture = Picture(simple(line, *crowd, footnote="the end"))
    run_command = " ".join(picture.words)
    assert "Also: a rather long name" in run_command and run_command.endswith("the end") is False
    few = Picture(simple(line, crowd[0], footnote="the end"))
    assert few.words[-1] == "the end" and not any("Also" in text for text in few.words)


def test_a_long_legend_leaves_the_curves_their_space() -> None:
    names = [f"a condition with a long name, number {n}" for n in range(30)]
    many = [
        Line(np.array([[0.0, 0.0], [10.0, 10.0]]), n, name=name) for n, name in enumerate(names)
    ]
    page = page_of(simple(*many))
    assert page.height > HEIGHT + 100
    assert set(names) <= {label.text for label in page.picture.labels}


def test_titles_lose_what_matters_least() -> None:
    long = simple(title=("n" * 30, "GM 1 m", "range 80°"))
    for width, ends in ((560, "80°"), (330, "1 m"), (200, "…")):
        label = laid_out(long, size=(width, 300)).picture.labels[0]
        assert label.text.endswith(ends) and label.size == TEXT
        assert text_size(label.text, TEXT)[0] < width


@pytest.mark.parametrize("colors", [ON_PAPER, ON_DARK])
def test_every_ink_reads_on_its_ground(colors: ChartColors) -> None:
    """Contrast of 4.5 to 1 at least: WCAG 2.1, success criterion 1.4.3."""

    def luminance(color: tuple[float, ...]) -> float:
        parts = np.array(color[:3])
        linear = np.where(parts <= 0.03928, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
        return float(linear @ (0.2126, 0.7152, 0.0722)) + 0.05

    ground = luminance(colors.panel)
    for ink in (colors.ink, colors.quiet, colors.lever, colors.warning, *colors.curves):
        contrast = luminance(ink) / ground
        assert max(contrast, 1 / contrast) > 4.5, ink


def test_scales_step_by_round_numbers() -> None:
    tonnes = Decimal(1000.0, "t")
    assert tonnes.step(1700.0) == 2000.0 and tonnes.numeral(12500.0, 500.0) == "12.5"
    assert degrees(Angles().step(radians(11.0))) == pytest.approx(15.0)
    assert Angles().numeral(radians(-30.0), 1.0) == "30°"
    assert Lengths.reported(0.5)(0.12345) == "0.1235 m"
    assert Lengths.reported(8.0)(0.12345) == "0.123 m"


# Files ------------------------------------------------------------------------------------------

NASTY = '<b>A & B\'s "launch"</b> ]]> 🚤 été\nnext\x00\x1b\ud800 &amp;'


def test_names_of_users_stay_text() -> None:
    arms = [{"name": NASTY, "lever_m": [0.1] * len(HEELS)}]
    root = ET.fromstring(
        chart_svg(gz_curve_chart({**RESULT, "title": NASTY, "heeling_levers": arms}))
    )
    stated = '<b>A & B\'s "launch"</b> ]]> 🚤 été next &amp;'
    texts = {text.text for text in root.iter(f"{SVG}text")}
    assert stated in texts and any(text.startswith(stated) for text in texts - {stated})
    assert root[0].text == f"{stated}: GZ curve"
    assert {element.tag for element in root.iter()} == {
        f"{SVG}{tag}" for tag in ("svg", "title", "rect", "path", "text")
    }


def test_the_svg_has_what_is_on_the_page() -> None:
    page, root = page_of(CHARTS["GZ"]), ET.fromstring(chart_svg(CHARTS["GZ"]))
    shown = [text for text in root.iter(f"{SVG}text") if "aria-hidden" not in text.attrib]
    assert [text.text for text in shown] == [clean(each.text) for each in page.picture.labels]
    for text, label in zip(shown, page.picture.labels, strict=True):
        where = float(text.attrib["x"]), page.height - float(text.attrib["y"])
        assert where == pytest.approx(tuple(label.at), abs=0.01)
    assert root.get("width") == "148mm" and root.get("viewBox") == f"0 0 560 {page.height:g}"


@pytest.mark.slow
def test_the_same_chart_gives_the_same_text_in_any_process() -> None:
    script = (
        "from addon.charts import gz_figures, page\n"
        f"print(page.chart_svg(gz_figures.gz_curve_chart({RESULT!r})), end='')"
    )
    texts = {
        subprocess.run(
            [sys.executable, "-c", script],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"},
            capture_output=True,
            encoding="utf-8",
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert texts == {chart_svg(CHARTS["GZ"])}


@pytest.mark.slow
def test_the_png_is_painted_as_the_page_says() -> None:
    chart = simple(
        Line(np.array([[0.0, 2.0], [10.0, 2.0]]), 0, width=4.0), footnote="MMMMMMMMMMMMMMMMMMMM"
    )
    page = page_of(chart, scale=FINE)
    pixels, density = decoded(chart_png(chart))
    assert pixels.shape == (page.height, page.width, 3) and page.width == FINE * WIDTH
    assert density == pytest.approx(page.width / 0.148, abs=1.0)
    (line,) = [
        ink
        for ink in page.picture.primitives
        if isinstance(ink, Stroke) and ink.color == ON_PAPER.curves[0]
    ]
    x, y = line.segments.mean(axis=(0, 1)) + (7.0, 0.0)
    middle = pixels[round(page.height - y), round(x)] / 255
    assert middle == pytest.approx(ON_PAPER.curves[0][:3], abs=0.01)
    foot = page.picture.labels[-1]
    left, bottom = (round(float(part)) for part in foot.at)
    high = round(foot.size * 0.72)
    rows = pixels[int(page.height) - bottom - high : int(page.height) - bottom, left : left + 200]
    rasterized = 1.0 - rows.mean() / 255
    assert 0.1 < rasterized < 0.6, "letters, neither a blank nor a block"


def decoded(file: bytes) -> tuple[np.ndarray, float]:
    """Pixels of a PNG whose rows are not filtered, and pixels in a meter."""
    assert file[:8] == b"\x89PNG\r\n\x1a\n"
    parts, at = {}, 8
    while at < len(file):
        (size,), kind = struct.unpack(">I", file[at : at + 4]), file[at + 4 : at + 8]
        body = file[at + 8 : at + 8 + size]
        assert struct.unpack(">I", file[at + 8 + size : at + 12 + size])[0] == zlib.crc32(
            kind + body
        )
        parts[kind], at = body, at + 12 + size
    width, height = struct.unpack(">II", parts[b"IHDR"][:8])
    rows = np.frombuffer(zlib.decompress(parts[b"IDAT"]), np.uint8).reshape(height, -1)
    assert not rows[:, 0].any()
    return rows[:, 1:].reshape(height, width, 3), struct.unpack(">I", parts[b"pHYs"][:4])[0]


# What goes wrong --------------------------------------------------------------------------------


def test_a_chart_of_nothing_says_so() -> None:
    empty = {**dict.fromkeys(RESULT), "heel_deg": HEELS, "GZ_m": [None] * len(HEELS)}
    for chart in (
        gz_curve_chart(empty),
        conditions_chart({"conditions": []}),
        limiting_kg_chart({"rows": []}),
        cross_curves_chart({"heel_deg": [10.0], "rows": []}),
        residual_chart({"residual_heel_deg": [], "residual_GZ_m": []}),
    ):
        assert NOTHING in chart_svg(chart)
    assert NOTHING not in chart_svg(CHARTS["GZ"])


def test_a_curve_with_too_few_figures_is_refused() -> None:
    with refused("'turning' has 2 figures for 13 places"):
        gz_curve_chart({**RESULT, "heeling_levers": [{"name": "turning", "lever_m": [0.1, 0.2]}]})


FIGURES = st.lists(st.none() | st.floats(-1e6, 1e6, width=32), min_size=3, max_size=3)


@pytest.mark.slow
@settings(deadline=None, max_examples=50)
@given(FIGURES, FIGURES, st.text(), st.floats(-1e6, 1e6) | st.none())
def test_any_figures_and_names_make_a_picture(
    x: list[float | None], y: list[float | None], name: str, GM: float | None
) -> None:
    rows = [{"displacement_kg": a, "KG_max_m": b} for a, b in zip(x, y, strict=True)]
    states = [{"condition": name, "heel_deg": x, "GZ_m": y}]
    for chart in (
        limiting_kg_chart({"title": name, "rows": rows, "displacement_kg": GM, "KG_m": GM}),
        conditions_chart({"title": name, "conditions": states}),
        gz_curve_chart({"title": name, "heel_deg": [0, 1, 2], "GZ_m": y, "GM_upright_m": GM}),
    ):
        root = ET.fromstring(chart_svg(chart))
        assert not re.search(r"nan|inf", " ".join(path.get("d", "") for path in root.iter()))
