"""What is drawn of a ship: the water cut round it, its marks, its twin, and their layout.

Areas and lengths are closed forms of boxes and rings, or come by another route from the core.
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from addon.blender.viewport.draft_scale_layout import STEPS, rung_steps
from addon.blender.viewport.drawing_layout import picture
from addon.blender.viewport.floated_copy import TOPSIDES, UNDERBODY, level_pose, shaded
from addon.blender.viewport.glyphs import OUTLINES
from addon.blender.viewport.palette import MARKS, ON_DARK, ON_LIGHT, palette_for
from addon.blender.viewport.readout import readout
from addon.blender.viewport.shapes import Drawing, Mark, Measure, Show
from addon.blender.viewport.style import Style
from addon.blender.viewport.text_lines import lines
from addon.blender.viewport.vessel_shapes import (
    MARGIN,
    attitude_of,
    drawing,
    finding_marks,
    water_plane,
    water_point,
)
from addon.blender.viewport.view import View
from addon.blender.viewport.water_plane import regions
from addon.core.buoyancy.attitude import Attitude, up_from_angles, water_frame
from addon.core.buoyancy.sections import waterline
from addon.core.geometry.mesh import triangulate
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.model.case import Case
from addon.core.model.hull import ReferencePlanes, build_hull
from addon.core.model.openings import Opening
from addon.core.model.weights import Weight
from addon.core.stability.righting_lever import heeling_of
from addon.drawing.picture import Label, Picture
from addon.drawing.pixel_boxes import Box
from addon.drawing.tessellation import Area, Stroke, grown, triangles
from addon.examples.loader import Example, listing_launch, load_example
from addon.parts.build_case import build_case
from addon.parts.declarations import CaseEntry
from addon.units.lengths import Lengths
from tests import bodies

Array = np.ndarray
METERS = Lengths()
WATER = 1025.0


def floated(body: bodies.Body, mass: float, center: tuple[float, float, float]) -> FloatingPosition:
    hull = build_hull(bodies.mesh(body, "hull"))
    weight = Weight("all", mass, np.array(center, float))
    return find_floating_position(Case("body", hull, (weight,)), seek_others=False)


def example_afloat(
    example: Example, heavier: float = 1.0, baseline: float = 0.0
) -> FloatingPosition:
    mesh = triangulate(example.title, example.hull.vertices, example.hull.polygons)
    hull = build_hull(mesh, ReferencePlanes(*example.perpendiculars, baseline, 0.0))
    weights = tuple(
        Weight(w.name, heavier * w.mass, w.center - hull.origin, w.group) for w in example.weights
    )
    tanks = CaseEntry(example.case_entry.hull, tanks=example.case_entry.tanks)
    case = replace(build_case(tanks, hull), title=example.title, weights=weights)
    return find_floating_position(case, seek_others=False)


@pytest.fixture(scope="module")
def box() -> FloatingPosition:
    """A box of 10 x 4 x 3 m at 1 m draft, upright on an even keel."""
    return floated(bodies.box(), 40 * WATER, (5.0, 0.0, 1.0))


@pytest.fixture(scope="module")
def launch() -> FloatingPosition:
    return example_afloat(load_example("survey-launch"))


@pytest.fixture(scope="module")
def listing() -> FloatingPosition:
    return example_afloat(listing_launch())


@pytest.fixture(scope="module")
def swamped() -> FloatingPosition:
    return example_afloat(load_example("open-dinghy"), heavier=6.8)


@pytest.fixture(scope="module")
def sunk() -> FloatingPosition:
    return floated(bodies.box(), 130e3, (5.0, 0.0, 1.0))


def area(corners: Array) -> float:
    """Of triangles (n, 3, 2) or (n, 3, 3)."""
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    if corners.shape[2] == 2:
        return float(np.abs(cross(a, b)).sum() / 2)
    return float(np.linalg.norm(np.cross(a, b), axis=1).sum() / 2)


def cross(a: Array, b: Array) -> Array:
    """Of plane vectors (..., 2)."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


# The sheet of water ---------------------------------------------------------------------------


def ring(points: int, radius: float, at: tuple[float, float] = (0, 0), hole: bool = False) -> Array:
    """Segments round a polygon, inside to the left; the other way round for a hole."""
    turn = np.linspace(0, 2 * np.pi, points, endpoint=False) + 0.1
    corners = np.array(at) + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    corners = corners[::-1] if hole else corners
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


def square(low: float, high: float) -> Array:
    corners = np.array([[low, low], [high, low], [high, high], [low, high]], float)
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


def polygon_area(points: int, radius: float) -> float:
    return points / 2 * radius**2 * np.sin(2 * np.pi / points)


