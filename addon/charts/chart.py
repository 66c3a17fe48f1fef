"""The content of a chart in SI units: axes, lines, shaded areas, marks and labels.

A chart is laid out by `layout` for every renderer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Literal, TypeGuard

import numpy as np

from ..core.arrays import Floats
from ..core.messages.findings import BadInputError
from ..units.scales import Scale

Tone = Literal["ink", "quiet", "lever", "warning", "looked"] | int
"""What a part of a chart is; a number is that of a curve, the first 0."""
Dash = Literal["solid", "dashed", "dotted", "own"]
Shows = Literal["heels", "time", "place", "still"]
"""What the mouse changes across a chart in the viewport: the heel at which the vessel is held, the
time of a flooding, the place along the hull; nothing on a still one."""

FIRST, MUST, MAY, LAST = 0, 3, 8, 100
"""Ranks of notes: those from `MUST` on are written only where they hide little, from `MAY` on where
they hide nothing; `LAST` is added to the rank for what matters least."""


@dataclass(frozen=True)
class Axis:
    """A quantity between two limits, with its name and those of its ends."""

    name: str
    scale: Scale
    span: tuple[float, float]
    ends: tuple[str, str] = ("", "")

    @property
    def title(self) -> str:
        """The quantity with its unit."""
        return f"{self.name} ({self.scale.symbol})" if self.scale.symbol else self.name


@dataclass(frozen=True)
class Line:
    """A line through points (n, 2). Its `name` is in the legend or at its end; `right` is for
    one on the right axis. A line with its `own` dashes has the pattern of its number."""

    points: Floats
    tone: Tone
    dash: Dash = "solid"
    width: float = 2.0
    faint: bool = False
    right: bool = False
    name: str = ""


@dataclass(frozen=True)
class Ground:
    """The ground between a line through points (n, 2) and zero."""

    points: Floats
    tone: Tone | Literal["area"] = "area"


@dataclass(frozen=True)
class Mark:
    """A dot, a tick across the curve, or a pointer from below or above, at a place."""

    x: float
    y: float
    tone: Tone
    shape: Literal["dot", "large dot", "tick", "pointer up", "pointer down"] = "dot"


@dataclass(frozen=True)
class Note:
    """A label of a place, and a shorter one for little space."""

    x: float
    y: float
    text: str
    rank: int
    tone: Tone
    brief: str = ""


Part = Line | Ground | Mark | Note


@dataclass(frozen=True)
class Chart:
    """The content of a chart. The title has the most important part first, `kind` is its
    subject; `parts` are in the order of painting."""

    title: tuple[str, ...]
    kind: str
    x: Axis
    y: Axis
    parts: tuple[Part, ...]
    right: Axis | None = None
    names: Literal["legend", "ends"] = "legend"
    shows: Shows = "still"
    footnote: str = ""

    @property
    def empty(self) -> bool:
        """Whether there is not one point of a line to be drawn."""
        return not any(len(part.points) for part in self.parts if isinstance(part, Line))


def known(value: float | None) -> TypeGuard[float]:
    """Whether a figure is there and finite."""
    return value is not None and isfinite(value)


def pieces(name: str, x: Sequence[float | None], y: Sequence[float | None]) -> list[Floats]:
    """The runs of known points (n, 2) of a line.

    Raises BadInputError when x and y differ in length.
    """
    if len(x) != len(y):
        raise BadInputError(
            f"'{name}' has {len(y)} figures for {len(x)} places; "
            "a curve needs as many of the one as of the other"
        )
    runs: list[list[tuple[float, float]]] = [[]]
    for across, up in zip(x, y, strict=True):
        if known(across) and known(up):
            runs[-1].append((float(across), float(up)))
        else:
            runs.append([])
    return [np.array(run) for run in runs if run]


def spanning(
    values: Sequence[float] | Floats, over: float = 0.0, under: float = 0.0, from_zero: bool = True
) -> tuple[float, float]:
    """From the lowest to the highest value, with shares of that added over and under.

    From zero where that is near and wanted; apart even when all are the same but for rounding.
    """
    found = np.asarray(values, np.float64)
    low, high = (float(found.min()), float(found.max())) if len(found) else (0.0, 1.0)
    size = max(abs(low), abs(high))
    if high - low <= 1e-9 * max(size, 1.0):
        pad = 0.05 * round(size, 9) or 0.5
        low, high = low - pad, high + pad
    reach = high - low
    base = 0.0 if from_zero and 0.0 <= low < high / 2 else low - under * reach
    return base, high + over * reach
