"""The chart of the GZ curve: GZ over heel, heeling levers, and the angles that matter.

Heel counts positive to starboard; GZ is positive where it turns the vessel to port.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf, isfinite, nan, radians
from typing import Any

import numpy as np

from ..core.arrays import Floats
from ..core.stability.both_sides import SideStability
from ..units.angles import angle
from ..units.lengths import Lengths
from ..units.scales import Angles
from .chart import LAST, MAY, MUST, Axis, Chart, Ground, Line, Mark, Note, Part, Shows

AREA_TO = radians(40.0)
"""Heel up to which area under GZ is taken: 2008 IS Code, A 2.2.1."""
HEADROOM = 0.14  # of the span of levers, over and under it
FLATTEST = 1e-4  # least span of levers (m)
TALLEST_GM = 1.5  # multiple of maximum GZ up to which GM at one radian is on the chart
NAMED = (0.3, 0.75)  # shares of heeling levers between which their names are placed
LOOKED, GREATEST, FLOODS = range(MUST)
VANISHES, EDGE, RESTS, HEELS, INITIAL = range(MUST, MAY)
UPRIGHT = radians(0.05)
"""Heel that is written as none."""


@dataclass(frozen=True)
class SideFigures:
    """What happens as the vessel heels to one side: heels (rad) and GZ (m) positive to that side,
    not finite where that does not happen. `sign` is +1 to starboard and -1 to port."""

    sign: int
    equilibrium: float = nan
    range: float = 0.0
    vanishing_angle: float = inf
    maximum: float = nan
    maximum_at: float = nan
    deck_edge_angle: float = inf
    downflooding: float = inf
    opening: str = ""

    @classmethod
    def of(cls, side: SideStability) -> SideFigures:
        """Those of a side of a result of the core."""
        first = side.first_downflooding
        return cls(
            side.sign,
            side.equilibrium_heel,
            side.range,
            side.vanishing_angle,
            side.max_gz,
            side.max_gz_heel,
            side.deck_edge_angle,
            side.downflooding_angle,
            first.opening.name if first else "",
        )

    @classmethod
    def read(cls, sign: int, figures: Mapping[str, Any]) -> SideFigures:
        """Those of a side of a result as a dictionary."""

        def heel(key: str, missing: float = inf) -> float:
            value = figures.get(key)
            return missing if value is None else radians(value)

        maximum = figures.get("GZ_max_m")
        return cls(
            sign,
            heel("equilibrium_heel_deg", nan),
            heel("range_deg", 0.0),
            heel("vanishing_stability_deg"),
            nan if maximum is None else maximum,
            heel("GZ_max_at_deg", nan),
            heel("deck_edge_immersion_deg"),
            heel("downflooding_deg"),
            figures.get("downflooding_opening") or "",
        )

    @property
    def name(self) -> str:
        """'starboard' or 'port'."""
        return "starboard" if self.sign > 0 else "port"


@dataclass(frozen=True)
class GZFigures:
    """What the chart is made from: runs of points (n, 2) of GZ, heel (rad) and lever (m); the sides
    shown, the weaker first; both sides if known; heeling levers towards the weaker side."""

    name: str
    runs: Sequence[Floats]
    sides: tuple[SideFigures, ...]
    both: tuple[SideFigures, ...]
    span: tuple[float, float]
    lengths: Lengths
    GM: float | None = None
    upright: float = 0.0
    equilibrium: float = nan
    levers: Sequence[tuple[str, Floats]] = ()
    looked: tuple[float, float] | None = None
    shows: Shows = "still"
    kind: str = "GZ curve"
    footnote: str = ""


def gz_chart(figures: GZFigures) -> Chart:
    """The chart of a GZ curve."""
    up = _up(figures)
    low, high = figures.span
    ends = ("port", "starboard") if low < 0 < high else ("", "")
    lone = {1: "starboard", -1: "port"}.get(figures.sides[0].sign if len(figures.both) > 1 else 0)
    name = "Heel" if ends[0] or lone is None else f"Heel to {lone}"
    return Chart(
        _title(figures),
        figures.kind,
        Axis(name, Angles(), (low, high), ends),
        Axis("GZ", figures.lengths, up),
        tuple(_parts(figures, up)),
        shows=figures.shows,
        footnote=figures.footnote,
    )


def _title(figures: GZFigures) -> tuple[str, ...]:
    """The vessel's name, GM and range, the most important first."""
    title = [figures.name]
    if figures.GM is not None:
        title.append(f"{_GM_name(figures)} {figures.lengths(figures.GM)}")
    if not figures.sides:
        return tuple(title)
    side = figures.sides[0]
    if not side.range > 0:
        return (*title, "no positive GZ")
    reach = (
        f"range {angle(side.range)}" if isfinite(side.vanishing_angle) else "rights from any heel"
    )
    if len(figures.sides) > 1:
        reach += f" to {side.name}"
    to_flooding = side.downflooding - side.equilibrium
    if 0 <= to_flooding < side.range:
        reach += f", {angle(to_flooding)} to downflooding"
    return (*title, reach)


