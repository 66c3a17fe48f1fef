"""Where ships come to rest: closed forms, balance of moments, and no false answers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats
from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.buoyancy.level import level_for_volume
from addon.core.hydrostatics import equilibrium
from addon.core.hydrostatics.equilibrium import Equilibrium, find_equilibrium, stable_equilibria
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.hydrostatics.upright import upright_hydrostatics
from addon.core.model.case import Case
from addon.core.model.hull import Hull, build_hull
from addon.core.model.weights import Weight
from tests import bodies
from tests.core.direct_integration import direct_below
from tests.language import reads, refused

UPRIGHT = np.array([0.0, 0.0, 1.0])
BALANCED = 1e-9


def hull_of(body: bodies.Body) -> Hull:
    return build_hull(bodies.mesh(body))


def floated(
    body: bodies.Body, share: float, center: tuple[float, float, float], seek: bool = False
) -> FloatingPosition:
    """A hull of `body` that displaces a share of its volume, G at `center`."""
    hull = hull_of(body)
    weight = Weight("all", share * hull.volume * 1025.0, np.array(center))
    return find_floating_position(Case("test", hull, (weight,)), seek_others=seek)


def resting(ship: FloatingPosition) -> Equilibrium:
    assert ship.equilibrium is not None
    return ship.equilibrium


def degrees(rest: Equilibrium) -> tuple[float, float]:
    return float(np.degrees(rest.attitude.heel_rad)), float(np.degrees(rest.attitude.trim_rad))


def codes(ship: FloatingPosition) -> list[str]:
    return [finding.code for finding in ship.findings]


def assert_balanced(hull: Hull, rest: Equilibrium, volume: float, gravity: Floats) -> None:
    """By direct sums: the water displaced is the weight's, and B is plumb with G."""
    up = rest.attitude.up
    direct = direct_below(hull.vertices, hull.triangles, up, rest.attitude.level)
    size = hull.tree.size
    assert rest.converged and rest.stable
    assert np.linalg.norm(up) == pytest.approx(1.0, abs=1e-14)
    assert abs(rest.volume_residual) < BALANCED
    assert rest.lever_residual < BALANCED * size
    assert direct.volume == pytest.approx(volume, rel=BALANCED)
    assert np.linalg.norm(np.cross(direct.buoyancy - gravity, up)) < BALANCED * size


# Upright, listed, trimmed.


def test_stable_box_stays_upright() -> None:
    ship = floated(bodies.box(10.0, 4.0, 3.0, 3), 0.5, (5.0, 0.0, 1.0), seek=True)
    rest, figures = resting(ship), ship.hydrostatics
    assert figures is not None
    assert ship.state == "afloat" and rest.stable and rest.converged
    assert degrees(rest) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert figures.draft_mid == pytest.approx(1.5, rel=1e-9)
    gm = 0.75 + 16 / 12 / 1.5 - 1.0
    assert [ship.KG, ship.GM, ship.GML] == pytest.approx([1.0, gm, 0.75 + 100 / 18 - 1.0])
    assert rest.stiffness == pytest.approx([ship.GM, ship.GML])
    assert ship.reserve_volume == pytest.approx(60.0)
    assert codes(ship) == []


