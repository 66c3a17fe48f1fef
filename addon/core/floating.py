"""The floating position of a ship with her weights, and what it means in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .case import Case
from .equilibrium import TOLERANCE, Rest, resting_positions, settle
from .findings import Finding
from .hydrostatics import Hydrostatics, hydrostatics
from .immersion import Immersion
from .level import immersed_to_volume
from .load import check_load
from .openings import OPEN_EDGE, Opening, check_openings, open_places
from .weights import Weight

Array = NDArray[np.float64]

State = Literal["afloat", "swamped", "sunk"]

UPRIGHT = np.radians(0.05)
NEUTRAL = 1e-5
LEAST_GM = 0.15
CLOSE_GM = 1e-6  # m
TRIM_SHARE = 0.01
ON_END = 80.0
THOUSANDTH = 1e-3


@dataclass(frozen=True)
class Floating:
    """A ship at rest.

    `state` is afloat, swamped (the rim of an opening is under water, so she fills) or sunk (her
    mass exceeds all the water she can displace); sunk, `rest` and `hydrostatics` are None, and so
    is `level_keel`. `weight` is all on board, liquids where they lie at rest. GM and GML are
    measured at the floating position, with liquids taken as solid; `GM_fluid` counts their free
    surfaces. `upright` is how she is held on an even keel if that is known, or a level (m) near the
    one there. `others` are further stable positions, and `said` and `known_overlaps` are
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
        """The ship held upright on an even keel."""
        if not self.rest:
            return None
        if isinstance(self.upright, Immersion):
            return self.upright
        return held_upright(self.case, self.upright)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What is wrong with her in words, the gravest first, that of the hull surface included."""
        if self.said is not None:
            return self.said
        words = _words(self) if self.rest else _sunk_words(self)
        return (*words, *self.overlaps, *self.case.hull.findings)

    @property
    def overlaps(self) -> tuple[Finding, ...]:
        """Tanks that have space in common."""
        return self.case.overlaps if self.known_overlaps is None else self.known_overlaps

    @property
    def fills_through(self) -> str:
        """What the opening of the hull itself is called whose rim is lowest over water."""
        rims = open_places(self.case.hull)
        if not (self.rest and rims):
            return ""
        heights = self.rest.attitude.heights
        return min(rims, key=lambda name: heights(rims[name]).min())

    @property
    def KG(self) -> float:
        """Height of G above K, upright to the water (m)."""
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
        """Openings into rooms still dry that are under water, those that let it in first."""
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
    """Where the ship comes to rest, from upright, from the up direction `start` (3,) or from
    where she floated before a small change, her openings and tanks taken as looked at then.

    With `seek_others` further stable positions are looked for all round. Raises BadInputError
    for a case without weights.
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
    """The ship held upright, as she was before where neither hull nor displacement changed; else
    a level near the one there."""
    if before is None:
        return rest.attitude.level
    if before.case.hull.tree is case.hull.tree and before.case.load.volume == case.load.volume:
        return before.level_keel or rest.attitude.level
    known = before.upright
    return known.attitude.level if isinstance(known, Immersion) else known


def upright(case: Case) -> Hydrostatics:
    """Particulars of the ship held upright on an even keel at her displacement."""
    return hydrostatics(case.hull, held_upright(case).attitude)


def held_upright(case: Case, near: float | None = None) -> Immersion:
    """The ship held upright on an even keel; `near` is a level of the water (m) to begin with."""
    up = np.array([0.0, 0.0, 1.0])
    return immersed_to_volume(case.hull.tree, up, case.load.volume, TOLERANCE, near)


def upright_GM(case: Case, wet: Immersion | None = None) -> float:
    """GM upright on an even keel, free surfaces counted (m)."""
    wet, load = wet or held_upright(case), case.load
    KM = float(wet.buoyancy[2]) + wet.metacentric_radii()[0]
    return KM - float(load.solid.centre[2]) - load.free_surface_correction


def _sunk_words(ship: Floating) -> Iterator[Finding]:
    """That she sinks, and by how much."""
    mass, most = ship.weight.mass, ship.case.hull.volume * ship.case.water_density
    yield _warning(
        "sunk",
        f"Sinks: she weighs {mass / 1000:.4g} t, and wholly under water displaces only "
        f"{most / 1000:.4g} t; take off {(mass - most) / 1000:.3g} t or enlarge the hull",
    )


