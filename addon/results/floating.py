"""Results of the floating position as plain dictionaries, keyed as `keys` declares.

Every number is in full precision; None for what has no meaning or no value.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from ..core.advice.action import CorrectiveAction
from ..core.advice.corrective_actions import find_corrective_actions
from ..core.arrays import Floats
from ..core.buoyancy.attitude import UPRIGHT_UP, Attitude
from ..core.criteria.disclaimer import CAUTION, UNCHECKED, criteria_note
from ..core.criteria.verdict import Verdict
from ..core.hydrostatics.floating_position import FloatingPosition
from ..core.hydrostatics.particulars import Hydrostatics
from ..core.hydrostatics.upright import upright_hydrostatics
from ..core.messages.findings import Finding
from ..core.model.case import Case
from ..core.model.openings import Opening
from ..core.model.tanks import Tank
from ..parts.declarations import OPENING

FORMAT = 1
"""Version of the keys of results; docs/schema/results.schema.json declares them."""

LOST = ("sunk", "swamped", "capsized", "not-converged")
"""Codes of the findings by which the vessel does not float stably."""

PARTICULARS: dict[str, Callable[[Hydrostatics], Any]] = {
    "volume_m3": lambda ship: ship.immersion.volume,
    "draft_aft_m": lambda ship: ship.draft_aft,
    "draft_forward_m": lambda ship: ship.draft_forward,
    "draft_mid_m": lambda ship: ship.draft_mid,
    "trim_m": lambda ship: ship.trim,
    "trim_deg": lambda ship: np.degrees(ship.immersion.attitude.trim_rad),
    "heel_deg": lambda ship: np.degrees(ship.immersion.attitude.heel_rad),
    "B_m": lambda ship: ship.immersion.buoyancy,
    "F_m": lambda ship: ship.immersion.flotation,
    "M_m": lambda ship: ship.metacenter,
    "KB_m": lambda ship: ship.KB,
    "BM_m": lambda ship: ship.BM,
    "BML_m": lambda ship: ship.BML,
    "KM_m": lambda ship: ship.KM,
    "KML_m": lambda ship: ship.KML,
    "waterplane_area_m2": lambda ship: ship.immersion.waterplane_area,
    "midship_area_m2": lambda ship: ship.midship_area,
    "wetted_surface_m2": lambda ship: ship.immersion.wetted_surface,
    "LWL_m": lambda ship: ship.LWL,
    "BWL_m": lambda ship: ship.BWL,
    "Cb": lambda ship: ship.Cb,
    "Cp": lambda ship: ship.Cp,
    "Cm": lambda ship: ship.Cm,
    "Cwp": lambda ship: ship.Cwp,
    "freeboard_min_m": lambda ship: ship.freeboard_min,
    "freeboard_min_at_m": lambda ship: ship.freeboard_min_at,
}

POINTS = ("B_m", "F_m", "M_m", "freeboard_min_at_m", "center_m", "centroid_m")


def float_result(ship: FloatingPosition) -> dict[str, Any]:
    """The floating position. GM_solid_m and GM_upright_solid_m are with liquids solid, GM_m
    includes free surfaces; MTC is computed from GML."""
    case, rest, figures = ship.case, ship.equilibrium, ship.hydrostatics
    mass = ship.weight.mass
    return plain(
        {
            **heading(case),
            "state": ship.state,
            "floats": ship.state == "afloat",
            "stable": rest is not None and rest.stable,
            "failed": lost(ship),
            **finding_texts(ship.findings),
            "corrective_actions": action_texts(find_corrective_actions(ship)),
            "displacement_kg": mass,
            **{name: value(figures) if figures else None for name, value in PARTICULARS.items()},
            "G_m": ship.weight.center,
            "KG_m": ship.KG,
            "GM_solid_m": ship.GM,
            "GM_m": ship.GM_fluid,
            "GM_upright_solid_m": upright_hydrostatics(case).KM - case.load.solid.center[2]
            if figures
            else None,
            "GML_m": ship.GML,
            "TPC_t_cm": figures and sinkage(figures, case),
            "MTC_tm_cm": trimming_moment(mass, ship.GML, case),
            "MTC_basis": "GML",
            "reserve_buoyancy_m3": ship.reserve_volume,
            "downflooding_point_m": ship.downflooding_point,
            "downflooding_height_m": ship.downflooding_height,
            "openings": [
                {
                    **opening_fields(opening),
                    "height_above_water_m": rest and rest.attitude.heights(opening.points).min(),
                }
                for opening in case.openings
            ],
            "tanks": [tank_fields(tank, rest.attitude if rest else None) for tank in case.tanks],
            "stable_positions": [
                {
                    "heel_deg": np.degrees(other.attitude.heel_rad),
                    "trim_deg": np.degrees(other.attitude.trim_rad),
                }
                for other in ship.others
            ],
            "converged": rest is not None and rest.converged,
            "iterations": rest and rest.iterations,
            "volume_residual": rest and rest.volume_residual,
            "lever_residual_m": rest and rest.lever_residual,
            **closing(),
        }
    )


def lost(ship: FloatingPosition) -> list[str]:
    """Codes of the findings by which the vessel is lost, with unprotected openings immersed."""
    under = any(not opening.weathertight for opening in ship.immersed_openings)
    return [
        finding.code
        for finding in ship.findings
        if finding.code in LOST or (finding.code == "opening-under" and under)
    ]


def tank_fields(tank: Tank, afloat: Attitude | None) -> dict[str, Any]:
    """A tank as the vessel floats; upright where it does not float.

    `level_m` is the height of the surface above the baseline, along ship z, over the center of the
    liquid; `height_above_water_m` the same above the water outside. The free surface moment divided
    by the displacement is the loss of GM.
    """
    up = afloat.up if afloat else UPRIGHT_UP
    liquid = tank.liquid(up) if tank.mass > 0 else None
    return {
        "name": tank.name,
        "group": tank.group,
        "density_kg_m3": tank.density,
        "capacity_m3": tank.capacity,
        "fill": tank.fill,
        "mass_kg": tank.mass,
        "center_m": liquid and liquid.center,
        "level_m": liquid and _sounding(Attitude(up, liquid.level), liquid.center),
        "height_above_water_m": liquid and afloat and liquid.level - afloat.level,
        "free_surface_moment_t_m": tank.density * liquid.surface[1, 1] / 1000 if liquid else 0.0,
    }


def _sounding(surface: Attitude, at: Floats) -> float:
    """Height (m) of a surface above the baseline at a point, along ship z."""
    if surface.upside_down:
        return float("nan")
    return float(at[2] - surface.heights(at) / surface.up[2])


def opening_fields(opening: Opening) -> dict[str, Any]:
    """An opening by the keys of a case."""
    return {
        "name": opening.name,
        "position_m": opening.point,
        "protection": OPENING.field("protection").word_for(opening.weathertight),
    }


def hydrostatics_result(case: Case, rows: Iterable[Hydrostatics]) -> dict[str, Any]:
    """Hydrostatics at each attitude; as G is unknown, MTC is computed from BML."""
    return plain(
        {
            **heading(case),
            **finding_texts(case.findings),
            "rows": [_row(case, figures) for figures in rows],
            "MTC_basis": "BML",
            **closing(),
        }
    )


def _row(case: Case, figures: Hydrostatics) -> dict[str, Any]:
    mass = figures.displacement(case.water_density)
    return {
        "displacement_kg": mass,
        **{name: value(figures) for name, value in PARTICULARS.items()},
        "TPC_t_cm": sinkage(figures, case),
        "MTC_tm_cm": trimming_moment(mass, figures.BML, case),
    }


def sinkage(figures: Hydrostatics, case: Case) -> float:
    """TPC: the mass that sinks the vessel by one centimeter (t/cm)."""
    return figures.sinkage_mass(case.water_density) / 1e5


def trimming_moment(mass: float, height: float, case: Case) -> float:
    """MTC: the moment to trim by one centimeter (t.m/cm); `height` is GML or BML (m)."""
    return mass * height / (1e5 * case.hull.length_pp)


def plain(value: Any) -> Any:
    """The value as dicts, lists, numbers and text; None for a number that is not finite."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, np.ndarray):
        return value.tolist() if np.isfinite(value).all() else None
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float) and not np.isfinite(value):
        return None
    return value


