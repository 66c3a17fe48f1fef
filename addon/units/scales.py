"""What is numbered along an axis: round steps of a quantity, and how its numerals are written."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, floor, log10, radians
from typing import Protocol

from .durations import clock
from .lengths import round_step

DEGREES = (1, 2, 5, 10, 15, 20, 30, 45, 60, 90)
SECONDS = (
    *(1.0, 2.0, 5.0, 10.0, 15.0, 30.0),
    *(60.0 * minutes for minutes in (1, 2, 5, 10, 15, 30)),
    *(3600.0 * hours for hours in (1, 2, 3, 6, 12, 24)),
)


class Scale(Protocol):
    """Numbers a quantity in SI units; lengths are numbered by `Lengths`."""

    @property
    def symbol(self) -> str:
        """The unit that numerals leave out; empty where they show their own."""

    def step(self, least: float) -> float:
        """The smallest round amount that is not below `least`."""

    def numeral(self, value: float, step: float) -> str:
        """An amount among others that are `step` apart."""


@dataclass(frozen=True)
class Decimal:
    """Numbers amounts in a unit of so much: 250, 12.5."""

    unit: float
    symbol: str

    def step(self, least: float) -> float:
        """The smallest of 1, 2 and 5 times a power of ten units that is not below `least`."""
        return self.unit * round_step(least / self.unit)

    def numeral(self, value: float, step: float) -> str:
        """An amount among others that are `step` apart."""
        places = max(0, -floor(log10(step / self.unit) + 1e-9))
        return f"{round(value / self.unit, places) + 0.0:.{places}f}"


@dataclass(frozen=True)
class Angles:
    """Numbers angles (rad) in degrees, the same to either side: 30°."""

    symbol: str = ""

    def step(self, least: float) -> float:
        """The smallest of the usual steps that is not below `least`, from one degree on."""
        wanted = degrees(least) * (1 - 1e-9)
        return radians(next((step for step in DEGREES if step >= wanted), round_step(wanted)))

    def numeral(self, value: float, step: float) -> str:
        """Whole degrees."""
        return f"{abs(degrees(value)):.0f}°"


@dataclass(frozen=True)
class Times:
    """Numbers times (s): 12:30, or 1:02:30 from an hour on."""

    symbol: str = "min:s"

    def step(self, least: float) -> float:
        """The smallest of the usual steps that is not below `least`, from one second on."""
        wanted = least * (1 - 1e-9)
        return next((step for step in SECONDS if step >= wanted), round_step(wanted))

    def numeral(self, value: float, step: float) -> str:
        """To the second."""
        return clock(value)
