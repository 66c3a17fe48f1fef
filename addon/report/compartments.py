"""Reports of rooms and of tanks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from textwrap import fill
from typing import Any

from ..results.compartments import THE_HULL, THE_SEA
from ..units.digits import column
from .page import WIDTH, cells, decimals, foot, head, page, said, shortened, sided

SOUNDINGS = (
    ("level", "level_m", "m"),
    ("full", "full_%", "%"),
    ("volume", "volume_m3", "m3"),
    ("mass", "mass_kg", "kg"),
    ("x", "x_m", "m"),
    ("y", "y_m", "m"),
    ("z", "z_m", "m"),
    ("free surf", "free_surface_moment_t_m", "t.m"),
)


def rooms_report(result: Mapping[str, Any]) -> str:
    """A result of `rooms`, what leaks first."""
    places = decimals(result)
    leaks = [_leak(leak, places) for leak in result["leaks"]]
    told = {"warnings": [*leaks, *result["warnings"]], "notes": result["notes"]}
    lines = [*head(result), *said(told)]
    lines += [""] if lines[-1] else []
    lines += [*_rooms(result, places), *_ways(result, places), *_gaps(result, places)]
    return page([*lines, "", *foot(result)])


def _leak(leak: Mapping[str, Any], places: int) -> str:
    """How water gets in, and how far it is from there now."""
    text, height = f"'{leak['room']}' leaks: {leak['why']}", leak["over_water_m"]
    if height is None:
        return text
    (far,) = column([abs(height)], "m", places)
    return f"{text}; it begins {far} m {'above' if height > 0 else 'under'} the water"


def _rooms(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Rooms from aft to forward, with their sum, and what is round each."""
    rooms, heights = result["rooms"], ("floor_m", "ceiling_m")
    titles = ("x m", "y m", "z m", "floor m", "top m")
    yield f"{'Rooms':<22}{'volume m3':>10}{''.join(f'{title:>8}' for title in titles)}{'perm.':>7}"
    volumes = column([*(room["volume_m3"] for room in rooms), *_sums(result)], "m3", places)
    for room, volume in zip(rooms, volumes, strict=False):
        mark = "  " if room["sealed"] else "! "
        told = cells([*room["centroid_m"], *(room[key] for key in heights)], "m", places, 8)
        name = shortened(room["name"], 20)
        yield f"{mark}{name:<20}{volume:>10}{told}{room['permeability']:>7.2f}"
    for name, volume in zip(("walls", "the hull"), volumes[len(rooms) :], strict=True):
        yield f"{name:<22}{volume:>10}"
    for room in rooms:
        text = f"'{room['name']}' is bounded by {_walls(room['walls'])}"
        if room["neighbours"]:
            text += f"; next to {_named(room['neighbours'])}"
        yield from ("",) if room is rooms[0] else ()
        yield fill(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _walls(walls: list[str]) -> str:
    return ", ".join(wall if wall == THE_HULL else f"'{wall}'" for wall in walls)


def _sums(result: Mapping[str, Any]) -> tuple[float, float]:
    walls = result["wall_volume_m3"]
    return walls, result["rooms_volume_m3"] + walls


def _named(names: list[str]) -> str:
    return ", ".join(f"'{name}'" for name in names)


def _ways(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Openings and doors, and which rooms they lead into or join."""
    openings, doors = result["openings"], result["doors"]
    ways = [*openings, *doors]
    if ways:
        yield from ("", f"{'Openings and doors':<44}{'area m2':>9}{'height m':>10}{'sill m':>9}")
    areas = column([way["area_m2"] for way in ways], "m2", places)
    words = [*map(_leads, openings), *map(_joins, doors)]
    for way, area, told in zip(ways, areas, words, strict=True):
        height = cells([way["height_m"]], "m", places, 10)
        sill = cells([way["position_m"][2]], "m", places, 9)
        yield f"  {shortened(way['name'], 40):<42}{area:>9}{height}{sill}"
        yield f"    {shortened(told, WIDTH - 4)}"


def _leads(opening: Mapping[str, Any]) -> str:
    tight = "weathertight " if opening["protection"] == "weathertight" else ""
    return f"{tight}{opening['kind']} into {_named(opening['rooms'])}"


def _joins(door: Mapping[str, Any]) -> str:
    kind = "door" if door["discharge"] is None else "duct"
    one, other = (room if room == THE_SEA else f"'{room}'" for room in door["rooms"])
    joins = "that joins no two rooms" if one == other else f"between {one} and {other}"
    return f"{'shut ' if door['shut'] else ''}{kind} {joins}"


def _gaps(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Gaps in walls."""
    if result["gaps"]:
        yield from ("", f"{'Gaps':<38}{'area m2':>9}{'lowest x m':>12}{'y m':>9}{'z m':>9}")
    areas = column([gap["area_m2"] for gap in result["gaps"]], "m2", places)
    for gap, area in zip(result["gaps"], areas, strict=True):
        name = shortened(" - ".join(gap["rooms"]), 36)
        x, *rest = gap["lowest_m"]
        lowest = cells([x], "m", places, 12) + cells(rest, "m", places, 9)
        yield f"  {name:<36}{area:>9}{lowest}"
        yield f"    in {shortened(gap['wall'], WIDTH - 7)}"


def tanks_report(result: Mapping[str, Any]) -> str:
    """A result of `tanks`: each tank with its soundings and what its free surface does."""
    places = decimals(result)
    held = ", ".join(
        f"{name} {sided(result, key, unit, places).strip()}"
        for name, key, unit in (("heel", "heel_deg", "deg"), ("trim", "trim_m", "m"))
    )
    lines = [*head(result), *said(result)]
    lines += [""] if lines[-1] else []
    lines.append(fill(f"Levels above each tank's lowest point; {held}.", WIDTH))
    for tank in result["tanks"]:
        lines += ["", *_tank(tank, places)]
    loss, exact = result["GM_loss_classical_m"], result["GM_loss_m"]
    if loss is not None and exact is not None:
        text = (
            f"Together the free surfaces take {loss:.{places}f} m off her GM by their moments "
            f"upright, and {exact:.{places}f} m where she floats."
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
    angles, classical, exact = (heels[key] for key in ("heel_deg", "classical_t_m", "exact_t_m"))
    moments = column([*classical, *exact], "t.m", places)
    lines = (
        ("heeled to, degrees", [f"{angle:g}" for angle in angles]),
        ("by its moment upright, t.m", moments[: len(angles)]),
        ("exact, t.m", moments[len(angles) :]),
    )
    yield ""
    for name, told in lines:
        yield f"  {name:<26}" + "".join(f" {cell:>9}" for cell in told)


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    centre = row["centre_m"] or (None,) * 3
    return {
        **row,
        "full_%": 100 * row["fill"],
        **dict(zip(("x_m", "y_m", "z_m"), centre, strict=True)),
    }
