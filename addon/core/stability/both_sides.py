"""Stability of a vessel: GZ curve to both sides, immersion and downflooding angles."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..arrays import Floats
from ..hydrostatics.floating_position import FloatingPosition, find_floating_position
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.hull_openings import HULL_OPENING_NAMES, hull_openings
from ..model.openings import Opening, OpeningKind
from .gz_curve import GZCurve
from .immersion_angles import first_immersion_heel
from .righting_curve import DEFAULT_HEELS, RightingCurve, check_heels, righting_curve
from .righting_lever import heeling_of

HEEL_TOLERANCE = 1e-6
"""Heel (rad) within which a zero of GZ lies at an end of the curve."""


@dataclass(frozen=True)
class OpeningImmersion:
    """An opening and its immersion angle (rad, from upright to the side it belongs to)."""

    opening: Opening
    heel: float


@dataclass(frozen=True)
class SideStability:
    """Stability to one side; heels (rad) and GZ are positive to that side.

    `sign` is +1 to starboard and -1 to port. `equilibrium_heel` is the equilibrium heel,
    `vanishing_angle` the angle of vanishing stability beyond it, `deck_edge_angle` the deck-edge
    immersion angle, `downflooding_angle` the downflooding angle, of the first opening that is not
    weathertight; infinite where not reached on the curve. `immersions` holds every opening that
    immerses, in order.
    """

    sign: int
    gz_curve: GZCurve
    equilibrium_heel: float
    vanishing_angle: float
    max_gz_heel: float
    max_gz: float
    deck_edge_angle: float
    immersions: tuple[OpeningImmersion, ...]

    @property
    def name(self) -> str:
        """'starboard' or 'port'."""
        return "starboard" if self.sign > 0 else "port"

    @property
    def range(self) -> float:
        """Range of stability (rad), from equilibrium to the angle of vanishing stability."""
        return min(self.vanishing_angle, float(self.gz_curve.heels[-1])) - self.equilibrium_heel

    @property
    def first_downflooding(self) -> OpeningImmersion | None:
        """The first opening that floods, if any."""
        return next((each for each in self.immersions if not each.opening.weathertight), None)

    @property
    def downflooding_angle(self) -> float:
        """Downflooding angle (rad); infinite where there is none."""
        first = self.first_downflooding
        return first.heel if first else float("inf")

    @property
    def floods_before_vanishing(self) -> bool:
        """Whether downflooding comes before vanishing stability, so that GZ beyond does not
        count."""
        return self.downflooding_angle < min(self.vanishing_angle, float(self.gz_curve.heels[-1]))

    @property
    def range_to_downflooding(self) -> float:
        """Range to downflooding (rad), or else to vanishing stability."""
        return max(min(self.range, self.downflooding_angle - self.equilibrium_heel), 0.0)

    @property
    def max_gz_to_downflooding(self) -> tuple[float, float]:
        """Heel (rad) and size (m) of the maximum GZ in that range; NaN where there is none."""
        if not self.range_to_downflooding > 0:
            return float("nan"), float("nan")
        return self.gz_curve.maximum(
            self.equilibrium_heel, self.equilibrium_heel + self.range_to_downflooding
        )


@dataclass(frozen=True)
class Stability:
    """A floating vessel with its GZ curve, free to trim or with the trim fixed."""

    floating: FloatingPosition
    curve: RightingCurve
    starboard: SideStability
    port: SideStability
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
    def weaker(self) -> SideStability:
        """The side with less area under GZ up to 40 degrees or downflooding, then the lesser
        range."""

        def strength(side: SideStability) -> tuple[float, float]:
            end = min(np.radians(40.0), side.downflooding_angle, float(side.gz_curve.heels[-1]))
            return round(side.gz_curve.area(0.0, end), 9), round(side.range, 9)

        return min((self.starboard, self.port), key=strength)

    @property
    def stronger(self) -> SideStability:
        """The other side."""
        return self.port if self.weaker is self.starboard else self.starboard


def stability(
    case: Case,
    heels: Iterable[float] | None = None,
    fixed_trim: bool = False,
    on_progress: Callable[[float], None] | None = None,
    floating: FloatingPosition | None = None,
) -> Stability:
    """The stability of a case; `heels` (rad) are points that the curve must have, and `floating` is
    the floating position if known.

    Both sides to 180 degrees are always computed. Raises BadInputError for a case that cannot
    float, and for heels not in ascending order.
    """
    floating = floating or find_floating_position(case, seek_others=False)
    if floating.state == "sunk":
        why = floating.findings[0].text
        raise BadInputError(Sentence("{ship}: {why}", ship=Subject("vessel", case.title), why=why))
    wanted = DEFAULT_HEELS if heels is None else np.union1d(DEFAULT_HEELS, check_heels(heels))
    return stability_of(floating, righting_curve(heeling_of(case, fixed_trim), wanted, on_progress))


def stability_of(floating: FloatingPosition, curve: RightingCurve) -> Stability:
    """Both sides of a floating vessel, from its GZ curve over all heels."""
    sides = [_side_stability(floating, curve, sign) for sign in (1, -1)]
    findings = tuple(_findings(curve))
    return Stability(floating, curve, sides[0], sides[1], (*floating.findings, *findings))


def _side_stability(floating: FloatingPosition, curve: RightingCurve, sign: int) -> SideStability:
    gz_curve = curve.gz_curve if sign > 0 else curve.gz_curve.mirrored()
    assert floating.equilibrium
    equilibrium, vanishing_angle = stability_limits(
        gz_curve, sign * floating.equilibrium.attitude.heel_rad
    )
    greatest = gz_curve.maximum(equilibrium, min(vanishing_angle, float(gz_curve.heels[-1])))
    case = floating.case
    immersions = [
        OpeningImmersion(Opening(name, _lowest(curve, sign * heel, points), tight, kind), heel)
        for name, points, tight, kind in _flooding_points(case)
        for heel in [first_immersion_heel(curve, sign, equilibrium, points)]
        if np.isfinite(heel)
    ]
    return SideStability(
        sign,
        gz_curve,
        equilibrium,
        vanishing_angle,
        *greatest,
        first_immersion_heel(curve, sign, equilibrium, case.hull.deck_edge.reshape(-1, 3)),
        tuple(sorted(immersions, key=lambda each: each.heel)),
    )


def stability_limits(gz_curve: GZCurve, floats_at: float) -> tuple[float, float]:
    """Heels (rad) of stable equilibrium and of vanishing stability on the positive side.

    The second is infinite where GZ stays positive to the end of the curve, and equal to the first
    where it never is; `floats_at` is used where the curve has no equilibrium.
    """
    last = float(gz_curve.heels[-1])
    falling = [
        each.heel
        for each in gz_curve.crossings
        if not each.rising and HEEL_TOLERANCE < each.heel < last - HEEL_TOLERANCE
    ]
    vanishing_angle = falling[0] if falling else float("inf")
    rising = [
        each.heel for each in gz_curve.crossings if each.rising and each.heel < vanishing_angle
    ]
    equilibrium = rising[-1] if rising else floats_at
    end = min(vanishing_angle, last)
    if not (equilibrium < end and gz_curve.maximum(max(equilibrium, 0.0), end)[1] > 0):
        return equilibrium, equilibrium
    return equilibrium, vanishing_angle


def _flooding_points(case: Case) -> Iterator[tuple[str, Floats, bool, OpeningKind]]:
    """Name, points (k, 3), weathertightness and kind of all through which water may come."""
    for each in case.active_openings:
        yield each.name, each.points, each.weathertight, each.kind
    for place, rim in hull_openings(case.hull).items():
        yield HULL_OPENING_NAMES[place], rim, False, "open top" if place == "top" else Opening.kind


def _lowest(curve: RightingCurve, heel: float, points: Floats) -> Floats:
    """The point (3,) that is lowest above the water at a heel."""
    lowest: Floats = points[curve.at(heel).attitude.heights(points).argmin()]
    return lowest


def _findings(curve: RightingCurve) -> Iterator[Finding]:
    """Remarks on the curve itself."""
    lost = [each for each in curve.positions if not each.converged]
    if lost:
        shown = ", ".join(f"{np.degrees(each.heel):.4g}" for each in lost[:5])
        text = Sentence("No trim gives equilibrium at {heels} degrees of heel", heels=shown)
        if len(lost) > 5:
            text = Sentence("{balance} and {count} more", balance=text, count=len(lost) - 5)
        yield Finding("warning", "no-trim", text)
    for jump in curve.jumps:
        yield Finding(
            "note",
            "trim-jump",
            Sentence(
                "At {angle} degrees of heel the vessel jumps from one trim to "
                "another, so GZ jumps there",
                angle=f"{np.degrees(jump):.4g}",
            ),
        )
