"""Reports of stability: GZ curve, criteria, conditions, cross curves and limiting KG."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from textwrap import fill, wrap
from typing import Any

from ..results.conditions import condition_rows
from ..units.digits import column
from .floating import STATES
from .page import WIDTH, action_lines, decimals, finding_lines, foot, head, page, shortened, sided

MARKS = {"passes": "PASS", "fails": "FAIL", "not applicable": "n.a.", "not known": "?"}

AFLOAT = (
    ("Displacement", "displacement_kg", "t"),
    ("Draft amidships", "draft_mid_m", "m"),
    ("Trim", "trim_m", "m"),
    ("GM upright", "GM_upright_m", "m"),
)

KEY_FIGURES = (
    ("Angle of list", "equilibrium_heel_deg", "deg"),
    ("Maximum GZ", "GZ_max_m", "m"),
    ("at a heel of", "GZ_max_at_deg", "deg"),
    ("Angle of vanishing stability", "vanishing_stability_deg", "deg"),
    ("Range of stability", "range_deg", "deg"),
    ("Deck-edge immersion angle", "deck_edge_immersion_deg", "deg"),
    ("Downflooding angle", "downflooding_deg", "deg"),
    ("Maximum GZ to downflooding", "GZ_max_to_downflooding_m", "m"),
    ("at a heel of", "GZ_max_to_downflooding_at_deg", "deg"),
    ("Range to downflooding", "range_to_downflooding_deg", "deg"),
    ("Area to 30 deg or downflooding", "area_to_30_m_rad", "m rad"),
    ("Area to 40 deg or downflooding", "area_to_40_m_rad", "m rad"),
    ("Area 30 to 40 deg or downflooding", "area_30_to_40_m_rad", "m rad"),
)

TO_FLOODING = {
    "GZ_max_to_downflooding_m",
    "GZ_max_to_downflooding_at_deg",
    "range_to_downflooding_deg",
}
"""Figures shown only if downflooding comes before the angle of vanishing stability."""

CURVE = (
    ("heel", "heel_deg", "deg"),
    ("GZ", "GZ_m", "m"),
    ("area", "area_m_rad", "m rad"),
    ("trim", "trim_m", "m"),
    ("draft", "draft_mid_m", "m"),
)

COMPARISON = (
    ("displ.", "displacement_kg", "t", 8),
    ("draft", "draft_mid_m", "m", 7),
    ("trim", "trim_m", "m", 8),
    ("list", "heel_deg", "deg", 8),
    ("GM", "GM_upright_m", "m", 7),
    ("GZ max", "GZ_max_m", "m", 7),
    ("range", "range_deg", "deg", 8),
)
"""Figures by which conditions are compared: name, key, unit, width of the column."""

LIMITS = (
    ("displ.", "displacement_kg", "t"),
    ("draft", "draft_m", "m"),
    ("KM", "KM_m", "m"),
    ("KG max", "KG_max_m", "m"),
    ("GM min", "GM_min_m", "m"),
)

NAME = 17
COLUMN = 10
ABREAST = 6


def stability_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `stability`, warnings first."""
    places = decimals(result)
    wrong = (*_wrong(result), *_notes(result), *action_lines(result))
    lines = [*head(result), STATES[result["state"]], *wrong]
    if result["sides"]:
        curve = _table(CURVE, [result[key] for _, key, _ in CURVE], places)
        lines += ["", *_key_figures(result, places), "", *curve]
    return page([*lines, *_criteria(result, places), "", *foot(result)])


