"""Compartments opened to the sea: where it floats, how far the water gets, and whether it
survives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.buoyancy.attitude import Attitude
from addon.core.buoyancy.body import LostBuoyancy
from addon.core.damage import flooding
from addon.core.damage.damaged_case import damaged
from addon.core.damage.flooding import flood, flood_each
from addon.core.damage.flooding_paths import find_flooding_paths
from addon.core.damage.flooding_result import worst
from addon.core.damage.outcome import is_on_end
from addon.core.damage.residual_gz import ResidualGZ, residual_gz_of_side
from addon.core.damage.s_factor import s_factor
from addon.core.geometry.root_finding import find_root
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.model.case import Case
from addon.core.model.compartment import SEA, Compartment, CompartmentPlan
from addon.core.model.hull import MARGIN_LINE_DEPTH, build_hull
from addon.core.model.openings import Door, Opening
from addon.core.model.service import Service
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from tests import bodies
from tests.core.box_compartments import block, compartment, divided, gap
from tests.core.direct_integration import direct_below
from tests.language import names, reads, refused

WATER = 1025.0
HULL = build_hull(bodies.mesh(bodies.box(100.0, 20.0, 10.0)))


def barge(KG: float = 6.0, draft: float = 5.0, aside: float = 0.0) -> Case:
    """A box of 100 x 20 x 10 m at a draft."""
    weight = Weight("ship", 2000.0 * draft * WATER, np.array([50.0, aside, KG]))
    return Case("barge", HULL, (weight,), WATER)


def across(
    *names: str, boundaries: tuple[float, ...] = (30.0, 45.0, 55.0, 70.0)
) -> list[Compartment]:
    """Compartments from side to side and from bottom to deck between boundaries, from aft."""
    return [
        compartment(name, block((boundaries[i], boundaries[i + 1]), (-10.0, 10.0), (0.0, 10.0)))
        for i, name in enumerate(names)
    ]


def opening(name: str, x: float, z: float, y: float = 10.0, *compartments: str) -> Opening:
    return Opening(name, np.array([x, y, z]), compartments=compartments)


def door(name: str, x: float, z: float, *compartments: str, y: float = 0.0) -> Door:
    return Door(name, np.array([x, y, z]), 1.5, 2.0, compartments)


# Where it floats.


@pytest.mark.slow
@given(
    flare=st.floats(0.0, 0.6),
    rise=st.floats(0.0, 0.15),
    start=st.floats(0.0, 0.75),
    share=st.floats(0.08, 0.2),
    permeability=st.floats(0.3, 1.0),
    side=st.booleans(),
    aside=st.floats(-0.02, 0.02),
)
@settings(max_examples=15, deadline=None)
def test_lost_buoyancy_and_added_weight_agree(
    flare: float,
    rise: float,
    start: float,
    share: float,
    permeability: float,
    side: bool,
    aside: float,
) -> None:
    """The ship less the compartment, and the ship whole with as much water in it as stands level
    with the sea, lie in the same water."""
    bottom, top, depth, length = 6.0 - 4 * flare, 6.0 + 2 * flare, 6.0, 40.0
    section = [(0.0, 0.0), (bottom, rise * depth), (top, depth), (-top, depth)]
    section.append((-bottom, rise * depth))
    hull = build_hull(bodies.mesh(bodies.prism(section, length)))
    part = [(0.0, 0.0), (bottom, rise * depth), (top, depth), (0.0, depth)] if side else section
    body = bodies.moved(bodies.prism(part, share * length), (start * length, 0.0, 0.0))
    held = hull.tree.below(Attitude(np.array([0.0, 0.0, 1.0]), 3.0)).volume
    weight = Weight("ship", held * WATER, np.array([length / 2, aside * 12, 2.4]))
    case = Case("prism", hull, (weight,), WATER)
    hold = compartment("hold", body, permeability)
    found = find_floating_position(damaged(case, divided(hold), ["hold"]), seek_others=False)
    assert found.equilibrium and found.equilibrium.converged

    def filled(fill: float) -> Case:
        tank = Tank("hold", hold.body, WATER, fill, permeability)
        return replace(case, tanks=(tank,))

    def too_low(fill: float) -> float:
        ship = filled(fill)
        rest = find_floating_position(ship, seek_others=False).equilibrium
        assert rest
        up = rest.attitude.up
        return rest.attitude.level - ship.tanks[0].liquid(up).level

    fill, most = 0.0, 1.0 - 1e-8
    least, last = too_low(1e-6), too_low(most)
    fill = most if last > 0 else find_root(too_low, 1e-6, most, least, last, 1e-12)
    rest = find_floating_position(filled(fill), seek_others=False).equilibrium
    assert rest
    assert rest.attitude.up == pytest.approx(found.equilibrium.attitude.up, abs=1e-7)
    assert rest.attitude.level == pytest.approx(found.equilibrium.attitude.level, abs=1e-6)
    water = permeability * hold.body.below(found.equilibrium.attitude).volume
    assert water == pytest.approx(permeability * fill * hold.volume, abs=1e-6 * hold.volume)


def test_heel_and_trim_together() -> None:
    """A corner of the barge: what is left of it floats its weight with B under G."""
    hold = compartment("hold", block((80.0, 100.0), (-10.0, 0.0), (0.0, 10.0)), 0.8)
    found = flood(barge(5.0), divided(hold), ["hold"])
    rest = found.floating.equilibrium
    assert rest and rest.converged and found.survives
    assert rest.attitude.heel_rad > 0.05 and rest.attitude.trim_rad < -0.01
    up, level = rest.attitude.up, rest.attitude.level
    hull = direct_below(HULL.vertices, HULL.triangles, up, level)
    water = direct_below(hold.vertices, hold.triangles, up, level)
    volume = hull.volume - 0.8 * water.volume
    B = (hull.volume * hull.buoyancy - 0.8 * water.volume * water.buoyancy) / volume
    assert volume == pytest.approx(10000.0, rel=1e-9)
    arm = np.array([50.0, 0.0, 5.0]) - B
    assert arm - (arm @ up) * up == pytest.approx(np.zeros(3), abs=1e-7)
    assert found.water == pytest.approx(0.8 * water.volume, rel=1e-9)
    assert reads(found.explanation, "to starboard", "by the bow")
    corners = np.array([[x, y, 10 - MARGIN_LINE_DEPTH] for x in (0, 100) for y in (-10, 10)])
    assert found.residual_freeboard == pytest.approx((corners @ up - level).min(), abs=1e-9)


@pytest.mark.parametrize("aside", [0.0, 0.15])
def test_port_is_the_mirror_of_starboard(aside: float) -> None:
    hold = [
        compartment("hold", block((55.0, 80.0), (y, y + 10.0), (0.0, 7.0)), 0.9)
        for y in (-10.0, 0.0)
    ]
    starboard, port = (
        flood(barge(5.0, 5.0, sign * aside), divided(each), ["hold"])
        for each, sign in zip(hold, (1, -1), strict=True)
    )
    assert starboard.floating.equilibrium and port.floating.equilibrium
    there = starboard.floating.equilibrium.attitude
    assert there.mirrored().up == pytest.approx(port.floating.equilibrium.attitude.up, abs=1e-8)
    assert starboard.residual and port.residual
    assert starboard.residual.sign == -port.residual.sign == 1
    assert starboard.residual.range == pytest.approx(port.residual.range, abs=1e-6)
    assert starboard.s_factor == pytest.approx(port.s_factor, abs=1e-6)
    assert starboard.residual_freeboard == pytest.approx(port.residual_freeboard, abs=1e-8)


def test_permeability_floods_less() -> None:
    empty, stores = (
        flood(
            barge(),
            divided(compartment("hold", block((40, 60), (-10, 10), (0, 10)), share)),
            ["hold"],
        )
        for share in (1.0, 0.6)
    )
    assert stores.water == pytest.approx(0.6 * 20 * 20 * 500 / 88, rel=1e-9)
    assert empty.water == pytest.approx(2500.0, rel=1e-9)
    assert stores.residual_freeboard == pytest.approx(10 - 500 / 88 - MARGIN_LINE_DEPTH, abs=1e-9)


def test_damage_adds_up_and_counts_once() -> None:
    compartments = divided(*across("aft", "mid", "fore"))
    both = damaged(barge(), compartments, ["aft", "mid"])
    again = damaged(damaged(barge(), compartments, ["aft"]), compartments, ["mid", "aft", "mid"])
    assert both.flooded == again.flooded == ("aft", "mid")
    assert isinstance(again.hull.tree, LostBuoyancy) and len(again.hull.tree.lost) == 2
    assert again.hull.volume == pytest.approx(both.hull.volume, rel=1e-12)
    assert both.hull.volume == pytest.approx(15000.0)
    assert both.title == "barge, 'aft', 'mid' flooded"
    assert again.title == "barge, 'aft' flooded, 'mid' flooded"
    assert damaged(both, compartments, ["mid"]) is both
    named = damaged(replace(barge(), flooded=("mid",)), compartments, ["aft"])
    assert set(named.flooded) == {"aft", "mid"}
    assert named.hull.volume == pytest.approx(15000.0)
    whole = barge()
    assert damaged(whole, compartments, ()) is whole


def test_a_flooded_tank_loses_its_content() -> None:
    """The compartment that is a tank; one that stands in the compartment stays, with what is in
    it."""
    wing, nested = block((40, 60), (-10, -6), (0, 10)), block((45, 50), (0, 2), (1, 3))
    tanks = (
        Tank("wing", bodies.tree(wing), 1000.0, 0.5),
        Tank("day tank", bodies.tree(nested), 850.0, 0.5),
    )
    rest = compartment("hold", block((40, 60), (-6, 10), (0, 10)))
    compartments = divided(compartment("wing", wing), rest)
    case = replace(barge(), tanks=tanks)
    hit = damaged(case, compartments, ["wing"])
    assert [tank.fill for tank in hit.tanks] == [0.0, 0.5]
    assert case.load.mass - hit.load.mass == pytest.approx(1000.0 * 0.5 * 20 * 4 * 10)
    same_body = (Tank("oil", compartments.compartments[0].body, 900.0, 0.3),)
    assert damaged(replace(barge(), tanks=same_body), compartments, ["wing"]).tanks[0].fill == 0.0
    assert [tank.fill for tank in damaged(case, compartments, ["hold"]).tanks] == [0.5, 0.5]
    found = flood(case, compartments, ["wing"], whole_curve=False)
    assert found.floating.equilibrium
    carried = (10250e3 + 850 * 0.5 * 20) / WATER
    assert found.floating.equilibrium.immersion.volume == pytest.approx(carried, rel=1e-9)


# How far the water gets.


def chain(*doors: Door) -> Case:
    return replace(barge(), doors=doors)


COMPARTMENTS = divided(*across("aft", "mid", "fore"), neighbors=[("aft", "mid"), ("mid", "fore")])


def test_water_spreads_through_doors_under_water() -> None:
    """From aft through a low door to mid, and no further through a door that stays above."""
    case = chain(door("low", 45.0, 3.0, "aft", "mid"), door("high", 55.0, 9.9, "mid", "fore"))
    stages: list[int] = []
    found = flood(case, COMPARTMENTS, ["aft"], stages.append)
    assert found.breached == ("aft",) and found.compartments == ("aft", "mid")
    assert [(each.compartment, each.through, each.kind) for each in found.progression] == [
        ("mid", "low", "door")
    ]
    assert stages == [1, 2]
    assert names(found.explanation) == ["mid", "low"]
    assert reads(found.explanation, "after water spread to 'mid' through door 'low'")
    direct = flood(barge(), COMPARTMENTS, ["aft", "mid"])
    assert found.floating.equilibrium and direct.floating.equilibrium
    assert found.floating.equilibrium.attitude.up == pytest.approx(
        direct.floating.equilibrium.attitude.up, abs=1e-7
    )
    low = replace(case.doors[0], closed=True)
    closed = flood(replace(case, doors=(low, case.doors[1])), COMPARTMENTS, ["aft"])
    assert closed.compartments == ("aft",) and closed.progression == () and closed.survives


def test_water_goes_from_compartment_to_compartment_until_it_sinks() -> None:
    doors = (door("ahead", 45.0, 1.0, "aft", "mid"), door("further", 55.0, 1.0, "mid", "fore"))
    compartments = divided(*across("aft", "mid", "fore", boundaries=(15.0, 45.0, 55.0, 85.0)))
    found = flood(chain(*doors), compartments, ["mid"])
    assert found.compartments == ("mid", "aft", "fore") and found.outcome == "sunk"
    assert {each.compartment for each in found.progression} == {
        "aft",
        "fore",
    } and not found.survives
    assert found.ending == "sinks" and {*names(found.explanation)} == {
        "aft",
        "ahead",
        "fore",
        "further",
    }
    assert reads(found.explanation, "Sinks: the vessel weighs 1.025e+04 t, and its dry part")
    assert reads(found.explanation, "'aft' through door 'ahead'", "' and '")
    assert found.floating.equilibrium is None and found.stability is None and found.residual is None
    assert found.water == pytest.approx(14000.0)
    assert found.s_factor == 0.0 and found.freeboards == () and np.isnan(found.residual_freeboard)


def test_an_opening_that_goes_under_floods_its_compartment() -> None:
    """The vent of mid, 5.7 m up and dry while it is whole, goes under with aft open."""
    vent = opening("vent", 46.0, 5.7, 10.0, "mid")
    case = replace(barge(), openings=(vent, opening("hatch", 90.0, 10.0, 0.0, "fore")))
    assert flood(case, COMPARTMENTS, ()).compartments == ()
    found = flood(case, COMPARTMENTS, ["aft"])
    assert found.compartments == ("aft", "mid")
    assert (found.progression[0].through, found.progression[0].kind) == ("vent", "opening")
    heights = dict(found.freeboards)
    assert found.floating.equilibrium
    assert heights["vent"] == pytest.approx(found.floating.equilibrium.attitude.heights(vent.point))
    assert heights["vent"] < 0 < heights["hatch"]
    high = flood(
        replace(case, openings=(replace(vent, point=np.array([46, 10, 9.9])),)),
        COMPARTMENTS,
        ["aft"],
    )
    assert high.compartments == ("aft",)


def test_a_weathertight_opening_keeps_the_sea_out_and_takes_s_to_zero() -> None:
    vent = replace(opening("vent", 46.0, 5.7, 10.0, "mid"), weathertight=True)
    free = flood(barge(), COMPARTMENTS, ["aft"])
    found = flood(replace(barge(), openings=(vent,)), COMPARTMENTS, ["aft"])
    assert free.s_factor > 0 and found.s_factor == 0.0
    assert found.compartments == ("aft",) and found.survives
    assert names(found.explanation) == ["vent"] and reads(
        found.explanation, "weathertight opening 'vent'"
    )
    inside = flood(
        replace(barge(), openings=(replace(vent, compartments=("aft",)),)), COMPARTMENTS, ["aft"]
    )
    assert inside.s_factor == pytest.approx(free.s_factor)


def test_an_opening_leads_to_where_it_stands() -> None:
    """A vent at the side of mid; a pipe on deck, into the compartment straight below."""
    for place in ((46.0, 10.0, 5.7), (46.0, -10.3, 5.5)):
        case = replace(barge(), openings=(Opening("vent", np.array(place)),))
        found = flood(case, COMPARTMENTS, ["aft"])
        assert found.compartments == ("aft", "mid") and found.progression[0].through == "vent"
    for name, x in (("aft", 40.0), ("mid", 54.0), ("fore", 56.0)):
        pipe = Opening("pipe", np.array([x, 3.0, 10.8]))
        (way,) = find_flooding_paths(replace(barge(), openings=(pipe,)), COMPARTMENTS)
        assert way.compartments == (SEA, name)


def test_a_damaged_ship_has_no_ways_into_what_is_flooded() -> None:
    vents = tuple(Opening(name, np.array([x, 10, 8.0])) for name, x in (("m", 50), ("f", 60)))
    assert (
        barge().active_openings == () and replace(barge(), openings=vents).active_openings == vents
    )
    hit = damaged(replace(barge(), openings=vents), COMPARTMENTS, ["mid"])
    assert [each.compartments for each in hit.openings] == [("mid",), ("fore",)]
    assert [each.name for each in hit.active_openings] == ["f"]


def test_doors_are_found_where_they_stand() -> None:
    """The sill of one is nearer to a deck than its boundary; one in the side is open to the sea."""
    assert flood(chain(door("low", 45.0, 3.0)), COMPARTMENTS, ["mid"]).compartments == (
        "mid",
        "aft",
    )
    low = [
        compartment("low", block((30, 45), (-10, 10), (0, 3))),
        compartment("high", block((30, 45), (-10, 10), (3, 10))),
    ]
    decked = divided(*low, *COMPARTMENTS.compartments[1:])
    near = door("near", 44.9, 3.05)
    (way,) = find_flooding_paths(chain(near), decked)
    assert set(way.compartments) == {"high", "mid"}
    outside = flood(chain(door("side", 50.0, 3.0, y=10.0)), COMPARTMENTS, ())
    assert outside.compartments == ("mid",) and outside.breached == ()


def test_water_spreads_through_gaps() -> None:
    """One in the boundary between, whose lowest corner goes under as it trims; one from the
    sea."""
    corners = (45.0, -1.0, 5.7), (45.0, 1.0, 5.7), (45.0, 0.0, 8.0)
    compartments = replace(COMPARTMENTS, gaps=(gap("aft", "mid", "bulkhead 1", *corners),))
    found = flood(barge(), compartments, ["aft"])
    assert (
        names(found.progression[0].through) == ["bulkhead 1"] and found.progression[0].kind == "gap"
    )
    assert names(found.explanation) == ["mid", "bulkhead 1"]
    assert reads(found.explanation, "to 'mid' through gap in 'bulkhead 1'")
    assert flood(barge(), compartments, ()).compartments == ()
    far = replace(COMPARTMENTS, gaps=(gap("aft", "fore", "trunk", *corners),))
    joined = chain(door("d", 45.0, 9.9, "aft", "fore"))
    assert flood(joined, far, ()).compartments == ()
    torn = replace(
        COMPARTMENTS, gaps=(gap(SEA, "fore", "shell", (60, 10, 2), (61, 10, 2), (61, 10, 3)),)
    )
    assert flood(barge(), torn, ()).compartments == ("fore",)


def test_open_edges_lead_where_the_division_says() -> None:
    """An open tub in two: the rim over the flooded compartment counts no more, that over the dry
    one does."""
    vertices, faces = bodies.box(100.0, 20.0, 10.0)
    sides = tuple(face for face in faces if vertices[list(face), 2].min() < 10.0)
    tub = build_hull(bodies.mesh((vertices, sides)))
    assert len(tub.rims) == 1 and tub.rims[0][:, :, 2].min() == 10.0
    spaces = [
        compartment(name, block(x, (-10, 10), (0, 10)))
        for name, x in (("aft", (0, 15)), ("fore", (15, 100)))
    ]
    top = (
        gap(SEA, "aft", "tub", (0, -10, 10), (15, -10, 10), (15, 10, 10), (0, 10, 10)),
        gap(SEA, "fore", "tub", (15, -10, 10), (100, -10, 10), (100, 10, 10), (15, 10, 10)),
    )
    case = replace(barge(3.0, 5.0), hull=tub)
    found = flood(case, divided(*spaces, gaps=top), ["aft"])
    assert (
        found.floating.equilibrium
        and found.floating.equilibrium.attitude.heights(np.array([0, 0, 10])) < 0
    )
    assert found.compartments == ("aft",) and found.outcome == "afloat"
    without = flood(case, divided(*spaces), ["aft"])
    assert without.outcome == "sunk" and without.ending == "swamped"
    deep = flood(replace(barge(3.0, 6.0), hull=tub), divided(*spaces, gaps=top), ["aft"])
    assert deep.outcome == "sunk"


# Whether it survives.


def test_it_sinks() -> None:
    compartments = divided(*across("hold", boundaries=(10.0, 70.0)))
    found = flood(barge(), compartments, ["hold"])
    assert found.outcome == "sunk" and found.floating.state == "sunk"
    assert found.ending == "sinks" and reads(found.explanation, "displaces only 8200 t")


def test_it_is_lost_before_anything_floods() -> None:
    with refused("sinks before anything floods; take weight off"):
        flood(barge(draft=10.5), COMPARTMENTS, ["mid"])
    with refused("capsizes before anything floods; lower weights"):
        flood_each(barge(KG=14.0), COMPARTMENTS)


def test_it_capsizes_without_metacentric_height() -> None:
    """Open amidships upright GM is 6.25 / 2 + 400 / 75 - KG: it lies upright just below that KG
    and goes over far above it."""
    compartments = divided(compartment("hold", block((40, 60), (-10, 10), (0, 10))))
    KM = 6.25 / 2 + 400 / 75
    upright = flood(barge(KM - 0.05), compartments, ["hold"])
    assert upright.survives and upright.floating.GM == pytest.approx(0.05, abs=1e-6)
    intact = find_floating_position(barge(9.1), seek_others=False)
    assert intact.equilibrium and intact.equilibrium.attitude.heel_rad == pytest.approx(
        0.0, abs=1e-9
    )
    found = flood(barge(9.1), compartments, ["hold"])
    assert found.outcome == "capsized" and not found.survives and found.s_factor == 0.0
    assert found.ending == "bottom-up" and found.stability
    assert np.isnan(found.residual_freeboard)
    assert flood(barge(9.1), compartments, ["hold"], whole_curve=False).stability is None


def test_it_stands_on_its_end() -> None:
    slim = build_hull(bodies.mesh(bodies.box(100.0, 4.0, 4.0)))
    case = Case("pole", slim, (Weight("ship", 700 * WATER, np.array([50.0, 0.0, 1.0])),))
    compartments = divided(compartment("fore", block((55, 100), (-2, 2), (0, 4))))
    found = flood(case, compartments, ["fore"])
    assert found.outcome == "sunk" and found.ending == "plunges-by-bow"


def test_nothing_survives_with_78_degrees_of_trim() -> None:
    hull = build_hull(bodies.mesh(bodies.box(20.0, 6.0, 4.0)))
    case = Case("short", hull, (Weight("ship", 240e3, np.array([10.0, 0.0, 1.5])),))
    compartments = divided(
        *(compartment(f"from {x}", block((x, x + 5), (-3, 3), (0, 4))) for x in (0, 10))
    )
    found = flood(case, compartments, ["from 0", "from 10"])
    rest = found.floating.equilibrium
    assert rest and np.degrees(rest.attitude.trim_rad) == pytest.approx(78.4, abs=0.1)
    assert found.outcome == "sunk" and not found.survives and found.s_factor == 0.0
    assert found.ending == "plunges-by-stern" and np.isnan(found.residual_freeboard)


@pytest.mark.parametrize(("x", "end"), [((0, 30), "stern"), ((70, 100), "bow")])
def test_it_goes_over_its_end(x: tuple[float, float], end: str) -> None:
    """G lies 15 m from the middle of what bears it, and with GML about 55 m the deck of that end
    is under long before B is below G."""
    found = flood(barge(6.0), divided(compartment("end", block(x, (-10, 10), (0, 10)))), ["end"])
    assert found.outcome == "sunk" and not found.survives and np.isnan(found.residual_freeboard)
    assert found.ending == f"plunges-by-{end}" and not is_on_end(found.floating)
    assert reads(found.explanation, f"Plunges by the {end}: even with heel held")


@pytest.mark.wording
def test_words_of_one_that_floats() -> None:
    found = flood(
        barge(), divided(compartment("hold", block((40, 60), (-10, 10), (0, 10)))), ["hold"]
    )
    assert found.explanation == "Floats, the margin line 3.67 m above water"
    side = flood(
        barge(), divided(compartment("hold", block((40, 60), (-10, 0), (0, 10)))), ["hold"]
    )
    assert (
        side.explanation
        == "Floats, heeled 11.1 degrees to starboard, the margin line 2.26 m above water"
    )
    deep = flood(barge(4.0, 8.4), divided(*across("hold", boundaries=(42.0, 57.9))), ["hold"])
    assert deep.explanation == "Floats, but the margin line is 0.069 m under water at the stern"
    assert deep.residual_freeboard == pytest.approx(-0.069, abs=5e-4)
    assert deep.survives and deep.margin_line_immersed and not found.margin_line_immersed


@pytest.mark.slow
@pytest.mark.parametrize(("x", "end"), [((0, 5), "stern"), ((15, 20), "bow")])
def test_a_deck_under_water_at_an_end_is_reported(x: tuple[float, float], end: str) -> None:
    """Afloat with all the arms that s asks for, and an end of its deck 5 m under."""
    hull = build_hull(bodies.mesh(bodies.box(20.0, 6.0, 4.0)))
    case = Case("short", hull, (Weight("ship", 240e3, np.array([10.0, 0.0, 1.5])),))
    found = flood(case, divided(compartment("end", block(x, (-3, 3), (0, 4)))), ["end"])
    assert found.s_factor == 1.0 and found.survives and found.margin_line_immersed
    deck = found.floating.hydrostatics
    assert deck and deck.freeboard_min < -5.0
    words = f"Floats, but the deck edge is {-deck.freeboard_min:.2f} m under water at the {end}, "
    assert found.ending == "afloat" and reads(found.explanation, words)


@pytest.mark.slow
@pytest.mark.parametrize("y", [(-10.0, -9.0), (9.0, 10.0)])
def test_residual_arms_against_the_whole_curve(y: tuple[float, float]) -> None:
    """Where s is less than 1 both ways of seeking the arms agree; beyond, the quick one stops."""
    compartments = divided(compartment("hold", block((45, 55), y, (0, 10))))
    for KG in (7.3, 7.5, 7.7):
        whole = flood(barge(KG, 8.5), compartments, ["hold"])
        quick = flood(barge(KG, 8.5), compartments, ["hold"], whole_curve=False)
        assert whole.stability and quick.stability is None and quick.residual and whole.residual
        stability = whole.stability
        side = stability.starboard if y[0] < 0 else stability.port
        assert whole.residual == residual_gz_of_side(side) and whole.residual.sign == side.sign
        assert whole.residual.heel == pytest.approx(side.equilibrium_heel, abs=1e-9)
        assert whole.residual.range == pytest.approx(
            side.vanishing_angle - side.equilibrium_heel, rel=1e-12
        )
        assert 0 < whole.s_factor < 1
        assert quick.residual.heel == pytest.approx(whole.residual.heel, abs=1e-6)
        assert quick.residual.range == pytest.approx(whole.residual.range, rel=1e-3)
        assert quick.residual.max_gz == pytest.approx(whole.residual.max_gz, abs=5e-5)
        assert quick.residual.area == pytest.approx(whole.residual.area, rel=1e-3)
        assert quick.s_factor == pytest.approx(whole.s_factor, rel=2e-4)
        assert whole.s_factor == s_factor(whole.residual, "other", 1.0)
    whole = flood(barge(6.0), compartments, ["hold"])
    quick = flood(barge(6.0), compartments, ["hold"], whole_curve=False)
    assert quick.s_factor == whole.s_factor == 1.0
    assert whole.residual and quick.residual
    assert np.radians(16) < quick.residual.range < whole.residual.range


@pytest.mark.parametrize("whole_curve", [True, False])
def test_water_that_gets_on_ends_the_range(whole_curve: bool) -> None:
    """A vent of a dry compartment at the side goes under at an angle known by its place; one of the
    flooded compartment does not matter."""
    compartments = divided(*across("aft", "mid", "fore", boundaries=(0.0, 40.0, 60.0, 100.0)))
    vents = (opening("dry", 50.0, 7.5, -10.0, "aft"), opening("wet", 50.0, 7.0, -10.0, "mid"))
    case = replace(barge(), openings=vents)
    found = flood(case, compartments, ["mid"], whole_curve=whole_curve)
    assert found.residual and found.residual.sign == 1
    assert found.residual.range == pytest.approx(np.arctan(1.25 / 10), abs=1e-6)
    heel = found.residual.range
    GZ = (found.floating.GM + 16 / 3 / 2 * 1.0 * np.tan(heel) ** 2) * np.sin(heel)
    assert found.residual.max_gz == pytest.approx(GZ, abs=2e-5)
    assert found.s_factor < 1
    through = replace(case, openings=(), doors=(door("d", 40.0, 7.5, "mid", "aft", y=-10.0),))
    same = flood(through, compartments, ["mid"], whole_curve=whole_curve)
    assert same.residual and same.residual.range == pytest.approx(heel, abs=1e-6)
    hole = gap("mid", "aft", "bulkhead", (40, -10, 7.5), (40, -9, 9), (40, -10, 9))
    torn = flood(barge(), replace(compartments, gaps=(hole,)), ["mid"], whole_curve=whole_curve)
    assert torn.residual and torn.residual.range == pytest.approx(np.arctan(1.25 / 10), abs=1e-6)


def test_a_passenger_ship_answers_for_its_crowd() -> None:
    compartments = divided(compartment("hold", block((40, 60), (-10, 10), (0, 10))))
    crowd = Service(kind="passenger", passengers=40_000)
    few = flood(replace(barge(8.0), service=replace(crowd, passengers=10)), compartments, ["hold"])
    many = flood(replace(barge(8.0), service=crowd), compartments, ["hold"])
    quick = flood(replace(barge(8.0), service=crowd), compartments, ["hold"], whole_curve=False)
    assert many.residual and 0 < many.s_factor < few.s_factor
    moment = 75 * 40_000 * 0.45 * 20
    expected = (many.residual.max_gz - 0.04) * 10000 * WATER / moment * few.s_factor
    assert many.s_factor == pytest.approx(expected, rel=1e-9)
    assert quick.s_factor == pytest.approx(many.s_factor, rel=2e-4)
    cargo = flood(replace(barge(8.0), service=replace(crowd, kind="cargo")), compartments, ["hold"])
    assert cargo.s_factor == pytest.approx(few.s_factor)


def test_a_passenger_ship_answers_for_the_wind() -> None:
    """On 1.5 m of side and a sheet of 50 m on deck, 30 m above half the draft."""
    compartments = divided(compartment("hold", block((45, 55), (-10, -9), (0, 10))))
    sheet = np.array([[0.0, 0.0, 10.0], [100.0, 0.0, 10.0], [100.0, 0.0, 60.0], [0.0, 0.0, 60.0]])
    service = Service(kind="passenger")
    calm = replace(barge(7.3, 8.5), service=service)
    windy = replace(calm, windage=sheet[[[0, 1, 2], [0, 2, 3]]])
    moment = 120 * 5150 * ((150 * 0.75 + 5000 * 26.5) / 5150 + 8.5 / 2) / 9.806
    found = flood(windy, compartments, ["hold"], whole_curve=False)
    free = flood(calm, compartments, ["hold"], whole_curve=False)
    assert found.residual and free.s_factor > found.s_factor
    spare = (found.residual.max_gz - 0.04) * calm.load.mass / moment
    assert found.s_factor == pytest.approx(spare * free.s_factor, rel=1e-6)


def test_it_capsizes_without_righting_arms(monkeypatch: pytest.MonkeyPatch) -> None:
    none = ResidualGZ(1, 0.0, 0.0, 0.0, 0.0)
    monkeypatch.setattr(flooding, "residual_gz_from", lambda *_: none)
    found = flood(barge(), COMPARTMENTS, ["mid"], whole_curve=False)
    assert found.outcome == "capsized" and not found.survives and found.s_factor == 0.0
    assert found.ending == "no-righting-lever"


# Every compartment.


@pytest.mark.slow
def test_every_compartment_and_every_pair() -> None:
    compartments = replace(
        COMPARTMENTS,
        compartments=(*COMPARTMENTS.compartments, *across("bow", boundaries=(60.0, 100.0))),
    )
    done: list[int] = []
    singles = flood_each(barge(), compartments, on_progress=done.append)
    assert [each.breached for each in singles] == [("aft",), ("mid",), ("fore",), ("bow",)]
    assert done == [1, 2, 3, 4]
    alone = [flood(barge(), compartments, each.breached) for each in singles]
    for each, other in zip(singles, alone, strict=True):
        assert each.explanation == other.explanation and each.outcome == other.outcome
        assert each.s_factor == pytest.approx(other.s_factor, rel=2e-4)
        if each.residual and other.residual:
            assert other.residual.complete
            assert each.residual.complete is (each.s_factor < 1)
            assert each.residual.max_gz <= other.residual.max_gz * (1 + 1e-3)
    pairs = flood_each(barge(), compartments, pairs=True)
    assert [each.breached for each in pairs] == [("aft", "mid"), ("mid", "fore")]
    assert not singles[3].survives and worst(singles) is singles[3]
    assert singles[1].residual_freeboard > singles[0].residual_freeboard
    rest = flood_each(replace(barge(), flooded=("aft",)), compartments, pairs=True)
    assert [each.breached for each in rest] == [("aft", "mid", "fore")]


def test_the_worst_by_s_then_margin_line_then_arm() -> None:
    base = flood(barge(), COMPARTMENTS, ["mid"])
    assert base.residual
    lower = replace(base, s_factor=base.s_factor - 0.1, residual_freeboard=9.0)
    weaker = replace(base, residual=replace(base.residual, max_gz=0.01))
    wetter = replace(base, residual_freeboard=-1.0)
    lost = replace(base, survives=False, s_factor=1.0, residual_freeboard=9.0)
    assert worst([base, weaker]) is weaker
    assert worst([base, weaker, wetter]) is wetter
    assert worst([lower, base, wetter, weaker]) is wetter
    assert worst([lower, base, weaker]) is lower
    assert worst([lower, base, lost]) is lost


@pytest.mark.parametrize(
    "case, compartments, opened, words",
    [
        (barge(), COMPARTMENTS, ["afd"], ["barge", "no compartment 'afd'", "did you mean 'aft'"]),
        (barge(), CompartmentPlan(()), ["aft"], ["no compartment 'aft'", "there are none"]),
        (replace(barge(), flooded=("x",)), COMPARTMENTS, [], ["no compartment 'x'"]),
        (
            chain(door("d", 45.0, 3.0)),
            CompartmentPlan(()),
            [],
            ["door 'd' at x 45.00, y 0.00, z 3.00 m joins no two compartments"],
        ),
        (
            chain(door("d", 45.0, 3.0, "aft", "md")),
            COMPARTMENTS,
            ["aft"],
            ["door 'd'", "mean 'mid'"],
        ),
        (
            replace(barge(), openings=(opening("v", 9, 10, 0, "aff"),)),
            COMPARTMENTS,
            ["aft"],
            ["opening 'v'", "mean 'aft'"],
        ),
        (
            chain(replace(door("d", 45.0, 3.0, "aft", "md"), closed=True)),
            COMPARTMENTS,
            ["aft"],
            ["door 'd'", "mean 'mid'"],
        ),
        (
            chain(door("d", 45.0, 3.0, "aft", "fore")),
            COMPARTMENTS,
            ["aft"],
            ["door 'd': compartments 'aft' and 'fore' share no boundary; name two that do"],
        ),
    ],
)
def test_bad_input(
    case: Case, compartments: CompartmentPlan, opened: list[str], words: list[str]
) -> None:
    with refused("") as caught:
        flood(case, compartments, opened)
    assert reads(str(caught.value), *words)


@pytest.mark.parametrize(
    "pairs, words",
    [(False, "are no dry compartments"), (True, "are no two dry compartments that share")],
)
def test_nothing_to_open(pairs: bool, words: str) -> None:
    with refused(words):
        flood_each(replace(barge(), flooded=("a",)), divided(*across("a")), pairs)
