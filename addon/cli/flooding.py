"""Commands on flooding and damage stability."""

from __future__ import annotations

import argparse
import csv

import numpy as np

from ..charts.floodable_length_chart import floodable_chart
from ..charts.flooding_chart import time_to_flood_chart
from ..charts.gz_figures import residual_chart
from ..core.compartments.find_compartments import find_rooms
from ..core.damage.bulkhead_suggestion import place_bulkheads
from ..core.damage.floodable_length import PERMEABILITY, floodable_length
from ..core.damage.flooding import flood, flood_each, worst
from ..core.damage.flooding_paths import Hole
from ..core.flooding_time.flow_network import Pump
from ..core.flooding_time.time_to_flood import flood_in_time
from ..core.messages.findings import BadInputError
from ..core.model.case import Case
from ..core.model.compartment import Division
from ..files.input_errors import within
from ..report.flooding import (
    bulkheads_report,
    flood_report,
    floodable_report,
    floods_report,
    ingress_report,
)
from ..results.flooding import (
    bulkheads_result,
    compartment_rows,
    flood_result,
    flood_rows,
    floodable_result,
    floodable_rows,
    floods_result,
    ingress_result,
    ingress_rows,
)
from .common import (
    Parser,
    Source,
    Tell,
    choose_condition,
    choose_shape,
    draw,
    loaded_condition,
    number,
    shaped,
    telling,
    word,
)

HOUR = 3600.0


