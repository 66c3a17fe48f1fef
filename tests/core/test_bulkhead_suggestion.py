"""Places of bulkheads against boxes of rectangles, and against trying places one by one."""

from __future__ import annotations

from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest

from addon.core.damage.bulkhead_suggestion import BulkheadSuggestion, suggest_bulkheads
from addon.core.damage.floodable_vessel import floodable_vessel
from addon.core.model.case import Case
from tests.bodies import wigley
from tests.core.box_barges import BELOW, LENGTH, barge, margins
from tests.language import reads, refused
from tests.published.ships import case_of, hull_of, load

pytestmark = pytest.mark.slow

DRAFT, KG = 3.0, 3.0
CLOSE = 2e-5 * LENGTH


def slender(draft_share: float, x: float) -> Case:
    """A ship of fine ends, with its weight at x."""
    hull = hull_of(wigley(100.0, 14.0, 5.0, 8.0, divisions=4))
    return case_of(hull, load(1.025 * hull.volume * draft_share, x, 0.0, 3.0))


@cache
def advised(count: int, draft: float = DRAFT) -> tuple[BulkheadSuggestion, tuple[int, ...]]:
    """The best places in the box, and what was reported meanwhile."""
    heard: list[int] = []
    case = barge(draft, KG)
    return suggest_bulkheads(case, count, below_deck=BELOW, on_progress=heard.append), tuple(heard)


def margin_of(*planes: float) -> float:
    """The least margin of the box between planes, each compartment flooded alone."""
    return min(min(margins(DRAFT, KG, 50.0, 0.95, *each)) for each in pairwise(planes))


def even(count: int) -> float:
    """Where two of `count` bulkheads stand from the ends of the box so that its margin is the
    same for end and middle compartments, for 2 and for 3 of them, by halving."""
    low, high = 0.0, LENGTH / 2
    while high - low > 1e-9:
        end = (low + high) / 2
        inner = (end, LENGTH - end) if count == 2 else (end, LENGTH / 2)
        better = margin_of(0.0, end) > margin_of(*inner)
        low, high = (end, high) if better else (low, end)
    return low


@pytest.mark.parametrize("count", [2, 3])
def test_box(count: int) -> None:
    advice, _ = advised(count)
    end = even(count)
    expected = [end, LENGTH - end] if count == 2 else [end, LENGTH / 2, LENGTH - end]
    assert advice.positions == pytest.approx(expected, abs=10 * CLOSE)
    assert advice.margin == pytest.approx(margin_of(0.0, *expected, LENGTH), abs=CLOSE)
    assert [each.margin for each in advice.compartments] == pytest.approx(
        [advice.margin] * (count + 1), abs=20 * CLOSE
    )
    assert advice.survives and advice.enough == 2


def test_one_bulkhead_stands_amidships() -> None:
    """Half of the box flooded is too much: how much of it may flood, by halving."""
    advice, _ = advised(1)
    assert advice.positions == pytest.approx([LENGTH / 2], abs=10 * CLOSE)
    assert not advice.survives and advice.enough == 2
    low, high = 0.0, 0.9
    while high - low > 1e-6:
        middle = (low + high) / 2
        dry = min(margins(DRAFT, KG, 50.0, middle, 0.0, 50.0)) >= 0
        low, high = (middle, high) if dry else (low, middle)
    assert advice.permeability == pytest.approx(low, abs=2e-4)
    assert reads(
        advice.explanation, f"2 would do, or these with a permeability of {low:.2f} at most"
    )


@pytest.mark.parametrize("x", [50.0, 48.5])
def test_against_trying_places(x: float) -> None:
    """No two bulkheads on a grid are better, and the best two of it are not far off."""
    case = slender(0.3, x)
    ship = floodable_vessel(case)
    planes = np.linspace(ship.aft, ship.forward, 26)
    known = {each: ship.ranking_margin(ship.flooded(*each)) for each in combinations(planes, 2)}
    tried = {
        inner: min(known[each] for each in pairwise((planes[0], *inner, planes[-1])))
        for inner in combinations(planes[1:-1], 2)
    }
    best = max(tried.values())
    advice = suggest_bulkheads(case, 2)
    assert advice.survives
    assert advice.margin >= best - CLOSE
    nearest = max(tried, key=tried.__getitem__)
    assert advice.positions == pytest.approx(nearest, abs=1.5 * planes[1])


def test_an_end_that_rises_again() -> None:
    """Flooded about its middle it does not trim, and a shorter length aft of it is worse."""
    ship = floodable_vessel(slender(0.34, 50.0))
    middle, shorter = ship.flooded(27.0, 73.0), ship.flooded(27.0, 70.0)
    assert ship.ranking_margin(shorter) < ship.ranking_margin(middle)
    least = ship.ranking_margin(middle) - 1e-3
    assert ship.farthest_plane(27.0, least) == pytest.approx(73.0, abs=0.02)
    assert ship.farthest_plane(73.0, least, direction=-1) == pytest.approx(27.0, abs=0.02)


def test_too_few_and_enough() -> None:
    few, _ = advised(2, 6.0)
    assert not few.survives and few.enough is not None and few.enough > 2
    assert reads(few.explanation, "Does not survive: with x = ")
    assert reads(few.explanation, f"; {few.enough} would do, or these")
    enough, _ = advised(few.enough, 6.0)
    assert enough.survives and enough.enough == few.enough
    assert reads(enough.explanation, "Survives any one compartment flooded")
    assert not advised(few.enough - 1, 6.0)[0].survives
    lower = suggest_bulkheads(barge(6.0, KG), few.enough, below_deck=BELOW + 0.2)
    assert enough.margin > lower.margin


def test_lengths_kept_clear() -> None:
    case = barge(DRAFT, KG)
    free, _ = advised(3)
    clear = ((45.0, 58.0), (10.0, 25.0))
    advice = suggest_bulkheads(case, 3, below_deck=BELOW, keep_clear=clear)
    assert not any(low < x < high for x in advice.positions for low, high in clear)
    assert advice.margin < free.margin
    places = [x for x in range(0, 101, 5) if not any(low < x < high for low, high in clear)]
    known = {each: margin_of(*each) for each in combinations(places, 2) if each[1] - each[0] < 40}
    best = max(
        min(known.get(each, -np.inf) for each in pairwise((0, *inner, 100)))
        for inner in combinations(places[1:-1], 3)
    )
    assert advice.margin >= best - CLOSE
    whole = suggest_bulkheads(case, 3, below_deck=BELOW, keep_clear=((2.0, 98.0),))
    assert not whole.survives and whole.enough is None and whole.compartments[1].equilibrium is None
    assert reads(whole.explanation, "no number up to 99 would do with those lengths kept clear")
    assert reads(whole.explanation, "the vessel sinks") and np.isnan(whole.margin)


def test_each_arrangement_is_reported() -> None:
    _, heard = advised(2)
    assert heard == tuple(range(1, len(heard) + 1))


def test_bad_input() -> None:
    case = barge(DRAFT, KG)
    for count, clear, words in (
        (0, (), "0 bulkheads cannot be placed; give 1 to 99"),
        (100, (), "100 bulkheads cannot be placed"),
        (2, ((60.0, 40.0),), "runs from x = 60 m to 40 m; give its aft end first"),
    ):
        with refused(words):
            suggest_bulkheads(case, count, keep_clear=clear)
