"""Charts, read back from their SVG through the numbers along their axes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from math import degrees, sin
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from addon.charts.charts import (
    conditions_chart,
    cross_curves_chart,
    floodable_chart,
    heel_chart,
    limits_chart,
    residual_chart,
    righting_arm_chart,
    water_chart,
)
from addon.charts.svg import COLOURS, FILL, INK, QUIET, WIDTH, Band, Chart, Line, Mark, Rule, svg
from addon.core.criteria.disclaimer import CAUTION
from tests.language import refused

ROOT = Path(__file__).resolve().parents[2]
SVG = "{http://www.w3.org/2000/svg}"
HEELS = [float(heel) for heel in range(0, 91, 7)]
ARMS = [0.6 * sin(2 * heel / degrees(1.0)) for heel in HEELS]
RESULT: dict[str, Any] = {
    "title": "Survey launch",
    "heel_deg": HEELS,
    "GZ_m": ARMS,
    "GZ_max_m": 0.6,
    "GZ_max_at_deg": 45.0,
    "vanishing_deg": 80.5,
    "downflooding_deg": 52.0,
    "downflooding_opening": "engine room vent",
    "deck_edge_deg": 31.5,
    "GM_m": 0.7,
    "heeling_arms": [
        {"name": "Steady wind", "arm_m": [0.1] * len(HEELS)},
        {"name": "Turning", "arm_m": [0.2] * len(HEELS)},
    ],
    "criteria_note": "No stability criteria were checked.",
}


class Picture:
    """A chart's SVG, and its points in the figures of its axes."""

    def __init__(self, chart: Chart) -> None:
        self.root = ET.fromstring(svg(chart))
        self.texts = [text for text in self.root.iter(f"{SVG}text") if text.get("fill") != "white"]
        self.words = [text.text for text in self.texts]
        paths = [path for path in self.root.iter(f"{SVG}path") if "clip-path" not in path.attrib]
        runs = [run for path in paths for run in corners(path) if len(run) == 2]
        ticks = np.array([run for run in runs if abs(np.hypot(*(run[1] - run[0])) - 4) < 0.01])
        upright = np.ptp(ticks[:, :, 0], axis=1) < 0.01
        self.x = self._scale("middle", "x", ticks[upright, 0, 0])
        self.y = self._scale("end", "y", ticks[~upright, 0, 1])

    def _scale(self, anchor: str, key: str, ticks: np.ndarray) -> np.ndarray:
        """Factor and offset that make a figure of a place, from the numbers beside the ticks."""
        labels = [
            (float(text.get(key, "")), float((text.text or "").replace("\N{MINUS SIGN}", "-")))
            for text in self.texts
            if text.get("text-anchor") == anchor
            and re.fullmatch(r"\N{MINUS SIGN}?[\d.]+", text.text or "")
        ]
        places, figures = np.array(sorted(labels)).T
        assert np.allclose(np.sort(ticks), places, atol=5)
        return np.polyfit(np.sort(ticks), figures, 1)

    def curves(self, colour: str, element: str = "path") -> list[np.ndarray]:
        """The runs of points (n, 2) drawn in a colour."""
        return [
            np.column_stack([np.polyval(self.x, points[:, 0]), np.polyval(self.y, points[:, 1])])
            for path in self.root.iter(f"{SVG}{element}")
            if colour in (path.get("stroke"), path.get("fill")) and "clip-path" in path.attrib
            for points in corners(path)
        ]

    def text(self, words: str) -> ET.Element:
        (text,) = (text for text in self.texts if text.text == words)
        return text

    def place(self, words: str) -> np.ndarray:
        """Where a text is put down, in the figures of the axes."""
        x, y = (float(self.text(words).get(key, "")) for key in "xy")
        return np.array([np.polyval(self.x, x), np.polyval(self.y, y)])


def corners(path: ET.Element) -> list[np.ndarray]:
    runs = path.get("d", "").split("M")[1:]
    numbers = [[float(number) for number in re.findall(r"-?[\d.]+", run)] for run in runs]
    return [np.array(run).reshape(-1, 2) for run in numbers]


