"""How large and in which colors marks and texts are drawn."""

from __future__ import annotations

from dataclasses import dataclass

from .palette import Palette

TEXT = 12.0  # font size in pixels at a scale of 1


@dataclass(frozen=True)
class Style:
    """How large and in which colors; draft marks are spaced in decimal parts of `unit` (m) and
    numbered in multiples of `counted` (m)."""

    palette: Palette
    scale: float = 1.0
    mark_scale: float = 1.0
    unit: float = 1.0
    counted: float = 1.0
