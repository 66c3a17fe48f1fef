"""Floodable length against boxes computed by rectangles, and floodings that sink or capsize."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.core.buoyancy.body import LostBuoyancy
from addon.core.damage.floodable_length import floodable_length
from addon.core.damage.floodable_vessel import floodable_vessel
from addon.core.model.case import Case
from tests import bodies
from tests.core.box_barges import BELOW, BREADTH, DEPTH, LENGTH, barge, longest, margins
from tests.language import refused
from tests.published.ships import case_of, hull_of, load


@pytest.mark.parametrize("permeability", [0.6, 0.95, 1.0])
def test_amidships_it_sinks_on_an_even_keel(permeability: float) -> None:
    """Without trim, l = L (1 - d / D) / mu."""
    ship = floodable_vessel(barge(draft=5.0), permeability, BELOW)
    expected = LENGTH * (1 - 5.0 / (DEPTH - BELOW)) / permeability
    assert ship.longest_about(LENGTH / 2) == pytest.approx(expected, abs=1e-6 * LENGTH)


@pytest.mark.slow
@pytest.mark.parametrize("draft, KG, x", [(5.0, 3.0, 50.0), (6.5, 5.0, 50.0), (5.0, 3.5, 47.5)])
def test_curve_of_a_barge(draft: float, KG: float, x: float) -> None:
    curve = floodable_length(barge(draft, KG, x), 0.95, BELOW, points=9)
    ours = curve.lengths[2:-2]
    theirs = [longest(draft, KG, x, 0.95, float(center)) for center in curve.centers[2:-2]]
    assert ours == pytest.approx(np.array(theirs), abs=2e-6 * LENGTH)


def test_ends_of_the_curve() -> None:
    """A compartment that begins with the ship: its middle is half its length from its end."""
    curve = floodable_length(barge(5.0), 0.95, BELOW, points=5)
    assert curve.centers[[0, -1]] == pytest.approx([0.0, LENGTH])
    assert curve.lengths[[0, -1]] == pytest.approx([0.0, 0.0])
    end = curve.lengths[1]
    assert curve.centers[1] == pytest.approx(end / 2)
    assert min(margins(5.0, 3.0, 50.0, 0.95, 0.0, float(end))) == pytest.approx(0.0, abs=1e-4)
    assert curve.lengths == pytest.approx(curve.lengths[::-1], abs=1e-3)
    assert curve.at(end / 4) == pytest.approx(end / 2)
    assert curve.at(-1.0) == 0.0


@pytest.mark.parametrize("center", [10.0, 30.0, 45.0])
def test_short_trim(center: float) -> None:
    """The closed form of the module, G as high as B is when it floods; trim is still long
    enough to shift B up by its square."""
    draft, line, mu = 7.5, DEPTH - BELOW, 0.95
    ship = floodable_vessel(barge(draft, KG=4.0), mu, BELOW)
    length = ship.longest_about(50.0 + center / 2)
    off = center / 2
    area = LENGTH - mu * length
    first = mu * length * off
    second = LENGTH**3 / 12 - mu * length * (off**2 + length**2 / 12)
    left = LENGTH * draft * (second + LENGTH * first / 2)
    assert left == pytest.approx(line * (area * second - first**2), rel=2e-3)


def test_margin_line_height() -> None:
    """What the compartment tells, against the rectangles."""
    ship = floodable_vessel(barge(5.0, 3.0), 0.85, BELOW)
    for aft, forward in ((0.0, 15.0), (25.0, 40.0), (60.0, 80.0)):
        found = ship.flooded(aft, forward)
        assert found.outcome == "afloat"
        assert found.margins == pytest.approx(margins(5.0, 3.0, 50.0, 0.85, aft, forward), abs=1e-8)
        assert ship.ranking_margin(found) == found.margin == min(found.margins)
        trim = found.draft_aft - found.draft_forward
        assert (trim > 0) == (aft + forward < LENGTH)


def test_all_of_it_floods() -> None:
    ship = floodable_vessel(barge(5.0), 1.0, BELOW)
    found, less = ship.flooded(0.0, LENGTH), ship.flooded(0.0, 80.0)
    assert found.outcome == less.outcome == "sunk"
    assert np.isnan(found.margin) and found.equilibrium is None
    assert found.reserve == pytest.approx(-5.0 * LENGTH * BREADTH)
    assert ship.ranking_margin(found) < ship.ranking_margin(less) < -LENGTH


def test_what_cannot_flood_keeps_it_up() -> None:
    """With nine tenths of its volume full of foam it may flood from end to end."""
    curve = floodable_length(barge(3.0), 0.1, BELOW)
    assert curve.lengths == pytest.approx([0.0, LENGTH, 0.0])
    assert curve.at(25.0) == pytest.approx(LENGTH / 2)


def test_loss_of_stability_costs_length() -> None:
    """With G high it falls over before it is deep: GM amidships is I (1 - mu l / L) / V + KB
    - KG, and the margin line of a stiff ship would still be dry."""
    ship = floodable_vessel(barge(5.0, KG=8.3), 1.0, BELOW)
    stiff = LENGTH * (1 - 5.0 / (DEPTH - BELOW))
    length = ship.longest_about(50.0)
    assert length < 0.9 * stiff
    found = ship.flooded(50.0 - stiff / 2.2, 50.0 + stiff / 2.2)
    assert found.equilibrium is not None and abs(found.equilibrium.attitude.heel_rad) > np.radians(
        5
    )
    assert found.outcome == "capsized" and np.isnan(found.margin)
    assert ship.ranking_margin(found) == min(found.margins) < 0


def test_bad_input() -> None:
    case = barge(5.0)
    ball = hull_of(bodies.moved(bodies.geodesic_sphere(2.0), (2.0, 0.0, 2.0)))
    no_deck = replace(ball, deck_edge=np.zeros((0, 2, 3)))
    breached = replace(case.hull, tree=LostBuoyancy(case.hull.tree, ()))  # type: ignore[arg-type]
    for bad, given, words in (
        (case, {"permeability": 0.0}, "permeability is 0; give a share"),
        (case, {"permeability": 1.2}, "permeability is 1.2; give a share"),
        (case, {"below_deck": -0.1}, "the margin line is -0.1 m below the deck edge"),
        (case, {"below_deck": 11.0}, "below the depth of 10 m"),
        (case, {"below_deck": 6.0}, "the margin line is 1 m under water before anything floods"),
        (case, {"points": 3}, "3 points; give 4 or more"),
        (barge(10.5), {}, "sinks before anything floods"),
        (case_of(no_deck, load(5, 2, 0, 1)), {}, "no deck edge"),
        (replace(case, hull=breached), {}, "flooded already"),
        (Case("bare", case.hull), {}, "no weights"),
    ):
        with refused(words):
            floodable_length(bad, **given)  # type: ignore[arg-type]


def test_each_place_is_reported() -> None:
    heard: list[float] = []
    curve = floodable_length(barge(5.0), 0.95, BELOW, points=7, on_progress=heard.append)
    assert heard == pytest.approx(list(curve.centers[2:-2]))
