"""The outcome of a flooding: afloat, plunges, sinks or capsizes, and its description."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..buoyancy.attitude import Attitude
from ..hydrostatics.floating_findings import ON_END_TRIM, REPORTED_TRIM_SHARE
from ..hydrostatics.floating_position import FloatingPosition
from ..hydrostatics.upright import UPRIGHT_TOLERANCE
from ..messages.sentence import (
    BOW,
    PORT,
    STARBOARD,
    STERN,
    Sentence,
    end_of,
    joined,
    meters,
    place,
    tonnes,
)
from ..messages.subjects import Subject
from .flooding_paths import FloodingPath, PathKind, path_label

Outcome = Literal["afloat", "sunk", "capsized"]
Ending = Literal[
    "afloat",
    "no-rest",
    "sinks",
    "plunges-by-stern",
    "plunges-by-bow",
    "swamped",
    "bottom-up",
    "turned-over",
    "no-righting-lever",
]
"""How an outcome comes about."""

BOTTOM_UP_HEEL = np.radians(179.5)
"""Heel (rad) beyond which a vessel is bottom up."""
MAX_TRIM = np.radians(60.0)
"""Trim angle (rad) beyond which a vessel plunges."""
AMIDSHIPS_SHARE = 1 / 3
"""Share of the length that counts as amidships in descriptions."""


@dataclass(frozen=True)
class Progression:
    """A further flooding: into `compartment`, by the path whose name or place is `through`."""

    compartment: str
    through: str
    kind: PathKind


def is_on_end(floating: FloatingPosition) -> bool:
    """Whether the vessel stands on end: trimmed by more than `MAX_TRIM`, or `ON_END_TRIM` upside
    down."""
    if not floating.equilibrium:
        return False
    steepest = np.radians(ON_END_TRIM) if is_overturned(floating) else MAX_TRIM
    return bool(abs(floating.equilibrium.attitude.trim_rad) > steepest)


def is_overturned(floating: FloatingPosition) -> bool:
    """Whether the equilibrium is past 90 degrees of heel."""
    equilibrium = floating.equilibrium
    return bool(equilibrium and abs(equilibrium.attitude.heel_rad) > np.pi / 2)


def residual_freeboard(floating: FloatingPosition) -> float:
    """Residual freeboard (m) of the lowest point 76 mm below the deck edge, along ship z; NaN where
    the vessel has sunk, capsized or stands on end."""
    line = floating.case.hull.margin_line
    gone = not floating.equilibrium or is_overturned(floating) or is_on_end(floating)
    if gone or not len(line):
        return float("nan")
    assert floating.equilibrium
    return float(floating.equilibrium.attitude.heights(line).min())


def ending_of(floating: FloatingPosition, outcome: Outcome, over_end: float) -> Ending:
    """The ending; `over_end` is the trim (rad) by which the vessel plunges, 0 for none."""
    equilibrium = floating.equilibrium
    if outcome == "afloat":
        return "afloat" if equilibrium and equilibrium.converged else "no-rest"
    if not equilibrium:
        return "sinks"
    if outcome == "sunk":
        trim = equilibrium.attitude.trim_rad if is_on_end(floating) else over_end
        if not trim:
            return "swamped"
        return "plunges-by-stern" if trim > 0 else "plunges-by-bow"
    if abs(equilibrium.attitude.heel_rad) > BOTTOM_UP_HEEL:
        return "bottom-up"
    return "turned-over" if is_overturned(floating) else "no-righting-lever"


def explanation(
    floating: FloatingPosition,
    ending: Ending,
    under: Sequence[FloodingPath],
    progression: Sequence[Progression],
) -> Sentence:
    """The ending in one sentence, the worst first.

    `under` are the flooding paths under water that lead on, the deepest first.
    """
    parts = _explanation(floating, ending, under)
    if not progression:
        return parts
    path_texts = joined(
        "{before} and {after}",
        (
            Sentence(
                "'{compartment}' through {path}",
                compartment=Subject("compartment", each.compartment),
                path=path_label(each.kind, each.through),
            )
            for each in progression
        ),
    )
    return Sentence("{end}, after water spread to {path_texts}", end=parts, path_texts=path_texts)


def _explanation(
    floating: FloatingPosition, ending: Ending, under: Sequence[FloodingPath]
) -> Sentence:
    match ending:
        case "afloat":
            return _floating_text(floating, under)
        case "no-rest":
            return Sentence("No equilibrium was found")
        case "sinks":
            case = floating.case
            return Sentence(
                "Sinks: the vessel weighs {mass}, and its dry part displaces only {most}",
                mass=tonnes(case.load.mass, ".4g"),
                most=tonnes(max(0.0, case.hull.volume) * case.water_density, ".4g"),
            )
        case "plunges-by-stern" | "plunges-by-bow":
            template = "Plunges by the {end}: the vessel stands on it in equilibrium"
            if not is_on_end(floating):
                template = (
                    "Plunges by the {end}: even with heel held there is no equilibrium in trim"
                )
            return Sentence(template, end=STERN if ending == "plunges-by-stern" else BOW)
        case "swamped":
            assert floating.downflooding_point is not None
            return Sentence(
                "Fills over an open edge {depth} under water {place}",
                depth=meters(floating.downflooding_height),
                place=place(floating.downflooding_point),
            )
        case "bottom-up":
            return Sentence("Capsizes: the equilibrium is bottom up")
    assert floating.equilibrium
    heel = _heel_text(floating.equilibrium.attitude)
    if ending == "turned-over":
        return Sentence("Capsizes: the equilibrium is {heel}", heel=heel)
    return Sentence("Capsizes: no righting lever is left in the equilibrium at {heel}", heel=heel)


def _floating_text(floating: FloatingPosition, under: Sequence[FloodingPath]) -> Sentence:
    equilibrium, length = floating.equilibrium, floating.case.hull.length_pp
    assert equilibrium
    attitude, line = equilibrium.attitude, residual_freeboard(floating)
    trim = attitude.draft_at(0.0) - attitude.draft_at(length)
    below = [
        Sentence(
            "weathertight {path} {depth} under water",
            path=path.label,
            depth=meters(path.height_above_water(attitude)),
        )
        for path in under
        if path.weathertight
    ]
    parts = [Sentence("Floats")]
    if below:
        parts = [Sentence("Floats with {below}", below=joined("{before} and {after}", below))]
    if line < 0:
        parts.append(_immersion_text(floating))
    if abs(attitude.heel_rad) > UPRIGHT_TOLERANCE:
        parts.append(Sentence("heeled {heel}", heel=_heel_text(attitude)))
    if abs(trim) > REPORTED_TRIM_SHARE * length:
        parts.append(Sentence("trimmed {trim} by the {end}", trim=meters(trim), end=end_of(trim)))
    if line >= 0:
        parts.append(Sentence("the margin line {height} above water", height=meters(line)))
    return joined("{before}, {after}", parts)


def _immersion_text(floating: FloatingPosition) -> Sentence:
    """'but the deck edge is 0.40 m under water at the stern', or the margin line alone."""
    assert floating.equilibrium
    hull, heights = floating.case.hull, floating.equilibrium.attitude.heights
    depth = -float(heights(hull.deck_edge).min())
    words = "but the deck edge is {depth} under water {where}"
    if depth <= 0:
        depth, words = (
            -residual_freeboard(floating),
            "but the margin line is {depth} under water {where}",
        )
    x = hull.margin_line[heights(hull.margin_line).argmin(), 0]
    share = (x - hull.tree.low[0]) / hull.length_overall
    where = Sentence("amidships")
    if abs(share - 0.5) > AMIDSHIPS_SHARE / 2:
        where = Sentence("at the {end}", end=end_of(0.5 - share))
    return Sentence(words, depth=meters(depth), where=where)


def _heel_text(attitude: Attitude) -> Sentence:
    """'11.1 degrees to starboard'."""
    heel = np.degrees(attitude.heel_rad)
    side = STARBOARD if heel > 0 else PORT
    return Sentence("{angle} degrees to {side}", angle=f"{abs(heel):.1f}", side=side)
