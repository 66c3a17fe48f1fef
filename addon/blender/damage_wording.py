"""Leaks, floodings and how these end in words, as panels and reports of operators show them."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_iface as iface_

from ..core.compartments.find_compartments import first_water
from ..core.damage.flooding import Flooded
from ..core.flooding_time.time_to_flood import Ingress
from ..core.hydrostatics.floating_position import Floating
from ..core.model.compartment import Leak
from ..units.durations import clock
from ..units.quantities import Units


def opened(flooded: Flooded) -> str:
    """Names of the rooms holed."""
    return ", ".join(flooded.opened)


def outcome(ingress: Ingress) -> tuple[str, bool]:
    """How a flooding in time ends in a sentence, and whether she is lost."""
    if ingress.lost is not None:
        return iface_("She is lost after {time}").format(time=clock(ingress.lost)), True
    if ingress.settled is not None:
        return iface_("She settles after {time}").format(time=clock(ingress.settled)), False
    text = iface_("She is still flooding after {time}")
    return text.format(time=clock(float(ingress.times[-1]))), False


def way_in(leak: Leak) -> str:
    """'Water gets into hold through gap in 'hull', gap in 'deck'.'"""
    gaps = ", ".join(iface_("gap in '{wall}'").format(wall=gap.wall) for gap in leak.path)
    return iface_("Water gets into {room} through {gaps}.").format(room=leak.room, gaps=gaps)


def entry_point(scene: bpy.types.Scene, floating: Floating | None, leak: Leak) -> str:
    """Where water would first enter at the present waterline; empty while that is not known."""
    rest = floating.rest if floating else None
    if rest is None:
        return ""
    point, height = first_water(leak, rest.attitude)
    length = Units.of(scene).length
    x, y, z = (length(value) for value in point)
    text = (
        iface_("Water first enters at x {x}, y {y}, z {z}, {height} above the waterline.")
        if height > 0
        else iface_("Water enters at x {x}, y {y}, z {z}, {height} under the waterline.")
    )
    return text.format(x=x, y=y, z=z, height=length(abs(height)))