def conditions_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `conditions`: warnings, then one line per condition."""
    places = decimals(result)
    lines = head(result)
    for state in result["conditions"]:
        if wrong := list(_wrong(state)):
            lines += [f"{shortened(state['condition'], WIDTH - 1)}:", *wrong, ""]
    rows = condition_rows(result)
    columns = [
        [name, unit, *column([row[key] for row in rows], unit, places)]
        for name, key, unit, _ in COMPARISON
    ]
    names = ["Condition", "", *(shortened(row["condition"], WIDTH) for row in rows)]
    passed = ["pass", "", *(str(row["criteria_passed"]) for row in rows)]
    failed = ["fail", "", *(str(row["criteria_failed"]) for row in rows)]
    widths = [width for *_, width in COMPARISON]
    for name, *shown in zip(names, *columns, passed, failed, strict=True):
        if len(name) > NAME:
            lines.append(name)
            name = ""
        lines.append(f"{name:<{NAME}}" + _line(shown, [*widths, 5, 5]))
    basis = (
        "GM is at upright; maximum GZ and range are those of the weaker side with the hull "
        "closed: criteria end at the downflooding angle."
    )
    return page([*lines, "", fill(basis, WIDTH), "", *foot(result)])


def cross_curves_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `cross-curves`, one line per displacement."""
    places, rows, heels = decimals(result), result["rows"], result["heel_deg"]
    trim = "fixed" if result["fixed_trim"] else "free"
    lines = [
        *head(result),
        *finding_lines(result),
        f"KN in meters, by heel in degrees; trim {trim}, "
        f"G taken at {result['KG_assumed_m']:.{places}f} m.",
    ]
    for first in range(0, len(heels), ABREAST):
        columns = [
            ["displ.", "t", *column([row["displacement_kg"] for row in rows], "t", places)],
            ["draft", "m", *column([row["draft_m"] for row in rows], "m", places)],
        ]
        for at, heel in enumerate(heels[first : first + ABREAST], first):
            KN = column([row["KN_m"][at] for row in rows], "m", places)
            columns.append([f"{heel:g}", "deg", *KN])
        lines += ["", *_lines(columns)]
    unsettled = sorted(
        {
            heel
            for row in rows
            for heel, settled in zip(heels, row["converged"], strict=True)
            if not settled
        }
    )
    if unsettled:
        shown = ", ".join(f"{heel:g}" for heel in unsettled)
        lines += [
            "",
            fill(f"At {shown} degrees no equilibrium trim was found at some displacements.", WIDTH),
        ]
    return page([*lines, "", *foot(result)])


def limiting_kg_report(result: Mapping[str, Any]) -> str:
    """The report of a result of `limits`, the KG of the case first."""
    places, rows = decimals(result), result["rows"]
    lines = [*head(result), *_own_limit(result, places), *finding_lines(result), ""]
    columns = [
        [name, unit, *column([row[key] for row in rows], unit, places)]
        for name, key, unit in LIMITS
    ]
    governing = list(dict.fromkeys(name for row in rows for name in row["governing"]))
    marks = [[str(1 + governing.index(name)) for name in row["governing"]] for row in rows]
    set_by = ["set by", "", *(", ".join(each) for each in marks)]
    lines += [f"{line}  {mark}" for line, mark in zip(_lines(columns), set_by, strict=True)]
    lines.append("")
    for number, name in enumerate(governing, 1):
        indent = " " * 4
        lines.append(fill(f"{number:>2}  {name}", WIDTH, subsequent_indent=indent))
    basis = "Free surfaces count as a rise of G; the vessel floats on an even keel upright."
    return page([*lines, "", basis, "", *foot(result, signs=False)])


def _wrong(result: Mapping[str, Any]) -> Iterator[str]:
    """Warnings, and criteria that fail."""
    yield from finding_lines({"warnings": result["warnings"], "notes": ()})
    for verdict in result["criteria"]:
        if verdict["outcome"] == "fails":
            text = f"Fails {_named(verdict)}: {verdict['reason']}"
            yield from finding_lines({"warnings": [text], "notes": ()})


def _notes(result: Mapping[str, Any]) -> Iterator[str]:
    yield from finding_lines({"warnings": (), "notes": result["notes"]})


def _named(verdict: Mapping[str, Any]) -> str:
    """'2008 IS Code, part A, 2.2, 2.2.1: Area under GZ to 30 degrees'."""
    clause = f", {verdict['clause']}" if verdict["clause"] else ""
    return f"{verdict['code']}{clause}: {verdict['description']}"


