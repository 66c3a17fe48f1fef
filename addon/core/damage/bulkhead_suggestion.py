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
from ..messages.sentence import Sentence, counted, meters
from ..model.case import Case
from ..model.hull import MARGIN_LINE_DEPTH
from .floodable_vessel import DEFAULT_PERMEABILITY, FloodableVessel, FloodedLength, floodable_vessel

MAX_BULKHEADS = 99
"""Bulkheads that may be asked for."""
MARGIN_TOLERANCE_SHARE = 1e-5
"""Share of the size of the hull to which the margin is found."""
PERMEABILITY_TOLERANCE = 1e-4
"""Permeability to which the greatest that is survived is found."""
OUTCOME_TEXTS = {"sunk": Sentence("sinks"), "capsized": Sentence("capsizes")}
"""What an outcome is called in a sentence."""

Ranges = tuple[tuple[float, float], ...]
Positions = tuple[float, ...]


@dataclass(frozen=True)
class BulkheadSuggestion:
    """Bulkheads at `positions` (k,) m, and each of the k + 1 compartments flooded alone.

    `margin` is the least residual freeboard of all compartments (m), NaN where one loses the
    vessel. `enough` is the least number of bulkheads with which the vessel survives the flooding of
    any one compartment, None where no number up to 99 suffices. Where it does not survive, the
    positions are those that survive at the greatest possible `permeability`; otherwise that is the
    one requested. Fewer bulkheads than requested are returned where more would not improve the
    worst compartment.
    """

    positions: Positions
    compartments: tuple[FloodedLength, ...]
    margin: float
    survives: bool
    permeability: float
    enough: int | None
    explanation: Sentence


def suggest_bulkheads(
    case: Case,
    count: int,
    permeability: float = DEFAULT_PERMEABILITY,
    below_deck: float = MARGIN_LINE_DEPTH,
    keep_clear: Ranges = (),
    on_progress: Callable[[int], None] | None = None,
) -> BulkheadSuggestion:
    """Best positions of up to `count` transverse bulkheads, none within the lengths `keep_clear`,
    each from one x to another (m).

    `below_deck` is the depth of the margin line below the deck edge (m); `on_progress` receives the
    number of arrangements tried. Raises BadInputError for an invalid count or length, and as
    `floodable_vessel`.
    """
    if not 1 <= count <= MAX_BULKHEADS:
        number = counted(count, "{count} bulkhead", "{count} bulkheads")
        words = "{number} cannot be placed; give 1 to {most}"
        raise BadInputError(Sentence(words, number=number, most=MAX_BULKHEADS))
    for low, high in keep_clear:
        if not low < high:
            raise BadInputError(
                Sentence(
                    "the length to keep clear of bulkheads runs from x = {low} to {high}; give its "
                    "aft end first",
                    low=meters(low, "g"),
                    high=meters(high, "g"),
                )
            )
    ship = floodable_vessel(case, permeability, below_deck)
    best: dict[float, Positions] = {}
    tried: list[Positions] = []

    def spare(ship: FloodableVessel, least: float, at: float) -> float:
        """Rank of the foremost compartment less the least required of all the others."""
        positions, last = _positions(ship, least, count, keep_clear, tried[-1] if tried else ())
        ranking_margin = ship.intact_margin
        if last < ship.forward:
            ranking_margin = ship.ranking_margin(ship.flooded(last, ship.forward))
        tried.append(positions)
        if ranking_margin >= least:
            best[at] = positions
        if on_progress:
            on_progress(len(tried))
        return ranking_margin - least

    survives, share = spare(ship, 0.0, 0.0) >= 0, permeability
    positions, last = _positions(ship, 0.0, MAX_BULKHEADS, keep_clear, tried[0])
    enough = len(positions) if last == ship.forward else None
    if survives:
        _highest(
            lambda m: spare(ship, m, m),
            0.0,
            ship.intact_margin,
            MARGIN_TOLERANCE_SHARE * ship.whole.size,
        )
    else:
        _highest(
            lambda mu: spare(replace(ship, permeability=mu), 0.0, mu),
            0.0,
            share,
            PERMEABILITY_TOLERANCE,
        )
        share = max(best, default=0.0)
    positions = best[max(best)] if best else ()
    planes = pairwise((ship.aft, *positions, ship.forward))
    flooded = tuple(ship.flooded(*each) for each in planes)
    worst = min(flooded, key=ship.ranking_margin)
    explanation = _explanation(worst, survives, enough, share, keep_clear)
    return BulkheadSuggestion(
        positions, flooded, worst.margin, survives, share, enough, explanation
    )


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


def _positions(
    ship: FloodableVessel, least: float, most: int, keep_clear: Ranges, near: Positions
) -> tuple[Positions, float]:
    """Bulkheads as far forward as the least rank of each compartment aft of them allows, up to
    `most`, and where the last compartment begins: at the forward end where none is left.

    `near` are estimates of the positions.
    """
    positions: list[float] = []
    here, guesses = ship.aft, [b - a for a, b in pairwise((ship.aft, *near))]
    for index in range(most):
        guess = guesses[index] if index < len(guesses) else None
        there = ship.farthest_plane(here, least, guess=guess)
        if there == ship.forward:
            return tuple(positions), there
        for low, high in sorted(keep_clear, reverse=True):
            there = low if low < there < high else there
        if there - here <= ship.length_tolerance:
            break
        positions.append(there)
        here = there
    return tuple(positions), here


def _explanation(
    worst: FloodedLength, survives: bool, enough: int | None, share: float, keep_clear: Ranges
) -> Sentence:
    """The result in one sentence."""
    if survives:
        return Sentence(
            "Survives any one compartment flooded, the margin line at least {height} above water",
            height=meters(worst.margin),
        )
    under = Sentence("has the margin line {depth} under water", depth=meters(worst.margin))
    if enough is not None:
        cure = Sentence("{count} would do", count=enough)
    elif keep_clear:
        words = "no number up to {most} would do with those lengths kept clear"
        cure = Sentence(words, most=MAX_BULKHEADS)
    else:
        cure = Sentence("no number up to {most} would do", most=MAX_BULKHEADS)
    return Sentence(
        "Does not survive: with x = {aft} to {forward} flooded the vessel {fate}; {cure}, or "
        "these with a permeability of {share} at most",
        aft=meters(worst.aft, ".2f"),
        forward=meters(worst.forward, ".2f"),
        fate=OUTCOME_TEXTS.get(worst.outcome, under),
        cure=cure,
        share=f"{share:.2f}",
    )
