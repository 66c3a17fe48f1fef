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
from ..core.hydrostatics.floating_position import float_ship
from ..core.model.case import Case
from ..core.model.names import check_known
from ..core.stability.both_sides import Stability
from ..core.stability.cross_curves import check_displacement, cross_curves, on_even_keel
from ..core.stability.righting_lever import RightingCurve, check_heels
from ..files.input_errors import within
from ..report.stability import (
    conditions_report,
    cross_curves_report,
    limits_report,
    stability_report,
)
from ..results.stability import (
    condition_rows,
    conditions_result,
    cross_curve_rows,
    cross_curves_result,
    limit_rows,
    limits_result,
    stability_result,
    stability_rows,
    sunk_result,
)
from .common import (
    Parser,
    Result,
    Source,
    Tell,
    all_conditions,
    choose_condition,
    choose_shape,
    draw,
    loaded,
    loaded_conditions,
    number,
    shaped,
    telling,
    values,
    word,
)

HEELS = tuple(range(0, 181, 10))
CROSS_HEELS = tuple(range(10, 91, 10))
SHARES = np.arange(0.5, 1.51, 0.125)


def add_stability_words(words: argparse._SubParsersAction[Parser], from_scene: bool) -> None:
    """Add `stability`, `conditions`, `cross-curves` and `limits`."""
    arms = word(
        words, "stability", "compute the GZ curve and check the criteria", _stability, from_scene
    )
    _ask_heels(arms, "0:180:10", HEELS)
    choose_condition(arms)
    _ask_codes(arms)

    compared = word(
        words, "conditions", "compare stability in all loading conditions", _conditions, from_scene
    )
    _ask_heels(compared, "0:180:10", HEELS)
    _ask_codes(compared)

    form = word(words, "cross-curves", "compute cross curves of stability (KN)", _cross, from_scene)
    _ask_displacements(form)
    _ask_heels(form, "10:90:10", CROSS_HEELS)
    form.add_argument(
        "--KG",
        type=number,
        metavar="M",
        help="KG for the trim; default: half the depth of the hull",
    )

    highest = word(words, "limits", "compute limiting KG over displacement", _limits, from_scene)
    _ask_displacements(highest)
    _ask_codes(highest)

    for asked in (arms, compared, form, highest):
        asked.add_argument(
            "--fixed-trim",
            action="store_true",
            help="hold the upright trim fixed; default: free to trim",
        )
        choose_shape(asked, "csv", "chart")


def _ask_heels(asked: argparse.ArgumentParser, usual: str, default: Sequence[float]) -> None:
    asked.add_argument(
        "--heels",
        type=values,
        default=default,
        metavar="FROM:TO:STEP",
        help=f"degrees, positive to starboard, or a comma list; default: {usual}; negative "
        "ones as --heels=-60:60:5",
    )


def _ask_codes(asked: argparse.ArgumentParser) -> None:
    asked.add_argument(
        "--code",
        action="extend",
        nargs="+",
        metavar="KEY",
        help="check these codes, whether they apply or not, instead of those of the case: "
        f"{', '.join(code.key for code in CODES)}",
    )


def _ask_displacements(asked: argparse.ArgumentParser) -> None:
    asked.add_argument(
        "--displacements",
        type=values,
        metavar="FROM:TO:STEP",
        help="tonnes, or a comma list; default: around the displacement of the case",
    )


@dataclass(frozen=True)
class Judged:
    """A vessel checked in one condition: the result, the same at more heels for a chart if one is
    wanted, and the verdicts."""

    result: Result
    drawn: Result
    verdicts: tuple[Verdict, ...] = ()


