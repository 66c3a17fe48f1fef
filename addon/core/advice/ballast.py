"""The least ballast that gives a vessel a GM."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..hydrostatics.floating_position import FloatingPosition, find_floating_position
from ..hydrostatics.upright import upright_GM, upright_hydrostatics
from ..messages.sentence import Sentence, meters
from ..model.case import Case
from ..model.weights import Weight
from .action import CorrectiveAction
from .action_wording import GM_text, mass_quantity
from .freeboard import least_freeboard
from .least_amount import SCAN_STEPS, least_amount

BALLAST = "ballast"
"""Name of ballast that is added."""
BALLAST_HEIGHT_SHARE = 0.05
"""Height of ballast above the lowest point over the depth."""
MAX_BALLAST_SHARE = 0.9
"""Share of the reserve of buoyancy that ballast may take."""


def add_ballast(ship: FloatingPosition, GM: float) -> CorrectiveAction | None:
    """The least ballast low in the hull, under B, for an upright GM (m).

    None where GM suffices, where the hull would have to be nearly filled with it, or where an
    opening, an open rim or the deck edge would then be under water.
    """
    case = ship.case
    at = upright_hydrostatics(case).immersion.buoyancy * np.array([1.0, 0.0, 0.0])
    at[2] = case.hull.tree.low[2] + BALLAST_HEIGHT_SHARE * case.hull.depth
    name = _free_name(case, BALLAST)

    def gained(mass: float) -> float:
        weights = (*case.weights, Weight(name, mass, at))
        return upright_GM(replace(case, weights=weights)) - GM

    lacking = upright_GM(case) - GM
    if lacking >= 0:
        return None
    max_mass = MAX_BALLAST_SHARE * ship.reserve_volume * case.water_density
    masses = (max_mass * np.geomspace(1e-4, 1.0, SCAN_STEPS)).tolist()
    mass = least_amount(gained, [0.0, *masses], lacking)
    if mass is None:
        return None
    words = Sentence(
        "{mass} of ballast at x {x}, {z} above the baseline, {effect}",
        mass=mass_quantity(mass),
        x=meters(at[0], ".2f"),
        z=meters(at[2], ".2f"),
        effect=GM_text(GM),
    )
    action = CorrectiveAction("add_ballast", "GM", words, Weight(name, mass, at))
    there = find_floating_position(action.applied(case), seek_others=False)
    left = least_freeboard(there)
    if there.immersed_openings or left <= 0:
        return None
    if not np.isfinite(left):
        return action
    template = "{ballast} and leaves a least freeboard of {height}"
    return replace(action, text=Sentence(template, ballast=words, height=meters(left)))


def _free_name(case: Case, name: str) -> str:
    taken = {weight.name for weight in case.weights}
    numbered = (f"{name} {number}" for number in range(2, len(taken) + 3))
    return name if name not in taken else next(each for each in numbered if each not in taken)
