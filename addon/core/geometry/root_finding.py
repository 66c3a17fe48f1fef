"""Roots of functions of one variable."""

from __future__ import annotations

from collections.abc import Callable

MAX_STEPS = 200
"""Steps after which the best place found is returned."""
MAX_SLOW_STEPS = 3
"""Steps without halving the bracket before it is bisected."""


def find_root(
    function: Callable[[float], float],
    low: float,
    high: float,
    at_low: float,
    at_high: float,
    tolerance: float,
) -> float:
    """A root between two values at which the function has opposite signs, to within `tolerance`.

    It halves the bracket where `MAX_SLOW_STEPS` steps have not. Source: the halving false position,
    Dowell and Jarratt 1971, A modified regula falsi method for computing the root of an equation,
    BIT 11:168 (from memory).
    """
    a, b, fa, fb = low, high, at_low, at_high
    if fa == 0 or fb == 0:
        return a if fa == 0 else b
    width, slow = abs(b - a), 0
    for _ in range(MAX_STEPS):
        c = (a * fb - b * fa) / (fb - fa)
        least = min(tolerance, abs(b - a) / 2) / 2
        c = min(max(c, min(a, b) + least), max(a, b) - least)
        if slow >= MAX_SLOW_STEPS:
            c = (a + b) / 2
        fc = function(c)
        if fc == 0:
            return c
        if (fc > 0) != (fb > 0):
            a, fa = b, fb
        else:
            fa /= 2
        b, fb = c, fc
        if abs(b - a) <= tolerance:
            break
        slow = slow + 1
        if abs(b - a) <= width / 2:
            width, slow = abs(b - a), 0
    return b