def _key_figures(result: Mapping[str, Any], places: int) -> Iterator[str]:
    sides = result["sides"]
    trim = "fixed" if result["fixed_trim"] else "free"
    shown = {**result["floating"], "GM_upright_m": result["GM_upright_m"]}
    for name, key, unit in AFLOAT:
        yield f"  {name:<36}{sided(shown, key, unit, places)}"
    yield from ("", f"{f'Heeled, trim {trim}':<38}" + "".join(f"{name:>14}" for name in sides))
    floods = any(side["range_to_downflooding_deg"] < side["range_deg"] for side in sides.values())
    for name, key, unit in KEY_FIGURES:
        if key in TO_FLOODING and not floods:
            continue
        values = [side[key] for side in sides.values()]
        both = "".join(f"{cell:>14}" for cell in _figures(values, unit, places))
        yield f"  {name:<36}{both} {unit}"
        ways = [side["downflooding_opening"] for side in sides.values()]
        if key == "downflooding_deg" and any(ways):
            by = " and ".join(dict.fromkeys(way for way in ways if way))
            yield fill(f"through {by}", WIDTH, initial_indent=" " * 4, subsequent_indent=" " * 7)


def _criteria(result: Mapping[str, Any], places: int) -> Iterator[str]:
    """Criteria by code, those that do not apply in one line."""
    verdicts = result["criteria"]
    if any(verdict["passes"] is not None for verdict in verdicts):
        heads = "".join(f"{name:>10}" for name in ("required", "attained", "margin"))
        title = f"Criteria, heeled to {result['weaker_side']}"
        yield from ("", f"{title:<43}{heads}")
    for code, group in groupby(verdicts, key=lambda verdict: verdict["code"]):
        clauses = list(group)
        reasons = {verdict["reason"] for verdict in clauses}
        if len(reasons) == 1 and all(each["outcome"] == "not applicable" for each in clauses):
            text = f"n.a.  {code}: {reasons.pop()}"
            yield fill(text, WIDTH, initial_indent="  ", subsequent_indent="        ")
            continue
        yield f"  {shortened(code, WIDTH - 2)}"
        shown: set[str] = set()
        for verdict in clauses:
            yield from _clause(verdict, places, shown)


def _clause(verdict: Mapping[str, Any], places: int, shown: set[str]) -> Iterator[str]:
    """A line of figures, then the reason or note unless it is already in `shown`."""
    unit, mark = verdict["unit"], MARKS[verdict["outcome"]]
    *above, last = wrap(f"{verdict['clause']} {verdict['description']}", 36)
    values = _figures([verdict[key] for key in ("required", "attained", "margin")], unit, places)
    for line in above:
        yield f"  {mark:<5}{line}"
        mark = ""
    yield f"  {mark:<5}{last:<36}" + "".join(f"{cell:>10}" for cell in values) + f" {unit}"
    reason = verdict["note" if verdict["outcome"] == "passes" else "reason"]
    if reason and reason not in shown:
        yield fill(reason, WIDTH, initial_indent=" " * 7, subsequent_indent=" " * 7)
        shown.add(reason)


def _own_limit(result: Mapping[str, Any], places: int) -> Iterator[str]:
    KG, most = result["KG_m"], result["KG_max_m"]
    if KG is None:
        return
    height, mass = f"KG is {KG:.{places}f} m", f"{result['displacement_kg'] / 1000:.5g} t"
    if most is None:
        yield fill(f"  ! At {mass} no KG meets the criteria; KG is {KG:.{places}f} m", WIDTH)
    elif result["margin_m"] < 0:
        yield fill(
            f"  ! At {mass} {height}, {-result['margin_m']:.{places}f} m above the limiting KG of "
            f"{most:.{places}f} m",
            WIDTH,
        )
    else:
        yield fill(
            f"At {mass} {height}, {result['margin_m']:.{places}f} m below the limiting KG of "
            f"{most:.{places}f} m.",
            WIDTH,
        )


def _figures(values: Sequence[float | None], unit: str, places: int) -> list[str]:
    """Figures as text, areas with one digit more than lengths."""
    return column(values, "m", places + 1) if unit == "m rad" else column(values, unit, places)


def _table(
    heads: Sequence[tuple[str, str, str]], columns: Sequence[Sequence[float | None]], places: int
) -> list[str]:
    return _lines(
        [
            [name, unit, *_figures(column, unit, places)]
            for (name, _, unit), column in zip(heads, columns, strict=True)
        ]
    )


def _lines(columns: Sequence[Sequence[str]]) -> list[str]:
    return [_line(row, [COLUMN] * len(columns)) for row in zip(*columns, strict=True)]


def _line(row: Sequence[str], widths: Sequence[int]) -> str:
    return "".join(f"{cell:>{width}}" for cell, width in zip(row, widths, strict=True))
