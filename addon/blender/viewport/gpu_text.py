"""Texts and pictures drawn on a region."""

from __future__ import annotations

from collections.abc import Callable

import blf

from ...drawing.picture import CAPITAL, Label, Picture, TextSize
from ...drawing.tessellation import RGBA
from .gpu_batches import clean_state, paint

FONT = 0
OUTLINE = 6  # blf's shadow level for an outline


def show(lay: Callable[[TextSize], Picture], halo: RGBA) -> None:
    """Draw a picture on the region, laid out by the sizes of its texts."""
    laid = lay(text_size)
    with clean_state():
        paint(laid.primitives)
    for label in laid.labels:
        draw_label(label, halo)


def text_size(text: str, size: float) -> tuple[float, float]:
    """Width and height of capitals (pixels) of a text at a font size."""
    blf.size(FONT, size)
    return blf.dimensions(FONT, text)[0], CAPITAL * size


def draw_label(label: Label, halo: RGBA) -> None:
    """Draw a text with an outline."""
    blf.size(FONT, label.size)
    blf.position(FONT, float(round(label.at[0])), float(round(label.at[1])), 0.0)
    blf.color(FONT, *label.color)
    blf.enable(FONT, blf.SHADOW)
    blf.shadow(FONT, OUTLINE, *halo[:3], halo[3] * label.color[3])
    blf.shadow_offset(FONT, 0, 0)
    blf.draw(FONT, label.text)
    blf.disable(FONT, blf.SHADOW)
