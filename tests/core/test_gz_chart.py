"""The chart of righting arms: what it shows of a ship, and where on its panel.

Arms of a deep box are those of a wall-sided ship, GZ = sin(heel) (GM + BM tan2(heel) / 2), as
long as neither deck nor bilge meets the water (common practice).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.blender.viewport import palette
from addon.blender.viewport.chart_panel import (
    LEAST,
    MOST,
    USUAL_SIZE,
    chart_bounds,
    chart_spot,
    text_bounds,
)
from addon.blender.viewport.style import TEXT, Style
from addon.blender.viewport.text_lines import PITCH, WORDS, brief, folded
from addon.charts.colors import ON_DARK
from addon.charts.gz_chart import gz_chart
from addon.charts.gz_figures import gz_figures, judged_figures, one_sided, span_of
from addon.charts.layout import lay_out
from addon.charts.panel import GAP, REACHES, ChartDrawing, ChartStyle, Spot
from addon.core.criteria.assessment import assess
from addon.core.geometry.mesh import triangulate
from addon.core.model.case import Case
from addon.core.model.hull import ReferencePlanes, build_hull
from addon.core.model.openings import Opening
from addon.core.model.weights import Weight
from addon.core.stability.both_sides import Stability, stability
from addon.core.stability.heeling_levers import Lever
from addon.drawing.picture import Label
from addon.drawing.pixel_boxes import Box
from addon.drawing.tessellation import Fill, Stroke, dashes, faint, triangles
from addon.examples.loader import listing_launch, load_example
from addon.units.lengths import FOOT, INCH, Lengths
from tests import bodies

Array = np.ndarray
CURVE = ON_DARK.curves[0]
METERS, FEET = Lengths(), Lengths("IMPERIAL", "FEET")
HATCH = Opening("engine room hatch", np.array([6.0, -1.0, 3.3]))
LEVERS = (Lever("steady wind", 0.04), Lever("gust", 0.06))
DRAFT, BREADTH, DEPTH, KG = 2.0, 3.0, 4.0, 0.8
BM = BREADTH**2 / 12 / DRAFT
GM = DRAFT / 2 + BM - KG
WALLS_TO = np.arctan(2 * DRAFT / BREADTH)  # where the deck and the bilge meet the water


def text_size(text: str, size: float) -> tuple[float, float]:
    return 0.6 * size * len(text), 0.72 * size


def box(
    center: tuple[float, float, float] = (5.0, 0.0, 1.0),
    mass: float = 41e3,
    openings: tuple[Opening, ...] = (),
) -> Stability:
    """A box of 10 x 4 x 3 m, at 1 m draft unless it is heavier."""
    hull = build_hull(bodies.mesh(bodies.box(), "box"))
    weight = Weight("all", mass, np.array(center))
    return stability(Case("box", hull, (weight,), openings=openings))


def launch(to_port: bool) -> Stability:
    example = listing_launch() if to_port else load_example("survey-launch")
    mesh = triangulate(example.title, example.hull.vertices, example.hull.polygons)
    hull = build_hull(mesh, ReferencePlanes(*example.perpendiculars, 0.0, 0.0))
    weights = tuple(Weight(w.name, w.mass, w.center - hull.origin) for w in example.weights)
    return stability(Case(example.title, hull, weights))


def deep_box() -> Stability:
    """A box of 10 m whose sides stay boundaries at the water to 53 degrees."""
    hull = build_hull(bodies.mesh(bodies.box(10.0, BREADTH, DEPTH), "deep box"))
    weight = Weight("all", 10.0 * BREADTH * DRAFT * 1025.0, np.array([5.0, 0.0, KG]))
    return stability(Case("deep box", hull, (weight,)))


SHIPS = {
    "deep": deep_box(),
    "symmetric": box(),
    "flooding": box(openings=(HATCH, Opening("vent", np.array([3.0, 1.2, 3.5]), True))),
    "listing": launch(to_port=True),
    "launch": launch(to_port=False),
    "loll": box((5.0, 0.0, 1.95)),
    "self-righting": box((5.0, 0.0, -0.3)),
    "capsized": box((5.0, 0.0, 2.2)),
    "no trim": box((5.0, 0.0, 4.5), 100e3),
}
SIZES = {"usual": USUAL_SIZE, "least": LEAST, "narrow": (190.0, 260.0), "wide": (900.0, 120.0)}


def laid(
    ship: Stability,
    size: tuple[float, float] = USUAL_SIZE,
    scale: float = 1.0,
    heel: float | None = None,
    lengths: Lengths = METERS,
    levers: tuple[Lever, ...] = (),
    name: str = "ship",
) -> ChartDrawing:
    panel = Box(30.0, 20.0, 30.0 + scale * size[0], 20.0 + scale * size[1])
    chart = gz_chart(gz_figures(name, ship, lengths, levers, heel))
    return lay_out(chart, Spot(panel.grown(10.0), panel), ChartStyle(ON_DARK, scale), text_size)


def label_box(label: Label) -> Box:
    width, height = text_size(label.text, label.size)
    left, bottom = label.at.tolist()
    return Box(left, bottom, left + width, bottom + height)


def words(drawing: ChartDrawing) -> list[str]:
    return [label.text for label in drawing.picture.labels]


def strokes(drawing: ChartDrawing, color: tuple[float, ...]) -> list[Array]:
    primitives = drawing.picture.primitives
    return [ink.segments for ink in primitives if isinstance(ink, Stroke) and ink.color == color]


def value(drawing: ChartDrawing, pixels: Array) -> tuple[Array, Array]:
    """Heels (rad) and arms (m) at pixels (..., 2), by the corners of the axes alone."""
    axes = drawing.axes
    (left, low), (right, high) = axes.at(np.array(axes.across), np.array(axes.up))
    heels = np.interp(pixels[..., 0], [left, right], axes.across)
    return heels, np.interp(pixels[..., 1], [low, high], axes.up)


def wall_sided(heel: Array) -> Array:
    return np.sin(heel) * (GM + BM / 2 * np.tan(heel) ** 2)


# Words -----------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("lengths", [METERS, FEET], ids=["metric", "imperial"])
@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", SHIPS)
def test_words_are_whole_and_clear_of_one_another(
    name: str, size: str, scale: float, lengths: Lengths
) -> None:
    for heel in (None, np.radians(33.0)):
        drawing = laid(SHIPS[name], SIZES[size], scale, heel, lengths, LEVERS, name)
        boxes = [label_box(label) for label in drawing.picture.labels]
        assert all(box.within(drawing.spot.panel) for box in boxes)
        for at, box in enumerate(boxes):
            for other, label in zip(boxes[:at], drawing.picture.labels, strict=False):
                assert not box.meets(other), (drawing.picture.labels[at].text, label.text)
        for ink in drawing.picture.primitives:
            points = ink.corners if isinstance(ink, Fill) else None
            points = ink.segments if isinstance(ink, Stroke) else points
            if points is not None:
                assert drawing.spot.panel.grown(1e-6).holds(points).all()
        corners, _ = triangles(drawing.picture.primitives)
        assert np.isfinite(corners).all()


@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", SHIPS)
def test_figures_looked_at_are_never_dropped(name: str, size: str, scale: float) -> None:
    ship, heel = SHIPS[name], np.radians(33.0)
    drawing = laid(ship, SIZES[size], scale, heel, levers=LEVERS)
    arm = float(ship.curve.gz_curve.arm(heel))
    assert f"33.0°: GZ {METERS(arm)}" in words(drawing)


def test_port_figure_is_positive_where_it_comes_back() -> None:
    heel = -np.radians(20.0)
    drawing = laid(SHIPS["listing"], heel=heel)
    assert f"20.0°: GZ {METERS(-float(SHIPS['listing'].curve.gz_curve.arm(heel)))}" in words(
        drawing
    )


def test_all_is_named_where_there_is_space() -> None:
    ship = SHIPS["flooding"]
    drawing = laid(replace(ship, port=replace(ship.starboard, sign=-1)), (1200.0, 700.0))
    assert drawing.axes.across[0] == 0.0
    side = ship.starboard
    expected = {
        "ship  ·  GZ curve  ·  GM 0.83 m  ·  range 135.0°, "
        f"{np.degrees(side.downflooding_angle):.1f}° to downflooding",
        f"maximum GZ {METERS(side.max_gz)} at {np.degrees(side.max_gz_heel):.1f}°",
        f"downflooding {np.degrees(side.downflooding_angle):.1f}°, engine room hatch",
        "angle of vanishing stability 135.0°",
        f"deck-edge immersion {np.degrees(side.deck_edge_angle):.1f}°",
        "GM 0.83 m at 57.3°",
        "area to 40.0°",
        "beyond downflooding",
        "Heel to starboard",
        "GZ (m)",
    }
    assert expected <= set(words(drawing))
    assert "starboard" not in words(drawing)


def test_the_more_important_words_stay() -> None:
    ship = SHIPS["launch"]
    roomy = words(laid(ship, (900.0, 500.0), heel=0.5, levers=LEVERS))
    tight = words(laid(ship, LEAST, heel=0.5, levers=LEVERS))
    dropped = [text for text in roomy if not text[0].isdigit() and text not in tight]
    assert any(text.startswith("deck-edge") for text in dropped)
    assert not any("°: GZ" in text for text in dropped)


def test_words_that_stand_off_have_leaders() -> None:
    drawing = laid(SHIPS["listing"], heel=0.6, levers=LEVERS)
    leaders = strokes(drawing, faint(ON_DARK.quiet))
    boxes = [label_box(label).grown(GAP / 2 + 1e-6) for label in drawing.picture.labels]
    assert leaders
    for ((start, end),) in leaders:
        assert np.hypot(*(end - start)) >= REACHES[0]
        assert any(box.holds(end) and not box.holds(start) for box in boxes)


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("listing", f"range {np.degrees(SHIPS['listing'].port.range):.1f}° to port"),
        ("self-righting", "rights from any heel"),
        ("capsized", "no positive GZ"),
        ("symmetric", "range 135.0°"),
    ],
)
def test_title_tells_the_range(name: str, title: str) -> None:
    assert gz_chart(gz_figures("ship", SHIPS[name], METERS)).title[-1] == title


def test_long_title_loses_its_end_and_a_long_name_its_tail() -> None:
    ship = SHIPS["symmetric"]
    for name, begins, ends in (
        ("box", "box", "135.0°"),
        ("a" * 25, "a" * 25, "m"),
        ("b" * 90, "b", "…"),
    ):
        title = words(laid(ship, (300.0, 200.0), name=name))[0]
        assert title.startswith(begins) and title.endswith(ends)
        assert text_size(title, TEXT)[0] <= 300.0


def test_where_it_lists_is_marked_and_said() -> None:
    ship = SHIPS["listing"]
    rest = float(ship.floating.equilibrium.attitude.heel_rad)
    assert f"list {abs(np.degrees(rest)):.1f}° to port" in words(laid(ship, (900.0, 500.0)))
    assert not any("list" in text for text in words(laid(SHIPS["launch"], (900.0, 500.0))))


# Heels and arms --------------------------------------------------------------------------------


def test_one_side_is_shown_where_both_are_alike() -> None:
    vanishing_angle = np.degrees(SHIPS["symmetric"].starboard.vanishing_angle)
    assert vanishing_angle == pytest.approx(135.0)
    assert np.degrees(span_of(SHIPS["symmetric"])) == pytest.approx([0, 150])
    assert np.degrees(span_of(SHIPS["self-righting"])) == pytest.approx([0, 180])


def test_both_sides_are_shown_where_they_differ() -> None:
    ship = SHIPS["listing"]
    low, high = np.degrees(span_of(ship))
    for shown, side in ((-low, ship.port), (high, ship.starboard)):
        assert 8.0 <= shown - np.degrees(side.vanishing_angle) <= 18.0
        assert shown % 10.0 == pytest.approx(0.0, abs=1e-9) or shown % 10.0 == pytest.approx(10.0)
    assert max(map(abs, span_of(SHIPS["capsized"]))) == pytest.approx(np.pi)


def test_sides_with_different_openings_are_both_shown() -> None:
    assert one_sided(SHIPS["symmetric"])
    assert not one_sided(SHIPS["flooding"])
    low, high = span_of(SHIPS["loll"])
    assert low == pytest.approx(-high) and low < -0.5


def test_a_heel_beyond_the_curve_widens_it() -> None:
    assert span_of(SHIPS["launch"], -0.4)[0] == pytest.approx(-0.4)
    assert span_of(SHIPS["launch"], 3.0)[1] == pytest.approx(3.0)


def test_curve_is_that_of_a_wall_sided_ship() -> None:
    drawing = laid(SHIPS["deep"])
    (curve,) = strokes(drawing, CURVE)
    heels, arms = value(drawing, curve.reshape(-1, 2))
    boundaries = heels < WALLS_TO
    assert boundaries.sum() > 100
    assert arms[boundaries] == pytest.approx(wall_sided(heels[boundaries]), abs=1e-4)


def test_shade_has_the_area_under_the_curve() -> None:
    drawing = laid(SHIPS["deep"])
    (shade,) = [ink for ink in drawing.picture.primitives if isinstance(ink, Fill)]
    a, b = shade.corners[:, 1] - shade.corners[:, 0], shade.corners[:, 2] - shade.corners[:, 0]
    axes = drawing.axes
    cell = axes.box.width * axes.box.height / np.ptp(axes.across) / np.ptp(axes.up)
    shaded = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() / 2 / cell
    cosine = np.cos(np.radians(40.0))
    under = (GM - BM / 2) * (1 - cosine) + BM / 2 * (1 / cosine - 1)  # GZ integrated by hand
    assert shaded == pytest.approx(under, rel=1e-3)


def test_shade_ends_where_it_floods() -> None:
    low = box(openings=(Opening("port light", np.array([5.0, -2.0, 1.8])),))
    assert low.starboard.downflooding_angle < np.radians(40.0)
    drawing = laid(low)
    corners = np.concatenate(
        [ink.corners.reshape(-1, 2) for ink in drawing.picture.primitives if isinstance(ink, Fill)]
    )
    heels, _ = value(drawing, corners)
    assert heels.max() == pytest.approx(low.starboard.downflooding_angle, abs=1e-6)
    assert heels.min() == pytest.approx(-np.radians(40.0), abs=1e-6)


def test_nothing_is_shaded_where_no_arm_rights_it() -> None:
    drawing = laid(SHIPS["capsized"])
    assert not any(isinstance(ink, Fill) for ink in drawing.picture.primitives)


def test_tangent_reaches_GM_at_one_radian() -> None:
    drawing = laid(SHIPS["deep"])
    dots = strokes(drawing, ON_DARK.quiet)[2].reshape(-1, 2)
    heels, arms = value(drawing, dots)
    assert heels.max() == pytest.approx(1.0, abs=0.02)
    assert arms == pytest.approx(heels * GM, abs=1e-6)


def test_heeling_arms_are_dashed_towards_the_weaker_side() -> None:
    for name, sign in (("launch", 1.0), ("listing", -1.0)):
        ship = SHIPS[name]
        drawing = laid(ship, levers=(Lever("crowd", 0.2, 1),))
        (dashed,) = strokes(drawing, ON_DARK.lever)
        heels, arms = value(drawing, dashed.reshape(-1, 2))
        assert (heels * sign >= -1e-9).all()
        assert arms == pytest.approx(sign * np.maximum(0.2 * np.cos(heels), 0.0), abs=1e-3)
        lengths = np.hypot(*(dashed[:, 1] - dashed[:, 0]).T)
        assert lengths.sum() < 0.7 * np.ptp(dashed[..., 0])


def test_curve_breaks_off_where_it_jumps_and_where_no_trim_holds_it() -> None:
    whole = SHIPS["symmetric"]
    held = [each.heel for each in whole.curve.positions if 0.5 < each.heel < 0.8]
    jump = (held[0] + held[1]) / 2
    torn = replace(whole, curve=replace(whole.curve, jumps=(jump,)))
    drawing = laid(torn)
    pieces = [value(drawing, piece)[0] for piece in strokes(drawing, CURVE)]
    assert [len(pieces), pieces[0].max(), pieces[1].min()] == pytest.approx([2, *held[:2]])

    lost = SHIPS["no trim"]
    drawing = laid(lost)
    gone = [each.heel for each in lost.curve.positions if not each.converged]
    for piece in strokes(drawing, CURVE):
        heels, _ = value(drawing, piece)
        assert not any(heels.min() < heel < heels.max() for heel in gone)


def test_curve_is_faint_and_dashed_where_water_has_got_in() -> None:
    ship = SHIPS["flooding"]
    end = ship.starboard.downflooding_angle
    assert end < ship.starboard.vanishing_angle
    ship = replace(ship, port=replace(ship.port, immersions=()))
    drawing = laid(ship)
    (hers,), (lost,) = (strokes(drawing, each) for each in (CURVE, faint(CURVE)))
    heels, arms = value(drawing, hers.reshape(-1, 2))
    assert heels.max() == pytest.approx(end) and heels.min() < -np.radians(90.0)
    assert arms == pytest.approx(ship.curve.gz_curve.arm(heels), abs=1e-4)
    heels, arms = value(drawing, lost.reshape(-1, 2))
    assert heels.min() == pytest.approx(end) and heels.max() > ship.starboard.vanishing_angle
    assert arms == pytest.approx(ship.curve.gz_curve.arm(heels), abs=1e-3)
    assert np.hypot(*(lost[:, 1] - lost[:, 0]).T).sum() < np.ptp(lost[..., 0])
    assert not strokes(laid(SHIPS["symmetric"]), faint(CURVE))


def test_look_is_a_line_with_a_dot_on_the_curve() -> None:
    ship, heel = SHIPS["launch"], np.radians(25.0)
    drawing = laid(ship, heel=heel)
    (line,) = strokes(drawing, ON_DARK.looked)
    heels, arms = value(drawing, line[0])
    assert heels == pytest.approx([heel, heel])
    assert arms == pytest.approx(drawing.axes.up)
    assert not strokes(laid(ship), ON_DARK.looked)


def test_pixels_tell_heels() -> None:
    axes = laid(SHIPS["listing"]).axes
    for heel in np.linspace(*axes.across, 7):
        assert axes.across_at(float(axes.at(heel, 0.0)[0])) == pytest.approx(heel)
    assert axes.across_at(-1e4) == axes.across[0] and axes.across_at(1e4) == axes.across[1]


@pytest.mark.parametrize(
    ("lengths", "text"),
    [
        (METERS, {"0.0", "0.2", "0.4"}),
        (Lengths("METRIC", "MILLIMETERS"), {"0", "200", "400"}),
        (FEET, {'0"', "1' 0\""}),
        (Lengths("IMPERIAL", "INCHES"), {'0"', '10"'}),
    ],
)
def test_arms_are_numbered_in_the_users_unit(lengths: Lengths, text: set[str]) -> None:
    assert text <= set(words(laid(SHIPS["listing"], (500.0, 260.0), lengths=lengths)))


@pytest.mark.parametrize(
    ("lengths", "least", "step"),
    [
        (METERS, 0.03, 0.05),
        (METERS, 0.05, 0.05),
        (METERS, 0.6, 1.0),
        (Lengths("METRIC", "CENTIMETERS"), 0.03, 0.05),
        (FEET, 0.005, 0.2 * INCH),
        (FEET, 0.04, 2 * INCH),
        (FEET, 0.2, FOOT),
        (FEET, 0.4, 2 * FOOT),
        (Lengths("IMPERIAL", "INCHES"), 0.2, 10 * INCH),
    ],
)
def test_steps_are_round_in_the_users_unit(lengths: Lengths, least: float, step: float) -> None:
    assert lengths.step(least) == pytest.approx(step)


# Its place -------------------------------------------------------------------------------------


@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("place", [(0.0, 0.0), (1.0, 0.0), (0.3, 0.8), (1.0, 1.0)])
@pytest.mark.parametrize("size", [0.5, 1.0, 4.0])
def test_panel_stays_in_its_space(size: float, place: tuple[float, float], scale: float) -> None:
    for width, height in ((420.0, 300.0), (1300.0, 800.0)):
        bounds = Box(60.0, 40.0, 60.0 + width * scale, 40.0 + height * scale)
        spot = chart_spot(bounds, place, size, scale)
        assert spot and spot.panel.within(bounds.grown(0.5))
        assert spot.panel.width <= max(MOST * bounds.width, LEAST[0] * scale) + 1e-9
        assert spot.place(0.0, 0.0) == pytest.approx(place, abs=0.01)
        assert spot.place(1e4, -1e4) == (1.0, 0.0)


def test_moved_panel_goes_along_with_the_mouse() -> None:
    bounds = Box(0.0, 0.0, 1000.0, 800.0)
    before = chart_spot(bounds, (1.0, 0.0), 1.0, 1.0)
    after = chart_spot(bounds, before.place(-123.0, 45.0), 1.0, 1.0)
    assert after.panel.left - before.panel.left == pytest.approx(-123.0, abs=0.51)
    assert after.panel.bottom - before.panel.bottom == pytest.approx(45.0, abs=0.51)


def test_there_is_no_chart_in_a_small_region() -> None:
    assert chart_spot(Box(0.0, 0.0, LEAST[0] - 1, 500.0), (0.0, 0.0), 1.0, 1.0) is None
    assert chart_spot(Box(0.0, 0.0, 500.0, LEAST[1] - 1), (0.0, 0.0), 1.0, 1.0) is None
    assert chart_spot(Box(0.0, 0.0, 1.5 * LEAST[0], 500.0), (0.0, 0.0), 1.0, 2.0) is None


def test_space_leaves_the_read_out_free() -> None:
    low, high = np.array([60.0, 0.0]), np.array([900.0, 700.0])
    for rows in (1, 3):
        bounds = chart_bounds(low, high, rows, 2.0)
        assert bounds.bottom >= 2.0 * TEXT * (1.2 + 2.0 * (rows - 1) + 1.0)
        assert low[0] < bounds.left and bounds.right < high[0] and bounds.top < high[1]


@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("across", [420.0, 710.0, 1300.0])
def test_chart_of_the_usual_size_leaves_the_middle_free(across: float, scale: float) -> None:
    bounds = Box(60.0, 40.0, 60.0 + across * scale, 40.0 + 540.0 * scale)
    spot = chart_spot(bounds, (1.0, 0.0), 1.0, scale)
    assert spot and not spot.panel.holds(np.array([60.0 + across * scale / 2, 40.0 + 270 * scale]))
    larger = chart_spot(bounds, (1.0, 0.0), 2.0, scale)
    assert larger.panel.width > 1.3 * spot.panel.width, "as large as the user wants it"


def test_read_out_keeps_clear_of_the_panel_of_the_last_operation() -> None:
    low, high = np.array([60.0, 10.0]), np.array([760.0, 600.0])
    assert text_bounds(low, high, None) == Box(60.0, 10.0, 760.0, 600.0)
    assert text_bounds(low, high, Box(-300.0, 10.0, -100.0, 40.0)) == Box(60.0, 10.0, 760.0, 600.0)
    beside = text_bounds(low, high, Box(65.0, 12.0, 230.0, 45.0))
    assert beside == Box(230.0, 10.0, 760.0, 600.0)
    assert text_bounds(low, high, Box(65.0, 12.0, 430.0, 45.0)) == Box(60.0, 45.0, 760.0, 600.0)


# Inks ------------------------------------------------------------------------------------------


def test_dashes_go_round_corners() -> None:
    line = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]])
    segments = dashes(line, 6.0, 4.0)
    lengths = np.hypot(*(segments[:, 1] - segments[:, 0]).T)
    assert lengths.sum() == pytest.approx(12.0)
    assert segments[0].tolist() == [[0.0, 0.0], [6.0, 0.0]]
    assert segments[-1].tolist() == [[10.0, 0.0], [10.0, 6.0]]
    assert len(dashes(line[:1].repeat(2, axis=0), 6.0, 4.0)) == 0


def test_fill_is_painted_as_it_is() -> None:
    triangle = np.array([[[0.0, 0.0], [4.0, 0.0], [0.0, 4.0]]])
    corners, colors = triangles([Fill(triangle, (1.0, 0.5, 0.0, 0.25))])
    assert corners[:, :2].tolist() == triangle[0].tolist()
    assert colors.tolist() == [[1.0, 0.5, 0.0, 0.25]] * 3


# Heeling arms of criteria ----------------------------------------------------------------------


def test_heeling_arms_are_those_it_is_judged_by() -> None:
    """A crowd of 8 of 75 kg, 0.6 m off the centerline: mass times distance over displacement."""
    case = SHIPS["launch"].case
    service = replace(case.service, kind="passenger", passengers=8, passenger_offset=0.6)
    asked = replace(case, service=service, codes=("is-code-2.3", "is-code-3.1"))
    levers = {name: run[0, 1] for name, run in judged_figures("s", assess(asked), METERS).levers}
    assert levers["gust"] == pytest.approx(1.5 * levers["steady wind"])
    assert levers["crowd"] == pytest.approx(8 * 75 * 0.6 / case.load.mass)
    unasked = assess(replace(case, codes=("is-code-2.2",)))
    assert judged_figures("s", unasked, METERS).levers == []


def test_lines_are_broken_between_words() -> None:
    style = Style(palette.ON_DARK)
    letters = 20
    width = text_size("m" * letters, TEXT)[0] + 2 * TEXT
    rows = (("sinks, after water spread to 'hold'", "warm"), ("afloat", "plain"))
    found = list(folded(rows, width, style, text_size))
    assert [text for text, _ in found] == ["sinks, after water", "spread to 'hold'", "afloat"]
    assert [color for _, color in found] == ["warm", "warm", "plain"]
    assert all(len(text) <= letters for text, _ in found)
    assert list(folded((("unbreakable", "plain"),), 1.0, style, text_size)) == [
        ("unbreakable", "plain")
    ]
    narrow = text_size("m" * 9, TEXT)[0] + 2 * TEXT
    found = list(folded((("hold 2 flooded: trim 0.12 m · GM", "plain"),), narrow, style, text_size))
    assert [text for text, _ in found] == ["hold 2", "flooded:", "trim", "0.12 m", "GM"]


@pytest.mark.parametrize(
    ("lines", "reported"),
    [
        (9, ["ship: upright", "trim 0.12 m", "GM 0.61 m", "floats with its", "margin line 6.05 m"]),
        (4, ["ship: upright", "trim 0.12 m", "GM 0.61 m"]),
        (2, ["ship: upright", "trim 0.12 m"]),
        (1, ["ship: upright"]),
    ],
)
def test_words_that_have_no_space_are_left_out_the_last_first(
    lines: int, reported: list[str]
) -> None:
    style = Style(palette.ON_DARK)
    width = text_size("m" * 20, TEXT)[0] + 2 * TEXT
    bounds = Box(0.0, 0.0, width, lines * PITCH * TEXT / WORDS + 1.0)
    rows = (
        ("ship: upright · trim 0.12 m · GM 0.61 m", "plain"),
        ("floats with its margin line 6.05 m", "warm"),
    )
    assert [text for text, _ in brief(rows, bounds, style, text_size)] == reported
    alone = [text for text, _ in brief(rows[1:], bounds._replace(top=1.0), style, text_size)]
    assert alone == ["floats with its…"]
    assert brief((), bounds, style, text_size) == []