@pytest.mark.parametrize(
    ("segments", "inside"),
    [
        (ring(4, 1), polygon_area(4, 1)),
        (ring(301, 2), polygon_area(301, 2)),
        (np.concatenate([ring(50, 1, (0, 2)), ring(60, 1, (0, -2))]),
         polygon_area(50, 1) + polygon_area(60, 1)),
        (np.concatenate([ring(50, 2), ring(40, 1, hole=True)]),
         polygon_area(50, 2) - polygon_area(40, 1)),
        (np.concatenate([ring(50, 3), ring(40, 2, hole=True), ring(30, 1)]),
         polygon_area(50, 3) - polygon_area(40, 2) + polygon_area(30, 1)),
        (np.concatenate([square(-2, 1), square(-1, 2)]), 9 + 9 - 4),
        (np.concatenate([square(-1, 1), square(-1, 1)]), 4),
        (square(-1, 1)[:0], 0),
    ],
    ids=["square", "round", "two hulls", "moon-pool", "island", "overlapping", "twice", "none"],
)  # fmt: skip
def test_regions_share_the_rectangle(segments: Array, inside: float) -> None:
    low, high = np.array([-5.0, -4.0]), np.array([6.0, 4.0])
    outer, inner = regions(segments, low, high)
    assert area(inner) == pytest.approx(inside, abs=1e-4)
    assert area(outer) == pytest.approx(88 - inside, abs=1e-4)
    for corners in (outer, inner):
        a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        assert (cross(a, b) > 0).all(), "counter-clockwise"
        assert (corners >= low - 1e-9).all() and (corners <= high + 1e-9).all()


@pytest.mark.parametrize("key", ["survey-launch", "catamaran", "half-launch"])
def test_sheet_leaves_out_the_waterplane(key: str) -> None:
    ship = example_afloat(load_example(key))
    if ship.state != "afloat":
        ship = replace(ship, state="afloat")
    outline = waterline(ship.case.hull.tree, ship.equilibrium.attitude)
    water = water_plane(ship, outline)
    sides = np.linalg.norm(water.border[:2, 1] - water.border[:2, 0], axis=1)
    waterplane = ship.hydrostatics.immersion.waterplane_area
    assert area(water.triangles) == pytest.approx(sides.prod() - waterplane, rel=1e-6)
    assert ship.equilibrium.attitude.heights(water.triangles) == pytest.approx(0, abs=1e-9)
    margins = sides - [ship.hydrostatics.LWL, ship.hydrostatics.BWL]
    assert margins == pytest.approx(2 * MARGIN * ship.hydrostatics.LWL)


def test_sheet_leaves_water_in_a_moon_pool() -> None:
    tube = bodies.torus(major=3.0, minor=0.8, around=48, across=24)
    volume = bodies.tree(tube).volume / 2
    ship = floated(tube, volume * WATER, (3.8, 0.0, 0.2))
    water = water_plane(ship, waterline(ship.case.hull.tree, ship.equilibrium.attitude))
    middle = water_point(ship)[:2]
    inside = [
        cross(t[[1, 2, 0], :2] - t[:, :2], middle - t[:, :2]).min() >= -1e-9
        for t in water.triangles
    ]
    assert ship.hydrostatics.immersion.flotation[:2] == pytest.approx(middle)
    assert any(inside)


def test_swamped_ship_keeps_no_water_out(swamped: FloatingPosition) -> None:
    assert swamped.state == "swamped"
    water = water_plane(swamped, waterline(swamped.case.hull.tree, swamped.equilibrium.attitude))
    sides = np.linalg.norm(water.border[:2, 1] - water.border[:2, 0], axis=1)
    assert area(water.triangles) == pytest.approx(sides.prod())


def test_sunk_ship_has_the_water_over_its_top(sunk: FloatingPosition) -> None:
    shapes = drawing(sunk, Show(), METERS)
    assert (shapes.water.triangles[..., 2] > sunk.case.hull.tree.high[2]).all()
    assert [mark.kind for mark in shapes.marks] == ["G"]
    assert not (shapes.draft_scales or shapes.measures or len(shapes.waterline))
    assert [(words.text, words.tone) for words in shapes.words] == [("Sinks", "warning")]


# Marks, measures, draft marks -----------------------------------------------------------------


def test_marks_stand_where_the_core_says(listing: FloatingPosition) -> None:
    marks = {mark.kind: mark for mark in drawing(listing, Show(), METERS).marks}
    wet = listing.hydrostatics.immersion
    at = {"G": listing.weight.center, "B": wet.buoyancy, "F": wet.flotation}
    for kind, place in at.items():
        assert marks[kind].at == pytest.approx(place)
        assert marks[kind].letter == kind
    assert marks["M"].at == pytest.approx(wet.buoyancy + listing.hydrostatics.BM * wet.frame[2])


