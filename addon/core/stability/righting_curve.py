"""The righting levers GZ of a vessel over heel, as many as the curve needs.

GZ is the slope of the energy over heel, so the area under it between two heels is exact without
quadrature: the rise of G above B (Moseley 1850, On the dynamical stability and on the oscillations
of floating bodies, Phil. Trans. R. Soc. 140:609, from memory), apart from the cosine of the trim,
which is integrated.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from ..arrays import Floats
from ..buoyancy.body import Body
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from .gz_curve import GZCurve
from .righting_lever import MIN_HEEL_STEP, HeeledPosition, Heeling

MAX_HEEL_STEP = np.radians(10.0)
"""Heel (rad) between two computed points at most."""
JUMP_WIDTH = 1e-6
"""Heel (rad) to which a jump of trim is located."""
RESOLUTION_SHARE = 2e-6
"""Mean error of GZ over the breadth up to which the curve is resolved."""
DEFAULT_HEELS = np.radians(np.arange(-180.0, 181.0, 5.0))
"""Heels (rad) computed unless others are asked for: every 5 degrees."""


@dataclass(frozen=True)
class RightingCurve:
    """GZ over heel, and the vessel held at each heel.

    `jumps` are heels (rad) at which the branch of trim followed so far ends and the vessel moves to
    another.
    """

    heeling: Heeling
    positions: tuple[HeeledPosition, ...]
    jumps: tuple[float, ...]

    @cached_property
    def gz_curve(self) -> GZCurve:
        """GZ over heel with the area under it from upright."""
        heels = np.array([each.heel for each in self.positions])
        parts = [_area(*pair, self._breaks(*pair)) for pair in pairwise(self.positions)]
        areas = np.concatenate([[0.0], np.cumsum(parts)])
        return GZCurve(
            heels,
            np.array([each.arm for each in self.positions]),
            np.array([each.slope for each in self.positions]),
            areas - areas[np.abs(heels).argmin()],
        )

    @cached_property
    def upright(self) -> HeeledPosition:
        """The vessel held upright."""
        return min(self.positions, key=lambda each: abs(each.heel))

    def at(self, heel: float) -> HeeledPosition:
        """The vessel held at any heel (rad) within the curve."""
        near = min(self.positions, key=lambda each: abs(each.heel - heel))
        return near if near.heel == heel else self.heeling.at(heel, near)

    def _breaks(self, start: HeeledPosition, end: HeeledPosition) -> bool:
        jumps = any(start.heel <= jump <= end.heel for jump in self.jumps)
        return jumps or not (start.converged and end.converged)


def righting_curve(
    heeling: Heeling,
    heels: Iterable[float] = DEFAULT_HEELS,
    on_progress: Callable[[float], None] | None = None,
) -> RightingCurve:
    """GZ at the heels requested (rad), upright, and as many more as the curve needs.

    It is resolved until the cubics through the points give the true area to `RESOLUTION_SHARE` of
    the breadth on average; corners, as where a deck immerses, no finer than a quarter degree. Zeros
    are points of it. `on_progress` receives each heel. Raises BadInputError for heels not in
    ascending order or beyond 180 degrees.
    """
    heels = check_heels(heels)
    whole = np.union1d(heels, [0.0])
    gaps = [
        np.linspace(a, b, int(np.ceil((b - a) / MAX_HEEL_STEP - 1e-9)) + 1)[1:-1]
        for a, b in pairwise(whole)
        if b - a > MAX_HEEL_STEP
    ]
    whole = np.union1d(whole, np.concatenate([np.zeros(0), *gaps]))
    tolerance = resolution(heeling.tree)
    upright = heeling.at(0.0)
    sides: list[list[HeeledPosition]] = []
    jumps: list[float] = []
    for way in (whole[whole < 0][::-1], whole[whole > 0]):
        chain = [upright]
        for heel in way.tolist():
            extend_to_heel(heeling, chain, heel, tolerance, jumps)
            if on_progress:
                on_progress(heel)
        sides.append(chain)
    return _with_zeros(RightingCurve(heeling, (*sides[0][:0:-1], *sides[1]), tuple(sorted(jumps))))


def resolution(tree: Body) -> float:
    """Mean tolerance (m) of a GZ curve."""
    return RESOLUTION_SHARE * float(tree.high[1] - tree.low[1])


def _with_zeros(curve: RightingCurve) -> RightingCurve:
    """The curve with a point at each zero of its cubics, so that the zeros are those of the
    vessel."""
    heels = np.array([each.heel for each in curve.positions])
    zeros = [
        curve.at(crossing.heel)
        for crossing in curve.gz_curve.crossings
        if np.abs(heels - crossing.heel).min() > 2 * JUMP_WIDTH
    ]
    positions = sorted((*curve.positions, *zeros), key=lambda each: each.heel)
    return replace(curve, positions=tuple(positions))


def check_heels(heels: Iterable[float]) -> Floats:
    """Heels (n,) in radians. Raises BadInputError unless they ascend within 180 degrees."""
    found = np.array(list(heels), dtype=np.float64)
    shown = np.degrees(found)
    if not len(found):
        words = "there are no heels; give some, such as 0 to 90 in steps of 5 degrees"
        raise BadInputError(Sentence(words))
    if not (np.abs(shown) <= 180 + 1e-9).all():
        worst = shown[np.abs(shown).argmax()]
        words = "a heel of {angle} degrees; give heels from -180 to 180 degrees"
        raise BadInputError(Sentence(words, angle=f"{worst:g}"))
    falls = np.flatnonzero(np.diff(found) <= 0)
    if len(falls):
        a, b = shown[falls[0] : falls[0] + 2]
        words = "the heels do not rise: {after} follows {before} degrees; sort them"
        raise BadInputError(Sentence(words, after=f"{b:g}", before=f"{a:g}"))
    return found


def extend_to_heel(
    heeling: Heeling, chain: list[HeeledPosition], heel: float, tolerance: float, jumps: list[float]
) -> None:
    """Continues from the end of a chain to a heel (rad), in as many steps as the curve needs to
    give the true area to a `tolerance` (m) on average; `jumps` collects the heels at which branches
    of trim end."""
    ahead = [heeling.at(heel, chain[-1])]
    while ahead:
        here, there = chain[-1], ahead[-1]
        width = abs(there.heel - here.heel)
        parted = _is_trim_jump(here, there)
        if parted and not _is_trim_jump(here, again := heeling.at(there.heel, here)):
            ahead[-1] = again
            continue
        both, either = here.converged and there.converged, here.converged or there.converged
        rough = either
        if both and not parted:
            rough = abs(_cubic_area(here, there) - _area(here, there)) / width > tolerance
        if rough and width > (JUMP_WIDTH if both and parted else MIN_HEEL_STEP):
            ahead.append(heeling.at((here.heel + there.heel) / 2, here))
            continue
        if both and parted:
            jumps.append((here.heel + there.heel) / 2)
        chain.append(ahead.pop())


def _is_trim_jump(here: HeeledPosition, there: HeeledPosition) -> bool:
    """Whether the trims at two heels a quarter degree apart or less belong to different branches,
    or only one of them is an equilibrium."""
    width = abs(there.heel - here.heel)
    if width > MIN_HEEL_STEP or not (here.converged and there.converged):
        return bool(width <= MIN_HEEL_STEP and here.converged != there.converged)
    steepest = max(abs(here.trim_slope), abs(there.trim_slope))
    change = abs(there.attitude.trim_rad - here.attitude.trim_rad)
    return bool(change > MIN_HEEL_STEP + 2 * steepest * width)


def _area(start: HeeledPosition, end: HeeledPosition, breaks: bool = False) -> float:
    """Area under GZ from one heel to the next (m rad), or an estimate where the curve breaks
    between them."""
    width = end.heel - start.heel
    if breaks:
        return width * (start.arm + end.arm) / 2
    (a, turn_a), (b, turn_b) = _trim_cosine_loss(start), _trim_cosine_loss(end)
    return end.height - start.height + _under_cubic(width, a, b, turn_a, turn_b)


def _trim_cosine_loss(position: HeeledPosition) -> tuple[float, float]:
    """What the cosine of the trim takes off GZ as the slope of the energy (m), and its derivative
    with respect to heel."""
    trim = position.attitude.trim_rad
    share = 1 - np.cos(trim)
    return (
        position.arm * share,
        position.slope * share + position.arm * np.sin(trim) * position.trim_slope,
    )


def _cubic_area(start: HeeledPosition, end: HeeledPosition) -> float:
    """Area under the cubic between two heels (m rad)."""
    return _under_cubic(end.heel - start.heel, start.arm, end.arm, start.slope, end.slope)


def _under_cubic(width: float, start: float, end: float, rise: float, fall: float) -> float:
    """Integral over a width of the cubic with these values and slopes at its ends."""
    return width * ((start + end) / 2 + width * (rise - fall) / 12)