@pytest.mark.parametrize("x, y", [(5.0, 0.1), (5.0, -0.2), (5.4, 0.0), (4.8, 0.0), (5.3, -0.15)])
def test_list_and_trim_of_a_box(x: float, y: float) -> None:
    """Wall-sided: B moves by -a L^2 / 12 T and -b B^2 / 12 T, a and b the slopes of the water."""
    length, breadth, draft = 10.0, 4.0, 1.5
    ship = floated(bodies.box(length, breadth, 3.0, 2), 0.5, (x, y, 0.9))
    rest = resting(ship)
    a, b = rest.attitude.up[:2] / rest.attitude.up[2]
    center = np.array([5 - a * length**2 / 12 / draft, -b * breadth**2 / 12 / draft, 0.75])
    center[2] += (a**2 * length**2 + b**2 * breadth**2) / (24 * draft)
    off = center - [x, y, 0.9]
    assert np.linalg.norm(np.cross(off, rest.attitude.up)) < 1e-9
    assert rest.immersion.buoyancy == pytest.approx(center, abs=1e-9)
    assert ship.KG == pytest.approx(np.array([x - center[0], y, 0.9]) @ rest.attitude.up)
    assert ship.GM == pytest.approx(
        rest.immersion.metacentric_radii()[0] + off @ rest.attitude.up, rel=1e-9
    )
    assert np.sign(degrees(rest)[0].__round__(6)) == -np.sign(y)
    assert np.sign(degrees(rest)[1].__round__(6)) == -np.sign(x - 5)


def test_which_way_it_leans() -> None:
    body = bodies.wigley(20.0, 4.0, 1.6, 2.6, 6)
    starboard = floated(body, 0.4, (10.0, -0.1, 0.9))
    port = floated(body, 0.4, (10.0, 0.1, 0.9))
    assert degrees(resting(starboard))[0] > 1 and degrees(resting(port))[0] < -1
    assert codes(starboard)[0] == codes(port)[0] == "list"
    assert reads(starboard.findings[0].text, "degrees to starboard")
    assert reads(port.findings[0].text, "degrees to port")
    aft, forward = (floated(body, 0.4, (x, 0.0, 0.9)) for x in (9.0, 11.0))
    assert aft.hydrostatics is not None and forward.hydrostatics is not None
    assert aft.hydrostatics.trim > 0.2 and forward.hydrostatics.trim < -0.2
    assert aft.hydrostatics.draft_aft > aft.hydrostatics.draft_forward
    assert reads(aft.findings[0].text, "by the stern") and reads(
        forward.findings[0].text, "by the bow"
    )


@given(
    seed=st.integers(0, 10**6),
    share=st.floats(0.1, 0.9),
    off=st.tuples(*[st.floats(-0.2, 0.2)] * 3),
)
@settings(max_examples=20, deadline=None)
def test_weights_off_every_axis(seed: int, share: float, off: tuple[float, ...]) -> None:
    hull = hull_of(bodies.scaled(bodies.star(seed, 3, 0.4), (4.0, 1.5, 1.0)))
    gravity = hull.tree.middle + (hull.tree.high - hull.tree.low) * off
    volume = share * hull.volume
    rest = find_equilibrium(hull.tree, volume, gravity)
    assert_balanced(hull, rest, volume, gravity)


# Loll.


@pytest.mark.parametrize("rise", [1e-6, 1e-4, 0.01, 0.05, 0.08])
def test_loll_of_a_box(rise: float) -> None:
    """Wall-sided: tan^2 heel = -2 GM / BM, there GM = -2 GM0 / cos heel; it falls to starboard."""
    bm, kb = 16 / 12 / 2.0, 1.0
    ship = floated(bodies.box(20.0, 4.0, 4.0, 2), 0.5, (10.0, 0.0, kb + bm + rise), seek=True)
    rest = resting(ship)
    heel = float(np.arctan(np.sqrt(2 * rise / bm)))
    flat = 1e-10 / rise  # the arm is lost in rounding so near to the angle
    assert rest.attitude.heel_rad == pytest.approx(heel, rel=1e-5, abs=flat)
    assert rest.attitude.trim_rad == pytest.approx(0.0, abs=1e-9)
    assert rest.stable and rest.converged
    assert rest.stiffness[0] == pytest.approx(2 * rise / np.cos(heel), rel=1e-4 + 4 * flat / heel)
    assert ship.GM == pytest.approx(rest.stiffness[0], rel=1e-9)
    if np.degrees(heel) > 0.1:
        assert codes(ship)[0] == "loll"
    if np.degrees(heel) > 2:
        assert any(
            other.attitude.heel_rad == pytest.approx(-heel, rel=1e-5) for other in ship.others
        )


