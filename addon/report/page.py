"""The page of a report: plain text, at most 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import floor, log10
from textwrap import fill
from typing import Any

from ..units.lengths import report_places

WIDTH = 80

SIDES = {
    "heel_deg": ("to starboard", "to port"),
    "trim_deg": ("by the stern", "by the bow"),
    "trim_m": ("by the stern", "by the bow"),
}
"""Words for a figure above and below zero, in place of its sign."""


def figures(values: Sequence[float | None], unit: str, places: int) -> list[str]:
    """A column of figures, alike in the digits after the point; '-' for none.

    Lengths have `places` of them, other figures as many as give the greatest five digits.
    """
    known = [abs(value) / (1000.0 if unit == "t" else 1.0) for value in values if value is not None]
    size = floor(log10(max(known))) if any(known) else 0
    digits = {"m": places, "": 3, "deg": 2}.get(unit, max(0, 4 - size))
    cells = []
    for value in values:
        if value is None:
            cells.append("-")
            continue
        value /= 1000.0 if unit == "t" else 1.0
        cells.append(f"{round(value, digits) + 0.0:.{digits}f}" if digits < 9 else f"{value:.4e}")
    return cells


def cells(values: Sequence[float | None], unit: str, places: int, width: int) -> str:
    """The same as one line of columns so wide."""
    return "".join(f"{cell:>{width}}" for cell in figures(values, unit, places))


def sided(result: Mapping[str, Any], key: str, unit: str, places: int) -> str:
    """A figure with its unit, and its side where it has one: '4.20 deg to port'."""
    value = result[key]
    if key not in SIDES:
        return f"{cells([value], unit, places, 14)} {unit}"
    size = cells([abs(value)], unit, places, 14)
    side = f" {SIDES[key][value < 0]}" if float(size) else ""
    return f"{size} {unit}{side}"


def decimals(result: Mapping[str, Any]) -> int:
    """Digits after the point of a length."""
    return report_places(result["length_overall_m"])


def head(result: Mapping[str, Any]) -> list[str]:
    """The title of a report."""
    title = shortened(result["title"], WIDTH)
    density = result["water_density_kg_m3"]
    return [title, "=" * len(title), f"In water of {density:g} kg/m3.", ""]


def said(result: Mapping[str, Any]) -> Iterator[str]:
    """Warnings and notes, marked."""
    for mark, texts in (("!", result["warnings"]), ("-", result["notes"])):
        for text in texts:
            yield fill(text, WIDTH, initial_indent=f"  {mark} ", subsequent_indent="    ")


def advised(result: Mapping[str, Any]) -> Iterator[str]:
    """What would put right what is wrong."""
    if result["advice"]:
        yield from ("", "What would put it right")
    for text in result["advice"]:
        yield fill(text, WIDTH, initial_indent="  > ", subsequent_indent="    ")


def shortened(text: str, width: int) -> str:
    """The text on one line of at most `width` characters."""
    line = " ".join(text.split())
    return line if len(line) <= width else f"{line[: width - 3]}..."


def foot(result: Mapping[str, Any]) -> list[str]:
    """Which criteria were checked, and what the report is for."""
    return [fill(f"{result['criteria_note']} {result['disclaimer']}", WIDTH)]


def page(lines: Sequence[str]) -> str:
    """The report of its lines."""
    return "\n".join(line.rstrip() for line in lines) + "\n"
