"""Lengths, masses and volumes in the units the user models in."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from math import floor, log10
from typing import Any

from ..core.messages.sentence import Quantity
from .digits import LABEL, report_places, significant, trimmed
from .mass_entry import MassUnit

FOOT, INCH = 0.3048, 0.0254
METER = (1.0, "m", 2)
METRIC = {"MILLIMETERS": (1000.0, "mm", 0), "CENTIMETERS": (100.0, "cm", 1)}  # in a meter, places
INCHES = (1, 2, 3, 6, 12)  # that feet are parted into
TOGETHER = re.compile(r"(?<=\d) (?=[^\W\d]{1,3}\b)|(?<=\b[xyz]) (?=[-\d])|(?<=\d') (?=\d)")
UNBROKEN = "\N{NO-BREAK SPACE}"
"""The space between a figure and its unit, or an axis and its figure, and its substitute while a
line is wrapped."""
MOST_PLACES = 3  # after the point of a mass or a volume
SMALL_CRAFT = 3.0  # below this length (m) a centimetre is coarse


@dataclass(frozen=True)
class Lengths:
    """Writes lengths: 0.86 m, 2' 10", or the one unit chosen; `fine` adds decimals. Masses are in
    the unit chosen for them."""

    system: str = "METRIC"
    chosen: str = "METERS"
    fine: int = 0
    chosen_mass: str = "ADAPTIVE"

    @classmethod
    def of(cls, unit_settings: Any) -> Lengths:
        """From a scene's unit settings."""
        lengths, masses = unit_settings.length_unit, unit_settings.mass_unit
        return cls(unit_settings.system, lengths, chosen_mass=masses)

    @classmethod
    def reported(cls, length_overall_m: float | None) -> Lengths:
        """Those of reports on a vessel of this length: in meters, to the millimeter, and finer for
        one shorter than a meter."""
        return cls(fine=report_places(length_overall_m) - METER[2])

    def for_size(self, length_m: float) -> Lengths:
        """The same for a vessel of this length."""
        return replace(self, fine=int(length_m < SMALL_CRAFT))

    @property
    def unit(self) -> float:
        """The length (m) in decimal parts of which draft marks are spaced."""
        if self.system == "IMPERIAL":
            return 10 * INCH if self.chosen == "INCHES" else FOOT
        return 1.0

    @property
    def counted(self) -> float:
        """The length (m) that draft marks count."""
        if self.system == "IMPERIAL":
            return INCH if self.chosen == "INCHES" else FOOT
        return 1.0 / METRIC.get(self.chosen, METER)[0]

    @property
    def symbol(self) -> str:
        """The unit that numerals leave out; empty in feet and inches, which show their own."""
        return "" if self.system == "IMPERIAL" else METRIC.get(self.chosen, METER)[1]

    def step(self, least: float) -> float:
        """The smallest round length (m) that is not below `least` (m)."""
        if self.system == "IMPERIAL" and self.chosen != "INCHES" and least > INCH:
            whole = (inches * INCH for inches in INCHES if inches * INCH >= least)
            return next(whole, FOOT * round_step(least / FOOT))
        return self._numbered * round_step(least / self._numbered)

    def numeral(self, meters: float, step: float) -> str:
        """A length among others that are `step` meters apart: 0.5, 1' 6"."""
        places = max(0, -floor(log10(step / self._numbered) + 1e-9))
        if self.system == "IMPERIAL":
            return self._feet(meters, places)
        return f"{round(meters / self._numbered, places) + 0.0:.{places}f}"

    @property
    def _numbered(self) -> float:
        return INCH if self.system == "IMPERIAL" else self.counted

    def __call__(self, meters: float) -> str:
        if self.system == "IMPERIAL":
            return self._feet(meters, 1 + self.fine)
        factor, unit, places = METRIC.get(self.chosen, METER)
        places += self.fine
        return f"{round(meters * factor, places) + 0.0:.{places}f} {unit}"

    @property
    def in_meters(self) -> bool:
        """Whether lengths are written in meters."""
        return self.symbol == METER[1]

    def measured(self, length: Quantity) -> str:
        """A length of a sentence: in meters as written there, else at least two digits of it."""
        if self.in_meters:
            return length.written
        shown = self(length.value)
        if length.value and shown == self(0.0):
            symbol = f" {self.symbol}" if self.symbol else '"'
            return f"{length.value / self._numbered:.2g}{symbol}"
        return shown

    def mass(self, kilograms: float) -> str:
        """A mass to three figures: 85 kg, 1.25 t, 187 lb."""
        unit = self.mass_unit(kilograms)
        figure = significant(kilograms / unit.kilograms, LABEL, MOST_PLACES)
        return f"{trimmed(figure)} {unit.symbol}"

    def mass_unit(self, kilograms: float) -> MassUnit:
        """The unit in which a mass is written."""
        return MassUnit.showing(self.system, self.chosen_mass, kilograms)

    def volume(self, cubic_meters: float) -> str:
        """A volume to three figures: 12.3 m³, 350 L, 434 ft³."""
        unit, symbol = self.volume_unit(cubic_meters)
        return f"{significant(cubic_meters / unit, LABEL, MOST_PLACES)} {symbol}"

    def volume_unit(self, cubic_meters: float) -> tuple[float, str]:
        """The unit (m3) in which a volume is written, and its symbol."""
        if self.system == "IMPERIAL":
            return FOOT**3, "ft³"
        return (1e-3, "L") if cubic_meters < 1.0 else (1.0, "m³")

    def _feet(self, meters: float, places: int) -> str:
        inches = round(abs(meters) / INCH, places)
        sign = "-" if meters < 0 and inches > 0 else ""
        feet, rest = divmod(inches, 12.0) if self.chosen != "INCHES" else (0.0, inches)
        return sign + (f"{feet:.0f}' " if feet else "") + f'{rest:.{places}f}"'


def round_step(least: float) -> float:
    """The smallest of 1, 2 and 5 times a power of ten that is not below `least`."""
    power = 10.0 ** floor(log10(least))
    return next(part * power for part in (1, 2, 5, 10) if part * power >= least * (1 - 1e-9))
