"""Inputs of criteria: the GZ curve to one side, and the figures that go with it."""

from __future__ import annotations

from dataclasses import dataclass

from ..hydrostatics.lateral_area import LateralProfile
from ..model.service import Service
from ..stability.gz_curve import GZCurve


@dataclass(frozen=True)
class CriteriaInputs:
    """A vessel and its weaker side. SI units; heels in radians, to that side.

    `vanishing_angle` is that of vanishing stability, `downflooding_angle` that of the first opening
    that is not weathertight, and `deck_edge_angle` the deck-edge immersion angle; infinite where
    not reached. `GM` is upright and fluid. `mass` is the displacement, `draft` that amidships, `KG`
    from the baseline, `length` that between perpendiculars, `length_overall` the hull's own,
    `max_displaced_volume` the volume displaced, level, when water is about to come aboard.
    `freeboard` is the least one in equilibrium; NaN without a deck edge. `downflooding_opening` is
    the name of that opening, and `floods_over_edge` whether it is an open top.
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
