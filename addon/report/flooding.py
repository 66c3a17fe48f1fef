"""Reports of flooding: one case, many cases, over time, and of bulkhead positions."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from textwrap import fill
from typing import Any

from ..units.digits import column
from ..units.durations import duration
from .page import WIDTH, cells, decimals, finding_lines, foot, head, page, shortened, sided

AFLOAT = (
    ("Draft aft", "draft_aft_m", "m"),
    ("Draft amidships", "draft_mid_m", "m"),
    ("Draft forward", "draft_forward_m", "m"),
    ("Trim", "trim_m", "m"),
    ("List", "heel_deg", "deg"),
    ("GM", "GM_m", "m"),
    ("Residual freeboard to margin line", "residual_freeboard_m", "m"),
    ("Residual freeboard to deck edge", "freeboard_min_m", "m"),
    ("Floodwater", "flooded_volume_m3", "m3"),
    ("Maximum residual GZ", "residual_GZ_max_m", "m"),
    ("Range of residual GZ", "residual_range_deg", "deg"),
    ("Area under residual GZ", "residual_area_m_rad", "m rad"),
    ("s-factor, SOLAS II-1/7-2", "s_factor", ""),
)

COMPARISON = (
    ("draft", "draft_mid_m", "m", 8),
    ("trim", "trim_m", "m", 8),
    ("list", "heel_deg", "deg", 8),
    ("margin", "residual_freeboard_m", "m", 8),
    ("GZ max", "residual_GZ_max_m", "m", 8),
    ("range", "residual_range_deg", "deg", 8),
    ("s", "s_factor", "", 7),
)

SOUGHT = ("residual_GZ_max_m", "residual_range_deg")

SCALE = (
    "s is the factor of SOLAS II-1/7-2, from 0 to 1: 0 for a vessel that sinks or capsizes, and "
    "for one afloat whose equilibrium heel is more than 15 degrees (cargo ships 30), or with a "
    "weathertight opening immersed. It is computed from residual GZ, and may be 1 with the deck "
    "edge immersed. The regulation applies to passenger ships, and to cargo ships of 80 m and more."
)

NAME = 15
SHOWN = 25


def flood_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `flood` for named compartments."""
    places = decimals(result)
    compartments = _named(result["compartments"])
    lines = [*head(result), fill(f"Open to the sea: {compartments}.", WIDTH), *_outcome(result)]
    lines += [_progressive_flooding_line(each) for each in result["progressive_flooding"]]
    lines += ["", "Floating position when flooded"]
    lines += [
        f"  {name:<36}{sided(result, key, unit, places)}"
        for name, key, unit in AFLOAT
        if result[key] is not None
    ]
    lines += _freeboards(result, places)
    return page([*lines, "", fill(SCALE, WIDTH), "", *foot(result)])


def _outcome(result: Mapping[str, Any]) -> Iterator[str]:
    word, mark = (
        ("The vessel survives.", "  ") if result["survives"] else ("The vessel is lost.", "! ")
    )
    if result["margin_line_immersed"]:
        word, mark = "The vessel stays afloat, margin line immersed.", "! "
    yield fill(f"{word} {result['reason']}.", WIDTH, initial_indent=mark, subsequent_indent="    ")


def _progressive_flooding_line(spread: Mapping[str, Any]) -> str:
    text = f"'{spread['compartment']}' floods through {spread['through']}"
    return fill(text, WIDTH, initial_indent="  - ", subsequent_indent="    ")


