"""Remedies: carried out, each does what it says."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.advice.action import CorrectiveAction
from addon.core.advice.actions_for_criteria import actions_for_criteria
from addon.core.advice.ballast import add_ballast
from addon.core.advice.corrective_actions import SUBJECT_BY_FINDING, find_corrective_actions
from addon.core.advice.freeboard import correct_freeboard, mass_to_take_off
from addon.core.advice.list_and_trim import correct_list, correct_trim
from addon.core.advice.metacentric_height import correct_GM
from addon.core.criteria.assessment import assess
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.hydrostatics.upright import upright_GM
from addon.core.messages.subjects import Subject
from addon.core.model.case import Case
from addon.core.model.conditions import Condition
from addon.core.model.hull import Hull, build_hull
from addon.core.model.loaded_case import in_condition
from addon.core.model.openings import Opening
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from tests.bodies import box, mesh, moved, prism, tree
from tests.language import reads

HULL = build_hull(mesh(box(20.0, 5.0, 3.0)))
AMIDSHIPS = (10.0, 0.0, 1.0)
ENGINE = Subject("weight", "engine")


def loaded(engine: tuple[float, float, float], mass: float = 20_000.0) -> Case:
    hull = Weight("hull", 60_000.0, np.array([10.0, 0.0, 1.5]), fixed=True)
    return Case("barge", HULL, (hull, Weight("engine", mass, np.array(engine))))


def tank(name: str, x: float, y: float, fill: float, density: float = 1000.0) -> Tank:
    body = tree(moved(box(2.0, 1.0, 1.0), (x - 1.0, y, 0.5)))
    return Tank(name, body, density, fill)


def afloat(case: Case) -> FloatingPosition:
    return find_floating_position(case, seek_others=False)


def first(found: Iterable[CorrectiveAction]) -> CorrectiveAction:
    return next(iter(found))


@given(
    x=st.floats(4.0, 16.0), y=st.floats(-0.5, 0.5), z=st.floats(0.5, 3.0), mass=st.floats(1e4, 3e4)
)
@settings(max_examples=30, deadline=None)
def test_moved_as_advised_it_is_upright_on_an_even_keel(
    x: float, y: float, z: float, mass: float
) -> None:
    case = loaded((x, y, z), mass)
    for find in (correct_list, correct_trim):
        for remedy in find(afloat(case)):
            case = remedy.applied(case)
    there = afloat(case).equilibrium
    assert there
    assert abs(np.degrees(there.attitude.heel_rad)) < 0.2
    assert abs(np.degrees(there.attitude.trim_rad)) < 0.2


@pytest.mark.parametrize("z", [0.0, 2.9, 3.0, 3.0001, 4.0])
def test_a_weight_on_deck_or_keel_can_be_moved_along_it(z: float) -> None:
    (remedy,) = correct_trim(afloat(loaded((4.0, 0.0, z), 10_000.0)))
    assert (remedy.kind, remedy.against) == ("move_weight", "trim")
    assert remedy.subjects == (ENGINE,) and remedy.shift == pytest.approx([6.0, 0.0, 0.0])
    assert reads(remedy.text, "Moving 'engine' 6.00 m forward brings the vessel to an even keel")


def test_a_list_is_taken_off_by_what_can_be_moved() -> None:
    """The hull of 60 t would have to go a third as far, but nobody moves a hull."""
    ship = afloat(loaded((10.0, 1.0, 1.0)))
    (remedy,) = find_corrective_actions(ship)
    assert (remedy.kind, remedy.against) == ("move_weight", "list")
    assert remedy.subjects == (ENGINE,) and remedy.shift == pytest.approx([0.0, -1.0, 0.0])
    assert reads(remedy.text, "Moving 'engine' 1.00 m to starboard takes the list off")


def test_what_is_fixed_is_never_moved_whatever_its_name() -> None:
    case = loaded((10.0, 1.0, 1.0))
    for name in ("deckhouse", "Rumpf", "hull structure"):
        house = Weight(name, 30_000.0, np.array([10.0, 0.0, 1.0]), "structure")
        for fixed, expected in ((True, "engine"), (False, name)):
            with_house = replace(case, weights=(*case.weights, replace(house, fixed=fixed)))
            remedy = first(correct_list(afloat(with_house)))
            assert remedy.weight and remedy.weight.name == expected


def test_a_moment_is_named_where_nothing_has_space() -> None:
    """80 t with G 0.25 m to port are 20 t m."""
    hull = Weight("hull", 80_000.0, np.array([10.0, 0.25, 1.0]), fixed=True)
    remedy = first(correct_list(afloat(Case("barge", HULL, (hull,)))))
    words = "20 t moved by 1 m to starboard, or as much otherwise, takes the list off"
    assert reads(remedy.text, words)
    assert remedy.kind == "shift_moment" and remedy.weight is None and not remedy.subjects


def test_liquid_is_pumped_across_between_tanks_of_like_content() -> None:
    case = loaded(AMIDSHIPS)
    tanks = (tank("port", 10, 2, 0.9), tank("starboard", 10, -2, 0.2))
    case = replace(case, tanks=(*tanks, tank("oil", 10, -2, 0.2, 850.0)))
    found = list(correct_list(afloat(case)))
    pumped = found[-1]
    assert pumped.kind == "pump_liquid"
    assert pumped.subjects == (Subject("tank", "port"), Subject("tank", "starboard"))
    assert reads(pumped.text, "Pumping ", " from 'port' to 'starboard' takes the list off")
    there = pumped.applied(case)
    assert there.load.mass == pytest.approx(case.load.mass)
    assert there.load.solid.center[1] == pytest.approx(0.0, abs=1e-6)
    rest = afloat(there).equilibrium
    assert rest and abs(np.degrees(rest.attitude.heel_rad)) < 0.01


def test_a_condition_s_margin_follows_the_weight_that_is_moved() -> None:
    case = in_condition(loaded((10.0, 1.0, 1.0)), Condition("trials", mass_margin=0.1))
    remedy = first(correct_list(afloat(case)))
    assert remedy.shift[1] == pytest.approx(-1.0)
    assert remedy.applied(case).load.solid.center[1] == pytest.approx(0.0, abs=1e-12)


def test_a_vessel_that_lolls_is_advised_to_get_its_GM_first() -> None:
    tower = Weight("tower", 30_000.0, np.array([8.0, 0.05, 6.0]))
    ship = afloat(replace(loaded(AMIDSHIPS), weights=(*loaded(AMIDSHIPS).weights, tower)))
    assert upright_GM(ship.case) < 0
    assert {SUBJECT_BY_FINDING[finding.code] for finding in ship.findings} >= {"list", "GM", "trim"}
    found = list(find_corrective_actions(ship))
    assert {remedy.against for remedy in found} == {"GM"}
    words = "do not move weight across before GM is positive"
    assert all(reads(remedy.text, words) for remedy in found)
    assert list(correct_list(ship)) == []
    there = first(found).applied(ship.case)
    assert upright_GM(there) == pytest.approx(0.15, abs=1e-5)
    assert "list" in {remedy.against for remedy in find_corrective_actions(afloat(there))}


def test_an_upright_ship_on_an_even_keel_needs_nothing() -> None:
    ship = afloat(loaded((10.0, 0.0, 1.0)))
    assert not [*correct_list(ship), *correct_trim(ship), *correct_GM(ship, 0.15)]
    assert list(find_corrective_actions(ship)) == []
    assert mass_to_take_off(ship, 0.1) == 0.0


@pytest.mark.parametrize("GM", [1.2, 1.5])
def test_lowering_and_ballast_reach_the_GM_wanted(GM: float) -> None:
    ship = afloat(loaded((10.0, 0.0, 3.0)))
    assert upright_GM(ship.case) < GM
    found = list(find_corrective_actions(ship, least_GM=GM))
    assert [remedy.moves for remedy in found] == [True, False]
    for remedy in found:
        assert upright_GM(remedy.applied(ship.case)) == pytest.approx(GM, abs=1e-5)


def test_ballast_that_would_sink_it_is_not_advised() -> None:
    top = Weight("tower", 150_000.0, np.array([10.0, 0.0, 30.0]))
    ship = afloat(Case("tower", HULL, (top,)))
    assert add_ballast(ship, 1.0) is None
    (remedy,) = correct_GM(ship, 40.0)
    assert remedy.kind == "lower_gravity" and remedy.weight is None


def tall(
    z: float, hull: Hull = HULL, openings: tuple[Opening, ...] = (), y: float = 0.0
) -> FloatingPosition:
    """120 t with G so high and so far to port, which nobody moves."""
    return afloat(
        Case(
            "tall",
            hull,
            (Weight("hull", 120_000.0, np.array([10.0, y, z]), fixed=True),),
            openings=openings,
        )
    )


def test_ballast_tells_the_freeboard_left() -> None:
    ship = tall(2.6)
    remedy = add_ballast(ship, 0.3)
    assert remedy and remedy.weight
    left = 3.0 - (120_000.0 + remedy.weight.mass) / 102_500.0
    assert 0 < left < 1.8
    assert remedy.kind == "add_ballast" and not remedy.moves
    assert reads(remedy.text, f" and leaves a least freeboard of {left:.2f} m")


def test_ballast_that_puts_an_opening_or_an_edge_under_water_is_not_advised() -> None:
    remedy = add_ballast(tall(2.6), 0.3)
    assert remedy and remedy.weight
    left = 3.0 - (120_000.0 + remedy.weight.mass) / 102_500.0
    for above, advised in ((0.01, True), (-0.01, False)):
        vent = Opening("vent", np.array([10.0, 2.5, 3.0 - left + above]))
        assert (add_ballast(tall(2.6, openings=(vent,)), 0.3) is not None) == advised


def test_ballast_is_not_advised_while_a_list_keeps_the_edge_under_water() -> None:
    top = box(20.0, 5.0, 3.0)
    cap = [bool((top[0][list(face), 2] > 0).all()) for face in top[1]]
    opened = top[0], tuple(face for face, is_cap in zip(top[1], cap, strict=True) if not is_cap)
    for hull in (HULL, build_hull(mesh(opened))):
        assert add_ballast(tall(2.6, hull, y=0.02), 0.3)
        assert add_ballast(tall(2.6, hull, y=0.8), 0.3) is None


def test_pumping_that_leaves_no_GM_is_not_advised() -> None:
    """Two tanks, each half the breadth, slack after pumping: the free surfaces of
    2 x 20 x 2.5^3 / 12 = 52 m4 of fresh water take 0.47 m off GM at 110 t."""
    wide = [
        Tank(name, tree(moved(box(20.0, 2.5, 1.0), (0.0, y, 0.0))), 1000.0, fill)
        for name, y, fill in (("port", 1.25, 1.0), ("starboard", -1.25, 0.0))
    ]
    reported = {}
    for z in (1.5, 3.2, 3.7):
        weights = (Weight("hull", 60_000.0, np.array([10.0, 0.0, z]), fixed=True),)
        case = Case("pumped", HULL, weights, tanks=tuple(wide))
        assert upright_GM(case) > 0
        found = [each for each in correct_list(afloat(case)) if each.tanks]
        reported[z] = (
            found[0].text if found else None,
            upright_GM(found[0].applied(case)) if found else None,
        )
    assert reported[1.5][0] and reported[3.7][0] is None
    assert reported[1.5][1] and reported[1.5][1] > 0.15
    text, GM = reported[3.2]
    assert text and GM and 0 < GM < 0.15 and reads(text, f", with a GM of {GM:.2f} m then")


def test_a_weight_in_the_hull_stays_in_it() -> None:
    """A V of 3 m has half its breadth of 5 m at half its depth: y = 1 at z = 1 is outside."""
    vee = build_hull(mesh(prism([(0.0, 0.0), (2.5, 3.0), (-2.5, 3.0)], 20.0)))
    hull = Weight("hull", 40_000.0, np.array([10.0, 0.25, 1.0]), fixed=True)
    for z, advised in ((1.0, False), (2.0, True), (3.5, True)):
        box_ = Weight("box", 10_000.0, np.array([10.0, 0.1, z]))
        remedy = first(correct_list(afloat(Case("vee", vee, (hull, box_)))))
        assert remedy.moves == advised, z


def test_a_weight_on_deck_is_lowered_into_the_hull_or_kept_above_it() -> None:
    above = loaded((10.0, 0.0, 8.0))
    ship = afloat(above)
    GM = upright_GM(ship.case)
    assert [each.moves for each in correct_GM(ship, GM + 0.5)][0]
    beside = afloat(loaded((10.0, 3.0, 8.0)))
    assert not any(each.moves for each in correct_GM(beside, upright_GM(beside.case) + 1.5))


@pytest.mark.parametrize("freeboard", [1.5, 2.5])
def test_mass_to_take_off_a_wall_sided_hull(freeboard: float) -> None:
    """A meter of a waterplane of 100 m2 is 102.5 t."""
    case = loaded((10.0, 0.0, 1.5), 60_000.0)
    ship = afloat(case)
    assert ship.hydrostatics
    lacking = freeboard - ship.hydrostatics.freeboard_min
    if lacking > 0:
        assert mass_to_take_off(ship, freeboard) == pytest.approx(102_500.0 * lacking, rel=1e-5)
    else:
        assert mass_to_take_off(ship, freeboard) == 0.0


def test_freeboard_waits_for_the_list() -> None:
    ship = afloat(loaded((10.0, 0.4, 1.0), 180_000.0))
    codes = {finding.code for finding in ship.findings}
    assert "list" in codes and "deck-under" in codes
    assert list(correct_freeboard(ship))
    assert "freeboard" not in {remedy.against for remedy in find_corrective_actions(ship)}


@pytest.mark.parametrize("mass", [20_000.0, 225_000.0])
def test_no_freeboard_is_advised_with_the_deck_edge_dry(mass: float) -> None:
    """285 t leave 0.22 m of 3 m."""
    assert list(correct_freeboard(afloat(loaded(AMIDSHIPS, mass)))) == []


def test_mass_to_come_off_with_the_deck_edge_under() -> None:
    """A deck with a camber of 0.5 m stays out where the edge of 3 m lies under."""
    outline = [(-2.5, 0.0), (2.5, 0.0), (2.5, 3.0), (0.0, 3.5), (-2.5, 3.0)]
    hull = build_hull(mesh(prism(outline, 20.0)))
    case = Case("barge", hull, (Weight("cargo", 313_000.0, np.array([10.0, 0.0, 0.6])),))
    ship = afloat(case)
    assert ship.hydrostatics and ship.hydrostatics.freeboard_min < 0
    (remedy,) = find_corrective_actions(ship)
    off = mass_to_take_off(ship, 0.05 * 3.5)
    assert off == pytest.approx(313_000.0 - 102_500.0 * (3.0 - 0.175), rel=1e-5)
    assert remedy.against == "freeboard" and remedy.weight is None
    assert remedy.kind == "remove_mass" and reads(
        remedy.text,
        "23.44 t must come off in all, with G left where it is, for a least freeboard "
        "of 0.18 m, 5 % of the depth",
    )


def test_a_failed_criterion_passes_with_G_as_much_lower_as_advised() -> None:
    """GM of a box hull and the arms of a ship with the trim fixed follow KG exactly."""
    case = replace(loaded((10.0, 0.0, 9.0)), codes=("is-code-2.2",))
    judged = assess(case, fixed_trim=True)
    failed = {verdict.key for verdict in judged.failed}
    found = list(actions_for_criteria(judged))
    assert found and {remedy.against for remedy in found} == {"criterion"}
    for remedy in found:
        assert remedy.criterion and remedy.criterion.key in failed
        if remedy.moves:
            there = assess(remedy.applied(case), fixed_trim=True)
            margins = {verdict.key: verdict.margin for verdict in there.verdicts}
            margin = margins[remedy.criterion.key]
            assert margin is not None and -1e-4 < margin < 1e-2
    assert any(remedy.moves for remedy in found)


def test_a_damaged_ship_gets_no_advice() -> None:
    """Intact it would be advised to move its engine, and to lower G."""
    listing, tender = loaded((10.0, 0.5, 1.0)), loaded((10.0, 0.0, 9.0))
    for flooded, some in (((), True), (("hold",), False)):
        assert bool([*find_corrective_actions(afloat(replace(listing, flooded=flooded)))]) is some
        judged = assess(replace(tender, codes=("is-code-2.2",), flooded=flooded))
        assert judged.failed and bool([*actions_for_criteria(judged)]) is some


def test_a_ship_that_passes_needs_no_cure() -> None:
    case = replace(loaded((10.0, 0.0, 1.0)), codes=("46-cfr-170.170",))
    judged = assess(case)
    assert not judged.failed and not list(actions_for_criteria(judged))
