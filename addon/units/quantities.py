"""Quantities and sentences of the core in the units of a scene and in a language: the one place
where a text for people is made of a template and amounts."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any

from ..core.messages.sentence import Quantity, Sentence, Translate
from .digits import PANEL, significant, trimmed
from .lengths import FOOT, Lengths
from .mass_entry import MassUnit

NOTHING = "–"


@dataclass(frozen=True)
class Units:
    """Writes quantities in the units chosen."""

    lengths: Lengths

    @classmethod
    def of(cls, scene: Any) -> Units:
        """In the units of a scene; in meters where it has none."""
        settings = scene.unit_settings
        plain = settings.system == "NONE"
        system = "METRIC" if plain else settings.system
        masses = "ADAPTIVE" if plain else settings.mass_unit
        return cls(Lengths(system, settings.length_unit, 1, masses))

    @property
    def metric(self) -> bool:
        """Whether they are not feet and pounds."""
        return self.lengths.system != "IMPERIAL"

    def text(self, text: str, translate: Translate = str) -> str:
        """A text, translated; a sentence in these units."""
        if isinstance(text, Sentence):
            return text.rendered(self.written, translate)
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
                return quantity.written if self.lengths.in_meters else self.length(unit)
            case "unit of area":
                return "m²" if self.metric else "ft²"

    def length(self, meters: float) -> str:
        """A length; a dash where there is none."""
        return self.lengths(meters) if isfinite(meters) else NOTHING

    def mass(self, kilograms: float) -> str:
        """A mass."""
        unit = self.lengths.mass_unit(kilograms)
        return f"{_shown(kilograms / unit.kilograms)} {unit.symbol}"

    @property
    def moment_unit(self) -> tuple[float, str]:
        """The moment (kg m) in which those of liquids are written, and its symbol."""
        if self.metric:
            return 1e3, "t·m"
        ton = MassUnit.of(self.lengths.system, "TONNES")
        return ton.kilograms * FOOT, f"{ton.symbol}·ft"

    def arm_area(self, meter_radians: float) -> str:
        """An area under a curve of levers."""
        unit, symbol = (1.0, "m rad") if self.metric else (FOOT, "ft rad")
        return f"{meter_radians / unit:.4f} {symbol}"

    def area(self, square_meters: float) -> str:
        """An area; a small one in square centimetres."""
        if not self.metric:
            return f"{_shown(square_meters / FOOT**2)} ft²"
        small = square_meters < 0.1
        return f"{_shown(1e4 * square_meters)} cm²" if small else f"{_shown(square_meters)} m²"

    def volume(self, cubic_meters: float) -> str:
        """A volume."""
        return self.lengths.volume(cubic_meters)


def _shown(value: float) -> str:
    return trimmed(significant(value, PANEL))
