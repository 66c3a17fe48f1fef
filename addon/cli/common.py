"""Common parts of the commands: their source, conditions, forms of output, exit codes."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import atan, cos, floor, isfinite
from pathlib import Path
from typing import Any, NoReturn

from ..charts.chart import Chart
from ..charts.page import chart_png, chart_svg
from ..core.compartments.find_compartments import find_compartments
from ..core.damage.damaged_case import damaged
from ..core.model.case import Case
from ..core.model.conditions import Condition
from ..core.model.hull import Hull
from ..core.model.loaded_case import condition_named, in_condition
from ..files.disk import write_file
from ..files.input_errors import within
from ..results.conditions import AS_MODELED
from ..results.floating import csv_text, json_text

COMPUTED, FAILED, BAD_INPUT = 0, 1, 2
MOST_VALUES = 10_000

OnProgress = Callable[[str], None]
Result = dict[str, Any]


@dataclass(frozen=True)
class Source:
    """Where commands find their case.

    `load` returns the case of the parsed arguments, by `args.case` (a file's name) or, in a
    scene, by `args.hull` (an object's name, or None). A source with `export`, which writes the
    case into `args.directory` and returns the paths, is a scene.
    """

    load: Callable[[argparse.Namespace], Case]
    export: Callable[[argparse.Namespace], Sequence[Path]] | None = None


CommandFunction = Callable[[argparse.Namespace, Source, OnProgress], tuple[str, int]]
"""The output of a command, and its exit code."""


def add_command(
    commands: argparse._SubParsersAction[Parser],
    name: str,
    help_text: str,
    function: CommandFunction,
    from_scene: bool,
) -> argparse.ArgumentParser:
    """A command on one case; `help_text` is imperative, without a full stop."""
    command = commands.add_parser(
        name, help=help_text, description=f"{help_text[0].upper()}{help_text[1:]}."
    )
    if from_scene:
        command.add_argument(
            "--hull", metavar="NAME", help="the hull object, where the scene has several"
        )
    else:
        command.add_argument("case", metavar="CASE", help="the case file, TOML")
    command.add_argument("--output", metavar="FILE", help="write to a file instead of printing")
    command.set_defaults(function=function)
    return command


def add_condition_options(command: argparse.ArgumentParser, several: bool = True) -> None:
    """Add the options for the loading condition, and for all of them if `several`."""
    which = command.add_mutually_exclusive_group()
    which.add_argument("--condition", metavar="NAME", help="use this loading condition of the case")
    if several:
        which.add_argument(
            "--all", action="store_true", help="as modeled and in each loading condition"
        )


def add_output_options(command: argparse.ArgumentParser, *kinds: str) -> None:
    """Add the options for the form of the output: JSON, and the `kinds` CSV or chart."""
    if "chart" in kinds:
        text = "also write a chart, .svg or .png"
        command.add_argument("--chart", type=picture_file, metavar="FILE", help=text)
    shape = command.add_mutually_exclusive_group()
    shape.add_argument("--json", action="store_true", help="print the result as JSON")
    if "csv" in kinds:
        shape.add_argument("--csv", action="store_true", help="print the rows as CSV")


def load_case_of(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> Case:
    """The case of the arguments."""
    on_progress("reading the case")
    return source.load(args)


def load_conditions(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> Mapping[str, Case]:
    """The cases of the arguments, by the names of their conditions."""
    case = load_case_of(args, source, on_progress)
    with within(getattr(args, "case", "")):
        if args.condition is not None:
            condition = condition_named(case, args.condition)
            return {condition.name: _in_condition(case, condition)}
        return all_conditions(case) if args.all else {AS_MODELED: case}


def load_condition(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> Case:
    """The case of the arguments, in the condition they name if any; compartments that it floods
    are still dry."""
    case = load_case_of(args, source, on_progress)
    if args.condition is None:
        return case
    with within(getattr(args, "case", "")):
        return in_condition(case, condition_named(case, args.condition))


def all_conditions(case: Case) -> dict[str, Case]:
    """The case as modeled, and in each of its conditions."""
    states = {condition.name: _in_condition(case, condition) for condition in case.conditions}
    return {AS_MODELED: case, **states}


def _in_condition(case: Case, condition: Condition) -> Case:
    """The case in a condition, its flooded compartments open to the sea."""
    state = in_condition(case, condition)
    return damaged(state, find_compartments(state), ()) if state.flooded else state


def formatted(
    args: argparse.Namespace,
    result: Result,
    report: Callable[[Result], str],
    rows: Iterable[Result] = (),
) -> tuple[str, int]:
    """The output in the form of the arguments, and the exit code."""
    if args.json:
        text = json_text(result)
    else:
        text = csv_text(rows) if getattr(args, "csv", False) else report(result)
    return text, FAILED if result.get("failed") else COMPUTED


def write_charts(
    args: argparse.Namespace, result: Result, chart: Callable[[Mapping[str, Any]], Chart]
) -> None:
    """Write the chart of the arguments."""
    if args.chart is not None:
        drawn = chart(result)
        png = args.chart.lower().endswith(".png")
        write_file(Path(args.chart), chart_png(drawn) if png else chart_svg(drawn))


def progress_of(on_progress: OnProgress, commands: str, unit: float) -> Callable[[float], None]:
    """Report progress figures, multiplied by `unit`, followed by `commands`."""
    return lambda figure: on_progress(f"{figure * unit:.5g} {commands}")


def trim_angle(hull: Hull, trim: float, heel: float) -> float:
    """The angle (rad) of a trim between perpendiculars (m), at a heel (rad).

    On the centerline the water rises aft by tan(trim angle) / cos(heel) per meter.
    """
    return atan(trim * cos(heel) / hull.length_pp)


def picture_file(text: str) -> str:
    """A file's name of the command line, for a chart."""
    if not text.lower().endswith((".svg", ".png")):
        raise argparse.ArgumentTypeError(f"'{text}' should end in .svg or .png, as charts do")
    return text


def number(text: str) -> float:
    """A finite number of the command line."""
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        raise argparse.ArgumentTypeError(f"'{text}' is not a number")
    return value


def values(text: str) -> tuple[float, ...]:
    """Numbers from 'FROM:TO:STEP', both ends included, or from a comma list."""
    if ":" not in text:
        return tuple(number(part) for part in text.split(","))
    parts = [number(part) for part in text.split(":")]
    if len(parts) != 3 or not parts[2] > 0 or parts[1] < parts[0]:
        raise argparse.ArgumentTypeError(
            f"'{text}' should be FROM:TO:STEP with FROM below TO and STEP above zero"
        )
    first, last, step = parts
    count = floor((last - first) / step * (1 + 1e-12) + 1e-9) + 1
    if count > MOST_VALUES:
        raise argparse.ArgumentTypeError(f"'{text}' gives {count} values; widen the step")
    return tuple(round(first + i * step, 12) for i in range(count))


class Parser(argparse.ArgumentParser):
    """A parser with errors of one line."""

    def error(self, message: str) -> NoReturn:
        """Print what is wrong with the arguments and exit with code 2."""
        self.exit(BAD_INPUT, f"{' '.join(message.split())}; see {self.prog} --help\n")