def test_measure_runs_from_g_toward_m_by_gm(listing: FloatingPosition) -> None:
    (measure,) = drawing(listing, Show(), METERS).measures
    assert np.linalg.norm(measure.end - measure.start) == pytest.approx(listing.GM_fluid)
    along = listing.hydrostatics.metacenter - measure.start
    reach = listing.GM_fluid / listing.GM
    assert measure.end == pytest.approx(measure.start + reach * along, abs=1e-6)
    assert measure.text == f"GM {listing.GM_fluid:.2f} m"


@pytest.mark.parametrize("field", [field.name for field in fields(Show)])
def test_each_switch_takes_out_its_own_shapes(launch: FloatingPosition, field: str) -> None:
    default = getattr(Show(), field)
    vent = Opening("vent", np.array([3.0, 0.0, 2.0]))
    ship = replace(launch, case=replace(launch.case, openings=(vent,)))
    before = drawing(ship, Show(), METERS)
    after = drawing(ship, replace(Show(), **{field: not default}), METERS)

    def facts(shapes: Drawing) -> dict[str, object]:
        return {
            "water": shapes.water is None,
            "waterline": len(shapes.waterline),
            "center_of_gravity": any(mark.kind == "G" for mark in shapes.marks),
            "center_of_buoyancy": any(mark.kind == "B" for mark in shapes.marks),
            "metacenter": any(mark.kind == "M" for mark in shapes.marks),
            "center_of_flotation": any(mark.kind == "F" for mark in shapes.marks),
            "draft_marks": len(shapes.draft_scales),
            "dimensions": len(shapes.dimensions),
            "labels": sum(bool(mark.letter) for mark in shapes.marks if mark.kind == "B"),
            "openings": sum(mark.kind == "opening" for mark in shapes.marks),
            "weights": sum(mark.kind == "weight" for mark in shapes.marks),
        }

    changed = {name for name, fact in facts(after).items() if fact != facts(before)[name]}
    if field == "center_of_buoyancy":
        changed -= {"labels"}
    assert changed == {field}


def test_without_names_nothing_is_written(listing: FloatingPosition) -> None:
    shapes = drawing(listing, Show(labels=False), METERS)
    written = [*shapes.marks, *shapes.measures, *shapes.draft_scales, *shapes.words]
    assert not any(getattr(shape, "text", "") or getattr(shape, "letter", "") for shape in written)


def test_ladders_read_the_drafts(listing: FloatingPosition) -> None:
    aft, forward = drawing(listing, Show(), METERS).draft_scales
    figures = listing.hydrostatics
    assert (aft.draft, forward.draft) == (figures.draft_aft, figures.draft_forward)
    assert aft.text == f"Draft aft {figures.draft_aft:.2f} m"
    assert forward.text == f"Draft forward {figures.draft_forward:.2f} m"
    for draft_scale, x in ((aft, 0.0), (forward, listing.case.hull.length_pp)):
        assert draft_scale.low == 0.0 < draft_scale.draft < draft_scale.high
        present = draft_scale.at(np.array([draft_scale.draft]))
        assert present[0, 0] == x
        assert listing.equilibrium.attitude.heights(present) == pytest.approx(0, abs=1e-9)
        rungs = draft_scale.rungs(0.1)
        assert rungs == pytest.approx(np.arange(len(rungs)) * 0.1)
        assert draft_scale.high - 0.1 < rungs[-1] <= draft_scale.high


def test_ladder_of_a_bow_out_of_the_water_goes_below_the_baseline() -> None:
    ship = floated(bodies.box(), 40 * WATER, (2.8, 0.0, 0.5))
    _, forward = drawing(ship, Show(), METERS).draft_scales
    assert forward.low < forward.draft < 0 < forward.high
    assert forward.rungs(0.5)[0] < 0


def test_upside_down_ship_has_no_drafts() -> None:
    ship = floated(bodies.box(10, 4, 1.5), 20 * WATER, (5.0, 0.0, 0.75))
    over = find_floating_position(ship.case, start=np.array([0.0, 0.05, -1.0]), seek_others=False)
    assert over.equilibrium.attitude.upside_down
    assert not drawing(over, Show(), METERS).draft_scales
    assert drawing(over, Show(), METERS).marks


@pytest.mark.parametrize("pixels", [3.0, 40.0, 55.0, 120.0, 1000.0])
def test_rungs_are_distinct(pixels: float) -> None:
    step, fine = rung_steps(pixels)
    assert step * pixels >= 17 or step == STEPS[-1]
    assert round(step / fine) == pytest.approx(step / fine)


def test_faults_are_marked_where_they_are() -> None:
    ship = example_afloat(load_example("half-launch"), baseline=-0.7)
    finding_points = finding_marks(ship)
    rim = np.concatenate(ship.case.hull.rims).reshape(-1, 3)
    on_rim = [np.linalg.norm(rim - mark.at, axis=1).min() for mark in finding_points]
    assert len(finding_points) > 20
    assert np.mean(np.array(on_rim) < 0.3) > 0.9
    assert not finding_marks(example_afloat(load_example("survey-launch")))


