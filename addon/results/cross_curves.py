"""Cross curves of stability as plain dictionaries, keyed as `keys` declares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from ..core.model.case import Case
from ..core.stability.cross_curves import CrossCurve
from ..units.angles import exact_degrees
from .floating import closing, finding_texts, heading, plain


def cross_curves_result(
    case: Case,
    curves: Sequence[CrossCurve],
    heels: Iterable[float],
    KG: float | None = None,
    fixed_trim: bool = False,
) -> dict[str, Any]:
    """KN at heels (rad) over displacement; `KG` (m) is the height of G by which trim was found."""
    return plain(
        {
            **heading(case),
            **finding_texts(case.findings),
            "KG_assumed_m": case.hull.depth / 2 if KG is None else KG,
            "fixed_trim": fixed_trim,
            "heel_deg": [exact_degrees(heel) for heel in heels],
            "rows": [
                {
                    "displacement_kg": curve.displacement,
                    "draft_m": curve.draft,
                    "KN_m": curve.KN.tolist(),
                    "converged": curve.converged.tolist(),
                }
                for curve in curves
            ],
            **closing(),
        }
    )


def cross_curve_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Cross curves as rows, one per displacement, with a column per heel."""
    names = [f"KN_{heel:g}deg_m" for heel in result["heel_deg"]]
    return [
        {
            "displacement_kg": row["displacement_kg"],
            "draft_m": row["draft_m"],
            **dict(zip(names, row["KN_m"], strict=True)),
        }
        for row in result["rows"]
    ]
