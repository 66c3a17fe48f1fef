"""Where a function of one variable is zero."""

from __future__ import annotations

from collections.abc import Callable

MOST_STEPS = 100


def find_root(
    function: Callable[[float], float],
    low: float,
    high: float,
    at_low: float,
    at_high: float,
    tolerance: float,
) -> float:
    """A zero between two places where the function has opposite signs, to within `tolerance`.

    Source: the halving false position, Dowell and Jarratt 1971, BIT 11:168 (from memory).
    """
    a, b, fa, fb = low, high, at_low, at_high
    for _ in range(MOST_STEPS):
        c = (a * fb - b * fa) / (fb - fa)
        if not min(a, b) < c < max(a, b):
            c = (a + b) / 2
        fc = function(c)
        if fc == 0 or abs(c - b) <= tolerance:
            return c
        if (fc > 0) != (fb > 0):
            a, fa = b, fb
        else:
            fa /= 2
        b, fb = c, fc
    return b
