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

from ..arrays import Floats
from ..buoyancy.attitude import Attitude, water_frame
from ..buoyancy.body import Body
from ..buoyancy.immersion import Immersion
from ..buoyancy.level import immersed_to_volume
from ..model.load import Gravity, GravityState, fixed_gravity

EQUILIBRIUM_TOLERANCE = 1e-11
"""Relative error of the volume, and gradient of the dimensionless energy, at which Newton steps
end."""
CONVERGED_SHARE = 1e-8
"""Relative error of the volume, and lever over the size, up to which a position counts as
converged."""
MIN_STEP = 1e-13
"""Radius of the trust region (rad) at which the search ends."""
MAX_STEP = 0.2
"""Greatest radius of the trust region (rad), so that no basin of attraction is skipped."""
MAX_STEPS = 300
"""Newton steps, to bound time."""
MAX_VOLUME_ERROR_SHARE = 0.01
"""Relative error of the volume up to which Newton steps correct it along the way."""
ROUNDING_SHARE = 1e-9
"""Share of the largest eigenvalue of the Hessian that is rounding."""
FLAT_CURVATURE_SHARE = 1e-6
"""Share of the largest eigenvalue up to which curvature counts as none."""
SAME_ATTITUDE_COSINE = float(np.cos(np.radians(0.5)))
"""Cosine of the angle between two up directions above which they are one position: 0.5 degrees."""


@dataclass(frozen=True)
class Equilibrium:
    """Attitude of least energy reached from a start.

    `gravity` (3,) is G, with liquids where they have moved. `stiffness` (2,) holds the least and
    the maximum GM over all axes in the water plane (m): stable when the first is positive.
    `volume_residual` is (V - V0) / V0, `lever_residual` the horizontal distance in m from G to B,
    the part of it that was free to vanish.
    """

    attitude: Attitude
    immersion: Immersion
    gravity: Floats
    stiffness: Floats
    iterations: int
    volume_residual: float
    lever_residual: float
    converged: bool

    @property
    def stable(self) -> bool:
        """True at a proper minimum: any small disturbance is followed by a return."""
        return bool(self.stiffness[0] > 0)


def find_equilibrium(
    tree: Body,
    volume: float,
    gravity: Gravity | Floats,
    start: Floats | Attitude | None = None,
    on_progress: Callable[[int], None] | None = None,
    fixed_heel: bool = False,
) -> Equilibrium:
    """Equilibrium of a body of weight-equivalent `volume` (m3) less than its own, G fixed at (3,)
    or a function of attitude.

    `start` is the initial up direction (upright when None), or an attitude near the equilibrium;
    `on_progress` receives each step. `fixed_heel` keeps the heel of the start, and only the trim is
    free.
    """
    gravity_at = gravity if callable(gravity) else fixed_gravity(gravity)
    up = np.array([0.0, 0.0, 1.0]) if start is None else start
    first = up if isinstance(up, Attitude) else Attitude(up, np.nan)
    length = float(np.cbrt(volume))
    wet, gravity_state = _immersed_near(tree, first, volume), gravity_at(first.up)
    value, gradient, hessian = potential_energy(wet, volume, length, gravity_state)
    radius = MAX_STEP / 2
    steps, careful = 0, False
    while steps < MAX_STEPS and radius > MIN_STEP:
        turning, stiffness = _reduced_system(gradient, hessian, fixed_heel)
        off, falls = max(abs(gradient[0]), np.abs(turning).max()), _has_descent(stiffness)
        if off <= EQUILIBRIUM_TOLERANCE and not falls:
            break
        steps += 1
        if on_progress:
            on_progress(steps)
        scale = 1 / np.sqrt(np.maximum(stiffness.diagonal(), 1.0))
        stride = trust_region_step(
            scale * turning, scale * stiffness * scale[:, None], radius, falls and not careful
        )
        turn = np.zeros(2)
        turn[: len(stride)] = scale * stride
        sink = -(gradient[0] + hessian[0, 1:] @ turn) / hessian[0, 0] if hessian[0, 0] > 0 else 0.0
        move = np.array([sink, *turn])
        promised = -(gradient @ move + move @ hessian @ move / 2)
        tried = _immersed_near(
            tree, stepped_attitude(wet.attitude, move, length, gravity_state.center), volume
        )
        gravity_there = gravity_at(tried.attitude.up)
        there = potential_energy(tried, volume, length, gravity_there)
        ratio = (value - there[0]) / promised if promised > 0 else -1.0
        drowned_in_rounding = promised < 1e-12 * max(1.0, abs(value))
        off_there = max(abs(there[1][0]), np.abs(_reduced_system(*there[1:], fixed_heel)[0]).max())
        better = ratio > 1e-4 or (drowned_in_rounding and off_there < off)
        if ratio < 0.25 and not drowned_in_rounding:
            radius = float(np.linalg.norm(stride)) / 4
        elif ratio > 0.75 and np.linalg.norm(stride) > 0.9 * radius:
            radius = min(2 * radius, MAX_STEP)
        if better:
            wet, gravity_state, (value, gradient, hessian) = tried, gravity_there, there
            careful = False
        elif drowned_in_rounding and careful:
            break
        else:
            careful = drowned_in_rounding
        if off <= CONVERGED_SHARE and off_there > off / 2 and not falls:
            break
    return _equilibrium(wet, volume, gravity_state, steps, CONVERGED_SHARE * tree.size, fixed_heel)


