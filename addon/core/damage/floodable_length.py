"""Floodable length: the greatest length of the hull that may be open to the sea over the full
section.

The limit is the immersion of the margin line. The flooded part carries nothing but its share that
cannot flood (lost buoyancy, with the weights unchanged). The vessel is free to sink, trim and heel,
so loss of stability counts as loss of the margin.

On a box of length L and draft d, with the margin line at a height D and G level with B amidships, a
length l with its middle c from amidships and permeability mu brings that line to the water where

    L d (J + L |M| / 2) = D (A J - M^2),

A = L - mu l, M = mu l c and J = L^3 / 12 - mu l (c^2 + l^2 / 12) being the moments of the remaining
waterplane, per unit breadth. Amidships it is l = L (1 - d / D) / mu.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude, up_from_angles
from ..buoyancy.body import Less, LostBuoyancy
from ..buoyancy.moment_tree import MomentTree
from ..geometry.root_finding import find_root
from ..hydrostatics.equilibrium import Rest, settle
from ..hydrostatics.floating_position import float_ship
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, metres
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.hull import MARGIN_LINE
from .hull_slices import part_between

Array = NDArray[np.float64]
Planes = Callable[[float], tuple[float, float]]
"""The x of both planes (m) as a function of the length between them."""

PERMEABILITY = 0.95
POINTS = 41
FIRST = 0.25
WIDER = 1.001
CLOSE = 1e-6


@dataclass(frozen=True)
class Compartment:
    """The vessel with the length from `aft` to `forward` (m) open to the sea.

    `margins` are the heights above water (m) of the lowest points of the margin line in the aft and
    in the forward half, in the equilibrium `rest`; strongly negative upside down. Where the vessel
    sinks they are NaN and `rest` is None. `reserve` is the remaining buoyant volume less the
    displacement (m3), negative where it sinks. Drafts are as in `Hydrostatics`.
    """

    aft: float
    forward: float
    outcome: Literal["afloat", "sunk", "capsized"]
    margins: tuple[float, float]
    reserve: float
    rest: Rest | None
    draft_aft: float
    draft_forward: float

    @property
    def length(self) -> float:
        """Length flooded (m)."""
        return self.forward - self.aft

    @property
    def margin(self) -> float:
        """Residual freeboard to the margin line, at its lowest point (m), NaN where the vessel is
        lost."""
        return min(self.margins) if self.outcome == "afloat" else float("nan")


@dataclass(frozen=True)
class FloodableLength:
    """Floodable length along the hull: the longest compartment that may flood, `lengths` (n,) m,
    for middles at `centres` (n,) m.

    The second and the last but one belong to compartments that end with the hull; beyond them the
    curve runs straight down to zero at the ends.
    """

    centres: Array
    lengths: Array
    permeability: float
    below_deck: float

    def at(self, x: float) -> float:
        """Floodable length (m) for a middle at x, interpolated linearly."""
        return float(np.interp(x, self.centres, self.lengths, 0.0, 0.0))


@dataclass(frozen=True)
class Trial:
    """An intact vessel afloat, any length of which can be flooded: see `trial`.

    `margin_line` holds the points (k, 3) of it that may be lowest, in the aft and in the forward
    half; `start` is the intact, upright attitude.
    """

    case: Case
    whole: MomentTree
    permeability: float
    margin_line: tuple[Array, Array]
    start: Attitude

    @property
    def aft(self) -> float:
        """Aft end of the hull (m)."""
        return float(self.whole.low[0])

    @property
    def forward(self) -> float:
        """Forward end of the hull (m)."""
        return float(self.whole.high[0])

    @property
    def close(self) -> float:
        """Tolerance of lengths (m)."""
        return CLOSE * (self.forward - self.aft)

    @cached_property
    def rest(self) -> Rest:
        """Equilibrium with nothing flooded."""
        return settle(self.whole, self.case.load.volume, self.case.load.hang, self.start)

    @cached_property
    def intact(self) -> float:
        """Least height of the margin line above water with nothing flooded (m)."""
        return min(self._margins(self.rest.attitude))

    def flooded(self, aft: float, forward: float, start: Attitude | None = None) -> Compartment:
        """The equilibrium with everything between two planes (m) flooded, sought from `start`, by
        default the intact attitude."""
        load, nan = self.case.load, float("nan")
        part = part_between(self.case.hull, aft, forward)
        body = LostBuoyancy(self.whole, (Less(part, self.permeability),))
        reserve = body.volume - load.volume
        if reserve <= 0:
            return Compartment(aft, forward, "sunk", (nan, nan), reserve, None, nan, nan)
        rest = settle(body, load.volume, load.hang, start or self.start)
        attitude = rest.attitude
        return Compartment(
            aft,
            forward,
            "capsized" if attitude.upside_down else "afloat",
            self._margins(attitude),
            reserve,
            rest,
            attitude.draft_at(0.0),
            attitude.draft_at(self.case.hull.length_pp),
        )

    def worth(self, flooded: Compartment) -> float:
        """Rank of a flooding: the margin (m); where the vessel sinks, below any margin, and lower
        the more buoyancy is lacking."""
        return min(self._worths(flooded))

    def reach(
        self, start: float, least: float = 0.0, way: int = 1, guess: float | None = None
    ) -> float:
        """The plane x (m) up to which everything from x = `start` may be flooded at a rank of at
        least `least`, forward (`way` 1) or aft (-1), limited by the end of the hull.

        `guess` is an initial length (m). The vessel trims towards `start` while little is flooded,
        and that end may rise again as the flooding passes the middle: where it is the first to
        immerse, lengths about which the vessel does not trim are examined too.
        """
        end = self.forward if way > 0 else self.aft
        most = way * (end - start)
        if most <= self.close or self.intact <= least:
            return end if most <= self.close else start

        def planes(length: float) -> tuple[float, float]:
            other = start + way * length
            return min(start, other), max(start, other)

        spares = self._spares(planes, least)
        behind, ahead = (0, 1) if way > 0 else (1, 0)
        length = self._longest(lambda each: min(spares(each)), most, guess, least)
        level = 2 * way * (float(self.rest.immersion.flotation[0]) - start)
        if length < level < most and spares(length)[behind] < spares(length)[ahead]:
            if spares(level)[behind] >= 0:
                longer = self._longest(lambda each: spares(each)[ahead], most, level, least)
                length = longer if spares(longer)[behind] >= 0 else length
        return end if length == most else start + way * length

    def about(self, centre: float, guess: float | None = None) -> float:
        """The longest flooding (m) with its middle at x = `centre` that leaves the margin line dry,
        within the hull; `guess` is an initial length (m)."""
        spares = self._spares(lambda length: (centre - length / 2, centre + length / 2), 0.0)
        most = 2 * min(centre - self.aft, self.forward - centre)
        return self._longest(lambda each: min(spares(each)), most, guess)

    def _spares(self, planes: Planes, least: float) -> Callable[[float], tuple[float, float]]:
        """Ranks of the aft and the forward half less the least required, as a function of the
        flooded length."""
        start = self.start

        @cache
        def spares(length: float) -> tuple[float, float]:
            nonlocal start
            found = self.flooded(*planes(length), start)
            if found.rest and found.margin >= 0:
                start = _upright(found.rest.attitude)
            aft, forward = self._worths(found)
            return aft - least, forward - least

        return spares

    def _longest(
        self, spare: Callable[[float], float], most: float, guess: float | None, least: float = 0.0
    ) -> float:
        """The longest flooding (m), up to `most`, for which `spare` is not negative.

        `spare` falls ever faster with the length: the chord from no flooding through a trial
        crosses zero beyond the root, or before it, and mostly near.
        """
        dry = self.intact - least
        length = min(most, max(FIRST * most if guess is None else guess, self.close))
        there = spare(length)
        step, before, at_before = WIDER, length, there
        while (there >= 0) == (at_before >= 0):
            if there >= 0 and length >= most:
                return most
            if there < 0 and length <= self.close:
                return 0.0
            before, at_before = length, there
            share = dry / (dry - there) if there < dry else np.inf
            share = min(max(share, step), 2.0) if there >= 0 else max(min(share, 1 / step), 0.5)
            length, step = min(most, share * length), step**2
            there = spare(length)
        return find_root(spare, before, length, at_before, there, self.close)

    def _worths(self, flooded: Compartment) -> tuple[float, float]:
        """Ranks of the aft and of the forward half."""
        if flooded.rest:
            return flooded.margins
        sunk = self.whole.size * (flooded.reserve / self.case.load.volume - 1)
        return sunk, sunk

    def _margins(self, attitude: Attitude) -> tuple[float, float]:
        aft, forward = (attitude.heights(half).min(initial=np.inf) for half in self.margin_line)
        return float(aft), float(forward)


def trial(case: Case, permeability: float = PERMEABILITY, below_deck: float = MARGIN_LINE) -> Trial:
    """The vessel prepared for flooding, with the margin line `below_deck` (m) below the deck edge.

    Raises BadInputError for a hull without a deck edge, a case already flooded, and a vessel that
    sinks or has its margin line immersed before anything floods.
    """
    hull = case.hull
    if not 0 < permeability <= 1:
        words = "permeability is {share}; give a share above 0 and up to 1"
        raise BadInputError(Sentence(words, share=f"{permeability:g}"))
    if not 0 <= below_deck < hull.depth:
        raise BadInputError(
            Sentence(
                "the margin line is {below} below the deck edge; give a height of {none} or more, "
                "below her depth of {depth}",
                below=metres(below_deck, "g"),
                none=metres(0.0, "g"),
                depth=metres(hull.depth, "g"),
            )
        )
    if case.flooded or not isinstance(hull.tree, MomentTree):
        raise BadInputError(
            Sentence(
                "{ship}: some of her is flooded already; choose a condition that floods nothing",
                ship=Subject("vessel", case.title),
            )
        )
    if not len(hull.deck_edge):
        raise BadInputError(
            Sentence(
                "{hull}: she has no deck edge, so nothing says how far she may sink; model a deck "
                "that meets the sides",
                hull=Subject("hull", hull.name),
            )
        )
    ship = float_ship(case, seek_others=False)
    if ship.rest is None:
        words = "{ship}: she sinks before anything floods; take weight off"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    attitude = ship.rest.attitude
    edge = np.unique(hull.deck_edge.reshape(-1, 3), axis=0)
    line = edge - [0.0, 0.0, below_deck]
    ahead = line[:, 0] > (hull.tree.low[0] + hull.tree.high[0]) / 2
    halves = line[~ahead], line[ahead]
    ready = Trial(case, hull.tree, permeability, halves, _upright(attitude))
    if ready.intact <= 0:
        raise BadInputError(
            Sentence(
                "{ship}: the margin line is {depth} under water before anything floods; she must "
                "float higher or more upright",
                ship=Subject("vessel", case.title),
                depth=metres(-ready.intact, ".3g"),
            )
        )
    return ready


def floodable_length(
    case: Case,
    permeability: float = PERMEABILITY,
    below_deck: float = MARGIN_LINE,
    points: int = POINTS,
    tell: Callable[[float], None] | None = None,
) -> FloodableLength:
    """Floodable length along the hull at `points` positions, both ends included.

    `below_deck` is the depth of the margin line below the deck edge (m); `tell` receives each
    finished position (m). Raises BadInputError as `trial`.
    """
    if points < 4:
        words = "a curve of floodable length has {points} points; give 4 or more"
        raise BadInputError(Sentence(words, points=points))
    ship = trial(case, permeability, below_deck)
    ends = ship.reach(ship.aft), ship.reach(ship.forward, way=-1)
    if ends[1] <= ship.aft:
        middle, whole = (ship.aft + ship.forward) / 2, ship.forward - ship.aft
        return FloodableLength(
            np.array([ship.aft, middle, ship.forward]),
            np.array([0.0, whole, 0.0]),
            permeability,
            below_deck,
        )
    centres = np.linspace((ship.aft + ends[0]) / 2, (ends[1] + ship.forward) / 2, points - 2)
    lengths = np.full(points - 2, ends[0] - ship.aft)
    lengths[-1] = ship.forward - ends[1]
    for index in range(1, points - 3):
        ahead = lengths[index - 1]
        if index > 1:
            ahead += ahead - lengths[index - 2]
        lengths[index] = ship.about(float(centres[index]), float(ahead))
        if tell:
            tell(float(centres[index]))
    return FloodableLength(
        np.concatenate([[ship.aft], centres, [ship.forward]]),
        np.concatenate([[0.0], lengths, [0.0]]),
        permeability,
        below_deck,
    )


def _upright(attitude: Attitude) -> Attitude:
    """The same trim and level, upright."""
    return Attitude(up_from_angles(0.0, attitude.trim_rad), attitude.level)
