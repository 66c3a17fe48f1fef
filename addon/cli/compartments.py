"""Commands on compartments and tanks."""

from __future__ import annotations

import argparse
from math import radians

from ..core.compartments.find_compartments import find_rooms
from ..core.damage.flooding_paths import check_ways, with_doors_told
from ..core.hydrostatics.floating_position import Floating, float_ship
from ..core.hydrostatics.tank_soundings import sounding_table
from ..core.messages.findings import BadInputError
from ..core.model.case import Case
from ..core.model.names import check_known
from ..files.input_errors import within
from ..report.compartments import rooms_report, tanks_report
from ..results.compartments import room_rows, rooms_result, sounding_rows, tanks_result
from .common import (
    Parser,
    Source,
    Tell,
    choose_condition,
    choose_shape,
    loaded_condition,
    number,
    shaped,
    trim_angle,
    word,
)


def add_room_words(words: argparse._SubParsersAction[Parser], from_scene: bool) -> None:
    """Add `rooms` and `tanks`."""
    spaces = word(words, "rooms", "find the compartments and their leaks", _rooms, from_scene)
    choose_condition(spaces, several=False)
    choose_shape(spaces, "csv")

    liquids = word(words, "tanks", "compute tank soundings and free surfaces", _tanks, from_scene)
    choose_condition(liquids, several=False)
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
    choose_shape(liquids, "csv")


def _rooms(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    case = loaded_condition(args, source, tell)
    with within(getattr(args, "case", "")):
        tell("finding rooms")
        division = find_rooms(case)
        check_ways(case, division)
        division = with_doors_told(case, division)
        ship = _afloat(case)
    result = rooms_result(case, division, ship.rest.attitude if ship and ship.rest else None)
    return shaped(args, result, rooms_report, room_rows(result))


def _tanks(args: argparse.Namespace, source: Source, tell: Tell) -> tuple[str, int]:
    if not abs(args.heel) < 90:
        raise BadInputError(
            f"--heel is {args.heel:g}; trims have a meaning only between -90 and 90 degrees"
        )
    case = loaded_condition(args, source, tell)
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
    return shaped(args, result, tanks_report, sounding_rows(result))


def _afloat(case: Case) -> Floating | None:
    """The floating position, if anything is on board."""
    return float_ship(case, seek_others=False) if case.load.mass > 0 else None
