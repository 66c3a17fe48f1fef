"""Corrective actions: the smallest change of weights or tanks that corrects a vessel.

Exact: after the change, G lies over the upright B on an even keel, and the upright GM (fluid) or
the least freeboard in equilibrium is the value stated. Actions for criteria keep the trim at each
heel. Whether a weight fits where it is moved is checked against the hull only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import permutations
from typing import Literal

import numpy as np

from ..arrays import Floats
from ..criteria.assessment import Assessment, both_sides
from ..criteria.codes import check_sides
from ..criteria.limiting_kg import with_KG
from ..criteria.verdict import Verdict
from ..geometry.root_finding import find_root
from ..geometry.winding_number import is_inside
from ..hydrostatics.equilibrium import find_equilibrium
from ..hydrostatics.floating_position import (
    MIN_GM,
    FloatingPosition,
    find_floating_position,
    upright_GM,
    upright_hydrostatics,
    upright_immersion,
)
from ..messages.sentence import UNIT_OF_LENGTH, Quantity, Sentence, kilograms, meters, tonnes
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.hull import Hull
from ..model.tanks import Tank
from ..model.weights import Weight

BALLAST = "ballast"
"""Name of ballast that is added."""
BALLAST_HEIGHT_SHARE = 0.05
"""Height of ballast above the lowest point over the depth."""
NEGLIGIBLE_SHARE = 1e-3
"""Share of breadth or length that G may be off B."""
SURFACE_TOLERANCE_SHARE = 1e-6
"""Share of the depth within which a weight is on the surface of the hull."""
MAX_BALLAST_SHARE = 0.9
"""Share of the reserve of buoyancy that ballast may take."""
MAX_REMOVED_SHARE = 0.95
"""Share of the mass that may be taken off."""
FREEBOARD_SHARE = 0.05
"""Share of the depth that a least freeboard is to have (our own measure)."""
SCAN_STEPS = 24
"""Amounts that are tried for a bracket."""
ROOT_TOLERANCE_SHARE = 1e-6
"""Share of an amount to which it is found."""
KG_TOLERANCE_SHARE = 1e-4
"""Share of a step to which the lowering of G is found."""
DENSITY_TOLERANCE_SHARE = 1e-9
"""Share by which densities of like content may differ."""

Kind = Literal[
    "move_weight", "pump_liquid", "add_ballast", "lower_gravity", "shift_moment", "remove_mass"
]
Target = Literal["list", "trim", "GM", "freeboard", "criterion"]

REMOVES_LIST, EVEN_KEEL = (
    Sentence("takes the list off"),
    Sentence("brings the vessel to an even keel"),
)
DIRECTION_TEXTS = (
    (Sentence("forward"), Sentence("aft")),
    (Sentence("to port"), Sentence("to starboard")),
    (Sentence("up"), Sentence("down")),
)

SUBJECT_BY_FINDING: dict[str, Target] = {
    "list": "list",
    "trim": "trim",
    "loll": "GM",
    "tender": "GM",
    "swamped": "freeboard",
    "deck-under": "freeboard",
}
"""What is corrected, by the code of the finding."""


@dataclass(frozen=True)
class CorrectiveAction:
    """A change and what it does.

    `against` is what it puts right, of criteria `criterion`. `weight` is moved by `shift` (3,) m,
    or is new where there is none of its name; `tanks` are as they would be filled. A remedy may
    change nothing, and say only by how much something must change.
    """

    kind: Kind
    against: Target
    text: Sentence
    weight: Weight | None = None
    shift: Floats = field(default_factory=lambda: np.zeros(3))
    tanks: tuple[Tank, ...] = ()
    criterion: Verdict | None = None

    @property
    def subjects(self) -> tuple[Subject, ...]:
        """The weight that is moved or added, or the tanks that are pumped."""
        if self.weight:
            return (Subject("weight", self.weight.name),)
        return tuple(Subject("tank", tank.name) for tank in self.tanks)

    @property
    def full_text(self) -> Sentence:
        """The text where nothing beside it says which criterion it speaks of."""
        if not self.criterion:
            return self.text
        return Sentence("{criterion}: {action}", criterion=self.criterion.name, action=self.text)

    @property
    def moves(self) -> bool:
        """Whether something on board is moved."""
        return self.weight is not None and bool(self.shift.any())

    def applied(self, case: Case) -> Case:
        """The case after the change."""
        case = _with_tanks(case, self.tanks)
        if self.weight is None:
            return case
        if not self.moves:
            return replace(case, weights=(*case.weights, self.weight))
        return replace(case, weights=tuple(self._shifted(case.weights)))

    def _shifted(self, weights: tuple[Weight, ...]) -> Iterator[Weight]:
        """The weights after the move, which the margin at their common center follows."""
        assert self.weight
        real = sum(weight.mass for weight in weights if not weight.margin)
        moving = _with_mirror_image(weights, self.weight)
        moved, names = sum(each.mass for each in moving), {each.name for each in moving}
        for weight in weights:
            share = moved / real if weight.margin else 0.0
            share = 1.0 if weight.name in names else share
            yield replace(weight, center=weight.center + share * self.shift)


def find_corrective_actions(
    ship: FloatingPosition, least_GM: float = MIN_GM
) -> Iterator[CorrectiveAction]:
    """Corrective actions for list, trim, insufficient GM (m) and an edge under water, as needed.

    While upright GM is not above zero it alone is corrected, and list or trim before freeboard.
    None with compartments open to the sea: floodwater is the cause there, not the loading.
    """
    if ship.hydrostatics is None or ship.equilibrium is None or ship.case.flooded:
        return
    codes = {finding.code for finding in ship.findings}
    capsized = ship.equilibrium.attitude.up[2] <= 0
    GM = upright_GM(ship.case)
    if not capsized and GM <= 0:
        yield from correct_GM(ship, least_GM)
        return
    level = [*correct_list(ship, least_GM)] if "list" in codes else []
    level += correct_trim(ship, least_GM) if "trim" in codes else []
    yield from level
    if not capsized and min(ship.GM_fluid, GM) < least_GM:
        yield from correct_GM(ship, least_GM)
    if not (capsized or level):
        yield from correct_freeboard(ship)


def correct_list(ship: FloatingPosition, least_GM: float = MIN_GM) -> Iterator[CorrectiveAction]:
    """Moves or pumping across that bring the vessel upright; none where G is on the centerline, or
    while upright GM is not above zero: it would loll to the other side."""
    aside = _G_from_B(ship)[1]
    if abs(aside) > NEGLIGIBLE_SHARE * ship.case.hull.breadth and upright_GM(ship.case) > 0:
        yield from _shift_G(ship, "list", 1, -aside, REMOVES_LIST, least_GM)


def correct_trim(ship: FloatingPosition, least_GM: float = MIN_GM) -> Iterator[CorrectiveAction]:
    """Moves or pumping along that bring the vessel to an even keel; none where G is over B."""
    ahead = _G_from_B(ship)[0]
    if abs(ahead) > NEGLIGIBLE_SHARE * ship.case.hull.length_pp:
        yield from _shift_G(ship, "trim", 0, -ahead, EVEN_KEEL, least_GM)


def correct_GM(ship: FloatingPosition, GM: float) -> Iterator[CorrectiveAction]:
    """Which weight to lower, and which ballast to add, for an upright GM (m); how much lower G must
    be where neither suffices. None where GM suffices."""
    present = upright_GM(ship.case)
    lacking = GM - present
    if lacking <= 0:
        return
    tried = (_move_weight(ship, "GM", 2, -lacking, _GM_text(GM)), add_ballast(ship, GM))
    words = Sentence(
        "G must be {far} lower for a GM of {GM}", far=meters(lacking), GM=meters(GM, ".2f")
    )
    for action in [action for action in tried if action] or [
        CorrectiveAction("lower_gravity", "GM", words)
    ]:
        caution = "{action}; do not move weight across before GM is positive"
        yield action if present > 0 else replace(action, text=Sentence(caution, action=action.text))


def _GM_text(GM: float) -> Sentence:
    return Sentence("brings GM to {GM}", GM=meters(GM, ".2f"))


def add_ballast(ship: FloatingPosition, GM: float) -> CorrectiveAction | None:
    """The least ballast low in the hull, under B, for an upright GM (m).

    None where GM suffices, where the hull would have to be nearly filled with it, or where an
    opening, an open rim or the deck edge would then be under water.
    """
    case = ship.case
    at = upright_hydrostatics(case).immersion.buoyancy * np.array([1.0, 0.0, 0.0])
    at[2] = case.hull.tree.low[2] + BALLAST_HEIGHT_SHARE * case.hull.depth
    name = _free_name(case, BALLAST)

    def gained(mass: float) -> float:
        weights = (*case.weights, Weight(name, mass, at))
        return upright_GM(replace(case, weights=weights)) - GM

    lacking = upright_GM(case) - GM
    if lacking >= 0:
        return None
    max_mass = MAX_BALLAST_SHARE * ship.reserve_volume * case.water_density
    masses = (max_mass * np.geomspace(1e-4, 1.0, SCAN_STEPS)).tolist()
    mass = _first_root(gained, [0.0, *masses], lacking)
    if mass is None:
        return None
    words = Sentence(
        "{mass} of ballast at x {x}, {z} above the baseline, {effect}",
        mass=_mass_quantity(mass),
        x=meters(at[0], ".2f"),
        z=meters(at[2], ".2f"),
        effect=_GM_text(GM),
    )
    action = CorrectiveAction("add_ballast", "GM", words, Weight(name, mass, at))
    there = find_floating_position(action.applied(case), seek_others=False)
    left = _least_freeboard(there)
    if there.immersed_openings or left <= 0:
        return None
    if not np.isfinite(left):
        return action
    template = "{ballast} and leaves a least freeboard of {height}"
    return replace(action, text=Sentence(template, ballast=words, height=meters(left)))


def correct_freeboard(ship: FloatingPosition) -> Iterator[CorrectiveAction]:
    """The total mass to remove, with G unchanged, for a least freeboard of a share
    `FREEBOARD_SHARE` of the depth (our own measure); none with the deck edge and the open rims
    above water, or where it cannot be reached."""
    wanted = FREEBOARD_SHARE * ship.case.hull.depth
    mass = mass_to_take_off(ship, wanted) if _least_freeboard(ship) < 0 else None
    if mass is not None:
        text = Sentence(
            "{mass} must come off in all, with G left where it is, for a least freeboard of "
            "{height}, {share} % of the depth",
            mass=_mass_quantity(mass),
            height=meters(wanted),
            share=f"{FREEBOARD_SHARE * 100:.0f}",
        )
        yield CorrectiveAction("remove_mass", "freeboard", text)


def mass_to_take_off(ship: FloatingPosition, freeboard: float) -> float | None:
    """The least mass (kg) to remove, with G unchanged, to raise the least freeboard to `freeboard`
    (m); zero where it suffices, None where that cannot be reached."""
    case, rest = ship.case, ship.equilibrium
    if rest is None or not np.isfinite(_least_freeboard(ship)):
        return None
    whole, up = case.load.mass, rest.attitude.up

    def gained(mass: float) -> float:
        nonlocal up
        volume = (whole - mass) / case.water_density
        there = find_equilibrium(case.hull.tree, volume, case.load.gravity_at, up).attitude
        up = there.up
        return float(there.heights(case.hull.edge_points).min()) - freeboard

    lacking = _least_freeboard(ship) - freeboard
    if lacking >= 0:
        return 0.0
    masses = (whole * np.linspace(0.0, MAX_REMOVED_SHARE, SCAN_STEPS)).tolist()
    return _first_root(gained, masses, lacking)


def actions_for_criteria(assessment: Assessment) -> Iterator[CorrectiveAction]:
    """For each failed criterion that a lower G corrects: how much lower, and by which weight where
    there is space for one.

    The trim at each heel is kept. None with compartments open to the sea: the criteria are those of
    intact vessels.
    """
    ship, floating = assessment.stability, assessment.stability.floating
    sides, case = both_sides(ship), ship.case
    if not assessment.failed or sides[0].KG <= 0 or case.flooded:
        return
    known: dict[float, set[str]] = {}

    def passing(drop: float) -> set[str]:
        if drop not in known:
            weaker, other = (with_KG(side, side.KG - drop) for side in sides)
            found = check_sides(weaker, other, ship.stronger.name, case.codes, case.custom_criteria)
            known[drop] = {each.key for each in found if each.outcome == "passes"}
        return known[drop]

    drops = np.linspace(0.0, sides[0].KG, SCAN_STEPS).tolist()
    for verdict in assessment.failed:
        enough = next((drop for drop in drops[1:] if _passes(passing, verdict.key, drop)), None)
        if enough is None:
            continue
        drop = _bisect(partial(_passes, passing, verdict.key), drops[1], enough)
        text = Sentence(
            "Passes with G {far} lower, at a KG of {KG}",
            far=meters(drop),
            KG=meters(sides[0].KG - drop, ".2f"),
        )
        lowered = _move_weight(floating, "criterion", 2, -drop, text)
        if lowered:
            assert lowered.weight
            text = Sentence(
                "{passes}: moving '{weight}' {far} down does that",
                passes=text,
                weight=Subject("weight", lowered.weight.name),
                far=meters(lowered.shift[2]),
            )
        action = lowered or CorrectiveAction("lower_gravity", "criterion", text)
        yield replace(action, text=text, criterion=verdict)


def _passes(passing: Callable[[float], set[str]], key: str, drop: float) -> bool:
    return key in passing(drop)


def _bisect(holds: Callable[[float], bool], step: float, enough: float) -> float:
    """The least value at which a condition holds, given that it holds at `enough` and not a step
    before."""
    fails = enough - step
    while enough - fails > KG_TOLERANCE_SHARE * step:
        middle = (fails + enough) / 2
        if holds(middle):
            enough = middle
        else:
            fails = middle
    return enough


def _first_root(
    gained: Callable[[float], float], amounts: list[float], start: float
) -> float | None:
    """The least amount at which a function, `start` at the first of them, reaches zero."""
    before, lacking = amounts[0], start
    for amount in amounts[1:]:
        there = gained(amount)
        if there >= 0:
            return find_root(gained, before, amount, lacking, there, ROOT_TOLERANCE_SHARE * amount)
        before, lacking = amount, there
    return None


def _least_freeboard(ship: FloatingPosition) -> float:
    """Height of the lowest deck edge or open rim (m), NaN without either."""
    edge_points = ship.case.hull.edge_points
    return (
        float(ship.equilibrium.attitude.heights(edge_points).min())
        if ship.equilibrium and len(edge_points)
        else np.nan
    )


def _G_from_B(ship: FloatingPosition) -> Floats:
    """Offset of G forward and to port of the upright B on an even keel (3,), m."""
    off: Floats = ship.case.load.solid.center - upright_hydrostatics(ship.case).immersion.buoyancy
    return off


def _shift_G(
    ship: FloatingPosition,
    against: Target,
    axis: int,
    rise: float,
    effect: Sentence,
    least_GM: float,
) -> Iterator[CorrectiveAction]:
    """Actions that shift G along an axis by `rise` (m); the moment needed where there are none."""
    found = [
        _move_weight(ship, against, axis, rise, effect),
        _pump_liquid(ship, against, axis, rise, effect, least_GM),
    ]
    yield from (action for action in found if action)
    if not any(found):
        moment = abs(rise) * ship.weight.mass
        words = Sentence(
            "{mass} moved by {far} {direction}, or as much otherwise, {effect}",
            mass=replace(_mass_quantity(moment), kind="moment"),
            far=UNIT_OF_LENGTH,
            direction=_direction_text(axis, rise),
            effect=effect,
        )
        yield CorrectiveAction("shift_moment", against, words)


def _move_weight(
    ship: FloatingPosition, against: Target, axis: int, rise: float, effect: Sentence
) -> CorrectiveAction | None:
    """One weight moved along an axis so that G moves by `rise` (m), the heaviest with space.

    One of a pair takes the other along; across the ship that moves nothing.
    """
    weights = ship.case.weights
    real = [weight for weight in weights if not weight.margin]
    extra = sum(weight.mass for weight in weights if weight.margin)
    share = 1.0 + extra / sum(weight.mass for weight in real) if real else 1.0
    for weight in sorted(real, key=lambda each: -each.mass):
        shift, moving = np.zeros(3), _with_mirror_image(real, weight)
        if weight.fixed or (axis == 1 and len(moving) > 1):
            continue
        shift[axis] = rise * ship.weight.mass / (share * sum(each.mass for each in moving))
        if all(_has_space(ship.case.hull, each.center, shift) for each in moving):
            name = weight.pair if len(moving) > 1 else weight.name
            text = Sentence(
                "Moving '{weight}' {far} {direction} {effect}",
                weight=Subject("weight", name),
                far=meters(shift[axis]),
                direction=_direction_text(axis, rise),
                effect=effect,
            )
            return CorrectiveAction("move_weight", against, text, weight, shift)
    return None


def _with_mirror_image(weights: Iterable[Weight], weight: Weight) -> list[Weight]:
    """A weight and, of a pair, the other."""
    pair = weight.pair
    return [each for each in weights if each.name == weight.name or (pair and each.pair == pair)]


def _has_space(hull: Hull, here: Floats, shift: Floats) -> bool:
    """Whether a weight at (3,) may be shifted so: from inside the hull to inside; from outside
    within its length and breadth, and down only into the hull or to above all of it. The hull
    surface counts as inside."""
    there = here + shift
    beside = SURFACE_TOLERANCE_SHARE * hull.depth * np.array([0.0, 0.0, 1.0])
    around = np.array([here, there, here - beside, there - beside, here + beside, there + beside])
    enclosed = is_inside(around, hull.vertices[hull.triangles]).reshape(3, 2)
    was_inside, inside = enclosed.any(axis=0)
    if was_inside or inside:
        return bool(inside)
    low, high = np.minimum(hull.tree.low, here), np.maximum(hull.tree.high, here)
    clear = shift[2] == 0 or there[2] >= hull.tree.high[2]
    return bool(clear and ((low <= there) & (there <= high))[:2].all())


def _pump_liquid(
    ship: FloatingPosition,
    against: Target,
    axis: int,
    rise: float,
    effect: Sentence,
    least_GM: float,
) -> CorrectiveAction | None:
    """The least liquid pumped from one tank to another, of like content, so that G moves along an
    axis by `rise` (m) and upright GM, half way and after, stays above zero."""
    case = ship.case
    goal, wet = case.load.solid.center[axis] + rise, upright_immersion(case)
    found: list[tuple[float, CorrectiveAction]] = []
    for source, sink in permutations(case.tanks, 2):
        if abs(source.density - sink.density) > DENSITY_TOLERANCE_SHARE * source.density:
            continue

        def pumped(mass: float, source: Tank = source, sink: Tank = sink) -> tuple[Tank, Tank]:
            return _filled_to_mass(source, source.mass - mass), _filled_to_mass(
                sink, sink.mass + mass
            )

        def gained(mass: float, pumped: Callable[[float], tuple[Tank, Tank]] = pumped) -> float:
            load = _with_tanks(case, pumped(mass)).load
            return float(load.solid.center[axis] - goal) * (1.0 if rise > 0 else -1.0)

        most = min(source.mass, sink.density * sink.capacity - sink.mass)
        if most > 0 and gained(most) >= 0:
            mass = find_root(
                gained, 0.0, most, -abs(rise), gained(most), ROOT_TOLERANCE_SHARE * most
            )
            words = Sentence(
                "Pumping {mass} from '{source}' to '{sink}' {effect}",
                mass=_mass_quantity(mass),
                source=Subject("tank", source.name),
                sink=Subject("tank", sink.name),
                effect=effect,
            )
            half, whole = (
                CorrectiveAction("pump_liquid", against, words, tanks=pumped(m))
                for m in (mass / 2, mass)
            )
            GM = upright_GM(whole.applied(case), wet)
            if min(GM, upright_GM(half.applied(case), wet)) <= 0:
                continue
            if GM < least_GM:
                words = Sentence("{pumping}, with a GM of {GM} then", pumping=words, GM=meters(GM))
            found.append((mass, replace(whole, text=words)))
    return min(found, key=lambda each: each[0])[1] if found else None


def _filled_to_mass(tank: Tank, mass: float) -> Tank:
    full = tank.density * tank.capacity
    return tank.filled(min(max(mass / full, 0.0), 1.0))


def _with_tanks(case: Case, tanks: tuple[Tank, ...]) -> Case:
    filled = {tank.name: tank for tank in tanks}
    return replace(case, tanks=tuple(filled.get(tank.name, tank) for tank in case.tanks))


def _direction_text(axis: int, shift: float) -> Sentence:
    return DIRECTION_TEXTS[axis][0] if shift > 0 else DIRECTION_TEXTS[axis][1]


def _mass_quantity(mass: float) -> Quantity:
    """'85 kg', '1.25 t'."""
    return kilograms(mass, ".3g") if mass < 1000 else tonnes(mass, ".4g")


def _free_name(case: Case, name: str) -> str:
    taken = {weight.name for weight in case.weights}
    numbered = (f"{name} {number}" for number in range(2, len(taken) + 3))
    return name if name not in taken else next(each for each in numbered if each not in taken)