@pytest.mark.parametrize(
    "body", [bodies.wigley(13.7, 2.9, 1.1, 2.3, 5), bodies.wedge(20.0, 4.0, 3.0, 7)]
)
@pytest.mark.parametrize("share", [0.3, 0.6])
def test_a_symmetrical_hull_lolls_to_starboard(body: bodies.Body, share: float) -> None:
    hull = hull_of(bodies.moved(body, (1e4, 33.3, -7.1)))
    held = hull.tree.below(
        Attitude(UPRIGHT, level_for_volume(hull.tree, UPRIGHT, share * hull.volume))
    )
    metacenter = held.buoyancy + held.metacentric_radii()[0] * UPRIGHT
    rest = find_equilibrium(hull.tree, share * hull.volume, metacenter + 0.02 * UPRIGHT)
    assert rest.converged and rest.stable
    assert np.radians(1) < rest.attitude.heel_rad < np.radians(80)


@given(
    breadth=st.floats(1.0, 6.0),
    depth=st.floats(1.0, 6.0),
    share=st.floats(0.1, 0.9),
    height=st.floats(0.05, 1.2),
    lean=st.floats(-0.03, 0.03),
)
@settings(max_examples=40, deadline=None)
def test_never_a_false_upright(
    breadth: float, depth: float, share: float, height: float, lean: float
) -> None:
    """Upright is the answer of a box on an even keel if, and only if, its GM is above zero."""
    length = 20.0
    hull = hull_of(bodies.box(length, breadth, depth))
    draft = share * depth
    gm = draft / 2 + breadth**2 / 12 / draft - height * depth
    gml = draft / 2 + length**2 / 12 / draft - height * depth
    level = Weight("all", share * hull.volume * 1000, np.array([10.0, 0.0, height * depth]))
    ship = find_floating_position(Case("box", hull, (level,), 1000.0), seek_others=False)
    rest = resting(ship)
    assert rest.converged and rest.stable and (rest.stiffness > 0).all()
    if min(gm, gml) < -1e-6:
        assert rest.attitude.up @ UPRIGHT < 1 - 1e-8
    elif min(gm, gml) > 1e-6:
        assert rest.attitude.up @ UPRIGHT == pytest.approx(1.0, abs=1e-12)
    leaning = find_equilibrium(
        hull.tree, share * hull.volume, level.center, up_from_angles(lean, 0.0)
    )
    assert leaning.converged and leaning.stable


def test_log_of_square_section_looks_the_same_from_every_side() -> None:
    """Turning a square log by a quarter, or lifting out what was under, changes no position."""
    tree = bodies.tree(bodies.prism([(0.5, 0.5), (-0.5, 0.5), (-0.5, -0.5), (0.5, -0.5)], 20.0))
    for share in (0.05, 0.15, 0.25, 0.35, 0.45):
        sides = []
        for part in (share, 1 - share):
            rests = stable_equilibria(tree, part * 20.0, np.array([10.0, 0.0, 0.0]))
            heels = np.sort([np.degrees(rest.attitude.heel_rad) % 360 for rest in rests])
            assert all(abs(rest.attitude.trim_rad) < 1e-8 for rest in rests)
            assert len(heels) in (4, 8)
            quarter = np.sort((heels + 90) % 360)
            mirrored = np.sort(-heels % 360)
            for turned in (quarter, mirrored):
                assert np.cos(np.radians(turned - heels)) == pytest.approx(1.0, abs=1e-9) or (
                    np.cos(np.radians(np.roll(turned, 1) - heels)) == pytest.approx(1.0, abs=1e-9)
                )
            sides.append(np.sort(heels % 90))
        assert np.cos(np.radians(4 * (sides[0] - sides[1]))) == pytest.approx(1.0, abs=1e-9)


# Sinking, swamping, capsizing.


