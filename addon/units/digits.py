"""Digits: how many of a figure are shown."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10

LABEL, PANEL, TABLE = 3, 4, 5
"""Figures of an amount on a mark or a chart, in a panel or a sentence, and in a table."""
MOST_PLACES = 9  # after the point in a table; a smaller figure has an exponent
NONE = "-"


def significant(value: float, digits: int, places: int = 99) -> str:
    """A value to so many figures, all of them before the point kept, and no more `places` after
    it."""
    after = max(0, digits - 1 - floor(log10(abs(value)) + 1e-12)) if value else 0
    return f"{value:.{min(after, places)}f}"


def trimmed(figure: str) -> str:
    """A figure without zeros at its end after the point."""
    return figure.rstrip("0").rstrip(".") if "." in figure else figure


def report_places(length_overall_m: float | None) -> int:
    """Digits after the point of a length (m) in reports: three, more for a vessel shorter than a
    meter."""
    return max(3, 3 - floor(log10(length_overall_m))) if length_overall_m else 3


def column(values: Sequence[float | None], unit: str, places: int) -> list[str]:
    """A column of figures with equal digits after the point; '-' for none.

    Lengths have `places` of them, other figures as many as give the largest `TABLE` digits.
    Masses in tonnes are given in kilograms.
    """
    divisor = 1000.0 if unit == "t" else 1.0
    known = [abs(value) / divisor for value in values if value is not None]
    size = floor(log10(max(known))) if any(known) else 0
    digits = {"m": places, "": 3, "deg": 2}.get(unit, max(0, TABLE - 1 - size))
    return [NONE if value is None else _tabled(value / divisor, digits) for value in values]


def _tabled(value: float, digits: int) -> str:
    if digits >= MOST_PLACES:
        return f"{value:.4e}"
    return f"{round(value, digits) + 0.0:.{digits}f}"
