"""A vessel with additional weight on board, as it would float."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude
from ..hydrostatics.floating_position import Floating, float_ship
from ..messages.findings import BadInputError
from ..model.case import Case
from ..model.conditions import Condition
from ..model.loaded_case import in_condition
from ..model.weights import Weight

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Prospect:
    """A vessel: everything on board, the loading condition (None: as modeled), and an approximate
    floating position if known.

    Openings are left out, which do not change the floating position, to save time.
    """

    case: Case
    condition: Condition | None = None
    near: Floating | None = None

    def laden(self, mass: float, spots: Sequence[Array], group: str = "") -> Prospect:
        """With an additional mass (kg) at each of the places (3,) in ship axes."""
        longest = max((weight.name for weight in self.case.weights), key=len, default="")
        more = (
            Weight(f"{longest}+{number}", mass, spot, group) for number, spot in enumerate(spots)
        )
        return replace(self, case=replace(self.case, weights=(*self.case.weights, *more)))

    def afloat(self) -> Floating:
        """The floating position. Raises BadInputError with nothing on board."""
        case = in_condition(self.case, self.condition) if self.condition else self.case
        return float_ship(replace(case, openings=()), self.near, seek_others=False)

    def rested(self) -> Prospect:
        """With its equilibrium as the one to start from, as long as something is on board."""
        try:
            there = self.afloat()
        except BadInputError:
            return replace(self, near=None)
        return replace(self, near=there if there.rest else None)

    @property
    def water(self) -> Attitude | None:
        """The water plane, if the vessel is known to float."""
        return self.near.rest.attitude if self.near and self.near.rest else None
