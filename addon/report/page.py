"""The page of a report: plain text, at most 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from textwrap import fill
from typing import Any

from ..units.digits import column, report_places

WIDTH = 80

SIDES = {
    "heel_deg": ("to starboard", "to port"),
    "trim_deg": ("by the stern", "by the bow"),
    "trim_m": ("by the stern", "by the bow"),
}
"""The side of a figure above and below zero, in place of its sign."""

SIGNS = "Signs: heel and list + to starboard; trim + by the stern; y + to port."
"""The legend of signs, at the foot of each report with trim, heel, list or y."""


def cells(values: Sequence[float | None], unit: str, places: int, width: int) -> str:
    """Figures as one line of columns, each `width` characters wide."""
    return "".join(f"{cell:>{width}}" for cell in column(values, unit, places))


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


def finding_lines(result: Mapping[str, Any]) -> Iterator[str]:
    """Warnings and notes, marked."""
    for mark, texts in (("!", result["warnings"]), ("-", result["notes"])):
        for text in texts:
            yield fill(text, WIDTH, initial_indent=f"  {mark} ", subsequent_indent="    ")


def action_lines(result: Mapping[str, Any]) -> Iterator[str]:
    """Corrective actions, marked."""
    if result["corrective_actions"]:
        yield from ("", "Corrective actions")
    for text in result["corrective_actions"]:
        yield fill(text, WIDTH, initial_indent="  > ", subsequent_indent="    ")


def shortened(text: str, width: int) -> str:
    """The text on one line of at most `width` characters."""
    line = " ".join(text.split())
    return line if len(line) <= width else f"{line[: width - 3]}..."


def foot(result: Mapping[str, Any], signs: bool = True) -> list[str]:
    """The legend of signs if wanted, the criteria checked, and what the report is for."""
    text = fill(f"{result['criteria_note']} {result['disclaimer']}", WIDTH)
    return [SIGNS, "", text] if signs else [text]


def page(lines: Sequence[str]) -> str:
    """The report of its lines."""
    return "\n".join(line.rstrip() for line in lines) + "\n"