def near(points: np.ndarray, expected: Any) -> bool:
    return points.shape == np.shape(expected) and np.allclose(points, expected, atol=2e-4)


# Curves ---------------------------------------------------------------------------------------


def test_the_righting_arm_goes_through_its_points() -> None:
    picture = Picture(righting_arm_chart(RESULT))
    hers, beyond = picture.curves(COLOURS[0])
    assert near(hers[-1], beyond[0]) and hers[-1][0] == pytest.approx(52.0, abs=1e-3)
    arm = np.concatenate([hers[:-1], beyond[1:]])
    assert near(arm, np.column_stack([HEELS, ARMS]))
    (wind,), (turning,) = picture.curves(COLOURS[1]), picture.curves(COLOURS[2])
    assert near(wind[:, 1], [0.1] * len(HEELS)) and near(turning[:, 1], [0.2] * len(HEELS))


@pytest.mark.parametrize(
    ("heels", "sides", "hers", "beyond"),
    [
        (range(-60, 61, 10), (45.0, 25.0), [(-25, 45)], [(-60, -25), (45, 60)]),
        (range(-60, 61, 10), (None, 20.0), [(-20, 60)], [(-60, -20)]),
        (range(0, 61, 10), (30.0, 25.0), [(0, 30)], [(30, 60)]),
        (range(0, 61, 10), (None, 25.0), [(0, 60)], []),
        (range(0, 61, 10), (90.0, None), [(0, 60)], []),
        (range(0, 61, 10), (60.0, None), [(0, 60)], []),
    ],
)
def test_arms_beyond_flooding_are_dashed(heels, sides, hers, beyond) -> None:
    told = [{"downflooding_deg": heel} for heel in sides]
    result = {
        "heel_deg": [float(heel) for heel in heels],
        "GZ_m": [0.01 * heel for heel in heels],
        "sides": dict(zip(("starboard", "port"), told, strict=True)),
    }
    chart = righting_arm_chart(result)
    runs = [[(run[0][0], run[-1][0]) for run in line.pieces()] for line in chart.lines]
    assert runs == ([hers, beyond] if beyond else [hers])
    drawn = Picture(chart).curves(COLOURS[0])
    assert len(drawn) == len(hers) + len(beyond)
    for run in drawn:
        assert run[:, 1] == pytest.approx(0.01 * run[:, 0], abs=1e-3)


def test_what_could_not_be_found_breaks_the_line_and_leaves_a_lone_point() -> None:
    arms = [0.0, 0.1, None, 0.3, float("nan"), 0.2, 0.1]
    heels = [0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0]
    picture = Picture(Chart("t", "x", "y", [Line("arm", heels, arms)]))
    first, lone, last = picture.curves(COLOURS[0])
    assert near(first, [(0, 0), (10, 0.1)]) and near(last, [(50, 0.2), (60, 0.1)])
    assert near(lone, [(30, 0.3), (30, 0.3)])
    (dot,) = (path for path in picture.root.iter() if path.get("stroke-linecap") == "round")
    assert float(dot.get("stroke-width", "0")) > 1.5


@pytest.mark.parametrize(("GM", "end"), [(0.7, degrees(1.0)), (3.0, None), (-0.2, degrees(1.0))])
def test_the_initial_slope_rises_by_gm_in_a_radian(GM: float, end: float | None) -> None:
    """A steep one ends before the chart grows to twice the height that the arms need."""
    picture = Picture(righting_arm_chart({**RESULT, "GM_m": GM}))
    (slope,) = (run for run in picture.curves(QUIET) if np.ptp(run, axis=0).min() > 0.01)
    assert near(slope[0], (0.0, 0.0))
    assert slope[1, 1] / slope[1, 0] == pytest.approx(GM / degrees(1.0), rel=1e-3)
    assert end is None or slope[1, 0] == pytest.approx(end, abs=0.02)
    assert abs(slope[1, 1]) < 1.2
    assert f"Initial slope, GM {GM:.3f} m at 57.3°" in picture.words


