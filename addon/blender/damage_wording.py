"""Leaks and results of flooding as text for panels and reports."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_iface as iface_

from ..core.compartments.find_compartments import downflooding_sill
from ..core.damage.flooding_result import FloodingResult
from ..core.flooding_time.flooding_history import FloodingHistory
from ..core.hydrostatics.floating_position import FloatingPosition
from ..core.model.compartment import Leak
from ..units.durations import clock
from ..units.quantities import Units


def breached_names(flooded: FloodingResult) -> str:
    """Names of the breached compartments."""
    return ", ".join(flooded.breached)


def outcome(flooding_history: FloodingHistory) -> tuple[str, bool]:
    """How a flooding in time ends, and whether the vessel is lost."""
    if flooding_history.lost is not None:
        return iface_("The vessel is lost after {time}").format(
            time=clock(flooding_history.lost)
        ), True
    if flooding_history.settled is not None:
        return iface_("The vessel settles after {time}").format(
            time=clock(flooding_history.settled)
        ), False
    text = iface_("The vessel is still flooding after {time}")
    return text.format(time=clock(float(flooding_history.times[-1]))), False


def leak_text(leak: Leak) -> str:
    """'Water enters hold through gap in 'hull', gap in 'deck'.'"""
    gaps = ", ".join(
        iface_("gap in '{boundary}'").format(boundary=gap.boundary) for gap in leak.path
    )
    return iface_("Water enters {compartment} through {gaps}.").format(
        compartment=leak.compartment, gaps=gaps
    )


def entry_point(scene: bpy.types.Scene, floating: FloatingPosition | None, leak: Leak) -> str:
    """Where water would first enter at the present waterline; empty while unknown."""
    rest = floating.equilibrium if floating else None
    if rest is None:
        return ""
    point, height = downflooding_sill(leak, rest.attitude)
    length = Units.of(scene).length
    x, y, z = (length(value) for value in point)
    text = (
        iface_("Water first enters at x {x}, y {y}, z {z}, {height} above the waterline.")
        if height > 0
        else iface_("Water enters at x {x}, y {y}, z {z}, {height} below the waterline.")
    )
    return text.format(x=x, y=y, z=z, height=length(abs(height)))
