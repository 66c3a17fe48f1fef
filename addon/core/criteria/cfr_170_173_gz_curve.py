"""46 CFR 170.173: GZ curve of vessels of unusual proportion and form.

Paragraph (b) applies to all; where the maximum GZ is at 30 degrees or less, (c) may replace it,
unless downflooding is at 30 degrees or less too, which leaves no area from 30 to 40 degrees.
Areas are in meter-degrees as the text prints them. The equation of (c)(5), 3.15 + 0.057 (30 - Y)
meter-degrees with Y the angle of the maximum GZ, is from memory.
"""

from __future__ import annotations

from math import degrees, radians

from ..messages.sentence import Sentence, meters
from .clause import ROUNDING_SHARE, Clause
from .criteria_inputs import CriteriaInputs
from .gz_clauses import GM_at_least, GZ_at_least, area_at_least, max_GZ_angle_at_least
from .measures import max_gz_heel
from .scope import IN_SCOPE, code_length, in_scope
from .verdict import Verdict

TITLE = "46 CFR 170.173"

MAX_LENGTH = 100.0
"""Length (m) below which the section applies."""
THIRTY, FORTY = radians(30), radians(40)
AREA_30, AREA_40, AREA_30_40 = radians(3.15), radians(5.15), radians(1.72)  # degree-meters in m rad
AREA_PER_DEGREE = 0.057
"""Area (m deg) added for each degree that the maximum lies before 30, 170.173(c)(5)."""

AREA_TO_30 = "Area under GZ to 30 degrees"
AREA_TO_40 = "Area under GZ to 40 degrees or downflooding"
AREA_FROM_30_TO_40 = "Area under GZ from 30 to 40 degrees or downflooding"
AREA_TO_MAX_GZ = "Area under GZ to the maximum"
MAX_GZ_ANGLE = "Angle of the maximum GZ"
INITIAL_GM = "Initial GM"


def check(ship: CriteriaInputs, yardstick: bool) -> tuple[Verdict, ...]:
    """Paragraph (b), or (c) where it may replace (b) and (b) fails, for mechanically powered
    vessels of less than 100 m other than tugs."""
    verdicts = common(ship)
    failing = any(verdict.outcome == "fails" for verdict in verdicts)
    peak = max_gz_heel(ship)
    if failing and peak <= THIRTY + ROUNDING_SHARE and ship.downflooding_angle > THIRTY:
        why = Sentence("paragraph (c) in place of (b), the maximum GZ lying at 30 degrees or less")
        verdicts = tuple(each.noted(why) for each in early_maximum(ship, peak))
    return in_scope(verdicts, _outside(ship), yardstick)


def common(ship: CriteriaInputs) -> tuple[Verdict, ...]:
    """Paragraph (b)."""
    return (
        GM_at_least(_clause("(b)(1)", INITIAL_GM, "m"), ship, 0.15),
        GZ_at_least(_clause("(b)(2)", "GZ at 30 degrees or beyond", "m"), ship, THIRTY, 0.2),
        max_GZ_angle_at_least(_clause("(b)(3)", MAX_GZ_ANGLE, "deg"), ship, 25.0),
        area_at_least(_clause("(b)(4)", AREA_TO_30, "m rad"), ship, 0.0, THIRTY, AREA_30),
        area_at_least(_clause("(b)(5)", AREA_TO_40, "m rad"), ship, 0.0, FORTY, AREA_40),
        area_at_least(
            _clause("(b)(6)", AREA_FROM_30_TO_40, "m rad"), ship, THIRTY, FORTY, AREA_30_40
        ),
    )


def early_maximum(ship: CriteriaInputs, peak: float) -> tuple[Verdict, ...]:
    """Paragraph (c), for a maximum GZ at a heel (rad) of 30 degrees or less."""
    to_peak = _clause("(c)(5)", AREA_TO_MAX_GZ, "m rad")
    least = AREA_30 + radians(AREA_PER_DEGREE * (30 - degrees(peak)))
    return (
        GM_at_least(_clause("(c)(1)", INITIAL_GM, "m"), ship, 0.15),
        max_GZ_angle_at_least(_clause("(c)(2)", MAX_GZ_ANGLE, "deg"), ship, 15.0),
        area_at_least(_clause("(c)(3)", AREA_TO_40, "m rad"), ship, 0.0, FORTY, AREA_40),
        area_at_least(
            _clause("(c)(4)", AREA_FROM_30_TO_40, "m rad"), ship, THIRTY, FORTY, AREA_30_40
        ),
        area_at_least(to_peak, ship, 0.0, peak, least),
    )


def _clause(paragraph: str, what: str, unit: str) -> Clause:
    return Clause(f"46-cfr-170.173{paragraph}", TITLE, f"170.173{paragraph}", what, unit)


def _outside(ship: CriteriaInputs) -> Sentence:
    length, which = code_length(ship)
    service = ship.service
    if service.kind == "tug":
        return Sentence("the vessel is a tug, and tugs have rules of their own")
    if service.kind == "sailing" or service.propulsion in ("sail", "manual"):
        return Sentence("it applies to mechanically powered vessels")
    if length >= MAX_LENGTH:
        return Sentence(
            "the {which} is {length}, and it applies to vessels of less than {limit}",
            which=which,
            length=meters(length, ".2f"),
            limit=meters(MAX_LENGTH, "g"),
        )
    return IN_SCOPE
