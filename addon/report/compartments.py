"""Reports of compartments and of tanks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from textwrap import fill
from typing import Any

from ..results.compartments import THE_HULL, THE_SEA
from ..units.digits import column
from .page import WIDTH, cells, decimals, finding_lines, foot, head, page, shortened, sided

SOUNDINGS = (
    ("level", "level_m", "m"),
    ("full", "full_%", "%"),
    ("volume", "volume_m3", "m3"),
    ("mass", "mass_kg", "kg"),
    ("x", "x_m", "m"),
    ("y", "y_m", "m"),
    ("z", "z_m", "m"),
    ("FSM", "free_surface_moment_t_m", "t.m"),
)


def compartments_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `compartments`, leaks first."""
    places = decimals(result)
    leaks = [_leak(leak, places) for leak in result["leaks"]]
    shown = {"warnings": [*leaks, *result["warnings"]], "notes": result["notes"]}
    lines = [*head(result), *finding_lines(shown)]
    lines += [""] if lines[-1] else []
    lines += [
        *_compartments(result, places),
        *_openings_and_doors(result, places),
        *_gaps(result, places),
    ]
    return page([*lines, "", *foot(result)])


def _leak(leak: Mapping[str, Any], places: int) -> str:
    """The flooding path, and its height above the water."""
    text, height = (
        f"'{leak['compartment']}' is not watertight: {leak['reason']}",
        leak["height_above_water_m"],
    )
    if height is None:
        return text
    (far,) = column([abs(height)], "m", places)
    return f"{text}; it starts {far} m {'above' if height > 0 else 'below'} the water"


