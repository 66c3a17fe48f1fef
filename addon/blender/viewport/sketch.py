"""A picture in the making: strokes, areas and labels, and what is taken of the plane."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...core.arrays import Floats
from ...drawing.picture import Label, Picture, TextSize
from ...drawing.pixel_boxes import Box
from ...drawing.tessellation import RGBA, Area, Stroke, faint
from .style import Style
from .view import View


class Sketch:
    """A picture in the making. It knows which boxes of the plane are taken."""

    def __init__(
        self, view: View, style: Style, text_size: TextSize, covers: Sequence[Box]
    ) -> None:
        self.view, self.style, self.text_size = view, style, text_size
        self.palette, self.scale = style.palette, style.scale
        self.lines: list[Stroke] = []
        self.plates: list[Floats] = []
        self.glyphs: list[Area] = []
        self.labels: list[Label] = []
        self.covers, self.taken = covers, [*covers]

    def picture(self) -> Picture:
        """What has been drawn so far."""
        plates = areas(self.plates, self.palette.plate)
        return Picture((*self.lines, *plates, *self.glyphs), tuple(self.labels))

    def under(self, at: Floats) -> bool:
        """Whether a pixel lies under what covers the picture."""
        return any(box.holds(at) for box in self.covers)

    def box(self, text: str, size: float, at: Floats, direction: Floats) -> Box:
        """The box of a text that lies from `at` in the direction `direction`."""
        return Box.beside(self.text_size(text, size), at, direction)

    def free(self, box: Box) -> bool:
        """Whether nothing takes any of a box."""
        return not any(box.meets(taken) for taken in self.taken)

    def write(self, text: str, size: float, box: Box, color: RGBA, plate: bool = False) -> None:
        """Write a text in its box, on a plate where wanted."""
        if plate:
            self.plates.append(box.rounded(size / 4))
        self.labels.append(Label(text, np.array([box.left, box.bottom]), size, color))
        self.taken.append(box.grown(size / 4) if plate else box)

    def line(self, segments: Floats, width: float, color: RGBA) -> None:
        """Segments over a halo."""
        shown = segments[np.isfinite(segments).all(axis=(1, 2))]
        width *= self.scale
        self.lines.append(Stroke(shown, width + 2.2 * self.scale, faint(self.palette.halo)))
        self.lines.append(Stroke(shown, width, color))


def areas(outlines: Sequence[Floats], color: RGBA) -> tuple[Area, ...]:
    """Outlines (k, 2) filled with a color."""
    return (Area(np.stack(outlines), color),) if outlines else ()
