"""What is registered in Blender, in order: file properties first, the command line last."""

from __future__ import annotations

from . import command_line, keymap, preferences
from .controller import handlers, listeners
from .operators import (
    bake,
    boundaries,
    catalog,
    chart,
    compartments,
    compute,
    conditions,
    corrective_actions,
    drop,
    export,
    findings,
    flooding,
    hulls,
    leaks,
    parts,
    symmetry,
    timeline,
    verdicts,
    weigh,
    weight_lists,
    weights,
)
from .panels import (
    compartment_list,
    hull_lists,
    menus,
    part_lists,
    sidebar,
    typical_weights,
)
from .properties import settings
from .viewport import draw_handlers

MODULES = (
    settings,
    listeners,
    handlers,
    hulls,
    parts,
    weights,
    drop,
    weigh,
    weight_lists,
    catalog,
    compute,
    findings,
    symmetry,
    corrective_actions,
    verdicts,
    conditions,
    compartment_list,
    compartments,
    boundaries,
    leaks,
    flooding,
    export,
    timeline,
    bake,
    part_lists,
    hull_lists,
    typical_weights,
    sidebar,
    menus,
    keymap,
    preferences,
    draw_handlers,
    chart,
    command_line,
)
"""Each has its own `register` and `unregister`."""


def register() -> None:
    """Register every module."""
    for module in MODULES:
        module.register()


def unregister() -> None:
    """Unregister every module in reverse order."""
    for module in reversed(MODULES):
        module.unregister()
