"""Equilibrium of a floating body in still water.

With every point measured from the center of gravity, the energy of vessel and water is

    E / (rho g) = -V0 tau + int_below (tau - x . up) dV,

tau the height of the water above G and V0 = mass / rho. Its minima are the stable floating
positions. Newton steps in heel and trim inside a trust region (Moré and Sorensen 1983, Computing a
trust region step, SIAM J. Sci. Stat. Comput. 4:553), at constant displacement, lead down from the
starting attitude: an upright vessel with negative GM settles at its angle of loll. Liquids on board
move as it turns, so G follows them at each attitude, and their free surfaces reduce the stiffness.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude, water_frame
from ..buoyancy.body import Body
from ..buoyancy.immersion import Immersion
from ..buoyancy.level import immersed_to_volume
from ..model.load import Gravity, Hung, fixed

Array = NDArray[np.float64]

TOLERANCE = 1e-11
SETTLED = 1e-8
LEAST_STEP = 1e-13
LONGEST_STEP = 0.2
MOST_STEPS = 300
SLACK = 0.01
ROUNDING = 1e-9
FLAT = 1e-6
ALIKE = float(np.cos(np.radians(0.5)))


@dataclass(frozen=True)
class Rest:
    """Attitude of least energy reached from a start.

    `gravity` (3,) is G, with liquids where they have moved. `stiffness` (2,) holds the least and
    the greatest GM over all axes in the water plane (m): stable when the first is positive.
    `volume_residual` is (V - V0) / V0, `arm_residual` the horizontal distance in m from G to B, the
    part of it that was free to vanish.
    """

    attitude: Attitude
    immersion: Immersion
    gravity: Array
    stiffness: Array
    iterations: int
    volume_residual: float
    arm_residual: float
    settled: bool

    @property
    def stable(self) -> bool:
        """True at a proper minimum: any small disturbance is followed by a return."""
        return bool(self.stiffness[0] > 0)


def settle(
    tree: Body,
    volume: float,
    gravity: Gravity | Array,
    start: Array | Attitude | None = None,
    tell: Callable[[int], None] | None = None,
    held: bool = False,
) -> Rest:
    """Equilibrium of a body of weight-equivalent `volume` (m3) less than its own, G fixed at (3,)
    or a function of attitude.

    `start` is the initial up direction (upright when None), or an attitude near the equilibrium;
    `tell` receives each step. `held` keeps the heel of the start, and only the trim is free.
    """
    hang = gravity if callable(gravity) else fixed(gravity)
    up = np.array([0.0, 0.0, 1.0]) if start is None else start
    first = up if isinstance(up, Attitude) else Attitude(up, np.nan)
    length = float(np.cbrt(volume))
    wet, hung = _afloat(tree, first, volume), hang(first.up)
    value, slope, curve = energy(wet, volume, length, hung)
    radius = LONGEST_STEP / 2
    steps, careful = 0, False
    while steps < MOST_STEPS and radius > LEAST_STEP:
        turning, stiffness = _turning(slope, curve, held)
        off, falls = max(abs(slope[0]), np.abs(turning).max()), _falls(stiffness)
        if off <= TOLERANCE and not falls:
            break
        steps += 1
        if tell:
            tell(steps)
        scale = 1 / np.sqrt(np.maximum(stiffness.diagonal(), 1.0))
        stride = lowest_in_ball(
            scale * turning, scale * stiffness * scale[:, None], radius, falls and not careful
        )
        turn = np.zeros(2)
        turn[: len(stride)] = scale * stride
        sink = -(slope[0] + curve[0, 1:] @ turn) / curve[0, 0] if curve[0, 0] > 0 else 0.0
        move = np.array([sink, *turn])
        promised = -(slope @ move + move @ curve @ move / 2)
        tried = _afloat(tree, moved(wet.attitude, move, length, hung.centre), volume)
        hung_there = hang(tried.attitude.up)
        there = energy(tried, volume, length, hung_there)
        ratio = (value - there[0]) / promised if promised > 0 else -1.0
        drowned_in_rounding = promised < 1e-12 * max(1.0, abs(value))
        off_there = max(abs(there[1][0]), np.abs(_turning(*there[1:], held)[0]).max())
        better = ratio > 1e-4 or (drowned_in_rounding and off_there < off)
        if ratio < 0.25 and not drowned_in_rounding:
            radius = float(np.linalg.norm(stride)) / 4
        elif ratio > 0.75 and np.linalg.norm(stride) > 0.9 * radius:
            radius = min(2 * radius, LONGEST_STEP)
        if better:
            wet, hung, (value, slope, curve) = tried, hung_there, there
            careful = False
        elif drowned_in_rounding and careful:
            break
        else:
            careful = drowned_in_rounding
        if off <= SETTLED and off_there > off / 2 and not falls:
            break
    return _rest(wet, volume, hung, steps, SETTLED * tree.size, held)


def hold(tree: Body, volume: float, gravity: Gravity, attitude: Attitude) -> Rest:
    """The body held in heel and trim, with the water at the level that gives it the volume (m3)."""
    wet = immersed_to_volume(tree, attitude.up, volume, TOLERANCE, attitude.level)
    return _rest(wet, volume, gravity(attitude.up), 0, np.inf, True)


def energy(wet: Immersion, volume: float, length: float, hung: Hung) -> tuple[float, Array, Array]:
    """Energy / (V0 length), its gradient (3,) and Hessian (3, 3) in (tau / length, pitch, heel).

    The two angles turn `up` towards the ship's ahead and to-port directions in the water.
    """
    gravity = hung.centre
    tau = wet.attitude.level - float(wet.attitude.up @ gravity)
    value = -volume * tau
    slope = np.array([wet.volume - volume, 0.0, 0.0])
    curve = np.zeros((3, 3))
    curve[1:, 1:] = -hung.slack / length
    if wet.volume > 0:
        arm = wet.frame @ (wet.buoyancy - gravity)
        value += wet.volume * (tau - arm[2])
        slope[1:] = -wet.volume * arm[:2] / length
        curve[1:, 1:] += wet.volume * arm[2] * np.eye(2) / length
    if wet.waterplane_area > 0:
        centre = wet.frame[:2] @ (wet.flotation - gravity)
        curve[0, 0] = wet.waterplane_area * length
        curve[0, 1:] = curve[1:, 0] = -wet.waterplane_area * centre
        curve[1:, 1:] += (wet.inertia + wet.waterplane_area * np.outer(centre, centre)) / length
    return value / (volume * length), slope / volume, curve / volume


def _afloat(tree: Body, attitude: Attitude, volume: float) -> Immersion:
    """The body below a plane, or below one near it where no small step corrects its volume."""
    level = attitude.level
    if np.isfinite(level):
        wet = tree.below(attitude)
        off = abs(wet.volume - volume) / volume
        if off <= SLACK and (off <= TOLERANCE or wet.waterplane_area > 0):
            return wet
    return immersed_to_volume(tree, attitude.up, volume, TOLERANCE, level)


def _turning(slope: Array, curve: Array, held: bool) -> tuple[Array, Array]:
    """Gradient (k,) and Hessian (k, k) in the two angles, or in the first alone where the heel is
    held, at constant displacement."""
    free = slice(1, 2 if held else 3)
    if not curve[0, 0] > 0:
        return slope[free], curve[free, free]
    follow = curve[free, 0] / curve[0, 0]
    return slope[free] - follow * slope[0], curve[free, free] - np.outer(follow, curve[0, free])


def _falls(curve: Array) -> bool:
    """Whether the least eigenvalue of a matrix is negative beyond rounding."""
    values = np.linalg.eigvalsh(curve)
    return bool(values[0] < -ROUNDING * np.abs(values).max())


def moved(attitude: Attitude, move: Array, length: float, gravity: Array) -> Attitude:
    """The attitude after a step in (tau / length, pitch, heel), along a great circle."""
    tau = attitude.level - float(attitude.up @ gravity) + move[0] * length
    turn = move[1:] @ water_frame(attitude.up)[:2]
    angle = float(np.linalg.norm(turn))
    up = attitude.up
    if angle > 0:
        up = np.cos(angle) * up + np.sin(angle) / angle * turn
        up = up / np.linalg.norm(up)
    return Attitude(up, tau + float(up @ gravity))


def lowest_in_ball(slope: Array, curve: Array, radius: float, fall: bool = True) -> Array:
    """Step (n,) of length <= radius with the least slope . d + d . curve . d / 2.

    Where the slope does not decide the direction, the last variable grows: an upright vessel
    without stability heels to starboard. Without `fall`, negative and vanishing curvature count as
    positive, and the step only reduces the slope.
    """
    values, axes = np.linalg.eigh(curve)
    along = axes.T @ slope
    along[np.abs(along) < TOLERANCE] = 0.0
    if not fall or not _falls(curve):
        values = np.maximum(np.abs(values), FLAT * np.abs(values).max() or 1.0)
        step = -along / values
        if np.linalg.norm(step) <= radius:
            return axes @ step
    shift = max(0.0, -values[0]) + 1e-12 * max(1.0, np.abs(values).max())

    def stepped(extra: float) -> Array:
        return -along / (values + extra)

    if np.linalg.norm(stepped(shift)) < radius:
        step = stepped(shift)
        spare = np.sqrt(radius**2 - step @ step)
        downhill = axes[:, 0]
        telling = downhill[np.flatnonzero(np.abs(downhill) > 1e-6)[-1]]
        return axes @ step + spare * np.sign(telling) * downhill
    low, high = shift, shift + np.linalg.norm(along) / radius
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if np.linalg.norm(stepped(middle)) > radius else (low, middle)
    return axes @ stepped(high)


def _rest(
    wet: Immersion, volume: float, hung: Hung, steps: int, least_arm: float, held: bool
) -> Rest:
    """The equilibrium found, settled when volume and plumb line are right to `SETTLED`."""
    arm = wet.frame @ (wet.buoyancy - hung.centre)
    residual, plumb = wet.volume / volume - 1.0, float(np.hypot(arm[0], 0.0 if held else arm[1]))
    return Rest(
        wet.attitude,
        wet,
        hung.centre,
        np.linalg.eigvalsh((wet.inertia - hung.slack) / wet.volume + arm[2] * np.eye(2)),
        steps,
        residual,
        plumb,
        abs(residual) <= SETTLED and plumb <= least_arm,
    )


def resting_positions(
    tree: Body, volume: float, gravity: Gravity | Array, heel_step_deg: int = 30
) -> tuple[Rest, ...]:
    """Distinct stable equilibria reached from starts all round in heel and from each end.

    The one reached from upright comes first; an unsettled or unstable one is left out.
    """
    heels = np.radians(np.arange(0, 360, heel_step_deg))
    starts = [np.array([0.0, np.sin(heel), np.cos(heel)]) for heel in heels]
    starts += [np.array([end, 0.0, 0.0]) for end in (1.0, -1.0)]
    found: list[Rest] = []
    for start in starts:
        rest = settle(tree, volume, gravity, start)
        known = any(rest.attitude.up @ other.attitude.up > ALIKE for other in found)
        if rest.settled and rest.stable and not known:
            found.append(rest)
    return tuple(found)
