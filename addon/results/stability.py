"""Results of stability as plain dictionaries, by the names of the command line's contract."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from ..core.advice.corrective_actions import cures, remedies
from ..core.criteria.assessment import Assessment
from ..core.criteria.limiting_kg import Limit
from ..core.criteria.verdict import Verdict
from ..core.hydrostatics.floating_position import Floating
from ..core.messages.findings import Finding
from ..core.messages.sentence import Sentence, named
from ..core.model.case import Case
from ..core.model.hull import Hull
from ..core.stability.both_sides import Side
from ..core.stability.cross_curves import CrossCurve
from ..core.stability.heeling_levers import Lever
from ..core.stability.righting_lever import Held
from ..units.angles import exact_degrees
from .floating import PARTICULARS, advised, closing, heading, lost, opening_told, plain, said
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
    *("freeboard_min_m", "KG_m", "GM_m", "GM_fluid_m"),
)

HELD: dict[str, Callable[[Held, Hull], Any]] = {
    "GZ_m": lambda held, hull: held.arm,
    "trim_m": lambda held, hull: (
        held.attitude.draft_at(0.0) - held.attitude.draft_at(hull.length_pp)
    ),
    "trim_deg": lambda held, hull: np.degrees(held.attitude.trim_rad),
    "draft_mid_m": lambda held, hull: held.attitude.draft_at(hull.midship_x),
    "settled": lambda held, hull: held.settled,
    "volume_residual": lambda held, hull: held.rest.volume_residual,
    "arm_residual_m": lambda held, hull: held.rest.arm_residual,
}
"""Figures of a ship held at a heel."""

SIGNED = (
    *("rest_heel_deg", "GZ_max_m", "GZ_max_at_deg", "vanishing_deg"),
    *("deck_edge_deg", "downflooding_deg", "GZ_max_to_flooding_m", "GZ_max_to_flooding_at_deg"),
)
UNSIGNED = ("range_deg", "range_to_flooding_deg", "downflooding_opening", *AREAS, "area_to_deg")

COMPARED = (
    *("GZ_max_m", "GZ_max_at_deg", "range_deg", "vanishing_deg"),
    *("deck_edge_deg", "downflooding_deg"),
    *("GZ_max_to_flooding_m", "GZ_max_to_flooding_at_deg", "range_to_flooding_deg"),
)
"""Figures of the weaker side by which conditions are compared."""

AS_IT_STANDS = "as it stands"
"""What the case itself is called among its conditions."""


def stability_result(judged: Assessment, heels: Iterable[float]) -> dict[str, Any]:
    """Righting arms at heels (rad), what follows from them, and the criteria.

    GM_m is the slope of GZ upright, free surfaces counted. The angles beside the curve belong to
    the side to which it runs further and have its signs, starboard positive; those of `sides`
    count positive to each side. The greatest GZ, range and vanishing angle are those of the closed
    hull; areas, and what has `to_flooding` in its name, end where water gets in. Beyond 90 degrees
    there is no trim_m.
    """
    ship, heels = judged.stability, tuple(heels)
    held = [ship.curve.at(heel) for heel in heels]
    side = ship.starboard if max(heels) >= -min(heels) else ship.port
    sides = {each.name: _side(each) for each in (ship.starboard, ship.port)}
    told = sides[side.name]
    failed = [verdict.code for verdict in judged.failed]
    return plain(
        {
            **_opening(ship.floating, [*lost(ship.floating), *failed]),
            **said((*ship.findings, *_yardstick(judged))),
            "advice": advised([*remedies(ship.floating), *cures(judged)]),
            "fixed_trim": ship.curve.heeling.trim is not None,
            "GM_m": ship.GM,
            "heel_deg": [exact_degrees(heel) for heel in heels],
            **{key: [tell(each, ship.case.hull) for each in held] for key, tell in HELD.items()},
            "area_m_rad": [ship.curve.arms.area(0.0, heel) for heel in heels],
            "side": side.name,
            **{key: side.sign * told[key] for key in SIGNED},
            **{key: told[key] for key in UNSIGNED},
            "weaker_side": ship.weaker.name,
            "sides": sides,
            "heeling_arms": [_lever(lever, ship.weaker, heels) for lever in judged.heeling_arms],
            "criteria": [_verdict(verdict) for verdict in judged.verdicts],
            **closing(judged.verdicts),
        }
    )


def _yardstick(judged: Assessment) -> Iterator[Finding]:
    """A word on criteria that a damaged ship was held against."""
    rooms = judged.stability.case.flooded
    if rooms and judged.verdicts:
        yield Finding(
            "note",
            "damaged",
            Sentence(
                "She is damaged, {rooms} open to the sea: the criteria are those of an intact "
                "ship, and only a yardstick here",
                rooms=named("compartment", rooms),
            ),
        )


def sunk_result(ship: Floating, heels: Iterable[float], fixed_trim: bool = False) -> dict[str, Any]:
    """The same of a ship that sinks, who has no righting arms."""
    heels = tuple(heels)
    return plain(
        {
            **_opening(ship, lost(ship)),
            **said(ship.findings),
            "advice": [],
            "fixed_trim": fixed_trim,
            "GM_m": None,
            "heel_deg": [exact_degrees(heel) for heel in heels],
            **{key: [None] * len(heels) for key in (*HELD, "area_m_rad")},
            "side": None,
            **dict.fromkeys((*SIGNED, *UNSIGNED)),
            "weaker_side": None,
            "sides": {},
            "heeling_arms": [],
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
    """KN at heels (rad) over displacement; `KG` is the height of G that trim was sought with."""
    return plain(
        {
            **heading(case),
            **said(case.findings),
            "KG_assumed_m": case.hull.depth / 2 if KG is None else KG,
            "fixed_trim": fixed_trim,
            "heel_deg": [exact_degrees(heel) for heel in heels],
            "rows": [
                {
                    "displacement_kg": curve.displacement,
                    "draft_m": curve.draft,
                    "KN_m": curve.KN.tolist(),
                    "settled": curve.settled.tolist(),
                }
                for curve in curves
            ],
            **closing(),
        }
    )


def limits_result(
    case: Case, limits: Iterable[Limit], verdicts: Iterable[Verdict] = (), own: Limit | None = None
) -> dict[str, Any]:
    """The greatest KG over displacement, free surfaces counted as a rise of G.

    `own` is the limit at the displacement of the case, against which its KG_m, with the rise by
    its free surfaces, is held; `verdicts` show which codes have a say.
    """
    return plain(
        {
            **heading(case),
            **said(case.findings),
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


def _own_limit(case: Case, own: Limit | None) -> dict[str, Any]:
    """Where the ship herself is."""
    if own is None:
        nothing = dict.fromkeys(("displacement_kg", "KG_m", "KG_max_m", "margin_m"))
        return {"failed": [], **nothing, "governing": []}
    height = case.load.solid.centre[2] + case.load.free_surface_correction
    margin = None if own.KG is None else own.KG - height
    return {
        "failed": ["KG"] if margin is None or margin < 0 else [],
        "displacement_kg": own.displacement,
        "KG_m": height,
        "KG_max_m": own.KG,
        "margin_m": margin,
        "governing": list(own.governing),
    }


def _opening(ship: Floating, failed: Iterable[str]) -> dict[str, Any]:
    """Who she is, how she floats, and what she fails."""
    figures = ship.hydrostatics
    told = {name: tell(figures) if figures else None for name, tell in PARTICULARS.items()}
    told |= {
        "displacement_kg": ship.weight.mass,
        "KG_m": ship.KG,
        "GM_m": ship.GM,
        "GM_fluid_m": ship.GM_fluid,
    }
    return {
        **heading(ship.case),
        "state": ship.state,
        "floating": {key: told[key] for key in FLOATING},
        "failed": list(dict.fromkeys(failed)),
    }


def _side(side: Side) -> dict[str, Any]:
    first = side.first_flooding
    end = min(float(np.radians(40.0)), side.flooding, float(side.arms.heels[-1]))
    greatest_at, greatest = side.greatest_to_flooding
    return {
        "rest_heel_deg": np.degrees(side.rest_heel),
        "vanishing_deg": np.degrees(side.vanishing),
        "range_deg": np.degrees(side.range),
        "GZ_max_m": side.greatest_arm,
        "GZ_max_at_deg": np.degrees(side.greatest_heel),
        "deck_edge_deg": np.degrees(side.deck_edge),
        "downflooding_deg": np.degrees(side.flooding),
        "downflooding_opening": first and first.opening.name,
        "GZ_max_to_flooding_m": greatest,
        "GZ_max_to_flooding_at_deg": np.degrees(greatest_at),
        "range_to_flooding_deg": np.degrees(side.range_to_flooding),
        **{
            key: side.arms.area(*np.minimum(np.radians(between), end))
            for key, between in AREAS.items()
        },
        "area_to_deg": np.degrees(end),
        "openings": [
            {**opening_told(each.opening), "heel_deg": np.degrees(each.heel)}
            for each in side.immersed
        ],
    }


def _lever(lever: Lever, side: Side, heels: Sequence[float]) -> dict[str, Any]:
    """A heeling arm to one side, by the signs of the curve."""
    return {"name": lever.name, "arm_m": side.sign * lever.arm(side.sign * np.array(heels))}


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "code": verdict.code,
        "clause": verdict.clause,
        "what": verdict.what,
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
    """The curve as rows, one a heel."""
    columns = {key: result[key] for key in ("heel_deg", *HELD, "area_m_rad")}
    columns |= {f"{arm['name']} arm_m": arm["arm_m"] for arm in result["heeling_arms"]}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def condition_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Conditions as rows, one each; range and greatest GZ are those of the weaker side."""
    rows = []
    for state in result["conditions"]:
        side = state["sides"].get(state["weaker_side"], {})
        outcomes = [verdict["passes"] for verdict in state["criteria"]]
        rows.append(
            {
                "condition": state["condition"],
                "state": state["state"],
                **state["floating"],
                "GM_m": state["GM_m"],
                "weaker_side": state["weaker_side"],
                **{key: side.get(key) for key in COMPARED},
                "criteria_passed": outcomes.count(True),
                "criteria_failed": outcomes.count(False),
            }
        )
    return rows


def cross_curve_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Cross curves as rows, one a displacement, with a column a heel."""
    names = [f"KN_{heel:g}deg_m" for heel in result["heel_deg"]]
    return [
        {
            "displacement_kg": row["displacement_kg"],
            "draft_m": row["draft_m"],
            **dict(zip(names, row["KN_m"], strict=True)),
        }
        for row in result["rows"]
    ]


def limit_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Limits as rows, one a displacement."""
    return [{**row, "governing": "; ".join(row["governing"])} for row in result["rows"]]
