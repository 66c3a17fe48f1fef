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

import numpy as np

from ..arrays import Floats
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..model.case import Case
from ..model.hull import MARGIN_LINE_DEPTH
from .floodable_vessel import DEFAULT_PERMEABILITY, floodable_vessel

CURVE_POINTS = 41
"""Points of the curve."""


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
