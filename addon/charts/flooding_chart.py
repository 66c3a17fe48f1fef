"""The chart of a flooding in time: water and heel over the time since the breach."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import radians
from typing import Any

import numpy as np

from ..core.arrays import Floats
from ..core.flooding_time.flooding_history import FloodingHistory
from ..units.angles import angle
from ..units.durations import clock
from ..units.lengths import Lengths
from ..units.quantities import Units
from ..units.scales import Angles, Decimal, Times
from .chart import MUST, Axis, Chart, Ground, Line, Mark, Note, Part, Shows, Tone
from .results import footnote, named, report_lengths

HEADROOM = 1.18  # height of the chart relative to the maximum values
LEAST_HEEL = radians(5.0)  # the least that the scale of heels reaches
NEGLIGIBLE = radians(0.5)
NOW, LOSS = range(2)
HOUR = 3600.0
GRAVE = {"lost", "opening", "heel-30"}


@dataclass(frozen=True)
class Happening:
    """An event at a time (s), as it is written, and its kind."""

    time: float
    text: str
    kind: str


@dataclass(frozen=True)
class FloodingFigures:
    """What the chart is made from: at `times` (n,) (s) all the water on board (m3) and heel (rad,
    starboard positive), and the water in each compartment; `now` (s) is the moment looked at."""

    name: str
    times: Floats
    water: Floats
    heel: Floats
    events: Sequence[Happening]
    lengths: Lengths
    lost: float | None = None
    settled: float | None = None
    compartments: Mapping[str, Floats] = field(default_factory=dict)
    now: float | None = None
    footnote: str = ""

    @classmethod
    def of(cls, name: str, run: FloodingHistory, lengths: Lengths, now: float) -> FloodingFigures:
        """The figures of a result of the core."""
        return cls(
            name,
            run.times,
            run.water.sum(axis=1),
            np.arctan2(run.ups[:, 1], run.ups[:, 2]),
            [
                Happening(each.time, Units(lengths).text(each.what), each.kind)
                for each in run.events
            ],
            lengths,
            run.lost,
            run.settled,
            now=now,
        )


def time_to_flood_chart(result: Mapping[str, Any]) -> Chart:
    """The chart of a result of `time-to-flood`.

    Reads `time_s`, `heel_deg`, `compartments` ({`name`, `water_m3`}) and `events` ({`time_s`,
    `what`, `kind`}), and those that are there of `title`, `criteria_note`, `lost_s` and
    `settled_s`.
    """
    compartments = {
        compartment["name"]: np.array(compartment["water_m3"])
        for compartment in result["compartments"]
    }
    times = np.array(result["time_s"], np.float64)
    return flooding_chart(
        FloodingFigures(
            named(result),
            times,
            sum(compartments.values(), np.zeros(len(times))),
            np.radians(result["heel_deg"]),
            [
                Happening(event["time_s"], event["description"], event.get("kind", ""))
                for event in result["events"]
            ],
            report_lengths(result),
            result.get("lost_s"),
            result.get("settled_s"),
            compartments,
            footnote=footnote(result),
        )
    )


def flooding_chart(figures: FloodingFigures) -> Chart:
    """The chart of a flooding in time."""
    shows: Shows = "still" if figures.now is None else "time"
    side, heel = _heel(figures.heel)
    most = max(float(figures.water.max(initial=0.0)), 1e-6)
    over = max(float(heel.max(initial=0.0)), LEAST_HEEL)
    end = max(float(figures.times.max(initial=0.0)), 1.0)
    times = Times("h:min:s") if end >= HOUR else Times()
    unit, symbol = figures.lengths.volume_unit(most)
    return Chart(
        (figures.name, _ending(figures)),
        "flooding over time",
        Axis("Time", times, (0.0, end)),
        Axis("Water", Decimal(unit, symbol), (0.0, HEADROOM * most)),
        tuple(_parts(figures, heel, HEADROOM * most)),
        Axis(f"Heel{side}", Angles(), (0.0, HEADROOM * over)),
        shows=shows,
        footnote=figures.footnote,
    )


def _ending(figures: FloodingFigures) -> str:
    """How it ends."""
    if figures.lost is not None:
        return f"lost at {clock(figures.lost)}"
    if figures.settled is not None:
        return f"settles at {clock(figures.settled)}"
    return f"first {clock(float(figures.times.max(initial=0.0)))}"


def _heel(heel: Floats) -> tuple[str, Floats]:
    """The side to which the vessel heels, if it is one, and how far."""
    low, high = float(heel.min(initial=0.0)), float(heel.max(initial=0.0))
    both = low < -NEGLIGIBLE and high > NEGLIGIBLE
    if both or max(-low, high) < NEGLIGIBLE:
        return ", either side" if both else "", np.abs(heel)
    return (" to starboard", heel) if high > -low else (" to port", -heel)


def _parts(figures: FloodingFigures, heel: Floats, top: float) -> Iterator[Part]:
    times, water = figures.times, figures.water
    several = figures.compartments if len(figures.compartments) > 1 else {}
    whole = np.stack([times, water], axis=1)
    yield Ground(whole)
    for number, (name, held) in enumerate(several.items(), 1):
        line = np.stack([times, held], axis=1)
        yield Line(line, number, "own", 1.4, name=name)
    alone = "all of it" if several else next(iter(figures.compartments), "")
    yield Line(whole, 0, name=alone)
    shown = np.stack([times, np.maximum(heel, 0.0)], axis=1)
    yield Line(shown, "lever", "dashed", 1.6, right=True, name="heel" if alone else "")
    for event in figures.events:
        grave = event.kind in GRAVE
        tone: Tone = "warning" if grave else "ink"
        at = float(np.interp(event.time, times, water))
        if grave:
            yield Line(np.array([[event.time, 0.0], [event.time, top]]), "warning", width=1.2)
        yield Mark(event.time, at, tone)
        rank = LOSS if event.kind == "lost" else MUST
        yield Note(event.time, at, f"{event.text} {clock(event.time)}", rank, tone)
    if figures.now is not None:
        now = float(np.clip(figures.now, 0.0, max(float(times[-1]), 1.0)))
        at = float(np.interp(now, times, water))
        yield Line(np.array([[now, 0.0], [now, top]]), "looked", width=1.4)
        yield Mark(now, at, "looked", "large dot")
        label = f"{figures.lengths.volume(at)}, {angle(float(np.interp(now, times, figures.heel)))}"
        yield Note(now, at, f"{clock(now)}: {label}", NOW, "looked")
