"""Custom criteria: a measure of stability and its limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject

Measure = Literal[
    "GM",
    "GZ",
    "maximum GZ",
    "angle of maximum GZ",
    "area",
    "range",
    "angle of vanishing stability",
    "downflooding angle",
    "deck-edge immersion angle",
    "freeboard",
    "heel under moment",
]
MEASURES: tuple[str, ...] = get_args(Measure)
"""All measures."""
ANGLES: tuple[str, ...] = (
    "angle of maximum GZ",
    "range",
    "angle of vanishing stability",
    "downflooding angle",
    "deck-edge immersion angle",
    "heel under moment",
)
"""The measures that are angles."""


@dataclass(frozen=True)
class CustomCriterion:
    """A limit on a measure, in its SI unit (m, m rad, rad).

    `start` and `end` are heels (rad): GZ is taken at `start`, an area between the two and up to
    downflooding; the maximum GZ at `start` or beyond. `moment` is a heeling moment (kg m), falling
    with the cosine of the heel.
    """

    name: str
    measure: Measure
    least: float | None = None
    most: float | None = None
    start: float | None = None
    end: float | None = None
    moment: float | None = None

    def __post_init__(self) -> None:
        if self.least is None and self.most is None:
            raise BadInputError(
                Sentence(
                    "criterion '{name}': it sets no limit; give the least or the most allowed",
                    name=Subject("criterion", self.name),
                )
            )
        if self.measure == "area" and not (
            self.start is not None and self.end is not None and self.start < self.end
        ):
            raise BadInputError(
                Sentence(
                    "criterion '{name}': an area needs the heels from and to which it is taken, "
                    "such as 0 and 30 degrees",
                    name=Subject("criterion", self.name),
                )
            )
        if self.measure == "GZ" and self.start is None:
            raise BadInputError(
                Sentence(
                    "criterion '{name}': GZ needs the heel at which it is taken, "
                    "such as 30 degrees",
                    name=Subject("criterion", self.name),
                )
            )
        if self.measure == "heel under moment" and not (
            self.moment is not None and np.isfinite(self.moment) and self.moment > 0
        ):
            raise BadInputError(
                Sentence(
                    "criterion '{name}': a heel under a moment needs the moment, "
                    "in kg m, above zero",
                    name=Subject("criterion", self.name),
                )
            )
