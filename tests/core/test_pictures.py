"""Documentation pictures without Blender: pixels, files, cameras, water, and what they say."""

import struct
import zlib
from dataclasses import replace

import numpy as np
import pytest

from addon.blender.pictures.camera import (
    FROM_AHEAD,
    FROM_PORT_BOW,
    FROM_STARBOARD_BOW,
    PROFILE,
    fitted,
)
from addon.blender.pictures.picture_overlay import list_angle, ship_on
from addon.blender.pictures.titles import (
    EDGE,
    HEIGHT,
    WIDTH,
    Wording,
    particulars,
    title_block,
    warnings,
)
from addon.blender.pictures.water_block import afloat, moved, water_block
from addon.blender.viewport.palette import palette_for
from addon.blender.viewport.readout import readout
from addon.blender.viewport.shapes import Show
from addon.blender.viewport.style import Style
from addon.blender.viewport.vessel_shapes import drawing
from addon.charts.gz_chart import gz_chart
from addon.charts.gz_figures import gz_figures
from addon.core.criteria.disclaimer import CAUTION
from addon.core.geometry.mesh import triangulate
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.messages.findings import Finding
from addon.core.messages.sentence import Sentence
from addon.core.model.hull import ReferencePlanes, build_hull
from addon.core.model.weights import Weight
from addon.core.stability.both_sides import stability
from addon.drawing.canvas import Canvas, coverage, filled, widened
from addon.drawing.picture import together
from addon.drawing.png import png
from addon.drawing.tessellation import Area, Stroke
from addon.examples.loader import listing_launch, load_example
from addon.parts.build_case import build_case
from addon.units.lengths import Lengths

WHITE, BLACK = (1.0, 1.0, 1.0, 1.0), (0.0, 0.0, 0.0, 1.0)
ASPECTS = (PROFILE, FROM_AHEAD, FROM_STARBOARD_BOW, FROM_PORT_BOW)
PHOTOGRAPH = (1600, 778)


def text_size(text: str, size: float) -> tuple[float, float]:
    """A font whose every letter is as wide as the mean one."""
    return 0.46 * size * len(text), 0.72 * size


WORDING = Wording(Lengths(fine=True), lambda kilograms: f"{kilograms / 1000:.2f} t", text_size)
PLAIN = Style(palette_for((0.9, 0.9, 0.9)))


def launch(winch_to_port: bool = False, mass_factor: float = 1.0) -> FloatingPosition:
    ship = listing_launch() if winch_to_port else load_example("survey-launch")
    mesh = triangulate("hull", ship.hull.vertices, ship.hull.polygons)
    hull = build_hull(mesh, ReferencePlanes(*ship.perpendiculars, 0.0, 0.0))
    weights = tuple(Weight(w.name, mass_factor * w.mass, w.center, w.group) for w in ship.weights)
    case = replace(build_case(ship.case_entry, hull), title="Survey launch", weights=weights)
    return find_floating_position(case, seek_others=False)


UPRIGHT, LISTING, SUNK = launch(), launch(winch_to_port=True), launch(mass_factor=5.0)


def box_of(ship: FloatingPosition) -> np.ndarray:
    return moved(afloat(drawing(ship, Show(), str).attitude), ship.case.hull.vertices)


# Pixels ---------------------------------------------------------------------------------------


def test_a_triangle_covers_its_area():
    corners = np.array([[[3.0, 2.0], [57.0, 11.0], [20.0, 44.0]]])
    mask = coverage(corners, np.ones((1, 3)), 60, 50)
    a, b = corners[0, 1] - corners[0, 0], corners[0, 2] - corners[0, 0]
    assert mask.sum() == pytest.approx((a[0] * b[1] - a[1] * b[0]) / 2, rel=0.01)


def test_coverage_does_not_mind_the_sense_of_a_triangle_and_fades_between_corners():
    corners = np.array([[[0.0, 0.0], [40.0, 0.0], [0.0, 40.0]]])
    alphas = np.array([[1.0, 0.0, 0.0]])
    mask = coverage(corners, alphas, 40, 40)
    turned = coverage(corners[:, [0, 2, 1]], alphas[:, [0, 2, 1]], 40, 40)
    assert np.allclose(mask, turned, atol=1e-6)
    assert mask[0, 20] == pytest.approx(1 - 21 / 40, abs=1e-6)


