"""GZ curve against a mesh that is turned and cut outright, and at the difficult places."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats
from addon.core.buoyancy.attitude import Attitude
from addon.core.buoyancy.immersion import Immersion
from addon.core.buoyancy.moment_tree import MomentTree
from addon.core.geometry.mesh import mirrored
from addon.core.model.case import Case
from addon.core.model.hull import Hull, build_hull
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from addon.core.stability.righting_curve import RightingCurve, check_heels, righting_curve
from addon.core.stability.righting_lever import HeeledPosition, heeling_of
from addon.examples.loader import load_example
from tests import bodies
from tests.core import turned_meshes
from tests.language import refused

WATER = 1025.0
AGREED = 1e-9
ALL_ROUND = np.radians(np.arange(-180.0, 181.0, 15.0))
STEPS = np.radians(np.arange(0.0, 181.0, 5.0))


@dataclass(frozen=True)
class Subject:
    """A case, and the bodies of its tanks for those who cut them themselves."""

    case: Case
    liquids: tuple[bodies.Body, ...] = ()

    @property
    def turned(self) -> turned_meshes.Ship:
        load, water = self.case.load, self.case.water_density
        solid = sum(weight.mass for weight in self.case.weights)
        center = sum(weight.mass * weight.center for weight in self.case.weights) / solid
        held = []
        for tank, body in zip(self.case.tanks, self.liquids, strict=True):
            mesh = bodies.mesh(body)
            content = turned_meshes.solid(mesh.vertices, mesh.triangles)
            held.append((content, tank.fill * content.volume(), tank.density / water))
        hull = self.case.hull
        whole = turned_meshes.solid(hull.vertices, hull.triangles)
        return turned_meshes.Ship(
            whole, load.volume, solid / water, np.asarray(center), tuple(held)
        )


def hull_of(body: bodies.Body) -> Hull:
    return build_hull(bodies.mesh(body))


def afloat(
    body: bodies.Body,
    share: float,
    center: tuple[float, float, float],
    *tanks: tuple[bodies.Body, float, float],
) -> Subject:
    """A hull that displaces a share of its volume, all solid weight at `center`; tanks are a body,
    its fill and its density."""
    hull = hull_of(body)
    made = tuple(
        Tank(f"tank {place}", bodies.tree(inner), density, fill)
        for place, (inner, fill, density) in enumerate(tanks)
    )
    mass = share * hull.volume * WATER - sum(tank.mass for tank in made)
    weight = Weight("all", mass, np.array(center))
    case = Case("ship", hull, (weight,), WATER, made)
    return Subject(case, tuple(inner for inner, _, _ in tanks))


def example(key: str) -> Subject:
    ship = load_example(key)
    mesh = bodies.mesh((ship.hull.vertices, ship.hull.polygons))
    hull = build_hull(mirrored(mesh) if ship.half_hull else mesh)
    return Subject(Case(ship.title, hull, ship.weights))


def placed(body: bodies.Body, *shift: float) -> bodies.Body:
    return bodies.moved(body, shift)


SUBJECTS: dict[str, Callable[[], Subject]] = {
    "box": lambda: afloat(bodies.box(10.0, 4.0, 3.0, 2), 0.45, (5.3, 0.1, 1.0)),
    "box with tanks": lambda: afloat(
        bodies.box(10.0, 4.0, 3.0),
        0.45,
        (5.2, 0.0, 1.2),
        (placed(bodies.box(4.0, 1.6, 1.2), 1.0, 0.9, 0.1), 0.6, 900.0),
        (placed(bodies.star(5, 2, 0.3, 0.8), 6.5, -0.4, 1.0), 0.35, 1300.0),
    ),
    "wigley": lambda: afloat(bodies.wigley(20.0, 4.0, 1.6, 2.6, 5), 0.4, (10.2, 0.0, 0.9)),
    "wedge": lambda: afloat(bodies.wedge(10.0, 4.0, 3.0), 0.4, (5.2, 0.0, 1.6)),
    "cylinder": lambda: afloat(
        bodies.horizontal_cylinder(1.0, 10.0, 24),
        0.5,
        (5.1, 0.0, 0.6),
        (placed(bodies.horizontal_cylinder(0.5, 4.0, 12), 2.0, 0.0, 0.2), 0.5, 1000.0),
    ),
    "catamaran": lambda: afloat(bodies.catamaran(12.0, 1.0, 4.0, 2.0, 0.3), 0.3, (6.2, 0.0, 1.5)),
    "two hulls": lambda: afloat(bodies.catamaran(12.0, 1.0, 4.0, 2.0), 0.4, (6.0, 0.0, 1.8)),
    "star": lambda: afloat(
        bodies.scaled(bodies.star(3, 3, 0.3), (6.0, 1.5, 1.0)), 0.5, (6.6, 0.05, 0.9)
    ),
    "paraboloid": lambda: afloat(
        bodies.scaled(bodies.paraboloid(2.0, 3.0, 5, 16), (2.5, 1.0, 1.0)), 0.4, (5.0, 0.0, 1.6)
    ),
    "torus": lambda: afloat(
        bodies.scaled(bodies.torus(2.0, 0.5, 16, 8), (2.0, 1.0, 1.0)), 0.4, (5.0, 0.05, 0.4)
    ),
    "survey-launch": lambda: example("survey-launch"),
    "half-launch": lambda: example("half-launch"),
}


@cache
def subject(name: str) -> Subject:
    return SUBJECTS[name]()


@cache
def curve_of(name: str, fixed_trim: bool = False) -> RightingCurve:
    return righting_curve(heeling_of(subject(name).case, fixed_trim), ALL_ROUND)


def held_at(curve: RightingCurve, heels: Floats) -> list[HeeledPosition]:
    held = {round(each.heel, 9): each for each in curve.positions}
    return [held[round(heel, 9)] for heel in heels.tolist()]


def asked_of(name: str) -> Floats:
    """Every 15 degrees; four heels for the hulls of many faces."""
    return ALL_ROUND[3::6] if "launch" in name else ALL_ROUND


def assert_whole(curve: RightingCurve, breadth: float) -> None:
    """No point is missing, each holds what it says, and GZ leaps only at a jump of trim."""
    for each in curve.positions:
        assert np.isfinite([each.arm, each.slope, each.height, each.GM]).all()
        assert each.converged
        assert abs(each.equilibrium.volume_residual) < AGREED
        assert each.equilibrium.lever_residual < AGREED * curve.heeling.tree.size or (
            curve.heeling.trim is not None
        )
        assert np.cos(each.attitude.heel_rad - each.heel) > 1 - 1e-12
    for here, there in pairwise(curve.positions):
        assert there.heel > here.heel
        torn = any(here.heel <= jump <= there.heel for jump in curve.jumps)
        steepest = 1.5 * max(abs(here.slope), abs(there.slope))
        if not torn:
            within = (there.heel - here.heel) * (steepest + 0.5 * breadth)
            assert abs(there.arm - here.arm) < within


# The mesh itself, turned and cut.


@pytest.mark.slow
@pytest.mark.parametrize("name", SUBJECTS)
def test_free_trim_as_cut_outright(name: str) -> None:
    """The trim is sought anew in the four degrees about the core's, which is its branch."""
    case, ship = subject(name).case, subject(name).turned
    for held in held_at(curve_of(name), asked_of(name)):
        assert held.converged
        near = held.attitude.trim_rad
        trim = turned_meshes.root(
            lambda trim, heel=held.heel: float(ship.balance(heel, trim)[1][0]),
            near - np.radians(1.9),
            near + np.radians(2.1),
        )
        level, arm = ship.balance(held.heel, trim)
        assert trim == pytest.approx(near, abs=1e-7)
        assert held.arm == pytest.approx(arm[1], abs=AGREED * case.hull.breadth)
        assert held.height == pytest.approx(arm[2], abs=AGREED * case.hull.breadth)
        assert held.attitude.level == pytest.approx(level, abs=1e-7 * case.hull.length_overall)


