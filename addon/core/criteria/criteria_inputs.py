"""Inputs of criteria: the GZ curve to one side, and the figures that go with it."""

from __future__ import annotations

from dataclasses import dataclass

from ..hydrostatics.lateral_area import LateralProfile
from ..model.service import Service
from ..stability.gz_curve import ArmCurve


@dataclass(frozen=True)
class Particulars:
    """A ship and the side to which she is weaker. SI units; heels in radians, to that side.

    `rest_heel`, `vanishing`, `flooding` and `deck_edge` are heels: where she floats, where GZ
    vanishes, where the first opening that is not weathertight goes under and where the deck
    edge does; infinite where they do not occur. `GM` is upright with free surfaces counted.
    `mass` is the displacement, `draft` that amidships, `KG` from the baseline, `length` that
    between perpendiculars, `length_overall` the hull's own, `brim_volume` what she displaces,
    level, when water is about to come aboard. `freeboard` is the least one at rest; NaN without
    a deck edge. `flooding_opening` is the name of that opening, and `floods_over_edge` whether it
    is an open top.
    """

    arms: ArmCurve
    rest_heel: float
    vanishing: float
    flooding: float
    flooding_opening: str
    deck_edge: float
    GM: float
    KG: float
    mass: float
    draft: float
    length: float
    length_overall: float
    LWL: float
    BWL: float
    breadth: float
    Cb: float
    freeboard: float
    brim_volume: float
    water_density: float
    profile: LateralProfile
    service: Service
    floods_over_edge: bool = False

    @property
    def end(self) -> float:
        """Last heel of the curve (rad)."""
        return float(self.arms.heels[-1])