# Words ----------------------------------------------------------------------------------------


def test_readout_of_a_ship_afloat(box: FloatingPosition, listing: FloatingPosition) -> None:
    # BM = B^2 / 12 d = 16 / 12, KB = 1/2, KG = 1
    assert readout(box, "barge", False, METERS) == (
        "barge: upright · on an even keel · GM 0.83 m",
        "plain",
    )
    text, tone = readout(listing, "launch", True, METERS)
    heel = -np.degrees(listing.equilibrium.attitude.heel_rad)
    assert text == (
        f"launch: list {heel:.1f}° to port · trim {listing.hydrostatics.trim:.2f} m by the stern"
        f" · GM {listing.GM_fluid:.2f} m (changed since computed)"
    )
    assert tone == "plain"


def test_readout_warns(swamped: FloatingPosition, sunk: FloatingPosition) -> None:
    text, tone = readout(sunk, "box", False, METERS)
    assert (text, tone) == ("box: sinks, 7 t too heavy", "warning")  # 130 t, 120 m3 of sea water
    text, tone = readout(swamped, "dinghy", False, METERS)
    under = METERS(-swamped.downflooding_height)
    assert (text, tone) == (f"dinghy: swamped, open edge {under} under water", "warning")


def test_readout_names_the_loll() -> None:
    ship = floated(bodies.box(10, 4, 3), 60 * WATER, (5.0, 0.0, 1.8))
    assert readout(ship, "box", False, METERS)[0].startswith("box: angle of loll ")


@pytest.mark.parametrize(
    ("lengths", "meters", "text"),
    [
        (Lengths(), 0.8447, "0.84 m"),
        (Lengths(), -1e-9, "0.00 m"),
        (Lengths(fine=True), 0.8447, "0.845 m"),
        (Lengths("METRIC", "ADAPTIVE"), -0.5, "-0.50 m"),
        (Lengths("METRIC", "MILLIMETERS"), 0.8447, "845 mm"),
        (Lengths("METRIC", "CENTIMETERS"), 0.8447, "84.5 cm"),
        (Lengths("NONE", "ADAPTIVE"), 2.0, "2.00 m"),
        (Lengths("IMPERIAL", "FEET"), 0.8447, "2' 9.3\""),
        (Lengths("IMPERIAL", "FEET"), 0.3047999, "1' 0.0\""),
        (Lengths("IMPERIAL", "FEET"), -0.1, '-3.9"'),
        (Lengths("IMPERIAL", "INCHES"), 0.8447, '33.3"'),
    ],
)
def test_lengths_are_written_in_the_users_unit(lengths: Lengths, meters: float, text: str) -> None:
    assert lengths(meters) == text


def test_small_craft_get_a_decimal_more() -> None:
    assert not Lengths().for_size(12.0).fine
    assert Lengths().for_size(2.5).fine


# The twin -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("heel", "trim"), [(0, 0), (12, -3), (-70, 20), (170, 5), (0, 90)])
@pytest.mark.parametrize("scale", [1.0, 0.001, 39.37])
def test_twin_floats_in_level_water(heel: float, trim: float, scale: float) -> None:
    attitude = Attitude(up_from_angles(np.radians(heel), np.radians(trim)), 0.7)
    turn = water_frame(up_from_angles(0.4, -0.3)).T
    to_world = np.eye(4)
    to_world[:3, :3] = scale * turn
    to_world[:3, 3] = [5.0, -3.0, 2.0]
    pivot = 0.7 * attitude.up + 2.5 * water_frame(attitude.up)[0]
    pose = level_pose(to_world, attitude, pivot, 6.0)
    assert pose[:3, :3] @ pose[:3, :3].T == pytest.approx(scale**2 * np.eye(3), abs=1e-9 * scale)
    assert np.linalg.det(pose[:3, :3]) > 0
    assert pose[:3, :3] @ attitude.up == pytest.approx([0, 0, scale], abs=1e-12 * scale)
    real, twin = (matrix[:3, :3] @ pivot + matrix[:3, 3] for matrix in (to_world, pose))
    assert twin[2] == pytest.approx(real[2])
    assert np.linalg.norm(twin - real) == pytest.approx(6.0 * scale)
    ahead, port = (pose[:3, :3] @ water_frame(attitude.up)[axis] for axis in (0, 1))
    assert (twin - real) @ port == pytest.approx(6.0 * scale**2)
    heading = (to_world[:3, :3] @ water_frame(attitude.up)[0])[:2]
    assert ahead[:2] @ heading == pytest.approx(np.linalg.norm(ahead) * np.linalg.norm(heading))


