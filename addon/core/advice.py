"""The smallest change that would put a ship right: what to move, how far, and what to add.

Every remedy is exact for the ship as she is: moved so, she floats upright, on an even keel, or
with the GM or the freeboard wanted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .case import Case
from .findings import BadInputError
from .floating import Floating, metres, upright, upright_GM
from .roots import find_root
from .weights import Weight

Array = NDArray[np.float64]

BALLAST = "ballast"
KEEL = 0.05
NEGLIGIBLE = 1e-3
MOST_BALLAST = 0.9


@dataclass(frozen=True)
class Remedy:
    """A change and what it does. `weight` is moved by `shift` (3,) m, or is new where there is
    none of its name."""

    text: str
    weight: Weight
    shift: Array

    def applied(self, case: Case) -> Case:
        """The case after the change."""
        if self.weight.name not in [weight.name for weight in case.weights]:
            return replace(case, weights=(*case.weights, self.weight))
        moved = replace(self.weight, centre=self.weight.centre + self.shift)
        kept = [moved if weight.name == moved.name else weight for weight in case.weights]
        return replace(case, weights=tuple(kept))


def remedies(ship: Floating, least_GM: float, least_freeboard: float = 0.0) -> Iterator[Remedy]:
    """Remedies for her list, her trim, too little GM and too little freeboard (m), as needed."""
    if ship.hydrostatics is None:
        return
    for find in (against_list, against_trim):
        remedy = find(ship)
        if remedy:
            yield remedy
    if ship.GM_fluid < least_GM or upright_GM(ship.case) < least_GM:
        for lowered in (lower_a_weight(ship, least_GM), add_ballast(ship, least_GM)):
            if lowered:
                yield lowered


def against_list(ship: Floating) -> Remedy | None:
    """The shortest way to move one weight across so that she floats upright; None where she
    does, or where no weight has room for it within her breadth."""
    aside = _off(ship)[1]
    if abs(aside) <= NEGLIGIBLE * ship.case.hull.breadth:
        return None
    return _moved(ship, 1, -aside, ("port", "starboard"), "takes the list off")


def against_trim(ship: Floating) -> Remedy | None:
    """The shortest way to move one weight along so that she floats on an even keel; None where
    she does, or where no weight has room for it within her length."""
    ahead = _off(ship)[0]
    if abs(ahead) <= NEGLIGIBLE * ship.case.hull.length_pp:
        return None
    return _moved(ship, 0, -ahead, ("forward", "aft"), "puts her on an even keel")


def lower_a_weight(ship: Floating, GM: float) -> Remedy | None:
    """The shortest way to lower one weight to reach an upright GM (m); None where GM suffices,
    or where no weight can go so far down within the hull."""
    lacking = GM - upright_GM(ship.case)
    if lacking <= 0:
        return None
    return _moved(ship, 2, -lacking, ("up", "down"), f"brings GM to {GM:.2f} m")


def add_ballast(ship: Floating, GM: float) -> Remedy | None:
    """The least ballast low amidships, under B, that gives an upright GM (m); None where GM
    suffices, or where she would have to be nearly filled with it."""
    case = ship.case
    place = upright(case).immersion.buoyancy * np.array([1.0, 0.0, 0.0])
    place += np.array([0.0, 0.0, KEEL * case.hull.depth])

    def gained(mass: float) -> float:
        return upright_GM(_with(case, Weight(BALLAST, mass, place))) - GM

    lacking = upright_GM(case) - GM
    if lacking >= 0 or BALLAST in [weight.name for weight in case.weights]:
        return None
    room = MOST_BALLAST * ship.reserve_volume * case.water_density
    masses = room * np.geomspace(1e-4, 1.0, 30)
    enough = next((mass for mass in masses.tolist() if gained(mass) >= 0), None)
    if enough is None:
        return None
    below = enough / (masses[1] / masses[0])
    mass = (
        find_root(gained, below, enough, gained(below), gained(enough), 1e-6 * enough)
        if gained(below) < 0
        else enough
    )
    words = f"{mass:.4g} kg of ballast at x {place[0]:.2f} m, {place[2]:.2f} m above the baseline"
    return Remedy(f"{words}, brings GM to {GM:.2f} m", Weight(BALLAST, mass, place), np.zeros(3))


def mass_to_take_off(ship: Floating, freeboard: float) -> float:
    """Mass (kg) to take off, where G is, to raise the least freeboard to so many metres; zero
    where it suffices. Waterplane as it is now, exact for small changes."""
    figures = ship.hydrostatics
    if figures is None or not figures.freeboard_min < freeboard:
        return 0.0
    return figures.sinkage_mass(ship.case.water_density) * (freeboard - figures.freeboard_min)


def _off(ship: Floating) -> Array:
    """How far G lies ahead and to port of the B of an upright ship on an even keel (3,) m."""
    off: Array = ship.case.load.solid.centre - upright(ship.case).immersion.buoyancy
    return off


def _moved(
    ship: Floating, axis: int, rise: float, ways: tuple[str, str], effect: str
) -> Remedy | None:
    """One weight moved along an axis so that G moves by `rise` (m), the heaviest with room."""
    tree = ship.case.hull.tree
    for weight in sorted(ship.case.weights, key=lambda weight: -weight.mass):
        shift = np.zeros(3)
        shift[axis] = rise * ship.weight.mass / weight.mass
        there = weight.centre[axis] + shift[axis]
        if tree.low[axis] <= there <= tree.high[axis]:
            way = ways[0] if shift[axis] > 0 else ways[1]
            text = f"Moving '{weight.name}' {metres(shift[axis])} {way} {effect}"
            return Remedy(text, weight, shift)
    return None


def _with(case: Case, weight: Weight) -> Case:
    heavier = replace(case, weights=(*case.weights, weight))
    if not heavier.load.volume < case.hull.volume:
        raise BadInputError(f"{case.title}: {weight.mass:.4g} kg more would sink her")
    return heavier
