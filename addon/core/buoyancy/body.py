"""Bodies in water: one closed surface, or a signed sum of them.

A damaged vessel is its hull less what has flooded: a compartment open to the sea carries nothing,
so its body counts minus its permeability. Sums of surface moments are as exact as their parts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from ..arrays import Floats
from .attitude import Attitude
from .immersion import Immersion, immersion
from .moment_tree import MomentTree


class Body(Protocol):
    """The interface of anything that floats or holds water; see `MomentTree`."""

    @property
    def low(self) -> Floats: ...
    @property
    def high(self) -> Floats: ...
    @property
    def size(self) -> float: ...
    @property
    def volume(self) -> float: ...
    def span(self, up: Floats) -> tuple[float, float]: ...
    def below(self, attitude: Attitude) -> Immersion: ...
    def crossing(self, up: Floats, level: float) -> tuple[Floats, Floats]: ...


@dataclass(frozen=True)
class LostPart:
    """A surface, and the share of the volume within it that is lost."""

    tree: MomentTree
    share: float


@dataclass(frozen=True)
class LostBuoyancy:
    """A whole less shares of bodies within it. Its extent, surface and outline are those of the
    whole."""

    whole: MomentTree
    lost: tuple[LostPart, ...]

    @property
    def low(self) -> Floats:
        """Lowest corner of the bounding box, shape (3,)."""
        return self.whole.low

    @property
    def high(self) -> Floats:
        """Highest corner of the bounding box, shape (3,)."""
        return self.whole.high

    @property
    def size(self) -> float:
        """Diagonal of the bounding box (m)."""
        return self.whole.size

    @cached_property
    def volume(self) -> float:
        """Whole volume less the lost part (m3)."""
        return self.whole.volume - sum(each.share * each.tree.volume for each in self.lost)

    def span(self, up: Floats) -> tuple[float, float]:
        """Lowest and highest level of the surface along `up` (m), exact."""
        return self.whole.span(up)

    def crossing(self, up: Floats, level: float) -> tuple[Floats, Floats]:
        """Triangles of the whole that a plane passes through; see `MomentTree.crossing`."""
        return self.whole.crossing(up, level)

    def below(self, attitude: Attitude) -> Immersion:
        """The buoyant part below the water plane."""
        quadric, wetted = self.whole.flux(attitude)
        for each in self.lost:
            share, _ = each.tree.flux(attitude)
            quadric = quadric - each.share * _translated(
                share, each.tree.middle - self.whole.middle
            )
        return immersion(quadric, wetted, self.whole.middle, attitude, self.whole.least_area)


def _translated(quadric: Floats, shift: Floats) -> Floats:
    """The quadric about another origin, a shift (3,) from its own."""
    move = np.eye(4)
    move[1:, 0] = shift
    return move @ quadric @ move.T