@pytest.mark.parametrize(
    ("downflooding", "area", "name"),
    [(52.0, 8.0, "Area to 40°"), (None, 8.0, "Area to 40°"), (30.0, 4.5, "downflooding, 30°")],
)
def test_the_shade_has_the_area_under_the_arm(
    downflooding: float | None, area: float, name: str
) -> None:
    """Under GZ = heel/100 (m) the area up to h is h^2/200 (m degrees)."""
    result = {"heel_deg": HEELS, "GZ_m": [heel / 100 for heel in HEELS]}
    picture = Picture(righting_arm_chart({**result, "downflooding_deg": downflooding}))
    (shade,) = picture.curves(FILL)
    x, y = shade.T
    assert abs(x @ np.roll(y, 1) - y @ np.roll(x, 1)) / 2 == pytest.approx(area, rel=1e-3)
    assert any(words.endswith(name) for words in picture.words if words)


@pytest.mark.parametrize(
    "change", [{"heel_deg": HEELS[:5], "GZ_m": ARMS[:5]}, {"GZ_m": [None] * 13}]
)
def test_nothing_is_shaded_when_the_arm_ends_before(change: dict[str, Any]) -> None:
    picture = Picture(righting_arm_chart({**RESULT, "heeling_arms": [], **change}))
    assert not picture.curves(FILL)
    assert not any("Area" in (words or "") for words in picture.words)


def test_cross_curves_stand_over_tonnes_and_are_named_at_their_ends() -> None:
    masses, heels = [8000.0, 10000.0, 12500.0], [10.0, 20.0, 30.0]
    rows = [
        {"displacement_kg": mass, "KN_m": [heel / 40 - mass / 1e6 for heel in heels]}
        for mass in masses
    ]
    rows[2]["KN_m"] = [*rows[2]["KN_m"][:2], None]  # type: ignore[index]
    picture = Picture(cross_curves_chart({"title": "ship", "heel_deg": heels, "rows": rows}))
    for heel, colour, count in zip(heels, COLOURS, (3, 3, 2), strict=False):
        (curve,) = picture.curves(colour)
        expected = [(mass / 1000, heel / 40 - mass / 1e6) for mass in masses[:count]]
        assert near(curve, expected)
        right, above = picture.place(f"{heel:g}°") - curve[-1]
        assert picture.text(f"{heel:g}°").get("fill") == colour
        assert 0.0 < right < 0.1 and abs(above) < 0.02
    assert "Displacement (t)" in picture.words


def test_names_at_the_ends_of_near_lines_stand_clear_of_one_another() -> None:
    lines = [Line(f"{n}°", [0.0, 1.0], [0.0, 5.0 + n / 100]) for n in (3, 1, 4, 2)]
    picture = Picture(Chart("t", "x", "y", lines, names_at_ends=True))
    heights = [float(picture.text(f"{n}°").get("y", "")) for n in (4, 3, 2, 1)]
    assert min(np.diff(heights)) > 10.5


def test_the_ship_is_marked_against_the_limits() -> None:
    rows = [
        {"displacement_kg": 1000.0 * t, "KG_max_m": None if t < 9 else 2 - t / 20}
        for t in range(8, 13)
    ]
    result = {"title": "ship", "rows": rows, "displacement_kg": 11000.0, "KG_m": 1.3}
    picture = Picture(limits_chart(result))
    (limit,) = picture.curves(COLOURS[0])
    assert near(limit, [(t, 2 - t / 20) for t in range(9, 13)])
    (own,) = (run for run in picture.curves(INK) if near(run[0], run[1]))
    assert near(own[0], (11.0, 1.3))
    right, above = picture.place("this ship: KG 1.300 m at 11 t") - own[0]
    assert abs(right) < 0.01 and 0.0 < above < 0.05
    assert not any(
        "this ship" in str(words) for words in Picture(limits_chart({"rows": rows})).words
    )


