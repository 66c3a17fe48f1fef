"""Results of flooding as plain dictionaries, keyed as `keys` declares."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import degrees, nan
from typing import Any

import numpy as np

from ..core.buoyancy.attitude import Attitude
from ..core.damage.breach import Breach
from ..core.damage.bulkhead_suggestion import BulkheadSuggestion
from ..core.damage.floodable_length import FloodableLength
from ..core.damage.floodable_vessel import FloodedLength
from ..core.damage.flooding_paths import path_label
from ..core.damage.flooding_result import FloodingResult, worst
from ..core.damage.subdivision import subdivide
from ..core.flooding_time.flooding_history import FloodingHistory
from ..core.model.case import Case
from .floating import PARTICULARS, closing, finding_texts, float_result, heading, plain

RESIDUAL_HEELS = np.arange(0.0, 91.0, 2.0)
"""Heels (degrees) at which the residual GZ is given."""
AFLOAT = (
    *("draft_aft_m", "draft_mid_m", "draft_forward_m", "trim_m", "trim_deg", "heel_deg"),
    "freeboard_min_m",
)


def flood_result(flooded: FloodingResult) -> dict[str, Any]:
    """The damaged equilibrium with compartments open to the sea, and the residual stability.

    `compartments` were opened, `compartments_flooded` are open at the end. The residual GZ (m) is
    that of the side to which the vessel lists, positive to that side.
    """
    return plain(
        {
            **float_result(flooded.floating),
            "failed": _failed(flooded),
            **_flooded(flooded),
            **_arms(flooded),
            **closing(),
        }
    )


def flood_cases_result(case: Case, floodings: Sequence[FloodingResult]) -> dict[str, Any]:
    """Several floodings, one per row; `worst` has the compartments of the worst one.

    Where `residual_curve_complete` is false the curve was computed no further than the s-factor
    needs: its range, maximum GZ and area are lower bounds.
    """
    failed = [code for flooded in floodings for code in _failed(flooded)]
    return plain(
        {
            **heading(case),
            "failed": list(dict.fromkeys(failed)),
            **finding_texts(case.findings),
            "rows": [{**_flooded(flooded), **_afloat(flooded)} for flooded in floodings],
            "survived": sum(flooded.survives for flooded in floodings),
            "lost": sum(not flooded.survives for flooded in floodings),
            "worst": list(worst(floodings).breached),
            **closing(),
        }
    )


def _failed(flooded: FloodingResult) -> list[str]:
    if flooded.survives:
        return []
    return ["not-converged" if flooded.outcome == "afloat" else flooded.outcome]


def _flooded(flooded: FloodingResult) -> dict[str, Any]:
    left = flooded.residual
    return {
        "compartments": list(flooded.breached),
        "compartments_flooded": list(flooded.compartments),
        "progressive_flooding": [
            {"compartment": each.compartment, "through": path_label(each.kind, each.through)}
            for each in flooded.progression
        ],
        "outcome": flooded.outcome,
        "survives": flooded.survives,
        "margin_line_immersed": flooded.margin_line_immersed,
        "reason": flooded.explanation,
        "flooded_volume_m3": flooded.water,
        "residual_GZ_max_m": left.max_gz if left else 0.0,
        "residual_range_deg": degrees(left.range) if left else 0.0,
        "residual_area_m_rad": left.area if left else 0.0,
        "residual_curve_complete": left.complete if left else True,
        "s_factor": flooded.s_factor,
        "residual_freeboard_m": flooded.residual_freeboard,
        "freeboards": [
            {"opening": name, "height_above_water_m": height} for name, height in flooded.freeboards
        ],
    }


def _afloat(flooded: FloodingResult) -> dict[str, Any]:
    """The main figures of the floating position."""
    figures, ship = flooded.floating.hydrostatics, flooded.floating
    briefly = {key: PARTICULARS[key](figures) if figures else None for key in AFLOAT}
    return {"state": ship.state, **briefly, "GM_solid_m": ship.GM, "GM_m": ship.GM_fluid}


def _arms(flooded: FloodingResult) -> dict[str, Any]:
    ship, left = flooded.stability, flooded.residual
    if not ship:
        return {
            **dict.fromkeys(("residual_side", "residual_equilibrium_deg")),
            **dict.fromkeys(("residual_heel_deg", "residual_GZ_m"), []),
        }
    side = ship.weaker
    if left:
        side = ship.starboard if left.sign > 0 else ship.port
    return {
        "residual_side": side.name,
        "residual_equilibrium_deg": degrees(left.heel) if left else None,
        "residual_heel_deg": RESIDUAL_HEELS.tolist(),
        "residual_GZ_m": side.gz_curve.arm(np.radians(RESIDUAL_HEELS)),
    }


def flood_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Floodings as rows, one each, lists joined by semicolons."""
    return [
        {
            **{
                key: value
                for key, value in row.items()
                if key not in ("progressive_flooding", "freeboards")
            },
            "compartments": "; ".join(row["compartments"]),
            "compartments_flooded": "; ".join(row["compartments_flooded"]),
        }
        for row in result["rows"]
    ]


