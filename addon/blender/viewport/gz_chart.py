"""What the chart of righting arms shows of a ship: her GZ over heel, and what is marked on it.

Heel counts positive to starboard; GZ is positive where it turns the ship to port. A ship that is
the same both ways over is shown heeling to starboard only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ...core.criteria.assessment import Assessment
from ...core.criteria.codes import heeling_arms
from ...core.hydrostatics.floating_position import UPRIGHT
from ...core.stability.both_sides import Side, Stability
from ...core.stability.heeling_levers import Lever
from ...units.lengths import Lengths

Array = NDArray[np.float64]

ALIKE = 2e-3  # of the greatest arm, by which two sides that are the same may differ
SHADED_TO = np.radians(40.0)
PAST = 8.0  # degrees shown beyond vanishing stability, and then to the next ten
FINEST = np.radians(0.5)


@dataclass(frozen=True)
class Chart:
    """What is to be shown of a ship: `heel` (rad) is the one looked at, None where she floats,
    `levers` are heeling arms towards her weaker side."""

    name: str
    stability: Stability
    lengths: Lengths
    heel: float | None = None
    levers: tuple[Lever, ...] = ()

    @classmethod
    def of(cls, name: str, ship: Assessment, lengths: Lengths, heel: float | None) -> Chart:
        """The chart of a ship with the heeling arms of the criteria that judged her."""
        arms = heeling_arms(ship.particulars, ship.verdicts, ship.stability.case.own_rules)
        return cls(name, ship.stability, lengths, heel, tuple(arm for arm in arms if arm.upright))

    @property
    def title(self) -> tuple[str, ...]:
        """Her name, GM and range, the most important first."""
        ship, side = self.stability, self.stability.weaker
        if not side.range > 0:
            reach = "no righting arm"
        elif np.isfinite(side.vanishing):
            reach = f"range {np.degrees(side.range):.0f}°"
        else:
            reach = "rights from any heel"
        if side.range > 0 and not self.one_sided:
            reach += f" to {side.name}"
        if side.range > 0 and side.floods_first:
            reach += f", {np.degrees(side.range_to_flooding):.0f}° to flooding"
        return self.name, f"GM {self.lengths(ship.GM)}", reach

    @cached_property
    def one_sided(self) -> bool:
        """Whether heeling to starboard says all: she is upright at rest and the same each way."""
        ship = self.stability
        if abs(rest_heel(ship)) > UPRIGHT:
            return False
        heels = np.radians(np.arange(5.0, 180.0, 5.0))
        right, left = ship.starboard, ship.port
        off = np.abs(right.arms.arm(heels) - left.arms.arm(heels)).max()
        events = [(side.vanishing, side.deck_edge, side.flooding) for side in (right, left)]
        return bool(
            off <= ALIKE * np.abs(right.arms.arms).max()
            and np.allclose(*np.nan_to_num(events, posinf=9.0), atol=np.radians(0.5))
        )

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides shown, the weaker first."""
        ship = self.stability
        if self.one_sided:
            return (ship.starboard,)
        return ship.weaker, ship.stronger

    @cached_property
    def span(self) -> tuple[float, float]:
        """The least and the greatest heel shown (rad)."""
        reach = [side.sign * reach_of(side) for side in self.sides]
        reach += [0.0, rest_heel(self.stability)]
        looked = [self.heel] if self.heel is not None else []
        return min(*reach, *looked), max(*reach, *looked)

    @cached_property
    def pieces(self) -> tuple[tuple[Array, Array], ...]:
        """Heels (n,) and arms (n,) of the parts of the curve within the span: it breaks off where
        it jumps and where no trim holds her."""
        return tuple(self._pieces())

    @property
    def reaches(self) -> tuple[tuple[float, float, bool], ...]:
        """Between which heels (rad) the arms are hers, and between which water has got in."""
        port, starboard = -self.stability.port.flooding, self.stability.starboard.flooding
        ends = ((-np.inf, port, False), (port, starboard, True), (starboard, np.inf, False))
        return tuple(each for each in ends if each[0] < each[1])

    def _pieces(self) -> Iterator[tuple[Array, Array]]:
        curve, (low, high) = self.stability.curve, self.span
        jumps = np.array(curve.jumps)
        run = 0
        runs: dict[int, list[float]] = {}
        for before, here in pairwise((curve.held[0], *curve.held)):
            torn = ((jumps > before.heel) & (jumps < here.heel)).any()
            run += bool(torn or not here.settled)
            if here.settled:
                runs.setdefault(run, []).append(here.heel)
        for held in runs.values():
            start, end = max(held[0], low), min(held[-1], high)
            if start < end:
                heels = np.linspace(start, end, 2 + int((end - start) / FINEST))
                yield heels, curve.arms.arm(heels)


def rest_heel(ship: Stability) -> float:
    """The heel (rad) at which she floats."""
    rest = ship.floating.rest
    return float(rest.attitude.heel_rad) if rest else 0.0


def reach_of(side: Side) -> float:
    """How far over a side is shown (rad): a little past vanishing stability."""
    if not np.isfinite(side.vanishing):
        return float(side.arms.heels[-1])
    if not side.range > 0:
        return float(np.pi / 2)
    past = 10.0 * np.ceil((np.degrees(side.vanishing) + PAST) / 10.0)
    return float(np.radians(np.clip(past, 30.0, 180.0)))


def shaded_part(side: Side) -> tuple[float, float]:
    """The heels (rad, starboard +) between which the area under GZ counts: from where she floats
    to 40 degrees or flooding; the same where a side has no range."""
    end = max(min(SHADED_TO, side.flooding), side.rest_heel) if side.range > 0 else side.rest_heel
    low, high = sorted((side.sign * side.rest_heel, side.sign * end))
    return low, high