def _GM_name(figures: GZFigures) -> str:
    """'GM', or 'GM upright' where the vessel is not at rest upright: the slope of GZ there."""
    return "GM" if abs(figures.equilibrium) <= UPRIGHT else "GM upright"


def _tangent_end(figures: GZFigures) -> float:
    """The lever (m) at one radian of the tangent to the curve at upright."""
    sign = figures.sides[0].sign if figures.sides else 1
    return figures.upright + sign * (figures.GM or 0.0)


def _up(figures: GZFigures) -> tuple[float, float]:
    """The levers shown (m)."""
    ends = [0.0, *(float(y) for run in figures.runs for y in (run[:, 1].min(), run[:, 1].max()))]
    for _, points in figures.levers:
        ends += [float(points[:, 1].min()), float(points[:, 1].max())] if len(points) else []
    tallest = max(*map(abs, ends), FLATTEST) if len(ends) > 1 else 1.0
    if figures.GM is not None and abs(_tangent_end(figures)) <= TALLEST_GM * tallest:
        ends.append(_tangent_end(figures))
    low, high = min(ends), max(ends)
    pad = HEADROOM * max(high - low, tallest)
    return low - (pad if low < 0 else 0.0), high + pad


def _parts(figures: GZFigures, up: tuple[float, float]) -> Iterator[Part]:
    for side in figures.sides:
        yield from _area(figures, side)
    if figures.GM is not None and figures.runs:
        yield from _tangent(figures, up)
    shares = np.linspace(*NAMED, max(len(figures.levers), 1))
    for (name, points), share in zip(figures.levers, shares, strict=False):
        if len(points):
            yield Line(points, "lever", "dashed", 1.4)
            x, y = points[round((len(points) - 1) * float(share))]
            yield Note(x, y, name, HEELS, "lever")
    yield from _curve(figures)
    if figures.looked:
        heel, arm = figures.looked
        yield Line(np.array([[heel, up[0]], [heel, up[1]]]), "looked", width=1.4)
        yield Mark(heel, arm, "looked", "large dot")
        label = f"{angle(heel)}: GZ {figures.lengths(arm if heel >= 0 else -arm)}"
        yield Note(heel, arm, label, LOOKED, "looked")
    if figures.span[0] <= figures.equilibrium <= figures.span[1]:
        yield Mark(figures.equilibrium, 0.0, "ink", "pointer up")
        if abs(figures.equilibrium) > UPRIGHT:
            text = f"list {angle(figures.equilibrium)}"
            way = "starboard" if figures.equilibrium > 0 else "port"
            yield Note(figures.equilibrium, 0.0, f"{text} to {way}", RESTS, "ink", text)
    for number, side in enumerate(figures.sides):
        yield from _marks(figures, side, LAST if number else 0)


def _area(figures: GZFigures, side: SideFigures) -> Iterator[Part]:
    """The area under GZ that counts: from the angle of list to 40 degrees or downflooding."""
    start = side.equilibrium if isfinite(side.equilibrium) else 0.0
    end = max(min(AREA_TO, side.downflooding), start) if side.range > 0 else start
    low, high = sorted((side.sign * start, side.sign * end))
    for run in figures.runs:
        inside = _between(run, low, high)
        if len(inside) > 1:
            yield Ground(inside)
            if inside[0, 0] < low + UPRIGHT and high - UPRIGHT < inside[-1, 0]:
                middle = side.sign * (0.4 * start + 0.6 * end)
                y = float(np.interp(middle, *run.T)) / 3
                why = ", downflooding" if side.downflooding < AREA_TO else ""
                text = f"area to {angle(end)}"
                yield Note(middle, y, text + why, MAY + 1, "quiet", text)


