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

from ..geometry.mesh import Mesh
from ..model.compartment import CompartmentPlan
from .floodable_length import FloodableLength

MAX_THICKNESS_SHARE = 0.02
"""Thickness over the lesser extent across up to which a boundary is a transverse bulkhead."""
ROUNDING_SHARE = 1e-6
"""Share of a length that is rounding."""


@dataclass(frozen=True)
class Bulkhead:
    """A transverse bulkhead at `x` (m) of one or more boundaries, by name. Its permissible range
    with fixed neighbors is `leeway[0]` to `leeway[1]` (m); None where there is none."""

    x: float
    boundaries: tuple[str, ...]
    permissible_range: tuple[float, float] | None


@dataclass(frozen=True)
class MainCompartment:
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
        return self.length <= (1 + ROUNDING_SHARE) * self.allowed

    @property
    def boundaries(self) -> tuple[str, ...]:
        """The boundaries at its ends."""
        return tuple(name for end in self.ends if end for name in end.boundaries)

    def compartment(self, plan: CompartmentPlan) -> str:
        """The largest watertight compartment centered within it; empty without one."""
        there = (each for each in plan.compartments if self.aft < each.center[0] < self.forward)
        largest = max(there, key=lambda each: each.volume, default=None)
        return largest.name if largest else ""


@dataclass(frozen=True)
class Subdivision:
    """Floodable length, and the main compartments from aft to forward: none without transverse
    bulkheads."""

    curve: FloodableLength
    main_compartments: tuple[MainCompartment, ...]

    @property
    def bulkheads(self) -> tuple[Bulkhead, ...]:
        """The bulkheads, from aft."""
        return tuple(end for each in self.main_compartments[:-1] for end in each.ends[1:] if end)

    @property
    def too_long(self) -> tuple[MainCompartment, ...]:
        """The compartments longer than permissible."""
        return tuple(each for each in self.main_compartments if not each.survives)


def subdivide(curve: FloodableLength, boundaries: Iterable[Mesh]) -> Subdivision:
    """The compartments between the transverse boundaries."""
    aft, forward = float(curve.centers[0]), float(curve.centers[-1])
    standing = transverse(boundaries, aft, forward)
    if not standing:
        return Subdivision(curve, ())
    planes = [aft, *(x for x, _ in standing), forward]
    bulkheads = [
        Bulkhead(x, names, _permissible_range(curve, *planes[at : at + 3 : 2]))
        for at, (x, names) in enumerate(standing)
    ]
    inner = [curve.at((a + b) / 2) for a, b in pairwise(planes[1:-1])]
    allowed = [float(curve.lengths[1]), *inner, float(curve.lengths[-2])]
    spans = zip(pairwise(planes), allowed, pairwise([None, *bulkheads, None]), strict=True)
    return Subdivision(
        curve, tuple(MainCompartment(*ends, most, beside) for ends, most, beside in spans)
    )


def transverse(
    boundaries: Iterable[Mesh], aft: float, forward: float
) -> list[tuple[float, tuple[str, ...]]]:
    """Positions (m) of transverse boundaries between two planes (m), from aft, with their names.
    One with thickness counts at its middle."""
    found: dict[float, tuple[str, ...]] = {}
    for boundary in boundaries:
        points = boundary.vertices[boundary.triangles.ravel()]
        low, high = points.min(axis=0), points.max(axis=0)
        thick, *across = high - low
        x = float(low[0] + high[0]) / 2
        if thick <= MAX_THICKNESS_SHARE * min(across) and aft < x < forward:
            same = next(
                (each for each in found if abs(each - x) <= ROUNDING_SHARE * (forward - aft)), x
            )
            found[same] = (*found.get(same, ()), boundary.name)
    return sorted(found.items())


def _permissible_range(
    curve: FloodableLength, aft: float, forward: float
) -> tuple[float, float] | None:
    """The permissible range (m) of a bulkhead between neighbors, or ends of the hull, at these
    positions."""
    low = max(aft, -_farthest_end(_mirrored(curve), -forward))
    high = min(forward, _farthest_end(curve, aft))
    return (low, high) if low <= high else None


def _farthest_end(curve: FloodableLength, aft: float) -> float:
    """The farthest forward end (m) of a permissible compartment that begins at `aft`."""
    if aft <= curve.centers[0]:
        return aft + float(curve.lengths[1])
    middles = np.array([aft, *curve.centers[curve.centers > aft]])
    spare = np.interp(middles, curve.centers, curve.lengths) - 2 * (middles - aft)
    after = int(np.argmax(spare <= 0))
    if after == 0:
        return aft
    share = spare[after - 1] / (spare[after - 1] - spare[after])
    middle = middles[after - 1] + share * (middles[after] - middles[after - 1])
    return float(2 * middle - aft)


def _mirrored(curve: FloodableLength) -> FloodableLength:
    return FloodableLength(
        -curve.centers[::-1], curve.lengths[::-1], curve.permeability, curve.below_deck
    )
