"""The outcome of a flooding: afloat, plunges, sinks or capsizes, and its description."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..buoyancy.attitude import Attitude
from ..hydrostatics.floating_position import ON_END, TRIM_SHARE, UPRIGHT, Floating
from ..messages.sentence import (
    BOW,
    PORT,
    STARBOARD,
    STERN,
    Sentence,
    end_of,
    joined,
    metres,
    place,
    tonnes,
)
from ..messages.subjects import Subject
from .flooding_paths import Way, WayKind, told

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

BOTTOM_UP = np.radians(179.5)
STEEPEST = np.radians(60.0)
MIDDLE = 1 / 3
"""Share of the length that counts as amidships in descriptions."""


@dataclass(frozen=True)
class Spread:
    """A further flooding: into `room`, by the path whose name or place is `through`."""

    room: str
    through: str
    kind: WayKind


def is_on_end(floating: Floating) -> bool:
    """Whether the vessel stands on end: trimmed by more than `STEEPEST`, or `ON_END` upside
    down."""
    if not floating.rest:
        return False
    steepest = np.radians(ON_END) if turned_over(floating) else STEEPEST
    return bool(abs(floating.rest.attitude.trim_rad) > steepest)


def turned_over(floating: Floating) -> bool:
    """Whether the equilibrium is past 90 degrees of heel."""
    rest = floating.rest
    return bool(rest and abs(rest.attitude.heel_rad) > np.pi / 2)


def margin_line(floating: Floating) -> float:
    """Residual freeboard (m) of the lowest point 76 mm below the deck edge, along ship z; NaN where
    the vessel has sunk, capsized or stands on end."""
    line = floating.case.hull.margin_line
    gone = not floating.rest or turned_over(floating) or is_on_end(floating)
    if gone or not len(line):
        return float("nan")
    assert floating.rest
    return float(floating.rest.attitude.heights(line).min())


def ending_of(floating: Floating, outcome: Outcome, over_end: float) -> Ending:
    """How it ends; `over_end` is the trim (rad) by which she goes over her end, 0 for none."""
    rest = floating.rest
    if outcome == "afloat":
        return "afloat" if rest and rest.settled else "no-rest"
    if not rest:
        return "sinks"
    if outcome == "sunk":
        trim = rest.attitude.trim_rad if is_on_end(floating) else over_end
        if not trim:
            return "swamped"
        return "plunges-by-stern" if trim > 0 else "plunges-by-bow"
    if abs(rest.attitude.heel_rad) > BOTTOM_UP:
        return "bottom-up"
    return "turned-over" if turned_over(floating) else "no-righting-lever"


def why(
    floating: Floating, ending: Ending, under: Sequence[Way], spread: Sequence[Spread]
) -> Sentence:
    """How it ends, in a sentence that begins with the worst.

    `under` are the ways under water that lead on, the deepest first.
    """
    said = _said(floating, ending, under)
    if not spread:
        return said
    ways = joined(
        "{before} and {after}",
        (
            Sentence(
                "'{room}' through {way}",
                room=Subject("compartment", each.room),
                way=told(each.kind, each.through),
            )
            for each in spread
        ),
    )
    return Sentence("{end}, after water spread to {ways}", end=said, ways=ways)


def _said(floating: Floating, ending: Ending, under: Sequence[Way]) -> Sentence:
    match ending:
        case "afloat":
            return _floats(floating, under)
        case "no-rest":
            return Sentence("No rest was found for her")
        case "sinks":
            case = floating.case
            return Sentence(
                "Sinks: she weighs {mass}, and what stays dry of her displaces only {most}",
                mass=tonnes(case.load.mass, ".4g"),
                most=tonnes(max(0.0, case.hull.volume) * case.water_density, ".4g"),
            )
        case "plunges-by-stern" | "plunges-by-bow":
            template = "Founders by the {end}: she comes to rest standing on it"
            if not is_on_end(floating):
                template = (
                    "Founders by the {end}: even held from heeling she finds no rest in trim, and "
                    "goes over it"
                )
            return Sentence(template, end=STERN if ending == "plunges-by-stern" else BOW)
        case "swamped":
            assert floating.fills_at is not None
            return Sentence(
                "Fills over an open edge {depth} under water {place}",
                depth=metres(floating.fills_height),
                place=place(floating.fills_at),
            )
        case "bottom-up":
            return Sentence("Capsizes: she comes to rest bottom up")
    assert floating.rest
    heel = _heel(floating.rest.attitude)
    if ending == "turned-over":
        return Sentence("Capsizes: she comes to rest {heel}", heel=heel)
    return Sentence("Capsizes: no righting arm is left where she rests, {heel}", heel=heel)


def _floats(floating: Floating, under: Sequence[Way]) -> Sentence:
    rest, length = floating.rest, floating.case.hull.length_pp
    assert rest
    attitude, line = rest.attitude, margin_line(floating)
    trim = attitude.draft_at(0.0) - attitude.draft_at(length)
    below = [
        Sentence(
            "weathertight {way} {depth} under water",
            way=way.told,
            depth=metres(way.clear(attitude)),
        )
        for way in under
        if way.tight
    ]
    said = [Sentence("Floats")]
    if below:
        said = [Sentence("Floats with {below}", below=joined("{before} and {after}", below))]
    if line < 0:
        said.append(_awash(floating))
    if abs(attitude.heel_rad) > UPRIGHT:
        said.append(Sentence("heeled {heel}", heel=_heel(attitude)))
    if abs(trim) > TRIM_SHARE * length:
        said.append(Sentence("trimmed {trim} by the {end}", trim=metres(trim), end=end_of(trim)))
    if line >= 0:
        said.append(Sentence("her margin line {height} above water", height=metres(line)))
    return joined("{before}, {after}", said)


def _awash(floating: Floating) -> Sentence:
    """'but her deck edge is 0.40 m under water at the stern', or the margin line alone."""
    assert floating.rest
    hull, heights = floating.case.hull, floating.rest.attitude.heights
    depth = -float(heights(hull.deck_edge).min())
    words = "but her deck edge is {depth} under water {where}"
    if depth <= 0:
        depth, words = -margin_line(floating), "but her margin line is {depth} under water {where}"
    x = hull.margin_line[heights(hull.margin_line).argmin(), 0]
    share = (x - hull.tree.low[0]) / hull.length_overall
    where = Sentence("amidships")
    if abs(share - 0.5) > MIDDLE / 2:
        where = Sentence("at the {end}", end=end_of(0.5 - share))
    return Sentence(words, depth=metres(depth), where=where)


def _heel(attitude: Attitude) -> Sentence:
    """'11.1 degrees to starboard'."""
    heel = np.degrees(attitude.heel_rad)
    side = STARBOARD if heel > 0 else PORT
    return Sentence("{angle} degrees to {side}", angle=f"{abs(heel):.1f}", side=side)
