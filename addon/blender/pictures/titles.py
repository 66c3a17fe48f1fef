"""The texts of a picture: its title block and its warnings."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace

import numpy as np

from ...core.criteria.disclaimer import CAUTION
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ...drawing.picture import Label, Picture, TextSize
from ...drawing.tessellation import Stroke
from ...units.lengths import Lengths
from ...units.quantities import Units
from ..viewport.drawing_layout import picture
from ..viewport.readout import angle_words, righting
from ..viewport.shapes import Drawing, LengthText, Mark, MarkKind
from ..viewport.style import Style
from ..viewport.vessel_shapes import attitude_of
from ..viewport.view import View

MassText = Callable[[float], str]

WIDTH, HEIGHT = 1600, 146  # of the block; every length below is in pixels of a picture so wide
EDGE, GAP, WIDEST_GAP = 40.0, 24.0, 56.0
NAME, VALUE, NAMING, SMALL, WARNING = 28.0, 22.0, 17.0, 16.0, 18.0
UPPER, LOWER, RULE, SIGNS, FOOT = 112.0, 80.0, 64.0, 40.0, 14.0
GLYPH = 19.0
MOST_WARNINGS, LINE, PITCH = 3, 46, 1.5
KEY: tuple[tuple[MarkKind, str], ...] = (
    ("G", "G center of gravity"),
    ("B", "B center of buoyancy"),
    ("M", "M metacenter"),
    ("F", "F center of flotation"),
    ("opening", "opening"),
    ("flooding", "where water enters"),
)


@dataclass(frozen=True)
class Wording:
    """How lengths (m) and masses (kg) are written, and how large a text is."""

    length: LengthText
    mass: MassText
    size: TextSize


def title_block(
    ship: FloatingPosition,
    aspect_title: str,
    wording: Wording,
    style: Style,
    arm: float | None = None,
    kinds: Collection[MarkKind] = (),
) -> Picture:
    """The block under a picture of a vessel at rest, or held at a heel where GZ is from `arm` (m),
    with a key of the `kinds` of marks that it shows.

    `style` has a scale of 1 for a picture `WIDTH` pixels wide.
    """
    unit, palette = style.scale, style.palette
    labels: list[Label] = []

    def width(text: str, size: float) -> float:
        return wording.size(text, unit * size)[0] / unit

    def write(text: str, x: float, y: float, size: float, quiet: bool = False) -> None:
        color = palette.quiet if quiet else palette.ink
        labels.append(Label(text, unit * np.array([x, y]), unit * size, color))

    cells = list(particulars(ship, wording, arm))
    widths = [max(width(name, NAMING), width(value, VALUE)) for name, value in cells]
    free = WIDTH - 2 * EDGE - sum(widths) - GAP * len(cells)
    title = ship.case.title
    while width(title, NAME) > free and len(title) > 1:
        title = title.rstrip("…")[:-1] + "…"
    write(title, EDGE, UPPER - 4, NAME)
    write(aspect_title, EDGE, LOWER, NAMING, quiet=True)
    titles = max(width(title, NAME), width(aspect_title, NAMING))
    gap = min((WIDTH - 2 * EDGE - titles - sum(widths)) / len(cells), WIDEST_GAP)
    x = WIDTH - EDGE - sum(widths) - gap * (len(cells) - 1)
    for (name, value), cell in zip(cells, widths, strict=True):
        write(name, x, UPPER, NAMING, quiet=True)
        write(value, x, LOWER, VALUE)
        x += cell + gap

    write(CAUTION, EDGE, FOOT, SMALL, quiet=True)
    x, marks = EDGE + GLYPH / 2, []
    for kind, words in (sign for sign in KEY if sign[0] in kinds):
        marks.append(Mark(kind, unit * np.array([x, SIGNS + 0.36 * SMALL, 0.0])))
        write(words, x + GLYPH, SIGNS, SMALL, quiet=True)
        x += GLYPH + width(words, SMALL) + GAP + GLYPH / 2
    key = picture(
        Drawing(attitude_of(ship), marks=tuple(marks)),
        _flat(unit * WIDTH),
        replace(style, mark_scale=1.0),
        wording.size,
    )
    rules = unit * np.array([[[0, HEIGHT], [WIDTH, HEIGHT]], [[EDGE, RULE], [WIDTH - EDGE, RULE]]])
    return Picture((Stroke(rules, 1.2 * unit, palette.quiet), *key.primitives), tuple(labels))


def warnings(
    ship: FloatingPosition, top: float, lengths: Lengths, style: Style
) -> tuple[Label, ...]:
    """The gravest warnings, in the upper left corner of a picture of height `top` in pixels."""
    found = [finding for finding in ship.findings if finding.severity == "warning"]
    texts = [Units(lengths).text(finding.text) for finding in found]
    rows = [row for text in texts[:MOST_WARNINGS] for row in textwrap.wrap(text, LINE)]
    size = WARNING * style.scale
    return tuple(
        Label(
            row,
            np.array([EDGE * style.scale, top - size * PITCH * (number + 1.5)]),
            size,
            style.palette.warning,
        )
        for number, row in enumerate(rows)
    )


def particulars(
    ship: FloatingPosition, wording: Wording, arm: float | None = None
) -> Iterator[tuple[str, str]]:
    """Names and values, with their units, in the block: GM at rest, and GZ where the vessel is
    held at a heel, from `arm` (m)."""
    length = wording.length
    yield "Displacement", wording.mass(ship.weight.mass)
    figures = ship.hydrostatics
    if figures is None or ship.equilibrium is None:
        yield "State", "sinks"
        return
    for name, draft in (
        ("Draft aft", figures.draft_aft),
        ("Draft amidships", figures.draft_mid),
        ("Draft forward", figures.draft_forward),
    ):
        if np.isfinite(draft):
            yield name, length(draft)
    if np.isfinite(figures.trim):
        trim = length(abs(figures.trim))
        end = "" if trim == length(0.0) else f" by the {'stern' if figures.trim > 0 else 'bow'}"
        yield f"Trim{end}", trim if end else "none"
    heeled = ship.equilibrium.attitude.heel_rad
    if arm is None:
        listed = abs(heeled) > UPRIGHT_TOLERANCE
        yield "List", angle_words(heeled) if listed else "none"
    else:
        yield "Heel, held", angle_words(heeled)
    yield ("GM", length(ship.GM_fluid)) if arm is None else ("GZ", length(righting(heeled, arm)))
    if np.isfinite(figures.freeboard_min):
        yield "Least freeboard", length(figures.freeboard_min)


def _flat(width: float) -> View:
    """A view of a plane of pixels, that leaves them unchanged."""
    matrix = np.diag([2 / width, 2 / width, 0.0, 1.0])
    matrix[:2, 3] = -1.0
    return View(matrix, width, width)
