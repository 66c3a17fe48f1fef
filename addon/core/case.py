"""The whole input: a hull, the water and the weights."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .findings import BadInputError
from .hull import Hull
from .weights import Weight, check_names

SEA_WATER = 1025.0
FRESH_WATER = 1000.0
GRAVITY = 9.80665


@dataclass(frozen=True)
class Case:
    """A ship in a condition of loading, in ship axes and SI units."""

    title: str
    hull: Hull
    weights: tuple[Weight, ...] = ()
    water_density: float = SEA_WATER

    def __post_init__(self) -> None:
        if not (np.isfinite(self.water_density) and self.water_density > 0):
            raise BadInputError(
                f"water: the density is {self.water_density:g} kg/m3; "
                f"sea water has {SEA_WATER:g}, fresh water {FRESH_WATER:g}"
            )
        check_names(self.weights)