def _compartments(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Compartments from aft to forward, with their sum and the boundaries of each."""
    compartments, heights = result["compartments"], ("bottom_m", "top_m")
    titles = "".join(f"{title:>8}" for title in ("x m", "y m", "z m"))
    titles += f"{'bottom m':>9}{'top m':>8}{'perm.':>6}"
    yield f"{'Compartments':<22}{'volume m3':>10}{titles}"
    volumes = column(
        [*(compartment["volume_m3"] for compartment in compartments), *_sums(result)], "m3", places
    )
    for compartment, volume in zip(compartments, volumes, strict=False):
        mark = "  " if compartment["watertight"] else "! "
        bottom, top = column([compartment[key] for key in heights], "m", places)
        shown = f"{cells(compartment['centroid_m'], 'm', places, 8)}{bottom:>9}{top:>8}"
        name = shortened(compartment["name"], 20)
        yield f"{mark}{name:<20}{volume:>10}{shown}{compartment['permeability']:>6.2f}"
    for name, volume in zip(("boundaries", "the hull"), volumes[len(compartments) :], strict=True):
        yield f"{name:<22}{volume:>10}"
    for compartment in compartments:
        text = f"'{compartment['name']}' is bounded by {_boundaries(compartment['boundaries'])}"
        if compartment["neighbors"]:
            text += f"; adjacent to {_named(compartment['neighbors'])}"
        yield from ("",) if compartment is compartments[0] else ()
        yield fill(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _boundaries(boundaries: list[str]) -> str:
    return ", ".join(
        boundary if boundary == THE_HULL else f"'{boundary}'" for boundary in boundaries
    )


def _sums(result: Mapping[str, Any]) -> tuple[float, float]:
    boundaries = result["boundary_volume_m3"]
    return boundaries, result["compartments_volume_m3"] + boundaries


def _named(names: list[str]) -> str:
    return ", ".join(f"'{name}'" for name in names)


def _openings_and_doors(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Openings and doors, with the compartments that they lead into or join."""
    openings, doors = result["openings"], result["doors"]
    ways = [*openings, *doors]
    if ways:
        yield from ("", f"{'Openings and doors':<44}{'area m2':>9}{'height m':>10}{'sill m':>9}")
    areas = column([way["area_m2"] for way in ways], "m2", places)
    words = [*map(_leads, openings), *map(_joins, doors)]
    for way, area, shown in zip(ways, areas, words, strict=True):
        height = cells([way["height_m"]], "m", places, 10)
        sill = cells([way["position_m"][2]], "m", places, 9)
        yield f"  {shortened(way['name'], 40):<42}{area:>9}{height}{sill}"
        yield f"    {shortened(shown, WIDTH - 4)}"


def _leads(opening: Mapping[str, Any]) -> str:
    tight = "weathertight " if opening["protection"] == "weathertight" else ""
    return f"{tight}{opening['kind']} into {_named(opening['compartments'])}"


def _joins(door: Mapping[str, Any]) -> str:
    kind = "door" if door["discharge_coefficient"] is None else "duct"
    one, other = (
        compartment if compartment == THE_SEA else f"'{compartment}'"
        for compartment in door["compartments"]
    )
    adjacency = (
        "that connects no two compartments" if one == other else f"between {one} and {other}"
    )
    return f"{'closed ' if door['closed'] else ''}{kind} {adjacency}"


def _gaps(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Gaps between boundaries."""
    if result["gaps"]:
        yield from ("", f"{'Gaps':<38}{'area m2':>9}{'lowest x m':>12}{'y m':>9}{'z m':>9}")
    areas = column([gap["area_m2"] for gap in result["gaps"]], "m2", places)
    for gap, area in zip(result["gaps"], areas, strict=True):
        name = shortened(" - ".join(gap["compartments"]), 36)
        x, *rest = gap["lowest_point_m"]
        lowest = cells([x], "m", places, 12) + cells(rest, "m", places, 9)
        yield f"  {name:<36}{area:>9}{lowest}"
        yield f"    in {shortened(gap['boundary'], WIDTH - 7)}"


def tanks_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `tanks`: soundings and free surface effect of each tank."""
    places = decimals(result)
    held = ", ".join(
        f"{name} {sided(result, key, unit, places).strip()}"
        for name, key, unit in (("heel", "heel_deg", "deg"), ("trim", "trim_m", "m"))
    )
    lines = [*head(result), *finding_lines(result)]
    lines += [""] if lines[-1] else []
    lines.append(fill(f"Levels are above the lowest point of each tank; {held}.", WIDTH))
    for tank in result["tanks"]:
        lines += ["", *_tank(tank, places)]
    loss, exact = result["GM_loss_FSM_m"], result["GM_loss_m"]
    if loss is not None and exact is not None:
        text = (
            f"Together the free surfaces reduce GM by {loss:.{places}f} m by their free surface "
            f"moments (FSM) upright, and by {exact:.{places}f} m as the vessel floats."
        )
        lines += ["", fill(text, WIDTH)]
    return page([*lines, "", *foot(result)])


def _tank(tank: Mapping[str, Any], places: int) -> Iterator[str]:
    yield shortened(tank["name"], WIDTH)
    full = column([100 * tank["fill"]], "deg", places)[0]
    holds, mass = (
        column([tank[key]], unit, places)[0]
        for key, unit in (("capacity_m3", "m3"), ("mass_kg", "kg"))
    )
    yield f"  holds {holds} m3, is {full} % full with {mass} kg of {tank['density_kg_m3']:g} kg/m3"
    rows = [_flat(row) for row in tank["rows"]]
    columns = [
        [name, unit, *column([row[key] for row in rows], "deg" if unit == "%" else unit, places)]
        for name, key, unit in SOUNDINGS
    ]
    for line in zip(*columns, strict=True):
        yield "".join(f"{cell:>10}" for cell in line)
    heels = tank["free_surface"]
    if not heels["moment_upright_t_m"]:
        return
    angles, classical, exact = (
        heels[key] for key in ("heel_deg", "FSM_heeling_moment_t_m", "actual_heeling_moment_t_m")
    )
    moments = column([*classical, *exact], "t.m", places)
    lines = (
        ("heel, degrees", [f"{angle:g}" for angle in angles]),
        ("by FSM upright, t.m", moments[: len(angles)]),
        ("actual transfer, t.m", moments[len(angles) :]),
    )
    yield ""
    for name, shown in lines:
        yield f"  {name:<26}" + "".join(f" {cell:>9}" for cell in shown)


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    center = row["center_m"] or (None,) * 3
    return {
        **row,
        "full_%": 100 * row["fill"],
        **dict(zip(("x_m", "y_m", "z_m"), center, strict=True)),
    }
