"""Both sides of a ship: ranges, deck edges, openings, and what is said of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.criteria.assessment import assess, criteria_inputs_of
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.openings import Opening
from addon.core.model.weights import Weight
from addon.core.stability.both_sides import Stability, stability, stability_limits
from addon.core.stability.gz_curve import GZCurve
from addon.core.stability.righting_curve import righting_curve
from addon.core.stability.righting_lever import heeling_of
from tests import bodies
from tests.language import names, reads, refused

WATER = 1025.0
INF = float("inf")


def boxed(
    *openings: Opening, draft: float = 1.5, KG: float = 1.2, aside: float = 0.0, deck: bool = True
) -> Case:
    """A box of 20 x 4 x 3 m, open above if `deck` is off."""
    vertices, polygons = bodies.box(20.0, 4.0, 3.0, 2)
    if not deck:
        polygons = tuple(face for face in polygons if not (vertices[list(face), 2] == 3.0).all())
    hull = build_hull(bodies.mesh((vertices, polygons)))
    weight = Weight("all", 80.0 * draft * WATER, np.array([10.0, aside, KG]))
    return Case("box", hull, (weight,), WATER, openings=openings)


def at(name: str, x: float, y: float, z: float, weathertight: bool = False) -> Opening:
    return Opening(name, np.array([x, y, z]), weathertight)


def codes(ship: Stability) -> list[str]:
    return [finding.code for finding in ship.findings]


# Deck edge and openings.


@pytest.mark.slow
@given(draft=st.floats(0.5, 2.5), KG=st.floats(0.5, 1.0))
@settings(max_examples=8, deadline=None)
def test_deck_edge_of_a_box(draft: float, KG: float) -> None:
    """Wall-sided until then: tan = (D - T) / (B / 2), unless the bilge is out before."""
    ship = stability(boxed(draft=draft, KG=KG))
    for side in (ship.starboard, ship.port):
        if draft >= 1.5:
            assert side.deck_edge_angle == pytest.approx(np.arctan((3 - draft) / 2), abs=1e-8)
        held = ship.curve.at(side.sign * side.deck_edge_angle)
        edge = np.array([0.0, -2.0 * side.sign, 3.0])
        assert held.attitude.heights(edge) == pytest.approx(0.0, abs=1e-7)
        assert ship.curve.at(side.sign * (side.deck_edge_angle - 0.01)).attitude.heights(edge) > 0
    assert ship.port.deck_edge_angle == pytest.approx(ship.starboard.deck_edge_angle, abs=1e-8)


@pytest.mark.parametrize("z", [2.0, 2.4, 1.7])
def test_flooding_through_the_side_of_a_box(z: float) -> None:
    """tan = (z - T) / (B / 2) to its own side, beyond the deck edge or never to the other."""
    hull = boxed()
    ship = stability(replace(hull, openings=(at("port light", 7.0, 2.0, z), at("vent", 4.0, 0, 4))))
    low, high = ship.port, ship.starboard
    assert low.first_downflooding is not None
    assert low.first_downflooding.opening.name == "port light"
    assert low.downflooding_angle == pytest.approx(np.arctan((z - 1.5) / 2.0), abs=1e-8)
    assert high.first_downflooding is not None
    assert high.first_downflooding.opening.name == "vent"
    assert high.downflooding_angle > high.deck_edge_angle > low.downflooding_angle
    assert [each.opening.name for each in low.immersions] == ["port light", "vent"]
    assert ship.weaker is low
    mirrored = stability(replace(hull, openings=(at("light", 7.0, -2.0, z),)))
    assert mirrored.starboard.downflooding_angle == pytest.approx(low.downflooding_angle, abs=1e-8)
    assert mirrored.weaker is mirrored.starboard
    for side in (low, high):
        for each in side.immersions:
            held = ship.curve.at(side.sign * each.heel)
            assert held.attitude.heights(each.opening.point) == pytest.approx(0.0, abs=1e-7)
            earlier = ship.curve.at(side.sign * (each.heel - 0.01))
            assert earlier.attitude.heights(each.opening.point) > 0


def test_weathertight_openings_do_not_flood() -> None:
    ship = stability(
        boxed(at("door", 5.0, -2.0, 2.0, True), at("hatch", 5.0, 0.0, 3.0), at("mast", 9.0, 0, 40))
    )
    side = ship.starboard
    assert [each.opening.name for each in side.immersions] == ["door", "hatch", "mast"]
    assert side.immersions[0].heel == pytest.approx(np.arctan(0.25), abs=1e-8)
    assert side.first_downflooding is not None and side.first_downflooding.opening.name == "hatch"
    assert side.downflooding_angle == side.immersions[1].heel > side.immersions[0].heel
    closed = stability(boxed(at("door", 5.0, -2.0, 2.0, True)))
    assert (
        closed.starboard.first_downflooding is None and closed.starboard.downflooding_angle == INF
    )
    assert stability(boxed()).starboard.immersions == ()


def test_an_opening_under_water_is_said_first() -> None:
    ship = stability(boxed(at("seacock", 5.0, -2.0, 0.5), at("scuttle", 5.0, -2.0, 0.7, True)))
    assert codes(ship)[:2] == ["opening-under", "opening-under"]
    assert names(ship.findings[0].text) == ["seacock"] and reads(
        ship.findings[0].text, "1 m under water"
    )
    assert reads(ship.findings[0].text, "water comes in")
    assert reads(ship.findings[1].text, "closed weathertight")
    for side in (ship.starboard, ship.port):
        assert side.downflooding_angle == pytest.approx(side.equilibrium_heel, abs=1e-12)
    tight = stability(boxed(at("scuttle", 5.0, -2.0, 0.7, True)))
    assert tight.starboard.downflooding_angle == INF
    assert tight.starboard.immersions[0].heel == pytest.approx(0.0, abs=1e-12)


def test_rims_of_an_open_hull_flood() -> None:
    ship = stability(boxed(deck=False))
    for side in (ship.starboard, ship.port):
        assert side.first_downflooding is not None
        assert side.first_downflooding.opening.kind == "open top"
        assert (
            side.downflooding_angle
            == pytest.approx(np.arctan(0.75), abs=1e-8)
            == side.deck_edge_angle
        )
        assert side.first_downflooding.opening.point[1:] == pytest.approx([-2.0 * side.sign, 3.0])
    swamped = stability(boxed(deck=False, draft=2.6, aside=-0.3))
    assert codes(swamped)[0] == "swamped"
    assert swamped.starboard.downflooding_angle == swamped.starboard.equilibrium_heel


def test_an_opening_inside_the_hull_is_refused() -> None:
    with refused("opening 'lost' .* lies inside the hull") as caught:
        stability(boxed(at("lost", 10.0, 0.0, 2.0)))
    assert "\n" not in str(caught.value)
    stability(boxed(at("in the skin", 10.0, 0.0, 3.0)))
    with refused("opening 'nowhere': its position is not a number"):
        at("nowhere", 10.0, float("nan"), 2.0)


# Ranges.


def test_wall_sided_box() -> None:
    """It is stable to where GZ vanishes; its greatest arm lies between, on either side alike."""
    stiff = stability(boxed(KG=1.2))
    assert stiff.GM == pytest.approx(0.75 + 16 / 18 - 1.2, abs=1e-9)
    for side in (stiff.starboard, stiff.port):
        assert side.equilibrium_heel == pytest.approx(0.0, abs=1e-9)
        assert stiff.curve.at(side.sign * side.vanishing_angle).arm == pytest.approx(0.0, abs=1e-4)
        assert side.range == side.vanishing_angle - side.equilibrium_heel > np.radians(60)
        assert 0 < side.max_gz_heel < side.vanishing_angle
        assert side.max_gz == pytest.approx(
            abs(stiff.curve.at(side.sign * side.max_gz_heel).arm), abs=1e-4
        )
        inside = np.linspace(0.01, side.vanishing_angle - 0.01, 50)
        assert (side.gz_curve.arm(inside) > 0).all()
    assert stiff.starboard.name == "starboard" and stiff.port.name == "port"
    assert stiff.port.vanishing_angle == pytest.approx(stiff.starboard.vanishing_angle, abs=1e-9)
    assert stiff.weaker is stiff.starboard


def test_list() -> None:
    """G aside to starboard: it rests at one heel, counted positive on the one side, negative on
    the other, and has less to lose to starboard."""
    ship = stability(boxed(aside=-0.05))
    assert ship.floating.equilibrium is not None
    heel = ship.floating.equilibrium.attitude.heel_rad
    assert heel > np.radians(3)
    assert ship.starboard.equilibrium_heel == pytest.approx(heel, abs=1e-5)
    assert ship.port.equilibrium_heel == pytest.approx(-heel, abs=1e-5)
    assert ship.weaker is ship.starboard
    assert ship.starboard.max_gz < ship.port.max_gz
    other = stability(boxed(aside=0.05))
    assert other.weaker is other.port
    assert other.port.range == pytest.approx(ship.starboard.range, abs=1e-6)
    assert other.port.max_gz == pytest.approx(ship.starboard.max_gz, abs=1e-6)
    assert other.starboard.deck_edge_angle == pytest.approx(ship.port.deck_edge_angle, abs=1e-6)


def test_loll() -> None:
    """It rests at the angle of loll on each side, and its range begins there."""
    rise = 0.05
    ship = stability(boxed(KG=0.75 + 16 / 18 + rise))
    loll = np.arctan(np.sqrt(2 * rise / (16 / 18)))
    assert ship.GM == pytest.approx(-rise, abs=1e-9)
    for side in (ship.starboard, ship.port):
        assert side.equilibrium_heel == pytest.approx(loll, abs=2e-4)
        assert side.vanishing_angle > side.equilibrium_heel
        assert side.range == pytest.approx(side.vanishing_angle - side.equilibrium_heel)
    assert "loll" in codes(ship)


def test_self_righting() -> None:
    hull = build_hull(bodies.mesh(bodies.horizontal_cylinder(1.0, 10.0, 36)))
    weight = Weight("all", 0.5 * hull.volume * WATER, np.array([5.0, 0.0, 0.5]))
    ship = stability(Case("buoy", hull, (weight,)))
    for side in (ship.starboard, ship.port):
        assert side.vanishing_angle == INF and side.range == pytest.approx(np.pi)
        assert side.max_gz_heel == pytest.approx(np.pi / 2, abs=0.05)
        assert side.max_gz == pytest.approx(0.5, abs=5e-3)


def test_capsized_from_the_start() -> None:
    """Never an arm that brings it back: no range, and it is said to have capsized."""
    ship = stability(boxed(draft=2.0, KG=3.4))
    assert "capsized" in codes(ship)
    for side in (ship.starboard, ship.port):
        assert side.range == 0.0 and side.vanishing_angle == side.equilibrium_heel
        assert np.isfinite(side.equilibrium_heel)


def test_floats_on_its_side() -> None:
    hull = build_hull(bodies.mesh(bodies.box(20.0, 0.5, 4.0)))
    weight = Weight("plank", 20.0 * WATER, np.array([10.0, 0.0, 2.0]))
    ship = stability(Case("plank", hull, (weight,)))
    assert ship.GM < 0
    for side in (ship.starboard, ship.port):
        assert side.equilibrium_heel == pytest.approx(np.pi / 2, abs=1e-6)
        assert side.vanishing_angle == INF and side.max_gz > 0


def test_sunk() -> None:
    with refused("box: Sinks: the vessel weighs 246 t") as caught:
        stability(boxed(draft=3.0))
    assert "\n" not in str(caught.value)
    with refused("no weights"):
        stability(replace(boxed(), weights=()))
    with refused("do not rise"):
        stability(boxed(), [0.3, 0.2])


def test_fixed_trim() -> None:
    """A hull with a fine bow: free to trim it has less at large heels, upright the same GM."""
    bulk = build_hull(
        bodies.mesh(
            bodies.joined(
                bodies.box(8.0, 4.0, 2.6), bodies.moved(bodies.wedge(12.0, 4.0, 2.6), (8.0, 0, 0))
            )
        )
    )
    weight = Weight("all", 0.4 * bulk.volume * WATER, np.array([9.0, 0.0, 1.3]))
    case = Case("ship", bulk, (weight,))
    free, fixed = stability(case), stability(case, fixed_trim=True)
    trim = free.curve.upright.attitude.trim_rad
    assert all(
        each.attitude.trim_rad == pytest.approx(trim, abs=1e-9) for each in fixed.curve.positions
    )
    assert fixed.GM == pytest.approx(free.GM, abs=1e-9)
    trims = [each.attitude.trim_rad for each in free.curve.positions]
    assert max(trims) - min(trims) > np.radians(1)
    heels = np.radians(np.arange(5.0, 90.0, 5.0))
    assert (fixed.starboard.gz_curve.area(0, 1.0)) > free.starboard.gz_curve.area(0, 1.0)
    assert not np.allclose(
        fixed.starboard.gz_curve.arm(heels), free.starboard.gz_curve.arm(heels), 1e-3
    )


def test_heels_asked_for_are_points() -> None:
    asked = np.radians([-33.3, 0.0, 12.34, 77.7])
    ship = stability(boxed(), asked)
    heels = np.array([each.heel for each in ship.curve.positions])
    assert np.isin(asked, heels).all()
    assert heels[0] == pytest.approx(-np.pi) and heels[-1] == pytest.approx(np.pi)


# The ends of the range, on curves drawn by hand.


def drawn(*points: tuple[float, float]) -> GZCurve:
    heels, arms = np.radians([p[0] for p in points]), np.array([p[1] for p in points])
    slopes = np.gradient(arms, heels)
    steps = np.diff(heels)
    areas = steps * (arms[:-1] + arms[1:]) / 2 + steps**2 * (slopes[:-1] - slopes[1:]) / 12
    return GZCurve(heels, arms, slopes, np.concatenate([[0.0], np.cumsum(areas)]))


@pytest.mark.parametrize(
    "zeros, expected",
    [
        ([(0, True), (70, False)], (0, 70)),
        ([(-8, True), (60, False)], (-8, 60)),
        ([(8, True), (60, False)], (8, 60)),
        ([(-10, True), (0, False), (10, True), (60, False)], (10, 60)),
        ([(-12, True), (-2, False), (9, True), (60, False)], (9, 60)),
        ([(-60, False), (0, True), (40, False), (80, True), (120, False)], (0, 40)),
        ([(0, True)], (0, INF)),
        ([(-90, True), (0, False), (90, True)], (90, INF)),
        ([(0, False)], (180, 180)),
    ],
)
def test_ends_of_range(zeros: list[tuple[float, bool]], expected: tuple[float, float]) -> None:
    """Crossings (degrees, rising) of a curve made of arches between them; afloat at 180 if nowhere
    else."""
    ends = [-180.0, *(heel for heel, _ in zeros), 180.0]
    signs = [-1 if zeros[0][1] else 1, *(1 if rising else -1 for _, rising in zeros)]
    nodes: list[tuple[float, float]] = []
    for low, high, sign in zip(ends, ends[1:], signs, strict=False):
        shares = np.linspace(0, 1, 21)[:-1]
        nodes += [(low + (high - low) * s, sign * np.sin(np.pi * s)) for s in shares.tolist()]
    arms = drawn(*nodes, (180.0, 0.0))
    found = stability_limits(arms, np.pi)
    assert np.degrees(found) == pytest.approx(expected, abs=1e-6)


def test_no_positive_arm_at_all() -> None:
    heels = np.radians(np.arange(-180.0, 181.0, 5.0))
    arms = GZCurve(heels, -np.abs(np.sin(heels)) - 0.1, 0 * heels, 0 * heels)
    assert stability_limits(arms, 0.3) == (0.3, 0.3)


# Judged.


def test_particulars_of_the_weaker_side() -> None:
    case = boxed(at("light", 7.0, 2.0, 2.0), aside=0.02)
    judged = assess(case)
    ship, figures = judged.stability, judged.inputs
    assert ship.weaker is ship.port
    assert (
        figures.downflooding_angle == ship.port.downflooding_angle
        and figures.downflooding_opening == "light"
    )
    assert (
        figures.gz_curve is ship.port.gz_curve
        and figures.equilibrium_heel == ship.port.equilibrium_heel > 0
    )
    assert figures.mass == pytest.approx(120 * WATER)
    assert figures.draft == pytest.approx(1.5) and figures.KG == pytest.approx(1.2)
    assert (figures.length, figures.breadth, figures.max_displaced_volume) == pytest.approx(
        (20, 4, 160)
    )
    assert figures.end == pytest.approx(np.pi)
    away = criteria_inputs_of(ship, ship.starboard)
    assert away.downflooding_angle == ship.starboard.downflooding_angle > np.radians(90)
    assert assess(boxed()).inputs.downflooding_angle == np.inf


@pytest.mark.slow
def test_what_is_said_where_no_trim_holds() -> None:
    body = bodies.scaled(bodies.star(3, 3, 0.3), (4.0, 1.5, 1.0))
    hull = build_hull(bodies.mesh(body))
    weight = Weight("all", 0.5 * hull.volume * WATER, np.array([3.5, 0.05, 0.6]))
    ship = stability(Case("stub", hull, (weight,)))
    (run_command,) = [finding for finding in ship.findings if finding.code == "no-trim"]
    assert (
        run_command.severity == "warning"
        and reads(run_command.text, "more")
        and "\n" not in run_command.text
    )
    lost = [each for each in ship.curve.positions if not each.converged]
    assert reads(run_command.text, f"and {len(lost) - 5} more")
    plain = righting_curve(heeling_of(boxed()), [0.0])
    assert all(each.converged for each in plain.positions)