def time_to_flood_result(
    run: FloodingHistory, compartment: str, breach: Breach | str
) -> dict[str, Any]:
    """Flooding in time through a breach, or the opening of that name: events, attitude and water
    in each compartment. `level_above_sea_m` is the level of its water above the sea."""
    waters = [Attitude(up, float(level)) for up, level in zip(run.ups, run.levels, strict=True)]
    hull = run.case.hull
    return plain(
        {
            **heading(run.case),
            "failed": [] if run.lost is None else ["lost"],
            **finding_texts((*run.findings, *hull.findings)),
            "compartment": compartment,
            **_breach(breach, run.case),
            "events": [
                {"time_s": event.time, "description": event.what, "kind": event.kind}
                for event in run.events
            ],
            "settled_s": run.settled,
            "lost_s": run.lost,
            "time_s": run.times,
            "draft_mid_m": [water.draft_at(hull.midship_x) for water in waters],
            "heel_deg": [degrees(water.heel_rad) for water in waters],
            "trim_m": [water.draft_at(0.0) - water.draft_at(hull.length_pp) for water in waters],
            "water_m3": run.water.sum(axis=1),
            "compartments": [
                {
                    "name": name,
                    "water_m3": run.water[:, i],
                    "level_above_sea_m": (run.surfaces[:, i] - run.levels).tolist(),
                }
                for i, name in enumerate(run.compartments)
            ],
            **closing(),
        }
    )


def _breach(breach: Breach | str, case: Case) -> dict[str, Any]:
    if isinstance(breach, str):
        opening = next(each for each in case.openings if each.name == breach)
        place: tuple[Any, ...] = (breach, opening.point, opening.area, None)
    else:
        place = None, breach.point, breach.area, breach.discharge_coefficient
    return dict(
        zip(("opening", "breach_m", "breach_area_m2", "discharge_coefficient"), place, strict=True)
    )


def time_to_flood_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Times as rows, with a column for the water in each compartment."""
    columns = {key: result[key] for key in ("time_s", "draft_mid_m", "heel_deg", "trim_m")}
    columns["water_m3"] = result["water_m3"]
    columns |= {
        f"{compartment['name']} water_m3": compartment["water_m3"]
        for compartment in result["compartments"]
    }
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def floodable_length_result(case: Case, curve: FloodableLength) -> dict[str, Any]:
    """Floodable length (m) over its middle (m), and the main compartments between transverse
    bulkheads compared with it; the end compartments with the longest that end there. For each
    bulkhead its permissible range while the others stay in place."""
    found = subdivide(curve, case.boundaries)
    return plain(
        {
            **heading(case),
            "failed": ["floodable-length"] if found.too_long else [],
            **finding_texts(case.findings),
            "permeability": curve.permeability,
            "margin_line_below_deck_m": curve.below_deck,
            "x_m": curve.centers,
            "floodable_length_m": curve.lengths,
            "main_compartments": [
                {
                    "aft_m": each.aft,
                    "forward_m": each.forward,
                    "length_m": each.length,
                    "floodable_length_m": each.allowed,
                    "survives": each.survives,
                }
                for each in found.main_compartments
            ],
            "bulkheads": [
                {
                    "x_m": each.x,
                    "boundaries": list(each.boundaries),
                    "from_m": each.permissible_range[0] if each.permissible_range else None,
                    "to_m": each.permissible_range[1] if each.permissible_range else None,
                }
                for each in found.bulkheads
            ],
            **closing(),
        }
    )


def floodable_length_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The curve as rows, one per position."""
    columns = result["x_m"], result["floodable_length_m"]
    return [{"x_m": x, "floodable_length_m": length} for x, length in zip(*columns, strict=True)]


def bulkheads_result(
    case: Case, advice: BulkheadSuggestion, count: int, permeability: float
) -> dict[str, Any]:
    """Suggested bulkhead positions, and the outcome of flooding each compartment alone."""
    return plain(
        {
            **heading(case),
            "failed": [] if advice.survives else ["lost"],
            **finding_texts(case.findings),
            "count": count,
            "permeability": permeability,
            "survives": advice.survives,
            "reason": advice.explanation,
            "residual_freeboard_m": advice.margin,
            "sufficient": advice.enough,
            "positions_m": list(advice.positions),
            "main_compartments": [_compartment(each) for each in advice.compartments],
            **closing(),
        }
    )


def _compartment(flooded: FloodedLength) -> dict[str, Any]:
    attitude = flooded.equilibrium.attitude if flooded.equilibrium else None
    return {
        "aft_m": flooded.aft,
        "forward_m": flooded.forward,
        "length_m": flooded.length,
        "outcome": flooded.outcome,
        "residual_freeboard_m": flooded.margin,
        "draft_aft_m": flooded.draft_aft,
        "draft_forward_m": flooded.draft_forward,
        "heel_deg": degrees(attitude.heel_rad) if attitude else nan,
    }


def main_compartment_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Compartments as rows."""
    return [dict(each) for each in result["main_compartments"]]
