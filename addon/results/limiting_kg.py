"""Limiting KG as plain dictionaries, keyed as `keys` declares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from ..core.criteria.limiting_kg import LimitingKG
from ..core.criteria.verdict import Verdict
from ..core.model.case import Case
from .floating import closing, finding_texts, heading, plain


def limiting_kg_result(
    case: Case,
    limits: Iterable[LimitingKG],
    verdicts: Iterable[Verdict] = (),
    own: LimitingKG | None = None,
) -> dict[str, Any]:
    """Limiting KG (m) over displacement (kg), free surfaces counted as a rise of G.

    `own` is the limit at the displacement of the case, with which its KG_m, raised by its free
    surfaces, is compared; `verdicts` show which codes apply.
    """
    return plain(
        {
            **heading(case),
            **finding_texts(case.findings),
            **_own_limit(case, own),
            "rows": [
                {
                    "displacement_kg": limit.displacement,
                    "draft_m": limit.draft,
                    "KM_m": limit.KM,
                    "KG_max_m": limit.KG,
                    "GM_min_m": limit.GM,
                    "governing": list(limit.governing),
                }
                for limit in limits
            ],
            **closing(verdicts),
        }
    )


def _own_limit(case: Case, own: LimitingKG | None) -> dict[str, Any]:
    """KG of the case, and its limiting KG."""
    if own is None:
        nothing = dict.fromkeys(("displacement_kg", "KG_m", "KG_max_m", "margin_m"))
        return {"failed": [], **nothing, "governing": []}
    height = case.load.solid.center[2] + case.load.free_surface_correction
    margin = None if own.KG is None else own.KG - height
    return {
        "failed": ["KG"] if margin is None or margin < 0 else [],
        "displacement_kg": own.displacement,
        "KG_m": height,
        "KG_max_m": own.KG,
        "margin_m": margin,
        "governing": list(own.governing),
    }


def limiting_kg_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Limits as rows, one per displacement."""
    return [{**row, "governing": "; ".join(row["governing"])} for row in result["rows"]]
