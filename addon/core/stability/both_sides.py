"""Stability of a vessel: GZ curve to both sides, immersion and downflooding angles."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..hydrostatics.floating_position import Floating, float_ship
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.openings import OPEN_PLACES, Kind, Opening, open_places
from .gz_curve import ArmCurve
from .immersion_angles import first_under
from .righting_lever import HEELS, RightingCurve, check_heels, heeling_of, righting_curve

Array = NDArray[np.float64]

NEAR = 1e-6


@dataclass(frozen=True)
class Immersed:
    """An opening and its immersion angle (rad, from upright to the side it belongs to)."""

    opening: Opening
    heel: float


@dataclass(frozen=True)
class Side:
    """Stability to one side; heels (rad) and GZ are positive to that side.

    `sign` is +1 to starboard and -1 to port. `rest_heel` is the equilibrium heel, `vanishing` the
    angle of vanishing stability beyond it, `deck_edge` the deck-edge immersion angle, `flooding`
    the downflooding angle, of the first opening that is not weathertight; infinite where not
    reached on the curve. `immersed` holds every opening that immerses, in order.
    """

    sign: int
    arms: ArmCurve
    rest_heel: float
    vanishing: float
    greatest_heel: float
    greatest_arm: float
    deck_edge: float
    immersed: tuple[Immersed, ...]

    @property
    def name(self) -> str:
        """'starboard' or 'port'."""
        return "starboard" if self.sign > 0 else "port"

    @property
    def range(self) -> float:
        """Range of stability (rad), from equilibrium to the angle of vanishing stability."""
        return min(self.vanishing, float(self.arms.heels[-1])) - self.rest_heel

    @property
    def first_flooding(self) -> Immersed | None:
        """The first opening that floods, if any."""
        return next((each for each in self.immersed if not each.opening.weathertight), None)

    @property
    def flooding(self) -> float:
        """Downflooding angle (rad); infinite where there is none."""
        first = self.first_flooding
        return first.heel if first else float("inf")

    @property
    def floods_first(self) -> bool:
        """Whether downflooding comes before vanishing stability, so that GZ beyond does not
        count."""
        return self.flooding < min(self.vanishing, float(self.arms.heels[-1]))

    @property
    def range_to_flooding(self) -> float:
        """Range to downflooding (rad), or else to vanishing stability."""
        return max(min(self.range, self.flooding - self.rest_heel), 0.0)

    @property
    def greatest_to_flooding(self) -> tuple[float, float]:
        """Heel (rad) and size (m) of the maximum GZ in that range; NaN where there is none."""
        if not self.range_to_flooding > 0:
            return float("nan"), float("nan")
        return self.arms.greatest(self.rest_heel, self.rest_heel + self.range_to_flooding)


@dataclass(frozen=True)
class Stability:
    """A floating vessel with its GZ curve, free to trim or with the trim fixed."""

    floating: Floating
    curve: RightingCurve
    starboard: Side
    port: Side
    findings: tuple[Finding, ...]

    @property
    def case(self) -> Case:
        """The case in its condition."""
        return self.floating.case

    @property
    def GM(self) -> float:
        """Initial GM (fluid), m: upright, at the trim there."""
        return self.curve.upright.GM

    @cached_property
    def weaker(self) -> Side:
        """The side with less area under GZ up to 40 degrees or downflooding, then the lesser
        range."""

        def strength(side: Side) -> tuple[float, float]:
            end = min(np.radians(40.0), side.flooding, float(side.arms.heels[-1]))
            return round(side.arms.area(0.0, end), 9), round(side.range, 9)

        return min((self.starboard, self.port), key=strength)

    @property
    def stronger(self) -> Side:
        """The other side."""
        return self.port if self.weaker is self.starboard else self.starboard


def stability(
    case: Case,
    heels: Iterable[float] | None = None,
    fixed_trim: bool = False,
    tell: Callable[[float], None] | None = None,
    floating: Floating | None = None,
) -> Stability:
    """The stability of a case; `heels` (rad) are points that the curve must have, and `floating` is
    the floating position if known.

    Both sides to 180 degrees are always computed. Raises BadInputError for a case that cannot
    float, and for heels not in ascending order.
    """
    floating = floating or float_ship(case, seek_others=False)
    if floating.state == "sunk":
        why = floating.findings[0].text
        raise BadInputError(Sentence("{ship}: {why}", ship=Subject("vessel", case.title), why=why))
    wanted = HEELS if heels is None else np.union1d(HEELS, check_heels(heels))
    return stability_of(floating, righting_curve(heeling_of(case, fixed_trim), wanted, tell))


def stability_of(floating: Floating, curve: RightingCurve) -> Stability:
    """Both sides of a floating vessel, from its GZ curve over all heels."""
    sides = [_side(floating, curve, sign) for sign in (1, -1)]
    said = tuple(_words(curve))
    return Stability(floating, curve, sides[0], sides[1], (*floating.findings, *said))


def _side(floating: Floating, curve: RightingCurve, sign: int) -> Side:
    arms = curve.arms if sign > 0 else curve.arms.mirrored()
    assert floating.rest
    rest, vanishing = ends_of_range(arms, sign * floating.rest.attitude.heel_rad)
    greatest = arms.greatest(rest, min(vanishing, float(arms.heels[-1])))
    case = floating.case
    immersed = [
        Immersed(Opening(name, _lowest(curve, sign * heel, points), tight, kind), heel)
        for name, points, tight, kind in _ways_in(case)
        for heel in [first_under(curve, sign, rest, points)]
        if np.isfinite(heel)
    ]
    return Side(
        sign,
        arms,
        rest,
        vanishing,
        *greatest,
        first_under(curve, sign, rest, case.hull.deck_edge.reshape(-1, 3)),
        tuple(sorted(immersed, key=lambda each: each.heel)),
    )


def ends_of_range(arms: ArmCurve, floats_at: float) -> tuple[float, float]:
    """Heels (rad) of stable equilibrium and of vanishing stability on the positive side.

    The second is infinite where GZ stays positive to the end of the curve, and equal to the first
    where it never is; `floats_at` is used where the curve has no equilibrium.
    """
    last = float(arms.heels[-1])
    falling = [
        each.heel for each in arms.crossings if not each.rising and NEAR < each.heel < last - NEAR
    ]
    vanishing = falling[0] if falling else float("inf")
    rising = [each.heel for each in arms.crossings if each.rising and each.heel < vanishing]
    rest = rising[-1] if rising else floats_at
    end = min(vanishing, last)
    if not (rest < end and arms.greatest(max(rest, 0.0), end)[1] > 0):
        return rest, rest
    return rest, vanishing


def _ways_in(case: Case) -> Iterator[tuple[str, Array, bool, Kind]]:
    """Name, points (k, 3), weathertightness and kind of all through which water may come."""
    for each in case.ways_in:
        yield each.name, each.points, each.weathertight, each.kind
    for place, rim in open_places(case.hull).items():
        yield OPEN_PLACES[place], rim, False, "open top" if place == "top" else Opening.kind


def _lowest(curve: RightingCurve, heel: float, points: Array) -> Array:
    """The point (3,) that is lowest above the water at a heel."""
    lowest: Array = points[curve.at(heel).attitude.heights(points).argmin()]
    return lowest


def _words(curve: RightingCurve) -> Iterator[Finding]:
    """Remarks on the curve itself."""
    lost = [each for each in curve.held if not each.settled]
    if lost:
        shown = ", ".join(f"{np.degrees(each.heel):.4g}" for each in lost[:5])
        text = Sentence("No trim holds her in balance at {heels} degrees of heel", heels=shown)
        if len(lost) > 5:
            text = Sentence("{balance} and {count} more", balance=text, count=len(lost) - 5)
        yield Finding("warning", "no-trim", text)
    for jump in curve.jumps:
        yield Finding(
            "note",
            "trim-jump",
            Sentence(
                "At {angle} degrees of heel her trim gives way and she falls into another, so GZ "
                "jumps there",
                angle=f"{np.degrees(jump):.4g}",
            ),
        )
