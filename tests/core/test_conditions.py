"""Loading conditions: fills, what stays ashore, margins, and names that are not on board."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.messages.findings import BadInputError
from addon.core.messages.subjects import Subject
from addon.core.model.case import Case
from addon.core.model.conditions import Condition
from addon.core.model.hull import build_hull
from addon.core.model.loaded_case import condition_named, in_condition
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from addon.core.stability.both_sides import stability
from tests import bodies
from tests.language import reads, refused

LADEN = Condition("laden", {"fuel": 0.98}, without=("crane",))
SHIP = Case(
    "barge",
    build_hull(bodies.mesh(bodies.box(20.0, 6.0, 3.0))),
    (
        Weight("hull", 60_000.0, np.array([10.0, 0.0, 1.4]), "structure"),
        Weight("crane", 5_000.0, np.array([6.0, 1.0, 4.0]), "gear"),
        Weight("stone", 40_000.0, np.array([11.0, 0.0, 2.0]), "cargo"),
        Weight("sand", 10_000.0, np.array([9.0, 0.0, 2.2]), "cargo"),
    ),
    tanks=(
        Tank("fuel", bodies.tree(bodies.box(4.0, 2.0, 1.0)), 850.0, 0.5, 0.95, "stores"),
        Tank("ballast", bodies.tree(bodies.box(3.0, 6.0, 1.0)), 1025.0, 0.0, 1.0, "ballast"),
    ),
    conditions=(LADEN, Condition("light", {"fuel": 0.1}, without_groups=("cargo",))),
)


def names(case: Case) -> list[str]:
    return [item.name for item in (*case.weights, *case.tanks)]


def reported(condition: Condition) -> str:
    with pytest.raises(BadInputError) as caught:
        in_condition(SHIP, condition)
    text = str(caught.value)
    assert "\n" not in text
    assert Subject("condition", condition.name) in caught.value.subjects
    return text


def test_fills_and_what_stays_ashore() -> None:
    laden = in_condition(SHIP, LADEN)
    assert laden.title == "barge, laden"
    assert names(laden) == ["hull", "stone", "sand", "fuel", "ballast"]
    assert [tank.fill for tank in laden.tanks] == [0.98, 0.0]
    assert laden.load.mass == pytest.approx(110_000 + 850 * 0.98 * 0.95 * 8)
    light = in_condition(SHIP, condition_named(SHIP, "light"))
    assert names(light) == ["hull", "crane", "fuel", "ballast"]
    assert light.load.mass == pytest.approx(65_000 + 850 * 0.1 * 0.95 * 8)
    assert [tank.fill for tank in SHIP.tanks] == [0.5, 0.0]
    bare = in_condition(SHIP, Condition("bare", without_groups=("stores", "ballast", "gear")))
    assert names(bare) == ["hull", "stone", "sand"]


def test_an_unchanged_ship_is_the_ship() -> None:
    same = in_condition(SHIP, Condition("as it is"))
    assert names(same) == names(SHIP) and same.load.mass == SHIP.load.mass
    assert same.tanks == SHIP.tanks
    assert same.load.gravity_at(np.array([0.0, 0.6, 0.8])).center == pytest.approx(
        SHIP.load.gravity_at(np.array([0.0, 0.6, 0.8])).center
    )


@given(mass=st.floats(-0.5, 0.5), rise=st.floats(-1.0, 1.0))
@settings(max_examples=25, deadline=None)
def test_margins(mass: float, rise: float) -> None:
    """On the weights, not on the liquids: so much more of their mass, so much higher their G."""
    case = in_condition(replace(SHIP, tanks=()), Condition("margins", {}, (), (), mass, rise))
    before, after = replace(SHIP, tanks=()).load.solid, case.load.solid
    assert after.mass == pytest.approx((1 + mass) * before.mass, rel=1e-12)
    assert after.center == pytest.approx(before.center + [0.0, 0.0, rise], abs=1e-9)
    with_tanks = in_condition(SHIP, Condition("margins", {}, (), (), mass, rise))
    fuel = 850 * 0.5 * 0.95 * 8
    assert with_tanks.load.mass == pytest.approx((1 + mass) * before.mass + fuel, rel=1e-12)


def test_a_margin_beside_a_weight_of_that_name() -> None:
    own = Weight("margin", 1_000.0, np.array([10.0, 0.0, 2.0]))
    case = in_condition(
        replace(SHIP, weights=(*SHIP.weights, own)), Condition("heavy", mass_margin=0.1)
    )
    assert case.load.solid.mass == pytest.approx(1.1 * 116_000 + 850 * 0.5 * 0.95 * 8)
    assert len(set(names(case))) == len(names(case))


@pytest.mark.slow
def test_margins_tell_on_the_arms() -> None:
    high = stability(in_condition(SHIP, Condition("high", kg_margin=0.2)))
    plain = stability(SHIP)
    share = 115_000 / SHIP.load.mass
    assert plain.GM - high.GM == pytest.approx(0.2 * share, rel=1e-4)


@pytest.mark.parametrize(
    "condition, words",
    [
        (Condition("a", {"fule": 0.5}), ["no tank 'fule'", "did you mean 'fuel'"]),
        (Condition("a", {"hull": 0.5}), ["no tank 'hull'"]),
        (Condition("a", without=("cran",)), ["'cran'", "did you mean 'crane'"]),
        (Condition("a", without=("xyz",)), ["'xyz'", "'hull', 'crane'"]),
        (Condition("a", without_groups=("carg",)), ["no group 'carg'", "'cargo'"]),
        (Condition("a", without_groups=("",)), ["no group ''"]),
        (
            Condition("a", {"fuel": 0.0}, without_groups=("structure", "gear", "cargo")),
            ["is empty", "nothing with a mass"],
        ),
    ],
)
def test_not_on_board(condition: Condition, words: list[str]) -> None:
    assert reads(reported(condition), *words)


def test_compartments_open_to_the_sea() -> None:
    """Those of the condition, beside those of the ship, each once."""
    breached = replace(SHIP, flooded=("forepeak",))
    assert in_condition(SHIP, Condition("holed", flooded=("hold",))).flooded == ("hold",)
    both = in_condition(breached, Condition("holed", flooded=("hold", "forepeak")))
    assert both.flooded == ("forepeak", "hold")
    assert in_condition(breached, LADEN).flooded == ("forepeak",)


def test_liquids_alone_make_a_condition() -> None:
    case = in_condition(
        SHIP,
        Condition("afloat on fuel", {"fuel": 1.0}, without_groups=("structure", "gear", "cargo")),
    )
    assert case.load.mass == pytest.approx(850 * 0.95 * 8) and case.weights == ()


@pytest.mark.parametrize(
    "settings, words",
    [
        ({"fills": {"fuel": 1.2}}, "fill of 'fuel' is 1.2"),
        ({"fills": {"fuel": -0.1}}, "fill of 'fuel' is -0.1"),
        ({"fills": {"fuel": float("nan")}}, "fill of 'fuel' is nan"),
        ({"mass_margin": -1.0}, "margin on mass is -1"),
        ({"mass_margin": float("inf")}, "margin on mass is inf"),
        ({"kg_margin": float("nan")}, "margin on G"),
        ({"flooded": ("hold", "hold")}, "compartment 'hold' is flooded twice"),
    ],
)
def test_no_condition(settings: dict[str, object], words: str) -> None:
    with refused(words, Subject("condition", "odd")):
        Condition("odd", **settings)  # type: ignore[arg-type]


def test_names_of_conditions() -> None:
    assert condition_named(SHIP, "laden") is LADEN
    with refused("did you mean 'laden'"):
        condition_named(SHIP, "ladne")
    with refused("there are none"):
        condition_named(replace(SHIP, conditions=()), "laden")
    with refused("condition 'laden' is named twice"):
        replace(SHIP, conditions=(LADEN, LADEN))
