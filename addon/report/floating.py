"""Reports of the floating position and of hydrostatics."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from ..core.model.weights import Weight, combined
from ..units.digits import column
from .page import action_lines, cells, decimals, finding_lines, foot, head, page, shortened, sided

STATES = {
    "afloat": "The vessel floats.",
    "swamped": "The vessel fills with water.",
    "sunk": "The vessel sinks.",
}

Line = tuple[str, str, str]
"""A name, the key of its figure in a result, and the unit to show; t shows kg in tonnes."""

FLOATING: tuple[tuple[str, tuple[Line, ...]], ...] = (
    (
        "Floating position",
        (
            ("Displacement", "displacement_kg", "t"),
            ("Volume of displacement", "volume_m3", "m3"),
            ("Draft aft", "draft_aft_m", "m"),
            ("Draft amidships", "draft_mid_m", "m"),
            ("Draft forward", "draft_forward_m", "m"),
            ("Trim", "trim_m", "m"),
            ("Trim angle", "trim_deg", "deg"),
            ("List", "heel_deg", "deg"),
            ("Minimum freeboard", "freeboard_min_m", "m"),
            ("Downflooding point above water", "downflooding_height_m", "m"),
            ("Reserve buoyancy", "reserve_buoyancy_m3", "m3"),
        ),
    ),
    (
        "Stability",
        (
            ("GM", "GM_m", "m"),
            ("GM solid", "GM_solid_m", "m"),
            ("GM solid upright", "GM_upright_solid_m", "m"),
            ("GML", "GML_m", "m"),
            ("KG", "KG_m", "m"),
            ("KB", "KB_m", "m"),
            ("BM", "BM_m", "m"),
            ("KM", "KM_m", "m"),
            ("BML", "BML_m", "m"),
            ("TPC, mass to sink it 1 cm", "TPC_t_cm", "t/cm"),
            ("MTC, moment to trim it 1 cm", "MTC_tm_cm", "t.m/cm"),
        ),
    ),
    (
        "Form",
        (
            ("Length between perpendiculars", "length_pp_m", "m"),
            ("Length of waterline (LWL)", "LWL_m", "m"),
            ("Breadth of waterline (BWL)", "BWL_m", "m"),
            ("Waterplane area", "waterplane_area_m2", "m2"),
            ("Wetted surface", "wetted_surface_m2", "m2"),
            ("Cb", "Cb", ""),
            ("Cp", "Cp", ""),
            ("Cm", "Cm", ""),
            ("Cwp", "Cwp", ""),
        ),
    ),
)

CENTERS = (
    ("G  center of gravity", "G_m"),
    ("B  center of buoyancy", "B_m"),
    ("F  center of flotation", "F_m"),
    ("M  transverse metacenter", "M_m"),
)

HYDROSTATICS: tuple[tuple[Line, ...], ...] = (
    (
        ("displ.", "displacement_kg", "t"),
        ("volume", "volume_m3", "m3"),
        ("LCB", "B_m", "m"),
        ("KB", "KB_m", "m"),
        ("BM", "BM_m", "m"),
        ("KM", "KM_m", "m"),
        ("BML", "BML_m", "m"),
    ),
    (
        ("area WL", "waterplane_area_m2", "m2"),
        ("LCF", "F_m", "m"),
        ("TPC", "TPC_t_cm", "t/cm"),
        ("MTC", "MTC_tm_cm", "t.m/cm"),
        ("wetted", "wetted_surface_m2", "m2"),
        ("freeb'd", "freeboard_min_m", "m"),
    ),
    (
        ("LWL", "LWL_m", "m"),
        ("BWL", "BWL_m", "m"),
        ("Cb", "Cb", ""),
        ("Cp", "Cp", ""),
        ("Cm", "Cm", ""),
        ("Cwp", "Cwp", ""),
    ),
)


def float_report(result: dict[str, Any], weights: Sequence[Weight]) -> str:
    """The report of a result of `float` and of the weights of its case, warnings first."""
    places = decimals(result)
    lines = [*head(result), STATES[result["state"]], *finding_lines(result), *action_lines(result)]
    for heading, rows in FLOATING:
        known = [row for row in rows if result[row[1]] is not None]
        lines += ["", heading] if known else []
        lines += [f"  {name:<36}{sided(result, key, unit, places)}" for name, key, unit in known]
    lines += ["", f"{'Centers':<38}{'x m':>14}{'y m':>14}{'z m':>14}"]
    for name, key in CENTERS:
        if result[key] is not None:
            lines.append(f"  {name:<36}" + cells(result[key], "m", places, 14))
    lines += _openings(result, places)
    lines += _tanks(result, places)
    if result["stable_positions"]:
        lines += ["", "Other stable equilibrium positions"]
        lines += [
            f"  list {sided(other, 'heel_deg', 'deg', 0).strip()}, "
            f"trim {sided(other, 'trim_deg', 'deg', 0).strip()}"
            for other in result["stable_positions"]
        ]
    aboard = (*weights, *_contents(result))
    return page([*lines, "", *_weights(aboard, places), "", *foot(result)])


def hydrostatics_report(result: dict[str, Any]) -> str:
    """A result of `hydrostatics`, one line a draft."""
    rows, places = result["rows"], decimals(result)
    held = ", ".join(
        f"{name} {sided(rows[0], key, unit, places).strip()}"
        for name, key, unit in (("heel", "heel_deg", "deg"), ("trim", "trim_m", "m"))
    )
    lines = [*head(result), *finding_lines(result), f"Drafts amidships; {held}."]
    for columns in HYDROSTATICS:
        columns = (("draft", "draft_mid_m", "m"), *columns)
        table = [
            [name, unit, *column([_ahead(row[key]) for row in rows], unit, places)]
            for name, key, unit in columns
        ]
        lines.append("")
        lines += ["".join(f"{cell:>10}" for cell in line) for line in zip(*table, strict=True)]
    basis = f"MTC by {result['MTC_basis']}: no weights are taken into account."
    return page([*lines, "", basis, "", *foot(result)])


def _ahead(value: Any) -> Any:
    """x of a point, or the figure itself."""
    return value[0] if isinstance(value, list) else value


def _openings(result: dict[str, Any], places: int) -> Iterator[str]:
    """Openings by height, the lowest first."""
    known = [
        opening for opening in result["openings"] if opening["height_above_water_m"] is not None
    ]
    if known:
        yield from ("", f"{'Openings':<38}{'above water m':>14}")
    for opening in sorted(known, key=lambda opening: opening["height_above_water_m"]):
        tight = "  weathertight" if opening["protection"] == "weathertight" else ""
        height = cells([opening["height_above_water_m"]], "m", places, 14)
        yield f"  {shortened(opening['name'], 34):<36}{height}{tight}"


def _tanks(result: dict[str, Any], places: int) -> Iterator[str]:
    """Tanks with their free surface moments."""
    tanks = result["tanks"]
    if not tanks:
        return
    yield from (
        "",
        f"{'Tanks':<26}{'full %':>9}{'capacity m3':>12}{'mass kg':>11}{'FSM t.m':>16}",
    )
    columns = [
        column([100 * tank["fill"] for tank in tanks], "deg", places),
        column([tank["capacity_m3"] for tank in tanks], "m3", places),
        column([tank["mass_kg"] for tank in tanks], "kg", places),
        column([tank["free_surface_moment_t_m"] for tank in tanks], "m", places),
    ]
    for tank, *row in zip(tanks, *columns, strict=True):
        full, holds, mass, moment = row
        yield f"  {shortened(tank['name'], 22):<24}{full:>9}{holds:>12}{mass:>11}{moment:>16}"


def _contents(result: dict[str, Any]) -> Iterator[Weight]:
    """The liquids of the tanks as weights at their centers."""
    for tank in result["tanks"]:
        if tank["center_m"] is not None:
            where = np.array(tank["center_m"])
            yield Weight(tank["name"], tank["mass_kg"], where, tank["group"])


def _weights(weights: Sequence[Weight], places: int) -> Iterator[str]:
    """Weights by group, each group with its sum."""
    groups: dict[str, list[Weight]] = {}
    for weight in weights:
        groups.setdefault(weight.group or "without a group", []).append(weight)
    rows: list[tuple[str, Weight]] = []
    for group, members in groups.items():
        rows.append((f"  {shortened(group, 29)}", combined(tuple(members))))
        rows += [(f"    {shortened(weight.name, 27)}", weight) for weight in members]
    rows.append(("all", combined(tuple(weights))))
    yield f"{'Weights':<32}{'mass kg':>12}{'x m':>12}{'y m':>12}{'z m':>12}"
    masses = column([weight.mass for _, weight in rows], "kg", places)
    for (name, weight), mass in zip(rows, masses, strict=True):
        yield f"{name:<32}{mass:>12}{cells(weight.center.tolist(), 'm', places, 12)}"
