"""Shapes that are drawn of a vessel, in ship axes: which are wanted, and what each of them is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import Attitude
from .dimensions import Dimension

LengthText = Callable[[float], str]

MarkKind = Literal["G", "B", "M", "F", "weight", "fault", "opening", "flooding"]
Tone = Literal["plain", "warning"]
Levels = tuple[tuple[str, float], ...]
"""Compartments that water has got into, by name, and the level of it in each along up (m)."""
Tint = int | Literal["flood", "content"]


@dataclass(frozen=True)
class Show:
    """Which shapes are wanted."""

    water: bool = True
    waterline: bool = True
    center_of_gravity: bool = True
    center_of_buoyancy: bool = True
    metacenter: bool = True
    center_of_flotation: bool = True
    draft_marks: bool = True
    labels: bool = True
    openings: bool = True
    weights: bool = False
    dimensions: bool = False

    def with_weights(self, weights: bool) -> Show:
        """The same, with or without a mark for every weight."""
        return replace(self, weights=weights)

    def without_centers(self) -> Show:
        """The same without G, B, M and F."""
        return replace(
            self,
            center_of_gravity=False,
            center_of_buoyancy=False,
            metacenter=False,
            center_of_flotation=False,
        )


@dataclass(frozen=True)
class WaterPlane:
    """The water: `triangles` (n, 3, 3) of its surface and `border` (4, 2, 3)."""

    triangles: Floats
    border: Floats


@dataclass(frozen=True)
class Mark:
    """A point `at` (3,) of a kind that has a glyph of its own; `letter` may be empty."""

    kind: MarkKind
    at: Floats
    letter: str = ""
    size: float = 1.0


@dataclass(frozen=True)
class Measure:
    """A length from `start` to `end` (3,), with its value as `text` (may be empty)."""

    start: Floats
    end: Floats
    text: str


@dataclass(frozen=True)
class DraftScale:
    """Draft marks at a perpendicular, on the centerline at `x`, from `low` to `high` in z (m).

    `forward` is true at the bow; `draft` is the present one (m) and `text` its label, empty where
    no figures are wanted.
    """

    x: float
    forward: bool
    low: float
    high: float
    draft: float
    text: str

    def at(self, heights: Floats) -> Floats:
        """Points (n, 3) of the draft scale at heights (n,)."""
        heights = np.atleast_1d(heights)
        return np.stack([np.full_like(heights, self.x), 0 * heights, heights], axis=1)

    def rungs(self, spacing: float) -> Floats:
        """Heights (n,) of the whole multiples of `spacing` (m) on the draft scale."""
        first, last = np.ceil(self.low / spacing - 1e-9), np.floor(self.high / spacing + 1e-9)
        return np.arange(first, last + 1) * spacing


@dataclass(frozen=True)
class Caption:
    """A short text that belongs to the point `at` (3,)."""

    at: Floats
    text: str
    tone: Tone = "plain"


@dataclass(frozen=True)
class Tag:
    """A name at the middle `at` (3,) of what has it, in `texts` from the fullest to the shortest,
    written where there is space, and in any case when `chosen`."""

    at: Floats
    texts: tuple[str, ...]
    tone: Tone = "plain"
    chosen: bool = False


@dataclass(frozen=True)
class Path:
    """A flooding path through `points` (k, 3), the first outside, and the `rims` (m, 2, 3) of the
    gaps on it."""

    points: Floats
    rims: Floats


@dataclass(frozen=True)
class Drawing:
    """All shapes of one vessel, in ship axes; `waterline` is (k, 2, 3)."""

    attitude: Attitude
    water: WaterPlane | None = None
    waterline: Floats = field(default_factory=lambda: np.zeros((0, 2, 3)))
    marks: tuple[Mark, ...] = ()
    measures: tuple[Measure, ...] = ()
    draft_scales: tuple[DraftScale, ...] = ()
    words: tuple[Caption, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    tags: tuple[Tag, ...] = ()
    paths: tuple[Path, ...] = ()

    def with_inner(self, inner: Drawing) -> Drawing:
        """The same with the names, marks and flooding paths of the compartments."""
        return replace(self, marks=(*inner.marks, *self.marks), tags=inner.tags, paths=inner.paths)
