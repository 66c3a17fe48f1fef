"""A picture in a plane of pixels: inks and the labels over them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .tessellation import Colour, Ink

Array = NDArray[np.float64]
TextSize = Callable[[str, float], tuple[float, float]]
"""Width of a text and height of its capitals at a font size, in pixels."""

CAPITAL = 0.72
"""Height of a capital, in font sizes."""


@dataclass(frozen=True)
class Label:
    """A text with its lower left corner `at` (2,) and its font size in pixels; one `over` lines has
    a halo on paper."""

    text: str
    at: Array
    size: float
    colour: Colour
    over: bool = False


@dataclass(frozen=True)
class Picture:
    """Inks in the order of painting, and labels over them."""

    inks: tuple[Ink, ...]
    labels: tuple[Label, ...]


def together(*pictures: Picture) -> Picture:
    """Pictures one over the other, with all labels on top."""
    return Picture(
        tuple(ink for shown in pictures for ink in shown.inks),
        tuple(label for shown in pictures for label in shown.labels),
    )
