"""The vessel held upright on an even keel at its displacement."""

from __future__ import annotations

import numpy as np

from ..buoyancy.attitude import UPRIGHT_UP
from ..buoyancy.immersion import Immersion
from ..buoyancy.level import immersed_to_volume
from ..model.case import Case
from .equilibrium import EQUILIBRIUM_TOLERANCE
from .particulars import Hydrostatics, hydrostatics

UPRIGHT_TOLERANCE = np.radians(0.05)
"""Heel (rad) up to which a vessel is upright."""


def upright_hydrostatics(case: Case) -> Hydrostatics:
    """Particulars of the vessel held upright on an even keel at its displacement."""
    return hydrostatics(case.hull, upright_immersion(case).attitude)


def upright_immersion(case: Case, near: float | None = None) -> Immersion:
    """The vessel held upright on an even keel; `near` is an initial level of the water (m)."""
    return immersed_to_volume(
        case.hull.tree, UPRIGHT_UP, case.load.volume, EQUILIBRIUM_TOLERANCE, near
    )


def upright_GM(case: Case, wet: Immersion | None = None) -> float:
    """GM (fluid) upright on an even keel (m)."""
    wet, load = wet or upright_immersion(case), case.load
    KM = float(wet.buoyancy[2]) + wet.metacentric_radii()[0]
    return KM - float(load.solid.center[2]) - load.free_surface_correction
