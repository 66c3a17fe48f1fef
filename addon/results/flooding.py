"""Results of flooding as plain dictionaries, by the names of the command line's contract."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import degrees, nan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..core.buoyancy.attitude import Attitude
from ..core.damage.bulkhead_suggestion import Advice
from ..core.damage.floodable_length import Compartment, FloodableLength
from ..core.damage.flooding import Flooded, worst
from ..core.damage.flooding_paths import Hole, told
from ..core.damage.subdivision import subdivide
from ..core.flooding_time.time_to_flood import Ingress
from ..core.model.case import Case
from .floating import PARTICULARS, closing, float_result, heading, plain, said

Array = NDArray[np.float64]

ARM_HEELS = np.arange(0.0, 91.0, 2.0)
"""Heels (degrees) at which the righting arms that are left are told."""
AFLOAT = (
    *("draft_aft_m", "draft_mid_m", "draft_forward_m", "trim_m", "trim_deg", "heel_deg"),
    "freeboard_min_m",
)


def flood_result(flooded: Flooded) -> dict[str, Any]:
    """How she floats with rooms open to the sea, and what is left of her stability.

    `rooms` were opened, `rooms_flooded` are open in the end. The arms, positive to the side told,
    are those left on the side to which she heels.
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


def floods_result(case: Case, floodings: Sequence[Flooded]) -> dict[str, Any]:
    """Several floodings, one a row; `worst` has the rooms of the one she survives least.

    Where `residual_whole` is false the arms were sought no farther than the s-factor asks: their
    range, the greatest and the area are at least so great.
    """
    failed = [code for flooded in floodings for code in _failed(flooded)]
    return plain(
        {
            **heading(case),
            "failed": list(dict.fromkeys(failed)),
            **said(case.findings),
            "rows": [{**_flooded(flooded), **_afloat(flooded)} for flooded in floodings],
            "survived": sum(flooded.survives for flooded in floodings),
            "lost": sum(not flooded.survives for flooded in floodings),
            "worst": list(worst(floodings).opened),
            **closing(),
        }
    )


def _failed(flooded: Flooded) -> list[str]:
    if flooded.survives:
        return []
    return ["unsettled" if flooded.outcome == "afloat" else flooded.outcome]


def _flooded(flooded: Flooded) -> dict[str, Any]:
    left = flooded.residual
    return {
        "rooms": list(flooded.opened),
        "rooms_flooded": list(flooded.rooms),
        "spread": [
            {"room": each.room, "through": told(each.kind, each.through)} for each in flooded.spread
        ],
        "outcome": flooded.outcome,
        "survives": flooded.survives,
        "awash": flooded.awash,
        "why": flooded.why,
        "flooded_volume_m3": flooded.water,
        "residual_GZ_max_m": left.greatest_arm if left else 0.0,
        "residual_range_deg": degrees(left.range) if left else 0.0,
        "residual_area_m_rad": left.area if left else 0.0,
        "residual_whole": left.whole if left else True,
        "s_factor": flooded.s_factor,
        "margin_line_m": flooded.margin_line,
        "freeboards": [
            {"opening": name, "height_m": height} for name, height in flooded.freeboards
        ],
    }


def _afloat(flooded: Flooded) -> dict[str, Any]:
    """Where she floats, briefly."""
    figures, ship = flooded.floating.hydrostatics, flooded.floating
    briefly = {key: PARTICULARS[key](figures) if figures else None for key in AFLOAT}
    return {"state": ship.state, **briefly, "GM_m": ship.GM, "GM_fluid_m": ship.GM_fluid}


def _arms(flooded: Flooded) -> dict[str, Any]:
    ship, left = flooded.stability, flooded.residual
    if not ship:
        return {
            **dict.fromkeys(("residual_side", "residual_rest_deg")),
            **dict.fromkeys(("residual_heel_deg", "residual_GZ_m"), []),
        }
    side = ship.weaker
    if left:
        side = ship.starboard if left.sign > 0 else ship.port
    return {
        "residual_side": side.name,
        "residual_rest_deg": degrees(left.heel) if left else None,
        "residual_heel_deg": ARM_HEELS.tolist(),
        "residual_GZ_m": side.arms.arm(np.radians(ARM_HEELS)),
    }