@pytest.mark.slow
@pytest.mark.parametrize("name", SUBJECTS)
def test_fixed_trim_as_cut_outright(name: str) -> None:
    case, ship = subject(name).case, subject(name).turned
    curve = curve_of(name, fixed_trim=True)
    trim = curve_of(name).upright.attitude.trim_rad
    for held in held_at(curve, asked_of(name)):
        _, arm = ship.balance(held.heel, trim)
        assert held.attitude.trim_rad == pytest.approx(trim, abs=1e-9)
        assert held.arm == pytest.approx(arm[1], abs=AGREED * case.hull.breadth)


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in SUBJECTS if "launch" not in name])
def test_the_trim_is_one_it_keeps(name: str) -> None:
    """Every trim to which it returns when nudged, over the whole half circle: the core's is one
    of them, and the nearest to upright's where it has not jumped."""
    ship = subject(name).turned
    for held in held_at(curve_of(name), ALL_ROUND[1::8]):
        kept = ship.trims(held.heel)
        assert min(abs(trim - held.attitude.trim_rad) for trim in kept) < 1e-7


@pytest.mark.slow
@pytest.mark.parametrize("name", SUBJECTS)
@pytest.mark.parametrize("fixed_trim", [False, True])
def test_whole_and_even(name: str, fixed_trim: bool) -> None:
    curve = curve_of(name, fixed_trim)
    assert_whole(curve, subject(name).case.hull.breadth)
    assert not curve.jumps


