"""Commands on flooding and damage stability."""

from __future__ import annotations

import argparse
import csv

import numpy as np

from ..charts.floodable_length_chart import floodable_result_chart
from ..charts.flooding_chart import time_to_flood_chart
from ..charts.gz_figures import residual_chart
from ..core.compartments.find_compartments import find_compartments
from ..core.damage.breach import Breach
from ..core.damage.bulkhead_suggestion import suggest_bulkheads
from ..core.damage.floodable_length import floodable_length
from ..core.damage.floodable_vessel import DEFAULT_PERMEABILITY
from ..core.damage.flooding import flood, flood_each
from ..core.damage.flooding_result import worst
from ..core.flooding_time.flow_network import Pump
from ..core.flooding_time.time_to_flood import simulate_flooding
from ..core.messages.findings import BadInputError
from ..core.model.case import Case
from ..core.model.compartment import CompartmentPlan
from ..files.input_errors import within
from ..report.flooding import (
    bulkheads_report,
    flood_cases_report,
    flood_report,
    floodable_length_report,
    time_to_flood_report,
)
from ..results.flooding import (
    bulkheads_result,
    flood_cases_result,
    flood_result,
    flood_rows,
    floodable_length_result,
    floodable_length_rows,
    main_compartment_rows,
    time_to_flood_result,
    time_to_flood_rows,
)
from .common import (
    OnProgress,
    Parser,
    Source,
    add_command,
    add_condition_options,
    add_output_options,
    formatted,
    load_condition,
    number,
    progress_of,
    write_charts,
)

HOUR = 3600.0


def add_flooding_commands(commands: argparse._SubParsersAction[Parser], from_scene: bool) -> None:
    """Add `flood`, `time-to-flood`, `floodable` and `bulkheads`."""
    breached = add_command(
        commands,
        "flood",
        "find the floating position with compartments open to the sea",
        _flood,
        from_scene,
    )
    which = breached.add_mutually_exclusive_group(required=True)
    which.add_argument(
        "--compartments", type=names, metavar="A,B", help="flood these compartments together"
    )
    which.add_argument("--each", action="store_true", help="flood each compartment by itself")
    which.add_argument(
        "--pairs", action="store_true", help="flood each two compartments that share a boundary"
    )
    add_condition_options(breached, several=False)
    add_output_options(breached, "csv", "chart")

    timed = add_command(
        commands,
        "time-to-flood",
        "compute flooding in time after a breach",
        _time_to_flood,
        from_scene,
    )
    timed.add_argument(
        "--compartment", required=True, metavar="NAME", help="the compartment that is breached"
    )
    where = timed.add_mutually_exclusive_group(required=True)
    where.add_argument(
        "--breach",
        type=point,
        metavar="X,Y,Z",
        help="position in ship axes, meters; write a negative x as --breach=-1,0,0.5",
    )
    where.add_argument(
        "--opening", metavar="NAME", help="an opening of the case instead of a breach"
    )
    timed.add_argument("--area", type=number, metavar="M2", help="area of the breach")
    timed.add_argument(
        "--discharge-coefficient",
        type=number,
        metavar="SHARE",
        help=f"discharge coefficient of the breach; default: {Breach.discharge_coefficient:g}",
    )
    timed.add_argument(
        "--trapped", type=names, default=(), metavar="A,B", help="compartments that trap their air"
    )
    timed.add_argument(
        "--pump",
        action="append",
        nargs=2,
        default=[],
        metavar=("COMPARTMENT", "M3_H"),
        help="a pump in a compartment and its capacity in m3/h; repeat for more",
    )
    add_condition_options(timed, several=False)
    add_output_options(timed, "csv", "chart")

    longest = add_command(
        commands,
        "floodable-length",
        "compute floodable length along the hull",
        _floodable,
        from_scene,
    )
    advised = add_command(
        commands, "bulkheads", "suggest positions of transverse bulkheads", _bulkheads, from_scene
    )
    advised.add_argument(
        "--count", type=int, required=True, metavar="N", help="number of bulkheads"
    )
    advised.add_argument(
        "--clear",
        action="extend",
        nargs="+",
        type=interval,
        default=[],
        metavar="FROM:TO",
        help="stretches to keep free, meters along the hull; write a negative x as --clear=-1:3",
    )
    for command in (longest, advised):
        command.add_argument(
            "--permeability",
            type=number,
            default=DEFAULT_PERMEABILITY,
            metavar="SHARE",
            help=f"permeability, 0 to 1; default: {DEFAULT_PERMEABILITY:g}",
        )
        add_condition_options(command, several=False)
    add_output_options(longest, "csv", "chart")
    add_output_options(advised, "csv")


