"""A box with a length of it open to the sea, computed by rectangles with its deck dry.

Shares nothing with the core: buoyancy is what trapezoids of the profile hold under a straight
waterline, and it rests where it equals its weight and lies plumb with G.
"""

from __future__ import annotations

import numpy as np

from addon.core.arrays import Floats
from addon.core.model.case import Case
from tests.bodies import box
from tests.published.ships import case_of, hull_of, load

LENGTH, BREADTH, DEPTH = 100.0, 20.0, 10.0
BELOW = 1.0


def barge(draft: float, KG: float = 3.0, x: float = 50.0) -> Case:
    """The box at a mean draft with G at x and so high."""
    tonnes = 1.025 * LENGTH * BREADTH * draft
    return case_of(hull_of(box(LENGTH, BREADTH, DEPTH)), load(tonnes, x, 0, KG))


def _held(aft: float, forward: float, p: float, q: float) -> Floats:
    """Area, and moments of it in x and z, below z = p + q x from one x to another."""
    x = np.polynomial.Polynomial([0.0, 1.0])
    z = p + q * x
    integrals = [part.integ() for part in (z, x * z, z * z / 2)]
    return np.array([each(forward) - each(aft) for each in integrals])


def margins(
    draft: float, KG: float, x: float, permeability: float, aft: float, forward: float
) -> tuple[float, float]:
    """Heights of the margin line above water at both ends (m), with its deck dry or taken as
    higher than it is."""

    def off(water: Floats) -> Floats:
        held = _held(0.0, LENGTH, *water) - permeability * _held(aft, forward, *water)
        Bx, Bz = held[1:] / held[0]
        return np.array([held[0] - LENGTH * draft, (Bx - x) + water[1] * (Bz - KG)])

    water = np.array([draft, 0.0])
    for _ in range(50):
        here, small = off(water), 1e-6
        slope = np.array([(off(water + small * d) - off(water - small * d)) for d in np.eye(2)])
        step = np.linalg.solve(slope.T / (2 * small), -here)
        water = water + step
        if np.abs(step).max() < 1e-13:
            break
    tilt = np.hypot(1.0, water[1])
    aft_height, forward_height = DEPTH - BELOW - water[0] - water[1] * np.array([0.0, LENGTH])
    return float(aft_height / tilt), float(forward_height / tilt)


def longest(draft: float, KG: float, x: float, permeability: float, center: float) -> float:
    """The longest flooding about a center that leaves the margin line dry, by halving."""
    low, high = 0.0, 2 * min(center, LENGTH - center)
    while high - low > 1e-9:
        middle = (low + high) / 2
        ends = center - middle / 2, center + middle / 2
        dry = min(margins(draft, KG, x, permeability, *ends)) >= 0
        low, high = (middle, high) if dry else (low, middle)
    return low
