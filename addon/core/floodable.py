"""Floodable length: how long a part of the ship may lie open to the sea over her whole section.

She may settle until the margin line is in the water: 76 mm (3 inches) below the deck edge, as in
the SOLAS conventions up to 1974 and still in common practice (from memory). The part carries no
more, but for the share of it that cannot flood: lost buoyancy, with her weights as they were. She
is free to sink, trim and heel, so that one who loses her stability loses her margin as well.

On a box of length L and draft d, with the margin line at a height D and G level with B amidships,
a length l with its middle c from amidships and permeability mu brings that line to the water where

    L d (J + L |M| / 2) = D (A J - M^2),

A = L - mu l, M = mu l c and J = L^3 / 12 - mu l (c^2 + l^2 / 12) being the moments of the
waterplane left, over its breadth. Amidships it is l = L (1 - d / D) / mu.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .attitude import Attitude, up_from_angles
from .body import Less, LostBuoyancy
from .case import Case
from .cuts import AHEAD, part_below, part_between
from .equilibrium import Rest, settle
from .findings import BadInputError
from .floating import float_ship
from .roots import find_root
from .tree import MomentTree

Array = NDArray[np.float64]

MARGIN_LINE = 0.076
"""How far below the deck edge the margin line runs (m)."""
PERMEABILITY = 0.95
POINTS = 41
FIRST = 0.25
WIDER = 1.25
CLOSE = 1e-6


@dataclass(frozen=True)
class Compartment:
    """The ship with what lies from `aft` to `forward` (m) open to the sea.

    `margin` is the height above water of the lowest point of the margin line (m) at `rest`; sunk,
    it is NaN and `rest` None. `reserve` is the volume that still carries less what she needs
    (m3), negative where she sinks. Drafts are as in `Hydrostatics`.
    """

    aft: float
    forward: float
    outcome: Literal["afloat", "sunk", "capsized"]
    margin: float
    reserve: float
    rest: Rest | None
    draft_aft: float
    draft_forward: float

    @property
    def length(self) -> float:
        """Length flooded (m)."""
        return self.forward - self.aft


@dataclass(frozen=True)
class FloodableLength:
    """Floodable length along the ship: with its middle at each of `centres` (n,) m, the longest
    compartment that may flood, `lengths` (n,) m.

    The second and the last but one are those of compartments that end with the ship; beyond
    them the curve runs straight down to nothing at her ends.
    """

    centres: Array
    lengths: Array
    permeability: float
    below_deck: float

    def at(self, x: float) -> float:
        """Floodable length (m) with the middle at x, between points of the curve in proportion."""
        return float(np.interp(x, self.centres, self.lengths, 0.0, 0.0))


@dataclass(frozen=True)
class Trial:
    """An intact ship afloat, any length of which can be flooded: see `trial`.

    `margin_line` (k, 3) are the points of it that may be lowest, `start` is her attitude intact
    and upright.
    """

    case: Case
    whole: MomentTree
    permeability: float
    margin_line: Array
    start: Attitude

    @property
    def aft(self) -> float:
        """Where the hull begins (m)."""
        return float(self.whole.low[0])

    @property
    def forward(self) -> float:
        """Where the hull ends (m)."""
        return float(self.whole.high[0])

    @cached_property
    def intact(self) -> float:
        """Least height of the margin line above water with nothing flooded (m)."""
        load = self.case.load
        return self._margin(settle(self.whole, load.volume, load.hang, self.start).attitude)

    def flooded(self, aft: float, forward: float) -> Compartment:
        """What comes of flooding all between two planes (m)."""
        return self._without(part_between(self.case.hull, aft, forward), aft, forward)

    def worth(self, flooded: Compartment) -> float:
        """What ranks floodings: the margin (m); of a ship that sinks less than any margin, and
        the less the more she lacks."""
        if flooded.rest:
            return flooded.margin
        return self.whole.size * (flooded.reserve / self.case.load.volume - 1)

    def reach(
        self, start: float, least: float = 0.0, way: int = 1, guess: float | None = None
    ) -> float:
        """How far all from the plane x = `start` on may be flooded with no less than the `least`
        worth, forward (`way` 1) or aft (-1): the plane x (m), her end at most.

        `guess` is a length (m) to begin with.
        """
        end = self.forward if way > 0 else self.aft
        most = way * (end - start)
        tolerance = CLOSE * (self.forward - self.aft)
        if most <= tolerance or self.intact <= least:
            return end if most <= tolerance else start
        beyond = part_below(self.whole, -way * AHEAD, -way * start)

        def spare(length: float) -> float:
            other = start + way * length
            part = part_below(beyond, way * AHEAD, way * other)
            return self.worth(self._without(part, *sorted((start, other)))) - least

        length = min(most, guess or FIRST * most)
        there = spare(length)
        step = WIDER if there >= 0 else 1 / WIDER
        before, at_before = length, there
        while (there >= 0) == (at_before >= 0):
            if step > 1 and length >= most:
                return end
            if step < 1 and length <= tolerance:
                return start
            before, at_before = length, there
            length = min(most, step * length)
            there = spare(length)
        return start + way * find_root(spare, before, length, at_before, there, tolerance)

    def _margin(self, attitude: Attitude) -> float:
        return float(attitude.heights(self.margin_line).min())

    def _without(self, part: MomentTree, aft: float, forward: float) -> Compartment:
        """What comes of flooding a part of her from one x to another."""
        load, nan = self.case.load, float("nan")
        body = LostBuoyancy(self.whole, (Less(part, self.permeability),))
        reserve = body.volume - load.volume
        if reserve <= 0:
            return Compartment(aft, forward, "sunk", nan, reserve, None, nan, nan)
        rest = settle(body, load.volume, load.hang, self.start)
        attitude = rest.attitude
        return Compartment(
            aft,
            forward,
            "capsized" if attitude.upside_down else "afloat",
            self._margin(attitude),
            reserve,
            rest,
            attitude.draft_at(0.0),
            attitude.draft_at(self.case.hull.length_pp),
        )


def trial(case: Case, permeability: float = PERMEABILITY, below_deck: float = MARGIN_LINE) -> Trial:
    """The ship ready to be flooded, with the margin line so far below her deck edge (m).

    Raises BadInputError for a ship without a deck edge, one already flooded, and one whose margin
    line is under water, or who sinks, before anything floods.
    """
    hull = case.hull
    if not 0 < permeability <= 1:
        raise BadInputError(f"permeability is {permeability:g}; give a share above 0 and up to 1")
    if not 0 <= below_deck < hull.depth:
        raise BadInputError(
            f"the margin line is {below_deck:g} m below the deck edge; give a height of 0 m or "
            f"more, below her depth of {hull.depth:g} m"
        )
    if not isinstance(hull.tree, MomentTree):
        raise BadInputError(f"{hull.name}: some of her is flooded already; begin with her intact")
    if not len(hull.deck_edge):
        raise BadInputError(
            f"{hull.name}: she has no deck edge, so nothing says how far she may sink; model a "
            "deck that meets the sides"
        )
    ship = float_ship(case, seek_others=False)
    if ship.rest is None:
        raise BadInputError(f"{case.title}: she sinks before anything floods; take weight off")
    attitude = ship.rest.attitude
    edge = np.unique(hull.deck_edge.reshape(-1, 3), axis=0)
    margin_line = edge - [0.0, 0.0, below_deck]
    start = Attitude(up_from_angles(0.0, attitude.trim_rad), attitude.level)
    ready = Trial(case, hull.tree, permeability, margin_line, start)
    if ready.intact <= 0:
        raise BadInputError(
            f"{case.title}: the margin line is {-ready.intact:.3g} m under water before anything "
            "floods; she must float higher or more upright"
        )
    return ready


def floodable_length(
    case: Case,
    permeability: float = PERMEABILITY,
    below_deck: float = MARGIN_LINE,
    points: int = POINTS,
    tell: Callable[[float], None] | None = None,
) -> FloodableLength:
    """Floodable length along a ship in `points` places, both her ends among them.

    `below_deck` is how far below the deck edge the margin line runs (m); `tell` hears the share
    that is done. Raises BadInputError as `trial`.
    """
    if points < 4:
        raise BadInputError(f"a curve of floodable length has {points} points; give 4 or more")
    ship = trial(case, permeability, below_deck)
    last = ship.reach(ship.forward, way=-1)
    if last <= ship.aft:
        ends = np.array([[ship.aft, ship.forward]])
    else:
        starts = np.linspace(ship.aft, last, points - 2)
        ends = np.stack([starts, np.full(points - 2, ship.forward)], axis=1)
        length = None
        for index, start in enumerate(starts[:-1]):
            ends[index, 1] = ship.reach(float(start), guess=length)
            length = float(ends[index, 1] - start)
            if tell:
                tell((index + 1) / (points - 2))
    centres = np.concatenate([[ship.aft], ends.mean(axis=1), [ship.forward]])
    lengths = np.concatenate([[0.0], ends[:, 1] - ends[:, 0], [0.0]])
    return FloodableLength(centres, lengths, permeability, below_deck)
