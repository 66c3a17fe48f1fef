"""The mass to remove for a least freeboard."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..hydrostatics.equilibrium import find_equilibrium
from ..hydrostatics.floating_position import FloatingPosition
from ..messages.sentence import Sentence, meters
from .action import CorrectiveAction
from .action_wording import mass_quantity
from .least_amount import SCAN_STEPS, least_amount

MAX_REMOVED_SHARE = 0.95
"""Share of the mass that may be taken off."""
FREEBOARD_SHARE = 0.05
"""Share of the depth that a least freeboard is to have (our own measure)."""


def correct_freeboard(ship: FloatingPosition) -> Iterator[CorrectiveAction]:
    """The total mass to remove, with G unchanged, for a least freeboard of a share
    `FREEBOARD_SHARE` of the depth (our own measure); none with the deck edge and the open rims
    above water, or where it cannot be reached."""
    wanted = FREEBOARD_SHARE * ship.case.hull.depth
    mass = mass_to_take_off(ship, wanted) if least_freeboard(ship) < 0 else None
    if mass is not None:
        text = Sentence(
            "{mass} must come off in all, with G left where it is, for a least freeboard of "
            "{height}, {share} % of the depth",
            mass=mass_quantity(mass),
            height=meters(wanted),
            share=f"{FREEBOARD_SHARE * 100:.0f}",
        )
        yield CorrectiveAction("remove_mass", "freeboard", text)


def mass_to_take_off(ship: FloatingPosition, freeboard: float) -> float | None:
    """The least mass (kg) to remove, with G unchanged, to raise the least freeboard to `freeboard`
    (m); zero where it suffices, None where that cannot be reached."""
    case, rest = ship.case, ship.equilibrium
    if rest is None or not np.isfinite(least_freeboard(ship)):
        return None
    whole, up = case.load.mass, rest.attitude.up

    def gained(mass: float) -> float:
        nonlocal up
        volume = (whole - mass) / case.water_density
        there = find_equilibrium(case.hull.tree, volume, case.load.gravity_at, up).attitude
        up = there.up
        return float(there.heights(case.hull.edge_points).min()) - freeboard

    lacking = least_freeboard(ship) - freeboard
    if lacking >= 0:
        return 0.0
    masses = (whole * np.linspace(0.0, MAX_REMOVED_SHARE, SCAN_STEPS)).tolist()
    return least_amount(gained, masses, lacking)


def least_freeboard(ship: FloatingPosition) -> float:
    """Height of the lowest deck edge or open rim (m), NaN without either."""
    edge_points = ship.case.hull.edge_points
    return (
        float(ship.equilibrium.attitude.heights(edge_points).min())
        if ship.equilibrium and len(edge_points)
        else np.nan
    )
