"""Corrective actions: the smallest change of weights or tanks that corrects a vessel.

Exact: after the change, G lies over the upright B on an even keel, and the upright GM (fluid) or
the least freeboard in equilibrium is the value stated.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..hydrostatics.floating_findings import MIN_GM
from ..hydrostatics.floating_position import FloatingPosition
from ..hydrostatics.upright import upright_GM
from .action import CorrectiveAction, Target
from .freeboard import correct_freeboard
from .list_and_trim import correct_list, correct_trim
from .metacentric_height import correct_GM

SUBJECT_BY_FINDING: dict[str, Target] = {
    "list": "list",
    "trim": "trim",
    "loll": "GM",
    "tender": "GM",
    "swamped": "freeboard",
    "deck-under": "freeboard",
}
"""What is corrected, by the code of the finding."""


def find_corrective_actions(
    ship: FloatingPosition, least_GM: float = MIN_GM
) -> Iterator[CorrectiveAction]:
    """Corrective actions for list, trim, insufficient GM (m) and an edge under water, as needed.

    While upright GM is not above zero it alone is corrected, and list or trim before freeboard.
    None with compartments open to the sea: floodwater is the cause there, not the loading.
    """
    if ship.hydrostatics is None or ship.equilibrium is None or ship.case.flooded:
        return
    codes = {finding.code for finding in ship.findings}
    capsized = ship.equilibrium.attitude.up[2] <= 0
    GM = upright_GM(ship.case)
    if not capsized and GM <= 0:
        yield from correct_GM(ship, least_GM)
        return
    level = [*correct_list(ship, least_GM)] if "list" in codes else []
    level += correct_trim(ship, least_GM) if "trim" in codes else []
    yield from level
    if not capsized and min(ship.GM_fluid, GM) < least_GM:
        yield from correct_GM(ship, least_GM)
    if not (capsized or level):
        yield from correct_freeboard(ship)