def json_text(result: dict[str, Any]) -> str:
    """JSON of a result under the version of its format, numbers with all their digits."""
    return json.dumps({"format": FORMAT, **result}, indent=2, allow_nan=False) + "\n"


def csv_text(rows: Iterable[dict[str, Any]]) -> str:
    """CSV of rows, one column per key; three for a point, such as B_x_m, B_y_m, B_z_m."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    for number, row in enumerate(rows):
        cells = dict(_cells(row))
        if number == 0:
            writer.writerow(cells)
        writer.writerow("" if value is None else value for value in cells.values())
    return text.getvalue()


def _cells(row: dict[str, Any]) -> Iterable[tuple[str, Any]]:
    for key, value in row.items():
        if key in POINTS:
            stem = key.removesuffix("_m")
            yield from zip(
                (f"{stem}_{axis}_m" for axis in "xyz"), value or (None,) * 3, strict=True
            )
        else:
            yield key, value


def heading(case: Case) -> dict[str, Any]:
    hull = case.hull
    return {
        "title": case.title,
        "hull": hull.name,
        "length_pp_m": hull.length_pp,
        "length_overall_m": hull.length_overall,
        "breadth_m": hull.breadth,
        "depth_m": hull.depth,
        "hull_volume_m3": hull.volume,
        "water_density_kg_m3": case.water_density,
    }


def finding_texts(findings: tuple[Finding, ...]) -> dict[str, Any]:
    return {
        f"{severity}s": [finding.text for finding in findings if finding.severity == severity]
        for severity in ("warning", "note")
    }


def action_texts(found: Iterable[CorrectiveAction]) -> list[str]:
    """Corrective actions as text."""
    return [remedy.full_text for remedy in found]


def closing(verdicts: Iterable[Verdict] = ()) -> dict[str, Any]:
    """Which criteria were checked and which not, and the purpose of the results."""
    verdicts = tuple(verdicts)
    assessment = (each.code for each in verdicts if each.outcome in ("passes", "fails"))
    return {
        "criteria_checked": list(dict.fromkeys(assessment)),
        "criteria_note": criteria_note(verdicts) if verdicts else UNCHECKED,
        "disclaimer": CAUTION,
    }