def test_conditions_differ_in_their_dashes() -> None:
    names = ["Light ship", "Departure", "Arrival", "Towing"]
    conditions = [
        {"condition": name, "heel_deg": HEELS, "GZ_m": [arm * (1 - n / 9) for arm in ARMS]}
        for n, name in enumerate(names)
    ]
    picture = Picture(conditions_chart({"title": "ship", "conditions": conditions}))
    drawn = [path for path in picture.root.iter(f"{SVG}path") if path.get("stroke-width") == "1.5"]
    curves = [path.get("stroke-dasharray", "") for path in drawn if "clip-path" in path.attrib]
    legend = [path.get("stroke-dasharray", "") for path in drawn if "clip-path" not in path.attrib]
    assert curves == legend and curves[0] == "" and len(set(curves)) == 4
    assert set(names) <= set(picture.words)


def test_what_is_left_is_shaded_over_the_range_that_counts() -> None:
    left = {"residual_heel_deg": HEELS, "residual_GZ_m": ARMS, "residual_side": "port"}
    chart = residual_chart({**left, "residual_rest_deg": 7.0, "residual_range_deg": 35.0})
    (shade,) = Picture(chart).curves(FILL)
    assert near(np.array([shade[:, 0].min(), shade[:, 0].max()]), [7.0, 42.0])
    assert [rule.x for rule in chart.rules] == [7.0, 42.0]
    assert chart.x_label == "Heel to port (degrees)"
    lost = residual_chart({"residual_heel_deg": [], "residual_GZ_m": []})
    assert lost.shaded is None and not lost.rules and lost.x_label == "Heel (degrees)"
    assert "nothing could be found" in ET.tostring(ET.fromstring(svg(lost)), "unicode")


def test_compartments_are_triangles_as_high_as_they_are_long() -> None:
    ends = [{"aft_m": 0.0, "forward_m": 3.0}, {"aft_m": 3.0, "forward_m": 10.0}]
    curve = {"x_m": [0.0, 4.0, 10.0], "floodable_length_m": [0.0, 6.0, 0.0]}
    picture = Picture(floodable_chart({**curve, "permeability": 0.9, "compartments": ends}))
    (length,) = picture.curves(COLOURS[0])
    assert near(length, [(0, 0), (4, 6), (10, 0)])
    (triangles,) = (run for run in picture.curves(QUIET) if len(run) > 2)
    assert near(triangles, [(0, 0), (1.5, 3), (3, 0), (3, 0), (6.5, 7), (10, 0)])
    alone = floodable_chart({**curve, "compartments": []})
    assert [line.name for line in alone.lines] == ["Floodable length"]


def test_charts_over_time_stand_one_under_the_other() -> None:
    run = {
        "time_s": [0.0, 60.0, 120.0],
        "heel_deg": [0.0, 2.0, 3.0],
        "rooms": [
            {"name": "hold", "water_m3": [0.0, 3.0, 5.0]},
            {"name": "peak", "water_m3": [0.0, 0.0, 1.0]},
        ],
        "events": [{"time_s": 90.0, "what": "Water reaches room 'peak'"}],
    }
    water, heel = water_chart(run), heel_chart(run)
    hold, peak = (run for colour in COLOURS[:2] for run in Picture(water).curves(colour))
    assert near(hold, [(0, 0), (1, 3), (2, 5)]) and near(peak, [(0, 0), (1, 0), (2, 1)])
    assert [rule.x for rule in water.rules] == [rule.x for rule in heel.rules] == [1.5]
    root = ET.fromstring(svg(water, heel))
    tops = [float(page.get("y", "")) for page in root.findall(f"{SVG}svg")]
    heights = [float(page.get("height", "")) for page in root.findall(f"{SVG}svg")]
    assert tops == pytest.approx([0.0, heights[0]], abs=0.01)
    clips = [clip.get("id") for clip in root.iter(f"{SVG}clipPath")]
    used = {part.get("clip-path") for part in root.iter() if part.get("clip-path")}
    assert used == {f"url(#{clip})" for clip in clips} and len(set(clips)) == 2


