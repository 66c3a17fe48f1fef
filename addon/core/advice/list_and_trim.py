"""Corrective actions for list and trim: G over the upright B on an even keel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..arrays import Floats
from ..hydrostatics.floating_findings import MIN_GM
from ..hydrostatics.floating_position import FloatingPosition
from ..hydrostatics.upright import upright_GM, upright_hydrostatics
from ..messages.sentence import UNIT_OF_LENGTH, Sentence
from .action import CorrectiveAction, Target
from .action_wording import direction_text, mass_quantity
from .liquid_transfer import pump_liquid
from .weight_moves import move_weight

NEGLIGIBLE_SHARE = 1e-3
"""Share of breadth or length that G may be off B."""

REMOVES_LIST, EVEN_KEEL = (
    Sentence("takes the list off"),
    Sentence("brings the vessel to an even keel"),
)


def correct_list(ship: FloatingPosition, least_GM: float = MIN_GM) -> Iterator[CorrectiveAction]:
    """Moves or pumping across that bring the vessel upright; none where G is on the centerline, or
    while upright GM is not above zero: it would loll to the other side."""
    aside = _G_from_B(ship)[1]
    if abs(aside) > NEGLIGIBLE_SHARE * ship.case.hull.breadth and upright_GM(ship.case) > 0:
        yield from _shift_G(ship, "list", 1, -aside, REMOVES_LIST, least_GM)


def correct_trim(ship: FloatingPosition, least_GM: float = MIN_GM) -> Iterator[CorrectiveAction]:
    """Moves or pumping along that bring the vessel to an even keel; none where G is over B."""
    ahead = _G_from_B(ship)[0]
    if abs(ahead) > NEGLIGIBLE_SHARE * ship.case.hull.length_pp:
        yield from _shift_G(ship, "trim", 0, -ahead, EVEN_KEEL, least_GM)


def _G_from_B(ship: FloatingPosition) -> Floats:
    """Offset of G forward and to port of the upright B on an even keel (3,), m."""
    off: Floats = ship.case.load.solid.center - upright_hydrostatics(ship.case).immersion.buoyancy
    return off


def _shift_G(
    ship: FloatingPosition,
    against: Target,
    axis: int,
    rise: float,
    effect: Sentence,
    least_GM: float,
) -> Iterator[CorrectiveAction]:
    """Actions that shift G along an axis by `rise` (m); the moment needed where there are none."""
    found = [
        move_weight(ship, against, axis, rise, effect),
        pump_liquid(ship, against, axis, rise, effect, least_GM),
    ]
    yield from (action for action in found if action)
    if not any(found):
        moment = abs(rise) * ship.weight.mass
        words = Sentence(
            "{mass} moved by {far} {direction}, or as much otherwise, {effect}",
            mass=replace(mass_quantity(moment), kind="moment"),
            far=UNIT_OF_LENGTH,
            direction=direction_text(axis, rise),
            effect=effect,
        )
        yield CorrectiveAction("shift_moment", against, words)
