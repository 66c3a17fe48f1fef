"""The floating position of a ship with her weights, and what it means in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .attitude import Attitude
from .case import Case
from .equilibrium import Rest, level_for_volume, resting_positions, settle
from .findings import BadInputError, Finding
from .hydrostatics import Hydrostatics, hydrostatics
from .weights import Weight, combined

Array = NDArray[np.float64]

State = Literal["afloat", "swamped", "sunk"]

UPRIGHT = np.radians(0.05)
LEAST_GM = 0.15
TRIM_SHARE = 0.01
ON_END = 80.0
THOUSANDTH = 1e-3


@dataclass(frozen=True)
class Floating:
    """A ship at rest.

    `state` is afloat, swamped (an open rim is under water, so she fills) or sunk (her mass
    exceeds all the water she can displace); sunk, `rest` and `hydrostatics` are None.
    GM and GML are measured at the floating position. `findings` say what is wrong with her
    in words, those of the hull surface included. `others` are further stable positions.
    """

    case: Case
    state: State
    weight: Weight
    reserve_volume: float
    rest: Rest | None
    hydrostatics: Hydrostatics | None
    fills_at: Array | None
    fills_height: float
    others: tuple[Rest, ...]
    findings: tuple[Finding, ...]

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
    def GML(self) -> float:
        """Longitudinal metacentric height at the floating position (m)."""
        return self.hydrostatics.KML - self.KG if self.hydrostatics else float("nan")


def float_ship(
    case: Case,
    start: Array | None = None,
    seek_others: bool = True,
    tell: Callable[[int], None] | None = None,
) -> Floating:
    """Where the ship comes to rest, from upright or from the up direction `start` (3,).

    With `seek_others` further stable positions are looked for all round. Raises BadInputError
    for a case without weights.
    """
    if not case.weights:
        raise BadInputError(
            f"{case.title}: there are no weights, so nothing says how deep she sits; "
            "add at least one, such as the hull's own"
        )
    hull, weight = case.hull, combined(case.weights)
    volume = weight.mass / case.water_density
    reserve = hull.volume - volume
    if reserve <= 0:
        return _sunk(case, weight, reserve)
    rest = settle(hull.tree, volume, weight.centre, start, tell)
    figures = hydrostatics(hull, rest.attitude)
    rim = np.concatenate(hull.rims).reshape(-1, 3) if hull.rims else np.zeros((0, 3))
    heights = rest.attitude.heights(rim)
    fills_at = rim[heights.argmin()] if len(rim) else None
    fills_height = float(heights.min()) if len(rim) else float("nan")
    others = resting_positions(hull.tree, volume, weight.centre) if seek_others else ()
    others = tuple(
        other
        for other in others
        if other.attitude.up @ rest.attitude.up < 1 - THOUSANDTH
        and (other.attitude.heights(rim) > 0).all()
    )
    afloat = Floating(
        case,
        "swamped" if fills_height < 0 else "afloat",
        weight,
        reserve,
        rest,
        figures,
        fills_at,
        fills_height,
        others,
        (),
    )
    return replace(afloat, findings=(*_words(afloat), *hull.findings))


def upright(case: Case) -> Hydrostatics:
    """Particulars of the ship held upright on an even keel at her displacement."""
    up = np.array([0.0, 0.0, 1.0])
    volume = combined(case.weights).mass / case.water_density
    return hydrostatics(case.hull, Attitude(up, level_for_volume(case.hull.tree, up, volume)))


def _sunk(case: Case, weight: Weight, reserve: float) -> Floating:
    most = case.hull.volume * case.water_density
    words = Finding(
        "warning",
        "sunk",
        f"Sinks: she weighs {weight.mass / 1000:.4g} t, and wholly under water displaces only "
        f"{most / 1000:.4g} t; take off {(weight.mass - most) / 1000:.3g} t or enlarge the hull",
    )
    nothing = (None, None, None, float("nan"), ())
    return Floating(case, "sunk", weight, reserve, *nothing, (words, *case.hull.findings))


def _words(ship: Floating) -> Iterator[Finding]:
    """What is wrong with her floating position, the gravest first."""
    rest, figures = ship.rest, ship.hydrostatics
    assert rest and figures
    attitude = rest.attitude
    if ship.fills_at is not None and ship.fills_height < 0:
        yield _warning(
            "swamped",
            f"Swamped: the open edge is {-ship.fills_height:.3g} m under water "
            f"{place(ship.fills_at)}, and she fills there",
            ship.fills_at,
        )
    if not rest.settled:
        yield _warning(
            "unsettled",
            f"No rest found in {rest.iterations} steps: buoyancy is {rest.volume_residual:.1e} of "
            f"the weight off and B {rest.arm_residual:.1e} m off G",
        )
    heel = np.degrees(attitude.heel_rad)
    level_keel = upright(ship.case)
    off = ship.weight.centre - level_keel.immersion.buoyancy
    upright_gm = level_keel.KM - float(ship.weight.centre[2])
    side = "starboard" if heel > 0 else "port"
    lopsided = abs(off[1]) > THOUSANDTH * ship.case.hull.breadth
    trim = np.degrees(attitude.trim_rad)
    if abs(trim) > ON_END:
        yield _warning("on-end", f"Stands on her {'stern' if trim > 0 else 'bow'}")
    elif abs(heel) > 90:
        yield _warning("capsized", f"Capsized: she rests {abs(heel):.1f} degrees over to {side}")
    elif abs(attitude.heel_rad) > UPRIGHT:
        if upright_gm < 0 and not lopsided:
            yield _warning(
                "loll",
                f"Lolls {abs(heel):.1f} degrees to {side}: upright GM is {upright_gm:.2f} m, so "
                f"weight must come down until G is at least {-upright_gm:.2f} m lower",
            )
        else:
            which = "port" if off[1] > 0 else "starboard"
            yield _warning(
                "list",
                f"Lists {abs(heel):.1f} degrees to {side}: weight is {abs(off[1]):.2f} m off "
                f"centre to {which}",
            )
    if abs(figures.trim) > TRIM_SHARE * ship.case.hull.length_pp:
        end, where = ("stern", "aft") if figures.trim > 0 else ("bow", "forward")
        yield _warning(
            "trim",
            f"Trims {abs(figures.trim):.2f} m by the {end}: weight is {abs(off[0]):.2f} m "
            f"{where} of the buoyancy of an even keel",
        )
    if not rest.stable:
        yield _warning("neutral", "Has no preferred attitude here: a push turns her and she stays")
    elif ship.GM < LEAST_GM and abs(heel) <= 90:
        yield _warning(
            "tender",
            f"Tender: GM is {ship.GM:.3f} m (the 2008 IS Code, A 2.2, asks ships of 24 m and "
            f"more for {LEAST_GM:g} m)",
        )
    if figures.freeboard_min < 0 and abs(heel) <= 90:
        yield _warning(
            "deck-under",
            f"Deck edge {-figures.freeboard_min:.3g} m under water "
            f"{place(figures.freeboard_min_at)}",
            figures.freeboard_min_at,
        )


def place(point: Array) -> str:
    """'at x 3.20, 1.10 m to port, z 0.90 m'."""
    side = f"{abs(point[1]):.2f} m to {'port' if point[1] > 0 else 'starboard'}"
    return f"at x {point[0]:.2f} m, {side}, z {point[2]:.2f} m"


def _warning(code: str, text: str, point: Array | None = None) -> Finding:
    if point is None:
        return Finding("warning", code, text)
    return Finding("warning", code, text, points=point[None])
