"""The floating position of a vessel with its weights."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from ..arrays import Floats
from ..buoyancy.immersion import Immersion
from ..messages.findings import Finding
from ..model.case import Case
from ..model.hull_openings import OpenPlace, hull_openings
from ..model.load import check_load
from ..model.openings import Opening, check_openings
from ..model.weights import Weight
from .equilibrium import Equilibrium, find_equilibrium, stable_equilibria
from .floating_findings import (
    NEUTRAL_STIFFNESS_SHARE,
    attitude_findings,
    deck_finding,
    neutral_finding,
    not_converged_finding,
    opening_findings,
    sunk_finding,
    swamped_finding,
)
from .particulars import Hydrostatics, hydrostatics
from .upright import upright_immersion

FloatingState = Literal["afloat", "swamped", "sunk"]
SAME_UP_TOLERANCE = 1e-3
"""One less the cosine of the angle up to which two upward directions are the same."""


@dataclass(frozen=True)
class FloatingPosition:
    """A vessel in equilibrium.

    `state` is afloat, swamped (the rim of an opening is under water, so the vessel fills) or sunk
    (its mass exceeds all the water it can displace); sunk, `equilibrium` and `hydrostatics` are
    None, and so is `even_keel`. `weight` is everything on board, liquids where they lie in
    equilibrium. GM and GML are those at the floating position with liquids taken as solid;
    `GM_fluid` counts their free surfaces. `upright_hydrostatics` is the vessel held upright on an
    even keel if known, or a level (m) near the one there. `others` are further stable positions,
    and `known_findings` and `known_overlaps` are findings known before.
    """

    case: Case
    state: FloatingState
    weight: Weight
    reserve_volume: float
    equilibrium: Equilibrium | None
    even_keel_level: Immersion | float
    downflooding_point: Floats | None
    downflooding_height: float
    others: tuple[Equilibrium, ...]
    known_findings: tuple[Finding, ...] | None = None
    known_overlaps: tuple[Finding, ...] | None = None

    @cached_property
    def hydrostatics(self) -> Hydrostatics | None:
        """Particulars at the floating position."""
        return hydrostatics(self.case.hull, self.equilibrium.attitude) if self.equilibrium else None

    @cached_property
    def even_keel(self) -> Immersion | None:
        """The vessel held upright on an even keel."""
        if not self.equilibrium:
            return None
        if isinstance(self.even_keel_level, Immersion):
            return self.even_keel_level
        return upright_immersion(self.case, self.even_keel_level)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """The findings, the gravest first, those of the hull surface included."""
        if self.known_findings is not None:
            return self.known_findings
        return (*self._own_findings(), *self.overlaps, *self.case.hull.findings)

    def _own_findings(self) -> Iterator[Finding]:
        """Findings on the floating position, the gravest first."""
        equilibrium, figures = self.equilibrium, self.hydrostatics
        if not (equilibrium and figures):
            yield sunk_finding(self.case, self.weight.mass)
            return
        attitude = equilibrium.attitude
        if self.downflooding_point is not None and self.lowest_hull_opening:
            if self.downflooding_height < 0:
                yield swamped_finding(
                    self.lowest_hull_opening, self.downflooding_point, self.downflooding_height
                )
        yield from opening_findings(attitude, self.immersed_openings)
        if not equilibrium.converged:
            yield not_converged_finding(equilibrium)
        if equilibrium.stiffness[0] <= NEUTRAL_STIFFNESS_SHARE * self.case.hull.breadth:
            yield neutral_finding()
        else:
            assert self.even_keel
            yield from attitude_findings(
                self.case, attitude, figures, self.even_keel, self.GM_fluid
            )
        if figures.freeboard_min < 0 and abs(attitude.heel_rad) <= np.pi / 2:
            yield deck_finding(figures)

    @property
    def overlaps(self) -> tuple[Finding, ...]:
        """Tanks that overlap."""
        return self.case.overlaps if self.known_overlaps is None else self.known_overlaps

    @property
    def lowest_hull_opening(self) -> OpenPlace | None:
        """Where the opening of the hull itself lies whose rim is lowest over water."""
        rims = hull_openings(self.case.hull)
        if not (self.equilibrium and rims):
            return None
        heights = self.equilibrium.attitude.heights
        return min(rims, key=lambda place: heights(rims[place]).min())

    @property
    def KG(self) -> float:
        """Height of G above K, normal to the water plane (m)."""
        if self.hydrostatics is None:
            return float(self.weight.center[2])
        keel = np.array([self.hydrostatics.immersion.buoyancy[0], 0.0, 0.0])
        return float((self.weight.center - keel) @ self.hydrostatics.immersion.attitude.up)

    @property
    def GM(self) -> float:
        """Transverse metacentric height at the floating position (m)."""
        return self.hydrostatics.KM - self.KG if self.hydrostatics else float("nan")

    @property
    def GM_fluid(self) -> float:
        """GM less the effect of free surfaces at the floating position (m)."""
        if not (self.equilibrium and self.hydrostatics):
            return float("nan")
        slack = self.case.load.gravity_at(self.equilibrium.attitude.up).free_surfaces[1, 1]
        return self.GM - float(slack) / self.equilibrium.immersion.volume

    @property
    def GML(self) -> float:
        """Longitudinal metacentric height at the floating position (m)."""
        return self.hydrostatics.KML - self.KG if self.hydrostatics else float("nan")

    @property
    def immersed_openings(self) -> tuple[Opening, ...]:
        """Openings into dry compartments that are under water, unprotected ones first."""
        if not self.equilibrium:
            return ()
        attitude = self.equilibrium.attitude
        under = [
            each for each in self.case.active_openings if attitude.heights(each.points).min() < 0
        ]
        return tuple(sorted(under, key=lambda opening: opening.weathertight))


def find_floating_position(
    case: Case,
    start: Floats | FloatingPosition | None = None,
    seek_others: bool = True,
    on_progress: Callable[[int], None] | None = None,
) -> FloatingPosition:
    """The equilibrium of the vessel, from upright, from the up direction `start` (3,) or from the
    floating position before a small change, with its openings and tanks taken as checked then.

    With `seek_others` further stable positions are sought all round. Raises BadInputError for a
    case without weights.
    """
    hull, load = case.hull, case.load
    check_load(case.title, load)
    before, near = (start, None) if isinstance(start, FloatingPosition) else (None, start)
    if before is None:
        check_openings(hull, case.openings)
    reserve = hull.volume - load.volume
    if reserve <= 0:
        return FloatingPosition(case, "sunk", load.solid, reserve, None, np.nan, None, np.nan, ())
    beside = before.equilibrium.attitude if before and before.equilibrium else near
    equilibrium = find_equilibrium(hull.tree, load.volume, load.gravity_at, beside, on_progress)
    weight = replace(load.solid, center=equilibrium.gravity)
    rim = np.concatenate(hull.rims).reshape(-1, 3) if hull.rims else np.zeros((0, 3))
    heights = equilibrium.attitude.heights(rim)
    downflooding_point = rim[heights.argmin()] if len(rim) else None
    downflooding_height = float(heights.min()) if len(rim) else float("nan")
    others = stable_equilibria(hull.tree, load.volume, load.gravity_at) if seek_others else ()
    others = tuple(
        other
        for other in others
        if other.attitude.up @ equilibrium.attitude.up < 1 - SAME_UP_TOLERANCE
        and (other.attitude.heights(rim) > 0).all()
    )
    return FloatingPosition(
        case,
        "swamped" if downflooding_height < 0 else "afloat",
        weight,
        reserve,
        equilibrium,
        _upright_near(case, equilibrium, before),
        downflooding_point,
        downflooding_height,
        others,
        known_overlaps=before.overlaps if before else None,
    )


def _upright_near(
    case: Case, equilibrium: Equilibrium, before: FloatingPosition | None
) -> Immersion | float:
    """The vessel held upright, as before where neither hull nor displacement changed; else a level
    near the one there."""
    if before is None:
        return equilibrium.attitude.level
    if before.case.hull.tree is case.hull.tree and before.case.load.volume == case.load.volume:
        return before.even_keel or equilibrium.attitude.level
    known = before.even_keel_level
    return known.attitude.level if isinstance(known, Immersion) else known
