"""Vessels held at a heel of the user's choice: the last one of each hull is kept."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace

from ...core.criteria.assessment import Assessment
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.stability.righting_lever import HeeledPosition


@dataclass(frozen=True)
class Heeled:
    """A vessel held at a heel, and its floating position there."""

    held: HeeledPosition
    floating: FloatingPosition


_heeled: dict[int, tuple[Assessment, Heeled]] = {}
"""The last heel that each hull was held at."""


def held_at(uid: int, floating: FloatingPosition, assessment: Assessment, heel: float) -> Heeled:
    """The vessel of a hull held at a heel (rad, starboard +), from its GZ curve."""
    known, heeled = _heeled.get(uid, (None, None))
    if known is not assessment or heeled is None or heeled.held.heel != heel:
        heeled = _held_at(floating, assessment, heel)
        _heeled[uid] = assessment, heeled
    return heeled


def keep_only(uids: Container[int]) -> None:
    """Forget all other hulls."""
    for uid in [uid for uid in _heeled if uid not in uids]:
        del _heeled[uid]


def _held_at(floating: FloatingPosition, assessment: Assessment, heel: float) -> Heeled:
    held = assessment.stability.curve.at(heel)
    afloat = replace(
        floating,
        weight=replace(floating.weight, center=held.equilibrium.gravity),
        equilibrium=held.equilibrium,
        known_findings=floating.findings,
    )
    return Heeled(held, afloat)
