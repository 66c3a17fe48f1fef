"""Cross curves: KN over displacement and heel, for a hull independent of its loading.

KN is the righting lever with G at K, so that GZ = KN - KG sin(heel) (common practice).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..arrays import Bools, Floats
from ..buoyancy.attitude import UPRIGHT_UP
from ..buoyancy.level import immersed_to_volume, level_for_volume
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, tonnes
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.weights import Weight
from .righting_curve import check_heels, righting_curve
from .righting_lever import heeling_of


@dataclass(frozen=True)
class CrossCurve:
    """KN (n,) in meters at the heels requested, positive to starboard, for one displacement (kg).

    `draft` is that on an even keel (m). `converged` (n,) is false where no trim gives equilibrium.
    """

    displacement: float
    draft: float
    KN: Floats
    converged: Bools


def cross_curves(
    case: Case,
    displacements: Sequence[float],
    heels: Iterable[float],
    KG: float | None = None,
    fixed_trim: bool = False,
    on_progress: Callable[[float], None] | None = None,
) -> tuple[CrossCurve, ...]:
    """Cross curves of the hull of a case at displacements (kg) and heels (rad).

    The vessel floats on an even keel upright, and is free to trim as it heels unless the trim is
    fixed; free, G is at the height `KG` (m), half the depth when None, which only matters for large
    trim. `on_progress` receives each finished displacement. Raises BadInputError for heels not in
    ascending order and impossible displacements.
    """
    wanted = check_heels(heels)
    height = case.hull.depth / 2 if KG is None else KG
    curves = []
    for displacement in displacements:
        ship = on_even_keel(case, displacement, height)
        curve = righting_curve(heeling_of(ship, fixed_trim), wanted)
        positions = [curve.at(float(heel)) for heel in wanted]
        curves.append(
            CrossCurve(
                displacement,
                level_for_volume(case.hull.tree, UPRIGHT_UP, ship.load.volume),
                np.array([each.arm for each in positions]) + height * np.sin(wanted),
                np.array([each.converged for each in positions]),
            )
        )
        if on_progress:
            on_progress(displacement)
    return tuple(curves)


def on_even_keel(case: Case, displacement: float, KG: float) -> Case:
    """The vessel with all its mass (kg) at one point, over the even-keel B and KG (m) high."""
    tree, volume = case.hull.tree, check_displacement(case, displacement) / case.water_density
    x = float(immersed_to_volume(tree, UPRIGHT_UP, volume).buoyancy[0])
    mass = Weight("all on board", displacement, np.array([x, 0.0, KG]))
    return replace(case, weights=(mass,), tanks=(), conditions=())


def check_displacement(case: Case, displacement: float) -> float:
    """Checks a displacement (kg). Raises BadInputError for one that the hull cannot have."""
    most = case.hull.volume * case.water_density
    if not 0 < displacement < most:
        raise BadInputError(
            Sentence(
                "a displacement of {displacement}; {ship} can have any above zero and below {most}",
                displacement=tonnes(displacement, ".6g"),
                ship=Subject("vessel", case.title),
                most=tonnes(most, ".6g"),
            )
        )
    return displacement