def test_twin_is_cut_at_the_water(listing: FloatingPosition) -> None:
    hull, attitude = listing.case.hull, listing.equilibrium.attitude
    corners, colors = shaded(hull, attitude)
    assert corners.dtype == colors.dtype == np.float32
    assert corners.flags.c_contiguous and colors.flags.c_contiguous
    pieces = corners.reshape(-1, 3, 3).astype(float)
    heights = attitude.heights(pieces)
    assert (heights.min(axis=1) * heights.max(axis=1) > -1e-4).all(), "none lies on both sides"
    assert area(pieces) == pytest.approx(hull.tree.area, rel=1e-5)
    hue = colors.reshape(-1, 3, 4)[:, 0, :3]
    wet = np.abs(hue / hue.max(axis=1)[:, None] - UNDERBODY / UNDERBODY.max()).max(axis=1) < 0.02
    wetted = listing.hydrostatics.immersion.wetted_surface
    assert area(pieces[wet]) == pytest.approx(wetted, rel=1e-5)
    assert not np.allclose(UNDERBODY / UNDERBODY.max(), TOPSIDES / TOPSIDES.max(), atol=0.1)


# Layout on the plane of pixels ----------------------------------------------------------------


def text_size(text: str, size: float) -> tuple[float, float]:
    return 0.6 * size * len(text), 0.7 * size


def camera(eye: Array, target: Array, up: Array, width: float = 1200, height: float = 800) -> View:
    """A perspective of 50 degrees."""
    back = (eye - target) / np.linalg.norm(eye - target)
    right = np.cross(up, back)
    right /= np.linalg.norm(right)
    turn = np.array([right, np.cross(back, right), back])
    view = np.eye(4)
    view[:3, :3], view[:3, 3] = turn, -turn @ eye
    focal, near, far = 1 / np.tan(np.radians(25)), 0.1, 500.0
    projection = np.diag([focal * height / width, focal, (far + near) / (near - far), 0.0])
    projection[2, 3], projection[3, 2] = 2 * far * near / (near - far), -1.0
    return View(projection @ view, width, height)


def side_view(ship: FloatingPosition) -> View:
    middle = np.array([ship.case.hull.midship_x, 0.0, 0.5])
    return camera(middle - (0.0, 12.0, 0.0), middle, np.array([0.0, 0.0, 1.0]))


STYLE = Style(ON_DARK)


def test_view_puts_points_on_pixels() -> None:
    view = camera(np.array([0.0, -10.0, 0.0]), np.zeros(3), np.array([0.0, 0.0, 1.0]))
    half = 10 * np.tan(np.radians(25))
    points = np.array([[0, 0, 0], [half, 0, 0], [0, 0, half], [0, -20, 0]])
    seen = view.pixels(points)
    assert seen[:3] == pytest.approx(np.array([[600, 400], [1000, 400], [600, 800]]))
    assert np.isnan(seen[3]).all(), "behind the eye"
    pose = np.eye(4)
    pose[0, 3] = half
    assert view.of(pose).pixels(np.zeros(3))[0] == pytest.approx([1000, 400])


def boxes(labels: tuple[Label, ...]) -> list[Array]:
    sizes = [np.array(text_size(label.text, label.size)) for label in labels]
    return [
        np.array([label.at, label.at + size]) for label, size in zip(labels, sizes, strict=True)
    ]


def overlaps(a: Array, b: Array) -> bool:
    return bool((a[0] < b[1]).all() and (b[0] < a[1]).all())


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_letters_of_marks_at_one_place_keep_clear_of_each_other(scale: float) -> None:
    marks = tuple(Mark(kind, np.zeros(3), kind) for kind in "FBMG")
    view = camera(np.array([0.0, -10.0, 0.0]), np.zeros(3), np.array([0.0, 0.0, 1.0]))
    upright = Attitude(np.array([0.0, 0.0, 1.0]), 0.0)
    laid = picture(Drawing(upright, marks=marks), view, Style(ON_DARK, scale), text_size)
    assert sorted(label.text for label in laid.labels) == ["B", "F", "G", "M"]
    placed = boxes(laid.labels)
    assert not any(overlaps(a, b) for i, a in enumerate(placed) for b in placed[:i])
    for outline in (o for ink in laid.primitives if isinstance(ink, Area) for o in ink.outlines):
        bounds = np.array([outline.min(axis=0), outline.max(axis=0)])
        assert not any(overlaps(box, bounds) for box in placed)
        assert bounds.mean(axis=0) == pytest.approx([600, 400], abs=3 * scale)


