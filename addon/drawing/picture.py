"""A picture in a plane of pixels: inks and the labels over them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ..core.arrays import Floats
from .tessellation import RGBA, Primitive

TextSize = Callable[[str, float], tuple[float, float]]
"""Width of a text and height of its capitals at a font size, in pixels."""

CAPITAL = 0.72
"""Height of a capital, in font sizes."""


@dataclass(frozen=True)
class Label:
    """A text with its lower left corner `at` (2,) and its font size in pixels; one `over` lines has
    a halo on paper."""

    text: str
    at: Floats
    size: float
    color: RGBA
    over: bool = False


@dataclass(frozen=True)
class Picture:
    """Inks in the order of painting, and labels over them."""

    primitives: tuple[Primitive, ...]
    labels: tuple[Label, ...]


def together(*pictures: Picture) -> Picture:
    """Pictures one over the other, with all labels on top."""
    return Picture(
        tuple(primitive for shown in pictures for primitive in shown.primitives),
        tuple(label for shown in pictures for label in shown.labels),
    )
