"""Texts as outlines, from the font that Blender carries."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import cast

import bpy
import numpy as np

from ...core.arrays import Floats
from ...drawing.picture import CAPITAL

FONT = "Inter.woff2"
ROUNDNESS = 4


class TextOutlines:
    """Sets texts in Blender's own font; leaves nothing in the file when it is closed."""

    def __enter__(self) -> TextOutlines:
        self.fonts_before = set(bpy.data.fonts)
        folder = bpy.utils.system_resource("DATAFILES", path="fonts")  # type: ignore[attr-defined]
        path = Path(folder, FONT)
        self.curve = cast(bpy.types.TextCurve, bpy.data.curves.new("letters", "FONT"))
        if path.exists():
            self.curve.font = bpy.data.fonts.load(str(path), check_existing=True)
        self.curve.fill_mode = "NONE"  # type: ignore[assignment]
        self.curve.resolution_u = ROUNDNESS
        self.object = bpy.data.objects.new("letters", self.curve)
        self.texts: dict[str, Floats] = {}
        self.scale = CAPITAL / float(self._edges("H")[..., 1].max())
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        bpy.data.objects.remove(self.object)
        bpy.data.curves.remove(self.curve)
        for font in set(bpy.data.fonts) - self.fonts_before:
            bpy.data.fonts.remove(font)

    def size(self, text: str, size: float) -> tuple[float, float]:
        """Width of a text and height of its capitals at a font size."""
        outline = self.outline(text)
        return size * float(outline[..., 0].max() if len(outline) else 0.0), size * CAPITAL

    def outline(self, text: str) -> Floats:
        """Edges (n, 2, 2) round the letters of a text, in font sizes, from the left end of its base
        line. Counters of a letter run opposite to its outside."""
        if text not in self.texts:
            self.texts[text] = self._edges(text) * self.scale
        return self.texts[text]

    def _edges(self, text: str) -> Floats:
        self.curve.body = text
        mesh = self.object.to_mesh()
        if mesh is None:  # nothing but spaces
            return np.zeros((0, 2, 2))
        try:
            points = np.zeros(3 * len(mesh.vertices), np.float32)
            mesh.vertices.foreach_get("co", points)
            ends = np.zeros(2 * len(mesh.edges), np.int32)
            mesh.edges.foreach_get("vertices", ends)
        finally:
            self.object.to_mesh_clear()
        return points.reshape(-1, 3)[ends, :2].reshape(-1, 2, 2).astype(np.float64)
