"""What is drawn within a ship: colors of compartments, bodies of water, the order in which bodies
hide one another, ways of the water. Areas and volumes are closed forms of boxes."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from addon.blender.viewport.compartment_bodies import (
    COLORS,
    HATCHES,
    INSET,
    THINNEST,
    CompartmentBody,
    compartment_bodies,
    hatches,
    inset,
    sharp_edges,
    tints,
    water_body,
)
from addon.blender.viewport.compartment_shapes import (
    CompartmentState,
    flooded_to,
    inner_drawing,
    leak_path,
    shown_bodies,
)
from addon.blender.viewport.drawing_layout import picture
from addon.blender.viewport.painters_order import back_to_front
from addon.blender.viewport.palette import COMPARTMENTS, ON_DARK
from addon.blender.viewport.shapes import Mark
from addon.blender.viewport.style import Style
from addon.blender.viewport.vessel_shapes import deck_edge_under
from addon.blender.viewport.view import View
from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.buoyancy.moment_tree import build_tree
from addon.core.damage.flooding import flood
from addon.core.geometry.triangles import area_vectors, lengths
from addon.core.model.compartment import Compartment, CompartmentPlan
from addon.core.model.tanks import Tank
from addon.drawing.pixel_boxes import Box
from tests import bodies, divided_barge

Array = np.ndarray
UPRIGHT = np.array([0.0, 0.0, 1.0])
HEELED = up_from_angles(np.radians(20.0), np.radians(-4.0))


def volume(faces: Array) -> float:
    """Volume within closed triangles (n, 3, 3), by the divergence theorem."""
    a, b, c = faces.astype(float).transpose(1, 0, 2)
    return float(np.einsum("nk,nk->", a, np.cross(b, c)) / 6)


def area(faces: Array) -> float:
    return float(lengths(area_vectors(faces.astype(float).transpose(2, 1, 0))).sum())


@pytest.fixture(scope="module")
def hold():
    return divided_barge.compartment("hold", (8, -4, 0.8), (20, 4, 4))


# Colours --------------------------------------------------------------------------------------


def test_neighbors_differ_in_color() -> None:
    plan = divided_barge.plan()
    chosen = dict(
        zip((compartment.name for compartment in plan.compartments), tints(plan), strict=True)
    )
    assert all(chosen[a] != chosen[b] for a, b in plan.neighbors)


def test_the_least_used_of_the_free_colors_is_taken() -> None:
    compartments = tuple(
        divided_barge.compartment(f"{n}", (n, 0, 0), (n + 1, 1, 1)) for n in range(2 * COLORS)
    )
    row = tuple((f"{n}", f"{n + 1}") for n in range(2 * COLORS - 1))
    assert sorted(tints(CompartmentPlan(compartments, row))) == sorted(2 * list(range(COLORS)))


def test_more_neighbors_than_colors_is_no_fault() -> None:
    count = COLORS + 2
    compartments = tuple(
        divided_barge.compartment(f"{n}", (n, 0, 0), (n + 1, 1, 1)) for n in range(count)
    )
    everyone = tuple((a.name, b.name) for a, b in combinations(compartments, 2))
    assert set(tints(CompartmentPlan(compartments, everyone))) == set(range(COLORS))


def test_compartment_colors_are_apart_without_hue_and_no_warning() -> None:
    """Colors as seen without one kind of cone (Machado, Oliveira and Fernandes 2009, A
    physiologically-based model for simulation of color vision deficiency, IEEE Trans. Vis. Comput.
    Graph. 15:1291, from memory) differ by 15 in CIE 1976 L*a*b* at least."""
    kinds = (
        np.eye(3),
        [[0.152, 1.053, -0.205], [0.115, 0.786, 0.099], [-0.004, -0.048, 1.052]],
        [[0.367, 0.861, -0.228], [0.280, 0.673, 0.047], [-0.012, 0.043, 0.969]],
        [[1.256, -0.077, -0.179], [-0.078, 0.931, 0.148], [0.005, 0.691, 0.304]],
    )
    screen = np.array([color[:3] for color in COMPARTMENTS])
    light = np.where(screen <= 0.04045, screen / 12.92, ((screen + 0.055) / 1.055) ** 2.4)
    to_white = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    ) / [[0.9505], [1.0], [1.089]]
    for kind in kinds:
        part = np.cbrt(np.clip(light @ np.array(kind).T, 0, 1) @ to_white.T)
        lab = np.stack(
            [
                116 * part[:, 1] - 16,
                500 * (part[:, 0] - part[:, 1]),
                200 * (part[:, 1] - part[:, 2]),
            ],
            axis=1,
        )
        for a, b in combinations(lab, 2):
            assert np.linalg.norm(a - b) > 15
    assert ON_DARK.tint("flood") not in COMPARTMENTS and ON_DARK.tint(COLORS) == COMPARTMENTS[0]


# Bodies ---------------------------------------------------------------------------------------


def test_compartments_stand_off_their_walls_by_the_inset() -> None:
    plan = divided_barge.plan()
    most = INSET * np.linalg.norm(
        [divided_barge.LENGTH, divided_barge.BREADTH, divided_barge.DEPTH]
    )
    for compartment, body in zip(plan.compartments, compartment_bodies(plan), strict=True):
        (a, b, c), (low, high) = compartment.body.high - compartment.body.low, body.box
        width = a * b * c / (a * b + b * c + c * a)
        step = min(most, THINNEST * width) / np.sqrt(3)
        assert low == pytest.approx(compartment.body.low + step, abs=1e-5)
        assert high == pytest.approx(compartment.body.high - step, abs=1e-5)
        assert len(body.outline) == 12, "the edges of a box, no diagonals"
        assert not len(body.hatching)


def test_inset_of_a_cube_is_along_its_diagonals() -> None:
    mesh = bodies.mesh(bodies.box(2, 2, 2))
    moved = inset(mesh.vertices, mesh.triangles, 0.3) - mesh.vertices
    assert np.abs(moved) == pytest.approx(np.full((8, 3), 0.3 / np.sqrt(3)))


def test_edges_of_a_smooth_surface_are_not_sharp() -> None:
    ball = bodies.mesh(bodies.geodesic_sphere(divisions=6))
    assert not len(sharp_edges(ball.vertices, ball.triangles))


def test_only_leaking_compartments_are_hatched_and_on_their_walls() -> None:
    plan = divided_barge.plan(leaks=True)
    for compartment, body in zip(plan.compartments, compartment_bodies(plan), strict=True):
        assert bool(len(body.hatching)) != compartment.watertight
        if len(body.hatching):
            off = np.minimum(
                body.hatching - compartment.body.low, compartment.body.high - body.hatching
            )
            assert np.abs(off.min(axis=2)).max() < 1e-9


def test_a_small_compartment_has_some_strokes_too(hold) -> None:
    assert len(hatches(hold.body, 1e3)) > 3
    assert len(hatches(hold.body, divided_barge.BREADTH / HATCHES)) > len(hatches(hold.body, 1e3))


@pytest.mark.parametrize("up", [UPRIGHT, HEELED], ids=["upright", "heeled"])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_water_in_a_compartment_is_a_closed_body_of_its_volume(
    hold, up: Array, share: float
) -> None:
    low, high = hold.body.span(up)
    attitude = Attitude(up, low + share * (high - low))
    water = water_body("hold", "flood", hold.body, attitude)
    assert volume(water.faces) == pytest.approx(hold.body.below(attitude).volume, rel=1e-4)
    total = area_vectors(water.faces.astype(float).transpose(2, 1, 0)).sum(axis=1)
    assert np.abs(total).max() < 1e-3 * area(water.faces), "closed"
    assert np.abs(attitude.heights(water.outline)).max() < 1e-9


def test_a_full_compartment_and_a_dry_one(hold) -> None:
    full = water_body("hold", "flood", hold.body, Attitude(UPRIGHT, 9.0))
    assert volume(full.faces) == pytest.approx(12 * 8 * 3.2, rel=1e-5)
    assert not len(full.outline)
    assert water_body("hold", "flood", hold.body, Attitude(UPRIGHT, 0.5)) is None


def test_whole_ships_show_compartments_and_holed_ones_the_water_in_them() -> None:
    ship, plan = divided_barge.barge(), divided_barge.plan()
    compartments = compartment_bodies(plan)
    whole = shown_bodies(CompartmentState(plan, ship), compartments)
    assert whole == compartments
    breached = shown_bodies(
        CompartmentState(plan, ship, (("hold", 1.5), ("forepeak", 0.7))), compartments
    )
    assert [body.name for body in breached] == [
        *(compartment.name for compartment in compartments),
        "hold",
    ]
    assert all(not len(body.faces) for body in breached[:-1]) and breached[-1].tint == "flood"
    dry, wet = compartments[1].box, breached[-1].box
    assert wet == pytest.approx(np.array([dry[0], [*dry[1, :2], 1.5]]), abs=1e-5), (
        "off the boundaries"
    )


def test_a_holed_ship_that_is_still_dry_shows_outlines_alone() -> None:
    ship, plan = divided_barge.barge(), divided_barge.plan(leaks=True)
    within = CompartmentState(plan, ship, ())
    shown = shown_bodies(within, compartment_bodies(plan))
    assert len(shown) == 6 and not any(len(body.faces) for body in shown)
    shapes = inner_drawing(within)
    assert not (shapes.tags or shapes.paths or shapes.marks)


def test_a_round_compartment_has_no_outline_but_water() -> None:
    ball = bodies.mesh(bodies.geodesic_sphere(divisions=6), "ball")
    compartment = Compartment(
        "ball", build_tree(ball.vertices, ball.triangles), ball.vertices, ball.triangles
    )
    plan = CompartmentPlan((compartment,))
    compartments = compartment_bodies(plan)
    assert shown_bodies(CompartmentState(plan, levels=()), compartments) == ()
    (water,) = shown_bodies(CompartmentState(plan, levels=(("ball", 0.0),)), compartments)
    assert volume(water.faces) == pytest.approx(compartment.volume / 2, rel=0.05)


def test_a_flat_compartment_is_not_turned_inside_out() -> None:
    flat = divided_barge.compartment("flat", (0, -4, 0), (30, 4, 0.05))
    (body,) = compartment_bodies(CompartmentPlan((flat,)))
    assert 0.7 * flat.volume < volume(body.faces) < flat.volume


def test_liquids_stand_level_in_tanks_and_only_when_wanted() -> None:
    ship, plan = divided_barge.barge(center=(15.0, 0.4, 1.5)), divided_barge.plan()
    body = divided_barge.compartment("fuel", (1, -3, 0.9), (5, 3, 2.9)).body
    tanks = Tank("fuel", body, 850.0, 0.5), Tank("water", body, 1000.0)
    ship = replace(ship, case=replace(ship.case, tanks=tanks))
    (fuel,) = shown_bodies(CompartmentState(plan, ship), ())
    assert volume(fuel.faces) == pytest.approx(0.5 * 48, rel=1e-4)
    heights = ship.equilibrium.attitude.heights(fuel.outline)
    assert np.ptp(heights) == pytest.approx(0, abs=1e-9) and abs(heights[0, 0]) > 0.01
    assert shown_bodies(CompartmentState(plan, ship, liquids=False), ()) == ()
    assert shown_bodies(CompartmentState(plan, ship, (("fuel", 9.0),)), ()) == (), (
        "a tank that floods"
    )
    assert shown_bodies(CompartmentState(plan), ()) == ()


def test_the_same_is_known_to_be_the_same() -> None:
    ship, plan = divided_barge.barge(), divided_barge.plan()
    shown = CompartmentState(plan, ship, (("hold", 1.0),))
    assert shown.is_like(CompartmentState(plan, ship, (("hold", 1.0),)))
    for other in (
        replace(shown, levels=(("hold", 1.1),)),
        replace(shown, chosen="hold"),
        replace(shown, names=False),
        replace(shown, plan=divided_barge.plan()),
        replace(shown, floating=divided_barge.barge()),
    ):
        assert not shown.is_like(other)


# What hides what ------------------------------------------------------------------------------


def boxes(*corners: tuple) -> Array:
    return np.array(corners, float)


def test_boxes_in_a_row_are_drawn_from_the_far_end() -> None:
    row = boxes(*(((n, 0, 0), (n + 1, 1, 1)) for n in range(5)))
    assert back_to_front(row, np.array([20.0, 3.0, 3.0, 1.0])) == [0, 1, 2, 3, 4]
    assert back_to_front(row, np.array([-20.0, 3.0, 3.0, 1.0])) == [4, 3, 2, 1, 0]
    assert back_to_front(row, np.array([1.0, 0.2, 0.2, 0.0])) == [0, 1, 2, 3, 4]
    within = back_to_front(row, np.array([2.5, 0.5, 0.5, 1.0]))
    assert within[-1] == 2 and within.index(0) < within.index(1)


def test_a_long_low_box_is_drawn_before_all_that_stand_on_it() -> None:
    """The middle of the double bottom is nearer to the eye than that of the compartment far aft."""
    shown = np.array(
        [
            [compartment.body.low, compartment.body.high]
            for compartment in divided_barge.plan().compartments
        ]
    )
    order = back_to_front(shown, np.array([60.0, -20.0, 15.0, 1.0]))
    names = [list(divided_barge.BOXES)[number] for number in order]
    assert names[0] == "double bottom" and names[-1] == "forepeak"
    assert names.index("store to port") < names.index("store to starboard")
    below = back_to_front(shown, np.array([60.0, -20.0, -15.0, 1.0]))
    assert list(divided_barge.BOXES)[below[-1]] == "double bottom"


def test_every_pair_side_by_side_is_in_order_from_anywhere() -> None:
    cuts = [np.array([0.0, 1.0, 2.5, 3.0])] * 3
    grid = boxes(
        *(
            ((cuts[0][i], cuts[1][j], cuts[2][k]), (cuts[0][i + 1], cuts[1][j + 1], cuts[2][k + 1]))
            for i in range(3)
            for j in range(3)
            for k in range(3)
        )
    )
    rng = np.random.default_rng(3)
    for eye in rng.uniform(-9, 12, (40, 3)):
        place = {box: n for n, box in enumerate(back_to_front(grid, np.append(eye, 1.0)))}
        for a, b in combinations(range(len(grid)), 2):
            sides = {
                np.sign(eye[axis] - plane) * (1 if low == a else -1)
                for low, high in ((a, b), (b, a))
                for axis in range(3)
                if grid[low, 1, axis] <= grid[high, 0, axis]
                for plane in (grid[low, 1, axis], grid[high, 0, axis])
            }
            if sides == {1}:
                assert place[a] < place[b]
            elif sides == {-1}:
                assert place[b] < place[a]


def test_boxes_within_one_another_follow_their_middles() -> None:
    nested = boxes(((0, 0, 0), (4, 4, 4)), ((3, 1, 1), (3.5, 2, 2)))
    assert back_to_front(nested, np.array([9.0, 1.0, 1.0, 1.0])) == [0, 1]
    assert back_to_front(nested, np.array([-9.0, 1.0, 1.0, 1.0])) == [1, 0]
    assert back_to_front(nested[:0].reshape(0, 2, 3), np.array([1.0, 0, 0, 0])) == []


# Names and ways -------------------------------------------------------------------------------


def test_compartments_are_named_where_they_are_with_what_they_hold() -> None:
    shapes = inner_drawing(
        CompartmentState(divided_barge.plan(leaks=True), divided_barge.barge(), chosen="hold")
    )
    tags = {tag.texts[0].split(" · ")[0]: tag for tag in shapes.tags}
    assert tags["hold"].at == pytest.approx([14.0, 0.0, 2.4])
    assert tags["hold"].texts == ("hold · 307 m³ · not watertight", "hold · not watertight")
    assert tags["hold"].tone == "warning" and tags["hold"].chosen
    assert tags["forepeak"].texts == ("forepeak · 102 m³", "forepeak")
    assert not inner_drawing(
        CompartmentState(divided_barge.plan(), divided_barge.barge(), names=False)
    ).tags


def test_names_keep_off_what_covers_the_picture_and_one_another() -> None:
    """Seen from above a meter is ten pixels; a chart covers the forward half."""
    shapes = inner_drawing(
        CompartmentState(divided_barge.plan(), divided_barge.barge(), chosen="forepeak")
    )
    vents = (
        Mark("opening", np.array([x, 3.0, 4.0]), name) for x, name in ((3, "aft"), (28, "fore"))
    )
    shapes = replace(shapes, marks=tuple(vents))
    above = np.diag([10 / 200, 10 / 100, 0.0, 1.0])
    above[:2, 3] = -0.8, 0.0
    view, style = View(above, 400.0, 200.0), Style(ON_DARK)

    def size(text: str, font: float) -> tuple[float, float]:
        return 0.5 * font * len(text), 0.72 * font

    def boxes(*taken: Box) -> dict[str, Box]:
        labels = picture(shapes, view, style, size, taken).labels
        return {
            label.text.split(" · ")[0]: Box(*label.at, *(label.at + size(label.text, label.size)))
            for label in labels
        }

    free = boxes()
    assert {"engine room", "hold", "forepeak", "aft", "fore"} <= {*free}
    chart = Box(230.0, 0.0, 400.0, 200.0)
    covered = boxes(chart)
    assert not {"forepeak", "fore"} & {*covered} and {"engine room", "aft"} <= {*covered}
    assert not any(box.meets(chart) for box in covered.values())
    for a, b in combinations(free.values(), 2):
        assert not a.meets(b)


def test_flooded_compartments_are_named_with_the_water_in_them() -> None:
    within = CompartmentState(
        divided_barge.plan(), divided_barge.barge(), (("hold", 1.8), ("forepeak", 0.7))
    )
    shapes = inner_drawing(within)
    (tag,) = shapes.tags
    assert tag.texts[0] == f"hold · {0.95 * 96:.1f} m³" and tag.tone == "plain"
    assert tag.at == pytest.approx([14.0, 0.0, 1.3])
    assert not shapes.paths and not shapes.marks


def test_the_way_of_the_water_leads_through_every_gap_into_the_compartment() -> None:
    plan = divided_barge.plan(leaks=True)
    path = leak_path(plan.leaks[1], plan)
    outside, hatch, doorway, compartment = path.points
    assert hatch == pytest.approx([13.5, 0.0, 4.0]) and doorway == pytest.approx([20.0, 1.5, 1.9])
    assert compartment == pytest.approx([23.0, 2.0, 2.4])
    assert outside[:2] == pytest.approx(hatch[:2]) and outside[2] > 5.0, "square to the deck"
    assert len(path.rims) == 8


def test_the_chosen_leak_alone_or_all_of_them() -> None:
    plan, ship = divided_barge.plan(leaks=True), divided_barge.barge()
    assert len(inner_drawing(CompartmentState(plan, ship)).paths) == 2
    (path,) = inner_drawing(CompartmentState(plan, ship, chosen="store to port")).paths
    assert len(path.points) == 4
    assert len(inner_drawing(CompartmentState(plan, ship, chosen="forepeak")).paths) == 2


def test_a_way_in_that_compartments_share_is_marked_once() -> None:
    shapes = inner_drawing(CompartmentState(divided_barge.plan(leaks=True), divided_barge.barge()))
    assert len(shapes.paths) == 2 and len(shapes.marks) == 1


def test_the_way_in_is_marked_with_its_height_above_water() -> None:
    plan, ship = divided_barge.plan(leaks=True), divided_barge.barge()
    (mark,) = inner_drawing(CompartmentState(plan, ship, chosen="hold")).marks
    assert mark.kind == "flooding" and mark.at[2] == 4.0
    assert mark.letter == f"sill {4 - ship.equilibrium.attitude.level:.2f} m above water"
    assert not inner_drawing(CompartmentState(plan, chosen="hold")).marks, "nobody knows the water"


def test_water_stands_as_high_as_the_sea_in_compartments_open_to_it() -> None:
    ship, plan = divided_barge.barge(), divided_barge.plan()
    found = flood(ship.case, plan, ["hold"], whole_curve=False)
    assert flooded_to(found) == (("hold", found.floating.equilibrium.attitude.level),)


def test_deck_edge_under_water_is_cut_at_the_water() -> None:
    ship = divided_barge.barge(center=(15.0, 3.2, 1.5))
    under = deck_edge_under(ship)
    attitude = ship.equilibrium.attitude
    assert attitude.heights(under).max() < 1e-9
    edge = ship.case.hull.deck_edge
    wet = sum(
        np.linalg.norm(np.diff(np.linspace(*each, 2001), axis=0), axis=1)[
            attitude.heights(np.linspace(*each, 2001))[:-1] < 0
        ].sum()
        for each in edge
    )
    assert np.linalg.norm(under[:, 1] - under[:, 0], axis=1).sum() == pytest.approx(wet, rel=1e-2)
    assert wet > 20
    assert not len(deck_edge_under(divided_barge.barge()))


def test_bodies_know_their_boxes() -> None:
    body = CompartmentBody(
        "x", 0, np.zeros((0, 3, 3), np.float32), np.array([[[1.0, 2, 3], [4, 0, 6]]])
    )
    assert body.box == pytest.approx(np.array([[1, 0, 3], [4, 2, 6]]))
