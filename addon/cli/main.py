"""The command line, the same headless and inside Blender."""

from __future__ import annotations

import argparse
import io
import os
import shlex
import signal
import sys
from collections.abc import Sequence
from math import radians
from pathlib import Path
from typing import NoReturn, TextIO

from ..core.buoyancy.attitude import Attitude
from ..core.hydrostatics.floating_position import find_floating_position
from ..core.hydrostatics.particulars import hydrostatics
from ..core.messages.findings import BadInputError
from ..core.model.hull import Hull
from ..examples.loader import DEFAULT, EXAMPLES, copy_example
from ..files.disk import write_file
from ..files.input_errors import within
from ..parts.case_file import read_case
from ..report.floating import float_report, hydrostatics_report
from ..results.conditions import conditions_result
from ..results.floating import float_result, hydrostatics_result, json_text
from .common import (
    BAD_INPUT,
    COMPUTED,
    FAILED,
    OnProgress,
    Parser,
    Source,
    add_command,
    add_condition_options,
    add_output_options,
    formatted,
    load_case_of,
    load_conditions,
    number,
    trim_angle,
    values,
)
from .compartments import add_compartment_commands
from .flooding import add_flooding_commands
from .stability import add_stability_commands

INTERRUPTED = 130
"""Exit code after Ctrl-C, as shells have it."""

FILES = Source(lambda args: read_case(Path(args.case)))


def console(prog: str = "naval-checks") -> NoReturn:
    """Run the command of `sys.argv` and exit; the entry point `naval-checks`.

    Letters that a terminal lacks are escaped; a closed pipe and Ctrl-C end it quietly.
    """
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        code = main(sys.argv[1:], prog)
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = COMPUTED
    except KeyboardInterrupt:
        code = INTERRUPTED
    sys.exit(code)


def main(argv: Sequence[str], prog: str = "naval-checks", source: Source = FILES) -> int:
    """Run one command; 0 computed, 1 computed and a check failed, 2 bad input."""
    try:
        args = build_parser(prog, source.export is not None).parse_args(argv)
    except SystemExit as stop:
        return int(stop.code or 0)
    return run(args, source)


def run(args: argparse.Namespace, source: Source) -> int:
    """Run parsed arguments; bad input is one line on stderr. Returns the exit code."""
    try:
        with Progress(sys.stderr) as on_progress:
            text, code = args.function(args, source, on_progress)
        output = getattr(args, "output", None)
        if output is None:
            sys.stdout.write(text)
        else:
            write_file(Path(output), text)
    except BadInputError as error:
        print(*str(error).split(), file=sys.stderr)
        return BAD_INPUT
    return code


def build_parser(prog: str, from_scene: bool = False) -> argparse.ArgumentParser:
    """The parser; from a scene no file is named, and `export` takes the place of `new`."""
    parser = Parser(
        prog=prog,
        description="Check the hydrostatics and stability of hulls modeled as meshes. For early "
        "design: approval of stability and passenger loading belongs to local rules and a "
        "licensed professional.",
        epilog="Exit codes: 0 computed, 1 computed and a check failed, 2 bad input.",
        allow_abbrev=False,
    )
    commands = parser.add_subparsers(metavar="COMMAND", required=True)

    floating = add_command(
        commands, "float", "find the floating position with all weights", _float, from_scene
    )
    add_condition_options(floating)
    add_output_options(floating)

    form = add_command(
        commands, "hydrostatics", "compute hydrostatics at given drafts", _hydrostatics, from_scene
    )
    form.add_argument(
        "--drafts",
        type=values,
        metavar="FROM:TO:STEP",
        help="drafts amidships in meters, or a comma list; default: ten up to the depth",
    )
    form.add_argument(
        "--trim",
        type=number,
        default=0.0,
        metavar="M",
        help="draft aft minus draft forward, positive by the stern",
    )
    form.add_argument(
        "--heel", type=number, default=0.0, metavar="DEG", help="degrees, positive to starboard"
    )
    add_output_options(form, "csv")

    add_stability_commands(commands, from_scene)
    add_compartment_commands(commands, from_scene)
    add_flooding_commands(commands, from_scene)

    if from_scene:
        export = commands.add_parser("export", help="write the case with its mesh and weights")
        export.add_argument("directory", metavar="DIR")
        export.add_argument("--hull", metavar="NAME", help="the hull object, if there are several")
        export.set_defaults(function=_export)
    else:
        new = commands.add_parser("new", help="write an example case to start from")
        new.add_argument("directory", metavar="DIR", type=Path)
        new.add_argument("--example", choices=EXAMPLES, default=DEFAULT, metavar="KEY")
        new.set_defaults(function=_new, prog=prog)
    return parser


def _float(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> tuple[str, int]:
    states = load_conditions(args, source, on_progress)
    results = {}
    with within(getattr(args, "case", "")):
        for name, case in states.items():
            ship = find_floating_position(
                case, on_progress=lambda step: on_progress(f"floating, step {step}")
            )
            results[name] = float_result(ship)
    result = conditions_result(results) if args.all else next(iter(results.values()))
    reports = (float_report(results[name], case.weights) for name, case in states.items())
    text = json_text(result) if args.json else "\n".join(reports)
    return text, FAILED if result["failed"] else COMPUTED


def _hydrostatics(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> tuple[str, int]:
    if not abs(args.heel) < 90:
        raise BadInputError(
            f"--heel is {args.heel:g}; drafts are defined only between -90 and 90 degrees"
        )
    case = load_case_of(args, source, on_progress)
    drafts = args.drafts or _all_drafts(case.hull)
    rows = []
    for count, draft in enumerate(drafts, 1):
        on_progress(f"draft {count} of {len(drafts)}")
        attitude = _attitude(case.hull, draft, args.trim, radians(args.heel))
        rows.append(hydrostatics(case.hull, attitude))
    result = hydrostatics_result(case, rows)
    return formatted(args, result, hydrostatics_report, result["rows"])


def _new(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> tuple[str, int]:
    paths = copy_example(args.example, args.directory)
    return f"{_written(paths)}next: {args.prog} float {shlex.quote(str(paths[0]))}\n", COMPUTED


def _export(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> tuple[str, int]:
    assert source.export
    on_progress("writing the case")
    return _written(source.export(args)), COMPUTED


def _written(paths: Sequence[Path]) -> str:
    return f"wrote {', '.join(map(str, paths))}\n"


def _attitude(hull: Hull, draft: float, trim: float, heel_rad: float) -> Attitude:
    """The attitude of a draft amidships, a trim between perpendiculars (m) and a heel."""
    angle = trim_angle(hull, trim, heel_rad)
    return Attitude.from_draft(draft, hull.midship_x, heel_rad, angle)


def _all_drafts(hull: Hull) -> tuple[float, ...]:
    """Ten drafts from a tenth of the depth to all of it."""
    return tuple(float(hull.tree.low[2] + hull.depth * tenth / 10) for tenth in range(1, 11))


class Progress:
    """One line of progress on a terminal, removed at the end."""

    def __init__(self, stream: TextIO | None) -> None:
        self.terminal = stream if stream is not None and stream.isatty() else None

    def __enter__(self) -> OnProgress:
        return self.write

    def __exit__(self, *_: object) -> None:
        self.write("")

    def write(self, commands: str) -> None:
        """Replace the line."""
        if self.terminal:
            self.terminal.write(f"\r\x1b[K{commands}")
            self.terminal.flush()
