"""Colors of the drawing, on dark and on light ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from ...charts import colors
from ...charts.colors import ChartColors
from ...drawing.tessellation import RGBA
from .shapes import MarkKind, Tint, Tone

DIM, DIM_TEXT = 0.45, 0.65
LUMINANCE = (0.2126, 0.7152, 0.0722)  # Rec. ITU-R BT.709
MIDDLE_GRAY = 0.40


@dataclass(frozen=True)
class Palette:
    """A color (red, green, blue, alpha; 0 to 1, as on the screen) for each role."""

    water: RGBA
    border: RGBA
    border_behind: RGBA
    waterline: RGBA
    waterline_casing: RGBA
    waterline_behind: RGBA
    ink: RGBA
    quiet: RGBA
    halo: RGBA
    plate: RGBA
    present: RGBA
    warning: RGBA
    rim: RGBA
    edge: RGBA
    chart: ChartColors
    flood: RGBA
    content: RGBA
    compartments: tuple[RGBA, ...]
    partition: RGBA
    marks: Mapping[MarkKind, RGBA]

    def of(self, tone: Tone) -> RGBA:
        """The color of a text."""
        return self.warning if tone == "warning" else self.ink

    def tint(self, tint: Tint) -> RGBA:
        """The color of a compartment, by number, or of what fills one."""
        if tint == "flood":
            return self.flood
        return (
            self.content if tint == "content" else self.compartments[tint % len(self.compartments)]
        )


MARKS: Mapping[MarkKind, RGBA] = {
    "G": (0.96, 0.55, 0.12, 1.0),
    "B": (0.05, 0.60, 0.47, 1.0),
    "M": (0.98, 0.89, 0.33, 1.0),
    "F": (0.66, 0.79, 1.00, 1.0),
    "weight": (0.78, 0.77, 0.74, 1.0),
    "fault": (1.00, 0.36, 0.22, 1.0),
    "opening": (0.84, 0.90, 0.95, 1.0),
    "flooding": (0.88, 0.13, 0.08, 1.0),
}

COMPARTMENTS: tuple[RGBA, ...] = (
    (0.33, 0.34, 0.66, 0.46),
    (0.88, 0.80, 0.44, 0.40),
    (0.38, 0.66, 0.47, 0.42),
    (0.72, 0.42, 0.14, 0.44),
    (0.68, 0.70, 0.93, 0.40),
    (0.58, 0.92, 0.86, 0.36),
)
"""Apart by lightness where hue is not seen, and none of them a warning."""

ON_DARK = Palette(
    water=(0.22, 0.58, 0.78, 0.21),
    border=(0.55, 0.84, 0.96, 0.65),
    border_behind=(0.55, 0.84, 0.96, 0.22),
    waterline=(0.60, 0.95, 1.00, 1.0),
    waterline_casing=(0.02, 0.14, 0.20, 0.55),
    waterline_behind=(0.60, 0.95, 1.00, 0.30),
    ink=(0.94, 0.95, 0.96, 1.0),
    quiet=(0.80, 0.83, 0.86, 0.80),
    halo=(0.05, 0.06, 0.08, 0.80),
    plate=(0.08, 0.09, 0.11, 0.66),
    present=(0.62, 0.93, 1.00, 1.0),
    warning=(1.00, 0.62, 0.35, 1.0),
    rim=(0.97, 0.97, 0.97, 1.0),
    edge=(0.05, 0.06, 0.08, 0.80),
    chart=colors.ON_DARK,
    flood=(0.04, 0.46, 0.70, 0.58),
    content=(0.72, 0.62, 0.36, 0.50),
    compartments=COMPARTMENTS,
    partition=(0.94, 0.96, 0.98, 0.60),
    marks=MARKS,
)

ON_LIGHT = replace(
    ON_DARK,
    water=(0.05, 0.48, 0.74, 0.24),
    border=(0.05, 0.33, 0.50, 0.70),
    border_behind=(0.05, 0.33, 0.50, 0.25),
    waterline=(0.45, 0.90, 1.00, 1.0),
    waterline_casing=(0.02, 0.20, 0.32, 0.75),
    waterline_behind=(0.02, 0.30, 0.46, 0.30),
    ink=(0.06, 0.08, 0.10, 1.0),
    quiet=(0.10, 0.12, 0.15, 0.95),
    halo=(1.0, 1.0, 1.0, 0.80),
    plate=(1.0, 1.0, 1.0, 0.68),
    present=(0.00, 0.28, 0.45, 1.0),
    warning=(0.52, 0.12, 0.00, 1.0),
    chart=colors.ON_LIGHT,
    partition=(0.08, 0.10, 0.13, 0.55),
)


def palette_for(ground: tuple[float, float, float], stale: bool = False) -> Palette:
    """The palette that reads on a ground color as shown on the screen; dimmed when stale."""
    luminance = sum(share * part for share, part in zip(LUMINANCE, ground, strict=True))
    chosen = ON_LIGHT if luminance > MIDDLE_GRAY else ON_DARK
    return _dimmed(chosen) if stale else chosen


def _dimmed(palette: Palette) -> Palette:
    """Lines fainter, texts a little; marks, whose layers cover one another, towards gray."""
    covering, texts = (
        {"marks", "rim", "chart", "compartments"},
        {"ink", "quiet", "present", "warning"},
    )
    dimmed = {
        role.name: (*color[:3], (DIM_TEXT if role.name in texts else DIM) * color[3])
        for role in fields(palette)
        if role.name not in covering
        for color in [getattr(palette, role.name)]
    }
    marks = {kind: _grayed(color) for kind, color in palette.marks.items()}
    compartments = tuple(_grayed(color) for color in palette.compartments)
    chart = palette.chart.dimmed(DIM, DIM_TEXT)
    rim = _grayed(palette.rim)
    return replace(palette, **dimmed, chart=chart, rim=rim, compartments=compartments, marks=marks)


def _grayed(color: RGBA) -> RGBA:
    red, green, blue = (DIM * part + (1 - DIM) * MIDDLE_GRAY for part in color[:3])
    return red, green, blue, color[3]
