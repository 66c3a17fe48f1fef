"""Damage results found in this session, by hull and loading condition."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ...core.damage.bulkhead_suggestion import BulkheadSuggestion
from ...core.damage.flooding_result import FloodingResult
from ...core.damage.subdivision import Subdivision
from ...core.flooding_time.flooding_history import FloodingHistory

Key = tuple[int, str | None]
"""The session_uid of a hull and the name of the condition that it is loaded in."""


@dataclass(frozen=True)
class Damage:
    """Damage results of a hull as it is loaded: the floodings last asked for, which of them is
    drawn (None: drawn intact), the flooding in time last asked for with the name of its
    `breach`, the advice on bulkheads, and the floodable length with its compartments. What was
    asked for last is shown: the chart of floodable length if that is `charted`.

    `basis` is a digest of all that they were found from.
    """

    basis: bytes = b""
    floodings: tuple[FloodingResult, ...] = ()
    shown: int | None = None
    flooding_history: FloodingHistory | None = None
    breach: str = ""
    advice: BulkheadSuggestion | None = None
    subdivision: Subdivision | None = None
    charted: bool = False


UNDAMAGED = Damage()

_damages: dict[Key, Damage] = {}


def damage_of(key: Key) -> Damage:
    """What is known."""
    return _damages.get(key, UNDAMAGED)


def keep_damage(key: Key, damage: Damage) -> None:
    """Keep it in place of what was known."""
    _damages[key] = damage


def is_subdivided() -> bool:
    """Whether the floodable length of any hull is known."""
    return any(damage.subdivision for damage in _damages.values())


def keep_where(stays: Callable[[Key], bool]) -> None:
    """Forget the damage results of other hulls."""
    for key in [key for key in _damages if not stays(key)]:
        del _damages[key]