@pytest.mark.parametrize("share", [1.0000001, 1.2, 30.0])
def test_sunk(share: float) -> None:
    ship = floated(bodies.box(), share, (5.0, 0.0, 1.0))
    assert ship.state == "sunk" and ship.equilibrium is None and ship.hydrostatics is None
    assert ship.reserve_volume == pytest.approx(120 * (1 - share))
    assert np.isnan(ship.GM) and ship.KG == 1.0
    assert codes(ship) == ["sunk"]


@pytest.mark.parametrize("share", [0.001, 0.01, 0.99, 0.999, 0.999999])
def test_barely_floating_and_barely_afloat(share: float) -> None:
    body = bodies.box(10.0, 4.0, 3.0, 2)
    ship = floated(body, share, (5.2, 0.1, 0.5))
    assert ship.state == "afloat"
    gravity = np.array([5.2, 0.1, 0.5])
    assert_balanced(hull_of(body), resting(ship), share * 120, gravity)
    high = floated(body, share, (5.0, 0.0, 10.5))
    assert_balanced(hull_of(body), resting(high), share * 120, np.array([5.0, 0.0, 10.5]))
    assert resting(high).attitude.upside_down == (share > 0.5)


def test_open_hull_fills_over_its_rim() -> None:
    """A box without a deck: its rim is 3 m up, and its lid is not wetted."""
    vertices, polygons = bodies.box(10.0, 4.0, 3.0, 2)
    boundaries = tuple(face for face in polygons if not (vertices[list(face), 2] == 3.0).all())
    light = floated((vertices, boundaries), 0.5, (5.0, 0.0, 0.9))
    assert light.state == "afloat"
    assert light.downflooding_height == pytest.approx(1.5)
    deep = floated((vertices, boundaries), 0.99, (5.0, 0.0, 0.9))
    assert deep.state == "afloat" and deep.downflooding_height == pytest.approx(0.03)
    listed = floated((vertices, boundaries), 0.8, (5.0, -0.5, 0.9))
    assert listed.state == "swamped" and listed.downflooding_height < 0
    assert listed.downflooding_point is not None and listed.downflooding_point[1:] == pytest.approx(
        [-2.0, 3.0]
    )
    assert codes(listed)[0] == "swamped"
    hull = hull_of((vertices, boundaries))
    assert hull.tree.volume == pytest.approx(120.0)
    assert hull.tree.area == pytest.approx(164.0 - 40.0)


def test_capsized_positions_are_found() -> None:
    """A flat barge floats as well bottom up, whatever it makes of it with G a little high."""
    ship = floated(bodies.box(10.0, 5.0, 2.0, 2), 0.5, (5.0, 0.0, 1.1), seek=True)
    assert degrees(resting(ship))[0] == pytest.approx(0.0, abs=1e-6)
    over = [rest for rest in ship.others if rest.attitude.upside_down]
    assert len(over) == 1 and over[0].stable
    assert abs(degrees(over[0])[0]) == pytest.approx(180.0, abs=1e-6)
    again = find_floating_position(ship.case, start=up_from_angles(np.pi, 0.0), seek_others=False)
    assert codes(again)[0] == "capsized"
    assert np.isnan(again.hydrostatics.draft_mid) if again.hydrostatics else False


def test_ballasted_hull_rights_itself_from_anywhere() -> None:
    tree = bodies.tree(bodies.horizontal_cylinder(1.0, 8.0, 48))
    rests = stable_equilibria(tree, 0.5 * tree.volume, np.array([4.0, 0.0, 0.4]))
    assert len(rests) == 1
    assert degrees(rests[0]) == pytest.approx((0.0, 0.0), abs=1e-6)


def test_positions_are_distinct_and_the_upright_one_leads() -> None:
    tree = bodies.tree(bodies.box(10.0, 4.0, 3.0))
    gravity = np.array([5.0, 0.0, 1.5])
    rests = stable_equilibria(tree, 60.0, gravity)
    assert rests[0].attitude.up == pytest.approx(UPRIGHT, abs=1e-9)
    ups = np.array([rest.attitude.up for rest in rests])
    assert (ups @ ups.T - np.eye(len(ups)) < np.cos(np.radians(0.5))).all()
    assert all(rest.converged and rest.stable for rest in rests)


