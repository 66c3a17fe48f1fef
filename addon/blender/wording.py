"""Figures and findings as text for panels and reports."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, isfinite
from typing import Any

import blf
import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_

from ..core.hydrostatics.floating_position import FloatingPosition
from ..core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ..units.lengths import TOGETHER, UNBROKEN
from ..units.quantities import NOTHING, Units

NONE = n_("none")
LINKED = n_("This object is linked from another file; make it local first")
AFLOAT = {
    "upright": n_("Afloat, upright"),
    "list": n_("Afloat, with a list"),
    "loll": n_("Afloat, with a loll"),
}
FONT = 0
"""The font of the interface."""
MARGIN, BUTTON = 88, 34
"""Pixels of a sidebar, at a scale of 1, that an icon with the borders, and a button, take."""


def heel(radians: float) -> str:
    """'3.2° to port'."""
    if abs(radians) <= UPRIGHT_TOLERANCE:
        return iface_(NONE)
    text = iface_("{angle}° to starboard") if radians > 0 else iface_("{angle}° to port")
    return text.format(angle=f"{abs(degrees(radians)):.1f}")


def trim(meters: float, units: Units) -> str:
    """'0.12 m by the stern'."""
    if not isfinite(meters):
        return NOTHING
    shown = units.length(abs(meters))
    if shown == units.length(0.0):
        return iface_(NONE)
    text = iface_("{length} by the stern") if meters > 0 else iface_("{length} by the bow")
    return text.format(length=shown)


def headline(ship: FloatingPosition) -> tuple[str, Any]:
    """The floating position in a few words, and an icon for it."""
    codes = {finding.code for finding in ship.findings}
    if ship.state == "sunk":
        return iface_("Sinks"), "CANCEL"
    if ship.state == "swamped":
        return iface_("Swamped"), "CANCEL"
    if "capsized" in codes:
        return iface_("Capsized"), "CANCEL"
    assert ship.equilibrium
    posture = next((code for code in ("loll", "list") if code in codes), "upright")
    warned = any(finding.severity == "warning" for finding in ship.findings)
    return iface_(AFLOAT[posture]), "ERROR" if warned else "CHECKMARK"


def reported(context: bpy.types.Context, text: str) -> str:
    """The text for a report: translated, with quantities in the units of the scene."""
    return Units.of(context.scene).text(text, rpt_)


def wrapped(
    layout: bpy.types.UILayout,
    context: bpy.types.Context,
    text: str,
    icon: Any = "NONE",
    taken: int = 0,
) -> None:
    """Draw a text, translated and in the units of the scene, wrapped to the width of the region.

    Figures stay with their units; `taken` pixels at a scale of 1 are left free.
    """
    preferences = context.preferences
    width = context.region.width / preferences.system.ui_scale - MARGIN - taken
    column = layout.column(align=True)
    column.scale_y = 0.8
    bound = TOGETHER.sub(UNBROKEN, Units.of(context.scene).text(text, iface_))
    blf.size(FONT, preferences.ui_styles[0].widget.points)
    for number, line in enumerate(_lines(bound, width)):
        shown: Any = icon if number == 0 or icon == "NONE" else "BLANK1"
        column.label(text=line.replace(UNBROKEN, " "), icon=shown, translate=False)


def _lines(text: str, width: float) -> Iterator[str]:
    """The lines of a text, each as many words as fit a width in pixels, in the size set."""
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if line and blf.dimensions(FONT, longer)[0] > width:
            yield line
            longer = word
        line = longer
    if line:
        yield line
