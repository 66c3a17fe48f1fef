"""Liquid pumped from one tank to another of like content."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import permutations

from ..geometry.root_finding import find_root
from ..hydrostatics.floating_position import FloatingPosition
from ..hydrostatics.upright import upright_GM, upright_immersion
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from ..model.tanks import Tank
from .action import CorrectiveAction, Target, with_tanks
from .action_wording import mass_quantity
from .least_amount import ROOT_TOLERANCE_SHARE

DENSITY_TOLERANCE_SHARE = 1e-9
"""Share by which densities of like content may differ."""


def pump_liquid(
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
            load = with_tanks(case, pumped(mass)).load
            return float(load.solid.center[axis] - goal) * (1.0 if rise > 0 else -1.0)

        most = min(source.mass, sink.density * sink.capacity - sink.mass)
        if most > 0 and gained(most) >= 0:
            mass = find_root(
                gained, 0.0, most, -abs(rise), gained(most), ROOT_TOLERANCE_SHARE * most
            )
            words = Sentence(
                "Pumping {mass} from '{source}' to '{sink}' {effect}",
                mass=mass_quantity(mass),
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