def add_flooding_words(words: argparse._SubParsersAction[Parser], from_scene: bool) -> None:
    """Add `flood`, `time-to-flood`, `floodable` and `bulkheads`."""
    holed = word(
        words,
        "flood",
        "find the floating position with compartments open to the sea",
        _flood,
        from_scene,
    )
    which = holed.add_mutually_exclusive_group(required=True)
    which.add_argument(
        "--rooms", type=names, metavar="A,B", help="flood these compartments together"
    )
    which.add_argument("--each", action="store_true", help="flood each compartment by itself")
    which.add_argument(
        "--pairs", action="store_true", help="flood each two compartments that share a boundary"
    )
    choose_condition(holed, several=False)
    choose_shape(holed, "csv", "chart")

    timed = word(
        words, "time-to-flood", "compute flooding in time after a breach", _time, from_scene
    )
    timed.add_argument(
        "--room", required=True, metavar="NAME", help="the compartment that is breached"
    )
    where = timed.add_mutually_exclusive_group(required=True)
    where.add_argument(
        "--hole",
        type=point,
        metavar="X,Y,Z",
        help="position in ship axes, meters; write a negative x as --hole=-1,0,0.5",
    )
    where.add_argument(
        "--opening", metavar="NAME", help="an opening of the case instead of a breach"
    )
    timed.add_argument("--area", type=number, metavar="M2", help="area of the breach")
    timed.add_argument(
        "--discharge",
        type=number,
        metavar="SHARE",
        help=f"discharge coefficient of the breach; default: {Hole.discharge:g}",
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
    choose_condition(timed, several=False)
    choose_shape(timed, "csv", "chart")

    longest = word(words, "floodable", "compute floodable length along the hull", _long, from_scene)
    advised = word(
        words, "bulkheads", "suggest positions of transverse bulkheads", _advise, from_scene
    )
    advised.add_argument(
        "--count", type=int, required=True, metavar="N", help="number of bulkheads"
    )
    advised.add_argument(
        "--clear",
        action="extend",
        nargs="+",
        type=stretch,
        default=[],
        metavar="FROM:TO",
        help="stretches to keep free, meters along the hull; write a negative x as --clear=-1:3",
    )
    for asked in (longest, advised):
        asked.add_argument(
            "--permeability",
            type=number,
            default=PERMEABILITY,
            metavar="SHARE",
            help=f"permeability, 0 to 1; default: {PERMEABILITY:g}",
        )
        choose_condition(asked, several=False)
    choose_shape(longest, "csv", "chart")
    choose_shape(advised, "csv")


def _flood(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    case = loaded_condition(args, source, tell)
    with within(getattr(args, "case", "")):
        division = _divided(case, tell)
        if args.rooms:
            found = flood(case, division, args.rooms, telling(tell, "stages", 1))
            result = flood_result(found)
            draw(args, result, residual_chart)
            return shaped(args, result, flood_report, flood_rows(floods_result(case, [found])))
        done = telling(tell, "floodings", 1)
        floodings = flood_each(case, division, args.pairs, done)
        if args.chart is not None:
            drawn = flood(case, division, worst(floodings).opened)
            draw(args, flood_result(drawn), residual_chart)
    result = floods_result(case, floodings)
    return shaped(args, result, floods_report, flood_rows(result))


def _time(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    hole, pumps = _hole(args), _pumps(args)
    case = loaded_condition(args, source, tell)
    with within(getattr(args, "case", "")):
        division = _divided(case, tell)
        run = flood_in_time(
            case, division, args.room, hole, args.trapped, pumps, tell=telling(tell, "s", 1)
        )
    result = ingress_result(run, args.room, hole)
    draw(args, result, time_to_flood_chart)
    return shaped(args, result, ingress_report, ingress_rows(result))


def _hole(args: argparse.Namespace) -> Hole | str:
    """The breach of the arguments, or the name of an opening."""
    if args.opening is not None:
        for key, given in (("--area", args.area), ("--discharge", args.discharge)):
            if given is not None:
                raise BadInputError(
                    f"{key} belongs to a hole, and an opening has its own; leave it out, or give "
                    "--hole X,Y,Z instead of --opening"
                )
        return str(args.opening)
    if args.area is None:
        raise BadInputError("--hole has no area; give --area in m2, such as --area 0.02")
    discharge = Hole.discharge if args.discharge is None else args.discharge
    return Hole(np.array(args.hole), args.area, discharge)


def _pumps(args: argparse.Namespace) -> tuple[Pump, ...]:
    with within("--pump"):
        return tuple(Pump(room, _rate(text) / HOUR) for room, text in args.pump)


def _rate(text: str) -> float:
    try:
        rate = number(text)
    except argparse.ArgumentTypeError as error:
        raise BadInputError(f"{error}; give ROOM and m3 in an hour, such as 20") from None
    if not rate > 0:
        raise BadInputError(f"{rate:g} m3 in an hour is no rate; give one above zero, such as 20")
    return rate


def _long(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    case = loaded_condition(args, source, tell)
    with within(getattr(args, "case", "")):
        curve = floodable_length(case, args.permeability, tell=telling(tell, "% done", 100))
    result = floodable_result(case, curve)
    draw(args, result, floodable_chart)
    return shaped(args, result, floodable_report, floodable_rows(result))


def _advise(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    case = loaded_condition(args, source, tell)
    with within(getattr(args, "case", "")):
        advice = place_bulkheads(
            case,
            args.count,
            args.permeability,
            clear=tuple(args.clear),
            tell=telling(tell, "tried", 1),
        )
    result = bulkheads_result(case, advice, args.count, args.permeability)
    return shaped(args, result, bulkheads_report, compartment_rows(result))


def _divided(case: Case, tell: Tell) -> Division:
    tell("finding rooms")
    return find_rooms(case)


def names(text: str) -> tuple[str, ...]:
    """Names from a comma list; one that has a comma itself stands in double quotes."""
    row = next(csv.reader([text], skipinitialspace=True), [])
    found = tuple(name.strip() for name in row)
    if not found or "" in found:
        raise argparse.ArgumentTypeError(f"'{text}' has a name missing; give names as 'A,B'")
    return found


def point(text: str) -> tuple[float, ...]:
    """Three numbers, from a comma list."""
    found = tuple(number(part) for part in text.split(","))
    if len(found) != 3:
        raise argparse.ArgumentTypeError(f"'{text}' should be X,Y,Z in metres")
    return found


def stretch(text: str) -> tuple[float, float]:
    """Two numbers, 'FROM:TO'."""
    parts = [number(part) for part in text.split(":")]
    if len(parts) != 2:
        raise argparse.ArgumentTypeError(f"'{text}' should be FROM:TO in metres")
    return parts[0], parts[1]
