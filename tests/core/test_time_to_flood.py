"""Flooding in time: the orifice law, how a ship yields to water, and the run with its events."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from addon.cli.main import main
from addon.core.arrays import Floats
from addon.core.buoyancy.body import LostBuoyancy, LostPart
from addon.core.compartments.find_compartments import find_compartments
from addon.core.damage.breach import Breach
from addon.core.damage.flooding import flood
from addon.core.damage.orifice import GRAVITY, flow
from addon.core.flooding_time import tr_bdf2
from addon.core.flooding_time.flooded_state import (
    FloatingVessel,
    FloodableCompartment,
    FloodedState,
)
from addon.core.flooding_time.flooding_history import FloodingHistory
from addon.core.flooding_time.time_to_flood import Pump, simulate_flooding
from addon.core.hydrostatics.equilibrium import find_equilibrium
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.messages.subjects import Subject
from addon.core.model.case import Case
from addon.core.model.compartment import SEA, Compartment, CompartmentPlan, Gap
from addon.core.model.hull import build_hull
from addon.core.model.openings import Door, Opening
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from addon.parts.case_file import read_case
from tests import bodies
from tests.core.box_compartments import block
from tests.language import reads, refused
from tests.tank_networks import TankRun, compartment_of, way

pytestmark = pytest.mark.slow


WATER = 1000.0
FREE = np.sqrt(2 * GRAVITY)


def barge(draft: float = 2.5, KG: float = 2.0, **more: object) -> Case:
    """A box of 40 x 10 x 5 m in fresh water at a draft, its weight at a height amidships."""
    hull = build_hull(bodies.mesh(bodies.box(40.0, 10.0, 5.0)))
    weight = Weight("all", 400.0 * draft * WATER, np.array([20.0, 0.0, KG]))
    return replace(Case("barge", hull, (weight,), WATER), **more)


AFT = compartment_of("aft", block((10, 20), (-5, 5), (0, 5)), 0.9)
FORE = compartment_of("fore", block((20, 30), (-5, 5), (0, 5)), 0.8)
SIDE = compartment_of("side", block((10, 30), (0, 5), (0.5, 5)))
BOTH = CompartmentPlan((AFT, FORE))
BOTTOM = Breach(np.array([15.0, 0.0, 0.0]), 0.2)
DOOR = Door("door", np.array([20.0, 0.0, 1.0]), 1.2, 2.0, ("aft", "fore"))


def kinds(flooded: FloodingHistory) -> list[str]:
    """The kinds of its events, in order."""
    return [event.kind for event in flooded.events]


def time_of(flooded: FloodingHistory, kind: str) -> float:
    """When the first event of a kind comes about."""
    return next(event.time for event in flooded.events if event.kind == kind)


def lost_buoyancy_error(flooded: FloodingHistory, compartments: tuple[Compartment, ...]) -> float:
    """How far its end is from that of a ship that has lost the compartments (share of what they
    hold)."""
    case = flooded.case
    lost = tuple(
        LostPart(compartment.body, compartment.permeability) for compartment in compartments
    )
    rest = find_equilibrium(
        LostBuoyancy(case.hull.tree, lost), case.load.volume, case.load.gravity_at
    )
    assert rest.converged
    water = [
        compartment.permeability * compartment.body.below(rest.attitude).volume
        for compartment in compartments
    ]
    off = np.abs(flooded.water[-1] - water) / [
        compartment.permeability * compartment.volume for compartment in compartments
    ]
    return float(off.max())


def test_flow_is_the_mean_over_the_height() -> None:
    generator = np.random.default_rng(1)
    first, second = generator.uniform(-1, 3, (2, 200))
    push = generator.uniform(-1, 1, 200) * (np.arange(200) % 2)
    height = generator.uniform(0.5, 2, 200)
    ours = flow(first, second, push, np.full(200, 0.6), height).rate
    z = (np.arange(20000) + 0.5) / 20000 * height[:, None]
    over, other = (np.maximum(level[:, None] - z, 0) for level in (first, second))
    head = push[:, None] + over - other
    gives = np.where(head > 0, z <= first[:, None], z <= second[:, None])
    rate = (gives * np.sign(head) * np.sqrt(np.abs(head))).mean(axis=1)
    assert ours == pytest.approx(0.6 * FREE * rate, abs=3e-4)


@pytest.mark.parametrize("height", [0.0, 1.3])
def test_slopes_of_flow(height: float) -> None:
    generator = np.random.default_rng(2)
    given = generator.uniform(-1, 3, (3, 300)) * [[1], [1], [0.3]]
    size = np.full(300, 0.4), np.full(300, height)
    found = flow(*given, *size)
    for i, slope in enumerate((found.by_first, found.by_second, found.by_air_head)):
        step = 1e-6 * np.eye(3)[i][:, None]
        there, back = flow(*(given + step), *size).rate, flow(*(given - step), *size).rate
        assert slope == pytest.approx((there - back) / 2e-6, rel=1e-4, abs=1e-4)


def test_flow_turns_with_the_sides() -> None:
    first, second, push = np.random.default_rng(3).uniform(-1, 2, (3, 50))
    size = np.full(50, 0.4), np.linspace(0, 2, 50)
    there, back = flow(first, second, push, *size), flow(second, first, -push, *size)
    assert there.rate == pytest.approx(-back.rate)


def test_ship_yields_as_a_pose_says() -> None:
    hull = build_hull(bodies.mesh(bodies.wigley(40, 8, 3, 5)))
    case = Case("ship", hull, (Weight("all", 3e5, np.array([20.0, 0.0, 2.0])),), WATER)
    rest = find_floating_position(case, seek_others=False).equilibrium
    assert rest
    compartments = (AFT, compartment_of("port", block((22, 30), (0.5, 3), (1, 4))))
    ship = FloatingVessel(
        hull.tree, case.load, tuple(map(FloodableCompartment, compartments)), rest.attitude
    )
    water, more = np.array([20.0, 8.0]), np.array([2e-3, 1e-3])
    pose, there, back = ship(water), ship(water + more), ship(water - more)
    assert pose and there and back
    points = np.array([[3.0, 1.0, 0.5], [30.0, -2.0, 2.0]])

    def depth(pose: FloodedState) -> Floats:
        return -pose.attitude.heights(points)

    move = pose.compliance @ pose.depth_changes(pose.middles).T @ more
    assert pose.depth_changes(points) @ move == pytest.approx(
        (depth(there) - depth(back)) / 2, rel=1e-5
    )
    lean = (
        pose.depth_changes(points) - pose.depth_changes(pose.middles)
    ) @ move + more / pose.areas
    over = [p.levels - points @ p.attitude.up for p in (there, back)]
    assert lean == pytest.approx((over[0] - over[1]) / 2, rel=1e-5)


def test_ends_where_lost_buoyancy_does() -> None:
    flooded = simulate_flooding(barge(doors=(DOOR,)), BOTH, "aft", BOTTOM)
    assert flooded.settled and flooded.lost is None
    assert kinds(flooded) == ["progressive-flooding", "settled"]
    assert lost_buoyancy_error(flooded, (AFT, FORE)) < 1e-6


def test_heels_to_where_lost_buoyancy_does() -> None:
    hole = Breach(np.array([20.0, 5.0, 1.0]), 0.1)
    flooded = simulate_flooding(barge(1.5, 1.5), CompartmentPlan((SIDE,)), "side", hole)
    assert flooded.settled and flooded.ups[-1, 1] < -0.1
    assert lost_buoyancy_error(flooded, (SIDE,)) < 1e-6


def test_what_leaves_one_space_enters_another() -> None:
    pump = Pump("fore", 0.05, 100.0)
    flooded = simulate_flooding(
        barge(doors=(DOOR,)), BOTH, "aft", BOTTOM, pumps=(pump,), until=2000.0
    )
    hole, door, lifted = flooded.passed.T
    assert [(way.kind, way.name) for way in flooded.paths[:2]] == [
        ("breach", "the breach"),
        ("door", "door"),
    ]
    assert lifted[-1] == pytest.approx(0.05 * 1900, rel=0.05)
    assert flooded.water[:, 0] == pytest.approx(hole - door, rel=1e-12, abs=1e-9)
    assert flooded.water.sum(axis=1) == pytest.approx(hole - lifted, rel=1e-12, abs=1e-9)


def test_door_lets_water_over_its_sill() -> None:
    """Held at a draft, the compartment fills to a sill 1 m up in 2 A (sqrt(H) - sqrt(H - 1)) / (Cd
    a sqrt(2 g))."""
    case = barge(doors=(DOOR,))
    flooded = simulate_flooding(case, BOTH, "aft", BOTTOM, fixed_attitude=True)
    time = 2 * 90 * (np.sqrt(2.5) - np.sqrt(1.5)) / (0.12 * FREE)
    assert time_of(flooded, "progressive-flooding") == pytest.approx(time, rel=1e-5)
    assert np.abs(flooded.water[flooded.times <= time, 1]).max() < 1e-12
    closed = replace(case, doors=(replace(DOOR, closed=True),))
    assert simulate_flooding(closed, BOTH, "aft", BOTTOM, fixed_attitude=True).compartments == (
        "aft",
    )


def test_duct_joins_compartments_that_share_no_wall() -> None:
    """Over the floors of compartments of 50 m2, 15 m apart: 2 A sqrt(H) / (Cd a sqrt(2 g))."""
    far = compartment_of("far", block((30, 35), (-5, 5), (0, 5)))
    near = compartment_of("aft", block((10, 15), (-5, 5), (0, 5)))
    between, compartments = np.array([22.0, 0.0, 0.0]), CompartmentPlan((near, far))
    hole = Breach(np.array([12.0, 0.0, 0.0]), 5.0)

    def filled(discharge_coefficient: float | None) -> float:
        duct = Door(
            "duct",
            between,
            0.02,
            compartments=("aft", "far"),
            discharge_coefficient=discharge_coefficient,
        )
        ran = simulate_flooding(
            barge(doors=(duct,)), compartments, "aft", hole, fixed_attitude=True
        )
        assert ran.settled
        return ran.settled

    drawn = 2 * 50 * np.sqrt(2.5) / (0.02 * FREE)
    assert filled(0.5) == pytest.approx(drawn / 0.5, rel=2e-3)
    assert filled(1.0) == pytest.approx(drawn, rel=5e-3)
    with refused("share no boundary"):
        filled(None)


def test_gap_is_a_way() -> None:
    edges = np.array([[[20.0, -1, 1], [20, 1, 1]], [[20, 1, 2], [20, -1, 2]]])
    gap = Gap(("aft", "fore"), "bulkhead", edges, 2.0, np.array([20.0, 0.0, 1.0]))
    flooded = simulate_flooding(
        barge(), replace(BOTH, gaps=(gap,)), "aft", BOTTOM, fixed_attitude=True
    )
    assert flooded.compartments == ("aft", "fore")
    assert flooded.paths[1].height == 1.0
    assert flooded.water[-1] == pytest.approx([225.0, 200.0], rel=1e-6)


def test_shut_in_air_holds_the_water_up() -> None:
    """Boyle: with H the depth of the floor and D the height of the compartment, the water stands h
    high where H - h = (p0 / rho g) h / (D - h)."""
    flooded = simulate_flooding(barge(), BOTH, "aft", BOTTOM, trapped=("aft",), fixed_attitude=True)
    air = 101325 / (WATER * GRAVITY)
    both = 2.5 + 5 + air
    height = (both - np.sqrt(both**2 - 4 * 2.5 * 5)) / 2
    assert flooded.settled
    assert flooded.water[-1, 0] == pytest.approx(90 * height, rel=1e-6)


@pytest.mark.parametrize(("z", "rises"), [(0.0, False), (0.3, False), (1.5, True)])
def test_air_rises_out_through_a_hole_over_the_water(z: float, rises: bool) -> None:
    """By Boyle, as above, the water stands 0.74 m high in it through a hole below that."""
    hole = Breach(np.array([15.0, 5.0, z]), 0.2)
    ran = simulate_flooding(barge(), BOTH, "aft", hole, trapped=("aft",), fixed_attitude=True)
    assert [each.code for each in ran.findings] == ["air-rises"] * rises
    assert simulate_flooding(barge(), BOTH, "aft", hole, fixed_attitude=True).findings == ()


def test_pump_keeps_a_level() -> None:
    """It stands where Cd a sqrt(2 g (H - h)) is what the pump lifts."""
    flooded = simulate_flooding(
        barge(), BOTH, "aft", BOTTOM, pumps=(Pump("aft", 0.6),), fixed_attitude=True
    )
    assert flooded.settled
    height = 2.5 - (0.6 / 0.12) ** 2 / (2 * GRAVITY)
    assert flooded.water[-1, 0] == pytest.approx(90 * height, rel=1e-5)
    rates = np.diff(flooded.passed[-2:], axis=0)[0] / np.diff(flooded.times[-2:])
    assert rates == pytest.approx([0.6, 0.6], rel=1e-4)


def test_full_compartment_takes_no_more() -> None:
    low = compartment_of("low", block((15, 25), (-5, 5), (0, 1)))
    flooded = simulate_flooding(barge(3.0, 1.5), CompartmentPlan((low,)), "low", BOTTOM)
    assert flooded.settled and kinds(flooded) == ["full", "settled"]
    assert flooded.water[-1, 0] == pytest.approx(100.0, rel=1e-6)
    assert flooded.surfaces[-1, 0] == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("x", "z", "at"), [((15, 25), (1, 5), (20, 1)), ((25, 35), (0, 5), (25, 0.2))]
)
def test_full_compartment_feeds_another(
    x: tuple[float, float], z: tuple[float, float], at: tuple[float, float]
) -> None:
    """Through a small hatch or a low door, till both are as high as the sea."""
    low = compartment_of("low", block((15, 25), (-5, 5), (0, 1)))
    other = compartment_of("other", block(x, (-5, 5), z))
    door = Door("door", np.array([at[0], 0.0, at[1]]), 0.02, 0.0, ("low", "other"))
    flooded = simulate_flooding(
        barge(3.0, 1.5, doors=(door,)), CompartmentPlan((low, other)), "low", BOTTOM
    )
    assert flooded.settled and time_of(flooded, "full") < flooded.settled / 10
    assert lost_buoyancy_error(flooded, (low, other)) < 1e-6


def test_errors_fall_as_steps_are_halved(monkeypatch: pytest.MonkeyPatch) -> None:
    trough = compartment_of("trough", bodies.wedge(5.0, 1.8, 1.2))
    outlet = way(SEA, "trough", (2.5, 0, 0), 0.002)
    errors = []
    for change in (0.04, 0.02, 0.01):
        monkeypatch.setattr(tr_bdf2, "MAX_CHANGE_SHARE", change)
        ran = TankRun((trough,), (outlet,), (trough.volume,), tolerance=1e-3)
        time = ran.when(lambda moment: float(moment.water[0] - trough.volume / 8))
        exact = 2 / 3 * 5 * 1.5 * (1.2**1.5 - (1.2**2 / 8) ** 0.75) / (0.0012 * FREE)
        errors.append(abs(time - exact))
    assert errors[0] > 3 * errors[1] > 9 * errors[2] > 0


def test_errors_fall_with_the_tolerance() -> None:
    trough = compartment_of("trough", bodies.wedge(5.0, 1.8, 1.2))
    outlet = way(SEA, "trough", (2.5, 0, 0), 0.002)
    exact = 2 / 3 * 5 * 1.5 * 1.2**1.5 / (0.0012 * FREE)
    errors = [
        abs(TankRun((trough,), (outlet,), (trough.volume,), tolerance=tolerance).end - exact)
        for tolerance in (1e-3, 1e-5, 1e-7)
    ]
    assert errors[0] > 2 * errors[1] > 4 * errors[2]


def test_capsizes() -> None:
    hole = Breach(np.array([20.0, 5.0, 1.0]), 0.1)
    flooded = simulate_flooding(barge(2.5, 4.0), CompartmentPlan((SIDE,)), "side", hole)
    assert flooded.settled is None and flooded.lost == flooded.times[-1]
    assert flooded.events[-1].loss == "capsizes" and reads(flooded.events[-1].what, "Capsizes")
    assert [kind for kind in kinds(flooded) if "heel" in kind] == ["heel-15", "heel-30"]
    assert "deck-edge" in kinds(flooded)
    assert time_of(flooded, "margin-line") < time_of(flooded, "deck-edge")


@pytest.mark.parametrize(("fore", "end"), [(False, "stern"), (True, "bow")])
def test_founders_by_an_end(fore: bool, end: str) -> None:
    """The rest that `flood` finds is at 78 degrees of trim."""
    low, high = (15, 5) if fore else (0, 10)
    compartments = tuple(
        compartment_of(f"{x}", block((x, x + 5), (-3, 3), (0, 4))) for x in (low, high)
    )
    hull = build_hull(bodies.mesh(bodies.box(20.0, 6.0, 4.0)))
    weight = Weight("all", 234.1 * WATER, np.array([10.0, 0.0, 1.5]))
    case = Case("short", hull, (weight,), WATER, flooded=(f"{high}",))
    hole = Breach(np.array([low + 2.5, 3.0, 1.0]), 0.1)
    ran = simulate_flooding(case, CompartmentPlan(compartments), f"{low}", hole)
    assert ran.settled is None and ran.events[-1].loss == f"plunges-by-{end}"
    assert reads(ran.events[-1].what, f"Plunges by the {end}")
    assert ran.lost == ran.times[-1] and abs(ran.ups[-1][0]) == pytest.approx(0.75**0.5, abs=1e-3)


@pytest.mark.parametrize(("draft", "KG"), [(4.4, 2.8), (4.0, 3.0), (4.4, 3.2)])
def test_what_comes_about_as_it_falls_over_is_in_order(draft: float, KG: float) -> None:
    """From less than 15 degrees of heel it goes right over."""
    hole = Breach(np.array([20.0, 5.0, 1.0]), 0.1)
    flooded = simulate_flooding(barge(draft, KG), CompartmentPlan((SIDE,)), "side", hole)
    times = [event.time for event in flooded.events]
    assert times == sorted(times)
    assert kinds(flooded) == ["margin-line", "deck-edge", "heel-15", "heel-30", "lost"]
    assert time_of(flooded, "heel-15") == time_of(flooded, "heel-30") == flooded.lost


def test_open_edges_let_water_in_where_the_division_says() -> None:
    """An open tub in two floods aft till that rim is under, and stays afloat on the other part, as
    by lost buoyancy."""
    vertices, faces = bodies.box(40.0, 10.0, 5.0)
    sides = tuple(face for face in faces if vertices[list(face), 2].min() < 5.0)
    hull = build_hull(bodies.mesh((vertices, sides)))
    boundary = bodies.mesh(
        (np.array([[4, -6, -1], [4, 6, -1], [4, 6, 6], [4, -6, 6.0]]), ((0, 1, 2, 3),))
    )
    case = replace(barge(3.3), hull=hull, boundaries=(boundary,))
    plan = find_compartments(case)
    hole = Breach(np.array([2.0, 0.0, 0.0]), 0.2)
    flooded = simulate_flooding(case, plan, "space 1", hole)
    assert kinds(flooded)[-2:] == ["opening", "settled"] and flooded.lost is None
    assert flooded.events[-2].subject == Subject("compartment", "space 1")
    assert reads(flooded.events[-2].what, "Open edge of compartment 'space 1' under water")
    found = flood(case, plan, ["space 1"], whole_curve=False)
    assert found.floating.equilibrium and found.survives
    assert flooded.compartments == found.compartments == ("space 1",)
    assert flooded.ups[-1] == pytest.approx(found.floating.equilibrium.attitude.up, abs=1e-7)
    assert flooded.water[-1, 0] == pytest.approx(found.water, rel=1e-6)


@pytest.fixture(scope="module")
def workboat(tmp_path_factory: pytest.TempPathFactory) -> tuple[Case, CompartmentPlan]:
    """The example, with its compartments."""
    folder = tmp_path_factory.mktemp("workboat") / "boat"
    assert main(["new", str(folder), "--example", "workboat"]) == 0
    case = read_case(folder / "case.toml")
    return case, find_compartments(case)


@pytest.mark.parametrize("already", [(), ("fore peak",)])
def test_workboat_ends_where_it_floats_flooded(
    workboat: tuple[Case, CompartmentPlan], already: tuple[str, ...]
) -> None:
    case, plan = replace(workboat[0], flooded=already), workboat[1]
    hole = Breach(np.array([4.0, 2.18, 1.0]), 0.05)
    flooded = simulate_flooding(case, plan, "engine room", hole)
    found = flood(case, plan, ["engine room"], whole_curve=False)
    assert found.floating.equilibrium and flooded.settled
    assert flooded.case.flooded == already and flooded.compartments == ("engine room",)
    attitude = found.floating.equilibrium.attitude
    assert flooded.ups[-1] == pytest.approx(attitude.up, abs=1e-6)
    assert flooded.levels[-1] == pytest.approx(attitude.level, abs=1e-6)


def test_sinks() -> None:
    most = compartment_of("most", block((4, 36), (-5, 5), (0, 5)))
    flooded = simulate_flooding(barge(3.0, 1.0), CompartmentPlan((most,)), "most", BOTTOM)
    assert flooded.lost is not None and flooded.events[-1].loss == "sinks"
    assert flooded.water[-1, 0] == pytest.approx(800.0, rel=1e-4)


def test_opening_that_goes_under_lets_water_in() -> None:
    vent = Opening("vent", np.array([25.0, 5.0, 2.8]), area=0.05, compartments=("fore",))
    unsized = Opening("pipe", np.array([25.0, 5.0, 2.7]), compartments=("fore",))
    closed = Opening("hatch", np.array([25.0, 5.0, 2.6]), True, area=1.0, compartments=("fore",))
    case = barge(openings=(vent, unsized, closed))
    flooded = simulate_flooding(case, BOTH, "aft", BOTTOM)
    under = [event for event in flooded.events if event.kind == "opening"]
    assert [event.subject for event in under] == [
        Subject("opening", name) for name in ("hatch", "pipe", "vent")
    ]
    assert reads(under[0].what, "Opening 'hatch' under water, closed weathertight")
    assert reads(under[1].what, "Opening 'pipe' under water")
    assert flooded.compartments == ("aft", "fore")
    assert time_of(flooded, "progressive-flooding") == pytest.approx(under[2].time, rel=1e-4)
    assert [note.code for note in flooded.findings] == ["no-area"]
    assert flooded.findings[0].subjects == (Subject("opening", "pipe"),)


def test_opening_left_open() -> None:
    case = barge(openings=(Opening("sea cock", BOTTOM.point, True, area=0.2),))
    flooded = simulate_flooding(case, BOTH, "aft", "sea cock", fixed_attitude=True)
    again = simulate_flooding(barge(), BOTH, "aft", BOTTOM, fixed_attitude=True)
    assert flooded.settled == pytest.approx(again.settled)


def test_opening_left_open_leads_where_it_says() -> None:
    """A pipe that goes down into the compartment from far outside its boundaries."""
    pipe = Opening("suction", np.array([15.0, 0.0, -1.5]), area=0.1, compartments=("fore",))
    named = simulate_flooding(barge(openings=(pipe,)), BOTH, "fore", "suction", fixed_attitude=True)
    assert named.compartments == ("fore",) and len(named.paths) == 1
    found = replace(pipe, compartments=())
    assert simulate_flooding(
        barge(openings=(found,)), BOTH, "aft", "suction", fixed_attitude=True
    ).settled
    with refused("leads into compartment 'aft', not 'fore'; give that compartment"):
        simulate_flooding(barge(openings=(found,)), BOTH, "fore", "suction")


def test_hole_across_two_compartments() -> None:
    hole = replace(BOTTOM, point=np.array([20.0, 0.0, 0.0]))
    flooded = simulate_flooding(barge(), BOTH, ("aft", "fore"), hole, fixed_attitude=True)
    assert flooded.passed[1, 0] == pytest.approx(flooded.passed[1, 1], rel=1e-3)
    assert flooded.water[-1] == pytest.approx([225.0, 200.0], rel=1e-6)


def test_tank_begins_with_what_is_in_it() -> None:
    tank = Tank("aft", AFT.body, WATER, 0.3, 0.9)
    flooded = simulate_flooding(barge(2.0, tanks=(tank,)), BOTH, "aft", BOTTOM)
    assert flooded.water[0, 0] == pytest.approx(135.0)
    bare = replace(flooded, case=barge(2.0))
    assert lost_buoyancy_error(bare, (AFT,)) < 1e-6


def test_flooded_compartment_is_one_with_the_sea() -> None:
    case = barge(doors=(DOOR,), flooded=("aft",))
    tree = LostBuoyancy(case.hull.tree, (LostPart(AFT.body, AFT.permeability),))
    hull = replace(case.hull, tree=tree)
    hole = replace(BOTTOM, point=np.array([25.0, 0.0, 0.0]))
    flooded = simulate_flooding(replace(case, hull=hull), BOTH, "fore", hole)
    assert [way.compartments for way in flooded.paths] == [(SEA, "fore"), (SEA, "fore")]
    assert flooded.compartments == ("fore",) and flooded.passed[-1].all()
    both = LostBuoyancy(tree.whole, (*tree.lost, LostPart(FORE.body, FORE.permeability)))
    rest = find_equilibrium(both, case.load.volume, case.load.gravity_at)
    water = FORE.permeability * FORE.body.below(rest.attitude).volume
    assert flooded.water[-1, 0] == pytest.approx(water, rel=1e-6)
    with refused("compartment 'aft' is flooded already"):
        simulate_flooding(replace(case, hull=hull), BOTH, "aft", BOTTOM)


def test_compartments_beside_a_door_are_found() -> None:
    door = replace(DOOR, compartments=())
    flooded = simulate_flooding(
        barge(doors=(door,)), BOTH, "aft", BOTTOM, fixed_attitude=True, until=50.0
    )
    assert flooded.paths[1].compartments in (("aft", "fore"), ("fore", "aft"))
    assert flooded.settled is None and flooded.times[-1] == 50.0


def _flood(compartment: str = "aft", hole: Breach | str = BOTTOM, **more: object) -> None:
    case = barge(openings=(Opening("vent", np.array([15.0, 0.0, 5.0])),))
    simulate_flooding(case, BOTH, compartment, hole, **more)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (
            lambda: _flood(hole=Breach(np.array([15.0, 5.0, 4.0]), 0.1)),
            "the breach: it is 1.50 m above the initial waterline, so nothing comes in",
        ),
        (lambda: _flood("after"), "breach: there is no compartment 'after'; did you mean 'aft'?"),
        (
            lambda: _flood(hole=Breach(np.array([3.0, 0.0, 0.0]), 0.1)),
            "is 7.00 m from the boundaries of compartment 'aft'; the nearest of its outer surface "
            "is x 10.00, y 0.00, z 0.00 m",
        ),
        (
            lambda: _flood(hole=Breach(np.array([9.0, 1.0, 2.4]), 0.1)),
            "the nearest of its outer surface is x 10.00, y 1.00, z 0.00 m",
        ),
        (
            lambda: _flood(hole=Breach(np.array([15000.0, 0.0, 0.0]), 0.1)),
            "z 0.00 m; positions are in meters, ship axes",
        ),
        (
            lambda: _flood(hole=replace(BOTTOM, area=401.0)),
            "all boundaries of compartment 'aft' have 400 m2",
        ),
        (
            lambda: simulate_flooding(barge(2.5, 8.0), BOTH, "aft", BOTTOM),
            "barge: the vessel capsizes before anything floods; lower weights",
        ),
        (
            lambda: _flood(hole=Breach(np.array([20.0, 0.0, 2.0]), 0.1)),
            "is 2.00 m from the hull surface; the nearest of its outer surface is x 20.00, y 0.00",
        ),
        (lambda: Breach(BOTTOM.point, 0.0), "the area is 0 m2; give one above zero"),
        (lambda: Breach(BOTTOM.point, -1.0), "the area is -1 m2; give one above zero"),
        (lambda: Breach(BOTTOM.point, 1.0, 1.2), "the coefficient of discharge is 1.2"),
        (lambda: Breach(BOTTOM.point, 1.0, 0.0), "the coefficient of discharge is 0"),
        (
            lambda: replace(DOOR, discharge_coefficient=1.2),
            "door 'door': the coefficient of discharge is 1.2",
        ),
        (
            lambda: replace(DOOR, discharge_coefficient=0.0),
            "door 'door': the coefficient of discharge is 0",
        ),
        (lambda: Breach(np.full(3, np.nan), 1.0), "its position is not a number"),
        (lambda: Breach(BOTTOM.point, 1.0, height=-1.0), "the height is -1 m"),
        (lambda: _flood(hole="vents"), "there is no opening 'vents'; did you mean 'vent'?"),
        (lambda: _flood(hole="vent"), "opening 'vent' has no area"),
        (lambda: _flood(trapped=("for",)), "trapped air: there is no compartment 'for'"),
        (lambda: _flood(pumps=(Pump("aft", 0.0),)), "the rate is 0 m3/s"),
        (lambda: _flood(pumps=(Pump("aft", 1.0, -1.0),)), "it starts after -1 s"),
        (lambda: _flood(pumps=(Pump("f", 1.0),)), "pump: there is no compartment 'f'"),
        (
            lambda: simulate_flooding(barge(6.0), BOTH, "aft", BOTTOM),
            "barge: the vessel sinks before anything floods",
        ),
    ],
)
def test_bad_input(wrong: Callable[[], object], words: str) -> None:
    with refused(re.escape(words)):
        wrong()
