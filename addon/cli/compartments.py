"""Commands on compartments and tanks."""

from __future__ import annotations

import argparse
from math import radians

from ..core.compartments.find_compartments import find_compartments
from ..core.damage.flooding_paths import check_flooding_paths, with_door_findings
from ..core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from ..core.hydrostatics.tank_soundings import sounding_table
from ..core.messages.findings import BadInputError
from ..core.model.case import Case
from ..core.model.names import check_known
from ..files.input_errors import within
from ..report.compartments import compartments_report, tanks_report
from ..results.compartments import (
    compartment_rows,
    compartments_result,
    sounding_rows,
    tanks_result,
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
    trim_angle,
)


def add_compartment_commands(
    commands: argparse._SubParsersAction[Parser], from_scene: bool
) -> None:
    """Add `compartments` and `tanks`."""
    spaces = add_command(
        commands, "compartments", "find the compartments and their leaks", _compartments, from_scene
    )
    add_condition_options(spaces, several=False)
    add_output_options(spaces, "csv")

    liquids = add_command(
        commands, "tanks", "compute tank soundings and free surfaces", _tanks, from_scene
    )
    add_condition_options(liquids, several=False)
    liquids.add_argument("--tank", metavar="NAME", help="one tank; default: all")
    liquids.add_argument(
        "--steps", type=int, default=10, metavar="N", help="steps from empty to full; default: 10"
    )
    liquids.add_argument(
        "--heel", type=number, default=0.0, metavar="DEG", help="degrees, positive to starboard"
    )
    liquids.add_argument(
        "--trim",
        type=number,
        default=0.0,
        metavar="M",
        help="draft aft minus draft forward, positive by the stern",
    )
    add_output_options(liquids, "csv")


def _compartments(
    args: argparse.Namespace, source: Source, on_progress: OnProgress
) -> tuple[str, int]:
    case = load_condition(args, source, on_progress)
    with within(getattr(args, "case", "")):
        on_progress("finding compartments")
        plan = find_compartments(case)
        check_flooding_paths(case, plan)
        plan = with_door_findings(case, plan)
        ship = _afloat(case)
    result = compartments_result(
        case, plan, ship.equilibrium.attitude if ship and ship.equilibrium else None
    )
    return formatted(args, result, compartments_report, compartment_rows(result))


def _tanks(args: argparse.Namespace, source: Source, on_progress: OnProgress) -> tuple[str, int]:
    if not abs(args.heel) < 90:
        raise BadInputError(
            f"--heel is {args.heel:g}; trim is defined only between -90 and 90 degrees"
        )
    case = load_condition(args, source, on_progress)
    with within(getattr(args, "case", "")):
        if not case.tanks:
            raise BadInputError("the case has no tank to sound; add a [[tank]]")
        if args.tank is not None:
            check_known("--tank", "tank", args.tank, [tank.name for tank in case.tanks])
        heel = radians(args.heel)
        trim = trim_angle(case.hull, args.trim, heel)
        tables = [
            sounding_table(tank, args.steps, heel, trim)
            for tank in case.tanks
            if args.tank in (None, tank.name)
        ]
        ship = _afloat(case)
    result = tanks_result(case, tables, ship, heel, args.trim)
    return formatted(args, result, tanks_report, sounding_rows(result))


def _afloat(case: Case) -> FloatingPosition | None:
    """The floating position, if anything is on board."""
    return find_floating_position(case, seek_others=False) if case.load.mass > 0 else None
