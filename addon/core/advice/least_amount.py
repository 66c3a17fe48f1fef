"""The least amount of a change that reaches its goal."""

from __future__ import annotations

from collections.abc import Callable

from ..geometry.root_finding import find_root

SCAN_STEPS = 24
"""Amounts that are tried for a bracket."""
ROOT_TOLERANCE_SHARE = 1e-6
"""Share of an amount to which it is found."""


def least_amount(
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
