"""Figures and findings in words, as panels and reports show them."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass
from math import degrees, floor, isfinite, log10
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ..core.floating import UPRIGHT, Floating
from ..overlay.lengths import FIGURE, FOOT, TOGETHER, UNBROKEN, Lengths

NOTHING = "–"
NONE = n_("none")
MASS_UNITS = {
    "METRIC": {"TONNES": "t", "KILOGRAMS": "kg", "GRAMS": "g", "MILLIGRAMS": "mg"},
    "IMPERIAL": {
        "TONNES": "tn",
        "CENTUM_WEIGHTS": "cwt",
        "STONES": "st",
        "POUNDS": "lb",
        "OUNCES": "oz",
    },
}
"""Units of mass that a scene can choose, as Blender abbreviates them."""
AFLOAT = {
    "upright": n_("Afloat, upright"),
    "list": n_("Afloat, with a list"),
    "loll": n_("Afloat, with a loll"),
}
TONNES = re.compile(rf"{FIGURE} t(?!\w)")
CUBIC_METRES = re.compile(rf"{FIGURE} m3(?!/)")
"""Quantities as sentences of the core have them."""
DIGITS = 4
"""Figures of a mass or an area that are shown."""
LETTER = 0.53
"""Mean width of a letter of the interface's font, in font sizes."""
MARGIN, BUTTON = 72, 34
"""Pixels of a sidebar, at a scale of 1, that an icon with the borders, and a button, take."""


@dataclass(frozen=True)
class Units:
    """Writes quantities in the units of a scene."""

    system: str
    lengths: Lengths
    mass_unit: str

    @classmethod
    def of(cls, scene: bpy.types.Scene) -> Units:
        settings = scene.unit_settings
        plain = settings.system == "NONE"
        system = "METRIC" if plain else settings.system
        lengths = Lengths(system, settings.length_unit, fine=True)
        return cls(system, lengths, "ADAPTIVE" if plain else settings.mass_unit)

    def length(self, metres: float) -> str:
        return self.lengths(metres) if isfinite(metres) else NOTHING

    def mass(self, kilograms: float) -> str:
        symbol = MASS_UNITS[self.system].get(self.mass_unit)
        if symbol is None:
            return bpy.utils.units.to_string(self.system, "MASS", kilograms, precision=DIGITS)
        unit = bpy.utils.units.to_value(self.system, "MASS", f"1{symbol}")
        return f"{_rounded(kilograms / unit)} {symbol}"

    @property
    def moment_unit(self) -> tuple[float, str]:
        """The moment (kg m) in which those of liquids are told, and its symbol."""
        if self.system == "METRIC":
            return 1e3, "t·m"
        return bpy.utils.units.to_value(self.system, "MASS", "1tn") * FOOT, "tn·ft"

    def said(self, text: str) -> str:
        """A sentence of the core, which speaks of metres and tonnes, in the units of the scene."""
        if self.lengths.in_metres:
            return text
        text = self.lengths.said(text)
        text = TONNES.sub(lambda found: self.mass(1e3 * float(found[1])), text)
        return CUBIC_METRES.sub(lambda found: self.volume(float(found[1])), text)

    def area(self, square_metres: float) -> str:
        if self.system == "METRIC":
            small = square_metres < 0.1
            return (
                f"{_rounded(1e4 * square_metres)} cm²" if small else f"{_rounded(square_metres)} m²"
            )
        return f"{_rounded(square_metres / FOOT**2)} ft²"

    def volume(self, cubic_metres: float) -> str:
        return self.lengths.volume(cubic_metres)


def _rounded(value: float) -> str:
    """The value to `DIGITS` figures, all of them before the point kept."""
    places = max(0, DIGITS - 1 - floor(log10(abs(value)))) if value else 0
    shown = f"{value:.{places}f}"
    return shown.rstrip("0").rstrip(".") if places else shown


def heel(radians: float) -> str:
    """'3.2° to port'."""
    if abs(radians) <= UPRIGHT:
        return iface_(NONE)
    text = iface_("{angle}° to starboard") if radians > 0 else iface_("{angle}° to port")
    return text.format(angle=f"{abs(degrees(radians)):.1f}")


def trim(metres: float, units: Units) -> str:
    """'0.12 m by the stern'."""
    if not isfinite(metres):
        return NOTHING
    shown = units.length(abs(metres))
    if shown == units.length(0.0):
        return iface_(NONE)
    text = iface_("{length} by the stern") if metres > 0 else iface_("{length} by the bow")
    return text.format(length=shown)


def headline(ship: Floating) -> tuple[str, Any]:
    """How she lies in a few words, and an icon for it."""
    codes = {finding.code for finding in ship.findings}
    if ship.state == "sunk":
        return iface_("Sinks"), "CANCEL"
    if ship.state == "swamped":
        return iface_("Swamped"), "CANCEL"
    if "capsized" in codes:
        return iface_("Capsized"), "CANCEL"
    assert ship.rest
    posture = next((code for code in ("loll", "list") if code in codes), "upright")
    warned = any(finding.severity == "warning" for finding in ship.findings)
    return iface_(AFLOAT[posture]), "ERROR" if warned else "CHECKMARK"


def wrapped(
    layout: bpy.types.UILayout,
    context: bpy.types.Context,
    text: str,
    icon: Any = "NONE",
    taken: int = 0,
) -> None:
    """The text, translated, in as many labels as the region is wide; figures stay with their units.

    `taken` pixels at a scale of 1 are left free.
    """
    preferences = context.preferences
    width = context.region.width / preferences.system.ui_scale - MARGIN - taken
    letters = max(12, int(width / (LETTER * preferences.ui_styles[0].widget.points)))
    column = layout.column(align=True)
    column.scale_y = 0.8
    bound = TOGETHER.sub(UNBROKEN, iface_(text))
    for number, line in enumerate(textwrap.wrap(bound, letters)):
        shown: Any = icon if number == 0 or icon == "NONE" else "BLANK1"
        column.label(text=line.replace(UNBROKEN, " "), icon=shown, translate=False)