def hold_attitude(tree: Body, volume: float, gravity: Gravity, attitude: Attitude) -> Equilibrium:
    """The body held in heel and trim, with the water at the level that gives it the volume (m3)."""
    wet = immersed_to_volume(tree, attitude.up, volume, EQUILIBRIUM_TOLERANCE, attitude.level)
    return _equilibrium(wet, volume, gravity(attitude.up), 0, np.inf, True)


def potential_energy(
    wet: Immersion, volume: float, length: float, gravity_state: GravityState
) -> tuple[float, Floats, Floats]:
    """Energy / (V0 length), its gradient (3,) and Hessian (3, 3) in (tau / length, pitch, heel).

    The two angles turn `up` towards the ship's ahead and to-port directions in the water.
    """
    gravity = gravity_state.center
    tau = wet.attitude.level - float(wet.attitude.up @ gravity)
    value = -volume * tau
    gradient = np.array([wet.volume - volume, 0.0, 0.0])
    hessian = np.zeros((3, 3))
    hessian[1:, 1:] = -gravity_state.free_surfaces / length
    if wet.volume > 0:
        arm = wet.frame @ (wet.buoyancy - gravity)
        value += wet.volume * (tau - arm[2])
        gradient[1:] = -wet.volume * arm[:2] / length
        hessian[1:, 1:] += wet.volume * arm[2] * np.eye(2) / length
    if wet.waterplane_area > 0:
        center = wet.frame[:2] @ (wet.flotation - gravity)
        hessian[0, 0] = wet.waterplane_area * length
        hessian[0, 1:] = hessian[1:, 0] = -wet.waterplane_area * center
        hessian[1:, 1:] += (wet.inertia + wet.waterplane_area * np.outer(center, center)) / length
    return value / (volume * length), gradient / volume, hessian / volume


def _immersed_near(tree: Body, attitude: Attitude, volume: float) -> Immersion:
    """The body below a plane, or below one near it where no small step corrects its volume."""
    level = attitude.level
    if np.isfinite(level):
        wet = tree.below(attitude)
        off = abs(wet.volume - volume) / volume
        if off <= MAX_VOLUME_ERROR_SHARE and (
            off <= EQUILIBRIUM_TOLERANCE or wet.waterplane_area > 0
        ):
            return wet
    return immersed_to_volume(tree, attitude.up, volume, EQUILIBRIUM_TOLERANCE, level)