def _flood(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> tuple[str, int]:
    case = load_condition(args, source, on_progress)
    with within(getattr(args, "case", "")):
        plan = _found_compartments(case, on_progress)
        if args.compartments:
            found = flood(case, plan, args.compartments, progress_of(on_progress, "stages", 1))
            result = flood_result(found)
            write_charts(args, result, residual_chart)
            return formatted(
                args, result, flood_report, flood_rows(flood_cases_result(case, [found]))
            )
        done = progress_of(on_progress, "floodings", 1)
        floodings = flood_each(case, plan, args.pairs, done)
        if args.chart is not None:
            drawn = flood(case, plan, worst(floodings).breached)
            write_charts(args, flood_result(drawn), residual_chart)
    result = flood_cases_result(case, floodings)
    return formatted(args, result, flood_cases_report, flood_rows(result))


def _time_to_flood(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> tuple[str, int]:
    breach, pumps = _breach(args), _pumps(args)
    case = load_condition(args, source, on_progress)
    with within(getattr(args, "case", "")):
        plan = _found_compartments(case, on_progress)
        run = simulate_flooding(
            case,
            plan,
            args.compartment,
            breach,
            args.trapped,
            pumps,
            on_progress=progress_of(on_progress, "s", 1),
        )
    result = time_to_flood_result(run, args.compartment, breach)
    write_charts(args, result, time_to_flood_chart)
    return formatted(args, result, time_to_flood_report, time_to_flood_rows(result))


def _breach(args: argparse.Namespace) -> Breach | str:
    """The breach of the arguments, or the name of an opening."""
    if args.opening is not None:
        for key, given in (
            ("--area", args.area),
            ("--discharge-coefficient", args.discharge_coefficient),
        ):
            if given is not None:
                raise BadInputError(
                    f"{key} is for a breach, and an opening has its own; leave it out, or give "
                    "--breach X,Y,Z instead of --opening"
                )
        return str(args.opening)
    if args.area is None:
        raise BadInputError("--breach has no area; give --area in m2, such as --area 0.02")
    discharge_coefficient = (
        Breach.discharge_coefficient
        if args.discharge_coefficient is None
        else args.discharge_coefficient
    )
    return Breach(np.array(args.breach), args.area, discharge_coefficient)


def _pumps(args: argparse.Namespace) -> tuple[Pump, ...]:
    with within("--pump"):
        return tuple(Pump(compartment, _rate(text) / HOUR) for compartment, text in args.pump)


def _rate(text: str) -> float:
    try:
        rate = number(text)
    except argparse.ArgumentTypeError as error:
        raise BadInputError(f"{error}; give COMPARTMENT and m3 per hour, such as 20") from None
    if not rate > 0:
        raise BadInputError(
            f"{rate:g} m3 per hour is not a capacity; give one above zero, such as 20"
        )
    return rate


def _floodable(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> tuple[str, int]:
    case = load_condition(args, source, on_progress)
    with within(getattr(args, "case", "")):
        curve = floodable_length(
            case, args.permeability, on_progress=progress_of(on_progress, "% done", 100)
        )
    result = floodable_length_result(case, curve)
    write_charts(args, result, floodable_result_chart)
    return formatted(args, result, floodable_length_report, floodable_length_rows(result))


def _bulkheads(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> tuple[str, int]:
    case = load_condition(args, source, on_progress)
    with within(getattr(args, "case", "")):
        advice = suggest_bulkheads(
            case,
            args.count,
            args.permeability,
            keep_clear=tuple(args.clear),
            on_progress=progress_of(on_progress, "tried", 1),
        )
    result = bulkheads_result(case, advice, args.count, args.permeability)
    return formatted(args, result, bulkheads_report, main_compartment_rows(result))


def _found_compartments(case: Case, on_progress: OnProgress) -> CompartmentPlan:
    on_progress("finding compartments")
    return find_compartments(case)


def names(text: str) -> tuple[str, ...]:
    """Names from a comma list; a name with a comma is in double quotes."""
    row = next(csv.reader([text], skipinitialspace=True), [])
    found = tuple(name.strip() for name in row)
    if not found or "" in found:
        raise argparse.ArgumentTypeError(f"'{text}' has a name missing; give names as 'A,B'")
    return found


def point(text: str) -> tuple[float, ...]:
    """Three numbers, from a comma list."""
    found = tuple(number(part) for part in text.split(","))
    if len(found) != 3:
        raise argparse.ArgumentTypeError(f"'{text}' should be X,Y,Z in meters")
    return found


def interval(text: str) -> tuple[float, float]:
    """Two numbers, 'FROM:TO'."""
    parts = [number(part) for part in text.split(":")]
    if len(parts) != 2:
        raise argparse.ArgumentTypeError(f"'{text}' should be FROM:TO in meters")
    return parts[0], parts[1]