def test_a_light_cube_rests_on_each_of_its_faces() -> None:
    rests = stable_equilibria(bodies.tree(bodies.box(1.0, 1.0, 1.0)), 0.1, np.array([0.5, 0, 0.5]))
    ups = np.array(sorted(rest.attitude.up.round(6).tolist() for rest in rests)) + 0.0
    faces = sorted([*np.eye(3).tolist(), *(-np.eye(3) + 0.0).tolist()])
    assert ups == pytest.approx(np.array(faces), abs=1e-6)
    assert rests[0].attitude.up == pytest.approx(UPRIGHT, abs=1e-9)


# More than one hull.


def test_catamaran() -> None:
    """Each demihull carries its own second moment and its area at half the spacing."""
    spacing, length, demihull, depth = 4.0, 12.0, 1.0, 2.0
    for bridge in (0.0, 0.3):
        ship = floated(
            bodies.catamaran(length, demihull, spacing, depth, bridge, 2),
            0.4 if not bridge else 0.3,
            (length / 2, 0.0, 1.5),
        )
        figures = ship.hydrostatics
        assert figures is not None and resting(ship).stable
        draft = figures.draft_mid
        second = 2 * (length * demihull**3 / 12 + length * demihull * (spacing / 2) ** 2)
        assert figures.immersion.volume == pytest.approx(2 * length * demihull * draft)
        assert figures.BM == pytest.approx(second / figures.immersion.volume)
        assert figures.immersion.waterplane_area == pytest.approx(2 * length * demihull)
        assert ship.case.hull.parts == (1 if bridge else 2)


def test_catamaran_with_its_weight_on_one_hull() -> None:
    body = bodies.catamaran(12.0, 1.0, 4.0, 2.0, divisions=3)
    hull = hull_of(body)
    gravity = np.array([6.0, -1.9, 1.0])
    rest = find_equilibrium(hull.tree, 0.45 * hull.volume, gravity)
    assert_balanced(hull, rest, 0.45 * hull.volume, gravity)
    assert rest.attitude.heel_rad > 0.3
    outer_port = np.array([[0.0, 2.5, 0.0], [12.0, 2.5, 0.0]])
    assert (rest.attitude.heights(outer_port) > 0).all()


def test_keel_bulb_hung_below() -> None:
    """A part wholly under water adds its volume at its own middle, and no waterplane."""
    box, bulb = bodies.box(10.0, 3.0, 1.5, 2), bodies.geodesic_sphere(0.4, 4)
    hull = hull_of(bodies.joined(box, bodies.moved(bulb, (4.0, 0.0, -1.6))))
    assert hull.parts == 2
    ball = bodies.tree(bulb).volume
    assert hull.volume == pytest.approx(45.0 + ball)
    bottom = 2.0 - 0.4 + 0.4 * float(np.abs(bodies.geodesic_sphere(1.0, 4)[0][:, 2]).max())
    gravity = np.array([5.0, 0.0, 0.9])
    rest = find_equilibrium(hull.tree, 20.0, gravity)
    assert_balanced(hull, rest, 20.0, gravity)
    assert rest.attitude.heel_rad == pytest.approx(0.0, abs=1e-9)
    assert rest.attitude.trim_rad != 0.0
    flat = hull.tree.below(Attitude(UPRIGHT, bottom + 0.6))
    box_part = 30 * 0.6
    assert flat.volume == pytest.approx(box_part + ball)
    assert flat.waterplane_area == pytest.approx(30.0)
    expected = (box_part * np.array([5.0, 0.0, bottom + 0.3]) + ball * np.array([4.0, 0, 0.4])) / (
        box_part + ball
    )
    assert flat.buoyancy == pytest.approx(expected, abs=1e-9)


