"""The floating position of a vessel with its weights, and the findings on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.immersion import Immersion
from ..buoyancy.level import immersed_to_volume
from ..messages.findings import Finding
from ..messages.sentence import PORT, STARBOARD, Sentence, end_of, metres, place, side_of, tonnes
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.hull import OpenPlace
from ..model.load import check_load
from ..model.openings import OPEN_PLACES, Opening, check_openings, open_places
from ..model.weights import Weight
from .equilibrium import TOLERANCE, Rest, resting_positions, settle
from .particulars import Hydrostatics, hydrostatics

Array = NDArray[np.float64]

State = Literal["afloat", "swamped", "sunk"]

UPRIGHT = np.radians(0.05)
NEUTRAL = 1e-5
LEAST_GM = 0.15
CODE_LENGTH = 24.0  # m, least length of ships to which that clause of the IS Code applies
CLOSE_GM = 1e-6  # m
TRIM_SHARE = 0.01
ON_END = 80.0
THOUSANDTH = 1e-3


@dataclass(frozen=True)
class Floating:
    """A vessel in equilibrium.

    `state` is afloat, swamped (the rim of an opening is under water, so the vessel fills) or sunk
    (its mass exceeds all the water it can displace); sunk, `rest` and `hydrostatics` are None, and
    so is `level_keel`. `weight` is everything on board, liquids where they lie in equilibrium. GM
    and GML are those at the floating position with liquids taken as solid; `GM_fluid` counts their
    free surfaces. `upright` is the vessel held upright on an even keel if known, or a level (m)
    near the one there. `others` are further stable positions, and `said` and `known_overlaps` are
    findings known before.
    """

    case: Case
    state: State
    weight: Weight
    reserve_volume: float
    rest: Rest | None
    upright: Immersion | float
    fills_at: Array | None
    fills_height: float
    others: tuple[Rest, ...]
    said: tuple[Finding, ...] | None = None
    known_overlaps: tuple[Finding, ...] | None = None

    @cached_property
    def hydrostatics(self) -> Hydrostatics | None:
        """Particulars at the floating position."""
        return hydrostatics(self.case.hull, self.rest.attitude) if self.rest else None

    @cached_property
    def level_keel(self) -> Immersion | None:
        """The vessel held upright on an even keel."""
        if not self.rest:
            return None
        if isinstance(self.upright, Immersion):
            return self.upright
        return held_upright(self.case, self.upright)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """The findings, the gravest first, those of the hull surface included."""
        if self.said is not None:
            return self.said
        words = _words(self) if self.rest else _sunk_words(self)
        return (*words, *self.overlaps, *self.case.hull.findings)

    @property
    def overlaps(self) -> tuple[Finding, ...]:
        """Tanks that overlap."""
        return self.case.overlaps if self.known_overlaps is None else self.known_overlaps

    @property
    def fills_through(self) -> OpenPlace | None:
        """Where the opening of the hull itself lies whose rim is lowest over water."""
        rims = open_places(self.case.hull)
        if not (self.rest and rims):
            return None
        heights = self.rest.attitude.heights
        return min(rims, key=lambda place: heights(rims[place]).min())

    @property
    def KG(self) -> float:
        """Height of G above K, normal to the water plane (m)."""
        if self.hydrostatics is None:
            return float(self.weight.centre[2])
        keel = np.array([self.hydrostatics.immersion.buoyancy[0], 0.0, 0.0])
        return float((self.weight.centre - keel) @ self.hydrostatics.immersion.attitude.up)

    @property
    def GM(self) -> float:
        """Transverse metacentric height at the floating position (m)."""
        return self.hydrostatics.KM - self.KG if self.hydrostatics else float("nan")

    @property
    def GM_fluid(self) -> float:
        """GM less the effect of free surfaces at the floating position (m)."""
        if not (self.rest and self.hydrostatics):
            return float("nan")
        slack = self.case.load.hang(self.rest.attitude.up).slack[1, 1]
        return self.GM - float(slack) / self.rest.immersion.volume

    @property
    def GML(self) -> float:
        """Longitudinal metacentric height at the floating position (m)."""
        return self.hydrostatics.KML - self.KG if self.hydrostatics else float("nan")

    @property
    def openings_under(self) -> tuple[Opening, ...]:
        """Openings into dry compartments that are under water, unprotected ones first."""
        if not self.rest:
            return ()
        attitude = self.rest.attitude
        under = [each for each in self.case.ways_in if attitude.heights(each.points).min() < 0]
        return tuple(sorted(under, key=lambda opening: opening.weathertight))


def float_ship(
    case: Case,
    start: Array | Floating | None = None,
    seek_others: bool = True,
    tell: Callable[[int], None] | None = None,
) -> Floating:
    """The equilibrium of the vessel, from upright, from the up direction `start` (3,) or from the
    floating position before a small change, with its openings and tanks taken as checked then.

    With `seek_others` further stable positions are sought all round. Raises BadInputError for a
    case without weights.
    """
    hull, load = case.hull, case.load
    check_load(case.title, load)
    before, near = (start, None) if isinstance(start, Floating) else (None, start)
    if before is None:
        check_openings(hull, case.openings)
    reserve = hull.volume - load.volume
    if reserve <= 0:
        return Floating(case, "sunk", load.solid, reserve, None, np.nan, None, np.nan, ())
    beside = before.rest.attitude if before and before.rest else near
    rest = settle(hull.tree, load.volume, load.hang, beside, tell)
    weight = replace(load.solid, centre=rest.gravity)
    rim = np.concatenate(hull.rims).reshape(-1, 3) if hull.rims else np.zeros((0, 3))
    heights = rest.attitude.heights(rim)
    fills_at = rim[heights.argmin()] if len(rim) else None
    fills_height = float(heights.min()) if len(rim) else float("nan")
    others = resting_positions(hull.tree, load.volume, load.hang) if seek_others else ()
    others = tuple(
        other
        for other in others
        if other.attitude.up @ rest.attitude.up < 1 - THOUSANDTH
        and (other.attitude.heights(rim) > 0).all()
    )
    return Floating(
        case,
        "swamped" if fills_height < 0 else "afloat",
        weight,
        reserve,
        rest,
        _upright_near(case, rest, before),
        fills_at,
        fills_height,
        others,
        known_overlaps=before.overlaps if before else None,
    )


def _upright_near(case: Case, rest: Rest, before: Floating | None) -> Immersion | float:
    """The vessel held upright, as before where neither hull nor displacement changed; else a level
    near the one there."""
    if before is None:
        return rest.attitude.level
    if before.case.hull.tree is case.hull.tree and before.case.load.volume == case.load.volume:
        return before.level_keel or rest.attitude.level
    known = before.upright
    return known.attitude.level if isinstance(known, Immersion) else known


def upright(case: Case) -> Hydrostatics:
    """Particulars of the vessel held upright on an even keel at its displacement."""
    return hydrostatics(case.hull, held_upright(case).attitude)


def held_upright(case: Case, near: float | None = None) -> Immersion:
    """The vessel held upright on an even keel; `near` is an initial level of the water (m)."""
    up = np.array([0.0, 0.0, 1.0])
    return immersed_to_volume(case.hull.tree, up, case.load.volume, TOLERANCE, near)


def upright_GM(case: Case, wet: Immersion | None = None) -> float:
    """GM (fluid) upright on an even keel (m)."""
    wet, load = wet or held_upright(case), case.load
    KM = float(wet.buoyancy[2]) + wet.metacentric_radii()[0]
    return KM - float(load.solid.centre[2]) - load.free_surface_correction


def _sunk_words(ship: Floating) -> Iterator[Finding]:
    """The finding that the vessel sinks, and by how much."""
    mass, most = ship.weight.mass, ship.case.hull.volume * ship.case.water_density
    yield _warning(
        "sunk",
        Sentence(
            "Sinks: she weighs {mass}, and wholly under water displaces only {most}; take off "
            "{excess} or enlarge the hull",
            mass=tonnes(mass, ".4g"),
            most=tonnes(most, ".4g"),
            excess=tonnes(mass - most, ".3g"),
        ),
    )


def _words(ship: Floating) -> Iterator[Finding]:
    """Findings on the floating position, the gravest first."""
    rest, figures = ship.rest, ship.hydrostatics
    assert rest and figures
    attitude = rest.attitude
    if ship.fills_at is not None and ship.fills_through and ship.fills_height < 0:
        words = "Swamped: the open edge is {depth} under water {place}, and she fills there"
        if ship.fills_through != "top":
            words = "Fills: a {hole} is {depth} under water {place}, and water comes in there"
        yield _warning(
            "swamped",
            Sentence(
                words,
                hole=OPEN_PLACES[ship.fills_through],
                depth=metres(-ship.fills_height, ".3g"),
                place=place(ship.fills_at),
            ),
            ship.fills_at,
        )
    for opening in ship.openings_under:
        heights = attitude.heights(opening.points)
        depth, lowest = -float(heights.min()), opening.points[heights.argmin()]
        yield _warning(
            "opening-under",
            Sentence(
                "Opening '{opening}' is {depth} under water {place}, shut weathertight"
                if opening.weathertight
                else "Opening '{opening}' is {depth} under water {place}, and water comes in there",
                opening=Subject("opening", opening.name),
                depth=metres(depth, ".3g"),
                place=place(lowest),
            ),
            lowest,
        )
    if not rest.settled:
        yield _warning(
            "unsettled",
            Sentence(
                "No rest found in {steps} steps: buoyancy is {share} of the weight off and B {arm} "
                "off G",
                steps=rest.iterations,
                share=f"{rest.volume_residual:.1e}",
                arm=metres(rest.arm_residual, ".1e"),
            ),
        )
    if rest.stiffness[0] <= NEUTRAL * ship.case.hull.breadth:
        words = Sentence("Has no preferred attitude here: a push turns her and she stays")
        yield _warning("neutral", words)
    else:
        yield from _words_of_attitude(ship, rest, figures)
    if figures.freeboard_min < 0 and abs(attitude.heel_rad) <= np.pi / 2:
        yield _warning(
            "deck-under",
            Sentence(
                "Deck edge {depth} under water {place}",
                depth=metres(-figures.freeboard_min, ".3g"),
                place=place(figures.freeboard_min_at),
            ),
            figures.freeboard_min_at,
        )


def _words_of_attitude(ship: Floating, rest: Rest, figures: Hydrostatics) -> Iterator[Finding]:
    """Findings on the attitude."""
    heel, trim = np.degrees([rest.attitude.heel_rad, rest.attitude.trim_rad])
    level_keel = ship.level_keel
    assert level_keel
    ahead, aside, _ = ship.case.load.solid.centre - level_keel.buoyancy
    upright_gm = upright_GM(ship.case, level_keel)
    angle, side = f"{abs(heel):.1f}", STARBOARD if heel > 0 else PORT
    lopsided = abs(aside) > THOUSANDTH * ship.case.hull.breadth
    if abs(trim) > ON_END:
        yield _warning("on-end", Sentence("Stands on her {end}", end=end_of(trim)))
    elif abs(heel) > 90:
        words = Sentence(
            "Capsized: she rests {angle} degrees over to {side}", angle=angle, side=side
        )
        yield _warning("capsized", words)
    elif abs(rest.attitude.heel_rad) > UPRIGHT:
        if upright_gm < 0:
            yield _warning(
                "loll",
                Sentence(
                    "Lolls {angle} degrees to {side}: upright GM is -{lacking}, so weight must "
                    "come down until G is at least {lacking} lower",
                    angle=angle,
                    side=side,
                    lacking=metres(upright_gm),
                ),
            )
        if upright_gm >= 0 or lopsided:
            yield _warning(
                "list",
                Sentence(
                    "Lists {angle} degrees to {side}: weight is {far} off centre to {heavy}",
                    angle=angle,
                    side=side,
                    far=metres(aside),
                    heavy=side_of(aside),
                ),
            )
    if abs(trim) <= ON_END and abs(figures.trim) > TRIM_SHARE * ship.case.hull.length_pp:
        yield _warning("trim", _trims(figures.trim, ahead))
    if ship.GM_fluid < LEAST_GM - CLOSE_GM and abs(heel) <= 90:
        yield _warning(
            "tender",
            Sentence(
                "Tender: GM is {GM} (the 2008 IS Code, A 2.2, asks ships of {length} and more for "
                "{least})",
                GM=metres(ship.GM_fluid, ".3f"),
                length=metres(CODE_LENGTH, "g"),
                least=metres(LEAST_GM, "g"),
            ),
        )


def _trims(trim: float, ahead: float) -> Sentence:
    """The finding on trim, and whether the weight offset `ahead` (m) of B explains it."""
    if not ahead * trim < 0:
        template = "Trims {trim} by the {end}, by her shape when heeled"
        return Sentence(template, trim=metres(trim), end=end_of(trim))
    return Sentence(
        "Trims {trim} by the stern: weight is {far} aft of the buoyancy of an even keel"
        if trim > 0
        else "Trims {trim} by the bow: weight is {far} forward of the buoyancy of an even keel",
        trim=metres(trim),
        far=metres(ahead),
    )


def _warning(code: str, text: Sentence, point: Array | None = None) -> Finding:
    if point is None:
        return Finding("warning", code, text)
    return Finding("warning", code, text, points=point[None])
