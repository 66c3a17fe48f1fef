"""What charts of results as dictionaries have in common."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..core.criteria.disclaimer import CAUTION
from ..units.lengths import Lengths


def named(result: Mapping[str, Any]) -> str:
    """What the vessel is called."""
    return result.get("title") or "The vessel"


def footnote(result: Mapping[str, Any]) -> str:
    """Which criteria were checked, and what the chart is for."""
    return " ".join(filter(None, (result.get("criteria_note"), CAUTION)))


def report_lengths(result: Mapping[str, Any]) -> Lengths:
    """Lengths in meters, as in reports."""
    return Lengths.reported(result.get("length_overall_m"))