def _stability(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    heels = _heels(args)
    _check_codes(args)
    ships = _judge(loaded_conditions(args, source, tell), heels, args, tell)
    if args.all:
        rows = [
            {"condition": name, **row}
            for name, ship in ships.items()
            for row in stability_rows(ship.result)
        ]
        reports = "\n".join(stability_report(ship.result) for ship in ships.values())
        return _compared(args, ships, rows, lambda _: reports)
    (ship,) = ships.values()
    draw(args, ship.drawn, gz_curve_chart)
    return shaped(args, ship.result, stability_report, stability_rows(ship.result))


def _conditions(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    heels = _heels(args)
    _check_codes(args)
    case = loaded(args, source, tell)
    with within(getattr(args, "case", "")):
        states = all_conditions(case)
    ships = _judge(states, heels, args, tell)
    return _compared(args, ships, None, conditions_report)


def _cross(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    heels = _heels(args)
    case = loaded(args, source, tell)
    masses = _displacements(args, case)
    with within(getattr(args, "case", "")):
        curves = cross_curves(
            case, masses, heels, args.KG, args.fixed_trim, telling(tell, "t done", 1e-3)
        )
    result = cross_curves_result(case, curves, heels, args.KG, args.fixed_trim)
    draw(args, result, cross_curves_chart)
    return shaped(args, result, cross_curves_report, cross_curve_rows(result))


def _limits(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    _check_codes(args)
    case = _coded(loaded(args, source, tell), args)
    masses = _displacements(args, case)
    said = telling(tell, "t done", 1e-3)
    with within(getattr(args, "case", "")):
        limits = limiting_KG(case, masses, args.fixed_trim, said)
        own = limiting_KG(case, [case.load.mass], args.fixed_trim)[0] if _floats(case) else None
        ship = case if own else on_even_keel(case, masses[0], limits[0].KM / 2)
        verdicts = assess(ship, fixed_trim=args.fixed_trim).verdicts
    result = limits_result(case, limits, verdicts, own)
    draw(args, result, limiting_kg_chart)
    return shaped(args, result, limits_report, limit_rows(result))


def _judge(
    states: Mapping[str, Case], heels: Sequence[float], args: argparse.Namespace, tell: Tell
) -> dict[str, Judged]:
    """Vessels checked in conditions, by name."""
    ships, found = {}, {}
    with within(getattr(args, "case", "")):
        for name, case in states.items():
            case = _coded(case, args)
            if case.load.volume >= case.hull.volume:
                sunk = sunk_result(float_ship(case, seek_others=False), heels, args.fixed_trim)
                ships[name] = Judged(sunk, sunk)
                continue
            told = telling(tell, f"degrees, {case.title}", np.degrees(1.0))
            judged = found[name] = assess(case, heels, args.fixed_trim, told)
            result = stability_result(judged, heels)
            ships[name] = Judged(result, result, judged.verdicts)
        if args.chart is not None:
            shown = _shown(heels, args, [each.stability for each in found.values()])
            for name, judged in found.items():
                finely = _finely(heels, shown, judged.stability.curve)
                drawn = stability_result(judged, finely)
                ships[name] = replace(ships[name], drawn=drawn)
    return ships


def _shown(
    heels: Sequence[float], args: argparse.Namespace, curves: Sequence[Stability]
) -> tuple[float, float]:
    """The least and the greatest heel of a chart: those asked for, or all that are of interest."""
    if args.heels is not HEELS or not curves:
        return heels[0], heels[-1]
    lows, highs = zip(*map(span_of, curves), strict=True)
    return min(lows), max(highs)


def _finely(
    heels: Sequence[float], shown: tuple[float, float], curve: RightingCurve
) -> list[float]:
    """The heels asked for between two, these, those that were computed, and one a degree."""
    low, high = shown
    known = [heel for heel in (*heels, *(each.heel for each in curve.held)) if low < heel < high]
    finely: list[float] = np.unique(
        [low, high, *known, *np.arange(low, high, np.radians(1.0))]
    ).tolist()
    return finely


def _compared(
    args: argparse.Namespace,
    ships: Mapping[str, Judged],
    rows: Sequence[Result] | None,
    report: Callable[[Result], str],
) -> tuple[str, int]:
    """Several conditions together; a row for each where `rows` are not given."""
    verdicts = [verdict for ship in ships.values() for verdict in ship.verdicts]
    result, drawn = (
        conditions_result({name: getattr(ship, kind) for name, ship in ships.items()}, verdicts)
        for kind in ("result", "drawn")
    )
    draw(args, drawn, conditions_chart)
    return shaped(args, result, report, condition_rows(result) if rows is None else rows)


def _heels(args: argparse.Namespace) -> tuple[float, ...]:
    """The heels of the arguments (rad)."""
    heels = tuple(map(radians, args.heels))
    with within("--heels"):
        check_heels(heels)
    return heels


def _coded(case: Case, args: argparse.Namespace) -> Case:
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
