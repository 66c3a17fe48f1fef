"""The floating position of a vessel with its weights, and the findings on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from ..arrays import Floats
from ..buoyancy.immersion import Immersion
from ..buoyancy.level import immersed_to_volume
from ..messages.findings import Finding
from ..messages.sentence import PORT, STARBOARD, Sentence, end_of, meters, place, side_of, tonnes
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.hull import OpenPlace
from ..model.load import check_load
from ..model.openings import HULL_OPENING_NAMES, Opening, check_openings, hull_openings
from ..model.weights import Weight
from .equilibrium import EQUILIBRIUM_TOLERANCE, Equilibrium, find_equilibrium, stable_equilibria
from .particulars import Hydrostatics, hydrostatics

FloatingState = Literal["afloat", "swamped", "sunk"]

UPRIGHT_TOLERANCE = np.radians(0.05)
"""Heel (rad) up to which a vessel is upright."""
NEUTRAL_STIFFNESS_SHARE = 1e-5
"""Least GM over the breadth up to which the vessel has no preferred attitude."""
MIN_GM = 0.15
"""Initial GM (m) that 2008 IS Code, part A, 2.2.4, asks for."""
MIN_GM_SHIP_LENGTH = 24.0
"""Length (m) of the ships of which the IS Code asks `MIN_GM`."""
GM_TOLERANCE = 1e-6
"""Amount (m) by which GM may fall short unseen."""
REPORTED_TRIM_SHARE = 0.01
"""Trim over the length from which it is reported."""
ON_END_TRIM = 80.0
"""Trim angle (degrees) beyond which a vessel stands on end."""
NEGLIGIBLE_SHARE = 1e-3
"""Share of the breadth that weight may be off center, and of 1 that two up directions may
differ by."""


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
        words = _findings(self) if self.equilibrium else _sunk_findings(self)
        return (*words, *self.overlaps, *self.case.hull.findings)

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
        if other.attitude.up @ equilibrium.attitude.up < 1 - NEGLIGIBLE_SHARE
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


def upright_hydrostatics(case: Case) -> Hydrostatics:
    """Particulars of the vessel held upright on an even keel at its displacement."""
    return hydrostatics(case.hull, upright_immersion(case).attitude)


def upright_immersion(case: Case, near: float | None = None) -> Immersion:
    """The vessel held upright on an even keel; `near` is an initial level of the water (m)."""
    up = np.array([0.0, 0.0, 1.0])
    return immersed_to_volume(case.hull.tree, up, case.load.volume, EQUILIBRIUM_TOLERANCE, near)


def upright_GM(case: Case, wet: Immersion | None = None) -> float:
    """GM (fluid) upright on an even keel (m)."""
    wet, load = wet or upright_immersion(case), case.load
    KM = float(wet.buoyancy[2]) + wet.metacentric_radii()[0]
    return KM - float(load.solid.center[2]) - load.free_surface_correction


def _sunk_findings(ship: FloatingPosition) -> Iterator[Finding]:
    """The finding that the vessel sinks, and by how much."""
    mass, most = ship.weight.mass, ship.case.hull.volume * ship.case.water_density
    yield _warning(
        "sunk",
        Sentence(
            "Sinks: the vessel weighs {mass}, and wholly under water displaces only {most}; take "
            "off {excess} or enlarge the hull",
            mass=tonnes(mass, ".4g"),
            most=tonnes(most, ".4g"),
            excess=tonnes(mass - most, ".3g"),
        ),
    )


def _findings(ship: FloatingPosition) -> Iterator[Finding]:
    """Findings on the floating position, the gravest first."""
    equilibrium, figures = ship.equilibrium, ship.hydrostatics
    assert equilibrium and figures
    attitude = equilibrium.attitude
    if (
        ship.downflooding_point is not None
        and ship.lowest_hull_opening
        and ship.downflooding_height < 0
    ):
        words = "Swamped: the open edge is {depth} under water {place}, and the hull fills there"
        if ship.lowest_hull_opening != "top":
            words = "Fills: a {opening} is {depth} under water {place}, and water comes in there"
        yield _warning(
            "swamped",
            Sentence(
                words,
                opening=HULL_OPENING_NAMES[ship.lowest_hull_opening],
                depth=meters(-ship.downflooding_height, ".3g"),
                place=place(ship.downflooding_point),
            ),
            ship.downflooding_point,
        )
    for opening in ship.immersed_openings:
        heights = attitude.heights(opening.points)
        depth, lowest = -float(heights.min()), opening.points[heights.argmin()]
        yield _warning(
            "opening-under",
            Sentence(
                "Opening '{opening}' is {depth} under water {place}, closed weathertight"
                if opening.weathertight
                else "Opening '{opening}' is {depth} under water {place}, and water comes in there",
                opening=Subject("opening", opening.name),
                depth=meters(depth, ".3g"),
                place=place(lowest),
            ),
            lowest,
        )
    if not equilibrium.converged:
        yield _warning(
            "not-converged",
            Sentence(
                "No equilibrium found in {steps} steps: buoyancy is {share} of the weight off and "
                "B {arm} off G",
                steps=equilibrium.iterations,
                share=f"{equilibrium.volume_residual:.1e}",
                arm=meters(equilibrium.lever_residual, ".1e"),
            ),
        )
    if equilibrium.stiffness[0] <= NEUTRAL_STIFFNESS_SHARE * ship.case.hull.breadth:
        words = Sentence("Neutral equilibrium: once turned, the vessel stays so")
        yield _warning("neutral", words)
    else:
        yield from _attitude_findings(ship, equilibrium, figures)
    if figures.freeboard_min < 0 and abs(attitude.heel_rad) <= np.pi / 2:
        yield _warning(
            "deck-under",
            Sentence(
                "Deck edge {depth} under water {place}",
                depth=meters(-figures.freeboard_min, ".3g"),
                place=place(figures.freeboard_min_at),
            ),
            figures.freeboard_min_at,
        )


def _attitude_findings(
    ship: FloatingPosition, equilibrium: Equilibrium, figures: Hydrostatics
) -> Iterator[Finding]:
    """Findings on the attitude."""
    heel, trim = np.degrees([equilibrium.attitude.heel_rad, equilibrium.attitude.trim_rad])
    even_keel = ship.even_keel
    assert even_keel
    ahead, aside, _ = ship.case.load.solid.center - even_keel.buoyancy
    upright_gm = upright_GM(ship.case, even_keel)
    angle, side = f"{abs(heel):.1f}", STARBOARD if heel > 0 else PORT
    lopsided = abs(aside) > NEGLIGIBLE_SHARE * ship.case.hull.breadth
    if abs(trim) > ON_END_TRIM:
        yield _warning("on-end", Sentence("Stands on the {end}", end=end_of(trim)))
    elif abs(heel) > 90:
        words = Sentence(
            "Capsized: the equilibrium is {angle} degrees over to {side}", angle=angle, side=side
        )
        yield _warning("capsized", words)
    elif abs(equilibrium.attitude.heel_rad) > UPRIGHT_TOLERANCE:
        if upright_gm < 0:
            yield _warning(
                "loll",
                Sentence(
                    "Lolls {angle} degrees to {side}: upright GM is -{lacking}, so weight must "
                    "come down until G is at least {lacking} lower",
                    angle=angle,
                    side=side,
                    lacking=meters(upright_gm),
                ),
            )
        if upright_gm >= 0 or lopsided:
            yield _warning(
                "list",
                Sentence(
                    "Lists {angle} degrees to {side}: weight is {far} off center to {heavy}",
                    angle=angle,
                    side=side,
                    far=meters(aside),
                    heavy=side_of(aside),
                ),
            )
    if (
        abs(trim) <= ON_END_TRIM
        and abs(figures.trim) > REPORTED_TRIM_SHARE * ship.case.hull.length_pp
    ):
        yield _warning("trim", _trim_text(figures.trim, ahead))
    if ship.GM_fluid < MIN_GM - GM_TOLERANCE and abs(heel) <= 90:
        yield _warning(
            "tender",
            Sentence(
                "Tender: GM is {GM} (the 2008 IS Code, A 2.2, asks ships of {length} "
                "and more for {least})",
                GM=meters(ship.GM_fluid, ".3f"),
                length=meters(MIN_GM_SHIP_LENGTH, "g"),
                least=meters(MIN_GM, "g"),
            ),
        )


def _trim_text(trim: float, ahead: float) -> Sentence:
    """The finding on trim, and whether the weight offset `ahead` (m) of B explains it."""
    if not ahead * trim < 0:
        template = "Trims {trim} by the {end}, by the shape of the heeled hull"
        return Sentence(template, trim=meters(trim), end=end_of(trim))
    return Sentence(
        "Trims {trim} by the stern: weight is {far} aft of the buoyancy of an even keel"
        if trim > 0
        else "Trims {trim} by the bow: weight is {far} forward of the buoyancy of an even keel",
        trim=meters(trim),
        far=meters(ahead),
    )


def _warning(code: str, text: Sentence, point: Floats | None = None) -> Finding:
    if point is None:
        return Finding("warning", code, text)
    return Finding("warning", code, text, points=point[None])