def _between(run: Floats, low: float, high: float) -> Floats:
    """The part (n, 2) of a run from one heel to another."""
    inside = np.union1d(run[:, 0], [low, high])
    inside = inside[(inside >= max(low, run[0, 0])) & (inside <= min(high, run[-1, 0]))]
    return np.stack([inside, np.interp(inside, *run.T)], axis=1)


def _tangent(figures: GZFigures, up: tuple[float, float]) -> Iterator[Part]:
    """The tangent to the curve at upright, which rises by GM in one radian."""
    assert figures.GM is not None
    sign = figures.sides[0].sign if figures.sides else 1
    start = figures.upright
    rise = _tangent_end(figures) - start
    limit = up[1] if rise > 0 else up[0]
    last = figures.span[1] if sign > 0 else -figures.span[0]
    reach = min(1.0, last, 0.97 * (limit - start) / rise if rise else 1.0)
    if not reach > 0:
        return
    x, y = sign * reach, start + reach * rise
    yield Line(np.array([[0.0, start], [x, y]]), "quiet", "dotted", 1.4)
    name = _GM_name(figures)
    text = f"{name} {figures.lengths(figures.GM)}"
    if reach >= 1.0:
        yield Line(np.array([[x, start], [x, y]]), "quiet", "dotted", 1.0)
        text += f" at {angle(1.0)}"
    yield Note(x, y, text, INITIAL, "quiet", name)


def _curve(figures: GZFigures) -> Iterator[Part]:
    """GZ, with gaps where it breaks off; faint and dashed beyond downflooding."""
    flooding = {side.sign: side.downflooding for side in figures.both}
    port, starboard = -flooding.get(-1, inf), flooding.get(1, inf)
    reaches = [(-inf, port, False), (port, starboard, True), (starboard, inf, False)]
    if port >= starboard:
        reaches = [(-inf, inf, False)]
    for run in figures.runs:
        if len(run) == 1:
            yield Line(run, 0)
            continue
        for low, high, dry in reaches:
            part = _between(run, max(low, run[0, 0]), min(high, run[-1, 0]))
            if len(part) < 2 or not part[0, 0] < part[-1, 0]:
                continue
            if dry:
                yield Line(part, 0)
                continue
            yield Line(part, 0, "dashed", 1.6, faint=True)
            x, y = part[len(part) // 2]
            yield Note(x, y, "beyond downflooding", MAY + 2, "quiet")


def _marks(figures: GZFigures, side: SideFigures, later: int) -> Iterator[Part]:
    """Deck edge, downflooding, vanishing stability and maximum GZ of a side."""
    at = _on_curve(figures, side, side.deck_edge_angle)
    if at and side.deck_edge_angle > side.equilibrium:
        yield Mark(*at, "ink", "tick")
        text = f"deck-edge immersion {angle(side.deck_edge_angle)}"
        yield Note(*at, text, later + EDGE, "ink", f"deck edge {angle(side.deck_edge_angle)}")
    at = _on_curve(figures, side, side.downflooding)
    if at:
        x, y = at
        yield Line(np.array([[x, 0.0], [x, y]]), "warning", width=1.4)
        yield Mark(x, y, "warning")
        text = f"downflooding {angle(side.downflooding)}"
        more = f", {side.opening}" if side.opening else ""
        yield Note(x, y, text + more, FLOODS, "warning", text)
    if not side.range > 0:
        return
    at = _on_curve(figures, side, side.vanishing_angle)
    if at:
        yield Mark(*at, "ink")
        text = f"vanishing stability {angle(side.vanishing_angle)}"
        yield Note(*at, f"angle of {text}", later + VANISHES, "ink", text.replace(" stability", ""))
    at = _on_curve(figures, side, side.maximum_at)
    if at:
        yield Mark(*at, 0)
        text = f"maximum GZ {figures.lengths(side.maximum)}"
        yield Note(*at, f"{text} at {angle(side.maximum_at)}", later + GREATEST, "ink", text)


def _on_curve(figures: GZFigures, side: SideFigures, heel: float) -> tuple[float, float] | None:
    """The place on the curve of a heel to a side, if it is shown."""
    there = side.sign * heel
    for run in figures.runs:
        if run[0, 0] <= there <= run[-1, 0]:
            return there, float(np.interp(there, *run.T))
    return None
