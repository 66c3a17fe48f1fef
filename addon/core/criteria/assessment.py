"""Assessment of a vessel: floating position, stability, and verdicts on the criteria."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from ..hydrostatics.floating_position import FloatingPosition
from ..hydrostatics.lateral_area import lateral_profile
from ..model.case import Case
from ..stability.both_sides import SideStability, Stability, stability
from ..stability.heeling_levers import Lever
from .codes import check_sides, heeling_levers
from .criteria_inputs import CriteriaInputs
from .maximum_displacement import max_displaced_volume
from .verdict import Verdict


@dataclass(frozen=True)
class Assessment:
    """The stability of a vessel, the criteria inputs of its weaker side, and the verdicts, each on
    the side that does worse."""

    stability: Stability
    inputs: CriteriaInputs
    verdicts: tuple[Verdict, ...]

    @property
    def failed(self) -> tuple[Verdict, ...]:
        """Failed criteria."""
        return tuple(verdict for verdict in self.verdicts if verdict.outcome == "fails")

    @cached_property
    def heeling_levers(self) -> tuple[Lever, ...]:
        """The heeling levers applied, towards the weaker side."""
        return heeling_levers(self.inputs, self.verdicts, self.stability.case.custom_criteria)


def assess(
    case: Case,
    heels: Iterable[float] | None = None,
    fixed_trim: bool = False,
    on_progress: Callable[[float], None] | None = None,
    floating: FloatingPosition | None = None,
) -> Assessment:
    """Stability and criteria of a case; `floating` is the floating position if known. Raises
    BadInputError as `stability`."""
    ship = stability(case, heels, fixed_trim, on_progress, floating)
    weaker, other = both_sides(ship)
    verdicts = check_sides(weaker, other, ship.stronger.name, case.codes, case.custom_criteria)
    return Assessment(ship, weaker, verdicts)


def both_sides(ship: Stability) -> tuple[CriteriaInputs, CriteriaInputs]:
    """The criteria inputs of the weaker side and of the other."""
    weaker = criteria_inputs_of(ship, ship.weaker)
    return weaker, replace(weaker, **_inputs_of_side(ship.stronger))


def criteria_inputs_of(ship: Stability, side: SideStability) -> CriteriaInputs:
    """The criteria inputs for heel to one side."""
    case, equilibrium, figures = ship.case, ship.floating.equilibrium, ship.floating.hydrostatics
    assert equilibrium and figures
    hull, upright = case.hull, ship.curve.upright
    profile_faces = np.concatenate([hull.vertices[hull.triangles], case.windage])
    return CriteriaInputs(
        **_inputs_of_side(side),
        GM=ship.GM,
        KG=float(upright.equilibrium.gravity[2]),
        mass=case.load.mass,
        draft=upright.attitude.draft_at(hull.midship_x),
        length=hull.length_pp,
        length_overall=hull.length_overall,
        LWL=figures.LWL,
        BWL=figures.BWL,
        breadth=hull.breadth,
        Cb=figures.Cb,
        freeboard=figures.freeboard_min,
        max_displaced_volume=max_displaced_volume(case),
        water_density=case.water_density,
        profile=lateral_profile(profile_faces, equilibrium.attitude),
        service=case.service,
    )


def _inputs_of_side(side: SideStability) -> dict[str, Any]:
    """The inputs that differ between the sides."""
    opening = side.first_downflooding
    return {
        "gz_curve": side.gz_curve,
        "equilibrium_heel": side.equilibrium_heel,
        "vanishing_angle": side.vanishing_angle,
        "downflooding_angle": side.downflooding_angle,
        "downflooding_opening": opening.opening.name if opening else "",
        "floods_over_edge": bool(opening and opening.opening.kind == "open top"),
        "deck_edge_angle": side.deck_edge_angle,
    }
