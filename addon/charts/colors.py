"""Colors of charts: on paper, and on a dark and a light screen."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..drawing.tessellation import RGBA
from .chart import Tone

TEXTS = {"ink", "quiet", "looked", "warning"}


@dataclass(frozen=True)
class ChartColors:
    """A color for each role; `curves` are distinct for the color-blind, and dashed where there
    are several."""

    panel: RGBA
    grid: RGBA
    ink: RGBA
    quiet: RGBA
    area: RGBA
    lever: RGBA
    warning: RGBA
    looked: RGBA
    curves: tuple[RGBA, ...]

    def of(self, tone: Tone) -> RGBA:
        """The color of a part."""
        if isinstance(tone, int):
            return self.curves[tone % len(self.curves)]
        found: RGBA = getattr(self, tone)
        return found

    def dimmed(self, lines: float, texts: float) -> ChartColors:
        """Lines and texts fainter by shares, the panel as it is."""

        def thin(color: RGBA, share: float) -> RGBA:
            return (*color[:3], share * color[3])

        roles = ("grid", "ink", "quiet", "area", "lever", "warning", "looked")
        changed = {
            role: thin(getattr(self, role), texts if role in TEXTS else lines) for role in roles
        }
        curves = tuple(thin(color, lines) for color in self.curves)
        return replace(self, **changed, curves=curves)


def _colour(text: str, alpha: float = 1.0) -> RGBA:
    red, green, blue = (int(text[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue, alpha


ON_PAPER = ChartColors(
    panel=_colour("#ffffff"),
    grid=_colour("#d4d4d4"),
    ink=_colour("#1a1a1a"),
    quiet=_colour("#555555"),
    area=_colour("#d3e3ef"),
    lever=_colour("#8a4b00"),
    warning=_colour("#a01c00"),
    looked=_colour("#004773"),
    curves=tuple(map(_colour, ("#0b4f8a", "#b8480a", "#00735c", "#7d6200", "#5a4a9c", "#4d4d4d"))),
)
ON_DARK = ChartColors(
    panel=(0.09, 0.10, 0.12, 0.92),
    grid=(0.80, 0.85, 0.90, 0.16),
    ink=(0.94, 0.95, 0.96, 1.0),
    quiet=(0.80, 0.83, 0.86, 0.80),
    area=(0.30, 0.62, 0.90, 0.26),
    lever=(0.95, 0.76, 0.36, 1.0),
    warning=(1.00, 0.62, 0.35, 1.0),
    looked=(0.62, 0.93, 1.00, 1.0),
    curves=(
        (0.47, 0.80, 1.00, 1.0),
        *map(_colour, ("#f0a860", "#5fd0b0", "#e6dd7a", "#b8b0f0", "#cfcfcf")),
    ),
)
ON_LIGHT = replace(
    ON_PAPER,
    panel=(0.97, 0.97, 0.97, 0.94),
    grid=(0.10, 0.14, 0.18, 0.16),
    ink=(0.06, 0.08, 0.10, 1.0),
    quiet=(0.10, 0.12, 0.15, 0.95),
    area=(0.10, 0.45, 0.75, 0.22),
    lever=(0.52, 0.34, 0.00, 1.0),
    warning=(0.52, 0.12, 0.00, 1.0),
    looked=(0.00, 0.28, 0.45, 1.0),
    curves=((0.03, 0.33, 0.62, 1.0), *ON_PAPER.curves[1:]),
)
