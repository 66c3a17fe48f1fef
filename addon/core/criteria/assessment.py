"""Assessment of a vessel: floating position, stability, and verdicts on the criteria."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from ..hydrostatics.floating_position import Floating
from ..hydrostatics.lateral_area import lateral_profile
from ..model.case import Case
from ..stability.both_sides import Side, Stability, stability
from ..stability.heeling_levers import Lever
from .codes import check_sides, heeling_arms
from .criteria_inputs import Particulars
from .maximum_displacement import brim_volume
from .verdict import Verdict


@dataclass(frozen=True)
class Assessment:
    """The stability of a vessel, the criteria inputs of its weaker side, and the verdicts, each on
    the side that does worse."""

    stability: Stability
    particulars: Particulars
    verdicts: tuple[Verdict, ...]

    @property
    def failed(self) -> tuple[Verdict, ...]:
        """Failed criteria."""
        return tuple(verdict for verdict in self.verdicts if verdict.outcome == "fails")

    @cached_property
    def heeling_arms(self) -> tuple[Lever, ...]:
        """The heeling levers applied, towards the weaker side."""
        return heeling_arms(self.particulars, self.verdicts, self.stability.case.own_rules)


def assess(
    case: Case,
    heels: Iterable[float] | None = None,
    fixed_trim: bool = False,
    tell: Callable[[float], None] | None = None,
    floating: Floating | None = None,
) -> Assessment:
    """Stability and criteria of a case; `floating` is the floating position if known. Raises
    BadInputError as `stability`."""
    ship = stability(case, heels, fixed_trim, tell, floating)
    weaker, other = both_sides(ship)
    verdicts = check_sides(weaker, other, ship.stronger.name, case.codes, case.own_rules)
    return Assessment(ship, weaker, verdicts)


def both_sides(ship: Stability) -> tuple[Particulars, Particulars]:
    """The criteria inputs of the weaker side and of the other."""
    weaker = particulars_of(ship, ship.weaker)
    return weaker, replace(weaker, **_of_side(ship.stronger))


def particulars_of(ship: Stability, side: Side) -> Particulars:
    """The criteria inputs for heel to one side."""
    case, rest, figures = ship.case, ship.floating.rest, ship.floating.hydrostatics
    assert rest and figures
    hull, upright = case.hull, ship.curve.upright
    skin = np.concatenate([hull.vertices[hull.triangles], case.windage])
    return Particulars(
        **_of_side(side),
        GM=ship.GM,
        KG=float(upright.rest.gravity[2]),
        mass=case.load.mass,
        draft=upright.attitude.draft_at(hull.midship_x),
        length=hull.length_pp,
        length_overall=hull.length_overall,
        LWL=figures.LWL,
        BWL=figures.BWL,
        breadth=hull.breadth,
        Cb=figures.Cb,
        freeboard=figures.freeboard_min,
        brim_volume=brim_volume(case),
        water_density=case.water_density,
        profile=lateral_profile(skin, rest.attitude),
        service=case.service,
    )


def _of_side(side: Side) -> dict[str, Any]:
    """The inputs that differ between the sides."""
    flooding = side.first_flooding
    return {
        "arms": side.arms,
        "rest_heel": side.rest_heel,
        "vanishing": side.vanishing,
        "flooding": side.flooding,
        "flooding_opening": flooding.opening.name if flooding else "",
        "floods_over_edge": bool(flooding and flooding.opening.kind == "open top"),
        "deck_edge": side.deck_edge,
    }