@pytest.mark.parametrize("kind", ["opening", "flooding"])
@pytest.mark.parametrize("off", [0.0, 0.1, -0.15])
def test_a_way_in_on_a_centre_stands_beside_it_on_a_leader(kind: str, off: float) -> None:
    view = camera(np.array([0.0, -10.0, 0.0]), np.zeros(3), np.array([0.0, 0.0, 1.0]))
    upright = Attitude(np.array([0.0, 0.0, 1.0]), 0.0)
    marks = Mark(kind, np.array([0.0, 0.0, off])), Mark("M", np.zeros(3), "M")

    def laid(*marks: Mark) -> tuple[dict[str, np.ndarray], list[np.ndarray]]:
        shown = picture(Drawing(upright, marks=marks), view, STYLE, text_size)
        fills = {ink.color: ink.outlines[0] for ink in shown.primitives if isinstance(ink, Area)}
        found = {each.kind: fills[STYLE.palette.marks[each.kind]] for each in marks}
        return found, [ink.segments[0] for ink in shown.primitives if isinstance(ink, Stroke)]

    def bounds(outline: np.ndarray) -> np.ndarray:
        return np.array([outline.min(axis=0), outline.max(axis=0)])

    place = view.pixels(marks[0].at)[0]
    alone, leaders = laid(marks[0])
    assert not leaders and bounds(alone[kind]).mean(axis=0) == pytest.approx(place, abs=1.0)
    both, leaders = laid(*marks)
    assert not overlaps(bounds(both[kind]), bounds(both["M"]))
    assert bounds(both["M"]).mean(axis=0) == pytest.approx([600, 400], abs=1e-6)
    start, end = leaders[-1]
    assert start == pytest.approx(place)
    assert end == pytest.approx(bounds(both[kind]).mean(axis=0), abs=1.0)
    beside = laid(Mark(kind, np.array([2.0, 0.0, 0.0])), marks[1])
    assert not beside[1]


def test_a_letter_stands_nearest_to_its_own_mark_or_on_a_leader() -> None:
    marks = tuple(
        Mark(kind, np.array([0.0, 0.0, height]), kind)
        for kind, height in (("F", -0.02), ("B", -0.12), ("M", 0.45), ("G", 0.12))
    )
    view = camera(np.array([0.0, -25.0, 0.0]), np.zeros(3), np.array([0.0, 0.0, 1.0]))
    upright = Attitude(np.array([0.0, 0.0, 1.0]), 0.0)
    laid = picture(Drawing(upright, marks=marks), view, STYLE, text_size)
    places = {mark.kind: view.pixels(mark.at)[0] for mark in marks}
    leaders = [ink.segments[0] for ink in laid.primitives if isinstance(ink, Stroke)]
    for label, box in zip(laid.labels, boxes(laid.labels), strict=True):
        middle = box.mean(axis=0)
        far = {kind: np.linalg.norm(at - middle) for kind, at in places.items()}
        own = places[label.text]
        led = any(
            np.linalg.norm(middle - end) < 14 and abs(cross(end - start, own - start)) < 1.0
            for start, end in leaders
        )
        assert led or far[label.text] <= min(far.values()) + 1


def test_ladders_stand_outside_and_name_the_draft(launch: FloatingPosition) -> None:
    view = side_view(launch)
    laid = picture(drawing(launch, Show(), METERS), view, STYLE, text_size)
    at = {label.text: label.at for label in laid.labels}
    aft, forward = drawing(launch, Show(), METERS).draft_scales
    level = view.pixels(aft.at(np.array([aft.draft])))[0]
    assert at[aft.text][0] + text_size(aft.text, 12)[0] < level[0]
    assert at[forward.text][0] > view.pixels(forward.at(np.array([forward.draft])))[0, 0]
    assert 0 < at[aft.text][1] - level[1] < 10, "stands on its line"
    assert {"0.0", "0.5"} <= at.keys()


def test_seen_from_above_only_the_present_drafts_remain(launch: FloatingPosition) -> None:
    middle = np.array([5.6, 0.0, 0.0])
    view = camera(middle + (0, 0, 30.0), middle, np.array([0.0, 1.0, 0.0]))
    texts = [
        label.text
        for label in picture(drawing(launch, Show(), METERS), view, STYLE, text_size).labels
    ]
    assert sum(text.startswith("Draft") for text in texts) == 2
    assert not any(text[0].isdigit() for text in texts)


@pytest.mark.parametrize(
    ("lengths", "numerals"),
    [
        (Lengths(), {"0.0", "0.5", "1.0"}),
        (Lengths("METRIC", "MILLIMETERS"), {"0", "500", "1000"}),
        (Lengths("IMPERIAL", "FEET"), {"0", "1", "2"}),
        (Lengths("IMPERIAL", "INCHES"), {"0", "10", "20", "40"}),
    ],
)
def test_draft_marks_count_in_the_users_unit(
    launch: FloatingPosition, lengths: Lengths, numerals: set[str]
) -> None:
    style = Style(ON_DARK, unit=lengths.unit, counted=lengths.counted)
    laid = picture(drawing(launch, Show(), lengths), side_view(launch), style, text_size)
    texts = {label.text for label in laid.labels if label.text.replace(".", "").isdigit()}
    assert texts == numerals


