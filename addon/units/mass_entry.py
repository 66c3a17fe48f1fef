"""A mass as it is typed, in the unit of a scene."""

from __future__ import annotations

from dataclasses import dataclass, replace

POUND = 0.45359237
METRIC_MASSES = {
    "TONNES": ("t", 1000.0),
    "KILOGRAMS": ("kg", 1.0),
    "GRAMS": ("g", 1e-3),
    "MILLIGRAMS": ("mg", 1e-6),
}
IMPERIAL_MASSES = {
    "TONNES": ("tn", 2000 * POUND),
    "CENTUM_WEIGHTS": ("cwt", 100 * POUND),
    "STONES": ("st", 14 * POUND),
    "POUNDS": ("lb", POUND),
    "OUNCES": ("oz", POUND / 16),
}
MOST_DIGITS = 9


@dataclass(frozen=True)
class MassUnit:
    """A unit of mass and the kilograms in it."""

    symbol: str
    kilograms: float

    @classmethod
    def of(cls, system: str, chosen: str) -> MassUnit:
        """That of a scene; where it adapts to the mass, kilograms or pounds."""
        if system == "IMPERIAL":
            return cls(*IMPERIAL_MASSES.get(chosen, IMPERIAL_MASSES["POUNDS"]))
        return cls(*METRIC_MASSES.get(chosen, METRIC_MASSES["KILOGRAMS"]))

    @classmethod
    def showing(cls, system: str, chosen: str, kilograms: float) -> MassUnit:
        """That in which a scene shows a mass; where it adapts, tonnes from one on."""
        tonnes = cls.of(system, "TONNES")
        adapts = chosen == "ADAPTIVE" and abs(kilograms) >= tonnes.kilograms
        return tonnes if adapts else cls.of(system, chosen)


@dataclass(frozen=True)
class MassEntry:
    """A mass as it is typed; `kept` (kg) holds while nothing is typed."""

    unit: MassUnit
    kept: float
    text: str = ""

    @property
    def kilograms(self) -> float:
        """The mass; zero where what is typed is no number yet."""
        if not self.text:
            return self.kept
        return float(self.text) * self.unit.kilograms if self.text != "." else 0.0

    def typed(self, mark: str) -> MassEntry:
        """With a digit or a point more; a second point and too many digits change nothing."""
        if (mark == "." and "." in self.text) or len(self.text) >= MOST_DIGITS:
            return self
        return replace(self, text=self.text + mark)

    def erased(self) -> MassEntry:
        """Without the last mark."""
        return replace(self, text=self.text[:-1])

    def settled(self) -> MassEntry:
        """The same mass, no more being typed."""
        return replace(self, kept=self.kilograms, text="")

    def __str__(self) -> str:
        figure = f"{self.text}_" if self.text else f"{self.kept / self.unit.kilograms:.6g}"
        return f"{figure} {self.unit.symbol}"
