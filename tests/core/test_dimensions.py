"""Dimension lines: what they measure, where they lie, and how they are laid out.

Lengths are closed forms of boxes; heights over the water are measured along the world's up.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.blender.viewport.dimensions import Dimension, dimensions
from addon.blender.viewport.drawing_layout import picture
from addon.blender.viewport.palette import ON_DARK
from addon.blender.viewport.shapes import Drawing, Show
from addon.blender.viewport.style import Style
from addon.blender.viewport.vessel_shapes import attitude_of, drawing
from addon.blender.viewport.view import View
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.weights import Weight
from addon.drawing.picture import Picture
from addon.examples.loader import EXAMPLES, load_example
from addon.parts.build_case import build_case
from addon.units.lengths import Lengths
from tests import bodies

Array = np.ndarray
METERS, FEET = Lengths(), Lengths("IMPERIAL", "FEET")


def afloat(y: float = 0.0, x: float = 5.0, mass: float = 41_000.0) -> FloatingPosition:
    """A box of 10 x 4 x 3 m, at 1 m draft with its mass of 41 t."""
    hull = build_hull(bodies.mesh(bodies.box(), "barge"))
    case = Case("barge", hull, (Weight("all", mass, np.array([x, y, 1.0])),))
    mast = np.array([[[7.0, 0.5, 3.0], [7.0, 0.5, 8.0], [6.9, 0.5, 3.0]]])
    return find_floating_position(replace(case, windage=mast), seek_others=False)


def measured(ship: FloatingPosition, lengths: Lengths = METERS) -> dict[str, Dimension]:
    found = dimensions(ship, attitude_of(ship), lengths)
    return {each.text.rsplit(" ", 2 if lengths is METERS else 1)[0]: each for each in found}


def length(dimension: Dimension) -> float:
    return float(np.linalg.norm(dimension.end - dimension.start))


def test_an_upright_box_is_measured() -> None:
    found = measured(afloat())
    assert {name: length(each) for name, each in found.items()} == pytest.approx(
        {
            "Length over all": 10.0,
            "Waterline length": 10.0,
            "Beam": 4.0,
            "Depth": 3.0,
            "Least freeboard": 2.0,
            "Air draft": 7.0,
        },
        abs=1e-6,
    )
    assert found["Air draft"].text == "Air draft 7.00 m"


def test_the_words_are_in_the_user_s_unit() -> None:
    texts = {each.text for each in dimensions(afloat(), attitude_of(afloat()), FEET)}
    assert "Length over all 32' 9.7\"" in texts


@pytest.mark.parametrize("y", [0.3, -0.3])
def test_heights_of_a_listing_box_are_those_over_the_water(y: float) -> None:
    ship = afloat(y=y, x=5.3)
    found, attitude = measured(ship), attitude_of(ship)
    assert ship.hydrostatics
    assert length(found["Least freeboard"]) == pytest.approx(ship.hydrostatics.freeboard_min)
    top = float(attitude.heights(np.array([7.0, 0.5, 8.0])))
    assert length(found["Air draft"]) == pytest.approx(top)
    assert length(found["Waterline length"]) == pytest.approx(ship.hydrostatics.LWL)
    for name in ("Least freeboard", "Air draft"):
        assert attitude.heights(found[name].start) == pytest.approx(0.0, abs=1e-9)
    side = found["Least freeboard"].start[1]
    assert np.sign(side) == np.sign(y) and abs(side) > 2.0


@pytest.mark.parametrize(("y", "mass"), [(0.0, 41_000.0), (0.3, 41_000.0), (0.0, 8_200.0)])
def test_lines_lie_off_the_ship_and_clear_of_the_draft_marks(y: float, mass: float) -> None:
    """At a draft of 0.2 m draft marks reach below the keel."""
    ship = afloat(y=y, mass=mass)
    hull = ship.case.hull
    draft_scales = drawing(ship, Show(), METERS).draft_scales
    marked = np.concatenate(
        [draft_scale.at(np.array([draft_scale.low])) for draft_scale in draft_scales]
    )
    for name, each in measured(ship).items():
        points = np.concatenate([[each.start, each.end], each.leads.reshape(-1, 3)])
        if "ength" in name or name == "Beam":
            up = attitude_of(ship).up if "Water" in name else np.array([0.0, 0.0, 1.0])
            assert (points @ up).max() < min((hull.vertices @ up).min(), (marked @ up).min())
        else:
            inside = (points[:2] > hull.tree.low) & (points[:2] < hull.tree.high)
            assert not inside.all(axis=1).any()


def test_a_ship_that_sinks_keeps_those_of_the_hull() -> None:
    ship = afloat(mass=300_000.0)
    assert ship.state == "sunk"
    assert set(measured(ship)) == {"Length over all", "Beam", "Depth"}


def test_they_are_off_until_wanted() -> None:
    assert drawing(afloat(), Show(), METERS).dimensions == ()
    assert len(drawing(afloat(), Show(dimensions=True), METERS).dimensions) == 6


def abeam(ship: FloatingPosition, scale: float) -> tuple[Picture, View, Drawing]:
    """The ship from abeam, fifty pixels a meter at a scale of 1."""
    matrix = np.zeros((4, 4))
    width, height = 900.0 * scale, 700.0 * scale
    matrix[0, 0], matrix[0, 3] = 100.0 * scale / width, -500.0 * scale / width
    matrix[1, 2], matrix[1, 3] = 100.0 * scale / height, -200.0 * scale / height
    matrix[3, 3] = 1.0
    view, shapes = View(matrix, width, height), drawing(ship, Show(dimensions=True), METERS)
    laid = picture(
        shapes, view, Style(ON_DARK, scale), lambda text, size: (0.5 * size * len(text), size)
    )
    return laid, view, shapes


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_words_stand_on_their_lines_and_over_nothing_else(scale: float) -> None:
    laid, view, shapes = abeam(afloat(), scale)
    texts = {label.text: label for label in laid.labels}
    seen = {each.text for each in shapes.dimensions} & set(texts)
    assert {each.text for each in shapes.dimensions} - seen == {"Beam 4.00 m"}
    boxes = [
        (label.at, label.at + (0.5 * label.size * len(label.text), label.size))
        for label in laid.labels
    ]
    for index, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[:index]:
            assert not ((low < other_high) & (other_low < high)).all()
    for each in shapes.dimensions:
        if each.text in seen:
            ends = view.pixels(np.stack([each.start, each.end]))
            low = texts[each.text].at - 8.0 * scale
            high = low + (0.5 * 12.0 * scale * len(each.text) + 16 * scale, 28.0 * scale)
            along = ends[0] + np.linspace(0, 1, 101)[:, None] * (ends[1] - ends[0])
            assert ((along >= low) & (along <= high)).all(axis=1).any()


@pytest.mark.parametrize("key", EXAMPLES)
def test_every_example_is_measured_as_its_hull(key: str) -> None:
    ship = load_example(key)
    hull = build_hull(bodies.mesh((ship.hull.vertices, ship.hull.polygons), key))
    case = replace(build_case(ship.case_entry, hull), weights=ship.weights)
    floating = find_floating_position(case, seek_others=False)
    found = measured(floating)
    assert length(found["Length over all"]) == pytest.approx(hull.length_overall)
    assert length(found["Beam"]) == pytest.approx(hull.breadth)
    assert length(found["Depth"]) == pytest.approx(hull.depth)
