"""Hydrostatic particulars of a hull at any draft, trim and heel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import Attitude
from ..buoyancy.immersion import Immersion
from ..buoyancy.sections import section_area, waterline
from ..model.case import SEA_WATER
from ..model.hull import Hull

NAN = float("nan")


@dataclass(frozen=True)
class Hydrostatics:
    """A hull in the water at any attitude, in equilibrium or not. SI units, ship axes.

    Drafts are measured on the centerline along ship z from the baseline; `trim` is draft aft less
    draft forward. Heights KB and KM are measured normal to the water plane, K being the point of
    the baseline below B; BM and KM are for heel about the waterplane's own centroid, BML and KML
    for trim. `LWL` and `BWL` are the extents of the waterline ahead and across. Form coefficients
    use LWL, BWL, the draft amidships and the section amidships, and are NaN with the deck edge
    under water; drafts and trim are NaN upside down.
    """

    immersion: Immersion
    draft_aft: float
    draft_forward: float
    draft_mid: float
    trim: float
    KB: float
    BM: float
    BML: float
    LWL: float
    BWL: float
    midship_area: float
    Cb: float
    Cp: float
    Cm: float
    Cwp: float
    freeboard_min: float
    freeboard_min_at: Floats

    @property
    def KM(self) -> float:
        """Height of the transverse metacenter above K (m)."""
        return self.KB + self.BM

    @property
    def KML(self) -> float:
        """Height of the longitudinal metacenter above K (m)."""
        return self.KB + self.BML

    @property
    def metacenter(self) -> Floats:
        """M, the transverse metacenter, shape (3,)."""
        return self.immersion.buoyancy + self.BM * self.immersion.attitude.up

    def displacement(self, density: float = SEA_WATER) -> float:
        """Mass of the water displaced (kg)."""
        return density * self.immersion.volume

    def sinkage_mass(self, density: float = SEA_WATER) -> float:
        """Mass per meter of sinkage (kg/m); TPC in t/cm is this divided by 100 000."""
        return density * self.immersion.waterplane_area


def hydrostatics(hull: Hull, attitude: Attitude) -> Hydrostatics:
    """Particulars of a hull at an attitude."""
    wet = hull.tree.below(attitude)
    aft, mid, forward = (attitude.draft_at(x) for x in (0.0, hull.midship_x, hull.length_pp))
    outline = waterline(hull.tree, attitude)
    lwl, bwl = (
        np.ptp((outline.reshape(-1, 3) @ wet.frame[:2].T), axis=0) if len(outline) else (NAN, NAN)
    )
    midship = section_area(hull.tree, hull.midship_x, attitude)
    bm, bml = wet.metacentric_radii() if wet.volume > 0 else (NAN, NAN)
    keel = np.array([wet.buoyancy[0], 0.0, 0.0])
    edge = hull.deck_edge.reshape(-1, 3)
    heights = attitude.heights(edge)
    lowest = int(heights.argmin()) if len(edge) else -1
    box = lwl * bwl if not len(edge) or heights[lowest] > 0 else NAN
    return Hydrostatics(
        immersion=wet,
        draft_aft=aft,
        draft_forward=forward,
        draft_mid=mid,
        trim=aft - forward,
        KB=float((wet.buoyancy - keel) @ attitude.up),
        BM=bm,
        BML=bml,
        LWL=float(lwl),
        BWL=float(bwl),
        midship_area=midship,
        Cb=_ratio(wet.volume, box * mid),
        Cp=_ratio(wet.volume, midship * box / bwl),
        Cm=_ratio(midship, mid * box / lwl),
        Cwp=_ratio(wet.waterplane_area, box),
        freeboard_min=float(heights[lowest]) if len(edge) else NAN,
        freeboard_min_at=edge[lowest] if len(edge) else np.full(3, NAN),
    )


def _ratio(part: float, whole: float) -> float:
    return float(part / whole) if whole > 0 else NAN