def _words(ship: Floating) -> Iterator[Finding]:
    """What is wrong with her floating position, the gravest first."""
    rest, figures = ship.rest, ship.hydrostatics
    assert rest and figures
    attitude = rest.attitude
    if ship.fills_at is not None and ship.fills_height < 0:
        under = f"{-ship.fills_height:.3g} m under water {place(ship.fills_at)}"
        yield _warning(
            "swamped",
            f"Swamped: the open edge is {under}, and she fills there"
            if ship.fills_through == OPEN_EDGE
            else f"Fills: a {ship.fills_through} is {under}, and water comes in there",
            ship.fills_at,
        )
    for opening in ship.openings_under:
        heights = attitude.heights(opening.points)
        depth, lowest = -float(heights.min()), opening.points[heights.argmin()]
        yield _warning(
            "opening-under",
            f"Opening '{opening.name}' is {depth:.3g} m under water {place(lowest)}"
            + (", shut weathertight" if opening.weathertight else ", and water comes in there"),
            lowest,
        )
    if not rest.settled:
        yield _warning(
            "unsettled",
            f"No rest found in {rest.iterations} steps: buoyancy is {rest.volume_residual:.1e} of "
            f"the weight off and B {rest.arm_residual:.1e} m off G",
        )
    if rest.stiffness[0] <= NEUTRAL * ship.case.hull.breadth:
        yield _warning("neutral", "Has no preferred attitude here: a push turns her and she stays")
    else:
        yield from _words_of_attitude(ship, rest, figures)
    if figures.freeboard_min < 0 and abs(attitude.heel_rad) <= np.pi / 2:
        yield _warning(
            "deck-under",
            f"Deck edge {-figures.freeboard_min:.3g} m under water "
            f"{place(figures.freeboard_min_at)}",
            figures.freeboard_min_at,
        )


def _words_of_attitude(ship: Floating, rest: Rest, figures: Hydrostatics) -> Iterator[Finding]:
    """What is wrong with the way she stands."""
    heel, trim = np.degrees([rest.attitude.heel_rad, rest.attitude.trim_rad])
    level_keel = ship.level_keel
    assert level_keel
    ahead, aside, _ = ship.case.load.solid.centre - level_keel.buoyancy
    upright_gm = upright_GM(ship.case, level_keel)
    angle, side = f"{abs(heel):.1f} degrees", "starboard" if heel > 0 else "port"
    lopsided = abs(aside) > THOUSANDTH * ship.case.hull.breadth
    if abs(trim) > ON_END:
        yield _warning("on-end", f"Stands on her {'stern' if trim > 0 else 'bow'}")
    elif abs(heel) > 90:
        yield _warning("capsized", f"Capsized: she rests {angle} over to {side}")
    elif abs(rest.attitude.heel_rad) > UPRIGHT:
        if upright_gm < 0:
            yield _warning(
                "loll",
                f"Lolls {angle} to {side}: upright GM is -{metres(upright_gm)}, so weight must "
                f"come down until G is at least {metres(upright_gm)} lower",
            )
        if upright_gm >= 0 or lopsided:
            yield _warning(
                "list",
                f"Lists {angle} to {side}: weight is {metres(aside)} off centre to "
                f"{'port' if aside > 0 else 'starboard'}",
            )
    if abs(trim) <= ON_END and abs(figures.trim) > TRIM_SHARE * ship.case.hull.length_pp:
        end, where = ("stern", "aft") if figures.trim > 0 else ("bow", "forward")
        weight = f": weight is {metres(ahead)} {where} of the buoyancy of an even keel"
        yield _warning(
            "trim",
            f"Trims {metres(figures.trim)} by the {end}"
            + (weight if ahead * figures.trim < 0 else ", by her shape when heeled"),
        )
    if ship.GM_fluid < LEAST_GM - CLOSE_GM and abs(heel) <= 90:
        yield _warning(
            "tender",
            f"Tender: GM is {ship.GM_fluid:.3f} m (the 2008 IS Code, A 2.2, asks ships of 24 m and "
            f"more for {LEAST_GM:g} m)",
        )


def metres(length: float) -> str:
    """'0.10 m', '0.0032 m': a length without its sign, two decimals and two digits at least."""
    size = abs(length)
    digits = max(2, 1 - int(np.floor(np.log10(size)))) if size >= 1e-6 else 2
    return f"{size:.{digits}f} m"


def place(point: Array) -> str:
    """'at x 3.20 m, 1.10 m to port, z 0.90 m'."""
    side = f"{abs(point[1]):.2f} m to {'port' if point[1] > 0 else 'starboard'}"
    if abs(point[1]) < 0.005:
        side = "on the centreline"
    return f"at x {point[0]:.2f} m, {side}, z {point[2]:.2f} m"


def _warning(code: str, text: str, point: Array | None = None) -> Finding:
    if point is None:
        return Finding("warning", code, text)
    return Finding("warning", code, text, points=point[None])
