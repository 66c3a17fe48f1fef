"""Reports as plain text, at most 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor, log10
from textwrap import fill
from typing import Any

from ..core.weights import Weight, combined

WIDTH = 80

STATES = {
    "afloat": "She floats.",
    "swamped": "She fills.",
    "sunk": "She sinks.",
}

SIDES = {
    "heel_deg": ("to starboard", "to port"),
    "trim_deg": ("by the stern", "by the bow"),
    "trim_m": ("by the stern", "by the bow"),
}
"""Words for a figure above and below zero, in place of its sign."""

Line = tuple[str, str, str]
"""A name, the key of its figure in a result, and the unit to show; t shows kg in tonnes."""

FLOATING: tuple[tuple[str, tuple[Line, ...]], ...] = (
    (
        "How she floats",
        (
            ("Displacement", "displacement_kg", "t"),
            ("Volume of displacement", "volume_m3", "m3"),
            ("Draft aft", "draft_aft_m", "m"),
            ("Draft amidships", "draft_mid_m", "m"),
            ("Draft forward", "draft_forward_m", "m"),
            ("Trim", "trim_m", "m"),
            ("Trim angle", "trim_deg", "deg"),
            ("Heel", "heel_deg", "deg"),
            ("Least freeboard", "freeboard_min_m", "m"),
            ("Height at which she fills", "fills_height_m", "m"),
            ("Reserve of buoyancy", "reserve_volume_m3", "m3"),
        ),
    ),
    (
        "Stability",
        (
            ("GM", "GM_m", "m"),
            ("GM upright", "GM_upright_m", "m"),
            ("GML", "GML_m", "m"),
            ("KG", "KG_m", "m"),
            ("KB", "KB_m", "m"),
            ("BM", "BM_m", "m"),
            ("KM", "KM_m", "m"),
            ("BML", "BML_m", "m"),
            ("Mass to sink her 1 cm (TPC)", "TPC_t_cm", "t/cm"),
            ("Moment to trim her 1 cm (MCT)", "MCT_tm_cm", "t.m/cm"),
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

CENTRES = (
    ("G  centre of gravity", "G_m"),
    ("B  centre of buoyancy", "B_m"),
    ("F  centre of flotation", "F_m"),
    ("M  transverse metacentre", "M_m"),
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
        ("MCT", "MCT_tm_cm", "t.m/cm"),
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
    """A result of `float` with the weights of her case, what is wrong first."""
    places = _places(result)
    lines = [*_heading(result), STATES[result["state"]], *_said(result)]
    for heading, rows in FLOATING:
        known = [row for row in rows if result[row[1]] is not None]
        lines += ["", heading] if known else []
        lines += [f"  {name:<36}{_sided(result, key, unit, places)}" for name, key, unit in known]
    lines += ["", f"{'Centres':<38}{'x m':>14}{'y m':>14}{'z m':>14}"]
    for name, key in CENTRES:
        if result[key] is not None:
            lines.append(f"  {name:<36}" + _cells(result[key], "m", places, 14))
    if result["stable_positions"]:
        lines += ["", "Other positions in which she would stay"]
        lines += [
            f"  heel {_sided(other, 'heel_deg', 'deg', 0).strip()}, "
            f"trim {_sided(other, 'trim_deg', 'deg', 0).strip()}"
            for other in result["stable_positions"]
        ]
    return _page([*lines, "", *_weights(weights, places), "", *_closing(result)])


def hydrostatics_report(result: dict[str, Any]) -> str:
    """A result of `hydrostatics`, one line a draft."""
    rows, places = result["rows"], _places(result)
    held = ", ".join(
        f"{name} {_sided(rows[0], key, unit, places).strip()}"
        for name, key, unit in (("heel", "heel_deg", "deg"), ("trim", "trim_m", "m"))
    )
    lines = [*_heading(result), *_said(result), f"Drafts amidships; {held}."]
    for columns in HYDROSTATICS:
        columns = (("draft", "draft_mid_m", "m"), *columns)
        table = [
            [name, unit, *figures([_ahead(row[key]) for row in rows], unit, places)]
            for name, key, unit in columns
        ]
        lines.append("")
        lines += ["".join(f"{cell:>10}" for cell in line) for line in zip(*table, strict=True)]
    basis = f"MCT by {result['MCT_basis']}, as no weights count here."
    return _page([*lines, "", basis, "", *_closing(result)])


def figures(values: Sequence[float | None], unit: str, places: int) -> list[str]:
    """A column of figures, alike in the digits after the point; '-' for none.

    Lengths have `places` of them, other figures as many as give the greatest five digits.
    """
    known = [abs(value) / (1000.0 if unit == "t" else 1.0) for value in values if value is not None]
    size = floor(log10(max(known))) if any(known) else 0
    digits = {"m": places, "": 3, "deg": 2}.get(unit, max(0, 4 - size))
    cells = []
    for value in values:
        if value is None:
            cells.append("-")
            continue
        value /= 1000.0 if unit == "t" else 1.0
        cells.append(f"{round(value, digits) + 0.0:.{digits}f}" if digits < 9 else f"{value:.4e}")
    return cells


def _cells(values: Sequence[float | None], unit: str, places: int, width: int) -> str:
    return "".join(f"{cell:>{width}}" for cell in figures(values, unit, places))


def _sided(result: dict[str, Any], key: str, unit: str, places: int) -> str:
    """A figure with its unit, and its side where it has one: '4.20 deg to port'."""
    value = result[key]
    if key not in SIDES:
        return f"{_cells([value], unit, places, 14)} {unit}"
    size = _cells([abs(value)], unit, places, 14)
    side = f" {SIDES[key][value < 0]}" if float(size) else ""
    return f"{size} {unit}{side}"


def _places(result: dict[str, Any]) -> int:
    """Digits after the point of a length: three, and more for a ship smaller than a metre."""
    return max(3, 3 - floor(log10(result["length_overall_m"])))


def _ahead(value: Any) -> Any:
    """x of a point, or the figure itself."""
    return value[0] if isinstance(value, list) else value


def _heading(result: dict[str, Any]) -> list[str]:
    title = _shortened(result["title"], WIDTH)
    density = result["water_density_kg_m3"]
    return [title, "=" * len(title), f"In water of {density:g} kg/m3.", ""]


def _said(result: dict[str, Any]) -> Iterator[str]:
    for mark, texts in (("!", result["warnings"]), ("-", result["notes"])):
        for text in texts:
            yield fill(text, WIDTH, initial_indent=f"  {mark} ", subsequent_indent="    ")


def _weights(weights: Sequence[Weight], places: int) -> Iterator[str]:
    """Weights by group, each group with its sum."""
    groups: dict[str, list[Weight]] = {}
    for weight in weights:
        groups.setdefault(weight.group or "without a group", []).append(weight)
    rows: list[tuple[str, Weight]] = []
    for group, members in groups.items():
        rows.append((f"  {_shortened(group, 29)}", combined(tuple(members))))
        rows += [(f"    {_shortened(weight.name, 27)}", weight) for weight in members]
    rows.append(("all", combined(tuple(weights))))
    yield f"{'Weights':<32}{'mass kg':>12}{'x m':>12}{'y m':>12}{'z m':>12}"
    masses = figures([weight.mass for _, weight in rows], "kg", places)
    for (name, weight), mass in zip(rows, masses, strict=True):
        yield f"{name:<32}{mass:>12}{_cells(weight.centre.tolist(), 'm', places, 12)}"


def _shortened(text: str, width: int) -> str:
    """The text on one line of at most `width` characters."""
    line = " ".join(text.split())
    return line if len(line) <= width else f"{line[: width - 3]}..."


def _closing(result: dict[str, Any]) -> list[str]:
    return [fill(f"{result['criteria_note']} {result['disclaimer']}", WIDTH)]


def _page(lines: Sequence[str]) -> str:
    return "\n".join(line.rstrip() for line in lines) + "\n"
