"""Commands on stability."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import radians

import numpy as np

from ..charts.gz_figures import gz_curve_chart, span_of
from ..charts.loading_charts import conditions_chart, cross_curves_chart, limiting_kg_chart
from ..core.criteria.assessment import assess
from ..core.criteria.codes import CODES
from ..core.criteria.limiting_kg import limiting_KG
from ..core.criteria.verdict import Verdict
from ..core.hydrostatics.floating_position import find_floating_position
from ..core.model.case import Case
from ..core.model.names import check_known
from ..core.stability.both_sides import Stability
from ..core.stability.cross_curves import check_displacement, cross_curves, on_even_keel
from ..core.stability.righting_curve import RightingCurve, check_heels
from ..files.input_errors import within
from ..report.stability import (
    conditions_report,
    cross_curves_report,
    limiting_kg_report,
    stability_report,
)
from ..results.conditions import condition_rows, conditions_result
from ..results.cross_curves import cross_curve_rows, cross_curves_result
from ..results.limiting_kg import limiting_kg_result, limiting_kg_rows
from ..results.stability import stability_result, stability_rows, sunk_result
from .common import (
    OnProgress,
    Parser,
    Result,
    Source,
    add_command,
    add_condition_options,
    add_output_options,
    all_conditions,
    formatted,
    load_case_of,
    load_conditions,
    number,
    progress_of,
    values,
    write_charts,
)

HEELS = tuple(range(0, 181, 10))
CROSS_HEELS = tuple(range(10, 91, 10))
SHARES = np.arange(0.5, 1.51, 0.125)


def add_stability_commands(commands: argparse._SubParsersAction[Parser], from_scene: bool) -> None:
    """Add `stability`, `conditions`, `cross-curves` and `limits`."""
    arms = add_command(
        commands, "stability", "compute the GZ curve and check the criteria", _stability, from_scene
    )
    _add_heels_option(arms, "0:180:10", HEELS)
    add_condition_options(arms)
    _add_codes_option(arms)

    compared = add_command(
        commands,
        "conditions",
        "compare stability in all loading conditions",
        _conditions,
        from_scene,
    )
    _add_heels_option(compared, "0:180:10", HEELS)
    _add_codes_option(compared)

    form = add_command(
        commands, "cross-curves", "compute cross curves of stability (KN)", _cross, from_scene
    )
    _add_displacements_option(form)
    _add_heels_option(form, "10:90:10", CROSS_HEELS)
    form.add_argument(
        "--KG",
        type=number,
        metavar="M",
        help="KG for the trim; default: half the depth of the hull",
    )

    highest = add_command(
        commands, "limiting-kg", "compute limiting KG over displacement", _limits, from_scene
    )
    _add_displacements_option(highest)
    _add_codes_option(highest)

    for command in (arms, compared, form, highest):
        command.add_argument(
            "--fixed-trim",
            action="store_true",
            help="hold the upright trim fixed; default: free to trim",
        )
        add_output_options(command, "csv", "chart")


def _add_heels_option(
    command: argparse.ArgumentParser, usual: str, default: Sequence[float]
) -> None:
    command.add_argument(
        "--heels",
        type=values,
        default=default,
        metavar="FROM:TO:STEP",
        help=f"degrees, positive to starboard, or a comma list; default: {usual}; negative "
        "ones as --heels=-60:60:5",
    )


def _add_codes_option(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--code",
        action="extend",
        nargs="+",
        metavar="KEY",
        help="check these codes, whether they apply or not, instead of those of the case: "
        f"{', '.join(code.key for code in CODES)}",
    )


def _add_displacements_option(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--displacements",
        type=values,
        metavar="FROM:TO:STEP",
        help="tonnes, or a comma list; default: around the displacement of the case",
    )


@dataclass(frozen=True)
class AssessedCondition:
    """A vessel checked in one condition: the result, the same at more heels for a chart if one is
    wanted, and the verdicts."""

    result: Result
    drawn: Result
    verdicts: tuple[Verdict, ...] = ()


def _stability(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> tuple[str, int]:
    heels = _heels(args)
    _check_codes(args)
    ships = _assess_conditions(load_conditions(args, source, on_progress), heels, args, on_progress)
    if args.all:
        rows = [
            {"condition": name, **row}
            for name, ship in ships.items()
            for row in stability_rows(ship.result)
        ]
        reports = "\n".join(stability_report(ship.result) for ship in ships.values())
        return _compared(args, ships, rows, lambda _: reports)
    (ship,) = ships.values()
    write_charts(args, ship.drawn, gz_curve_chart)
    return formatted(args, ship.result, stability_report, stability_rows(ship.result))


def _conditions(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> tuple[str, int]:
    heels = _heels(args)
    _check_codes(args)
    case = load_case_of(args, source, on_progress)
    with within(getattr(args, "case", "")):
        states = all_conditions(case)
    ships = _assess_conditions(states, heels, args, on_progress)
    return _compared(args, ships, None, conditions_report)


def _cross(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> tuple[str, int]:
    heels = _heels(args)
    case = load_case_of(args, source, on_progress)
    masses = _displacements(args, case)
    with within(getattr(args, "case", "")):
        curves = cross_curves(
            case, masses, heels, args.KG, args.fixed_trim, progress_of(on_progress, "t done", 1e-3)
        )
    result = cross_curves_result(case, curves, heels, args.KG, args.fixed_trim)
    write_charts(args, result, cross_curves_chart)
    return formatted(args, result, cross_curves_report, cross_curve_rows(result))


def _limits(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> tuple[str, int]:
    _check_codes(args)
    case = _with_codes(load_case_of(args, source, on_progress), args)
    masses = _displacements(args, case)
    reported = progress_of(on_progress, "t done", 1e-3)
    with within(getattr(args, "case", "")):
        limits = limiting_KG(case, masses, args.fixed_trim, reported)
        own = limiting_KG(case, [case.load.mass], args.fixed_trim)[0] if _floats(case) else None
        ship = case if own else on_even_keel(case, masses[0], limits[0].KM / 2)
        verdicts = assess(ship, fixed_trim=args.fixed_trim).verdicts
    result = limiting_kg_result(case, limits, verdicts, own)
    write_charts(args, result, limiting_kg_chart)
    return formatted(args, result, limiting_kg_report, limiting_kg_rows(result))


def _assess_conditions(
    states: Mapping[str, Case],
    heels: Sequence[float],
    args: argparse.Namespace,
    on_progress: OnProgress,
) -> dict[str, AssessedCondition]:
    """Vessels checked in conditions, by name."""
    ships, found = {}, {}
    with within(getattr(args, "case", "")):
        for name, case in states.items():
            case = _with_codes(case, args)
            if case.load.volume >= case.hull.volume:
                sunk = sunk_result(
                    find_floating_position(case, seek_others=False), heels, args.fixed_trim
                )
                ships[name] = AssessedCondition(sunk, sunk)
                continue
            progress = progress_of(on_progress, f"degrees, {case.title}", np.degrees(1.0))
            judged = found[name] = assess(case, heels, args.fixed_trim, progress)
            result = stability_result(judged, heels)
            ships[name] = AssessedCondition(result, result, judged.verdicts)
        if args.chart is not None:
            shown = _shown(heels, args, [each.stability for each in found.values()])
            for name, judged in found.items():
                finely = _refined_heels(heels, shown, judged.stability.curve)
                drawn = stability_result(judged, finely)
                ships[name] = replace(ships[name], drawn=drawn)
    return ships


def _shown(
    heels: Sequence[float], args: argparse.Namespace, curves: Sequence[Stability]
) -> tuple[float, float]:
    """The lowest and highest heel (rad) of a chart: as requested, or all that are of interest."""
    if args.heels is not HEELS or not curves:
        return heels[0], heels[-1]
    lows, highs = zip(*map(span_of, curves), strict=True)
    return min(lows), max(highs)


def _refined_heels(
    heels: Sequence[float], shown: tuple[float, float], curve: RightingCurve
) -> list[float]:
    """Heels (rad) of a chart: its limits, those requested and computed, and each degree."""
    low, high = shown
    known = [
        heel for heel in (*heels, *(each.heel for each in curve.positions)) if low < heel < high
    ]
    finely: list[float] = np.unique(
        [low, high, *known, *np.arange(low, high, np.radians(1.0))]
    ).tolist()
    return finely


def _compared(
    args: argparse.Namespace,
    ships: Mapping[str, AssessedCondition],
    rows: Sequence[Result] | None,
    report: Callable[[Result], str],
) -> tuple[str, int]:
    """Several conditions together; a row for each where `rows` are not given."""
    verdicts = [verdict for ship in ships.values() for verdict in ship.verdicts]
    result, drawn = (
        conditions_result({name: getattr(ship, kind) for name, ship in ships.items()}, verdicts)
        for kind in ("result", "drawn")
    )
    write_charts(args, drawn, conditions_chart)
    return formatted(args, result, report, condition_rows(result) if rows is None else rows)


def _heels(args: argparse.Namespace) -> tuple[float, ...]:
    """The heels of the arguments (rad)."""
    heels = tuple(map(radians, args.heels))
    with within("--heels"):
        check_heels(heels)
    return heels


def _with_codes(case: Case, args: argparse.Namespace) -> Case:
    """The case, with the codes of the arguments if they name any."""
    return case if args.code is None else replace(case, codes=tuple(args.code))


def _check_codes(args: argparse.Namespace) -> None:
    """Raises BadInputError for a code that is not known."""
    for key in args.code or ():
        check_known("--code", "code", key, [code.key for code in CODES])


def _displacements(args: argparse.Namespace, case: Case) -> list[float]:
    """The displacements of the arguments (kg); by default nine around that of the case."""
    most = case.hull.volume * case.water_density
    if args.displacements is not None:
        masses = [1000.0 * mass for mass in args.displacements]
        with within("--displacements"):
            for mass in masses:
                check_displacement(case, mass)
        return masses
    middle = case.load.mass if _floats(case) else most / 2
    return [float(mass) for mass in SHARES * middle if mass < most]


def _floats(case: Case) -> bool:
    return 0 < case.load.volume < case.hull.volume