def test_segments_of_a_faint_stroke_do_not_darken_where_they_meet():
    path = np.array([[5.0, 20.0], [25.0, 20.0], [45.0, 20.0]])
    canvas = Canvas.blank(50, 40, WHITE)
    canvas.paint([Stroke(np.stack([path[:-1], path[1:]], axis=1), 6.0, (0.0, 0.0, 0.0, 0.5))])
    assert canvas.pixels[19, 7:43] == pytest.approx(0.5, abs=1e-6)
    assert canvas.pixels[30].min() == 1.0


def loop(*corners: tuple[float, float]) -> np.ndarray:
    path = np.array(corners, float)
    return np.stack([path, np.roll(path, -1, axis=0)], axis=1)


def square(low: float, high: float) -> np.ndarray:
    return loop((low, low), (high, low), (high, high), (low, high))


def test_an_outline_turned_back_is_a_hole_and_one_laid_over_is_none():
    outer, inner = square(3, 17), square(6, 12)
    assert filled(np.concatenate([outer, inner[:, ::-1]]), 20, 20).sum() == 14**2 - 6**2
    assert filled(np.concatenate([outer, inner]), 20, 20).sum() == 14**2
    assert filled(np.concatenate([square(1, 9), square(5, 13)]), 20, 20).sum() == 2 * 64 - 16


def test_a_filled_outline_has_its_area():
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    disc = loop(*(200 + 150 * np.stack([np.cos(turn), np.sin(turn)], axis=1)))
    assert filled(disc, 400, 400).sum() == pytest.approx(np.pi * 150**2, rel=1e-3)
    assert np.array_equal(filled(disc, 400, 400), filled(disc[:, ::-1], 400, 400))


def test_what_reaches_beyond_the_canvas_is_left_out():
    canvas = Canvas.blank(20, 20, WHITE)
    canvas.write(square(-90, -70), BLACK, BLACK, 2.0)
    canvas.write(square(70, 90), BLACK, BLACK, 2.0)
    canvas.paint([Stroke(np.array([[[-50.0, -9.0], [90.0, -9.0]]]), 4.0, BLACK)])
    assert canvas.pixels.min() == 1.0
    canvas.write(square(-10, 10), BLACK, WHITE, 2.0)
    assert canvas.pixels[:10, :10].max() == 0.0 and canvas.pixels[12:].min() == 1.0


def test_letters_have_a_halo_and_soft_edges():
    canvas = Canvas.blank(40, 40, (0.5, 0.5, 0.5, 1.0))
    canvas.write(square(10.5, 30), BLACK, WHITE, 2.0)
    row = canvas.pixels[20, :, 0]
    assert row[20] == 0.0 and row[9] == 1.0 and row[5] == 0.5
    assert row[10] == pytest.approx(0.5, abs=0.01)


def test_a_mask_is_widened_all_round():
    mask = np.zeros((21, 21), np.float32)
    mask[10, 10] = 1.0
    spread = widened(mask, 3.0)
    assert spread[10, 13] == spread[7, 10] == 1.0 and spread[10, 14] == 0.0
    assert np.allclose(spread, spread.T) and np.allclose(spread, spread[::-1])


# Files ----------------------------------------------------------------------------------------


