"""Corrective actions for an insufficient GM (fluid), upright."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..hydrostatics.floating_position import FloatingPosition
from ..hydrostatics.upright import upright_GM
from ..messages.sentence import Sentence, meters
from .action import CorrectiveAction
from .action_wording import GM_text
from .ballast import add_ballast
from .weight_moves import move_weight


def correct_GM(ship: FloatingPosition, GM: float) -> Iterator[CorrectiveAction]:
    """Which weight to lower, and which ballast to add, for an upright GM (m); how much lower G must
    be where neither suffices. None where GM suffices."""
    present = upright_GM(ship.case)
    lacking = GM - present
    if lacking <= 0:
        return
    tried = (move_weight(ship, "GM", 2, -lacking, GM_text(GM)), add_ballast(ship, GM))
    words = Sentence(
        "G must be {far} lower for a GM of {GM}", far=meters(lacking), GM=meters(GM, ".2f")
    )
    for action in [action for action in tried if action] or [
        CorrectiveAction("lower_gravity", "GM", words)
    ]:
        caution = "{action}; do not move weight across before GM is positive"
        yield action if present > 0 else replace(action, text=Sentence(caution, action=action.text))
