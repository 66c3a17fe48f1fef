"""What a ship carries, as her stability feels it: masses that stay, and liquids that run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from .tanks import UPRIGHT, Tank, free_surface_moment
from .weights import Weight, combined

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Hung:
    """G (3,) of all on board at an attitude, and what free surfaces take off the second moments
    of the waterplane there, (2, 2) in m4 of the water she floats in."""

    centre: Array
    slack: Array


Gravity = Callable[[Array], Hung]
"""What hangs in the ship, by the world's up direction (3,) in ship axes."""


def fixed(centre: Array) -> Gravity:
    """A mass that stays where it is."""
    hung = Hung(centre, np.zeros((2, 2)))
    return lambda up: hung


@dataclass(frozen=True)
class Load:
    """Weights and tanks on board, in water of so many kg/m3."""

    weights: tuple[Weight, ...]
    tanks: tuple[Tank, ...]
    water_density: float

    @cached_property
    def mass(self) -> float:
        """Mass of all (kg)."""
        masses = [weight.mass for weight in self.weights]
        return sum([*masses, *(tank.mass for tank in self.tanks)])

    @property
    def volume(self) -> float:
        """Volume of water of the same mass (m3)."""
        return self.mass / self.water_density

    @cached_property
    def solid(self) -> Weight:
        """All as one weight, with the liquids as they lie upright. Raises BadInputError without
        any mass."""
        return combined((*self.weights, *self.frozen(UPRIGHT)))

    @cached_property
    def slack(self) -> tuple[Tank, ...]:
        """Tanks with something in them."""
        return tuple(tank for tank in self.tanks if tank.mass > 0)

    @property
    def free_surface_correction(self) -> float:
        """Classical loss of GM (m): moments of all free surfaces upright over displacement."""
        return sum(map(free_surface_moment, self.slack)) / self.mass

    def frozen(self, up: Array) -> tuple[Weight, ...]:
        """The liquids as weights, where they lie with the world's up direction (3,)."""
        return tuple(
            Weight(tank.name, tank.mass, tank.liquid(up).centre, tank.group) for tank in self.slack
        )

    def hang(self, up: Array) -> Hung:
        """G and the free surfaces with the world's up direction (3,) in ship axes."""
        moment, slack = self._still
        moment, slack = moment.copy(), slack.copy()
        for tank in self.slack:
            liquid = tank.liquid(up)
            moment += liquid.mass * liquid.centre
            slack += tank.density / self.water_density * liquid.surface
        return Hung(moment / self.mass, slack)

    @cached_property
    def _still(self) -> tuple[Array, Array]:
        """Moment (3,) of the weights (kg m), and no free surface."""
        moment = np.zeros(3)
        for weight in self.weights:
            moment += weight.mass * weight.centre
        return moment, np.zeros((2, 2))


def check_load(title: str, load: Load) -> None:
    """Raises BadInputError where nothing on board has a mass."""
    if not load.mass > 0:
        raise BadInputError(
            Sentence(
                "{ship}: there are no weights, so nothing says how deep she sits; add at least "
                "one, such as the hull's own",
                ship=Subject("vessel", title),
            )
        )