# Convergence.


def random_hull(seed: int) -> bodies.Body:
    rng = np.random.default_rng(seed)
    kinds = (
        lambda: bodies.scaled(bodies.star(seed, 2, 0.4), rng.uniform(0.5, 4.0, 3)),
        lambda: bodies.box(*rng.uniform(0.5, 8.0, 3), divisions=2),
        lambda: bodies.wigley(*rng.uniform([5, 1, 0.5, 2.0], [20, 4, 1.5, 3.0]), divisions=4),
        lambda: bodies.torus(2.0, rng.uniform(0.3, 1.2), 12, 8),
        lambda: bodies.catamaran(10.0, 1.0, rng.uniform(1.5, 6.0), 2.0, bridge=0.4),
        lambda: bodies.wedge(*rng.uniform(0.8, 8.0, 3)),
    )
    return kinds[seed % len(kinds)]()


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(30))
def test_settles_from_every_start(seed: int) -> None:
    rng = np.random.default_rng(1000 + seed)
    hull = hull_of(random_hull(seed))
    tree = hull.tree
    volume = hull.volume * rng.uniform(0.05, 0.95)
    gravity = tree.middle + (tree.high - tree.low) * rng.uniform(-0.3, 0.3, 3)
    starts = [np.array([0.0, np.sin(heel), np.cos(heel)]) for heel in np.arange(0, 6, 1.0)]
    starts += [np.array([1.0, 0, 0]), np.array([-1.0, 0, 0]), np.array([0, 0, -1.0])]
    starts += list(rng.normal(size=(3, 3)))
    for start in starts:
        rest = find_equilibrium(tree, volume, gravity, start / np.linalg.norm(start))
        assert_balanced(hull, rest, volume, gravity)
        assert rest.iterations < 60


@pytest.mark.parametrize(
    "share, size", [(0.001, (10.0, 10.0, 0.01)), (0.01, (100.0, 1.0, 1.0)), (0.5, (60.0, 0.5, 0.5))]
)
def test_settles_when_thin_and_light(share: float, size: tuple[float, float, float]) -> None:
    hull = hull_of(bodies.box(*size))
    gravity = hull.tree.middle + (hull.tree.high - hull.tree.low) * [0.2, 0.1, -0.1]
    for start in (UPRIGHT, np.array([1.0, 0, 0]), np.array([-1.0, 0, 0]), np.array([0, 1.0, 0])):
        rest = find_equilibrium(hull.tree, share * hull.volume, gravity, start)
        assert_balanced(hull, rest, share * hull.volume, gravity)
        assert rest.iterations < 100


def test_settles_where_stability_nearly_vanishes() -> None:
    """Set on its deck a paraboloid has next to no GM: it stays, or goes on to a better rest.

    A body of revolution may turn about the vertical, and its facets make that neutral only to
    some micrometres of GM.
    """
    hull = hull_of(bodies.moved(bodies.paraboloid(), (2.0, 0.0, 0.0)))
    gravity = np.array([2.0, 0.0, 1.2])
    for start in (-UPRIGHT, *(up_from_angles(heel, 0.0) for heel in (np.pi, 3.0, 1.5, 0.0))):
        rest = find_equilibrium(hull.tree, 0.3 * hull.volume, gravity, start)
        assert rest.converged and rest.stiffness[0] > -1e-5


