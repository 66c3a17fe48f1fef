"""The chart of floodable length over the position along the vessel.

A compartment is a triangle over its length, as high as it is long: it is floodable if its apex is
under the curve (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ..core.arrays import Floats
from ..core.damage.subdivision import Subdivision
from ..units.lengths import Lengths
from .chart import MAY, Axis, Chart, Ground, Line, Mark, Note, Part, Shows, Tone
from .results import footnote, named, report_lengths

HEADROOM = 1.18  # height of the chart relative to the maximum length
LOOKED, TOO_LONG = range(2)


@dataclass(frozen=True)
class Extent:
    """A compartment from `aft` to `forward` (m), of the permissible length `allowed` (m)."""

    name: str
    aft: float
    forward: float
    allowed: float
    survives: bool

    @property
    def length(self) -> float:
        """Its length (m)."""
        return self.forward - self.aft

    @property
    def middle(self) -> float:
        """Its middle (m)."""
        return (self.aft + self.forward) / 2


@dataclass(frozen=True)
class FloodableFigures:
    """What the chart is made from: floodable lengths (m) at places (m), the compartments, the place
    looked at, and a bulkhead (name, place, permissible range) that is chosen."""

    name: str
    x: Floats
    floodable: Floats
    compartments: Sequence[Extent]
    lengths: Lengths
    permeability: float | None = None
    place: float | None = None
    chosen: tuple[str, float, tuple[float, float] | None] | None = None
    shows: Shows = "still"
    footnote: str = ""

    @classmethod
    def of(
        cls,
        name: str,
        found: Subdivision,
        names: Sequence[str],
        lengths: Lengths,
        place: float | None = None,
        chosen: str = "",
    ) -> FloodableFigures:
        """Those of a result of the core, with names of its compartments."""
        curve = found.curve
        extents = [
            Extent(name, each.aft, each.forward, each.allowed, each.survives)
            for each, name in zip(found.main_compartments, names, strict=True)
        ]
        bulkhead = next((each for each in found.bulkheads if chosen in each.boundaries), None)
        picked = (chosen, bulkhead.x, bulkhead.permissible_range) if bulkhead else None
        share = curve.permeability
        parts = curve.centers, curve.lengths, extents, lengths, share, place, picked
        return cls(name, *parts, shows="place")


def floodable_result_chart(result: Mapping[str, Any]) -> Chart:
    """The chart of a result of `floodable`.

    Reads `x_m`, `floodable_length_m`, `compartments` ({`aft_m`, `forward_m`,
    `floodable_length_m`, `survives`}), and those that are there of `title`, `criteria_note` and
    `permeability`.
    """
    extents = [
        Extent(
            "",
            each["aft_m"],
            each["forward_m"],
            each["floodable_length_m"],
            each["survives"],
        )
        for each in result["main_compartments"]
    ]
    return floodable_length_chart(
        FloodableFigures(
            named(result),
            np.array(result["x_m"], np.float64),
            np.array(result["floodable_length_m"], np.float64),
            extents,
            report_lengths(result),
            result.get("permeability"),
            footnote=footnote(result),
        )
    )


def floodable_length_chart(figures: FloodableFigures) -> Chart:
    """The chart of floodable length."""
    spans = [each.length for each in figures.compartments]
    most = HEADROOM * max(float(figures.floodable.max(initial=0.0)), *spans, 1e-6)
    ends = float(figures.x[0]), float(figures.x[-1])
    return Chart(
        _title(figures),
        "floodable length",
        Axis("Forward of the aft perpendicular", figures.lengths, ends),
        Axis("Length", figures.lengths, (0.0, most)),
        tuple(_parts(figures)),
        shows=figures.shows,
        footnote=figures.footnote,
    )


def _title(figures: FloodableFigures) -> tuple[str, ...]:
    """The vessel's name, or first the permissible range of the bulkhead chosen."""
    if figures.chosen:
        name, _, allowed = figures.chosen
        if allowed is None:
            return f"{name} has no permissible range", figures.name
        aft, forward = map(figures.lengths, allowed)
        return f"{name}: permissible x {aft} to {forward}", figures.name
    share = figures.permeability
    return (figures.name, *([f"permeability {share:.2f}"] if share is not None else []))


def _parts(figures: FloodableFigures) -> Iterator[Part]:
    names = iter(["compartment, as high as it is long"])
    for each in figures.compartments:
        tone: Tone = "quiet" if each.survives else "warning"
        yield from _triangle(each.middle, each.length, tone, next(names, ""))
        if each.survives:
            yield Note(each.middle, each.length, each.name, MAY, "quiet")
            continue
        over = f"{figures.lengths(each.length - each.allowed)} too long"
        text = f"{each.name}, {over}" if each.name else over
        yield Note(each.middle, each.length, text, TOO_LONG, tone, over)
    curve = np.stack([figures.x, figures.floodable], axis=1)
    yield Line(curve, 0, name="floodable length")
    if figures.chosen:
        _, x, allowed = figures.chosen
        if allowed:
            yield Line(np.array([[end, 0.0] for end in allowed]), "lever", width=4.0)
        yield Mark(x, 0.0, "ink", "pointer down")
    if figures.place is not None:
        place = figures.place
        length = float(np.interp(place, figures.x, figures.floodable))
        yield from _triangle(place, length, "looked", "")
        yield Line(np.array([[place, 0.0], [place, length]]), "looked", "dashed", 1.4)
        yield Mark(place, length, "looked", "large dot")
        text = f"x {figures.lengths(place)}: {figures.lengths(length)}"
        yield Note(place, length, text, LOOKED, "looked")


def _triangle(middle: float, length: float, tone: Tone, name: str) -> Iterator[Part]:
    half = length / 2
    points = np.array([[middle - half, 0.0], [middle, length], [middle + half, 0.0]])
    yield Ground(points, tone)
    yield Line(points, tone, width=1.4, name=name)
