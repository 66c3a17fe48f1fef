"""The words of the command line, the same headless and inside Blender."""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Sequence
from math import radians
from pathlib import Path
from typing import TextIO

import numpy as np

from ..core.buoyancy.attitude import Attitude
from ..core.hydrostatics.floating_position import float_ship
from ..core.hydrostatics.particulars import hydrostatics
from ..core.messages.findings import BadInputError
from ..core.model.hull import Hull, Marks
from ..core.model.weights import Weight
from ..files.disk import write_file
from ..files.input_errors import within
from ..parts.case_file import read_case
from ..parts.case_writer import write_case
from ..parts.examples import EXAMPLES
from ..report.floating import float_report, hydrostatics_report
from ..results.floating import float_result, hydrostatics_result, json_text
from ..results.stability import conditions_result
from .common import (
    BAD_INPUT,
    COMPUTED,
    FAILED,
    Parser,
    Source,
    Tell,
    choose_condition,
    choose_shape,
    loaded,
    loaded_conditions,
    number,
    shaped,
    trim_angle,
    values,
    word,
)
from .compartments import add_room_words
from .flooding import add_flooding_words
from .stability import add_stability_words

FILES = Source(lambda args: read_case(Path(args.case)))


def main(argv: Sequence[str], prog: str = "naval-checks", source: Source = FILES) -> int:
    """Answers one question; 0 computed, 1 computed and a check failed, 2 bad input."""
    try:
        args = build_parser(prog, source.export is not None).parse_args(argv)
    except SystemExit as stop:
        return int(stop.code or 0)
    return run(args, source)


def run(args: argparse.Namespace, source: Source) -> int:
    """Carries out parsed words, tells bad input in one line of stderr, gives the exit code."""
    try:
        with Progress(sys.stderr) as tell:
            text, code = args.answer(args, source, tell)
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
    """Parser of the words; from a scene no file is named and `export` takes the place of `new`."""
    parser = Parser(
        prog=prog,
        description="Hydrostatics and stability of hulls modelled as meshes.",
        epilog="Exit codes: 0 computed, 1 computed and a check failed, 2 bad input.",
        allow_abbrev=False,
    )
    words = parser.add_subparsers(metavar="WORD", required=True)

    floating = word(words, "float", "how she floats with her weights", _float, from_scene)
    choose_condition(floating)
    choose_shape(floating)

    form = word(
        words, "hydrostatics", "what she displaces at given drafts", _hydrostatics, from_scene
    )
    form.add_argument(
        "--drafts",
        type=values,
        metavar="FROM:TO:STEP",
        help="drafts amidships in metres, or a comma list; ten up to her whole depth if left out",
    )
    form.add_argument(
        "--trim", type=number, default=0.0, metavar="M", help="draft aft less draft forward"
    )
    form.add_argument(
        "--heel", type=number, default=0.0, metavar="DEG", help="degrees, positive to starboard"
    )
    choose_shape(form, "csv")

    add_stability_words(words, from_scene)
    add_room_words(words, from_scene)
    add_flooding_words(words, from_scene)

    if from_scene:
        export = words.add_parser("export", help="write the case with its mesh and weights")
        export.add_argument("directory", metavar="DIR")
        export.add_argument("--hull", metavar="NAME", help="the hull object, if there are several")
        export.set_defaults(answer=_export)
    else:
        new = words.add_parser("new", help="write an example case to start from")
        new.add_argument("directory", metavar="DIR", type=Path)
        new.add_argument("--example", choices=EXAMPLES, default="survey-launch", metavar="KEY")
        new.set_defaults(answer=_new, prog=prog)
    return parser


def _float(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    states = loaded_conditions(args, source, tell)
    results = {}
    with within(getattr(args, "case", "")):
        for name, case in states.items():
            ship = float_ship(case, tell=lambda step: tell(f"floating, step {step}"))
            results[name] = float_result(ship)
    result = conditions_result(results) if args.all else next(iter(results.values()))
    reports = (float_report(results[name], case.weights) for name, case in states.items())
    text = json_text(result) if args.json else "\n".join(reports)
    return text, FAILED if result["failed"] else COMPUTED


def _hydrostatics(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    if not abs(args.heel) < 90:
        raise BadInputError(
            f"--heel is {args.heel:g}; drafts have a meaning only between -90 and 90 degrees"
        )
    case = loaded(args, source, tell)
    drafts = args.drafts or _all_drafts(case.hull)
    rows = []
    for count, draft in enumerate(drafts, 1):
        tell(f"draft {count} of {len(drafts)}")
        attitude = _attitude(case.hull, draft, args.trim, radians(args.heel))
        rows.append(hydrostatics(case.hull, attitude))
    result = hydrostatics_result(case, rows)
    return shaped(args, result, hydrostatics_report, result["rows"])


def _new(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    ship = EXAMPLES[args.example]()
    paths = write_case(
        args.directory,
        ship.title,
        ship.hull,
        [
            Weight(w.name, w.mass_kg, np.array(w.position_m), w.group, fixed=w.fixed)
            for w in ship.weights
        ],
        marks=Marks(*ship.perpendiculars, baseline_z=0.0, centreline_y=0.0),
        mirror=ship.half_hull,
        outfit=ship.outfit,
    )
    return f"{_written(paths)}next: {args.prog} float {shlex.quote(str(paths[0]))}\n", COMPUTED


def _export(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    assert source.export
    tell("writing the case")
    return _written(source.export(args)), COMPUTED


def _written(paths: Sequence[Path]) -> str:
    return f"wrote {', '.join(map(str, paths))}\n"


def _attitude(hull: Hull, draft: float, trim: float, heel_rad: float) -> Attitude:
    """The attitude of a draft amidships, a trim between perpendiculars (m) and a heel."""
    angle = trim_angle(hull, trim, heel_rad)
    return Attitude.from_draft(draft, hull.midship_x, heel_rad, angle)


def _all_drafts(hull: Hull) -> tuple[float, ...]:
    """Ten drafts from a tenth of her depth to all of it."""
    return tuple(float(hull.tree.low[2] + hull.depth * tenth / 10) for tenth in range(1, 11))


class Progress:
    """One line on a terminal that says what goes on, and is gone when it is done."""

    def __init__(self, stream: TextIO | None) -> None:
        self.terminal = stream if stream is not None and stream.isatty() else None

    def __enter__(self) -> Tell:
        return self.write

    def __exit__(self, *_: object) -> None:
        self.write("")

    def write(self, words: str) -> None:
        """Puts the words in place of the last ones."""
        if self.terminal:
            self.terminal.write(f"\r\x1b[K{words}")
            self.terminal.flush()