@pytest.mark.parametrize("name", ["box with tanks", "star", "wedge", "torus", "catamaran"])
@pytest.mark.parametrize("fixed_trim", [False, True])
def test_slope_and_area(name: str, fixed_trim: bool) -> None:
    """Slopes as differences of arms held a hair to either side, area by quadrature of arms."""
    curve = curve_of(name, fixed_trim)
    breadth = subject(name).case.hull.breadth
    arms, step = curve.gz_curve, 1e-5
    for heel in np.radians([-140.3, -77.7, 8.3, 52.9, 101.3]):
        held, ahead, behind = (curve.at(at) for at in (heel, heel + step, heel - step))
        difference = (ahead.arm - behind.arm) / (2 * step)
        assert held.slope == pytest.approx(difference, abs=2e-5 * breadth)
        turned_trim = (ahead.attitude.trim_rad - behind.attitude.trim_rad) / (2 * step)
        assert held.trim_slope == pytest.approx(turned_trim, abs=2e-4)
        assert arms.arm(heel) == pytest.approx(held.arm, abs=5e-4 * breadth)
    nodes, weights = np.polynomial.legendre.leggauss(4)
    for start, end in np.radians([(0.0, 40.0), (-100.0, -60.0)]):
        cuts = np.linspace(start, end, 9)
        area = sum(
            (b - a) / 2 * weight * curve.at((a + b) / 2 + (b - a) / 2 * node).arm
            for a, b in pairwise(cuts)
            for node, weight in zip(nodes.tolist(), weights.tolist(), strict=True)
        )
        assert arms.area(start, end) == pytest.approx(area, abs=2e-5 * breadth)


# Difficult places.


def wall_sided(length: float, breadth: float, depth: float, draft: float, KG: float) -> Case:
    hull = hull_of(bodies.box(length, breadth, depth))
    mass = length * breadth * draft * WATER
    return Case("box", hull, (Weight("all", mass, np.array([length / 2, 0.0, KG])),))


def curve_from(case: Case, heels: Floats = STEPS, fixed_trim: bool = False) -> RightingCurve:
    return righting_curve(heeling_of(case, fixed_trim), heels)


def test_deck_immersion_and_bilge_emergence() -> None:
    """Box: wall-sided up to the deck edge or the bilge, the corner resolved to a quarter degree."""
    for draft in (0.6, 1.5, 2.2):
        curve = curve_from(wall_sided(20.0, 4.0, 3.0, draft, 1.2))
        assert_whole(curve, 4.0)
        corner = np.arctan(2 * min(draft, 3.0 - draft) / 4.0)
        GM, BM = draft / 2 + 16 / 12 / draft - 1.2, 16 / 12 / draft
        inside = np.linspace(0.01, corner, 40)
        formula = (GM + BM / 2 * np.tan(inside) ** 2) * np.sin(inside)
        assert curve.gz_curve.arm(inside) == pytest.approx(formula, abs=2e-5)
        under = GM * (1 - np.cos(corner)) + BM / 2 * (np.cos(corner) + 1 / np.cos(corner) - 2)
        assert curve.gz_curve.area(0.0, corner) == pytest.approx(under, abs=2e-6)
        heels = np.array([each.heel for each in curve.positions])
        assert np.abs(heels - corner).min() < np.radians(2.5)