def test_no_rest_is_reported_with_how_far_it_is_off(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(equilibrium, "MAX_STEPS", 2)
    ship = floated(bodies.box(10.0, 4.0, 3.0), 0.5, (6.5, 1.0, 1.0))
    rest, volume = resting(ship), 60.0
    direct = direct_below(
        ship.case.hull.vertices,
        ship.case.hull.triangles,
        rest.attitude.up,
        rest.attitude.level,
    )
    arm = direct.buoyancy - [6.5, 1.0, 1.0]
    arm = arm - (arm @ rest.attitude.up) * rest.attitude.up
    assert not rest.converged and rest.iterations == 2
    assert rest.volume_residual == pytest.approx(direct.volume / volume - 1, abs=1e-12)
    assert rest.lever_residual == pytest.approx(np.linalg.norm(arm), rel=1e-9)
    assert rest.lever_residual > 0.01
    assert codes(ship)[0] == "not-converged"


def test_progress_is_reported() -> None:
    tree = bodies.tree(bodies.wedge())
    heard: list[int] = []
    rest = find_equilibrium(tree, 20.0, np.array([5.5, 0.1, 2.0]), on_progress=heard.append)
    assert heard == list(range(1, rest.iterations + 1)) and heard


def test_inputs_are_left_alone() -> None:
    tree = bodies.tree(bodies.wedge())
    gravity, start = np.array([5.5, 0.1, 2.0]), np.array([0.0, 0.6, 0.8])
    gravity.flags.writeable = start.flags.writeable = False
    find_equilibrium(tree, 20.0, gravity, start)
    stable_equilibria(tree, 20.0, gravity, 90)


# Levels.


@given(seed=st.integers(0, 10**6), share=st.floats(1e-6, 1 - 1e-6), heel=st.floats(-3, 3))
@settings(max_examples=40, deadline=None)
def test_level_for_volume(seed: int, share: float, heel: float) -> None:
    tree = bodies.tree(random_hull(seed))
    up = up_from_angles(heel, heel / 3)
    volume = share * tree.volume
    level = level_for_volume(tree, up, volume)
    assert tree.below(Attitude(up, level)).volume == pytest.approx(volume, abs=1e-12 * tree.volume)


def test_level_of_a_box() -> None:
    tree = bodies.tree(bodies.box(10.0, 4.0, 3.0, 2))
    for draft in (0.0, 1e-9, 0.5, 1.5, 2.999, 3.0):
        assert level_for_volume(tree, UPRIGHT, 40 * draft) == pytest.approx(draft, abs=1e-9)


def test_level_across_a_gap() -> None:
    """Between two parts, one over the other, the volume does not grow with the level."""
    low, high = bodies.box(2.0, 2.0, 1.0), bodies.moved(bodies.box(2.0, 2.0, 1.0), (0, 0, 3.0))
    tree = bodies.tree(bodies.joined(low, high))
    assert level_for_volume(tree, UPRIGHT, 6.0) == pytest.approx(3.5)
    assert level_for_volume(tree, UPRIGHT, 2.0) == pytest.approx(0.5)
    assert 1.0 - 1e-9 <= level_for_volume(tree, UPRIGHT, 4.0) <= 3.0 + 1e-9


# Cases.


def test_denser_water_floats_it_higher() -> None:
    hull = hull_of(bodies.box(10.0, 4.0, 3.0))
    weight = Weight("all", 60_000.0, np.array([5.0, 0.0, 1.0]))
    for density in (1000.0, 1025.0):
        ship = find_floating_position(Case("box", hull, (weight,), density))
        assert ship.hydrostatics is not None
        assert ship.hydrostatics.draft_mid == pytest.approx(60_000 / density / 40)
        assert ship.hydrostatics.displacement(density) == pytest.approx(60_000)


def test_upright_particulars() -> None:
    """Held upright at its displacement, whatever its weights would make of it."""
    ship = floated(bodies.box(10.0, 4.0, 3.0, 2), 0.5, (5.6, -0.4, 1.0))
    figures = upright_hydrostatics(ship.case)
    assert figures.draft_mid == figures.draft_aft == pytest.approx(1.5)
    assert figures.KM == pytest.approx(0.75 + 16 / 18)
    assert ship.hydrostatics is not None and abs(ship.hydrostatics.trim) > 0.1


def test_no_weights() -> None:
    with refused("no weights"):
        find_floating_position(Case("empty", hull_of(bodies.box())))
