"""The righting lever GZ of a vessel held at a heel.

At each heel the vessel keeps its displacement and, unless its trim is fixed, trims until B is in
line with G seen from the side. With e the transverse direction in the waterplane, to port,

    GZ = (G - B) . e,

positive where it turns a vessel that heels to starboard back to port. It is the slope of the
energy over heel, so the area under it between two heels is exact without quadrature: the rise of G
above B (Moseley 1850, On the dynamical stability and on the oscillations of floating bodies, Phil.
Trans. R. Soc. 140:609, from memory), apart from the cosine of the trim, which is integrated.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude, up_from_angles
from ..buoyancy.body import Body
from ..hydrostatics.equilibrium import Rest, energy, hold, settle
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.load import Gravity, check_load
from .gz_curve import ArmCurve

Array = NDArray[np.float64]

WIDEST = np.radians(10.0)
NARROWEST = np.radians(0.25)
JUMP = 1e-6
RESOLVED = 2e-6
SAME_HEEL = 1e-9
HEELS = np.radians(np.arange(-180.0, 181.0, 5.0))


@dataclass(frozen=True)
class Held:
    """A vessel held at a heel (rad, starboard +).

    `arm` is GZ (m), `slope` its derivative with respect to heel along the curve (m/rad), `height`
    how far G lies above B (m), `GM` the transverse metacentric height there, free surfaces counted
    (m), and `trim_slope` the derivative of trim with respect to heel. `settled` is false where no
    trim brings B in line with G: the vessel plunges, and GZ is that of its final attitude.
    """

    heel: float
    rest: Rest
    arm: float
    slope: float
    height: float
    GM: float
    trim_slope: float
    settled: bool

    @property
    def attitude(self) -> Attitude:
        """The attitude in the water."""
        return self.rest.attitude

    def lift(self, points: Array) -> Array:
        """Derivative with respect to heel of the heights of points (..., 3) above water along the
        curve (m/rad): the vessel turns about the center of its waterplane."""
        (x, y, z), wet = self.attitude.up, self.rest.immersion
        pivot = wet.flotation if wet.waterplane_area > 0 else self.rest.gravity
        across = np.hypot(y, z)
        trims = np.array([across, -x * y / across, -x * z / across]) if across > 0 else np.zeros(3)
        return (points - pivot) @ (np.array([0.0, z, -y]) + self.trim_slope * trims)


@dataclass(frozen=True)
class Heeling:
    """A body to be heeled: weight-equivalent `volume` (m3), its gravity state, and `trim` (rad) if
    fixed."""

    tree: Body
    volume: float
    gravity: Gravity
    trim: float | None = None

    def at(self, heel: float, near: Held | None = None) -> Held:
        """The vessel held at a heel (rad), sought from one held at a nearby heel."""
        start = self._start(heel, near)
        if self.trim is not None:
            return self.held_by(heel, hold(self.tree, self.volume, self.gravity, start))
        return self.held_by(heel, settle(self.tree, self.volume, self.gravity, start, held=True))

    def _start(self, heel: float, near: Held | None) -> Attitude:
        """Initial attitude: along the curve from `near` if that is on one, at constant
        displacement."""
        if near is None or not near.settled:
            return Attitude(up_from_angles(heel, self.trim or 0.0), np.nan)
        turn = heel - near.heel
        trim = near.attitude.trim_rad + (near.trim_slope * turn if self.trim is None else 0.0)
        limit = np.pi / 2 - NARROWEST
        up = up_from_angles(heel, float(np.clip(trim, -limit, limit)))
        wet, gravity = near.rest.immersion, near.rest.gravity
        over = near.attitude.level - float(near.attitude.up @ gravity)
        if wet.waterplane_area > 0:
            over += float((up - near.attitude.up) @ (wet.flotation - gravity))
        return Attitude(up, over + float(up @ gravity))

    def held_by(self, heel: float, rest: Rest) -> Held:
        """The vessel held at a heel (rad) in an equilibrium found there."""
        wet, attitude = rest.immersion, rest.attitude
        ahead, aside, above = wet.frame @ (rest.gravity - wet.buoyancy)
        length = float(np.cbrt(self.volume))
        _, slope, curve = energy(wet, self.volume, length, self.gravity(attitude.up))
        if curve[0, 0] > 0:
            curve = curve - np.outer(curve[:, 0], curve[0]) / curve[0, 0]
        (along, cross), across = length * curve[1, 1:], length * curve[2, 2]
        cosine, sine = np.cos(attitude.trim_rad), np.sin(attitude.trim_rad)
        mixed = cosine * cross - sine * aside
        stands = cosine > NARROWEST
        trims = self.trim is None and along > 0 and stands
        turning = -mixed / along if trims else 0.0
        rise = cosine**2 * across + cosine * sine * ahead + mixed * turning
        same = np.cos(heel - attitude.heel_rad) > 1 - SAME_HEEL
        return Held(
            heel,
            rest,
            float(aside),
            float((rise + aside * sine * turning) / cosine) if stands else 0.0,
            float(above),
            float(across),
            float(turning),
            bool(rest.settled and same and stands and (trims or self.trim is not None)),
        )


@dataclass(frozen=True)
class RightingCurve:
    """GZ over heel, and the vessel held at each heel.

    `jumps` are heels (rad) at which the branch of trim followed so far ends and the vessel moves to
    another.
    """

    heeling: Heeling
    held: tuple[Held, ...]
    jumps: tuple[float, ...]

    @cached_property
    def arms(self) -> ArmCurve:
        """GZ over heel with the area under it from upright."""
        heels = np.array([each.heel for each in self.held])
        parts = [_area(*pair, self._breaks(*pair)) for pair in pairwise(self.held)]
        areas = np.concatenate([[0.0], np.cumsum(parts)])
        return ArmCurve(
            heels,
            np.array([each.arm for each in self.held]),
            np.array([each.slope for each in self.held]),
            areas - areas[np.abs(heels).argmin()],
        )

    @cached_property
    def upright(self) -> Held:
        """The vessel held upright."""
        return min(self.held, key=lambda each: abs(each.heel))

    def at(self, heel: float) -> Held:
        """The vessel held at any heel (rad) within the curve."""
        near = min(self.held, key=lambda each: abs(each.heel - heel))
        return near if near.heel == heel else self.heeling.at(heel, near)

    def _breaks(self, start: Held, end: Held) -> bool:
        jumps = any(start.heel <= jump <= end.heel for jump in self.jumps)
        return jumps or not (start.settled and end.settled)


def heeling_of(case: Case, fixed_trim: bool = False) -> Heeling:
    """A vessel to be heeled, free to trim or with its upright trim.

    Raises BadInputError for a vessel that sinks, or that has nothing on board.
    """
    load, hull = case.load, case.hull
    check_load(case.title, load)
    if not load.volume < hull.volume:
        raise BadInputError(
            Sentence(
                "{ship}: she sinks, so there are no righting arms; take weight off first",
                ship=Subject("vessel", case.title),
            )
        )
    heeling = Heeling(hull.tree, load.volume, load.hang)
    if not fixed_trim:
        return heeling
    trim = heeling.at(0.0).attitude.trim_rad
    return Heeling(hull.tree, load.volume, load.hang, trim)


def righting_curve(
    heeling: Heeling,
    heels: Iterable[float] = HEELS,
    tell: Callable[[float], None] | None = None,
) -> RightingCurve:
    """GZ at the heels requested (rad), upright, and as many more as the curve needs.

    It is resolved until the cubics through the points give the true area to `RESOLVED` of the
    breadth on average; corners, as where a deck immerses, no finer than a quarter degree. Zeros are
    points of it. `tell` receives each heel. Raises BadInputError for heels not in ascending order
    or beyond 180 degrees.
    """
    heels = check_heels(heels)
    whole = np.union1d(heels, [0.0])
    gaps = [
        np.linspace(a, b, int(np.ceil((b - a) / WIDEST - 1e-9)) + 1)[1:-1]
        for a, b in pairwise(whole)
        if b - a > WIDEST
    ]
    whole = np.union1d(whole, np.concatenate([np.zeros(0), *gaps]))
    tolerance = resolution(heeling.tree)
    upright = heeling.at(0.0)
    sides: list[list[Held]] = []
    jumps: list[float] = []
    for way in (whole[whole < 0][::-1], whole[whole > 0]):
        chain = [upright]
        for heel in way.tolist():
            follow(heeling, chain, heel, tolerance, jumps)
            if tell:
                tell(heel)
        sides.append(chain)
    return _with_zeros(RightingCurve(heeling, (*sides[0][:0:-1], *sides[1]), tuple(sorted(jumps))))


def resolution(tree: Body) -> float:
    """Mean tolerance (m) of a GZ curve."""
    return RESOLVED * float(tree.high[1] - tree.low[1])


def _with_zeros(curve: RightingCurve) -> RightingCurve:
    """The curve with a point at each zero of its cubics, so that the zeros are those of the
    vessel."""
    heels = np.array([each.heel for each in curve.held])
    zeros = [
        curve.at(crossing.heel)
        for crossing in curve.arms.crossings
        if np.abs(heels - crossing.heel).min() > 2 * JUMP
    ]
    held = sorted((*curve.held, *zeros), key=lambda each: each.heel)
    return replace(curve, held=tuple(held))


def check_heels(heels: Iterable[float]) -> Array:
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


def follow(
    heeling: Heeling, chain: list[Held], heel: float, tolerance: float, jumps: list[float]
) -> None:
    """Continues from the end of a chain to a heel (rad), in as many steps as the curve needs to
    give the true area to a `tolerance` (m) on average; `jumps` collects the heels at which branches
    of trim end."""
    ahead = [heeling.at(heel, chain[-1])]
    while ahead:
        here, there = chain[-1], ahead[-1]
        width = abs(there.heel - here.heel)
        parted = _are_parted(here, there)
        if parted and not _are_parted(here, again := heeling.at(there.heel, here)):
            ahead[-1] = again
            continue
        both, either = here.settled and there.settled, here.settled or there.settled
        rough = either
        if both and not parted:
            rough = abs(_cubic_area(here, there) - _area(here, there)) / width > tolerance
        if rough and width > (JUMP if both and parted else NARROWEST):
            ahead.append(heeling.at((here.heel + there.heel) / 2, here))
            continue
        if both and parted:
            jumps.append((here.heel + there.heel) / 2)
        chain.append(ahead.pop())


def _are_parted(here: Held, there: Held) -> bool:
    """Whether the trims at two heels a quarter degree apart or less belong to different branches,
    or only one of them is an equilibrium."""
    width = abs(there.heel - here.heel)
    if width > NARROWEST or not (here.settled and there.settled):
        return bool(width <= NARROWEST and here.settled != there.settled)
    steepest = max(abs(here.trim_slope), abs(there.trim_slope))
    change = abs(there.attitude.trim_rad - here.attitude.trim_rad)
    return bool(change > NARROWEST + 2 * steepest * width)


def _area(start: Held, end: Held, breaks: bool = False) -> float:
    """Area under GZ from one heel to the next (m rad), or an estimate where the curve breaks
    between them."""
    width = end.heel - start.heel
    if breaks:
        return width * (start.arm + end.arm) / 2
    (a, turn_a), (b, turn_b) = _lost(start), _lost(end)
    return end.height - start.height + _under_cubic(width, a, b, turn_a, turn_b)


def _lost(held: Held) -> tuple[float, float]:
    """What the cosine of the trim takes off GZ as the slope of the energy (m), and its derivative
    with respect to heel."""
    trim = held.attitude.trim_rad
    share = 1 - np.cos(trim)
    return held.arm * share, held.slope * share + held.arm * np.sin(trim) * held.trim_slope


def _cubic_area(start: Held, end: Held) -> float:
    """Area under the cubic between two heels (m rad)."""
    return _under_cubic(end.heel - start.heel, start.arm, end.arm, start.slope, end.slope)


def _under_cubic(width: float, start: float, end: float, rise: float, fall: float) -> float:
    """Integral over a width of the cubic with these values and slopes at its ends."""
    return width * ((start + end) / 2 + width * (rise - fall) / 12)
