"""Cross curves: KN over displacement and heel, for a hull independent of its loading.

KN is the righting lever with G at K, so that GZ = KN - KG sin(heel) (common practice).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.level import immersed_to_volume, level_for_volume
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, tonnes
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.weights import Weight
from .righting_lever import check_heels, heeling_of, righting_curve

Array = NDArray[np.float64]

UPRIGHT = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class CrossCurve:
    """KN (n,) in meters at the heels requested, positive to starboard, for one displacement (kg).

    `draft` is that on an even keel (m). `settled` (n,) is false where no trim gives equilibrium.
    """

    displacement: float
    draft: float
    KN: Array
    settled: NDArray[np.bool_]


def cross_curves(
    case: Case,
    displacements: Sequence[float],
    heels: Iterable[float],
    KG: float | None = None,
    fixed_trim: bool = False,
    tell: Callable[[float], None] | None = None,
) -> tuple[CrossCurve, ...]:
    """Cross curves of the hull of a case at displacements (kg) and heels (rad).

    The vessel floats on an even keel upright, and is free to trim as it heels unless the trim is
    fixed; free, G is at the height `KG` (m), half the depth when None, which only matters for large
    trim. `tell` receives each finished displacement. Raises BadInputError for heels not in
    ascending order and impossible displacements.
    """
    wanted = check_heels(heels)
    height = case.hull.depth / 2 if KG is None else KG
    curves = []
    for displacement in displacements:
        ship = on_even_keel(case, displacement, height)
        curve = righting_curve(heeling_of(ship, fixed_trim), wanted)
        held = [curve.at(float(heel)) for heel in wanted]
        curves.append(
            CrossCurve(
                displacement,
                level_for_volume(case.hull.tree, UPRIGHT, ship.load.volume),
                np.array([each.arm for each in held]) + height * np.sin(wanted),
                np.array([each.settled for each in held]),
            )
        )
        if tell:
            tell(displacement)
    return tuple(curves)


def on_even_keel(case: Case, displacement: float, KG: float) -> Case:
    """The vessel with all its mass (kg) at one point, over the even-keel B and KG (m) high."""
    tree, volume = case.hull.tree, check_displacement(case, displacement) / case.water_density
    x = float(immersed_to_volume(tree, UPRIGHT, volume).buoyancy[0])
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
