"""2008 IS Code (resolution MSC.267(85)), part A, 2.2: the GZ curve of any ship.

The text is from memory; 46 CFR 28.570 has the same areas and GZ. It does not treat downflooding
before 30 degrees: here the areas end there, and the one from 30 degrees on fails.
"""

from __future__ import annotations

from math import radians

from .clause import Clause
from .criteria_inputs import CriteriaInputs
from .gz_clauses import GM_at_least, GZ_at_least, area_at_least, max_GZ_angle_at_least
from .scope import in_scope, too_short
from .verdict import Verdict

TITLE = "2008 IS Code, part A, 2.2"

AREA_30 = Clause("is-code-2.2.area_0_30", TITLE, "2.2.1", "Area under GZ to 30 degrees", "m rad")
AREA_40 = Clause(
    "is-code-2.2.area_0_40", TITLE, "2.2.1", "Area under GZ to 40 degrees or downflooding", "m rad"
)
AREA_30_40 = Clause(
    "is-code-2.2.area_30_40",
    TITLE,
    "2.2.1",
    "Area under GZ from 30 to 40 degrees or downflooding",
    "m rad",
)
GZ_BEYOND_30 = Clause("is-code-2.2.GZ_30", TITLE, "2.2.2", "GZ at 30 degrees or beyond", "m")
MAX_GZ_ANGLE = Clause(
    "is-code-2.2.angle_of_maximum_GZ", TITLE, "2.2.3", "Angle of the maximum GZ", "deg"
)
INITIAL_GM = Clause("is-code-2.2.GM", TITLE, "2.2.4", "Initial GM", "m")


def check(ship: CriteriaInputs, yardstick: bool) -> tuple[Verdict, ...]:
    """The six limits on areas, GZ, angle and GM, for ships of 24 m and more."""
    thirty, forty = radians(30), radians(40)
    return in_scope(
        (
            area_at_least(AREA_30, ship, 0.0, thirty, 0.055),
            area_at_least(AREA_40, ship, 0.0, forty, 0.09),
            area_at_least(AREA_30_40, ship, thirty, forty, 0.03),
            GZ_at_least(GZ_BEYOND_30, ship, thirty, 0.2),
            max_GZ_angle_at_least(MAX_GZ_ANGLE, ship, 25.0),
            GM_at_least(INITIAL_GM, ship, 0.15),
        ),
        too_short(ship),
        yardstick,
    )
