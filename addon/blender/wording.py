"""Figures and findings in words, as panels and reports show them."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from math import degrees, floor, isfinite, log10
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_

from ..core.hydrostatics.floating_position import UPRIGHT, Floating
from ..core.messages.sentence import Quantity, Sentence, Translate
from ..units.lengths import FOOT, TOGETHER, UNBROKEN, Lengths
from ..units.mass_entry import MassUnit

NOTHING = "–"
NONE = n_("none")
LINKED = n_("This object is linked from another file; make it local first")
AFLOAT = {
    "upright": n_("Afloat, upright"),
    "list": n_("Afloat, with a list"),
    "loll": n_("Afloat, with a loll"),
}
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

    @classmethod
    def of(cls, scene: bpy.types.Scene) -> Units:
        settings = scene.unit_settings
        plain = settings.system == "NONE"
        system = "METRIC" if plain else settings.system
        masses = "ADAPTIVE" if plain else settings.mass_unit
        return cls(system, Lengths(system, settings.length_unit, True, masses))

    def length(self, metres: float) -> str:
        return self.lengths(metres) if isfinite(metres) else NOTHING

    def mass(self, kilograms: float) -> str:
        unit = self.lengths.mass_unit(kilograms)
        return f"{_rounded(kilograms / unit.kilograms)} {unit.symbol}"

    @property
    def moment_unit(self) -> tuple[float, str]:
        """The moment (kg m) in which those of liquids are told, and its symbol."""
        if self.system == "METRIC":
            return 1e3, "t·m"
        ton = MassUnit.of(self.system, "TONNES")
        return ton.kilograms * FOOT, f"{ton.symbol}·ft"

    def said(self, text: str, translate: Translate = iface_) -> str:
        """A text, translated; a sentence in the units of the scene."""
        if isinstance(text, Sentence):
            return text.said(self.written, translate)
        return translate(text)

    def written(self, quantity: Quantity) -> str:
        """A quantity of a sentence."""
        value = quantity.value
        match quantity.kind:
            case "length":
                return self.lengths.measured(quantity)
            case "area":
                return self.area(value)
            case "volume":
                return self.volume(value)
            case "mass":
                return self.mass(value)
            case "arm area":
                return self.arm_area(value)
            case "moment":
                return self.mass(value / self.lengths.unit)
            case "unit of length":
                unit = self.lengths.unit
                return quantity.written if self.lengths.in_metres else self.length(unit)
            case "unit of area":
                return "m²" if self.system == "METRIC" else "ft²"

    def arm_area(self, metre_radians: float) -> str:
        """An area under a curve of arms."""
        unit, symbol = (1.0, "m rad") if self.system == "METRIC" else (FOOT, "ft rad")
        return f"{metre_radians / unit:.4f} {symbol}"

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


def reported(context: bpy.types.Context, text: str) -> str:
    """The text as a report has it: translated, and a sentence in the units of the scene."""
    return Units.of(context.scene).said(text, rpt_)


def wrapped(
    layout: bpy.types.UILayout,
    context: bpy.types.Context,
    text: str,
    icon: Any = "NONE",
    taken: int = 0,
) -> None:
    """The text, translated and in the units of the scene, in as many labels as the region is wide;
    figures stay with their units.

    `taken` pixels at a scale of 1 are left free.
    """
    preferences = context.preferences
    width = context.region.width / preferences.system.ui_scale - MARGIN - taken
    letters = max(12, int(width / (LETTER * preferences.ui_styles[0].widget.points)))
    column = layout.column(align=True)
    column.scale_y = 0.8
    bound = TOGETHER.sub(UNBROKEN, Units.of(context.scene).said(text))
    for number, line in enumerate(textwrap.wrap(bound, letters)):
        shown: Any = icon if number == 0 or icon == "NONE" else "BLANK1"
        column.label(text=line.replace(UNBROKEN, " "), icon=shown, translate=False)
