"""The compartments between transverse bulkheads, compared with the floodable length.

A compartment may flood if it is no longer than the floodable length at its middle. A bulkhead may
therefore be moved, its neighbors fixed, as long as both compartments beside it are short enough: as
a compartment grows from one end, its middle and length follow a line of slope 2 in the floodable
length diagram, up to its intersection with the curve.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..geometry.mesh import Mesh
from ..model.compartment import Division
from .floodable_length import FloodableLength

Array = NDArray[np.float64]

THIN = 0.02  # greatest thickness of a bulkhead as a share of its lesser transverse extent
FLAT = 1e-6  # rounding tolerance as a share of a length


@dataclass(frozen=True)
class Bulkhead:
    """A transverse bulkhead at `x` (m) of one or more boundaries, by name. Its permissible range
    with fixed neighbors is `leeway[0]` to `leeway[1]` (m); None where there is none."""

    x: float
    walls: tuple[str, ...]
    leeway: tuple[float, float] | None


@dataclass(frozen=True)
class Stretch:
    """A main compartment from `aft` to `forward` (m), `allowed` (m) long at most, between bulkheads
    or an end of the hull (None)."""

    aft: float
    forward: float
    allowed: float
    ends: tuple[Bulkhead | None, Bulkhead | None]

    @property
    def length(self) -> float:
        """Length (m)."""
        return self.forward - self.aft

    @property
    def middle(self) -> float:
        """Its middle (m)."""
        return (self.aft + self.forward) / 2

    @property
    def survives(self) -> bool:
        """Whether it may flood."""
        return self.length <= (1 + FLAT) * self.allowed

    @property
    def walls(self) -> tuple[str, ...]:
        """The boundaries at its ends."""
        return tuple(name for end in self.ends if end for name in end.walls)

    def room(self, division: Division) -> str:
        """The largest watertight compartment centered within it; empty without one."""
        there = (each for each in division.rooms if self.aft < each.centre[0] < self.forward)
        largest = max(there, key=lambda each: each.volume, default=None)
        return largest.name if largest else ""


@dataclass(frozen=True)
class Subdivision:
    """Floodable length, and the main compartments from aft to forward: none without transverse
    bulkheads."""

    curve: FloodableLength
    stretches: tuple[Stretch, ...]

    @property
    def bulkheads(self) -> tuple[Bulkhead, ...]:
        """The bulkheads, from aft."""
        return tuple(end for each in self.stretches[:-1] for end in each.ends[1:] if end)

    @property
    def too_long(self) -> tuple[Stretch, ...]:
        """The compartments longer than permissible."""
        return tuple(each for each in self.stretches if not each.survives)


def subdivide(curve: FloodableLength, walls: Iterable[Mesh]) -> Subdivision:
    """The compartments between the transverse boundaries."""
    aft, forward = float(curve.centres[0]), float(curve.centres[-1])
    standing = transverse(walls, aft, forward)
    if not standing:
        return Subdivision(curve, ())
    planes = [aft, *(x for x, _ in standing), forward]
    bulkheads = [
        Bulkhead(x, names, _leeway(curve, *planes[at : at + 3 : 2]))
        for at, (x, names) in enumerate(standing)
    ]
    inner = [curve.at((a + b) / 2) for a, b in pairwise(planes[1:-1])]
    allowed = [float(curve.lengths[1]), *inner, float(curve.lengths[-2])]
    spans = zip(pairwise(planes), allowed, pairwise([None, *bulkheads, None]), strict=True)
    return Subdivision(curve, tuple(Stretch(*ends, most, beside) for ends, most, beside in spans))


def transverse(
    walls: Iterable[Mesh], aft: float, forward: float
) -> list[tuple[float, tuple[str, ...]]]:
    """Positions (m) of transverse boundaries between two planes (m), from aft, with their names.
    One with thickness counts at its middle."""
    found: dict[float, tuple[str, ...]] = {}
    for wall in walls:
        points = wall.vertices[wall.triangles.ravel()]
        low, high = points.min(axis=0), points.max(axis=0)
        thick, *across = high - low
        x = float(low[0] + high[0]) / 2
        if thick <= THIN * min(across) and aft < x < forward:
            same = next((each for each in found if abs(each - x) <= FLAT * (forward - aft)), x)
            found[same] = (*found.get(same, ()), wall.name)
    return sorted(found.items())


def _leeway(curve: FloodableLength, aft: float, forward: float) -> tuple[float, float] | None:
    """The permissible range (m) of a bulkhead between neighbors, or ends of the hull, at these
    positions."""
    low = max(aft, -_reach(_mirrored(curve), -forward))
    high = min(forward, _reach(curve, aft))
    return (low, high) if low <= high else None


def _reach(curve: FloodableLength, aft: float) -> float:
    """The farthest forward end (m) of a permissible compartment that begins at `aft`."""
    if aft <= curve.centres[0]:
        return aft + float(curve.lengths[1])
    middles = np.array([aft, *curve.centres[curve.centres > aft]])
    spare = np.interp(middles, curve.centres, curve.lengths) - 2 * (middles - aft)
    after = int(np.argmax(spare <= 0))
    if after == 0:
        return aft
    share = spare[after - 1] / (spare[after - 1] - spare[after])
    middle = middles[after - 1] + share * (middles[after] - middles[after - 1])
    return float(2 * middle - aft)


def _mirrored(curve: FloodableLength) -> FloodableLength:
    return FloodableLength(
        -curve.centres[::-1], curve.lengths[::-1], curve.permeability, curve.below_deck
    )