def _freeboards(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Openings by their height above water, the lowest first."""
    if result["freeboards"]:
        yield from ("", f"{'Openings':<38}{'above water m':>14}")
    for each in sorted(result["freeboards"], key=lambda each: each["height_above_water_m"]):
        height = cells([each["height_above_water_m"]], "m", places, 14)
        yield f"  {shortened(each['opening'], 34):<36}{height}"


def flood_cases_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `flood` over several cases: a table, then what is wrong."""
    places, rows = decimals(result), result["rows"]
    lines = [*head(result), _counted(rows), ""]
    columns = [
        [name, unit, *map(_at_least, column([row[key] for row in rows], unit, places), rows)]
        if key in SOUGHT
        else [name, unit, *column([_lying(row, key) for row in rows], unit, places)]
        for name, key, unit, _ in COMPARISON
    ]
    names = ["Flooded", "", *(_together(row["compartments"]) for row in rows)]
    fates = ["", "", *map(_mark, rows)]
    for name, fate, *shown in zip(names, fates, *columns, strict=True):
        if len(name) > NAME:
            lines.append(shortened(name, WIDTH))
            name = ""
        figure = "".join(
            f"{cell:>{width}}" for cell, (*_, width) in zip(shown, COMPARISON, strict=True)
        )
        lines.append(f"{name:<{NAME}}{figure}{fate}")
    lines += ["", f"Worst: {_together(result['worst'])}"]
    for row in rows:
        if _mark(row) or row["progressive_flooding"]:
            text = f"{_together(row['compartments'])}: {row['reason']}"
            mark = "  ! " if _mark(row) else "  - "
            lines.append(fill(text, WIDTH, initial_indent=mark, subsequent_indent="    "))
    basis = "Margin is the residual freeboard to the margin line; below zero it is immersed."
    if not all(row["residual_curve_complete"] for row in rows):
        basis += " Figures with a + are lower bounds: s needs no more of the curve."
    return page([*lines, "", fill(f"{basis} {SCALE}", WIDTH), "", *foot(result)])


def _counted(rows: Sequence[Mapping[str, Any]]) -> str:
    survived, margin_line_immersed = (
        sum(row[key] for row in rows) for key in ("survives", "margin_line_immersed")
    )
    text = f"{survived} of {len(rows)} cases survived"
    return (
        f"{text}, {margin_line_immersed} of them with the margin line immersed."
        if margin_line_immersed
        else f"{text}."
    )


def _mark(row: Mapping[str, Any]) -> str:
    """What is wrong in a case, in a word."""
    return "  immersed" if row["margin_line_immersed"] else "" if row["survives"] else "  lost"


def _lying(row: Mapping[str, Any], key: str) -> float | None:
    """A figure of the floating position; None for the list of a vessel that capsized."""
    value: float | None = row[key]
    return value if key != "heel_deg" or row["outcome"] == "afloat" else None


def _at_least(figure: str, row: Mapping[str, Any]) -> str:
    return f"{figure} " if row["residual_curve_complete"] else f"{figure}+"


def _named(compartments: Sequence[str]) -> str:
    return ", ".join(f"'{compartment}'" for compartment in compartments)


def _together(compartments: Sequence[str]) -> str:
    return " + ".join(compartments)


def time_to_flood_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `time-to-flood`: time to capsize or sink, events, levels."""
    places = decimals(result)
    lines = [
        *head(result),
        fill(_breach(result), WIDTH),
        *_verdict(result),
        *finding_lines(result),
        "",
    ]
    if result["events"]:
        lines += [f"{'After':>12}  Event"]
    for event in result["events"]:
        after, what = duration(event["time_s"]), event["description"]
        indent = f"{after:>12}  "
        lines.append(fill(what, WIDTH, initial_indent=indent, subsequent_indent=" " * 14))
    lines += ["", *_series(result, places)]
    return page([*lines, "", *foot(result)])


def _breach(result: Mapping[str, Any]) -> str:
    x, y, z = (f"{value:.2f}" for value in result["breach_m"])
    way = (
        f"of {result['breach_area_m2']:g} m2 into '{result['compartment']}' at x {x}, y {y}, "
        f"z {z} m"
    )
    if result["opening"] is not None:
        return f"Opening '{result['opening']}' {way}."
    return f"Breach {way}, discharge coefficient {result['discharge_coefficient']:g}."


def _verdict(result: Mapping[str, Any]) -> Iterator[str]:
    if result["lost_s"] is not None:
        yield f"! Time to capsize or sink (calm water, quasi-static): {duration(result['lost_s'])}."
    elif result["settled_s"] is not None:
        yield f"  The vessel stays afloat, in equilibrium after {duration(result['settled_s'])}."
    else:
        end = duration(result["time_s"][-1])
        yield f"  Flooding still continues when the computation ends, after {end}."


def _series(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Some of the times, evenly spread."""
    times = result["time_s"]
    wanted = [times[-1] * i / (SHOWN - 1) for i in range(SHOWN)]
    chosen = sorted({min(bisect_left(times, time), len(times) - 1) for time in wanted})
    heads = (
        ("draft", "draft_mid_m", "m"),
        ("list", "heel_deg", "deg"),
        ("trim", "trim_m", "m"),
        ("water", "water_m3", "m3"),
    )
    columns = [["time", "", *(duration(result["time_s"][i]) for i in chosen)]]
    columns += [
        [name, unit, *column([result[key][i] for i in chosen], unit, places)]
        for name, key, unit in heads
    ]
    for row in zip(*columns, strict=True):
        yield "".join(f"{cell:>12}" for cell in row)


def floodable_length_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `floodable`: compartments against the curve, then the curve."""
    places = decimals(result)
    basis = (
        f"Flooded over the whole section with a permeability of {result['permeability']:g} until "
        f"the margin line, {1000 * result['margin_line_below_deck_m']:g} mm below the deck edge, "
        "is immersed."
    )
    lines = [*head(result), fill(basis, WIDTH), *finding_lines(result)]
    if result["main_compartments"]:
        titles = ("from x m", "to x m", "length m", "floodable m")
        lines += ["", "Compartments" + "".join(f"{title:>12}" for title in titles)]
    keys = ("aft_m", "forward_m", "length_m", "floodable_length_m")
    for each in result["main_compartments"]:
        mark = "" if each["survives"] else "  too long"
        lines.append(" " * 12 + cells([each[key] for key in keys], "m", places, 12) + mark)
    if result["bulkheads"]:
        at = ("at x m", "from x m", "to x m")
        lines += [
            "",
            "Permissible bulkhead range",
            " " * 12 + "".join(f"{title:>12}" for title in at),
        ]
    for each in result["bulkheads"]:
        placed = cells([each[key] for key in ("x_m", "from_m", "to_m")], "m", places, 12)
        lines.append(
            " " * 12 + placed + f"  {shortened(', '.join(each['boundaries']), WIDTH - 50)}"
        )
    lines += ["", f"{'center at x m':>16}{'floodable length m':>22}"]
    for x, length in zip(result["x_m"], result["floodable_length_m"], strict=True):
        lines.append(cells([x], "m", places, 16) + cells([length], "m", places, 22))
    return page([*lines, "", *foot(result, signs=False)])


def bulkheads_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `bulkheads`: positions, and each compartment flooded alone."""
    places = decimals(result)
    at = column(result["positions_m"], "m", places)
    where = f"Bulkheads at x = {', '.join(at)} m." if at else "No bulkhead position was found."
    lines = [*head(result), fill(where, WIDTH)]
    mark = "  " if result["survives"] else "! "
    lines += [fill(f"{result['reason']}.", WIDTH, initial_indent=mark, subsequent_indent="    ")]
    lines += finding_lines(result)
    titles = ("from x m", "to x m", "length m", "margin m", "aft m", "forward m")
    lines += ["", "".join(f"{title:>11}" for title in titles)]
    keys = (
        "aft_m",
        "forward_m",
        "length_m",
        "residual_freeboard_m",
        "draft_aft_m",
        "draft_forward_m",
    )
    for each in result["main_compartments"]:
        mark = "" if each["outcome"] == "afloat" else f"  {each['outcome']}"
        lines.append(cells([each[key] for key in keys], "m", places, 11) + mark)
    basis = (
        f"Each flooded alone, side to side, with a permeability of {result['permeability']:g}; "
        "margin is the residual freeboard to the margin line; aft and forward are drafts."
    )
    return page([*lines, "", fill(basis, WIDTH), "", *foot(result, signs=False)])
