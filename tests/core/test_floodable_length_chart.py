"""The chart of floodable length: triangles, curve and words, and the length looked at in the ship.

The curve is drawn by hand, 8 m all along a ship of 40 m.
"""

from __future__ import annotations

import numpy as np
import pytest

from addon.blender.viewport.chart_panel import LEAST, USUAL_SIZE
from addon.blender.viewport.floodable_span import longest_at, main_compartment_name
from addon.charts.colors import ON_DARK
from addon.charts.floodable_length_chart import FloodableFigures, floodable_length_chart
from addon.charts.layout import lay_out
from addon.charts.panel import ChartDrawing, ChartStyle, Spot
from addon.core.damage.subdivision import subdivide
from addon.drawing.picture import Label
from addon.drawing.pixel_boxes import Box
from addon.drawing.tessellation import Fill, Stroke
from addon.units.lengths import Lengths
from tests import bodies
from tests.core.test_subdivision import LEVEL, at, boundary

METERS, FEET = Lengths(), Lengths("IMPERIAL", "FEET")
SIZES = {"usual": USUAL_SIZE, "least": LEAST, "narrow": (190.0, 260.0), "wide": (900.0, 120.0)}
NAMES = ("after peak", "engine room", "hold", "fore peak")
FOUND = at(7.0, 14.0, 33.0)
"""Of whose compartments of 7, 7, 19 and 7 m the third is too long."""
CHART = {"name": "coaster", "found": FOUND, "names": NAMES, "lengths": METERS}


def text_size(text: str, size: float) -> tuple[float, float]:
    return 0.6 * size * len(text), 0.72 * size


def laid(
    size: tuple[float, float] = USUAL_SIZE, scale: float = 1.0, **changes: object
) -> ChartDrawing:
    panel = Box(30.0, 20.0, 30.0 + scale * size[0], 20.0 + scale * size[1])
    chart = floodable_length_chart(FloodableFigures.of(**{**CHART, **changes}))
    return lay_out(chart, Spot(panel.grown(10.0), panel), ChartStyle(ON_DARK, scale), text_size)


def words(drawing: ChartDrawing) -> list[str]:
    return [label.text for label in drawing.picture.labels]


def strokes(drawing: ChartDrawing, color: tuple[float, ...]) -> list[np.ndarray]:
    primitives = drawing.picture.primitives
    return [ink.segments for ink in primitives if isinstance(ink, Stroke) and ink.color == color]


def label_box(label: Label) -> Box:
    width, height = text_size(label.text, label.size)
    left, bottom = label.at.tolist()
    return Box(left, bottom, left + width, bottom + height)


@pytest.mark.parametrize("lengths", [METERS, FEET, Lengths("METRIC", "MILLIMETERS")])
@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("size", SIZES)
def test_words_are_whole_and_clear_of_one_another(size, scale, lengths) -> None:
    for changes in ({}, {"place": 20.0}, {"place": 40.0, "chosen": "at 7"}):
        drawing = laid(SIZES[size], scale, lengths=lengths, **changes)
        boxes = [label_box(label) for label in drawing.picture.labels]
        assert all(box.within(drawing.spot.panel) for box in boxes)
        for number, box in enumerate(boxes):
            assert not any(map(box.meets, boxes[:number])), words(drawing)
        for ink in drawing.picture.primitives:
            points = getattr(ink, "corners", None)
            points = ink.segments if isinstance(ink, Stroke) else points
            if points is not None:
                assert drawing.spot.panel.grown(1e-6).holds(points).all()


def test_curve_runs_through_its_points() -> None:
    drawing = laid()
    (curve,) = [each for each in strokes(drawing, ON_DARK.curves[0]) if len(each) > 1]
    points = np.concatenate([curve[:, 0], curve[-1:, 1]])
    assert points == pytest.approx(drawing.axes.at(LEVEL.centers, LEVEL.lengths))
    assert drawing.axes.across == (0.0, 40.0) and drawing.shows == "place"