# Words ----------------------------------------------------------------------------------------


def test_every_word_of_a_righting_arm_is_there() -> None:
    picture = Picture(righting_arm_chart(RESULT))
    assert {
        "Survey launch: righting arm",
        "Heel (degrees)",
        "GZ (m)",
        "Righting arm GZ",
        "Steady wind",
        "Turning",
        "Area to 40°",
        "Initial slope, GM 0.700 m at 57.3°",
        "greatest GZ 0.600 m at 45.0°",
        "deck edge 31.5°",
        "downflooding 52.0°, engine room vent",
        "vanishing 80.5°",
    } <= set(picture.words)
    assert " ".join(filter(None, picture.words)).endswith(f"{RESULT['criteria_note']} {CAUTION}")


def test_upright_lines_stand_at_their_angles_and_none_outside() -> None:
    picture = Picture(righting_arm_chart({**RESULT, "vanishing_deg": 120.0}))
    uprights = [run[0, 0] for run in picture.curves(QUIET) if np.ptp(run[:, 0]) < 1e-9]
    assert np.allclose(uprights, [31.5, 52.0], atol=0.02)
    assert not any("vanishing" in str(words) for words in picture.words)


def test_words_of_upright_lines_close_together_take_rows_of_their_own() -> None:
    rules = [Rule(x, f"something at {x:g}") for x in (3.0, 3.2, 3.4, 9.0, 9.1)]
    picture = Picture(Chart("t", "x", "y", [Line("a", [0.0, 10.0], [0.0, 1.0])], rules=rules))
    boxes = [(text, float(text.get("x", "")), float(text.get("y", ""))) for text in picture.texts]
    boxes = [box for box in boxes if "something" in (box[0].text or "")]
    for n, (one, x, y) in enumerate(boxes):
        for other, other_x, other_y in boxes[n + 1 :]:
            same_side = one.get("text-anchor") == other.get("text-anchor")
            assert abs(y - other_y) > 10 or abs(x - other_x) > (80 if same_side else 160)


