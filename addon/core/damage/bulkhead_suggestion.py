"""Transverse bulkhead positions that maximize the residual freeboard with one compartment flooded.

Each compartment between adjacent bulkheads, over the full section, is flooded alone; an arrangement
ranks by its worst compartment. For a required margin, each bulkhead in turn from aft is placed as
far forward as flooding allows: no arrangement of as many bulkheads reaches farther, provided a
longer compartment leaves a smaller margin. The greatest margin for which they reach the forward end
is the root of a function of one variable.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, counted, metres
from ..model.case import Case
from ..model.hull import MARGIN_LINE
from .floodable_length import PERMEABILITY, Compartment, Trial, trial

MOST = 99
CLOSE = 1e-5
CLOSE_SHARE = 1e-4
FATES = {"sunk": Sentence("sinks"), "capsized": Sentence("capsizes")}

Lengths = tuple[tuple[float, float], ...]
Places = tuple[float, ...]


@dataclass(frozen=True)
class Advice:
    """Bulkheads at `positions` (k,) m, and each of the k + 1 compartments flooded alone.

    `margin` is the least residual freeboard of all compartments (m), NaN where one loses the
    vessel. `enough` is the least number of bulkheads with which the vessel survives the flooding of
    any one compartment, None where no number up to 99 suffices. Where it does not survive, the
    positions are those that survive at the greatest possible `permeability`; otherwise that is the
    one requested. Fewer bulkheads than requested are returned where more would not improve the
    worst compartment.
    """

    positions: Places
    compartments: tuple[Compartment, ...]
    margin: float
    survives: bool
    permeability: float
    enough: int | None
    why: Sentence


def place_bulkheads(
    case: Case,
    count: int,
    permeability: float = PERMEABILITY,
    below_deck: float = MARGIN_LINE,
    clear: Lengths = (),
    tell: Callable[[int], None] | None = None,
) -> Advice:
    """Best positions of up to `count` transverse bulkheads, none within the lengths `clear`, each
    from one x to another (m).

    `below_deck` is the depth of the margin line below the deck edge (m); `tell` receives the number
    of arrangements tried. Raises BadInputError for an invalid count or length, and as `trial`.
    """
    if not 1 <= count <= MOST:
        number = counted(count, "{count} bulkhead", "{count} bulkheads")
        words = "{number} cannot be placed; give 1 to {most}"
        raise BadInputError(Sentence(words, number=number, most=MOST))
    for low, high in clear:
        if not low < high:
            raise BadInputError(
                Sentence(
                    "the length to keep clear of bulkheads runs from x = {low} to {high}; give its "
                    "aft end first",
                    low=metres(low, "g"),
                    high=metres(high, "g"),
                )
            )
    ship = trial(case, permeability, below_deck)
    best: dict[float, Places] = {}
    tried: list[Places] = []

    def spare(ship: Trial, least: float, at: float) -> float:
        """Rank of the foremost compartment less the least required of all the others."""
        places, last = _places(ship, least, count, clear, tried[-1] if tried else ())
        worth = ship.intact
        if last < ship.forward:
            worth = ship.worth(ship.flooded(last, ship.forward))
        tried.append(places)
        if worth >= least:
            best[at] = places
        if tell:
            tell(len(tried))
        return worth - least

    survives, share = spare(ship, 0.0, 0.0) >= 0, permeability
    places, last = _places(ship, 0.0, MOST, clear, tried[0])
    enough = len(places) if last == ship.forward else None
    if survives:
        _highest(lambda m: spare(ship, m, m), 0.0, ship.intact, CLOSE * ship.whole.size)
    else:
        _highest(lambda mu: spare(replace(ship, permeability=mu), 0.0, mu), 0.0, share, CLOSE_SHARE)
        share = max(best, default=0.0)
    positions = best[max(best)] if best else ()
    planes = pairwise((ship.aft, *positions, ship.forward))
    flooded = tuple(ship.flooded(*each) for each in planes)
    worst = min(flooded, key=ship.worth)
    why = _why(worst, survives, enough, share, clear)
    return Advice(positions, flooded, worst.margin, survives, share, enough, why)


def _highest(spare: Callable[[float], float], low: float, high: float, tolerance: float) -> None:
    """Evaluates `spare` up to the highest value at which it is not negative; it falls with rising
    values.

    It falls linearly below that value and steeply above, so the next value is extrapolated from the
    last two below it.
    """
    below: list[tuple[float, float]] = []
    step = (low + high) / 2
    while high - low > tolerance:
        there = spare(step)
        if there < 0:
            high = step
        else:
            low = step
            below.append((step, there))
            if there <= tolerance:
                return
        step = (low + high) / 2
        if len(below) > 1 and below[-1][1] < below[-2][1]:
            (first, at_first), (second, at_second) = below[-2:]
            along = second + at_second * (second - first) / (at_first - at_second)
            step = along if low < along < high else step


def _places(
    ship: Trial, least: float, most: int, clear: Lengths, near: Places
) -> tuple[Places, float]:
    """Bulkheads as far forward as the least rank of each compartment aft of them allows, up to
    `most`, and where the last compartment begins: at the forward end where none is left.

    `near` are estimates of the positions.
    """
    places: list[float] = []
    here, guesses = ship.aft, [b - a for a, b in pairwise((ship.aft, *near))]
    for index in range(most):
        guess = guesses[index] if index < len(guesses) else None
        there = ship.reach(here, least, guess=guess)
        if there == ship.forward:
            return tuple(places), there
        for low, high in sorted(clear, reverse=True):
            there = low if low < there < high else there
        if there - here <= ship.close:
            break
        places.append(there)
        here = there
    return tuple(places), here


def _why(
    worst: Compartment, survives: bool, enough: int | None, share: float, clear: Lengths
) -> Sentence:
    """The result in one sentence."""
    if survives:
        return Sentence(
            "Survives any one compartment flooded, the margin line at least {height} above water",
            height=metres(worst.margin),
        )
    under = Sentence("has the margin line {depth} under water", depth=metres(worst.margin))
    if enough is not None:
        cure = Sentence("{count} would do", count=enough)
    elif clear:
        words = "no number up to {most} would do with those lengths kept clear"
        cure = Sentence(words, most=MOST)
    else:
        cure = Sentence("no number up to {most} would do", most=MOST)
    return Sentence(
        "Does not survive: with x = {aft} to {forward} flooded she {fate}; {cure}, or these with a "
        "permeability of {share} at most",
        aft=metres(worst.aft, ".2f"),
        forward=metres(worst.forward, ".2f"),
        fate=FATES.get(worst.outcome, under),
        cure=cure,
        share=f"{share:.2f}",
    )
