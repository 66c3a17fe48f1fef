"""What a weight list changes in the weights that are there."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from ..core.model.names import check_names
from .weight_list import ListedWeight

ALIKE = 2e-7
"""Share by which masses may differ that single precision cannot distinguish."""


class Way(StrEnum):
    """How a list is taken in."""

    ADD = "ADD"
    UPDATE = "UPDATE"
    REPLACE = "REPLACE"


@dataclass(frozen=True)
class Changes:
    """The listed weights by what becomes of them, and the names of the others that go.

    `left` are there already, and stay as they are although the list differs.
    """

    new: tuple[ListedWeight, ...] = ()
    changed: tuple[ListedWeight, ...] = ()
    same: tuple[ListedWeight, ...] = ()
    left: tuple[ListedWeight, ...] = ()
    removed: tuple[str, ...] = ()

    def __str__(self) -> str:
        counts = {
            "new": self.new,
            "changed": self.changed,
            "the same": self.same,
            "left as they are": self.left,
            "removed": self.removed,
        }
        listed = len(self.new) + len(self.changed) + len(self.same) + len(self.left)
        given = ", ".join(f"{len(found)} {word}" for word, found in counts.items() if found)
        return f"{listed} {'weight' if listed == 1 else 'weights'}{given and f': {given}'}"


def compare(
    present: Sequence[ListedWeight],
    listed: Sequence[ListedWeight],
    way: Way,
    near: float,
    modeled: Container[str] = (),
) -> Changes:
    """What becomes of weights by a list, by their names.

    Positions within `near` meters are the same; an empty group in the list keeps the group, and
    a list without `both_sides` keeps that.
    Those in `modeled` weigh by their meshes, which no list changes. Raises BadInputError for a
    name that is listed twice.
    """
    check_names("weight", listed)
    known = {weight.name: weight for weight in present}
    fates: dict[str, list[ListedWeight]] = {"new": [], "changed": [], "same": [], "left": []}
    for weight in listed:
        fate = "changed"
        if weight.name not in known:
            fate = "new"
        elif _same(known[weight.name], weight, near):
            fate = "same"
        elif way == Way.ADD or weight.name in modeled:
            fate = "left"
        fates[fate].append(weight)
    names = {weight.name for weight in listed}
    gone = [name for name in known if name not in names] if way == Way.REPLACE else []
    return Changes(**{fate: tuple(found) for fate, found in fates.items()}, removed=tuple(gone))


def _same(known: ListedWeight, listed: ListedWeight, near: float) -> bool:
    return bool(
        abs(known.mass - listed.mass) <= ALIKE * known.mass
        and np.abs(known.center - listed.center).max() <= near
        and listed.group in ("", known.group)
        and listed.both_sides in (None, bool(known.both_sides))
        and not (listed.fixed_given and listed.fixed != known.fixed)
    )