def test_box_at_a_right_angle_and_bottom_up() -> None:
    """GZ at 90 degrees is half the depth less KG, whatever the draft; bottom up it is nothing."""
    curve = curve_from(wall_sided(20.0, 4.0, 3.0, 1.1, 1.9), np.radians(np.arange(-180, 181, 10)))
    side, other, bottom_up = curve.at(np.pi / 2), curve.at(-np.pi / 2), curve.at(np.pi)
    assert side.arm == pytest.approx(1.5 - 1.9, abs=1e-12)
    assert other.arm == pytest.approx(1.9 - 1.5, abs=1e-12)
    assert bottom_up.arm == pytest.approx(0.0, abs=1e-12)
    assert side.GM == pytest.approx(0.55 * 4 / 3 - 2.0 + 9 / 12 / (1.1 * 4 / 3), abs=1e-12)
    assert bottom_up.GM == pytest.approx(1.9 - 3.0 + 0.55 + 16 / 12 / 1.1, abs=1e-12)
    assert side.slope == pytest.approx(side.GM, abs=1e-9)


def test_catamaran_loses_a_hull() -> None:
    """Two boxes: once one is out, all its weight is on the other and GZ is its distance off."""
    case = afloat(bodies.catamaran(12.0, 1.0, 4.0, 2.0), 0.3, (6.0, 0.0, 1.5)).case
    curve = curve_from(case, np.radians(np.arange(-90, 91, 5)))
    assert_whole(curve, 5.0)
    heel = np.radians(25.0)
    held = curve.at(heel)
    port = np.array([[x, y, 0.0] for x in (0.0, 12.0) for y in (1.5, 2.5)])
    assert (held.attitude.heights(port) > 0).all()
    one = hull_of(placed(bodies.box(12.0, 1.0, 2.0), 0.0, 0.0, 0.0))
    alone = Case("one", one, (Weight("all", case.load.mass, np.array([6.0, 2.0, 1.5])),))
    assert held.arm == pytest.approx(heeling_of(alone).at(heel).arm, abs=1e-9)
    heels = np.array([each.heel for each in curve.positions])
    arms = np.array([each.arm for each in curve.positions])
    assert arms == pytest.approx(-arms[np.searchsorted(heels, -heels)][::1], abs=1e-9)


@pytest.mark.parametrize("rise", [1e-3, 0.02, 0.08])
def test_loll(rise: float) -> None:
    """Wall-sided: negative GM, GZ zero again at tan^2 heel = -2 GM / BM on either side."""
    case = wall_sided(20.0, 4.0, 4.0, 2.0, 1.0 + 16 / 24 + rise)
    curve = curve_from(case, np.radians(np.arange(-60, 61, 5)))
    assert_whole(curve, 4.0)
    loll = np.arctan(np.sqrt(2 * rise / (16 / 24)))
    assert curve.upright.GM == pytest.approx(-rise, abs=1e-9)
    near = [each for each in curve.gz_curve.crossings if abs(each.heel) < np.radians(40)]
    assert [each.heel for each in near] == pytest.approx([-loll, 0.0, loll], abs=2e-4)
    assert [each.rising for each in near] == [True, False, True]


def test_self_righting_hull() -> None:
    case = afloat(bodies.horizontal_cylinder(1.0, 10.0, 48), 0.5, (5.0, 0.0, 0.4)).case
    curve = curve_from(case, np.radians(np.arange(-180, 181, 5)))
    assert_whole(curve, 2.0)
    assert [each.heel for each in curve.gz_curve.crossings] == pytest.approx([0.0], abs=1e-12)
    heels = np.radians([20.0, 90.0, 150.0])
    assert curve.gz_curve.arm(heels) == pytest.approx(0.6 * np.sin(heels), abs=2e-3)


