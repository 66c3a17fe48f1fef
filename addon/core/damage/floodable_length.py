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

from ..arrays import Floats
from ..buoyancy.attitude import Attitude, up_from_angles
from ..buoyancy.body import LostBuoyancy, LostPart
from ..buoyancy.moment_tree import MomentTree
from ..geometry.root_finding import find_root
from ..hydrostatics.equilibrium import Equilibrium, find_equilibrium
from ..hydrostatics.floating_position import find_floating_position
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.hull import MARGIN_LINE_DEPTH
from .hull_slices import hull_between

Planes = Callable[[float], tuple[float, float]]
"""The x of both planes (m) as a function of the length between them."""

DEFAULT_PERMEABILITY = 0.95
"""Share of the flooded length that water can take."""
CURVE_POINTS = 41
"""Points of the curve."""
FIRST_GUESS_SHARE = 0.25
"""Share of the greatest length that is tried first."""
BRACKET_GROWTH = 1.001
"""Factor by which a guess is widened until it brackets the root."""
LENGTH_TOLERANCE_SHARE = 1e-6
"""Share of the length of the hull to which lengths are found."""


@dataclass(frozen=True)
class FloodedLength:
    """The vessel with the length from `aft` to `forward` (m) open to the sea.

    `margins` are the heights above water (m) of the lowest points of the margin line in the aft and
    in the forward half, in the equilibrium `equilibrium`; strongly negative upside down. Where the
    vessel sinks they are NaN and `equilibrium` is None. `reserve` is the remaining buoyant volume
    less the displacement (m3), negative where it sinks. Drafts are as in `Hydrostatics`.
    """

    aft: float
    forward: float
    outcome: Literal["afloat", "sunk", "capsized"]
    margins: tuple[float, float]
    reserve: float
    equilibrium: Equilibrium | None
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
    for middles at `centers` (n,) m.

    The second and the last but one belong to compartments that end with the hull; beyond them the
    curve runs straight down to zero at the ends.
    """

    centers: Floats
    lengths: Floats
    permeability: float
    below_deck: float

    def at(self, x: float) -> float:
        """Floodable length (m) for a middle at x, interpolated linearly."""
        return float(np.interp(x, self.centers, self.lengths, 0.0, 0.0))


@dataclass(frozen=True)
class FloodableVessel:
    """An intact vessel afloat, any length of which can be flooded: see `floodable_vessel`.

    `margin_line` holds the points (k, 3) of it that may be lowest, in the aft and in the forward
    half; `start` is the intact, upright attitude.
    """

    case: Case
    whole: MomentTree
    permeability: float
    margin_line: tuple[Floats, Floats]
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
    def length_tolerance(self) -> float:
        """Tolerance of lengths (m)."""
        return LENGTH_TOLERANCE_SHARE * (self.forward - self.aft)

    @cached_property
    def equilibrium(self) -> Equilibrium:
        """Equilibrium with nothing flooded."""
        return find_equilibrium(
            self.whole, self.case.load.volume, self.case.load.gravity_at, self.start
        )

    @cached_property
    def intact_margin(self) -> float:
        """Least height of the margin line above water with nothing flooded (m)."""
        return min(self._margins(self.equilibrium.attitude))

    def flooded(self, aft: float, forward: float, start: Attitude | None = None) -> FloodedLength:
        """The equilibrium with everything between two planes (m) flooded, sought from `start`, by
        default the intact attitude."""
        load, nan = self.case.load, float("nan")
        part = hull_between(self.case.hull, aft, forward)
        body = LostBuoyancy(self.whole, (LostPart(part, self.permeability),))
        reserve = body.volume - load.volume
        if reserve <= 0:
            return FloodedLength(aft, forward, "sunk", (nan, nan), reserve, None, nan, nan)
        equilibrium = find_equilibrium(body, load.volume, load.gravity_at, start or self.start)
        attitude = equilibrium.attitude
        return FloodedLength(
            aft,
            forward,
            "capsized" if attitude.upside_down else "afloat",
            self._margins(attitude),
            reserve,
            equilibrium,
            attitude.draft_at(0.0),
            attitude.draft_at(self.case.hull.length_pp),
        )

    def ranking_margin(self, flooded: FloodedLength) -> float:
        """Rank of a flooding: the margin (m); where the vessel sinks, below any margin, and lower
        the more buoyancy is lacking."""
        return min(self._ranking_margins(flooded))

    def farthest_plane(
        self, start: float, least: float = 0.0, direction: int = 1, guess: float | None = None
    ) -> float:
        """The plane x (m) up to which everything from x = `start` may be flooded at a rank of at
        least `least`, forward (`direction` 1) or aft (-1), limited by the end of the hull.

        `guess` is an initial length (m). The vessel trims towards `start` while little is flooded,
        and that end may rise again as the flooding passes the middle: where it is the first to
        immerse, lengths about which the vessel does not trim are examined too.
        """
        end = self.forward if direction > 0 else self.aft
        most = direction * (end - start)
        if most <= self.length_tolerance or self.intact_margin <= least:
            return end if most <= self.length_tolerance else start

        def planes(length: float) -> tuple[float, float]:
            other = start + direction * length
            return min(start, other), max(start, other)

        margin_excesses = self._margin_excesses(planes, least)
        behind, ahead = (0, 1) if direction > 0 else (1, 0)
        length = self._longest(lambda each: min(margin_excesses(each)), most, guess, least)
        level = 2 * direction * (float(self.equilibrium.immersion.flotation[0]) - start)
        if (
            length < level < most
            and margin_excesses(length)[behind] < margin_excesses(length)[ahead]
        ):
            if margin_excesses(level)[behind] >= 0:
                longer = self._longest(
                    lambda each: margin_excesses(each)[ahead], most, level, least
                )
                length = longer if margin_excesses(longer)[behind] >= 0 else length
        return end if length == most else start + direction * length

    def longest_about(self, center: float, guess: float | None = None) -> float:
        """The longest flooding (m) with its middle at x = `center` that leaves the margin line dry,
        within the hull; `guess` is an initial length (m)."""
        margin_excesses = self._margin_excesses(
            lambda length: (center - length / 2, center + length / 2), 0.0
        )
        most = 2 * min(center - self.aft, self.forward - center)
        return self._longest(lambda each: min(margin_excesses(each)), most, guess)

    def _margin_excesses(
        self, planes: Planes, least: float
    ) -> Callable[[float], tuple[float, float]]:
        """Ranks of the aft and the forward half less the least required, as a function of the
        flooded length."""
        start = self.start

        @cache
        def margin_excesses(length: float) -> tuple[float, float]:
            nonlocal start
            found = self.flooded(*planes(length), start)
            if found.equilibrium and found.margin >= 0:
                start = _upright(found.equilibrium.attitude)
            aft, forward = self._ranking_margins(found)
            return aft - least, forward - least

        return margin_excesses

    def _longest(
        self,
        margin_excess: Callable[[float], float],
        most: float,
        guess: float | None,
        least: float = 0.0,
    ) -> float:
        """The longest flooding (m), up to `most`, for which `margin_excess` is not negative.

        `margin_excess` falls ever faster with the length: the chord from no flooding through a
        trial crosses zero beyond the root, or before it, and mostly near.
        """
        dry = self.intact_margin - least
        length = min(
            most, max(FIRST_GUESS_SHARE * most if guess is None else guess, self.length_tolerance)
        )
        there = margin_excess(length)
        step, before, at_before = BRACKET_GROWTH, length, there
        while (there >= 0) == (at_before >= 0):
            if there >= 0 and length >= most:
                return most
            if there < 0 and length <= self.length_tolerance:
                return 0.0
            before, at_before = length, there
            share = dry / (dry - there) if there < dry else np.inf
            share = min(max(share, step), 2.0) if there >= 0 else max(min(share, 1 / step), 0.5)
            length, step = min(most, share * length), step**2
            there = margin_excess(length)
        return find_root(margin_excess, before, length, at_before, there, self.length_tolerance)

    def _ranking_margins(self, flooded: FloodedLength) -> tuple[float, float]:
        """Ranks of the aft and of the forward half."""
        if flooded.equilibrium:
            return flooded.margins
        sunk = self.whole.size * (flooded.reserve / self.case.load.volume - 1)
        return sunk, sunk

    def _margins(self, attitude: Attitude) -> tuple[float, float]:
        aft, forward = (attitude.heights(half).min(initial=np.inf) for half in self.margin_line)
        return float(aft), float(forward)


def floodable_vessel(
    case: Case, permeability: float = DEFAULT_PERMEABILITY, below_deck: float = MARGIN_LINE_DEPTH
) -> FloodableVessel:
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
                "below the depth of {depth}",
                below=meters(below_deck, "g"),
                none=meters(0.0, "g"),
                depth=meters(hull.depth, "g"),
            )
        )
    if case.flooded or not isinstance(hull.tree, MomentTree):
        raise BadInputError(
            Sentence(
                "{ship}: part of the vessel is flooded already; choose a condition "
                "that floods nothing",
                ship=Subject("vessel", case.title),
            )
        )
    if not len(hull.deck_edge):
        raise BadInputError(
            Sentence(
                "{hull}: there is no deck edge, so the margin line is not defined; model a deck "
                "that meets the sides",
                hull=Subject("hull", hull.name),
            )
        )
    ship = find_floating_position(case, seek_others=False)
    if ship.equilibrium is None:
        words = "{ship}: the vessel sinks before anything floods; take weight off"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    attitude = ship.equilibrium.attitude
    edge = np.unique(hull.deck_edge.reshape(-1, 3), axis=0)
    line = edge - [0.0, 0.0, below_deck]
    ahead = line[:, 0] > (hull.tree.low[0] + hull.tree.high[0]) / 2
    halves = line[~ahead], line[ahead]
    ready = FloodableVessel(case, hull.tree, permeability, halves, _upright(attitude))
    if ready.intact_margin <= 0:
        raise BadInputError(
            Sentence(
                "{ship}: the margin line is {depth} under water before anything floods; the "
                "vessel must float higher or more upright",
                ship=Subject("vessel", case.title),
                depth=meters(-ready.intact_margin, ".3g"),
            )
        )
    return ready


def floodable_length(
    case: Case,
    permeability: float = DEFAULT_PERMEABILITY,
    below_deck: float = MARGIN_LINE_DEPTH,
    points: int = CURVE_POINTS,
    on_progress: Callable[[float], None] | None = None,
) -> FloodableLength:
    """Floodable length along the hull at `points` positions, both ends included.

    `below_deck` is the depth of the margin line below the deck edge (m); `on_progress` receives
    each finished position (m). Raises BadInputError as `floodable_vessel`.
    """
    if points < 4:
        words = "a curve of floodable length has {points} points; give 4 or more"
        raise BadInputError(Sentence(words, points=points))
    ship = floodable_vessel(case, permeability, below_deck)
    ends = ship.farthest_plane(ship.aft), ship.farthest_plane(ship.forward, direction=-1)
    if ends[1] <= ship.aft:
        middle, whole = (ship.aft + ship.forward) / 2, ship.forward - ship.aft
        return FloodableLength(
            np.array([ship.aft, middle, ship.forward]),
            np.array([0.0, whole, 0.0]),
            permeability,
            below_deck,
        )
    centers = np.linspace((ship.aft + ends[0]) / 2, (ends[1] + ship.forward) / 2, points - 2)
    lengths = np.full(points - 2, ends[0] - ship.aft)
    lengths[-1] = ship.forward - ends[1]
    for index in range(1, points - 3):
        ahead = lengths[index - 1]
        if index > 1:
            ahead += ahead - lengths[index - 2]
        lengths[index] = ship.longest_about(float(centers[index]), float(ahead))
        if on_progress:
            on_progress(float(centers[index]))
    return FloodableLength(
        np.concatenate([[ship.aft], centers, [ship.forward]]),
        np.concatenate([[0.0], lengths, [0.0]]),
        permeability,
        below_deck,
    )


def _upright(attitude: Attitude) -> Attitude:
    """The same trim and level, upright."""
    return Attitude(up_from_angles(0.0, attitude.trim_rad), attitude.level)
