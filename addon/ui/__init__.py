"""What the user sees and touches in Blender."""

from __future__ import annotations

from ..overlay import draw
from ..scene import settings, watch
from . import (
    bake,
    chart,
    cli,
    compute,
    drop,
    export,
    faults,
    flooding,
    hulls,
    keys,
    leaks,
    loading,
    menus,
    panels,
    parts,
    preferences,
    remedies,
    roll,
    rooms,
    symmetry,
    timeline,
    usual,
    verdicts,
    walls,
    weigh,
    weight_lists,
    weights,
)

PARTS = (
    settings,
    watch,
    hulls,
    parts,
    weights,
    drop,
    weigh,
    weight_lists,
    usual,
    compute,
    faults,
    symmetry,
    remedies,
    verdicts,
    loading,
    roll,
    rooms,
    walls,
    leaks,
    flooding,
    export,
    timeline,
    bake,
    panels,
    menus,
    keys,
    preferences,
    draw,
    chart,
    cli,
)


def register() -> None:
    """Put the add-on into Blender."""
    for part in PARTS:
        part.register()


def unregister() -> None:
    """Take it out again, last things first."""
    for part in reversed(PARTS):
        part.unregister()