def test_a_compartment_is_a_triangle_as_high_as_it_is_long() -> None:
    drawing = laid()
    grounds = [ink for ink in drawing.picture.primitives if isinstance(ink, Fill)]
    assert len(grounds) == 4
    for ground, stretch in zip(grounds, FOUND.main_compartments, strict=True):
        places = np.array([stretch.aft, (stretch.aft + stretch.forward) / 2, stretch.forward])
        heights = np.array([0.0, stretch.forward - stretch.aft, 0.0])
        tip, ends = drawing.axes.at(places, heights)[1], drawing.axes.at(places[::2], 0.0)
        first, last = ground.corners[0], ground.corners[-1]
        assert first[0] == pytest.approx(ends[0]) and first[2] == pytest.approx(tip)
        assert last[1] == pytest.approx(ends[1]) and last[2] == pytest.approx(tip)


def test_only_what_is_too_long_warns_and_says_by_how_much() -> None:
    drawing = laid()
    grounds = [ink for ink in drawing.picture.primitives if isinstance(ink, Fill)]
    warned = [ground.color[:3] == ON_DARK.warning[:3] for ground in grounds]
    assert warned == [False, False, True, False]
    assert len(strokes(drawing, ON_DARK.warning)) == 1
    (label,) = [label for label in drawing.picture.labels if "too long" in label.text]
    assert (label.text, label.color) == ("hold, 11.00 m too long", ON_DARK.warning)
    fine = {"found": at(8.0, 16.0, 24.0, 32.0), "names": (*NAMES, "chain locker")}
    assert not strokes(laid(**fine), ON_DARK.warning)
    assert {*fine["names"]} <= set(words(laid((1200.0, 400.0), **fine)))


def test_the_place_looked_at_has_the_longest_compartment_about_it() -> None:
    drawing = laid(place=20.0)
    looked = strokes(drawing, ON_DARK.looked)
    assert looked[0][:, 0] == pytest.approx(drawing.axes.at(np.array([16.0, 20.0]), [0.0, 8.0]))
    assert looked[0][-1, 1] == pytest.approx(drawing.axes.at(24.0, 0.0))
    assert "x 20.00 m: 8.00 m" in words(drawing)
    assert not strokes(laid(), ON_DARK.looked)


def test_the_chosen_bulkhead_has_a_bar_where_it_may_stand() -> None:
    drawing = laid(chosen="at 7")
    (bar,) = strokes(drawing, ON_DARK.lever)
    assert bar[0] == pytest.approx(drawing.axes.at(np.array([6.0, 8.0]), 0.0))
    assert words(drawing)[0] == "at 7: permissible x 6.00 m to 8.00 m  ·  coaster"
    nowhere = laid(chosen="at 14")
    assert not strokes(nowhere, ON_DARK.lever)
    assert words(nowhere)[0] == "at 14 has no permissible range  ·  coaster"
    assert words(laid())[0] == "coaster  ·  floodable length  ·  permeability 0.95"


def test_a_ship_without_bulkheads_has_its_curve_alone() -> None:
    drawing = laid(found=subdivide(LEVEL, ()), names=())
    assert strokes(drawing, ON_DARK.curves[0])
    assert not any(isinstance(ink, Fill) for ink in drawing.picture.primitives)


def test_lengths_are_numbered_in_the_users_unit() -> None:
    along = "Forward of the aft perpendicular"
    assert {"0", "10", "40", "5", "Length (m)", f"{along} (m)"} <= set(words(laid()))
    feet = set(words(laid(lengths=FEET)))
    assert {"Length", along, "20' 0\""} <= feet


def test_without_compartments_a_length_is_called_by_its_bulkheads() -> None:
    found = subdivide(LEVEL, [boundary(10.0, "after bulkhead"), boundary(30.0, "fore bulkhead")])
    assert [main_compartment_name(each, None) for each in found.main_compartments] == [
        "aft of after bulkhead",
        "after bulkhead to fore bulkhead",
        "forward of fore bulkhead",
    ]


def test_in_the_ship_the_length_stands_between_sections_of_the_hull() -> None:
    hull = bodies.tree(bodies.box(40.0, 6.0, 4.0))
    found = longest_at(FOUND, hull, 20.0, METERS)
    assert found.text == "floodable 8.00 m"
    assert [found.start[0], found.end[0]] == [16.0, 24.0] and found.start[2] > 4.0
    for x in (16.0, 24.0):
        section = found.leads[np.isclose(found.leads[..., 0], x).all(axis=1)].reshape(-1, 3)
        assert np.ptp(section[:, 1]) == pytest.approx(6.0) and section[:, 2].min() == 0.0