def _reduced_system(gradient: Floats, hessian: Floats, fixed_heel: bool) -> tuple[Floats, Floats]:
    """Gradient (k,) and Hessian (k, k) in the two angles, or in the first alone where the heel is
    held, at constant displacement."""
    free = slice(1, 2 if fixed_heel else 3)
    if not hessian[0, 0] > 0:
        return gradient[free], hessian[free, free]
    follow = hessian[free, 0] / hessian[0, 0]
    return gradient[free] - follow * gradient[0], hessian[free, free] - np.outer(
        follow, hessian[0, free]
    )


def _has_descent(hessian: Floats) -> bool:
    """Whether the least eigenvalue of a matrix is negative beyond rounding."""
    values = np.linalg.eigvalsh(hessian)
    return bool(values[0] < -ROUNDING_SHARE * np.abs(values).max())


def stepped_attitude(attitude: Attitude, move: Floats, length: float, gravity: Floats) -> Attitude:
    """The attitude after a step in (tau / length, pitch, heel), along a great circle."""
    tau = attitude.level - float(attitude.up @ gravity) + move[0] * length
    turn = move[1:] @ water_frame(attitude.up)[:2]
    angle = float(np.linalg.norm(turn))
    up = attitude.up
    if angle > 0:
        up = np.cos(angle) * up + np.sin(angle) / angle * turn
        up = up / np.linalg.norm(up)
    return Attitude(up, tau + float(up @ gravity))


def trust_region_step(
    gradient: Floats, hessian: Floats, radius: float, fall: bool = True
) -> Floats:
    """Step (n,) of length <= radius with the least gradient . d + d . hessian . d / 2.

    Where the slope does not decide the direction, the last variable grows: an upright vessel
    without stability heels to starboard. Without `fall`, negative and vanishing curvature count as
    positive, and the step only reduces the slope.
    """
    values, axes = np.linalg.eigh(hessian)
    along = axes.T @ gradient
    along[np.abs(along) < EQUILIBRIUM_TOLERANCE] = 0.0
    if not fall or not _has_descent(hessian):
        values = np.maximum(np.abs(values), FLAT_CURVATURE_SHARE * np.abs(values).max() or 1.0)
        step = -along / values
        if np.linalg.norm(step) <= radius:
            return axes @ step
    shift = max(0.0, -values[0]) + 1e-12 * max(1.0, np.abs(values).max())

    def stepped(extra: float) -> Floats:
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


def _equilibrium(
    wet: Immersion,
    volume: float,
    gravity_state: GravityState,
    steps: int,
    least_arm: float,
    fixed_heel: bool,
) -> Equilibrium:
    """The equilibrium found, settled when volume and plumb line are right to `CONVERGED_SHARE`."""
    arm = wet.frame @ (wet.buoyancy - gravity_state.center)
    residual, plumb = (
        wet.volume / volume - 1.0,
        float(np.hypot(arm[0], 0.0 if fixed_heel else arm[1])),
    )
    return Equilibrium(
        wet.attitude,
        wet,
        gravity_state.center,
        np.linalg.eigvalsh(
            (wet.inertia - gravity_state.free_surfaces) / wet.volume + arm[2] * np.eye(2)
        ),
        steps,
        residual,
        plumb,
        abs(residual) <= CONVERGED_SHARE and plumb <= least_arm,
    )


def stable_equilibria(
    tree: Body, volume: float, gravity: Gravity | Floats, heel_step_deg: int = 30
) -> tuple[Equilibrium, ...]:
    """Distinct stable equilibria reached from starts all round in heel and from each end.

    The one reached from upright comes first; an unsettled or unstable one is left out.
    """
    heels = np.radians(np.arange(0, 360, heel_step_deg))
    starts = [np.array([0.0, np.sin(heel), np.cos(heel)]) for heel in heels]
    starts += [np.array([end, 0.0, 0.0]) for end in (1.0, -1.0)]
    found: list[Equilibrium] = []
    for start in starts:
        equilibrium = find_equilibrium(tree, volume, gravity, start)
        known = any(
            equilibrium.attitude.up @ other.attitude.up > SAME_ATTITUDE_COSINE for other in found
        )
        if equilibrium.converged and equilibrium.stable and not known:
            found.append(equilibrium)
    return tuple(found)
