"""The righting lever GZ of a vessel held at a heel.

The vessel keeps its displacement and, unless its trim is fixed, trims until B is in line with G
seen from the side. With e the transverse direction in the waterplane, to port,

    GZ = (G - B) . e,

positive where it turns a vessel that heels to starboard back to port.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import Attitude, up_from_angles
from ..buoyancy.body import Body
from ..hydrostatics.equilibrium import (
    Equilibrium,
    find_equilibrium,
    hold_attitude,
    potential_energy,
)
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.load import Gravity, check_load

MIN_HEEL_STEP = np.radians(0.25)
"""Heel (rad) below which the curve is not resolved further: corners stay."""
SAME_HEEL_TOLERANCE = 1e-9
"""One less the cosine of the error of a heel that is held."""


@dataclass(frozen=True)
class HeeledPosition:
    """A vessel held at a heel (rad, starboard +).

    `arm` is GZ (m), `slope` its derivative with respect to heel along the curve (m/rad), `height`
    how far G lies above B (m), `GM` the transverse metacentric height there, free surfaces counted
    (m), and `trim_slope` the derivative of trim with respect to heel. `converged` is false where no
    trim brings B in line with G: the vessel plunges, and GZ is that of its final attitude.
    """

    heel: float
    equilibrium: Equilibrium
    arm: float
    slope: float
    height: float
    GM: float
    trim_slope: float
    converged: bool

    @property
    def attitude(self) -> Attitude:
        """The attitude in the water."""
        return self.equilibrium.attitude

    def height_slopes(self, points: Floats) -> Floats:
        """Derivative with respect to heel of the heights of points (..., 3) above water along the
        curve (m/rad): the vessel turns about the center of its waterplane."""
        (x, y, z), wet = self.attitude.up, self.equilibrium.immersion
        pivot = wet.flotation if wet.waterplane_area > 0 else self.equilibrium.gravity
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

    def at(self, heel: float, near: HeeledPosition | None = None) -> HeeledPosition:
        """The vessel held at a heel (rad), sought from one held at a nearby heel."""
        start = self._start(heel, near)
        if self.trim is not None:
            return self.position_from(
                heel, hold_attitude(self.tree, self.volume, self.gravity, start)
            )
        return self.position_from(
            heel, find_equilibrium(self.tree, self.volume, self.gravity, start, fixed_heel=True)
        )

    def _start(self, heel: float, near: HeeledPosition | None) -> Attitude:
        """Initial attitude: along the curve from `near` if that is on one, at constant
        displacement."""
        if near is None or not near.converged:
            return Attitude(up_from_angles(heel, self.trim or 0.0), np.nan)
        turn = heel - near.heel
        trim = near.attitude.trim_rad + (near.trim_slope * turn if self.trim is None else 0.0)
        limit = np.pi / 2 - MIN_HEEL_STEP
        up = up_from_angles(heel, float(np.clip(trim, -limit, limit)))
        wet, gravity = near.equilibrium.immersion, near.equilibrium.gravity
        over = near.attitude.level - float(near.attitude.up @ gravity)
        if wet.waterplane_area > 0:
            over += float((up - near.attitude.up) @ (wet.flotation - gravity))
        return Attitude(up, over + float(up @ gravity))

    def position_from(self, heel: float, equilibrium: Equilibrium) -> HeeledPosition:
        """The vessel held at a heel (rad) in an equilibrium found there."""
        wet, attitude = equilibrium.immersion, equilibrium.attitude
        ahead, aside, above = wet.frame @ (equilibrium.gravity - wet.buoyancy)
        length = float(np.cbrt(self.volume))
        _, slope, curve = potential_energy(wet, self.volume, length, self.gravity(attitude.up))
        if curve[0, 0] > 0:
            curve = curve - np.outer(curve[:, 0], curve[0]) / curve[0, 0]
        (along, cross), across = length * curve[1, 1:], length * curve[2, 2]
        cosine, sine = np.cos(attitude.trim_rad), np.sin(attitude.trim_rad)
        mixed = cosine * cross - sine * aside
        stands = cosine > MIN_HEEL_STEP
        trims = self.trim is None and along > 0 and stands
        turning = -mixed / along if trims else 0.0
        rise = cosine**2 * across + cosine * sine * ahead + mixed * turning
        same = np.cos(heel - attitude.heel_rad) > 1 - SAME_HEEL_TOLERANCE
        return HeeledPosition(
            heel,
            equilibrium,
            float(aside),
            float((rise + aside * sine * turning) / cosine) if stands else 0.0,
            float(above),
            float(across),
            float(turning),
            bool(equilibrium.converged and same and stands and (trims or self.trim is not None)),
        )


def heeling_of(case: Case, fixed_trim: bool = False) -> Heeling:
    """A vessel to be heeled, free to trim or with its upright trim.

    Raises BadInputError for a vessel that sinks, or that has nothing on board.
    """
    load, hull = case.load, case.hull
    check_load(case.title, load)
    if not load.volume < hull.volume:
        raise BadInputError(
            Sentence(
                "{ship}: the vessel sinks, so there is no GZ curve; take weight off first",
                ship=Subject("vessel", case.title),
            )
        )
    heeling = Heeling(hull.tree, load.volume, load.gravity_at)
    if not fixed_trim:
        return heeling
    trim = heeling.at(0.0).attitude.trim_rad
    return Heeling(hull.tree, load.volume, load.gravity_at, trim)
