"""Remedies: carried out, each does what it says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.advice import (
    add_ballast,
    against_list,
    against_trim,
    lower_a_weight,
    mass_to_take_off,
    remedies,
)
from addon.core.case import Case
from addon.core.floating import float_ship, upright_GM
from addon.core.hull import build_hull
from addon.core.weights import Weight
from tests.bodies import box, mesh

HULL = build_hull(mesh(box(20.0, 5.0, 3.0)))


def loaded(engine: tuple[float, float, float], mass: float = 20_000.0) -> Case:
    hull = Weight("hull", 60_000.0, np.array([10.0, 0.0, 1.5]))
    return Case("barge", HULL, (hull, Weight("engine", mass, np.array(engine))))


@given(
    x=st.floats(4.0, 16.0), y=st.floats(-0.5, 0.5), z=st.floats(0.5, 3.0), mass=st.floats(1e4, 3e4)
)
@settings(max_examples=30, deadline=None)
def test_moved_as_told_she_is_upright_on_an_even_keel(
    x: float, y: float, z: float, mass: float
) -> None:
    case = loaded((x, y, z), mass)
    for find in (against_list, against_trim):
        remedy = find(float_ship(case, seek_others=False))
        case = remedy.applied(case) if remedy else case
    there = float_ship(case, seek_others=False).rest
    assert there
    assert abs(np.degrees(there.attitude.heel_rad)) < 0.2
    assert abs(np.degrees(there.attitude.trim_rad)) < 0.2


def test_a_list_is_taken_off_by_the_heaviest_weight_with_room() -> None:
    """1 m of 20 t over 80 t is 0.25 m of G, which the hull of 60 t takes off in a third of a
    metre."""
    remedy = against_list(float_ship(loaded((10.0, 1.0, 1.0)), seek_others=False))
    assert remedy
    assert remedy.text == "Moving 'hull' 0.33 m starboard takes the list off"
    assert remedy.shift == pytest.approx([0.0, -1 / 3, 0.0])


def test_an_upright_ship_on_an_even_keel_needs_nothing() -> None:
    ship = float_ship(loaded((10.0, 0.0, 1.0)), seek_others=False)
    assert against_list(ship) is None and against_trim(ship) is None
    assert list(remedies(ship, least_GM=0.15)) == []
    assert mass_to_take_off(ship, 0.1) == 0.0


@pytest.mark.parametrize("GM", [1.2, 1.5])
def test_lowering_and_ballast_reach_the_GM_wanted(GM: float) -> None:
    ship = float_ship(loaded((10.0, 0.0, 3.0)), seek_others=False)
    assert upright_GM(ship.case) < GM
    for remedy in (lower_a_weight(ship, GM), add_ballast(ship, GM)):
        assert remedy
        assert upright_GM(remedy.applied(ship.case)) == pytest.approx(GM, abs=1e-5)


def test_ballast_that_would_sink_her_is_not_advised() -> None:
    top = Weight("tower", 150_000.0, np.array([10.0, 0.0, 30.0]))
    ship = float_ship(Case("tower", HULL, (top,)), seek_others=False)
    assert add_ballast(ship, 1.0) is None
    assert lower_a_weight(ship, 40.0) is None


def test_mass_to_take_off_a_wall_sided_hull() -> None:
    """A metre of a waterplane of 100 m2 is 102.5 t."""
    ship = float_ship(loaded((10.0, 0.0, 1.0)), seek_others=False)
    assert ship.hydrostatics
    freeboard = ship.hydrostatics.freeboard_min
    assert mass_to_take_off(ship, freeboard + 0.1) == pytest.approx(10_250.0)
