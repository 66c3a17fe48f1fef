"""Results in several loading conditions as plain dictionaries, keyed as `keys` declares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from ..core.criteria.verdict import Verdict
from .floating import closing
from .keys.shared import HEADING

COMPARED = (
    *("GZ_max_m", "GZ_max_at_deg", "range_deg", "vanishing_stability_deg"),
    *("deck_edge_immersion_deg", "downflooding_deg"),
    *("GZ_max_to_downflooding_m", "GZ_max_to_downflooding_at_deg", "range_to_downflooding_deg"),
)
"""Figures of the weaker side by which conditions are compared."""

AS_MODELED = "as modeled"
"""The name of the case itself among its conditions."""


def conditions_result(
    results: Mapping[str, Mapping[str, Any]], verdicts: Iterable[Verdict] = ()
) -> dict[str, Any]:
    """Results in several conditions, by the names of these; the first gives the hull's."""
    first = next(iter(results.values()))
    return {
        **{key.name: first[key.name] for key in HEADING},
        "failed": list(dict.fromkeys(code for each in results.values() for code in each["failed"])),
        "conditions": [{"condition": name, **result} for name, result in results.items()],
        **closing(verdicts),
    }


def condition_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Conditions as rows, one each; range and maximum GZ are those of the weaker side."""
    rows = []
    for state in result["conditions"]:
        side = state["sides"].get(state["weaker_side"], {})
        outcomes = [verdict["passes"] for verdict in state["criteria"]]
        rows.append(
            {
                "condition": state["condition"],
                "state": state["state"],
                **state["floating"],
                "GM_upright_m": state["GM_upright_m"],
                "weaker_side": state["weaker_side"],
                **{key: side.get(key) for key in COMPARED},
                "criteria_passed": outcomes.count(True),
                "criteria_failed": outcomes.count(False),
            }
        )
    return rows
