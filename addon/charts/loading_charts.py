"""Charts over displacement, and of several conditions of loading, from results as dictionaries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import radians
from typing import Any

import numpy as np

from ..core.arrays import Floats
from ..units.mass_entry import METRIC_MASSES
from ..units.scales import Angles, Decimal
from .chart import Axis, Chart, Line, Mark, Note, Part, Tone, known, pieces, spanning
from .results import footnote, named, report_lengths

OVER, UNDER = 0.12, 0.05  # of the span of a quantity, left free over and under it


def cross_curves_chart(result: Mapping[str, Any]) -> Chart:
    """KN over displacement, one curve a heel.

    Reads `heel_deg` and `rows` ({`displacement_kg`, `KN_m` at those heels}), and those that are
    there of `title` and `criteria_note`.
    """
    rows = result["rows"]
    masses = [row["displacement_kg"] for row in rows]
    lines = [
        line
        for column, heel in enumerate(result["heel_deg"])
        for line in _curve(f"{heel:g}°", masses, [row["KN_m"][column] for row in rows], column)
    ]
    return _over_displacement(result, "cross curves of stability", "KN", masses, lines, "ends")


def limiting_kg_chart(result: Mapping[str, Any]) -> Chart:
    """Limiting KG over displacement, and where the vessel is.

    Reads `rows` ({`displacement_kg`, `KG_max_m`}), and those that are there of `title`,
    `criteria_note`, `displacement_kg`, `KG_m` and `KG_max_m`.
    """
    rows, lengths = result["rows"], report_lengths(result)
    own, KG, most = (result.get(key) for key in ("displacement_kg", "KG_m", "KG_max_m"))
    limits = {
        row["displacement_kg"]: row["KG_max_m"] for row in rows if known(row["displacement_kg"])
    }
    if known(own) and known(most):
        limits[own] = most
    masses = sorted(limits)
    curve = _curve("", masses, [limits[mass] for mass in masses], 0)
    parts: list[Part] = [*curve]
    for x, y in _points(curve)[2 * len(rows) // 3 :][:1]:
        parts.append(Note(x, y, "limiting KG", 2, 0))
    if known(own) and known(KG):
        tone: Tone = "warning" if not known(most) or KG > most else "ink"
        if known(most):
            parts.append(Line(np.array([[own, KG], [own, most]]), "quiet", "dotted", 1.4))
            margin = f"margin {lengths(most - KG)}"
            parts.append(Note(own, (KG + most) / 2, margin, 1, tone))
        parts.append(Mark(own, KG, tone, "large dot"))
        text = f"the vessel: KG {lengths(KG)} at {lengths.mass(own)}"
        parts.append(Note(own, KG, text, 0, tone))
    heights = [KG] if known(own) and known(KG) else []
    return _over_displacement(result, "limiting KG", "KG", masses, parts, "legend", own, heights)


def conditions_chart(result: Mapping[str, Any]) -> Chart:
    """GZ over heel in several conditions of loading.

    Reads `conditions` ({`condition`, `heel_deg`, `GZ_m`}), and those that are there of `title`
    and `criteria_note`.
    """
    turn = (radians(1.0), 1.0)
    parts: list[Line] = []
    for number, state in enumerate(result["conditions"]):
        name = state["condition"]
        runs = pieces(name, state["heel_deg"], state["GZ_m"])
        parts += _named(name, [run * turn for run in runs], number)
    points = _points(parts)
    low, high = spanning(points[:, 0])
    ends = ("port", "starboard") if low < 0 < high else ("", "")
    return Chart(
        (named(result),),
        "GZ curves by condition",
        Axis("Heel" if ends[0] else "Heel to starboard", Angles(), (low, high), ends),
        Axis("GZ", report_lengths(result), spanning([*points[:, 1], 0.0], OVER, OVER)),
        tuple(parts),
        footnote=footnote(result),
    )


def _curve(
    name: str, masses: Sequence[float | None], heights: Sequence[float | None], number: int
) -> list[Line]:
    return _named(name, pieces(name, masses, heights), number)


def _named(name: str, runs: Iterable[Floats], number: int) -> list[Line]:
    """The runs of one curve, of which the last bears its name."""
    lines = [Line(run, number, "own", 1.8) for run in runs]
    last = lines[-1] if lines else Line(np.zeros((0, 2)), number, "own", 1.8)
    return [*lines[:-1], Line(last.points, number, "own", 1.8, name=name)]


def _over_displacement(
    result: Mapping[str, Any],
    kind: str,
    quantity: str,
    masses: Sequence[float | None],
    parts: list[Any],
    names: Any,
    own: float | None = None,
    heights: Iterable[float] = (),
) -> Chart:
    points = _points(part for part in parts if isinstance(part, Line))
    across = [mass for mass in (*masses, own) if known(mass)]
    low, high = spanning(across, UNDER / 2, UNDER / 2, from_zero=False)
    up = spanning([*points[:, 1], *heights], OVER, UNDER)
    return Chart(
        (named(result),),
        kind,
        Axis("Displacement", Decimal(*_mass_unit(across)), (low, high)),
        Axis(quantity, report_lengths(result), up),
        tuple(parts),
        names=names,
        footnote=footnote(result),
    )


def _mass_unit(masses: Iterable[float]) -> tuple[float, str]:
    """Tonnes from one on, or kilograms: the kilograms in the unit, and its symbol."""
    symbol, unit = METRIC_MASSES["TONNES" if max(masses, default=1e3) >= 1e3 else "KILOGRAMS"]
    return unit, symbol


def _points(lines: Iterable[Line]) -> Floats:
    """The points (n, 2) of lines."""
    return np.concatenate([np.zeros((0, 2)), *(line.points for line in lines)])
