"""A vessel with additional weight on board, as it would float."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..arrays import Floats
from ..buoyancy.attitude import Attitude
from ..hydrostatics.floating_position import FloatingPosition, find_floating_position
from ..messages.findings import BadInputError
from ..model.case import Case
from ..model.conditions import Condition
from ..model.loaded_case import in_condition
from ..model.weights import Weight


@dataclass(frozen=True)
class TrialLoading:
    """A vessel: everything on board, the loading condition (None: as modeled), and an approximate
    floating position if known.

    Openings are left out, which do not change the floating position, to save time.
    """

    case: Case
    condition: Condition | None = None
    near: FloatingPosition | None = None

    def with_masses(self, mass: float, spots: Sequence[Floats], group: str = "") -> TrialLoading:
        """With an additional mass (kg) at each of the places (3,) in ship axes."""
        longest = max((weight.name for weight in self.case.weights), key=len, default="")
        more = (
            Weight(f"{longest}+{number}", mass, spot, group) for number, spot in enumerate(spots)
        )
        return replace(self, case=replace(self.case, weights=(*self.case.weights, *more)))

    def floating_position(self) -> FloatingPosition:
        """The floating position. Raises BadInputError with nothing on board."""
        case = in_condition(self.case, self.condition) if self.condition else self.case
        return find_floating_position(replace(case, openings=()), self.near, seek_others=False)

    def with_known_position(self) -> TrialLoading:
        """With its equilibrium as the one to start from, as long as something is on board."""
        try:
            there = self.floating_position()
        except BadInputError:
            return replace(self, near=None)
        return replace(self, near=there if there.equilibrium else None)

    @property
    def water(self) -> Attitude | None:
        """The water plane, if the vessel is known to float."""
        return self.near.equilibrium.attitude if self.near and self.near.equilibrium else None
