"""Every word that is said of a floating position: when, and with figures worked by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats
from addon.core.buoyancy.attitude import up_from_angles
from addon.core.geometry.mesh import mirrored, triangulate
from addon.core.hydrostatics import floating_position
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.hydrostatics.upright import upright_hydrostatics
from addon.core.messages.sentence import meters, place
from addon.core.model.case import Case
from addon.core.model.hull import Hull, build_hull
from addon.core.model.weights import Weight
from addon.examples.loader import EXAMPLES, listing_launch, load_example
from tests import bodies

SEA = 1025.0
BM = 4.0**2 / 12  # of a box 4 m broad on a draft of 1 m, in metres; KB is 0.5 m


def hull_of(body: bodies.Body) -> Hull:
    return build_hull(bodies.mesh(body))


def box(open_: bool = False) -> Hull:
    """10 m by 4 m by 2 m; 41 t is a draft of one meter."""
    vertices, polygons = bodies.box(10.0, 4.0, 2.0)
    kept = [face for face in polygons if not open_ or (vertices[list(face), 2] < 2.0).any()]
    return hull_of((vertices, tuple(kept)))


def afloat(
    hull: Hull, mass: float, *center: float, start: Floats | None = None
) -> FloatingPosition:
    case = Case("ship", hull, (Weight("all", mass, np.array(center)),))
    return find_floating_position(case, start, seek_others=False)


def run_command(ship: FloatingPosition) -> dict[str, str]:
    return {finding.code: finding.text for finding in ship.findings if finding.severity != "note"}


# Nothing.


def test_a_ship_that_is_well_floats_without_a_word() -> None:
    ship = afloat(box(), 41_000.0, 5.0, 0.0, 0.8)
    assert (ship.state, ship.findings) == ("afloat", ())
    assert ship.GM == pytest.approx(0.5 + BM - 0.8)
    assert np.isnan(ship.downflooding_height) and ship.downflooding_point is None


@pytest.mark.parametrize("key", EXAMPLES)
def test_the_examples_are_well(key: str) -> None:
    made = load_example(key)
    mesh = triangulate(key, made.hull.vertices, made.hull.polygons)
    hull = build_hull(mirrored(mesh) if made.half_hull else mesh)
    weights = tuple(Weight(w.name, w.mass, w.center - hull.origin, w.group) for w in made.weights)
    ship = find_floating_position(Case(made.title, hull, weights), seek_others=False)
    assert ship.state == "afloat"
    assert set(run_command(ship)) <= {"double-vertices", "inner-boundaries"}


@pytest.mark.wording
def test_the_launch_with_its_winch_outboard_lists_to_port() -> None:
    made = listing_launch()
    hull = build_hull(triangulate("launch", made.hull.vertices, made.hull.polygons))
    weights = tuple(Weight(w.name, w.mass, w.center - hull.origin) for w in made.weights)
    ship = find_floating_position(Case("launch", hull, weights), seek_others=False)
    moment = sum(w.mass * w.center[1] for w in made.weights)
    off = moment / sum(w.mass for w in made.weights)
    assert ship.equilibrium is not None
    heel = -np.degrees(ship.equilibrium.attitude.heel_rad)
    assert run_command(ship) == {
        "list": f"Lists {heel:.1f} degrees to port: weight is {off:.3f} m off center to port"
    }


# It fills, or sinks.


@pytest.mark.wording
def test_it_sinks_under_more_than_its_volume() -> None:
    ship = afloat(box(), 100_000.0, 5.0, 0.0, 1.0)
    assert ship.state == "sunk"
    assert run_command(ship) == {
        "sunk": "Sinks: the vessel weighs 100 t, and wholly under water displaces only 82 t; "
        "take off 18 t or enlarge the hull"
    }
    assert ship.equilibrium is ship.hydrostatics is None
    assert ship.reserve_volume == pytest.approx(80 - 100_000 / SEA)
    assert ship.KG == 1.0 and np.isnan(ship.GM) and np.isnan(ship.GML)


def test_just_its_volume_sinks_it_and_a_little_less_does_not() -> None:
    assert afloat(box(), 80 * SEA, 5.0, 0.0, 0.5).state == "sunk"
    assert afloat(box(), 79.9 * SEA, 5.0, 0.0, 0.5).state == "afloat"


def ported(side: float) -> Hull:
    """The box with a port a meter square in one side, its sill at z = 1."""
    vertices, polygons = bodies.box(10.0, 4.0, 2.0, 10)
    hole = [
        (vertices[list(face), 1] == 2 * side).all()
        and np.abs(vertices[list(face)].mean(axis=0) - [7.5, 2 * side, 1.5]).max() < 0.5
        for face in polygons
    ]
    return hull_of((vertices, tuple(f for f, out in zip(polygons, hole, strict=True) if not out)))


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("draft", [0.7, 1.3])
@pytest.mark.wording
def test_an_open_port_fills_it_when_its_sill_is_under(side: float, draft: float) -> None:
    ship = afloat(ported(side), 41_000 * draft, 5.0, 0.0, 0.5)
    assert ship.downflooding_height == pytest.approx(1 - draft)
    assert ship.downflooding_point is not None and ship.downflooding_point[1:] == pytest.approx(
        [2 * side, 1.0]
    )
    assert 7.0 <= ship.downflooding_point[0] <= 8.0
    assert ship.state == ("afloat" if draft < 1 else "swamped")
    if draft > 1:
        text = run_command(ship)["swamped"]
        assert text.startswith("Fills: a hole in the side is 0.3 m under water at x ")
        assert f"2.00 m to {'port' if side > 0 else 'starboard'}, z 1.00 m, and water" in text
        assert "deck-under" not in run_command(ship)
        (finding,) = (f for f in ship.findings if f.code == "swamped")
        assert finding.points == pytest.approx(ship.downflooding_point[None])
        assert ship.findings[0] is finding


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_an_open_boat_fills_over_the_low_side(side: float) -> None:
    """tan p (GM + BM tan^2 p / 2) = TCG with GM = BM; its rim is 1 cos p - 2 sin p above water."""
    tangent = 0.45
    off = tangent * BM * (1 + tangent**2 / 2)
    ship = afloat(box(open_=True), 41_000.0, 5.0, side * off, 0.5)
    cosine = 1 / np.hypot(1, tangent)
    assert ship.state == "afloat"
    assert ship.downflooding_height == pytest.approx(cosine * (1 - 2 * tangent))
    over = afloat(box(open_=True), 41_000.0, 5.0, side * 1.3 * off, 0.5)
    assert over.state == "swamped" and over.downflooding_point is not None
    assert over.downflooding_point[1] == 2 * side
    assert list(run_command(over))[:2] == ["swamped", "list"]


def test_a_loose_plate_inside_does_not_swamp_it() -> None:
    """A thwart that touches nothing, well under the level of the water outside."""
    vertices, polygons = bodies.box(10.0, 4.0, 2.0)
    tub = vertices, tuple(f for f in polygons if (vertices[list(f), 2] < 2.0).any())
    thwart = np.array([(4, -1, 0.4), (5, -1, 0.4), (5, 1, 0.4), (4, 1, 0.4)]), ((0, 1, 2, 3),)
    ship = afloat(hull_of(bodies.joined(tub, thwart)), 41_000.0, 5.0, 0.0, 0.5)
    assert ship.state == "afloat" and ship.downflooding_height == pytest.approx(1.0)
    assert set(run_command(ship)) == {"loose-faces"}


def test_a_swamped_position_is_no_other_stable_position() -> None:
    """The open box is as stable bottom up, where it would fill."""
    weight = (Weight("all", 41_000.0, np.array([5.0, 0.0, 1.0])),)
    closed, open_ = (
        find_floating_position(Case("box", box(each), weight)) for each in (False, True)
    )
    assert any(other.attitude.up[2] < -0.99 for other in closed.others)
    assert open_.others == ()


# List and loll.


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("off", [0.005, 0.03, 0.12])
@pytest.mark.wording
def test_a_list_is_reported_with_its_lever(side: float, off: float) -> None:
    """GM of 0.2 m: tan p (0.2 + BM tan^2 p / 2) = TCG."""
    ship = afloat(box(), 41_000.0, 5.0, side * off, 0.5 + BM - 0.2)
    roots = np.roots([BM / 2, 0, 0.2, -off])
    heel = np.degrees(np.arctan(roots[np.abs(roots.imag) < 1e-9].real[0]))
    way = "port" if side > 0 else "starboard"
    lever = {0.005: "0.0050", 0.03: "0.030", 0.12: "0.12"}[off]
    assert run_command(ship)["list"] == (
        f"Lists {heel:.1f} degrees to {way}: weight is {lever} m off center to {way}"
    )
    assert "loll" not in run_command(ship)


@pytest.mark.parametrize("heel", [1e-3, 15.0, -15.0])
@pytest.mark.wording
def test_a_loll_is_reported_with_the_gm_it_lacks(heel: float) -> None:
    """tan^2 p = 2 (KG - KM) / BM: 10.0 degrees for 0.0207 m; to the side it is let go."""
    rise = BM / 2 * np.tan(np.radians(10.0)) ** 2
    start = up_from_angles(np.radians(heel), 0.0)
    ship = afloat(box(), 41_000.0, 5.0, 0.0, 0.5 + BM + rise, start=start)
    side = "starboard" if heel > 0 else "port"
    assert run_command(ship) == {
        "loll": f"Lolls 10.0 degrees to {side}: upright GM is -0.021 m, so weight must come "
        "down until G is at least 0.021 m lower",
        "tender": f"Tender: GM is {2 * rise / np.cos(np.radians(10)):.3f} m (the 2008 IS Code, "
        "A 2.2, asks ships of 24 m and more for 0.15 m)",
    }
    assert ship.GM == pytest.approx(2 * rise / np.cos(np.radians(10.0)))


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.wording
def test_a_vessel_that_lolls_with_weight_aside_has_both_reported(side: float) -> None:
    """Counterweight alone would throw it over to the other side: the loll comes first."""
    ship = afloat(box(), 41_000.0, 5.0, side * 0.05, 0.5 + BM + 0.05)
    roots = np.roots([BM / 2, 0, -0.05, -0.05])
    heel = np.degrees(np.arctan(max(roots[np.abs(roots.imag) < 1e-9].real)))
    way = "port" if side > 0 else "starboard"
    words = run_command(ship)
    assert list(words)[:2] == ["loll", "list"]
    assert words["loll"].startswith(f"Lolls {heel:.1f} degrees to {way}: upright GM is -0.050 m")
    assert words["list"] == (
        f"Lists {heel:.1f} degrees to {way}: weight is 0.050 m off center to {way}"
    )


def test_weight_aside_by_less_than_a_thousandth_of_the_breadth_leaves_a_loll() -> None:
    words = run_command(afloat(box(), 41_000.0, 5.0, 0.0035, 0.5 + BM + 0.05))
    assert "loll" in words and "list" not in words


@pytest.mark.parametrize("heel", [0.04, 0.06])
def test_a_heel_too_small_to_see_is_no_list(heel: float) -> None:
    """0.05 degrees; its GM is BM, upright."""
    off = BM * np.tan(np.radians(heel)) * (1 + np.tan(np.radians(heel)) ** 2 / 2)
    assert ("list" in run_command(afloat(box(), 41_000.0, 5.0, off, 0.5))) == (heel > 0.05)


@given(
    off=st.floats(0.01, 0.06),
    rise=st.floats(-0.5, 0.03).filter(lambda rise: abs(rise) > 1e-9),
    side=st.sampled_from([1.0, -1.0]),
)
@settings(max_examples=25, deadline=None)
@pytest.mark.wording
def test_sides_go_with_the_weight(off: float, rise: float, side: float) -> None:
    words = run_command(afloat(box(), 41_000.0, 5.0, side * off, 0.5 + BM + rise))
    way = "port" if side > 0 else "starboard"
    assert f"off center to {way}" in words["list"] and f"degrees to {way}: " in words["list"]
    assert ("loll" in words) == (rise > 0)


@pytest.mark.parametrize("heel", [150.0, -150.0])
@pytest.mark.wording
def test_a_ship_bottom_up_is_capsized(heel: float) -> None:
    """A raft 0.2 m thick, as stable either way up; weight aside lists it there."""
    raft = hull_of(bodies.box(10.0, 4.0, 0.2))
    start = up_from_angles(np.radians(heel), 0.0)
    ship = afloat(raft, 4_100.0, 5.0, 0.05 * np.sign(heel), 0.1, start=start)
    side = "port" if heel > 0 else "starboard"  # where the weight is
    assert ship.equilibrium is not None
    angle = abs(np.degrees(ship.equilibrium.attitude.heel_rad))
    assert 175 < angle < 180
    assert run_command(ship) == {
        "capsized": f"Capsized: the equilibrium is {angle:.1f} degrees over to {side}"
    }


# Trim.


@pytest.mark.parametrize("by", [0.09, -0.09, 0.11, -0.11])
@pytest.mark.wording
def test_a_trim_of_a_hundredth_of_the_length_is_reported(by: float) -> None:
    """tan t (GML + BML tan^2 t / 2) = LCG - LCB with GML = BML = 25/3 m."""
    tangent = by / 10
    lever = tangent * 100 / 12 * (1 + tangent**2 / 2)
    words = run_command(afloat(box(), 41_000.0, 5.0 - lever, 0.0, 0.5))
    end, where = ("stern", "aft") if by > 0 else ("bow", "forward")
    assert words == (
        {
            "trim": f"Trims 0.11 m by the {end}: weight is {abs(lever):.3f} m {where} of the "
            "buoyancy of an even keel"
        }
        if abs(by) > 0.1
        else {}
    )


@pytest.mark.wording
def test_a_trim_that_comes_of_heeling_is_not_put_down_to_weight() -> None:
    """A hull flared forward, listing: its bow lifts though G is where it was on an even keel."""
    body = bodies.box(10.0, 4.0, 2.0, 4)
    vertices = body[0].copy()
    vertices[:, 1] *= np.where(vertices[:, 2] > 0.9, 1 + 0.08 * vertices[:, 0], 1.0)
    hull = hull_of((vertices, body[1]))
    level = upright_hydrostatics(Case("ship", hull, (Weight("all", 41_000.0, np.zeros(3)),)))
    x, _, z = level.immersion.buoyancy
    ship = afloat(hull, 41_000.0, x - 1e-3, 0.9, z)
    assert ship.hydrostatics is not None and ship.hydrostatics.trim > 0.1
    by = ship.hydrostatics.trim
    caused = run_command(afloat(hull, 41_000.0, x + 1e-3, 0.9, z))["trim"]
    assert caused.startswith(f"Trims {by:.1f}") and caused.endswith(
        ", by the shape of the heeled hull"
    )
    assert run_command(ship)["trim"].endswith("aft of the buoyancy of an even keel")


@pytest.mark.wording
def test_a_ship_on_its_end_has_no_trim_in_meters() -> None:
    words = run_command(afloat(hull_of(bodies.box(10.0, 1.0, 1.0)), 5_125.0, 1.0, 0.0, 0.5))
    assert words["on-end"] == "Stands on the stern"
    assert not words.keys() & {"trim", "list", "loll", "capsized"}


# Stiffness.


@pytest.mark.parametrize("GM", [0.14, 0.16])
def test_tender(GM: float) -> None:
    words = run_command(afloat(box(), 41_000.0, 5.0, 0.0, 0.5 + BM - GM))
    assert ("tender" in words) == (GM < 0.15)


@pytest.mark.parametrize("share", [0.3, 0.5])
@pytest.mark.wording
def test_a_round_log_has_no_preferred_attitude(share: float) -> None:
    """G on the axis: GM is none but for what its thousand sides make of it."""
    log = hull_of(bodies.horizontal_cylinder(1.0, 10.0, 1000))
    ship = afloat(log, share * log.volume * SEA, 5.0, 0.0, 1.0)
    assert run_command(ship) == {"neutral": "Neutral equilibrium: once turned, the vessel stays so"}
    heavy = afloat(log, share * log.volume * SEA, 5.0, 0.0, 0.9)
    assert "neutral" not in run_command(heavy) and heavy.GM == pytest.approx(0.1, abs=1e-4)


# The deck.


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.wording
def test_a_deck_edge_under_water_is_reported_with_its_depth(side: float) -> None:
    """Draft 1.5 m at the middle, 10 degrees: 0.5 cos 10 - 2 sin 10 = 0.145 m above, 15: 0.035
    under. Wall-sided to where the deck goes under, at 14.04 degrees."""
    ship = afloat(box(), 61_500.0, 5.0, side * 0.5, 0.75)
    assert ship.hydrostatics is not None
    depth = -ship.hydrostatics.freeboard_min
    assert depth > 0
    corner = np.array([[5.0, 2.0 * side, 2.0]])
    assert ship.equilibrium is not None
    assert depth == pytest.approx(-ship.equilibrium.attitude.heights(corner)[0])
    way = "port" if side > 0 else "starboard"
    text = run_command(ship)["deck-under"]
    assert text.startswith(f"Deck edge {depth:.3g} m under water at x ")
    assert text.endswith(f"2.00 m to {way}, z 2.00 m")
    assert ship.findings[-1].points[0, 1] == 2.0 * side
    dry = afloat(box(), 61_500.0, 5.0, side * 0.1, 0.75)
    assert "deck-under" not in run_command(dry)


# No rest found.


@pytest.mark.wording
def test_a_position_that_is_not_settled_says_how_far_off_it_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    settle = floating_position.find_equilibrium

    def restless(*args: object) -> object:
        rest = settle(*args)  # type: ignore[arg-type]
        return replace(
            rest, converged=False, iterations=300, volume_residual=-2e-3, lever_residual=0.04
        )

    monkeypatch.setattr(floating_position, "find_equilibrium", restless)
    assert run_command(afloat(box(), 41_000.0, 5.0, 0.0, 0.5)) == {
        "not-converged": "No equilibrium found in 300 steps: buoyancy is -2.0e-03 of the weight "
        "off and B 4.0e-02 m off G"
    }


# Words for lengths and places.


@pytest.mark.parametrize(
    "length,text",
    [
        (12.3456, "12.35 m"),
        (0.1, "0.10 m"),
        (-0.1, "0.10 m"),
        (0.0456, "0.046 m"),
        (-0.0032, "0.0032 m"),
        (0.0, "0.00 m"),
        (1e-9, "0.00 m"),
    ],
)
def test_lengths_keep_two_digits(length: float, text: str) -> None:
    assert str(meters(length)) == text


@pytest.mark.parametrize(
    "point,text",
    [
        ((3.2, 1.1, 0.9), "at x 3.20 m, 1.10 m to port, z 0.90 m"),
        ((-0.5, -2.0, 1.0), "at x -0.50 m, 2.00 m to starboard, z 1.00 m"),
        ((1.0, 0.0, 1.0), "at x 1.00 m, on the centerline, z 1.00 m"),
    ],
)
@pytest.mark.wording
def test_places(point: tuple[float, float, float], text: str) -> None:
    assert place(np.array(point)) == text
