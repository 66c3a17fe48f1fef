"""46 CFR 170.173: GZ curve of vessels of unusual proportion and form.

Paragraph (b) applies to all; where the maximum GZ is at 30 degrees or less, (c) may replace it,
unless downflooding is at 30 degrees or less too, which leaves no area from 30 to 40 degrees.
Areas are in meter-degrees as the text prints them. The equation of (c)(5), 3.15 + 0.057 (30 - Y)
meter-degrees with Y the angle of the maximum GZ, is from memory.
"""

from __future__ import annotations

from math import degrees, radians

from ..messages.sentence import Sentence, metres
from .clause import ROUNDING, Clause
from .criteria_inputs import Particulars
from .gz_clauses import GM_at_least, area_at_least, arm_at_least, peak_at_least
from .measures import greatest_heel
from .scope import IN_SCOPE, code_length, in_scope
from .verdict import Verdict

TITLE = "46 CFR 170.173"

LENGTH = 100.0
THIRTY, FORTY = radians(30), radians(40)
AREA_30, AREA_40, AREA_30_40 = radians(3.15), radians(5.15), radians(1.72)  # degree-meters in m rad
PER_DEGREE = 0.057  # degree-meters per degree

TO_30 = "Area under GZ to 30 degrees"
TO_40 = "Area under GZ to 40 degrees or flooding"
FROM_30_TO_40 = "Area under GZ from 30 to 40 degrees or flooding"
TO_PEAK = "Area under GZ to its greatest"
PEAK = "Angle of the greatest GZ"
METACENTRE = "Initial GM"


def check(ship: Particulars, yardstick: bool) -> tuple[Verdict, ...]:
    """Paragraph (b), or (c) where it may replace (b) and (b) fails, for mechanically powered
    vessels of less than 100 m other than tugs."""
    verdicts = common(ship)
    failing = any(verdict.outcome == "fails" for verdict in verdicts)
    peak = greatest_heel(ship)
    if failing and peak <= THIRTY + ROUNDING and ship.flooding > THIRTY:
        why = Sentence("paragraph (c) in place of (b), the greatest GZ lying at 30 degrees or less")
        verdicts = tuple(each.noted(why) for each in early_peak(ship, peak))
    return in_scope(verdicts, _outside(ship), yardstick)


def common(ship: Particulars) -> tuple[Verdict, ...]:
    """Paragraph (b)."""
    return (
        GM_at_least(_clause("(b)(1)", METACENTRE, "m"), ship, 0.15),
        arm_at_least(_clause("(b)(2)", "GZ at 30 degrees or beyond", "m"), ship, THIRTY, 0.2),
        peak_at_least(_clause("(b)(3)", PEAK, "deg"), ship, 25.0),
        area_at_least(_clause("(b)(4)", TO_30, "m rad"), ship, 0.0, THIRTY, AREA_30),
        area_at_least(_clause("(b)(5)", TO_40, "m rad"), ship, 0.0, FORTY, AREA_40),
        area_at_least(_clause("(b)(6)", FROM_30_TO_40, "m rad"), ship, THIRTY, FORTY, AREA_30_40),
    )


def early_peak(ship: Particulars, peak: float) -> tuple[Verdict, ...]:
    """Paragraph (c), for a maximum GZ at a heel (rad) of 30 degrees or less."""
    to_peak = _clause("(c)(5)", TO_PEAK, "m rad")
    least = AREA_30 + radians(PER_DEGREE * (30 - degrees(peak)))
    return (
        GM_at_least(_clause("(c)(1)", METACENTRE, "m"), ship, 0.15),
        peak_at_least(_clause("(c)(2)", PEAK, "deg"), ship, 15.0),
        area_at_least(_clause("(c)(3)", TO_40, "m rad"), ship, 0.0, FORTY, AREA_40),
        area_at_least(_clause("(c)(4)", FROM_30_TO_40, "m rad"), ship, THIRTY, FORTY, AREA_30_40),
        area_at_least(to_peak, ship, 0.0, peak, least),
    )


def _clause(paragraph: str, what: str, unit: str) -> Clause:
    return Clause(f"46-cfr-170.173{paragraph}", TITLE, f"170.173{paragraph}", what, unit)


def _outside(ship: Particulars) -> Sentence:
    length, which = code_length(ship)
    service = ship.service
    if service.kind == "tug":
        return Sentence("she is a tug, and tugs have rules of their own")
    if service.kind == "sailing" or service.propulsion in ("sail", "manual"):
        return Sentence("it speaks of mechanically powered vessels")
    if length >= LENGTH:
        return Sentence(
            "her {which} is {length}, and it speaks of vessels of less than {limit}",
            which=which,
            length=metres(length, ".2f"),
            limit=metres(LENGTH, "g"),
        )
    return IN_SCOPE