def flood_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Floodings as rows, one each, lists told in words."""
    return [
        {
            **{key: value for key, value in row.items() if key not in ("spread", "freeboards")},
            "rooms": "; ".join(row["rooms"]),
            "rooms_flooded": "; ".join(row["rooms_flooded"]),
        }
        for row in result["rows"]
    ]


def ingress_result(run: Ingress, room: str, hole: Hole | str) -> dict[str, Any]:
    """Water coming in over time through a hole, or the opening of that name: events, attitude and
    water in each room. `over_sea_m` is the level of a room's water over that of the sea."""
    waters = [Attitude(up, float(level)) for up, level in zip(run.ups, run.levels, strict=True)]
    hull = run.case.hull
    return plain(
        {
            **heading(run.case),
            "failed": [] if run.lost is None else ["lost"],
            **said((*run.findings, *hull.findings)),
            "room": room,
            **_hole(hole, run.case),
            "events": [
                {"time_s": event.time, "what": event.what, "kind": event.kind}
                for event in run.events
            ],
            "settled_s": run.settled,
            "lost_s": run.lost,
            "time_s": run.times,
            "draft_mid_m": [water.draft_at(hull.midship_x) for water in waters],
            "heel_deg": [degrees(water.heel_rad) for water in waters],
            "trim_m": [water.draft_at(0.0) - water.draft_at(hull.length_pp) for water in waters],
            "water_m3": run.water.sum(axis=1),
            "rooms": [
                {
                    "name": name,
                    "water_m3": run.water[:, i],
                    "over_sea_m": (run.surfaces[:, i] - run.levels).tolist(),
                }
                for i, name in enumerate(run.rooms)
            ],
            **closing(),
        }
    )


def _hole(hole: Hole | str, case: Case) -> dict[str, Any]:
    if isinstance(hole, str):
        opening = next(each for each in case.openings if each.name == hole)
        place: tuple[Any, ...] = (hole, opening.point, opening.area, None)
    else:
        place = None, hole.point, hole.area, hole.discharge
    return dict(zip(("opening", "hole_m", "hole_area_m2", "discharge"), place, strict=True))


def ingress_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Times as rows, with a column for the water in each room."""
    columns = {key: result[key] for key in ("time_s", "draft_mid_m", "heel_deg", "trim_m")}
    columns["water_m3"] = result["water_m3"]
    columns |= {f"{room['name']} water_m3": room["water_m3"] for room in result["rooms"]}
    return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]


def floodable_result(case: Case, curve: FloodableLength) -> dict[str, Any]:
    """Floodable length over the place of its middle, and the compartments that her transverse
    bulkheads make held against it; those at her ends against the longest that end there. For each
    bulkhead, between which places it may stand while the others stay."""
    found = subdivide(curve, case.walls)
    return plain(
        {
            **heading(case),
            "failed": ["floodable-length"] if found.too_long else [],
            **said(case.findings),
            "permeability": curve.permeability,
            "margin_line_below_deck_m": curve.below_deck,
            "x_m": curve.centres,
            "floodable_length_m": curve.lengths,
            "compartments": [
                {
                    "aft_m": each.aft,
                    "forward_m": each.forward,
                    "length_m": each.length,
                    "floodable_length_m": each.allowed,
                    "survives": each.survives,
                }
                for each in found.stretches
            ],
            "bulkheads": [
                {
                    "x_m": each.x,
                    "walls": list(each.walls),
                    "from_m": each.leeway[0] if each.leeway else None,
                    "to_m": each.leeway[1] if each.leeway else None,
                }
                for each in found.bulkheads
            ],
            **closing(),
        }
    )


def floodable_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The curve as rows, one a place."""
    columns = result["x_m"], result["floodable_length_m"]
    return [{"x_m": x, "floodable_length_m": length} for x, length in zip(*columns, strict=True)]


def bulkheads_result(case: Case, advice: Advice, count: int, permeability: float) -> dict[str, Any]:
    """Where bulkheads do most, and what comes of each compartment flooded alone."""
    return plain(
        {
            **heading(case),
            "failed": [] if advice.survives else ["lost"],
            **said(case.findings),
            "count": count,
            "permeability": permeability,
            "survives": advice.survives,
            "why": advice.why,
            "margin_m": advice.margin,
            "enough": advice.enough,
            "positions_m": list(advice.positions),
            "compartments": [_compartment(each) for each in advice.compartments],
            **closing(),
        }
    )


def _compartment(flooded: Compartment) -> dict[str, Any]:
    attitude = flooded.rest.attitude if flooded.rest else None
    return {
        "aft_m": flooded.aft,
        "forward_m": flooded.forward,
        "length_m": flooded.length,
        "outcome": flooded.outcome,
        "margin_m": flooded.margin,
        "draft_aft_m": flooded.draft_aft,
        "draft_forward_m": flooded.draft_forward,
        "heel_deg": degrees(attitude.heel_rad) if attitude else nan,
    }


def compartment_rows(result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Compartments as rows."""
    return [dict(each) for each in result["compartments"]]