def test_long_measure_is_named_where_it_is_seen() -> None:
    high = Measure(np.zeros(3), np.array([0.0, 0.0, 100.0]), "GM 100.00 m")
    upright = Attitude(np.array([0.0, 0.0, 1.0]), 0.0)
    view = camera(np.array([0.0, -10.0, 0.0]), np.zeros(3), np.array([0.0, 0.0, 1.0]))
    (label,) = picture(Drawing(upright, measures=(high,)), view, STYLE, text_size).labels
    assert 400 < label.at[1] < 800


def test_nothing_behind_the_eye_is_drawn(launch: FloatingPosition) -> None:
    middle = np.array([5.6, 0.0, 0.5])
    view = camera(middle - (0, 20.0, 0), middle - (0, 40.0, 0), np.array([0.0, 0.0, 1.0]))
    laid = picture(drawing(launch, Show(), METERS), view, STYLE, text_size)
    assert not laid.labels
    assert not len(triangles(laid.primitives)[0])


def test_lines_stand_in_the_middle_of_the_free_part() -> None:
    bounds = Box(100.0, 20.0, 900.0, 700.0)
    rows = [("first", ON_DARK.ink), ("second line", ON_DARK.warning)]
    laid = lines(rows, bounds, STYLE, text_size)
    placed = boxes(laid.labels)
    for box in placed:
        assert box.mean(axis=0)[0] == pytest.approx(500)
        assert (box[0] > bounds[:2]).all()
    heights = {label.text: label.at[1] for label in laid.labels}
    assert heights["first"] > heights["second line"]
    assert lines([], bounds, STYLE, text_size) == Picture((), ())


# Ink and colours ------------------------------------------------------------------------------


def test_ink_covers_what_it_should() -> None:
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    for ink, covered in (
        (Area(square[None], (1, 0, 0, 0.5)), 100.0),
        (Stroke(np.array([[[0.0, 0.0], [30.0, 40.0]]]), 3.0, (1, 0, 0, 0.5)), 150.0),
    ):
        corners, colors = triangles([ink])
        assert corners.dtype == colors.dtype == np.float32
        assert corners.flags.c_contiguous and (corners[:, 2] == 0).all()
        assert colors.max(axis=0) == pytest.approx([1, 0, 0, 0.5])
        a, b, c = corners[:, :2].reshape(-1, 3, 2).transpose(1, 0, 2)
        areas = np.abs(cross(b - a, c - a)) / 2
        opacity = colors[:, 3].reshape(-1, 3).mean(axis=1) / 0.5
        assert areas @ opacity == pytest.approx(covered, rel=0.01)


def test_ink_of_nothing_is_nothing() -> None:
    corners, colors = triangles([])
    assert corners.shape == (0, 3) and colors.shape == (0, 4)
    corners, _ = triangles([Stroke(np.zeros((1, 2, 2)), 2.0, (1, 1, 1, 1))])
    assert not len(corners)


@pytest.mark.parametrize("kind", OUTLINES)
def test_glyphs_are_convex_and_grow(kind: str) -> None:
    outline = 7 * OUTLINES[kind]
    side = np.roll(outline, -1, axis=0) - outline
    turn = cross(side, np.roll(side, -1, axis=0))
    assert (turn > -1e-9).all(), "convex and counter-clockwise"
    larger = grown(outline, 2.0)
    distance = np.linalg.norm(larger[:, None] - outline, axis=2).min(axis=1)
    assert (distance > 1.9).all()


