"""Inputs of criteria: the GZ curve to one side, and the figures that go with it."""

from __future__ import annotations

from dataclasses import dataclass

from ..hydrostatics.lateral_area import LateralProfile
from ..model.service import Service
from ..stability.gz_curve import GZCurve


@dataclass(frozen=True)
class CriteriaInputs:
    """A ship and the side to which she is weaker. SI units; heels in radians, to that side.

    `equilibrium_heel`, `vanishing_angle`, `downflooding_angle` and `deck_edge_angle` are heels:
    where she floats, where GZ vanishes, where the first opening that is not weathertight goes under
    and where the deck edge does; infinite where they do not occur. `GM` is upright with free
    surfaces counted. `mass` is the displacement, `draft` that amidships, `KG` from the baseline,
    `length` that between perpendiculars, `length_overall` the hull's own, `max_displaced_volume`
    what she displaces, level, when water is about to come aboard. `freeboard` is the least one at
    rest; NaN without a deck edge. `downflooding_opening` is the name of that opening, and
    `floods_over_edge` whether it is an open top.
    """

    gz_curve: GZCurve
    equilibrium_heel: float
    vanishing_angle: float
    downflooding_angle: float
    downflooding_opening: str
    deck_edge_angle: float
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
    max_displaced_volume: float
    water_density: float
    profile: LateralProfile
    service: Service
    floods_over_edge: bool = False

    @property
    def end(self) -> float:
        """Last heel of the curve (rad)."""
        return float(self.gz_curve.heels[-1])
