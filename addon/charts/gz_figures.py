"""Figures of the GZ chart, from a result of the core and from a result as a dictionary."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import nan, radians
from typing import Any

import numpy as np

from ..core.arrays import Floats
from ..core.criteria.assessment import Assessment
from ..core.criteria.codes import heeling_levers
from ..core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ..core.stability.both_sides import SideStability, Stability
from ..core.stability.heeling_levers import Lever
from ..units.angles import angle
from ..units.lengths import Lengths
from ..units.scales import Angles
from .chart import MUST, Axis, Chart, Ground, Line, Note, Part, Shows, pieces, spanning
from .gz_chart import HEADROOM, GZFigures, SideFigures, gz_chart
from .results import footnote, named, report_lengths

ALIKE = 2e-3  # of the maximum GZ, by which two sides that are the same may differ
PAST = 8.0  # degrees shown beyond vanishing stability, and then to the next ten
FINEST = radians(0.5)


def gz_figures(
    name: str,
    ship: Stability,
    lengths: Lengths,
    levers: Sequence[Lever] = (),
    heel: float | None = None,
    shows: Shows = "heels",
) -> GZFigures:
    """The figures of a vessel with `heel` (rad) marked, and heeling levers to its weaker side.

    A symmetric vessel is shown heeling to starboard only.
    """
    alone = one_sided(ship)
    sides = (ship.starboard,) if alone else (ship.weaker, ship.stronger)
    span = span_of(ship, heel)
    weaker = sides[0]
    return GZFigures(
        name,
        tuple(_runs(ship, span)),
        tuple(map(SideFigures.of, sides)),
        tuple(map(SideFigures.of, (ship.starboard, ship.port))),
        span,
        lengths,
        ship.GM,
        float(ship.curve.upright.arm),
        equilibrium_heel(ship),
        [(lever.name, _lever_points(lever, weaker)) for lever in levers if lever.upright],
        None if heel is None else (heel, float(ship.curve.gz_curve.arm(heel))),
        shows,
    )


def judged_figures(
    name: str, ship: Assessment, lengths: Lengths, heel: float | None = None
) -> GZFigures:
    """The same with the heeling levers of the criteria that the vessel was held against."""
    levers = heeling_levers(ship.inputs, ship.verdicts, ship.stability.case.custom_criteria)
    return gz_figures(name, ship.stability, lengths, levers, heel)


def span_of(ship: Stability, heel: float | None = None) -> tuple[float, float]:
    """The lowest and highest heel (rad) of interest, `heel` among them."""
    sides = (ship.starboard,) if one_sided(ship) else (ship.starboard, ship.port)
    shown = [side.sign * _reach(side) for side in sides]
    shown += [0.0, equilibrium_heel(ship), *([] if heel is None else [heel])]
    return min(shown), max(shown)


def one_sided(ship: Stability) -> bool:
    """Whether starboard alone is enough: no list, and the same curve to each side."""
    if abs(equilibrium_heel(ship)) > UPRIGHT_TOLERANCE:
        return False
    heels = np.radians(np.arange(5.0, 180.0, 5.0))
    right, left = ship.starboard, ship.port
    off = np.abs(right.gz_curve.arm(heels) - left.gz_curve.arm(heels)).max()
    return bool(
        off <= ALIKE * np.abs(right.gz_curve.gz).max()
        and np.allclose(_events(right), _events(left), atol=np.radians(0.5))
    )


def _events(side: SideStability) -> Floats:
    """Heels (3,) (rad) at which something happens, far off where it does not."""
    return np.nan_to_num(
        [side.vanishing_angle, side.deck_edge_angle, side.downflooding_angle], posinf=9.0
    )


def equilibrium_heel(ship: Stability) -> float:
    """The heel (rad) at which the vessel floats."""
    equilibrium = ship.floating.equilibrium
    return float(equilibrium.attitude.heel_rad) if equilibrium else 0.0


def _reach(side: SideStability) -> float:
    """The largest heel (rad) shown of a side: a little past vanishing stability."""
    if not np.isfinite(side.vanishing_angle):
        return float(side.gz_curve.heels[-1])
    if not side.range > 0:
        return float(np.pi / 2)
    past = 10.0 * np.ceil((np.degrees(side.vanishing_angle) + PAST) / 10.0)
    return float(np.radians(np.clip(past, 30.0, 180.0)))


def _runs(ship: Stability, span: tuple[float, float]) -> Iterator[Floats]:
    """The parts (n, 2) of the curve within the span: it ends where it jumps and where no
    equilibrium trim was found."""
    curve, (low, high) = ship.curve, span
    jumps = np.array(curve.jumps)
    run = 0
    runs: dict[int, list[float]] = {}
    for before, here in pairwise((curve.positions[0], *curve.positions)):
        torn = ((jumps > before.heel) & (jumps < here.heel)).any()
        run += bool(torn or not here.converged)
        if here.converged:
            runs.setdefault(run, []).append(here.heel)
    for held in runs.values():
        start, end = max(held[0], low), min(held[-1], high)
        if start < end:
            heels = np.linspace(start, end, 2 + int((end - start) / FINEST))
            yield np.stack([heels, curve.gz_curve.arm(heels)], axis=1)


def _lever_points(lever: Lever, side: SideStability) -> Floats:
    reach = _reach(side)
    end = reach if lever.power == 0 else min(reach, np.pi / 2)
    heels = np.linspace(0.0, end, 91)
    return np.stack([side.sign * heels, side.sign * lever.arm(heels)], axis=1)


# Results as dictionaries ------------------------------------------------------------------------


def gz_curve_chart(result: Mapping[str, Any]) -> Chart:
    """The GZ curve of a result of `stability`, over the heels that it has.

    Reads `heel_deg` and `GZ_m`, and those that are there of `title`, `criteria_note`,
    `GM_upright_m`, `floating`, `sides`, `weaker_side` and `heeling_levers` ({`name`, `lever_m` at
    the same heels}).
    """
    runs = _degree_runs("GZ", result["heel_deg"], result["GZ_m"])
    sides = result.get("sides") or {}
    both = tuple(
        SideFigures.read(sign, sides[side])
        for sign, side in ((1, "starboard"), (-1, "port"))
        if side in sides
    )
    heels = [radians(heel) for heel in result["heel_deg"] if heel is not None]
    span = spanning(heels)
    shown = tuple(
        side for side in both if (span[1] if side.sign > 0 else -span[0]) > UPRIGHT_TOLERANCE
    )
    weaker = result.get("weaker_side")
    shown = tuple(sorted(shown, key=lambda side: side.name != weaker))
    equilibrium = (result.get("floating") or {}).get("heel_deg")
    sign = -1 if weaker == "port" else 1
    levers = [
        (arm["name"], _to_side(_degree_runs(arm["name"], result["heel_deg"], arm["lever_m"]), sign))
        for arm in result.get("heeling_levers") or ()
    ]
    return gz_chart(
        GZFigures(
            named(result),
            runs,
            shown,
            both,
            span,
            report_lengths(result),
            result.get("GM_upright_m"),
            float(np.interp(0.0, *runs[0].T)) if runs and runs[0][0, 0] <= 0.0 else 0.0,
            nan if equilibrium is None else radians(equilibrium),
            levers,
            footnote=footnote(result),
        )
    )


def residual_chart(result: Mapping[str, Any]) -> Chart:
    """The residual GZ of a result of `flood`, and the range that counts.

    Reads `residual_heel_deg` and `residual_GZ_m`, and those that are there of `title`,
    `criteria_note`, `residual_equilibrium_deg`, `residual_range_deg` and `residual_side`.
    """
    runs = _degree_runs("residual GZ", result["residual_heel_deg"], result["residual_GZ_m"])
    equilibrium, reach = result.get("residual_equilibrium_deg"), result.get("residual_range_deg")
    lengths = report_lengths(result)
    up = spanning([y for run in runs for y in run[:, 1]] + [0.0], HEADROOM, HEADROOM)
    parts: list[Part] = []
    if equilibrium is not None and reach is not None:
        start, end = radians(equilibrium), radians(equilibrium + reach)
        for run in runs if reach > 0 else ():
            inside = run[(run[:, 0] > start) & (run[:, 0] < end)]
            ends = np.array([[x, np.interp(x, *run.T)] for x in (start, end)])
            parts.append(Ground(np.concatenate([ends[:1], inside, ends[1:]])))
        for x, text in ((start, "list"), (end, "end of the range that counts")):
            y = float(np.interp(x, *runs[0].T)) if runs else 0.0
            parts.append(Line(np.array([[x, 0.0], [x, up[1]]]), "quiet", "dotted", 1.2))
            parts.append(Note(x, max(y, 0.0), f"{text} {angle(x)}", MUST - 1, "ink"))
        if reach > 0:
            middle = (start + end) / 2
            text = f"range {angle(radians(reach))}"
            parts.append(Note(middle, up[1] / 20, text, MUST, "quiet"))
    parts[1:1] = [Line(run, 0) for run in runs]
    side = result.get("residual_side")
    across = spanning([x for run in runs for x in run[:, 0]] or [0.0, np.pi / 2])
    return Chart(
        (named(result),),
        "residual GZ",
        Axis(f"Heel to {side}" if side else "Heel", Angles(), across),
        Axis("GZ", lengths, up),
        tuple(parts),
        footnote=footnote(result),
    )


def _degree_runs(
    name: str, heels: Sequence[float | None], levers: Sequence[float | None]
) -> list[Floats]:
    """The runs of known points (n, 2) of a curve over heels in degrees, over radians."""
    return [run * (radians(1.0), 1.0) for run in pieces(name, heels, levers)]


def _to_side(runs: Sequence[Floats], sign: int) -> Floats:
    """The points (n, 2) of a curve to one side."""
    points = np.concatenate([np.zeros((0, 2)), *runs])
    return points[points[:, 0] * sign >= 0][::sign]
