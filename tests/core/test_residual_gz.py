"""Whether a damaged ship is the same to both sides, so that the arms of one are those of both."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.core.buoyancy.attitude import UPRIGHT_UP, Attitude, up_from_angles
from addon.core.damage import flooding
from addon.core.damage.flooding import flood
from addon.core.damage.residual_gz import (
    ResidualGZ,
    is_body_symmetric,
    is_load_symmetric,
    residual_gz_from,
)
from addon.core.hydrostatics.floating_position import FloatingPosition
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.openings import Opening
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from tests import bodies
from tests.core.box_compartments import block, compartment, divided

AFLOAT = Attitude(UPRIGHT_UP, 5.0)
HULL = build_hull(bodies.mesh(bodies.box(100.0, 20.0, 10.0)))
STEEL = Weight("ship", 10000.0 * 1025.0, np.array([50.0, 0.0, 7.5]))
COMPARTMENTS = divided(
    compartment("aft", block((0, 60), (-10, 10), (0, 10))),
    compartment("hold", block((60, 80), (-10, 10), (0, 10)), 0.8),
)


def weight(y: float) -> Weight:
    return Weight(f"at {y}", 1e4, np.array([30.0, y, 9.0]))


def vent(y: float, weathertight: bool = False) -> Opening:
    return Opening(f"at {y}", np.array([30.0, y, 8.0]), weathertight)


def tank(y: tuple[float, float], fill: float = 0.5) -> Tank:
    return Tank(f"at {y}", bodies.tree(block((30, 40), y, (2, 6))), 1000.0, fill)


def ship(*weights: Weight, **more: object) -> Case:
    return replace(Case("barge", HULL, (STEEL, *weights)), **more)


@pytest.mark.parametrize(
    ("body", "even"),
    [
        (bodies.box(100.0, 20.0, 10.0), True),
        (bodies.wigley(100.0, 20.0, 8.0, 10.0), True),
        (block((40, 60), (-6, 6), (0, 10)), True),
        (block((40, 60), (-6, 6.01), (0, 10)), False),
        (block((40, 60), (2, 6), (0, 10)), False),
        (block((40, 60), (-6, -2), (0, 10)), False),
        (bodies.moved(bodies.wigley(100.0, 20.0, 8.0, 10.0), (0, 0.01, 0)), False),
    ],
)
def test_bodies(body: bodies.Body, even: bool) -> None:
    assert is_body_symmetric(bodies.tree(body), AFLOAT) is even
    trimmed = Attitude(up_from_angles(0.0, 0.02), 5.0)
    assert is_body_symmetric(bodies.tree(body), trimmed) is even


@pytest.mark.parametrize(
    ("case", "even"),
    [
        (ship(), True),
        (ship(weight(3.0), weight(-3.0)), True),
        (ship(weight(3.0)), False),
        (ship(weight(0.01)), False),
        (ship(tanks=(tank((-3, 3)),)), True),
        (ship(tanks=(tank((2, 5)), tank((-5, -2)))), True),
        (ship(tanks=(tank((2, 5)),)), False),
        (ship(tanks=(tank((2, 5)), tank((-5, -2), 0.4))), False),
        (ship(tanks=(tank((2, 5), 0.0),)), True),
        (ship(openings=(vent(0.0),)), True),
        (ship(openings=(vent(4.0), vent(-4.0))), True),
        (ship(openings=(vent(4.0),)), False),
        (ship(openings=(vent(4.0), vent(-4.1))), False),
        (ship(openings=(vent(4.0, True),)), True),
    ],
)
def test_what_is_on_board(case: Case, even: bool) -> None:
    assert is_load_symmetric(case, AFLOAT) is even


def test_open_edges() -> None:
    rim = np.array(
        [[[10.0, -3.0, 10.0], [20.0, -3.0, 10.0]], [[10.0, 3.0, 10.0], [20.0, 3.0, 10.0]]]
    )
    for rims, even in (((rim,), True), ((rim[:1], rim[1:]), True), ((rim[:1],), False)):
        assert is_load_symmetric(replace(ship(), hull=replace(HULL, rims=rims)), AFLOAT) is even


def sides_of(
    case: Case, monkeypatch: pytest.MonkeyPatch, both: bool = False
) -> tuple[ResidualGZ, list[int]]:
    """What is left of a ship with its hold open, and the sides that were looked at."""
    looked: list[int] = []

    def seen(floating: FloatingPosition, sign: int, reach: float, arm: float) -> ResidualGZ:
        looked.append(sign)
        return residual_gz_from(floating, sign, reach, arm)

    monkeypatch.setattr(flooding, "residual_gz_from", seen)
    if both:
        monkeypatch.setattr(flooding, "is_load_symmetric", lambda case, attitude: False)
    found = flood(case, COMPARTMENTS, ["hold"], whole_curve=False)
    assert found.residual
    return found.residual, looked


def test_one_side_of_an_even_ship_is_as_good_as_both(monkeypatch: pytest.MonkeyPatch) -> None:
    case = ship(tanks=(tank((-3, 3)),), openings=(vent(10.0), vent(-10.0)))
    one, looked = sides_of(case, monkeypatch)
    assert looked == [1]
    again, looked = sides_of(case, monkeypatch, both=True)
    assert looked == [1, -1]
    for name in ("heel", "range", "max_gz", "area"):
        assert getattr(one, name) == pytest.approx(getattr(again, name), rel=1e-6, abs=1e-9), name


def test_the_worse_side_of_a_ship_that_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Upright, with a vent low to port."""
    found, looked = sides_of(ship(openings=(vent(10.0),)), monkeypatch)
    assert looked == [1, -1] and found.sign == -1
