"""The command line inside Blender: `blender FILE.blend -c naval_checks COMMAND`."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path

import bpy

from ..cli.main import Source, main
from ..core.messages.findings import BadInputError
from ..core.model.case import Case
from .identifiers import COMMAND
from .operators.export import write_scene
from .readers.cases import read_case
from .readers.members import collect_parts

PROG = f"blender FILE.blend -c {COMMAND}"


def answer(argv: Sequence[str]) -> int:
    """Run one command on the scene of the open file; the exit code."""
    return main(argv, PROG, Source(_load, _export))


def _load(args: Namespace) -> Case:
    reading = read_case(bpy.context.evaluated_depsgraph_get(), _hull(args.hull))
    for finding in reading.findings:
        print(finding.text, file=sys.stderr)
    return reading.case


def _export(args: Namespace) -> Sequence[Path]:
    depsgraph = bpy.context.evaluated_depsgraph_get()
    return write_scene(depsgraph, _hull(args.hull), Path(args.directory))


def _hull(name: str | None) -> bpy.types.Object:
    """The hull of that name, or the only one. Raises BadInputError."""
    found = {hull.name: hull for hull in collect_parts(bpy.context.view_layer).hulls}
    if not found:
        raise BadInputError(
            f"scene '{bpy.context.scene.name}': there is no hull; mark a mesh as hull and save"
        )
    names = ", ".join(found)
    if name is None and len(found) > 1:
        raise BadInputError(f"there are several hulls ({names}); choose one with --hull NAME")
    if name is not None and name not in found:
        raise BadInputError(f"--hull '{name}' is not a hull of the scene; its hulls are {names}")
    return found[name] if name is not None else next(iter(found.values()))


_commands: list[object] = []


def register() -> None:
    _commands.append(bpy.utils.register_cli_command(COMMAND, answer))


def unregister() -> None:
    while _commands:
        bpy.utils.unregister_cli_command(_commands.pop())