def luminance(color: tuple[float, ...]) -> float:
    """Relative luminance of WCAG 2.1."""
    linear = np.array(color[:3])
    linear = np.where(linear <= 0.04045, linear / 12.92, ((linear + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


@pytest.mark.parametrize("gray", [0.0, 0.1, 0.25, 0.36, 0.6, 0.8, 1.0])
@pytest.mark.parametrize("role", ["ink", "present", "warning"])
def test_texts_read_on_any_ground(gray: float, role: str) -> None:
    ground = (gray, gray, gray)
    tones = sorted([luminance(getattr(palette_for(ground), role)), luminance(ground)])
    contrast = (tones[1] + 0.05) / (tones[0] + 0.05)
    assert contrast > 3, "large text of WCAG 2.1, 1.4.3"


def test_palette_follows_the_ground() -> None:
    assert palette_for((0.1, 0.1, 0.1)) is ON_DARK
    assert palette_for((0.9, 0.9, 0.9)) is ON_LIGHT


def test_stale_is_dimmer() -> None:
    fresh, stale = palette_for((0.2, 0.2, 0.2)), palette_for((0.2, 0.2, 0.2), stale=True)
    for role in ("water", "waterline", "ink", "border", "present"):
        assert getattr(stale, role)[3] < 0.7 * getattr(fresh, role)[3]
    for kind, color in fresh.marks.items():
        assert np.ptp(stale.marks[kind][:3]) < np.ptp(color[:3])


def test_attitude_of_a_ship_afloat_is_its_own(launch: FloatingPosition) -> None:
    assert attitude_of(launch) is launch.equilibrium.attitude
    assert launch.equilibrium.attitude.heights(water_point(launch)) == pytest.approx(0, abs=1e-9)


# A ship held at a heel --------------------------------------------------------------------------

HATCHES = (
    Opening("hatch", np.array([5.0, -1.9, 3.1])),
    Opening("vent", np.array([5.0, -1.9, 3.2]), weathertight=True),
    Opening("skylight", np.array([5.0, 0.0, 3.4])),
)


def held(ship: FloatingPosition, degrees: float) -> tuple[FloatingPosition, float]:
    """The ship held at a heel, and its arm."""
    case = replace(ship.case, openings=HATCHES)
    at = heeling_of(case).at(np.radians(degrees))
    weight = replace(ship.weight, center=at.equilibrium.gravity)
    afloat = replace(
        ship, case=case, weight=weight, equilibrium=at.equilibrium, known_findings=ship.findings
    )
    return afloat, at.arm


@pytest.mark.parametrize("degrees", [20.0, -20.0, 75.0, 120.0])
def test_arm_goes_level_from_G_to_the_vertical_through_B(
    box: FloatingPosition, degrees: float
) -> None:
    ship, arm = held(box, degrees)
    up, gravity = ship.equilibrium.attitude.up, ship.weight.center
    buoyancy = ship.hydrostatics.immersion.buoyancy
    upright, level = drawing(ship, Show(), METERS, arm).measures
    assert level.start == pytest.approx(gravity) and upright.start == pytest.approx(buoyancy)
    assert level.end == pytest.approx(upright.end)
    assert (level.end - level.start) @ up == pytest.approx(0.0, abs=1e-9)
    assert np.cross(upright.end - upright.start, up) == pytest.approx(np.zeros(3), abs=1e-6)
    assert np.linalg.norm(level.end - level.start) == pytest.approx(abs(arm))
    coming_back = arm * np.sign(degrees)
    assert level.text == f"GZ {METERS(coming_back)}" and upright.text == ""


def test_small_heel_has_the_arm_of_GM(box: FloatingPosition) -> None:
    """GZ = GM sin(heel) for small heels (common practice)."""
    ship, arm = held(box, 2.0)
    assert arm == pytest.approx(box.GM * np.sin(np.radians(2.0)), rel=2e-3)
    assert drawing(ship, Show(), METERS, arm).draft_scales == ()
    assert drawing(ship, Show(center_of_buoyancy=False), METERS, arm).measures == ()
    assert drawing(ship, Show(labels=False), METERS, arm).measures[1].text == ""


def test_openings_are_marked_and_those_that_flood_named(box: FloatingPosition) -> None:
    def seen(ship: FloatingPosition, show: Show) -> list[tuple[str, str]]:
        kinds = {"opening", "flooding"}
        return [(m.kind, m.letter) for m in drawing(ship, show, METERS).marks if m.kind in kinds]

    dry, under = held(box, 10.0)[0], held(box, 75.0)[0]
    assert seen(dry, Show()) == [("opening", "")] * 3
    assert seen(under, Show()) == [("flooding", "hatch"), ("opening", ""), ("opening", "")]
    assert seen(under, Show(labels=False))[0] == ("flooding", "")
    assert seen(under, Show(openings=False)) == []


@pytest.mark.parametrize(
    ("degrees", "words", "tone"),
    [
        (20.0, "heel 20.0° to starboard, held · GZ {gz} · draft 1.00 m · on an even keel", "plain"),
        (-20.0, "heel 20.0° to port, held · GZ {gz} · draft 1.00 m · on an even keel", "plain"),
        (75.0, "heel 75.0° to starboard, held · GZ {gz} · hatch under water", "warning"),
    ],
)
def test_readout_of_a_ship_held_at_a_heel(
    box: FloatingPosition, degrees: float, words: str, tone: str
) -> None:
    ship, arm = held(box, degrees)
    expected = words.format(gz=METERS(arm * np.sign(degrees)))
    assert readout(ship, "box", False, METERS, arm) == (f"box: {expected}", tone)
    assert readout(ship, "box", True, METERS, arm)[0].endswith(" (changed since computed)")


@pytest.mark.parametrize("kind", ["G", "M"])
def test_no_center_has_the_sign_of_a_water_level(kind: str) -> None:
    """A triangle on its tip marks a water level on drawings (common practice)."""
    outline = OUTLINES[kind]
    lowest = outline[outline[:, 1] < outline[:, 1].min() + 1e-9]
    assert len(outline) > 3
    assert kind == "M" or len(lowest) == 2, "G stands on a base"


def test_marks_differ_in_grey() -> None:
    greys = sorted(luminance(MARKS[kind]) for kind in ("G", "B", "M", "F"))
    assert min(b - a for a, b in zip(greys, greys[1:], strict=False)) > 0.06