def decoded(data: bytes) -> np.ndarray:
    """Rows of an eight-bit RGB file, from the top, by the words of ISO/IEC 15948, 9.2 and 9.4."""
    assert data[:8] == bytes([137, 80, 78, 71, 13, 10, 26, 10])
    chunks, at = {}, 8
    while at < len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        content = data[at + 8 : at + 8 + length]
        (check,) = struct.unpack(">I", data[at + 8 + length : at + 12 + length])
        assert check == zlib.crc32(kind + content)
        chunks[kind] = content
        at += 12 + length
    assert list(chunks) == [b"IHDR", b"IDAT", b"IEND"]
    width, height, *kind = struct.unpack(">IIBBBBB", chunks[b"IHDR"])
    assert kind == [8, 2, 0, 0, 0]
    lines = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(height, -1)
    rows = np.zeros((height + 1, width + 1, 3), int)
    for y, line in enumerate(lines, 1):
        for x, pixel in enumerate(line[1:].reshape(width, 3), 1):
            a, b, c = rows[y, x - 1], rows[y - 1, x], rows[y - 1, x - 1]
            p = a + b - c
            pa, pb, pc = abs(p - a), abs(p - b), abs(p - c)
            paeth = np.where((pa <= pb) & (pa <= pc), a, np.where(pb <= pc, b, c))
            rows[y, x] = (pixel + (0 * a, a, b, (a + b) // 2, paeth)[line[0]]) % 256
    return rows[1:, 1:]


def test_a_file_reads_back_as_painted():
    rng = np.random.default_rng(3)
    smooth = np.linspace(0, 1, 24)[:, None] * np.linspace(0.2, 1, 31)
    pixels = np.stack([smooth, smooth[::-1], rng.random(smooth.shape)], axis=2)
    rows = decoded(png(pixels.astype(np.float32)))
    assert np.array_equal(rows, np.round(pixels[::-1] * 255))


def test_colors_out_of_range_are_held_at_its_ends():
    assert decoded(png(np.array([[[-1.0, 0.5, 7.0]]], np.float32))).tolist() == [[[0, 128, 255]]]


# The camera -----------------------------------------------------------------------------------


@pytest.mark.parametrize("aspect", ASPECTS, ids=lambda aspect: aspect.title)
@pytest.mark.parametrize("scale", [0.01, 1.0, 30.0])
def test_the_ship_fills_its_part_of_the_picture(aspect, scale):
    points = scale * box_of(UPRIGHT)
    low, high = np.array([200.0, 90.0]), np.array([1400.0, 700.0])
    seen = fitted(aspect, points, PHOTOGRAPH, low, high).view(*PHOTOGRAPH).pixels(points)
    first, last = seen.min(axis=0), seen.max(axis=0)
    assert (first + last) / 2 == pytest.approx((low + high) / 2, abs=0.01)
    assert ((last - first) / (high - low)).max() == pytest.approx(1.0, abs=1e-4)


def test_profile_has_the_bow_to_the_right_and_from_ahead_port_is_to_the_right():
    for aspect, point in ((PROFILE, (1.0, 0.0, 0.0)), (FROM_AHEAD, (0.0, 1.0, 0.0))):
        points = box_of(UPRIGHT)
        view = fitted(aspect, points, PHOTOGRAPH, np.zeros(2), np.array(PHOTOGRAPH)).view(
            *PHOTOGRAPH
        )
        origin, there, above = view.pixels(np.array([(0, 0, 0), point, (0, 0, 1.0)]))
        assert there[0] > origin[0] and there[1] == pytest.approx(origin[1])
        assert above[1] > origin[1] and above[0] == pytest.approx(origin[0])


# The water ------------------------------------------------------------------------------------


@pytest.mark.parametrize("ship", [UPRIGHT, LISTING], ids=["upright", "listing"])
@pytest.mark.parametrize("aspect", [PROFILE, FROM_PORT_BOW], ids=["ocean", "block"])
def test_the_water_is_cut_out_at_the_hull(ship, aspect):
    shapes = drawing(ship, Show(), str)
    water = water_block(shapes.attitude, shapes.waterline, box_of(ship), aspect)
    a, b = (water.surface[:, k] - water.surface[:, 0] for k in (1, 2))
    area = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() / 2
    low, high = water.corners.min(axis=0), water.corners.max(axis=0)
    within = np.prod(high[:2] - low[:2]) - ship.hydrostatics.immersion.waterplane_area
    assert area == pytest.approx(within, rel=1e-5)
    assert not water.surface[..., 2].any() and high[2] == 0
    assert low[2] < box_of(ship)[:, 2].min()


def test_walls_and_edges_follow_the_border():
    shapes = drawing(UPRIGHT, Show(), str)
    water = water_block(shapes.attitude, shapes.waterline, box_of(UPRIGHT), FROM_PORT_BOW)
    assert np.allclose(water.edges[0, 0], water.border[0, 0])
    assert np.allclose(water.edges[-1, 1], water.border[-1, 1])
    assert np.allclose(water.edges[1:, 0], water.edges[:-1, 1])
    middle = water.corners.mean(axis=0)
    for boundary in water.boundaries:
        normal = np.cross(boundary[1] - boundary[0], boundary[3] - boundary[0])
        assert (boundary.mean(axis=0) - middle) @ normal != 0
        assert abs((boundary[2] - boundary[0]) @ normal) < 1e-9


# What it says ---------------------------------------------------------------------------------


def test_the_block_says_how_it_floats():
    run_command = dict(particulars(UPRIGHT, WORDING))
    figures = UPRIGHT.hydrostatics
    assert run_command["Displacement"] == "13.22 t"
    assert run_command["Draft aft"] == f"{figures.draft_aft:.3f} m"
    assert run_command["Trim by the stern"] == f"{figures.trim:.3f} m"
    assert run_command["List"] == "none"
    assert run_command["GM"] == f"{UPRIGHT.GM_fluid:.3f} m"


@pytest.mark.slow
@pytest.mark.wording
def test_readout_mark_chart_and_block_agree_on_GM():
    """Of an upright vessel with slack tanks: the GM corrected for their free surfaces."""
    assert UPRIGHT.GM - UPRIGHT.GM_fluid > 0.01
    chart = gz_chart(gz_figures("launch", stability(UPRIGHT.case, floating=UPRIGHT), Lengths()))
    expected = f"GM {UPRIGHT.GM_fluid:.2f} m"
    assert readout(UPRIGHT, "launch", False, Lengths())[0].endswith(f" · {expected}")
    assert [span.text for span in drawing(UPRIGHT, Show(), Lengths()).measures] == [expected]
    assert chart.title[1] == expected
    wording = replace(WORDING, length=Lengths())
    assert f"GM {dict(particulars(UPRIGHT, wording))['GM']}" == expected


@pytest.mark.slow
@pytest.mark.wording
def test_the_slope_of_the_chart_is_GM_upright_where_the_vessel_lists():
    chart = gz_chart(gz_figures("launch", stability(LISTING.case, floating=LISTING), Lengths()))
    assert chart.title[1].startswith("GM upright ")


def test_the_block_tells_the_side_of_a_list():
    assert dict(particulars(LISTING, WORDING))["List"].endswith("° to port")


def test_of_a_ship_that_is_held_the_block_tells_gz_to_the_side_that_rights_it():
    run_command = dict(particulars(LISTING, WORDING, arm=-0.25))
    assert run_command["Heel, held"].endswith("° to port") and run_command["GZ"] == "0.250 m"
    assert "GM" not in run_command and "List" not in run_command


def test_of_a_ship_that_sinks_nothing_is_said_but_that():
    assert dict(particulars(SUNK, WORDING)) == {"Displacement": "61.22 t", "State": "sinks"}


@pytest.mark.parametrize("ship", [UPRIGHT, LISTING, SUNK], ids=["upright", "listing", "sunk"])
@pytest.mark.parametrize("title", ["Survey launch", "A launch of a very long name " * 9])
def test_nothing_in_the_block_overlaps(ship, title):
    ship = replace(ship, case=replace(ship.case, title=title))
    kinds = ("G", "B", "M", "F", "opening", "flooding")
    block = title_block(ship, PROFILE.title, WORDING, PLAIN, kinds=kinds)
    boxes = [(words.at, words.at + text_size(words.text, words.size)) for words in block.labels]
    for n, (low, high) in enumerate(boxes):
        assert low[0] >= EDGE - 1 and high[0] <= WIDTH - EDGE + 1
        assert low[1] > 0 and high[1] < HEIGHT
        for other_low, other_high in boxes[:n]:
            assert (high <= other_low).any() or (other_high <= low).any(), block.labels[n].text
    reported = [label.text for label in block.labels]
    assert CAUTION in reported and {"M metacenter", "opening", "where water enters"} <= set(
        reported
    )


def test_the_key_has_a_sign_and_words_for_what_is_in_the_picture_alone():
    def signs(*kinds):
        block = title_block(UPRIGHT, PROFILE.title, WORDING, PLAIN, kinds=kinds)
        fills = {ink.color: len(ink.outlines) for ink in block.primitives if isinstance(ink, Area)}
        drawn = {kind for kind, color in PLAIN.palette.marks.items() if color in fills}
        keys = {"G center of gravity": "G", "M metacenter": "M", "opening": "opening"}
        return drawn, {keys[label.text] for label in block.labels if label.text in keys}

    assert signs("G", "M", "opening") == ({"G", "M", "opening"}, {"G", "M", "opening"})
    assert signs("M") == ({"M"}, {"M"})
    assert signs() == (set(), set())


@pytest.mark.wording
def test_the_gravest_warnings_stand_in_the_corner():
    rows = warnings(LISTING, 700.0, Lengths(), PLAIN)
    assert " ".join(row.text for row in rows).startswith("Lists 4.4 degrees to port")
    assert all(row.at[1] < 700 for row in rows)
    feet = " ".join(
        row.text for row in warnings(LISTING, 700.0, Lengths("IMPERIAL", "FEET"), PLAIN)
    )
    assert feet.endswith('weight is 3.0" off center to port')
    note = Finding("note", "x", Sentence("not worth a picture"))
    assert not warnings(replace(UPRIGHT, known_findings=(note,)), 700.0, Lengths(), PLAIN)


def test_end_on_only_the_near_draft_marks_are_shown_and_to_the_left():
    shapes = drawing(LISTING, Show(), Lengths())
    camera = fitted(FROM_AHEAD, box_of(LISTING), PHOTOGRAPH, np.zeros(2), np.array(PHOTOGRAPH))
    view = camera.view(*PHOTOGRAPH)
    shown = ship_on(view, shapes, FROM_AHEAD, PLAIN, text_size)
    drafts = [label for label in shown.labels if label.text.startswith("Draft")]
    assert [label.text[:13] for label in drafts] == ["Draft forward"]
    keel = view.pixels(moved(afloat(shapes.attitude), np.array([11.25, 0.0, 0.0])))[0]
    assert drafts[0].at[0] + text_size(drafts[0].text, drafts[0].size)[0] < keel[0]


def test_from_the_side_both_draft_marks_are_shown():
    shapes = drawing(UPRIGHT, Show(), Lengths())
    view = fitted(PROFILE, box_of(UPRIGHT), PHOTOGRAPH, np.zeros(2), np.array(PHOTOGRAPH)).view(
        *PHOTOGRAPH
    )
    texts = [label.text for label in ship_on(view, shapes, PROFILE, PLAIN, text_size).labels]
    assert {"Draft aft 0.83 m", "Draft forward 0.80 m"} <= set(texts)


def test_the_angle_of_the_list_is_drawn_true():
    attitude = LISTING.equilibrium.attitude
    camera = fitted(FROM_AHEAD, box_of(LISTING), PHOTOGRAPH, np.zeros(2), np.array(PHOTOGRAPH))
    drawn = list_angle(camera.view(*PHOTOGRAPH), attitude, 5.0, PLAIN)
    centerline, upright = drawn.primitives[0].segments.reshape(2, -1, 2, 2)
    across, up = centerline[-1, 1] - centerline[0, 0]
    assert np.degrees(np.arctan2(across, up)) == pytest.approx(
        -np.degrees(attitude.heel_rad), abs=0.01
    )
    assert upright[-1, 1, 0] == pytest.approx(upright[0, 0, 0])
    assert [label.text for label in drawn.labels] == ["List 4.4° to port"]
    held = list_angle(camera.view(*PHOTOGRAPH), attitude, 5.0, PLAIN, held=True)
    assert [label.text for label in held.labels] == ["Heel 4.4° to port, held"]
    assert together(drawn, drawn).primitives == drawn.primitives * 2


def test_a_ship_without_a_list_has_no_angle():
    camera = fitted(FROM_AHEAD, box_of(UPRIGHT), PHOTOGRAPH, np.zeros(2), np.array(PHOTOGRAPH))
    assert not list_angle(
        camera.view(*PHOTOGRAPH), UPRIGHT.equilibrium.attitude, 5.0, PLAIN
    ).primitives