@pytest.mark.parametrize("colour", [*COLOURS, INK, QUIET])
def test_every_ink_reads_on_white(colour: str) -> None:
    """Contrast of 4.5 to 1 at least: WCAG 2.1, success criterion 1.4.3."""
    parts = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)]) / 255
    linear = np.where(parts <= 0.03928, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    assert 1.05 / (linear @ (0.2126, 0.7152, 0.0722) + 0.05) > 4.5


NASTY = '<b>A & B\'s "launch"</b> ]]> 🚤 été\nnext\x00\x1b\ud800 &amp;'


def test_names_of_users_stay_text() -> None:
    arms = [{"name": NASTY, "arm_m": [0.1] * len(HEELS)}]
    change = {"title": NASTY, "downflooding_opening": NASTY, "heeling_arms": arms}
    picture = Picture(righting_arm_chart({**RESULT, **change}))
    clean = '<b>A & B\'s "launch"</b> ]]> 🚤 été next &amp;'
    assert {f"{clean}: righting arm", clean} <= set(picture.words)
    (title,) = picture.root.iter(f"{SVG}title")
    assert title.text == f"{clean}: righting arm"
    assert {element.tag for element in picture.root.iter()} == {
        f"{SVG}{tag}" for tag in ("svg", "title", "rect", "defs", "clipPath", "path", "text")
    }


@pytest.mark.parametrize("letter", ["n", "語", "word "])
def test_long_names_are_cut_to_the_page(letter: str) -> None:
    name = letter * 300
    lines = [Line(name, [0.0, 1.0], [0.0, 1.0])]
    marks, rules, shaded = [Mark(1.0, 1.0, name)], [Rule(0.9, name)], Band(0.0, 1.0, name)
    full = Chart(name, "x", "y", lines, marks, rules, shaded)
    at_ends = Chart(name, "x", "y", lines, names_at_ends=True)
    for chart, count in ((full, 5), (at_ends, 2)):
        picture = Picture(chart)
        cut = [text for text in picture.texts if (text.text or "").endswith("...")]
        assert len(cut) == count
        for text in cut:
            wide = 1.0 if letter == "語" else 0.5  # in an average face
            length = wide * float(text.get("font-size", "")) * len(text.text or "")
            start = float(text.get("x", "")) - length * {"middle": 0.5, "end": 1.0}.get(
                text.get("text-anchor", ""), 0.0
            )
            assert start >= 0 and start + length <= WIDTH
        assert picture.root[0].text == name.strip()


# The whole picture ----------------------------------------------------------------------------


def test_the_same_chart_gives_the_same_text_in_any_process() -> None:
    script = (
        "from addon.charts import charts, svg\n"
        f"print(svg.svg(charts.righting_arm_chart({RESULT!r})), end='')"
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
    assert texts == {svg(righting_arm_chart(RESULT))}


def test_text_stays_text_when_someone_else_made_the_library_draw_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import ziaplot

    plain = svg(righting_arm_chart(RESULT))
    settings = sys.modules["ziaplot.config"]
    monkeypatch.setattr(settings, "zfconfig", SimpleNamespace(precision=4, svg2=True))
    monkeypatch.setattr(ziaplot.config, "_text", "path")
    assert svg(righting_arm_chart(RESULT)) == plain
    assert ziaplot.config.text == "path"


def test_without_the_library_one_line_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "ziaplot", None)
    chart = righting_arm_chart(RESULT)
    with refused(r"^charts need .* pip install ziaplot$"):
        svg(chart)


def test_the_library_is_imported_when_a_chart_is_drawn_and_not_before() -> None:
    script = (
        "import sys, addon.cli.main; from addon.charts import charts, svg\n"
        f"drawn = charts.righting_arm_chart({RESULT!r})\n"
        "before = 'ziaplot' in sys.modules; svg.svg(drawn)\n"
        "print(before, 'ziaplot' in sys.modules)"
    )
    command = [sys.executable, "-c", script]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["False", "True"]


def test_a_chart_of_nothing_says_so() -> None:
    empty = {**dict.fromkeys(RESULT), "heel_deg": HEELS, "GZ_m": [None] * len(HEELS)}
    picture = Picture(righting_arm_chart(empty))
    assert {"Righting arm", "nothing could be found"} <= set(picture.words)
    assert "nothing could be found" not in Picture(righting_arm_chart(RESULT)).words
    assert "nothing could be found" in svg(conditions_chart({"conditions": []}))
    assert "nothing could be found" in svg(limits_chart({"rows": []}))
    assert "nothing could be found" in svg(cross_curves_chart({"heel_deg": [10.0], "rows": []}))


def test_a_curve_with_too_few_figures_is_refused() -> None:
    with refused("'Turning' has 2 figures for 13 places"):
        arms = [{"name": "Turning", "arm_m": [0.1, 0.2]}]
        svg(righting_arm_chart({**RESULT, "heeling_arms": arms}))


FIGURES = st.lists(st.none() | st.floats(-1e6, 1e6, width=32), min_size=3, max_size=3)


@pytest.mark.slow
@given(FIGURES, FIGURES, st.text(), st.floats(-1e6, 1e6) | st.none())
def test_any_figures_and_names_make_a_picture(
    x: list[float | None], y: list[float | None], name: str, GM: float | None
) -> None:
    result = {"title": name, "heel_deg": x, "GZ_m": y, "GM_m": GM, "deck_edge_deg": GM}
    root = ET.fromstring(svg(righting_arm_chart(result)))
    assert not re.search(r"nan|inf", " ".join(path.get("d", "") for path in root.iter()))
    rows = [{"displacement_kg": a, "KG_max_m": b} for a, b in zip(x, y, strict=True)]
    ET.fromstring(
        svg(limits_chart({"title": name, "rows": rows, "displacement_kg": GM, "KG_m": GM}))
    )