def test_hull_that_floats_on_its_side() -> None:
    """A deep narrow plank set on edge: GZ is negative all the way to where it lies flat."""
    curve = curve_from(wall_sided(20.0, 0.5, 4.0, 2.0, 2.0), np.radians([0.0, 180.0]))
    assert_whole(curve, 0.5)
    heels = np.radians(np.arange(3.0, 88.0, 5.0))
    assert (curve.gz_curve.arm(heels) < 0).all() and (curve.gz_curve.arm(np.pi - heels) > 0).all()
    flat = [each for each in curve.gz_curve.crossings if each.rising]
    assert [each.heel for each in flat] == pytest.approx([np.pi / 2], abs=1e-9)


def test_ship_whose_upright_is_capsized() -> None:
    """G above the deck: it falls either way to the other side up, where G hangs low."""
    case = wall_sided(20.0, 4.0, 3.0, 2.0, 3.4)
    curve = curve_from(case, np.radians(np.arange(-180, 181, 5)))
    assert_whole(curve, 4.0)
    inner = np.radians(np.arange(1.0, 179.0, 4.0))
    assert (curve.gz_curve.arm(inner) < 0).all() and (curve.gz_curve.arm(-inner) > 0).all()


def seesaw() -> Subject:
    """A tender column between a bow float to port and a stern float to starboard."""
    column = placed(bodies.box(2.0, 2.0, 4.0), 4.0, 0.0, 0.0)
    bow = placed(bodies.box(2.0, 2.0, 1.5), 8.0, 1.0, 2.2)
    stern = placed(bodies.box(2.0, 2.0, 1.5), 0.0, -1.0, 2.2)
    body = bodies.joined(column, bow, stern)
    return afloat(body, 8.0 / hull_of(body).volume, (5.02, 0.0, 1.8))


def test_jump_of_trim() -> None:
    """It rests on one float, and heeled far enough falls to the other: one jump, given at the heel
    where the trim it was following ends, and a trim that balances on both sides of it."""
    ship = seesaw()
    curve = curve_from(ship.case, np.radians(np.arange(-30, 31, 10)))
    assert_whole(curve, ship.case.hull.breadth)
    assert len(curve.jumps) == 1
    (jump,) = curve.jumps
    before = [each for each in curve.positions if each.heel > jump][0]
    after = [each for each in curve.positions if each.heel < jump][-1]
    assert before.heel - after.heel < 2e-6
    assert after.attitude.trim_rad - before.attitude.trim_rad > np.radians(2)
    for held in (before, after):
        assert ship.turned.balance(held.heel, held.attitude.trim_rad)[1] == pytest.approx(
            np.array([0.0, held.arm, held.height]), abs=1e-7
        )
    kept = [len(ship.turned.trims(jump + aside, 120)) for aside in (-0.002, 0.002)]
    assert kept == [1, 2]
    across = curve.gz_curve.area(after.heel, before.heel)
    assert across == pytest.approx((before.heel - after.heel) * before.arm, rel=0.1)


def test_no_trim_is_reported_only_where_there_is_none() -> None:
    """A stubby body goes over its end at some heels: those are unsettled, and no other."""
    body = bodies.scaled(bodies.star(3, 3, 0.3), (4.0, 1.5, 1.0))
    ship = afloat(body, 0.5, (3.5, 0.05, 0.6))
    curve = curve_from(ship.case, ALL_ROUND)
    lost = [each for each in curve.positions if not each.converged]
    assert 3 < len(lost) < len(curve.positions) / 2
    assert not any(ship.turned.trims(each.heel) for each in lost[::4])
    assert all(np.isfinite([each.arm, each.slope, each.height]).all() for each in lost)
    assert len(curve.positions) < 150


def test_a_point_is_sought_again_before_its_trim_counts_as_torn() -> None:
    """At 175 degrees, sought from 10 degrees back, this body goes over its end; from near by it
    does not."""
    curve = curve_from(afloat(bodies.paraboloid(), 0.3, (2.0, 0.0, 1.2)).case)
    assert curve.jumps == ()
    assert all(each.converged for each in curve.positions if each.heel > np.radians(161))


