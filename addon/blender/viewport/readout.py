"""The line of read-out of a floating vessel, and the words that it is made of."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ...core.model.hull_openings import HULL_OPENING_NAMES
from ...units.angles import angle
from ...units.lengths import Lengths
from .shapes import LengthText, Tone

UNDER = "under water"


def readout(
    ship: FloatingPosition, name: str, stale: bool, lengths: Lengths, arm: float | None = None
) -> tuple[str, Tone]:
    """One line on the floating position, or at a held heel on GZ from `arm` (m), and whether it is
    a warning."""
    tone: Tone = "warning"
    if arm is not None:
        parts = list(_held_words(ship, arm, lengths))
        tone = "warning" if _flooded_openings(ship) else "plain"
    elif ship.state == "sunk":
        excess = lengths.mass(-ship.reserve_volume * ship.case.water_density)
        parts = [f"sinks, {excess} too heavy"]
    elif ship.state == "swamped":
        where, under = ship.lowest_hull_opening, f"{lengths(-ship.downflooding_height)} {UNDER}"
        over = where in (None, "top")
        parts = [
            f"swamped, open edge {under}"
            if over
            else f"floods, {HULL_OPENING_NAMES[where]} {under}"
        ]
    else:
        parts = [_heel_words(ship), *trim_words(ship, lengths), f"GM {lengths(ship.GM_fluid)}"]
        tone = "warning" if abs(ship.equilibrium.attitude.heel_rad) > np.pi / 2 else "plain"
    return f"{name}: {' · '.join(parts)}{' (changed since computed)' if stale else ''}", tone


def righting(heel: float, arm: float) -> float:
    """GZ (m) at a heel (rad), positive where it rights the vessel."""
    return -arm if heel < 0 else arm


def angle_words(heel: float) -> str:
    """'30.0° to starboard'."""
    side = "starboard" if heel > 0 else "port"
    return angle(heel) if abs(heel) <= UPRIGHT_TOLERANCE else f"{angle(heel)} to {side}"


def _held_words(ship: FloatingPosition, arm: float, length_text: LengthText) -> Iterator[str]:
    heel = ship.equilibrium.attitude.heel_rad
    yield f"heel {angle_words(heel)}, held"
    yield f"GZ {length_text(righting(heel, arm))}"
    draft = ship.hydrostatics.draft_mid
    if 0 <= draft <= ship.case.hull.depth:
        yield f"draft {length_text(draft)}"
        yield from trim_words(ship, length_text)
    flooded = _flooded_openings(ship)
    if flooded:
        yield f"{', '.join(flooded)} {UNDER}"


def _flooded_openings(ship: FloatingPosition) -> list[str]:
    """Names of the openings that let water in."""
    return [each.name for each in ship.immersed_openings if not each.weathertight]


def _heel_words(ship: FloatingPosition) -> str:
    heel = ship.equilibrium.attitude.heel_rad
    if abs(heel) <= UPRIGHT_TOLERANCE:
        return "upright"
    if abs(heel) > np.pi / 2:
        return f"capsized, list {angle_words(heel)}"
    lolls = any(finding.code == "loll" for finding in ship.findings)
    return f"{'angle of loll' if lolls else 'list'} {angle_words(heel)}"


def trim_words(ship: FloatingPosition, length_text: LengthText) -> Iterator[str]:
    """'trim 0.12 m by the stern'; nothing where the trim is unknown."""
    trim = ship.hydrostatics.trim
    if not np.isfinite(trim):
        return
    shown = length_text(abs(trim))
    end = "stern" if trim > 0 else "bow"
    yield "on an even keel" if shown == length_text(0.0) else f"trim {shown} by the {end}"
