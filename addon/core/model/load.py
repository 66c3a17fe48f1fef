"""The load of a vessel: fixed masses, and liquids that move."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import UPRIGHT_UP
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from .tanks import Tank, free_surface_moment
from .weights import Weight, combined


@dataclass(frozen=True)
class GravityState:
    """Gravity state at an attitude: G (3,) of everything on board, and what free surfaces take off
    the second moments of the waterplane, (2, 2) in m4 of the water around the vessel."""

    center: Floats
    free_surfaces: Floats


Gravity = Callable[[Floats], GravityState]
"""The gravity state, as a function of the world's up direction (3,) in ship axes."""


def fixed_gravity(center: Floats) -> Gravity:
    """A fixed mass."""
    gravity_state = GravityState(center, np.zeros((2, 2)))
    return lambda up: gravity_state


@dataclass(frozen=True)
class Load:
    """Weights and tanks on board, in water of a density in kg/m3."""

    weights: tuple[Weight, ...]
    tanks: tuple[Tank, ...]
    water_density: float

    @cached_property
    def mass(self) -> float:
        """Total mass (kg)."""
        masses = [weight.mass for weight in self.weights]
        return sum([*masses, *(tank.mass for tank in self.tanks)])

    @property
    def volume(self) -> float:
        """Volume of water of the same mass (m3)."""
        return self.mass / self.water_density

    @cached_property
    def solid(self) -> Weight:
        """Everything as one weight, with the liquids in their upright position. Raises
        BadInputError without any mass."""
        return combined((*self.weights, *self.liquids_as_weights(UPRIGHT_UP)))

    @cached_property
    def slack_tanks(self) -> tuple[Tank, ...]:
        """Tanks that are not empty."""
        return tuple(tank for tank in self.tanks if tank.mass > 0)

    @property
    def free_surface_correction(self) -> float:
        """Free surface correction of GM (m) by free surface moments: moments of all free surfaces
        upright over displacement."""
        return sum(map(free_surface_moment, self.slack_tanks)) / self.mass

    def liquids_as_weights(self, up: Floats) -> tuple[Weight, ...]:
        """The liquids as weights, in their position for the world's up direction (3,)."""
        return tuple(
            Weight(tank.name, tank.mass, tank.liquid(up).center, tank.group)
            for tank in self.slack_tanks
        )

    def gravity_at(self, up: Floats) -> GravityState:
        """G and the free surfaces for the world's up direction (3,) in ship axes."""
        moment, free_surfaces = self._fixed_moment
        moment, free_surfaces = moment.copy(), free_surfaces.copy()
        for tank in self.slack_tanks:
            liquid = tank.liquid(up)
            moment += liquid.mass * liquid.center
            free_surfaces += tank.density / self.water_density * liquid.surface
        return GravityState(moment / self.mass, free_surfaces)

    @cached_property
    def _fixed_moment(self) -> tuple[Floats, Floats]:
        """First moment (3,) of the weights (kg m), without free surface."""
        moment = np.zeros(3)
        for weight in self.weights:
            moment += weight.mass * weight.center
        return moment, np.zeros((2, 2))


def check_load(title: str, load: Load) -> None:
    """Raises BadInputError where nothing on board has a mass."""
    if not load.mass > 0:
        raise BadInputError(
            Sentence(
                "{ship}: there are no weights, so the draft is not determined; add at least one, "
                "such as the hull's own",
                ship=Subject("vessel", title),
            )
        )
