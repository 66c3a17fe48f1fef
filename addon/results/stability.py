"""Results of stability as plain dictionaries, keyed as `keys` declares."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from ..core.advice.corrective_actions import actions_for_criteria, find_corrective_actions
from ..core.criteria.assessment import Assessment
from ..core.criteria.limiting_kg import LimitingKG
from ..core.criteria.verdict import Verdict
from ..core.hydrostatics.floating_position import FloatingPosition
from ..core.messages.findings import Finding
from ..core.messages.sentence import Sentence, named
from ..core.model.case import Case
from ..core.model.hull import Hull
from ..core.stability.both_sides import SideStability
from ..core.stability.cross_curves import CrossCurve
from ..core.stability.heeling_levers import Lever
from ..core.stability.righting_lever import HeeledPosition
from ..units.angles import exact_degrees
from .floating import (
    PARTICULARS,
    action_texts,
    closing,
    finding_texts,
    heading,
    lost,
    opening_fields,
    plain,
)
from .keys.shared import HEADING

PASSES = {"passes": True, "fails": False}

AREAS = {
    "area_to_30_m_rad": (0.0, 30.0),
    "area_to_40_m_rad": (0.0, 40.0),
    "area_30_to_40_m_rad": (30.0, 40.0),
}
"""Areas under GZ, by the heels (degrees) between which they are taken."""

FLOATING = (
    *("displacement_kg", "draft_aft_m", "draft_mid_m", "draft_forward_m", "trim_m", "heel_deg"),
    *("freeboard_min_m", "KG_m", "GM_solid_m", "GM_m"),
)

HELD: dict[str, Callable[[HeeledPosition, Hull], Any]] = {
    "GZ_m": lambda held, hull: held.arm,
    "trim_m": lambda held, hull: (
        held.attitude.draft_at(0.0) - held.attitude.draft_at(hull.length_pp)
    ),
    "trim_deg": lambda held, hull: np.degrees(held.attitude.trim_rad),
    "draft_mid_m": lambda held, hull: held.attitude.draft_at(hull.midship_x),
    "converged": lambda held, hull: held.converged,
    "volume_residual": lambda held, hull: held.equilibrium.volume_residual,
    "lever_residual_m": lambda held, hull: held.equilibrium.lever_residual,
}
"""Figures of the vessel held at a heel."""

SIGNED = (
    *("equilibrium_heel_deg", "GZ_max_m", "GZ_max_at_deg", "vanishing_stability_deg"),
    *(
        "deck_edge_immersion_deg",
        "downflooding_deg",
        "GZ_max_to_downflooding_m",
        "GZ_max_to_downflooding_at_deg",
    ),
)
UNSIGNED = ("range_deg", "range_to_downflooding_deg", "downflooding_opening", *AREAS, "area_to_deg")

COMPARED = (
    *("GZ_max_m", "GZ_max_at_deg", "range_deg", "vanishing_stability_deg"),
    *("deck_edge_immersion_deg", "downflooding_deg"),
    *("GZ_max_to_downflooding_m", "GZ_max_to_downflooding_at_deg", "range_to_downflooding_deg"),
)
"""Figures of the weaker side by which conditions are compared."""

AS_MODELED = "as modeled"
"""The name of the case itself among its conditions."""


def stability_result(assessment: Assessment, heels: Iterable[float]) -> dict[str, Any]:
    """The GZ curve at heels (rad, + to starboard), its figures, and the criteria.

    GM_upright_m is the slope of GZ at upright, free surfaces included. The angles beside the curve
    belong to the side to which it runs further and have its sign; those of `sides` are positive to
    each side. Maximum GZ, range and angle of vanishing stability are those of the closed hull;
    areas, and keys with `to_flooding`, end at the downflooding angle. Beyond 90 degrees trim_m is
    None.
    """
    ship, heels = assessment.stability, tuple(heels)
    held = [ship.curve.at(heel) for heel in heels]
    side = ship.starboard if max(heels) >= -min(heels) else ship.port
    sides = {each.name: _side(each) for each in (ship.starboard, ship.port)}
    values = sides[side.name]
    failed = [verdict.code for verdict in assessment.failed]
    return plain(
        {
            **_opening(ship.floating, [*lost(ship.floating), *failed]),
            **finding_texts((*ship.findings, *_damaged_note(assessment))),
            "corrective_actions": action_texts(
                [*find_corrective_actions(ship.floating), *actions_for_criteria(assessment)]
            ),
            "fixed_trim": ship.curve.heeling.trim is not None,
            "GM_upright_m": ship.GM,
            "heel_deg": [exact_degrees(heel) for heel in heels],
            **{
                key: [value_of(each, ship.case.hull) for each in held]
                for key, value_of in HELD.items()
            },
            "area_m_rad": [ship.curve.gz_curve.area(0.0, heel) for heel in heels],
            "side": side.name,
            **{key: side.sign * values[key] for key in SIGNED},
            **{key: values[key] for key in UNSIGNED},
            "weaker_side": ship.weaker.name,
            "sides": sides,
            "heeling_levers": [
                _lever(lever, ship.weaker, heels) for lever in assessment.heeling_levers
            ],
            "criteria": [_verdict(verdict) for verdict in assessment.verdicts],
            **closing(assessment.verdicts),
        }
    )


def _damaged_note(assessment: Assessment) -> Iterator[Finding]:
    """A note that intact criteria were checked on a damaged vessel."""
    compartments = assessment.stability.case.flooded
    if compartments and assessment.verdicts:
        yield Finding(
            "note",
            "damaged",
            Sentence(
                "The vessel is damaged, {compartments} open to the sea: the criteria are those for "
                "intact stability, and serve only for comparison here",
                compartments=named("compartment", compartments),
            ),
        )


def sunk_result(
    ship: FloatingPosition, heels: Iterable[float], fixed_trim: bool = False
) -> dict[str, Any]:
    """The same for a vessel that sinks, which has no GZ curve."""
    heels = tuple(heels)
    return plain(
        {
            **_opening(ship, lost(ship)),
            **finding_texts(ship.findings),
            "corrective_actions": [],
            "fixed_trim": fixed_trim,
            "GM_upright_m": None,
            "heel_deg": [exact_degrees(heel) for heel in heels],
            **{key: [None] * len(heels) for key in (*HELD, "area_m_rad")},
            "side": None,
            **dict.fromkeys((*SIGNED, *UNSIGNED)),
            "weaker_side": None,
            "sides": {},
            "heeling_levers": [],
            "criteria": [],
            **closing(),
        }
    )


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


def _opening(ship: FloatingPosition, failed: Iterable[str]) -> dict[str, Any]:
    """The heading, the floating position, and the failed checks."""
    figures = ship.hydrostatics
    values = {
        name: value_of(figures) if figures else None for name, value_of in PARTICULARS.items()
    }
    values |= {
        "displacement_kg": ship.weight.mass,
        "KG_m": ship.KG,
        "GM_solid_m": ship.GM,
        "GM_m": ship.GM_fluid,
    }
    return {
        **heading(ship.case),
        "state": ship.state,
        "floating": {key: values[key] for key in FLOATING},
        "failed": list(dict.fromkeys(failed)),
    }


def _side(side: SideStability) -> dict[str, Any]:
    first = side.first_downflooding
    end = min(float(np.radians(40.0)), side.downflooding_angle, float(side.gz_curve.heels[-1]))
    greatest_at, greatest = side.max_gz_to_downflooding
    return {
        "equilibrium_heel_deg": np.degrees(side.equilibrium_heel),
        "vanishing_stability_deg": np.degrees(side.vanishing_angle),
        "range_deg": np.degrees(side.range),
        "GZ_max_m": side.max_gz,
        "GZ_max_at_deg": np.degrees(side.max_gz_heel),
        "deck_edge_immersion_deg": np.degrees(side.deck_edge_angle),
        "downflooding_deg": np.degrees(side.downflooding_angle),
        "downflooding_opening": first and first.opening.name,
        "GZ_max_to_downflooding_m": greatest,
        "GZ_max_to_downflooding_at_deg": np.degrees(greatest_at),
        "range_to_downflooding_deg": np.degrees(side.range_to_downflooding),
        **{
            key: side.gz_curve.area(*np.minimum(np.radians(between), end))
            for key, between in AREAS.items()
        },
        "area_to_deg": np.degrees(end),
        "openings": [
            {**opening_fields(each.opening), "heel_deg": np.degrees(each.heel)}
            for each in side.immersions
        ],
    }


def _lever(lever: Lever, side: SideStability, heels: Sequence[float]) -> dict[str, Any]:
    """A heeling lever to one side, with the signs of the curve."""
    return {"name": lever.name, "lever_m": side.sign * lever.arm(side.sign * np.array(heels))}


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "code": verdict.code,
        "clause": verdict.clause,
        "description": verdict.what,
        "required": verdict.required,
        "attained": verdict.attained,
        "margin": verdict.margin,
        "unit": verdict.unit,
        "sense": verdict.sense,
        "outcome": verdict.outcome,
        "passes": PASSES.get(verdict.outcome),
        "reason": verdict.reason,
        "note": verdict.note,
    }


def stability_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The curve as rows, one per heel."""
    columns = {key: result[key] for key in ("heel_deg", *HELD, "area_m_rad")}
    columns |= {f"{arm['name']} lever_m": arm["lever_m"] for arm in result["heeling_levers"]}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


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


def limiting_kg_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Limits as rows, one per displacement."""
    return [{**row, "governing": "; ".join(row["governing"])} for row in result["rows"]]
