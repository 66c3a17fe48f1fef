"""Limiting KG: the highest permissible G over displacement.

The GZ curve is computed at an assumed KG; at another it is

    GZ' = GZ - (KG' - KG) sin(heel),

and so are slope, area and GM. The highest KG at which all criteria hold is found from it, and the
curve is computed again there until the two agree, for a vessel that trims as it heels.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..hydrostatics.upright import upright_hydrostatics
from ..model.case import Case
from ..stability.both_sides import Stability, stability, stability_limits
from ..stability.cross_curves import on_even_keel
from ..stability.gz_curve import GZCurve
from .assessment import both_sides
from .codes import check_sides
from .criteria_inputs import CriteriaInputs

SCAN_STEPS = 32
"""Steps from KM down in which a KG that passes is sought."""
KG_TOLERANCE_SHARE = 1e-5
"""Share of KM to which the limiting KG is found."""
MAX_ROUNDS = 8
"""GZ curves computed for one displacement, to bound time."""
BRACKET_SHARE = 1e-3
"""Share of KM about the KG of the last round that is tried first."""
FIRST_KG_SHARE = 0.75
"""Share of KM at which the first curve is computed."""
POSITIVE_GM = "GM above zero"
"""Name of the limit that holds without any criterion."""


@dataclass(frozen=True)
class LimitingKG:
    """The limiting KG (m) at a displacement (kg), free surfaces counted as a rise of G.

    None where no KG above the baseline is permissible. `governing` names what fails just above it,
    or at any height; `KM` and the `draft` on an even keel are in meters.
    """

    displacement: float
    draft: float
    KM: float
    KG: float | None
    governing: tuple[str, ...]

    @property
    def GM(self) -> float | None:
        """Minimum GM (m)."""
        return None if self.KG is None else self.KM - self.KG


def limiting_KG(
    case: Case,
    displacements: Sequence[float],
    fixed_trim: bool = False,
    on_progress: Callable[[float], None] | None = None,
) -> tuple[LimitingKG, ...]:
    """Limits at displacements (kg), by the codes and the custom criteria of a case.

    The vessel floats on an even keel with G on the centerline, and GM is never less than zero.
    Criteria that do not apply, or lack a fact, set no limit. `on_progress` receives each finished
    displacement. Raises BadInputError for an impossible displacement.
    """
    limits = []
    for displacement in displacements:
        limits.append(_limiting_KG(case, displacement, fixed_trim))
        if on_progress:
            on_progress(displacement)
    return tuple(limits)


def _limiting_KG(case: Case, displacement: float, fixed_trim: bool) -> LimitingKG:
    level_keel = upright_hydrostatics(on_even_keel(case, displacement, 0.0))
    draft, KM = level_keel.draft_mid, level_keel.KM
    governing: tuple[str, ...] = ()
    height, found = FIRST_KG_SHARE * KM, None
    for _ in range(MAX_ROUNDS):
        ship = stability(on_even_keel(case, displacement, height), fixed_trim=fixed_trim)
        found, governing = _highest(ship, KM, found)
        if found is None or abs(found - height) <= KG_TOLERANCE_SHARE * KM:
            break
        height = found
    return LimitingKG(displacement, draft, KM, found, governing)


def _highest(
    ship: Stability, KM: float, near: float | None = None
) -> tuple[float | None, tuple[str, ...]]:
    """The highest KG (m) at which nothing fails, sought near `near` first, and what fails above
    it."""
    case, sides = ship.case, both_sides(ship)

    def failing(KG: float) -> tuple[str, ...]:
        if KM <= KG:
            return (POSITIVE_GM,)
        weaker, other = (with_KG(side, KG) for side in sides)
        verdicts = check_sides(weaker, other, ship.stronger.name, case.codes, case.custom_criteria)
        return tuple(verdict.name for verdict in verdicts if verdict.outcome == "fails")

    around = [] if near is None else [near + BRACKET_SHARE * KM, near - BRACKET_SHARE * KM]
    if around and (fails := failing(around[0])) and not failing(around[1]):
        above, passes = around
    else:
        above, fails = KM, failing(KM)
        for passes in np.linspace(KM, 0.0, SCAN_STEPS + 1)[1:].tolist():
            here = failing(passes)
            if not here:
                break
            above, fails = passes, here
        else:
            return None, fails
    while above - passes > KG_TOLERANCE_SHARE * KM / 2:
        middle = (above + passes) / 2
        here = failing(middle)
        if here:
            above, fails = middle, here
        else:
            passes = middle
    return passes, fails


def with_KG(ship: CriteriaInputs, KG: float) -> CriteriaInputs:
    """The criteria inputs with G at another height (m), the trim at each heel kept."""
    rise = KG - ship.KG
    heels = ship.gz_curve.heels
    gz_curve = GZCurve(
        heels,
        ship.gz_curve.gz - rise * np.sin(heels),
        ship.gz_curve.slopes - rise * np.cos(heels),
        ship.gz_curve.areas - rise * (1 - np.cos(heels)),
    )
    equilibrium, vanishing_angle = stability_limits(gz_curve, ship.equilibrium_heel)
    return replace(
        ship,
        gz_curve=gz_curve,
        KG=KG,
        GM=ship.GM - rise,
        equilibrium_heel=equilibrium,
        vanishing_angle=vanishing_angle,
    )
