"""Results of stability as plain dictionaries, keyed as `keys` declares."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from ..core.advice.actions_for_criteria import actions_for_criteria
from ..core.advice.corrective_actions import find_corrective_actions
from ..core.criteria.assessment import Assessment
from ..core.criteria.verdict import Verdict
from ..core.hydrostatics.floating_position import FloatingPosition
from ..core.messages.findings import Finding
from ..core.messages.sentence import Sentence, named
from ..core.model.hull import Hull
from ..core.stability.both_sides import SideStability
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