def test_mirrored_ship_gives_the_mirrored_curve() -> None:
    body = bodies.scaled(bodies.star(11, 3, 0.3), (6.0, 1.5, 1.0))
    here = afloat(body, 0.5, (6.4, 0.12, 0.8)).case
    weight = replace(here.weights[0], center=here.weights[0].center * np.array([1.0, -1.0, 1.0]))
    there = replace(here, hull=hull_of(bodies.mirror(body)), weights=(weight,))
    heels = np.radians(np.arange(-90, 91, 15))
    curve, other = (curve_from(case, heels) for case in (here, there))
    assert_whole(curve, here.hull.breadth)
    for a, b in zip(held_at(curve, heels), held_at(other, heels)[::-1], strict=True):
        assert b.arm == pytest.approx(-a.arm, abs=1e-9)
        assert b.slope == pytest.approx(a.slope, abs=1e-7)
        assert b.attitude.trim_rad == pytest.approx(a.attitude.trim_rad, abs=1e-8)
    lopsided = [abs(curve.at(heel).arm + curve.at(-heel).arm) for heel in heels[-4:].tolist()]
    assert min(lopsided) > 0.01


@pytest.mark.parametrize("size", [0.01, 40.0])
def test_small_and_large_ships(size: float) -> None:
    """From a decimetre to four hundred meters the same curve, but for its scale."""
    whole = subject("wedge").case
    body = bodies.scaled(bodies.wedge(10.0, 4.0, 3.0), (size,) * 3)
    scaled = afloat(body, 0.4, tuple(size * whole.weights[0].center)).case
    here, there = curve_of("wedge"), curve_from(scaled, ALL_ROUND)
    assert_whole(there, 4.0 * size)
    assert len(there.positions) == len(here.positions)
    arms = np.array([each.arm for each in here.positions])
    assert np.array([each.arm for each in there.positions]) / size == pytest.approx(arms, abs=1e-8)
    assert there.gz_curve.areas / size == pytest.approx(here.gz_curve.areas, abs=1e-7)


# Heels.


@given(
    heels=st.lists(
        st.floats(-180.0, 180.0, allow_subnormal=False), min_size=1, max_size=6, unique=True
    )
)
@settings(max_examples=12, deadline=None)
def test_every_heel_asked_for_is_there(heels: list[float]) -> None:
    asked = np.radians(sorted(heels))
    curve = righting_curve(heeling_of(subject("box").case), asked)
    there = np.array([each.heel for each in curve.positions])
    assert np.isin(asked, there).all() and 0.0 in there
    assert ((np.diff(there) > 0) & (np.diff(there) <= np.radians(10.0) + 1e-9)).all()
    assert curve.gz_curve.area(0.0, 0.0) == 0.0
    within = np.linspace(there[0], there[-1], 31)
    assert np.isfinite(curve.gz_curve.arm(within)).all()


@pytest.mark.parametrize("name", ["wigley", "box", "survey-launch", "catamaran"])
def test_few_cuts_make_a_curve(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some four cuts of its hull a heel asked for, corners and all; more where it loses one."""
    cuts: list[Attitude] = []
    cut = MomentTree.below

    def counted(tree: MomentTree, attitude: Attitude) -> Immersion:
        cuts.append(attitude)
        return cut(tree, attitude)

    heeling = heeling_of(subject(name).case)
    monkeypatch.setattr(MomentTree, "below", counted)
    righting_curve(heeling, STEPS)
    assert len(cuts) < (8 if name == "catamaran" else 6) * len(STEPS)


def test_heels_are_reported_as_they_come() -> None:
    heard: list[float] = []
    righting_curve(heeling_of(subject("box").case), np.radians([-7.0, 0.0, 4.0]), heard.append)
    assert heard == pytest.approx(np.radians([-7.0, 4.0]))


@pytest.mark.parametrize(
    "heels, words",
    [
        ([], "no heels"),
        ([0, 30, 20], "20 follows 30"),
        ([0, 10, 10], "10 follows 10"),
        ([0, 200], "200 degrees"),
        ([-181, 0], "-181 degrees"),
        ([0, float("nan")], "nan"),
    ],
)
def test_heels_that_make_no_curve(heels: list[float], words: str) -> None:
    with refused(words) as reported:
        check_heels(np.radians(heels))
    assert "\n" not in str(reported.value)


def test_no_arms_for_a_ship_that_sinks_or_weighs_nothing() -> None:
    case = wall_sided(20.0, 4.0, 3.0, 3.0, 1.0)
    with refused("the vessel sinks"):
        heeling_of(case)
    with refused("no weights"):
        heeling_of(replace(case, weights=()))
